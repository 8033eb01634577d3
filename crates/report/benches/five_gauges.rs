//! What four gauges more cost: the whole job beyond reading, with five records of a hundred years and with one, processor time and wall, best
//! of seven, beside the limit that the issue sets.
//!
//! `cargo bench -p report --bench five_gauges`. The records are two invented skies of the sample valley, one after the other. Prints a table;
//! nothing here fails on a slow machine.

#![allow(clippy::print_stdout)] // a bench prints what it measured

use assess::{Assessment, Inputs, assess};
use ingest::StationRecord;
use report::ReportOptions;
use series::{DailySeries, DailyTemperature, Day, Diagnostics, Reading, Station};
use site::site_file::{self, SiteFile};
use std::path::Path;
use std::time::Instant;
use testkit::cpu_time::best_and_worst;
use testkit::valley::clean_rain;

/// Five gauges over one (the issue, "Speed").
const LIMIT: f64 = 1.3;
const RUNS: usize = 7;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data/nursery.toml");
    // The whole record, and the gauge in the meadow as the sample names it; no frost, since the invented skies have no temperatures.
    let text = std::fs::read_to_string(path)?.replace("period = \"1981-2024\"\n", "").replace("frost = true", "frost = false");
    let site = site_file::parse(&text, "sample").map(|(site, _)| site).map_err(|found| format!("{found:?}"))?;
    let five = hundred_years()?;
    let one = &five[..1];
    let job = |records: &[StationRecord]| {
        let assessment = assessment(&site, records);
        assessment.map(|assessment| report::files(&assessment, &ReportOptions::default()).map(|made| made.files.len()))
    };
    println!("{:<34} {:>9} {:>9} {:>9} {:>9}", "work", "one ms", "five ms", "ratio", "limit");
    let row = |work: &str, one: f64, five: f64| {
        println!("{work:<34} {:>9.1} {:>9.1} {:>9.2} {LIMIT:>9.1}", one * 1e3, five * 1e3, five / one);
    };
    row(
        "assessment, processor time",
        best_and_worst(RUNS, || assessment(&site, one)).0,
        best_and_worst(RUNS, || assessment(&site, &five)).0,
    );
    row("assessment and report, processor time", best_and_worst(RUNS, || job(one)).0, best_and_worst(RUNS, || job(&five)).0);
    row("assessment and report, wall", best_wall(|| job(one)), best_wall(|| job(&five)));
    Ok(())
}

fn best_wall<T>(mut work: impl FnMut() -> T) -> f64 {
    let times = (0..RUNS).map(|_| {
        let start = Instant::now();
        std::hint::black_box(work());
        start.elapsed().as_secs_f64()
    });
    times.fold(f64::INFINITY, f64::min)
}

fn assessment(site: &SiteFile, records: &[StationRecord]) -> Result<Assessment, assess::Error> {
    let prepared_on = Day::first_of_year(2026);
    assess(Inputs { site, records, diagnostics: &Diagnostics::default(), prepared_on })
}

/// The five gauges over two skies, one after the other.
fn hundred_years() -> Result<Vec<StationRecord>, Box<dyn std::error::Error>> {
    let skies = [clean_rain(101), clean_rain(102)];
    let last = Day::last_of_year(2024);
    let records = (0..5).map(|gauge| {
        let readings: Vec<Reading> =
            skies.iter().flat_map(|sky| &sky[gauge].tenths).map(|tenths| Reading::measured(tenths * 100)).collect();
        let clean = &skies[0][gauge];
        let mut station = Station::named_only(clean.id);
        (station.latitude, station.longitude) = (Some(clean.position.0), Some(clean.position.1));
        let first = last.plus(1 - i32::try_from(readings.len())?);
        let mut rain = DailySeries::new(station, first, readings);
        clean.id.clone_into(&mut rain.provenance.format);
        Ok(StationRecord { rain, temperature: DailyTemperature::new(), diagnostics: Diagnostics::default() })
    });
    records.collect()
}
