//! MIDAS Open of the Met Office, daily rain observations (`uk-daily-rain-obs`), one station and year a file.
//!
//! Layout: BADC-CSV (the file's own first line): lines of metadata `label,G,value`, a line `data`, a heading, rows in commas, a line
//! `end data`. `prcp_amt` in millimetres, `NA` missing; `midas_station_id`, `observation_station`, `location` (latitude, longitude) and
//! `height` of the station in the metadata. Both versions of the quality control (`qcv-0` as received, `qcv-1` current best) have this form.
//! Sources: CEDA artefacts `ukmo-midas/RD_Table.html`, and `metadata/doc/QC_J_flags.html` of the same archive.
//!
//! * Several reports a day (NCM, SSER, DLY3208, WADRAIN, ...) are never added: one stands, a usable one before one that is not, a current
//!   best version before a received one, then in the order of [`REPORTS`]: gauges that an observer reads and the office checks before
//!   automatic messages (our choice, no source). Which types there were, and each day on which two differ, is told.
//! * `ob_day_cnt` over 1 is a total over so many days that ends on the stated day.
//! * `prcp_amt_q` is a number MESQL of five digits: M 1 trace, 2 accumulation, 3 both (the marker is "a
//!   combination of two flags": an accumulated trace); E an estimate was made (estimated); S a status, Q a query, L
//!   the level reached. The office keeps values that it suspects, and its table of S is not public here, so a status is told and does
//!   not reject. `prcp_amt_j` describes the kind of precipitation and `rec_st_ind` the life of the row; neither is read.
//!
//! The day: 24 hours **ending** on the stated day at `ob_end_ctime` (`RD_Table.html`), 0900 UTC as a rule, the standard time of the United Kingdom, so it is dated by the last day. An
//! hour other than that of most rows is told ([`end_hours`]).

use super::{Confidence, Format, Input};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows};
use crate::depth_field::DepthField;
use crate::encoding::{self, WINDOWS_1252};
use crate::fields;
use crate::file_dates::FileDates;
use crate::station_days::{Place, StationDays};
use crate::station_list::decimal_number;
use crate::{Error, FileSummary, Sink, Wanted, content};
use end_hours::EndHours;
use quality::Quality;
use series::{DayDefinition, DayLabel, Diagnostics, Qualifier, Reading, Severity, Station};
use std::collections::BTreeMap;

mod end_hours;
mod quality;

const NAME: &str = "MIDAS Open daily rain file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read).in_parts();

const RAIN: DepthField = DepthField { element: "prcp_amt", unit: DepthUnit::Millimetre };

/// Types of report, the one that stands first.
const REPORTS: [&str; 8] = ["DLY3208", "WADRAIN", "WAMRAIN", "NCM", "AWSDLY", "WAHRAIN", "SREW", "SSER"];

/// Titles of other sets of this archive and what they hold.
const OTHER_SETS: [(&str, &str); 8] = [
    ("uk-hourly-rain-obs", "hourly rain"),
    ("uk-daily-temperature-obs", "daily temperature"),
    ("uk-daily-weather-obs", "daily weather without amounts of rain"),
    ("uk-hourly-weather-obs", "hourly weather"),
    ("uk-mean-wind-obs", "wind"),
    ("uk-radiation-obs", "radiation"),
    ("uk-soil-temperature-obs", "soil temperature"),
    ("station capability", "what a station can measure"),
];

struct Columns {
    date: usize,
    report: usize,
    version: Option<usize>,
    end: Option<usize>,
    days: Option<usize>,
    rain: usize,
    quality: Option<usize>,
}

impl Columns {
    fn of(heading: &Heading) -> Option<Self> {
        Some(Self {
            date: heading.find("ob_date")?,
            report: heading.find("met_domain_name")?,
            version: heading.find("version_num"),
            end: heading.find("ob_end_ctime"),
            days: heading.find("ob_day_cnt"),
            rain: heading.find("prcp_amt")?,
            quality: heading.find("prcp_amt_q"),
        })
    }
}

/// What stands in front of the data: the lines that hold for the whole file.
struct Metadata {
    title: String,
    station: Station,
}

impl Metadata {
    /// Reads up to the line `data`.
    fn of(rows: &mut Rows<'_>) -> Self {
        let mut of = Self { title: String::new(), station: Station::default() };
        while let Some(row) = rows.next_row() {
            if begins_data(&row) {
                break;
            }
            if row.get(1) != b"G" {
                continue;
            }
            let number = |place: usize, most: f64| decimal_number(row.get(place)).filter(|number| number.abs() <= most);
            let text = || encoding::name(row.get(2), WINDOWS_1252);
            match row.get(0) {
                b"title" => of.title = text(),
                b"midas_station_id" => of.station.id = text(),
                b"observation_station" => of.station.name = text(),
                b"location" => (of.station.latitude, of.station.longitude) = (number(2, 90.0), number(3, 180.0)),
                b"height" => of.station.elevation = number(2, 9000.0),
                _ => {}
            }
        }
        of
    }
}

