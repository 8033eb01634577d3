//! Environment and Climate Change Canada, daily data of the climate archive as CSV, in English and in French.
//!
//! Layout (the files' own headings; the older one with its legend as kept in public repositories): quoted fields, one line a day.
//! Current heading: longitude, latitude, station name, climate id, date, year, month, day, data quality, then each element with its flag.
//! Older heading: no station columns, but some 25 lines before it with the station's name, position, height, id and a legend. The French
//! page gives the same product under French names, numbers with a decimal comma. Rain and snow together are `Total Precip (mm)`
//! (`Précip. tot. (mm)`); blank is missing; flags: [`canada_flags`](super::canada_flags). Data quality `†` (only preliminary checks) and
//! `‡` (a partner's data, not reviewed) are told once a station. The climatological day of a station depends on who runs it and is not in
//! the file, so the day definition is unknown.

use super::canada_flags::{Accumulations, Flagged};
use super::{Confidence, Format, Input, plain_value};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows};
use crate::encoding;
use crate::station_days::{StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{Day, DayDefinition, Severity, Station};
use std::collections::BTreeMap;

const NAME: &str = "Environment and Climate Change Canada daily CSV";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read).in_parts();

/// Lines in which the heading is looked for; the older files have 25 before it.
const LINES_LOOKED_AT: usize = 60;

fn holds(text: &[u8], word: &str) -> bool {
    memchr::memmem::find(text, word.as_bytes()).is_some()
}

/// The columns of a daily heading.
#[derive(Debug, Clone, Default)]
struct Columns {
    date: Option<usize>,
    parts: Option<[usize; 3]>,
    rain: Option<usize>,
    rain_flag: Option<usize>,
    greatest: Option<usize>,
    least: Option<usize>,
    quality: Option<usize>,
    id: Option<usize>,
    name: Option<usize>,
    latitude: Option<usize>,
    longitude: Option<usize>,
    heading: Heading,
}

impl Columns {
    /// The columns, if this is a daily heading. Accented letters are passed over, so that any encoding will do.
    fn of(row: &Row<'_, '_>) -> Option<Self> {
        let heading = Heading::of(row);
        let begins = |start: &str| heading.find_by(|name| name.starts_with(start.as_bytes()));
        let date = begins("date/time").or_else(|| begins("date/heure"));
        let day = heading.find_any(&["day", "jour"]);
        let month = heading.find_any(&["month", "mois"]);
        let year = heading.find("year").or_else(|| heading.find_by(|name| name.starts_with(b"ann") && name.ends_with(b"e")));
        let greatest = begins("max temp (").or_else(|| begins("temp max.(")).or_else(|| begins("temp max. ("));
        let least = begins("min temp (").or_else(|| begins("temp min.(")).or_else(|| begins("temp min. ("));
        let rain = heading.find_by(|name| {
            name.ends_with(b"(mm)") && (name.starts_with(b"total precip") || name.starts_with(b"pr") && holds(name, "cip. tot"))
        });
        day.or(date.filter(|_| month.is_none()))?;
        if date.is_none() && year.is_none() || greatest.is_none() && rain.is_none() || begins("time").is_some() {
            return None;
        }
        let flag_behind = |place: usize| {
            let name = heading.name(place + 1);
            (name.ends_with(b"flag") || name.ends_with(b"indicateur")).then_some(place + 1)
        };
        Some(Self {
            date,
            parts: year.zip(month).zip(day).map(|((year, month), day)| [year, month, day]),
            rain,
            rain_flag: rain.and_then(flag_behind),
            greatest,
            least,
            quality: begins("data quality").or_else(|| heading.find_by(|name| name.starts_with(b"qualit"))),
            id: heading.find_by(|name| name.starts_with(b"climate id") || name.starts_with(b"id climato")),
            name: heading.find_any(&["station name", "nom de la station"]),
            latitude: begins("latitude"),
            longitude: begins("longitude"),
            heading,
        })
    }

