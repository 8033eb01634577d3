//! Text in the encodings that agencies write: UTF-8 where it is valid, else the one that is usual for the format.
//!
//! Digits, delimiters and the words that formats are known by are ASCII in all of them, so files are read as bytes and only
//! names are decoded.

use encoding_rs::Encoding;

pub(crate) use encoding_rs::{WINDOWS_1250, WINDOWS_1252};

/// Longest name that is kept, in bytes; a line of a mebibyte is no name.
const LONGEST: usize = 400;

/// A name as text, trimmed; `otherwise` is the encoding of bytes that are not UTF-8 (`WINDOWS_1252` holds ISO 8859-1).
pub(crate) fn name(bytes: &[u8], otherwise: &'static Encoding) -> String {
    let trimmed = bytes.trim_ascii();
    // Cut between characters of UTF-8, should it be that.
    let end = (trimmed.len().min(LONGEST)..trimmed.len().min(LONGEST + 4)).find(|end| trimmed[*end] & 0xC0 != 0x80);
    let trimmed = &trimmed[..end.unwrap_or(trimmed.len().min(LONGEST))];
    let text = match std::str::from_utf8(trimmed) {
        Ok(text) => text.to_owned(),
        Err(_) => otherwise.decode_without_bom_handling(trimmed).0.into_owned(),
    };
    // A name is printed: a control character in it is shown, not obeyed.
    text.chars().map(|c| if c.is_control() { '.' } else { c }).collect::<String>().trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_encoding_gives_the_same_name() {
        assert_eq!(name("Söderala".as_bytes(), WINDOWS_1252), "Söderala");
        assert_eq!(name(b"S\xF6derala ", WINDOWS_1252), "Söderala");
        assert_eq!(name(b"\x8Al\xB9sk", WINDOWS_1250), "Šląsk");
        assert_eq!(name(b"a\0b\x1B", WINDOWS_1252), "a.b.");
        assert_eq!(name("ö".repeat(1000).as_bytes(), WINDOWS_1252), "ö".repeat(200));
        assert_eq!(name(&[b"x".as_slice(), "ö".repeat(1000).as_bytes()].concat(), WINDOWS_1252), format!("x{}", "ö".repeat(200)));
    }
}
