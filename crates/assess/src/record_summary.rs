//! What is in one record: days of each kind, total, greatest day, flags. The command `record` and the record sheet share it.

use crate::record_cautions::{RecordCaution, record_cautions};
use crate::record_sheet::RecordSheet;
use ingest::StationRecord;
use serde::Serialize;
use series::{DailySeries, Day, DayCounts, DayDefinition, Diagnostics, Extent, Kind, Rejection, SourceFile, Station};
use stats::QualityReport;
use std::collections::BTreeMap;

/// One record in figures. In JSON the fields stand as they are named here.
#[derive(Debug, Clone, Serialize)]
pub struct RecordSummary {
    /// Whose.
    pub station: Station,
    /// The file, its checksum and format.
    pub source: Source,
    /// Which 24 hours a date means.
    pub day_definition: DayDefinition,
    /// One gauge, or the mean of an area, of which no greatest day is taken.
    pub extent: Extent,
    /// First usable day (measured or trace).
    pub first_day: Option<Day>,
    /// Last usable day.
    pub last_day: Option<Day>,
    /// Days of each kind from the first to the last.
    pub days: DayCounts,
    /// Readings that lie before the first or after the last usable day; not in `days`.
    pub readings_outside: usize,
    /// Of these, the rejected ones before the first usable day: the record does not begin there, although its file does.
    pub rejected_before_first_day: usize,
    /// The same after the last usable day.
    pub rejected_after_last_day: usize,
    /// Sum of the usable days' own depths, mm. Multi-day totals are not in it.
    pub total_mm: f64,
    /// The greatest depth of one usable day: zero where none had rain, which no page calls a greatest day.
    pub greatest_day: Option<GreatestDay>,
    /// Multi-day totals.
    pub multi_day_totals: MultiDayTotals,
    /// Rejected days by reason.
    pub rejected: BTreeMap<String, usize>,
    /// Days with a mean temperature.
    pub days_with_temperature: usize,
    /// By year and calendar month, gaps, totals, flags.
    #[serde(flatten)]
    pub sheet: RecordSheet,
    /// What the quality tests found; nothing where they were not made.
    pub quality: Option<QualityReport>,
    /// What a careful person should know, the gravest first.
    pub to_know: Vec<RecordCaution>,
    /// What was found wrong or worth knowing.
    pub diagnostics: Diagnostics,
}

/// The file of a record, or its files.
#[derive(Debug, Clone, Serialize)]
pub struct Source {
    /// The first file as it was named.
    pub file: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// The format in words.
    pub format: String,
    /// Every file with its checksum, in the order of time.
    pub files: Vec<SourceFile>,
}

/// A date and its depth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GreatestDay {
    /// The date; the earliest of equals.
    pub date: Day,
    /// The depth, mm.
    pub depth_mm: f64,
}

/// The multi-day totals of a record.
#[derive(Debug, Clone, Copy, Default, Serialize)]
pub struct MultiDayTotals {
    /// How many of known length.
    pub of_known_length: usize,
    /// How many of unknown length.
    pub of_unknown_length: usize,
    /// Their rain together, mm.
    pub total_mm: f64,
}

impl RecordSummary {
    /// The figures of a record, looked at on the day `as_of`, where one is given, with what its quality tests found, where they were made.
    pub fn of(record: &StationRecord, as_of: Option<Day>, quality: Option<QualityReport>) -> Self {
        let rain = &record.rain;
        let period = rain.period();
        let sheet = RecordSheet::of(record, quality.as_ref());
        Self {
            station: rain.station.clone(),
            source: Source {
                file: rain.provenance.file().to_owned(),
                sha256: rain.provenance.sha256().to_owned(),
                format: rain.provenance.format.clone(),
                files: rain.provenance.sources.clone(),
            },
            day_definition: rain.day_definition,
            extent: rain.extent,
            first_day: period.map(|period| period.first),
            last_day: period.map(|period| period.last),
            days: rain.counts(),
            readings_outside: rain.readings_outside(),
            rejected_before_first_day: rejected_outside(rain, |day| period.is_some_and(|period| day < period.first)),
            rejected_after_last_day: rejected_outside(rain, |day| period.is_some_and(|period| day > period.last)),
            total_mm: millimetres(rain.total_micrometres()),
            greatest_day: rain.greatest_day().map(|(date, depth)| GreatestDay { date, depth_mm: millimetres(depth) }),
            multi_day_totals: totals(rain),
            rejected: rejections(rain),
            days_with_temperature: record.temperature.days_with_mean(),
            to_know: record_cautions(record, &sheet, quality.as_ref(), as_of),
            sheet,
            quality,
            diagnostics: record.diagnostics.clone(),
        }
    }
}

/// Micrometres as mm.
pub(crate) fn millimetres(micrometres: i64) -> f64 {
    micrometres as f64 / 1000.0
}

/// Rejected readings outside the record on such days.
fn rejected_outside(rain: &DailySeries, on: impl Fn(Day) -> bool) -> usize {
    rain.outside().iter().filter(|(day, reading)| on(*day) && matches!(reading.kind(), Kind::Rejected(_))).count()
}

fn totals(rain: &DailySeries) -> MultiDayTotals {
    let mut all = MultiDayTotals::default();
    let mut micrometres = 0;
    for total in rain.stated_totals() {
        match total.days {
            Some(_) => all.of_known_length += 1,
            None => all.of_unknown_length += 1,
        }
        micrometres += total.micrometres;
    }
    MultiDayTotals { total_mm: millimetres(micrometres), ..all }
}

fn rejections(rain: &DailySeries) -> BTreeMap<String, usize> {
    let mut by_reason: BTreeMap<Rejection, usize> = BTreeMap::new();
    for reading in rain.readings() {
        if let Kind::Rejected(why) = reading.kind() {
            *by_reason.entry(why).or_default() += 1;
        }
    }
    by_reason.into_iter().map(|(why, count)| (why.to_string(), count)).collect()
}
