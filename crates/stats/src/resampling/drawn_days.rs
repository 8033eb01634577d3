//! The draw of a made-up run: whole years, or blocks of a season, with replacement.
//!
//! **Whole years**: each year of the result is one source year, drawn uniformly, from cut to cut.
//!
//! **Seasonal blocks** of L days: the year from its cut is divided into floor(365 / L) blocks, each of L days but the last, which has what is
//! left; each block of each year of the result is the block of the same place in the year of a source year of its own draw. L from
//! [`LEAST_BLOCK`] on, since shorter blocks break dry spells (CHECKS H18), to [`LONGEST_SEASONAL_BLOCK`], so that there are two.
//!
//! **Years to come**: the n years of the record are themselves a draw, so m years to come are drawn from a pool of n drawn from the record. With
//! v the variance of the record's years (by n), the mean of the m then has the variance v / n + v (n - 1) / (n m), near to s^2 (1 / n + 1 / m)
//! of a prediction; drawn from the record at once it has v / m only, and a band of it holds too seldom (CHECKS H23).
//!
//! **Calendar of the result**: its days keep the month and the day of the month that they had; they follow one another through the year without a gap or a
//! repeat. 29 February belongs to the day before it and comes with it: a year of the result has 366 days where that day was drawn from a leap
//! year, else 365. The years of the result have no calendar number; they count from 0, from cut to cut. Source: DESIGN section 6; CHECKS H18.

use super::source_years::{SourceYear, SourceYears};
use crate::StatsError;
use crate::draws::Draws;
use serde::Serialize;
use series::Day;

/// Shortest seasonal block, days.
pub const LEAST_BLOCK: u32 = 90;
/// Longest seasonal block, days.
pub const LONGEST_SEASONAL_BLOCK: u32 = 182;

const COMMON_YEAR: usize = 365;

/// How a made-up run is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Resampling {
    /// Nothing: whole years.
    block_days: Option<u32>,
}

impl Resampling {
    /// Whole years.
    pub const WHOLE_YEARS: Self = Self { block_days: None };

    /// Blocks of so many days at their place in the year.
    ///
    /// # Errors
    /// [`StatsError::BlockOutsideRange`] below [`LEAST_BLOCK`] or above [`LONGEST_SEASONAL_BLOCK`].
    pub fn seasonal_blocks(days: u32) -> Result<Self, StatsError> {
        if (LEAST_BLOCK..=LONGEST_SEASONAL_BLOCK).contains(&days) {
            Ok(Self { block_days: Some(days) })
        } else {
            Err(StatsError::BlockOutsideRange { found: days, least: LEAST_BLOCK, most: LONGEST_SEASONAL_BLOCK })
        }
    }

    /// Blocks of any length from 1 to 365 days, to show what short ones do.
    #[cfg(test)]
    pub(crate) fn blocks_of_any_length(days: u32) -> Self {
        Self { block_days: Some(days) }
    }

    /// Days of a block; nothing for whole years.
    pub fn block_days(self) -> Option<u32> {
        self.block_days
    }
}

/// A made-up run: the places of its days in the run that they were drawn from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DrawnDays {
    /// Place of each day, in the order of the result.
    pub places: Vec<usize>,
    /// Where each year of the result begins in `places`.
    pub years: Vec<usize>,
}

impl DrawnDays {
    /// The places of one year of the result, counted from 0.
    pub fn year(&self, year: usize) -> Option<&[usize]> {
        let from = *self.years.get(year)?;
        self.places.get(from..self.years.get(year + 1).copied().unwrap_or(self.places.len()))
    }
}

impl SourceYears {
    /// A made-up run of so many years, drawn from all of them: what the run's own years could have been. The same seed and replicate give the
    /// same run on every machine, in any order and on any thread; each replicate has a stream of its own, whose seed is `seed` with the
    /// replicate's bits 32 places up put over it (exclusive or).
    pub fn draw(&self, how: Resampling, years: u16, seed: u64, replicate: u32) -> DrawnDays {
        let everyone: Vec<usize> = (0..self.years.len()).collect();
        self.draw_from(&everyone, how, years, &mut stream(seed, replicate))
    }

    /// A made-up run of so many years **to come**, with the doubt of a record of few years: first as many source years as there are, with
    /// replacement (the pool), then the run from the pool. Seeded as [`draw`](Self::draw).
    pub fn draw_years_to_come(&self, how: Resampling, years: u16, seed: u64, replicate: u32) -> DrawnDays {
        let mut draws = stream(seed, replicate);
        let pool = drawn_pool(self.years.len(), &mut draws);
        self.draw_from(&pool, how, years, &mut draws)
    }

    fn draw_from(&self, pool: &[usize], how: Resampling, years: u16, draws: &mut Draws) -> DrawnDays {
        let mut drawn = DrawnDays { places: Vec::with_capacity(366 * usize::from(years)), years: Vec::with_capacity(usize::from(years)) };
        let blocks = how.block_days.map_or(1, |days| (COMMON_YEAR / days.max(1) as usize).max(1));
        let days = how.block_days.map_or(COMMON_YEAR, |days| days as usize);
        let leap_day = self.days_to_the_end_of_february();
        for _ in 0..years {
            drawn.years.push(drawn.places.len());
            for block in 0..blocks {
                let Some(&source) = pool.get(draws.below(pool.len())).and_then(|&source| self.years.get(source)) else { continue };
                let end = if block + 1 == blocks { COMMON_YEAR } else { (block + 1) * days };
                drawn.places.extend(place(source, block * days, leap_day)..place(source, end, leap_day));
            }
        }
        drawn
    }

    /// Days of a common year from the cut to 1 March, 1 to 365.
    fn days_to_the_end_of_february(&self) -> usize {
        let first_of = |year, month| Day::new(year, month, 1).map_or(0, Day::number);
        // 2001 to 2003 have no 29 February.
        let march = first_of(if self.cut_month < 3 { 2001 } else { 2002 }, 3);
        (march - first_of(2001, self.cut_month)).max(1) as usize
    }
}

fn stream(seed: u64, replicate: u32) -> Draws {
    Draws::new(seed ^ (u64::from(replicate) << 32))
}

/// As many of 0 .. n - 1 as there are, with replacement.
pub(super) fn drawn_pool(n: usize, draws: &mut Draws) -> Vec<usize> {
    (0..n).map(|_| draws.below(n)).collect()
}

/// The place of the day that is so many days of a common year after the cut: one later from 1 March on in a year with a 29 February.
fn place(source: SourceYear, days: usize, leap_day: usize) -> usize {
    source.from + days + usize::from(source.days > COMMON_YEAR && days >= leap_day)
}
