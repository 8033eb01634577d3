//! The values of a file of rows until its end: six bytes each, so that a year of the whole world takes three kilobytes a station.
//!
//! A value with its two flags fits 32 bits and its day 16, counted from the station's first. What does not fit (a value before
//! the first one read, out of range, or with something to tell) goes into a list of its own.

use super::STATIONS_WITH_LINES;
use crate::finding::{Findings, Line};
use crate::formats::ghcn_totals::{self, Paired};
use crate::formats::{Input, ghcn};
use crate::observation_time::ObservationTimes;
use crate::station_days::{MOST_STATIONS, Place, StationDays, tell_too_many};
use crate::{Sink, date, fields};
use series::{Day, DayDefinition, Reading, Station};
use std::collections::HashMap;

/// Micrometres of a tenth of a millimetre.
const MICROMETRES: i32 = 100;
/// Column of the value in a row.
const VALUE_COLUMN: u32 = 27;
/// Values under this fit into seventeen bits; the layout has five digits.
const MOST_TENTHS: i32 = 1 << 17;

/// A multi-day total, or a length, as the file states it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Amount {
    pub(super) day: Day,
    pub(super) value: i32,
    pub(super) quality: u8,
    pub(super) line: u32,
}

/// One station of the file.
pub(super) struct StationRows<'a> {
    id: [u8; 11],
    first: Option<Day>,
    days: Vec<u16>,
    codes: Vec<u32>,
    lines: Vec<u32>,
    keeps_lines: bool,
    /// With how many values of the common kind came before each.
    odd: Vec<(Day, Reading, u32, usize)>,
    pub(super) totals: Vec<Amount>,
    pub(super) lengths: Vec<Amount>,
    pub(super) greatest: Vec<(Day, i16)>,
    pub(super) least: Vec<(Day, i16)>,
    pub(super) findings: Findings<'a>,
    times: ObservationTimes,
    /// The station whose row came after this one's the last time.
    next: usize,
}

impl<'a> StationRows<'a> {
    fn new(id: [u8; 11], input: Input<'a>, keeps_lines: bool) -> Self {
        Self {
            id,
            first: None,
            days: Vec::new(),
            codes: Vec::new(),
            lines: Vec::new(),
            keeps_lines,
            odd: Vec::new(),
            totals: Vec::new(),
            lengths: Vec::new(),
            greatest: Vec::new(),
            least: Vec::new(),
            findings: input.findings(),
            times: ObservationTimes::default(),
            next: usize::MAX,
        }
    }

    /// A value with nothing to tell of it.
    pub(super) fn rain(&mut self, day: Day, tenths: i32, measurement: u8, quality: u8, line: u32) {
        let first = *self.first.get_or_insert(day);
        match (u16::try_from(day.since(first)), code(tenths, measurement)) {
            (Ok(days), Some(code)) => {
                self.days.push(days);
                self.codes.push(code);
                if self.keeps_lines {
                    self.lines.push(line);
                }
            }
            _ => {
                if let Some(reading) = ghcn::common(measurement, quality, tenths) {
                    self.odd(day, reading, line);
                }
            }
        }
    }

    /// Any other value.
    pub(super) fn odd(&mut self, day: Day, reading: Reading, line: u32) {
        self.odd.push((day, reading, line, self.codes.len()));
    }

    pub(super) fn observed_at(&mut self, day: Day, time: &[u8]) {
        self.times.add(day, time);
    }

    fn record(mut self, input: Input<'a>, format: &'static str) -> crate::StationRecord {
        let id = String::from_utf8_lossy(&self.id).into_owned();
        let mut days = StationDays::new(input, Station::named_only(id), DayDefinition::default());
        days.findings = self.findings;
        // Most networks leave the time out, and a note for each of their stations would be no news.
        if self.times.any() {
            days.day_definition = self.times.definition(&mut days.findings);
        }
        let place = |line: u32| Place { line, column: VALUE_COLUMN as u16, width: 1 };
        // Both kinds in the order of the file: of two usable values of a day the first stands.
        let mut odd = self.odd.into_iter().peekable();
        for (i, (&offset, &code)) in self.days.iter().zip(&self.codes).enumerate() {
            while let Some((day, reading, line, _)) = odd.next_if(|(.., before)| *before <= i) {
                days.day(day, reading, place(line));
            }
            if let Some(first) = self.first {
                let line = self.lines.get(i).copied().unwrap_or(0);
                days.day(first.plus(i32::from(offset)), reading(code), place(line));
            }
        }
        for (day, reading, line, _) in odd {
            days.day(day, reading, place(line));
        }
        self.greatest.into_iter().for_each(|(day, tenths)| days.greatest(day, tenths));
        self.least.into_iter().for_each(|(day, tenths)| days.least(day, tenths));
        totals(&mut self.totals, &mut self.lengths, &mut days);
        days.record(input, format)
    }
}

