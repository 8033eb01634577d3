//! The years of a run that may be drawn, and where one is cut from the next.
//!
//! Years begin on the first day of the wettest calendar month (greatest mean monthly rain; of several stations, greatest sum of their
//! shares of the year), so that the cut lies where dry spells are shortest and none of the dry season is broken (CHECKS H18). A year may be
//! drawn when it lies whole in the run, every day of it has a depth at every station, and at most [`REPLAY_FILLED_SHARE`] of its days are
//! filled. A year has its own length: 366 days when it holds a 29 February, else 365. Depths in mm. Source: DESIGN section 6 (bands).

use crate::site_series::{REPLAY_FILLED_SHARE, SiteSeries};
use serde::Serialize;
use series::{Day, Period, Withheld, days_in_month};

/// Fewest source years that are drawn from (common practice, no source).
pub const RESAMPLING_NEEDS_YEARS: u32 = 10;

/// One day of the run, at the worst of its stations.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceDay {
    /// With a depth of its own.
    Own,
    /// With a depth that stands in for a missing one.
    Filled,
    /// Without a depth.
    Without,
}

/// One year of the run, from cut to cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct SourceYear {
    /// Calendar year of its first day.
    pub year: i32,
    /// Place of its first day in the run.
    pub from: usize,
    /// Its days, 365 or 366.
    pub days: usize,
}

/// The years that may be drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SourceYears {
    /// First day of the run that the places count from.
    pub first: Day,
    /// Calendar month on whose first day a year begins, 1 to 12.
    pub cut_month: u32,
    /// The years, in order; not all of them follow one another.
    pub years: Vec<SourceYear>,
    days: Vec<SourceDay>,
}

impl SourceYears {
    /// Of one station or several that are resampled together, over the days that all of them have, cut at the wettest month.
    ///
    /// # Errors
    /// [`Withheld::NothingAccepted`] without a station, when they share no day, or when a calendar month has no day with a depth;
    /// [`Withheld::NoRain`] when no station has rain; [`Withheld::TooFewYears`] with fewer than [`RESAMPLING_NEEDS_YEARS`] years to draw from.
    pub fn of_stations(stations: &[&SiteSeries]) -> Result<Self, Withheld> {
        let period = shared_period(stations).ok_or(Withheld::NothingAccepted)?;
        let days =
            period.iter().map(|day| stations.iter().map(|station| source_day(station, day)).max().unwrap_or(SourceDay::Without)).collect();
        Self::cut_at(period.first, days, wettest_month(stations, period)?)
    }

    /// Of days from `first` on, cut at the first day of a month (1 to 12).
    pub(crate) fn cut_at(first: Day, days: Vec<SourceDay>, cut_month: u32) -> Result<Self, Withheld> {
        let years = whole_years(first, &days, cut_month);
        if years.len() < RESAMPLING_NEEDS_YEARS as usize {
            return Err(Withheld::TooFewYears { have: years.len() as u32, need: RESAMPLING_NEEDS_YEARS });
        }
        Ok(Self { first, cut_month, years, days })
    }

    /// Days of the run; places are below it.
    pub fn days(&self) -> usize {
        self.days.len()
    }

    /// The date of a place of the run.
    pub fn date(&self, place: usize) -> Day {
        self.first.plus(place as i32)
    }

    /// The calendar years that the same rule would let be drawn, in order.
    pub(crate) fn calendar_years(&self) -> Vec<SourceYear> {
        whole_years(self.first, &self.days, 1)
    }
}

fn shared_period(stations: &[&SiteSeries]) -> Option<Period> {
    let mut periods = stations.iter().filter(|station| !station.days.is_empty()).map(|station| station.period());
    let first = periods.next()?;
    let shared = periods.try_fold(first, Period::overlap)?;
    stations.iter().all(|station| !station.days.is_empty()).then_some(shared)
}

fn source_day(station: &SiteSeries, day: Day) -> SourceDay {
    match station.day(day) {
        Some(entry) if entry.depth.is_none() => SourceDay::Without,
        Some(entry) if entry.origin.is_filled() => SourceDay::Filled,
        Some(_) => SourceDay::Own,
        None => SourceDay::Without,
    }
}

/// The month of the greatest mean rain, 1 to 12, the earliest of equals.
fn wettest_month(stations: &[&SiteSeries], period: Period) -> Result<u32, Withheld> {
    let mut shares = [0.0; 12];
    for station in stations {
        let mut sums = [(0.0, 0_u32); 12];
        for day in period.iter() {
            if let Some(depth) = station.day(day).and_then(|entry| entry.depth) {
                let (sum, days) = &mut sums[day.month() as usize - 1];
                *sum += depth.get();
                *days += 1;
            }
        }
        if sums.iter().any(|&(_, days)| days == 0) {
            return Err(Withheld::NothingAccepted);
        }
        // The mean depth of a day times the days of the month, so that months with many gaps do not look dry.
        let mut month = 0;
        let months = sums.map(|(sum, days)| {
            month += 1;
            sum / f64::from(days) * f64::from(days_in_month(2001, month))
        });
        let year: f64 = months.iter().sum();
        if year > 0.0 {
            shares.iter_mut().zip(months).for_each(|(share, rain)| *share += rain / year);
        }
    }
    let wettest = (0..12).fold(0, |best, month| if shares[month] > shares[best] { month } else { best });
    if shares[wettest] > 0.0 { Ok(wettest as u32 + 1) } else { Err(Withheld::NoRain) }
}

/// The years from the first day of a month to the day before it, that may be drawn.
fn whole_years(first: Day, days: &[SourceDay], month: u32) -> Vec<SourceYear> {
    let begins = |year| Day::new(year, month, 1).filter(|&day| day >= first).map(|day| day.since(first) as usize);
    let last = first.plus(days.len() as i32);
    (first.year()..=last.year())
        .filter_map(|year| {
            let (from, end) = (begins(year)?, begins(year + 1)?);
            let of_year = days.get(from..end)?;
            let filled = of_year.iter().filter(|&&day| day == SourceDay::Filled).count();
            let whole = !of_year.contains(&SourceDay::Without) && filled as f64 <= REPLAY_FILLED_SHARE * of_year.len() as f64;
            whole.then_some(SourceYear { year, from, days: end - from })
        })
        .collect()
}
