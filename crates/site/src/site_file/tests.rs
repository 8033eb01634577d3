//! Site files that are read, and site files that are refused with all their faults and the place of each.
//!
//! What is expected stands in the text of each file: values by hand, lines and columns by counting.

mod faults;
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
