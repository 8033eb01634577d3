//! Bureau of Meteorology (Australia), daily rainfall, product IDCJAC0009.
//!
//! Layout (MANIFEST.md beside the records; the heading as quoted in public code): commas, heading `Product code, Bureau of Meteorology
//! station number, Year, Month, Day, Rainfall amount (millimetres), Period over which rainfall was measured (days), Quality`; one row for
//! every calendar day. Blank amount: missing. Period blank or 1: the day's own rain; above 1: a total over so many days that ends on this
//! one. Quality `Y`: checked; `N` or blank: not yet checked, read and told once. Rain is measured at 9 am local time for the 24 hours before and
//! dated by the day of the measurement (common practice; the product's note says so, from memory). The zip as published holds the table
//! and a note with the station's name and place. The Bureau's terms forbid handing its files on; none is kept here.

use super::{Companion, Confidence, Format, Input, plain_value};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows};
use crate::encoding;
use crate::fields;
use crate::station_days::{Place, StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{DayDefinition, DayLabel, Kind, Severity, Station};
use std::collections::{BTreeMap, HashMap};

const NAME: &str = "Bureau of Meteorology daily rainfall file (IDCJAC0009)";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

#[derive(Debug, Clone, Copy)]
struct Columns {
    station: usize,
    date: [usize; 3],
    rain: Option<usize>,
    period: Option<usize>,
    quality: Option<usize>,
}

impl Columns {
    fn of(row: &Row<'_, '_>) -> Option<Self> {
        let heading = Heading::of(row);
        heading.find_by(|name| name.starts_with(b"product code"))?;
        Some(Self {
            station: heading.find_by(|name| name.ends_with(b"station number"))?,
            date: [heading.find("Year")?, heading.find("Month")?, heading.find("Day")?],
            rain: heading.find_by(|name| name.starts_with(b"rainfall amount")),
            period: heading.find_by(|name| name.starts_with(b"period over which")),
            quality: heading.find("Quality"),
        })
    }
}

fn first_columns(bytes: &[u8]) -> Option<Columns> {
    Rows::new(content::first_lines(bytes, 2), b',').next_row().and_then(|row| Columns::of(&row))
}

fn sniff(bytes: &[u8]) -> Confidence {
    match first_columns(bytes) {
        Some(columns) if columns.rain.is_some() => Confidence::Certain,
        _ => Confidence::No,
    }
}

/// The same agency's daily products of other elements, and monthly rain.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    let head = content::first_lines(head, 2);
    let holds = |word: &[u8]| memchr::memmem::find(head, word).is_some();
    if !head.starts_with(b"Product code") && !head.starts_with(b"\"Product code") {
        return None;
    }
    Some(if holds(b"IDCJAC0010") || holds(b"Maximum temperature") {
        "daily maximum temperature of the Bureau of Meteorology (IDCJAC0010)"
    } else if holds(b"IDCJAC0011") || holds(b"Minimum temperature") {
        "daily minimum temperature of the Bureau of Meteorology (IDCJAC0011)"
    } else if holds(b"IDCJAC0016") || holds(b"solar exposure") {
        "daily solar exposure of the Bureau of Meteorology (IDCJAC0016)"
    } else if holds(b"IDCJAC0001") || holds(b"Monthly Precipitation") {
        "monthly rainfall of the Bureau of Meteorology (IDCJAC0001)"
    } else {
        "a table of the Bureau of Meteorology that is not daily rainfall (IDCJAC0009)"
    })
}

fn read(input: Input<'_>, _: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let Some((heading, columns)) = rows.next_row().and_then(|row| Some((Heading::of(&row), Columns::of(&row)?))) else {
        return Err(content::unknown(input.name, input.bytes, NAME));
    };
    let Some(rain) = columns.rain else { return Err(content::unknown(input.name, input.bytes, NAME)) };
    let mut stations = Stations::new(input, NAME);
    let notes = input.companions.notes();
    let mut findings = input.findings();
    let mut unchecked: BTreeMap<Vec<u8>, usize> = BTreeMap::new();
    while let Some(row) = rows.next_row() {
        if row.get(0).eq_ignore_ascii_case(b"product code") {
            continue;
        }
        let id = row.get(columns.station);
        let findings = stations.known(id).map_or(&mut findings, |days| &mut days.findings);
        if !heading.fits(&row, findings) {
            continue;
        }
        if id.is_empty() || !id.iter().all(u8::is_ascii_digit) {
            findings.unreadable_line(row.line, "product, station, year, month, day, amount, period, quality");
            continue;
        }
        let days = stations.at(id, |input| station(input, notes, id));
        if day(&row, &columns, rain, days) && stations.keeps(id) {
            *unchecked.entry(id.to_vec()).or_default() += 1;
        }
    }
    for (id, count) in unchecked {
        stations.at(&id, |input| station(input, notes, &id)).findings.whole("days-not-reviewed", Severity::Note, || {
            (format!("found {count} values whose quality is not Y (not yet checked), expected checked ones"), "The values are read.")
        });
    }
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: findings.finish() })
}

