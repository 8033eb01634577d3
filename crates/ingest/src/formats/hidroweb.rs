//! ANA HidroWeb (Brazil), rain (`chuvas`): one line a month, newest first.
//!
//! Layout (the files' own preamble and heading): ISO 8859-1, semicolons, decimal comma; some lines of preamble with the codes' meaning, then
//! `EstacaoCodigo;NivelConsistencia;Data;TipoMedicaoChuvas;…;Chuva01;…;Chuva31;Chuva01Status;…;Chuva31Status`. Older exports put `//`
//! before preamble and heading, and some have a column `Hora` (seen in public code). Days beyond the month are blank. Consistency level 1
//! is raw, 2 consistent: of two reports of a day level 2 stands. Status 0 blank; 1 real; 2 estimated; 3 doubtful: rejected; 4
//! accumulated: a multi-day total over the days before it that have no value on any level, of unknown length where there is none.
//! The gauge is read at 7 h local time, whichever of the country's times that is, for the 24 hours before and dated so (common practice in Brazil, no source read).
//!
//! The files of river levels (`cotas`) and flows (`vazoes`) have the same form and are refused.

use super::{Confidence, Format, Input, plain_value};
use crate::date::{self, DateFault};
use crate::decimal::{DepthUnit, millimetres};
use crate::delimited::{Heading, Row, Rows};
use crate::heading::Width;
use crate::multi_day_totals::MOST_DAYS;
use crate::station_days::{Place, StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, content, fields};
use series::{Day, DayDefinition, DayLabel, Kind, Qualifier, Reading, Rejection, Severity, Station};
use std::collections::{BTreeMap, BTreeSet};

const NAME: &str = "ANA HidroWeb rain file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

/// Lines in which the heading is looked for.
const LINES_LOOKED_AT: usize = 60;

#[derive(Debug, Clone, Copy)]
struct Columns {
    station: usize,
    level: Option<usize>,
    date: usize,
    rain: [usize; 31],
    status: [Option<usize>; 31],
}

/// The columns of a heading whose daily elements have this name.
fn columns(row: &Row<'_, '_>, element: &str) -> Option<Columns> {
    let heading = Heading::of(row);
    let station = heading.find_by(|name| name.trim_ascii_start().strip_prefix(b"//").unwrap_or(name).trim_ascii() == b"estacaocodigo")?;
    let mut columns = Columns {
        station,
        level: heading.find("NivelConsistencia"),
        date: heading.find_any(&["Data", "DataHora"])?,
        rain: [0; 31],
        status: [None; 31],
    };
    for day in 0..31 {
        columns.rain[day] = heading.find(&format!("{element}{:02}", day + 1))?;
        columns.status[day] = heading.find(&format!("{element}{:02}Status", day + 1));
    }
    Some(columns)
}

fn has(head: &[u8], element: &str) -> bool {
    let mut rows = Rows::new(content::first_lines(head, LINES_LOOKED_AT), b';');
    while let Some(row) = rows.next_row() {
        if row.len() > 31 && columns(&row, element).is_some() {
            return true;
        }
    }
    false
}

fn sniff(bytes: &[u8]) -> Confidence {
    if has(bytes, "Chuva") { Confidence::Certain } else { Confidence::No }
}

/// River levels and flows.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    if has(head, "Cota") {
        Some("river levels (cotas) of ANA HidroWeb")
    } else if has(head, "Vazao") {
        Some("river flows (vazoes) of ANA HidroWeb")
    } else {
        None
    }
}

/// What is settled when all months of a station are known.
#[derive(Debug, Default)]
struct Levels {
    /// Days with a value that is no total, on any level.
    valued: BTreeSet<Day>,
    /// Months that have a row, counted in months.
    months: BTreeSet<i32>,
    /// The total of a day, of the highest level.
    totals: BTreeMap<Day, (u8, i32, Place)>,
}

impl Levels {
    /// Keeps the total of the higher level, of equal ones the first; what is passed over and differs is told.
    fn total(&mut self, day: Day, total: (u8, i32, Place), row: &Row<'_, '_>, place: usize, days: &mut StationDays<'_>) {
        let kept = self.totals.entry(day).or_insert(total);
        if kept.1 != total.1 {
            days.findings.at("second-report-differs", Severity::Note, row.line, row.columns(place), || {
                let (one, other) = (millimetres(i64::from(kept.1)), millimetres(i64::from(total.1)));
                (
                    format!("found two totals that end on {day}: {one} mm (line {}) and {other} mm; expected them to agree", kept.2.line),
                    "The total of the higher consistency level stands, of equal ones the first; nothing is added up.",
                )
            });
        }
        if kept.0 < total.0 {
            *kept = total;
        }
    }
}

