//! The committed sample data: the same bytes as a fresh run of the generator, in the archive's layout, and showing what they say they show.

#![expect(clippy::unwrap_used, clippy::expect_used, reason = "helpers of tests: a wrong file must stop the test")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use chrono::{Datelike, NaiveDate, Weekday};
use testkit::valley;

fn sample_data() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data")
}

/// The files, made once for all tests.
static FILES: LazyLock<Vec<(String, Vec<u8>)>> = LazyLock::new(valley::files);

fn text_of(path: &str) -> &'static str {
    let found = FILES.iter().find(|(name, _)| name == path);
    std::str::from_utf8(&found.expect("a file of the valley").1).expect("ASCII")
}

/// Days of a station's element with value and flags, read by the columns of the readme (GHCN-Daily 3.26, section III).
fn days_of(station: &str, element: &str) -> BTreeMap<NaiveDate, (i32, [char; 3])> {
    let mut days = BTreeMap::new();
    for line in text_of(&format!("stations/{station}.dly")).lines().filter(|line| &line[17..21] == element) {
        for day in 0..31 {
            let cell = &line[21 + 8 * day..29 + 8 * day];
            let value: i32 = cell[..5].trim().parse().unwrap();
            if value == -9999 {
                assert_eq!(&cell[5..], "   ", "a missing value has no flags: {line}");
                continue;
            }
            let date = NaiveDate::from_ymd_opt(line[11..15].parse().unwrap(), line[15..17].parse().unwrap(), day as u32 + 1);
            let flags: Vec<char> = cell[5..].chars().collect();
            days.insert(date.expect("only days that the month has"), (value, [flags[0], flags[1], flags[2]]));
        }
    }
    days
}

fn stations() -> Vec<String> {
    text_of("ghcnd-stations.txt").lines().map(|line| line[..11].to_owned()).collect()
}

#[test]
fn committed_bytes_are_those_of_a_fresh_run() {
    let mut size = 0;
    let mut names = BTreeSet::new();
    for (path, bytes) in FILES.iter() {
        let committed = fs::read(sample_data().join(path)).unwrap_or_default();
        assert!(committed == *bytes, "sample-data/{path} differs: run `cargo run -p testkit --bin invent-valley`");
        size += bytes.len();
        names.insert(path.clone());
    }
    for entry in fs::read_dir(sample_data().join("stations")).unwrap() {
        let name = format!("stations/{}", entry.unwrap().file_name().to_string_lossy());
        assert!(names.contains(&name), "{name} is not made by the generator");
    }
    assert!(size < 4_000_000, "{size} bytes");
}

#[test]
fn writing_into_a_folder_leaves_those_files_and_no_others() {
    let folder = tempfile::tempdir().unwrap();
    valley::write(folder.path()).unwrap();
    for (path, bytes) in FILES.iter() {
        assert_eq!(&fs::read(folder.path().join(path)).unwrap(), bytes);
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 5);
    assert_eq!(fs::read_dir(folder.path().join("stations")).unwrap().count(), stations().len());
}

#[test]
fn lines_have_the_width_and_the_order_of_the_archive() {
    for station in stations() {
        let text = text_of(&format!("stations/{station}.dly"));
        assert_eq!(text.len() % 270, 0);
        let mut before = String::new();
        for line in text.lines() {
            assert_eq!((line.len(), &line[..11]), (269, &*station));
            assert!(before.as_str() <= &line[11..17], "{line}");
            line[11..17].clone_into(&mut before);
        }
        let keys: Vec<&str> = text.lines().map(|line| &line[11..21]).collect();
        assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len(), "a line stands once");
    }
}

#[test]
fn the_lists_have_the_columns_of_the_readme_and_mean_no_real_place() {
    // GHCN-Daily readme 3.26, sections IV and VII.
    let mut places = Vec::new();
    for line in text_of("ghcnd-stations.txt").lines() {
        assert_eq!(line.len(), 85);
        assert!(line.starts_with("XX0INVENT") && line[41..71].starts_with("INVENTED "), "{line}");
        let number = |columns: std::ops::Range<usize>| line[columns].trim().parse::<f64>().unwrap();
        let (latitude, longitude, elevation) = (number(12..20), number(21..30), number(31..37));
        assert!((180.0..=1150.0).contains(&elevation));
        places.push((latitude, longitude));
    }
    assert!(places.len() >= 5);
    // Within 25 km of each other: 111.2 km a degree of latitude (mean radius 6371 km), less by the cosine of 44.5 degrees east-west.
    for a in &places {
        for b in &places {
            let (north, east) = ((a.0 - b.0) * 111.2, (a.1 - b.1) * 111.2 * 0.713);
            assert!(north * north + east * east < 25.0 * 25.0, "{a:?} {b:?}");
        }
    }
    let inventory = text_of("ghcnd-inventory.txt");
    assert!(inventory.contains("XX0INVENT01  44.5000  -36.0000 PRCP 1975 2024\n"), "{inventory}");
    assert!(inventory.lines().all(|line| line.len() == 45));
    assert!(text_of("README.md").contains("**Everything in this folder is invented.**"));
}

