//! The reader against real station files, counted by a separate reader from the formats' descriptions.
//!
//! Expected values: `facts.json` and `MANIFEST.md` beside the records (the folder that RAINWORTH_DATA names); CHECKS H8.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{Inventory, StationList, StationRecord, Wanted, read_file};
use series::{Kind, MultiDayTotal, Reading, Rejection};
use std::collections::BTreeMap;
use std::path::Path;
use testkit::data_dir;

fn station(file: &Path) -> StationRecord {
    let mut records = Vec::new();
    let summary = read_file(file, Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    assert_eq!((summary.stations, records.len()), (1, 1), "{}", file.display());
    assert!(summary.diagnostics.is_empty(), "{:?}", summary.diagnostics);
    records.pop().unwrap()
}

#[test]
fn the_facts_of_every_ghcn_daily_file_are_met() {
    let Some(folder) = data_dir() else { return };
    let facts: serde_json::Value = serde_json::from_slice(&std::fs::read(folder.join("facts.json")).unwrap()).unwrap();
    let mut seen = 0;
    for fact in facts.as_array().unwrap() {
        let path = fact["path"].as_str().unwrap();
        if !path.starts_with("ghcnd-dly/") {
            continue;
        }
        seen += 1;
        let StationRecord { rain, diagnostics, .. } = station(&folder.join(path));
        assert_eq!(path, format!("ghcnd-dly/{}.dly", rain.station.id));
        let counts = rain.counts();
        if fact["expect"] == "none" {
            assert_eq!((rain.period(), counts.calendar), (None, 0), "{path}");
            assert_eq!(diagnostics.count("no-precipitation-element"), 1);
            continue;
        }
        let period = rain.period().unwrap();
        let (day, greatest) = rain.greatest_day().unwrap();
        // Depths of the file are tenths of a millimetre, so they are compared as such, exactly.
        let tenths = |value: &serde_json::Value| (value.as_f64().unwrap() * 10.0).round() as i64;
        assert_eq!(period.first.to_string(), fact["first_day"].as_str().unwrap(), "{path}");
        assert_eq!(period.last.to_string(), fact["last_day"].as_str().unwrap(), "{path}");
        assert_eq!(counts.usable() as u64, fact["usable"].as_u64().unwrap(), "{path}");
        assert_eq!((counts.calendar - counts.usable()) as u64, fact["missing"].as_u64().unwrap(), "{path}");
        assert_eq!(rain.total_micrometres(), tenths(&fact["total_mm"]) * 100, "{path}");
        assert_eq!(greatest, tenths(&fact["greatest_mm"]) * 100, "{path}");
        assert_eq!(day.to_string(), fact["greatest_date"].as_str().unwrap(), "{path}");
        assert_eq!(counts.calendar, counts.measured + counts.trace + counts.accumulated + counts.rejected + counts.missing, "{path}");
    }
    assert_eq!(seen, 11);
}

/// File, counts of the measurement flags T, P and B, counts of each quality flag.
type Flags = (&'static str, [usize; 3], &'static [(u8, usize)]);

#[test]
fn the_flags_of_every_ghcn_daily_file_are_counted() {
    let Some(folder) = data_dir() else { return };
    // MANIFEST.md, ghcnd-dly: file, MFLAG T, P, B, and the letters of QFLAG, all of PRCP.
    let expected: [Flags; 11] = [
        ("USW00094728", [4643, 0, 0], &[]),
        ("USC00200230", [6154, 350, 0], &[(b'G', 2), (b'I', 2)]),
        ("USC00053005", [5417, 1598, 0], &[(b'L', 1)]),
        ("USC00043761", [683, 5986, 0], &[(b'I', 1), (b'L', 2)]),
        ("USC00042319", [441, 7580, 0], &[]),
        ("UK000056225", [0, 0, 0], &[]),
        ("ASN00066062", [0, 0, 0], &[(b'L', 1)]),
        ("JA000047759", [2764, 0, 3460], &[(b'K', 13)]),
        ("RSM00030710", [5421, 0, 867], &[(b'D', 60), (b'O', 2)]),
        ("USC00411885", [0, 30, 0], &[]),
        ("USR0000OWIC", [0, 0, 0], &[]),
    ];
    for (id, [trace, presumed, parts], letters) in expected {
        let StationRecord { rain, diagnostics, .. } = station(&folder.join(format!("ghcnd-dly/{id}.dly")));
        let counts = rain.counts();
        // MANIFEST counts a flag where it stands, also on a value that was then rejected.
        let on_rejected = flags_on_rejected(&folder, id);
        assert_eq!(
            [counts.trace, counts.presumed_zero, counts.made_of_parts],
            [trace - on_rejected[0], presumed - on_rejected[1], parts - on_rejected[2]],
            "{id}"
        );
        let total: usize = letters.iter().map(|(_, count)| count).sum();
        assert_eq!(diagnostics.count("reading-flagged"), total, "{id}");
        // The letters: those of flagged totals, which stand on their own days, are counted apart.
        let mut found = BTreeMap::new();
        for reading in rain.readings() {
            if let Kind::Rejected(Rejection::QualityFlag(letter)) = reading.kind() {
                *found.entry(letter).or_insert(0) += 1;
            }
        }
        if diagnostics.count("total-flagged") > 0 {
            *found.get_mut(&b'L').unwrap() -= diagnostics.count("total-flagged");
        }
        assert_eq!(found.values().sum::<usize>() + rain.readings_outside(), total, "{id}: {found:?}");
        if rain.readings_outside() == 0 {
            assert_eq!(found.into_iter().collect::<Vec<_>>(), letters, "{id}");
        }
    }
}

/// How many values of PRCP bear T, P or B and a quality flag too: counted here from the text itself.
fn flags_on_rejected(folder: &Path, id: &str) -> [usize; 3] {
    let text = std::fs::read_to_string(folder.join(format!("ghcnd-dly/{id}.dly"))).unwrap();
    let groups = text.lines().filter(|line| &line[17..21] == "PRCP").flat_map(|line| (0..31).map(move |i| &line[21 + 8 * i..29 + 8 * i]));
    let rejected: Vec<&str> = groups.filter(|group| &group[6..7] != " ").collect();
    ["T", "P", "B"].map(|flag| rejected.iter().filter(|group| &group[5..6] == flag).count())
}

#[test]
fn the_multi_day_totals_of_happy_camp_are_kept_apart() {
    let Some(folder) = data_dir() else { return };
    let StationRecord { rain, diagnostics, .. } = station(&folder.join("ghcnd-dly/USC00043761.dly"));
    let totals: Vec<MultiDayTotal> = rain.multi_day_totals().collect();
    let (known, unknown): (Vec<&MultiDayTotal>, Vec<&MultiDayTotal>) = totals.iter().partition(|total| total.days.is_some());
    // CHECKS H8: 490 lie within one month, 1 crosses, 148 unflagged have no length.
    let within = known.iter().filter(|total| total.period().is_some_and(|p| p.first.month() == p.last.month())).count();
    assert_eq!((within, known.len() - within, unknown.len()), (490, 1, 148));
    // MANIFEST: 641 totals, 2 of them flagged L; 492 DAPR, 149 totals without one (148 and a flagged one); 16,963.9 mm unflagged.
    assert_eq!(totals.len() + diagnostics.count("total-flagged"), 641);
    assert_eq!(diagnostics.count("total-flagged"), 2);
    assert_eq!(diagnostics.count("total-of-unknown-length"), 148);
    assert_eq!(totals.iter().map(|total| total.micrometres).sum::<i64>(), 16_963_900);
    // MANIFEST: 2d:114 3d:302 4d:60 5d:9 6d:1 7d:1 8d:3 10d:2, one of them (3 days, 2011-08-26) flagged L.
    let mut lengths = BTreeMap::new();
    for total in &known {
        *lengths.entry(total.days.unwrap()).or_insert(0) += 1;
    }
    assert_eq!(lengths.into_iter().collect::<Vec<_>>(), [(2, 114), (3, 301), (4, 60), (5, 9), (6, 1), (7, 1), (8, 3), (10, 2)]);
    let largest = totals.iter().max_by_key(|total| total.micrometres).unwrap();
    assert_eq!((largest.last.to_string().as_str(), largest.days, largest.micrometres), ("1996-12-09", Some(3), 231_400));
    // Every known total holds its days: the last one and those before it that had no value.
    for total in known {
        let days = rain.within(total.period().unwrap());
        assert!(days.filter(|(day, _)| *day != total.last).all(|(_, reading)| reading == Reading::WITHIN_TOTAL));
    }
}

#[test]
fn a_total_that_is_itself_flagged_fills_nothing() {
    // MANIFEST, traps: ASN00066062, PRCP 5.4 on 2008-04-25, DAPR 2 and MDPR 0.4 on 2008-04-26, all three flagged L: both days missing.
    let Some(folder) = data_dir() else { return };
    let rain = station(&folder.join("ghcnd-dly/ASN00066062.dly")).rain;
    for (day, tenths) in [("2008-04-25", 54), ("2008-04-26", 4)] {
        let reading = rain.reading(day.parse().unwrap());
        assert_eq!(reading.kind(), Kind::Rejected(Rejection::QualityFlag(b'L')));
        assert_eq!(reading.stated_micrometres(), tenths * 100);
    }
}

#[test]
fn an_absurd_value_with_a_flag_is_rejected_and_can_be_found_in_the_file() {
    // MANIFEST, traps: USC00200230, 1286.3 mm on 1953-09-05, QFLAG G.
    let Some(folder) = data_dir() else { return };
    let path = folder.join("ghcnd-dly/USC00200230.dly");
    let StationRecord { rain, diagnostics, .. } = station(&path);
    let day = "1953-09-05".parse().unwrap();
    assert_eq!(rain.reading(day), Reading::rejected(1_286_300, Rejection::QualityFlag(b'G')));
    let series::Place { line, column, .. } = rain.provenance.place(day).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    assert_eq!(&text.lines().nth(line as usize - 1).unwrap()[column as usize - 1..][..7], "12863 G");
    let finding = diagnostics.list.iter().find(|finding| finding.message.contains("1953-09-05")).unwrap();
    assert_eq!((finding.line, finding.column), (Some(line), Some(column + 6)));
    assert_eq!(finding.message, "found 1286.3 mm on 1953-09-05 with the quality flag G (failed the gap check), expected no quality flag");
    // Every usable day has a place in the file, and its number stands there.
    let lines: Vec<&str> = text.lines().collect();
    for (day, reading) in rain.days().filter(|(_, reading)| reading.is_usable()) {
        let series::Place { line, column, .. } = rain.provenance.place(day).unwrap();
        let field: i64 = lines[line as usize - 1][column as usize - 1..][..5].trim().parse().unwrap();
        assert_eq!(field * 100, reading.stated_micrometres(), "{day}");
    }
    // The file's row in MANIFEST.md holds its checksum.
    assert!(std::fs::read_to_string(folder.join("MANIFEST.md")).unwrap().contains(rain.provenance.sha256()));
}

#[test]
fn the_station_list_and_the_inventory_read_whole() {
    let Some(folder) = data_dir() else { return };
    let meta = folder.join("ghcnd-meta");
    // The counts of lines are those of `wc -l`.
    let (list, found) = StationList::read(&meta.join("ghcnd-stations_gm.txt")).unwrap();
    assert!(found.is_empty());
    assert_eq!(list.len(), 1124);
    let place = list.get("GM000001474").unwrap();
    assert_eq!((place.name.as_str(), place.position(), place.elevation), ("BREMEN-SEEFAHRTSCHULE", Some((53.1017, 8.7842)), Some(4.0)));
    let (inventory, found) = Inventory::read(&meta.join("ghcnd-inventory_gm.txt")).unwrap();
    assert!(found.is_empty());
    assert_eq!(inventory.len(), 4807);
    let rain = inventory.get("GM000001153", "PRCP").unwrap();
    assert_eq!((rain.first_year, rain.last_year), (1891, 1991));
}

#[test]
fn files_of_other_products_are_refused() {
    let Some(folder) = data_dir() else { return };
    for (path, id) in [
        ("odd/gsom_USW00094728.csv", "file-is-another-product"),
        ("odd/broken-zip-archive.zip", "file-is-another-product"),
        ("odd/empty-zip-archive.zip", "file-empty"),
        ("odd/ACW00011604-checkpoint.csv", "file-empty"),
        ("ghcnd-meta/ghcnd-stations_gm.txt", "file-is-another-product"),
        ("ghcnd-meta/ghcnd-inventory_gm.txt", "file-is-another-product"),
    ] {
        let error = read_file(&folder.join(path), Wanted::default(), &mut Vec::new()).unwrap_err();
        assert_eq!(error.id(), id, "{error}");
        assert!(error.to_string().contains(path));
    }
}
