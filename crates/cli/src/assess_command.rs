//! `rainworth assess`: the whole job for one site. Files are opened here, and nowhere below `ingest`.

use crate::arguments::AssessArguments;
use crate::failure::Failure;
use crate::{diagnostic_text, output, output_folder};
use anyhow::Context;
use assess::{Inputs, assess};
use ingest::{Reader, StationList, StationRecord, Wanted};
use serde::Serialize;
use series::{Day, Diagnostic, Diagnostics, Severity};
use site::site_file::{self, RecordSource, SiteFile};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What a failed call prints with `--json`.
#[derive(Serialize)]
struct Failed<'a> {
    done: bool,
    error: &'a str,
    diagnostics: &'a Diagnostics,
}

/// Reads, assesses, writes the folder.
pub(crate) fn run(arguments: &AssessArguments) -> Result<ExitCode, Failure> {
    let mut diagnostics = Diagnostics::default();
    match job(arguments, &mut diagnostics) {
        Ok(()) if arguments.strict && diagnostics.worst() >= Some(Severity::Warning) => Ok(ExitCode::FAILURE),
        Ok(()) => Ok(ExitCode::SUCCESS),
        Err(Failure::Job(error)) => {
            output::say(&diagnostic_text::text(&diagnostics));
            let message = format!("{error:#}");
            output::say(&format!("error: {message}\n"));
            if arguments.json {
                output::json(&Failed { done: false, error: &message, diagnostics: &diagnostics })?;
            }
            Err(Failure::Said)
        }
        Err(other) => Err(other),
    }
}

fn job(arguments: &AssessArguments, diagnostics: &mut Diagnostics) -> Result<(), Failure> {
    output_folder::check(&arguments.out)?;
    let site = site(&arguments.site, diagnostics)?;
    let base = arguments.site.parent().map(Path::to_owned).unwrap_or_default();
    let mut records = records(&site, &base, diagnostics)?;
    if let Some(list) = &site.records.station_list {
        places(&base.join(list), &mut records, diagnostics)?;
    }
    // The findings of the record that leads come with it; those of the others are theirs.
    let prepared_on = arguments.prepared_on.or(site.site.prepared_on).unwrap_or_else(today);
    let assessment =
        assess(Inputs { site: &site, records: &records, diagnostics, prepared_on }).map_err(|error| Failure::Job(error.into()))?;
    let files = report::files(&assessment).context("the report could not be made")?;
    output_folder::write(&arguments.out, &files)?;
    output::say(&diagnostic_text::brief(&assessment.diagnostics));
    if arguments.json {
        let definitions = report::Definitions::load().map_err(|error| Failure::Job(error.into()))?;
        output::json(&report::report_json(&assessment, &definitions))?;
    }
    *diagnostics = assessment.diagnostics;
    output::say(&format!("report: {}\n", arguments.out.join("report.html").display()));
    Ok(())
}

fn site(path: &Path, diagnostics: &mut Diagnostics) -> Result<SiteFile, Failure> {
    let name = path.display().to_string();
    let bytes = std::fs::read(path).with_context(|| format!("the site file {name} cannot be read"))?;
    let text = String::from_utf8(bytes).with_context(|| format!("the site file {name} is not UTF-8 text"))?;
    match site_file::parse(&text, &name) {
        Ok((site, found)) => {
            diagnostics.extend(found);
            Ok(site)
        }
        Err(found) => {
            let faults = found.list.iter().filter(|diagnostic| diagnostic.severity == Severity::Error).count();
            diagnostics.extend(found);
            Err(Failure::Job(anyhow::anyhow!("the site file {name} has {faults} faults; nothing was written")))
        }
    }
}

fn records(site: &SiteFile, base: &Path, diagnostics: &mut Diagnostics) -> Result<Vec<StationRecord>, Failure> {
    let files: Vec<PathBuf> = match &site.records.source {
        RecordSource::Folder(folder) => ingest::station_files(&base.join(folder)).map_err(|error| Failure::Job(error.into()))?,
        RecordSource::Files(files) => files.iter().map(|file| base.join(file)).collect(),
    };
    let mut reader = Reader::new();
    let mut records = Vec::new();
    let mut unread = 0;
    for file in &files {
        match reader.read_file(file, Wanted { temperatures: true }, &mut records) {
            Ok(summary) => diagnostics.extend(summary.diagnostics),
            Err(error) => {
                unread += 1;
                diagnostics.push(error.diagnostic());
            }
        }
    }
    if records.is_empty() {
        return Err(Failure::Job(anyhow::anyhow!("none of the {} record files could be read; nothing was written", files.len())));
    }
    if unread > 0 && matches!(site.records.source, RecordSource::Files(_)) {
        return Err(Failure::Job(anyhow::anyhow!(
            "{unread} of the record files that the site file names could not be read; nothing was written"
        )));
    }
    Ok(records)
}

/// Gives each record the name, place and height that the station list has for it.
fn places(list: &Path, records: &mut [StationRecord], diagnostics: &mut Diagnostics) -> Result<(), Failure> {
    let (stations, found) = StationList::read(list).map_err(|error| Failure::Job(error.into()))?;
    diagnostics.extend(found);
    for record in records {
        match stations.get(&record.rain.station.id) {
            Some(station) => record.rain.station = station.clone(),
            None => diagnostics.push(
                Diagnostic::new(
                    "station-not-listed",
                    Severity::Warning,
                    format!("the station list has no station {:?}", record.rain.station.id),
                )
                .in_file(list.display().to_string())
                .done("the record is used; its distance and height are not known"),
            ),
        }
    }
    Ok(())
}

/// The one look at a clock: the day printed on a report whose date nobody gave.
fn today() -> Day {
    use chrono::Datelike;
    let now = chrono::Local::now().date_naive();
    Day::new(now.year(), now.month(), now.day()).unwrap_or_else(|| Day::first_of_year(now.year()))
}
