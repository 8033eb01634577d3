//! Findings with their place in a file of lines.

use crate::date::DateFault;
use crate::decimal;
use crate::delimited::Row;
use crate::heading::Width;
use series::{Day, Diagnostic, Diagnostics, Severity};

/// The findings of which each is a line or row that was not read, or not to its end: days that may be lost. (A day that never was is
/// none, and a line that stands twice is read once.)
pub const LINES_NOT_READ: &[&str] = &[
    "line-unreadable",
    "row-cut-short",
    "row-too-long",
    "date-unreadable",
    "line-over-one-mebibyte",
    "line-too-short",
    "line-too-long",
    "line-short",
    "impossible-year",
    "impossible-month",
];

/// A line of the file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line<'a> {
    /// From 1; 0 where it was not kept.
    pub(crate) number: u32,
    /// Its bytes.
    pub(crate) text: &'a [u8],
}

/// Gathers the findings of one station or one file.
pub(crate) struct Findings<'a> {
    file: &'a str,
    pub(crate) list: Diagnostics,
}

impl<'a> Findings<'a> {
    pub(crate) fn new(file: &'a str) -> Self {
        Self { file, list: Diagnostics::default() }
    }

    /// A finding about the file as a whole; `say` gives message and what was done.
    pub(crate) fn whole(&mut self, id: &'static str, severity: Severity, say: impl FnOnce() -> (String, &'static str)) {
        self.list.add(id, severity, || {
            let (message, done) = say();
            Diagnostic::new(id, severity, message).in_file(self.file).done(done)
        });
    }

    /// A finding at columns (from 1, width) of a line; `say` runs only if the finding is kept whole.
    pub(crate) fn at(
        &mut self,
        id: &'static str,
        severity: Severity,
        line: Line<'_>,
        columns: impl Into<Option<(u32, u32)>>,
        say: impl FnOnce() -> (String, &'static str),
    ) {
        self.list.add(id, severity, || {
            let (message, done) = say();
            // A line's start is enough for an eye; a line of a mebibyte is not copied.
            let text = String::from_utf8_lossy(&line.text[..line.text.len().min(400)]);
            let found = Diagnostic::new(id, severity, message).in_file(self.file).done(done);
            if line.number == 0 {
                // A file of very many stations does not keep the lines of its values.
                return found;
            }
            let found = found.at_line(line.number);
            let found = if line.text.is_empty() { found } else { found.with_text(&text) };
            match columns.into() {
                Some((column, span)) => found.at_columns(column, span),
                None => found,
            }
        });
    }

    /// A field that is no day, and its line with it.
    #[cold]
    pub(crate) fn date(&mut self, line: Line<'_>, columns: (u32, u32), found: &[u8], fault: DateFault, expected: &str) {
        let (id, why) = match fault {
            DateFault::Unreadable => ("date-unreadable", "which does not read as a date"),
            DateFault::NeverWas => ("day-that-never-was", "a day that never was from 1600 to 2299"),
            // The file tells how many there are.
            DateFault::Counted => return,
        };
        self.at(id, Severity::Warning, line, columns, || {
            (format!("found {:?}, {why}; expected {expected}", shown(found)), "The line is skipped.")
        });
    }

    /// A value in the place of a day that its month does not have; the rest of the line is read.
    #[cold]
    pub(crate) fn value_of_no_day(&mut self, line: Line<'_>, columns: (u32, u32), found: &[u8], (year, month, day): (i64, i64, u32)) {
        self.at("day-that-never-was", Severity::Warning, line, columns, || {
            (
                format!("found {:?} for {year:04}-{month:02}-{day:02}, a day that never was; expected no value there", shown(found)),
                "The value is left out.",
            )
        });
    }

    /// A field that is no number.
    #[cold]
    pub(crate) fn unreadable(&mut self, line: Line<'_>, columns: (u32, u32), element: &str, day: Day, found: &[u8]) {
        self.at("value-unreadable", Severity::Warning, line, columns, || {
            (format!("found {:?} for {element} of {day}, expected a number", shown(found)), "The value is rejected as unreadable.")
        });
    }

    /// A number that no rain depth can be.
    #[cold]
    pub(crate) fn impossible(&mut self, line: Line<'_>, columns: (u32, u32), element: &str, day: Day, found: &[u8]) {
        self.at("value-impossible", Severity::Warning, line, columns, || {
            (format!("found {:?} for {element} of {day}, expected a depth from 0 to 2000 mm", shown(found)), "The value is rejected.")
        });
    }

    /// A value that its own source rejects; `meaning` says what the flag stands for.
    #[cold]
    pub(crate) fn flagged(&mut self, line: Line<'_>, columns: (u32, u32), micrometres: impl Into<i64>, day: Day, flag: u8, meaning: &str) {
        self.meaning_of(flag, meaning);
        self.at("reading-flagged", Severity::Warning, line, columns, || {
            let (depth, flag) = (decimal::millimetres(micrometres.into()), char::from(flag));
            (
                format!("found {depth} mm on {day} with the quality flag {flag} ({meaning}), expected no quality flag"),
                "The value is rejected.",
            )
        });
    }

    /// What the letter of a quality flag stands for; kept once.
    pub(crate) fn meaning_of(&mut self, flag: u8, meaning: &str) {
        self.list.flags.entry(flag).or_insert_with(|| meaning.to_owned());
    }

    /// A line that does not hold what the layout says.
    #[cold]
    pub(crate) fn unreadable_line(&mut self, line: Line<'_>, expected: &str) {
        self.at("line-unreadable", Severity::Warning, line, None, || {
            (format!("found {:?}, expected {expected}", shown(line.text)), "The line is skipped.")
        });
    }

    /// A row that has not the columns of its table.
    #[cold]
    pub(crate) fn misfit(&mut self, row: &Row<'_, '_>, width: Width) {
        let (found, least, most) = (row.len(), width.least, width.most);
        let columns = if least == most { format!("{least} columns") } else { format!("{least} to {most} columns") };
        if found == 1 {
            return self.unreadable_line(row.line, &format!("a row of {columns}"));
        }
        let last = row.columns(found - 1);
        if row.quote_is_open() {
            self.at("row-cut-short", Severity::Warning, row.line, last, || {
                (format!("found a quote that is never closed, expected a row of {columns}"), "The row is not read.")
            });
        } else if found < least {
            self.at("row-cut-short", Severity::Warning, row.line, last, || {
                (format!("found a row that ends after {found} fields, expected {columns}"), "The row is not read.")
            });
        } else {
            self.at("row-too-long", Severity::Warning, row.line, row.columns(most), || {
                (format!("found a row of {found} fields, expected {columns}: perhaps two lines in one"), "The row is not read.")
            });
        }
    }

    /// The findings in the order of the file; those without a line last.
    pub(crate) fn finish(mut self) -> Diagnostics {
        self.list.list.sort_by_key(|finding| (finding.line.unwrap_or(u32::MAX), finding.column));
        self.list
    }
}

/// The first sixty characters of what was found, for a message.
pub(crate) fn shown(bytes: &[u8]) -> String {
    String::from_utf8_lossy(&bytes[..bytes.len().min(240)]).chars().take(60).collect()
}
