//! `rainworth rain`: the rain facts of records, or the tables of a folder of records. It never resamples.
//!
//! A station over several files is joined before anything else. A folder is read once, its stations worked file by file; only the
//! files of a station that was met in more than one are read again and joined.

use crate::arguments::RainArguments;
use crate::failure::{self, Failure};
use crate::output_folder::{self, Kind};
use crate::read_records::{FilesRead, read_records};
use crate::{diagnostic_text, output};
use anyhow::Context;
use assess::RainTableRule;
use indicatif::ProgressBar;
use ingest::{Reader, StationRecord, Wanted};
use rayon::prelude::*;
use serde::Serialize;
use series::{Diagnostic, Diagnostics, Period, Severity};
use stats::{MonthRule, NormalsRule, YearRule};
use std::collections::{BTreeSet, HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Files that are read before their rows are appended: enough to keep every core busy, little enough to stay small.
const BATCH: usize = 64;

/// Prints one record, or writes the tables of many.
pub(crate) fn run(arguments: &RainArguments) -> Result<ExitCode, Failure> {
    let rule = rule(arguments);
    let folder = arguments.paths.iter().find(|path| path.is_dir());
    match (&arguments.out, folder) {
        (_, Some(folder)) if arguments.paths.len() > 1 => {
            Err(Failure::Call(format!("{} is a folder: give it alone, or give files", folder.display())))
        }
        (Some(out), _) => tables(arguments, out, rule),
        (None, None) => page(arguments, rule),
        (None, Some(folder)) => {
            Err(Failure::Call(format!("{} is a folder: name one for the tables too, with --out DIR", folder.display())))
        }
    }
}

fn rule(arguments: &RainArguments) -> RainTableRule {
    RainTableRule {
        months: arguments.month_missing.map_or(MonthRule::Whole, MonthRule::AtMostMissing),
        years: arguments.year_days.map_or_else(YearRule::default, YearRule::AtLeastDays),
        normals: NormalsRule { required_share: arguments.normal_share, ..NormalsRule::default() },
        normals_period: arguments.normals.map(|(first, last)| Period::of_years(first, last)),
    }
}

#[derive(Serialize)]
struct Page<'a> {
    stations: &'a [assess::RainRecord],
    diagnostics: &'a Diagnostics,
}

fn page(arguments: &RainArguments, rule: RainTableRule) -> Result<ExitCode, Failure> {
    let mut records: Vec<StationRecord> = Vec::new();
    let read = read_records(&mut Reader::new(), &arguments.paths, Wanted { temperatures: true, ..Wanted::default() }, &mut records);
    let records = ingest::join(records);
    let stations: Vec<_> = records.iter().map(|record| assess::rain_record(record, rule)).collect();
    for list in records.iter().map(|record| &record.diagnostics).chain([&read.diagnostics]) {
        output::say(&diagnostic_text::brief(list));
    }
    let fault = read.fault();
    if arguments.json {
        failure::answer(&Page { stations: &stations, diagnostics: &read.diagnostics }, fault.as_deref())?;
    } else {
        for station in &stations {
            output::data(&report::terminal::rain(station, arguments.units.system()))?;
        }
    }
    Ok(failure::code(fault.as_deref()))
}

/// What was written, for `--json`.
#[derive(Serialize)]
struct Summary<'a> {
    /// Stations in the tables.
    stations: usize,
    files: usize,
    files_not_read: usize,
    out: String,
    diagnostics: &'a Diagnostics,
}

/// Whose record it is: station id and format. Records that share it are one record.
type Key = (String, String);

/// What one station adds to the tables, or why it adds nothing.
struct Rows {
    key: Key,
    /// Which of the files.
    file: usize,
    monthly: Vec<u8>,
    station: Vec<u8>,
    left_out: Option<Diagnostic>,
    found: Diagnostics,
}

/// What one file adds to the tables.
struct Part {
    rows: Vec<Rows>,
    read: FilesRead,
}

