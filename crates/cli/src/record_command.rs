//! `rainworth record`: what is in a record and what is wrong with it.

use crate::arguments::RecordArguments;
use crate::failure::Failure;
use crate::{diagnostic_text, output};
use assess::RecordSummary;
use ingest::{Reader, StationRecord, Wanted};
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

/// Reads each file and prints what it holds.
pub(crate) fn run(arguments: &RecordArguments) -> Result<ExitCode, Failure> {
    let mut reader = Reader::new();
    let mut stations: Vec<RecordSummary> = Vec::new();
    let mut of_files = Diagnostics::default();
    let mut failed = false;
    for file in &arguments.files {
        let mut records: Vec<StationRecord> = Vec::new();
        match reader.read_file(file, Wanted { temperatures: true }, &mut records) {
            Ok(summary) => of_files.extend(summary.diagnostics),
            Err(error) => {
                failed = true;
                of_files.push(error.diagnostic());
            }
        }
        stations.extend(records.iter().map(RecordSummary::of));
    }
    let worst = stations.iter().filter_map(|station| station.diagnostics.worst()).chain(of_files.worst()).max();
    for list in stations.iter().map(|station| &station.diagnostics).chain([&of_files]) {
        output::say(&diagnostic_text::text(list));
    }
    if arguments.json {
        match stations.as_slice() {
            [one] if of_files.is_empty() => output::json(one)?,
            _ => output::json(&Everything { stations: &stations, diagnostics: &of_files })?,
        }
    } else {
        for station in &stations {
            output::data(&report::terminal::record(station))?;
        }
    }
    let strict = arguments.strict && worst >= Some(Severity::Warning);
    Ok(if failed || strict { ExitCode::FAILURE } else { ExitCode::SUCCESS })
}
