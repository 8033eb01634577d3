//! The commands as a person or a program calls them: what failed calls print as JSON, what is read in spite of a bad file, whose
//! files are left alone, and the units of the printed pages. The records are invented.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

mod program;

use program::{Ran, run, text};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use testkit::DlyText;

impl Ran {
    fn json(&self) -> Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("{error} in {:?}\n{}", self.stdout, self.stderr))
    }

    /// The answer of a failed call, which says so.
    fn failed(&self, code: i32) -> Value {
        let answer = self.json();
        assert_eq!((self.code, &answer["done"]), (code, &Value::Bool(false)), "{answer:#}\n{}", self.stderr);
        let error = answer["error"].as_str().unwrap();
        assert!(!error.is_empty() && self.stderr.contains("error: "), "{}", self.stderr);
        answer
    }
}

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data").join(name)
}

/// A place with a folder `records` of one good station, one without rain and one web page, as asked for.
fn records(good: bool, dry: bool, page: bool) -> (TempDir, PathBuf) {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("records");
    fs::create_dir(&folder).unwrap();
    let write = |wanted: bool, name: &str, text: String| {
        if wanted {
            fs::write(folder.join(name), text).unwrap();
        }
    };
    write(good, "good.dly", DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &[Some(25.4); 365]).to_text());
    write(dry, "dry.dly", DlyText::new("XXT00000002").temperature_c((2001, 1, 1), 4.0, -2.0).to_text());
    write(page, "page.dly", "<html>Not found</html>\n".to_owned());
    (place, folder)
}

fn ids(answer: &Value) -> Vec<&str> {
    answer["diagnostics"]["list"].as_array().unwrap().iter().map(|found| found["id"].as_str().unwrap()).collect()
}

#[test]
fn tables_are_written_in_spite_of_a_bad_file_and_the_call_fails() {
    let (place, folder) = records(true, true, true);
    let out = place.path().join("out");
    let ran = run(&["rain", text(&folder), "--out", text(&out), "--json"]);
    let answer = ran.failed(1);
    assert_eq!((&answer["stations"], &answer["files"], &answer["files_not_read"]), (&1.into(), &3.into(), &1.into()));
    assert_eq!(answer["out"], text(&out));
    assert!(ids(&answer).contains(&"file-is-a-web-page") && ids(&answer).contains(&"station-without-rain"), "{answer:#}");
    assert!(fs::read_to_string(out.join("stations.csv")).unwrap().contains("XXT00000001"));
    // None of them could be read: nothing is written.
    let (place, folder) = records(false, false, true);
    let out = place.path().join("out");
    let answer = run(&["rain", text(&folder), "--out", text(&out), "--json"]).failed(1);
    assert!(ids(&answer).contains(&"file-is-a-web-page") && !out.exists());
    let (place, folder) = records(false, false, false);
    run(&["rain", text(&folder), "--out", text(&place.path().join("out")), "--json"]).failed(1);
}

#[test]
fn a_station_without_rain_is_left_out_with_a_note() {
    let (place, folder) = records(false, true, false);
    let out = place.path().join("out");
    let ran = run(&["rain", text(&folder), "--out", text(&out), "--json"]);
    let answer = ran.json();
    assert_eq!((ran.code, &answer["stations"], answer.get("done"), answer.get("error")), (0, &0.into(), None, None));
    assert_eq!(answer["diagnostics"]["counts"]["station-without-rain"], 1);
    let noted: Vec<&str> = ran.stderr.lines().filter(|line| line.contains("[station-without-rain]")).collect();
    assert!(noted.len() == 1 && noted[0].contains("XXT00000002") && noted[0].contains("dry.dly"), "{}", ran.stderr);
    for table in ["monthly.csv", "stations.csv", "records.csv"] {
        assert_eq!(fs::read_to_string(out.join(table)).unwrap().lines().count(), 1, "{table}");
    }
}

