//! What the flags of Environment and Climate Change Canada mean, the same in its CSV and in its archive files.
//!
//! Source: the legend in the agency's own daily CSV (older exports carry it before the heading), and its archive documentation for the
//! clauses "value is 0" (C, L, T) and "previous value C or L" (A), read as quoted in public code that carries that table.
//!
//! | flag | legend | becomes |
//! |---|---|---|
//! | blank | | measured |
//! | T | trace | trace |
//! | E | estimated | measured, estimated |
//! | M | missing | missing |
//! | A | accumulated amount; previous value C or L | a multi-day total, as long as the unbroken days of C or L before it and its own; else of unknown length |
//! | C, L before A | | within that total |
//! | F | accumulated and estimated | measured, estimated, and told: no clause gives its length |
//! | C, L before F | | trace: their rain stands in the estimate |
//! | C | precipitation occurred, amount uncertain | rejected: the 0 is no measurement |
//! | L | precipitation may or may not have occurred | rejected |
//! | ^ | based on incomplete data | measured, estimated, and told |
//!
//! That F is counted as a day and not as a total of unknown length follows the count of the one file at hand that has it (MANIFEST.md,
//! eccc/A1128551.DLY: 8,140 usable days with C:1 and F:1).

use crate::finding::{Findings, Line};
use crate::station_days::{Place, StationDays};
use series::{Day, Qualifier, Reading, Rejection, Severity};
use std::collections::BTreeMap;

/// A day's value and flag, and where they stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Flagged<'a> {
    pub(super) line: Line<'a>,
    pub(super) day: Day,
    /// Missing, measured or rejected, as the number alone says.
    pub(super) reading: Reading,
    pub(super) value: (u32, u32),
    /// A blank for none.
    pub(super) flag: u8,
    pub(super) flag_columns: (u32, u32),
}

#[derive(Debug, Clone, Copy)]
struct Uncertain {
    letter: u8,
    place: Place,
}

/// The days of a station whose meaning depends on the days beside them.
#[derive(Debug, Default)]
pub(super) struct Accumulations {
    uncertain: BTreeMap<Day, Uncertain>,
    totals: Vec<(Day, i32, Place)>,
    estimates: Vec<Day>,
}

impl Accumulations {
    /// Takes one day.
    pub(super) fn day(&mut self, at: &Flagged<'_>, days: &mut StationDays<'_>) {
        let place = Place::new(at.line, at.value);
        let depth = at.reading.is_usable().then(|| at.reading.stated_micrometres() as i32);
        let estimated = at.reading.qualified(Qualifier::Estimated.into());
        let reading = match (at.flag, depth) {
            (b'M', Some(_)) => {
                days.findings.at("value-beside-missing", Severity::Note, at.line, at.value, || {
                    let depth = crate::decimal::millimetres(at.reading.stated_micrometres());
                    (format!("found {depth} mm with the flag M (missing) on {}, expected no value", at.day), "The day is missing.")
                });
                Reading::MISSING
            }
            (b'M', None) => Reading::MISSING,
            (b'C' | b'L', None | Some(0)) => {
                self.uncertain.insert(at.day, Uncertain { letter: at.flag, place });
                return;
            }
            (b'T', None | Some(0)) => Reading::TRACE,
            (b'T', Some(_)) => {
                days.findings.at("trace-with-depth", Severity::Note, at.line, at.value, || {
                    (format!("found a trace with a depth on {}, expected a trace to be 0", at.day), "The day is a trace, 0 mm.")
                });
                Reading::TRACE
            }
            (b' ', _) | (_, None) => at.reading,
            (b'A', Some(depth)) => {
                self.totals.push((at.day, depth, place));
                return;
            }
            (b'F', Some(_)) => {
                self.estimates.push(at.day);
                days.findings.at("accumulated-and-estimated", Severity::Warning, at.line, at.flag_columns, || {
                    (
                        format!("found the flag F (accumulated and estimated) on {}, expected the rain of one day", at.day),
                        "The depth is read as the day's and counted as estimated; it may hold rain of the days before.",
                    )
                });
                estimated
            }
            (b'E' | b'B' | b'C' | b'L', Some(_)) => estimated,
            (b'^', Some(_)) => {
                days.findings.at("day-incomplete", Severity::Note, at.line, at.flag_columns, || {
                    (format!("found the flag ^ (incomplete data) on {}", at.day), "The value is read and counted as estimated.")
                });
                estimated
            }
            (letter, Some(_)) => {
                unknown(at, letter, &mut days.findings);
                at.reading
            }
        };
        days.day(at.day, reading, place);
    }

    /// Puts the totals in, and what became of the days before them.
    pub(super) fn finish(mut self, days: &mut StationDays<'_>) {
        // A day that is stated twice has its days before it once.
        let mut lengths: BTreeMap<Day, i32> = BTreeMap::new();
        for (last, depth, place) in std::mem::take(&mut self.totals) {
            let before = *lengths.entry(last).or_insert_with(|| self.take_before(last).len() as i32);
            // A total of which no day is known has no length at all: one day is not several.
            days.total(last, depth, (before > 0).then_some(before + 1), place);
        }
        for estimate in std::mem::take(&mut self.estimates) {
            for (day, uncertain) in self.take_before(estimate) {
                days.day(day, Reading::TRACE, uncertain.place);
            }
        }
        for (day, Uncertain { letter, place }) in self.uncertain {
            let meaning =
                if letter == b'C' { "precipitation occurred, amount uncertain" } else { "precipitation may or may not have occurred" };
            let line = Line { number: place.line, text: b"" };
            days.findings.flagged(line, (u32::from(place.column), u32::from(place.width)), 0, day, letter, meaning);
            days.day(day, Reading::rejected(0, Rejection::QualityFlag(letter)), place);
        }
    }

    /// The unbroken run of uncertain days that ends on the day before.
    fn take_before(&mut self, last: Day) -> Vec<(Day, Uncertain)> {
        let mut run = Vec::new();
        let mut day = last.plus(-1);
        while let Some(uncertain) = self.uncertain.remove(&day) {
            run.push((day, uncertain));
            day = day.plus(-1);
        }
        run
    }
}

#[cold]
fn unknown(at: &Flagged<'_>, letter: u8, findings: &mut Findings<'_>) {
    findings.at("precipitation-flag-unknown", Severity::Note, at.line, at.flag_columns, || {
        let letter = char::from(letter);
        (format!("found the flag {letter:?} on {}, expected blank, A, C, E, F, L, M, T or ^", at.day), "The value is read.")
    });
}
