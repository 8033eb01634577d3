//! By-station and by-year files of GHCN-Daily against what MANIFEST.md (the folder that RAINWORTH_DATA names) counted in them.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{StationRecord, Wanted, read_bytes, read_file};
use series::{DayDefinition, DayLabel, Kind};
use std::collections::BTreeMap;
use std::path::Path;
use testkit::data_dir;

fn station(file: &Path) -> StationRecord {
    let mut records = Vec::new();
    read_file(file, Wanted::default(), &mut records).unwrap();
    assert_eq!(records.len(), 1);
    records.pop().unwrap()
}

#[test]
fn a_volunteer_gauge_has_its_many_totals() {
    let Some(folder) = data_dir() else { return };
    let record = station(&folder.join("ghcnd-by-station/US1MNWN0003.csv"));
    let totals: Vec<_> = record.rain.multi_day_totals().collect();
    // MANIFEST: 362 MDPR, 2272.2 mm; 367 DAPR, five of them without MDPR; one DAPR of 1 day, to 31 days; MFLAG T 180; QFLAG L 2.
    // Four of the 362 bear the flag L themselves (counted with awk).
    let outside: Vec<_> = record.rain.outside().iter().filter(|(_, reading)| matches!(reading.kind(), Kind::Accumulated { .. })).collect();
    assert_eq!((totals.len() + outside.len(), record.diagnostics.count("total-flagged")), (358, 4));
    assert_eq!(record.diagnostics.count("total-length-without-total"), 5);
    // The file's last lines of MDPR: 1.3, 26.2, 8.6, 26.9 and 1.3 mm after the last PRCP of 2024-11-11.
    let after = record.diagnostics.list.iter().find(|found| found.id == "totals-outside-the-record").unwrap();
    assert_eq!(
        after.message,
        "found 5 multi-day totals of 64.3 mm after the last single day, 2024-11-11 (ending on 2024-11-14, 2024-11-19, 2024-12-20, 2024-12-28, 2025-01-17); expected single days around each"
    );
    assert_eq!(record.rain.stated_totals().count(), 358);
    assert_eq!((record.rain.counts().trace, record.diagnostics.count("reading-flagged")), (180, 2));
    let mut lengths = BTreeMap::new();
    let days_of = |reading: &series::Reading| if let Kind::Accumulated { days } = reading.kind() { days } else { None };
    let days = totals.iter().filter_map(|total| total.days).chain(outside.iter().filter_map(|(_, total)| days_of(total)));
    days.for_each(|days| *lengths.entry(days).or_insert(0) += 1);
    assert_eq!(*lengths.keys().last().unwrap(), 31);
    let depth = totals.iter().map(|total| total.micrometres).sum::<i64>()
        + outside.iter().map(|(_, total)| total.stated_micrometres()).sum::<i64>();
    // MANIFEST's 2272.2 mm holds the four flagged ones (18.5 mm) too, as awk shows.
    assert_eq!(depth, 2_272_200 - 18_500);
}

#[test]
fn a_true_day_of_383_mm_is_kept() {
    // MANIFEST, traps: unflagged, and 290.8 mm at the neighbour.
    let Some(folder) = data_dir() else { return };
    let day = "2007-08-19".parse().unwrap();
    for (file, depth) in [("USC00213808", 383_500), ("USC00210146", 290_800)] {
        let record = station(&folder.join(format!("ghcnd-by-station/{file}.csv.gz")));
        assert_eq!((record.rain.station.id.as_str(), record.rain.reading(day).depth()), (file, Some(depth)));
    }
}

#[test]
fn a_year_of_the_world_gives_its_stations() {
    let Some(folder) = data_dir() else { return };
    let mut records: Vec<StationRecord> = Vec::new();
    let summary =
        read_file(&folder.join("ghcnd-by-year/1800.csv"), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    // MANIFEST: three stations, one with PRCP; 365 days each of TMAX and TMIN at two.
    assert_eq!(summary.stations, 3);
    let with_rain: Vec<_> =
        records.iter().filter(|record| record.rain.period().is_some()).map(|record| record.rain.station.id.as_str()).collect();
    assert_eq!(with_rain, ["GM000010962"]);
    // One of the two has flagged temperatures on 10 days of the year (counted with awk).
    let means: Vec<_> = records.iter().map(|record| (record.rain.station.id.as_str(), record.temperature.days_with_mean())).collect();
    assert_eq!(means, [("ITE00100554", 355), ("GM000010962", 0), ("EZE00100082", 365)]);
}

#[test]
fn australian_rain_of_1750_is_told_to_be_odd() {
    let Some(folder) = data_dir() else { return };
    let mut records: Vec<StationRecord> = Vec::new();
    read_file(&folder.join("odd/1750.csv.gz"), Wanted::default(), &mut records).unwrap();
    // MANIFEST: 240,801 values, 3,561 stations, 556,790.1 mm.
    let with_rain = records.iter().filter(|record| record.rain.counts().usable() > 0);
    assert_eq!(with_rain.clone().count(), 3561);
    assert!(with_rain.clone().all(|record| record.diagnostics.count("date-odd") == 1));
    assert_eq!(with_rain.map(|record| record.rain.total_micrometres()).sum::<i64>(), 556_790_100);
}

#[test]
fn the_hour_of_observation_gives_the_day() {
    let Some(folder) = data_dir() else { return };
    let path = folder.join("ghcnd-by-station/US1MNWN0003.csv");
    let text = std::fs::read_to_string(&path).unwrap();
    // The hours themselves, counted from the text.
    let hours: BTreeMap<&str, usize> = text.lines().filter(|line| line[21..].starts_with("PRCP")).fold(BTreeMap::new(), |mut all, line| {
        *all.entry(line.rsplit(',').next().unwrap()).or_insert(0) += 1;
        all
    });
    // 3,441 of 3,449 rows state 07:00, the others seven more hours: 99.76 %.
    assert_eq!((hours["0700"], hours.values().sum::<usize>()), (3441, 3449));
    let record = station(&path);
    assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::LastDay });
    let told = record.diagnostics.list.iter().find(|found| found.id == "observation-hour-as-a-rule").unwrap();
    assert!(told.message.contains("07:00 on 99.7 % of the readings"), "{}", told.message);
    // Counted with Python's csv: no hour until 1981, then 07:00, 08:00 in the years from 2000 to 2010, 07:00 again.
    let neighbour = station(&folder.join("ghcnd-by-station/USC00213808.csv.gz"));
    let told = neighbour.diagnostics.list.iter().find(|found| found.id == "observation-hour-changed").unwrap();
    assert!(told.message.contains("08:00 from 2000-04-01 to 2010-05-27"), "{}", told.message);
    assert_eq!(neighbour.rain.day_definition.start_hour, None);
    let same_hour = text.lines().filter(|line| line.ends_with(",0700")).collect::<Vec<_>>().join("\n");
    let mut records: Vec<StationRecord> = Vec::new();
    read_bytes("x", same_hour.as_bytes(), Wanted::default(), &mut records).unwrap();
    assert_eq!(records[0].rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::LastDay });
}
