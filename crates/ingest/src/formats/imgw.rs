//! IMGW-PIB (Poland), daily values without a heading: rain gauges (`o_d_*`), climate stations (`k_d_*`), synoptic stations (`s_d_*`).
//!
//! Layout (the agency's format texts `o_d_format.txt` and `k_d_format.txt`, as quoted in public code): commas, text in quotes, code page
//! 1250, numbers such as `.0`; many stations a file. Columns of `o_d`: code, name, year, month, day, daily sum of precipitation in
//! millimetres, its status, kind (S snow, W rain, blank), then snow; 16 in all. `k_d` and `s_d` have four temperatures with their statuses
//! before the precipitation (greatest, least, mean, least at the ground). Status 8: no measurement, missing; 9: no phenomenon, a zero; blank:
//! measured. A zero whose status is blank is a phenomenon of less than a tenth of a millimetre and is a trace (our reading of the
//! status, no source).
//!
//! `o_d` files have rows for some days only. The format text does not say whether a day without one was dry; it is missing here, and the
//! record says so. The day runs from 06 UTC (from memory), which is 7 h Central European Time, the one standard time of Poland; which of its
//! two dates it has is not in the file.

use super::{Confidence, Format, Input, plain_value};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Row, Rows};
use crate::encoding;
use crate::heading::Width;
use crate::station_days::{Place, StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, content, majority};
use series::{Day, DayDefinition, DayLabel, Kind, Reading, Severity, Station};

const NAME: &str = "IMGW-PIB daily file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read).in_parts();

/// Lines that are looked at to know the format.
const LINES_LOOKED_AT: usize = 64;
/// Columns of a file of rain gauges, and the least of a file of climate or synoptic stations.
const GAUGE_COLUMNS: usize = 16;
const CLIMATE_COLUMNS: usize = 18;

/// Where the precipitation stands, and whether temperatures stand before it.
fn columns(row: &Row<'_, '_>) -> Option<(usize, bool)> {
    let digits = |place: usize, width: usize| row.get(place).len() == width && row.get(place).iter().all(u8::is_ascii_digit);
    if !(digits(0, 9) && digits(2, 4) && (digits(3, 2) || digits(3, 1)) && (digits(4, 2) || digits(4, 1))) {
        return None;
    }
    // By count, but a spreadsheet may have added empty columns: behind the precipitation of a gauge stand its status and kind, letters or
    // nothing; behind the greatest temperature its status and the least one, a number.
    match row.len() {
        GAUGE_COLUMNS => Some((5, false)),
        CLIMATE_COLUMNS.. if row.get(7).iter().any(u8::is_ascii_digit) => Some((13, true)),
        CLIMATE_COLUMNS.. if row.fields().skip(GAUGE_COLUMNS).all(<[u8]>::is_empty) => Some((5, false)),
        CLIMATE_COLUMNS.. => Some((13, true)),
        _ => (row.len() > GAUGE_COLUMNS && row.get(GAUGE_COLUMNS).is_empty()).then_some((5, false)),
    }
}

fn fits(row: &Row<'_, '_>) -> bool {
    columns(row).is_some_and(|(rain, _)| {
        let number = row.get(rain).iter().all(|byte| byte.is_ascii_digit() || *byte == b'.');
        number && row.get(rain + 1).len() <= 1 && matches!(row.get(rain + 2), b"" | b"S" | b"W")
    })
}

fn sniff(bytes: &[u8]) -> Confidence {
    let mut rows = Rows::new(content::first_lines(bytes, LINES_LOOKED_AT), b',');
    let (mut seen, mut fit) = (0, 0);
    while let Some(row) = rows.next_row() {
        seen += 1;
        fit += usize::from(fits(&row));
    }
    match fit {
        0 => Confidence::No,
        _ if 2 * fit > seen => Confidence::Certain,
        _ => Confidence::Possible,
    }
}