fn tables(arguments: &RainArguments, out: &Path, rule: RainTableRule) -> Result<ExitCode, Failure> {
    output_folder::refuse_inputs_inside(out, &arguments.paths)?;
    output_folder::check(out, Kind::RainTables)?;
    let files = match arguments.paths.as_slice() {
        [folder] if folder.is_dir() => ingest::station_files(folder).map_err(|error| Failure::Job(error.into()))?,
        files => files.to_vec(),
    };
    output_folder::refuse_inputs_inside(out, &files)?;
    let mut read = FilesRead::default();
    let mut rows: Vec<Rows> = Vec::new();
    // Draws on standard error, and only if that is a terminal.
    let progress = ProgressBar::new(files.len() as u64);
    let numbered: Vec<(usize, &PathBuf)> = files.iter().enumerate().collect();
    for batch in numbered.chunks(BATCH) {
        let parts: Vec<anyhow::Result<Part>> =
            batch.par_iter().map_init(Reader::without_checksum, |reader, (number, file)| part(reader, *number, file, rule)).collect();
        progress.inc(batch.len() as u64);
        for part in parts {
            let part = part?;
            read.add(part.read);
            rows.extend(part.rows);
        }
    }
    progress.finish_and_clear();
    if read.not_read == read.files {
        let given = arguments.paths.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().join(", ");
        let error = match read.fault() {
            Some(fault) => anyhow::anyhow!("{fault} ({given}); nothing was written"),
            None => anyhow::anyhow!("no station file in {given}; nothing was written"),
        };
        return Err(Failure::Job(error).with(read.diagnostics));
    }
    let rows = join_rows(rows, &files, rule)?;
    let mut monthly = report::MONTHLY_HEAD.as_bytes().to_vec();
    let mut stations = report::stations_head().into_bytes();
    let mut left_out = Diagnostics::default();
    let mut count = 0;
    for one in rows {
        monthly.extend_from_slice(&one.monthly);
        stations.extend_from_slice(&one.station);
        read.diagnostics.extend(one.found);
        match one.left_out {
            Some(why) => left_out.push(why),
            None => count += 1,
        }
    }
    output::say(&diagnostic_text::brief(&read.diagnostics));
    output::say(&diagnostic_text::each(&left_out));
    output_folder::write(out, Kind::RainTables, &[("monthly.csv".to_owned(), monthly), ("stations.csv".to_owned(), stations)])?;
    output::say(&format!("{count} stations from {} files, {} files not read: {}\n", read.files, read.not_read, out.display()));
    let fault = read.fault();
    if arguments.json {
        read.diagnostics.extend(left_out);
        let summary = Summary {
            stations: count,
            files: read.files,
            files_not_read: read.not_read,
            out: out.display().to_string(),
            diagnostics: &read.diagnostics,
        };
        failure::answer(&summary, fault.as_deref())?;
    }
    Ok(failure::code(fault.as_deref()))
}

fn part(reader: &mut Reader, number: usize, file: &Path, rule: RainTableRule) -> anyhow::Result<Part> {
    let mut records: Vec<StationRecord> = Vec::new();
    let read = read_records(reader, &[file], Wanted::default(), &mut records);
    let rows = records.into_iter().map(|record| rows_of(record, number, rule)).collect::<anyhow::Result<_>>()?;
    Ok(Part { rows, read })
}

fn key(record: &StationRecord) -> Key {
    (record.rain.station.id.clone(), record.rain.provenance.format.clone())
}

fn rows_of(record: StationRecord, file: usize, rule: RainTableRule) -> anyhow::Result<Rows> {
    let mut rows = Rows { key: key(&record), file, monthly: Vec::new(), station: Vec::new(), left_out: None, found: record.diagnostics };
    if let Some(tables) = assess::station_tables(&record.rain, rule) {
        rows.monthly = report::monthly_rows(&tables).context("monthly.csv")?;
        rows.station = report::station_rows(&tables.row).context("stations.csv")?;
    } else {
        let message = format!("station {} has no usable day of rain; expected at least one", record.rain.station.id);
        let finding = Diagnostic::new("station-without-rain", Severity::Note, message)
            .in_file(record.rain.provenance.file())
            .done("the station is left out of the tables");
        rows.left_out = Some(finding);
    }
    Ok(rows)
}

/// Stations that were met in several files take the rows of their joined record, where they were met first.
fn join_rows(rows: Vec<Rows>, files: &[PathBuf], rule: RainTableRule) -> anyhow::Result<Vec<Rows>> {
    let mut met: HashMap<&Key, usize> = HashMap::new();
    for one in rows.iter().filter(|one| !one.key.0.is_empty()) {
        *met.entry(&one.key).or_default() += 1;
    }
    let again: HashSet<Key> = met.into_iter().filter(|(_, times)| *times > 1).map(|(key, _)| key.clone()).collect();
    if again.is_empty() {
        return Ok(rows);
    }
    let concerned: BTreeSet<usize> = rows.iter().filter(|one| again.contains(&one.key)).map(|one| one.file).collect();
    let mut records: Vec<StationRecord> = Vec::new();
    let mut sink = |record: StationRecord| {
        if again.contains(&key(&record)) {
            records.push(record);
        }
    };
    let concerned: Vec<&PathBuf> = concerned.into_iter().filter_map(|number| files.get(number)).collect();
    // Whatever is wrong with a file was told when it was read first.
    read_records(&mut Reader::without_checksum(), &concerned, Wanted::default(), &mut sink);
    let mut joined: HashMap<Key, Rows> = HashMap::new();
    for record in ingest::join(records) {
        joined.insert(key(&record), rows_of(record, 0, rule)?);
    }
    Ok(rows.into_iter().filter_map(|one| if again.contains(&one.key) { joined.remove(&one.key) } else { Some(one) }).collect())
}
