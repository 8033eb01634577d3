//! How reliably a store supplies, as numbers that each have one stated meaning.
//!
//! * volumetric reliability: volume supplied / volume demanded (McMahon; the headline);
//! * time reliability: days with demand on which the whole demand was met / days **with demand**. Days that want no water are
//!   no successes (CHECKS H1);
//! * short days: days with demand on which less than the whole demand was met;
//! * no-water days: days with demand on which nothing at all was drawn;
//! * share of inflow spilled: spilled / inflow that a store in use received;
//! * share of rain captured: supplied / (rain depth x plan area).
//!
//! A ratio without a denominator is `None`, never 0, 1 or not-a-number.

use crate::balance::{BalanceSummary, BalanceTrace};
use series::{Day, Period, Volume};

/// The ratios of a run.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Reliability {
    /// Volume supplied over volume demanded; nothing without demand.
    pub volumetric: Option<f64>,
    /// Days with demand fully met over days with demand; nothing without demand.
    pub time: Option<f64>,
    /// Volume spilled over the inflow of a store in use; nothing without inflow.
    pub share_of_inflow_spilled: Option<f64>,
    /// Short days in a mean year of the run.
    pub short_days_per_year: f64,
    /// No-water days in a mean year of the run.
    pub no_water_days_per_year: f64,
    /// Supply in a mean year of the run.
    pub supplied_per_year: Volume,
    /// Spill in a mean year of the run.
    pub spilled_per_year: Volume,
}

fn ratio(above: f64, below: f64) -> Option<f64> {
    (below > 0.0).then(|| above / below)
}

impl Reliability {
    /// The ratios of a run's sums.
    pub fn of(sums: &BalanceSummary) -> Self {
        let asked = sums.days_with_demand as f64;
        let years = sums.years();
        let a_year = |number: f64| ratio(number, years).unwrap_or(0.0);
        Self {
            volumetric: ratio(sums.supplied.get(), sums.demand.get()),
            time: ratio(asked - sums.short_days as f64, asked),
            share_of_inflow_spilled: ratio(sums.spilled.get(), (sums.inflow - sums.bypassed).get()),
            short_days_per_year: a_year(sums.short_days as f64),
            no_water_days_per_year: a_year(sums.no_water_days as f64),
            supplied_per_year: Volume::new(a_year(sums.supplied.get())),
            spilled_per_year: Volume::new(a_year(sums.spilled.get())),
        }
    }
}

/// Volume supplied over the rain that fell on the roofs (depth x plan area) in the same run; nothing without rain.
pub fn share_of_rain_captured(sums: &BalanceSummary, rain_on_roofs: Volume) -> Option<f64> {
    ratio(sums.supplied.get(), rain_on_roofs.get())
}

/// One calendar year of a run, or the part of it that lies in the run.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct YearOfSupply {
    /// The year.
    pub year: i32,
    /// Whether all its days lie in the run.
    pub whole: bool,
    /// Its sums.
    pub sums: BalanceSummary,
}

impl YearOfSupply {
    /// Volumetric reliability of the year; nothing without demand.
    pub fn volumetric(&self) -> Option<f64> {
        Reliability::of(&self.sums).volumetric
    }
}

/// Every calendar year of a run, in order.
pub fn years_of_supply(trace: &BalanceTrace) -> Vec<YearOfSupply> {
    let run = trace.period();
    (run.first.year()..=run.last.year())
        .filter_map(|year| {
            let whole_year = Period::of_years(year, year);
            let part = run.overlap(whole_year)?;
            Some(YearOfSupply { year, whole: part == whole_year, sums: trace.cut_to(part)?.summary })
        })
        .collect()
}

/// The longest run of days on which the whole demand was never met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct ShortRun {
    /// First to last short day.
    pub period: Period,
    /// Short days in it. Days without demand in between lie in the period and are not counted.
    pub short_days: usize,
}

/// So many days in a row without demand end a run: a week's pattern of watering days never has as many.
const DAYS_WITHOUT_DEMAND_THAT_END_A_RUN: i32 = 7;

/// The longest run without full supply, by short days, the earliest of equals. A day whose whole demand was met ends a run,
/// and so do seven days in a row without demand, so that a winter does not join two summers. Nothing when every demand is met.
pub fn longest_run_without_full_supply(trace: &BalanceTrace) -> Option<ShortRun> {
    let mut longest: Option<ShortRun> = None;
    let mut current: Option<ShortRun> = None;
    for (day, what) in trace.dated() {
        if what.is_short() {
            let run = match current {
                Some(run) => ShortRun { period: Period::new(run.period.first, day), short_days: run.short_days + 1 },
                None => ShortRun { period: Period::new(day, day), short_days: 1 },
            };
            current = Some(run);
            if longest.is_none_or(|best| run.short_days > best.short_days) {
                longest = current;
            }
        } else if what.asks() || current.is_some_and(|run| day.since(run.period.last) >= DAYS_WITHOUT_DEMAND_THAT_END_A_RUN) {
            current = None;
        }
    }
    longest
}

