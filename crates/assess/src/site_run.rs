//! The run of days that the balance stands on: the series at the site, whole, with snow told from rain.
//!
//! A year may be replayed when it is whole, every day has a depth and at most 10 % of its days are filled. The run goes from one such year
//! to another, with the years between, and is the longest of all such stretches whose days together are filled to at most 10 % (the
//! latest of equals): a gap of decades is not bridged with borrowed days. Where no year may be replayed, it is the longest stretch
//! without a day that could not be filled, and no headline rests on it.

use series::{Day, Period, Withheld};
use site::rain_run::{RainDay, RainRun};
use stats::{Filling, Origin, SiteGauges, SiteSeries, site_series};

/// What is known of snow at the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SnowKnowledge {
    /// The record has temperatures: frozen days are told from others.
    FromTemperatures,
    /// The site file says that it never freezes here.
    NoFrost,
    /// The site file says that it freezes here and that the store rests in winter: what falls outside of the rest is taken for rain.
    RestsThroughFrost,
    /// The site file says that it freezes here, and no temperature tells on which days: the headline is withheld.
    StatedFrost,
    /// Nothing tells, and the latitude and height do not rule frost out: the headline is withheld.
    Unknown,
    /// Nothing tells, and the site lies where frost does not come (within 23 degrees of the equator and below 1,500 m; common practice,
    /// no source).
    Tropical,
}

/// The run and where it came from.
#[derive(Debug, Clone)]
pub struct SiteRun {
    /// The days.
    pub rain: RainRun,
    /// The series at the site that it was cut from.
    pub series: SiteSeries,
    /// Years of the run that may be replayed.
    pub accepted_years: Vec<i32>,
    /// Years of the run that may not.
    pub excluded_years: Vec<i32>,
    /// What is known of snow.
    pub snow: SnowKnowledge,
}

/// What the site file says that bears on snow.
#[derive(Debug, Clone, Copy)]
pub struct Frost {
    /// Degrees north.
    pub latitude: f64,
    /// Metres above sea level.
    pub elevation: Option<f64>,
    /// Whether it freezes, where the site file says.
    pub stated: Option<bool>,
    /// Whether the store is drained and rests in winter.
    pub rests: bool,
}

impl SnowKnowledge {
    /// Whether snow cannot be told from rain where it matters: no headline is given.
    pub fn withholds(self) -> bool {
        matches!(self, Self::StatedFrost | Self::Unknown)
    }
}

impl Frost {
    fn knowledge(self, enough_temperatures: bool) -> SnowKnowledge {
        let tropical = self.latitude.abs() <= 23.0 && self.elevation.is_some_and(|metres| metres < 1500.0);
        match (enough_temperatures, self.stated) {
            (true, _) => SnowKnowledge::FromTemperatures,
            (false, Some(false)) => SnowKnowledge::NoFrost,
            (false, Some(true)) if self.rests => SnowKnowledge::RestsThroughFrost,
            (false, Some(true)) => SnowKnowledge::StatedFrost,
            (false, None) if tropical => SnowKnowledge::Tropical,
            (false, None) => SnowKnowledge::Unknown,
        }
    }
}

/// Builds the run.
///
/// # Errors
/// When no day of the lead's record lies in the period, or no day can be used.
pub(crate) fn site_run(gauges: SiteGauges<'_>, filling: Filling, period: Option<Period>, frost: Frost) -> Result<SiteRun, Withheld> {
    let own = gauges.lead.period().ok_or(Withheld::NothingAccepted)?;
    let series = site_series(gauges, filling, period.unwrap_or(own))?;
    let unbroken = series.longest_unbroken().ok_or(Withheld::NothingAccepted)?;
    let inside = |year: &i32| unbroken.overlap(Period::of_years(*year, *year)) == Some(Period::of_years(*year, *year));
    let replayable: Vec<i32> = series.replayable_years().into_iter().filter(inside).collect();
    let run = longest_run(&series, &replayable).unwrap_or(unbroken);
    let accepted: Vec<i32> = replayable.into_iter().filter(|year| run.contains(Day::first_of_year(*year))).collect();
    let unknown = run.iter().filter(|day| series.day(*day).is_some_and(|of_day| of_day.frozen.is_none())).count();
    let days = run
        .iter()
        .map(|day| {
            let of_day = series.day(day)?;
            // A day of which nothing tells is rain here; where there are many, `SnowKnowledge` withholds the headline.
            Some(RainDay { depth: of_day.depth?, frozen: of_day.frozen.unwrap_or(false) })
        })
        .collect::<Option<Vec<_>>>()
        .ok_or(Withheld::NothingAccepted)?;
    let rain = RainRun::new(run.first, days).map_err(|_| Withheld::NothingAccepted)?;
    let years = run.first.year()..=run.last.year();
    let excluded_years = years.filter(|year| !accepted.contains(year)).collect();
    let snow = frost.knowledge(unknown as f64 <= FROST_UNKNOWN_SHARE * run.days() as f64);
    Ok(SiteRun { rain, series, accepted_years: accepted, excluded_years, snow })
}

/// Greatest share of the run's days of which neither the day nor its season tells frost (common practice, no source).
const FROST_UNKNOWN_SHARE: f64 = 0.05;
/// Greatest share of filled days of a run.
const RUN_FILLED_SHARE: f64 = 0.10;

/// The longest stretch from one replayable year to another with few enough filled days; the latest of equals.
fn longest_run(series: &SiteSeries, replayable: &[i32]) -> Option<Period> {
    let filled_by_year: Vec<(i32, u32)> = series.years.iter().map(|year| (year.year, year.filled)).collect();
    let mut best: Option<Period> = None;
    for (place, &last) in replayable.iter().enumerate() {
        for &first in &replayable[..=place] {
            let period = Period::of_years(first, last);
            if best.is_some_and(|best| best.days() > period.days()) {
                break;
            }
            let filled: u32 = filled_by_year.iter().filter(|(year, _)| (first..=last).contains(year)).map(|(_, filled)| filled).sum();
            if f64::from(filled) <= RUN_FILLED_SHARE * period.days() as f64 {
                best = Some(period);
                break;
            }
        }
    }
    best
}

/// How many years the shorter window of the answer holds.
pub(crate) const RECENT_YEARS: usize = 30;

impl SiteRun {
    /// From the first of the last 30 accepted years to the end of the run; nothing where that is the whole run or there are fewer.
    pub fn recent(&self) -> Option<Period> {
        let from = self.accepted_years.len().checked_sub(RECENT_YEARS)?;
        let first = Day::first_of_year(*self.accepted_years.get(from)?);
        let run = self.rain.period();
        (first > run.first).then(|| Period::new(first, run.last))
    }

    /// How many filled days of a period are a neighbour's, and how many days of totals fall as a neighbour's rain did.
    pub fn from_neighbours(&self, period: Period) -> (usize, usize) {
        let origins = || period.iter().filter_map(|day| self.series.day(day)).map(|day| day.origin);
        let filled = origins().filter(|origin| matches!(origin, Origin::FromNeighbour { .. })).count();
        (filled, origins().filter(|origin| matches!(origin, Origin::SpreadTotal { neighbour: Some(_) })).count())
    }

    /// How many days of a period were filled and how many carry a share of a multi-day total.
    pub fn filled_and_spread(&self, period: Period) -> (usize, usize) {
        let mut counts = (0, 0);
        for day in period.iter().filter_map(|day| self.series.day(day)) {
            match day.origin {
                origin if origin.is_filled() => counts.0 += 1,
                Origin::SpreadTotal { .. } => counts.1 += 1,
                _ => {}
            }
        }
        counts
    }
}
