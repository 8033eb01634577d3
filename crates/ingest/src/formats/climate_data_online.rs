//! Climate Data Online, the order export of NCEI: daily summaries of one or several stations, in the unit that the person ordered.
//!
//! Layout (NCEI, daily summaries documentation GHCND_documentation.pdf: "mm or inches as per user preference"; columns and flags:
//! [`super::ncei`]): STATION, NAME (older: STATION_NAME), perhaps LATITUDE, LONGITUDE, ELEVATION, DATE as 2024-01-31 or 20240131, then the
//! elements, with or without their flags. Older exports write `GHCND:` before the identifier and -9999 or 9999 for a missing value.
//! A table saved again by a spreadsheet may have dates such as 1/31/2024.
//!
//! The unit is not in the file. It is recognised from the numbers ([`units`]) and told as `unit-recognised`; where they do not decide, the
//! file is refused with the question, which [`Wanted::depth_unit`](crate::Wanted) answers. The day definition follows from the times of
//! observation ([`crate::observation_time`]).

use super::ncei::{self, Columns};
use super::{Confidence, Format, Input, ncei_access};
use crate::date_order::{self, DateOrder, OrderEvidence, Written};
use crate::delimited::{Heading, Row, Rows};
use crate::fields;
use crate::ncei_products::{self, Span};
use crate::station_days::Stations;
use crate::{Error, FileSummary, Sink, Wanted, content, majority};
use series::Severity;

mod units;

const NAME: &str = "Climate Data Online export";

pub(super) const FORMAT: Format = Format::new(NAME, &["csv"], sniff, read);

/// A station, a date that is a day, and precipitation under its name in the archive.
fn sniff(bytes: &[u8]) -> Confidence {
    let (heading, span) = ncei_products::heading_and_span(bytes);
    let rain = heading.find_any(&["PRCP", "MDPR"]).is_some();
    let summary_of_the_day = heading.find_any(&["DEWP", "FRSHTT"]).is_some();
    if !heading.has(&["STATION", "DATE"]) || !rain || summary_of_the_day || ncei_products::other_product(bytes).is_some() {
        return Confidence::No;
    }
    // The same columns in the units of the archive.
    if ncei_access::sniff(bytes) == Confidence::Certain {
        return Confidence::No;
    }
    let Some((station, date)) = heading.find("STATION").zip(heading.find("DATE")) else { return Confidence::No };
    let most = |of: &dyn Fn(&Row<'_, '_>) -> bool| {
        let mut rows = Rows::new(content::first_lines(bytes, majority::ROWS + 1), b',');
        rows.next_row();
        majority::commonest(&mut rows, |row| Some(of(row)))
    };
    let dated = |row: &Row<'_, '_>| date_order::written(row.get(date)) != Written::Nothing;
    let listed = |row: &Row<'_, '_>| row.get(station).starts_with(b"GHCND:") || fields::is_station_id(row.get(station));
    let Some(listed) = most(&listed) else { return Confidence::Possible };
    let daily = span == Some(Span::Day) || most(&dated) == Some(true);
    let named = heading.find_any(&["NAME", "STATION_NAME", "PRCP_ATTRIBUTES"]).is_some();
    match (daily, named || listed) {
        (true, true) => Confidence::Certain,
        (true, false) => Confidence::Possible,
        _ => Confidence::No,
    }
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let columns = Columns::of(&heading).filter(|columns| columns.rain.is_some() || columns.total.is_some());
    let Some(columns) = columns else {
        return Err(Error::WrongProduct {
            file: input.name.to_owned(),
            found: "a Climate Data Online export without the column PRCP".to_owned(),
            expected: "daily precipitation (PRCP) beside STATION and DATE".to_owned(),
        });
    };
    let (evidence, order) = look_through(input, &heading, &columns, wanted)?;
    let (units, why) = units::decide(input.name, &evidence, wanted)?;

    let mut stations = Stations::new(input, NAME);
    let mut findings = input.findings();
    while let Some(row) = rows.next_row() {
        if !heading.fits(&row, &mut findings) {
            continue;
        }
        match ncei::day_of(row.get(columns.date), order) {
            Ok(day) => {
                let key = ncei::station_id(row.get(columns.station));
                let days = stations.at(key, |input| ncei::new_station(input, &columns, &row));
                ncei::read_row(&row, day, &columns, units, wanted, days);
            }
            Err(fault) => findings.date(row.line, row.columns(columns.date), row.get(columns.date), fault, "a date such as 2024-01-31"),
        }
    }
    for days in stations.each() {
        days.findings.whole("unit-recognised", Severity::Note, || (why.clone(), "The depths are read in that unit."));
        days.day_definition = days.observation_times.definition(&mut days.findings);
    }
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: findings.finish() })
}

