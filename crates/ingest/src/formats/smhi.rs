//! SMHI (Sweden), meteorological observations, parameter 5: rain of a day, one station a file.
//!
//! Layout (the files' own headings): semicolons, UTF-8 with one or two byte-order marks; blocks with a heading each: station (name, number,
//! network, height above ground); parameter (name, description, unit); the station's positions by period, of which the latest is taken;
//! then the values: from, to (UTC), representative day, depth in millimetres, quality, and a side column of notes in the first lines,
//! which is passed over. Quality G: checked and accepted; Y: suspected or aggregated, roughly checked archive data, read and told once; R:
//! rejected (the notes say such values are not delivered). Missing days are absent. The day runs from 06 UTC (07 in older years), which is
//! 7 h Central European Time, the one standard time of Sweden, and is dated by the representative day: the day it begins on, where the
//! file says so.
//!
//! The other parameters of the same service (hours, months, other sums and elements) have the same blocks and are refused by their own
//! description.

use super::{Confidence, Format, Input, plain_value};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows};
use crate::encoding;
use crate::fields;
use crate::file_dates::FileDates;
use crate::observation_time::{self, ObservationTimes};
use crate::station_days::{Place, StationDays};
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{Day, DayDefinition, DayLabel, Diagnostics, Kind, Reading, Rejection, Severity, Station};

const NAME: &str = "SMHI daily precipitation file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

/// Lines in which the heading of the values is looked for; a station has had a few dozen positions.
const LINES_LOOKED_AT: usize = 200;

/// Sweden's standard time is Central European Time, one hour ahead of UTC (IANA time zone database, Europe/Stockholm: +1:00 since 1900;
/// from memory).
const HOURS_AHEAD_OF_UTC: usize = 1;

/// What a file of the service holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Product {
    DailyRain,
    Other(&'static str),
}

/// Whether a field is the name of rain, in UTF-8 or Latin-1.
fn is_rain(field: &[u8]) -> bool {
    field.starts_with(b"Nederb") && field.ends_with(b"ngd")
}

fn product(head: &[u8]) -> Option<Product> {
    let head = content::first_lines(head, LINES_LOOKED_AT);
    let mut rows = Rows::new(head, b';');
    let first = rows.next_row()?;
    if first.get(0) != b"Stationsnamn" {
        return None;
    }
    let mut described = None;
    while let Some(row) = rows.next_row() {
        if row.get(0) == b"Parameternamn" {
            if let Some(row) = rows.next_row() {
                described = Some((is_rain(row.get(0)), memchr::memmem::find(row.get(1), b"1 dygn").is_some()));
            }
        } else if row.get(2) == b"Representativt dygn" {
            return Some(match described {
                Some((true, true)) | None if is_rain(row.get(3)) => Product::DailyRain,
                _ => Product::Other("daily values of another element from SMHI (parameter 5 is the rain of a day)"),
            });
        } else if row.get(2).starts_with(b"Representativ m") {
            return Some(Product::Other("monthly values from SMHI (parameter 5 is the rain of a day, 23 of a month)"));
        } else if row.get(0) == b"Datum" {
            return Some(Product::Other("values of hours or shorter from SMHI (parameter 5 is the rain of a day, 7 of an hour)"));
        }
    }
    None
}

fn sniff(bytes: &[u8]) -> Confidence {
    if product(bytes) == Some(Product::DailyRain) { Confidence::Certain } else { Confidence::No }
}

pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    match product(head)? {
        Product::DailyRain => None,
        Product::Other(what) => Some(what),
    }
}

