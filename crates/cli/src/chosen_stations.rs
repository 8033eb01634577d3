//! Which stations of the files are meant: `--station ID`, and what is shown where there are too many for a page each.

use crate::failure::Failure;
use crate::read_records::{FilesRead, read_records};
use ingest::{Reader, StationRecord, Wanted};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Stations that get a page each; of more the list is printed (our choice: a few pages can be read, and a folder of ten files was meant so).
pub(crate) const MOST_PAGES: usize = 10;

/// Ids that a message offers.
const OFFERED: usize = 5;

/// Reads the files, joins those of one station, and gives the stations chosen, or all when none is named.
pub(crate) fn read(files: &[PathBuf], wanted: Wanted, chosen: &[String]) -> Result<(Vec<StationRecord>, FilesRead), Failure> {
    let (mut records, mut others) = (Vec::new(), BTreeSet::new());
    let mut sink = |record: StationRecord| {
        let id = &record.rain.station.id;
        if chosen.is_empty() || chosen.iter().any(|one| one.eq_ignore_ascii_case(id)) {
            records.push(record);
        } else {
            others.insert(id.clone());
        }
    };
    let read = read_records(&mut Reader::new(), files, wanted, &mut sink);
    let has = |one: &&String| records.iter().any(|record: &StationRecord| record.rain.station.id.eq_ignore_ascii_case(one));
    // Of files that could not be read nobody knows what stations they hold: that is told as their fault.
    match chosen.iter().find(|one| !has(one)) {
        Some(absent) if read.is_whole() => Err(Failure::Call(none_of_that_id(absent, others, &records))),
        _ => Ok((ingest::join(records), read)),
    }
}

fn none_of_that_id(absent: &str, mut ids: BTreeSet<String>, records: &[StationRecord]) -> String {
    ids.extend(records.iter().map(|record| record.rain.station.id.clone()));
    let wanted = absent.to_lowercase();
    let mut near: Vec<(f64, &String)> =
        ids.iter().map(|id| (strsim::normalized_damerau_levenshtein(&wanted, &id.to_lowercase()), id)).collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let offered: Vec<&str> = near.iter().take(OFFERED).map(|(_, id)| id.as_str()).collect();
    let what = if ids.len() > offered.len() { "the nearest of" } else { "all of" };
    format!("no station {absent:?} in the files; {what} {} there: {}", ids.len(), offered.join(", "))
}
