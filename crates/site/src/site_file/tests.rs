//! Site files that are read, and site files that are refused with all their faults and the place of each.
//!
//! What is expected stands in the text of each file: values by hand, lines and columns by counting.

mod hostile;
mod places;

use super::*;
use crate::{FirstFlushEmptying, RunoffCoefficient, Shape, WinterRule};
use series::{Area, DateOrder, Depth, DepthUnit, Intensity, Length, Quantity, Severity, UnitSystem, Volume};

const NURSERY: &str = include_str!("../../../../sample-data/nursery.toml");
const ORCHARD: &str = include_str!("../../../../sample-data/orchard.toml");
const REFERENCE: &str = include_str!("../../../../sample-data/SITE-FILE.md");

/// The least that is a site file.
const LEAST: &str = r#"format = 1
[site]
name = "Shed"
latitude = 44.5
longitude = -36.0
elevation = "330 m"
[records]
folder = "stations"
[[roof]]
plan_area = "64 m2"
covering = "metal"
[[store]]
nominal = "1000 L"
[[demand]]
per_day = "50 L"
"#;

/// What is expected of a finding: id, line, column, a part of its message.
type Expected = (&'static str, u32, u32, &'static str);
/// A change of the least site file (from, to) and the one finding that it makes.
type Change = (&'static str, &'static str, Expected);

fn read(text: &str) -> SiteFile {
    match parse(text, "site.toml") {
        Ok((site_file, _)) => site_file,
        Err(found) => panic!("{:#?}", found.list),
    }
}

/// Every finding of a text as (id, line, column, message).
fn findings(text: &str) -> Vec<(&'static str, u32, u32, String)> {
    let found = match parse(text, "site.toml") {
        Ok((_, found)) | Err(found) => found,
    };
    found.list.into_iter().map(|one| (one.id, one.line.unwrap_or(0), one.column.unwrap_or(0), one.message)).collect()
}

fn assert_findings(text: &str, expected: &[Expected]) {
    let found = findings(text);
    let same = found.len() == expected.len()
        && found
            .iter()
            .zip(expected)
            .all(|(found, expected)| (found.0, found.1, found.2) == (expected.0, expected.1, expected.2) && found.3.contains(expected.3));
    let shown: Vec<String> = found.iter().map(|(id, line, column, message)| format!("{id} {line}:{column} {message}")).collect();
    assert!(same, "expected {expected:#?}\nfound\n{}", shown.join("\n"));
}

/// The least file with a few lines changed; an empty `from` adds lines at the end.
fn changed(from: &str, to: &str) -> String {
    assert!(LEAST.contains(from));
    if from.is_empty() { format!("{LEAST}{to}\n") } else { LEAST.replacen(from, to, 1) }
}

#[test]
fn the_metric_sample() {
    let (file, found) = parse(NURSERY, "nursery.toml").unwrap();
    assert!(found.worst() <= Some(Severity::Note), "{:#?}", found.list);
    assert_eq!(found.count("frost-without-rest"), 1);
    assert!(NURSERY.lines().next().unwrap().contains("INVENTED") && file.site.name.contains("invented"));
    assert_eq!((file.plan_area(), file.roofs.len()), (Area::new(102.0), 2));
    assert_eq!(file.stores[0].store.count, 2);
    assert_eq!(file.official, None);
    assert_eq!(file.surroundings.basement, Some(true));
    // 24 m2 x 20 mm = 480 L a week on three days, from May to September.
    let daily = file.demands[0].value.daily_by_month;
    assert_eq!((daily[3], daily[4], daily[8], daily[9]), (Volume::ZERO, Volume::new(160.0), Volume::new(160.0), Volume::ZERO));
    // A tank 1.5 m high on 0.3 m of blocks with its overflow at 1.7 m: a fifteenth lies above it.
    assert!((file.stores[0].store.above_overflow.get() - 100.0).abs() < 1e-9);
    assert_eq!(file.collection.first_flush.unwrap().emptying, FirstFlushEmptying::Drains { per_day: Volume::new(20.0) });
}

