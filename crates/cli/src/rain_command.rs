//! `rainworth rain`: the rain facts of records, or the tables of a folder of records. It never resamples.
//!
//! A station over several files is joined before anything else. The tables of a folder are written by `rain_tables.rs`.

use crate::arguments::RainArguments;
use crate::failure::{self, Failure};
use crate::{archive_files, chosen_stations, diagnostic_text, output, rain_tables};
use assess::RainTableRule;
use serde::Serialize;
use series::{Diagnostics, Period};
use stats::{MonthRule, NormalsRule, YearRule};
use std::process::ExitCode;

/// Prints one record, or writes the tables of many.
pub(crate) fn run(mut arguments: RainArguments) -> Result<ExitCode, Failure> {
    arguments.paths = archive_files::instead_of(&arguments.paths, &arguments.folder)?;
    let arguments = &arguments;
    let rule = rule(arguments);
    let folder = arguments.paths.iter().find(|path| path.is_dir());
    match (&arguments.out, folder) {
        (Some(_), _) if !arguments.station.is_empty() => {
            Err(Failure::Call("--station chooses the stations of a printed page: leave it out with --out, or leave --out out".to_owned()))
        }
        (_, Some(folder)) if arguments.paths.len() > 1 => {
            Err(Failure::Call(format!("{} is a folder: give it alone, or give files", folder.display())))
        }
        (Some(out), _) => rain_tables::write(arguments, out, rule),
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
    let (records, read) = chosen_stations::read(&arguments.paths, arguments.answers.wanted(), &arguments.station)?;
    let list = records.len() > chosen_stations::MOST_PAGES && !arguments.json && arguments.station.is_empty();
    match records.as_slice() {
        [one] => output::say(&diagnostic_text::brief(&one.diagnostics)),
        many => output::say(&diagnostic_text::of_records(&many.iter().map(|record| &record.diagnostics).collect::<Vec<_>>(), list)),
    }
    output::say(&diagnostic_text::brief(&read.diagnostics));
    let fault = read.fault();
    if list {
        output::data(&report::terminal::stations(&records))?;
        return Ok(failure::code(fault.as_deref()));
    }
    let stations: Vec<_> = records.iter().map(|record| assess::rain_record(record, rule)).collect();
    if arguments.json {
        failure::answer(&Page { stations: &stations, diagnostics: &read.diagnostics }, fault.as_deref())?;
    } else {
        for station in &stations {
            output::data(&report::terminal::rain(station, arguments.units.system()))?;
        }
    }
    Ok(failure::code(fault.as_deref()))
}