#[allow(clippy::unnecessary_wraps)]
fn read(input: Input<'_>, _: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b';');
    let mut heading: Option<(Width, Columns)> = None;
    let mut stations = Stations::new(input, NAME);
    let mut gathered: BTreeMap<Vec<u8>, Levels> = BTreeMap::new();
    let mut findings = input.findings();
    while let Some(row) = rows.next_row() {
        if let Some(found) = (row.len() > 31).then(|| columns(&row, "Chuva")).flatten() {
            heading = Some((Heading::of(&row).width(), found));
            continue;
        }
        let Some((width, columns)) = &heading else { continue };
        if !width.fits(&row, &mut findings) {
            continue;
        }
        let id = row.get(columns.station);
        if !(1..=9).contains(&id.len()) || !id.iter().all(u8::is_ascii_digit) {
            findings.unreadable_line(row.line, "station, level, month and 31 values with their statuses");
            continue;
        }
        stations.at(id, |input| station(input, id));
        if !stations.keeps(id) {
            continue;
        }
        let days = stations.at(id, |input| station(input, id));
        month(&row, columns, days, gathered.entry(id.to_vec()).or_default());
    }
    for (id, levels) in gathered {
        put_totals(&levels, stations.at(&id, |input| station(input, &id)));
    }
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: findings.finish() })
}

/// The code has eight digits; the rows leave zeros in front out.
fn station<'a>(input: Input<'a>, id: &[u8]) -> StationDays<'a> {
    let station = Station::named_only(format!("{:0>8}", String::from_utf8_lossy(id)));
    StationDays::new(input, station, DayDefinition { start_hour: Some(7), label: DayLabel::LastDay })
}

/// `01/12/2011` or `2011-12-01 00:00:00`: year and month.
fn month_of(field: &[u8]) -> Result<(u32, u32), DateFault> {
    if let [a, b, b'/', month @ .., b'/', y1, y2, y3, y4] = field.split(|byte| *byte == b' ').next().unwrap_or_default() {
        let day = date::of_fields(&[*y1, *y2, *y3, *y4], month, &[*a, *b])?;
        return Ok((day.year().unsigned_abs(), day.month()));
    }
    date::iso(field).map(|day| (day.year().unsigned_abs(), day.month()))
}

fn month(row: &Row<'_, '_>, columns: &Columns, days: &mut StationDays<'_>, levels: &mut Levels) {
    let (year, month) = match month_of(row.get(columns.date)) {
        Ok(found) => found,
        Err(fault) => return days.findings.date(row.line, row.columns(columns.date), row.get(columns.date), fault, "day/month/year"),
    };
    levels.months.insert(year as i32 * 12 + month as i32);
    let level = columns.level.and_then(|level| fields::whole(row.get(level))).and_then(|level| u8::try_from(level).ok()).unwrap_or(0);
    for (at, place) in columns.rain.iter().copied().enumerate() {
        let field = row.get(place);
        if field.is_empty() {
            continue;
        }
        let Ok(day) = date::of_parts(Some(year), Some(month), Some(at as u32 + 1)) else {
            let never = (i64::from(year), i64::from(month), at as u32 + 1);
            days.findings.value_of_no_day(row.line, row.columns(place), field, never);
            continue;
        };
        let reading = plain_value::rain(row, place, DepthUnit::Millimetre, day, &mut days.findings);
        let stands = Place::new(row.line, row.columns(place));
        let status = columns.status[at].map_or(&b""[..], |status| row.get(status));
        if status == b"4" && reading.kind() == Kind::Measured {
            levels.total(day, (level, reading.stated_micrometres() as i32, stands), row, place, days);
            continue;
        }
        let reading = if reading.kind() == Kind::Measured { stated(row, columns.status[at], status, day, reading, days) } else { reading };
        levels.valued.insert(day);
        days.ranked_day(day, reading, stands, level);
    }
}

/// The reading as its status has it.
fn stated(row: &Row<'_, '_>, place: Option<usize>, status: &[u8], day: Day, reading: Reading, days: &mut StationDays<'_>) -> Reading {
    let columns = row.columns(place.unwrap_or(0));
    match status {
        b"" | b"0" | b"1" => reading,
        b"2" => reading.qualified(Qualifier::Estimated.into()),
        b"3" => {
            let depth = reading.stated_micrometres() as i32;
            days.findings.flagged(row.line, columns, depth, day, b'3', "doubtful");
            Reading::rejected(depth, Rejection::QualityFlag(b'3'))
        }
        other => {
            days.findings.at("quality-flag-unknown", Severity::Note, row.line, columns, || {
                (format!("found the status {:?} on {day}, expected 0 to 4", crate::finding::shown(other)), "The value is read.")
            });
            reading
        }
    }
}

fn month_number(day: Day) -> i32 {
    day.year() * 12 + day.month() as i32
}