#[test]
fn the_us_customary_sample() {
    let (file, found) = parse(ORCHARD, "orchard.toml").unwrap();
    assert!(found.is_empty(), "{:#?}", found.list);
    assert!(ORCHARD.lines().next().unwrap().contains("INVENTED") && file.site.name.contains("invented"));
    assert_eq!((file.site.units, file.site.locale), (UnitSystem::UsCustomary, Locale::EnUs));
    // 50 ft x 25 ft = 1250 ft2.
    let (square_feet, unit) = file.plan_area().shown(UnitSystem::UsCustomary);
    assert!((square_feet - 1250.0).abs() < 1e-9 && unit == "ft2");
    assert_eq!(file.roofs[0].plan_area.text, "50 ft x 25 ft");
    // CHECKS C1.1 (144/231 gal for 1 in on 1 ft2): 0.02 in on 1250 ft2.
    let flush = file.collection.first_flush.unwrap().volume.shown(UnitSystem::UsCustomary).0;
    assert!((flush - 0.02 * 1250.0 * 144.0 / 231.0).abs() < 1e-9);
    let official = file.official.unwrap();
    assert_eq!((official.text.as_str(), official.value.duration_minutes, official.value.return_period_years), ("4.3 in/h", 5.0, 25.0));
    assert!((official.value.intensity().get() - Intensity::parse("109.22 mm/h").unwrap().get()).abs() < 1e-9);
    assert_eq!(file.winter.rule, WinterRule::Rests { from: (11, 15), to: (3, 15) });
    // 6.50 for 1000 gal = 3.785411784 m3.
    assert!((file.supply.tariff_per_m3.unwrap() - 6.5 / 3.785_411_784).abs() < 1e-12);
    assert_eq!(file.demands[1].value.daily_by_month[7], Volume::parse("25 gal").unwrap());
}

#[test]
fn the_least_site_file_and_every_default() {
    let file = read(LEAST);
    assert!(findings(LEAST).is_empty());
    let ids: Vec<&str> = file.assumptions.iter().map(|one| one.key.as_str()).collect();
    assert_eq!(
        ids,
        [
            "site.units",
            "site.locale",
            "site.stage",
            "records.wet_day",
            "records.seed",
            "records.use_neighbours",
            "records.amounts_as_measured",
            "records.undercatch",
            "roof[1].runoff_coefficient",
            "roof[1].wetting_loss",
            "collection.screen_share_passed",
            "collection.first_flush",
            "store[1].dead",
            "store[1].above_overflow",
            "supply.top_up",
            "supply.pump",
            "targets.volumetric_reliability",
            "winter.store_rests_from",
            "winter.melt_credit",
        ]
    );
    assert_eq!(file.roofs[0].plan_area, Typed { value: Area::new(64.0), text: "64 m2".to_owned(), line: 10, column: 13 });
    assert_eq!((file.stores[0].store.name.as_str(), file.stores[0].store.dead), ("Store 1", Volume::new(50.0)));
    assert_eq!(file.site.stage, Stage::NotStated);
    // Windows line ends change nothing.
    let windows = read(&LEAST.replace('\n', "\r\n"));
    assert_eq!(windows.roofs, file.roofs);
}

