//! Tables that a spreadsheet has saved anew: tabs or semicolons for the agency's commas (or the other way round), decimal commas with them,
//! two bytes a character (UTF-16, the "Unicode text" of a save dialogue; Unicode Standard section 2.6, from memory).
//!
//! A text that no agency's format is sure of is looked at once more with other delimiters. Only a format that is [`Certain`] of such a
//! text takes it: a person's own log with tabs stays what it is. Without this an agency's table in tabs would pass for a log of a person
//! whose unit is asked for, and the tenths of a millimetre of many archives would be answered with "millimetres".
//!
//! So is a text whose lines stand in quotes as wholes, as a spreadsheet saves lines that it has taken for one field each.
//!
//! Lines keep their numbers; columns of a finding are those of the text as it is read.
//!
//! [`Certain`]: crate::formats::Confidence::Certain

use crate::content;
use crate::delimited::Rows;
use crate::fields;
use crate::formats::{self, Format};
use encoding_rs::{UTF_16BE, UTF_16LE};

/// Bytes that a format is known by.
const HEAD: usize = 64 << 10;
const DELIMITERS: [u8; 3] = [b'\t', b';', b','];

/// A text with the delimiter that a format has, and that format.
pub(crate) struct Respelt {
    pub(crate) format: &'static Format,
    pub(crate) bytes: Vec<u8>,
    /// What was found and what is usual, for a finding.
    pub(crate) what: String,
}

/// The text in UTF-8, if it is in UTF-16: by its byte-order mark, or by NULs that stand on one side of pairs of bytes and beside an ASCII
/// character each. Other letters have none, so a third of the pairs is enough: digits and delimiters are more in any table.
pub(crate) fn from_utf16(bytes: &[u8]) -> Option<Vec<u8>> {
    let head = &bytes[..bytes.len().min(4096)];
    if memchr::memchr(0, head).is_none() && !matches!(bytes, [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..]) {
        return None;
    }
    let nuls = |odd: usize| {
        head.chunks_exact(2).filter(move |pair| pair[odd] == 0 && matches!(pair[1 - odd], b'\t' | b'\n' | b'\r' | b' '..=b'~'))
    };
    let (little, big) = (nuls(1).count(), nuls(0).count());
    let most = |nuls: usize, other: usize| head.len() >= 16 && 3 * nuls >= head.len() / 2 && 20 * other <= nuls;
    let encoding = match bytes {
        [0xFF, 0xFE, ..] => UTF_16LE,
        [0xFE, 0xFF, ..] => UTF_16BE,
        _ if most(little, big) => UTF_16LE,
        _ if most(big, little) => UTF_16BE,
        _ => return None,
    };
    Some(encoding.decode_with_bom_removal(bytes).0.into_owned().into_bytes())
}

/// The text with another delimiter or without quotes round its lines, if a format is certain of it then.
pub(crate) fn respelt(bytes: &[u8]) -> Option<Respelt> {
    let bytes = content::without_marks(bytes);
    if let Some(format) = without_line_quotes(whole_lines(bytes)).and_then(|head| formats::certain(&head)) {
        let what = format!("found quotes round whole lines, expected none as in every {}: a table saved anew", format.name);
        return Some(Respelt { format, bytes: without_line_quotes(bytes)?, what });
    }
    let (from, to, format) = tried(bytes, formats::certain)?;
    let name = |delimiter| match delimiter {
        b'\t' => "tabs",
        b';' => "semicolons",
        _ => "commas",
    };
    let what = format!("found {} between the columns, expected {} as in every {}: a table saved anew", name(from), name(to), format.name);
    Some(Respelt { format, bytes: with_delimiter(bytes, from, to), what })
}

/// What another product of an agency is, saved anew.
pub(crate) fn look_alike(bytes: &[u8]) -> Option<&'static str> {
    tried(content::without_marks(bytes), formats::look_alike).map(|(_, _, what)| what)
}

