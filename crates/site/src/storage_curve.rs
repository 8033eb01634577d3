//! What stores of many sizes would supply, and what each further litre buys.
//!
//! Rule of the sizes: 80 sizes in equal ratio from a two-hundredth of the largest to the largest, each rounded up to whole
//! litres, and the proposed size exactly. The largest is 1.25 times the greater of the proposed size and the largest useful one.
//! Largest useful: where the roofs send more than is asked for, the store by sequent peak (every demand met); where they send
//! less, the store that never spills (sequent peak with inflow and demand exchanged); each with two greatest days' demand
//! more, for yield after spillage draws a rainy day's water from the day before and leaves that day's draw as empty room.
//!
//! Every size is scored after one spin-up pass over the same series ([`crate::spin_up`]). The sizes advance in step, eight
//! together, over each pass of the days.

use crate::balance::{BalanceSummary, ReleaseRule};
use crate::daily_water::DailyWater;
use crate::error::{SiteError, positive, quantity, share};
use crate::kernel::LANES;
use crate::reliability::Reliability;
use crate::sequent_peak::sequent_peak;
use crate::spin_up::scored_summaries;
use series::{Volume, math};

/// Sizes of a curve beside the proposed one.
const SIZES: usize = 80;
/// The smallest size is this part of the largest.
const SMALLEST_SHARE: f64 = 1.0 / 200.0;
/// No curve is shorter than this, L.
const SHORTEST_CURVE_LITRES: f64 = 200.0;
/// How far the curve goes beyond the largest useful size.
const BEYOND: f64 = 1.25;

/// One size of a curve.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct CurvePoint {
    /// The sums of its scored run; the size stands in them.
    pub sums: BalanceSummary,
    /// Its ratios.
    pub reliability: Reliability,
}

/// Which ratio a target is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Volume supplied over volume demanded.
    Volumetric,
    /// Days with demand fully met over days with demand.
    Time,
}

impl Measure {
    fn of(self, reliability: &Reliability) -> Option<f64> {
        match self {
            Self::Volumetric => reliability.volumetric,
            Self::Time => reliability.time,
        }
    }
}

/// The sizes of a curve, smallest first, by the rule of this module; the proposed size is one of them.
///
/// # Errors
/// On a proposed size below zero or not finite.
pub fn curve_sizes(water: &DailyWater, proposed: Volume) -> Result<Vec<Volume>, SiteError> {
    quantity("proposed size", proposed.get())?;
    let largest = (BEYOND * largest_useful(water)?.max(proposed).get()).max(SHORTEST_CURVE_LITRES);
    let ratio = math::ln(1.0 / SMALLEST_SHARE) / (SIZES - 1) as f64;
    let mut sizes: Vec<f64> = (0..SIZES)
        .map(|i| largest * SMALLEST_SHARE * math::exp(ratio * i as f64))
        .map(|litres| (litres - 1e-9).ceil())
        .chain([proposed.get()])
        .collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup();
    Ok(sizes.into_iter().map(Volume::new).collect())
}

/// The largest useful size, by the rule of this module.
///
/// # Errors
/// As [`sequent_peak`].
pub fn largest_useful(water: &DailyWater) -> Result<Volume, SiteError> {
    // What a resting store turns away is no inflow, and what it is asked for then no store can give.
    let in_use = |of: &[Volume]| -> Vec<Volume> {
        of.iter().zip(water.resting()).map(|(&volume, &resting)| if resting { Volume::ZERO } else { volume }).collect()
    };
    let (inflow, demand) = (in_use(water.inflow()), in_use(water.demand()));
    let room = match sequent_peak(&inflow, &demand)? {
        Some(peak) => peak.capacity,
        None => sequent_peak(&demand, &inflow)?.map_or(Volume::ZERO, |peak| peak.capacity),
    };
    Ok(room + demand.iter().copied().fold(Volume::ZERO, Volume::max) * 2.0)
}

/// The points of these sizes, in their order.
///
/// # Errors
/// On a size below zero or not finite.
pub fn storage_curve(water: &DailyWater, sizes: &[Volume], rule: ReleaseRule) -> Result<Vec<CurvePoint>, SiteError> {
    let mut points = Vec::with_capacity(sizes.len());
    for chunk in sizes.chunks(LANES) {
        // The last chunk is filled up with its own first size; what is over is dropped.
        let lanes: [Volume; LANES] = std::array::from_fn(|i| chunk.get(i).or(chunk.first()).copied().unwrap_or_default());
        let sums = scored_summaries(water, lanes, rule)?;
        points.extend(sums.into_iter().take(chunk.len()).map(|sums| CurvePoint { sums, reliability: Reliability::of(&sums) }));
    }
    Ok(points)
}

