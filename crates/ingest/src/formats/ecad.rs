//! European Climate Assessment & Dataset (ECA&D), daily precipitation: the blended series and the series as the provider gave them.
//!
//! Layout (the file's own preamble): some twenty lines of text, a heading, then one line a day in commas padded with blanks: `SOUID, DATE, RR,
//! Q_RR`, in the non-blended files `STAID, SOUID, DATE, RR, Q_RR`. RR in tenths of a millimetre, -9999 missing. Q_RR 0 valid, 1 suspect
//! (rejected), 9 missing. In a blended series the gaps of one source are filled from others near by, so the sources and their days are
//! told in a note. Files of other elements (TX, TN, TG, ...) have the same form and are refused by what they are.
//!
//! The day: ECA&D keeps the day of each provider (its `elements.txt` lists more than ten definitions of RR), and the file does not say which.

use super::{Confidence, Format, Input};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{self, Heading, Row, Rows};
use crate::depth_field::{DepthField, is_code};
use crate::encoding::{self, WINDOWS_1252};
use crate::file_dates::FileDates;
use crate::finding::Line;
use crate::station_days::{Place, StationDays, Stations};
use crate::station_list::ecad;
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{DayDefinition, Reading, Rejection, Severity, Station};

const NAME: &str = "ECA&D daily precipitation file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

const MISSING: i64 = -9999;
const RAIN: DepthField = DepthField { element: "RR", unit: DepthUnit::TenthOfMillimetre };
/// Lines that the heading is looked for in.
const PREAMBLE: usize = 60;

/// Elements of ECA&D and what they are.
const OTHER_ELEMENTS: [(&str, &str); 11] = [
    ("TX", "the greatest temperature"),
    ("TN", "the least temperature"),
    ("TG", "the mean temperature"),
    ("PP", "the sea-level pressure"),
    ("CC", "the cloud cover"),
    ("HU", "the relative humidity"),
    ("SD", "the depth of snow"),
    ("SS", "the duration of sunshine"),
    ("QQ", "the global radiation"),
    ("FG", "the mean wind speed"),
    ("FX", "the greatest gust"),
];

struct Columns {
    station: Option<usize>,
    source: usize,
    date: usize,
    rain: usize,
    quality: usize,
}

impl Columns {
    fn of(heading: &Heading) -> Option<Self> {
        Some(Self {
            station: heading.find("STAID"),
            source: heading.find("SOUID")?,
            date: heading.find("DATE")?,
            rain: heading.find("RR")?,
            quality: heading.find("Q_RR")?,
        })
    }
}

/// The heading, if it is one of daily values: a source, a date and last a quality code.
fn heading_of(row: &Row<'_, '_>) -> Option<Heading> {
    let first = row.get(0);
    let own = (first.eq_ignore_ascii_case(b"SOUID") || first.eq_ignore_ascii_case(b"STAID")) && row.len() >= 4;
    own.then(|| Heading::of(row)).filter(|heading| heading.has(&["SOUID", "DATE"]))
}

fn find_heading(bytes: &[u8]) -> Option<Heading> {
    delimited::first_of(content::first_lines(bytes, PREAMBLE), b',', heading_of)
}

