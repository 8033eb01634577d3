//! MDPR and DAPR: totals over several days and how many days each covers; [`crate::multi_day_totals`] puts them into their places.

use super::lines::MonthLine;
use super::month::{Cell, Place, each_cell};
use super::rain::{MICROMETRES, tenths};
use crate::finding::Findings;
use crate::formats::ghcn::failed_check;
use crate::multi_day_totals::{self, MOST_DAYS, Total};
use series::{Day, Kind, Reading, Rejection, Severity};

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
                let (last, line, columns) = (day, total.place.line, total.place.value());
                multi_day_totals::put(first, readings, &Total { last, micrometres: depth, days, line, columns }, findings);
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
            findings.meaning_of(quality, failed_check(quality));
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

fn length_alone(length: &Stated<'_>, findings: &mut Findings<'_>) {
    let place = length.place;
    findings.at("total-length-without-total", Severity::Note, place.line, place.value(), || {
        (format!("found a DAPR on {} without an MDPR, expected both", place.day()), "No value follows from a length alone.")
    });
}
