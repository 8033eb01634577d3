//! The 31 values of one line: number, measurement flag, quality flag.

use super::lines::{HEAD, MonthLine, WIDTH};
use super::rain::MICROMETRES;
use crate::decimal::MOST_MICROMETRES;
use crate::fields;
use crate::finding::{Findings, Line};
use crate::formats::ghcn;
use series::{Day, Reading, Severity, days_in_month};
use std::borrow::Cow;

/// Characters of one day: value (5), measurement flag, quality flag, source flag.
const DAY: usize = 8;
const MISSING: [u8; DAY] = *b"-9999   ";
const UNREADABLE: [u8; DAY] = *b"?????   ";
/// The value in a cell read as a number of eight bytes; the value with its first two flags.
const VALUE: u64 = 0xFF_FFFF_FFFF;
const CELL: u64 = 0xFF_FFFF_FFFF_FFFF;

/// What stands in one day's columns, unless it is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cell {
    /// A number and its flags.
    Number {
        value: i32,
        /// A capital letter or a blank.
        measurement: u8,
        /// A printable character; a blank where no check failed.
        quality: u8,
    },
    /// No number, or flags that can be none.
    Unreadable,
}

/// A day of a line: the place of what was read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place<'a> {
    pub(super) line: Line<'a>,
    /// Days from the first of the month.
    pub(super) index: usize,
    first: Day,
}

impl Place<'_> {
    pub(super) fn day(&self) -> Day {
        self.first.plus(self.index as i32)
    }

    /// Days from an earlier day to this one; nothing if `earlier` is later.
    pub(super) fn days_since(&self, earlier: Day) -> Option<usize> {
        usize::try_from(self.first.since(earlier) + self.index as i32).ok()
    }

    /// Column and width of the value.
    pub(super) fn value(&self) -> (u32, u32) {
        ((HEAD + DAY * self.index + 1) as u32, 5)
    }

    /// Column and width of the measurement flag.
    pub(super) fn measurement_flag(&self) -> (u32, u32) {
        ((HEAD + DAY * self.index + 6) as u32, 1)
    }

    /// Column and width of the quality flag.
    pub(super) fn quality_flag(&self) -> (u32, u32) {
        ((HEAD + DAY * self.index + 7) as u32, 1)
    }

    fn found(&self) -> String {
        let first = HEAD + DAY * self.index + 1;
        String::from_utf8_lossy(fields::columns(self.line.text, first, first + DAY - 1)).into_owned()
    }
}

/// Every cell of these lines that is not missing. Values that do not read, and values on days that never were, are told here.
pub(super) fn each_cell<'a, 'f>(
    bytes: &'a [u8],
    element: &str,
    lines: &[MonthLine],
    findings: &mut Findings<'f>,
    mut take: impl FnMut(Place<'a>, Cell, &mut Findings<'f>),
) {
    for month_line in lines {
        let first = month_line.first_day();
        let (year, month) = month_line.year_and_month();
        let days = days_in_month(year, month) as usize;
        let line = month_line.line(bytes);
        let cells = cells(line.text, usize::from(month_line.length));
        for (index, group) in cells.iter().enumerate() {
            if group[..5] == MISSING[..5] {
                continue;
            }
            let place = Place { line, index, first };
            if index >= days {
                never_was(element, place, (year, month), *group, findings);
                continue;
            }
            let cell = read(*group);
            if cell == Cell::Unreadable {
                if group[..] == [b' '; DAY] {
                    blank(element, place, findings);
                    continue;
                }
                unreadable(element, place, findings);
            }
            take(place, cell, findings);
        }
    }
}

