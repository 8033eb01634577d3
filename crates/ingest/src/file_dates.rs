//! The dates of an agency's table, as published or as a spreadsheet saved them anew: `31/03/1990`, `3/31/1990`, `31.03.1990 00:00`, `1990/3/31`.
//!
//! A date as published is read as such. Any other is read in the order that the dates of the whole file show, so that no day is taken for a
//! month; where the dates leave the order open and the caller gives none, those lines are left out and it is told. A year of two digits
//! leaves the century open and is not read.

use crate::Wanted;
use crate::date::DateFault;
use crate::date_order::{self, DateOrder, OrderEvidence, Written};
use crate::delimited::Rows;
use crate::finding::{Findings, shown};
use crate::formats::Input;
use series::{Day, Severity};

/// Reads the dates of one column and remembers what was odd about them.
pub(crate) struct FileDates<'a> {
    bytes: &'a [u8],
    delimiter: u8,
    column: usize,
    published: fn(&[u8]) -> Result<Day, DateFault>,
    wanted: Option<DateOrder>,
    /// Looked for when the first date needs it.
    looked: bool,
    order: Option<DateOrder>,
    anew: usize,
    open: usize,
    short: usize,
    example: String,
}

impl<'a> FileDates<'a> {
    /// The dates of a column (from 0); `published` reads them as the agency writes them.
    pub(crate) fn new(
        input: Input<'a>,
        delimiter: u8,
        column: usize,
        published: fn(&[u8]) -> Result<Day, DateFault>,
        wanted: Wanted,
    ) -> Self {
        Self {
            bytes: input.bytes,
            delimiter,
            column,
            published,
            wanted: wanted.date_order,
            looked: false,
            order: None,
            anew: 0,
            open: 0,
            short: 0,
            example: String::new(),
        }
    }

    /// The day of a date of that column.
    pub(crate) fn day(&mut self, field: &[u8]) -> Result<Day, DateFault> {
        match (self.published)(field) {
            Err(DateFault::Unreadable) => self.saved_anew(field),
            known => known,
        }
    }

    #[cold]
    fn saved_anew(&mut self, field: &[u8]) -> Result<Day, DateFault> {
        let date = without_time(field);
        let written = date_order::written(date);
        let order = match written {
            Written::Open { .. } => self.order(),
            Written::Plain(Ok(_)) => None,
            Written::ShortYear => {
                self.short += 1;
                self.keep(field);
                return Err(DateFault::Counted);
            }
            Written::Plain(Err(fault)) => return Err(fault),
            Written::Nothing => return Err(DateFault::Unreadable),
        };
        let day = date_order::day(date, order);
        match (day, written) {
            (Ok(_), _) => self.anew += 1,
            (Err(_), Written::Open { .. }) if order.is_none() => {
                self.open += 1;
                self.keep(field);
                return Err(DateFault::Counted);
            }
            _ => return day,
        }
        self.keep(field);
        day
    }

    fn keep(&mut self, field: &[u8]) {
        if self.example.is_empty() {
            self.example = shown(field);
        }
    }

    fn order(&mut self) -> Option<DateOrder> {
        if !self.looked {
            let mut evidence = OrderEvidence::default();
            let mut rows = Rows::new(self.bytes, self.delimiter);
            while let Some(row) = rows.next_row() {
                evidence.add(without_time(row.get(self.column)));
            }
            self.looked = true;
            self.order = evidence.shown().or(self.wanted);
        }
        self.order
    }

    /// Say once for the file what was odd; `expected` is the date as published.
    pub(crate) fn tell(&self, expected: &str, findings: &mut Findings<'_>) {
        let example = &self.example;
        if self.anew > 0 {
            findings.whole("dates-saved-anew", Severity::Note, || {
                let order = self.order.map_or(String::new(), |order| format!(", read as {order}"));
                (
                    format!("found dates such as {example:?} on {} lines{order}; expected {expected}: a table saved anew", self.anew),
                    "The days are read.",
                )
            });
        }
        if self.open > 0 {
            findings.whole("dates-leave-a-question", Severity::Warning, || {
                (
                    format!("found dates such as {example:?} on {} lines, none with a day above 12: day/month/year or month/day/year? Write them as year-month-day", self.open),
                    "Those lines are left out.",
                )
            });
        }
        if self.short > 0 {
            findings.whole("year-of-two-digits", Severity::Warning, || {
                (
                    format!("found dates such as {example:?} on {} lines, whose year has two digits, so the century is open; expected {expected}: save the table with dates as year-month-day", self.short),
                    "Those lines are left out.",
                )
            });
        }
    }
}

/// The date without a time of day behind it.
fn without_time(field: &[u8]) -> &[u8] {
    match field.iter().rposition(|byte| matches!(byte, b' ' | b'T')) {
        Some(at) if field[at..].contains(&b':') => field[..at].trim_ascii_end(),
        _ => field,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::date;

    fn dates(text: &str, wanted: Wanted) -> FileDates<'_> {
        FileDates::new(Input::of("x", text.as_bytes()), b';', 1, date::compact, wanted)
    }

    #[test]
    fn the_whole_file_settles_the_order() {
        let day = Day::new(1990, 2, 1).unwrap();
        let mut findings = Findings::new("x");
        for (text, first) in [("a;01/02/1990\na;13/02/1990\n", "01/02/1990"), ("a;2/1/1990 0:00\na;2/13/1990 0:00\n", "2/1/1990 0:00")] {
            let mut dates = dates(text, Wanted::default());
            assert_eq!(dates.day(first.as_bytes()), Ok(day), "{text}");
            for plain in ["19900201", "1990-02-01", "1990/2/1", "01-Feb-1990", "1990-02-01 00:00:00"] {
                assert_eq!(dates.day(plain.as_bytes()), Ok(day), "{plain}");
            }
            dates.tell("yyyymmdd", &mut findings);
        }
        assert_eq!((findings.list.count("dates-saved-anew"), findings.list.total()), (2, 2));
    }

    #[test]
    fn what_stays_open_is_told_and_not_guessed() {
        let mut findings = Findings::new("x");
        let text = "a;01/02/1990\na;02/03/1990\n";
        let mut open = dates(text, Wanted::default());
        for (field, fault) in [
            ("01/02/1990", DateFault::Counted),
            ("01/02/90", DateFault::Counted),
            ("", DateFault::Unreadable),
            ("Total", DateFault::Unreadable),
        ] {
            assert_eq!(open.day(field.as_bytes()), Err(fault), "{field}");
        }
        assert_eq!(open.day(b"19900230"), Err(DateFault::NeverWas));
        open.tell("yyyymmdd", &mut findings);
        assert_eq!((findings.list.count("dates-leave-a-question"), findings.list.count("year-of-two-digits")), (1, 1));
        // Once for the file, and not a line each.
        open.day(b"02/02/90").unwrap_err();
        let mut of_file = Findings::new("x");
        open.tell("yyyymmdd", &mut of_file);
        assert!(of_file.list.list.iter().any(|found| found.message.contains("on 2 lines, whose year has two digits")));
        let answer = Wanted { date_order: Some(DateOrder::DayMonthYear), ..Wanted::default() };
        assert_eq!(dates(text, answer).day(b"01/02/1990"), Ok(Day::new(1990, 2, 1).unwrap()));
    }
}
