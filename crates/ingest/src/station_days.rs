//! A station's values on their way into a series: gathered in the order of the file, put in the order of time at the end.
//!
//! A value takes twenty bytes until then, so a file of a few lines dated centuries apart stays small; the dense calendar is made for
//! one station at a time. Where a day is stated twice one value stands and the other is told:
//!
//! * of values of different rank (a checked and an unchecked report of one day) the higher rank stands;
//! * of equal rank a usable one stands before one that is rejected, and of two alike the first in the file;
//! * one that cannot be read, or be a depth at all, stands before none.
//!
//! Totals over several days are ranked and told in the same way, among themselves and against a value of their last day.

use crate::StationRecord;
use crate::believed;
use crate::decimal::millimetres;
use crate::finding::{Findings, Line};
use crate::formats::Input;
use crate::multi_day_totals::{self, MOST_DAYS, Total};
use crate::observation_time::ObservationTimes;
use series::{DailySeries, Day, DayDefinition, Extent, Kind, Provenance, Reading, Rejection, Severity, Station};

mod stated_again;
mod stations;
mod temperatures;
#[cfg(test)]
mod tests;

pub(crate) use stated_again::told;
use stated_again::{tell_second_report, tell_second_value};
pub(crate) use stations::{MOST_STATIONS, Stations, tell_too_many};

/// Daily rain before this year is known from a handful of places (from memory).
const OLDEST_YEAR: i32 = 1780;

/// Where a value stands: line from 1, column from 1, width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) line: u32,
    pub(crate) column: u16,
    pub(crate) width: u16,
}

impl Place {
    /// Columns that a row or a layout gives.
    pub(crate) fn new(line: Line<'_>, (column, width): (u32, u32)) -> Self {
        let short = |number: u32| u16::try_from(number).unwrap_or(u16::MAX);
        Self { line: line.number, column: short(column), width: short(width) }
    }

    fn line(self) -> Line<'static> {
        Line { number: self.line, text: b"" }
    }

    fn columns(self) -> (u32, u32) {
        (u32::from(self.column), u32::from(self.width))
    }
}

#[derive(Debug, Clone, Copy)]
struct Value {
    day: Day,
    reading: Reading,
    line: u32,
    column: u16,
    rank: u8,
}

impl Value {
    /// What goes before on a day; the least stands.
    fn order(&self) -> (bool, u8, bool) {
        let no_depth = matches!(self.reading.kind(), Kind::Rejected(Rejection::Unreadable | Rejection::Impossible));
        (no_depth, u8::MAX - self.rank, matches!(self.reading.kind(), Kind::Rejected(_)))
    }
}

#[derive(Debug, Clone, Copy)]
struct StatedTotal {
    last: Day,
    micrometres: i32,
    days: Option<i32>,
    place: Place,
    rank: u8,
}

impl StatedTotal {
    fn reading(&self) -> Reading {
        Reading::accumulated(self.micrometres, self.days.and_then(|days| u16::try_from(days).ok()))
    }
}

/// One station of a file, being gathered.
pub(crate) struct StationDays<'a> {
    /// Who it is, as far as the file says.
    pub(crate) station: Station,
    /// Which 24 hours a date of the file means.
    pub(crate) day_definition: DayDefinition,
    /// One gauge, or the mean of an area.
    pub(crate) extent: Extent,
    /// What is found in its lines.
    pub(crate) findings: Findings<'a>,
    /// At what times the gauge was read, where the lines say so.
    pub(crate) observation_times: ObservationTimes,
    values: Vec<Value>,
    last_row: Option<Day>,
    totals: Vec<StatedTotal>,
    rejected_totals: Vec<(Day, Reading)>,
    greatest: Vec<(Day, i16)>,
    least: Vec<(Day, i16)>,
}

impl<'a> StationDays<'a> {
    pub(crate) fn new(input: Input<'a>, station: Station, day_definition: DayDefinition) -> Self {
        Self {
            station,
            day_definition,
            extent: Extent::Gauge,
            findings: input.findings(),
            observation_times: ObservationTimes::default(),
            values: Vec::new(),
            last_row: None,
            totals: Vec::new(),
            rejected_totals: Vec::new(),
            greatest: Vec::new(),
            least: Vec::new(),
        }
    }