/// The text with the quotes taken off lines that stand in them as wholes; nothing where no line does.
fn without_line_quotes(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut text = Vec::with_capacity(bytes.len());
    let mut taken = false;
    for line in bytes.split_inclusive(|byte| *byte == b'\n') {
        let own = fields::without_return(line.strip_suffix(b"\n").unwrap_or(line));
        // Empty cells behind the quoted one, as a table of several columns has them.
        let end = own.iter().rposition(|byte| !DELIMITERS.contains(byte)).map_or(0, |last| last + 1);
        match own[..end].strip_prefix(b"\"").and_then(|own| own.strip_suffix(b"\"")) {
            // A doubled quote inside stands for one; a single one ends a field.
            Some(inside) if memchr::memmem::find_iter(inside, b"\"\"").count() * 2 == memchr::memchr_iter(b'"', inside).count() => {
                taken |= inside.iter().any(|byte| DELIMITERS.contains(byte));
                let mut rest = inside;
                while let Some(at) = memchr::memchr(b'"', rest) {
                    text.extend_from_slice(&rest[..=at]);
                    rest = &rest[at + 2..];
                }
                text.extend_from_slice(rest);
            }
            _ => text.extend_from_slice(own),
        }
        if line.ends_with(b"\n") {
            text.push(b'\n');
        }
    }
    taken.then_some(text)
}

/// The head of a text, without the line that it ends in.
fn whole_lines(bytes: &[u8]) -> &[u8] {
    let head = &bytes[..bytes.len().min(HEAD)];
    match memchr::memrchr(b'\n', head) {
        Some(end) if head.len() < bytes.len() => &head[..=end],
        _ => head,
    }
}

/// The first answer to the head of the text with other delimiters than its own.
fn tried<T>(bytes: &[u8], answer: impl Fn(&[u8]) -> Option<T>) -> Option<(u8, u8, T)> {
    let head = whole_lines(bytes);
    DELIMITERS.iter().filter(|from| divides(head, **from)).find_map(|from| {
        [b',', b';'].iter().filter(|to| *to != from).find_map(|to| Some((*from, *to, answer(&with_delimiter(head, *from, *to))?)))
    })
}

/// Whether a delimiter stands twice or more in most of the first lines that are no preamble: in one of the first hundred at least.
fn divides(head: &[u8], delimiter: u8) -> bool {
    let twice = |line: &[u8]| memchr::memchr_iter(delimiter, line).nth(1).is_some();
    head.split(|byte| *byte == b'\n').take(100).filter(|line| twice(line)).count() > 1
}

/// Each line that has the delimiter, with the other one in its place; decimal commas become points.
fn with_delimiter(bytes: &[u8], from: u8, to: u8) -> Vec<u8> {
    let mut text = Vec::with_capacity(bytes.len() + bytes.len() / 8);
    for line in bytes.split_inclusive(|byte| *byte == b'\n') {
        let own = fields::without_return(line.strip_suffix(b"\n").unwrap_or(line));
        // Rows pass over a mark and over blank lines, so each line is split for itself and those are kept as they are.
        match memchr::memchr(from, own).map(|_| Rows::new(own, from)).as_mut().and_then(Rows::next_row) {
            Some(row) => {
                for place in 0..row.len() {
                    if place > 0 {
                        text.push(to);
                    }
                    field(row.untrimmed(place), to, &mut text);
                }
            }
            None => text.extend_from_slice(own),
        }
        if line.ends_with(b"\n") {
            text.push(b'\n');
        }
    }
    text
}

fn field(field: &[u8], to: u8, text: &mut Vec<u8>) {
    if is_decimal_comma(field) {
        text.extend(field.iter().map(|byte| if *byte == b',' { b'.' } else { *byte }));
    } else if field.iter().any(|byte| *byte == to || *byte == b'"') {
        text.push(b'"');
        for byte in field {
            text.extend(std::iter::repeat_n(*byte, if *byte == b'"' { 2 } else { 1 }));
        }
        text.push(b'"');
    } else {
        text.extend_from_slice(field);
    }
}

