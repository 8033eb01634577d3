//! The whole join on records whose answer is plain arithmetic: the same depth of rain every day.

use crate::{Assessment, Error, Inputs, Reason, SnowKnowledge, TargetOutcome, assess};
use ingest::{StationRecord, Wanted, read_bytes};
use series::{Day, Diagnostics, Withheld};
use site::site_file;
use testkit::DlyText;

/// A station with `tenths` of a millimetre on every day of these years; a mean of 15 C on every day, or no temperatures.
fn steady(id: &str, years: std::ops::RangeInclusive<i32>, tenths: i32, temperatures: bool) -> StationRecord {
    let mut text = DlyText::new(id);
    for year in years {
        for month in 1..=12 {
            for day in 1..=series::days_in_month(year, month) {
                text.put((year, month, day), "PRCP", tenths, [' ', ' ']);
                if temperatures {
                    text.put((year, month, day), "TMAX", 200, [' ', ' ']);
                    text.put((year, month, day), "TMIN", 100, [' ', ' ']);
                }
            }
        }
    }
    let mut records: Vec<StationRecord> = Vec::new();
    read_bytes(&format!("{id}.dly"), text.to_text().as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    records.pop().unwrap()
}

/// 100 m2 at an annual coefficient of one half, a full cubic metre of usable storage, this demand a day on every day.
fn site(per_day: &str, more: &str) -> String {
    format!(
        r#"format = 1
[site]
name = "Steady"
latitude = 50.0
longitude = -36.0
elevation = "100 m"
[records]
folder = "x"
[[roof]]
name = "Roof"
plan_area = "100 m2"
covering = "metal"
runoff_coefficient = 0.5
coefficient_is = "annual"
[[store]]
name = "Tank"
nominal = "1000 L"
dead = "0 L"
[[demand]]
name = "All"
per_day = "{per_day}"
{more}"#
    )
}

fn assessed(site: &str, records: &[StationRecord]) -> Result<Assessment, Error> {
    let (file, _) = site_file::parse(site, "steady.toml").unwrap();
    let prepared_on = Day::new(2026, 1, 1).unwrap();
    assess(Inputs { site: &file, records, diagnostics: &Diagnostics::default(), prepared_on })
}

fn close(found: Option<f64>, expected: f64) {
    let found = found.unwrap();
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} is not {expected}");
}

#[test]
fn steady_rain_has_a_plain_answer() {
    // By hand: 2 mm x 100 m2 x 0.5 = 100 L a day. 80 L a day are met in full and 20 L a day spill; of 200 L a day half is met.
    let records = [steady("XXT00000001", 1990..=2009, 20, true)];
    let plenty = assessed(&site("80 L", ""), &records).unwrap();
    close(plenty.facts.number("store.reliability.volume"), 1.0);
    close(plenty.facts.number("store.spilled_a_year"), 20.0 * 365.2425);
    close(plenty.facts.number("supply.effective_coefficient"), 0.5);
    close(plenty.facts.number("rain.normal/month=7"), 62.0);
    close(plenty.facts.number("full_store.days/month=7"), 12.0);
    assert_eq!(plenty.store.target_outcome(0.8, false), TargetOutcome::Reached);
    assert!(plenty.account.unwrap().residual().get().abs() <= 1e-6);

    let short = assessed(&site("200 L", ""), &records).unwrap();
    close(short.facts.number("store.reliability.volume"), 0.5);
    close(short.facts.number("store.spilled_a_year"), 0.0);
    assert_eq!(short.store.target_outcome(0.8, false), TargetOutcome::TooLittleRain);
}

#[test]
fn a_short_record_has_no_headline() {
    let found = assessed(&site("80 L", ""), &[steady("XXT00000001", 1990..=1998, 20, true)]).unwrap();
    assert_eq!(found.headline_withheld(), Some(Withheld::TooFewYears { have: 9, need: 10 }));
    assert_eq!(found.facts.number("store.reliability.volume"), None);
    assert_eq!(found.facts.number("store.usable"), Some(1000.0), "what comes from the site file alone is still given");
}

