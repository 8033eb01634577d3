//! Where each reading came from: file, checksum, and line and column by day.
//!
//! A record is often shipped as several files, one a year or month. Each run of days names the file that it stands in.

use crate::Day;
use serde::Serialize;

/// A file that a record was read from.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct SourceFile {
    /// The file as it was named to us.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal; empty where it was not asked for.
    pub sha256: String,
    /// From where it was brought; nothing where nobody noted that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub origin: Option<FileOrigin>,
}

impl SourceFile {
    /// A file of unknown origin.
    pub fn new(file: &str, sha256: &str) -> Self {
        Self { file: file.to_owned(), sha256: sha256.to_owned(), origin: None }
    }
}

/// From where and when a file was brought, as its archive noted it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FileOrigin {
    /// The address; `file:` and a path for a mirror that is a folder.
    pub url: String,
    /// When (RFC 3339, UTC).
    pub fetched_at: String,
}

/// An unbroken run of days laid out regularly in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Run {
    /// Which of the sources, from 0.
    pub source: u32,
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

impl Run {
    /// The run of a single day.
    fn of_day(source: u32, day: Day, line: u32, column: u16) -> Self {
        Self { source, first_day: day, days: 1, first_line: line, line_step: 0, first_column: column, column_step: 0 }
    }

    /// Line and column of the run's day number `offset`.
    fn at(&self, offset: u32) -> (u32, u32) {
        (self.first_line + offset * u32::from(self.line_step), u32::from(self.first_column) + offset * u32::from(self.column_step))
    }
}

/// Where a day's value stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Place<'a> {
    /// The file as it was named to us.
    pub file: &'a str,
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1.
    pub column: u32,
}

/// The files of a record and the place of each day in them.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Provenance {
    /// The files, in the order of time.
    pub sources: Vec<SourceFile>,
    /// The product or format in words, such as "GHCN-Daily station file".
    pub format: String,
    /// The runs, by first day, none over another. Not serialised whole: a century of months is long.
    #[serde(skip)]
    pub runs: Vec<Run>,
    /// The last day of which a file has a row for rain, with a value or without, where the reader tells.
    pub last_row: Option<Day>,
}

impl Provenance {
    /// A record of one file, whose runs name the source 0.
    pub fn of_file(file: &str, sha256: &str, format: &str, runs: Vec<Run>) -> Self {
        let source = SourceFile::new(file, sha256);
        Self { sources: vec![source], format: format.to_owned(), runs, last_row: None }
    }

    /// The first file's name; empty for a record of no file.
    pub fn file(&self) -> &str {
        self.sources.first().map_or("", |source| &source.file)
    }

    /// The first file's SHA-256 in hexadecimal.
    pub fn sha256(&self) -> &str {
        self.sources.first().map_or("", |source| &source.sha256)
    }

    /// The file, line and column of a day's value, if a file holds it.
    pub fn place(&self, day: Day) -> Option<Place<'_>> {
        let (run, offset) = self.run_of(day)?;
        let (line, column) = run.at(offset);
        let file = self.sources.get(run.source as usize).map_or("", |source| &source.file);
        Some(Place { file, line, column })
    }

    /// Which of the sources holds a day.
    pub fn source_of(&self, day: Day) -> Option<usize> {
        self.run_of(day).map(|(run, _)| run.source as usize)
    }

    fn run_of(&self, day: Day) -> Option<(&Run, u32)> {
        let after = self.runs.partition_point(|run| run.first_day <= day);
        let run = self.runs.get(after.checked_sub(1)?)?;
        let offset = u32::try_from(day.since(run.first_day)).ok()?;
        (offset < run.days).then_some((run, offset))
    }

    /// The place of one day more, later than all before it; it lengthens the last run where it stands in its row. A line of 0 was not
    /// kept, and the day gets no place.
    pub fn add_day(&mut self, source: u32, day: Day, line: u32, column: u16) {
        if line == 0 {
            return;
        }
        if let Some(run) = self.runs.last_mut().filter(|run| run.source == source && day.since(run.first_day) == run.days as i32) {
            let (last_line, last_column) = run.at(run.days - 1);
            let lines = line.checked_sub(last_line).and_then(|step| u16::try_from(step).ok());
            let columns = u32::from(column).checked_sub(last_column).and_then(|step| u16::try_from(step).ok());
            if let (Some(lines), Some(columns)) = (lines, columns)
                && (run.days == 1 || (lines, columns) == (run.line_step, run.column_step))
            {
                (run.line_step, run.column_step) = (lines, columns);
                run.days += 1;
                return;
            }
        }
        self.runs.push(Run::of_day(source, day, line, column));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    #[test]
    fn a_day_is_found_where_it_stands() {
        let runs = vec![
            Run { source: 0, first_day: day("2001-01-01"), days: 31, first_line: 3, line_step: 0, first_column: 22, column_step: 8 },
            Run { source: 1, first_day: day("2001-03-01"), days: 31, first_line: 9, line_step: 1, first_column: 12, column_step: 0 },
        ];
        let mut provenance = Provenance::of_file("a", "", "x", runs);
        provenance.sources.push(SourceFile::new("b", ""));
        assert_eq!(provenance.place(day("2001-01-31")), Some(Place { file: "a", line: 3, column: 262 }));
        assert_eq!(provenance.place(day("2001-02-01")), None);
        assert_eq!(provenance.place(day("2001-03-03")), Some(Place { file: "b", line: 11, column: 12 }));
        assert_eq!(provenance.place(day("2000-12-31")), None);
    }

    #[test]
    fn days_added_one_by_one_stand_where_they_were_put() {
        let mut provenance = Provenance::of_file("a", "", "x", Vec::new());
        let places = [("2001-01-01", 2, 9), ("2001-01-02", 3, 9), ("2001-01-03", 4, 9), ("2001-01-04", 4, 17), ("2001-01-06", 1, 3)];
        for (text, line, column) in places {
            provenance.add_day(0, day(text), line, column);
        }
        for (text, line, column) in places {
            assert_eq!(provenance.place(day(text)), Some(Place { file: "a", line, column: u32::from(column) }));
        }
        assert_eq!((provenance.runs.len(), provenance.place(day("2001-01-05"))), (3, None));
    }
}
