//! PRCP: the precipitation of single days, tenths of a millimetre.
//!
//! Flags (GHCN-Daily readme 3.26, section III): measurement flag T trace, P presumed zero, B and D made of two or four
//! shorter readings; any quality flag rejects the value, which is kept for the record sheet.

use super::lines::MonthLine;
use super::month::{self, Cell, each_cell};
use crate::finding::Findings;
use crate::formats::ghcn::{self, Flagged};
use series::{Day, Reading, Rejection};

/// Micrometres of a tenth of a millimetre.
pub(super) const MICROMETRES: i32 = 100;

/// Put the days of these lines into their places; `readings` begins with `first`.
pub(super) fn read(bytes: &[u8], lines: &[MonthLine], first: Day, readings: &mut [Reading], findings: &mut Findings<'_>) {
    for line in lines {
        if !month::read_common(bytes, line, first, readings) {
            with_something_to_tell(bytes, line, first, readings, findings);
        }
    }
}

/// A line on which at least one value is not of the common kind.
#[cold]
fn with_something_to_tell(bytes: &[u8], line: &MonthLine, first: Day, readings: &mut [Reading], findings: &mut Findings<'_>) {
    each_cell(bytes, "PRCP", std::slice::from_ref(line), findings, |place, cell, findings| {
        let reading = match cell {
            Cell::Number { value, measurement, quality } => ghcn::common(measurement, quality, value).unwrap_or_else(|| {
                let at = Flagged {
                    line: place.line,
                    day: place.day(),
                    value: place.value(),
                    measurement: place.measurement_flag(),
                    quality: place.quality_flag(),
                };
                ghcn::reading(&at, i64::from(value * MICROMETRES), measurement, quality, findings)
            }),
            Cell::Unreadable => Reading::rejected(0, Rejection::Unreadable),
        };
        if let Some(slot) = place.days_since(first).and_then(|i| readings.get_mut(i)) {
            *slot = reading;
        }
    });
}

/// A depth in millimetres, exact.
pub(super) fn tenths(value: i32) -> String {
    let sign = if value < 0 { "-" } else { "" };
    format!("{sign}{}.{}", value.abs() / 10, value.abs() % 10)
}
