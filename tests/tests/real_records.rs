//! The command on real public station records, against facts that a separate reader computed (`facts.json` beside the records), and
//! whole assessments of two of them.
//!
//! Records: the folder that RAINWORTH_DATA names. The judgement is that of `check_facts.py` there, written again.

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use testkit::data_dir;
use tests::command::{rainworth, run};
use tests::folders::{text, with_file};
use tests::page::Page;
use tests::report::Report;

/// What is wrong with the command's answer about one file; empty when nothing is.
fn judge(folder: &Path, fact: &Value) -> Vec<String> {
    let ran = run(&["record", "--json", text(&folder.join(fact["path"].as_str().unwrap()))]);
    let expect = fact["expect"].as_str().unwrap();
    match expect {
        "any" => return Vec::new(),
        "refuse" if ran.code == 1 && !ran.stderr.trim().is_empty() => return Vec::new(),
        "refuse" => return vec![format!("not refused: exit {}", ran.code)],
        _ if ran.code != 0 => return vec![format!("exit {}: {}", ran.code, ran.stderr)],
        _ => {}
    }
    let answer = ran.json();
    let every = answer["stations"].as_array().cloned().unwrap_or_else(|| vec![answer.clone()]);
    let days = |station: &Value, kind: &str| station["days"][kind].as_u64().unwrap();
    let usable = |station: &Value| days(station, "measured") + days(station, "trace");
    let wet: Vec<&Value> = every.iter().filter(|station| usable(station) > 0).collect();
    let mut wrong = Vec::new();
    if expect == "none" {
        if !wet.is_empty() {
            wrong.push("days where there are none".to_owned());
        }
        return wrong;
    }
    assert_eq!(expect, "days", "GHCN-Daily station files hold one station each");
    if wet.len() != 1 {
        return vec![format!("{} stations", wet.len())];
    }
    let station = wet[0];
    let parts: u64 = ["measured", "trace", "accumulated", "rejected", "missing"].iter().map(|kind| days(station, kind)).sum();
    if parts != days(station, "calendar") {
        wrong.push("days do not add up to the calendar".to_owned());
    }
    let mut equal = |what: &str, found: String, want: String| {
        if found != want {
            wrong.push(format!("{what} {found}, want {want}"));
        }
    };
    equal("usable", usable(station).to_string(), fact["usable"].to_string());
    equal("other days", (days(station, "calendar") - usable(station)).to_string(), fact["missing"].to_string());
    for key in ["first_day", "last_day"] {
        equal(key, station[key].to_string(), fact[key].to_string());
    }
    equal("greatest on", station["greatest_day"]["date"].to_string(), fact["greatest_date"].to_string());
    // Depths of a .dly file are tenths of a millimetre, so they agree as such.
    let tenths = |value: &Value| (value.as_f64().unwrap() * 10.0).round().to_string();
    equal("total", tenths(&station["total_mm"]), tenths(&fact["total_mm"]));
    equal("greatest", tenths(&station["greatest_day"]["depth_mm"]), tenths(&fact["greatest_mm"]));
    wrong
}

#[test]
fn the_facts_of_every_station_file_are_met() {
    let Some(folder) = data_dir() else { return };
    let facts: Value = serde_json::from_slice(&fs::read(folder.join("facts.json")).unwrap()).unwrap();
    let ours: Vec<&Value> =
        facts.as_array().unwrap().iter().filter(|fact| fact["path"].as_str().unwrap().starts_with("ghcnd-dly/")).collect();
    assert_eq!(ours.len(), 11);
    for fact in ours {
        let wrong = judge(&folder, fact);
        assert!(wrong.is_empty(), "{}: {wrong:?}", fact["path"]);
    }
}

#[test]
fn the_checker_beside_the_records_finds_nothing_wrong() {
    let Some(folder) = data_dir() else { return };
    let mut python = Command::new("python3");
    python.arg(folder.join("check_facts.py")).arg(rainworth()).arg(&folder).arg("ghcnd-dly");
    let Ok(output) = python.stdin(Stdio::null()).output() else {
        eprintln!("skipped: there is no python3 for check_facts.py");
        return;
    };
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success() && said.contains("11 files, 0 wrong"), "{said}{}", String::from_utf8_lossy(&output.stderr));
}

/// A small site at a place, whose rain is one real record.
fn site(folder: &Path, id: &str, place: (f64, f64, f64), list: &Path) -> String {
    let (latitude, longitude, elevation) = place;
    format!(
        "format = 1\n[site]\nname = \"Test site beside {id}\"\nlatitude = {latitude}\nlongitude = {longitude}\nelevation = \"{elevation} m\"\n\
         units = \"metric\"\nlocale = \"en-GB\"\nprepared_on = 2026-11-02\n\
         [records]\nfiles = [\"{}\"]\nstation_list = \"{}\"\n\
         [[roof]]\nname = \"Roof\"\nplan_area = \"80 m2\"\ncovering = \"metal\"\n\
         [[store]]\nname = \"Tank\"\nnominal = \"3000 L\"\n\
         [[demand]]\nname = \"Garden\"\nper_day = \"120 L\"\n\
         [surroundings]\nbasement = false\nslope = false\ndownhill_neighbour = false\nfrost = true\n",
        folder.join(format!("ghcnd-dly/{id}.dly")).display(),
        list.display()
    )
}

