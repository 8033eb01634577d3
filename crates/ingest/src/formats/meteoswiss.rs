//! Federal Office of Meteorology and Climatology `MeteoSwiss`: daily values of the basic climatological network (NBCN) and of the open data
//! (`ogd-smn`, `ogd-smn-precip`, `ogd-nime`), and extracts of its data portal.
//!
//! Layout: a heading and one line a day in semicolons: station, date, parameters by their names. The station column is
//! `station/location` (NBCN), `station_abbr` (open data) or `stn` (portal), the date `date` (yyyymmdd), `reference_timestamp` (dd.mm.yyyy
//! HH:MM) or `time` (yyyymmdd). Millimetres and degrees Celsius; `-`, an empty field and 32767 (older extracts, from memory) are missing.
//! Sources: README of the NBCN files (adam-abed-abud/lutea_systems, data/weather_swiss_meteo/README.md); opendatadocs.meteoswiss.ch
//! A1 and A2, as described in public repositories that read them.
//!
//! The day: `rre150d0` from 6 UTC to 6 UTC of the following day, 7 h Central European Time; `rka150d0` from 0 to 0 UTC, 1 h Central European Time; both
//! dated by the first day. A file with both is read by the first one, which the manual gauges share, unless it is empty throughout.
//! Sums of hours, ten minutes and months have the same form (`rre150h0`, `rre150z0`, `rre150m0`) and are refused.

use super::{Confidence, Format, Input};
use crate::date::{self, DateFault};
use crate::decimal::DepthUnit;
use crate::delimited::{self, Heading, Row, Rows};
use crate::depth_field::{DepthField, is_code, temperature};
use crate::file_dates::FileDates;
use crate::station_days::{Place, StationDays, Stations};
use crate::station_list::meteoswiss;
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{Day, DayDefinition, DayLabel, Station};

const NAME: &str = "MeteoSwiss daily file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

const SIX_TO_SIX: &str = "rre150d0";
const MIDNIGHT_TO_MIDNIGHT: &str = "rka150d0";

struct Columns {
    station: usize,
    date: usize,
    six_to_six: Option<usize>,
    midnight: Option<usize>,
    greatest: Option<usize>,
    least: Option<usize>,
}

/// The heading that a row is, if it is one of this office's.
fn heading_of(row: &Row<'_, '_>) -> Option<(Heading, usize, usize)> {
    let heading = Heading::of(row);
    let names = [("station/location", "date"), ("station_abbr", "reference_timestamp"), ("stn", "time")];
    let (station, date) = names.iter().find_map(|(station, date)| Some((heading.find(station)?, heading.find(date)?)))?;
    // `stn` and `time` alone are too common: its parameters are eight characters, a letter code of three and digits or codes of five.
    let own = row.get(station) != b"stn" || row.fields().any(|field| field.len() == 8 && field.ends_with(b"0") && field[..3].is_ascii());
    own.then_some((heading, station, date))
}

impl Columns {
    fn of((heading, station, date): &(Heading, usize, usize)) -> Option<Self> {
        let (six_to_six, midnight) = (heading.find(SIX_TO_SIX), heading.find(MIDNIGHT_TO_MIDNIGHT));
        six_to_six.or(midnight)?;
        let (greatest, least) = (heading.find("tre200dx"), heading.find("tre200dn"));
        Some(Self { station: *station, date: *date, six_to_six, midnight, greatest, least })
    }
}

fn find_heading(bytes: &[u8]) -> Option<(Heading, usize, usize)> {
    delimited::first_of(content::first_lines(bytes, 20), b';', heading_of)
}

fn sniff(bytes: &[u8]) -> Confidence {
    Confidence::of_heading(find_heading(bytes), |found| Columns::of(found).is_some())
}

/// What a file with this heading is that holds no daily rain.
fn other_product(heading: &Heading) -> &'static str {
    let has = |names: &[&str]| heading.find_any(names).is_some();
    if has(&["rre150h0", "tre200h0"]) {
        "an hourly file of MeteoSwiss (rre150h0, ...)"
    } else if has(&["rre150z0", "tre200s0"]) {
        "a file of MeteoSwiss of every ten minutes (rre150z0, ...)"
    } else if has(&["rre150m0", "rhs150m0", "tre200m0", "ths200m0", "rre150y0"]) {
        "a monthly or yearly file of MeteoSwiss (rre150m0, ...)"
    } else {
        "a file of MeteoSwiss without daily precipitation (no column rre150d0 or rka150d0)"
    }
}

