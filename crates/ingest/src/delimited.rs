//! Lines of delimited fields, one record a line: commas, semicolons or tabs, with quotes as RFC 4180 has them.
//!
//! Each line is split for itself: a quote that is never closed spoils its own line and not the rest of the file. No agency's file
//! breaks a line inside quotes.

use crate::content;
use crate::fields;
use crate::finding::Line;
pub(crate) use crate::heading::Heading;

/// Most fields of a line that are kept; the widest known layout has 209.
const MOST_FIELDS: usize = 1024;

/// Bytes of a line that are split; no layout has a line of a hundredth of it, and a longer one would be copied whole.
const MOST_BYTES: usize = 1 << 20;

/// Walks over the lines that are not blank, splitting each. One pair of buffers serves all lines.
pub(crate) struct Rows<'a> {
    bytes: &'a [u8],
    number: u32,
    delimiter: u8,
    /// Made at the first quote, since making it takes longer than splitting a hundred lines.
    splitter: Option<Box<csv_core::Reader>>,
    text: Vec<u8>,
    ends: Vec<usize>,
    count: usize,
    unquoted: Vec<u8>,
    raw_ends: Vec<usize>,
    quote_is_open: bool,
}

impl<'a> Rows<'a> {
    /// The rows of a whole text.
    pub(crate) fn new(bytes: &'a [u8], delimiter: u8) -> Self {
        Self {
            bytes: content::without_marks(bytes),
            number: 0,
            delimiter,
            splitter: None,
            text: Vec::new(),
            ends: vec![0; MOST_FIELDS],
            count: 0,
            unquoted: Vec::new(),
            raw_ends: vec![0; MOST_FIELDS],
            quote_is_open: false,
        }
    }

    /// The next line that is not blank; a file in lines is read to its end whatever stands in them.
    pub(crate) fn next_row(&mut self) -> Option<Row<'a, '_>> {
        let line = loop {
            let line = self.next_line()?;
            if !fields::is_blank(line.text) && !self.is_empty_row(line.text) {
                break line;
            }
        };
        self.split(line.text);
        let quote_is_open = self.quote_is_open;
        Some(Row { line, delimiter: self.delimiter, text: &self.text, ends: &self.ends[..self.count], quote_is_open })
    }

    /// Whether a line has nothing but delimiters: a spreadsheet saves rows that were once touched so. The end-of-file mark of old systems
    /// (control-Z), which closes the older files of some agencies (from memory), is none either.
    fn is_empty_row(&self, line: &[u8]) -> bool {
        line == b"\x1A"
            || matches!(line.first(), Some(first) if *first == self.delimiter || *first == b'"')
                && line.iter().all(|byte| *byte == self.delimiter || matches!(byte, b' ' | b'"'))
    }

    fn next_line(&mut self) -> Option<Line<'a>> {
        if self.bytes.is_empty() {
            return None;
        }
        let (text, rest) = match memchr::memchr(b'\n', self.bytes) {
            Some(end) => (&self.bytes[..end], &self.bytes[end + 1..]),
            None => (self.bytes, &self.bytes[..0]),
        };
        self.bytes = rest;
        self.number = self.number.saturating_add(1);
        Some(Line { number: self.number, text: fields::without_return(text) })
    }

    fn split(&mut self, line: &[u8]) {
        let line = &line[..line.len().min(MOST_BYTES)];
        self.text.clear();
        self.count = 0;
        self.quote_is_open = false;
        if !line.contains(&b'"') {
            self.text.extend_from_slice(line);
            for end in memchr::memchr_iter(self.delimiter, line).take(MOST_FIELDS - 1) {
                self.ends[self.count] = end;
                self.count += 1;
            }
            self.ends[self.count] = line.len();
            self.count += 1;
            return;
        }
        self.quote_is_open = leaves_quote_open(line, self.delimiter);
        // The splitter drops delimiters and quotes; one delimiter a field is put back, so that both ways end alike.
        self.unquoted.resize(line.len().max(self.unquoted.len()), 0);
        let delimiter = self.delimiter;
        let splitter = self.splitter.get_or_insert_with(|| Box::new(csv_core::ReaderBuilder::new().delimiter(delimiter).build()));
        splitter.reset();
        let (_, _, written, mut fields) = splitter.read_record(line, &mut self.unquoted, &mut self.raw_ends);
        if fields < MOST_FIELDS {
            // The end of input closes the last field.
            fields += splitter.read_record(&[], &mut self.unquoted[written..], &mut self.raw_ends[fields..]).3;
        }
        let mut from = 0;
        for end in self.raw_ends[..fields].iter().copied() {
            self.text.extend_from_slice(self.unquoted.get(from..end).unwrap_or_default());
            self.ends[self.count] = self.text.len();
            self.count += 1;
            self.text.push(self.delimiter);
            from = end;
        }
    }
}

/// Whether a line ends within quotes. A quote opens where a field begins; within quotes two of them stand for one.
fn leaves_quote_open(line: &[u8], delimiter: u8) -> bool {
    if memchr::memchr_iter(b'"', line).count().is_multiple_of(2) {
        return false;
    }
    let mut at = At::Begin;
    for byte in line {
        at = match (at, byte) {
            (At::Quoted, b'"') => At::Closed,
            (At::Begin | At::Closed, b'"') | (At::Quoted, _) => At::Quoted,
            (_, byte) if *byte == delimiter => At::Begin,
            _ => At::Plain,
        };
    }
    at == At::Quoted
}

/// Where in a field a walk over a line is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum At {
    Begin,
    Plain,
    Quoted,
    /// Behind a quote that closes, unless another one follows.
    Closed,
}

