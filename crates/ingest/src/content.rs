//! What a file is when it is not what was hoped for: empty, a web page, packed, binary, without line ends, another product.
//!
//! Signatures: gzip RFC 1952 section 2.3.1, zip APPNOTE 4.3.7 and 4.3.16, bzip2, xz and zstd (RFC 8878 section 3.1.1) by their
//! leading bytes; bzip2, xz, PDF and PNG from memory.

use crate::Error;

const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

const PACKED: [(&[u8], &str); 5] = [
    // Inside a packed file or where only plain text is read.
    (b"\x1F\x8B", "a gzip file"),
    (b"PK\x03\x04", "a zip archive"),
    (b"BZh", "a bzip2 file"),
    (b"\xFD7zXZ\0", "an xz file"),
    (b"\x28\xB5\x2F\xFD", "a Zstandard file"),
];

/// What a workbook of a spreadsheet is called, and what to do with it.
pub(crate) const WORKBOOK: &str = "a spreadsheet's workbook (save the sheet with the rain as CSV)";

const BINARY: [(&[u8], &str); 5] = [
    // The container of .xls and .doc, [MS-CFB] section 2.2.
    (b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", WORKBOOK),
    (b"%PDF-", "a PDF document"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xFF\xFE", "text in UTF-16, two bytes a character"),
    (b"\xFE\xFF", "text in UTF-16, two bytes a character"),
];

/// The bytes behind any byte-order marks.
pub(crate) fn without_marks(mut bytes: &[u8]) -> &[u8] {
    while let Some(rest) = bytes.strip_prefix(BYTE_ORDER_MARK) {
        bytes = rest;
    }
    bytes
}

/// The first lines of a text, at most 64 KiB of them, from the first one that is not blank: what was pasted together may begin with blank
/// lines, and with a mark behind them.
pub(crate) fn first_lines(bytes: &[u8], lines: usize) -> &[u8] {
    let mut bytes = without_marks(bytes);
    while let Some(end) = memchr::memchr(b'\n', bytes).filter(|end| bytes[..*end].trim_ascii().is_empty()) {
        bytes = without_marks(&bytes[end + 1..]);
    }
    let head = &bytes[..bytes.len().min(1 << 16)];
    let end = memchr::memchr_iter(b'\n', head).nth(lines.saturating_sub(1)).map_or(head.len(), |end| end + 1);
    &head[..end]
}

/// Refuse what can be no station file whatever its format: empty, a web page, packed, without a line feed between its lines.
pub(crate) fn refuse_plain_faults(file: &str, bytes: &[u8], expected: &str) -> Result<(), Error> {
    let start = without_marks(bytes).trim_ascii_start();
    if start.is_empty() {
        return Err(Error::Empty { file: file.to_owned(), expected: expected.to_owned() });
    }
    if is_web_page(start) {
        return Err(Error::WebPage { file: file.to_owned(), begins: first_words(start), expected: expected.to_owned() });
    }
    if let Some((_, kind)) = PACKED.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Err(Error::Packed { file: file.to_owned(), kind });
    }
    let returns = bare_carriage_returns(bytes);
    if returns > 0 && binary_kind(bytes).is_none() {
        return Err(Error::BareCarriageReturns { file: file.to_owned(), returns });
    }
    Ok(())
}

fn is_web_page(start: &[u8]) -> bool {
    let begins_with = |word: &str| start.get(..word.len()).is_some_and(|head| head.eq_ignore_ascii_case(word.as_bytes()));
    ["<!doctype", "<html", "<?xml", "<!--", "<head", "<body"].iter().any(|word| begins_with(word))
}

/// What a text without a byte that is no white space is called, and one of which nothing is known.
pub(crate) const EMPTY: &str = "an empty file";
pub(crate) const NO_LAYOUT: &str = "text of no known layout";

/// What a file that no reader knows is, in a few words, by its first bytes.
pub(crate) fn kind(bytes: &[u8]) -> &'static str {
    let start = without_marks(bytes).trim_ascii_start();
    if start.is_empty() {
        EMPTY
    } else if is_web_page(start) {
        "a web page"
    } else if let Some((_, kind)) = PACKED.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        kind
    } else {
        binary_kind(bytes).unwrap_or_else(|| product(start))
    }
}

/// How many carriage returns end lines by themselves in a text of several lines, where they are more than the line feeds; 0 for any other text. One
/// line that a carriage return ends is a line.
fn bare_carriage_returns(bytes: &[u8]) -> usize {
    let head = &bytes[..bytes.len().min(1 << 12)];
    if memchr::memchr(b'\r', head).is_none() && memchr::memchr(b'\n', head).is_some() {
        // Its first lines end with line feeds; what comes in another way later on is a fault of those lines.
        return 0;
    }
    let bare = memchr::memchr_iter(b'\r', bytes).filter(|at| bytes.get(at + 1) != Some(&b'\n')).count();
    if bare == 0 || bare <= memchr::memchr_iter(b'\n', bytes).count() {
        return 0;
    }
    let lines = bytes.split(|byte| matches!(byte, b'\r' | b'\n')).filter(|line| !line.trim_ascii().is_empty()).count();
    if lines > 1 { bare } else { 0 }
}

