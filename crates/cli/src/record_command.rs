//! `rainworth record`: what is in a record and what is wrong with it.

use crate::arguments::RecordArguments;
use crate::failure::{self, Failure};
use crate::today::today;
use crate::{archive_files, chosen_stations, diagnostic_text, output};
use assess::RecordSummary;
use ingest::StationList;
use serde::Serialize;
use series::{Diagnostics, Severity};
use std::path::Path;
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
    let files = archive_files::instead_of(&arguments.files, &arguments.folder)?;
    if let Some(folder) = files.iter().find(|path| path.is_dir()) {
        return Err(Failure::Call(folder_given(folder)));
    }
    let (mut records, mut read) = chosen_stations::read(&files, arguments.answers.wanted(), &arguments.station)?;
    if let Some(list) = &arguments.station_list {
        let list = archive_files::list_instead_of(list, &arguments.folder)?;
        let (stations, found) = StationList::read(&list).map_err(|error| Failure::Job(error.into()))?;
        read.diagnostics.extend(found);
        read.diagnostics.extend(stations.place(&list.display().to_string(), &mut records));
    }
    let of_files = &read.diagnostics;
    let list = records.len() > chosen_stations::MOST_PAGES && !arguments.json && arguments.station.is_empty();
    let worst = records.iter().filter_map(|record| record.diagnostics.worst()).chain(of_files.worst()).max();
    let of_records: Vec<&Diagnostics> = records.iter().map(|record| &record.diagnostics).collect();
    output::say(&diagnostic_text::of_records(&of_records, list));
    output::say(&diagnostic_text::text(of_files));
    let strict = (arguments.strict && worst >= Some(Severity::Warning)).then(|| failure::STRICT.to_owned());
    let fault = read.fault().or(strict);
    if list {
        output::data(&report::terminal::stations(&records))?;
        return Ok(failure::code(fault.as_deref()));
    }
    let summary = |record| RecordSummary::of(record, Some(today()), Some(assess::quality_of(record, &records)));
    let stations: Vec<RecordSummary> = records.iter().map(summary).collect();
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

/// What to do with a folder.
fn folder_given(folder: &Path) -> String {
    let shown = folder.display();
    let tables = format!("`rainworth rain {shown} --out DIR` makes tables over its stations");
    let files = ingest::look_through(folder).map(|folder| folder.files).unwrap_or_default();
    match files.first() {
        Some(first) => {
            let many = if files.len() == 1 { "one station file".to_owned() } else { format!("{} station files", files.len()) };
            format!("{shown} is a folder with {many}: name one, such as `rainworth record {}`; {tables}", first.display())
        }
        None => format!("{shown} is a folder without station files; name a station file"),
    }
}
