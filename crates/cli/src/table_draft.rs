//! A table as it grows in a file: rows are appended as they come, and some may be changed at the end.

use anyhow::Context;
use std::fs::File;
use std::io::{BufReader, BufWriter, Read, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};

/// A table as it grows.
pub(crate) struct Draft {
    path: PathBuf,
    out: BufWriter<File>,
    length: u64,
}

impl Draft {
    pub(crate) fn new(path: &Path, head: &str) -> anyhow::Result<Self> {
        let file = File::create(path).with_context(|| format!("cannot write {}", path.display()))?;
        let mut draft = Self { path: path.to_owned(), out: BufWriter::with_capacity(1 << 18, file), length: 0 };
        draft.append(head.as_bytes())?;
        Ok(draft)
    }

    pub(crate) fn append(&mut self, rows: &[u8]) -> anyhow::Result<Range<u64>> {
        self.out.write_all(rows).with_context(|| format!("cannot write {}", self.path.display()))?;
        let from = self.length;
        self.length += rows.len() as u64;
        Ok(from..self.length)
    }

    /// Writes the table anew with other rows in the place of those in these ranges, which are in order; `change` makes the other rows of
    /// the old ones, none for rows that are to go.
    pub(crate) fn change<T>(
        &mut self,
        ranges: impl Iterator<Item = (Range<u64>, T)>,
        mut change: impl FnMut(&[u8], T) -> Vec<u8>,
    ) -> anyhow::Result<()> {
        let beside = self.path.with_extension("anew");
        let mut anew = Self::new(&beside, "")?;
        self.finish()?;
        let copied = File::open(&self.path).and_then(|whole| {
            let mut whole = BufReader::with_capacity(1 << 18, whole);
            let (mut at, mut rows) = (0, Vec::new());
            for (range, how) in ranges {
                anew.length += std::io::copy(&mut whole.by_ref().take(range.start - at), &mut anew.out)?;
                rows.resize((range.end - range.start) as usize, 0);
                whole.read_exact(&mut rows)?;
                let other = change(&rows, how);
                anew.out.write_all(&other)?;
                anew.length += other.len() as u64;
                at = range.end;
            }
            anew.length += std::io::copy(&mut whole, &mut anew.out)?;
            std::fs::rename(&beside, &self.path)
        });
        copied.with_context(|| format!("cannot write {}", self.path.display()))?;
        anew.path.clone_from(&self.path);
        *self = anew;
        Ok(())
    }

    pub(crate) fn finish(&mut self) -> anyhow::Result<()> {
        self.out.flush().with_context(|| format!("cannot write {}", self.path.display()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_changed_in_their_places() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("table.csv");
        let mut draft = Draft::new(&path, "head\n").unwrap();
        let ranges: Vec<_> = ["one\n", "two\n", "three\n"].map(|row| draft.append(row.as_bytes()).unwrap()).into();
        let changes = [(ranges[0].clone(), None), (ranges[1].clone(), Some("other "))];
        draft.change(changes.into_iter(), |rows, how| how.map(|how| [how.as_bytes(), rows].concat()).unwrap_or_default()).unwrap();
        assert_eq!(draft.append(b"four\n").unwrap(), 21..26);
        draft.finish().unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "head\nother two\nthree\nfour\n");
    }
}