/// Files of the same agency without daily precipitation.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    let mut rows = Rows::new(content::first_lines(head, 2), b',');
    let row = rows.next_row()?;
    let digits = |place: usize, width: usize| row.get(place).len() == width && row.get(place).iter().all(u8::is_ascii_digit);
    if !(digits(0, 9) && digits(2, 4) && digits(3, 2) && row.line.text.starts_with(b"\"")) {
        return None;
    }
    match row.len() {
        13 if digits(4, 2) => Some("IMGW-PIB daily means of temperature, humidity, wind and cloud (k_d_t), without precipitation"),
        _ if !digits(4, 2) => Some("monthly data of IMGW-PIB"),
        _ => None,
    }
}

#[allow(clippy::unnecessary_wraps)]
fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let mut stations = Stations::new(input, NAME);
    let mut findings = input.findings();
    let mut gauges = false;
    // Without a heading, most rows say how many columns there are.
    let most = majority::commonest(&mut Rows::new(input.bytes, b','), |row| Some(row.len())).unwrap_or(GAUGE_COLUMNS);
    let width = Width { least: if most < CLIMATE_COLUMNS { GAUGE_COLUMNS } else { CLIMATE_COLUMNS }, most };
    while let Some(row) = rows.next_row() {
        if !width.fits(&row, &mut findings) {
            continue;
        }
        let Some((rain, temperatures)) = columns(&row) else {
            findings.unreadable_line(row.line, "station code, name, year, month, day and 11 or more columns");
            continue;
        };
        gauges |= !temperatures;
        let days = stations.at(row.get(0), |input| station(input, &row));
        let day = match date::of_fields(row.get(2), row.get(3), row.get(4)) {
            Ok(day) => day,
            Err(fault) => {
                days.findings.date(row.line, row.columns(2), row.line.text, fault, "year, month, day");
                continue;
            }
        };
        let reading = precipitation(&row, rain, day, days);
        days.day(day, reading, Place::new(row.line, row.columns(rain)));
        if wanted.temperatures && temperatures {
            let of = |place: usize, days: &mut StationDays<'_>| {
                (row.get(place + 1) != b"8").then(|| plain_value::celsius(&row, place, day, &mut days.findings)).flatten()
            };
            if let Some(tenths) = of(5, days) {
                days.greatest(day, tenths);
            }
            if let Some(tenths) = of(7, days) {
                days.least(day, tenths);
            }
        }
    }
    if gauges {
        findings.whole("days-without-a-row", Severity::Note, || {
            (
                "files of rain gauges have rows for some days only, and do not say whether a day without one was dry".to_owned(),
                "A day without a row is missing, not zero.",
            )
        });
    }
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: findings.finish() })
}

fn station<'a>(input: Input<'a>, row: &Row<'_, '_>) -> StationDays<'a> {
    let text = |place: usize| encoding::name(row.get(place), encoding::WINDOWS_1250);
    let station = Station { id: text(0), name: text(1), ..Station::default() };
    StationDays::new(input, station, DayDefinition { start_hour: Some(7), label: DayLabel::Unknown })
}

