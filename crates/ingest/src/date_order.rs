//! Dates written by people: three numbers in one of three orders, or a month by its name; and which order a file uses.
//!
//! Nothing in `03/04/2024` says whether it is March or April. A day above 12 somewhere in the file does, and a file may state its order.
//! A year has four digits here: of two digits the century and the order are both open. ISO 8601 writes the year first, and nobody
//! is known to write year, day, month (common practice, no source).

use crate::date::{self, DateFault};
use crate::fields;
pub use series::DateOrder;
use series::Day;

/// A date as far as it can be understood by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Written {
    /// It means one day only: the year stands first, or the month by its name.
    Plain(Result<Day, DateFault>),
    /// Two numbers and a year.
    Open { first: u32, second: u32, year: u32 },
    /// Three short numbers.
    ShortYear,
    /// No date.
    Nothing,
}

/// Longest date that is looked at: `Wednesday 30 September 2024`, with room.
const LONGEST: usize = 40;

/// Take a date apart: numbers and names between `-`, `/`, `.`, blanks and commas; eight digits are year, month and day.
pub(crate) fn written(field: &[u8]) -> Written {
    let field = field.trim_ascii();
    if field.len() == 8 && field.iter().all(u8::is_ascii_digit) {
        return Written::Plain(date::compact(field));
    }
    if field.is_empty() || field.len() > LONGEST {
        return Written::Nothing;
    }
    let mut parts: [&[u8]; 4] = [b""; 4];
    let mut count = 0;
    for part in field.split(|byte| matches!(byte, b'-' | b'/' | b'.' | b' ' | b',')).filter(|part| !part.is_empty()) {
        if count == parts.len() {
            return Written::Nothing;
        }
        parts[count] = part;
        count += 1;
    }
    let parts = match &parts[..count] {
        [weekday, rest @ ..] if count == 4 && is_weekday(weekday) => rest,
        all if count == 3 => all,
        _ => return Written::Nothing,
    };
    let numbers = [fields::whole(parts[0]), fields::whole(parts[1]), fields::whole(parts[2])];
    let is_year = |place: usize| parts[place].len() == 4;
    match numbers {
        [year, Some(month), Some(day)] if year.is_some() && is_year(0) => Written::Plain(date::of_parts(year, Some(month), Some(day))),
        [Some(first), Some(second), Some(year)] if is_year(2) => Written::Open { first, second, year },
        [Some(_), Some(_), Some(_)] => Written::ShortYear,
        [Some(day), None, Some(year)] => match (date::month_of_name(parts[1]), is_year(2), is_year(0)) {
            (Some(month), true, _) => Written::Plain(date::of_parts(Some(year), Some(month), Some(day))),
            (Some(month), false, true) => Written::Plain(date::of_parts(Some(day), Some(month), Some(year))),
            (Some(_), false, false) => Written::ShortYear,
            _ => Written::Nothing,
        },
        [None, Some(day), Some(year)] => match date::month_of_name(parts[0]) {
            Some(month) if is_year(2) => Written::Plain(date::of_parts(Some(year), Some(month), Some(day))),
            Some(_) => Written::ShortYear,
            None => Written::Nothing,
        },
        _ => Written::Nothing,
    }
}

fn is_weekday(word: &[u8]) -> bool {
    const DAYS: [&[u8]; 7] = [b"mon", b"tue", b"wed", b"thu", b"fri", b"sat", b"sun"];
    word.get(..3).is_some_and(|head| DAYS.contains(&head.to_ascii_lowercase().as_slice()))
}

/// The day that a date means in that order.
pub(crate) fn day(field: &[u8], order: Option<DateOrder>) -> Result<Day, DateFault> {
    match (written(field), order) {
        (Written::Plain(day), _) => day,
        (Written::Open { first, second, year }, Some(DateOrder::DayMonthYear)) => date::of_parts(Some(year), Some(second), Some(first)),
        (Written::Open { first, second, year }, Some(DateOrder::MonthDayYear)) => date::of_parts(Some(year), Some(first), Some(second)),
        _ => Err(DateFault::Unreadable),
    }
}

/// What the dates of a file say of their order.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct OrderEvidence {
    /// Dates that mean one day by themselves.
    pub(crate) plain: usize,
    /// Dates that can only be day, month, year; month, day, year; and both.
    pub(crate) day_first: usize,
    pub(crate) month_first: usize,
    pub(crate) either: usize,
    /// Of all these, those with points between: in the languages that write so the day stands first (Unicode CLDR, numeric dates; from
    /// memory).
    pub(crate) dotted: usize,
    /// Dates with a year of two digits.
    pub(crate) short: usize,
    /// Fields that are no date.
    pub(crate) nothing: usize,
}