#[test]
fn every_unit_reads_back_as_it_was_typed() {
    // NIST SP 811 (2008), Appendix B, from memory: ft2 = 0.09290304 m2, US gal = 3.785411784 L, in = 25.4 mm (all exact).
    for (text, square_metres) in [("64 m2", 64.0), ("64 m²", 64.0), ("700 ft2", 65.032_128), ("700 sq ft", 65.032_128)] {
        let roof = &read(&changed("64 m2", text)).roofs[0];
        assert!((roof.plan_area.value.get() - square_metres).abs() < 1e-9, "{text}");
        assert_eq!((roof.plan_area.text.as_str(), roof.plan_area.line), (text, 10));
    }
    for (text, litres) in [("1000 L", 1000.0), ("1.5 m3", 1500.0), ("265 gal", 1_003.134_122_76)] {
        let store = &read(&changed("1000 L", text)).stores[0];
        assert!((store.nominal.value.get() - litres).abs() < 1e-8, "{text}");
        let (number, unit) = store.nominal.value.shown(UnitSystem::UsCustomary);
        assert!((Volume::parse(&format!("{number} {unit}")).unwrap().get() - litres).abs() < 1e-8);
    }
    for (text, millimetres) in [("0.5 mm", 0.5), ("0.02 in", 0.508), ("0.1 cm", 1.0)] {
        let roof = &read(&changed("covering", &format!("wetting_loss = \"{text}\"\ncovering"))).roofs[0].roof;
        assert!((roof.wetting_loss.get() - millimetres).abs() < 1e-12, "{text}");
    }
}

#[test]
fn all_faults_of_one_file_at_once_in_its_order() {
    let text = r#"format = 2
elevation = "3 m"
[site]
name = ""
latitude = -93.2
longitude = 44.9
untis = "metric"
stage = "not bought"
[records]
foldr = "stations"
period = "2024-1981"
[[roof]]
plan_area = "64 mm2"
covering = "mettal"
runoff_coefficient = 85
[[roof]]
plan_area = "-12 m2"
covering = "other"
[collection]
first_flush = "50 L"
first_flush_depth = "0.5 mm"
[[store]]
nominal = 1000
buried = "yes"
[[demand]]
per_day = "1,000 L"
months = ["may", "juno", 13]
weekday = ["mon"]
[surroundigns]
basement = true
"#;
    assert_findings(
        text,
        &[
            ("format-unknown", 1, 10, "found the number 2, expected format = 1"),
            ("key-unknown", 2, 1, "\"elevation\"; it belongs in [site]"),
            ("elevation-missing", 3, 1, "site.elevation is missing"),
            ("text-unusable", 4, 8, "site.name: found an empty text"),
            ("value-out-of-range", 5, 12, "found -93.2, expected degrees north from -90 to 90; latitude and longitude look swapped"),
            ("key-unknown", 7, 1, "\"untis\"; did you mean \"units\"?"),
            ("choice-unknown", 8, 9, "found \"not bought\", expected one of \"not purchased\""),
            ("key-missing", 9, 1, "records.folder is missing"),
            ("key-unknown", 10, 1, "\"foldr\"; did you mean \"folder\"?"),
            ("value-out-of-range", 11, 10, "found 2024-1981, expected a first and a last year"),
            ("quantity-unreadable", 13, 13, "roof[1].plan_area: found \"64 mm2\" with the unknown unit \"mm2\"; expected an area in m2"),
            ("choice-unknown", 14, 12, "did you mean \"metal\"?"),
            ("value-out-of-range", 15, 22, "found 85, expected a share from 0 to 1; if it is a percentage, write 0.85"),
            ("key-missing", 16, 1, "roof[2].runoff_coefficient is missing"),
            ("value-out-of-range", 17, 13, "roof[2].plan_area: found -12 m2, expected an area above zero"),
            ("keys-contradict", 21, 1, "found first_flush and first_flush_depth together; give one of them"),
            ("quantity-unreadable", 23, 11, "found \"1000\" without a unit; expected a volume"),
            ("value-wrong-type", 24, 10, "found the text \"yes\", expected true or false"),
            ("quantity-unreadable", 26, 11, "a comma means thousands"),
            ("choice-unknown", 27, 18, "demand[1].months: found the text \"juno\""),
            ("choice-unknown", 27, 26, "demand[1].months: found the number 13"),
            ("key-unknown", 28, 1, "\"weekday\"; did you mean \"weekdays\"?"),
            ("key-unknown", 29, 2, "the unknown section \"surroundigns\"; did you mean \"surroundings\"?"),
        ],
    );
    let found = parse(text, "site.toml").unwrap_err();
    let first = &found.list[10];
    assert_eq!((first.file.as_str(), first.span, first.text.as_deref()), ("site.toml", Some(8), Some("plan_area = \"64 mm2\"")));
    assert_eq!((first.severity, first.done.as_str()), (Severity::Error, "the site file was not used"));
    assert_eq!(found.worst(), Some(Severity::Error));
}