/// Digits, one comma, digits, perhaps with a sign.
fn is_decimal_comma(field: &[u8]) -> bool {
    let number = field.trim_ascii();
    let number = number.strip_prefix(b"-").unwrap_or(number);
    let mut parts = number.split(|byte| *byte == b',');
    let digits = |part: Option<&[u8]>| part.is_some_and(|part| !part.is_empty() && part.iter().all(u8::is_ascii_digit));
    digits(parts.next()) && digits(parts.next()) && parts.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, Wanted, read_bytes};

    const ACCESS: &str = "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"TMAX\",\"TMAX_ATTRIBUTES\"\n\"XX000000001\",\"2024-01-01\",\"44.5\",\"-36.0\",\"182.0\",\"INVENTED PLACE, XX\",\"  125\",\",,S\",\"   12\",\",,S\"\n\"XX000000001\",\"2024-01-02\",\"44.5\",\"-36.0\",\"182.0\",\"INVENTED PLACE, XX\",\"    0\",\"T,,S\",\"   12\",\",,S\"\n";
    const DWD: &str = "STATIONS_ID;MESS_DATUM;QN_6;  RS; RSF;SH_TAG;eor\n       9999;19490101;    5;   9.0;   1;   0;eor\n       9999;19490102;    5;   6.1;   1;   0;eor\n";

    fn read(bytes: &[u8]) -> (Vec<StationRecord>, series::Diagnostics) {
        let mut records = Vec::new();
        let summary = read_bytes("x", bytes, Wanted::default(), &mut records).unwrap();
        (records, summary.diagnostics)
    }

    fn utf16(text: &str) -> Vec<u8> {
        text.encode_utf16().flat_map(u16::to_le_bytes).collect()
    }

    #[test]
    fn other_delimiters_give_the_same_record() {
        let of = |text: &str, from: u8, to: u8| with_delimiter(text.as_bytes(), from, to);
        for (text, own) in [(ACCESS, b','), (DWD, b';')] {
            let (expected, _) = read(text.as_bytes());
            for other in DELIMITERS.into_iter().filter(|other| *other != own) {
                let anew = of(text, own, other);
                let (records, diagnostics) = read(&anew);
                assert_eq!(diagnostics.count("table-saved-anew"), 1);
                assert_eq!((records.len(), records[0].rain.counts()), (1, expected[0].rain.counts()));
                assert_eq!(records[0].rain.total_micrometres(), expected[0].rain.total_micrometres());
                assert_eq!(records[0].rain.station, expected[0].rain.station);
            }
        }
    }

    #[test]
    fn decimal_commas_go_with_it() {
        let text = DWD.replace(';', "\t").replace("9.0", "9,0").replace("6.1", "6,1");
        assert_eq!(read(text.as_bytes()).0[0].rain.total_micrometres(), 15_100);
        assert!(is_decimal_comma(b" -0,3 ") && !is_decimal_comma(b",,7") && !is_decimal_comma(b"1,000,0") && !is_decimal_comma(b",7"));
    }

    #[test]
    fn two_bytes_a_character_are_read() {
        for bytes in [utf16(ACCESS), utf16(&format!("\u{feff}{}", ACCESS.replace("\",\"", "\"\t\"")))] {
            let (records, diagnostics) = read(&bytes);
            assert_eq!((records[0].rain.counts().measured, records[0].rain.total_micrometres()), (1, 12_500));
            assert_eq!(diagnostics.count("text-in-utf-16"), 1);
        }
        assert_eq!(from_utf16(ACCESS.as_bytes()), None);
        // Without a mark, in Chinese, of either order of bytes.
        let chinese = format!("{}\n{ACCESS}", "\u{6bcf}\u{65e5}\u{7e3d}\u{96e8}\u{91cf}".repeat(20));
        let turned: Vec<u8> = chinese.encode_utf16().flat_map(u16::to_be_bytes).collect();
        for bytes in [utf16(&chinese), turned] {
            assert_eq!(from_utf16(&bytes).as_deref(), Some(chinese.as_bytes()));
        }
        assert_eq!(from_utf16(chinese.as_bytes()), None);
        assert_eq!(from_utf16(&[0; 600]), None);
    }

    #[test]
    fn quotes_round_whole_lines_are_taken_off() {
        let quoted = |text: &str| text.lines().map(|line| format!("\"{}\"\r\n", line.replace('"', "\"\""))).collect::<Vec<_>>().concat();
        for text in [ACCESS, DWD] {
            let expected = read(text.as_bytes()).0;
            let (records, diagnostics) = read(quoted(text).as_bytes());
            assert_eq!((records.len(), records[0].rain.readings()), (1, expected[0].rain.readings()));
            assert_eq!((records[0].rain.station.clone(), diagnostics.count("table-saved-anew")), (expected[0].rain.station.clone(), 1));
        }
        assert_eq!(without_line_quotes(b"\"a,b\"\n\"c\",\"d\"\n\"e,\"\"f\"\"\",,\n").unwrap(), b"a,b\n\"c\",\"d\"\ne,\"f\"\n");
        assert_eq!(without_line_quotes(b"\"a\",\"b\"\n\"c\"\n"), None);
    }

    #[test]
    fn a_log_and_another_product_stay_what_they_are() {
        assert!(respelt(b"date\train (mm)\tnote\n2024-01-01\t2.0\t\n2024-01-02\t2.0\t\n").is_none());
        let monthly = "STATION\tDATE\tPRCP\tNAME\nXX000000001\t2024-01\t2.0\tA\nXX000000001\t2024-02\t2.0\tA\n";
        let error = read_bytes("x", monthly.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
        assert_eq!(error.id(), "file-is-another-product", "{error}");
    }
}