#[test]
fn every_failing_command_says_so_in_json() {
    let (place, folder) = records(true, true, true);
    let out = place.path().join("out");
    let (good, page) = (folder.join("good.dly"), folder.join("page.dly"));
    let flagged = sample("stations/XX0INVENT05.dly");
    // A station list that lacks the sample's stations: a warning for each.
    let list = place.path().join("list.txt");
    fs::write(&list, "XXT00000001  17.1167  -61.7833   10.1    NOWHERE\n").unwrap();
    let warned = place.path().join("warned.toml");
    let nursery = fs::read_to_string(sample("nursery.toml")).unwrap();
    let nursery = nursery.replace("\"stations\"", &format!("\"{}\"", text(&sample("stations"))));
    fs::write(&warned, nursery.replace("\"ghcnd-stations.txt\"", &format!("\"{}\"", text(&list)))).unwrap();
    for (code, findings, arguments) in [
        (2, false, vec!["define", "NOPE"]),
        (2, false, vec!["rain", text(&folder)]),
        (2, false, vec!["rain", text(&good), "--normal-share", "80"]),
        (2, false, vec!["no-such-command"]),
        (1, true, vec!["record", text(&page)]),
        (1, true, vec!["record", text(&good), text(&page)]),
        (1, true, vec!["record", "--strict", text(&flagged)]),
        (1, true, vec!["rain", text(&page)]),
        (1, true, vec!["assess", "no-such-file.toml", "--out", text(&out)]),
        (1, true, vec!["assess", text(&warned), "--strict", "--out", text(&out)]),
    ] {
        let ran = run(&[arguments.clone(), vec!["--json"]].concat());
        let answer = ran.failed(code);
        assert_eq!(answer["diagnostics"].is_object(), findings, "{arguments:?}: {answer:#}");
    }
    // The report of the last was written all the same.
    assert!(out.join("report.html").is_file());
    // Help is data, whatever stands beside it.
    let help = run(&["rain", "--help", "--json"]);
    assert!(help.code == 0 && help.stdout.contains("--units"), "{}", help.stdout);
}

#[test]
fn results_never_take_the_place_of_anything_else() {
    let (place, folder) = records(true, false, false);
    let out = place.path().join("out");
    let nursery = sample("nursery.toml");
    let rain = ["rain", text(&folder), "--out", text(&out)];
    let assess = ["assess", text(&nursery), "--out", text(&out)];
    for _ in 0..2 {
        assert_eq!(run(&rain).code, 0);
    }
    let refused = run(&assess);
    assert!(refused.code == 1 && refused.stderr.contains("rain tables"), "{}", refused.stderr);
    fs::remove_dir_all(&out).unwrap();
    for _ in 0..2 {
        assert_eq!(run(&assess).code, 0);
    }
    let refused = run(&rain);
    assert!(refused.code == 1 && refused.stderr.contains("assessment"), "{}", refused.stderr);
    fs::write(out.join("notes.txt"), "mine").unwrap();
    let refused = run(&assess);
    assert!(refused.code == 1 && refused.stderr.contains("notes.txt"), "{}", refused.stderr);
    assert_eq!(fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
    // A folder of records is no place for their tables, whatever it holds.
    let inside = run(&["rain", text(&folder), "--out", text(&folder)]);
    assert!(inside.code == 1 && inside.stderr.contains("lies inside"), "{}", inside.stderr);
    let site = out.join("site.toml");
    fs::copy(&nursery, &site).unwrap();
    let inside = run(&["assess", text(&site), "--out", text(&out)]);
    assert!(inside.code == 1 && inside.stderr.contains("site.toml") && inside.stderr.contains("lies inside"), "{}", inside.stderr);
    assert!(site.is_file() && folder.join("good.dly").is_file());
}

#[test]
fn pages_stand_in_inches_where_asked() {
    let (_place, folder) = records(true, false, false);
    let good = folder.join("good.dly");
    // 25.4 mm is one inch exactly (1959 agreement); 365 days of it are 365 inches, 31 are a January of 31 inches.
    for (units, words) in [
        (vec![], ["9271.0 mm on usable days", "greatest day 25.4 mm"]),
        (vec!["--units", "metric"], ["9271.0 mm on usable days", "greatest day 25.4 mm"]),
        (vec!["--units", "us-customary"], ["365.00 in on usable days", "greatest day 1.00 in"]),
    ] {
        let ran = run(&[vec!["record", text(&good)], units.clone()].concat());
        assert!(words.iter().all(|words| ran.stdout.contains(words)), "{units:?}: {}", ran.stdout);
    }
    let station = sample("stations/XX0INVENT01.dly");
    let page = |units: &str| run(&["rain", text(&station), "--units", units]).stdout;
    let (metric, inches) = (page("metric"), page("us-customary"));
    for words in ["2020, in (", "Great rains, in,", "days below 0.04 in"] {
        assert!(inches.contains(words), "{words}: {inches}");
    }
    assert!(metric.contains("2020, mm (") && metric.contains("days below 1.0 mm") && !inches.contains("mm"), "{inches}");
    let january = |page: &str| -> f64 {
        let line = page.lines().find(|line| line.starts_with("  Jan")).unwrap();
        line.split_whitespace().nth(1).unwrap().parse().unwrap()
    };
    assert!((january(&metric) / 25.4 - january(&inches)).abs() < 0.008, "half of 0.1 mm and half of 0.01 in");
    let json = |units: &str| run(&["rain", text(&station), "--json", "--units", units]).stdout;
    assert_eq!(json("metric"), json("us-customary"));
}

#[test]
fn a_record_file_that_is_not_there_is_told_with_a_near_name() {
    let (place, folder) = records(true, false, false);
    let site = nursery(place.path(), "files = [\"records/goood.dly\"]", "");
    let out = place.path().join("out");
    let ran = run(&["assess", text(&site), "--out", text(&out), "--json"]);
    let answer = ran.failed(1);
    let error = answer["error"].as_str().unwrap();
    for words in ["my-site.toml", "goood.dly", text(&folder), "\"good.dly\""] {
        assert!(error.contains(words) && ran.stderr.contains(words), "{words}: {error}\n{}", ran.stderr);
    }
    assert!(ids(&answer).contains(&"file-unreadable") && !out.exists());
}

/// An invented station by year, in the order in which a person may give the files: 31 December to 2 January are one total of 9 mm.
fn by_year() -> (TempDir, Vec<PathBuf>) {
    let place = tempfile::tempdir().unwrap();
    let one = DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &[Some(1.0); 364]).to_text();
    let run = DlyText::new("XXT00000001").rain_run_mm((2002, 1, 3), &[Some(2.0); 363]);
    let two = run.accumulated_mm((2002, 1, 2), 9.0, Some(3)).to_text();
    let other = DlyText::new("XXT00000002").rain_run_mm((2001, 1, 1), &[Some(1.0); 365]).to_text();
    let files: Vec<PathBuf> = [("2001.dly", one), ("2002.dly", two), ("other.dly", other)]
        .into_iter()
        .map(|(name, text)| {
            let file = place.path().join(name);
            fs::write(&file, text).unwrap();
            file
        })
        .collect();
    (place, files)
}