#[test]
fn what_is_refused() {
    let table: &[Change] = &[
        ("format = 1\n", "", ("key-missing", 1, 1, "format is missing")),
        ("name = \"Shed\"\n", "", ("key-missing", 2, 1, "site.name is missing")),
        ("latitude = 44.5", "latitude = \"44.5\"", ("value-wrong-type", 4, 12, "found the text \"44.5\", expected degrees north")),
        ("latitude = 44.5", "latitude = nan", ("value-out-of-range", 4, 12, "found nan")),
        ("longitude = -36.0", "longitude = -360", ("value-out-of-range", 5, 13, "found -360")),
        ("330 m", "99 km", ("quantity-unreadable", 6, 13, "which is a distance")),
        ("330 m", "33000 ft", ("value-out-of-range", 6, 13, "expected a height")),
        ("name = \"Shed\"", "name = \"S\\u202Ehed\"", ("text-unusable", 3, 8, "invisible character U+202E")),
        ("name = \"Shed\"", "name = \"a\\nb\"", ("text-unusable", 3, 8, "invisible character U+000A")),
        ("[records]\nfolder = \"stations\"\n", "", ("section-missing", 1, 1, "[records] is missing")),
        ("folder = \"stations\"", "folder = \"s\"\nfiles = [\"a.dly\"]", ("keys-contradict", 9, 1, "folder and files together")),
        ("folder = \"stations\"", "files = []", ("value-out-of-range", 8, 9, "found a list of 0")),
        ("folder = \"stations\"", "files = [\"a.dly\", 7]", ("value-wrong-type", 8, 19, "found the number 7")),
        ("folder =", "period = \"1991-2020\"\nnormals = \"1981-2010\"\nfolder =", ("keys-contradict", 9, 11, "expected years within")),
        ("[[roof]]", "[roof]", ("value-wrong-type", 9, 2, "expected a section [[roof]] in double brackets")),
        ("[site]", "[[site]]", ("value-wrong-type", 2, 3, "expected a section [site]")),
        ("plan_area = \"64 m2\"\n", "", ("key-missing", 9, 1, "roof[1].plan_area is missing")),
        ("plan_area = \"64 m2\"", "length = \"8 m\"", ("key-missing", 9, 1, "roof[1].width is missing")),
        ("covering", "length = \"8 m\"\nwidth = \"8 m\"\ncovering", ("keys-contradict", 12, 1, "plan_area and length and width together")),
        ("64 m2", "64 L", ("quantity-unreadable", 10, 13, "which is a volume")),
        ("64 m2", "0 m2", ("value-out-of-range", 10, 13, "above zero")),
        ("covering = \"metal\"\n", "", ("key-missing", 9, 1, "roof[1].covering is missing")),
        ("covering", "coefficient_is = \"annual\"\ncovering", ("key-missing", 9, 1, "because coefficient_is says \"annual\"")),
        ("covering", "runoff_coefficient = 1.2\ncovering", ("value-out-of-range", 11, 22, "found 1.2")),
        ("covering", "runoff_coefficient = 0\ncovering", ("value-out-of-range", 11, 22, "shed nothing")),
        ("nominal = \"1000 L\"", "dead = \"9 L\"", ("key-missing", 12, 1, "store[1].nominal is missing")),
        ("1000 L\"", "1000 L\"\ndead = \"1000 L\"", ("keys-contradict", 14, 8, "leave nothing of nominal 1000 L")),
        ("1000 L\"", "1000 L\"\ncount = 0", ("value-out-of-range", 14, 9, "from 1 to 100")),
        ("1000 L\"", "1000 L\"\ncount = 1.5", ("value-wrong-type", 14, 9, "a whole number")),
        (
            "1000 L\"",
            "1000 L\"\ndiameter = \"1 m\"\nheight = \"1.2 m\"",
            ("keys-contradict", 13, 11, "found 1000 L, but the stated outer shape (0.7854 m2 by 1.2 m high) can hold at most 942.4778 L"),
        ),
        ("1000 L\"", "1000 L\"\ndiameter = \"1 m\"", ("key-missing", 12, 1, "store[1].height is missing")),
        ("1000 L\"", "1000 L\"\nlength = \"1 m\"\ndiameter = \"2 m\"", ("keys-contradict", 15, 1, "diameter and length together")),
        (
            "1000 L\"",
            "1000 L\"\noutlet_height = \"1 m\"\noverflow_height = \"0.9 m\"",
            ("keys-contradict", 15, 19, "not below the outlet's"),
        ),
        ("50 L", "-50 L", ("value-out-of-range", 15, 11, "of zero or more")),
        ("50 L", "0 L", ("demand-zero", 14, 1, "no demand above zero")),
        ("per_day = \"50 L\"\n", "", ("key-missing", 14, 1, "demand[1].per_day is missing")),
        ("per_day = \"50 L\"", "area = \"30 m2\"", ("key-missing", 14, 1, "demand[1].depth_per_week is missing")),
        ("50 L\"", "50 L\"\narea = \"3 m2\"", ("keys-contradict", 16, 1, "per_day and area together")),
        ("per_day = \"50 L\"", "by_month = [\"5 L\"]", ("value-out-of-range", 15, 12, "found a list of 1")),
        ("50 L\"", "50 L\"\nweekdays = []", ("value-out-of-range", 16, 12, "found a list of 0")),
        ("50 L\"", "50 L\"\n[[demand]]\nname = \"demand 1\"\nper_day = \"1 L\"", ("name-repeated", 17, 8, "a second time")),
        ("", "[collection]\nfirst_flush_drains_per_day = \"5 L\"", ("keys-contradict", 17, 1, "without a first flush")),
        (
            "",
            "[official]\nintensity = \"75 mm\"\nduration = \"5 min\"\nreturn_period = 20\nsource = \"x\"\nread_on = 2026-05-04",
            ("quantity-unreadable", 17, 13, "which is a depth of water"),
        ),
        (
            "",
            "[official]\nintensity = \"75 mm/h\"\nduration = \"5\"\nreturn_period = 20\nsource = \"x\"\nread_on = \"2026-05-04\"",
            ("quantity-unreadable", 18, 12, "a duration in min or h"),
        ),
        (
            "",
            "[official]\nintensity = \"75 mm/h\"\nduration = \"5 min\"\nreturn_period = 20\nread_on = 2026-05-04",
            ("key-missing", 16, 1, "official.source is missing"),
        ),
        (
            "",
            "[official]\nintensity = \"75 mm/h\"\nduration = \"5 min\"\nreturn_period = 20\nsource = \"x\"\nread_on = \"4 May 2026\"",
            ("date-unreadable", 21, 11, "expected a calendar day"),
        ),
        (
            "",
            "[official]\nintensity = \"75 mm/h\"\ntable = \"a.csv\"\nduration = \"5 min\"\nreturn_period = 20",
            ("keys-contradict", 18, 1, "table and intensity together"),
        ),
        (
            "",
            "[official]\ntable = \"a.csv\"\nduration = \"5 min\"\nreturn_period = 20\nsource = \"x\"",
            ("keys-contradict", 20, 1, "table and source together"),
        ),
        ("", "[official]\ntable = \"a.csv\"\nduration = \"5 min\"", ("key-missing", 16, 1, "official.return_period is missing")),
        (
            "folder",
            "depth_unit = \"tenth-of-mm\"\nfolder",
            ("choice-unknown", 8, 14, "\"hundredths-of-in\"; did you mean \"tenths-of-mm\"?"),
        ),
        ("folder", "date_order = \"day-month\"\nfolder", ("choice-unknown", 8, 14, "\"year-month-day\"")),
        ("folder", "depth_units = \"mm\"\nfolder", ("key-unknown", 8, 1, "did you mean \"depth_unit\"?")),
        ("", "[supply]\ntariff_per_m3 = 2\ntariff_per_1000_gal = 3", ("keys-contradict", 18, 1, "give one of them")),
        ("", "[[cost]]\nitem = \"tank\"", ("key-missing", 16, 1, "cost[1].amount is missing")),
        ("", "[targets]\nvolumetric_reliability = 80", ("value-out-of-range", 17, 26, "write 0.8")),
        ("", "[surroundings]\nwell_distance = \"-3 m\"", ("value-out-of-range", 17, 17, "of zero or more")),
        ("", "[winter]\nstore_rests_from = \"11-15\"", ("key-missing", 16, 1, "winter.store_rests_to is missing")),
        ("", "[winter]\nstore_rests_from = \"02-30\"\nstore_rests_to = \"03-01\"", ("value-out-of-range", 17, 20, "a month and a day")),
    ];
    for (from, to, expected) in table {
        let text = changed(from, to);
        assert!(parse(&text, "site.toml").is_err(), "{text}");
        assert_findings(&text, &[*expected]);
    }
}

