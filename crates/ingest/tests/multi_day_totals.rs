//! Totals over several days: MDPR with and without DAPR (GHCN-Daily readme 3.26, section III; traps of shared/data/MANIFEST.md).
//! The files are invented.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{StationRecord, Wanted, read_bytes};
use series::{Kind, Reading, Rejection};
use testkit::DlyText;

/// 1.0 mm on 1 to 5 and on 20 to 28 February 2001; nothing between.
fn february() -> DlyText {
    DlyText::new("XXT00000001").rain_run_mm((2001, 2, 1), &[Some(1.0); 5]).rain_run_mm((2001, 2, 20), &[Some(1.0); 9])
}

fn read(text: &DlyText) -> StationRecord {
    let mut records = Vec::new();
    read_bytes("a.dly", text.to_text().as_bytes(), Wanted::default(), &mut records).unwrap();
    let record = records.pop().unwrap();
    let c = record.rain.counts();
    assert_eq!(c.calendar, c.measured + c.trace + c.accumulated + c.rejected + c.missing);
    record
}

/// The days of February from one to another: m measured, A12 total of 12 days, A? of unknown length, w within, - missing, L rejected.
fn days(record: &StationRecord, from: u32, to: u32) -> String {
    let kinds = (from..=to).map(|day| match record.rain.reading(series::Day::new(2001, 2, day).unwrap()).kind() {
        Kind::Measured => "m".to_owned(),
        Kind::Accumulated { days: Some(days) } => format!("A{days}"),
        Kind::Accumulated { days: None } => "A?".to_owned(),
        Kind::WithinTotal => "w".to_owned(),
        Kind::Missing => "-".to_owned(),
        Kind::Rejected(Rejection::QualityFlag(letter)) => char::from(letter).to_string(),
        other => format!("{other:?}"),
    });
    kinds.collect::<Vec<_>>().join(" ")
}

#[test]
fn a_total_of_known_length_covers_the_missing_days_before_it() {
    let record = read(&february().accumulated_mm((2001, 2, 10), 14.0, Some(3)));
    assert_eq!(days(&record, 6, 11), "- - w w A3 -");
    assert_eq!((record.rain.counts().accumulated, record.rain.total_micrometres()), (3, 14_000));
    assert!(record.diagnostics.is_empty());
    assert_eq!(record.rain.multi_day_totals().next().unwrap().micrometres, 14_000);
}

#[test]
fn a_total_without_a_usable_length_fills_nothing() {
    for length in [None, Some(1), Some(0), Some(-3), Some(400)] {
        let record = read(&february().accumulated_mm((2001, 2, 10), 14.0, length));
        assert_eq!(days(&record, 6, 11), "- - - - A? -", "{length:?}");
        assert_eq!(record.diagnostics.count("total-of-unknown-length"), 1);
    }
    let record = read(&february().value((2001, 2, 10), "MDPR", 140).flagged((2001, 2, 10), "DAPR", 3, 'L'));
    assert_eq!((days(&record, 6, 11).as_str(), record.diagnostics.count("total-of-unknown-length")), ("- - - - A? -", 1));
}

#[test]
fn a_flagged_total_is_rejected_and_its_days_stay_missing() {
    let record = read(&february().flagged((2001, 2, 10), "MDPR", 140, 'L').value((2001, 2, 10), "DAPR", 3));
    assert_eq!((days(&record, 6, 11).as_str(), record.diagnostics.count("total-flagged")), ("- - - - L -", 1));
    // A usable reading of that day is not touched by it.
    let record = read(&february().flagged((2001, 2, 21), "MDPR", 140, 'L').value((2001, 2, 21), "DAPR", 3));
    assert_eq!(days(&record, 19, 22), "- m m m");
}

#[test]
fn a_length_alone_is_no_value() {
    let record = read(&february().value((2001, 2, 10), "DAPR", 3).value((2001, 2, 22), "DAPR", 2));
    assert_eq!((days(&record, 6, 11).as_str(), record.diagnostics.count("total-length-without-total")), ("- - - - - -", 2));
}