/// Value and measurement flag in 32 bits.
fn code(tenths: i32, measurement: u8) -> Option<u32> {
    (0..MOST_TENTHS).contains(&tenths).then(|| u32::from(measurement) << 17 | tenths as u32)
}

fn reading(code: u32) -> Reading {
    let (tenths, measurement) = ((code & (MOST_TENTHS as u32 - 1)) as i32, (code >> 17) as u8);
    ghcn::common(measurement, b' ', tenths).unwrap_or(Reading::MISSING)
}

/// Puts each total with the length of its day.
fn totals(totals: &mut [Amount], lengths: &mut [Amount], days: &mut StationDays<'_>) {
    totals.sort_by_key(|total| total.day);
    lengths.sort_by_key(|length| length.day);
    // The line of a total is kept, and not where in it its fields stand.
    let stated = |amount: &Amount, unit: i32| ghcn_totals::Amount {
        day: amount.day,
        value: Some(i64::from(amount.value) * i64::from(unit)),
        quality: amount.quality,
        line: Line { number: amount.line, text: b"" },
        value_columns: (VALUE_COLUMN, 1),
        quality_columns: (VALUE_COLUMN, 1),
    };
    let totals: Vec<_> = totals.iter().map(|total| stated(total, MICROMETRES)).collect();
    let lengths: Vec<_> = lengths.iter().map(|length| stated(length, 1)).collect();
    for (total, paired) in ghcn_totals::pair(&totals, &lengths, &mut days.findings) {
        match paired {
            Paired::Accepted(micrometres, length) => {
                let place = Place::new(total.line, total.value_columns);
                days.total_of_told_length(total.day, micrometres, length, place, 0);
            }
            Paired::Rejected(rejected) => days.rejected_total(total.day, rejected),
        }
    }
}

/// All stations of a file, in the order in which they appear.
#[derive(Default)]
pub(super) struct Stations<'a> {
    list: Vec<StationRows<'a>>,
    places: HashMap<[u8; 11], usize>,
    current: usize,
    date: [u8; 8],
    day: Option<Day>,
    /// Whether there was a station beyond the most that are read.
    too_many: bool,
}

impl<'a> Stations<'a> {
    pub(super) fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether rows of further stations are passed over.
    pub(super) fn are_too_many(&self) -> bool {
        self.too_many
    }

    /// The day of eight digits; rows of one day follow one another, so the last one is kept.
    pub(super) fn day(&mut self, date: &[u8]) -> Option<Day> {
        if date != self.date || self.day.is_none() {
            self.date = date.try_into().ok()?;
            self.day = date::compact(date).ok();
        }
        self.day
    }

    /// The station of an id; nothing for what can be no id, or for more stations than there are. Files are ordered by day and the stations of a day follow one another as on the
    /// day before, so the next one is tried first.
    pub(super) fn at(&mut self, id: &[u8], input: Input<'a>) -> Option<&mut StationRows<'a>> {
        if self.list.get(self.current).is_none_or(|current| current.id != id) {
            let next = self.list.get(self.current).map_or(usize::MAX, |current| current.next);
            self.current = if self.list.get(next).is_some_and(|next| next.id == id) { next } else { self.look_up(id, input)? };
        }
        self.list.get_mut(self.current)
    }

    #[cold]
    fn look_up(&mut self, id: &[u8], input: Input<'a>) -> Option<usize> {
        let key: [u8; 11] = id.try_into().ok()?;
        let place = match self.places.get(&key) {
            Some(&place) => place,
            None if !fields::is_station_id(id) => return None,
            None if self.list.len() == MOST_STATIONS => {
                self.too_many = true;
                return None;
            }
            None => {
                if self.list.len() == STATIONS_WITH_LINES {
                    self.list.iter_mut().for_each(|station| (station.keeps_lines, station.lines) = (false, Vec::new()));
                }
                let keeps_lines = self.list.len() < STATIONS_WITH_LINES;
                self.list.push(StationRows::new(key, input, keeps_lines));
                self.places.insert(key, self.list.len() - 1);
                self.list.len() - 1
            }
        };
        if let Some(current) = self.list.get_mut(self.current) {
            current.next = place;
        }
        Some(place)
    }

    /// Hands one record after the other to the sink.
    pub(super) fn finish(self, input: Input<'a>, format: &'static str, findings: &mut Findings<'a>, sink: &mut dyn Sink) {
        if self.too_many {
            tell_too_many(findings);
        }
        for station in self.list {
            sink.station(station.record(input, format));
        }
    }
}