    fn day(&self, row: &Row<'_, '_>) -> Result<Day, date::DateFault> {
        match (self.parts, self.date) {
            (Some([year, month, day]), _) => date::of_fields(row.get(year), row.get(month), row.get(day)),
            (None, Some(place)) => date::iso(row.get(place)),
            (None, None) => Err(date::DateFault::Unreadable),
        }
    }
}

/// A daily heading with its own names is distinctive, wherever it stands among the first lines.
fn sniff(bytes: &[u8]) -> Confidence {
    let head = content::first_lines(bytes, LINES_LOOKED_AT);
    let mut rows = Rows::new(head, b',');
    while let Some(row) = rows.next_row() {
        if row.len() >= 8 && Columns::of(&row).is_some() {
            return Confidence::Certain;
        }
    }
    Confidence::No
}

/// The monthly and the hourly product of the same pages.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    let head = content::first_lines(head, LINES_LOOKED_AT).to_ascii_lowercase();
    let dated = holds(&head, "date/time") || holds(&head, "date/heure");
    if dated && (holds(&head, "mean max temp (") || holds(&head, "moy. max. (") || holds(&head, "temp max. moy.")) {
        Some("monthly data of Environment and Climate Change Canada, one line a month")
    } else if dated && (holds(&head, "dew point temp (") || holds(&head, "point de ros")) {
        Some("hourly data of Environment and Climate Change Canada, one line an hour")
    } else {
        None
    }
}

/// What the lines before the older heading say of the station.
#[derive(Debug, Default)]
struct Preamble {
    station: Station,
}

impl Preamble {
    fn line(&mut self, row: &Row<'_, '_>) {
        let value = row.get(1);
        let key = row.get(0).to_ascii_lowercase();
        let begins = |word: &str| key.starts_with(word.as_bytes());
        if row.len() < 2 || value.is_empty() {
        } else if begins("station name") || begins("nom de la station") {
            self.station.name = encoding::name(value, encoding::WINDOWS_1252);
        } else if begins("latitude") {
            self.station.latitude = plain_value::coordinate(value);
        } else if begins("longitude") {
            self.station.longitude = plain_value::coordinate(value);
        } else if begins("elevation") || begins("altitude") || key.ends_with(b"vation") {
            self.station.elevation = plain_value::coordinate(value);
        } else if begins("climate id") || key.ends_with(b"climatologique") {
            self.station.id = encoding::name(value, encoding::WINDOWS_1252);
        }
    }
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let mut preamble = Preamble::default();
    let mut heading: Option<Columns> = None;
    let mut stations = Stations::new(input, NAME);
    let mut gathered: BTreeMap<Vec<u8>, (Accumulations, [usize; 2])> = BTreeMap::new();
    let mut spoilt = input.findings();
    while let Some(row) = rows.next_row() {
        if heading.is_some() && begins_preamble(&row) {
            // An older file of perhaps another station behind the first.
            (heading, preamble) = (None, Preamble::default());
        }
        let Some(columns) = &heading else {
            match Columns::of(&row).filter(|columns| columns.heading.len() >= 8) {
                Some(columns) if columns.rain.is_none() => {
                    return Err(Error::WrongProduct {
                        file: input.name.to_owned(),
                        found: "daily data of Environment and Climate Change Canada without a column of total precipitation".to_owned(),
                        expected: "a column Total Precip (mm)".to_owned(),
                    });
                }
                Some(columns) => heading = Some(columns),
                None => preamble.line(&row),
            }
            continue;
        };
        let Some(rain) = columns.rain else { continue };
        let key = columns.id.map_or_else(|| preamble.station.id.as_bytes(), |id| row.get(id)).to_vec();
        // A heading again: files joined end to end.
        if row.get(rain).ends_with(b"(mm)") || !columns.heading.fits(&row, &mut spoilt) {
            continue;
        }
        // A line without a day, such as a total below the table, makes no station.
        let day = match columns.day(&row) {
            Ok(day) => day,
            Err(fault) => {
                let place = columns.date.or(columns.parts.map(|parts| parts[0])).unwrap_or(0);
                let findings = if gathered.contains_key(&key) {
                    &mut station(&mut stations, &key, &row, columns, &preamble).findings
                } else {
                    &mut spoilt
                };
                findings.date(row.line, row.columns(place), row.get(place), fault, "year-month-day");
                continue;
            }
        };
        station(&mut stations, &key, &row, columns, &preamble);
        if !stations.keeps(&key) {
            continue;
        }
        let days = station(&mut stations, &key, &row, columns, &preamble);
        let (accumulations, unreviewed) = gathered.entry(key).or_default();
        line(&row, day, columns, rain, wanted, days, accumulations);
        let quality = columns.quality.map_or(&b""[..], |quality| row.get(quality));
        unreviewed[0] += usize::from(quality == "†".as_bytes() || quality == b"\x86");
        unreviewed[1] += usize::from(quality == "‡".as_bytes() || quality == b"\x87");
    }
    for (key, (accumulations, unreviewed)) in gathered {
        let days = stations.at(&key, |input| StationDays::new(input, Station::default(), DayDefinition::default()));
        accumulations.finish(days);
        tell_unreviewed(unreviewed, days);
    }
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: spoilt.finish() })
}

