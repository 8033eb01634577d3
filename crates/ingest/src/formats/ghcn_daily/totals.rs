//! MDPR and DAPR: totals over several days and how many days each covers.
//!
//! A total stands on its last day. With a length of 2 days or more, both unflagged, the days before become
//! [`WithinTotal`](series::Kind::WithinTotal) where they are missing. Without a length that can be used it is a total of unknown
//! length and fills nothing. No day is counted twice, so a total whose days are not free cannot fill its gap either:
//!
//! * a covered day, or the last one, has a usable reading of its own: that reading stands, the total's length is unknown; on
//!   the last day itself the total gives way;
//! * a covered day belongs to an earlier total: the earlier total stands, the later one's length is unknown.

use super::lines::MonthLine;
use super::month::{Cell, Place, each_cell};
use super::rain::{MICROMETRES, failed_check, tenths};
use crate::finding::Findings;
use series::{Day, Kind, Reading, Rejection, Severity};

/// Longest total that is believed. The longest in the records at hand has 31 days (shared/data/MANIFEST.md, US1MNWN0003); one of
/// more than a year is taken for a typing error. (Our choice, no source.)
const MOST_DAYS: i32 = 366;

/// A total, or a length, as the file states it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stated<'a> {
    place: Place<'a>,
    cell: Cell,
}

/// All values of MDPR or of DAPR, in the order of time.
pub(super) fn stated<'a>(bytes: &'a [u8], element: &str, lines: &[MonthLine], findings: &mut Findings<'_>) -> Vec<Stated<'a>> {
    let mut all = Vec::new();
    each_cell(bytes, element, lines, findings, |place, cell, _| all.push(Stated { place, cell }));
    all
}

/// Put the totals into their places; `readings` begins with `first` and holds the single days already.
pub(super) fn place(first: Day, readings: &mut [Reading], totals: &[Stated<'_>], lengths: &[Stated<'_>], findings: &mut Findings<'_>) {
    let mut lengths = lengths.iter().peekable();
    for total in totals {
        let day = total.place.day();
        while let Some(alone) = lengths.next_if(|length| length.place.day() < day) {
            length_alone(alone, findings);
        }
        let length = lengths.next_if(|length| length.place.day() == day);
        let Some(last) = total.place.days_since(first).filter(|last| *last < readings.len()) else { continue };
        match value(total, findings) {
            Err(rejected) => {
                if readings[last].kind() == Kind::Missing {
                    readings[last] = rejected;
                }
            }
            Ok(depth) => {
                let days = days(total, length, findings);
                put(readings, last, depth, days, total, findings);
            }
        }
    }
    lengths.for_each(|alone| length_alone(alone, findings));
}

/// The total's depth in micrometres, or the rejected reading in its place.
fn value(total: &Stated<'_>, findings: &mut Findings<'_>) -> Result<i32, Reading> {
    let (place, day) = (total.place, total.place.day());
    match total.cell {
        Cell::Unreadable => Err(Reading::rejected(0, Rejection::Unreadable)),
        Cell::Number { value, quality, .. } if quality != b' ' => {
            findings.at("total-flagged", Severity::Warning, place.line, place.quality_flag(), || {
                let (letter, check) = (char::from(quality), failed_check(quality));
                (
                    format!(
                        "found a multi-day total of {} mm on {day} with the quality flag {letter} ({check}), expected no quality flag",
                        tenths(value)
                    ),
                    "The total is rejected; the days it covers stay as they are.",
                )
            });
            Err(Reading::rejected(value * MICROMETRES, Rejection::QualityFlag(quality)))
        }
        Cell::Number { value, .. } if value < 0 => {
            findings.at("value-impossible", Severity::Warning, place.line, place.value(), || {
                (
                    format!("found a multi-day total of {} mm on {day}, expected 0 mm or more, or -9999", tenths(value)),
                    "The total is rejected.",
                )
            });
            Err(Reading::rejected(value * MICROMETRES, Rejection::Impossible))
        }
        Cell::Number { value, .. } => Ok(value * MICROMETRES),
    }
}

/// How many days the total covers, where that can be used.
fn days(total: &Stated<'_>, length: Option<&Stated<'_>>, findings: &mut Findings<'_>) -> Option<i32> {
    let why = match length.map(|length| length.cell) {
        Some(Cell::Number { value: days @ 2..=MOST_DAYS, quality: b' ', .. }) => return Some(days),
        Some(Cell::Number { value, quality: b' ', .. }) => format!("a DAPR of {value}"),
        Some(Cell::Number { quality, .. }) => format!("a DAPR with the quality flag {}", char::from(quality)),
        Some(Cell::Unreadable) => "a DAPR that does not read".to_owned(),
        None => "no DAPR".to_owned(),
    };
    let place = length.map_or(total.place, |length| length.place);
    findings.at("total-of-unknown-length", Severity::Note, place.line, place.value(), || {
        let day = total.place.day();
        (
            format!("found {why} to the multi-day total of {day}, expected a length of 2 to {MOST_DAYS} days"),
            "It is a total of unknown length and fills no missing day.",
        )
    });
    None
}

fn put(readings: &mut [Reading], last: usize, depth: i32, days: Option<i32>, total: &Stated<'_>, findings: &mut Findings<'_>) {
    // Days before the first line of the file are in no calendar; the total keeps its length all the same.
    let from = days.map_or(last, |days| (last + 1).saturating_sub(days as usize));
    let covered = &readings[from..=last];
    let measured = covered.iter().position(|reading| reading.is_usable());
    let taken = covered.iter().position(|reading| matches!(reading.kind(), Kind::Accumulated { .. } | Kind::WithinTotal));
    let own = readings[last].is_usable();
    if let Some(at) = measured.or(taken) {
        let clash = total.place.day().plus((from + at) as i32 - last as i32);
        let (id, other) = if measured.is_some() {
            ("total-overlaps-measured-day", "a reading of its own")
        } else {
            ("totals-overlap", "an earlier multi-day total")
        };
        let place = total.place;
        findings.at(id, Severity::Warning, place.line, place.value(), || {
            let (day, depth) = (place.day(), tenths(depth / MICROMETRES));
            (
                format!(
                    "found a multi-day total of {depth} mm ending on {day} over {clash}, a day with {other}; expected its days to be free"
                ),
                if own {
                    "The day's own reading stands; the total is left out."
                } else {
                    "What stood before stands; the total is of unknown length and fills no missing day."
                },
            )
        });
        if !own {
            readings[last] = Reading::accumulated(depth, None);
        }
        return;
    }
    for reading in readings[from..last].iter_mut().filter(|reading| reading.kind() == Kind::Missing) {
        *reading = Reading::WITHIN_TOTAL;
    }
    readings[last] = Reading::accumulated(depth, days.and_then(|days| u16::try_from(days).ok()));
}

fn length_alone(length: &Stated<'_>, findings: &mut Findings<'_>) {
    let place = length.place;
    findings.at("total-length-without-total", Severity::Note, place.line, place.value(), || {
        (format!("found a DAPR on {} without an MDPR, expected both", place.day()), "No value follows from a length alone.")
    });
}
