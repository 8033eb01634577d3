//! One line: where it ends and what its fields are.

use crate::delimited::Rows;
use crate::fields;

/// Characters before the value: id, date, element and their commas.
const HEAD: usize = 26;

/// The fields of a line that is laid out as published.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cut<'l> {
    /// Eleven characters.
    pub(super) id: &'l [u8],
    /// Eight characters.
    pub(super) date: &'l [u8],
    /// Four characters.
    pub(super) element: &'l [u8],
    pub(super) value: &'l [u8],
    /// A blank where there is none.
    pub(super) measurement: u8,
    /// A blank where there is none.
    pub(super) quality: u8,
    /// Four digits, or nothing.
    pub(super) time: &'l [u8],
}

impl Cut<'_> {
    /// Column and width of the value.
    pub(super) fn value_columns(&self) -> (u32, u32) {
        (HEAD as u32 + 1, self.value.len() as u32)
    }

    pub(super) fn measurement_columns(&self) -> (u32, u32) {
        let (at, width) = self.value_columns();
        (at + width + 1, u32::from(self.measurement != b' '))
    }

    pub(super) fn quality_columns(&self) -> (u32, u32) {
        let (at, width) = self.measurement_columns();
        (at + width + 1, u32::from(self.quality != b' '))
    }
}

/// Whether a first line names the columns.
pub(super) fn is_heading(line: &[u8]) -> bool {
    let line = line.strip_prefix(b"\"").unwrap_or(line);
    line.get(..2).is_some_and(|id| id.eq_ignore_ascii_case(b"ID")) && matches!(line.get(2), Some(b',' | b'"'))
}

/// What a line's element is to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Element {
    /// PRCP.
    Rain,
    /// MDPR or DAPR.
    Total,
    /// TMAX or TMIN.
    Temperature,
    /// Any other, in a line with its commas in place.
    Other,
    /// The commas are not in their places.
    Unknown,
}

/// Where the line ends (the place of the next line feed, or the end of the text), and of what element it is. A row is some 35 bytes, so the line feed
/// is looked for eight bytes at a time from the front.
#[inline]
pub(super) fn end_and_element(text: &[u8]) -> (usize, Element) {
    let Some(head) = text.first_chunk::<40>() else { return short(text) };
    let (words, _) = head.as_chunks::<8>();
    // No line feed in the first 24 bytes, and the first one in the next 16.
    let early = feeds(words[0]) | feeds(words[1]) | feeds(words[2]);
    let (fourth, fifth) = (feeds(words[3]), feeds(words[4]));
    if early != 0 || (fourth | fifth) == 0 {
        return short(text);
    }
    let end = if fourth != 0 { 24 + fourth.trailing_zeros() as usize / 8 } else { 32 + fifth.trailing_zeros() as usize / 8 };
    let element = if head[11] == b',' && head[20] == b',' && head[25] == b',' && end > 25 {
        element_of([head[21], head[22], head[23], head[24]])
    } else {
        Element::Unknown
    };
    (end, element)
}

/// The same of a line of another length, or near the end of the text.
fn short(text: &[u8]) -> (usize, Element) {
    let end = memchr::memchr(b'\n', text).unwrap_or(text.len());
    let element = element(&text[..end]).map_or(Element::Unknown, |element| element_of(*element));
    (end, element)
}

#[inline]
fn element_of(word: [u8; 4]) -> Element {
    const fn number(word: [u8; 4]) -> u32 {
        u32::from_le_bytes(word)
    }
    const RAIN: u32 = number(*b"PRCP");
    const TOTAL: u32 = number(*b"MDPR");
    const LENGTH: u32 = number(*b"DAPR");
    const GREATEST: u32 = number(*b"TMAX");
    const LEAST: u32 = number(*b"TMIN");
    match u32::from_le_bytes(word) {
        RAIN => Element::Rain,
        TOTAL | LENGTH => Element::Total,
        GREATEST | LEAST => Element::Temperature,
        _ => Element::Other,
    }
}

/// The high bit of each byte that is a line feed; below the first of them all bits are 0 (bits above it may be more than line feeds).
#[inline]
fn feeds(word: [u8; 8]) -> u64 {
    const FEEDS: u64 = u64::from_ne_bytes([b'\n'; 8]);
    const LOW: u64 = 0x0101_0101_0101_0101;
    const HIGH: u64 = 0x8080_8080_8080_8080;
    let zero_where_feed = u64::from_le_bytes(word) ^ FEEDS;
    zero_where_feed.wrapping_sub(LOW) & !zero_where_feed & HIGH
}

/// The element of a row with its commas in place; nothing for any other line.
pub(super) fn element(line: &[u8]) -> Option<&[u8; 4]> {
    let head: &[u8; HEAD] = line.first_chunk()?;
    (head[11] == b',' && head[20] == b',' && head[25] == b',').then_some(head[21..25].as_array()?)
}

/// The fields of a line laid out as published; nothing where a comma is not in its place or a flag is longer than a letter.
pub(super) fn cut(line: &[u8]) -> Option<Cut<'_>> {
    let element = element(line)?;
    let rest = &line[HEAD..];
    let end = rest.iter().take(12).position(|byte| *byte == b',')?;
    let (value, rest) = (&rest[..end], &rest[end + 1..]);
    let (measurement, rest) = flag(rest)?;
    let (quality, rest) = flag(rest)?;
    // The source flag may end the line.
    let time = match rest {
        [] => rest,
        _ => match rest.iter().take(3).position(|byte| *byte == b',') {
            Some(end) if end <= 1 => &rest[end + 1..],
            None if rest.len() <= 1 => &rest[..0],
            _ => return None,
        },
    };
    (time.len() <= 4).then_some(Cut { id: &line[..11], date: &line[12..20], element, value, measurement, quality, time })
}

