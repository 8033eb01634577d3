//! The driest twelve months of a record and the worst calendar year for supply, replayed day by day with their real dates.
//!
//! The driest twelve months: of all windows of twelve whole months that begin on the first of a month, lie wholly in the run
//! and touch no excluded year (a year with too many filled days), the one with the least depth; the earliest of equals. The
//! store is not set to a level for it: it comes in with what the whole run left in it.

use crate::balance::BalanceTrace;
use crate::error::SiteError;
use crate::rain_run::RainRun;
use crate::reliability::{YearOfSupply, years_of_supply};
use series::{Day, Depth, Period, days_in_month};

/// The driest twelve months.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct DriestTwelveMonths {
    /// From the first of a month to the last of the twelfth.
    pub period: Period,
    /// Depth in it, snow as water.
    pub depth: Depth,
    /// Of how many windows it is the driest.
    pub windows: usize,
}

/// Depths are compared to a nanometre, so that windows of equal rain summed from different days count as equal.
const SAME_DEPTH_MM: f64 = 1e-6;

/// The driest twelve months; nothing when no window is left.
pub fn driest_twelve_months(rain: &RainRun, excluded_years: &[i32]) -> Option<DriestTwelveMonths> {
    let run = rain.period();
    // Depth before each day, so that a window costs two look-ups.
    let mut before = Vec::with_capacity(rain.days().len() + 1);
    before.push(0.0);
    let mut sum = 0.0;
    for day in rain.days() {
        sum += day.depth.get();
        before.push(sum);
    }
    let at = |day: Day| usize::try_from(day.since(run.first)).ok().and_then(|i| before.get(i)).copied();
    let mut best: Option<(Period, f64)> = None;
    let mut windows = 0;
    for year in run.first.year()..=run.last.year() {
        for month in 1..=12 {
            let (last_year, last_month) = if month == 1 { (year, 12) } else { (year + 1, month - 1) };
            let (Some(first), Some(last)) =
                (Day::new(year, month, 1), Day::new(last_year, last_month, days_in_month(last_year, last_month)))
            else {
                continue;
            };
            if first < run.first || last > run.last || (year..=last_year).any(|year| excluded_years.contains(&year)) {
                continue;
            }
            // The last day lies in the run, so the sum before the day after it exists, even at the end of the calendar.
            let (Some(from), Some(to)) = (at(first), at(last).zip(rain.on(last)).map(|(before, day)| before + day.depth.get())) else {
                continue;
            };
            windows += 1;
            if best.is_none_or(|(_, least)| to - from < least - SAME_DEPTH_MM) {
                best = Some((Period::new(first, last), to - from));
            }
        }
    }
    // The sum of the window's own days, without the rounding of the long sums.
    best.and_then(|(period, _)| Some(DriestTwelveMonths { period, depth: rain.depth_in(period)?, windows }))
}

/// The replay of a period: its days in the whole run, with the level that the run brought to it.
///
/// # Errors
/// [`SiteError::NoDays`] when the period reaches beyond the run.
pub fn replay(whole_run: &BalanceTrace, period: Period) -> Result<BalanceTrace, SiteError> {
    whole_run.cut_to(period).ok_or(SiteError::NoDays)
}

/// The whole calendar year with the least volumetric reliability, excluded years left out; the earliest of equals. Nothing when
/// no year is left or none has demand.
pub fn worst_calendar_year(whole_run: &BalanceTrace, excluded_years: &[i32]) -> Option<YearOfSupply> {
    years_of_supply(whole_run)
        .into_iter()
        .filter(|year| year.whole && !excluded_years.contains(&year.year))
        .filter_map(|year| Some((year.volumetric()?, year)))
        .fold(None, |best: Option<(f64, YearOfSupply)>, (value, year)| match best {
            Some((least, _)) if value >= least => best,
            _ => Some((value, year)),
        })
        .map(|(_, year)| year)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::{ReleaseRule, balance};
    use crate::daily_water::DailyWater;
    use crate::test_data::fort_collins;
    use series::Volume;

    #[test]
    fn the_driest_window_of_a_textbook_record() {
        // Against a plain sum over every window; and CHECKS A2.1: the calendar year 1966 holds 187.706 mm.
        let Some(rain) = fort_collins(1960, 1999) else { return };
        assert!((rain.depth_in(Period::of_years(1966, 1966)).unwrap().get() - 187.706).abs() < 1e-6);
        let driest = driest_twelve_months(&rain, &[]).unwrap();
        assert_eq!(driest.windows, 39 * 12 + 1);
        let mut least = f64::INFINITY;
        for start in (0..469).map(|i| Day::new(1960 + i / 12, (i % 12) as u32 + 1, 1).unwrap()) {
            let (year, month, _) = start.ymd();
            let end = Day::new(year + 1, month, 1).unwrap().plus(-1);
            let depth: f64 = rain.dated().filter(|(day, _)| (start..=end).contains(day)).map(|(_, day)| day.depth.get()).sum();
            least = least.min(depth);
        }
        assert!((driest.depth.get() - least).abs() < 1e-6);
        let without = driest_twelve_months(&rain, &[driest.period.first.year()]).unwrap();
        assert!(without.depth.get() > driest.depth.get() && !without.period.contains(driest.period.first));
    }

    #[test]
    fn the_earliest_of_equals_and_no_window_without_twelve_months() {
        let year = |days: usize| RainRun::without_snow(Day::new(2001, 1, 15).unwrap(), &vec![Depth::new(0.1); days]).unwrap();
        assert_eq!(driest_twelve_months(&year(380), &[]), None);
        // 2001-02-01 to 2002-01-31 is the first whole window; all of 365 days are equal.
        let driest = driest_twelve_months(&year(1000), &[]).unwrap();
        assert_eq!(driest.period.to_string(), "2001-02-01 to 2002-01-31");
        assert!((driest.depth.get() - 36.5).abs() < 1e-9);
        let last = RainRun::without_snow(Day::first_of_year(2299), &[Depth::new(1.0); 365]).unwrap();
        assert_eq!(driest_twelve_months(&last, &[]).unwrap().period, Period::of_years(2299, 2299));
    }

    #[test]
    fn a_replay_brings_its_level_with_it() {
        let first = Day::new(2001, 1, 1).unwrap();
        let mut inflow = vec![Volume::new(5.0); 730];
        inflow[300..].fill(Volume::ZERO);
        let water = DailyWater::from_series(first, inflow, vec![Volume::new(5.0); 730], vec![false; 730]).unwrap();
        let run = balance(&water, Volume::new(200.0), ReleaseRule::YieldAfterSpillage, Volume::new(200.0)).unwrap();
        let second = replay(&run, Period::of_years(2002, 2002)).unwrap();
        assert_eq!(second.summary.start, run.days[364].level);
        assert_eq!(worst_calendar_year(&run, &[]).unwrap().year, 2002);
        assert_eq!(worst_calendar_year(&run, &[2002]).unwrap().year, 2001);
        assert_eq!(worst_calendar_year(&run, &[2001, 2002]), None);
        assert_eq!(replay(&run, Period::of_years(2000, 2001)), Err(SiteError::NoDays));
    }
}
