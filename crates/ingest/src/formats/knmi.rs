//! Royal Netherlands Meteorological Institute (KNMI): rain gauges (`neerslaggeg`), automatic stations (`etmgeg`), and the answers of its script
//! interface.
//!
//! Layout (the file's own preamble): lines of text, a heading `STN,YYYYMMDD,...` (with `#` before it in some), then one line a day in
//! commas padded with blanks; blank is missing. `RD` of the gauges and `RH` of the automatic stations in tenths of a millimetre, RH -1 is
//! under 0.05 mm: a trace. `TX` and `TN` in tenths of a degree Celsius. Lines that begin with `#` are remarks; among them a table of
//! stations may stand: number, longitude, latitude, height, name.
//!
//! The day (same preamble): RD from 08:00 UTC of the day before to 08:00 UTC of the day it is dated by, 9 h Central European Time; RH from 0 to 24 UTC,
//! 1 h Central European Time, dated by the first day. Gauges and automatic stations are numbered apart (225 is one of each), so a gauge
//! is given KNMI's mark `_N` (from memory of its data platform).

use super::{Confidence, Format, Input};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{self, Heading, Row, Rows};
use crate::depth_field::{DepthField, is_code, temperature};
use crate::encoding::{self, WINDOWS_1252};
use crate::fields;
use crate::file_dates::FileDates;
use crate::station_days::{Place, StationDays, Stations};
use crate::station_list::decimal_number;
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{DayDefinition, DayLabel, Reading, Station};
use std::collections::HashMap;

const NAME: &str = "KNMI daily station file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

/// Lines that the heading is looked for in: the preamble of all stations with all elements has some 150.
const PREAMBLE: usize = 400;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Network {
    RainGauges,
    AutomaticStations,
}

/// Where the columns are.
struct Columns {
    network: Network,
    rain: usize,
    greatest: Option<usize>,
    least: Option<usize>,
}

impl Columns {
    fn of(heading: &Heading) -> Option<Self> {
        let (network, rain) = match (heading.find("RD"), heading.find("RH")) {
            (Some(at), _) => (Network::RainGauges, at),
            (None, Some(at)) => (Network::AutomaticStations, at),
            _ => return None,
        };
        // Of an hour, not of a day.
        if heading.find("HH").is_some() {
            return None;
        }
        Some(Self { network, rain, greatest: heading.find("TX"), least: heading.find("TN") })
    }

    fn depth_field(&self) -> DepthField {
        let element = if self.network == Network::RainGauges { "RD" } else { "RH" };
        DepthField { element, unit: DepthUnit::TenthOfMillimetre }
    }
}

/// The heading that a row is, if it is one.
fn heading_of(row: &Row<'_, '_>) -> Option<Heading> {
    let first = row.get(0);
    let first = first.strip_prefix(b"#").unwrap_or(first).trim_ascii();
    (first == b"STN" && row.get(1) == b"YYYYMMDD").then(|| Heading::of(row))
}

fn find_heading(bytes: &[u8]) -> Option<Heading> {
    let head = content::first_lines(bytes, PREAMBLE);
    memchr::memmem::find(head, b"YYYYMMDD")?;
    delimited::first_of(head, b',', heading_of)
}

