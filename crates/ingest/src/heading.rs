//! The heading of a table: where its columns are, and whether a row has them.
//!
//! A row that breaks off may break off within a number, and two lines that have run together hide the second one. So a row with fewer
//! fields than the heading has names, with a quote that is never closed, or with more that holds anything is not read, and told.

use crate::delimited::Row;
use crate::finding::Findings;

/// The names of a heading line.
#[derive(Debug, Clone, Default)]
pub(crate) struct Heading {
    names: Vec<Vec<u8>>,
    width: Width,
}

impl Heading {
    /// The heading that a row is.
    pub(crate) fn of(row: &Row<'_, '_>) -> Self {
        let names: Vec<Vec<u8>> = row.fields().map(<[u8]>::to_ascii_lowercase).collect();
        let first = names.iter().position(|name| !name.is_empty()).unwrap_or(0);
        // Behind a column without a name stand remarks that only some rows have (SMHI).
        let least = names[first..].iter().position(Vec::is_empty).map_or(names.len(), |unnamed| first + unnamed);
        let width = Width { least, most: names.len() };
        Self { names, width }
    }

    /// Where a column is; capital and small letters are the same.
    pub(crate) fn find(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|own| own.as_slice() == name.to_ascii_lowercase().as_bytes())
    }

    /// The first column whose name, in small letters, is such a one.
    pub(crate) fn find_by(&self, fits: impl Fn(&[u8]) -> bool) -> Option<usize> {
        self.names.iter().position(|own| fits(own))
    }

    /// The first of several names that is there.
    pub(crate) fn find_any(&self, names: &[&str]) -> Option<usize> {
        names.iter().find_map(|name| self.find(name))
    }

    /// Whether all these columns are there.
    pub(crate) fn has(&self, names: &[&str]) -> bool {
        names.iter().all(|name| self.find(name).is_some())
    }

    /// The name of a column in small letters; empty when there is none.
    pub(crate) fn name(&self, place: usize) -> &[u8] {
        self.names.get(place).map_or(&[], Vec::as_slice)
    }

    /// How many columns.
    pub(crate) fn len(&self) -> usize {
        self.names.len()
    }

    /// How many fields a row of this table has.
    pub(crate) fn width(&self) -> Width {
        self.width
    }

    /// Whether a row is whole and one; tells of one that is not.
    pub(crate) fn fits(&self, row: &Row<'_, '_>, findings: &mut Findings<'_>) -> bool {
        self.width.fits(row, findings)
    }
}

/// How many fields a row of a table has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Width {
    pub(crate) least: usize,
    pub(crate) most: usize,
}

impl Width {
    /// Whether a row has so many fields, each with its end; empty ones behind them are passed over, as spreadsheets add them.
    pub(crate) fn holds(self, row: &Row<'_, '_>) -> bool {
        row.len() >= self.least && !row.quote_is_open() && (self.most..row.len()).all(|place| row.get(place).is_empty())
    }

    /// The same; tells of a row that has not.
    pub(crate) fn fits(self, row: &Row<'_, '_>, findings: &mut Findings<'_>) -> bool {
        let holds = self.holds(row);
        if !holds {
            findings.misfit(row, self);
        }
        holds
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::delimited::{Rows, first_heading};

    #[test]
    fn a_heading_finds_its_columns() {
        let heading = first_heading(b"STATION;Date; RR \n", b';');
        assert_eq!((heading.find("rr"), heading.find("R"), heading.find_any(&["x", "date"]), heading.len()), (Some(2), None, Some(1), 3));
        assert!(heading.has(&["station", "RR"]) && !heading.has(&["QRR"]));
    }

    #[test]
    fn a_row_cut_short_and_two_run_together_are_told() {
        let heading = first_heading(b"station;date;rain;quality", b';');
        for (line, id) in [
            ("1;20010101;5;0", None),
            ("1;20010101;;", None),
            ("1;20010101;5;0;;", None),
            ("1;20010101;5", Some("row-cut-short")),
            ("1;20010101;\"5", Some("row-cut-short")),
            ("1;20010101;5;\"0", Some("row-cut-short")),
            ("1;20010101;5;01;20010102;6;0", Some("row-too-long")),
            ("#### ?? ####", Some("line-unreadable")),
        ] {
            let mut findings = Findings::new("x");
            let row_fits = heading.fits(&Rows::new(line.as_bytes(), b';').next_row().unwrap(), &mut findings);
            let told: Vec<&str> = findings.list.list.iter().map(|found| found.id).collect();
            assert_eq!((row_fits, told), (id.is_none(), id.into_iter().collect()), "{line}");
            assert!(id.is_none_or(|id| crate::LINES_NOT_READ.contains(&id)));
        }
    }

    #[test]
    fn behind_a_column_without_a_name_a_row_may_end() {
        let width = |line: &[u8]| first_heading(line, b';').width();
        assert_eq!(width(b"from;to;day;rain;quality;;notes:"), Width { least: 5, most: 7 });
        assert_eq!(width(b";station;rain"), Width { least: 3, most: 3 });
        assert_eq!(width(b"a;b;"), Width { least: 2, most: 3 });
    }
}