    /// A day's reading. A missing one is nothing to keep.
    pub(crate) fn day(&mut self, day: Day, reading: Reading, place: Place) {
        self.ranked_day(day, reading, place, 0);
    }

    /// The same from one of several reports of a day; the highest rank stands.
    pub(crate) fn ranked_day(&mut self, day: Day, reading: Reading, place: Place, rank: u8) {
        self.last_row = self.last_row.max(Some(day));
        if reading.kind() != Kind::Missing {
            self.values.push(Value { day, reading, line: place.line, column: place.column, rank });
        }
    }

    /// A total over several days that its source accepts; a length under 2 or over a year is held to be unknown and told.
    pub(crate) fn total(&mut self, last: Day, micrometres: i32, days: Option<i32>, place: Place) {
        self.ranked_total(last, micrometres, days, place, 0);
    }

    /// The same from one of several reports of a day; the highest rank stands.
    pub(crate) fn ranked_total(&mut self, last: Day, micrometres: i32, days: Option<i32>, place: Place, rank: u8) {
        let known = days.filter(|days| (2..=MOST_DAYS).contains(days));
        if known.is_none() {
            self.findings.at("total-of-unknown-length", Severity::Note, place.line(), place.columns(), || {
                let found = days.map_or_else(|| "no length".to_owned(), |days| format!("a length of {days}"));
                (
                    format!("found {found} to the multi-day total of {last}, expected a length of 2 to {MOST_DAYS} days"),
                    "It is a total of unknown length and fills no missing day.",
                )
            });
        }
        let most = believed::most_of_days(known);
        if micrometres > most {
            self.findings.at("value-impossible", Severity::Warning, place.line(), place.columns(), || {
                let (depth, most) = (millimetres(i64::from(micrometres)), most / 1000);
                (format!("found a multi-day total of {depth} mm on {last}, expected 0 to {most} mm"), "The total is rejected.")
            });
            return self.rejected_total(last, Reading::rejected(micrometres, Rejection::Impossible));
        }
        self.total_of_told_length(last, micrometres, known, place, rank);
    }

    /// The same where what there is to tell of the length has been told.
    pub(crate) fn total_of_told_length(&mut self, last: Day, micrometres: i32, days: Option<i32>, place: Place, rank: u8) {
        self.last_row = self.last_row.max(Some(last));
        self.totals.push(StatedTotal { last, micrometres, days, place, rank });
    }

    /// A total that is not accepted: it stands on its day where nothing else does.
    pub(crate) fn rejected_total(&mut self, last: Day, rejected: Reading) {
        self.rejected_totals.push((last, rejected));
    }

    /// The greatest air temperature of a day, tenths of a degree Celsius.
    pub(crate) fn greatest(&mut self, day: Day, tenths: i16) {
        self.greatest.push((day, tenths));
    }

    /// The least air temperature of a day, tenths of a degree Celsius.
    pub(crate) fn least(&mut self, day: Day, tenths: i16) {
        self.least.push((day, tenths));
    }

    /// How many days have a value of their own, and how many of them a second one that differs.
    pub(crate) fn days_and_second_values(&self) -> (usize, usize) {
        let mut usable: Vec<&Value> = self.values.iter().filter(|value| value.reading.is_usable()).collect();
        usable.sort_by_key(|value| value.day);
        let days = usable.chunk_by(|one, other| one.day == other.day);
        days.fold((0, 0), |(days, differing), values| {
            let differs = values.iter().any(|value| value.reading.depth() != values[0].reading.depth());
            (days + 1, differing + usize::from(differs))
        })
    }

    /// Whether no value and no total came.
    pub(crate) fn is_empty(&self) -> bool {
        self.values.is_empty() && self.totals.is_empty() && self.rejected_totals.is_empty()
    }