/// What a file without readable text seems to be; nothing for text.
fn binary_kind(bytes: &[u8]) -> Option<&'static str> {
    if let Some((_, kind)) = BINARY.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Some(kind);
    }
    let head = &bytes[..bytes.len().min(1 << 16)];
    let control = head.iter().filter(|byte| byte.is_ascii_control() && !byte.is_ascii_whitespace()).count();
    let nul = memchr::memchr_iter(0, head).count();
    (control * 10 > head.len()).then_some(if nul * 2 > head.len() { "a binary file, mostly NUL bytes" } else { "a binary file" })
}

/// Say what a file is that no reader knows.
pub(crate) fn unknown(file: &str, bytes: &[u8], expected: &str) -> Error {
    let (file, expected) = (file.to_owned(), expected.to_owned());
    if let Some(kind) = binary_kind(bytes) {
        return Error::Binary { file, kind, expected };
    }
    let start = without_marks(bytes).trim_ascii_start();
    let words = first_words(start);
    Error::WrongProduct { file, found: format!("{}, beginning {words:?}", product(start)), expected }
}

/// Companion files and tables that are easily taken for a station's file.
fn product(start: &[u8]) -> &'static str {
    let line = start.split(|byte| *byte == b'\n').next().unwrap_or_default();
    let upper = line[..line.len().min(4096)].to_ascii_uppercase();
    let holds = |word: &[u8]| upper.windows(word.len()).any(|window| window == word);
    if start.starts_with(b"version https://git-lfs") {
        "a pointer of Git LFS, not the file itself (`git lfs pull` fetches that)"
    } else if line.starts_with(b"{") || line.starts_with(b"[{") {
        "a JSON text, perhaps an answer of a web service"
    } else if let Some(known) = crate::formats::look_alike(&start[..start.len().min(1 << 16)]) {
        known
    } else if crate::inventory::looks_like_a_line(line) {
        "an inventory of the GHCN-Daily stations (ghcnd-inventory.txt)"
    } else if let Some(layout) = crate::station_list::layout_of(start) {
        layout.name
    } else if holds(b"DATE") && holds(b",") {
        "a table with commas and a heading"
    } else if memchr::memchr_iter(b',', line).count() > 2 {
        "a table with commas"
    } else {
        NO_LAYOUT
    }
}

/// The first sixty characters of the first line, fit to be shown.
fn first_words(start: &[u8]) -> String {
    let line = start.split(|byte| *byte == b'\n').next().unwrap_or_default();
    let head = String::from_utf8_lossy(&line[..line.len().min(240)]);
    head.chars().take(60).map(|c| if c.is_control() { '.' } else { c }).collect::<String>().trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(bytes: &[u8]) -> &'static str {
        refuse_plain_faults("x", bytes, "a station file").err().unwrap_or_else(|| unknown("x", bytes, "a station file")).id()
    }

    #[test]
    fn each_fault_has_its_name() {
        for (bytes, expected) in [
            (&b""[..], "file-empty"),
            (b"\xEF\xBB\xBF \r\n\n", "file-empty"),
            (b"\xEF\xBB\xBF\n <!DOCTYPE html><html>", "file-is-a-web-page"),
            (b"<HTML><head>", "file-is-a-web-page"),
            (b"<?xml version=\"1.0\"?><Error><Code>NoSuchKey</Code>", "file-is-a-web-page"),
            (b"\x1F\x8B\x08\0", "file-is-packed"),
            (b"PK\x03\x04...", "file-is-packed"),
            (b"BZh91AY", "file-is-packed"),
            (&[0; 4000], "file-is-binary"),
            (b"\xFF\xFEU\0S\0", "file-is-binary"),
            (b"foobar\n", "file-is-another-product"),
            (b"foo\rbar\r", "file-has-bare-carriage-returns"),
            // One stray line feed does not make the others line ends.
            (b"foo\rbar\rfoo\r\nbar\r", "file-has-bare-carriage-returns"),
            (b"\xFF\xFEU\0\r\0S\0", "file-is-binary"),
            // One line, however it ends, and lines with both ends.
            (b"foobar\r\r", "file-is-another-product"),
            (b"foo\r\nbar\r\n", "file-is-another-product"),
        ] {
            assert_eq!(id(bytes), expected, "{bytes:?}");
        }
    }

    #[test]
    fn the_first_lines_begin_behind_blank_ones() {
        assert_eq!(first_lines(b"\xEF\xBB\xBF\r\n \n\xEF\xBB\xBF  a;1\nb\nc\n", 2), b"  a;1\nb\n");
        assert_eq!((first_lines(b"\n\n", 2), first_lines(b"a", 2), first_lines(b"", 2)), (&b""[..], &b"a"[..], &b""[..]));
    }

    #[test]
    fn a_companion_file_is_named() {
        let says = |bytes: &[u8], word: &str| assert!(unknown("x", bytes, "y").to_string().contains(word), "{word}");
        says(b"{\"status\":\"400\",\"date\":\"2020-01-01\",\"value\":12}", "JSON");
        says(b"version https://git-lfs.github.com/spec/v1\noid sha256:0\n", "Git LFS");
        says(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1\0\0", "save the sheet");
        let list = b"ACW00011604  17.1167  -61.7833   10.1    ST JOHNS COOLIDGE FLD                       \n";
        assert!(unknown("x", list, "y").to_string().contains("list of the GHCN-Daily stations"));
        let inventory = b"GM000001153  51.9506    7.5914 TMAX 1891 1991\n";
        assert!(unknown("x", inventory, "y").to_string().contains("inventory of the GHCN-Daily stations"));
    }
}