#[test]
fn no_station_of_the_archive_has_such_an_id() {
    let Some(data) = testkit::data_dir() else { return };
    // Two excerpts of the archive's station list, as far as it is at hand in plain text; the whole list was searched for XX, and for the
    // names, when they were chosen.
    for name in ["ghcnd-stations_gm.txt", "ghcnd-stations_1st_ten.txt"] {
        let list = fs::read_to_string(data.join("ghcnd-meta").join(name)).unwrap();
        assert!(list.lines().all(|line| !line.starts_with("XX")), "{name}");
    }
}

#[test]
fn every_station_has_forty_years_of_rain_and_temperature_up_to_the_end_of_2024() {
    let last = NaiveDate::from_ymd_opt(2024, 12, 31).unwrap();
    for station in stations() {
        for element in ["PRCP", "TMAX", "TMIN"] {
            let days = days_of(&station, element);
            let (first, end) = (days.keys().next().unwrap(), days.keys().next_back().unwrap());
            assert!(*end == last && first.year() <= 1980, "{station} {element} {first} {end}");
            let years: BTreeSet<i32> = days.keys().map(Datelike::year).collect();
            assert!(years.len() >= 40, "{station} {element}: {}", years.len());
        }
    }
}

#[test]
fn the_meadow_is_nearly_complete_and_the_ford_has_its_gap() {
    let calendar = 18_263; // days of 1975 to 2024: 50 x 365 + 13 leap days
    let meadow = days_of("XX0INVENT01", "PRCP").len();
    assert!(meadow < calendar && meadow * 1000 > calendar * 995, "{meadow}");
    let ford = days_of("XX0INVENT02", "PRCP");
    let gap = NaiveDate::from_ymd_opt(1993, 5, 1).unwrap()..NaiveDate::from_ymd_opt(1997, 5, 1).unwrap();
    assert!(ford.range(gap).next().is_none());
    let text = text_of("stations/XX0INVENT02.dly");
    let lines: BTreeSet<&str> = text.lines().map(|line| &line[11..21]).collect();
    assert!(!lines.contains("199401PRCP") && !lines.contains("199401TMAX"));
    let empty = text.lines().filter(|line| &line[17..21] == "PRCP" && line[21..].replace("-9999", "").trim().is_empty()).count();
    assert!(empty >= 3, "{empty} months of -9999");
}

#[test]
fn the_school_has_weekend_totals_of_every_kind() {
    let rain = days_of("XX0INVENT03", "PRCP");
    let totals = days_of("XX0INVENT03", "MDPR");
    let lengths = days_of("XX0INVENT03", "DAPR");
    for date in NaiveDate::from_ymd_opt(1985, 1, 1).unwrap().iter_days().take_while(|date| date.year() < 2005) {
        let read = !matches!(date.weekday(), Weekday::Sat | Weekday::Sun | Weekday::Mon);
        assert_eq!(rain.contains_key(&date), read, "{date}");
    }
    assert!(totals.keys().chain(lengths.keys()).all(|date| date.weekday() == Weekday::Mon));
    assert!(lengths.values().all(|(days, _)| *days == 3));
    let unknown_length = totals.keys().filter(|date| !lengths.contains_key(date)).count();
    assert!((3..20).contains(&unknown_length), "{unknown_length}");
    let alone: Vec<String> = lengths.keys().filter(|date| !totals.contains_key(date)).map(NaiveDate::to_string).collect();
    assert_eq!(alone, ["1998-03-16"]);
    assert!(totals.iter().any(|(date, (value, _))| date.day() == 1 && *value > 0), "a total with rain that crosses a month's end");
}

#[test]
fn the_pass_is_high_wet_and_cold() {
    let (greatest, least) = (days_of("XX0INVENT04", "TMAX"), days_of("XX0INVENT04", "TMIN"));
    let freezing = greatest.iter().filter(|(date, high)| least.get(date).is_some_and(|low| high.0 + low.0 <= 0)).count();
    assert!(freezing > 40 * 47, "{freezing} days of mean at or below freezing in 47 years");
    let (pass, meadow) = (days_of("XX0INVENT04", "PRCP"), days_of("XX0INVENT01", "PRCP"));
    let common = || pass.keys().filter(|date| meadow.contains_key(date));
    let sum = |days: &BTreeMap<NaiveDate, (i32, [char; 3])>| f64::from(common().map(|date| days[date].0).sum::<i32>());
    let ratio = sum(&pass) / sum(&meadow);
    assert!((1.35..1.65).contains(&ratio), "{ratio}");
    assert!(!days_of("XX0INVENT04", "SNWD").is_empty() && !days_of("XX0INVENT04", "SNOW").is_empty());
}

#[test]
fn the_quarry_shows_every_flag_that_it_promises() {
    let mut quality = BTreeSet::new();
    let mut measurement = BTreeSet::new();
    for element in ["PRCP", "MDPR", "DAPR", "TMAX", "TMIN"] {
        for (value, flags) in days_of("XX0INVENT05", element).into_values() {
            measurement.insert(flags[0]);
            quality.insert(flags[1]);
            assert!(!matches!(flags[0], 'T' | 'P') || value == 0);
        }
    }
    assert_eq!(measurement.into_iter().collect::<String>(), " BPT");
    assert_eq!(quality.into_iter().collect::<String>(), " DGIKLOX");
    let refused: Vec<i32> = days_of("XX0INVENT05", "PRCP").into_values().filter(|(_, flags)| flags[1] == 'G').map(|(v, _)| v).collect();
    assert_eq!(refused, [9999]);
}
