//! `rainworth stations` as a process: the page, JSON, GeoJSON, the archive's lists, records that are here, and calls that cannot be answered. The lists are
//! invented but for one test over the real ones.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used)]

mod program;

use program::{Ran, run, text};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use testkit::DlyText;

const LIST: &str = "\
XXT00000001  44.5000  -36.1000  150.0    INVENTED MEADOW
XXT00000002  44.6000  -36.0000  100.0    INVENTED FORD
XXT00000003  44.4000  -36.0000  900.0    INVENTED PASS
";

const INVENTORY: &str = "\
XXT00000001  44.5000  -36.1000 PRCP 1950 2024
XXT00000002  44.6000  -36.0000 PRCP 1950 2024
XXT00000003  44.4000  -36.0000 PRCP 1951 1970
";

/// A folder that has the lists on a mirror, and an archive that took them from there.
struct Lists {
    place: tempfile::TempDir,
}

impl Lists {
    fn new() -> Self {
        let place = tempfile::tempdir().unwrap();
        let lists = place.path().join("mirror/ncei/ghcn-daily");
        fs::create_dir_all(lists.join("all")).unwrap();
        fs::write(lists.join("ghcnd-stations.txt"), LIST).unwrap();
        fs::write(lists.join("ghcnd-inventory.txt"), INVENTORY).unwrap();
        // Every day of 2001 to 2010, ten of the thirty years from 1995 to 2024.
        let record = DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &vec![Some(1.0); 3652]).to_text();
        fs::write(lists.join("all/XXT00000001.dly"), record).unwrap();
        Self { place }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    fn download(&self, what: &[&str]) {
        let (mirror, archive) = (self.path("mirror"), self.path("archive"));
        let ran = run(&[&["download", "--mirror", text(&mirror), "--archive", text(&archive)], what].concat());
        assert_eq!(ran.code, 0, "{}", ran.stderr);
    }

    fn stations(&self, more: &[&str]) -> Ran {
        run(&[&["stations", "--archive", text(&self.path("archive"))], more].concat())
    }
}

fn json(ran: &Ran) -> Value {
    serde_json::from_str(&ran.stdout).unwrap()
}

fn ids(answer: &Value, list: &str) -> Vec<String> {
    answer[list].as_array().unwrap().iter().map(|one| one["station"]["id"].as_str().unwrap().to_owned()).collect()
}