#[test]
fn whole_assessments_of_two_real_records() {
    let Some(folder) = data_dir() else { return };
    // Places and heights as the archive's list of stations gives them; the layout is that of its readme, section IV.
    let stations =
        [("USC00053005", (40.6147, -105.1314, 1525.2), "FT COLLINS"), ("USW00094728", (40.7789, -73.9692, 42.7), "NEW YORK CNTRL PK TWR")];
    let lines: String = stations
        .iter()
        .map(|(id, (lat, lon, height), name)| format!("{id} {lat:8.4} {lon:9.4} {height:6.1}    {name:<30}              \n"))
        .collect();
    let (_keep, list) = with_file("ghcnd-stations.txt", lines);
    for (id, place, _) in stations {
        let (keep, file) = with_file("site.toml", site(&folder, id, place, &list));
        let out = keep.path().join("out");
        let ran = run(&["assess", text(&file), "--out", text(&out)]);
        assert_eq!(ran.code, 0, "{id}: {}", ran.stderr);
        let report = Report::read(&out);
        let page = Page::parse(&fs::read_to_string(out.join("report.html")).unwrap());
        for (fact, value) in page.facts() {
            report.holds(fact, value).unwrap();
        }
        assert!(page.facts().len() > 100);
        for (fact, whole) in report.facts() {
            let value = &whole["value"];
            let given = value["number"].as_f64().is_some_and(f64::is_finite) || value["date"].is_string() || value["withheld"].is_object();
            assert!(given, "{fact}: {value}");
        }
        // The site stands at its gauge.
        assert!(report.number("record.distance").unwrap() < 0.01, "{id}");
        assert!(report.number("store.reliability.volume").is_some_and(|share| share > 0.0 && share < 1.0), "{id}");
        // The record sheet agrees with the record.
        let facts: Value = serde_json::from_slice(&fs::read(folder.join("facts.json")).unwrap()).unwrap();
        let fact = facts.as_array().unwrap().iter().find(|fact| fact["path"] == format!("ghcnd-dly/{id}.dly")).unwrap();
        let number = |key: &str| report.number(&format!("record.{key}/station={id}")).or_else(|| report.number(&format!("record.{key}")));
        assert_eq!(number("measured").unwrap() + number("trace").unwrap(), fact["usable"].as_f64().unwrap(), "{id}");
    }
}

/// The record's sheet against MANIFEST.md, "The files" and "Traps that these files hold".
#[test]
fn the_sheets_of_real_records_say_what_the_manifest_does() {
    let Some(folder) = data_dir() else { return };
    let sheet = |path: &str| run(&["record", "--json", text(&folder.join(path))]).json();
    // USC00043761: 32,134 usable, 6,062 others; MDPR with DAPR by length 2d:114 3d:302 4d:60 5d:9 6d:1 7d:1 8d:3 10d:2 (flagged ones
    // among them: the two flagged totals are rejected, one of 3 days and one without length); the largest 231.4 mm over 3 days.
    let happy_camp = sheet("ghcnd-dly/USC00043761.dly");
    let by_year = happy_camp["by_year"].as_array().unwrap();
    let sum = |kind: &str| by_year.iter().map(|year| year["days"][kind].as_u64().unwrap()).sum::<u64>();
    assert_eq!((by_year.len(), sum("measured") + sum("trace")), (105, 32_134));
    assert_eq!(sum("missing") + sum("rejected") + sum("accumulated"), 6_062);
    let total: f64 = by_year.iter().map(|year| year["total_mm"].as_f64().unwrap()).sum();
    assert!((total - 110_399.9).abs() < 0.06, "{total}");
    for (days, count) in [("2", 114), ("4", 60), ("5", 9), ("6", 1), ("7", 1), ("10", 2)] {
        assert_eq!(happy_camp["totals_by_length"][days], count, "{days} days");
    }
    let largest = &happy_camp["largest_total"];
    assert_eq!((&largest["days"], &largest["last"], &largest["depth_mm"]), (&3.into(), &"1996-12-09".into(), &231.4.into()));
    assert_eq!(happy_camp["longest_total"]["days"], 10);
    let flags: Vec<&str> = happy_camp["flags"].as_array().unwrap().iter().map(|flag| flag["letter"].as_str().unwrap()).collect();
    assert_eq!(flags, ["I", "L"]);
    // USC00213808: 16,624 days from the first to the last usable one without a value of their own.
    let hokah = sheet("ghcnd-by-station/USC00213808.csv.gz");
    let days = |kind: &str| hokah["days"][kind].as_u64().unwrap();
    assert_eq!(days("missing") + days("rejected") + days("accumulated"), 16_624);
    let know = |answer: &Value| -> Vec<String> {
        answer["to_know"].as_array().unwrap().iter().map(|known| known["what"].as_str().unwrap().to_owned()).collect()
    };
    // MFLAG P on 2,261 of 11,352 days; MDPR without DAPR.
    assert!(know(&hokah).contains(&"presumed_zeros".to_owned()) && know(&hokah).contains(&"totals_of_unknown_length".to_owned()));
    // Oxford has neither flag nor total, and a station list is not given.
    let oxford = sheet("ghcnd-dly/UK000056225.dly");
    assert!(!know(&oxford).iter().any(|what| what.starts_with("presumed") || what.starts_with("totals")), "{:?}", know(&oxford));
    // Sydney: 9 days without a value, of which 2 lie in a rejected total: no gap is longer than 9 days.
    let sydney = sheet("ghcnd-dly/ASN00066062.dly");
    let longest = sydney["longest_gaps"][0]["days"].as_u64().unwrap();
    assert!((1..=9).contains(&longest), "{longest}");
}
