//! Where the lines of a GHCN-Daily file are, by station and element; no value is read here.
//!
//! Lines of 269 characters stand one every 270 (271) bytes, so a line is tested for its element and jumped over. That is only
//! right if no shorter lines add up to the same step: the walk counts the line ends it met, and if the file has others it
//! is walked again from one line end to the next.

use crate::finding::{Findings, Line};
use crate::formats::Input;
use crate::station_days::{MOST_STATIONS, tell_too_many};
use crate::{Wanted, content, fields};
use series::{Day, Severity};
use std::collections::BTreeMap;

/// Characters before the first value.
pub(super) const HEAD: usize = 21;
/// Characters of a line: the head and 31 times eight.
pub(super) const WIDTH: usize = HEAD + 31 * 8;
/// Longer lines are not looked at.
const MOST_CHARACTERS: usize = 1 << 20;

/// A line of one element and month. Twenty-four bytes.
#[derive(Debug, Clone, Copy)]
pub(super) struct MonthLine {
    at: usize,
    first_day: Day,
    /// Line number, from 1.
    pub(super) number: u32,
    /// Year x 12 + month - 1.
    pub(super) month: u16,
    /// Its characters: [`WIDTH`], or fewer, or one more for any longer line.
    pub(super) length: u16,
}

impl MonthLine {
    pub(super) fn year_and_month(&self) -> (i32, u32) {
        (i32::from(self.month) / 12, u32::from(self.month) % 12 + 1)
    }

    pub(super) fn first_day(&self) -> Day {
        self.first_day
    }

    pub(super) fn line<'a>(&self, bytes: &'a [u8]) -> Line<'a> {
        let end = self.at + usize::from(self.length).min(WIDTH);
        Line { number: self.number, text: bytes.get(self.at..end).unwrap_or_default() }
    }
}

/// The lines of one station in the order of the file.
pub(super) struct StationLines<'a> {
    pub(super) id: [u8; 11],
    pub(super) rain: Vec<MonthLine>,
    pub(super) totals: Vec<MonthLine>,
    pub(super) lengths: Vec<MonthLine>,
    pub(super) greatest: Vec<MonthLine>,
    pub(super) least: Vec<MonthLine>,
    pub(super) findings: Findings<'a>,
}

/// All stations of a file in the order in which they appear, and what belongs to none of them.
pub(super) struct Index<'a> {
    pub(super) stations: Vec<StationLines<'a>>,
    pub(super) findings: Findings<'a>,
}

pub(super) fn index(input: Input<'_>, wanted: Wanted) -> Index<'_> {
    let bytes = content::without_marks(input.bytes);
    let line_ends = memchr::memchr_iter(b'\n', bytes).count();
    let mut walk = Walk::new(input, wanted);
    if walk.run(bytes, true) != line_ends {
        walk = Walk::new(input, wanted);
        walk.run(bytes, false);
    }
    if walk.too_many {
        tell_too_many(&mut walk.findings);
    }
    Index { stations: walk.stations, findings: walk.findings }
}

/// Whether a line begins with id, year, month and element.
pub(super) fn head_fits(line: &[u8]) -> bool {
    line.len() >= HEAD
        && fields::is_station_id(&line[..11])
        && line[11..15].iter().all(u8::is_ascii_digit)
        && fields::whole(&line[15..17]).is_some()
        && line[17].is_ascii_uppercase()
        && is_element(&line[17..HEAD])
}

/// Capital letters and digits, with the `#` and `*` of the readme's families of elements.
fn is_element(word: &[u8]) -> bool {
    word.iter().all(|byte| (b'#'..=b'Z').contains(byte))
}

struct Walk<'a> {
    input: Input<'a>,
    wanted: Wanted,
    stations: Vec<StationLines<'a>>,
    places: BTreeMap<[u8; 11], usize>,
    /// Station of the line before.
    current: usize,
    current_id: [u8; 11],
    /// Elements that are not read, as they were met first.
    passed_over: [[u8; 4]; 8],
    /// Whether there was a station beyond the most that are read.
    too_many: bool,
    findings: Findings<'a>,
}

impl<'a> Walk<'a> {
    fn new(input: Input<'a>, wanted: Wanted) -> Self {
        let findings = input.findings();
        Self {
            input,
            wanted,
            stations: Vec::new(),
            places: BTreeMap::new(),
            current: 0,
            current_id: [0; 11],
            passed_over: [[0; 4]; 8],
            too_many: false,
            findings,
        }
    }

