//! Readers of agencies around the world against real files: the flags and traps that MANIFEST.md beside them states.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{StationRecord, Wanted, read_file};
use series::{Day, Kind};
use std::path::Path;
use testkit::data_dir;

fn records(file: &Path) -> Vec<StationRecord> {
    let mut records = Vec::new();
    read_file(file, Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    records
}

fn station(file: &Path) -> StationRecord {
    let mut all = records(file);
    assert_eq!(all.len(), 1, "{}", file.display());
    all.pop().unwrap()
}

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// MANIFEST, eccc/: flags none, T and M of each file; the station's name in the file.
#[test]
fn canadian_flags_are_counted() {
    let Some(folder) = data_dir() else { return };
    for (file, name, measured, trace, missing) in [
        ("en_climate_daily_BC_1108395_2020_P1D.csv", "VANCOUVER INTL A", 341, 25, 0),
        ("en_climate_daily_NL_8403505_2020_P1D.csv", "ST. JOHN'S INTL A", 301, 61, 4),
        ("en_climate_daily_AB_3012209_2020_P1D.csv", "EDMONTON BLATCHFORD", 364, 0, 2),
    ] {
        let StationRecord { rain, temperature, .. } = station(&folder.join("eccc").join(file));
        let counts = rain.counts();
        assert_eq!((rain.station.name.as_str(), counts.measured, counts.trace, counts.missing), (name, measured, trace, missing));
        assert!(file.contains(&rain.station.id) && rain.station.position().is_some());
        assert!(temperature.greatest(day("2020-07-01")).is_some());
    }
}

/// MANIFEST, eccc/A1128551.DLY: flags T:839, E:9, C:1 and F:1; the C before the F is a trace, the F an estimate that is told.
#[test]
fn the_canadian_archive_file_keeps_its_flags_apart() {
    let Some(folder) = data_dir() else { return };
    let StationRecord { rain, diagnostics, .. } = station(&folder.join("eccc/A1128551.DLY"));
    let counts = rain.counts();
    assert_eq!((rain.station.id.as_str(), counts.trace, counts.estimated), ("1128551", 839 + 1, 9 + 1));
    assert_eq!((rain.reading(day("1990-12-30")).kind(), rain.reading(day("1990-12-31")).depth()), (Kind::Trace, Some(12_000)));
    assert_eq!((diagnostics.count("accumulated-and-estimated"), diagnostics.total()), (1, 1));
}

/// MANIFEST, meteo-france/: 29 stations, quality 1:10782 and 9:9, and the one station's own total and wettest day.
#[test]
fn a_french_department_is_read_station_by_station() {
    let Some(folder) = data_dir() else { return };
    let all = records(&folder.join("meteo-france/Q_34_latest-2024-2025_RR-T-Vent.csv.gz"));
    assert_eq!((all.len(), all.iter().map(|record| record.rain.counts().measured).sum::<usize>()), (29, 10_791));
    assert!(all.iter().all(|record| record.diagnostics.total() == 0));
    let one = all.iter().find(|record| record.rain.station.name == "ST MAURICE-NAVACELLE").unwrap();
    assert_eq!((one.rain.total_micrometres(), one.rain.counts().calendar), (1_698_700, 380));
    assert_eq!(one.rain.greatest_day(), Some((day("2024-03-09"), 156_600)));
}

/// MANIFEST, meteo-france/quotidiennes.csv: the other layout, two days of one station, decimal comma (10,4 and 0,0 in the file).
#[test]
fn a_french_order_is_read_with_its_decimal_comma() {
    let Some(folder) = data_dir() else { return };
    let StationRecord { rain, .. } = station(&folder.join("meteo-france/quotidiennes.csv"));
    assert_eq!((rain.station.id.as_str(), rain.counts().measured, rain.total_micrometres()), ("76116001", 2, 10_400));
}

/// MANIFEST, met-eireann/: rain indicators 0:7426 2:1801 3:1785 4:3 1:2 of the synoptic station; of the 2 and 3 those with 0.0 are traces
/// (1790 and 1757 lines of the file). The rain-only station has 762 codes other than 0, whose key is not at hand.
#[test]
fn irish_indicators_are_counted() {
    let Some(folder) = data_dir() else { return };
    let StationRecord { rain, diagnostics, temperature } = station(&folder.join("met-eireann/dly532.csv"));
    let counts = rain.counts();
    assert_eq!((counts.measured, counts.trace, counts.estimated, counts.made_of_parts), (7470, 1790 + 1757, 3, 1801 - 1790 + 1785 - 1757));
    assert_eq!((rain.station.id.as_str(), rain.station.name.as_str(), rain.station.elevation), ("532", "Dublin Airport", Some(71.0)));
    assert_eq!((diagnostics.total(), temperature.greatest(day("1986-01-01"))), (0, Some(6.7)));
    let StationRecord { rain, diagnostics, .. } = station(&folder.join("met-eireann/dly3704.csv"));
    assert_eq!(diagnostics.count("precipitation-flag-unknown"), 513 + 223 + 26);
    assert_eq!((rain.day_definition.start_hour, rain.station.position()), (Some(9), Some((51.9, -8.661))));
}

/// MANIFEST, smhi/: quality Y on 10217 days of Lund, two byte-order marks, four positions (the last one counts).
#[test]
fn swedish_files_are_read_behind_two_marks() {
    let Some(folder) = data_dir() else { return };
    let file = folder.join("smhi/smhi-opendata_5_53430_20251023_141246_rain_Lund.csv");
    let StationRecord { rain, diagnostics, .. } = station(&file);
    assert_eq!((rain.station.name.as_str(), rain.station.position()), ("Lund", Some((55.6932, 13.2251))));
    assert!(diagnostics.list.iter().any(|finding| finding.message.contains("10217 days")));
    // 06 UTC in the file; counted with Python's csv: 07 UTC on the days from 1863-01-01 to 1946-12-31, 06 UTC from 1947-01-01 on.
    assert_eq!(rain.day_definition.start_hour, Some(7));
    let hours = diagnostics.list.iter().find(|finding| finding.id == "day-begins-at-several-hours").unwrap();
    assert!(
        hours.message.contains("07 UTC on 30620 days") && hours.message.contains("06:00 from 1947-01-01 to 2025-06-30"),
        "{}",
        hours.message
    );
    assert!(hours.message.contains("07:00 from 1863-01-01 to 1946-12-31"), "{}", hours.message);
    let StationRecord { rain, .. } = station(&folder.join("smhi/smhi-opendata_5_116170_20250703_123715.csv"));
    assert_eq!((rain.station.name.as_str(), rain.reading(day("2017-08-04")).depth()), ("Söderala D", Some(130_300)));
}

/// MANIFEST, imgw/: status 9 in 1193 rows, blank in 8962; 590 gauges; names in code page 1250; the wettest day is of gauge 253150030.
#[test]
fn polish_gauges_are_read_without_a_heading() {
    let Some(folder) = data_dir() else { return };
    let all = records(&folder.join("imgw/o_d_01_2020.csv"));
    let sum = |count: fn(&series::DayCounts) -> usize| all.iter().map(|record| count(&record.rain.counts())).sum::<usize>();
    assert_eq!((all.len(), sum(|counts| counts.measured) + sum(|counts| counts.trace)), (590, 1193 + 8962));
    assert!(all.iter().any(|record| record.rain.station.name == "WISŁA WIELKA"));
    let one = all.iter().find(|record| record.rain.station.id == "253150030").unwrap();
    assert_eq!(one.rain.greatest_day(), Some((day("2020-01-28"), 38_200)));
}

/// MANIFEST, ana-hidroweb/: of 5,035 days on both levels 32 differ; level 2 first gives 20,739 days, 76,158.7 mm.
#[test]
fn of_two_brazilian_levels_the_consistent_one_stands() {
    let Some(folder) = data_dir() else { return };
    let StationRecord { rain, diagnostics, .. } = station(&folder.join("ana-hidroweb/chuvas_C_02345106.zip"));
    assert_eq!((rain.station.id.as_str(), rain.counts().usable(), rain.total_micrometres()), ("02345106", 20_739, 76_158_700));
    assert_eq!((diagnostics.count("second-report-differs"), rain.greatest_day()), (32, Some((day("1989-02-11"), 135_000))));
}

/// MANIFEST, atlas14/: 19 durations by 10 recurrence intervals, 57 rows in three tables, the 24-hr row in inches.
#[test]
fn the_atlas_table_of_ann_arbor_is_read() {
    let Some(folder) = data_dir() else { return };
    let file = folder.join("atlas14/AnnArbor_All_Depth_English_PDS.csv");
    let table = ingest::read_frequency_table(&file).unwrap();
    assert_eq!((table.rows.len(), table.return_periods.len()), (19, 10));
    assert!(table.rows.iter().all(|row| [&row.estimates, &row.upper, &row.lower].iter().all(|list| list.iter().flatten().count() == 10)));
    let inches = [2.10, 2.35, 2.82, 3.26, 3.93, 4.50, 5.11, 5.78, 6.74, 7.53];
    for (years, inches) in table.return_periods.iter().zip(inches) {
        assert!((table.estimate(1440.0, *years).unwrap() - inches * 25.4).abs() < 1e-9);
    }
    assert_eq!((table.kind, table.series), (ingest::FrequencyKind::Depth, ingest::FrequencySeries::PartialDuration));
    assert_eq!((table.station.as_str(), table.latitude, table.longitude), ("ANN ARBOR U OF MICH", Some(42.2919), Some(-83.7218)));
    assert_eq!(table.publication, "NOAA Atlas 14 Volume 8 Version 2");
    let error = read_file(&file, Wanted::default(), &mut Vec::new()).unwrap_err();
    assert!(error.to_string().contains("precipitation-frequency table"), "{error}");
}

/// Every file of the folder is claimed by at most one reader for certain.
#[test]
fn no_two_readers_claim_one_file() {
    let Some(folder) = data_dir() else { return };
    let facts: serde_json::Value = serde_json::from_slice(&std::fs::read(folder.join("facts.json")).unwrap()).unwrap();
    for fact in facts.as_array().unwrap() {
        let path = fact["path"].as_str().unwrap();
        let bytes = std::fs::read(folder.join(path)).unwrap();
        let head = &bytes[..bytes.len().min(1 << 16)];
        let sure = |format: &&ingest::formats::Format| (format.sniff)(head) == ingest::formats::Confidence::Certain;
        let claims: Vec<_> = ingest::formats::FORMATS.iter().filter(sure).map(|format| format.name).collect();
        assert!(claims.len() <= 1, "{path}: {claims:?}");
    }
}

/// The heads of the real files with bytes changed at fixed places: whatever comes of it, it is a record or an error.
#[test]
fn spoilt_bytes_are_a_record_or_an_error() {
    let Some(folder) = data_dir() else { return };
    for path in [
        "eccc/en_climate_daily_NL_8403505_2020_P1D.csv",
        "eccc/A1128551.DLY",
        "met-eireann/dly532.csv",
        "meteo-france/quotidiennes.csv",
        "smhi/smhi-opendata_5_116170_20250703_123715.csv",
        "imgw/o_d_01_2020.csv",
        "atlas14/AnnArbor_All_Depth_English_PDS.csv",
    ] {
        let whole = std::fs::read(folder.join(path)).unwrap();
        let head = &whole[..whole.len().min(6000)];
        let mut state = 1u32;
        for round in 0..200 {
            let mut bytes = head[..head.len() - round * 7 % head.len()].to_vec();
            for _ in 0..=round % 12 {
                // Numerical Recipes' linear congruence (from memory): only to spread the places.
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let at = (state >> 8) as usize % bytes.len();
                bytes[at] = [b'9', b'-', b';', b',', b'"', b'\n', 0xFF, b' '][(state >> 4) as usize % 8];
            }
            let _ = ingest::read_bytes(path, &bytes, Wanted { temperatures: true, ..Wanted::default() }, &mut Vec::new());
            let _ = ingest::frequency_table(path, &bytes);
        }
    }
}