#[test]
fn a_covered_day_with_its_own_reading_keeps_it() {
    // 4 and 5 February are measured.
    let record = read(&february().accumulated_mm((2001, 2, 7), 14.0, Some(4)));
    assert_eq!((days(&record, 3, 8).as_str(), record.diagnostics.count("total-overlaps-measured-day")), ("m m m - A? -", 1));
    // The last day itself is measured: the total gives way.
    let record = read(&february().accumulated_mm((2001, 2, 20), 14.0, Some(3)));
    assert_eq!((days(&record, 17, 21).as_str(), record.diagnostics.count("total-overlaps-measured-day")), ("- - - m m", 1));
    let record = read(&february().accumulated_mm((2001, 2, 20), 14.0, None));
    assert_eq!((days(&record, 17, 21).as_str(), record.diagnostics.count("total-overlaps-measured-day")), ("- - - m m", 1));
    assert_eq!(record.rain.total_micrometres(), 14_000);
}

#[test]
fn a_rejected_reading_is_no_reading() {
    // A rejected day before the last stays rejected; one on the last day gives way to an accepted total.
    let flagged = february().flagged((2001, 2, 9), "PRCP", 5, 'I').flagged((2001, 2, 10), "PRCP", 5, 'I');
    let record = read(&flagged.accumulated_mm((2001, 2, 10), 14.0, Some(3)));
    assert_eq!(days(&record, 6, 11), "- - w I A3 -");
    assert_eq!(record.diagnostics.count("reading-flagged"), 2);
}

#[test]
fn of_two_totals_over_one_day_the_earlier_stands() {
    let record = read(&february().accumulated_mm((2001, 2, 10), 14.0, Some(3)).accumulated_mm((2001, 2, 12), 9.0, Some(4)));
    assert_eq!((days(&record, 6, 13).as_str(), record.diagnostics.count("totals-overlap")), ("- - w w A3 - A? -", 1));
    // Side by side they do not meet.
    let record = read(&february().accumulated_mm((2001, 2, 10), 14.0, Some(3)).accumulated_mm((2001, 2, 12), 9.0, Some(2)));
    assert_eq!((days(&record, 6, 13).as_str(), record.diagnostics.count("totals-overlap")), ("- - w w A3 w A2 -", 0));
    // A total of unknown length inside a longer one.
    let record = read(&february().accumulated_mm((2001, 2, 10), 14.0, None).accumulated_mm((2001, 2, 12), 9.0, Some(4)));
    assert_eq!((days(&record, 6, 13).as_str(), record.diagnostics.count("totals-overlap")), ("- - - - A? - A? -", 1));
}

#[test]
fn a_total_may_cross_months_and_reach_back_before_the_file() {
    let text =
        DlyText::new("XXT00000001").rain_mm((2001, 1, 28), 1.0).accumulated_mm((2001, 2, 2), 8.0, Some(5)).rain_mm((2001, 2, 3), 1.0);
    let record = read(&text);
    let kinds: Vec<_> = record.rain.readings().to_vec();
    let within = Reading::WITHIN_TOTAL;
    assert_eq!(
        kinds,
        [Reading::measured(1000), within, within, within, within, Reading::accumulated(8000, Some(5)), Reading::measured(1000)]
    );
    // Before the first usable day there is no calendar.
    let record = read(&DlyText::new("XXT00000001").accumulated_mm((2001, 2, 2), 8.0, Some(5)).rain_mm((2001, 2, 3), 1.0));
    assert_eq!((record.rain.counts().calendar, record.rain.readings_outside()), (1, 2));
}

#[test]
fn an_unreadable_total_is_rejected() {
    let text = february().accumulated_mm((2001, 2, 10), 14.0, Some(3)).to_text().replace("  140", "  1x0");
    let mut records = Vec::new();
    read_bytes("a.dly", text.as_bytes(), Wanted::default(), &mut records).unwrap();
    let day = series::Day::new(2001, 2, 10).unwrap();
    assert_eq!(records[0].rain.reading(day).kind(), Kind::Rejected(Rejection::Unreadable));
    assert_eq!(records[0].rain.reading(day.plus(-1)).kind(), Kind::Missing);
}