    /// Walk over all lines; gives how many line ends were met.
    fn run(&mut self, bytes: &'a [u8], by_stride: bool) -> usize {
        let mut at = self.input.bytes.len() - bytes.len();
        let bytes = self.input.bytes;
        let (mut number, mut line_ends) = (0u32, 0);
        while at < bytes.len() {
            number = number.saturating_add(1);
            let rest = &bytes[at..];
            let (length, step) = match rest.get(WIDTH) {
                Some(b'\n') if by_stride => (WIDTH, WIDTH + 1),
                Some(b'\r') if by_stride && rest.get(WIDTH + 1) == Some(&b'\n') => (WIDTH, WIDTH + 2),
                _ => memchr::memchr(b'\n', rest).map_or((rest.len(), rest.len() + 1), |end| (end, end + 1)),
            };
            line_ends += usize::from(step <= rest.len());
            if length == WIDTH && self.is_passed_over(rest) {
                at += step;
                continue;
            }
            let text = fields::without_return(&rest[..length]);
            if text.len() == WIDTH {
                self.line(at, Line { number, text }, Shape::Whole);
            } else {
                self.odd_line(at, Line { number, text });
            }
            at += step;
        }
        line_ends
    }

    /// The common case of all: a whole line of the station of the line before, of an element that was met before and is not read.
    #[inline]
    fn is_passed_over(&self, rest: &[u8]) -> bool {
        let Some(head) = rest.first_chunk::<HEAD>() else { return false };
        let element = [head[17], head[18], head[19], head[20]];
        self.passed_over.contains(&element) && head[..11] == self.current_id
    }

    /// A line of another width than the layout's.
    #[cold]
    fn odd_line(&mut self, at: usize, line: Line<'a>) {
        let text = line.text;
        if text.len() > MOST_CHARACTERS {
            self.findings.at("line-over-one-mebibyte", Severity::Warning, line, (1, WIDTH as u32), || {
                (format!("found a line of {} characters, expected {WIDTH}", text.len()), "The line is skipped.")
            });
        } else if fields::is_blank(text) {
            self.findings.at("blank-line", Severity::Note, line, None, || {
                (format!("found a blank line, expected {WIDTH} characters"), "The line is skipped.")
            });
        } else if text.len() < HEAD {
            self.unreadable(line, 1, text.len());
        } else if text.len() > WIDTH {
            let harmless = fields::is_blank(&text[WIDTH..]);
            let shape = if harmless { Shape::Padded } else { Shape::TooLong };
            self.line(at, line, shape);
        } else {
            // Blanks at the end may have been cut off; then the last field is a missing day 31.
            let trimmed = text.len() >= WIDTH - 3 && text[WIDTH - 8..].trim_ascii_end() == b"-9999";
            self.line(at, line, if trimmed { Shape::Trimmed } else { Shape::TooShort });
        }
    }

    /// A line long enough to have a head.
    fn line(&mut self, at: usize, line: Line<'a>, shape: Shape) {
        let text = line.text;
        let wanted = self.element(&text[17..HEAD]);
        if matches!(wanted, Element::Unreadable) {
            return self.unreadable(line, 18, 4);
        }
        if text[..11] != self.current_id && !self.turn_to_station(line) {
            if self.too_many && head_fits(text) {
                return;
            }
            return self.unreadable(line, 1, 17);
        }
        if shape != Shape::Whole {
            self.tell_shape(line, shape, matches!(wanted, Element::Other));
        }
        if matches!(wanted, Element::Other) {
            if let Some(slot) = self.passed_over.iter_mut().find(|slot| **slot == [0; 4]) {
                *slot = [text[17], text[18], text[19], text[20]];
            }
            return;
        }
        let Some((month, first_day)) = self.month(line) else { return };
        let length = match shape {
            Shape::Whole | Shape::Padded => WIDTH,
            Shape::TooLong => WIDTH + 1,
            Shape::TooShort | Shape::Trimmed => text.len(),
        };
        let entry = MonthLine { at, first_day, number: line.number, month, length: length as u16 };
        if let Some(station) = self.stations.get_mut(self.current) {
            match wanted {
                Element::Rain => station.rain.push(entry),
                Element::Total => station.totals.push(entry),
                Element::Length => station.lengths.push(entry),
                Element::Greatest => station.greatest.push(entry),
                Element::Least => station.least.push(entry),
                Element::Other | Element::Unreadable => {}
            }
        }
    }

    fn element(&self, word: &[u8]) -> Element {
        match word {
            b"PRCP" => Element::Rain,
            b"MDPR" => Element::Total,
            b"DAPR" => Element::Length,
            b"TMAX" if self.wanted.temperatures => Element::Greatest,
            b"TMIN" if self.wanted.temperatures => Element::Least,
            word if is_element(word) => Element::Other,
            _ => Element::Unreadable,
        }
    }

