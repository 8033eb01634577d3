//! A depth as a person writes it: a number, a number with its unit, or a word.

use super::statements;
use super::vocabulary::{DAY, DAYS, DRY, NOT_READ, TRACE, folded};
use crate::DepthUnit;
use crate::decimal;

/// The greatest depth of a day that is believed, micrometres.
pub(super) const MOST: i32 = crate::decimal::MOST_MICROMETRES;

/// What a field says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Depth {
    /// Blank.
    Missing,
    /// A word or a code that says that there is no reading.
    NotRead,
    /// Nines throughout, more than ever fell in a day or nearly so: the common code for a missing value.
    Nines,
    Trace,
    /// Micrometres.
    Measured(i32),
    /// Micrometres, negative or beyond belief.
    Impossible(i32),
    Unreadable,
}

/// Longest field that is looked at as a word.
const LONGEST: usize = 40;

pub(super) fn read(field: &[u8], mark: u8, unit: DepthUnit) -> Depth {
    if field.is_empty() {
        return Depth::Missing;
    }
    let word = folded(&String::from_utf8_lossy(&field[..field.len().min(LONGEST)]));
    let is = |list: &[&str]| list.contains(&word.as_str());
    if is(NOT_READ) {
        return Depth::NotRead;
    }
    if is(TRACE) {
        return Depth::Trace;
    }
    if is(DRY) {
        return Depth::Measured(0);
    }
    let (below, field) = match field.split_first() {
        Some((b'<', rest)) => (true, rest),
        _ => (false, field),
    };
    let (number, own) = number_and_unit(field);
    if is_nines(number, mark, own.unwrap_or(unit)) {
        return Depth::Nines;
    }
    match decimal::micrometres(number, mark, own.unwrap_or(unit)) {
        // Less than the gauge's smallest step, 0.2 mm or 0.01 in; "<5" is no trace.
        Some(micrometres @ 0..=300) if below && micrometres > 0 => Depth::Trace,
        Some(micrometres) if !below && (0..=MOST).contains(&micrometres) => Depth::Measured(micrometres),
        Some(micrometres) if !below => Depth::Impossible(micrometres),
        _ => Depth::Unreadable,
    }
}

/// Micrometres from which a depth of nines is taken for a code: a day of 900 mm is known from a few places on earth (from memory).
const CODE: i64 = 900_000;

/// Whether a number is of nines throughout, `999`, `9999`, `99.99` inches, and no depth that is likely; below zero any such is a code.
fn is_nines(number: &[u8], mark: u8, unit: DepthUnit) -> bool {
    let (negative, digits) = number.strip_prefix(b"-").map_or((false, number), |digits| (true, digits));
    let whole = digits.split(|byte| *byte == mark).next().unwrap_or_default();
    let decimals = digits.get(whole.len() + 1..).unwrap_or_default();
    let decimals = &decimals[..decimals.iter().rposition(|byte| *byte != b'0').map_or(0, |last| last + 1)];
    let nines = whole.len() + decimals.len();
    let depth = || decimal::scaled(digits, mark, unit.micrometres()).unwrap_or(i64::MAX);
    nines >= 2 && whole.iter().chain(decimals).all(|byte| *byte == b'9') && (negative || nines >= 3 && depth() >= CODE)
}

/// The number in front and the unit behind it.
fn number_and_unit(field: &[u8]) -> (&[u8], Option<DepthUnit>) {
    let end = field.iter().rposition(u8::is_ascii_digit).map_or(0, |at| at + 1);
    let end = if matches!(field.get(end), Some(b'.' | b',')) { end + 1 } else { end };
    let (number, rest) = field.split_at(end);
    let unit = statements::short_unit(rest.trim_ascii());
    if unit.is_some() { (number, unit) } else { (field, None) }
}

/// Whether a depth has that decimal mark between or before digits.
pub(super) fn has_mark(field: &[u8], mark: u8) -> bool {
    let digits = field.iter().any(u8::is_ascii_digit);
    digits && memchr::memchr(mark, field).is_some_and(|at| field.get(at + 1).is_some_and(u8::is_ascii_digit))
}

/// Whether it is a number above zero without a unit of its own.
pub(super) fn is_bare(field: &[u8]) -> bool {
    field.iter().any(|byte| matches!(byte, b'1'..=b'9')) && number_and_unit(field).1.is_none()
}

/// How many days a field says, `3` or `3 days`; 0 where it cannot be read.
pub(super) fn days(field: &[u8]) -> i32 {
    let end = field.iter().position(|byte| !byte.is_ascii_digit()).unwrap_or(field.len());
    let rest = folded(&String::from_utf8_lossy(field[end..].trim_ascii()));
    let rest = rest.as_str();
    let plain = matches!(rest, "" | "d" | ".0") || DAYS.contains(&rest) || DAY.contains(&rest);
    crate::fields::whole(&field[..end]).filter(|_| plain).and_then(|count| i32::try_from(count).ok()).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_words_and_units() {
        let mm = |text: &str| read(text.as_bytes(), b'.', DepthUnit::Millimetre);
        for (text, expected) in [
            ("5", Depth::Measured(5000)),
            ("5.", Depth::Measured(5000)),
            (".5", Depth::Measured(500)),
            ("5 mm", Depth::Measured(5000)),
            ("1in", Depth::Measured(25_400)),
            ("0.5\"", Depth::Measured(12_700)),
            ("20 points", Depth::Measured(5080)),
            ("Nil", Depth::Measured(0)),
            ("Trocken", Depth::Measured(0)),
            ("n\u{e3}o choveu", Depth::Measured(0)),
            ("Spur", Depth::Trace),
            ("\u{dc}bergelaufen", Depth::NotRead),
            ("TR", Depth::Trace),
            ("<0.1", Depth::Trace),
            ("<0.01 in", Depth::Trace),
            ("<5", Depth::Unreadable),
            ("", Depth::Missing),
            ("-", Depth::NotRead),
            ("None", Depth::NotRead),
            ("-9999", Depth::NotRead),
            ("-2", Depth::Impossible(-2000)),
            ("2001", Depth::Impossible(2_001_000)),
            ("999", Depth::Nines),
            ("999.0", Depth::Nines),
            ("9999", Depth::Nines),
            ("99999999999", Depth::Nines),
            ("-999.00", Depth::Nines),
            ("99.99 in", Depth::Nines),
            ("99", Depth::Measured(99_000)),
            ("99.99", Depth::Measured(99_990)),
            ("9.99 in", Depth::Measured(253_746)),
            ("998", Depth::Measured(998_000)),
            ("about 5", Depth::Unreadable),
            ("5 gallons", Depth::Unreadable),
        ] {
            assert_eq!(mm(text), expected, "{text}");
        }
        assert_eq!(
            ["3", "3 days", "3d", "3 d\u{ed}as", "2 Tage", "x", "-3", ""].map(|text| days(text.as_bytes())),
            [3, 3, 3, 3, 2, 0, 0, 0]
        );
    }
}
