//! Texts that nobody wrote for us: huge, cut, mixed up, random. None makes the reader panic, and what is let through can be
//! reckoned with.

use super::super::{LARGEST, parse};
use super::{LEAST, NURSERY, ORCHARD, assert_findings};
use proptest::prelude::*;
use series::Severity;

#[test]
fn a_hostile_file_stays_bounded() {
    let over = "#".repeat(LARGEST + 1);
    assert_findings(&over, &[("site-file-too-large", 1, 1, "1048577 bytes")]);
    // Many sections, many unknown keys, one long line, deep nesting, a long key and a long text.
    let many = format!("{LEAST}{}", "[[roof]]\n".repeat(60_000));
    let found = parse(&many, "x").unwrap_err();
    assert_eq!(found.count("sections-too-many"), 1);
    assert!(found.list.len() <= 200, "{}", found.list.len());
    let keys = (0..60_000).map(|key| format!("key{key} = 1\n")).collect::<Vec<_>>().concat();
    let found = parse(&keys, "x").unwrap_err();
    assert_eq!(found.count("key-unknown"), 60_000);
    assert_eq!(found.list.iter().filter(|one| one.id == "key-unknown").count(), series::Diagnostics::KEPT);
    for text in [
        format!("a = {}", "[".repeat(500_000)),
        format!("{} = 1", "a.".repeat(400_000)),
        format!("{} = 1", "a".repeat(1_000_000)),
        format!("[site]\nname = \"{}\"", "ü".repeat(500_000)),
        format!("site = {{ {} }}", (0..50_000).map(|key| format!("k{key} = 1")).collect::<Vec<_>>().join(", ")),
        "\u{feff}format = 1".to_owned(),
        "[[demand]]\nmonths = [1, 2".to_owned() + &", 3".repeat(300_000) + "]",
    ] {
        let found = parse(&text, "x").unwrap_err();
        assert!(found.list.iter().all(|one| one.message.len() < 1000 && one.text.as_ref().is_none_or(|text| text.chars().count() <= 400)));
    }
}

/// A sample with a few pieces cut out, doubled or replaced.
fn mutated() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just(String::new()),
        Just("\"".to_owned()),
        Just("[[roof]]\n".to_owned()),
        Just("-1e308".to_owned()),
        Just("9223372036854775808".to_owned()),
        Just("\"1e300 m\"".to_owned()),
        Just("[[[]]]".to_owned()),
        Just("\u{0}".to_owned()),
        "[\\PC\n]{0,12}",
    ];
    let edits = prop::collection::vec((any::<prop::sample::Index>(), 0usize..40, piece), 1..6);
    (prop::bool::ANY, edits).prop_map(|(metric, edits)| {
        let mut chars: Vec<char> = (if metric { NURSERY } else { ORCHARD }).chars().collect();
        for (at, cut, piece) in edits {
            let start = at.index(chars.len());
            let end = (start + cut).min(chars.len() - 1);
            chars.splice(start.min(end)..end, piece.chars());
        }
        chars.into_iter().collect()
    })
}

/// A sample with the value of one line replaced: TOML that is whole and says something else.
fn another_value() -> impl Strategy<Value = String> {
    let value = prop_oneof![
        Just("true".to_owned()),
        Just("[]".to_owned()),
        Just("{}".to_owned()),
        Just("1979-05-27".to_owned()),
        any::<i64>().prop_map(|number| number.to_string()),
        any::<f64>().prop_map(|number| format!("{number:?}").replace("NaN", "nan")),
        (any::<f64>(), prop::sample::select(vec!["m", "m2", "L", "gal", "mm", "in", "mm/h", "ft2", "kg", "min", ""]))
            .prop_map(|(number, unit)| format!("\"{number} {unit}\"")),
        (-2.0..3000.0f64, prop::sample::select(vec!["m", "m2", "L", "gal", "mm", "in", "mm/h", "ft2", "kg"]))
            .prop_map(|(number, unit)| format!("\"{number} {unit}\"")),
    ];
    (prop::bool::ANY, any::<prop::sample::Index>(), value).prop_map(|(metric, at, value)| {
        let sample = if metric { NURSERY } else { ORCHARD };
        let lines: Vec<usize> = sample.lines().enumerate().filter(|(_, line)| line.contains(" = ")).map(|(line, _)| line).collect();
        let chosen = lines[at.index(lines.len())];
        let changed = sample.lines().enumerate().map(|(line, text)| {
            let key = text.split(" = ").next().unwrap();
            if line == chosen { format!("{key} = {value}") } else { text.to_owned() }
        });
        changed.collect::<Vec<_>>().join("\n")
    })
}

fn check(text: &str) {
    match parse(text, "x.toml") {
        Ok((file, found)) => {
            assert!(found.worst() < Some(Severity::Error));
            // What is let through has a meaning for every computation behind it.
            for roof in file.roofs() {
                roof.check().unwrap();
                assert!(roof.plan_area.get() > 0.0);
            }
            file.collection.check().unwrap();
            for store in file.stores() {
                assert!(store.usable().unwrap().get() > 0.0);
            }
            for demand in file.demands() {
                demand.check().unwrap();
            }
        }
        Err(found) => {
            assert_eq!(found.worst(), Some(Severity::Error));
            for one in &found.list {
                assert!(one.line.is_some() && one.column.is_some() && !one.done.is_empty() && !one.message.is_empty());
                assert!((one.line.unwrap() as usize) <= text.split('\n').count());
                assert_ne!(one.id, "site-file-unreadable", "{:#?}", found.list);
            }
            assert!(found.list.windows(2).all(|two| (two[0].line, two[0].column) <= (two[1].line, two[1].column)));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn no_text_makes_it_panic(text in "[\\PC\n\r\t\u{0}\u{feff}]{0,200}") {
        check(&text);
    }

    #[test]
    fn no_mutated_sample_makes_it_panic(text in mutated()) {
        check(&text);
    }

    #[test]
    fn no_other_value_makes_it_panic(text in another_value()) {
        check(&text);
    }
}