fn is_missing(field: &[u8]) -> bool {
    field.is_empty() || field == b"-" || is_code(field, 32_767)
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let found = find_heading(input.bytes).unwrap_or_default();
    let columns = Columns::of(&found).ok_or_else(|| input.wrong_product(other_product(&found.0)))?;
    let (element, rain, start_hour) = match (columns.six_to_six, columns.midnight) {
        (Some(at), None) => (SIX_TO_SIX, at, 7),
        (Some(at), Some(_)) if holds_values(input.bytes, at) => (SIX_TO_SIX, at, 7),
        (_, Some(at)) => (MIDNIGHT_TO_MIDNIGHT, at, 1),
        (None, None) => return Err(input.wrong_product(other_product(&found.0))),
    };
    let depth = DepthField { element, unit: DepthUnit::Millimetre };
    let day_definition = DayDefinition { start_hour: Some(start_hour), label: DayLabel::FirstDay };
    let mut rows = rows_below_heading(input.bytes);
    let mut stations = Stations::new(input, NAME);
    let mut of_file = input.findings();
    let mut dates = FileDates::new(input, b';', columns.date, date_of, wanted);
    while let Some(row) = rows.next_row() {
        // The heading of a second station's part.
        if !row.get(columns.date).first().is_some_and(u8::is_ascii_digit) && heading_of(&row).is_some() {
            continue;
        }
        if !found.0.fits(&row, &mut of_file) {
            continue;
        }
        let Some(id) = meteoswiss::id(row.get(columns.station)) else {
            of_file.unreadable_line(row.line, "station, date and values as the heading says");
            continue;
        };
        // A line with the units.
        if row.get(columns.date).is_empty() && !row.get(rain).iter().any(u8::is_ascii_digit) {
            continue;
        }
        let days = stations.at(id.as_bytes(), |input| StationDays::new(input, Station::named_only(id.as_str()), day_definition));
        let day = match dates.day(row.get(columns.date)) {
            Ok(day) => day,
            Err(fault) => {
                let found = row.get(columns.date);
                days.findings.date(row.line, row.columns(columns.date), found, fault, "yyyymmdd or dd.mm.yyyy");
                continue;
            }
        };
        let known = |place: Option<usize>| place.filter(|place| !is_missing(row.get(*place)));
        if wanted.temperatures {
            if let Some(tenths) = known(columns.greatest).and_then(|at| temperature(&row, at, day, ("tre200dx", 10), &mut days.findings)) {
                days.greatest(day, tenths);
            }
            if let Some(tenths) = known(columns.least).and_then(|at| temperature(&row, at, day, ("tre200dn", 10), &mut days.findings)) {
                days.least(day, tenths);
            }
        }
        if let Some(at) = known(Some(rain)) {
            let reading = depth.reading(&row, at, day, &mut days.findings);
            days.day(day, reading, Place::new(row.line, row.columns(at)));
        }
    }
    dates.tell("yyyymmdd or dd.mm.yyyy", &mut of_file);
    let count = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations: count, diagnostics: of_file.finish() })
}

fn rows_below_heading(bytes: &[u8]) -> Rows<'_> {
    let mut rows = Rows::new(bytes, b';');
    while let Some(row) = rows.next_row() {
        if heading_of(&row).is_some() {
            break;
        }
    }
    rows
}

/// Whether a column has a number anywhere.
fn holds_values(bytes: &[u8], at: usize) -> bool {
    let mut rows = rows_below_heading(bytes);
    while let Some(row) = rows.next_row() {
        if !is_missing(row.get(at)) {
            return true;
        }
    }
    false
}

/// `20240131`, `31.01.2024 00:00` or `2024-01-31`.
fn date_of(field: &[u8]) -> Result<Day, DateFault> {
    let dotted = field.len() >= 10 && field[2] == b'.' && field[5] == b'.' && field.get(10).is_none_or(|byte| matches!(byte, b' ' | b'T'));
    if dotted {
        return date::of_fields(&field[6..10], &field[3..5], &field[..2]);
    }
    if field.contains(&b'-') { date::iso(field) } else { date::compact(field) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    fn records(text: &str) -> Vec<StationRecord> {
        let mut records = Vec::new();
        read_bytes("x.csv", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records
    }

    #[test]
    fn the_network_of_basic_stations_is_read() {
        let text = "station/location;date;gre000d0;rre150d0;tre200d0;tre200dn;tre200dx\nSIO;19530701;-;-;-;957.8;-\nSIO;19530702;-;0.7;-;-3.1;12.4\n\
                    SIO;19530703;-;-;-;-;-\nSIO;19530704;-;x;-;-;-\nSIO;19530705;-;32767;-;-;-\nSIO;19530706;-;0;-;-;-\nSIO;1953";
        let record = records(text).pop().unwrap();
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.missing, counts.rejected), (5, 2, 2, 1));
        let first = record.rain.period().unwrap().first;
        assert_eq!((first.to_string().as_str(), record.temperature.least(first)), ("1953-07-02", Some(-3.1)));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay });
        assert_eq!(record.diagnostics.count("temperature-implausible"), 1);
    }

    #[test]
    fn the_open_data_are_read_by_the_day_that_has_values() {
        let both = "station_abbr;reference_timestamp;rre150d0;rka150d0\r\nbas;31.01.2024 00:00;0.7;0.9\r\nBAS;01.02.2024 00:00;;1.9\r\n";
        let record = records(both).pop().unwrap();
        assert_eq!((record.rain.station.id.as_str(), record.rain.total_micrometres()), ("BAS", 700));
        let record = records(&both.replace("0.7", "")).pop().unwrap();
        assert_eq!((record.rain.total_micrometres(), record.rain.day_definition.start_hour), (2800, Some(1)));
    }

    #[test]
    fn an_extract_of_the_portal_is_read() {
        let record = records("\r\nstn;time;rre150d0\r\nALT;20240131;0.7\r\n").pop().unwrap();
        assert_eq!(record.rain.total_micrometres(), 700);
    }

    #[test]
    fn shorter_and_longer_sums_are_named() {
        for (column, word) in [("rre150h0", "hourly"), ("rre150z0", "ten minutes"), ("rre150m0", "monthly"), ("kabetuh0", "without daily")]
        {
            let text = format!("station_abbr;reference_timestamp;{column}\nBAS;31.01.2024 01:00;0.7\n");
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(word), "{error}");
        }
    }
}
