//! The daily balance of one store: level, yield and spill of every day, under either release rule.
//!
//! Equations in [`crate::kernel`]'s words: yield after spillage is the headline, yield before spillage the other end of the
//! bracket; any pattern of the inflow and the draw within the days supplies, over the run, between the two (CHECKS H5). For
//! single days that need not hold (H3).
//!
//! In winter rest the store is drained on the first resting day and disconnected: what the roofs send is counted as bypassed,
//! what is asked for as unmet. Identity of every day: level before + inflow = yield + spill + drained + bypassed + level after.
//! Units: L.

use crate::constants::DAYS_PER_YEAR;
use crate::daily_water::DailyWater;
use crate::error::{SiteError, quantity};
use crate::kernel::{Lanes, met_within, step};
use series::{Day, Period, Volume};

/// When in the day the draw comes, as the balance sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ReleaseRule {
    /// Drawn from what the store held before the day; the day's surplus spills first. Supplies less: the headline.
    YieldAfterSpillage,
    /// Drawn from that and the day's inflow, before anything spills. Supplies more: the upper end of the bracket.
    YieldBeforeSpillage,
}

/// One day of a store.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize)]
pub struct BalanceDay {
    /// What the roofs and the collection send.
    pub inflow: Volume,
    /// What is asked for.
    pub demand: Volume,
    /// What is drawn.
    pub supplied: Volume,
    /// What leaves by the overflow.
    pub spilled: Volume,
    /// What is let out at the beginning of the winter rest.
    pub drained: Volume,
    /// Inflow that a resting store does not take.
    pub bypassed: Volume,
    /// Level at the end of the day, as usable volume.
    pub level: Volume,
}

/// The sums of a run.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct BalanceSummary {
    /// Usable volume of the store.
    pub size: Volume,
    /// The release rule.
    pub rule: ReleaseRule,
    /// Days of the run.
    pub days: usize,
    /// Level before the first day.
    pub start: Volume,
    /// Level after the last day.
    pub end: Volume,
    /// All that the roofs sent.
    pub inflow: Volume,
    /// All that was asked for.
    pub demand: Volume,
    /// All that was drawn.
    pub supplied: Volume,
    /// All that left by the overflow.
    pub spilled: Volume,
    /// All that was let out for the winter.
    pub drained: Volume,
    /// All inflow that a resting store did not take.
    pub bypassed: Volume,
    /// Days on which water is asked for.
    pub days_with_demand: usize,
    /// Of those, days on which less than the whole demand was drawn.
    pub short_days: usize,
    /// Of those, days on which nothing was drawn.
    pub no_water_days: usize,
    /// The worst residual of a day's identity.
    pub worst_residual: Volume,
}

/// A run with every day.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceTrace {
    /// First day.
    pub first: Day,
    /// Every day in order.
    pub days: Vec<BalanceDay>,
    /// Their sums.
    pub summary: BalanceSummary,
}

impl BalanceSummary {
    /// Length of the run in mean Gregorian years.
    pub fn years(&self) -> f64 {
        self.days as f64 / DAYS_PER_YEAR
    }

    /// What does not close over the whole run. Rounding adds up over the days; the tolerance is a day's.
    pub fn residual(&self) -> Volume {
        self.start + self.inflow - self.supplied - self.spilled - self.drained - self.bypassed - self.end
    }
}

impl BalanceTrace {
    /// First to last day.
    pub fn period(&self) -> Period {
        Period::new(self.first, self.first.plus(self.days.len() as i32 - 1))
    }

    /// Every day with its date.
    pub fn dated(&self) -> impl Iterator<Item = (Day, BalanceDay)> {
        self.days.iter().enumerate().map(|(i, &day)| (self.first.plus(i as i32), day))
    }

    /// The part of a run in a period, its level carried in from the day before; nothing when the period reaches beyond the
    /// run. The part's worst residual is that of the whole run.
    pub fn cut_to(&self, period: Period) -> Option<Self> {
        let from = usize::try_from(period.first.since(self.first)).ok()?;
        let days = self.days.get(from..from + period.days())?.to_vec();
        let start = if from == 0 { self.summary.start } else { self.days[from - 1].level };
        let blank = BalanceSummary {
            days: days.len(),
            start,
            end: days.last().map_or(start, |day| day.level),
            inflow: Volume::ZERO,
            demand: Volume::ZERO,
            supplied: Volume::ZERO,
            spilled: Volume::ZERO,
            drained: Volume::ZERO,
            bypassed: Volume::ZERO,
            days_with_demand: 0,
            short_days: 0,
            no_water_days: 0,
            ..self.summary
        };
        let summary = days.iter().fold(blank, |mut sum, day| {
            sum.inflow += day.inflow;
            sum.demand += day.demand;
            sum.supplied += day.supplied;
            sum.spilled += day.spilled;
            sum.drained += day.drained;
            sum.bypassed += day.bypassed;
            sum.days_with_demand += usize::from(day.asks());
            sum.short_days += usize::from(day.is_short());
            sum.no_water_days += usize::from(day.is_without_water());
            sum
        });
        Some(Self { first: period.first, days, summary })
    }
}