    /// The record that it all makes. `format` is the product in words.
    pub(crate) fn record(mut self, input: Input<'_>, format: &str) -> StationRecord {
        self.put_in_order();
        let mut provenance = Provenance::of_file(input.name, input.sha256, format, Vec::new());
        self.values.iter().for_each(|value| provenance.add_day(0, value.day, value.line, value.column));
        let (first, readings) = self.dense().unwrap_or_else(|| (Day::first_of_year(1600), Vec::new()));
        let mut rain = DailySeries::new(self.station, first, readings);
        if let Some(first) = rain.period().map(|period| period.first).filter(|first| first.year() < OLDEST_YEAR) {
            self.findings.whole("date-odd", Severity::Warning, || {
                (
                    format!(
                        "found rain dated {first}, before all but a handful of the world's daily gauges; expected {OLDEST_YEAR} or later"
                    ),
                    "The values are read under the dates that the file gives; look into where it came from.",
                )
            });
        }
        if rain.period().is_none() {
            self.findings.whole("no-usable-day", Severity::Note, || {
                ("no day of precipitation is usable; expected at least one".to_owned(), "The record holds no day of rain.")
            });
        }
        multi_day_totals::tell_outside(&rain, &mut self.findings);
        rain.day_definition = self.day_definition;
        rain.extent = self.extent;
        provenance.last_row = self.last_row;
        rain.provenance = provenance;
        let temperature = temperatures::by_day(self.greatest, self.least, &mut self.findings);
        StationRecord { rain, temperature, diagnostics: self.findings.finish() }
    }

    /// One value a day, in the order of time.
    fn put_in_order(&mut self) {
        if !self.values.is_sorted_by(|a, b| a.day < b.day) {
            self.values.sort_by_key(|value| (value.day, value.order()));
        }
        let findings = &mut self.findings;
        self.values.dedup_by(|later, stands| {
            let again = later.day == stands.day;
            if again && later.rank == stands.rank {
                tell_second_value(later, stands, findings);
            } else if again && later.reading.depth() != stands.reading.depth() {
                tell_second_report(later, stands, findings);
            }
            again
        });
        self.put_totals_in_order();
    }

    /// One total a day at most, and none beside a value of another rank.
    fn put_totals_in_order(&mut self) {
        let findings = &mut self.findings;
        let value_of = |total: &StatedTotal| {
            let (reading, line, column) = (total.reading(), total.place.line, total.place.column);
            Value { day: total.last, reading, line, column, rank: total.rank }
        };
        self.totals.sort_by_key(|total| (total.last, u8::MAX - total.rank));
        self.totals.dedup_by(|later, stands| {
            let again = later.last == stands.last;
            if again && later.rank == stands.rank {
                tell_second_value(&value_of(later), &value_of(stands), findings);
            } else if again && later.reading() != stands.reading() {
                tell_second_report(&value_of(later), &value_of(stands), findings);
            }
            again
        });
        let (values, mut beaten) = (&self.values, Vec::new());
        self.totals.retain(|total| {
            let Ok(at) = values.binary_search_by_key(&total.last, |value| value.day) else { return true };
            let (value, total) = (values[at], value_of(total));
            if value.rank < total.rank {
                tell_second_report(&value, &total, findings);
                beaten.push(value.day);
            } else if value.rank > total.rank {
                tell_second_report(&total, &value, findings);
            }
            value.rank <= total.rank
        });
        // In the order of time, as the totals are.
        self.values.retain(|value| beaten.binary_search(&value.day).is_err());
    }

    /// Every day from the first to the last, with the totals in their places.
    fn dense(&mut self) -> Option<(Day, Vec<Reading>)> {
        let stated = [self.values.first(), self.values.last()].into_iter().flatten().map(|value| value.day);
        let totals = self.totals.iter().map(|total| total.last).chain(self.rejected_totals.iter().map(|(last, _)| *last));
        let days = stated.chain(totals);
        let (first, last) = (days.clone().min()?, days.max()?);
        let mut readings = vec![Reading::MISSING; usize::try_from(last.since(first)).ok()? + 1];
        let place = |day: Day| usize::try_from(day.since(first)).ok();
        for value in &self.values {
            if let Some(slot) = place(value.day).and_then(|i| readings.get_mut(i)) {
                *slot = value.reading;
            }
        }
        for &(last, rejected) in &self.rejected_totals {
            if let Some(slot) = place(last).and_then(|i| readings.get_mut(i)).filter(|slot| slot.kind() == Kind::Missing) {
                *slot = rejected;
            }
        }
        for &StatedTotal { last, micrometres, days, place, .. } in &self.totals {
            let total = Total { last, micrometres, days, line: place.line(), columns: place.columns() };
            multi_day_totals::put(first, &mut readings, &total, &mut self.findings);
        }
        Some((first, readings))
    }
}