/// The first line of an older file.
fn begins_preamble(row: &Row<'_, '_>) -> bool {
    let key = row.get(0).to_ascii_lowercase();
    (key == b"station name" || key == b"nom de la station") && row.fields().skip(2).all(<[u8]>::is_empty)
}

fn station<'a, 's>(
    stations: &'s mut Stations<'a>,
    key: &[u8],
    row: &Row<'_, '_>,
    columns: &Columns,
    preamble: &Preamble,
) -> &'s mut StationDays<'a> {
    stations.at(key, |input| {
        let mut station = preamble.station.clone();
        station.id = encoding::name(key, encoding::WINDOWS_1252);
        if let Some(name) = columns.name {
            station.name = encoding::name(row.get(name), encoding::WINDOWS_1252);
        }
        let number = |place: Option<usize>| place.and_then(|place| plain_value::coordinate(row.get(place)));
        station.latitude = number(columns.latitude).or(station.latitude);
        station.longitude = number(columns.longitude).or(station.longitude);
        StationDays::new(input, station, DayDefinition::default())
    })
}

fn line(
    row: &Row<'_, '_>,
    day: Day,
    columns: &Columns,
    rain: usize,
    wanted: Wanted,
    days: &mut StationDays<'_>,
    accumulations: &mut Accumulations,
) {
    let reading = plain_value::rain(row, rain, DepthUnit::Millimetre, day, &mut days.findings);
    let flag = columns.rain_flag.map_or(&b""[..], |flag| row.get(flag));
    let flagged = Flagged {
        line: row.line,
        day,
        reading,
        value: row.columns(rain),
        flag: flag.first().map_or(b' ', |first| if first.is_ascii() { *first } else { b'?' }),
        flag_columns: row.columns(columns.rain_flag.unwrap_or(rain)),
    };
    accumulations.day(&flagged, days);
    if wanted.temperatures {
        if let Some(tenths) = columns.greatest.and_then(|place| plain_value::celsius(row, place, day, &mut days.findings)) {
            days.greatest(day, tenths);
        }
        if let Some(tenths) = columns.least.and_then(|place| plain_value::celsius(row, place, day, &mut days.findings)) {
            days.least(day, tenths);
        }
    }
}