fn sniff(bytes: &[u8]) -> Confidence {
    Confidence::of_heading(find_heading(bytes), |heading| Columns::of(heading).is_some())
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let heading = find_heading(input.bytes).unwrap_or_default();
    let Some(columns) = Columns::of(&heading) else {
        let what = if heading.find("HH").is_some() {
            "an hourly file of KNMI (column HH)"
        } else {
            "a daily file of KNMI without rain (no column RD or RH)"
        };
        return Err(input.wrong_product(what));
    };
    let mut rows = Rows::new(input.bytes, b',');
    let mut places = HashMap::new();
    while let Some(row) = rows.next_row() {
        if heading_of(&row).is_some() {
            break;
        }
        if let Some((number, station)) = place(row.line.text) {
            places.insert(number, station);
        }
    }
    let mut stations = Stations::new(input, NAME);
    let mut of_file = input.findings();
    let mut dates = FileDates::new(input, b',', 1, date::compact, wanted);
    // Remarks stand before the values and behind them; one between them is no remark of the agency's.
    let (mut in_values, mut remarks) = (false, Vec::new());
    while let Some(row) = rows.next_row() {
        if heading_of(&row).is_some() {
            (in_values, remarks) = (false, Vec::new());
            continue;
        }
        if row.get(0).starts_with(b"#") {
            if in_values {
                remarks.push(row.line);
            }
            continue;
        }
        in_values = true;
        for remark in remarks.drain(..) {
            of_file.unreadable_line(remark, "a row of values between rows of values");
        }
        if !heading.fits(&row, &mut of_file) {
            continue;
        }
        let Some(number) = fields::whole(row.get(0)) else {
            of_file.unreadable_line(row.line, "station, date and values as the heading says");
            continue;
        };
        let days = stations.at(row.get(0), |input| station(input, number, columns.network, places.get(&number)));
        day(&row, &columns, &mut dates, days, wanted);
    }
    dates.tell("a date of eight digits", &mut of_file);
    let count = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations: count, diagnostics: of_file.finish() })
}

fn station<'a>(input: Input<'a>, number: u32, network: Network, place: Option<&Station>) -> StationDays<'a> {
    let (id, day) = match network {
        Network::RainGauges => (format!("{number}_N"), DayDefinition { start_hour: Some(9), label: DayLabel::LastDay }),
        Network::AutomaticStations => (number.to_string(), DayDefinition { start_hour: Some(1), label: DayLabel::FirstDay }),
    };
    StationDays::new(input, Station { id, ..place.cloned().unwrap_or_default() }, day)
}

/// `# 249:         4.979       52.644      -2.40  BERKHOUT`
fn place(line: &[u8]) -> Option<(u32, Station)> {
    let mut words = line.strip_prefix(b"#")?.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty());
    let number = words.next()?;
    let number = fields::whole(number.strip_suffix(b":").unwrap_or(number))?;
    let longitude = decimal_number(words.next()?).filter(|degrees| degrees.abs() <= 180.0)?;
    let latitude = decimal_number(words.next()?).filter(|degrees| degrees.abs() <= 90.0)?;
    let elevation = decimal_number(words.next()?)?;
    let name = encoding::name(&words.collect::<Vec<_>>().join(&b' '), WINDOWS_1252);
    let station = Station { id: String::new(), name, latitude: Some(latitude), longitude: Some(longitude), elevation: Some(elevation) };
    Some((number, station))
}

