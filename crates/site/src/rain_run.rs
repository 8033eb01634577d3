//! A whole run of days of rain at the site: no day is missing, for the balance must know every one.
//!
//! The series at the site decides what fills a gap before this; nothing here takes a missing day for a dry one.

use crate::error::{SiteError, quantity};
use series::{Day, Depth, Period};

/// One day's precipitation at the site.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RainDay {
    /// Depth as water, mm.
    pub depth: Depth,
    /// Whether the day's mean temperature was at or below 0 C: the precipitation then counts as snow (CHECKS H15).
    pub frozen: bool,
}

/// Precipitation of every day from the first on.
#[derive(Debug, Clone, PartialEq)]
pub struct RainRun {
    first: Day,
    days: Vec<RainDay>,
}

impl RainRun {
    /// The run of these days.
    ///
    /// # Errors
    /// When there is no day, a depth is negative or not finite, or the run reaches beyond 2299.
    pub fn new(first: Day, days: Vec<RainDay>) -> Result<Self, SiteError> {
        period_of(first, days.len())?;
        for day in &days {
            quantity("rain depth", day.depth.get())?;
        }
        Ok(Self { first, days })
    }

    /// The run of these depths, none of them snow.
    ///
    /// # Errors
    /// As [`RainRun::new`].
    pub fn without_snow(first: Day, depths: &[Depth]) -> Result<Self, SiteError> {
        Self::new(first, depths.iter().map(|&depth| RainDay { depth, frozen: false }).collect())
    }

    /// First to last day.
    pub fn period(&self) -> Period {
        Period::new(self.first, self.first.plus(self.days.len() as i32 - 1))
    }

    /// Every day in order.
    pub fn days(&self) -> &[RainDay] {
        &self.days
    }

    /// Every day with its date.
    pub fn dated(&self) -> impl Iterator<Item = (Day, RainDay)> {
        self.days.iter().enumerate().map(|(i, &day)| (self.first.plus(i as i32), day))
    }

    /// Depth of a day, or nothing outside the run.
    pub fn on(&self, day: Day) -> Option<RainDay> {
        usize::try_from(day.since(self.first)).ok().and_then(|i| self.days.get(i).copied())
    }

    /// The days of a period that lies wholly in the run; nothing otherwise.
    pub fn cut_to(&self, period: Period) -> Option<Self> {
        let from = usize::try_from(period.first.since(self.first)).ok()?;
        Some(Self { first: period.first, days: self.days.get(from..from + period.days())?.to_vec() })
    }

    /// Sum of the depths of a period that lies wholly in the run.
    pub fn depth_in(&self, period: Period) -> Option<Depth> {
        let from = usize::try_from(period.first.since(self.first)).ok()?;
        self.days.get(from..from + period.days()).map(|days| days.iter().fold(Depth::ZERO, |sum, day| sum + day.depth))
    }
}

/// The period of so many days from the first on.
pub(crate) fn period_of(first: Day, days: usize) -> Result<Period, SiteError> {
    let more = i32::try_from(days).map_err(|_| SiteError::BeyondTheCalendar { first, days })?;
    if more == 0 {
        return Err(SiteError::NoDays);
    }
    let period = Period::new(first, first.plus(more - 1));
    if period.days() == days { Ok(period) } else { Err(SiteError::BeyondTheCalendar { first, days }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_knows_every_day_or_is_refused() {
        let first = Day::new(2001, 12, 30).unwrap();
        let run = RainRun::without_snow(first, &[1.0, 0.0, 2.5, 4.0].map(Depth::new)).unwrap();
        assert_eq!(run.period().to_string(), "2001-12-30 to 2002-01-02");
        assert_eq!(run.depth_in(Period::new(first.plus(1), first.plus(3))), Some(Depth::new(6.5)));
        assert_eq!(run.depth_in(Period::new(first.plus(1), first.plus(4))), None);
        assert_eq!(run.on(first.plus(4)), None);
        assert!(RainRun::without_snow(first, &[]).is_err());
        for bad in [-1.0, f64::NAN, f64::INFINITY] {
            assert!(RainRun::without_snow(first, &[Depth::new(bad)]).is_err());
        }
        assert!(RainRun::without_snow(Day::last_of_year(2299), &[Depth::ZERO; 2]).is_err());
    }
}