/// The station as the row and the note of the archive name it.
fn station<'a>(input: Input<'a>, notes: &HashMap<String, Station>, id: &[u8]) -> StationDays<'a> {
    let id = encoding::name(id, encoding::WINDOWS_1252);
    let note = notes.get(id.trim_start_matches('0'));
    let station = note.map_or_else(|| Station::named_only(id.as_str()), |note| Station { id: id.clone(), ..note.clone() });
    StationDays::new(input, station, DayDefinition { start_hour: Some(9), label: DayLabel::LastDay })
}

/// The stations of the notes of an archive by their number without zeros in front; of two notes of a station the first stands.
pub(super) fn notes(texts: &[Companion]) -> HashMap<String, Station> {
    let mut notes = HashMap::new();
    for station in texts.iter().map(|text| note(&text.bytes)).filter(|station| !station.id.is_empty()) {
        notes.entry(station.id.trim_start_matches('0').to_owned()).or_insert(station);
    }
    notes
}

/// The station that lines such as `Station name: ...` of a note tell of, without an id where they do not.
fn note(text: &[u8]) -> Station {
    let mut found = Station::default();
    for line in text[..text.len().min(1 << 16)].split(|byte| *byte == b'\n') {
        let Some(colon) = memchr::memchr(b':', line) else { continue };
        let (key, value) = (line[..colon].trim_ascii().to_ascii_lowercase(), line[colon + 1..].trim_ascii());
        let number = || plain_value::coordinate(value.split(|byte| matches!(byte, b' ' | b'm')).next().unwrap_or_default());
        if key.ends_with(b"station number") {
            found.id = encoding::name(value, encoding::WINDOWS_1252);
        } else if key.ends_with(b"station name") {
            found.name = encoding::name(value, encoding::WINDOWS_1252);
        } else if key.starts_with(b"latitude") {
            found.latitude = number();
        } else if key.starts_with(b"longitude") {
            found.longitude = number();
        } else if key.starts_with(b"height of station") {
            found.elevation = number();
        }
    }
    found
}

