//! Meteo-France, daily data of a department: many stations a file.
//!
//! Layout (the agency's description of the fields, `Q_descriptif_champs_RR-T-Vent`, as quoted in public code): semicolons, heading
//! `NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJ;RR;QRR;TN;QTN;…`, decimal point. RR: precipitation of the 24 hours from 06 UTC of the day
//! to 06 UTC of the next, in millimetres, dated by the first day; TN and TX: least and greatest temperature in degrees Celsius. Each
//! value has a quality code behind it: 9 has gone through the first filters, 0 protected (validated for good by the climatologist),
//! 1 validated, 2 doubtful, being checked: rejected here. Blank: missing.
//!
//! 06 UTC is 7 h Central European Time in mainland France and Corsica (stations numbered 01 to 95; Monaco, 99, keeps the same time). The
//! overseas departments and territories (97, 98: INSEE's official geographic code, from memory) keep six other times, and in some of them
//! 06 UTC lies in another local day: of their stations the definition is unknown, and told.
//!
//! The other layout of the same data is a station ordered by hand: `POSTE;DATE;RR;…` with a decimal comma and no quality codes. The hourly
//! (`AAAAMMJJHH`), ten-day (`NUM_DECADE`) and monthly (`AAAAMM`) files look nearly the same and are refused.

use super::{Confidence, Format, Input, plain_value};
use crate::date::{self, DateFault};
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows, first_heading};
use crate::encoding;
use crate::file_dates::FileDates;
use crate::finding::Findings;
use crate::station_days::{Place, StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, content, majority};
use series::{Day, DayDefinition, DayLabel, Kind, Reading, Rejection, Severity, Station};

const NAME: &str = "Meteo-France daily file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read).in_parts();

#[derive(Debug, Clone, Copy)]
struct Columns {
    station: usize,
    date: usize,
    rain: Option<usize>,
    quality: Option<usize>,
    least: Option<(usize, Option<usize>)>,
    greatest: Option<(usize, Option<usize>)>,
    name: Option<usize>,
    latitude: Option<usize>,
    longitude: Option<usize>,
    height: Option<usize>,
}

impl Columns {
    fn of(heading: &Heading) -> Option<Self> {
        let with_quality = |name: &str, quality: &str| heading.find(name).map(|place| (place, heading.find(quality)));
        let by_department = heading.find("NUM_POSTE").zip(heading.find("AAAAMMJJ"));
        // An order names its columns alike for hours and months; the day is known by the elements of a day.
        let ordered = heading.find("POSTE").zip(heading.find("DATE")).filter(|_| {
            ["TN", "TX", "TM", "DRR", "TAMPLI", "ETPMON", "RR"].iter().filter(|name| heading.find(name).is_some()).count() >= 2
        });
        let (station, date) = by_department.or(ordered)?;
        Some(Self {
            station,
            date,
            rain: heading.find("RR"),
            quality: heading.find("QRR"),
            least: with_quality("TN", "QTN"),
            greatest: with_quality("TX", "QTX"),
            name: heading.find_any(&["NOM_USUEL", "NOM"]),
            latitude: heading.find("LAT"),
            longitude: heading.find("LON"),
            height: heading.find("ALTI"),
        })
    }
}

fn sniff(bytes: &[u8]) -> Confidence {
    let heading = first_heading(content::first_lines(bytes, 3), b';');
    if Columns::of(&heading).is_some() && !dates_are_shorter_or_longer(bytes, &heading) { Confidence::Certain } else { Confidence::No }
}

/// Whether most dates of an order are of an hour (`2024010106`) or of a month (`202401`).
fn dates_are_shorter_or_longer(bytes: &[u8], heading: &Heading) -> bool {
    let Some(date) = heading.find("DATE").filter(|_| heading.find("AAAAMMJJ").is_none()) else { return false };
    let mut rows = Rows::new(content::first_lines(bytes, majority::ROWS + 1), b';');
    rows.next_row();
    let digits = majority::commonest(&mut rows, |row| Some(majority::digits(row.get(date))));
    matches!(digits, Some(6 | 10 | 12))
}

