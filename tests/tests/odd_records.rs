//! Pages of records that are not one plain gauge with a name: the mean of an area, a number for a name, snow noted by the source, a slip of the
//! pen, days to come, no rain at all, characters that paper cannot show.
//!
//! Source: what an observer of a weather service stumbled over (issue 5); counts are by hand.

use std::fmt::Write;
use std::fs;
use tempfile::TempDir;
use tests::command::run;
use tests::folders::text;
use tests::page::Page;
use tests::poppler::sheets;
use tests::report::Report;

/// 100 m2 of metal, a full cubic metre, 80 L a day, at an invented place that the record stands in `rain.txt` beside.
fn site(name: &str, more: &str) -> String {
    format!(
        "format = 1\n[site]\nname = \"{name}\"\nlatitude = 50.0\nlongitude = -36.0\nelevation = \"100 m\"\nprepared_on = 2026-01-01\n\
         [records]\nfiles = [\"rain.txt\"]\n[[roof]]\nplan_area = \"100 m2\"\ncovering = \"metal\"\n[[store]]\nnominal = \"1000 L\"\n\
         [[demand]]\nper_day = \"80 L\"\n{more}"
    )
}

struct Made {
    place: TempDir,
    page: Page,
    report: Report,
}

fn made(site: &str, record: &str) -> Made {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("site.toml"), site).unwrap();
    fs::write(place.path().join("rain.txt"), record).unwrap();
    let out = place.path().join("out");
    let ran = run(&["assess", text(&place.path().join("site.toml")), "--out", text(&out)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let page = Page::parse(&fs::read_to_string(out.join("report.html")).unwrap());
    let report = Report::read(&out);
    for (id, value) in page.facts() {
        report.holds(id, value).unwrap();
    }
    Made { page, report, place }
}

/// The page of `rainworth record`.
fn record_page(record: &str) -> String {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("rain.txt");
    fs::write(&file, record).unwrap();
    let ran = run(&["record", text(&file)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.lines().all(|line| line.contains("rain.txt") || line.chars().count() <= 80), "{}", ran.stdout);
    ran.stdout
}

/// Every day of 2001 to 2012.
fn days() -> impl Iterator<Item = series::Day> {
    series::Period::of_years(2001, 2012).iter()
}

/// A HadUKP file of 2.00 mm every day.
fn area() -> String {
    let mut file =
        "Daily Central England precipitation (mm). Invented.\nalexander & jones (2001)\nHadUKP daily\nDate      Value\n".to_owned();
    days().for_each(|day| writeln!(file, "{day}  2.00").unwrap());
    file
}

/// A rain file of the DWD of 2.0 mm every day, without a text that names the station. 1 January is snow.
fn dwd() -> String {
    let mut file = "STATIONS_ID;MESS_DATUM;QN_6;  RS; RSF;SH_TAG;NSH_TAG;eor\r\n".to_owned();
    for day in days() {
        let form = if day.day_of_year() == 1 { 7 } else { 6 };
        let date = day.to_string().replace('-', "");
        write!(file, "       1526;{date};   10;   2.0;   {form};-999;-999;eor\r\n").unwrap();
    }
    file
}

#[test]
fn the_mean_of_an_area_is_no_gauge_on_page_one() {
    let made = made(&site("Steady (invented)", "[surroundings]\nfrost = false\n"), &area());
    assert!(made.page.text.contains("The rain is the mean of an area") && !made.page.text.contains("that of one gauge"));
    assert!(made.page.text.contains("No day had to be filled.") && !made.page.text.contains("0 days without a reading"));
}

#[test]
fn what_the_source_notes_of_snow_is_told() {
    let mild = made(&site("Steady (invented)", "[surroundings]\nfrost = false\n"), &dwd());
    // Twelve first days of January.
    assert_eq!(mild.report.number("record.finding.count/finding=precipitation-as-snow"), Some(12.0));
    assert!(mild.page.text.contains("The site file says that it does not freeze here"), "against what the source notes");
    assert!(mild.page.text.contains("snow, or snow with rain: 12."));
    let silent = made(&site("Steady (invented)", ""), &dwd());
    assert!(
        silent.page.text.contains("Say in the site file whether it freezes")
            && silent.page.text.contains("snow with rain, on 12 of its days")
    );
    let rests = "[surroundings]\nfrost = true\n[winter]\nstore_rests_from = \"11-15\"\nstore_rests_to = \"03-15\"\n";
    let rested = made(&site("Steady (invented)", rests), &dwd());
    assert!(rested.report.number("store.reliability.volume").is_some());
    assert!(rested.page.text.contains("what falls outside of the winter rest is taken for rain"));
    assert!(record_page(&dwd()).contains("On 12 days its source notes snow"));
}

#[test]
fn a_station_without_a_name_is_named_once() {
    let made = made(&site("Steady (invented)", "[surroundings]\nfrost = false\n"), &dwd());
    let id = made.report.json["records"]["candidates"][0]["summary"]["station"]["id"].as_str().unwrap().to_owned();
    assert!(!made.page.text.contains(&format!("{id} ({id})")), "{id}");
    assert!(!made.page.text.contains("nearest first Station "), "a column that says nothing is left out");
    assert!(!made.page.text.contains("site.elevation"), "the gauge's height is what is not known");
}

#[test]
fn a_slip_of_the_pen_and_days_to_come_are_listed() {
    let mut log = "date,rain (mm)\n".to_owned();
    // 2.5 mm on every other day of an invented year to come, and one day of 1900 mm.
    for (at, day) in series::Period::of_years(2201, 2201).iter().enumerate() {
        let depth = if at == 200 { "1900" } else { ["2.5", "0"][at % 2] };
        writeln!(log, "{day},{depth}").unwrap();
    }
    let page = record_page(&log);
    let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("The five greatest days, mm 1900.0 2201-07-20 above any rain ever measured in 24 hours 2.5 2201-01-01 no flag"),
        "{page}"
    );
    assert!(flat.contains("rejected 2201-07-20: 1900.0 mm is more than was ever measured in 24 hours (1825.0 mm)."), "{page}");
    assert!(flat.contains("365 usable days lie after today, the last on 2201-12-31"), "{page}");
    // 183 days at an even place of 365, one of them with the slip of the pen.
    assert!(flat.contains("183 days of rain, 183 of them of 1.0 mm or more, on the mean of 1 whole year"), "{page}");
    assert!(!flat.contains("depths in"), "two depths tell of no step: {page}");
}

#[test]
fn a_record_without_rain_or_without_a_usable_day_says_so() {
    let dry = record_page(&testkit::DlyText::new("XXT00000001").rain_run_mm((2001, 9, 1), &[Some(0.0); 30]).to_text());
    assert!(dry.contains("no rain on any usable day") && !dry.contains("greatest day"), "{dry}");
    let september = dry.lines().find(|line| line.trim_start().starts_with("Sep")).unwrap();
    assert!(september.matches("no rain").count() == 2 && !september.contains(" 0.0 2"), "{september}");
    assert!(dry.lines().any(|line| line.trim() == "Oct  no usable day"), "{dry}");
    let none = record_page(&testkit::DlyText::new("XXT00000001").temperature_c((2001, 1, 1), 4.0, -2.0).to_text());
    assert!(none.contains("no usable day of rain") && !none.contains("0.0 mm"), "{none}");
}

#[test]
fn what_paper_cannot_show_is_told_on_the_paper() {
    // U+4E2D, which the shipped typeface does not have.
    let made = made(&site("Steady \u{4E2D} (invented)", "[surroundings]\nfrost = false\n"), &dwd());
    let told = "show U+FFFD in place of characters that their typeface does not have (U+4E2D)";
    assert!(made.page.text.contains(told) && made.page.text.contains('\u{4E2D}'));
    if let Some(sheets) = sheets(text(&made.place.path().join("out/report.pdf"))) {
        let words = sheets.join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("(U+4E2D)"), "{words}");
    }
}