/// One line and its fields.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row<'a, 'b> {
    /// Where it stands.
    pub(crate) line: Line<'a>,
    delimiter: u8,
    text: &'b [u8],
    ends: &'b [usize],
    quote_is_open: bool,
}

impl<'b> Row<'_, 'b> {
    /// How many fields there are.
    pub(crate) fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether the line ends within quotes: its last field is not whole.
    pub(crate) fn quote_is_open(&self) -> bool {
        self.quote_is_open
    }

    /// A field without its quotes and without the blanks around it; empty when the line has no such field.
    pub(crate) fn get(&self, place: usize) -> &'b [u8] {
        self.untrimmed(place).trim_ascii()
    }

    /// A field with the blanks around it.
    pub(crate) fn untrimmed(&self, place: usize) -> &'b [u8] {
        let Some(&end) = self.ends.get(place) else { return &[] };
        let start = if place == 0 { 0 } else { self.ends[place - 1] + 1 };
        self.text.get(start..end).unwrap_or_default()
    }

    /// All fields in order, trimmed.
    pub(crate) fn fields(&self) -> impl Iterator<Item = &'b [u8]> {
        let row = *self;
        (0..row.len()).map(move |place| row.get(place))
    }

    /// Column (from 1) and width of a field in its line, quotes and blanks included, for a finding.
    pub(crate) fn columns(&self, place: usize) -> (u32, u32) {
        let (mut at, mut field, mut quoted) = (0, 0, false);
        for (i, byte) in self.line.text.iter().enumerate() {
            match byte {
                b'"' => quoted = !quoted,
                _ if *byte == self.delimiter && !quoted => {
                    if field == place {
                        return ((at + 1) as u32, (i - at) as u32);
                    }
                    field += 1;
                    at = i + 1;
                }
                _ => {}
            }
        }
        let at = at.min(self.line.text.len());
        ((at + 1) as u32, (self.line.text.len() - at) as u32)
    }
}

/// What the first row that is of some kind holds, such as a heading behind a preamble.
pub(crate) fn first_of<T>(bytes: &[u8], delimiter: u8, of: impl Fn(&Row<'_, '_>) -> Option<T>) -> Option<T> {
    let mut rows = Rows::new(bytes, delimiter);
    while let Some(row) = rows.next_row() {
        if let Some(found) = of(&row) {
            return Some(found);
        }
    }
    None
}

/// The heading of the first line of some bytes, for a sniff.
pub(crate) fn first_heading(bytes: &[u8], delimiter: u8) -> Heading {
    Rows::new(bytes, delimiter).next_row().map(|row| Heading::of(&row)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str, delimiter: u8) -> Vec<(u32, Vec<String>)> {
        let mut rows = Rows::new(text.as_bytes(), delimiter);
        let mut all = Vec::new();
        while let Some(row) = rows.next_row() {
            all.push((row.line.number, row.fields().map(|field| String::from_utf8_lossy(field).into_owned()).collect()));
        }
        all
    }

    #[test]
    fn quotes_hold_delimiters_and_blank_lines_are_passed_over() {
        let found = rows("\u{feff}A,B,C\r\n\r\n\"x, \"\"y\"\"\",  2 ,\r\n", b',');
        assert_eq!(found, [(1, vec!["A".into(), "B".into(), "C".into()]), (3, vec!["x, \"y\"".into(), "2".into(), String::new()])]);
    }

    #[test]
    fn rows_of_delimiters_alone_are_passed_over() {
        let found = rows("a,b,c\n,,\n\"\",\"\",\"\"\n, ,\r\n,,1\n\x1A", b',');
        assert_eq!(found.iter().map(|(number, _)| *number).collect::<Vec<_>>(), [1, 5]);
    }

    #[test]
    fn an_open_quote_spoils_its_own_line_only() {
        let found = rows("a;b\n\"c;d\ne;f", b';');
        assert_eq!(found.len(), 3);
        assert_eq!(found[2], (3, vec!["e".to_owned(), "f".to_owned()]));
        let open = |line: &str| Rows::new(line.as_bytes(), b';').next_row().unwrap().quote_is_open();
        assert!(open("\"c;d") && open("a;\" 2") && open("a;\"x\"\";b") && open("\"a\";\""));
        assert!(!open("a;5\";b") && !open("a;\"x\"\"\";b") && !open("a;b") && !open("\"a\"b\";c"), "quotes that are a field's own");
    }

    #[test]
    fn of_an_endless_line_only_the_beginning_is_split() {
        let text = [b"a,\"b\",".as_slice(), &vec![b'x'; 3 << 20], b"\nc,d"].concat();
        let mut rows = Rows::new(&text, b',');
        let row = rows.next_row().unwrap();
        assert_eq!((row.len(), row.get(1), row.line.text.len()), (3, &b"b"[..], (3 << 20) + 6));
        assert!(row.get(2).len() < MOST_BYTES);
        assert_eq!(rows.next_row().map(|row| (row.line.number, row.len())), Some((2, 2)));
    }

    #[test]
    fn a_field_knows_its_columns() {
        let mut rows = Rows::new(b"ab,\"c,d\", e ,f", b',');
        let row = rows.next_row().unwrap();
        assert_eq!((0..4).map(|i| row.columns(i)).collect::<Vec<_>>(), [(1, 2), (4, 5), (10, 3), (14, 1)]);
        assert_eq!(row.columns(9), (14, 1));
        assert_eq!((row.get(1), row.get(2), row.get(7)), (&b"c,d"[..], &b"e"[..], &b""[..]));
    }
}
