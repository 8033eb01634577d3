//! NOAA Global Summary of the Day: one station and year a file, one row a day, put together from the reports that crossed the world's
//! weather wires.
//!
//! Layout (NCEI, readme.txt of the Global Summary of the Day, 2020): STATION, DATE, LATITUDE, LONGITUDE, ELEVATION, NAME, then the elements, most
//! with attributes; PRCP in inches and hundredths, 99.99 missing; MAX and MIN in degrees Fahrenheit, 9999.9 missing. The attribute of PRCP
//! says what the depth was made of (same readme, PRCP flag):
//!
//! | attribute | the reports | here |
//! |---|---|---|
//! | A | one over 6 hours | measured, estimated: the rest of the day is not known |
//! | B, C | two, three over 6 hours | measured, made of parts, estimated |
//! | D | four over 6 hours | measured, made of parts |
//! | E | one over 12 hours | measured, estimated |
//! | F | two over 12 hours | measured, made of parts |
//! | G | one over 24 hours | measured |
//! | H | a zero, though hourly reports saw precipitation: an incomplete day | measured 0, estimated |
//! | I | none, and none in the hourly reports | no measurement: missing, whatever number stands there |
//!
//! A 0.00 includes a trace, which is not told apart. The days are those of UTC, but the depth usually does not end with midnight and may
//! hold the latter part of the day before (same readme): the day definition is unknown.

use super::ncei::Columns;
use super::{Confidence, Format, Input};
use crate::believed;
use crate::decimal::{self, DepthUnit};
use crate::delimited::{Heading, Row, Rows};
use crate::file_dates::FileDates;
use crate::finding::shown;
use crate::station_days::{Place, StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, date};
use series::{Day, DayDefinition, Qualifier, Qualifiers, Reading, Rejection, Severity};

const NAME: &str = "NOAA Global Summary of the Day file";

pub(super) const FORMAT: Format = Format::new(NAME, &["csv"], sniff, read).in_parts();

fn sniff(bytes: &[u8]) -> Confidence {
    let heading = crate::delimited::first_heading(crate::content::first_lines(bytes, 4), b',');
    if heading.has(&["STATION", "DATE", "TEMP", "DEWP", "MAX", "MIN", "FRSHTT"]) {
        Confidence::Certain
    } else if heading.has(&["STATION", "DATE", "PRCP", "PRCP_ATTRIBUTES", "DEWP"]) {
        Confidence::Possible
    } else {
        Confidence::No
    }
}

/// Where the columns stand that are no element of GHCN-Daily.
struct Elements {
    rain: usize,
    attribute: Option<usize>,
    greatest: Option<usize>,
    least: Option<usize>,
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let (Some(columns), Some(rain)) = (Columns::of(&heading), heading.find("PRCP")) else {
        return Err(Error::WrongProduct {
            file: input.name.to_owned(),
            found: "a Global Summary of the Day without the column PRCP".to_owned(),
            expected: "PRCP beside STATION and DATE".to_owned(),
        });
    };
    let elements = Elements {
        rain,
        attribute: heading.find("PRCP_ATTRIBUTES"),
        greatest: heading.find("MAX").filter(|_| wanted.temperatures),
        least: heading.find("MIN").filter(|_| wanted.temperatures),
    };
    let mut stations = Stations::new(input, NAME);
    let mut findings = input.findings();
    let mut dates = FileDates::new(input, b',', columns.date, date::iso, wanted);
    while let Some(row) = rows.next_row() {
        if !heading.fits(&row, &mut findings) {
            continue;
        }
        match dates.day(row.get(columns.date)) {
            Ok(day) => {
                let days =
                    stations.at(row.get(columns.station), |input| StationDays::new(input, columns.station(&row), DayDefinition::default()));
                read_row(&row, day, &elements, days);
            }
            Err(fault) => findings.date(row.line, row.columns(columns.date), row.get(columns.date), fault, "a date such as 2024-01-31"),
        }
    }
    for days in stations.each() {
        days.findings.whole("observation-hour-unknown", Severity::Note, || {
            (
                "the summary does not say when the 24 hours of a depth end; they usually do not end with midnight UTC".to_owned(),
                "The 24 hours of a day are not known.",
            )
        });
    }
    dates.tell("a date such as 2024-01-31", &mut findings);
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: findings.finish() })
}

fn read_row(row: &Row<'_, '_>, day: Day, elements: &Elements, days: &mut StationDays<'_>) {
    let reading = rain(row, day, elements, days);
    days.day(day, reading, Place::new(row.line, row.columns(elements.rain)));
    for (greatest, place) in [(true, elements.greatest), (false, elements.least)] {
        let Some(place) = place else { continue };
        let field = row.get(place);
        if matches!(field, b"" | b"9999.9") {
            continue;
        }
        match decimal::tenths_celsius_of_fahrenheit(field, b'.') {
            Some(tenths) if greatest => days.greatest(day, tenths),
            Some(tenths) => days.least(day, tenths),
            None => days.findings.at("temperature-implausible", Severity::Warning, row.line, row.columns(place), || {
                (format!("found {:?} F on {day}, expected -130 to 140 F (-90 to 60 C)", shown(field)), "The temperature is left out.")
            }),
        }
    }
}

