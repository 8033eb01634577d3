//! Records for the tests of this crate.

use ingest::{StationRecord, Wanted, read_bytes};
use testkit::DlyText;

/// The one record of a station file.
pub(crate) fn read(text: &DlyText) -> StationRecord {
    let mut records: Vec<StationRecord> = Vec::new();
    let wanted = Wanted { temperatures: true, ..Wanted::default() };
    read_bytes("a.dly", text.to_text().as_bytes(), wanted, &mut records).unwrap();
    records.pop().unwrap()
}