#[test]
fn a_station_over_two_files_is_one_record_everywhere() {
    let (place, files) = by_year();
    let record = run(&["record", "--json", text(&files[1]), text(&files[0])]).json();
    // 364 days of 1 mm and 363 of 2 mm; two years are 730 days, of which the total holds three.
    let days = &record["days"];
    assert_eq!(
        (&days["calendar"], &days["measured"], &days["accumulated"], &days["missing"]),
        (&730.into(), &727.into(), &3.into(), &0.into())
    );
    assert_eq!(record["total_mm"], 364.0 + 726.0);
    assert!(record["source"]["files"][0]["file"].as_str().unwrap().ends_with("2001.dly"), "{record:#}");
    assert!(record["source"]["files"][1]["file"].as_str().unwrap().ends_with("2002.dly"));
    let rain = run(&["rain", "--json", text(&files[0]), text(&files[1]), text(&files[2])]).json();
    assert_eq!(rain["stations"].as_array().unwrap().len(), 2);
    // The tables of the folder hold each station once, and the month in which the total ends; it reaches out of both months, so neither
    // December 2001 nor January 2002 is whole.
    for paths in [vec![text(place.path())], files.iter().map(|file| text(file)).collect()] {
        let keep = tempfile::tempdir().unwrap();
        let out = keep.path().join("out");
        let ran = run(&[vec!["rain", "--out", text(&out), "--json"], paths].concat());
        assert_eq!(ran.json()["stations"], 2, "{}", ran.stderr);
        let stations = fs::read_to_string(out.join("stations.csv")).unwrap();
        let mut ids: Vec<&str> = stations.lines().skip(1).map(|line| line.split(',').next().unwrap()).collect();
        // A joined station stands where its tables were finished.
        ids.sort_unstable();
        assert_eq!(ids, ["XXT00000001", "XXT00000002"]);
        let monthly = fs::read_to_string(out.join("monthly.csv")).unwrap();
        assert_eq!(monthly.lines().filter(|line| line.starts_with("XXT00000001")).count(), 22, "{monthly}");
    }
    let mixed = run(&["rain", text(&files[0]), text(place.path()), "--out", text(&place.path().join("x"))]);
    assert_eq!(mixed.code, 2);
}

