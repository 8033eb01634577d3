//! Reports of what is not a full record or a plain site: no temperatures, no whole month, three years, one tank, six.
//!
//! Source: the issue ("a report with no temperatures, with no valid month, with one tank, with six"); a value that cannot be given says
//! why (DESIGN section 6).

use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;
use tests::command::run;
use tests::folders::{repository, sample, text, with_file};
use tests::page::Page;
use tests::poppler::sheets;
use tests::report::Report;

struct Made {
    _place: TempDir,
    out: PathBuf,
    page: Page,
    report: Report,
}

/// The nursery on the lines of its gauge that `keep` leaves, each as it changes them.
fn with_record(change: impl Fn(&str) -> Option<String>) -> Made {
    let record = fs::read_to_string(repository().join("sample-data/stations/XX0INVENT01.dly")).unwrap();
    let changed: Vec<String> = record.lines().filter_map(change).collect();
    let (place, file) = with_file("XX0INVENT01.dly", changed.join("\n") + "\n");
    let site: Vec<String> = sample("nursery.toml")
        .lines()
        .map(|line| match line.split_once(" = ").map_or("", |(key, _)| key) {
            "folder" => format!("files = [{:?}]", text(&file)),
            _ => line.to_owned(),
        })
        .collect();
    make(place, &site.join("\n"))
}

fn make(place: TempDir, site: &str) -> Made {
    let file = place.path().join("site.toml");
    fs::write(&file, site).unwrap();
    let out = place.path().join("out");
    let ran = run(&["assess", text(&file), "--out", text(&out)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let made =
        Made { page: Page::parse(&fs::read_to_string(out.join("report.html")).unwrap()), report: Report::read(&out), out, _place: place };
    // What every report must be, whatever it knows.
    for (id, value) in made.page.facts() {
        made.report.holds(id, value).unwrap();
    }
    let mut texts = vec![made.page.text.clone()];
    texts.extend(sheets(text(&made.out.join("report.pdf"))).unwrap_or_default());
    texts.extend(fs::read_dir(made.out.join("charts")).unwrap().map(|chart| fs::read_to_string(chart.unwrap().path()).unwrap()));
    for text in texts {
        for wrong in ["NaN", "nan,", "inf ", "Infinity", "[label.", "[chart.", "[withheld.", "None"] {
            let around = text
                .split_once(wrong)
                .map(|(before, _)| before.chars().rev().take(60).collect::<Vec<_>>().into_iter().rev().collect::<String>());
            assert_eq!(around, None, "{wrong}");
        }
    }
    made
}

#[test]
fn without_temperatures_a_place_with_frost_has_no_headline() {
    // The nursery's file says that it freezes: that is taken, and is not asked for again.
    let element = |line: &str, element: &str| line.get(17..21) == Some(element);
    let made = with_record(|line| (!element(line, "TMAX") && !element(line, "TMIN") && !element(line, "TAVG")).then(|| line.to_owned()));
    assert!(made.report.number("store.reliability.volume").is_none());
    assert!(made.page.text.contains("No headline is given yet") && made.page.text.contains("It freezes here, as the site file states"));
    assert!(!made.page.text.contains("Say in the site file whether it freezes"));
    assert!(made.report.number("rain.normal/month=7").is_some(), "what needs no temperature is given");
    if let Some(sheets) = sheets(text(&made.out.join("report.pdf"))) {
        assert!(sheets[0].contains("No headline is given yet"));
    }
}

#[test]
fn without_one_whole_month_there_are_pages_and_reasons() {
    // The value of the 15th stands in columns 134-138, its flags behind it (GHCN-Daily readme, section III).
    let made = with_record(|line| {
        let mut line = line.to_owned();
        if line.get(17..21) == Some("PRCP") {
            line.replace_range(133..141, "-9999   ");
        }
        Some(line)
    });
    assert!((1..=12).all(|month| made.report.number(&format!("rain.normal/month={month}")).is_none()));
    assert!(made.page.text.contains("not given"));
    assert!(made.report.number("record.missing").is_some_and(|days| days > 500.0));
}

#[test]
fn three_years_are_too_few_for_a_headline() {
    let made = with_record(|line| matches!(line.get(11..15), Some("2001" | "2002" | "2003")).then(|| line.to_owned()));
    assert!(made.report.number("store.reliability.volume").is_none());
    assert!(made.page.text.contains("No headline is given yet") && made.page.text.contains("Too few years"));
}

#[test]
fn one_tank_and_six_and_six_unlike() {
    let nursery = sample("nursery.toml");
    let place = || tempfile::tempdir().unwrap();
    let no_room = nursery.split("[space]").next().unwrap().to_owned() + "[[demand]]" + nursery.split_once("[[demand]]").unwrap().1;
    // Where each of two tanks stands says nothing of one or six.
    let no_room: String = no_room.lines().filter(|line| !line.starts_with("places =")).map(|line| format!("{line}\n")).collect();
    let one = make(place(), &no_room.replace("count = 2", "count = 1"));
    let six = make(place(), &no_room.replace("count = 2", "count = 6"));
    let usable = |made: &Made| made.report.number("store.usable").unwrap();
    assert!((usable(&six) - 6.0 * usable(&one)).abs() < 1e-9);
    assert!(!one.page.text.contains("Pipe between linked tanks of"), "one tank has no link");
    assert!(six.page.text.contains("Pipe between linked tanks of"));

    let (before, after) = no_room.split_once("[[store]]").unwrap();
    let (_, rest) = after.split_once("\n[[").unwrap();
    let stores: String = (1..=6)
        .map(|n| {
            format!(
                "[[store]]\nname = \"Tank {n}\"\nnominal = \"{} L\"\ndiameter = \"{:.1} m\"\nheight = \"1.{n} m\"\n\n",
                300 * n,
                0.8 + 0.1 * f64::from(n)
            )
        })
        .collect();
    let unlike = make(place(), &format!("{before}{stores}[[{rest}"));
    for n in 1..=6 {
        assert!(unlike.page.text.contains(&format!("Tank {n}")));
    }
}
