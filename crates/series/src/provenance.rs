//! Where each reading came from: file, checksum, and line and column by day.

use crate::Day;
use serde::Serialize;

/// An unbroken run of days laid out regularly in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Run {
    /// First day of the run.
    pub first_day: Day,
    /// How many days.
    pub days: u32,
    /// Line (from 1) of the first day.
    pub first_line: u32,
    /// Lines from one day to the next.
    pub line_step: u16,
    /// Column (from 1) of the first day's value.
    pub first_column: u16,
    /// Columns from one day to the next.
    pub column_step: u16,
}

/// A file and the place of each day in it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Provenance {
    /// The file as it was named to us.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// The product or format in words, such as "GHCN-Daily station file".
    pub format: String,
    /// The runs, by first day. Not serialised whole: a century of months is long.
    #[serde(skip)]
    pub runs: Vec<Run>,
}

impl Provenance {
    /// Line and column of a day's value, both from 1, if the file holds it.
    pub fn place(&self, day: Day) -> Option<(u32, u32)> {
        let after = self.runs.partition_point(|run| run.first_day <= day);
        let run = self.runs.get(after.checked_sub(1)?)?;
        let offset = u32::try_from(day.since(run.first_day)).ok()?;
        (offset < run.days).then(|| {
            (run.first_line + offset * u32::from(run.line_step), u32::from(run.first_column) + offset * u32::from(run.column_step))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_found_where_it_stands() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        let provenance = Provenance {
            runs: vec![
                Run { first_day: day("2001-01-01"), days: 31, first_line: 3, line_step: 0, first_column: 22, column_step: 8 },
                Run { first_day: day("2001-03-01"), days: 31, first_line: 9, line_step: 1, first_column: 12, column_step: 0 },
            ],
            ..Provenance::default()
        };
        assert_eq!(provenance.place(day("2001-01-31")), Some((3, 262)));
        assert_eq!(provenance.place(day("2001-02-01")), None);
        assert_eq!(provenance.place(day("2001-03-03")), Some((11, 12)));
        assert_eq!(provenance.place(day("2000-12-31")), None);
    }
}