/// A letter or nothing, and what stands behind the comma after it.
fn flag(rest: &[u8]) -> Option<(u8, &[u8])> {
    match rest {
        [b',', rest @ ..] => Some((b' ', rest)),
        [letter, b',', rest @ ..] if letter.is_ascii_graphic() && *letter != b'"' => Some((*letter, rest)),
        [b' ', b',', rest @ ..] => Some((b' ', rest)),
        _ => None,
    }
}

/// Columns as published.
const COLUMNS: usize = 8;

/// A row that was quoted or padded, dated as 2024-01-31 or followed by more columns, laid out as published.
pub(super) fn laid_out(line: &[u8]) -> Option<Vec<u8>> {
    let mut rows = Rows::new(line, b',');
    let row = rows.next_row()?;
    if row.len() < COLUMNS - 1 || !fields::is_station_id(row.get(0)) {
        return None;
    }
    let without = |field: &[u8], mark: u8| field.iter().copied().filter(|byte| *byte != mark).collect::<Vec<u8>>();
    let fields = (0..row.len().min(COLUMNS)).map(|place| match (place, row.get(place)) {
        (1, date @ [_, _, _, _, b'-', _, _, b'-', _, _, rest @ ..]) if rest.is_empty() || matches!(rest[0], b' ' | b'T') => {
            without(&date[..10], b'-')
        }
        (7, time) => without(time, b':'),
        (_, field) => field.to_vec(),
    });
    Some(fields.collect::<Vec<_>>().join(&b','))
}

/// Whether a line is a row, as published or quoted or padded.
pub(super) fn fits(line: &[u8]) -> bool {
    let dated = |line: &[u8]| cut(line).is_some_and(|cut| cut.date.iter().all(u8::is_ascii_digit));
    dated(line) || (line.first() == Some(&b'"') || line.get(11) == Some(&b',')) && laid_out(line).is_some_and(|line| dated(&line))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_row_is_cut_at_its_commas() {
        let row = cut(b"US1MNWN0003,20110320,PRCP,79,T,,N,0700").unwrap();
        assert_eq!(
            (row.id, row.date, row.element, row.value, row.time),
            (&b"US1MNWN0003"[..], &b"20110320"[..], &b"PRCP"[..], &b"79"[..], &b"0700"[..])
        );
        assert_eq!((row.measurement, row.quality, row.value_columns(), row.quality_columns()), (b'T', b' ', (27, 2), (32, 0)));
        let row = cut(b"GM000010962,18000101,PRCP,0,,I,E,").unwrap();
        assert_eq!((row.quality, row.quality_columns(), row.time.len()), (b'I', (30, 1), 0));
        for line in [
            "",
            "GM000010962,18000101,PRCP,0",
            "GM000010962,18000101,PRCP,0,,,EE,",
            "GM000010962,18000101,PRCP,0,TT,,E,",
            "GM00001096,218000101,PRCP,0,,,E,",
        ] {
            assert_eq!(cut(line.as_bytes()), None, "{line}");
        }
        for (line, expected) in [
            ("GM000010962,1800-01-01,PRCP,5,,I,E,", Some("GM000010962,18000101,PRCP,5,,I,E,")),
            ("GM000010962,1800-01-01 00:00,PRCP,5,,I,E,07:00,Berlin,52.4", Some("GM000010962,18000101,PRCP,5,,I,E,0700")),
            ("GM000010962,01/01/1800,PRCP,5,,I,E,", Some("GM000010962,01/01/1800,PRCP,5,,I,E,")),
            ("Berlin,18000101,PRCP,5,,I,E,", None),
        ] {
            assert_eq!(laid_out(line.as_bytes()).as_deref(), expected.map(str::as_bytes), "{line}");
        }
        assert!(is_heading(b"ID,DATE,ELEMENT") && is_heading(b"\"id\",") && !is_heading(b"IDT00000001,"));
    }

    #[test]
    fn the_element_is_known_with_its_commas_in_place() {
        for (line, element) in [
            ("US1MNWN0003,20110320,PRCP,79,T,,N,0700\n", Element::Rain),
            ("US1MNWN0003,20110320,PRCP,79,T,,N,0700", Element::Rain),
            ("GM000010962,18000101,DAPR,0,,I,E,\n", Element::Total),
            ("GM000010962,18000101,TMIN,0,,I,E,\n", Element::Temperature),
            ("GM000010962,18000101,SNWD,0,,I,E,\n", Element::Other),
            ("GM000010962;18000101,SNWD,0,,I,E,\n", Element::Unknown),
            ("GM000010962,18000101\n", Element::Unknown),
            ("\n", Element::Unknown),
        ] {
            let mut text = line.to_owned();
            assert_eq!(end_and_element(text.as_bytes()).1, element, "{line}");
            text += "GM000010962,18000101,PRCP,0,,,E,\nGM000010962,18000101,PRCP,0,,,E,\n";
            if line.ends_with('\n') {
                assert_eq!(end_and_element(text.as_bytes()), (line.len() - 1, element), "{line}");
            }
        }
    }

    proptest! {
        #[test]
        fn the_line_ends_at_its_first_line_feed(text in proptest::collection::vec(prop_oneof![Just(b'\n'), Just(b'\n' + 1), Just(0x8a), any::<u8>()], 0..300), from in 0..200usize) {
            let mut text = text;
            let clear = from.min(text.len());
            text[..clear].iter_mut().filter(|byte| **byte == b'\n').for_each(|byte| *byte = b'x');
            prop_assert_eq!(end_and_element(&text).0, text.iter().position(|byte| *byte == b'\n').unwrap_or(text.len()));
        }
    }
}