#[test]
fn without_temperatures_the_site_must_say_whether_it_freezes() {
    // CHECKS H15: snow is not rain; DESIGN section 6: the page asks and withholds the headline.
    let records = [steady("XXT00000001", 1990..=2009, 20, false)];
    let silent = assessed(&site("80 L", ""), &records).unwrap();
    assert_eq!((silent.run.snow, silent.headline_withheld()), (SnowKnowledge::Unknown, Some(Withheld::SnowUnknown)));
    let frosty = assessed(&site("80 L", "[surroundings]\nfrost = true\n"), &records).unwrap();
    assert_eq!((frosty.run.snow, frosty.headline_withheld()), (SnowKnowledge::StatedFrost, Some(Withheld::SnowUnknown)));
    // What is stated is taken: a store that rests in winter needs no day of frost told.
    let rests = "[surroundings]\nfrost = true\n[winter]\nstore_rests_from = \"11-01\"\nstore_rests_to = \"03-31\"\n";
    let rested = assessed(&site("80 L", rests), &records).unwrap();
    assert_eq!((rested.run.snow, rested.headline_withheld()), (SnowKnowledge::RestsThroughFrost, None));
    // By hand: from 1 November to 31 March (151 days, 152 in a leap year) nothing of the 80 L a day is supplied, and on 1 April, when the draw
    // comes before that day's rain, the store is still empty. 1990 to 2009 have five leap years.
    let (short, all) = (20.0 * (151.0 + 1.0) + 5.0, 20.0 * 365.0 + 5.0);
    close(rested.facts.number("store.reliability.volume"), 1.0 - short / all);
}

#[test]
fn a_gap_of_decades_is_not_bridged() {
    let mut early = steady("XXT00000001", 1950..=1961, 20, true);
    let late = steady("XXT00000001", 1990..=2009, 20, true);
    let first = early.rain.period().unwrap().first;
    let last = late.rain.period().unwrap().last;
    let readings = series::Period::new(first, last).iter().map(|day| {
        let own = early.rain.reading(day);
        if own.is_usable() { own } else { late.rain.reading(day) }
    });
    early.rain = series::DailySeries::new(early.rain.station.clone(), first, readings.collect());
    early.temperature = late.temperature.clone();
    let found = assessed(&site("80 L", "[surroundings]\nfrost = false\n"), &[early]).unwrap();
    assert_eq!(found.run.rain.period(), series::Period::of_years(1990, 2009), "the longer side of the gap");
}

#[test]
fn a_missing_station_is_told_with_its_place() {
    let text = site("80 L", "").replace("folder = \"x\"", "folder = \"x\"\nstation = \"XXT99999999\"");
    let error = assessed(&text, &[steady("XXT00000001", 1990..=2009, 20, true)]).unwrap_err();
    let finding = error.diagnostic("steady.toml");
    assert_eq!((finding.id, finding.file.as_str(), finding.line), ("station-missing", "steady.toml", Some(9)));
    assert!(finding.message.contains("XXT99999999") && finding.message.contains("XXT00000001"), "{}", finding.message);
}

#[test]
fn the_nearest_whole_record_leads() {
    let at = |mut record: StationRecord, latitude: f64| {
        (record.rain.station.latitude, record.rain.station.longitude) = (Some(latitude), Some(-36.0));
        record
    };
    let near_and_short = at(steady("XXT00000001", 2005..=2009, 20, true), 50.01);
    let far_and_long = at(steady("XXT00000002", 1990..=2009, 20, true), 50.2);
    let farther = at(steady("XXT00000003", 1990..=2009, 20, true), 50.4);
    let found = assessed(&site("80 L", ""), &[farther, near_and_short, far_and_long]).unwrap();
    assert_eq!(found.choice.leading().summary.station.id, "XXT00000002");
    assert_eq!(found.choice.reason, Reason::NearestWithYears(10));
}

#[test]
fn a_gauge_on_another_continent_is_warned_of() {
    let mut record = steady("XXT00000001", 1990..=2009, 20, true);
    // Latitude and longitude of the site, 50 N 36 W, with the sign of the longitude lost.
    (record.rain.station.latitude, record.rain.station.longitude) = (Some(50.0), Some(36.0));
    let found = assessed(&site("80 L", ""), &[record]).unwrap();
    let finding = found.diagnostics.list.iter().find(|finding| finding.id == "gauge-far-away").unwrap();
    assert!(finding.notes.iter().any(|note| note.contains("other sign of the longitude")), "{finding:?}");
}