fn day(row: &Row<'_, '_>, columns: &Columns, dates: &mut FileDates<'_>, days: &mut StationDays<'_>, wanted: Wanted) {
    let day = match dates.day(row.get(1)) {
        Ok(day) => day,
        Err(fault) => return days.findings.date(row.line, row.columns(1), row.get(1), fault, "a date of eight digits"),
    };
    let known = |place: Option<usize>| place.filter(|place| !row.get(*place).is_empty());
    if wanted.temperatures {
        if let Some(tenths) = known(columns.greatest).and_then(|at| temperature(row, at, day, ("TX", 1), &mut days.findings)) {
            days.greatest(day, tenths);
        }
        if let Some(tenths) = known(columns.least).and_then(|at| temperature(row, at, day, ("TN", 1), &mut days.findings)) {
            days.least(day, tenths);
        }
    }
    let Some(rain) = known(Some(columns.rain)) else { return };
    let reading = if columns.network == Network::AutomaticStations && is_code(row.get(rain), -1) {
        Reading::TRACE
    } else {
        columns.depth_field().reading(row, rain, day, &mut days.findings)
    };
    days.day(day, reading, Place::new(row.line, row.columns(rain)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    fn records(text: &str) -> Vec<StationRecord> {
        let mut records = Vec::new();
        read_bytes("x.txt", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records
    }

    #[test]
    fn a_rain_gauge_is_read() {
        let text = "DEZE GEGEVENS\r\nYYYYMMDD = datum/date (YYYY=jaar/year,\r\n\r\nSTN,YYYYMMDD,   RD,   SX,\r\n831,19510101,    0,     ,\r\n831,19510102,   12,     ,\r\n\
                    831,19510103,     ,     ,\r\n831,19510104,   -1,     ,\r\n831,19510105,    3,  997,\r\n83";
        let record = records(text).pop().unwrap();
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.missing, counts.rejected, counts.trace), (5, 3, 1, 1, 0));
        assert_eq!((record.rain.total_micrometres(), record.rain.station.id.as_str()), (1500, "831_N"));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(9), label: DayLabel::LastDay });
    }

    #[test]
    fn automatic_stations_have_traces_temperatures_and_places() {
        let text = "# BRON: KNMI\n# STN      LON(east)   LAT(north)     ALT(m)  NAME\n# 249:         4.979       52.644      -2.40  NERGENS AAN ZEE\n\
                    # 250         4.5       52.5      1.20  OOK NERGENS\n# YYYYMMDD = Date\n#\n# STN,YYYYMMDD,   TN,   TX,   RH\n#\n\n\
                    \x20 249,20180101,  -12,   57,   -1\n  249,20180103,     ,     ,  104\n  250,20180101,  -12,  999,    0\n";
        let records = records(text);
        let [one, other] = &records[..] else { panic!("two stations") };
        let counts = one.rain.counts();
        assert_eq!((counts.calendar, counts.trace, counts.measured, counts.missing), (3, 1, 1, 1));
        assert_eq!((one.rain.station.name.as_str(), one.rain.station.elevation), ("NERGENS AAN ZEE", Some(-2.4)));
        assert_eq!((one.rain.station.position(), other.rain.station.id.as_str()), (Some((52.644, 4.979)), "250"));
        let first = one.rain.period().unwrap().first;
        assert_eq!((one.temperature.least(first), one.temperature.greatest(first)), (Some(-1.2), Some(5.7)));
        assert_eq!((other.temperature.greatest(first), other.diagnostics.count("temperature-implausible")), (None, 1));
        assert_eq!(one.rain.day_definition, DayDefinition { start_hour: Some(1), label: DayLabel::FirstDay });
    }

    #[test]
    fn remarks_stand_before_the_values_and_a_row_that_is_not_whole_is_not_read() {
        let text = "# BRON: KNMI\n# STN,YYYYMMDD,   RH\n#\n  249,20180101,   12\n#### ?? ####\n  249,20180102,    1\n  249,20180103,    1  249,20180104,    1\n\
                    # END\n# STN,YYYYMMDD,   RH\n#\n  249,20180105,    1\n  249,2018\n# END\n";
        let mut records: Vec<StationRecord> = Vec::new();
        let summary = read_bytes("x.txt", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        let told: Vec<_> = summary.diagnostics.list.iter().map(|found| (found.id, found.line)).collect();
        assert_eq!(told, [("line-unreadable", Some(5)), ("row-too-long", Some(7)), ("row-cut-short", Some(12))]);
        assert_eq!(records[0].rain.counts().measured, 3);
    }

    #[test]
    fn hours_and_files_without_rain_are_named() {
        for (heading, word) in [("# STN,YYYYMMDD,   HH,   DD,   RH", "hourly"), ("STN,YYYYMMDD,   TG", "without rain")] {
            let error =
                read_bytes("x", format!("{heading}\n  249,20180101,    1,   57,    5\n").as_bytes(), Wanted::default(), &mut Vec::new())
                    .unwrap_err();
            assert!(error.to_string().contains(word), "{error}");
        }
    }
}