fn sniff(bytes: &[u8]) -> Confidence {
    Confidence::of_heading(find_heading(bytes), |heading| Columns::of(heading).is_some())
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let heading = find_heading(input.bytes).unwrap_or_default();
    let Some(columns) = Columns::of(&heading) else {
        let other = OTHER_ELEMENTS.iter().find(|(element, _)| heading.find(element).is_some());
        let what = other.map_or("another element than precipitation (RR)".to_owned(), |(element, what)| format!("{what} ({element})"));
        return Err(input.wrong_product(format!("a daily file of ECA&D of {what}")));
    };
    let mut rows = Rows::new(input.bytes, b',');
    let mut told = None;
    while let Some(row) = rows.next_row() {
        if heading_of(&row).is_some() {
            break;
        }
        told = told.or_else(|| told_station(row.line));
    }
    let mut stations = Stations::new(input, NAME);
    let in_archive = input.companions.ecad();
    let mut of_file = input.findings();
    let mut sources = Sources::default();
    let (mut only, mut several) = (None, false);
    let mut dates = FileDates::new(input, b',', columns.date, date::compact, wanted);
    while let Some(row) = rows.next_row() {
        if !heading.fits(&row, &mut of_file) {
            continue;
        }
        let stated = columns.station.and_then(|at| ecad::id(row.get(at)));
        let id = stated.or_else(|| told.as_ref().map(|station| station.id.clone()));
        let id = id.or_else(|| ecad::id(row.get(columns.source)).map(|source| format!("source {source}")));
        let Some(id) = id else {
            of_file.unreadable_line(row.line, "source, date, amount and quality code as the heading says");
            continue;
        };
        let days = stations.at(id.as_bytes(), |input| {
            let own = told.clone().filter(|station| station.id == id);
            let station = in_archive.get(&id).cloned().or(own).unwrap_or_else(|| Station::named_only(id.as_str()));
            StationDays::new(input, station, DayDefinition::default())
        });
        if day(&row, &columns, &mut dates, days) {
            sources.count(row.get(columns.source));
        }
        several |= only.as_ref().is_some_and(|only| *only != id);
        only.get_or_insert(id);
    }
    // What is said of the sources belongs to the station, where the file is of one.
    match only.filter(|_| !several) {
        Some(id) => sources
            .tell(&mut stations.at(id.as_bytes(), |input| StationDays::new(input, Station::default(), DayDefinition::default())).findings),
        None => sources.tell(&mut of_file),
    }
    dates.tell("a date of eight digits", &mut of_file);
    let count = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations: count, diagnostics: of_file.finish() })
}

/// `This is the blended series of station CZECH REPUBLIC, PRAHA-KLEMENTINUM (STAID: 27).`
fn told_station(line: Line<'_>) -> Option<Station> {
    let after = |text: &'_ [u8], word: &[u8]| memchr::memmem::find(text, word).map(|at| at + word.len());
    let from = after(line.text, b"of station ")?;
    let rest = &line.text[from..];
    let end = memchr::memmem::find(rest, b"(STAID:")?;
    let number = rest[end + b"(STAID:".len()..].split(|byte| *byte == b')').next()?;
    Some(Station { id: ecad::id(number)?, name: encoding::name(&rest[..end], WINDOWS_1252), ..Station::default() })
}

/// Read a line; whether it brought a usable day.
fn day(row: &Row<'_, '_>, columns: &Columns, dates: &mut FileDates<'_>, days: &mut StationDays<'_>) -> bool {
    let day = match dates.day(row.get(columns.date)) {
        Ok(day) => day,
        Err(fault) => {
            let found = row.get(columns.date);
            days.findings.date(row.line, row.columns(columns.date), found, fault, "a date of eight digits");
            return false;
        }
    };
    let (value, quality) = (row.get(columns.rain), row.get(columns.quality));
    if value.is_empty() || is_code(value, MISSING) {
        // It is a row all the same: a record may end long before its file does.
        days.day(day, Reading::MISSING, Place::new(row.line, row.columns(columns.rain)));
        return false;
    }
    let reading = RAIN.reading(row, columns.rain, day, &mut days.findings);
    let reading = match quality {
        b"1" | b"9" if reading.is_usable() => {
            let meaning = if quality == b"1" { "suspect" } else { "missing, with a value all the same" };
            let depth = i32::try_from(reading.stated_micrometres()).unwrap_or(i32::MAX);
            days.findings.flagged(row.line, row.columns(columns.quality), depth, day, quality[0], meaning);
            Reading::rejected(depth, Rejection::QualityFlag(quality[0]))
        }
        b"0" | b"1" | b"9" => reading,
        _ => {
            days.findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(columns.quality), || {
                (format!("found a quality code on {day} that the preamble does not list, expected 0, 1 or 9"), "The value is read.")
            });
            reading
        }
    };
    days.day(day, reading, Place::new(row.line, row.columns(columns.rain)));
    reading.is_usable()
}

/// Usable days by source, in the order in which they appear.
#[derive(Default)]
struct Sources(Vec<(Vec<u8>, usize)>);

impl Sources {
    /// More sources than any series has are not told apart.
    const MOST: usize = 200;

    fn count(&mut self, source: &[u8]) {
        // Days of one source follow one another, so it is mostly the last.
        if let Some((_, days)) = self.0.iter_mut().rev().find(|(own, _)| own == source) {
            *days += 1;
        } else if self.0.len() < Self::MOST {
            self.0.push((source.to_vec(), 1));
        }
    }