/// What a step in size buys.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct FurtherStep {
    /// From this size.
    pub from: Volume,
    /// To this one.
    pub to: Volume,
    /// Supplied more in a mean year.
    pub supplied_more_per_year: Volume,
    /// Volumetric reliability gained; nothing without demand.
    pub volumetric_gain: Option<f64>,
    /// No-water days less in a mean year.
    pub no_water_days_fewer_per_year: f64,
    /// Short days less in a mean year.
    pub short_days_fewer_per_year: f64,
}

/// What each further `step` (100 L, say) buys around a size: `before` steps below it, where there is room, and `after` above.
///
/// # Errors
/// On a size below zero or not finite, and on a step that is not over zero.
pub fn further_steps(
    water: &DailyWater,
    size: Volume,
    step: Volume,
    (before, after): (u32, u32),
    rule: ReleaseRule,
) -> Result<Vec<FurtherStep>, SiteError> {
    quantity("store size", size.get())?;
    positive("step of the store size", step.get())?;
    let down = (1..=before).rev().map(|i| size - step * f64::from(i)).filter(|smaller| smaller.get() >= 0.0);
    let sizes: Vec<_> = down.chain((0..=after).map(|i| size + step * f64::from(i))).collect();
    let points = storage_curve(water, &sizes, rule)?;
    Ok(points
        .windows(2)
        .filter_map(|pair| {
            let [a, b] = pair else { return None };
            Some(FurtherStep {
                from: a.sums.size,
                to: b.sums.size,
                supplied_more_per_year: b.reliability.supplied_per_year - a.reliability.supplied_per_year,
                volumetric_gain: b.reliability.volumetric.zip(a.reliability.volumetric).map(|(b, a)| b - a),
                no_water_days_fewer_per_year: a.reliability.no_water_days_per_year - b.reliability.no_water_days_per_year,
                short_days_fewer_per_year: a.reliability.short_days_per_year - b.reliability.short_days_per_year,
            })
        })
        .collect())
}

