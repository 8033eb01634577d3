//! Places, outlines and heights that only the drawings use. Areas and distances by hand.

use super::{LEAST, NURSERY, ORCHARD, assert_findings, findings, read};
use crate::ground::{self, GroundPoint};
use crate::site_file::{LengthAlong, parse, parse_place};
use series::Length;

/// The least site file with keys in its roof, in its store, and sections at its end. The roof's keys stand on line 11, then
/// the store's header on line 13 and its keys from 14 on.
fn with(roof: &str, store: &str, end: &str) -> String {
    let text = LEAST.replacen("covering", &format!("{roof}\ncovering"), 1);
    format!("{}{end}\n", text.replacen("nominal", &format!("{store}\nnominal"), 1))
}

const SQUARE: &str = r#"outline = [["0 m", "0 m"], ["8 m", "0 m"], ["8 m", "8 m"], ["0 m", "8 m"]]"#;

#[test]
fn the_samples_have_a_layout_that_agrees_with_itself() {
    let nursery = read(NURSERY);
    // 8 m x 8 m, 8 m x 4.75 m.
    let areas: Vec<f64> = nursery.roofs.iter().map(|entry| ground::area(&entry.layout.outline)).collect();
    assert!((areas[0] - 64.0).abs() < 1e-9 && (areas[1] - 38.0).abs() < 1e-9, "{areas:?}");
    assert_eq!(nursery.stores[0].layout.places, [GroundPoint::new(1.0, 8.4), GroundPoint::new(2.35, 8.4)]);
    assert_eq!((nursery.plan.bearing_of_top, nursery.plan.buildings.len()), (Some(20.0), 2));
    let orchard = read(ORCHARD);
    // 50 ft x 25 ft in m2, ft = 0.3048 m (exact).
    assert!((ground::area(&orchard.roofs[0].layout.outline) - 50.0 * 25.0 * 0.3048 * 0.3048).abs() < 1e-9);
    assert_eq!(orchard.stores[0].layout.outfall_height.as_ref().map(|typed| typed.text.as_str()), Some("-1 ft"));
}

