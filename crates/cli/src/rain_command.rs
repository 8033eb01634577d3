//! `rainworth rain`: the rain facts of one record, or the tables of a folder of records. It never resamples.

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
use std::path::Path;
use std::process::ExitCode;

/// Files that are read before their rows are appended: enough to keep every core busy, little enough to stay small.
const BATCH: usize = 64;

/// Prints one record, or writes the tables of many.
pub(crate) fn run(arguments: &RainArguments) -> Result<ExitCode, Failure> {
    let rule = rule(arguments);
    match (&arguments.out, arguments.path.is_dir()) {
        (Some(out), _) => tables(arguments, out, rule),
        (None, false) => page(arguments, rule),
        (None, true) => {
            Err(Failure::Call(format!("{} is a folder: name one for the tables too, with --out DIR", arguments.path.display())))
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
    let read = read_records(&mut Reader::new(), &[&arguments.path], Wanted { temperatures: true, ..Wanted::default() }, &mut records);
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

/// What one file adds to the tables, or why it adds nothing.
struct Part {
    monthly: Vec<u8>,
    stations: Vec<u8>,
    count: usize,
    read: FilesRead,
    left_out: Diagnostics,
}

fn tables(arguments: &RainArguments, out: &Path, rule: RainTableRule) -> Result<ExitCode, Failure> {
    output_folder::refuse_inputs_inside(out, &[&arguments.path])?;
    output_folder::check(out, Kind::RainTables)?;
    let files = if arguments.path.is_dir() {
        ingest::station_files(&arguments.path).map_err(|error| Failure::Job(error.into()))?
    } else {
        vec![arguments.path.clone()]
    };
    output_folder::refuse_inputs_inside(out, &files)?;
    let mut monthly = report::MONTHLY_HEAD.as_bytes().to_vec();
    let mut stations = report::stations_head().into_bytes();
    let mut read = FilesRead::default();
    let mut left_out = Diagnostics::default();
    let mut count = 0;
    // Draws on standard error, and only if that is a terminal.
    let progress = ProgressBar::new(files.len() as u64);
    for batch in files.chunks(BATCH) {
        let parts: Vec<anyhow::Result<Part>> =
            batch.par_iter().map_init(Reader::without_checksum, |reader, file| part(reader, file, rule)).collect();
        progress.inc(batch.len() as u64);
        for part in parts {
            let part = part?;
            monthly.extend_from_slice(&part.monthly);
            stations.extend_from_slice(&part.stations);
            read.diagnostics.extend(part.read.diagnostics);
            read.not_read += part.read.not_read;
            read.files += part.read.files;
            left_out.extend(part.left_out);
            count += part.count;
        }
    }
    progress.finish_and_clear();
    if read.not_read == read.files {
        let error = match read.fault() {
            Some(fault) => anyhow::anyhow!("{fault} ({}); nothing was written", arguments.path.display()),
            None => anyhow::anyhow!("no station file in {}; nothing was written", arguments.path.display()),
        };
        return Err(Failure::Job(error).with(read.diagnostics));
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

fn part(reader: &mut Reader, file: &Path, rule: RainTableRule) -> anyhow::Result<Part> {
    let mut records: Vec<StationRecord> = Vec::new();
    let read = read_records(reader, &[file], Wanted::default(), &mut records);
    let mut part = Part { monthly: Vec::new(), stations: Vec::new(), count: 0, read, left_out: Diagnostics::default() };
    for record in records {
        match assess::station_tables(&record.rain, rule) {
            Some(tables) => {
                part.monthly.append(&mut report::monthly_rows(&tables).context("monthly.csv")?);
                part.stations.append(&mut report::station_rows(&tables.row).context("stations.csv")?);
                part.count += 1;
            }
            None => part.left_out.push(
                Diagnostic::new(
                    "station-without-rain",
                    Severity::Note,
                    format!("station {} has no usable day of rain; expected at least one", record.rain.station.id),
                )
                .in_file(file.display().to_string())
                .done("the station is left out of the tables"),
            ),
        }
        part.read.diagnostics.extend(record.diagnostics);
    }
    Ok(part)
}