#[test]
fn what_is_used_with_a_warning_or_a_note() {
    let table: &[Change] = &[
        ("elevation = \"330 m\"\n", "", ("elevation-missing", 2, 1, "difference in height")),
        ("latitude = 44.5\nlongitude = -36.0", "latitude = -81.5\nlongitude = 30.0", ("value-unlikely", 4, 12, "look swapped")),
        ("64 m2", "0.9 m2", ("value-unlikely", 10, 13, "less than 1 m2")),
        ("64 m2", "20001 m2", ("value-unlikely", 10, 13, "more than 20000 m2")),
        (
            "covering",
            "runoff_coefficient = 0.5\ncovering",
            ("coefficient-outside-range", 11, 22, "outside the range of this covering, 0.7 to 0.9"),
        ),
        (
            "covering",
            "runoff_coefficient = 0.8\ncoefficient_is = \"annual\"\nwetting_loss = \"1 mm\"\ncovering",
            ("losses-switched-off", 13, 16, "an annual coefficient holds every loss"),
        ),
        (
            "[[store]]",
            "runoff_coefficient = 0.8\ncoefficient_is = \"annual\"\n[collection]\nfirst_flush = \"20 L\"\n[[store]]",
            ("losses-switched-off", 15, 15, "first flush and screen take nothing"),
        ),
        ("", "[collection]\nfirst_flush_depth = \"9 mm\"", ("value-unlikely", 17, 21, "this is 9 mm on all roofs")),
        ("1000 L", "1001 m3", ("value-unlikely", 13, 11, "more than 1000 m3")),
        (
            "",
            "[official]\nintensity = \"75 mm/h\"\nduration = \"5 min\"\nreturn_period = 20\nsource = \"x\"",
            ("official-undated", 16, 1, "read_on"),
        ),
        ("", "[[cost]]\nitem = \"tank\"\namount = 250", ("currency-missing", 2, 1, "site.currency")),
        ("", "[surroundings]\nfrost = true", ("frost-without-rest", 17, 9, "names no days")),
        ("folder", "normals = \"1991-2010\"\nfolder", ("normals-not-thirty-years", 8, 11, "found 20 years")),
    ];
    for (from, to, expected) in table {
        let text = changed(from, to);
        assert!(parse(&text, "site.toml").is_ok(), "{text}");
        assert_findings(&text, &[*expected]);
    }
}