#[test]
fn faults_of_places() {
    for (roof, store, end, expected) in [
        (
            r#"outline = [["0 m", "0 m"], ["8 m", "8 m"], ["8 m", "0 m"], ["0 m", "8 m"]]"#,
            "",
            "",
            ("outline-crosses-itself", 11, 11, "cross or touch"),
        ),
        (r#"outline = [["0 m", "0 m"], ["8 m", "0 m"]]"#, "", "", ("value-out-of-range", 11, 11, "expected at least 3 places")),
        (r#"outline = "8 m""#, "", "", ("value-wrong-type", 11, 11, "expected a list of places")),
        (r#"downpipe = ["8 m"]"#, "", "", ("value-wrong-type", 11, 12, "found a list of 1, expected a place, two distances")),
        (r#"downpipe = ["8 m", 3]"#, "", "", ("quantity-unreadable", 11, 20, "without a unit; expected a length")),
        (r#"downpipe = ["8 m", "3000 m"]"#, "", "", ("value-out-of-range", 11, 20, "at most 1000 m")),
        (r#"gutters = [["0 m", "0 m"]]"#, "", "", ("key-unknown", 11, 1, "did you mean \"gutter\"?")),
        ("", "count = 2\nplaces = [[\"0 m\", \"0 m\"]]", "", ("keys-contradict", 15, 10, "found 1 places for 2 tanks")),
        ("", "length_along = \"north\"", "", ("choice-unknown", 14, 16, "one of \"right\", \"up\"")),
        ("", "", "[plan]\nbearing_of_top = 400", ("value-out-of-range", 19, 18, "degrees clockwise from north")),
        ("", "", "[[building]]\nname = \"House\"", ("key-missing", 18, 1, "building[1].outline is missing")),
        ("", "", "[[mark]]\nplace = [\"1 m\", \"1 m\"]", ("key-missing", 18, 1, "mark[1].name is missing")),
        ("", "", "[[marks]]\nname = \"Well\"", ("key-unknown", 18, 3, "did you mean \"mark\"?")),
        (
            "",
            "",
            "[collection]\nfirst_flush = \"20 L\"\nfirst_flush_bottom_height = \"1 m\"\nfirst_flush_top_height = \"0.5 m\"\nfirst_flush_empties_after_dry_days = 2",
            ("keys-contradict", 21, 26, "found 0.5 m, expected a height above first_flush_bottom_height, 1 m"),
        ),
    ] {
        let text = with(roof, store, end);
        assert!(parse(&text, "site.toml").is_err(), "{text}");
        assert_findings(&text, &[expected]);
    }
    let twice = with("", "", "[[building]]\nname = \"House\"\nOUT\n[[building]]\nname = \"house\"\nOUT").replace("OUT", SQUARE);
    assert_findings(&twice, &[("name-repeated", 22, 8, "a second time")]);
}

#[test]
fn what_does_not_agree_is_used_with_a_warning() {
    // An L of 10 m x 4 m and 6 m x 3 m holds 58 m2, 9 % less than 64 m2; 61 m2 would be within 5 %.
    let l = r#"outline = [["0 m", "0 m"], ["10 m", "0 m"], ["10 m", "4 m"], ["6 m", "4 m"], ["6 m", "7 m"], ["0 m", "7 m"]]"#;
    assert_findings(
        &with(l, "", ""),
        &[("plan-area-unlike-outline", 11, 11, "the outline holds 58 m2, but the plan area is given as 64 m2")],
    );
    assert!(findings(&with(l, "", "").replace("64 m2", "61 m2")).is_empty());
    // A cylinder of 1 m whose middle lies 3 m from the one side that is given: 2.5 m from it.
    let store =
        "diameter = \"1 m\"\nheight = \"1.5 m\"\nplaces = [[\"2 m\", \"3 m\"]]\noverflow_path = [[\"2 m\", \"3 m\"], [\"6 m\", \"3 m\"]]";
    let plan = "[plan]\nboundary = [[\"0 m\", \"0 m\"], [\"9 m\", \"0 m\"]]\n[surroundings]\nboundary_distance = \"BOUND\"\nfoundation_distance = \"WALL\"\n[[building]]\noutline = [[\"9 m\", \"7 m\"], [\"12 m\", \"7 m\"], [\"12 m\", \"9 m\"]]";
    let typed = |bound: &str, wall: &str| with("", store, plan).replace("BOUND", bound).replace("WALL", wall).replace("1000 L", "900 L");
    // From (6, 3) to the corner (9, 7): 3, 4, 5.
    assert!(findings(&typed("2.5 m", "5 m")).is_empty());
    assert!(findings(&typed("2.25 m", "4.8 m")).is_empty(), "within 0.3 m");
    assert_findings(
        &typed("3.1 m", "6 m"),
        &[
            ("distance-unlike-plan", 24, 21, "surroundings.boundary_distance: found 3.1 m, but the places of the plan make it 2.5 m"),
            ("distance-unlike-plan", 25, 23, "found 6 m, but the places of the plan make it 5 m"),
        ],
    );
    // Of a closed boundary: the store inside, the end of its overflow outside.
    let closed = "[plan]\nboundary = [[\"0 m\", \"0 m\"], [\"5 m\", \"0 m\"], [\"5 m\", \"9 m\"], [\"0 m\", \"9 m\"]]";
    let found = findings(&with("", store, closed).replace("1000 L", "900 L"));
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].0, found[0].1), ("place-outside-boundary", 17));
    assert!(found[0].3.contains("6 m to the right and 3 m up"), "{found:?}");
    // 0.1 m wide and 1 m high: pi/4 x 0.01 x 1 m3 = 7.85 L.
    let chamber = "[collection]\nfirst_flush = \"20 L\"\nfirst_flush_diameter = \"0.1 m\"\nfirst_flush_bottom_height = \"0.5 m\"\nfirst_flush_top_height = \"1.5 m\"";
    let found = findings(&with("", "", chamber));
    assert_eq!((found.len(), found[0].0), (1, "first-flush-larger-than-chamber"));
    assert!(found[0].3.contains("at most 7.854 L, but the first flush is 20 L"), "{found:?}");
}

#[test]
fn a_box_lies_as_it_is_told() {
    let place = GroundPoint::new(5.0, 5.0);
    let (length, width) = (Length::new(4.0), Length::new(2.0));
    assert_eq!(LengthAlong::Right.rectangle(place, length, width)[2], GroundPoint::new(7.0, 6.0));
    assert_eq!(LengthAlong::Up.rectangle(place, length, width)[2], GroundPoint::new(6.0, 7.0));
    let store = "length = \"2 m\"\nwidth = \"1 m\"\nheight = \"1 m\"\nplaces = [[\"0 m\", \"0 m\"]]";
    let file = read(&with("", store, ""));
    assert!(file.assumptions.iter().any(|one| (one.key.as_str(), one.value_text.as_str()) == ("store[1].length_along", "right")));
}

/// By hand: tanks of 1 m across; a boundary 0.3 m from the middle of the first; the second 0.6 m beside the first.
#[test]
fn tanks_across_a_boundary_or_on_each_other_are_told() {
    let store =
        |second: &str| format!("count = 2\ndiameter = \"1 m\"\nheight = \"1.6 m\"\nplaces = [[\"0 m\", \"0 m\"], [\"{second}\", \"0 m\"]]");
    let boundary = "[plan]\nboundary = [[\"-9 m\", \"0.3 m\"], [\"-0.1 m\", \"0.3 m\"]]";
    assert_findings(
        &with("", &store("0.6 m"), boundary),
        &[
            ("store-across-boundary", 17, 10, "store[1].places, tank 1: plan.boundary runs through it"),
            ("stores-on-the-same-ground", 17, 10, "store[1].places, tank 2: it stands on the ground of store[1].places, tank 1"),
        ],
    );
    assert!(findings(&with("", &store("1 m"), "")).is_empty(), "side by side they touch");
}

#[test]
fn the_place_is_read_from_a_file_that_is_not_finished() {
    let begun = "format = 1\n[site]\nname = \"Shed\"\nlatitude = 44.5\nlongitude = -36.0\nelevation = \"330 m\"\n";
    let (place, found) = parse_place(begun, "site.toml").unwrap();
    assert_eq!((place.site.latitude, place.site.longitude, place.period, found.total()), (44.5, -36.0, None, 0));
    let (place, _) = parse_place(&format!("{begun}[records]\nperiod = \"1981-2024\"\n"), "site.toml").unwrap();
    assert_eq!(place.period.map(|period| (period.first.year(), period.last.year())), Some((1981, 2024)));
    let (whole, _) = parse_place(NURSERY, "site.toml").unwrap();
    assert_eq!(whole.site, read(NURSERY).site);
    // All faults of what is read come together; a file without a place has none.
    let found = parse_place(&begun.replace("44.5", "144.5").replace("\"330 m\"", "\"330\""), "site.toml").unwrap_err();
    assert_eq!(found.list.iter().map(|one| one.line).collect::<Vec<_>>(), [Some(4), Some(6)], "{found:?}");
    for text in ["", "format = 1\n", "format = 1\n[site\n", "format = 1\n[records]\nperiod = \"x\"\n"] {
        assert!(parse_place(text, "site.toml").is_err(), "{text:?}");
    }
}
