//! The record as the tests work on it: depths in a row, days without one marked, dates and months at hand, neighbours laid beside it.

use super::{Neighbour, NeighbourUsed};
use crate::calendar;
use series::{DailySeries, Day, Kind, Period};

/// Stands for a day without a depth of its own.
pub(crate) const NONE: i32 = -1;
/// Places of the calendar dates, those of a leap year.
pub(crate) const DATES: usize = 366;
/// A tested day of at least 1 mm, micrometres.
pub(crate) const WET: i32 = 1000;

/// A calendar month of the record.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MonthSpan {
    pub(crate) year: i32,
    /// 1 to 12.
    pub(crate) month: u32,
    /// Index of its first day and of the day after its last.
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// The days that are tested.
#[derive(Debug, Clone)]
pub(crate) struct WorkingDays {
    pub(crate) first: Day,
    /// Micrometres, or [`NONE`].
    pub(crate) depths: Vec<i32>,
    /// Place of each day's date in a leap year.
    pub(crate) dates: Vec<u16>,
    pub(crate) months: Vec<MonthSpan>,
    /// Places of the days on which marked multi-day totals end.
    pub(crate) totals: Vec<usize>,
    /// Each neighbour's depths on the same days.
    pub(crate) neighbours: Vec<Beside>,
}

/// A neighbour laid beside the record.
#[derive(Debug, Clone)]
pub(crate) struct Beside {
    pub(crate) distance_km: f64,
    pub(crate) depths: Vec<i32>,
    common_days: usize,
}

impl WorkingDays {
    /// Nothing when no day has a depth.
    pub(crate) fn new(series: &DailySeries, neighbours: &[Neighbour<'_>]) -> Option<Self> {
        let first = series.period()?.first;
        let depths: Vec<i32> = depths(series);
        let mut dates = Vec::with_capacity(depths.len());
        let mut months = Vec::with_capacity(depths.len() / 30 + 2);
        for slice in calendar::months(series) {
            let start = dates.len();
            let place = date_place(slice.month, slice.first.day_of_month());
            dates.extend((0..slice.readings.len() as u16).map(|i| place + i));
            months.push(MonthSpan { year: slice.year, month: slice.month, start, end: dates.len() });
        }
        let neighbours = neighbours.iter().map(|neighbour| Beside::new(neighbour, first, &depths)).collect();
        let ends_total = |reading: &series::Reading| matches!(reading.kind(), Kind::Accumulated { .. });
        let totals = series.readings().iter().enumerate().filter(|(_, reading)| ends_total(reading)).map(|(at, _)| at).collect();
        Some(Self { first, depths, dates, months, totals, neighbours })
    }

    /// Who was used: those with days in common.
    pub(crate) fn neighbours_used(&self, given: &[Neighbour<'_>]) -> Vec<NeighbourUsed> {
        let pairs = given.iter().zip(&self.neighbours).filter(|(_, beside)| beside.common_days > 0);
        pairs
            .map(|(neighbour, beside)| NeighbourUsed {
                id: neighbour.series.station.id.clone(),
                distance_km: neighbour.distance_km,
                common_days: beside.common_days,
            })
            .collect()
    }

    /// Neighbours with days in common.
    pub(crate) fn neighbours(&self) -> impl Iterator<Item = &Beside> {
        self.neighbours.iter().filter(|beside| beside.common_days > 0)
    }

    /// The day at a place.
    pub(crate) fn day(&self, at: usize) -> Day {
        self.first.plus(at as i32)
    }

    /// The period from a place to the one before another.
    pub(crate) fn period(&self, start: usize, end: usize) -> Period {
        Period::new(self.day(start), self.day(end.max(start + 1) - 1))
    }

    /// Days with a depth.
    pub(crate) fn usable(&self) -> usize {
        self.depths.iter().filter(|depth| **depth != NONE).count()
    }

    /// Take the days of a period away from the tests to come; those that had a depth.
    pub(crate) fn reject(&mut self, period: Period) -> Vec<Day> {
        let from = period.first.since(self.first).max(0) as usize;
        let to = usize::try_from(period.last.since(self.first) + 1).unwrap_or(0).min(self.depths.len());
        let mut days = Vec::new();
        for at in from..to {
            if self.depths[at] != NONE {
                days.push(self.day(at));
                self.depths[at] = NONE;
            }
        }
        days
    }

    /// The greatest depth of the neighbours within `reach_km` from the day before to the day after, and how many had a depth then.
    pub(crate) fn greatest_nearby(&self, at: usize, reach_km: f64) -> (Option<i32>, usize) {
        let near = self.neighbours().filter(|beside| beside.distance_km <= reach_km);
        near.filter_map(|beside| beside.around(at).max()).fold((None, 0), |(greatest, n), depth| (greatest.max(Some(depth)), n + 1))
    }
}

impl Beside {
    fn new(neighbour: &Neighbour<'_>, first: Day, own: &[i32]) -> Self {
        let mut beside = vec![NONE; own.len()];
        if let Some(period) = neighbour.series.period() {
            let theirs = depths(neighbour.series);
            let shift = period.first.plus(-neighbour.days_later).since(first);
            let (to, from) = (shift.max(0) as usize, (-shift).max(0) as usize);
            if to < own.len() && from < theirs.len() {
                let length = (own.len() - to).min(theirs.len() - from);
                beside[to..to + length].copy_from_slice(&theirs[from..from + length]);
            }
        }
        let common_days = own.iter().zip(&beside).filter(|(own, theirs)| **own != NONE && **theirs != NONE).count();
        Self { distance_km: neighbour.distance_km, depths: beside, common_days }
    }

    /// Its depths from the day before to the day after, where it has them.
    pub(crate) fn around(&self, at: usize) -> impl Iterator<Item = i32> {
        let days = &self.depths[at.saturating_sub(1)..(at + 2).min(self.depths.len())];
        days.iter().copied().filter(|depth| *depth != NONE)
    }
}

fn depths(series: &DailySeries) -> Vec<i32> {
    series.readings().iter().map(|reading| reading.depth().map_or(NONE, |depth| depth as i32)).collect()
}

/// The place of a month's day in a leap year, from 0.
fn date_place(month: u32, day: u32) -> u16 {
    const BEFORE: [u16; 12] = [0, 31, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335];
    BEFORE[(month.clamp(1, 12) - 1) as usize] + day as u16 - 1
}

/// Micrometres as millimetres.
pub(crate) fn mm(micrometres: i32) -> f64 {
    f64::from(micrometres) / 1000.0
}