#[allow(clippy::unnecessary_wraps)]
fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b';');
    let mut days = StationDays::new(input, Station::default(), DayDefinition::default());
    let mut block = Vec::new();
    let mut values: Option<Heading> = None;
    let mut stations = 1;
    let mut tally = Tally::default();
    let mut dates = FileDates::new(input, b';', 2, date::iso, wanted);
    while let Some(row) = rows.next_row() {
        if values.is_some() && row.get(0) == b"Stationsnamn" {
            // A second file behind the first: of the same station it goes on, of another one it is another record.
            values = None;
            block = b"Stations".to_vec();
            let Some(row) = rows.next_row() else { break };
            if row.get(1) != days.station.id.as_bytes() {
                let next = StationDays::new(input, Station::default(), DayDefinition::default());
                let mut done = std::mem::replace(&mut days, next);
                std::mem::take(&mut tally).tell(&mut done);
                sink.station(done.record(input, NAME));
                stations += 1;
            }
            describe(&block, &row, &mut days.station);
        } else if let Some(heading) = &values {
            if heading.fits(&row, &mut days.findings) {
                value(&row, &mut dates, &mut days, &mut tally);
            }
        } else if row.get(2) == b"Representativt dygn" {
            values = Some(Heading::of(&row));
        } else if row.get(0) == b"Stationsnamn" || row.get(0) == b"Parameternamn" || row.get(0).starts_with(b"Tidsperiod") {
            block = row.get(0)[..8].to_vec();
        } else {
            describe(&block, &row, &mut days.station);
            let station = &days.station;
            let place = (station.latitude, station.longitude, station.elevation);
            if block == b"Tidsperi"
                && station.position().is_some()
                && !tally.places.contains(&place)
                && tally.places.len() < LINES_LOOKED_AT
            {
                tally.places.push(place);
            }
        }
    }
    tally.tell(&mut days);
    dates.tell("year-month-day", &mut days.findings);
    sink.station(days.record(input, NAME));
    Ok(FileSummary { format: NAME, stations, diagnostics: Diagnostics::default() })
}

/// A line of the blocks before the values; of several positions the last in the file is the latest.
fn describe(block: &[u8], row: &Row<'_, '_>, station: &mut Station) {
    if block == b"Stations" {
        station.name = encoding::name(row.get(0), encoding::WINDOWS_1252);
        station.id = encoding::name(row.get(1), encoding::WINDOWS_1252);
    } else if block == b"Tidsperi" {
        station.elevation = plain_value::coordinate(row.get(2));
        station.latitude = plain_value::coordinate(row.get(3));
        station.longitude = plain_value::coordinate(row.get(4));
    }
}

/// What the values say together: how many are suspected, at which hours days begin, how days are named.
#[derive(Debug, Default)]
struct Tally {
    suspected: usize,
    begins_at: [usize; 24],
    /// The same by day.
    times: ObservationTimes,
    latest: Option<(Day, usize)>,
    named_by_first: usize,
    named_otherwise: usize,
    /// Latitude, longitude and height of the station, by period.
    places: Vec<(Option<f64>, Option<f64>, Option<f64>)>,
}

impl Tally {
    fn tell(&self, days: &mut StationDays<'_>) {
        let hours: Vec<usize> = (0..24).filter(|hour| self.begins_at[*hour] > 0).collect();
        // The hour of the latest day, which is the one that the parameter's description names; older years' other hour is told.
        let hour = self.latest.and_then(|(_, hour)| u8::try_from((hour + HOURS_AHEAD_OF_UTC) % 24).ok());
        let label = match (self.named_by_first, self.named_otherwise) {
            (1.., 0) => DayLabel::FirstDay,
            (0, 1..) => DayLabel::LastDay,
            _ => DayLabel::Unknown,
        };
        days.day_definition = DayDefinition { start_hour: hour, label };
        if hours.len() > 1 {
            days.findings.whole("day-begins-at-several-hours", Severity::Note, || {
                let each: Vec<String> = hours.iter().map(|hour| format!("{hour:02} UTC on {} days", self.begins_at[*hour])).collect();
                let epochs = self.times.epochs();
                let when = if epochs.len() > 1 { format!(" (UTC: {})", observation_time::told(&epochs)) } else { String::new() };
                (
                    format!("found days that begin at {}{when}; expected one hour", each.join(", ")),
                    "The days are read as they are dated; the hour given for the record is that of its last days.",
                )
            });
        }
        if self.places.len() > 1 {
            days.findings.whole("station-moved", Severity::Note, || {
                (
                    format!("found {} places of the station by period, expected one for the whole record", self.places.len()),
                    "Position and height are those of the latest period.",
                )
            });
        }
        if self.suspected > 0 {
            days.findings.whole("days-not-reviewed", Severity::Note, || {
                (
                    format!("found the quality Y (suspected, aggregated or only roughly checked) on {} days, expected G", self.suspected),
                    "The values are read.",
                )
            });
        }
    }
}

