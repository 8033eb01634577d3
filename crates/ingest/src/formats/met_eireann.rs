//! Met Eireann (Ireland), daily data of one station.
//!
//! Layout (the files themselves; indicators: the agency's key `KeyHourly.txt` as kept in public repositories, and the clause of
//! `KeyDaily.txt` for rain, 2 = trace or sum of precipitation, as quoted there): some lines of preamble with the station's name, height
//! and position and the hours of a day, then `date,…,ind,rain,…` where the column before a value is its indicator (`irain`, `ind`). Dates
//! are `01-jan-1986`, with or without a time; files that a spreadsheet has saved have commas at the ends of the preamble's lines. Blank:
//! missing.
//!
//! | indicator of rain | key | becomes |
//! |---|---|---|
//! | 0 | satisfactory | measured |
//! | 1 | deposition (dew, rime) | measured |
//! | 2, 3 | trace or sum of precipitation, of deposition | of 0: trace; else measured, made of parts |
//! | 4, 5 | estimated precipitation, deposition | measured, estimated |
//! | 6 | estimated trace | trace |
//!
//! The day is the preamble's (`00 to 00 utc` for synoptic stations, `09 to 09 utc` for rain-only ones). A rain-only station's day ends at 09
//! on its date (the gauge is read then and dated so; the agency's page on rainfall stations as quoted in public code). Its indicators come
//! from another key, which was not found: codes other than 0 are told and the value is read as it stands.

use super::{Confidence, Format, Input, plain_value};
use crate::date::{self, DateFault};
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows};
use crate::encoding;
use crate::station_days::{Place, StationDays};
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{Day, DayDefinition, DayLabel, Diagnostics, Kind, Qualifier, Reading, Severity, Station};

const NAME: &str = "Met Eireann daily file";

pub(super) const FORMAT: Format = Format { name: NAME, endings: &[], sniff, read };

/// Lines in which the heading is looked for.
const LINES_LOOKED_AT: usize = 80;

fn holds(text: &[u8], word: &str) -> bool {
    memchr::memmem::find(text, word.as_bytes()).is_some()
}

/// The preamble's first words and the heading's `date` begin every file of the agency; the day's hours tell it from the hourly one.
fn step_of_time(head: &[u8]) -> Option<&'static str> {
    let head = content::first_lines(head, LINES_LOOKED_AT).to_ascii_lowercase();
    if !head.trim_ascii_start().starts_with(b"station name:") && !head.trim_ascii_start().starts_with(b"\"station name:") {
        return None;
    }
    let mut rows = Rows::new(&head, b',');
    while let Some(row) = rows.next_row() {
        let heading = Heading::of(&row);
        if heading.has(&["year", "month"]) && heading.find("rain").is_some() {
            return Some("monthly");
        }
        if row.get(0) == b"date" && row.len() > 2 {
            return Some(if heading.has(&["temp", "wetb"]) || holds(&head, "date and time") || holds(&head, "hourly rain") {
                "hourly"
            } else {
                "daily"
            });
        }
    }
    None
}

fn sniff(bytes: &[u8]) -> Confidence {
    if step_of_time(bytes) == Some("daily") { Confidence::Certain } else { Confidence::No }
}

/// The hourly and the monthly file.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    match step_of_time(head)? {
        "hourly" => Some("hourly data of Met Eireann"),
        "monthly" => Some("monthly data of Met Eireann"),
        _ => None,
    }
}

#[derive(Debug, Clone, Copy)]
struct Columns {
    rain: usize,
    indicator: Option<usize>,
    greatest: Option<usize>,
    least: Option<usize>,
    /// A rain-only station, whose key is another one.
    rain_only: bool,
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let mut days = StationDays::new(input, Station::named_only(id_of(input.name)), DayDefinition::default());
    let mut columns: Option<Columns> = None;
    while let Some(row) = rows.next_row() {
        let Some(columns) = &columns else {
            if row.get(0).eq_ignore_ascii_case(b"date") && row.len() > 2 {
                let heading = Heading::of(&row);
                let Some(rain) = heading.find("rain") else {
                    return Err(Error::WrongProduct {
                        file: input.name.to_owned(),
                        found: "daily data of Met Eireann without a column of rain".to_owned(),
                        expected: "a column rain".to_owned(),
                    });
                };
                let before = rain.checked_sub(1).filter(|before| matches!(heading.name(*before), b"ind" | b"irain" | b"ind_rain"));
                columns = Some(Columns {
                    rain,
                    indicator: before,
                    greatest: heading.find("maxtp"),
                    least: heading.find("mintp"),
                    rain_only: heading.find_any(&["maxtp", "wdsp", "cbl"]).is_none(),
                });
            } else {
                preamble(row.line.text, &mut days);
            }
            continue;
        };
        line(&row, columns, wanted, &mut days);
    }
    sink.station(days.record(input, NAME));
    Ok(FileSummary { format: NAME, stations: 1, diagnostics: Diagnostics::default() })
}