impl BalanceDay {
    /// Whether water is asked for.
    pub fn asks(&self) -> bool {
        self.demand.get() > 0.0
    }

    /// Whether less than the whole demand was drawn (beyond rounding, 1e-9 x max(demand, 1 L)).
    pub fn is_short(&self) -> bool {
        (self.demand - self.supplied).get() > met_within(self.demand.get())
    }

    /// Whether water was asked for and none was drawn.
    pub fn is_without_water(&self) -> bool {
        self.is_short() && self.supplied.get() <= met_within(self.demand.get())
    }
}

/// Every day of a store of usable volume `size` that holds `start` before the first day.
///
/// # Errors
/// On a size or start below zero or not finite, and on a start above the size.
pub fn balance(water: &DailyWater, size: Volume, rule: ReleaseRule, start: Volume) -> Result<BalanceTrace, SiteError> {
    let summary = summary(water, size, rule, start)?;
    let mut level = start.get();
    let mut days = Vec::with_capacity(water.days());
    for ((&inflow, &demand), &resting) in water.inflow().iter().zip(water.demand()).zip(water.resting()) {
        let blank = BalanceDay { inflow, demand, ..BalanceDay::default() };
        let day = if resting {
            BalanceDay { drained: Volume::new(level), bypassed: inflow, ..blank }
        } else {
            let (supplied, spilled, end) = match rule {
                ReleaseRule::YieldAfterSpillage => step::<true>(level, inflow.get(), demand.get(), size.get()),
                ReleaseRule::YieldBeforeSpillage => step::<false>(level, inflow.get(), demand.get(), size.get()),
            };
            BalanceDay { supplied: Volume::new(supplied), spilled: Volume::new(spilled), level: Volume::new(end), ..blank }
        };
        level = day.level.get();
        days.push(day);
    }
    Ok(BalanceTrace { first: water.first(), days, summary })
}

/// The sums alone, without a list of days.
///
/// # Errors
/// As [`balance`].
pub fn summary(water: &DailyWater, size: Volume, rule: ReleaseRule, start: Volume) -> Result<BalanceSummary, SiteError> {
    let [summary] = summaries(water, [size], rule, [start])?;
    Ok(summary)
}

/// The sums of several sizes that advance in step over one pass of the days. A size's sums are the same bits in any company.
///
/// # Errors
/// As [`balance`], for any of the sizes.
pub fn summaries<const N: usize>(
    water: &DailyWater,
    sizes: [Volume; N],
    rule: ReleaseRule,
    starts: [Volume; N],
) -> Result<[BalanceSummary; N], SiteError> {
    for (size, start) in sizes.iter().zip(&starts) {
        quantity("store size", size.get())?;
        quantity("start level", start.get())?;
        if start > size {
            return Err(SiteError::StartAboveStore { start_litres: start.get(), size_litres: size.get() });
        }
    }
    let mut lanes = Lanes::starting_at(starts.map(Volume::get));
    let litres = sizes.map(Volume::get);
    match rule {
        ReleaseRule::YieldAfterSpillage => lanes.pass::<true>(&litres, water.inflow(), water.demand(), water.resting()),
        ReleaseRule::YieldBeforeSpillage => lanes.pass::<false>(&litres, water.inflow(), water.demand(), water.resting()),
    }
    let bypassed = total(water.inflow().iter().zip(water.resting()).filter(|(_, resting)| **resting).map(|(inflow, _)| inflow));
    let inflow = total(water.inflow().iter());
    let demand = total(water.demand().iter());
    let days_with_demand = water.demand().iter().filter(|demand| demand.get() > 0.0).count();
    Ok(std::array::from_fn(|i| BalanceSummary {
        size: sizes[i],
        rule,
        days: water.days(),
        start: starts[i],
        end: Volume::new(lanes.level[i]),
        inflow,
        demand,
        supplied: Volume::new(lanes.supplied[i]),
        spilled: Volume::new(lanes.spilled[i]),
        drained: Volume::new(lanes.drained[i]),
        bypassed,
        days_with_demand,
        short_days: lanes.short_days[i] as usize,
        no_water_days: lanes.no_water_days[i] as usize,
        worst_residual: Volume::new(lanes.worst_residual[i]),
    }))
}

/// A sum that is 0 and not -0 over no day.
fn total<'a>(volumes: impl Iterator<Item = &'a Volume>) -> Volume {
    volumes.fold(Volume::ZERO, |sum, &one| sum + one)
}

#[cfg(test)]
mod tests;