fn rain(row: &Row<'_, '_>, day: Day, elements: &Elements, days: &mut StationDays<'_>) -> Reading {
    let field = row.get(elements.rain);
    if matches!(field, b"" | b"99.99" | b"999.9" | b"9999.9") {
        return Reading::MISSING;
    }
    let Some(micrometres) = decimal::scaled(field, b'.', DepthUnit::Inch.micrometres()) else {
        days.findings.unreadable(row.line, row.columns(elements.rain), "PRCP", day, field);
        return Reading::rejected(0, Rejection::Unreadable);
    };
    if !believed::is_of_a_day(micrometres) {
        days.findings.impossible(row.line, row.columns(elements.rain), "PRCP", day, field);
        return Reading::rejected(believed::held(micrometres), Rejection::Impossible);
    }
    let attribute = elements.attribute.map_or(b' ', |place| row.get(place).first().copied().unwrap_or(b' '));
    let at = row.columns(elements.attribute.unwrap_or(elements.rain));
    let parts = Qualifiers::from(Qualifier::MadeOfParts);
    let qualifiers = match attribute {
        b'G' | b' ' => Qualifiers::NONE,
        b'D' | b'F' => parts,
        b'A' | b'B' | b'C' | b'E' => {
            let hours = match attribute {
                b'A' => 6,
                b'C' => 18,
                _ => 12,
            };
            days.findings.at("day-incomplete", Severity::Note, row.line, at, || {
                (
                    format!("found the attribute {} on {day}: reports over {hours} of 24 hours", char::from(attribute)),
                    "The depth is read and counted as estimated.",
                )
            });
            let made = if matches!(attribute, b'B' | b'C') { parts } else { Qualifiers::NONE };
            made.with(Qualifier::Estimated)
        }
        b'H' => {
            days.findings.at("day-incomplete", Severity::Note, row.line, at, || {
                (
                    format!("found the attribute H on {day}: a depth of zero, though hourly reports saw precipitation"),
                    "The zero is read and counted as estimated.",
                )
            });
            Qualifier::Estimated.into()
        }
        b'I' => {
            days.findings.at("nothing-reported", Severity::Note, row.line, at, || {
                (
                    format!(
                        "found the depth {} in of {day} with the attribute I: no report told of precipitation, so the number is no measurement",
                        shown(field)
                    ),
                    "The day is missing.",
                )
            });
            return Reading::MISSING;
        }
        other => {
            days.findings.at("attribute-flag-unknown", Severity::Note, row.line, at, || {
                (format!("found the attribute {} on {day}, expected A to I", char::from(other)), "The value is read.")
            });
            Qualifiers::NONE
        }
    };
    Reading::measured(believed::held(micrometres)).qualified(qualifiers)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    const HEAD: &str = "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"TEMP\",\"DEWP\",\"MAX\",\"MAX_ATTRIBUTES\",\"MIN\",\"MIN_ATTRIBUTES\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"FRSHTT\"\n";

    fn record(days: &[(&str, &str)]) -> StationRecord {
        let text = days.iter().enumerate().fold(HEAD.to_owned(), |text, (day, (prcp, attribute))| {
            format!(
                "{text}\"00000099999\",\"2001-01-{:02}\",\"44.5\",\"-36.0\",\"9.0\",\"INVENTED, XX\",\"  26.6\",\"  20.5\",\"  50.0\",\"*\",\"9999.9\",\" \",\"{prcp}\",\"{attribute}\",\"000000\"\n",
                day + 1
            )
        });
        let mut records = Vec::new();
        read_bytes("x.csv", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn each_attribute_has_its_meaning() {
        let record = record(&[
            (" 0.10", "A"),
            (" 0.10", "B"),
            (" 0.10", "C"),
            (" 0.10", "D"),
            (" 0.10", "E"),
            (" 0.10", "F"),
            (" 0.10", "G"),
            (" 0.00", "H"),
            (" 0.00", "I"),
            ("99.99", " "),
            ("-0.01", "G"),
            (" 0.x0", "G"),
            (" 0.10", "Q"),
            (" 0.10", "I"),
            // 98 in are 2,489.2 mm.
            ("98.00", "G"),
            ("999999.00", "G"),
            (" 0.10", "G"),
        ]);
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.missing, counts.rejected), (17, 10, 3, 4));
        assert_eq!((counts.made_of_parts, counts.estimated), (4, 5));
        let ids = ["day-incomplete", "nothing-reported", "value-impossible", "value-unreadable", "attribute-flag-unknown"];
        assert_eq!(ids.map(|id| record.diagnostics.count(id)), [5, 2, 3, 1, 1]);
        assert_eq!(record.rain.total_micrometres(), 9 * 2540);
        // 50 F is 10 C.
        let day = "2001-01-01".parse().unwrap();
        assert_eq!((record.temperature.greatest(day), record.temperature.least(day)), (Some(10.0), None));
    }
}