/// Reads a row; whether its value is not yet checked.
fn day(row: &Row<'_, '_>, columns: &Columns, rain: usize, days: &mut StationDays<'_>) -> bool {
    let [year, month, of_month] = columns.date;
    let day = match date::of_fields(row.get(year), row.get(month), row.get(of_month)) {
        Ok(day) => day,
        Err(fault) => {
            days.findings.date(row.line, row.columns(year), row.line.text, fault, "year, month, day");
            return false;
        }
    };
    let reading = plain_value::rain(row, rain, DepthUnit::Millimetre, day, &mut days.findings);
    let place = Place::new(row.line, row.columns(rain));
    let period = columns.period.map_or(&b""[..], |period| row.get(period));
    match (reading.kind(), period) {
        (Kind::Measured, b"" | b"1" | b"01") => days.day(day, reading, place),
        (Kind::Measured, _) => {
            // A period that does not read is no length, and the amount no single day's.
            let length = fields::whole(period).and_then(|length| i32::try_from(length).ok());
            days.total(day, reading.stated_micrometres() as i32, length, place);
        }
        _ => days.day(day, reading, place),
    }
    let quality = columns.quality.map_or(&b""[..], |quality| row.get(quality));
    if !matches!(quality, b"Y" | b"N" | b"") {
        days.findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(columns.quality.unwrap_or(rain)), || {
            (format!("found the quality {:?} on {day}, expected Y, N or blank", crate::finding::shown(quality)), "The value is read.")
        });
    }
    reading.kind() == Kind::Measured && matches!(quality, b"N" | b"")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use series::Day;
    use std::io::{Cursor, Write};
    use zip::write::SimpleFileOptions;

    const HEAD: &str = "Product code,Bureau of Meteorology station number,Year,Month,Day,Rainfall amount (millimetres),Period over which rainfall was measured (days),Quality\r\n";

    fn record(bytes: &[u8]) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("x", bytes, Wanted::default(), &mut records).unwrap();
        assert_eq!(records.len(), 1);
        records.pop().unwrap()
    }

    // Invented lines in the layout that MANIFEST.md describes.
    const LINES: &str = "IDCJAC0009,000001,2001,01,01,,,\r\nIDCJAC0009,000001,2001,01,02,0.4,1,Y\r\nIDCJAC0009,000001,2001,01,03,000.0,,Y\r\nIDCJAC0009,000001,2001,01,04,,,\r\nIDCJAC0009,000001,2001,01,05,,,\r\nIDCJAC0009,000001,2001,01,06,12.6,3,N\r\nIDCJAC0009,000001,2001,01,07,-1,,Y\r\nIDCJAC0009,000001,2001,1,8,.2,1,\r\nIDCJAC0009,000001,2001,02,30,1.0,1,Y\r\nIDCJAC0009,000001,2001,01,09,7.0,many,Y\r\nIDCJAC0009,000001,2001,01,10\r\nIDCJAC0009,000001,2001,01,11,0.0,1,Y\r\n";

    #[test]
    fn a_period_of_days_is_a_total() {
        let record = record(format!("{HEAD}{LINES}").as_bytes());
        let kind = |of_month: u32| record.rain.reading(Day::new(2001, 1, of_month).unwrap()).kind();
        assert_eq!(
            [2, 4, 5, 6, 7].map(kind),
            [
                Kind::Measured,
                Kind::WithinTotal,
                Kind::WithinTotal,
                Kind::Accumulated { days: Some(3) },
                Kind::Rejected(series::Rejection::Impossible)
            ]
        );
        assert_eq!((record.rain.total_micrometres(), record.rain.counts().measured), (600, 4));
        assert_eq!(record.rain.reading(Day::new(2001, 1, 9).unwrap()).kind(), Kind::Accumulated { days: None });
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("day-that-never-was"), count("row-cut-short"), count("days-not-reviewed")), (1, 1, 1));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(9), label: DayLabel::LastDay });
    }

    fn zipped(members: &[(&str, &str)]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in members {
            writer.start_file(*name, SimpleFileOptions::default()).unwrap();
            writer.write_all(text.as_bytes()).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    #[test]
    fn the_zip_as_published_names_its_station() {
        let note = "Bureau of Meteorology station number: 1\r\nStation name: UPPER VALLEY\r\nLatitude (decimal degrees, south negative): -33.5\r\nLongitude (decimal degrees, east positive): 151.25\r\nHeight of station above mean sea level (metres): 39.0\r\n";
        let record =
            record(&zipped(&[("IDCJAC0009_000001_1800_Note.txt", note), ("IDCJAC0009_000001_1800_Data.csv", &format!("{HEAD}{LINES}"))]));
        let station = &record.rain.station;
        assert_eq!((station.name.as_str(), station.position(), station.elevation), ("UPPER VALLEY", Some((-33.5, 151.25)), Some(39.0)));
        assert_eq!(station.id, "000001");
    }

    #[test]
    fn temperatures_are_refused_by_what_they_are() {
        for (column, code) in [("Maximum", "IDCJAC0010"), ("Minimum", "IDCJAC0011")] {
            let text = format!(
                "Product code,Bureau of Meteorology station number,Year,Month,Day,{column} temperature (Degree C),Days of accumulation,Quality\n{code},000001,2001,01,01,30.1,1,Y\n"
            );
            for bytes in [text.as_bytes().to_vec(), zipped(&[("a_Note.txt", "note\n"), ("data.csv", &text)])] {
                let error = read_bytes("x", &bytes, Wanted::default(), &mut Vec::new()).unwrap_err();
                assert!(error.to_string().contains(code), "{error}");
            }
        }
    }

    #[test]
    fn a_line_that_says_no_station_makes_none() {
        let head = "Product code,Bureau of Meteorology station number,Year,Month,Day,Rainfall amount (millimetres),Period over which rainfall was measured (days),Quality\n";
        let mut records: Vec<crate::StationRecord> = Vec::new();
        let text = format!("{head}IDCJAC0009,099999,2001,01,01,1.0,1,Y\nx,000000\n,,,,,,,\nIDCJAC0009,,2001,01,02,1.0,1,Y\n");
        let summary = crate::read_bytes("x.csv", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        let count = |id| summary.diagnostics.count(id);
        assert_eq!((records.len(), count("line-unreadable"), count("row-cut-short")), (1, 1, 1));
    }
}
