//! The invented log of `sample-data` is read as its heading says, and shows each kind of entry.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used)]

use ingest::{Wanted, read_file};
use series::DayLabel;
use std::path::Path;

#[test]
fn the_garden_log_shows_each_kind_of_entry() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data/garden-log.csv");
    let mut records = Vec::new();
    read_file(&file, Wanted::default(), &mut records).unwrap();
    let (rain, findings) = (&records[0].rain, &records[0].diagnostics);
    assert_eq!((rain.station.id.as_str(), rain.station.position()), ("invented-garden", Some((44.496, -36.008))));
    assert_eq!((rain.day_definition.start_hour, rain.day_definition.label), (Some(8), DayLabel::LastDay));
    // Counted in the file: October and November to the last reading have 60 days; one blank, two broken; three Mondays with three days each.
    let text = std::fs::read_to_string(&file).unwrap();
    let rows: Vec<Vec<&str>> =
        text.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_digit())).map(|line| line.split(';').collect()).collect();
    let with = |depth: &str| rows.iter().filter(|row| row[1] == depth).count();
    let counts = rain.counts();
    assert_eq!((counts.calendar, counts.trace), (60, with("T")));
    assert_eq!((counts.missing, counts.rejected, counts.estimated), (with("") + with("broken"), 0, 1));
    let totals = rows.iter().filter(|row| row[2] == "3").count();
    assert_eq!((counts.accumulated, rain.multi_day_totals().count()), (3 * totals, totals));
    assert!(totals >= 2 && counts.trace >= 1 && with("nil") >= 1, "{totals} {} {}", counts.trace, with("nil"));
    assert_eq!(findings.count("reading-not-made"), with("broken"));
}
