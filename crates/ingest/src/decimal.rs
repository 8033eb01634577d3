//! Decimal numbers of text files as exact integers: micrometres of rain, tenths of a degree.
//!
//! A depth is read digit by digit and scaled in whole numbers, so 0.1 mm is exactly 100 micrometres and 0.01 in exactly 254.
//! A number with more digits than a micrometre (a spreadsheet's 12.699999809) is rounded to the nearest, halves away from zero.

use crate::believed;
pub use series::DepthUnit;

/// The decimal mark of a field: the comma where it has one, else the point. Agencies change it with the language of the page, and
/// spreadsheets with that of their user.
pub(crate) fn mark(field: &[u8]) -> u8 {
    if memchr::memchr(b',', field).is_some() { b',' } else { b'.' }
}

pub(crate) use crate::believed::MOST_MICROMETRES;

/// Digits behind the decimal mark that are looked at; a micrometre of an inch needs five.
const MOST_DECIMALS: usize = 15;

/// A depth in micrometres; `mark` is the decimal mark, `.` or `,`. Nothing for any text that is no plain decimal number, and for
/// numbers beyond two kilometres of rain.
pub(crate) fn micrometres(field: &[u8], mark: u8, unit: DepthUnit) -> Option<i32> {
    scaled(field, mark, unit.micrometres()).and_then(|value| i32::try_from(value).ok())
}

/// A temperature in degrees Celsius as tenths, where it is one that is [believed](believed::tenths_celsius).
pub(crate) fn tenths_celsius(field: &[u8], mark: u8) -> Option<i16> {
    scaled(field, mark, 10).and_then(believed::tenths_celsius)
}

/// The same from degrees Fahrenheit: C = (F - 32) x 5 / 9.
pub(crate) fn tenths_celsius_of_fahrenheit(field: &[u8], mark: u8) -> Option<i16> {
    let thousandths = scaled(field, mark, 1000)?;
    rounded(i128::from(thousandths) - 32_000, 180).and_then(believed::tenths_celsius)
}

/// The number times `scale`, rounded to a whole one. Read are an optional sign, digits, and behind the mark more digits; at least one
/// digit on either side. Blanks around it are passed over.
pub(crate) fn scaled(field: &[u8], mark: u8, scale: i64) -> Option<i64> {
    let number = field.trim_ascii();
    let (negative, digits) = match number.split_first()? {
        (b'-', rest) => (true, rest),
        (b'+', rest) => (false, rest),
        _ => (false, number),
    };
    let (whole, decimals) = match memchr::memchr(mark, digits) {
        Some(at) => (&digits[..at], &digits[at + 1..]),
        None => (digits, &digits[..0]),
    };
    if whole.len() + decimals.len() == 0 || whole.len() > 15 || ![whole, decimals].iter().all(|part| part.iter().all(u8::is_ascii_digit)) {
        return None;
    }
    let decimals = &decimals[..decimals.len().min(MOST_DECIMALS)];
    let value = whole.iter().chain(decimals).fold(0i128, |sum, digit| sum * 10 + i128::from(digit - b'0'));
    let value = rounded(value * i128::from(scale), 10i128.pow(decimals.len() as u32))?;
    Some(if negative { -value } else { value })
}

/// The quotient, halves away from zero; `by` is positive.
fn rounded(value: i128, by: i128) -> Option<i64> {
    let half = if value < 0 { -by / 2 } else { by / 2 };
    i64::try_from((value + half) / by).ok()
}

/// A depth in millimetres for a message, exact to the micrometre and no longer than needed.
pub(crate) fn millimetres(micrometres: i64) -> String {
    let (sign, value) = (if micrometres < 0 { "-" } else { "" }, micrometres.unsigned_abs());
    let text = format!("{sign}{}.{:03}", value / 1000, value % 1000);
    let text = text.trim_end_matches('0');
    if text.ends_with('.') { format!("{text}0") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_depth_is_exact() {
        let mm = |text: &str| micrometres(text.as_bytes(), b'.', DepthUnit::Millimetre);
        for (text, value) in [("0.1", 100), (" 12.3 ", 12_300), (".0", 0), ("5.", 5000), ("007.4", 7400), ("-0.5", -500), ("+1", 1000)] {
            assert_eq!(mm(text), Some(value), "{text}");
        }
        for text in ["", " ", "-", ".", "1e3", "1.2.3", "1 2", "nan", "12,3", "1_000", "--1", "99999999999999999999", "3000000"] {
            assert_eq!(mm(text), None, "{text}");
        }
        assert_eq!(micrometres(b"10,4", b',', DepthUnit::Millimetre), Some(10_400));
        // NIST SP 811 appendix B.8: 1 in = 25.4 mm.
        assert_eq!(micrometres(b"0.01", b'.', DepthUnit::Inch), Some(254));
        assert_eq!(micrometres(b"1286.3", b'.', DepthUnit::HundredthOfInch), Some(326_720));
        assert_eq!(micrometres(b"12.699999809265137", b'.', DepthUnit::Millimetre), Some(12_700));
    }

    #[test]
    fn fahrenheit_becomes_celsius() {
        // The fixed points of the scales: 32 F = 0 C, and -40 is the same on both.
        for (text, tenths) in [("32.0", 0), ("-40", -400), ("50", 100), ("  26.6", -30)] {
            assert_eq!(tenths_celsius_of_fahrenheit(text.as_bytes(), b'.'), Some(tenths), "{text}");
        }
        assert_eq!((tenths_celsius_of_fahrenheit(b"9999.9", b'.'), tenths_celsius(b"-999", b'.')), (None, None));
        assert_eq!(tenths_celsius(b"-7,6", b','), Some(-76));
    }

    #[test]
    fn a_depth_is_told_without_false_digits() {
        for (value, text) in [(0, "0.0"), (100, "0.1"), (254, "0.254"), (-500, "-0.5"), (383_500, "383.5")] {
            assert_eq!(millimetres(value), text);
        }
    }
}