#[test]
fn what_a_log_leaves_open_is_answered_by_option() {
    let place = tempfile::tempdir().unwrap();
    let log = place.path().join("garden.csv");
    fs::write(&log, "date,rain\n01/02/2024,5\n03/04/2024,2\n").unwrap();
    let log = text(&log);
    // Both questions at once; the one that is answered is asked no more.
    let asked = run(&["record", "--json", log]).failed(1)["diagnostics"]["list"][0].to_string();
    for words in ["--date-order", "records.date_order", "--depth-unit", "records.depth_unit"] {
        assert!(asked.contains(words), "{words}: {asked}");
    }
    let asked = run(&["rain", "--json", "--date-order", "day-month-year", log]).failed(1)["diagnostics"]["list"][0].to_string();
    assert!(asked.contains("--depth-unit") && !asked.contains("--date-order"), "{asked}");
    // 1 February to 3 April of a leap year are 63 days; 2 January to 4 March are 63 days too. 1 in = 25.4 mm exactly.
    for (order, unit, first, total) in [
        ("day-month-year", "mm", "2024-02-01", 7.0),
        ("month-day-year", "in", "2024-01-02", 177.8),
        ("month-day-year", "hundredths-of-in", "2024-01-02", 1.778),
        ("day-month-year", "tenths-of-mm", "2024-02-01", 0.7),
    ] {
        let record = run(&["record", "--json", "--date-order", order, "--depth-unit", unit, log]).json();
        assert_eq!((&record["total_mm"], &record["days"]["calendar"]), (&total.into(), &63.into()), "{record:#}");
        assert_eq!(record["first_day"], first, "{record:#}");
    }
    let wrong = run(&["record", "--depth-unit", "furlong", log]);
    assert!(wrong.code == 2 && wrong.stderr.contains("tenths-of-mm"), "{}", wrong.stderr);
}

/// The invented nursery with other records and more sections, beside its site file.
fn nursery(place: &Path, records: &str, more: &str) -> PathBuf {
    let nursery = fs::read_to_string(sample("nursery.toml")).unwrap();
    let start = nursery.find("[records]").unwrap();
    let end = start + nursery[start..].find("\n\n").unwrap();
    let site = place.join("my-site.toml");
    fs::write(&site, format!("{}[records]\n{records}{}\n{more}", &nursery[..start], &nursery[end..])).unwrap();
    site
}

#[test]
fn a_site_file_answers_for_its_records_and_an_option_goes_before_it() {
    let place = tempfile::tempdir().unwrap();
    // Four invented years with 20 units of rain every third day.
    let first = series::Day::first_of_year(2001);
    let days = (0..1461).map(|day| format!("{},{}\n", first.plus(day), if day % 3 == 0 { 20 } else { 0 }));
    fs::write(place.path().join("garden.csv"), "date,rain\n".to_owned() + &days.collect::<String>()).unwrap();
    let open = nursery(place.path(), "files = [\"garden.csv\"]", "");
    let out = place.path().join("out");
    let asked = run(&["assess", text(&open), "--out", text(&out), "--json"]).failed(1);
    assert!(ids(&asked).contains(&"file-leaves-a-question") && !out.exists(), "{asked:#}");
    let site = nursery(place.path(), "files = [\"garden.csv\"]\ndepth_unit = \"tenths-of-mm\"", "");
    let ran = run(&["assess", text(&site), "--out", text(&out), "--json"]);
    assert!(ran.stdout.contains("depths in tenths of a millimetre, as was answered"), "{}\n{}", ran.stdout, ran.stderr);
    let ran = run(&["assess", text(&site), "--out", text(&out), "--json", "--depth-unit", "mm"]);
    assert!(ran.stdout.contains("depths in millimetres, as was answered"), "{}\n{}", ran.stdout, ran.stderr);
}

/// An invented station of the Global Summary of the Day, one year a file; 0.10 in a day.
fn summary_of_the_day(year: i32, also: &[(&str, &str)]) -> String {
    let first = series::Day::first_of_year(year);
    let days = (0..365).map(|day| (first.plus(day).to_string(), " 0.10".to_owned()));
    let also = also.iter().map(|(day, depth)| ((*day).to_owned(), (*depth).to_owned()));
    days.chain(also).fold("\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"TEMP\",\"DEWP\",\"MAX\",\"MIN\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"FRSHTT\"\n".to_owned(), |text, (day, depth)| {
        text + &format!("\"00000099999\",\"{day}\",\"44.5\",\"-36.0\",\"9.0\",\"INVENTED, XX\",\"  26.6\",\"  20.5\",\"9999.9\",\"9999.9\",\"{depth}\",\"G\",\"000000\"\n")
    })
}