#[test]
fn an_annual_coefficient_switches_the_wetting_loss_off() {
    let text = changed("covering", "runoff_coefficient = 0.8\ncoefficient_is = \"annual\"\nwetting_loss = \"1 mm\"\ncovering");
    let roof = &read(&text).roofs[0].roof;
    assert_eq!((roof.runoff_coefficient, roof.wetting_loss), (RunoffCoefficient::Annual(0.8), Depth::ZERO));
}

#[test]
fn tanks_and_the_space_for_them() {
    let site = |store: &str, space: &str| changed("nominal = \"1000 L\"", &format!("nominal = \"1000 L\"\n{store}\n[space]\n{space}"));
    let cylinder = "diameter = \"1.22 m\"\nheight = \"1.5 m\"";
    // A tank may be turned, and one that fits exactly fits.
    read(&site("length = \"1 m\"\nwidth = \"2 m\"\nheight = \"1 m\"", "length = \"2 m\"\nwidth = \"1 m\"\nheight = \"1 m\""));
    read(&site(&format!("count = 2\n{cylinder}"), "length = \"2.6 m\"\nwidth = \"1.3 m\"\nheight = \"2 m\""));
    assert_eq!(
        read(&site(cylinder, "height = \"2 m\"")).stores[0].store.shape,
        Some(Shape::Cylinder { diameter: Length::new(1.22), height: Length::new(1.5) })
    );
    assert_findings(
        &site(cylinder, "length = \"2.6 m\"\nwidth = \"1.2 m\"\nheight = \"1.4 m\""),
        &[
            ("store-larger-than-space", 14, 12, "found a tank of 1.22 m by 1.22 m, larger than the stated space of 2.6 m by 1.2 m"),
            ("store-larger-than-space", 15, 10, "found a tank 1.5 m high with its stand, larger than the stated space 1.4 m high"),
        ],
    );
    // On a stand of 0.6 m it is 2.1 m high; in the ground it needs no room above.
    let stand = format!("{cylinder}\nfloor_height = \"0.6 m\"");
    assert_findings(&site(&stand, "height = \"2 m\""), &[("store-larger-than-space", 15, 10, "2.1 m high with its stand")]);
    read(&site(&format!("{stand}\nburied = true"), "height = \"2 m\""));
    // Three of 1.169 m2 are 3.507 m2; the space has 3.38 m2.
    assert_findings(
        &site(&format!("count = 3\n{cylinder}"), "length = \"2.6 m\"\nwidth = \"1.3 m\""),
        &[("store-larger-than-space", 12, 1, "the tanks together cover 3.507 m2, larger than the stated space of 3.38 m2")],
    );
}