/// The number in the published name of a file, `dly532.csv`: the text itself has no number of the station.
fn id_of(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let number: String = last.strip_prefix("dly").unwrap_or_default().chars().take_while(char::is_ascii_digit).collect();
    number
}

/// A line before the heading: name, height, position, hours of the day.
fn preamble(line: &[u8], days: &mut StationDays<'_>) {
    let trimmed: Vec<u8> = line.iter().copied().filter(|byte| *byte != b'"').collect();
    let lower = trimmed.to_ascii_lowercase();
    let behind = |key: &str| {
        let at = memchr::memmem::find(&lower, key.as_bytes())? + key.len();
        let value = trimmed[at..].split(|byte| *byte == b',').next().unwrap_or_default().trim_ascii();
        Some(value.strip_prefix(b":").unwrap_or(value).trim_ascii())
    };
    let number = |key: &str| plain_value::coordinate(behind(key)?.split(|byte| *byte == b' ').next().unwrap_or_default());
    if lower.starts_with(b"station name") {
        let name = encoding::name(behind("station name").unwrap_or_default(), encoding::WINDOWS_1252);
        days.station.name = name.replace('_', " ");
    } else if lower.starts_with(b"station height") {
        days.station.elevation = number("station height");
    } else if lower.starts_with(b"latitude") {
        days.station.latitude = number("latitude");
        days.station.longitude = number("longitude");
    } else if lower.starts_with(b"date") && holds(&lower, "utc") {
        // Of a day from midnight to midnight both names of the day are the same; of one from 9 to 9 it is the last.
        days.day_definition = if holds(&lower, "09 to 09") {
            DayDefinition { start_hour: Some(9), label: DayLabel::LastDay }
        } else if holds(&lower, "00 to 00") {
            DayDefinition { start_hour: Some(0), label: DayLabel::FirstDay }
        } else {
            DayDefinition::default()
        };
    }
}

fn date_of(field: &[u8]) -> Result<Day, DateFault> {
    let date = field.split(|byte| *byte == b' ').next().unwrap_or_default();
    let mut parts = date.split(|byte| matches!(byte, b'-' | b'/'));
    let (Some(of_month), Some(month), Some(year), None) = (parts.next(), parts.next(), parts.next(), parts.next()) else {
        return Err(DateFault::Unreadable);
    };
    if year.len() != 4 {
        return date::iso(field);
    }
    let month = date::month_of_name(month).or_else(|| crate::fields::whole(month));
    date::of_parts(crate::fields::whole(year), month, crate::fields::whole(of_month))
}

fn line(row: &Row<'_, '_>, columns: &Columns, wanted: Wanted, days: &mut StationDays<'_>) {
    if row.len() <= columns.rain {
        return days.findings.unreadable_line(row.line, "a date, the indicator and the depth of rain");
    }
    let day = match date_of(row.get(0)) {
        Ok(day) => day,
        Err(fault) => return days.findings.date(row.line, row.columns(0), row.get(0), fault, "day-month-year"),
    };
    let reading = plain_value::rain(row, columns.rain, DepthUnit::Millimetre, day, &mut days.findings);
    let reading = match columns.indicator.filter(|_| reading.kind() == Kind::Measured) {
        Some(indicator) => indicated(row, indicator, columns.rain_only, day, reading, days),
        None => reading,
    };
    days.day(day, reading, Place::new(row.line, row.columns(columns.rain)));
    if wanted.temperatures {
        if let Some(tenths) = columns.greatest.and_then(|place| plain_value::celsius(row, place, day, &mut days.findings)) {
            days.greatest(day, tenths);
        }
        if let Some(tenths) = columns.least.and_then(|place| plain_value::celsius(row, place, day, &mut days.findings)) {
            days.least(day, tenths);
        }
    }
}