/// The line `data`, with or without empty cells behind it.
fn begins_data(row: &Row<'_, '_>) -> bool {
    let line = row.line.text;
    let end = line.iter().rposition(|byte| !matches!(byte, b',' | b';' | b'\t' | b' ')).map_or(0, |last| last + 1);
    line[..end].trim_ascii() == b"data"
}

/// What stands most often in the line of the heading.
fn delimiter_of_values(bytes: &[u8]) -> u8 {
    let mut rows = Rows::new(bytes, b',');
    while let Some(row) = rows.next_row() {
        if begins_data(&row) {
            break;
        }
    }
    let heading = rows.next_row().map_or(&[][..], |row| row.line.text);
    let count = |delimiter: &u8| memchr::memchr_iter(*delimiter, heading).count();
    // The comma comes last, since of equals the last is taken.
    [b'\t', b';', b','].into_iter().max_by_key(count).unwrap_or(b',')
}

fn sniff(bytes: &[u8]) -> Confidence {
    let head = content::first_lines(bytes, 8);
    let holds = |word: &[u8]| memchr::memmem::find(head, word).is_some();
    let midas = head.trim_ascii_start().starts_with(b"Conventions,G,BADC-CSV") && (holds(b"MIDAS") || holds(b"Midas") || holds(b"midas"));
    match (midas, holds(b"title,G,uk-daily-rain-obs")) {
        (true, true) => Confidence::Certain,
        (true, false) => Confidence::Possible,
        _ => Confidence::No,
    }
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let metadata = Metadata::of(&mut Rows::new(input.bytes, b','));
    // A spreadsheet may have saved the table with other delimiters, and the lines before it as they were.
    let delimiter = delimiter_of_values(input.bytes);
    let mut rows = Rows::new(input.bytes, delimiter);
    while let Some(row) = rows.next_row() {
        if begins_data(&row) {
            break;
        }
    }
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let Some(columns) = Columns::of(&heading) else {
        let lower = metadata.title.to_lowercase();
        let other = OTHER_SETS.iter().find(|(title, _)| lower.contains(title));
        let what = other.map_or("no daily rain", |(_, what)| what);
        return Err(input.wrong_product(format!("a file of MIDAS Open with {what} (title {:?})", metadata.title)));
    };
    let mut days = StationDays::new(input, metadata.station, DayDefinition { start_hour: None, label: DayLabel::LastDay });
    let mut dates = FileDates::new(input, delimiter, columns.date, date::iso, wanted);
    let (mut ended, mut reports, mut hours) = (false, BTreeMap::new(), EndHours::default());
    while let Some(row) = rows.next_row() {
        if row.get(0) == b"end data" {
            ended = true;
        } else if ended {
            days.findings.unreadable_line(row.line, "nothing behind the line \"end data\"");
        } else if heading.fits(&row, &mut days.findings) {
            if reports.len() < 100 {
                *reports.entry(encoding::name(row.get(columns.report), WINDOWS_1252)).or_insert(0_usize) += 1;
            }
            day(&row, &columns, &mut dates, &mut hours, &mut days);
        }
    }
    if !ended {
        days.findings.whole("file-cut-short", Severity::Warning, || {
            (
                "the line \"end data\" is missing; expected it to close the file".to_owned(),
                "What is there is read; the rest of the year may be lost.",
            )
        });
    }
    dates.tell("yyyy-mm-dd and a time", &mut days.findings);
    tell_reports(&reports, &mut days);
    days.day_definition = hours.definition(&mut days.findings);
    sink.station(days.record(input, NAME));
    Ok(FileSummary { format: NAME, stations: 1, diagnostics: Diagnostics::default() })
}

fn tell_reports(reports: &BTreeMap<String, usize>, days: &mut StationDays<'_>) {
    if reports.len() > 1 {
        days.findings.whole("several-reports", Severity::Note, || {
            let list: Vec<String> = reports.iter().map(|(report, rows)| format!("{report} ({rows} rows)")).collect();
            (
                format!("found reports of several types: {}; expected one a day", list.join(", ")),
                "Where a day has several, one stands (a usable one first; DLY3208, WADRAIN, WAMRAIN, NCM, AWSDLY, WAHRAIN, SREW, SSER, others); none are added up.",
            )
        });
    }
}

fn is_missing(field: &[u8]) -> bool {
    field.is_empty() || field == b"NA"
}