#[test]
fn faults_of_toml_come_alone_one_a_line() {
    assert_findings(
        &changed("plan_area = \"64 m2\"", "plan_area = 64 m2").replace("[[store]]", "[[store]"),
        &[("toml-syntax", 10, 13, "not TOML"), ("toml-syntax", 12, 9, "not TOML")],
    );
    assert_findings(&changed("covering", "plan_area = \"3 m2\"\ncovering"), &[("toml-syntax", 11, 1, "duplicate key")]);
    assert_eq!(findings("<!DOCTYPE html>\n<html>").first().map(|one| (one.0, one.1)), Some(("toml-syntax", 1)));
    assert_eq!(findings("format = 1\0").first().map(|one| (one.0, one.1)), Some(("toml-syntax", 1)));
}

#[test]
fn a_value_without_quotes_hides_no_other_fault() {
    // All in the order of the lines, whatever their kind.
    let text = changed("plan_area = \"64 m2\"", "plan_area = 64 m2 # by tape").replace("elevation = \"330 m\"", "elevation = \"high\"");
    let text = format!("{text}[supply]\ntop_up = yes\nsource = \"no\"\n[surroundings]\nfrost = True\nbasment = perhaps not\n");
    let found = findings(&text);
    let told: Vec<(&str, u32, u32)> = found.iter().map(|one| (one.0, one.1, one.2)).collect();
    let lines: Vec<u32> = found.iter().map(|one| one.1).collect();
    assert!(lines.is_sorted(), "{told:?}");
    for (id, line, words) in [
        ("quantity-unreadable", 6, "high"),
        ("toml-syntax", 10, "roof[1].plan_area: found 64 m2 without quotes"),
        ("value-wrong-type", 17, "supply.top_up: found the text yes, expected true or false"),
        ("value-wrong-type", 20, "surroundings.frost: found the text True, expected true or false"),
        ("key-unknown", 21, "basement"),
        ("toml-syntax", 21, "found perhaps not without quotes"),
    ] {
        assert!(found.iter().any(|one| (one.0, one.1) == (id, line) && one.3.contains(words)), "{id} {line}: {found:#?}");
    }
}