/// The first day of a run on which the store gave nothing though water was asked for.
pub fn first_no_water_day(trace: &BalanceTrace) -> Option<Day> {
    trace.dated().find(|(_, what)| what.is_without_water()).map(|(day, _)| day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::{ReleaseRule, balance, summary};
    use crate::collection::Collection;
    use crate::daily_water::DailyWater;
    use crate::demand::Demand;
    use crate::losses::collect;
    use crate::roof::{Covering, Roof, RunoffCoefficient};
    use crate::surroundings::WinterRule;
    use crate::test_data::fort_collins;
    use series::{Area, Depth};

    #[test]
    fn days_that_want_no_water_are_no_successes() {
        // CHECKS H1: Fort Collins 1990-1999, 150 m2, C .85, 300 L/d in June-August only, YAS, start 0.
        let Some(rain) = fort_collins(1990, 1999) else { return };
        let roof = Roof {
            name: "roof".to_owned(),
            plan_area: Area::new(150.0),
            covering: Covering::Metal,
            runoff_coefficient: RunoffCoefficient::Event(0.85),
            wetting_loss: Depth::ZERO,
        };
        let run = collect(&rain, &[roof], Collection::OPEN, 0.0).unwrap();
        let mut daily_by_month = [Volume::ZERO; 12];
        daily_by_month[5..8].fill(Volume::new(300.0));
        let demand = Demand { name: "garden".to_owned(), daily_by_month, weekdays: [true; 7] };
        let water = DailyWater::new(run.first, run.to_store(), &[demand], WinterRule::InUse).unwrap();
        for (size, all_days, with_demand, volumetric) in
            [(1000.0, 0.814, 0.262, 0.355), (2000.0, 0.853, 0.417, 0.495), (5000.0, 0.910, 0.642, 0.683)]
        {
            let sums = summary(&water, Volume::new(size), ReleaseRule::YieldAfterSpillage, Volume::ZERO).unwrap();
            let got = Reliability::of(&sums);
            assert!((got.time.unwrap() - with_demand).abs() <= 5e-4, "{size}: {got:?}");
            assert!((got.volumetric.unwrap() - volumetric).abs() <= 5e-4, "{size}: {got:?}");
            // What the mistake would print.
            let mistaken = 1.0 - sums.short_days as f64 / sums.days as f64;
            assert!((mistaken - all_days).abs() <= 5e-4, "{size}: {mistaken}");
        }
    }

    fn trace(inflow: &[f64], demand: &[f64]) -> BalanceTrace {
        let volumes = |list: &[f64]| list.iter().copied().map(Volume::new).collect::<Vec<_>>();
        let first = Day::new(2001, 12, 25).unwrap();
        let water = DailyWater::from_series(first, volumes(inflow), volumes(demand), vec![false; inflow.len()]).unwrap();
        balance(&water, Volume::new(1000.0), ReleaseRule::YieldAfterSpillage, Volume::new(25.0)).unwrap()
    }

    #[test]
    fn a_run_without_full_supply_has_dates() {
        // By hand: from 25 L, 10 a day: two days met, 5 L on the third (27 December), then nothing until rain on the sixth.
        let mut inflow = [0.0; 12];
        inflow[5] = 1000.0;
        let trace = trace(&inflow, &[10.0; 12]);
        let run = longest_run_without_full_supply(&trace).unwrap();
        assert_eq!((run.period.to_string().as_str(), run.short_days), ("2001-12-27 to 2001-12-30", 4));
        assert_eq!(first_no_water_day(&trace), Day::new(2001, 12, 28));
        assert_eq!((trace.summary.short_days, trace.summary.no_water_days), (4, 3));
        let years = years_of_supply(&trace);
        assert_eq!(
            years.iter().map(|year| (year.year, year.whole, year.sums.short_days)).collect::<Vec<_>>(),
            [(2001, false, 4), (2002, false, 0)]
        );
        assert_eq!(years[0].volumetric(), Some(35.0 / 70.0));
    }

    #[test]
    fn days_without_demand_join_a_week_and_not_a_winter() {
        let demand = |gap: usize| [vec![30.0], vec![0.0; gap], vec![30.0]].concat();
        let short = |gap: usize| longest_run_without_full_supply(&trace(&vec![0.0; gap + 2], &demand(gap))).unwrap().short_days;
        assert_eq!((short(6), short(7)), (2, 1));
    }

    #[test]
    fn no_ratio_without_a_denominator() {
        let got = Reliability::of(&trace(&[0.0; 3], &[0.0; 3]).summary);
        assert_eq!((got.volumetric, got.time, got.share_of_inflow_spilled), (None, None, None));
        assert_eq!(longest_run_without_full_supply(&trace(&[0.0; 3], &[0.0; 3])), None);
        assert_eq!(share_of_rain_captured(&trace(&[0.0; 3], &[0.0; 3]).summary, Volume::ZERO), None);
    }
}
