//! Fixed columns of a line of bytes: cut, trim, read as a number.

/// The columns from `first` to `last`, both from 1 and included, cut where the line ends.
pub(crate) fn columns(line: &[u8], first: usize, last: usize) -> &[u8] {
    line.get(first - 1..last.min(line.len())).unwrap_or_default()
}

/// The same, trimmed, as text; what is not UTF-8 is replaced.
pub(crate) fn text(line: &[u8], first: usize, last: usize) -> String {
    String::from_utf8_lossy(columns(line, first, last).trim_ascii()).into_owned()
}

/// The same as a decimal number, finite.
pub(crate) fn decimal(line: &[u8], first: usize, last: usize) -> Option<f64> {
    let text = std::str::from_utf8(columns(line, first, last)).ok()?.trim();
    // Only plain decimals: `inf`, `nan` and exponents are no coordinates.
    let plain = text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+'));
    text.parse().ok().filter(|_| plain)
}

/// A non-negative whole number of digits, blanks allowed in front.
pub(crate) fn whole(field: &[u8]) -> Option<u32> {
    let digits = field.trim_ascii_start();
    if digits.is_empty() || digits.len() > 9 {
        return None;
    }
    digits.iter().try_fold(0, |sum: u32, byte| byte.is_ascii_digit().then(|| sum * 10 + u32::from(byte - b'0')))
}

/// A whole number right-aligned in its field: blanks, an optional minus, digits.
pub(crate) fn signed(field: &[u8]) -> Option<i32> {
    let number = field.trim_ascii_start();
    let (sign, digits) = number.strip_prefix(b"-").map_or((1, number), |digits| (-1, digits));
    if digits.first().is_none_or(u8::is_ascii_whitespace) {
        return None;
    }
    whole(digits).and_then(|value| i32::try_from(value).ok()).map(|value| sign * value)
}

/// Whether a field is blank through and through.
pub(crate) fn is_blank(field: &[u8]) -> bool {
    // Most lines are not, and begin with a letter or end with one.
    field.last().is_none_or(u8::is_ascii_whitespace) && field.iter().all(u8::is_ascii_whitespace)
}

/// Eleven characters that can be the identifier of a GHCN-Daily station: letters and digits, the first two letters of a country.
pub(crate) fn is_station_id(field: &[u8]) -> bool {
    field.len() == 11
        && field[..2].iter().all(u8::is_ascii_alphabetic)
        && field.iter().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'))
}

/// A line without the carriage return of a CRLF end.
pub(crate) fn without_return(line: &[u8]) -> &[u8] {
    line.strip_suffix(b"\r").unwrap_or(line)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_right_aligned_or_none() {
        for (field, value) in [(&b"   12"[..], Some(12)), (b"-9999", Some(-9999)), (b"  -50", Some(-50)), (b"00012", Some(12))] {
            assert_eq!(signed(field), value);
        }
        for field in
            [&b"12   "[..], b"     ", b"1 2  ", b"  1 2", b" 1-2 ", b"    -", b"- 12 ", b"  - 2", b"  +12", b"12\0  ", b"\xD9\xA1   "]
        {
            assert_eq!(signed(field), None, "{field:?}");
        }
        assert_eq!(decimal(b"-999.9", 1, 6), Some(-999.9));
        assert_eq!((decimal(b"   inf", 1, 6), decimal(b"  1e99", 1, 6), decimal(b"ab", 5, 9)), (None, None, None));
    }
}