#[test]
fn answers_and_a_table_are_handed_on() {
    let text = changed("folder", "depth_unit = \"hundredths-of-in\"\ndate_order = \"month-day-year\"\nfolder");
    let text = format!("{text}[official]\ntable = \"atlas.csv\"\nduration = \"1 h\"\nreturn_period = 25\n");
    let (file, found) = parse(&text, "site.toml").unwrap();
    assert!(found.is_empty(), "{:#?}", found.list);
    assert_eq!(file.records.depth_unit, Some(DepthUnit::HundredthOfInch));
    assert_eq!(file.records.date_order, Some(DateOrder::MonthDayYear));
    let table = file.official_table.unwrap();
    assert_eq!(
        (table.table.value.as_str(), table.duration_minutes.value, table.duration_minutes.text.as_str()),
        ("atlas.csv", 60.0, "1 h")
    );
    assert_eq!((table.return_period_years.value, table.return_period_years.text.as_str(), file.official), (25.0, "25", None));
}

#[test]
fn an_empty_file_says_what_is_missing() {
    let found = findings("");
    let ids: Vec<&str> = found.iter().map(|one| one.0).collect();
    assert_eq!(ids, ["key-missing", "section-missing", "section-missing", "section-missing", "section-missing", "section-missing"]);
}

#[test]
fn columns_count_characters() {
    let text = changed("per_day = \"50 L\"", "by_month = [\"5 L\", \"ä\", 3]");
    let found = findings(&text);
    assert_eq!(found.iter().map(|one| (one.0, one.1, one.2)).collect::<Vec<_>>(), [("value-out-of-range", 15, 12)]);
    let twelve = "by_month = [\"ä\", 3, \"0 L\", \"0 L\", \"0 L\", \"0 L\", \"0 L\", \"0 L\", \"0 L\", \"0 L\", \"0 L\", \"0 L\"]";
    let found = findings(&changed("per_day = \"50 L\"", twelve));
    assert_eq!(
        found.iter().map(|one| (one.0, one.1, one.2)).collect::<Vec<_>>(),
        [("quantity-unreadable", 15, 13), ("quantity-unreadable", 15, 18)]
    );
}

#[test]
fn the_reference_names_every_key() {
    for section in schema::SECTIONS {
        let header = if section.repeated { format!("`[[{}]]`", section.name) } else { format!("`[{}]`", section.name) };
        let part = REFERENCE.split("\n## ").find(|part| part.starts_with(&header)).unwrap_or_else(|| panic!("{header}"));
        for key in section.keys {
            assert!(part.contains(&format!("`{key}`")), "{header} {key}");
        }
    }
}

#[test]
fn the_samples_of_the_reference_are_read() {
    for block in REFERENCE.split("```toml\n").skip(1) {
        let text = block.split("```").next().unwrap();
        assert!(parse(text, "SITE-FILE.md").is_ok(), "{:#?}", findings(text));
    }
}
