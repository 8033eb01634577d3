//! What the indicator before a depth of rain makes of it; the table stands at the reader's head.

use crate::delimited::Row;
use crate::station_days::StationDays;
use series::{Day, Qualifier, Reading, Rejection, Severity};

/// What is known of the indicators' meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Key {
    /// The agency's key of synoptic stations.
    Synoptic,
    /// The file of a rain-only station states its key before the heading.
    Stated,
    /// An older file of a rain-only station.
    Unknown,
}

/// More than a gauge ever caught of dew or rime in a day, micrometres (common practice, no source).
const MOST_DEPOSITION: i64 = 2000;

/// The reading as its indicator has it.
pub(super) fn indicated(row: &Row<'_, '_>, place: usize, key: Key, day: Day, reading: Reading, days: &mut StationDays<'_>) -> Reading {
    let depth = reading.stated_micrometres();
    match (row.get(place), key) {
        (b"0" | b"", _) | (b"1", Key::Synoptic) => reading,
        (b"1", Key::Stated) if depth <= MOST_DEPOSITION => reading,
        (b"1", Key::Stated) => {
            days.findings.at("deposition-of-much", Severity::Note, row.line, row.columns(place), || {
                let depth = crate::decimal::millimetres(depth);
                (
                    format!("found {depth} mm on {day} with an indicator of deposition (dew, rime); expected at most 2 mm: perhaps a part of a total over several days"),
                    "The depth is read and counted as estimated.",
                )
            });
            reading.qualified(Qualifier::Estimated.into())
        }
        (b"2" | b"3", Key::Synoptic | Key::Stated) if depth == 0 => Reading::TRACE,
        (b"2" | b"3", Key::Synoptic | Key::Stated) => reading.qualified(Qualifier::MadeOfParts.into()),
        (b"4" | b"5", Key::Synoptic | Key::Stated) => reading.qualified(Qualifier::Estimated.into()),
        (b"6", Key::Synoptic) | (b"6" | b"7", Key::Stated) => {
            if depth != 0 {
                tell_depth(row, place, (day, depth), ("trace-with-depth", "a trace", "The day is a trace, 0 mm."), days);
            }
            Reading::TRACE
        }
        (b"8", Key::Stated) => {
            if depth != 0 {
                tell_depth(row, place, (day, depth), ("value-beside-missing", "8 (not available)", "The day is missing."), days);
            }
            Reading::MISSING
        }
        (code @ b"111", Key::Stated) => {
            days.findings.flagged(
                row.line,
                row.columns(place),
                i32::try_from(depth).unwrap_or(i32::MAX),
                day,
                code[0],
                "111: investigation required",
            );
            Reading::rejected(i32::try_from(depth).unwrap_or(i32::MAX), Rejection::QualityFlag(b'1'))
        }
        (code, key) => {
            let unknown = key == Key::Unknown;
            days.findings.at("precipitation-flag-unknown", Severity::Note, row.line, row.columns(place), || {
                let code = crate::finding::shown(code);
                let key = match key {
                    Key::Synoptic => "0 to 6",
                    Key::Stated => "0 to 8 or 111, as the file's own key has it",
                    Key::Unknown => "0 (this file of a rain-only station states no key; those of 2025 and later do)",
                };
                let done = if unknown {
                    "What it means is not known; the value is read, and counted as estimated by our own guess, not by the source's word."
                } else {
                    "The value is read."
                };
                (format!("found the indicator {code:?} on {day}, expected {key}"), done)
            });
            if unknown { reading.qualified(Qualifier::Estimated.into()) } else { reading }
        }
    }
}

/// A depth beside an indicator that leaves none.
#[cold]
fn tell_depth(
    row: &Row<'_, '_>,
    place: usize,
    (day, depth): (Day, i64),
    (id, meaning, done): (&'static str, &str, &'static str),
    days: &mut StationDays<'_>,
) {
    days.findings.at(id, Severity::Note, row.line, row.columns(place), || {
        let depth = crate::decimal::millimetres(depth);
        (format!("found {depth} mm on {day} with an indicator of {meaning}, expected 0"), done)
    });
}