/// The reading as its indicator has it.
fn indicated(row: &Row<'_, '_>, place: usize, rain_only: bool, day: Day, reading: Reading, days: &mut StationDays<'_>) -> Reading {
    match row.get(place) {
        b"0" | b"" => reading,
        b"1" if !rain_only => reading,
        b"2" | b"3" if !rain_only && reading.stated_micrometres() == 0 => Reading::TRACE,
        b"2" | b"3" if !rain_only => reading.qualified(Qualifier::MadeOfParts.into()),
        b"4" | b"5" if !rain_only => reading.qualified(Qualifier::Estimated.into()),
        b"6" if !rain_only => Reading::TRACE,
        code => {
            days.findings.at("precipitation-flag-unknown", Severity::Note, row.line, row.columns(place), || {
                let code = crate::finding::shown(code);
                let key = if rain_only { "0 (the key of rain-only stations is not at hand)" } else { "0 to 6" };
                (format!("found the indicator {code:?} on {day}, expected {key}"), "The value is read.")
            });
            reading
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    const HEAD: &str = "Station Name: UPPER_VALLEY\nStation Height: 71 M \nLatitude:53.430  ,Longitude: -6.230\n\ndate:  -  00 to 00 utc\nrain: -\t  Precipitation Amount (mm)\nind: -   Indicator\n\n";

    fn record(name: &str, text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes(name, text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn each_indicator_is_kept_apart() {
        let text = format!(
            "{HEAD}date,imax,maxtp,imin,mintp,irain,rain,cbl\n01-jan-1986 00:00:00,0,6.7,1,-0.5,0,12.2,974.8\n02-jan-1986 00:00:00,0,5.9,0,2.9,2,0.0,976.2\n03-JAN-1986,0,4.3,1,-1.6,3,0.2,996.3\n04-jan-1986,0,4.3,1,-1.6,4,2.0,996.3\n05-jan-1986,0,,1,,6,0.0,996.3\n06-jan-1986,0,4.3,1,-1.6,1,0.1,996.3\n07-jan-1986,0,4.3,1,-1.6,0, ,996.3\n08-jan-1986,0,4.3,1,-1.6,9,1.0,996.3\n30-feb-1986,0,4.3,1,-1.6,9,1.0,996.3\n"
        );
        let record = record("a/dly999.csv", &text);
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.missing, counts.estimated), (8, 5, 2, 1, 1));
        let station = &record.rain.station;
        assert_eq!((station.id.as_str(), station.name.as_str(), station.elevation), ("999", "UPPER VALLEY", Some(71.0)));
        assert_eq!(station.position(), Some((53.43, -6.23)));
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("precipitation-flag-unknown"), count("day-that-never-was"), record.diagnostics.total()), (1, 1, 2));
        assert_eq!(record.temperature.least(Day::new(1986, 1, 1).unwrap()), Some(-0.5));
    }

    #[test]
    fn a_rain_only_station_saved_by_a_spreadsheet_is_read() {
        let text = "Station Name: VALLEY (GEN.STN.),,\r\nStation Height: 24 M,,\r\nLatitude:51.900,Longitude: -8.661,\r\n,,\r\ndate:  -  09 to 09 utc,,\r\nrain:  -  Precipitation Amount (mm),,\r\nind:   -  Indicator,,\r\n,,\r\ndate,ind,rain\r\n01-Jan-1954,8,0.1\r\n02-Jan-1954,0,9.4\r\n";
        let record = record("dly.csv", text);
        assert_eq!((record.rain.counts().measured, record.rain.total_micrometres()), (2, 9500));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(9), label: DayLabel::LastDay });
        assert_eq!((record.diagnostics.count("precipitation-flag-unknown"), record.rain.station.longitude), (1, Some(-8.661)));
    }

    #[test]
    fn the_hourly_and_the_monthly_file_are_refused() {
        let hourly = format!("{HEAD}date,ind,rain,ind,temp,ind,wetb\n01-jan-1986 01:00,0,0.1,0,5.0,0,4.0\n");
        let monthly = format!("{HEAD}year,month,meant,rain\n1986,1,5.0,80.1\n");
        for (text, what) in [(hourly, "hourly"), (monthly, "monthly")] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }
}