fn value(row: &Row<'_, '_>, dates: &mut FileDates<'_>, days: &mut StationDays<'_>, tally: &mut Tally) {
    let day = match dates.day(row.get(2)) {
        Ok(day) => day,
        // Notes may go on below the last value.
        Err(_) if row.get(2).is_empty() && row.get(3).is_empty() => return,
        Err(fault) => return days.findings.date(row.line, row.columns(2), row.get(2), fault, "year-month-day"),
    };
    // A day may be written as beginning a second after the hour.
    if let Some(hour) = row.get(0).get(11..13).and_then(fields::whole).and_then(|hour| usize::try_from(hour).ok()).filter(|hour| *hour < 24)
        && let Ok(first) = date::iso(row.get(0))
    {
        tally.begins_at[hour] += 1;
        tally.times.add(day, &[b'0' + (hour / 10) as u8, b'0' + (hour % 10) as u8, b'0', b'0']);
        tally.latest = tally.latest.max(Some((day, hour)));
        let first = first.plus(i32::from(hour + HOURS_AHEAD_OF_UTC >= 24));
        *(if first == day { &mut tally.named_by_first } else { &mut tally.named_otherwise }) += 1;
    }
    let reading = plain_value::rain(row, 3, DepthUnit::Millimetre, day, &mut days.findings);
    let reading = if reading.kind() == Kind::Measured { graded(row, day, reading, days, tally) } else { reading };
    let place = Place::new(row.line, row.columns(3));
    match interval(row) {
        // Several days in one value: the date is that of the first or of the last of them.
        Some((first, length)) if length > 1 && reading.is_usable() => {
            let last = if first == day { day.plus(length - 1) } else { day };
            days.total(last, reading.stated_micrometres() as i32, Some(length), place);
        }
        _ => days.day(day, reading, place),
    }
}

/// The local day on which the value's time begins, and how many days it spans.
fn interval(row: &Row<'_, '_>) -> Option<(Day, i32)> {
    let hour = |field: &[u8]| field.get(11..13).and_then(fields::whole).filter(|hour| *hour < 24);
    let [(first, begins), (last, ends)] = [0, 1].map(|column| (date::iso(row.get(column)).ok(), hour(row.get(column))));
    let (first, last) = (first?, last?);
    let hours = 24 * last.since(first) + ends? as i32 - begins? as i32;
    // To the nearest day: an interval may begin a second after the hour, or at another hour than it ends.
    let local = first.plus(i32::from(begins? as usize + HOURS_AHEAD_OF_UTC >= 24));
    Some((local, (hours + 12).div_euclid(24)))
}

