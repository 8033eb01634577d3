//! Files to station records, one after the other: a file that cannot be read is a finding and is counted, and the others go on.

use crate::missing_file;
use ingest::{FileSummary, Reader, Sink, StationRecord, Wanted};
use series::{Diagnostic, Diagnostics};
use std::path::Path;

/// What was found in files, beside their stations.
#[derive(Debug, Default)]
pub(crate) struct FilesRead {
    /// Findings of files rather than of one station.
    pub(crate) diagnostics: Diagnostics,
    /// How many files could not be read at all.
    pub(crate) not_read: usize,
    /// How many could be read in part only: archives with members that could not.
    pub(crate) in_part: usize,
    /// How many files there were.
    pub(crate) files: usize,
}

impl FilesRead {
    /// The same of other files.
    pub(crate) fn add(&mut self, other: Self) {
        self.diagnostics.extend(other.diagnostics);
        self.not_read += other.not_read;
        self.in_part += other.in_part;
        self.files += other.files;
    }

    /// The fault in words; nothing when every file was read whole.
    pub(crate) fn fault(&self) -> Option<String> {
        let told = |count: usize, how: &str| match (count, self.files) {
            (0, _) => None,
            (1, 1) => Some(format!("the file could {how}")),
            (count, files) => Some(format!("{count} of {files} files could {how}")),
        };
        let faults = [told(self.not_read, "not be read"), told(self.in_part, "be read in part only")];
        let faults: Vec<String> = faults.into_iter().flatten().collect();
        (!faults.is_empty()).then(|| faults.join(", and "))
    }

    /// Whether every file was read, and read whole.
    pub(crate) fn is_whole(&self) -> bool {
        self.not_read == 0 && self.in_part == 0
    }
}

/// Hands on each station when the next one comes, so that the last one can still be added to.
struct Last<'a> {
    held: Option<StationRecord>,
    sink: &'a mut dyn Sink,
}

impl Sink for Last<'_> {
    fn station(&mut self, record: StationRecord) {
        if let Some(before) = self.held.replace(record) {
            self.sink.station(before);
        }
    }
}

/// Reads each file's stations into the sink. What is found in a file of one station is found in that station's record.
pub(crate) fn read_records<P: AsRef<Path>>(reader: &mut Reader, files: &[P], wanted: Wanted, sink: &mut dyn Sink) -> FilesRead {
    let mut read = FilesRead { files: files.len(), ..FilesRead::default() };
    for file in files {
        let mut last = Last { held: None, sink };
        let outcome = reader.read_file(file.as_ref(), wanted, &mut last);
        let held = last.held;
        read.in_part += usize::from(outcome.as_ref().is_ok_and(FileSummary::is_in_part));
        match outcome {
            Ok(summary) => match held {
                Some(mut only) if summary.stations == 1 => {
                    only.diagnostics.extend(summary.diagnostics);
                    sink.station(only);
                }
                held => {
                    if let Some(record) = held {
                        sink.station(record);
                    }
                    read.diagnostics.extend(summary.diagnostics);
                }
            },
            Err(error) => {
                if let Some(record) = held {
                    sink.station(record);
                }
                read.not_read += 1;
                let finding = missing_file::notes(file.as_ref()).into_iter().fold(error.diagnostic(), Diagnostic::note);
                read.diagnostics.push(finding);
            }
        }
    }
    read
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_not_there_costs_only_itself() {
        let place = tempfile::tempdir().unwrap();
        let good = place.path().join("good.dly");
        std::fs::write(&good, testkit::DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).to_text()).unwrap();
        let mut records: Vec<StationRecord> = Vec::new();
        let files = [place.path().join("gooood.dly"), good];
        let read = read_records(&mut Reader::new(), &files, Wanted::default(), &mut records);
        assert_eq!((records.len(), read.not_read, read.diagnostics.count("file-unreadable")), (1, 1, 1));
        assert_eq!(read.fault().as_deref(), Some("1 of 2 files could not be read"));
        assert_eq!(read.diagnostics.list[0].notes, ["the nearest name in that folder is \"good.dly\""]);
    }
    #[test]
    fn what_was_read_in_part_is_a_fault_in_words() {
        let fault = |not_read, in_part, files| FilesRead { not_read, in_part, files, ..FilesRead::default() }.fault();
        assert_eq!(fault(0, 0, 3), None);
        assert_eq!(fault(0, 1, 1).as_deref(), Some("the file could be read in part only"));
        assert_eq!(fault(2, 1, 3).as_deref(), Some("2 of 3 files could not be read, and 1 of 3 files could be read in part only"));
        assert!(!FilesRead { in_part: 1, files: 1, ..FilesRead::default() }.is_whole());
    }
}