impl OrderEvidence {
    /// One more date of the file.
    pub(crate) fn add(&mut self, field: &[u8]) {
        match written(field) {
            Written::Plain(Ok(_)) => self.plain += 1,
            Written::Open { first, second, .. } => {
                let before = self.open();
                match (first, second) {
                    (1..=12, 1..=12) => self.either += usize::from(first != second),
                    (13..=31, 1..=12) => self.day_first += 1,
                    (1..=12, 13..=31) => self.month_first += 1,
                    _ => self.nothing += 1,
                }
                let points = memchr::memchr_iter(b'.', field).count();
                self.dotted += if points == 2 { self.open() - before } else { 0 };
            }
            Written::ShortYear => self.short += 1,
            Written::Plain(Err(_)) | Written::Nothing => self.nothing += 1,
        }
    }

    /// Dates that mean one day only in one of two orders.
    fn open(&self) -> usize {
        self.day_first + self.month_first + self.either
    }

    /// Whether no date needs an order.
    pub(crate) fn needs_none(&self) -> bool {
        self.open() == 0
    }

    /// Whether every date that needs an order has points between its numbers.
    pub(crate) fn all_dotted(&self) -> bool {
        self.dotted == self.open()
    }

    /// The order that the dates show: days above 12 stand in one place, in the other at most one time in twenty (slips of the pen).
    pub(crate) fn shown(&self) -> Option<DateOrder> {
        let (day, month) = (self.day_first, self.month_first);
        if day > 20 * month {
            Some(DateOrder::DayMonthYear)
        } else if month > 20 * day {
            Some(DateOrder::MonthDayYear)
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_day_in_many_ways_of_writing() {
        let expected = Day::new(2024, 3, 31).unwrap();
        for text in [
            "2024-03-31",
            "20240331",
            "2024/3/31",
            "31 March 2024",
            "31-Mar-2024",
            "Sunday 31 March 2024",
            "Mar 31, 2024",
            "2024-Mar-31",
            "31.mar.2024",
        ] {
            assert_eq!(day(text.as_bytes(), None), Ok(expected), "{text}");
        }
        for text in ["31/3/2024", "31.03.2024", "31-03-2024"] {
            assert_eq!(day(text.as_bytes(), Some(DateOrder::DayMonthYear)), Ok(expected), "{text}");
            assert_eq!(day(text.as_bytes(), None), Err(DateFault::Unreadable), "{text}");
        }
        assert_eq!(day(b"3/31/2024", Some(DateOrder::MonthDayYear)), Ok(expected));
        assert_eq!(day(b"3/31/2024", Some(DateOrder::DayMonthYear)), Err(DateFault::NeverWas));
        for text in ["31/3/24", "31 Mar 24", "Mar 31 24"] {
            assert_eq!(written(text.as_bytes()), Written::ShortYear, "{text}");
        }
        for text in ["", "rain", "1", "2024-03", "1 2 3 4 5", "mm/dd/yyyy", "3 Foo 2024", "12.5"] {
            assert_eq!(written(text.as_bytes()), Written::Nothing, "{text}");
        }
    }

    #[test]
    fn a_day_above_twelve_settles_the_order() {
        let of = |dates: &[&str]| {
            let mut evidence = OrderEvidence::default();
            for date in dates {
                evidence.add(date.as_bytes());
            }
            evidence
        };
        assert_eq!(of(&["01/02/2024", "13/02/2024"]).shown(), Some(DateOrder::DayMonthYear));
        assert_eq!(of(&["01/02/2024", "02/13/2024"]).shown(), Some(DateOrder::MonthDayYear));
        assert_eq!(of(&["01/02/2024", "02/02/2024", "12/11/2024"]).shown(), None);
        assert_eq!(of(&["13/02/2024", "02/13/2024"]).shown(), None);
        assert!(of(&["2024-02-01", "5/5/2024"]).needs_none(), "the same day in either order");
        assert!(of(&["01.02.2024", "3. 2. 2024", "2024-02-05", "5.5.2024"]).all_dotted());
        assert!(!of(&["01.02.2024", "03/02/2024"]).all_dotted());
    }
}
