//! What a folder of records and a file of many stations give: rows that are told apart, what is passed over, the list of stations and the
//! choice of one, names that are not there. The records are invented.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used)]

mod program;

use program::{run, text};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use testkit::DlyText;

/// The rows of a table as a general-purpose library splits them, by the names of the columns.
fn rows(path: &Path) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

/// One year of 1 mm a day, as rows of GHCN-Daily by station.
fn by_station(id: &str) -> String {
    let first = series::Day::first_of_year(2001);
    let rows = (0..365).map(|day| format!("{id},{},PRCP,10,,,7,", first.plus(day).to_string().replace('-', "")));
    rows.collect::<Vec<_>>().join("\n") + "\n"
}

#[test]
fn one_gauge_in_two_formats_is_two_records_with_names_of_their_own() {
    let place = tempfile::tempdir().unwrap();
    let (folder, out) = (place.path().join("records"), place.path().join("out"));
    fs::create_dir(&folder).unwrap();
    let station = |id: &str| DlyText::new(id).rain_run_mm((2001, 1, 1), &[Some(2.0); 365]).to_text();
    fs::write(folder.join("a.dly"), station("XXT00000001")).unwrap();
    fs::write(folder.join("b.dly"), station("XXT00000002")).unwrap();
    fs::write(folder.join("c.csv"), by_station("XXT00000001")).unwrap();
    // A station in two files of one format, of which the rows written first are taken out.
    for (name, year) in [("d.dly", 2001), ("e.dly", 2002)] {
        fs::write(folder.join(name), DlyText::new("XXT00000003").rain_run_mm((year, 1, 1), &[Some(1.0); 365]).to_text()).unwrap();
    }
    let ran = run(&["rain", text(&folder), "--out", text(&out), "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let answer: Value = serde_json::from_str(&ran.stdout).unwrap();
    assert_eq!(answer["diagnostics"]["counts"]["station-in-several-records"], 1, "{answer:#}");
    assert!(ran.stderr.contains("2 records of station XXT00000001"), "{}", ran.stderr);
    let [monthly, stations, records] = ["monthly.csv", "stations.csv", "records.csv"].map(|table| rows(&out.join(table)));
    let dly = "XXT00000001 (GHCN-Daily station file)";
    let names = |rows: &[std::collections::BTreeMap<String, String>]| {
        let mut names: Vec<String> = rows.iter().map(|row| row["station"].clone()).collect();
        names.sort();
        names.dedup();
        names
    };
    let expected = [dly, "XXT00000001 (GHCN-Daily file of rows)", "XXT00000002", "XXT00000003"];
    let mut expected = expected.map(str::to_owned);
    expected.sort();
    assert_eq!((stations.len(), records.len()), (4, 4));
    assert!([&monthly, &stations, &records].into_iter().all(|table| names(table) == expected), "{:?}", names(&monthly));
    // 31 days of 2 mm are 620 tenths; of 1 mm in two years 12 months each.
    let january = monthly.iter().find(|row| row["station"] == dly && row["month"] == "1").unwrap();
    assert_eq!((january["tenths"].as_str(), january["n"].as_str()), ("620", "31"));
    let of = |name: &str| records.iter().find(|row| row["station"] == name).unwrap();
    let (one, two) = (of(dly), of("XXT00000003"));
    assert_eq!((one["id"].as_str(), one["format"].as_str(), one["extent"].as_str()), ("XXT00000001", "GHCN-Daily station file", "gauge"));
    assert_eq!((one["first_day"].as_str(), one["last_day"].as_str(), one["usable_days"].as_str()), ("2001-01-01", "2001-12-31", "365"));
    assert_eq!((one["normal_jan_mm"].as_str(), one["normal_jan_years"].as_str()), ("62.000000", "1"));
    assert_eq!((two["files"].as_str(), two["normal_feb_years"].as_str(), two["normals_last_year"].as_str()), ("2", "2", "2002"));
    assert_eq!(monthly.iter().filter(|row| row["station"] == "XXT00000003").count(), 24);
}

#[test]
fn a_station_in_two_files_has_each_finding_once_whatever_its_dates() {
    let place = tempfile::tempdir().unwrap();
    let (folder, out) = (place.path().join("records"), place.path().join("out"));
    fs::create_dir(&folder).unwrap();
    for (name, year) in [("a.dly", 2001), ("b.dly", 2002)] {
        let year_of_rain = DlyText::new("XXT00000003").rain_run_mm((year, 1, 1), &[Some(1.0); 365]);
        fs::write(folder.join(name), year_of_rain.flagged((year, 7, 1), "PRCP", 10, 'I').to_text()).unwrap();
    }
    // Rows in parts go through the temporary file: here with the last day that there can be.
    fs::write(folder.join("c.csv"), by_station("XXT00000004") + "XXT00000004,22991231,PRCP,10,,,7,\n").unwrap();
    let ran = run(&["rain", text(&folder), "--out", text(&out), "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let answer: Value = serde_json::from_str(&ran.stdout).unwrap();
    assert_eq!(answer["diagnostics"]["counts"]["reading-flagged"], 2, "{answer:#}");
    let records = rows(&out.join("records.csv"));
    let days = |id: &str| records.iter().find(|row| row["id"] == id).map(|row| (row["last_day"].clone(), row["usable_days"].clone()));
    assert_eq!(days("XXT00000003"), Some(("2002-12-31".to_owned(), "728".to_owned())));
    assert_eq!(days("XXT00000004"), Some(("2299-12-31".to_owned(), "366".to_owned())));
}

#[test]
fn what_a_folder_holds_beside_station_files_is_named() {
    let place = tempfile::tempdir().unwrap();
    let (folder, out) = (place.path().join("records"), place.path().join("out"));
    fs::create_dir_all(folder.join("older")).unwrap();
    fs::write(folder.join("a.dly"), DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &[Some(2.0); 365]).to_text()).unwrap();
    for number in 1..=7 {
        fs::write(folder.join(format!("notes{number}.txt")), "Invented records.\n").unwrap();
    }
    let ran = run(&["rain", text(&folder), "--out", text(&out), "--json"]);
    let answer: Value = serde_json::from_str(&ran.stdout).unwrap();
    assert_eq!((ran.code, answer["passed_over"].as_array().unwrap().len()), (0, 8), "{answer:#}");
    assert!(["older", "notes1.txt", "notes5.txt", "and 2 more"].iter().all(|words| ran.stderr.contains(words)), "{}", ran.stderr);
    assert!(!ran.stderr.contains("notes6.txt"), "{}", ran.stderr);
    // An archive that cannot be opened is no file to pass over.
    fs::write(folder.join("broken.zip"), "foobar\n").unwrap();
    let ran = run(&["rain", text(&folder), "--out", text(&out)]);
    assert!(
        ran.code == 1 && ran.stderr.contains("broken.zip") && ran.stderr.contains("1 record from 2 files, 1 file not read"),
        "{}",
        ran.stderr
    );
}

#[test]
fn many_stations_are_listed_and_one_is_chosen() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("1700.csv");
    // 900 stations of one day each, dated before all daily gauges, which is odd and told once.
    let lines: Vec<String> = (0..900).map(|n| format!("XXT{n:08},17000101,PRCP,10,,,7,")).collect();
    fs::write(&file, lines.join("\n") + "\n").unwrap();
    for command in ["record", "rain"] {
        let listed = run(&[command, text(&file)]);
        assert!(listed.code == 0 && listed.stdout.lines().count() < 24, "{}", listed.stdout);
        assert!(listed.stdout.contains("900 stations") && listed.stdout.contains("XXT00000000") && listed.stdout.contains("1700-01-01"));
        assert_eq!(listed.stderr.matches("found rain dated").count(), 1, "{}", listed.stderr);
        assert!(listed.stderr.contains("899 more of date-odd, in 900 stations"), "{}", listed.stderr);
        assert!(listed.stdout.lines().chain(listed.stderr.lines()).all(|line| line.chars().count() <= 200), "{}", listed.stderr);
        let chosen = run(&[command, text(&file), "--station", "xxt00000007", "--station", "XXT00000899"]);
        let heads: Vec<&str> = chosen.stdout.lines().filter(|line| line.starts_with("XXT")).collect();
        assert_eq!((chosen.code, heads), (0, vec!["XXT00000007", "XXT00000899"]), "{}", chosen.stderr);
        let absent = run(&[command, text(&file), "--station", "XXT0000090"]);
        assert!(absent.code == 2 && absent.stderr.contains("the nearest of 900"), "{}", absent.stderr);
    }
    let all: Value = serde_json::from_str(&run(&["record", "--json", text(&file)]).stdout).unwrap();
    assert_eq!(all["stations"].as_array().unwrap().len(), 900);
    let out = place.path().join("out");
    assert_eq!(run(&["rain", text(&file), "--station", "XXT00000007", "--out", text(&out)]).code, 2);
}

#[test]
fn what_was_rejected_behind_the_last_good_day_is_counted_apart() {
    let place = tempfile::tempdir().unwrap();
    let log = place.path().join("log.csv");
    // Two good days; then one that no reader knows, one below zero, one that was not read.
    fs::write(&log, "date,rain (mm)\n2024-03-01,-1\n2024-03-02,1\n2024-03-03,0\n2024-03-04,wet\n2024-03-05,-3\n2024-03-06,broken\n")
        .unwrap();
    let ran = run(&["record", "--json", text(&log)]);
    let answer: Value = serde_json::from_str(&ran.stdout).unwrap();
    assert_eq!((answer["last_day"].as_str(), answer["readings_outside"].as_u64()), (Some("2024-03-03"), Some(3)));
    assert_eq!((answer["rejected_before_first_day"].as_u64(), answer["rejected_after_last_day"].as_u64()), (Some(1), Some(2)));
    let page = run(&["record", text(&log)]).stdout;
    assert!(
        page.contains("record   2024-03-02 to 2024-03-03") && page.contains("2  of these: rejected after the last usable day"),
        "{page}"
    );
}

#[test]
fn a_folder_and_a_misspelt_name_are_answered_with_what_is_there() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("valley.dly"), DlyText::new("XXT00000001").rain_mm((2001, 1, 1), 2.0).to_text()).unwrap();
    let folder = run(&["record", text(place.path())]);
    assert!(folder.code == 2 && folder.stderr.contains("valley.dly") && folder.stderr.contains("rainworth rain"), "{}", folder.stderr);
    for command in ["record", "rain"] {
        let misspelt = run(&[command, text(&place.path().join("vally.dly"))]);
        assert!(misspelt.code == 1 && misspelt.stderr.contains("nearest name in that folder is \"valley.dly\""), "{}", misspelt.stderr);
        let nowhere = run(&[command, text(&place.path().join("none/valley.dly"))]);
        assert!(nowhere.code == 1 && nowhere.stderr.contains("none is not there"), "{}", nowhere.stderr);
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_pipe_is_read_like_a_file() {
    use std::io::Write;
    let mut child = Command::new(env!("CARGO_BIN_EXE_rainworth"))
        .args(["record", "--json", "/dev/stdin"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(by_station("XXT00000001").as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((answer["total_mm"].as_f64(), answer["days"]["measured"].as_u64()), (Some(365.0), Some(365)));
}