fn precipitation(row: &Row<'_, '_>, rain: usize, day: Day, days: &mut StationDays<'_>) -> Reading {
    let status = row.get(rain + 1);
    if status == b"8" {
        if row.get(rain).iter().any(|byte| matches!(byte, b'1'..=b'9')) {
            days.findings.at("value-beside-missing", Severity::Note, row.line, row.columns(rain), || {
                let found = crate::finding::shown(row.get(rain));
                (format!("found {found:?} mm with the status 8 (no measurement) on {day}, expected no value"), "The day is missing.")
            });
        }
        return Reading::MISSING;
    }
    let reading = plain_value::rain(row, rain, DepthUnit::Millimetre, day, &mut days.findings);
    match (status, reading.kind(), reading.stated_micrometres()) {
        (b"", Kind::Measured, 0) => Reading::TRACE,
        (b"" | b"9", ..) if status.is_empty() || reading.stated_micrometres() == 0 => reading,
        (_, Kind::Measured, _) => {
            days.findings.at("precipitation-flag-unknown", Severity::Note, row.line, row.columns(rain + 1), || {
                let status = crate::finding::shown(status);
                (format!("found the status {status:?} on {day}, expected blank, 8, or 9 with a zero"), "The value is read.")
            });
            reading
        }
        _ => reading,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    fn records(text: &[u8]) -> (Vec<StationRecord>, FileSummary) {
        let mut records = Vec::new();
        let summary = read_bytes("x.csv", text, Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        (records, summary)
    }

    #[test]
    fn empty_columns_of_a_spreadsheet_change_nothing() {
        let gauge = "249180020,NOWHERE,2020,01,04,5.6,,S,8,9,0,9,,9,.,,,,\n249180020,NOWHERE,2020,01,05,.1,,W,0,9,0,9,,9,.,,,\n,,,,\n";
        let (records, summary) = records(gauge.as_bytes());
        assert_eq!((records[0].rain.counts().measured, records[0].rain.total_micrometres()), (2, 5700));
        assert_eq!((records[0].diagnostics.total(), summary.diagnostics.count("line-unreadable")), (0, 0));
    }

    #[test]
    fn each_status_is_kept_apart() {
        let tail = "0,\"9\",0,\"9\",\"\",\"9\",\".\",\"\"\r\n";
        let days = [(1, "5.6,\"\",\"S\""), (2, ".0,\"9\",\"\""), (3, ".0,\"8\",\"\""), (4, ".0,\"\",\"W\""), (6, ".7,\"3\",\"W\"")];
        let mut lines: Vec<String> =
            days.iter().map(|(day, value)| format!("\"999180020\",\"DOLINA GORNA\",\"2020\",\"01\",\"0{day}\",{value},{tail}")).collect();
        lines.push(format!("\"999180030\",\"\u{141}AD\",\"2020\",\"02\",\"30\",1.0,\"\",\"W\",{tail}x,y\r\n"));
        let text = lines.concat();
        let bytes = encoding_rs::WINDOWS_1250.encode(&text).0.into_owned();
        let (records, summary) = records(&bytes);
        let counts = records[0].rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.missing), (6, 3, 1, 2));
        assert_eq!(records[1].rain.station.name, "\u{141}AD");
        assert_eq!(
            (records[0].diagnostics.count("precipitation-flag-unknown"), records[1].diagnostics.count("day-that-never-was")),
            (1, 1)
        );
        assert_eq!((summary.diagnostics.count("days-without-a-row"), summary.diagnostics.count("row-cut-short")), (1, 1));
    }

    #[test]
    fn a_climate_station_has_temperatures_before_its_rain() {
        let text = "\"999180010\",\"DOLINA\",\"2001\",\"01\",\"01\",-1.3,\"\",-9.6,\"\",-5.7,\"\",-11.0,\"\",2.4,\"\",\"S\",13,\"\"\r\n\"999180010\",\"DOLINA\",\"2001\",\"01\",\"02\",.0,\"8\",-9.6,\"\",-5.7,\"\",-11.0,\"\",.0,\"9\",\"\",13,\"\"\r\n";
        let (records, summary) = records(text.as_bytes());
        assert_eq!((records[0].rain.total_micrometres(), records[0].rain.counts().measured), (2400, 2));
        let (one, other) = (Day::new(2001, 1, 1).unwrap(), Day::new(2001, 1, 2).unwrap());
        let temperature = &records[0].temperature;
        assert_eq!((temperature.greatest(one), temperature.greatest(other), temperature.least(other)), (Some(-1.3), None, Some(-9.6)));
        assert!(summary.diagnostics.is_empty());
    }

    #[test]
    fn means_and_months_are_refused_by_what_they_are() {
        let means = "\"999180010\",\"DOLINA\",\"2001\",\"01\",\"01\",-5.7,\"\",80.0,\"\",2.0,\"\",7.0,\"\"\r\n";
        let months = "\"999180010\",\"DOLINA\",\"2001\",\"01\",50.4,\"\",12.0,\"\",\"04\",\"\"\r\n";
        for (text, what) in [(means, "k_d_t"), (months, "monthly")] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }
}