/// Reads a line of rain whose values are all of the common kind: missing, or a number with flags that leave nothing to tell, and nothing behind the
/// month's end. Of any other line it says no, and what it has put into `readings` by then is to be put there again.
pub(super) fn read_common(bytes: &[u8], line: &MonthLine, first: Day, readings: &mut [Reading]) -> bool {
    if usize::from(line.length) != WIDTH {
        return false;
    }
    let (year, month) = line.year_and_month();
    let days = days_in_month(year, month) as usize;
    let start = usize::try_from(line.first_day().since(first)).ok();
    let Some(slots) = start.and_then(|start| readings.get_mut(start..start + days)) else { return false };
    let (cells, _) = line.line(bytes).text.get(HEAD..).unwrap_or_default().as_chunks::<DAY>();
    let Some((cells, beyond)) = cells.split_at_checked(days) else { return false };
    let (missing, zero) = (u64::from_le_bytes(MISSING) & VALUE, u64::from_le_bytes(*b"    0   ") & CELL);
    for (slot, cell) in slots.iter_mut().zip(cells) {
        let word = u64::from_le_bytes(*cell);
        // Two of three days are dry: eight characters at once tell it.
        if word & CELL == zero {
            *slot = Reading::measured(0);
            continue;
        }
        if word & VALUE == missing {
            continue;
        }
        let Some(value) = not_negative(word) else { return false };
        // Both flags blank: by far the most.
        if (word >> 40) & 0xFFFF == 0x2020 && value * MICROMETRES <= MOST_MICROMETRES {
            *slot = Reading::measured(value * MICROMETRES);
        } else {
            let Some(reading) = ghcn::common(cell[5], cell[6], value) else { return false };
            *slot = reading;
        }
    }
    beyond.iter().all(|cell| u64::from_le_bytes(*cell) & VALUE == missing)
}

#[cold]
fn never_was(element: &str, place: Place<'_>, (year, month): (i32, u32), group: [u8; DAY], findings: &mut Findings<'_>) {
    if group == [b' '; DAY] || group == UNREADABLE {
        return;
    }
    findings.at("day-that-never-was", Severity::Warning, place.line, place.value(), || {
        let (found, day) = (place.found(), place.index + 1);
        (
            format!("found {found:?} of {element} for {year:04}-{month:02}-{day:02}, a day that never was; expected -9999"),
            "The value is rejected.",
        )
    });
}

#[cold]
fn blank(element: &str, place: Place<'_>, findings: &mut Findings<'_>) {
    findings.at("value-blank", Severity::Warning, place.line, place.value(), || {
        (format!("found blanks for {element} of {}, expected a number or -9999", place.day()), "The day is missing.")
    });
}

#[cold]
fn unreadable(element: &str, place: Place<'_>, findings: &mut Findings<'_>) {
    findings.at("value-unreadable", Severity::Warning, place.line, place.value(), || {
        (
            format!("found {:?} for {element} of {}, expected a number of five columns and three flags", place.found(), place.day()),
            "The value is rejected as unreadable.",
        )
    });
}

/// The line's groups of eight. Where a line is too long or too short its columns may have shifted, and a shifted number can look
/// like a smaller one; so nothing behind the first group that is not well-formed is taken for a value.
fn cells(text: &[u8], length: usize) -> Cow<'_, [[u8; DAY]]> {
    let (whole, _) = text.get(HEAD..).unwrap_or_default().as_chunks::<DAY>();
    if length == WIDTH {
        return Cow::Borrowed(whole);
    }
    let mut groups = vec![MISSING; 31];
    let mut stands = true;
    for (i, group) in groups.iter_mut().enumerate() {
        if let Some(found) = whole.get(i) {
            stands = stands && is_well_formed(*found);
            *group = if stands { *found } else { UNREADABLE };
        } else {
            let part = text.get(HEAD + DAY * i..).unwrap_or_default().trim_ascii_end();
            if !(part.is_empty() || part == b"-9999" && stands) {
                *group = UNREADABLE;
            }
        }
    }
    Cow::Owned(groups)
}

fn is_well_formed(group: [u8; DAY]) -> bool {
    let flag = |byte: u8| byte == b' ' || byte.is_ascii_uppercase();
    fields::signed(&group[..5]).is_some() && flag(group[5]) && flag(group[6]) && (group[7] == b' ' || group[7].is_ascii_alphanumeric())
}

