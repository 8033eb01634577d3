//! Dates as agencies write them, turned into a [`Day`].

use crate::fields;
use series::Day;

/// What a field is that is no day of the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DateFault {
    /// It does not read as a date at all.
    Unreadable,
    /// Year, month and day are there, but there was no such day from 1600 to 2299.
    NeverWas,
    /// It does not read, as other dates of the file do not, and that is told once for the file with their number.
    Counted,
}

/// The day of a year, a month and a day of the month.
pub(crate) fn of_parts(year: Option<u32>, month: Option<u32>, day: Option<u32>) -> Result<Day, DateFault> {
    let (Some(year), Some(month), Some(day)) = (year, month, day) else { return Err(DateFault::Unreadable) };
    i32::try_from(year).ok().and_then(|year| Day::new(year, month, day)).ok_or(DateFault::NeverWas)
}

/// Year, month and day of the month in three fields.
pub(crate) fn of_fields(year: &[u8], month: &[u8], day: &[u8]) -> Result<Day, DateFault> {
    let number = |field: &[u8]| fields::whole(field.trim_ascii());
    of_parts(number(year), number(month), number(day))
}

/// `20240131`.
pub(crate) fn compact(field: &[u8]) -> Result<Day, DateFault> {
    match field.trim_ascii() {
        digits if digits.len() == 8 => of_fields(&digits[..4], &digits[4..6], &digits[6..]),
        _ => Err(DateFault::Unreadable),
    }
}

/// `2024-01-31`, also with a time behind a blank or a `T`, which is passed over.
pub(crate) fn iso(field: &[u8]) -> Result<Day, DateFault> {
    let field = field.trim_ascii();
    let shape = field.len() >= 10 && field[4] == b'-' && field[7] == b'-' && field.get(10).is_none_or(|byte| matches!(byte, b' ' | b'T'));
    if shape { of_fields(&field[..4], &field[5..7], &field[8..10]) } else { Err(DateFault::Unreadable) }
}

/// The number of a month by the first three letters of its English name.
pub(crate) fn month_of_name(name: &[u8]) -> Option<u32> {
    const MONTHS: [&[u8]; 12] = [b"jan", b"feb", b"mar", b"apr", b"may", b"jun", b"jul", b"aug", b"sep", b"oct", b"nov", b"dec"];
    let head = name.get(..3)?.to_ascii_lowercase();
    MONTHS.iter().position(|month| *month == head).map(|place| place as u32 + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_never_was_is_told_from_no_date() {
        let day = Day::new(2024, 2, 29).unwrap();
        assert_eq!((compact(b"20240229"), compact(b" 20240229 ")), (Ok(day), Ok(day)));
        assert_eq!((iso(b"2024-02-29"), iso(b"2024-02-29 07:00:00"), iso(b"2024-02-29T07:00")), (Ok(day), Ok(day), Ok(day)));
        assert_eq!(of_fields(b"2024", b"2", b" 29"), Ok(day));
        // 1900 was no leap year.
        assert_eq!((compact(b"19000229"), iso(b"1900-02-29")), (Err(DateFault::NeverWas), Err(DateFault::NeverWas)));
        for text in ["", "2024022", "202402299", "2024-2-29", "2024-02-29x", "2024/02/29", "20240a29"] {
            assert_eq!(
                (compact(text.as_bytes()), iso(text.as_bytes())),
                (Err(DateFault::Unreadable), Err(DateFault::Unreadable)),
                "{text}"
            );
        }
        assert_eq!(
            (month_of_name(b"FEB"), month_of_name(b"september"), month_of_name(b"fe"), month_of_name(b"fev")),
            (Some(2), Some(9), None, None)
        );
    }
}