/// What the whole file says of its unit and of the order of its dates.
fn look_through(
    input: Input<'_>,
    heading: &Heading,
    columns: &Columns,
    wanted: Wanted,
) -> Result<(units::Evidence, Option<DateOrder>), Error> {
    let mut evidence = units::Evidence::new(heading, columns);
    let mut dates = OrderEvidence::default();
    let mut read = 0;
    let mut rows = Rows::new(input.bytes, b',');
    rows.next_row();
    while let Some(row) = rows.next_row() {
        // A line that breaks off may do so within a -9999, which would count as a temperature of some other unit.
        if !heading.width().holds(&row) {
            continue;
        }
        evidence.add(&row);
        let date = row.get(columns.date);
        if ncei_products::span(date) == Span::Day { read += 1 } else { dates.add(date) }
    }
    read += dates.plain;
    let order = dates.shown().or(wanted.date_order);
    let open = dates.day_first + dates.month_first + dates.either;
    // A few dates that stay open among others that do not are left out, line by line.
    if order.is_none() && open > 0 && open >= read {
        return Err(Error::OpenQuestion {
            file: input.name.to_owned(),
            found: format!("found dates that mean one day as day/month/year and another as month/day/year ({open} of them)"),
            question: format!("which order is it? Write the dates as 2024-01-31, or {}", crate::error::ORDER_BESIDE),
            further: Vec::new(),
        });
    }
    if dates.short > read + open {
        return Err(Error::OpenQuestion {
            file: input.name.to_owned(),
            found: format!(
                "found dates whose year has two digits, so the century is open ({} of them; a spreadsheet saves them so)",
                dates.short
            ),
            question: "which years are they? Write the dates as 2024-01-31".to_owned(),
            further: Vec::new(),
        });
    }
    Ok((evidence, order))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DepthUnit, StationRecord, formats, read_bytes};
    use series::{Day, DayLabel, Kind};

    fn records(text: &str, wanted: Wanted) -> Result<Vec<StationRecord>, Error> {
        let mut records = Vec::new();
        assert_eq!(formats::choose(text.as_bytes()).map(|format| format.name), Some(NAME));
        read_bytes("1234567.csv", text.as_bytes(), wanted, &mut records)?;
        Ok(records)
    }

    const ATTRIBUTES: &str = "\"STATION\",\"NAME\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"DATE\",\"DAPR\",\"DAPR_ATTRIBUTES\",\"MDPR\",\"MDPR_ATTRIBUTES\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"TMAX\",\"TMAX_ATTRIBUTES\"\n";

    #[test]
    fn years_of_two_digits_are_asked_for() {
        let text = "STATION,NAME,DATE,PRCP,RAIN\nXX000000001,\"NOWHERE, XX\",1/1/19,0,NO\nXX000000001,\"NOWHERE, XX\",1/13/19,1.28,YES\n";
        let error = records(text, Wanted::default()).unwrap_err();
        assert!(error.id() == "file-leaves-a-question" && error.to_string().contains("century"), "{error}");
    }

    #[test]
    fn one_odd_field_costs_itself() {
        let rows: Vec<String> = (1..=25).map(|day| format!("XX000000001,INVENTED,2001-01-{day:02},{day}.5,20.5\n")).collect();
        // By hand: 1.5 + 2.5 + ... + 25.5 = 25 x 13.5.
        let whole = 337_500;
        for (odd, total, id) in [
            ("XX000000001,INVENTED,2001-02-01T07:00,1.5,20.5\n", whole, Some("date-unreadable")),
            ("XX000000001,INVENTED,1/2/2001,1.5,20.5\n", whole, Some("date-unreadable")),
            ("XX000000001,INVENTED,1/2/01,1.5,20.5\n", whole, Some("date-unreadable")),
            ("XX000000001,INVENTED,2001-02-01,1.25,20.5\n", whole + 1250, None),
            ("XX000000001,INVENTED,2001-02-01,9000.5,20.5\n", whole, None),
            ("?,INVENTED,2001-02-01,1.5,20.5\n", whole + 1500, None),
        ] {
            for at in [0, 12, 25] {
                let mut text = rows.clone();
                text.insert(at, odd.to_owned());
                let text = format!("STATION,NAME,DATE,PRCP,TMAX\n{}", text.concat());
                let mut all: Vec<StationRecord> = Vec::new();
                let summary = read_bytes("x.csv", text.as_bytes(), Wanted::default(), &mut all).unwrap();
                assert_eq!(all.iter().map(|record| record.rain.total_micrometres()).sum::<i64>(), total, "{odd} at {at}");
                assert_eq!(id.map_or(1, |id| summary.diagnostics.count(id)), 1, "{odd} at {at}");
            }
        }
    }

    #[test]
    fn inches_with_flags_and_one_hour() {
        let rows = [
            ("2001-01-01", ",,,,\"0.22\",\",,0,0700\",\"66\",\",,0\""),
            ("2001-01-02", ",,,,\"0.00\",\"T,,0,0700\",\"70\",\",,0\""),
            ("2001-01-03", ",,,,\"0.00\",\"P,,0,0700\",,"),
            ("2001-01-05", "\"2\",\",,0\",\"0.42\",\",,0\",,,,"),
            ("2001-01-06", ",,,,\"9.11\",\",G,0,0700\",,"),
            ("2001-01-07", ",,,,\"0.35\",\"A,,0,0700\",,"),
            ("2001-01-08", ",,,,\"0.01\",\",,0,0700\",,"),
        ];
        let station = "\"XX000000001\",\"INVENTED PLACE, XX\",\"44.5\",\"-36.0\",\"182.0\"";
        let text = rows.iter().fold(ATTRIBUTES.to_owned(), |text, (date, rest)| format!("{text}{station},\"{date}\",{rest}\n"));
        let record = records(&text, Wanted { temperatures: true, ..Wanted::default() }).unwrap().pop().unwrap();
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.accumulated, counts.rejected), (8, 3, 1, 3, 1));
        let day = |text: &str| text.parse::<Day>().unwrap();
        assert_eq!(record.rain.reading(day("2001-01-01")).depth(), Some(22 * 254));
        assert_eq!(record.rain.reading(day("2001-01-07")).kind(), Kind::Accumulated { days: None });
        assert_eq!((record.rain.day_definition.start_hour, record.rain.day_definition.label), (Some(7), DayLabel::LastDay));
        // 66 F = 18.9 C (NIST SP 811, appendix B.9: (66 - 32) / 1.8).
        assert_eq!(record.temperature.greatest(day("2001-01-01")), Some(18.9));
        assert!(record.diagnostics.list.iter().any(|finding| finding.id == "unit-recognised" && finding.message.contains("inches")));
        assert_eq!(record.rain.station.name, "INVENTED PLACE, XX");
    }

    #[test]
    fn an_older_export_in_tenths_with_flags_in_columns_of_their_own() {
        let mut text =
            "STATION,STATION_NAME,ELEVATION,LATITUDE,LONGITUDE,DATE,PRCP,Measurement Flag,Quality Flag,Source Flag,Time of Observation,TMAX,Measurement Flag,Quality Flag,Source Flag,Time of Observation\n"
                .to_owned();
        for (date, prcp, flags, tmax) in [
            (20_010_101, 38, " , ,0,0700", 225),
            (20_010_102, 0, "T, ,0,0700", 244),
            (20_010_103, -9999, " , , ,9999", -9999),
            (20_010_104, 127, " , ,0,0800", 211),
        ] {
            let row = format!("GHCND:XX000000001,INVENTED PLACE XX,182.0,44.5,-36.0,{date},{prcp},{flags},{tmax}, , ,0,9999\n");
            text.push_str(&row);
        }
        text += "GHCND:XX000000002,INVENTED OTHER XX,unknown,-999.9,-999.9,20010101,3, , ,0,9999,-9999, , , ,9999\n";
        let records = records(&text, Wanted { temperatures: true, ..Wanted::default() }).unwrap();
        let counts = records[0].rain.counts();
        assert_eq!((records.len(), counts.measured, counts.trace, counts.missing), (2, 2, 1, 1));
        assert_eq!((records[0].rain.station.id.as_str(), records[0].rain.total_micrometres()), ("XX000000001", 16_500));
        assert_eq!(records[0].temperature.greatest("2001-01-01".parse().unwrap()), Some(22.5));
        assert_eq!((records[0].diagnostics.count("observation-hour-varies"), records[0].rain.day_definition.start_hour), (1, None));
        assert_eq!((records[1].rain.station.position(), records[1].rain.station.elevation), (None, None));
    }

    #[test]
    fn a_unit_that_the_numbers_leave_open_is_asked_for() {
        let text = "STATION,NAME,DATE,PRCP\nXX000000001,INVENTED,2001-01-01,0.1\nXX000000001,INVENTED,2001-01-02,0.2\n";
        let error = records(text, Wanted::default()).unwrap_err();
        assert_eq!(error.id(), "file-leaves-a-question");
        assert!(error.to_string().contains("inches"), "{error}");
        for (unit, total) in [(DepthUnit::Inch, 7620), (DepthUnit::Millimetre, 300)] {
            let records = records(text, Wanted { depth_unit: Some(unit), ..Wanted::default() }).unwrap();
            assert_eq!(records[0].rain.total_micrometres(), total);
        }
    }

    #[test]
    fn dates_of_a_spreadsheet_are_read_where_their_order_shows() {
        let text = "STATION,NAME,DATE,PRCP\nXX000000001,INVENTED,1/12/2001,0.11\nXX000000001,INVENTED,1/13/2001,0.25\n";
        let records_of = |text: &str| records(text, Wanted::default());
        assert_eq!(records_of(text).unwrap()[0].rain.period().unwrap().first.to_string(), "2001-01-12");
        assert_eq!(records_of(&text.replace("1/13", "1/11")).unwrap_err().id(), "file-leaves-a-question");
    }
}