/// Other steps of time in the same layout.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    let heading = first_heading(content::first_lines(head, 5), b';');
    let has = |name: &str| heading.find(name).is_some();
    if has("NUM_POSTE") && has("AAAAMMJJHH") {
        Some("hourly data of Meteo-France")
    } else if has("NUM_POSTE") && has("AAAAMMJJHHMN") {
        Some("six-minute data of Meteo-France")
    } else if has("NUM_POSTE") && has("NUM_DECADE") {
        Some("ten-day data of Meteo-France")
    } else if has("NUM_POSTE") && has("AAAAMM") {
        Some("monthly data of Meteo-France")
    } else if has("NUM_POSTE") && has("AAAAMMJJ") && !has("RR") {
        Some("daily data of Meteo-France on other elements than rain (the files RR-T-Vent hold the rain)")
    } else if has("POSTE") && has("DATE") && (has("RR1") || has("RR6") || dates_are_shorter_or_longer(head, &heading)) {
        Some("an order of Meteo-France that is not daily")
    } else {
        None
    }
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b';');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let Some((columns, rain)) = Columns::of(&heading).and_then(|columns| Some((columns, columns.rain?))) else {
        return Err(content::unknown(input.name, input.bytes, "a Meteo-France daily file with the column RR"));
    };
    let mut stations = Stations::new(input, NAME);
    let mut spoilt = input.findings();
    let mut dates = FileDates::new(input, b';', columns.date, date_of, wanted);
    while let Some(row) = rows.next_row() {
        let id = row.get(columns.station);
        if id.eq_ignore_ascii_case(b"num_poste") || id.eq_ignore_ascii_case(b"poste") {
            continue;
        }
        if !heading.fits(&row, &mut spoilt) {
            continue;
        }
        if !id.iter().all(u8::is_ascii_digit) || id.is_empty() {
            spoilt.unreadable_line(row.line, "station, date, precipitation");
            continue;
        }
        let days = stations.at(id, |input| station(input, &row, &columns));
        line(&row, &columns, rain, wanted, &mut dates, days);
    }
    dates.tell("yyyymmdd", &mut spoilt);
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: spoilt.finish() })
}

fn station<'a>(input: Input<'a>, row: &Row<'_, '_>, columns: &Columns) -> StationDays<'a> {
    let number = |place: Option<usize>| place.and_then(|place| plain_value::coordinate(row.get(place)));
    let station = Station {
        id: encoding::name(row.get(columns.station), encoding::WINDOWS_1252),
        name: columns.name.map_or_else(String::new, |name| encoding::name(row.get(name), encoding::WINDOWS_1252)),
        latitude: number(columns.latitude),
        longitude: number(columns.longitude),
        elevation: number(columns.height),
    };
    let overseas = is_overseas(&station.id);
    let day = if overseas { DayDefinition::default() } else { DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay } };
    let mut days = StationDays::new(input, station, day);
    if overseas {
        days.findings.whole("observation-hour-unknown", Severity::Note, || {
            (
                "the station lies overseas, where a day from 06 to 06 UTC begins at another local hour than in mainland France".to_owned(),
                "The local hours of a day are not known.",
            )
        });
    }
    days
}

/// Whether a station's number is of the overseas departments and territories; one of seven digits has lost the 0 of a department before 10.
fn is_overseas(number: &str) -> bool {
    number.len() == 8 && (number.starts_with("97") || number.starts_with("98"))
}

/// `20240131` or `2024-01-31`.
fn date_of(field: &[u8]) -> Result<Day, DateFault> {
    date::compact(field).or_else(|fault| date::iso(field).map_err(|_| fault))
}

fn line(row: &Row<'_, '_>, columns: &Columns, rain: usize, wanted: Wanted, dates: &mut FileDates<'_>, days: &mut StationDays<'_>) {
    let field = row.get(columns.date);
    let day = match dates.day(field) {
        Ok(day) => day,
        Err(fault) => return days.findings.date(row.line, row.columns(columns.date), field, fault, "yyyymmdd"),
    };
    let mut reading = plain_value::rain(row, rain, DepthUnit::Millimetre, day, &mut days.findings);
    if let Some(quality) = columns.quality.filter(|_| reading.kind() == Kind::Measured) {
        reading = checked(row, quality, day, reading, &mut days.findings);
    }
    days.day(day, reading, Place::new(row.line, row.columns(rain)));
    if wanted.temperatures {
        if let Some(tenths) = temperature(row, columns.greatest, day, &mut days.findings) {
            days.greatest(day, tenths);
        }
        if let Some(tenths) = temperature(row, columns.least, day, &mut days.findings) {
            days.least(day, tenths);
        }
    }
}

/// The reading as its quality code leaves it.
fn checked(row: &Row<'_, '_>, quality: usize, day: Day, reading: Reading, findings: &mut Findings<'_>) -> Reading {
    match row.get(quality) {
        b"0" | b"1" | b"9" | b"" => reading,
        b"2" => {
            let depth = reading.stated_micrometres() as i32;
            findings.flagged(row.line, row.columns(quality), depth, day, b'2', "doubtful, being checked");
            Reading::rejected(depth, Rejection::QualityFlag(b'2'))
        }
        other => {
            findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(quality), || {
                let other = crate::finding::shown(other);
                (format!("found the quality code {other:?} on {day}, expected 0, 1, 2 or 9"), "The value is read.")
            });
            reading
        }
    }
}

