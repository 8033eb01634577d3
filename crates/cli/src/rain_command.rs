//! `rainworth rain`: the rain facts of one record, or the tables of a folder of records. It never resamples.

use crate::arguments::RainArguments;
use crate::failure::Failure;
use crate::{diagnostic_text, output, output_folder};
use anyhow::Context;
use assess::RainTableRule;
use indicatif::ProgressBar;
use ingest::{Reader, StationRecord, Wanted};
use rayon::prelude::*;
use serde::Serialize;
use series::{Diagnostics, Period};
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
    let mut of_file = Diagnostics::default();
    let result = Reader::new().read_file(&arguments.path, Wanted { temperatures: true }, &mut records);
    let failed = match result {
        Ok(summary) => {
            of_file.extend(summary.diagnostics);
            false
        }
        Err(error) => {
            of_file.push(error.diagnostic());
            true
        }
    };
    let stations: Vec<_> = records.iter().map(|record| assess::rain_record(record, rule)).collect();
    for list in records.iter().map(|record| &record.diagnostics).chain([&of_file]) {
        output::say(&diagnostic_text::brief(list));
    }
    if arguments.json {
        output::json(&Page { stations: &stations, diagnostics: &of_file })?;
    } else {
        for station in &stations {
            output::data(&report::terminal::rain(station))?;
        }
    }
    Ok(if failed { ExitCode::FAILURE } else { ExitCode::SUCCESS })
}

/// What one file adds to the tables, or why it adds nothing.
struct Part {
    monthly: Vec<u8>,
    stations: Vec<u8>,
    count: usize,
    diagnostics: Diagnostics,
    failed: bool,
}

fn tables(arguments: &RainArguments, out: &Path, rule: RainTableRule) -> Result<ExitCode, Failure> {
    output_folder::check(out)?;
    let files = if arguments.path.is_dir() {
        ingest::station_files(&arguments.path).map_err(|error| Failure::Job(error.into()))?
    } else {
        vec![arguments.path.clone()]
    };
    let mut monthly = report::MONTHLY_HEAD.as_bytes().to_vec();
    let mut stations = report::stations_head().into_bytes();
    let mut diagnostics = Diagnostics::default();
    let (mut count, mut failed) = (0, 0);
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
            diagnostics.extend(part.diagnostics);
            count += part.count;
            failed += usize::from(part.failed);
        }
    }
    progress.finish_and_clear();
    output::say(&diagnostic_text::brief(&diagnostics));
    if count == 0 {
        return Err(Failure::Job(anyhow::anyhow!("no station with rain in {}; nothing was written", arguments.path.display())));
    }
    output_folder::write(out, &[("monthly.csv".to_owned(), monthly), ("stations.csv".to_owned(), stations)])?;
    output::say(&format!("{count} stations from {} files, {failed} files not read: {}\n", files.len(), out.display()));
    Ok(ExitCode::SUCCESS)
}

fn part(reader: &mut Reader, file: &Path, rule: RainTableRule) -> anyhow::Result<Part> {
    let mut part = Part { monthly: Vec::new(), stations: Vec::new(), count: 0, diagnostics: Diagnostics::default(), failed: false };
    let mut records: Vec<StationRecord> = Vec::new();
    match reader.read_file(file, Wanted::default(), &mut records) {
        Ok(summary) => part.diagnostics.extend(summary.diagnostics),
        Err(error) => {
            part.failed = true;
            part.diagnostics.push(error.diagnostic());
        }
    }
    for record in records {
        if let Some(tables) = assess::station_tables(&record.rain, rule) {
            part.monthly.append(&mut report::monthly_rows(&tables).context("monthly.csv")?);
            part.stations.append(&mut report::station_rows(&tables.row).context("stations.csv")?);
            part.count += 1;
        }
        part.diagnostics.extend(record.diagnostics);
    }
    Ok(part)
}