/// Each total covers the days before it that have no value; one that has values all along to the record's start has no length.
fn put_totals(levels: &Levels, days: &mut StationDays<'_>) {
    for (last, (level, depth, place)) in &levels.totals {
        let ends = |back: &i32| {
            let day = last.plus(-back);
            levels.valued.contains(&day) || levels.totals.contains_key(&day)
        };
        // A month without a row says nothing of when the gauge was read.
        let told = |back: &i32| levels.months.contains(&month_number(last.plus(-back)));
        let before = (1..=MOST_DAYS).take_while(told).find(ends);
        let length = before.filter(|back| *back > 1);
        days.ranked_total(*last, *depth, length, *place, *level);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};

    fn heading(element: &str, start: &str) -> String {
        let values = (1..=31).map(|day| format!("{element}{day:02};")).collect::<Vec<_>>().concat();
        let statuses = (1..=31).map(|day| format!("{element}{day:02}Status;")).collect::<Vec<_>>().concat();
        format!("{start}EstacaoCodigo;NivelConsistencia;Data;TipoMedicaoChuvas;{values}{statuses}\r\n")
    }

    fn line(level: u32, month: &str, values: &[(&str, &str)]) -> String {
        let of = |place: usize| values.get(place).copied().unwrap_or_default();
        let numbers = (0..31).map(|place| format!("{};", of(place).0)).collect::<Vec<_>>().concat();
        let statuses = (0..31).map(|place| format!("{};", of(place).1)).collect::<Vec<_>>().concat();
        format!("99999;{level};{month};1;{numbers}{statuses}\r\n")
    }

    fn record(text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("chuvas.csv", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        assert_eq!(records.len(), 1);
        records.pop().unwrap()
    }

    #[test]
    fn the_consistent_level_stands_and_totals_find_their_days() {
        let raw = [
            ("5,4", "1"),
            ("0,1", "1"),
            ("", "1"),
            ("", "1"),
            ("30,0", "4"),
            ("9,0", "4"),
            ("1,0", "2"),
            ("7,0", "3"),
            ("-1", "1"),
            ("2,0", "9"),
        ];
        let consistent = [("5,4", "1"), ("0,3", "1")];
        let text = format!(
            "Sistema\r\nC\u{f3}digo da Esta\u{e7}\u{e3}o:00099999\r\n\r\n{}{}{}{}x;y\r\n",
            heading("Chuva", ""),
            line(1, "01/12/2011", &raw),
            line(2, "01/12/2011", &consistent),
            line(1, "01/02/2011", &[("1,0", "1"); 31])
        );
        let record = record(&text);
        let reading = |of_month: u32| record.rain.reading(Day::new(2011, 12, of_month).unwrap());
        assert_eq!((record.rain.station.id.as_str(), reading(2).depth()), ("00099999", Some(300)));
        assert_eq!(
            [3, 4, 5, 6].map(|of_month| reading(of_month).kind()),
            [Kind::WithinTotal, Kind::WithinTotal, Kind::Accumulated { days: Some(3) }, Kind::Accumulated { days: None }]
        );
        let counts = record.rain.counts();
        assert_eq!((counts.measured, counts.estimated, counts.rejected), (28 + 4, 1, 2));
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("second-report-differs"), count("day-that-never-was"), count("quality-flag-unknown")), (1, 3, 1));
        assert_eq!((count("reading-flagged"), count("value-impossible")), (1, 1));
    }

    #[test]
    fn an_older_export_is_read_and_rivers_are_refused() {
        let values = [("5,4", "1")];
        let older = format!("// Sistema\r\n//\r\n{}{}", heading("Chuva", "//"), line(1, "01/12/1999", &values));
        assert_eq!(record(&older).rain.total_micrometres(), 5400);
        for (element, what) in [("Cota", "cotas"), ("Vazao", "vazoes")] {
            let text = format!("Sistema\r\n{}{}", heading(element, ""), line(1, "01/12/1999", &values));
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }

    #[test]
    fn a_month_without_a_row_gives_a_total_no_length() {
        let january = line(1, "01/01/2001", &[("1,0", "1"); 31]);
        let mut august = [("", ""); 31];
        (august[14], august[15]) = (("50,0", "4"), ("1,0", "1"));
        let record = record(&format!("{}{january}{}", heading("Chuva", ""), line(1, "01/08/2001", &august)));
        assert_eq!(record.rain.multi_day_totals().map(|total| total.days).collect::<Vec<_>>(), [None]);
        assert_eq!(record.diagnostics.count("total-of-unknown-length"), 1);
    }

    #[test]
    fn a_total_of_the_consistent_level_beats_a_raw_day() {
        let raw = line(1, "01/01/2001", &[("1,0", "1"), ("", ""), ("", ""), ("50,0", "1"), ("2,0", "1")]);
        let consistent = line(2, "01/01/2001", &[("1,0", "1"), ("", ""), ("", ""), ("50,0", "4"), ("2,0", "1")]);
        for text in [format!("{raw}{consistent}"), format!("{consistent}{raw}")] {
            let rain = record(&format!("{}{text}", heading("Chuva", ""))).rain;
            assert_eq!(rain.multi_day_totals().map(|total| total.days).collect::<Vec<_>>(), [Some(3)]);
            assert_eq!(rain.greatest_day().unwrap().1, 2000);
        }
    }
}
