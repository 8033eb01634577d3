//! What holds for every input: no panic, every day of the calendar counted once, the order of the lines does not matter.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::catalogue::{Catalogue, Search};
use ingest::{Inventory, StationList, StationRecord, Wanted, read_bytes};
use proptest::prelude::*;

fn records(bytes: &[u8]) -> Vec<StationRecord> {
    let mut records = Vec::new();
    // A file fault is an answer too.
    let _ = read_bytes("a.dly", bytes, Wanted { temperatures: true, ..Wanted::default() }, &mut records);
    records
}

fn group() -> impl Strategy<Value = String> {
    let flag = |letters: &'static str| prop_oneof![8 => Just(' '), 1 => proptest::sample::select(letters.chars().collect::<Vec<_>>())];
    prop_oneof![
        3 => Just("-9999   ".to_owned()),
        1 => (2..6).prop_map(|days| format!("{days:5}  v")),
        6 => (-20..3000, flag("BDPTK"), flag("GIKLXZ")).prop_map(|(value, m, q)| format!("{value:5}{m}{q}v")),
    ]
}

prop_compose! {
    fn line()(
        station in 0..10u8,
        year in 1998..2002,
        month in 1..=13u32,
        element in proptest::sample::select(vec!["PRCP", "PRCP", "PRCP", "MDPR", "DAPR", "TMAX", "TMIN", "SNOW"]),
        groups in proptest::collection::vec(group(), 31),
    ) -> String {
        format!("XXT0000000{}{year}{month:02}{element}{}", u8::from(station == 0), groups.concat())
    }
}

/// Where and how to damage a file.
fn damage() -> impl Strategy<Value = (usize, u8, u8)> {
    (any::<usize>(), 0..4u8, prop_oneof![any::<u8>(), Just(b'\n'), Just(0), Just(b'\r')])
}

fn damaged(mut bytes: Vec<u8>, places: Vec<(usize, u8, u8)>) -> Vec<u8> {
    for (at, how, byte) in places {
        if bytes.is_empty() {
            break;
        }
        let at = at % bytes.len();
        match how {
            0 => bytes[at] = byte,
            1 => bytes.insert(at, byte),
            2 => _ = bytes.remove(at),
            _ => bytes.truncate(bytes.len() - at % 40),
        }
    }
    bytes
}

fn adds_up(record: &StationRecord) -> Result<(), TestCaseError> {
    let c = record.rain.counts();
    prop_assert_eq!(c.calendar, c.measured + c.trace + c.accumulated + c.rejected + c.missing);
    prop_assert_eq!(c.calendar, record.rain.period().map_or(0, series::Period::days));
    for total in record.rain.multi_day_totals() {
        // Nothing that a total of known length covers is counted elsewhere too.
        if let Some(period) = total.period() {
            prop_assert!(record.rain.within(period).all(|(_, reading)| !reading.is_usable()));
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn damaged_files_read_without_panic_and_add_up(lines in proptest::collection::vec(line(), 1..12), places in proptest::collection::vec(damage(), 0..12), crlf in any::<bool>()) {
        let text = lines.join(if crlf { "\r\n" } else { "\n" });
        for record in records(&damaged(text.into_bytes(), places)) {
            adds_up(&record)?;
        }
    }

    #[test]
    fn the_order_of_lines_does_not_matter(lines in proptest::collection::vec(line(), 1..30), at in any::<usize>()) {
        // One line a station, month and element, so that there is no first of two.
        let mut lines = lines;
        lines.sort();
        lines.dedup_by(|a, b| a[..21] == b[..21]);
        let sorted = format!("{}\n", lines.join("\n"));
        let at = at % lines.len();
        lines.rotate_left(at);
        let turned = format!("{}\n", lines.join("\n"));
        let by_id = |text: &str| {
            let mut records = records(text.as_bytes());
            records.sort_by(|a, b| a.rain.station.id.cmp(&b.rain.station.id));
            records
        };
        let (one, other) = (by_id(&sorted), by_id(&turned));
        prop_assert_eq!(one.len(), other.len());
        for (a, b) in one.iter().zip(&other) {
            adds_up(a)?;
            prop_assert_eq!(a.rain.readings(), b.rain.readings());
            prop_assert_eq!(a.rain.period(), b.rain.period());
            prop_assert_eq!(&a.temperature, &b.temperature);
            prop_assert_eq!(&a.diagnostics.counts, &b.diagnostics.counts);
        }
    }

    #[test]
    fn a_line_put_in_twice_changes_no_reading(lines in proptest::collection::vec(line(), 1..10), again in any::<usize>()) {
        let plain = lines.join("\n");
        let doubled = format!("{plain}\n{}", lines[again % lines.len()]);
        for (a, b) in records(plain.as_bytes()).iter().zip(&records(doubled.as_bytes())) {
            prop_assert_eq!(a.rain.readings(), b.rain.readings());
        }
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        records(&bytes);
        let _ = StationList::read_bytes("x", &bytes);
        let _ = Inventory::read_bytes("x", &bytes);
    }

    #[test]
    fn no_companion_line_makes_it_panic(text in "[A-Z0-9 .\\-]{0,100}", places in proptest::collection::vec(damage(), 0..4)) {
        let list = format!("XXT00000001  17.1167  -61.7833   10.1    SOMEWHERE\n{text}\nXXT00000001  17.1167  -61.7833 PRCP 1891 1991\n");
        let bytes = damaged(list.into_bytes(), places);
        let _ = StationList::read_bytes("x", &bytes);
        let _ = Inventory::read_bytes("x", &bytes);
        // Its lines are read apart as a list and as an inventory; the damage goes through both.
        if let Ok((catalogue, _)) = Catalogue::read_bytes(("x", bytes.clone()), Some(("x", &bytes))) {
            let search = Search { latitude_degrees: 17.0, longitude_degrees: -61.0, elevation_m: None, years: None, within_km: 20_000.0 };
            let (nearby, _) = catalogue.near(&search);
            prop_assert!(nearby.counts.within_reach >= nearby.counts.ranked);
        }
    }
}