/// Number and flags of one group.
#[inline]
fn read(group: [u8; DAY]) -> Cell {
    let [.., measurement, quality, _] = group;
    let flags_read = (measurement == b' ' || measurement.is_ascii_uppercase()) && (quality == b' ' || quality.is_ascii_graphic());
    let value = not_negative(u64::from_le_bytes(group)).or_else(|| fields::signed(&group[..5]));
    match value {
        Some(value) if flags_read => Cell::Number { value, measurement, quality },
        _ => Cell::Unreadable,
    }
}

/// The number in the low five bytes, blanks then digits, read as one word; nothing for any other text, a minus included.
#[inline]
fn not_negative(group: u64) -> Option<i32> {
    const ONES: u64 = 0x01_0101_0101;
    // A digit becomes 0 to 9, a blank 16, anything else something else above 9.
    let x = (group & (0xFF * ONES)) ^ (0x30 * ONES);
    // The high bit of each byte that is no digit; the sum cannot carry into the next byte.
    let other = (((x & (0x7F * ONES)) + 0x76 * ONES) | x) & (0x80 * ONES);
    // Turned back from 16 to 0 where it is a blank.
    let digits = x ^ (other >> 3);
    // Nothing but blanks beside the digits, none behind one, and a digit at the end.
    let not_blank = digits & ((other << 1).wrapping_sub(other >> 7));
    let behind = other & !((other << 8) | 0x80);
    if (not_blank | behind | (other >> 32)) != 0 {
        return None;
    }
    // Eight digits, three zeros in front, the first in the lowest byte: add up by pairs, then by fours (each multiplication adds two at once).
    let eight = digits << 24;
    let pairs = eight.wrapping_mul(10).wrapping_add(eight >> 8);
    let low = (pairs & 0x0000_00FF_0000_00FF).wrapping_mul(0x000F_4240_0000_0064);
    let high = ((pairs >> 16) & 0x0000_00FF_0000_00FF).wrapping_mul(0x0000_2710_0000_0001);
    Some((low.wrapping_add(high) >> 32) as i32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn number(text: &str) -> Option<i32> {
        let group: [u8; DAY] = format!("{text}  0").as_bytes().try_into().unwrap();
        match read(group) {
            Cell::Number { value, .. } => Some(value),
            Cell::Unreadable => None,
        }
    }

    #[test]
    fn every_number_of_five_columns_reads() {
        for value in -9999..=99_999 {
            assert_eq!(number(&format!("{value:5}")), Some(value));
            if value >= 0 {
                assert_eq!(number(&format!("{value:05}")), Some(value));
            }
        }
    }

    #[test]
    fn a_shifted_line_gives_no_smaller_numbers() {
        let whole = format!("XXT00000001200101PRCP{}", "  123  0".repeat(31));
        for at in HEAD..WIDTH {
            let day = (at - HEAD) / DAY;
            let (before, after) = whole.split_at(at);
            for (shifted, length) in [(format!("{before}{}", &after[1..]), WIDTH - 1), (format!("{before} {after}"), WIDTH + 1)] {
                let groups = cells(&shifted.as_bytes()[..shifted.len().min(WIDTH)], length).into_owned();
                for (i, group) in groups.iter().enumerate() {
                    let expected = if i < day { Some(123) } else { None };
                    let read = match read(*group) {
                        Cell::Number { value, .. } => Some(value),
                        Cell::Unreadable => None,
                    };
                    assert!(read == expected || i == day && read == Some(123), "{at} {i} {group:?}");
                }
            }
        }
    }

    proptest! {
        #[test]
        fn the_word_and_the_digits_agree(field in proptest::collection::vec(prop_oneof![Just(b' '), Just(b'-'), b'0'..=b'9', any::<u8>()], 5)) {
            let mut group = *b"       0";
            group[..5].copy_from_slice(&field);
            let slow = fields::signed(&field);
            match not_negative(u64::from_le_bytes(group)) {
                Some(value) => prop_assert_eq!(slow, Some(value)),
                None => prop_assert!(slow.is_none_or(|value| value < 0 || field.contains(&b'-') || field.iter().any(|b| b.is_ascii_whitespace() && *b != b' '))),
            }
        }
    }
}
