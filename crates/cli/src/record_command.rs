//! `rainworth record`: what is in a record and what is wrong with it.

use crate::arguments::RecordArguments;
use crate::failure::{self, Failure};
use crate::read_records::read_records;
use crate::today::today;
use crate::{diagnostic_text, output};
use assess::RecordSummary;
use ingest::{Reader, StationRecord};
use serde::Serialize;
use series::{Diagnostics, Severity};
use std::process::ExitCode;

/// Several stations, or a file that could not be read.
#[derive(Serialize)]
struct Everything<'a> {
    stations: &'a [RecordSummary],
    /// Of files rather than of one station.
    diagnostics: &'a Diagnostics,
}

/// Reads the files, joins those of one station, and prints what they hold.
pub(crate) fn run(arguments: &RecordArguments) -> Result<ExitCode, Failure> {
    let mut records: Vec<StationRecord> = Vec::new();
    let read = read_records(&mut Reader::new(), &arguments.files, arguments.answers.wanted(), &mut records);
    let stations: Vec<RecordSummary> = ingest::join(records).iter().map(|record| RecordSummary::of(record, Some(today()))).collect();
    let of_files = &read.diagnostics;
    let worst = stations.iter().filter_map(|station| station.diagnostics.worst()).chain(of_files.worst()).max();
    for list in stations.iter().map(|station| &station.diagnostics).chain([of_files]) {
        output::say(&diagnostic_text::text(list));
    }
    let strict = (arguments.strict && worst >= Some(Severity::Warning)).then(|| failure::STRICT.to_owned());
    let fault = read.fault().or(strict);
    if arguments.json {
        match stations.as_slice() {
            [one] if of_files.is_empty() => failure::answer(one, fault.as_deref())?,
            _ => failure::answer(&Everything { stations: &stations, diagnostics: of_files }, fault.as_deref())?,
        }
    } else {
        for station in &stations {
            output::data(&report::terminal::record(station, arguments.units.system(), arguments.years))?;
        }
    }
    Ok(failure::code(fault.as_deref()))
}