fn graded(row: &Row<'_, '_>, day: Day, reading: Reading, days: &mut StationDays<'_>, tally: &mut Tally) -> Reading {
    match row.get(4) {
        b"G" | b"" => reading,
        b"Y" => {
            tally.suspected += 1;
            reading
        }
        b"R" => {
            let depth = reading.stated_micrometres() as i32;
            days.findings.flagged(row.line, row.columns(4), depth, day, b'R', "rejected by the agency");
            Reading::rejected(depth, Rejection::QualityFlag(b'R'))
        }
        other => {
            days.findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(4), || {
                (format!("found the quality {:?} on {day}, expected G, Y or R", crate::finding::shown(other)), "The value is read.")
            });
            reading
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    const HEAD: &str = "\u{feff}\u{feff}Stationsnamn;Stationsnummer;Stationsnät;Mäthöjd (meter över marken)\nÖvre Dalen;99999;SMHIs stationsnät;2.0\n\nParameternamn;Beskrivning;Enhet\nNederbördsmängd;summa 1 dygn, 1 gång/dygn, kl 06;millimeter\n\nTidsperiod (fr.o.m);Tidsperiod (t.o.m);Höjd (meter över havet);Latitud (decimalgrader);Longitud (decimalgrader)\n1900-01-01 00:00:00;1974-05-31 23:59:59;73.0;55.7;13.2\n1974-06-01 00:00:00;2025-10-01 09:20:13;26.4;55.6;13.3\n\n";
    const VALUES: &str = "Från Datum Tid (UTC);Till Datum Tid (UTC);Representativt dygn;Nederbördsmängd;Kvalitet;;Tidsutsnitt:\n";

    fn record(text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("x.csv", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn qualities_hours_and_positions_are_read() {
        let lines = "1900-01-01 07:00:01;1900-01-02 07:00:00;1900-01-01;1.3;G;;Kvalitetskoderna:\n1900-01-02 06:00:01;1900-01-03 06:00:00;1900-01-02;0.0;Y;;Grön (G) = x\n1900-01-03 06:00:01;1900-01-04 06:00:00;1900-01-03;99.0;R\n1900-01-05 06:00:01;1900-01-06 06:00:00;1900-01-05;2.0;Q\n1900-01-06 06:00:01;1900-01-07 06:00:00;1900-01-06;-2.0;G\n;;;;;;Fotnot\nxx\n";
        let record = record(&format!("{HEAD}{VALUES}{lines}"));
        let counts = record.rain.counts();
        assert_eq!((counts.measured, counts.rejected, counts.missing), (3, 1, 1));
        let station = &record.rain.station;
        assert_eq!((station.name.as_str(), station.id.as_str()), ("Övre Dalen", "99999"));
        assert_eq!((station.position(), station.elevation), (Some((55.6, 13.3)), Some(26.4)));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay });
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("reading-flagged"), count("quality-flag-unknown"), count("value-impossible")), (1, 1, 1));
        assert_eq!((count("days-not-reviewed"), count("day-begins-at-several-hours"), count("line-unreadable")), (1, 1, 1));
        assert_eq!(count("station-moved"), 1, "two places by period");
        assert_eq!(record.rain.reading(Day::new(1900, 1, 4).unwrap()).kind(), Kind::Missing);
    }

    #[test]
    fn two_files_one_behind_the_other_are_kept_apart() {
        let line = |day: u32| format!("1900-01-0{day} 06:00:01;1900-01-0{} 06:00:00;1900-01-0{day};1.5;G\n", day + 1);
        for (id, stations) in [("99999", 1), ("88888", 2)] {
            let text = format!("{HEAD}{VALUES}{}{}{VALUES}{}", line(1), HEAD.trim_start_matches('\u{feff}').replace("99999", id), line(2));
            let mut records = Vec::new();
            let summary = read_bytes("x.csv", text.as_bytes(), Wanted::default(), &mut records).unwrap();
            assert_eq!((records.len(), summary.stations), (stations, stations));
            assert_eq!(records.iter().map(|record| record.rain.total_micrometres()).sum::<i64>(), 3000);
            assert!(records.iter().all(|record| record.diagnostics.counts.keys().all(|id| *id == "station-moved")));
            assert_eq!(records[stations - 1].rain.station.id, id);
        }
    }

    #[test]
    fn other_parameters_are_refused_by_what_they_are() {
        let month = "Från Datum Tid (UTC);Till Datum Tid (UTC);Representativ månad;Nederbördsmängd;Kvalitet\n";
        let hour = "Datum;Tid (UTC);Nederbördsmängd;Kvalitet\n";
        let other = VALUES.replace("Nederbördsmängd", "Lufttemperatur");
        let kinds =
            HEAD.replace("Nederbördsmängd;summa 1 dygn, 1 gång/dygn, kl 06;millimeter", "Nederbörd;2 gånger/dygn, kl 06 och 18;kod");
        for (text, what) in [
            (format!("{HEAD}{month}"), "monthly"),
            (format!("{HEAD}{hour}"), "hours"),
            (format!("{HEAD}{other}"), "another element"),
            (format!("{kinds}{}", VALUES.replace("Nederbördsmängd", "Nederbörd")), "another element"),
        ] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }

    #[test]
    fn a_sum_of_several_days_is_no_day() {
        let lines = "2001-01-01 06:00:01;2001-01-02 06:00:00;2001-01-01;1.0;G\n2001-01-02 06:00:01;2001-01-05 06:00:00;2001-01-02;80.0;Y\n\
                     2001-01-05 06:00:01;2001-01-06 06:00:00;2001-01-05;2.0;G\n2001-01-06 06:00:01;2001-01-08 06:00:00;2001-01-07;9.0;G\n\
                     2001-01-08 06:00:01;2001-01-09 06:00:00;2001-01-08;2.0;G\n";
        let rain = record(&format!("{HEAD}{VALUES}{lines}")).rain;
        let totals: Vec<_> = rain.multi_day_totals().map(|total| (total.last.to_string(), total.days, total.micrometres)).collect();
        assert_eq!(totals, [("2001-01-04".to_owned(), Some(3), 80_000), ("2001-01-07".to_owned(), Some(2), 9000)]);
        assert_eq!((rain.counts().measured, rain.counts().accumulated, rain.counts().missing), (3, 5, 0));
    }
}