    fn tell(&self, findings: &mut crate::finding::Findings<'_>) {
        if self.0.len() < 2 {
            return;
        }
        findings.whole("series-of-several-sources", Severity::Note, || {
            let list: Vec<String> =
                self.0.iter().take(10).map(|(source, days)| format!("{} ({days} days)", crate::finding::shown(source))).collect();
            (
                format!("found usable days of {} sources, expected one gauge: {}", self.0.len(), list.join(", ")),
                "They are read as one series, as ECA&D blended them; a break may stand where one source follows another.",
            )
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::{Companion, Companions};
    use crate::{StationRecord, read_bytes};

    const PREAMBLE: &str = "EUROPEAN CLIMATE ASSESSMENT & DATASET (ECA&D), file created on 22-10-2021\n\
                            THESE DATA CAN BE USED FREELY PROVIDED THAT THE FOLLOWING SOURCE IS ACKNOWLEDGED:\n\n\
                            FILE FORMAT (MISSING VALUE CODE IS -9999):\n\n01-06 SOUID: Source identifier\n\n\
                            This is the blended series of station NOWHERE, ANYTOWN (STAID: 99927).\n\n";

    fn read_text(text: &str) -> (Vec<StationRecord>, FileSummary) {
        let mut records = Vec::new();
        let summary = read_bytes("RR_STAID099927.txt", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        (records, summary)
    }

    #[test]
    fn a_blended_series_is_read() {
        let lines = " SOUID,    DATE,   RR, Q_RR\n100082,20010101,   12,    0\n100082,20010102,-9999,    9\n100083,20010103,   30,    1\n\
                     100083,20010104,    5,    0\n100083,20010105,    5,    7\n100083,20010230,    5,    0\n100083,2001";
        let (mut records, summary) = read_text(&format!("{PREAMBLE}{lines}"));
        let StationRecord { rain, diagnostics, .. } = records.pop().unwrap();
        let counts = rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.missing, counts.rejected), (5, 3, 1, 1));
        assert_eq!((rain.station.id.as_str(), rain.station.name.as_str()), ("99927", "NOWHERE, ANYTOWN"));
        assert_eq!(rain.total_micrometres(), 2200);
        let count = |id| diagnostics.count(id);
        assert_eq!((count("reading-flagged"), count("quality-flag-unknown"), count("day-that-never-was")), (1, 1, 1));
        assert_eq!((count("series-of-several-sources"), summary.diagnostics.count("row-cut-short")), (1, 1));
    }

    #[test]
    fn a_series_as_given_names_its_station_in_each_line() {
        let (records, _) = read_text("x\n STAID, SOUID,    DATE,   RR, Q_RR\r\n    27,100082,20010101,   12,    0\r\n");
        assert_eq!((records[0].rain.station.id.as_str(), records[0].rain.total_micrometres()), ("27", 1200));
        assert_eq!(records[0].rain.day_definition, DayDefinition::default());
    }

    #[test]
    fn another_element_is_named() {
        let text = format!("{PREAMBLE} SOUID,    DATE,   TX, Q_TX\n100082,20010101,   12,    0\n");
        let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
        assert!(error.to_string().contains("the greatest temperature (TX)"), "{error}");
    }

    #[test]
    fn the_place_comes_from_the_list_of_the_archive() {
        let list = "STAID,STANAME,CN,LAT,LON,HGHT\n\n99927,ANYTOWN                                 ,XX,+50:30:00,+014:00:00, 191\n";
        let companions = Companions::new(vec![Companion { name: "stations.txt".into(), bytes: list.into() }]);
        let text = format!("{PREAMBLE} SOUID,    DATE,   RR, Q_RR\n100082,20010101,   12,    0\n");
        let input = Input { companions: &companions, ..Input::of("x", text.as_bytes()) };
        let mut records: Vec<StationRecord> = Vec::new();
        read(input, Wanted::default(), &mut records).unwrap();
        let station = &records[0].rain.station;
        assert_eq!((station.name.as_str(), station.position(), station.elevation), ("ANYTOWN", Some((50.5, 14.0)), Some(191.0)));
    }
}
