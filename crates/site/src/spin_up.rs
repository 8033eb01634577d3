//! Where a scored run starts: empty, and scored after one spin-up pass over the same series (CHECKS H20).
//!
//! A store that starts empty on the first day of a record is judged on a day that will never come again, and one that starts
//! full is flattered. So the whole series runs once from empty, unscored; the level at its end is the start of the scored run.
//! The first year from empty, what the owner will see after building, is given apart.

use crate::balance::{BalanceSummary, BalanceTrace, ReleaseRule, balance, summaries};
use crate::daily_water::DailyWater;
use crate::error::SiteError;
use series::{Day, Period, Volume};

/// The level at the end of a pass from empty, for each of several sizes.
///
/// # Errors
/// As [`balance`].
pub fn spun_up_levels<const N: usize>(water: &DailyWater, sizes: [Volume; N], rule: ReleaseRule) -> Result<[Volume; N], SiteError> {
    // Rounding may leave a level a hair above its size.
    Ok(summaries(water, sizes, rule, [Volume::ZERO; N])?.map(|sums| sums.end.min(sums.size)))
}

/// The sums of each of several sizes, scored after the spin-up pass.
///
/// # Errors
/// As [`balance`].
pub fn scored_summaries<const N: usize>(
    water: &DailyWater,
    sizes: [Volume; N],
    rule: ReleaseRule,
) -> Result<[BalanceSummary; N], SiteError> {
    summaries(water, sizes, rule, spun_up_levels(water, sizes, rule)?)
}

/// Every day of one size, scored after the spin-up pass.
///
/// # Errors
/// As [`balance`].
pub fn scored(water: &DailyWater, size: Volume, rule: ReleaseRule) -> Result<BalanceTrace, SiteError> {
    let [start] = spun_up_levels(water, [size], rule)?;
    balance(water, size, rule, start)
}

/// The first year of the run from an empty store, or the whole run when it is shorter.
///
/// # Errors
/// As [`balance`].
pub fn first_year_from_empty(water: &DailyWater, size: Volume, rule: ReleaseRule) -> Result<BalanceTrace, SiteError> {
    let run = water.period();
    let (year, month, date) = run.first.ymd();
    // A run that begins on 29 February ends its first year on 28 February: the day before 1 March.
    let anniversary = Day::new(year + 1, month, date).or_else(|| Day::new(year + 1, 3, 1));
    let last = anniversary.map_or(run.last, |day| day.plus(-1).min(run.last));
    let first_year = water.cut_to(Period::new(run.first, last)).ok_or(SiteError::NoDays)?;
    balance(&first_year, size, rule, Volume::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scored_run_starts_where_the_spin_up_ends() {
        let first = Day::new(2000, 2, 29).unwrap();
        let mut inflow = vec![Volume::ZERO; 800];
        inflow[790] = Volume::new(500.0);
        let water = DailyWater::from_series(first, inflow, vec![Volume::new(1.0); 800], vec![false; 800]).unwrap();
        let size = Volume::new(400.0);
        let run = scored(&water, size, ReleaseRule::YieldAfterSpillage).unwrap();
        // By hand: full at 400 L on day 791 (spills 100), then 9 L drawn.
        assert_eq!((run.summary.start.get(), run.summary.end.get()), (391.0, 391.0));
        assert_eq!(run.summary.supplied.get(), 400.0);
        let year = first_year_from_empty(&water, size, ReleaseRule::YieldAfterSpillage).unwrap();
        assert_eq!((year.period().to_string().as_str(), year.summary.supplied.get()), ("2000-02-29 to 2001-02-28", 0.0));
        let [sums] = scored_summaries(&water, [size], ReleaseRule::YieldAfterSpillage).unwrap();
        assert_eq!(sums, run.summary);
    }
}
