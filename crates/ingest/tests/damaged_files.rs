//! The samples of every format, damaged in a thousand seeded ways each: no reader panics, and what it makes adds up.
//!
//! A short and repeatable part of what the fuzz targets (`fuzz/`) do for longer. `CARGO_PROFILE_DEV_OPT_LEVEL` makes no difference to
//! what is found: the draws are seeded by the sample's name.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

#[allow(unreachable_pub)]
#[path = "../fuzz/src/check.rs"]
mod check;
#[path = "samples/figures.rs"]
mod figures;

use check::check;
use figures::FIGURES;
use ingest::formats::{FORMATS, Input};
use ingest::{Inventory, StationList, StationRecord, Wanted, read_bytes};
use testkit::draws::Draws;

const ROUNDS: u64 = 1000;
/// One round in so many is read through the front door too, sniffed by all formats.
const BY_CONTENT: u64 = 8;

fn sample(file: &str) -> Vec<u8> {
    std::fs::read(format!("{}/tests/samples/{file}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// A place in 0 .. `bound` - 1, or 0.
fn place(draws: &mut Draws, bound: usize) -> usize {
    draws.below(bound as u64) as usize
}

/// Bytes that mean something to a reader.
const MEANT: &[u8] = b"0123456789-+.,;:|\"'#/<> \t\r\nTMxXeE\0\xFF\xEF\x1F";
/// Fields that are hard to read as what they stand for.
const FIELDS: [&str; 16] = [
    "",
    "-9999",
    "-999.9",
    "99999999",
    "2147483647",
    "-2147483648",
    "9223372036854775807",
    "0.0000000000000000001",
    "1e308",
    "NaN",
    "\"",
    "\"\"",
    "16000101",
    "22991231",
    "2299-12-31",
    "01/02/03",
];

/// One damage more.
fn damage(bytes: &mut Vec<u8>, other: &[u8], draws: &mut Draws) {
    let at = place(draws, bytes.len());
    let mut lines: Vec<Vec<u8>> = bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
    let line = place(draws, lines.len());
    let is_parting = |byte: &u8| matches!(byte, b',' | b';' | b' ' | b'\t');
    match draws.below(13) {
        _ if bytes.is_empty() => bytes.extend_from_slice(other),
        0 => bytes[at] ^= 1 << draws.below(8),
        1 => bytes[at] = MEANT[place(draws, MEANT.len())],
        2 => bytes.insert(at, MEANT[place(draws, MEANT.len())]),
        3 => {
            // Digits of a whole line: dates and values of any size.
            let digits = lines[line].iter_mut().filter(|byte| byte.is_ascii_digit());
            digits.for_each(|byte| *byte = if draws.chance(0.3) { b'0' + draws.below(10) as u8 } else { *byte });
            *bytes = lines.concat();
        }
        4 => {
            lines.remove(line);
            *bytes = lines.concat();
        }
        5 => {
            let again = lines[place(draws, lines.len())].clone();
            lines.insert(line, again);
            *bytes = lines.concat();
        }
        6 => {
            for from in (1..lines.len()).rev() {
                lines.swap(from, place(draws, from + 1));
            }
            *bytes = lines.concat();
        }
        7 | 8 => {
            // A field left out, or another in its place.
            let mut fields: Vec<&[u8]> = lines[line].split(is_parting).collect();
            let parting = lines[line].iter().find(|byte| is_parting(byte)).copied().unwrap_or(b',');
            let field = place(draws, fields.len());
            if draws.chance(0.4) {
                fields.remove(field);
            } else {
                fields[field] = FIELDS[place(draws, FIELDS.len())].as_bytes();
            }
            lines[line] = fields.join(&parting);
            *bytes = lines.concat();
        }
        9 => {
            let from = place(draws, other.len());
            let to = from + place(draws, other.len() - from);
            bytes.splice(at..at, other[from..to].iter().copied());
        }
        10 => bytes.truncate(at),
        11 => {
            let long = MEANT[place(draws, MEANT.len())];
            bytes.splice(at..at, std::iter::repeat_n(long, 1 << draws.below(17)));
        }
        _ => {
            let to = (at + place(draws, 40)).min(bytes.len());
            bytes.drain(at..to);
        }
    }
}

fn try_sample(file: &str, word: &str) {
    let format = FORMATS.iter().find(|format| format.name.contains(word)).unwrap();
    let (whole, seed) = (sample(file), file.bytes().fold(7, |seed: u64, byte| seed.wrapping_mul(31) + u64::from(byte)));
    let mut draws = Draws::new(seed);
    for round in 0..ROUNDS {
        let mut bytes = whole.clone();
        let other = sample(FIGURES[place(&mut draws, FIGURES.len())].0);
        for _ in 0..=draws.below(6) {
            damage(&mut bytes, &other, &mut draws);
        }
        let wanted = Wanted { temperatures: round % 2 == 0, ..Wanted::default() };
        let held = std::panic::catch_unwind(|| {
            let input = Input { name: file, bytes: &bytes, sha256: "", companions: &ingest::formats::Companions::default() };
            let _ = (format.read)(input, wanted, &mut |record: StationRecord| check(&record));
            let _ = (format.sniff)(&bytes);
            if round % BY_CONTENT == 0 {
                let _ = read_bytes(file, &bytes, wanted, &mut |record: StationRecord| check(&record));
                let _ = StationList::read_bytes(file, &bytes);
                let _ = Inventory::read_bytes(file, &bytes);
                let _ = ingest::frequency_table(file, &bytes);
            }
        });
        assert!(held.is_ok(), "{file}, round {round}: {:?}", String::from_utf8_lossy(&bytes[..bytes.len().min(5000)]));
    }
}

#[test]
fn a_damaged_table_of_design_rain_is_a_table_or_an_error() {
    let (whole, mut draws) = (sample("frequency-table.csv"), Draws::new(7));
    for _ in 0..ROUNDS {
        let mut bytes = whole.clone();
        for _ in 0..=draws.below(6) {
            damage(&mut bytes, &whole, &mut draws);
        }
        let Ok(table) = ingest::frequency_table("damaged", &bytes) else { continue };
        assert!(table.return_periods.is_sorted() && !table.rows.is_empty());
        for row in &table.rows {
            for estimate in [&row.estimates, &row.upper, &row.lower].into_iter().flatten().flatten() {
                assert!(estimate.is_finite() && *estimate >= 0.0, "{}", String::from_utf8_lossy(&bytes));
            }
        }
    }
}

#[test]
fn damaged_samples_of_every_format_add_up() {
    std::thread::scope(|scope| {
        for half in 0..2 {
            scope.spawn(move || FIGURES.iter().skip(half).step_by(2).for_each(|(file, word, ..)| try_sample(file, word)));
        }
    });
}
