//! The daily tables of NCEI against real files, counted by a separate reader from the formats' descriptions.
//!
//! Expected values: `MANIFEST.md` beside the records (the folder that RAINWORTH_DATA names): its tables of files, of traps and of pairs.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{StationRecord, Wanted, read_file};
use series::{DailySeries, Day, DayDefinition, DayLabel, Kind, MultiDayTotal};
use std::path::Path;
use testkit::data_dir;

fn station(folder: &Path, path: &str) -> StationRecord {
    let mut records = Vec::new();
    let summary = read_file(&folder.join(path), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    assert_eq!((summary.stations, records.len()), (1, 1), "{path}");
    assert!(summary.diagnostics.is_empty(), "{:?}", summary.diagnostics);
    records.pop().unwrap()
}

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// Days usable in both, those of them within `micrometres` of each other, and the days that are not.
fn agreement(one: &DailySeries, other: &DailySeries, micrometres: i64) -> (usize, usize, Vec<Day>) {
    let common: Vec<(Day, i64)> =
        one.days().filter_map(|(day, reading)| Some((day, reading.depth()? - other.reading(day).depth()?))).collect();
    let apart: Vec<Day> = common.iter().filter(|(_, by)| by.abs() > micrometres).map(|(day, _)| *day).collect();
    (common.len(), common.len() - apart.len(), apart)
}

#[test]
fn one_gauge_in_the_archive_and_in_an_order() {
    // MANIFEST, pairs: 22,101 common days; 22,100 within 0.06 mm; the other is 2018-09-25 (18.3 against 14.22), revised later.
    let Some(folder) = data_dir() else { return };
    let archive = station(&folder, "ghcnd-dly/USC00200230.dly").rain;
    let order = station(&folder, "cdo-csv/200230_1957-2018.csv");
    assert_eq!(agreement(&archive, &order.rain, 60), (22_101, 22_100, vec![day("2018-09-25")]));
    assert_eq!(archive.reading(day("2018-09-25")).depth(), Some(18_300));
    assert_eq!(order.rain.reading(day("2018-09-25")).depth(), Some(14_224));
    // MANIFEST, cdo-csv: MFLAG T:3118 P:8; blank prcp 13.
    let counts = order.rain.counts();
    assert_eq!((counts.trace, counts.presumed_zero), (3118, 8));
    assert_eq!((order.rain.station.id.as_str(), order.rain.station.name.as_str()), ("USC00200230", "ANN ARBOR U OF MICH, MI US"));
    assert_eq!(order.diagnostics.count("unit-recognised"), 1);
    // The times of observation stand in the attributes: counted with Python's csv, 1700 on 13,560 days from 1957-10-01 to 1995-05-09 and
    // 1800 on 8,545 days from 1995-05-10 to 2018-09-30.
    let changed = order.diagnostics.list.iter().find(|found| found.id == "observation-hour-changed").unwrap();
    assert!(changed.message.contains("17:00 from 1957-10-01 to 1995-05-09, 18:00 from 1995-05-10 to 2018-09-30"), "{}", changed.message);
    assert_eq!(order.rain.day_definition, DayDefinition { start_hour: None, label: DayLabel::LastDay });
}

#[test]
fn a_total_of_two_days_in_an_unquoted_order() {
    let Some(folder) = data_dir() else { return };
    let record = station(&folder, "cdo-csv/CachumaLake_NCDC_USC00041253.csv");
    // MANIFEST: MDPR 1 totals, 10.7 mm unflagged; days per total 2d:1.
    let totals: Vec<MultiDayTotal> = record.rain.multi_day_totals().collect();
    assert_eq!((totals.len(), totals[0].days, (totals[0].micrometres + 50) / 100), (1, Some(2), 107));
    assert!(record.temperature.days_with_mean() > 10_000);
    let warmest = (0..20_000).filter_map(|i| record.temperature.greatest(day("1960-01-01").plus(i))).fold(0.0, f64::max);
    assert!((30.0..55.0).contains(&warmest), "degrees Fahrenheit became Celsius: {warmest}");
}

#[test]
fn the_wettest_day_of_dubai_stands_without_a_flag() {
    // MANIFEST, traps: an unflagged 80.0 mm on a day of 44.7 degrees C; this export carries no flags, so a reader has none to go by.
    let Some(folder) = data_dir() else { return };
    let record = station(&folder, "cdo-csv/1039330.csv");
    assert_eq!(record.rain.greatest_day(), Some((day("2010-08-01"), 80_000)));
    assert_eq!(record.temperature.greatest(day("2010-08-01")), Some(44.7));
    assert_eq!(record.rain.station.id, "AEM00041194");
    let finding = record.diagnostics.list.iter().find(|finding| finding.id == "unit-recognised").unwrap();
    assert!(finding.message.contains("millimetres"), "{}", finding.message);
}

#[test]
fn the_traces_of_beijing_are_counted() {
    // MANIFEST, ncei-access: MFLAG T:2198.
    let Some(folder) = data_dir() else { return };
    let record = station(&folder, "ncei-access/CHM00054511.csv");
    assert_eq!(record.rain.counts().trace, 2198);
    assert_eq!((record.rain.station.name.as_str(), record.rain.station.position()), ("BEIJING, CH", Some((39.933, 116.283))));
    // The file's last line: TMAX 28.3 C on 2025-08-24.
    assert_eq!(record.temperature.greatest(day("2025-08-24")), Some(28.3));
}

#[test]
fn a_year_of_zeros_that_nobody_reported_holds_no_day() {
    let Some(folder) = data_dir() else { return };
    // MANIFEST, gsod: attributes G:325 blank:20 I:9 A:1; and I:262 in every row.
    let record = station(&folder, "gsod/01001099999.csv");
    assert_eq!((record.diagnostics.count("nothing-reported"), record.diagnostics.count("day-incomplete")), (9, 1));
    let rain = &record.rain;
    assert!(rain.readings().iter().all(|reading| matches!(reading.kind(), Kind::Measured | Kind::Missing)));
    let record = station(&folder, "gsod/01006099999.csv");
    assert_eq!((record.diagnostics.count("nothing-reported"), record.rain.counts().calendar), (262, 0));
}

#[test]
fn the_monthly_product_is_refused_by_its_name() {
    let Some(folder) = data_dir() else { return };
    let error = read_file(&folder.join("odd/gsom_USW00094728.csv"), Wanted::default(), &mut Vec::new()).unwrap_err();
    assert!(error.to_string().contains("the monthly product of NCEI"), "{error}");
}
