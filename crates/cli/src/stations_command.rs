//! `rainworth stations`: who measures rain near a place.

use crate::arguments::Units;
use crate::failure::{self, Failure};
use crate::read_records::read_records;
use crate::stations_arguments::StationsArguments;
use crate::stations_source::Source;
use crate::{diagnostic_text, output, stations_source};
use anyhow::Context;
use ingest::catalogue::{Catalogue, HEIGHT_FACTOR, KM_OF_A_YEAR_MISSING, KM_OF_SILENCE, Nearby, Search};
use ingest::{Reader, StationRecord};
use report::terminal::{StationsSource, near_stations, place_in_words};
use serde::Serialize;
use series::{Diagnostics, UnitSystem};
use site::site_file;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What is printed with `--json`.
#[derive(Serialize)]
struct Answer<'a> {
    station_list: String,
    inventory: Option<String>,
    product: Option<&'a str>,
    rule: Rule,
    #[serde(flatten)]
    nearby: &'a Nearby,
    diagnostics: &'a Diagnostics,
}

/// The numbers of the counted distance.
#[derive(Serialize)]
struct Rule {
    source: &'static str,
    height_factor: f64,
    km_of_a_year_missing: f64,
    km_of_silence: f64,
}

const RULE: Rule = Rule {
    source: "house rule, no source",
    height_factor: HEIGHT_FACTOR,
    km_of_a_year_missing: KM_OF_A_YEAR_MISSING,
    km_of_silence: KM_OF_SILENCE,
};

/// Looks for the stations and prints them.
pub(crate) fn run(arguments: &StationsArguments) -> Result<ExitCode, Failure> {
    let mut diagnostics = Diagnostics::default();
    job(arguments, &mut diagnostics).map_err(|failure| failure.with(diagnostics))
}

fn job(arguments: &StationsArguments, diagnostics: &mut Diagnostics) -> Result<ExitCode, Failure> {
    let to_output = arguments.geojson.as_deref() == Some(Path::new("-"));
    if arguments.json && to_output {
        return Err(Failure::Call("--json and --geojson - both want standard output: give --geojson a file".to_owned()));
    }
    if let Some(file) = arguments.geojson.as_deref().filter(|file| !to_output && file.symlink_metadata().is_ok()) {
        return Err(Failure::Call(format!("{} is there already: name a new file for the GeoJSON", file.display())));
    }
    let (search, of_site) = search(arguments, diagnostics)?;
    let source = stations_source::find(arguments)?;
    let read = Catalogue::read(&source.list, source.inventory.as_deref());
    let (catalogue, found) = read.map_err(|error| Failure::Job(error.into()))?;
    diagnostics.extend(found);
    let (mut nearby, found) = catalogue.near(&search);
    diagnostics.extend(found);
    let source = source.with_product_of(&catalogue);
    let (records, not_read) = records(arguments, &source, &nearby, diagnostics)?;
    diagnostics.extend(nearby.take_records(&records));
    nearby.keep(usize::from(arguments.count));
    let fault = nobody(&nearby).or(not_read);
    output::say(&diagnostic_text::text(diagnostics));
    match &arguments.geojson {
        Some(_) if to_output => output::data(&report::stations_geojson(&nearby))?,
        Some(file) => write_new(file, &report::stations_geojson(&nearby))?,
        None => {}
    }
    if arguments.json {
        let answer = Answer {
            station_list: source.list.display().to_string(),
            inventory: source.inventory.as_ref().map(|path| path.display().to_string()),
            product: source.product.as_deref(),
            rule: RULE,
            nearby: &nearby,
            diagnostics,
        };
        failure::answer(&answer, fault.as_deref())?;
    } else if !to_output {
        let named = source.as_a_site_file_names_it();
        let units = arguments.units.map_or(of_site, Units::system);
        output::data(&near_stations(&nearby, StationsSource { list: &named, product: source.with_records() }, units))?;
    }
    Ok(failure::code(fault.as_deref()))
}

/// What is looked for, and the units of the site file.
fn search(arguments: &StationsArguments, diagnostics: &mut Diagnostics) -> Result<(Search, UnitSystem), Failure> {
    let elevation = arguments.elevation.map(series::Length::get);
    let within_km = arguments.within.get();
    if let Some(place) = arguments.near {
        let search = Search {
            latitude_degrees: place.latitude,
            longitude_degrees: place.longitude,
            elevation_m: elevation,
            years: arguments.years,
            within_km,
        };
        return Ok((search, UnitSystem::Metric));
    }
    // The call has one of the two.
    let path = arguments.site.clone().unwrap_or_default();
    let name = path.display().to_string();
    let bytes = std::fs::read(&path).with_context(|| format!("the site file {name} cannot be read"))?;
    let text = String::from_utf8(bytes).with_context(|| format!("the site file {name} is not UTF-8 text"))?;
    let (place, found) = site_file::parse_place(&text, &name).map_err(|found| {
        diagnostics.extend(found);
        Failure::Job(anyhow::anyhow!("the site file {name} does not tell where the site is"))
    })?;
    diagnostics.extend(found);
    let period = place.period.map(|period| (period.first.year(), period.last.year()));
    let search = Search {
        latitude_degrees: place.site.latitude,
        longitude_degrees: place.site.longitude,
        elevation_m: elevation.or(place.site.elevation.map(|typed| typed.value.get())),
        years: arguments.years.or(period),
        within_km,
    };
    Ok((search, place.site.units))
}

/// The records that are here already of the stations found, and a fault where a folder's file could not be read.
fn records(
    arguments: &StationsArguments,
    source: &Source,
    nearby: &Nearby,
    diagnostics: &mut Diagnostics,
) -> Result<(Vec<StationRecord>, Option<String>), Failure> {
    let lists = [&nearby.ranked, &nearby.without_wanted_years, &nearby.without_rain];
    let ids: BTreeSet<&str> = lists.into_iter().flatten().map(|one| one.station.id.as_str()).collect();
    let mut files: Vec<PathBuf> = source.archived(&arguments.folder, ids.iter().copied());
    if let Some(folder) = &arguments.records {
        files.extend(ingest::station_files(folder).map_err(|error| Failure::Job(error.into()))?);
    }
    let mut records: Vec<StationRecord> = Vec::new();
    let mut sink = |record: StationRecord| {
        if ids.contains(record.rain.station.id.as_str()) {
            records.push(record);
        }
    };
    let read = read_records(&mut Reader::new(), &files, arguments.answers.rain_alone(), &mut sink);
    let fault = read.fault();
    diagnostics.extend(read.diagnostics);
    Ok((ingest::join(records), fault))
}

/// The fault in words where no station is ranked.
fn nobody(nearby: &Nearby) -> Option<String> {
    let within = nearby.search.within_km;
    let years = nearby.wanted_years.map(|years| format!(" has rain in the years {} to {}", years.first, years.last)).unwrap_or_default();
    nearby.ranked.is_empty().then(|| format!("no station within {within} km of {}{years}", place_in_words(nearby.search.place())))
}

/// Writes a file that must not be there yet.
fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let written = std::fs::OpenOptions::new().write(true).create_new(true).open(path).and_then(|mut file| file.write_all(text.as_bytes()));
    written.with_context(|| format!("{} cannot be written", path.display()))?;
    output::say(&format!("map: {}\n", path.display()));
    Ok(())
}