fn temperature(row: &Row<'_, '_>, place: Option<(usize, Option<usize>)>, day: Day, findings: &mut Findings<'_>) -> Option<i16> {
    let (place, quality) = place?;
    let tenths = plain_value::celsius(row, place, day, findings)?;
    if quality.is_some_and(|quality| row.get(quality) == b"2") {
        findings.at("temperature-flagged", Severity::Note, row.line, row.columns(place), || {
            (format!("found a temperature on {day} with the quality code 2 (doubtful)"), "The temperature is left out.")
        });
        return None;
    }
    Some(tenths)
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
    fn a_department_holds_many_stations() {
        let text = "NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJ;RR;QRR;TN;QTN;TX;QTX\r\n99000001;HAUT VALLON;43.5;3.1;190;20240101;0.2;9;2.5;9;12.5;1\r\n99000001;HAUT VALLON;43.5;3.1;190;20240102;88.0;2;2.5;2;12.5;1\r\n99000002;BAS VALLON;43.6;3.2;20;20240101;;;;;;\r\n99000002;BAS VALLON;43.6;3.2;20;20240102;1.0;0;;;;\r\n99000001;HAUT VALLON;43.5;3.1;190;20240103;0.0;7;;;95.0;1\r\nx;y\r\n";
        let records = records(text);
        assert_eq!(records.len(), 2);
        let counts = records[0].rain.counts();
        assert_eq!((counts.measured, counts.rejected, records[1].rain.counts().measured), (2, 1, 1));
        let day = Day::new(2024, 1, 2).unwrap();
        assert_eq!(records[0].rain.reading(day).kind(), Kind::Rejected(Rejection::QualityFlag(b'2')));
        assert_eq!((records[0].temperature.least(day), records[0].temperature.greatest(day)), (None, Some(12.5)));
        assert_eq!((records[0].rain.station.name.as_str(), records[0].rain.station.elevation), ("HAUT VALLON", Some(190.0)));
        let count = |id| records[0].diagnostics.count(id);
        assert_eq!((count("reading-flagged"), count("quality-flag-unknown"), count("temperature-implausible")), (1, 1, 1));
    }

    #[test]
    fn an_order_has_a_decimal_comma() {
        let text = "POSTE;DATE;RR;DRR;TN;HTN;TX\n99000003;20240615;10,4;162;-8,8;415;15,2\n99000003;20240616;0,0;43;;145;\n";
        let record = records(text).pop().unwrap();
        assert_eq!((record.rain.total_micrometres(), record.rain.counts().measured), (10_400, 2));
        assert_eq!(record.temperature.least(Day::new(2024, 6, 15).unwrap()), Some(-8.8));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay });
    }

    #[test]
    fn six_utc_is_seven_in_the_mainland_and_unknown_overseas() {
        let text = "NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJ;RR;QRR\n34999001;VALLON;43.5;3.1;190;20240101;0.2;1\n97499001;ILE;-21;55.5;90;20240101;0.2;1\n98899001;ILE;-22;166;9;20240101;0.2;1\n9899001;COL;43;1.5;900;20240101;0.2;1\n";
        let records = records(text);
        let hours: Vec<_> = records.iter().map(|record| record.rain.day_definition.start_hour).collect();
        assert_eq!(hours, [Some(7), None, None, Some(7)]);
        let told: Vec<_> = records.iter().map(|record| record.diagnostics.count("observation-hour-unknown")).collect();
        assert_eq!((told, records[1].rain.day_definition.label), (vec![0, 1, 1, 0], DayLabel::Unknown));
    }

    #[test]
    fn one_odd_date_costs_its_line() {
        let rows = ["99000003;20240615;10,4;162;-8,8;415;15,2\n", "99000003;20240616;0,0;43;;145;\n"];
        for odd in ["2024061706", "202406"] {
            for at in 0..=2 {
                let mut rows = rows.map(str::to_owned).to_vec();
                rows.insert(at, format!("99000003;{odd};5,0;43;;145;\n"));
                let record = records(&format!("POSTE;DATE;RR;DRR;TN;HTN;TX\n{}", rows.concat())).pop().unwrap();
                assert_eq!((record.rain.total_micrometres(), record.diagnostics.count("date-unreadable")), (10_400, 1), "{odd} at {at}");
            }
        }
    }

    #[test]
    fn the_day_is_that_of_the_neighbour_across_the_border() {
        // 06 UTC to 06 UTC of the next day, dated by the first, in both agencies' descriptions; both countries keep Central European Time.
        let french = records("NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJ;RR;QRR\n01999001;PAYS;46.2;6.0;450;20240101;0.2;1\n");
        let swiss = records("station_abbr;reference_timestamp;rre150d0\nGVE;01.01.2024 00:00;0.7\n");
        assert_eq!(french[0].rain.day_definition, swiss[0].rain.day_definition);
        assert_eq!(french[0].rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay });
    }

    #[test]
    fn other_steps_of_time_are_refused_by_what_they_are() {
        for (text, what) in [
            ("NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJHH;RR1;QRR1\n", "hourly"),
            ("NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMM;RR;QRR;NBRR\n", "monthly"),
            ("NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMM;NUM_DECADE;RR;CRR\n", "ten-day"),
            ("NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJ;DHUMEC;QDHUMEC\n", "other elements"),
            ("POSTE;DATE;RR;TN;TX\n99000003;202406;10,4;1;2\n", "not daily"),
        ] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }
}