/// The smallest store, in whole litres, that reaches a target on a curve: the first point of the curve that reaches it is
/// found, then the litres below it are halved down to 1 L. Nothing when no point of the curve reaches it, or without demand.
///
/// # Errors
/// On a target outside 0 to 1 and on a size that is not finite.
pub fn size_for_target(
    water: &DailyWater,
    curve: &[CurvePoint],
    measure: Measure,
    target: f64,
    rule: ReleaseRule,
) -> Result<Option<Volume>, SiteError> {
    share("target", target)?;
    let reaches = |point: &CurvePoint| measure.of(&point.reliability).is_some_and(|value| value >= target);
    let Some(found) = curve.iter().position(reaches) else { return Ok(None) };
    let (mut too_small, mut enough) = (
        found.checked_sub(1).and_then(|i| curve.get(i)).map_or(-1.0, |point| point.sums.size.get().floor()),
        curve.get(found).map_or(0.0, |point| point.sums.size.get().ceil()),
    );
    while enough - too_small > 1.0 {
        let middle = f64::midpoint(enough, too_small).floor();
        let points = storage_curve(water, &[Volume::new(middle)], rule)?;
        if points.iter().all(reaches) {
            enough = middle;
        } else {
            too_small = middle;
        }
    }
    Ok(Some(Volume::new(enough)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spin_up::scored;
    use ReleaseRule::{YieldAfterSpillage, YieldBeforeSpillage};
    use proptest::prelude::*;
    use series::Day;

    /// Two years: rain every so many days, a steady demand.
    fn water(every: usize, rain: f64, demand: f64) -> DailyWater {
        let inflow = (0..730).map(|i| Volume::new(if i % every == 0 { rain } else { 0.0 })).collect();
        DailyWater::from_series(Day::new(2001, 1, 1).unwrap(), inflow, vec![Volume::new(demand); 730], vec![false; 730]).unwrap()
    }

    #[test]
    fn sizes_follow_their_rule_and_hold_the_proposed_one() {
        let sizes = curve_sizes(&water(10, 1000.0, 60.0), Volume::new(1234.5)).unwrap();
        assert!(sizes.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(sizes.contains(&Volume::new(1234.5)));
        assert!((60..=81).contains(&sizes.len()), "{}", sizes.len());
        assert!(sizes.last().unwrap().get() >= 1.25 * 1234.5);
        // A demand of nothing and a roof of nothing still have a curve.
        assert!(curve_sizes(&water(10, 0.0, 0.0), Volume::ZERO).is_ok());
        assert!(curve_sizes(&water(10, 1.0, 1.0), Volume::new(f64::NAN)).is_err());
    }

    #[test]
    fn the_largest_useful_store_meets_all_or_spills_nothing() {
        // More than enough rain: all met. Too little: nothing spilt.
        for (demand, all_met) in [(60.0, true), (150.0, false)] {
            let water = water(10, 1000.0, demand);
            let size = largest_useful(&water).unwrap();
            let sums = scored(&water, size, YieldAfterSpillage).unwrap().summary;
            assert_eq!((sums.short_days == 0, sums.spilled.get() == 0.0), (all_met, !all_met), "{demand}: {sums:?}");
        }
    }

    #[test]
    fn a_target_is_met_to_the_litre_or_not_at_all() {
        // By hand: 1000 L every tenth day, 60 L a day. After spillage a store of S ends the rainy day with S - 60 at most and
        // must give nine days and the next rainy day from that, for its rain comes too late: 10 x 60 + 60 = 660 L meet every day.
        let water = water(10, 1000.0, 60.0);
        let curve = storage_curve(&water, &curve_sizes(&water, Volume::new(500.0)).unwrap(), YieldAfterSpillage).unwrap();
        let size = |measure, target| size_for_target(&water, &curve, measure, target, YieldAfterSpillage).unwrap();
        assert_eq!(size(Measure::Time, 1.0), Some(Volume::new(660.0)));
        assert_eq!(size(Measure::Volumetric, 0.0), Some(Volume::ZERO));
        let half = size(Measure::Volumetric, 0.5).unwrap();
        let reached = |litres: f64| {
            storage_curve(&water, &[Volume::new(litres)], YieldAfterSpillage).unwrap()[0].reliability.volumetric.unwrap() >= 0.5
        };
        assert!(reached(half.get()) && !reached(half.get() - 1.0));
        let dry = self::water(10, 100.0, 60.0);
        let curve = storage_curve(&dry, &curve_sizes(&dry, Volume::new(500.0)).unwrap(), YieldAfterSpillage).unwrap();
        assert_eq!(size_for_target(&dry, &curve, Measure::Volumetric, 0.9, YieldAfterSpillage), Ok(None));
        assert!(size_for_target(&dry, &curve, Measure::Volumetric, 1.1, YieldAfterSpillage).is_err());
    }

    #[test]
    fn further_litres_add_up_to_the_whole_step() {
        let water = water(13, 900.0, 60.0);
        let steps = further_steps(&water, Volume::new(250.0), Volume::new(100.0), (3, 4), YieldAfterSpillage).unwrap();
        assert_eq!(
            steps.iter().map(|step| (step.from.get(), step.to.get())).collect::<Vec<_>>(),
            [(50.0, 150.0), (150.0, 250.0), (250.0, 350.0), (350.0, 450.0), (450.0, 550.0), (550.0, 650.0)]
        );
        let ends = storage_curve(&water, &[Volume::new(50.0), Volume::new(650.0)], YieldAfterSpillage).unwrap();
        let whole = ends[1].reliability.supplied_per_year - ends[0].reliability.supplied_per_year;
        let sum: Volume = steps.iter().map(|step| step.supplied_more_per_year).sum();
        assert!((sum - whole).get().abs() < 1e-6);
        assert!(further_steps(&water, Volume::new(250.0), Volume::ZERO, (1, 1), YieldAfterSpillage).is_err());
    }

    proptest! {
        #[test]
        fn the_curve_agrees_with_single_runs(
            days in proptest::collection::vec((0.0..900.0_f64, 0.0..100.0_f64, any::<bool>()), 30..200),
            sizes in proptest::collection::vec(0.0..5000.0_f64, 1..20),
        ) {
            let inflow = days.iter().map(|day| Volume::new(if day.2 { day.0 } else { 0.0 })).collect();
            let demand = days.iter().map(|day| Volume::new(day.1)).collect();
            let water = DailyWater::from_series(Day::new(2001, 1, 1).unwrap(), inflow, demand, vec![false; days.len()]).unwrap();
            let sizes: Vec<_> = sizes.into_iter().map(Volume::new).collect();
            for rule in [YieldAfterSpillage, YieldBeforeSpillage] {
                let curve = storage_curve(&water, &sizes, rule).unwrap();
                prop_assert_eq!(curve.len(), sizes.len());
                for (point, size) in curve.iter().zip(&sizes) {
                    prop_assert_eq!(point.sums, scored(&water, *size, rule).unwrap().summary);
                }
            }
        }
    }
}