/// The words of a page, however they are broken.
fn words(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_lists_of_the_archive_are_searched_and_a_record_that_is_there_counts() {
    let lists = Lists::new();
    let near = ["--near", "44.5,-36.0", "--elevation", "100 m"];
    let absent = lists.stations(&near);
    assert!(absent.code == 1 && absent.stderr.contains("`rainworth download --lists ghcn-daily` brings it"), "{}", absent.stderr);
    lists.download(&["--lists", "ghcn-daily"]);
    let ran = lists.stations(&near);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    // 7.953 km and 50 m for the one, 11.112 km for the other (Python geographiclib 2.1).
    assert!(words(&ran.stdout).contains("Take XXT00000002 (INVENTED FORD): 11.1 km to the north; at the same height;"), "{}", ran.stdout);
    assert!(ran.stdout.lines().all(|line| line.chars().count() <= 80), "{}", ran.stdout);
    let answer = json(&lists.stations(&[&near[..], &["--json"]].concat()));
    assert_eq!(
        (ids(&answer, "ranked"), ids(&answer, "without_wanted_years")),
        (vec!["XXT00000002".into(), "XXT00000001".into()], vec!["XXT00000003".into()])
    );
    assert!((answer["ranked"][1]["counted"]["total_km"].as_f64().unwrap() - 12.953).abs() < 1e-9, "{answer:#}");
    assert_eq!((answer["product"].as_str(), answer["rule"]["height_factor"].as_f64()), (Some("ghcn-daily"), Some(100.0)));
    // With its record in the archive the meadow is known to have a third of the days.
    lists.download(&["ghcn-daily:XXT00000001"]);
    let ran = lists.stations(&[&near[..], &["--json"]].concat());
    let answer = json(&ran);
    let record = &answer["ranked"][1]["record"];
    assert_eq!((record["usable_days"].as_u64(), record["wanted_days"].as_u64()), (Some(3652), Some(10_958)), "{answer:#}");
    assert!(ran.stderr.contains("found rain of station XXT00000001 from 2001-01-01 to 2010-12-31"), "{}", ran.stderr);
    let page = lists.stations(&near).stdout;
    assert!(words(&page).contains("10 of the 30 years by its record that is here (2001-01-01 to 2010-12-31)"), "{page}");
    assert!(words(&page).contains("The others may have as many gaps"), "{page}");
}

#[test]
fn lists_and_records_of_ones_own_are_taken() {
    let lists = Lists::new();
    let folder = lists.path("mirror/ncei/ghcn-daily");
    let (list, inventory) = (folder.join("ghcnd-stations.txt"), folder.join("ghcnd-inventory.txt"));
    let own = ["--station-list", text(&list), "--near", "44.5N 36W"];
    let answer =
        json(&lists.stations(&[&own[..], &["--inventory", text(&inventory), "--records", text(&folder.join("all")), "--json"]].concat()));
    assert_eq!(ids(&answer, "ranked"), ["XXT00000002", "XXT00000001"]);
    assert_eq!(answer["ranked"][1]["record"]["usable_days"].as_u64(), Some(3652));
    // Without the inventory nothing but the distance is known.
    let ran = lists.stations(&own);
    assert!(ran.code == 0 && words(&ran.stdout).contains("this list tells no years"), "{}", ran.stdout);
    assert!(words(&ran.stdout).contains(&format!("station_list = \"{}\"", list.display())), "{}", ran.stdout);
    let counted = json(&lists.stations(&[&own[..], &["--count", "1", "--json"]].concat()));
    assert_eq!((ids(&counted, "ranked"), counted["counts"]["ranked"].as_u64()), (vec!["XXT00000001".to_owned()], Some(3)));
}

#[test]
fn a_site_file_that_is_not_finished_tells_the_place() {
    let lists = Lists::new();
    lists.download(&["--lists", "ghcn-daily"]);
    let site = lists.path("site.toml");
    let begun = "format = 1\n[site]\nname = \"Shed\"\nlatitude = 44.5\nlongitude = -36.0\nelevation = \"328 ft\"\nunits = \"us-customary\"\n[records]\nperiod = \"1951-1960\"\n";
    fs::write(&site, begun).unwrap();
    let ran = lists.stations(&["--site", text(&site)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    for said in ["328 ft above the sea", "Years wanted: 1951 to 1960.", "4.9 miles to the west"] {
        assert!(words(&ran.stdout).contains(said), "{said}: {}", ran.stdout);
    }
    let metric = lists.stations(&["--site", text(&site), "--units", "metric", "--years", "1991-2020"]);
    assert!(metric.stdout.contains("Years wanted: 1991 to 2020.") && metric.stdout.contains("km"), "{}", metric.stdout);
    fs::write(&site, begun.replace("44.5", "144.5").replace("\"Shed\"", "3")).unwrap();
    let ran = lists.stations(&["--site", text(&site), "--json"]);
    assert_eq!((ran.code, json(&ran)["done"].as_bool()), (1, Some(false)));
    assert!(ran.stderr.contains("site.latitude") && ran.stderr.contains("site.name"), "{}", ran.stderr);
}

#[test]
fn a_map_is_written_once_and_parsed_by_a_library_of_its_own() {
    let lists = Lists::new();
    lists.download(&["--lists", "ghcn-daily"]);
    let file = lists.path("near.geojson");
    let ran = lists.stations(&["--near", "44.5,-36", "--geojson", text(&file)]);
    assert!(ran.code == 0 && ran.stdout.contains("Take ") && ran.stderr.contains("near.geojson"), "{}", ran.stderr);
    let written = fs::read_to_string(&file).unwrap();
    let map: Value = serde_json::from_str(&written).unwrap();
    assert_eq!((map["type"].as_str(), map["features"].as_array().unwrap().len()), (Some("FeatureCollection"), 4));
    let again = lists.stations(&["--near", "44.5,-36", "--geojson", text(&file)]);
    assert!(
        again.code == 2 && again.stderr.contains("is there already") && fs::read_to_string(&file).unwrap() == written,
        "{}",
        again.stderr
    );
    let piped = lists.stations(&["--near", "44.5,-36", "--geojson", "-"]);
    assert_eq!(piped.stdout, written);
    assert_eq!(lists.stations(&["--near", "44.5,-36", "--geojson", "-", "--json"]).code, 2);
}

#[test]
fn nobody_near_is_a_fault_that_says_what_to_look_at() {
    let lists = Lists::new();
    lists.download(&["--lists", "ghcn-daily"]);
    let ran = lists.stations(&["--near", "44.5,36"]);
    assert!(
        ran.code == 1 && ran.stderr.contains("no station within 100 km of 44.5000 N, 36.0000 E has rain in the years 1995 to 2024"),
        "{}",
        ran.stderr
    );
    assert!(words(&ran.stdout).contains("If that is meant: --near=44.5,-36"), "{}", ran.stdout);
    let answer = json(&lists.stations(&["--near", "44.5,36", "--json"]));
    assert_eq!((answer["done"].as_bool(), answer["elsewhere"][1]["slip"].as_str()), (Some(false), Some("longitude_sign")));
    // All candidates without the years: they are listed with theirs.
    let ran = lists.stations(&["--near", "44.5,-36", "--years", "1901-1920"]);
    assert!(ran.code == 1 && ran.stdout.contains("1951-1970") && words(&ran.stdout).contains("--years 1950-2024"), "{}", ran.stdout);
    // The poles and the date line are places as any other.
    for place in ["90,0", "-90,180", "0,180", "0,-180"] {
        let ran = lists.stations(&["--near", place, "--within", "50 km"]);
        assert!(ran.code == 1 && words(&ran.stdout).contains("The nearest that would count is XXT"), "{place} {}", ran.stdout);
    }
}

#[test]
fn a_call_that_cannot_be_meant_is_answered() {
    let lists = Lists::new();
    for (call, said) in [
        (&["--near", "-93.2,44.9"][..], "--near=44.9,-93.2"),
        (&["--near", "44.9,266.8"], "--near=44.9,-93.2"),
        (&["--near", "44,9,-93,2"], "write a point for decimals"),
        (&[], "--near"),
        (&["--near", "44.9,-93.2", "--elevation", "256"], "without a unit"),
        (&["--near", "44.9,-93.2", "--within", "100"], "without a unit"),
        (&["--near", "44.9,-93.2", "--years", "2020-1991"], "1991-2020"),
        (&["--near", "44.9,-93.2", "--list", "nothing"], "expected one of ghcn-daily"),
        (&["--near", "44.9,-93.2", "--list", "gsod"], "kept for people"),
        (&["--near", "44.9,-93.2", "--inventory", "x.txt"], "--station-list"),
    ] {
        let ran = lists.stations(call);
        assert!(ran.code == 2 && ran.stderr.contains(said), "{call:?}: {}", ran.stderr);
    }
    // A list and an inventory in each other's place, and none at all.
    let folder = lists.path("mirror/ncei/ghcn-daily");
    let (list, inventory) = (folder.join("ghcnd-stations.txt"), folder.join("ghcnd-inventory.txt"));
    let swapped = lists.stations(&["--near", "44.5,-36", "--station-list", text(&inventory), "--inventory", text(&list)]);
    assert!(swapped.code == 1 && swapped.stderr.contains("ghcnd-inventory.txt"), "{}", swapped.stderr);
    let nowhere = lists.stations(&["--near", "44.5,-36", "--station-list", "no-list.txt"]);
    assert!(nowhere.code == 1 && nowhere.stderr.contains("no-list.txt"), "{}", nowhere.stderr);
}

#[test]
fn a_real_list_of_another_agency_is_searched() {
    let Some(data) = testkit::data_dir() else { return };
    let list = data.join("dwd-kl/KL_Tageswerte_Beschreibung_Stationen.txt");
    let ran = run(&["stations", "--near", "52.4,13.1", "--years", "1961-1990", "--station-list", text(&list), "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let answer = json(&ran);
    // By eye from the list: 03987 Potsdam, from 1893 on, 52.3812 N 13.0622 E; 3.316 km by Python geographiclib 2.1.
    let potsdam = answer["ranked"].as_array().unwrap().iter().find(|one| one["station"]["id"] == "03987").unwrap();
    assert_eq!((potsdam["rain_years"]["first"].as_i64(), potsdam["rain_years"]["told_by"].as_str()), (Some(1893), Some("station_list")));
    assert_eq!(potsdam["distance_km"].as_f64(), Some(3.316));
    assert!(Path::new(answer["station_list"].as_str().unwrap()).is_file());
}