    /// Make the line's station the current one, a new one if need be; false if the line has no proper head.
    #[cold]
    fn turn_to_station(&mut self, line: Line<'a>) -> bool {
        let Ok(id) = <[u8; 11]>::try_from(&line.text[..11]) else { return false };
        let place = match self.places.get(&id) {
            Some(&place) => place,
            None if !head_fits(line.text) => return false,
            None if self.stations.len() == MOST_STATIONS => {
                self.too_many = true;
                return false;
            }
            None => {
                if let Some(before) = self.stations.last() {
                    let before = String::from_utf8_lossy(&before.id).into_owned();
                    self.findings.at("further-station", Severity::Note, line, (1, 11), || {
                        let id = String::from_utf8_lossy(&id);
                        (format!("found station {id}, expected only {before} so far"), "It is read as a station of its own.")
                    });
                }
                let [rain, totals, lengths, greatest, least] = [const { Vec::new() }; 5];
                let findings = self.input.findings();
                self.stations.push(StationLines { id, rain, totals, lengths, greatest, least, findings });
                self.places.insert(id, self.stations.len() - 1);
                self.stations.len() - 1
            }
        };
        (self.current, self.current_id) = (place, id);
        true
    }

    /// Year and month of a line of the current station.
    fn month(&mut self, line: Line<'a>) -> Option<(u16, Day)> {
        let digits = |first, last| Some(fields::columns(line.text, first, last)).filter(|f| f[f.len() - 1] != b' ').and_then(fields::whole);
        let (year, month) = (digits(12, 15), digits(16, 17));
        let (Some(year), Some(month)) = (year, month) else {
            self.unreadable(line, 12, 6);
            return None;
        };
        let findings = &mut self.stations.get_mut(self.current)?.findings;
        let day = Day::new(year as i32, month, 1);
        if day.is_none() && Day::new(year as i32, 1, 1).is_none() {
            findings.at("impossible-year", Severity::Warning, line, (12, 4), || {
                (format!("found the year {year}, expected 1600 to 2299"), "The line is skipped.")
            });
            return None;
        }
        let Some(day) = day else {
            findings.at("impossible-month", Severity::Warning, line, (16, 2), || {
                (format!("found the month {month}, expected 01 to 12"), "The line is skipped.")
            });
            return None;
        };
        Some((u16::try_from(year * 12 + month - 1).ok()?, day))
    }

    /// A line whose head cannot be read: told under its station where that is a known one.
    #[cold]
    fn unreadable(&mut self, line: Line<'a>, column: usize, span: usize) {
        let known = line.text.get(..11).and_then(|id| self.places.get(id)).and_then(|&place| self.stations.get_mut(place));
        let findings = known.map_or(&mut self.findings, |station| &mut station.findings);
        findings.at("line-unreadable", Severity::Warning, line, Some((column as u32, span as u32)), || {
            let found = String::from_utf8_lossy(fields::columns(line.text, column, column + span - 1));
            (
                format!("found {found:?}, expected station (11 characters), year (4), month (2), element (4), then 31 values"),
                "The line is skipped.",
            )
        });
    }

    #[cold]
    fn tell_shape(&mut self, line: Line<'a>, shape: Shape, skipped: bool) {
        let (id, severity) = match shape {
            Shape::Whole => return,
            Shape::Padded => ("line-padded", Severity::Note),
            Shape::Trimmed => ("line-trimmed", Severity::Note),
            Shape::TooLong => ("line-too-long", Severity::Warning),
            Shape::TooShort => ("line-too-short", Severity::Warning),
        };
        let Some(station) = self.stations.get_mut(self.current) else { return };
        let length = line.text.len();
        station.findings.at(id, severity, line, Some((length.min(WIDTH) as u32, 1)), || {
            let message = format!("found a line of {length} characters, expected {WIDTH}");
            let done = match severity {
                _ if skipped => "The element is none that is read; the line is skipped.",
                Severity::Note => "Only blanks are too many or too few; the line is read.",
                _ => "Values are read as far as their columns stand; behind that they are rejected as unreadable, or missing where the line has ended.",
            };
            (message, done)
        });
    }
}

/// What a line's element is to us.
#[derive(Debug, Clone, Copy)]
enum Element {
    Rain,
    Total,
    Length,
    Greatest,
    Least,
    Other,
    Unreadable,
}

/// How a line's length compares with the layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    Whole,
    /// Longer by blanks only.
    Padded,
    /// Shorter by the last blanks only.
    Trimmed,
    TooLong,
    TooShort,
}