#[test]
fn yearly_files_of_a_station_are_one_row_of_the_tables() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("records");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("a-2002.csv"), summary_of_the_day(2002, &[])).unwrap();
    // One day of the year after, and another depth than there.
    fs::write(folder.join("b-2001.csv"), summary_of_the_day(2001, &[("2002-01-01", " 0.20")])).unwrap();
    let out = place.path().join("out");
    let ran = run(&["rain", text(&folder), "--out", text(&out), "--json"]);
    let answer = ran.json();
    assert_eq!((ran.code, &answer["stations"]), (0, &1.into()), "{answer:#}");
    let twice = answer["diagnostics"]["list"].as_array().unwrap().iter().find(|found| found["id"] == "day-stated-twice").unwrap();
    assert!(
        twice["message"].as_str().unwrap().contains("a-2002.csv") && twice["file"].as_str().unwrap().ends_with("b-2001.csv"),
        "{twice:#}"
    );
    let monthly = fs::read_to_string(out.join("monthly.csv")).unwrap();
    let rows: Vec<&str> = monthly.lines().skip(1).collect();
    // 31 days of 0.10 in are 78.74 mm: of 1 January 2002 the file given first stands.
    assert_eq!((rows.len(), rows[0], rows[12]), (24, "00000099999,2001,1,31,787.40", "00000099999,2002,1,31,787.40"), "{monthly}");
    assert_eq!(fs::read_to_string(out.join("stations.csv")).unwrap().lines().count(), 2);
}

#[test]
fn an_official_table_s_file_gives_the_flows() {
    let place = tempfile::tempdir().unwrap();
    // An invented table in the layout of NOAA Atlas 14.
    let table = "Point precipitation frequency estimates (inches)\nNOAA Atlas 14 Volume 0 Version 0\nData type: Precipitation depth\nTime series type: Partial duration\nLocation name: Invented Ombrel\nLatitude: 44.48 Degree\nLongitude: -35.98 Degree\n\nPRECIPITATION FREQUENCY ESTIMATES\nby duration for ARI (years):, 1,2,5,10\n5-min:, 0.30,0.35,0.45,0.50\n60-min:, 1.00,1.20,1.50,2.00\n";
    fs::write(place.path().join("design.csv"), table).unwrap();
    let records = format!("folder = {:?}", text(&sample("stations")));
    let official = |duration: &str, years: u32| {
        let more = format!("[official]\ntable = \"design.csv\"\nduration = \"{duration}\"\nreturn_period = {years}\n");
        nursery(place.path(), &records, &more)
    };
    let out = place.path().join("out");
    let ran = run(&["assess", text(&official("7 min", 10)), "--out", text(&out), "--json"]);
    let error = ran.failed(1)["error"].as_str().unwrap().to_owned();
    assert!(error.contains("5-min, 60-min") && !out.exists(), "{error}");
    let ran = run(&["assess", text(&official("5 min", 25)), "--out", text(&out), "--json"]);
    assert!(ran.failed(1)["error"].as_str().unwrap().contains("1, 2, 5, 10 years"));
    let ran = run(&["assess", text(&official("5 min", 10)), "--out", text(&out)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    // 0.50 in in 5 min is 6.0 in/h, 152.4 mm/h; CHECKS B4.1: 10 years of a partial-duration series are 10.508 of annual maxima.
    let sha256 = ingest::checksum_of(table.as_bytes());
    for words in [
        "152.4 mm/h",
        "Point precipitation frequency estimates (inches)",
        "NOAA Atlas 14 Volume 0 Version 0",
        "design.csv",
        &sha256,
        "10.5 years",
    ] {
        assert!(page.contains(words), "{words}");
    }
    fs::remove_file(place.path().join("design.csv")).unwrap();
    let ran = run(&["assess", text(&official("5 min", 10)), "--out", text(&place.path().join("other")), "--json"]);
    assert!(ran.failed(1)["error"].as_str().unwrap().contains("official table \"design.csv\""));
}

#[test]
fn records_are_held_against_each_other_where_a_list_gives_their_places() {
    let files = ["stations/XX0INVENT01.dly", "stations/XX0INVENT03.dly"].map(sample);
    let list = sample("ghcnd-stations.txt");
    let alone = run(&["record", text(&files[0]), text(&files[1])]);
    assert!(alone.stdout.contains("no neighbour to hold the record against"), "{}", alone.stdout);
    let placed = run(&["record", text(&files[0]), text(&files[1]), "--station-list", text(&list)]);
    assert_eq!(placed.stdout.matches("held against 1 neighbour").count(), 2, "{}", placed.stdout);
    assert!(placed.stdout.contains("INVENTED OMBREL SCHOOL"), "the list names it");
}