fn tell_unreviewed([preliminary, partner]: [usize; 2], days: &mut StationDays<'_>) {
    for (count, what) in [(preliminary, "† (only preliminary quality checks)"), (partner, "‡ (a partner's data, not reviewed)")] {
        if count > 0 {
            days.findings.whole("days-not-reviewed", Severity::Note, || {
                (format!("found the data quality mark {what} on {count} days, expected reviewed data"), "The values are read.")
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use series::Kind;

    const HEAD: &str = "\u{feff}\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time\",\"Year\",\"Month\",\"Day\",\"Data Quality\",\"Max Temp (°C)\",\"Max Temp Flag\",\"Min Temp (°C)\",\"Min Temp Flag\",\"Total Precip (mm)\",\"Total Precip Flag\"\r\n";

    fn records(text: &str) -> Vec<StationRecord> {
        let mut records = Vec::new();
        read_bytes("x.csv", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records
    }

    fn line(day: u32, quality: &str, value: &str, flag: &str) -> String {
        format!(
            "\"-63.5\",\"44.9\",\"VALLEY, UPPER\",\"0000001\",\"2001-01-{day:02}\",\"2001\",\"01\",\"{day:02}\",\"{quality}\",\"1.5\",\"\",\"-2.0\",\"E\",\"{value}\",\"{flag}\"\r\n"
        )
    }

    #[test]
    fn each_flag_is_kept_apart() {
        let mut text = HEAD.to_owned();
        let days = [
            ("5.0", ""),
            ("0.0", "T"),
            ("", "M"),
            ("1.2", "E"),
            ("0.0", "C"),
            ("", "L"),
            ("9.0", "A"),
            ("4.0", "A"),
            ("0.0", "C"),
            ("0.0", "C"),
            ("12.0", "F"),
            ("0.0", "L"),
            ("x", ""),
            ("-1", ""),
            ("2.0", "Q"),
            ("", ""),
            ("0.0", ""),
        ];
        for (i, (value, flag)) in days.iter().enumerate() {
            text += &line(i as u32 + 1, if i == 0 { "†" } else { "" }, value, flag);
        }
        let record = records(&text).pop().unwrap();
        let kind = |day: u32| record.rain.reading(Day::new(2001, 1, day).unwrap()).kind();
        assert_eq!(
            [5, 6, 7, 8].map(kind),
            [Kind::WithinTotal, Kind::WithinTotal, Kind::Accumulated { days: Some(3) }, Kind::Accumulated { days: None }]
        );
        assert_eq!([9, 10, 11].map(kind), [Kind::Trace, Kind::Trace, Kind::Measured]);
        let counts = record.rain.counts();
        assert_eq!(
            (counts.calendar, counts.measured, counts.trace, counts.rejected, counts.missing, counts.estimated),
            (17, 5, 3, 3, 2, 2)
        );
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("reading-flagged"), count("value-unreadable"), count("value-impossible")), (1, 1, 1));
        assert_eq!((count("precipitation-flag-unknown"), count("accumulated-and-estimated"), count("days-not-reviewed")), (1, 1, 1));
        let station = &record.rain.station;
        assert_eq!((station.id.as_str(), station.name.as_str(), station.position()), ("0000001", "VALLEY, UPPER", Some((44.9, -63.5))));
        assert_eq!(record.temperature.least(Day::new(2001, 1, 1).unwrap()), Some(-2.0));
    }

    #[test]
    fn a_total_makes_no_station_and_a_second_older_file_is_another_record() {
        let older = |name: &str, id: &str| {
            format!(
                "\"Station Name\",\"{name}\"\n\"Climate Identifier\",\"{id}\"\n \n\"Date/Time\",\"Year\",\"Month\",\"Day\",\"Data Quality\",\"Max Temp (°C)\",\"Max Temp Flag\",\"Total Precip (mm)\",\"Total Precip Flag\"\n\"2015-01-01\",\"2015\",\"01\",\"01\",\"\",\"-2.2\",\"\",\"1.6\",\"\"\n"
            )
        };
        let text = format!("{}{},,,,\nTotal,,,,,,,3.2,\n", older("VALLEY", "0000002"), older("HILL", "0000003"));
        let mut records = Vec::new();
        let summary = read_bytes("x", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        let names: Vec<_> = records.iter().map(|record| record.rain.station.name.as_str()).collect();
        assert_eq!((names, records[1].rain.total_micrometres(), records.len()), (vec!["VALLEY", "HILL"], 1600, 2));
        let told = records.iter().map(|record| record.diagnostics.total()).sum::<usize>() + summary.diagnostics.total();
        assert_eq!(told, 1);
    }

    #[test]
    fn the_older_heading_and_the_french_one_are_read() {
        let older = "\"Station Name\",\"VALLEY\"\n\"Latitude\",\"44.88\"\n\"Longitude\",\"-63.51\"\n\"Elevation\",\"145.40\"\n\"Climate Identifier\",\"0000002\"\n \n\"Legend\"\n\"T\",\"Trace\"\n \n\"Date/Time\",\"Year\",\"Month\",\"Day\",\"Data Quality\",\"Max Temp (°C)\",\"Max Temp Flag\",\"Total Precip (mm)\",\"Total Precip Flag\"\n\"2015-01-01\",\"2015\",\"01\",\"01\",\"‡\",\"-2.2\",\"\",\"1.6\",\"\"\n\"2015-02-30\",\"2015\",\"02\",\"30\",\"‡\",\"-2.2\",\"\",\"1.6\",\"\"\n";
        let record = records(older).pop().unwrap();
        assert_eq!((record.rain.station.id.as_str(), record.rain.station.elevation), ("0000002", Some(145.4)));
        assert_eq!((record.rain.counts().measured, record.diagnostics.count("day-that-never-was")), (1, 1));
        let french = "\"Longitude (x)\",\"Latitude (y)\",\"Nom de la Station\",\"ID climatologique\",\"Date/Heure\",\"Année\",\"Mois\",\"Jour\",\"Qualité des Données\",\"Temp max.(°C)\",\"Temp max. Indicateur\",\"Temp min.(°C)\",\"Temp min. Indicateur\",\"Précip. tot. (mm)\",\"Précip. tot. Indicateur\"\n\"-73,6\",\"45,5\",\"LA VALLÉE\",\"0000003\",\"2022-07-01\",\"2022\",\"07\",\"01\",\"\",\"25,1\",\"\",\"15,0\",\"\",\"3,4\",\"\"\n";
        for text in [french.as_bytes().to_vec(), encoding_rs::WINDOWS_1252.encode(french).0.into_owned()] {
            let mut records = Vec::new();
            read_bytes("x.csv", &text, Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
            let record = records.pop().unwrap();
            assert_eq!(record.rain.total_micrometres(), 3400);
            assert_eq!((record.rain.station.name.as_str(), record.rain.station.longitude), ("LA VALLÉE", Some(-73.6)));
            assert_eq!(record.temperature.greatest(Day::new(2022, 7, 1).unwrap()), Some(25.1));
        }
    }

    #[test]
    fn other_products_are_refused_by_what_they_are() {
        let monthly = "\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time\",\"Year\",\"Month\",\"Mean Max Temp (°C)\",\"Mean Max Temp Flag\",\"Total Precip (mm)\",\"Total Precip Flag\"\n";
        let hourly = "\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time (LST)\",\"Year\",\"Month\",\"Day\",\"Time (LST)\",\"Temp (°C)\",\"Temp Flag\",\"Dew Point Temp (°C)\",\"Dew Point Temp Flag\",\"Precip. Amount (mm)\"\n";
        let dry = HEAD.replace("\"Total Precip (mm)\",\"Total Precip Flag\"", "\"Snow on Grnd (cm)\"");
        for (text, what) in [(monthly, "monthly data"), (hourly, "hourly data"), (&dry, "without a column of total precipitation")] {
            let error = read_bytes("x.csv", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert_eq!(error.id(), "file-is-another-product");
            assert!(error.to_string().contains(what), "{error}");
        }
    }

    #[test]
    fn several_stations_make_several_records() {
        let one = line(1, "", "1.0", "");
        let text = format!("{HEAD}{one}{HEAD}{}", one.replace("0000001", "0000009"));
        let records = records(&text);
        assert_eq!(records.iter().map(|record| record.rain.station.id.as_str()).collect::<Vec<_>>(), ["0000001", "0000009"]);
        assert!(records.iter().all(|record| record.diagnostics.total() == 0));
    }
}
