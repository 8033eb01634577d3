//! PRCP: the precipitation of single days, tenths of a millimetre.
//!
//! Flags (GHCN-Daily readme 3.26, section III): measurement flag T trace, P presumed zero, B and D made of two or four
//! shorter readings; any quality flag rejects the value, which is kept for the record sheet.

use super::lines::MonthLine;
use super::month::{Cell, Place, each_cell};
use crate::finding::Findings;
use series::{Day, Qualifier, Reading, Rejection, Severity};

/// Micrometres of a tenth of a millimetre.
pub(super) const MICROMETRES: i32 = 100;

/// Put the days of these lines into their places; `readings` begins with `first`.
pub(super) fn read(bytes: &[u8], lines: &[MonthLine], first: Day, readings: &mut [Reading], findings: &mut Findings<'_>) {
    each_cell(bytes, "PRCP", lines, findings, |place, cell, findings| {
        let reading = match cell {
            Cell::Number { value: value @ 0.., measurement: b' ', quality: b' ' } => Reading::measured(value * MICROMETRES),
            Cell::Number { value: 0, measurement: b'T', quality: b' ' } => Reading::TRACE,
            Cell::Number { value: 0, measurement: b'P', quality: b' ' } => Reading::measured(0).qualified(Qualifier::PresumedZero.into()),
            Cell::Number { value: value @ 0.., measurement: b'B' | b'D', quality: b' ' } => {
                Reading::measured(value * MICROMETRES).qualified(Qualifier::MadeOfParts.into())
            }
            Cell::Number { value, measurement, quality } => uncommon(place, value, measurement, quality, findings),
            Cell::Unreadable => Reading::rejected(0, Rejection::Unreadable),
        };
        if let Some(slot) = place.days_since(first).and_then(|i| readings.get_mut(i)) {
            *slot = reading;
        }
    });
}

#[cold]
fn uncommon(place: Place<'_>, value: i32, measurement: u8, quality: u8, findings: &mut Findings<'_>) -> Reading {
    let day = place.day();
    let depth = value * MICROMETRES;
    if quality != b' ' {
        findings.at("reading-flagged", Severity::Warning, place.line, place.quality_flag(), || {
            let (letter, check) = (char::from(quality), failed_check(quality));
            (
                format!("found {} mm on {day} with the quality flag {letter} ({check}), expected no quality flag", tenths(value)),
                "The value is rejected.",
            )
        });
        return Reading::rejected(depth, Rejection::QualityFlag(quality));
    }
    if value < 0 {
        findings.at("value-impossible", Severity::Warning, place.line, place.value(), || {
            (format!("found {} mm on {day}, expected a depth of 0 mm or more, or -9999", tenths(value)), "The value is rejected.")
        });
        return Reading::rejected(depth, Rejection::Impossible);
    }
    match measurement {
        b'T' => {
            findings.at("trace-with-depth", Severity::Note, place.line, place.value(), || {
                (format!("found a trace of {} mm on {day}, expected a trace to be 0", tenths(value)), "The day is a trace, 0 mm.")
            });
            Reading::TRACE
        }
        b'P' => {
            findings.at("presumed-zero-with-depth", Severity::Note, place.line, place.value(), || {
                (format!("found {} mm presumed zero on {day}, expected 0", tenths(value)), "The depth is read as measured.")
            });
            Reading::measured(depth)
        }
        _ => {
            findings.at("measurement-flag-unknown", Severity::Note, place.line, place.measurement_flag(), || {
                let letter = char::from(measurement);
                (
                    format!("found the measurement flag {letter} on {day}, expected blank, B, D, P or T for precipitation"),
                    "The value is read.",
                )
            });
            Reading::measured(depth)
        }
    }
}

/// A depth in millimetres, exact.
pub(super) fn tenths(value: i32) -> String {
    let sign = if value < 0 { "-" } else { "" };
    format!("{sign}{}.{}", value.abs() / 10, value.abs() % 10)
}

/// What a quality flag says (readme 3.26, section III, QFLAG1).
pub(super) fn failed_check(quality: u8) -> &'static str {
    match quality {
        b'D' => "failed the duplicate check",
        b'G' => "failed the gap check",
        b'I' => "failed the internal consistency check",
        b'K' => "failed the streak or frequent-value check",
        b'L' => "failed the check on the length of a multi-day period",
        b'M' => "failed the megaconsistency check",
        b'N' => "failed the naught check",
        b'O' => "failed the climatological outlier check",
        b'R' => "failed the lagged range check",
        b'S' => "failed the spatial consistency check",
        b'T' => "failed the temporal consistency check",
        b'W' => "too warm for snow",
        b'X' => "failed the bounds check",
        b'Z' => "flagged by an investigation of the archive",
        _ => "a letter that the readme does not list",
    }
}
