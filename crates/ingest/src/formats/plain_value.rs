//! A value without a flag of its own, the same in every layout: blank is missing, no number is rejected as unreadable, a negative depth
//! or one beyond belief as impossible. The decimal mark is the one that stands in the field: agencies change it with the language of the page.

use crate::decimal::{self, DepthUnit};
use crate::delimited::Row;
use crate::depth_field::DepthField;
use crate::finding::{Findings, Line};
use series::{Day, Reading, Severity};

/// The rain of a day from one field of a row.
pub(super) fn rain(row: &Row<'_, '_>, place: usize, unit: DepthUnit, day: Day, findings: &mut Findings<'_>) -> Reading {
    let field = row.get(place);
    if field.is_empty() {
        return Reading::MISSING;
    }
    DepthField { element: "precipitation", unit }.reading(row, place, day, findings)
}

/// A temperature in degrees Celsius as tenths, from one field of a row; nothing for a blank one.
pub(super) fn celsius(row: &Row<'_, '_>, place: usize, day: Day, findings: &mut Findings<'_>) -> Option<i16> {
    let field = row.get(place);
    if field.is_empty() {
        return None;
    }
    let tenths = decimal::tenths_celsius(field, decimal::mark(field));
    if tenths.is_none() {
        implausible(row.line, row.columns(place), day, field, findings);
    }
    tenths
}

/// A temperature that is none.
#[cold]
pub(super) fn implausible(line: Line<'_>, columns: (u32, u32), day: Day, found: &[u8], findings: &mut Findings<'_>) {
    findings.at("temperature-implausible", Severity::Warning, line, columns, || {
        let found = crate::finding::shown(found);
        (format!("found the temperature {found:?} on {day}, expected a number from -90 to 60 C"), "The temperature is left out.")
    });
}

/// A degree of latitude, longitude or a height in metres; nothing for anything else.
pub(crate) fn coordinate(field: &[u8]) -> Option<f64> {
    let millionths = decimal::scaled(field, decimal::mark(field), 1_000_000)?;
    (millionths.abs() < 10_000_000_000).then(|| millionths as f64 / 1e6)
}