fn day(row: &Row<'_, '_>, columns: &Columns, dates: &mut FileDates<'_>, hours: &mut EndHours, days: &mut StationDays<'_>) {
    let day = match dates.day(row.get(columns.date)) {
        Ok(day) => day,
        Err(fault) => {
            let found = row.get(columns.date);
            return days.findings.date(row.line, row.columns(columns.date), found, fault, "yyyy-mm-dd and a time");
        }
    };
    if is_missing(row.get(columns.rain)) {
        return;
    }
    let known = |place: Option<usize>| place.filter(|place| !is_missing(row.get(*place)));
    if let Some(at) = known(columns.end) {
        hours.add(row, at, day);
    }
    let reading = RAIN.reading(row, columns.rain, day, &mut days.findings);
    let quality = known(columns.quality).and_then(|at| quality::quality(row, at, day, days)).unwrap_or_default();
    let place = Place::new(row.line, row.columns(columns.rain));
    let length = known(columns.days).and_then(|at| fields::whole(row.get(at))).and_then(|length| i32::try_from(length).ok());
    let report = row.get(columns.report);
    let order = REPORTS.iter().position(|own| own.as_bytes() == report).unwrap_or(REPORTS.len());
    let best = known(columns.version).is_some_and(|at| row.get(at) == b"1");
    let rank = u8::from(reading.is_usable()) * 100 + u8::from(best) * 50 + (REPORTS.len() - order) as u8;
    if reading.is_usable() && (length.is_some_and(|length| length > 1) || quality.accumulates()) {
        let depth = i32::try_from(reading.stated_micrometres()).unwrap_or(i32::MAX);
        return days.ranked_total(day, depth, length.filter(|length| *length > 1), place, rank);
    }
    let reading = match quality {
        Quality { marker: 1, .. } if reading.depth() == Some(0) => Reading::TRACE,
        Quality { estimate: 1.., .. } if reading.is_usable() => reading.qualified(Qualifier::Estimated.into()),
        _ => reading,
    };
    days.ranked_day(day, reading, place, rank);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use series::Kind;

    const HEAD: &str = "Conventions,G,BADC-CSV,1\r\ntitle,G,uk-daily-rain-obs\r\nsource,G,Met Office MIDAS database\r\nobservation_station,G,nowhere-park\r\n\
                        midas_station_id,G,99838\r\nlocation,G,51.39,-0.786\r\nheight,G,74,m\r\nmissing_value,G,NA\r\nlong_name,ob_date,Date of observation,s\r\ndata\r\n\
                        ob_date,id,id_type,version_num,met_domain_name,ob_end_ctime,ob_day_cnt,src_id,rec_st_ind,prcp_amt,ob_day_cnt_q,prcp_amt_q,prcp_amt_j,meto_stmp_time,midas_stmp_etime\r\n";

    fn record(rows: &[&str]) -> StationRecord {
        let line = |row: &&str| {
            let [date, report, end, count, amount, quality] = row.split(',').collect::<Vec<_>>()[..] else { panic!("six fields") };
            format!("{date} 00:00:00,1,RAIN,1,{report},{end},{count},838,1001,{amount},0,{quality},NA,NA,NA\r\n")
        };
        let rows = rows.iter().map(line).collect::<Vec<_>>().concat();
        let mut records = Vec::new();
        read_bytes("x.csv", format!("{HEAD}{rows}end data\r\n").as_bytes(), Wanted::default(), &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn one_of_several_reports_stands() {
        let record = record(&[
            "1991-01-01,SSER,900,1,1.8,9",
            "1991-01-01,NCM,900,1,1.7,9",
            "1991-01-02,NCM,900,1,0,10009",
            "1991-01-02,SSER,900,1,0,9",
            "1991-01-03,NCM,900,1,NA,NA",
            "1991-01-03,SSER,900,1,0.4,1209",
            "1991-01-04,NCM,900,1,-1,9",
            "1991-01-04,SSER,1000,1,0.6,9",
            "1991-01-05,DLY3208,900,1,NA,9",
        ]);
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.estimated), (4, 3, 1, 1));
        assert_eq!(record.rain.total_micrometres(), 1700 + 400 + 600);
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("second-report-differs"), count("several-reports"), count("quality-status-set")), (2, 1, 1));
        assert_eq!((count("observation-hour-differs"), count("value-impossible"), count("file-cut-short")), (1, 1, 0));
        let station = &record.rain.station;
        assert_eq!(
            (station.id.as_str(), station.name.as_str(), station.position(), station.elevation),
            ("99838", "nowhere-park", Some((51.39, -0.786)), Some(74.0))
        );
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(9), label: DayLabel::LastDay });
    }

    #[test]
    fn totals_over_days_are_kept_apart() {
        let record = record(&[
            "1991-01-01,DLY3208,900,1,1.8,9",
            "1991-01-04,DLY3208,900,3,9.0,20009",
            "1991-01-06,DLY3208,900,1,4.0,20009",
            "1991-01-07,DLY3208,900,1,0,9",
            "1991-01-09,DLY3208,900,2,0,30009",
            "1991-01-11,DLY3208,900,1,0,30009",
            "1991-01-12,DLY3208,900,1,0,40009",
        ]);
        let kind = |day: &str| record.rain.reading(day.parse().unwrap()).kind();
        assert_eq!((kind("1991-01-03"), kind("1991-01-04")), (Kind::WithinTotal, Kind::Accumulated { days: Some(3) }));
        assert_eq!((kind("1991-01-05"), kind("1991-01-06")), (Kind::Missing, Kind::Accumulated { days: None }));
        // QC_J_flags: the marker combines the flags of a trace (1) and of an accumulation (2).
        assert_eq!((kind("1991-01-08"), kind("1991-01-09")), (Kind::WithinTotal, Kind::Accumulated { days: Some(2) }));
        assert_eq!((kind("1991-01-10"), kind("1991-01-11")), (Kind::Missing, Kind::Accumulated { days: None }));
        assert_eq!((kind("1991-01-12"), record.diagnostics.count("quality-flag-unknown")), (Kind::Measured, 1));
    }

    #[test]
    fn a_file_that_breaks_off_and_other_sets_are_told() {
        let mut records: Vec<StationRecord> = Vec::new();
        read_bytes(
            "x",
            format!("{HEAD}1991-01-01 00:00:00,1,RAIN,0,NCM,900,1,838,1001,1.7,0,0,NA,NA,NA\r\n1991-01-02 00:00").as_bytes(),
            Wanted::default(),
            &mut records,
        )
        .unwrap();
        assert_eq!((records[0].diagnostics.count("file-cut-short"), records[0].diagnostics.count("line-unreadable")), (1, 1));
        for (title, heading, word) in [
            ("uk-hourly-rain-obs", "ob_end_time,id,id_type,ob_hour_count,prcp_amt", "hourly rain"),
            ("uk-daily-temperature-obs", "ob_end_time,id_type,id,ob_hour_count,max_air_temp", "daily temperature"),
        ] {
            let text =
                format!("Conventions,G,BADC-CSV,1\ntitle,G,{title}\nsource,G,Met Office MIDAS database\ndata\n{heading}\n1\nend data\n");
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(word), "{error}");
        }
    }

    #[test]
    fn a_table_in_semicolons_under_a_preamble_in_commas_is_read() {
        let plain = format!("{HEAD}1991-01-01 00:00:00,1,RAIN,1,NCM,900,1,838,1001,1.7,0,0,NA,NA,NA\r\nend data\r\n");
        let (preamble, table) = plain.split_at(plain.find("data\r\nob_date").unwrap());
        for text in [
            format!("{preamble}{}", table.replace(',', ";").replace("1.7", "1,7")),
            format!("\r\n\n\u{feff}{preamble}{table}"),
            // All in semicolons, with a comma in a text.
            plain
                .replace("Met Office MIDAS database", "Met Office MIDAS database; Exeter")
                .replace(',', ";")
                .replace("database; ", "database, "),
        ] {
            let mut records: Vec<StationRecord> = Vec::new();
            read_bytes("x", text.as_bytes(), Wanted::default(), &mut records).unwrap();
            assert_eq!((records[0].rain.total_micrometres(), records[0].rain.station.id.as_str()), (1700, "99838"), "{text}");
        }
    }

    #[test]
    fn a_day_that_ends_at_24_hours_is_the_calendar_day() {
        let rain = record(&["1991-01-01,DLY3208,2400,1,1.8,9", "1991-01-02,DLY3208,2400,1,1.7,9"]).rain;
        assert_eq!(rain.day_definition, DayDefinition { start_hour: Some(0), label: DayLabel::FirstDay });
    }

    #[test]
    fn a_total_of_the_better_report_beats_a_day_of_the_worse() {
        for rows in [
            ["1991-01-04,DLY3208,900,3,30.0,9", "1991-01-04,SSER,900,1,99.0,9"],
            ["1991-01-04,SSER,900,1,99.0,9", "1991-01-04,DLY3208,900,3,30.0,9"],
        ] {
            let rain = record(&[&["1991-01-01,DLY3208,900,1,1.0,9"][..], &rows, &["1991-01-05,DLY3208,900,1,2.0,9"]].concat()).rain;
            assert_eq!(rain.multi_day_totals().map(|total| (total.days, total.micrometres)).collect::<Vec<_>>(), [(Some(3), 30_000)]);
            assert_eq!(rain.greatest_day().unwrap().1, 2000);
        }
    }
}
