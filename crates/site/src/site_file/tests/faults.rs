//! What is refused, what is used with a warning, and that all faults of a file come together.
//!
//! Lines and columns by counting in the text of each file.

use super::*;

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
