//! A field of a table as a day's reading or temperature, with its finding when it is neither.

use crate::decimal::{self, DepthUnit, MOST_MICROMETRES};
use crate::delimited::Row;
use crate::finding::{Findings, shown};
use series::{Day, Reading, Rejection, Severity};

/// How a layout writes the rain of a day.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DepthField {
    /// What the agency calls it, for a message.
    pub(crate) element: &'static str,
    pub(crate) unit: DepthUnit,
}

impl DepthField {
    /// The reading of a field that is no code for a missing value. A field that is no number, a negative depth and one over 2,000 mm are
    /// rejected and told.
    pub(crate) fn reading(&self, row: &Row<'_, '_>, place: usize, day: Day, findings: &mut Findings<'_>) -> Reading {
        let field = row.get(place);
        match decimal::micrometres(field, decimal::mark(field), self.unit) {
            Some(depth @ 0..=MOST_MICROMETRES) => Reading::measured(depth),
            Some(depth) => {
                self.impossible(row, place, day, findings);
                Reading::rejected(depth, Rejection::Impossible)
            }
            None if decimal::scaled(field, decimal::mark(field), 1).is_some() => {
                self.impossible(row, place, day, findings);
                Reading::rejected(0, Rejection::Impossible)
            }
            None => {
                findings.unreadable(row.line, row.columns(place), self.element, day, field);
                Reading::rejected(0, Rejection::Unreadable)
            }
        }
    }

    #[cold]
    fn impossible(&self, row: &Row<'_, '_>, place: usize, day: Day, findings: &mut Findings<'_>) {
        findings.at("value-impossible", Severity::Warning, row.line, row.columns(place), || {
            let found = shown(row.get(place));
            (format!("found {found:?} for {} of {day}, expected a depth from 0 to 2000 mm", self.element), "The value is rejected.")
        });
    }
}

/// An air temperature in tenths of a degree Celsius, `scale` times the number of the field; nothing, and told, for a field that is no
/// number or one beyond -90 to 60 C.
pub(crate) fn temperature(
    row: &Row<'_, '_>,
    place: usize,
    day: Day,
    (element, scale): (&str, i64),
    findings: &mut Findings<'_>,
) -> Option<i16> {
    let field = row.get(place);
    let Some(tenths) = decimal::scaled(field, decimal::mark(field), scale) else {
        findings.at("value-unreadable", Severity::Warning, row.line, row.columns(place), || {
            (format!("found {:?} for {element} of {day}, expected a number", shown(field)), "The temperature is left out.")
        });
        return None;
    };
    let believed = crate::believed::tenths_celsius(tenths);
    if believed.is_none() {
        findings.at("temperature-implausible", Severity::Warning, row.line, row.columns(place), || {
            (format!("found {:?} for {element} of {day}, expected -90 to 60 C", shown(field)), "The temperature is left out.")
        });
    }
    believed
}

/// Whether a field holds that whole number, however many zeros stand behind its decimal point.
pub(crate) fn is_code(field: &[u8], code: i64) -> bool {
    decimal::scaled(field, decimal::mark(field), 1000) == Some(code * 1000)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::delimited::Rows;
    use series::Kind;

    #[test]
    fn a_field_is_a_depth_or_says_why_not() {
        let mut rows = Rows::new(b"12,-1,x,20001,99999999,", b',');
        let row = rows.next_row().unwrap();
        let mut findings = Findings::new("x");
        let rain = DepthField { element: "rain", unit: DepthUnit::TenthOfMillimetre };
        let day = Day::first_of_year(2001);
        let kinds: Vec<Kind> = (0..5).map(|place| rain.reading(&row, place, day, &mut findings).kind()).collect();
        let impossible = Kind::Rejected(Rejection::Impossible);
        assert_eq!(kinds, [Kind::Measured, impossible, Kind::Rejected(Rejection::Unreadable), impossible, impossible]);
        assert_eq!((findings.list.count("value-impossible"), findings.list.count("value-unreadable")), (3, 1));
    }

    #[test]
    fn a_temperature_is_believed_or_left_out() {
        let mut rows = Rows::new(b"-7.6,215,99.9,x", b',');
        let row = rows.next_row().unwrap();
        let mut findings = Findings::new("x");
        let day = Day::first_of_year(2001);
        let mut read = |place, scale| temperature(&row, place, day, ("TX", scale), &mut findings);
        assert_eq!((read(0, 10), read(1, 1), read(2, 10), read(3, 10)), (Some(-76), Some(215), None, None));
        assert_eq!((findings.list.count("temperature-implausible"), findings.list.count("value-unreadable")), (1, 1));
    }

    #[test]
    fn a_code_is_known_with_and_without_decimals() {
        assert!(is_code(b"-999", -999) && is_code(b"-999.0", -999) && is_code(b" -999.00 ", -999));
        assert!(!is_code(b"-999.1", -999) && !is_code(b"", -999) && !is_code(b"999", -999));
    }
}
