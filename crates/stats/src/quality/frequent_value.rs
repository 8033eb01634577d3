//! The same depth on most of ten successive rainy days.
//!
//! Of ten successive rainy days, dry and missing days between them left out, 9 or 10 have one depth that is at least the 30th percentile
//! of the season's rainy days, or 8 the 50th, 7 the 70th, 5 or 6 the 90th (Durre et al. 2010, frequent-value check, from memory). As with
//! streaks, it must be more than chance: with the share g of the other rainy days that have the depth, n C(9, k-1) g^k windows are
//! expected among n, and it is told when these are fewer than 0.001 (ours: without it a gauge read to 5 mm would be found everywhere).
//!
//! Effect: a warning. Days running are left to `identical_streak`. Not applied where no date has 20 rainy days around it, nor to the mean
//! of an area.

use super::depth_frequency::{DepthFrequency, TOLD_BELOW};
use super::seasonal_percentiles::SeasonalPercentiles;
use super::working_days::{WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use series::{Period, math};

/// Rainy days of a window.
const WINDOW: usize = 10;
/// Fewest equal ones.
const LEAST: usize = 5;

pub(crate) fn find(
    days: &WorkingDays,
    frequency: &DepthFrequency,
    percentiles: &SeasonalPercentiles,
) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let rainy: Vec<usize> = (0..days.depths.len()).filter(|&at| days.depths[at] > 0).collect();
    if !percentiles.any() {
        return Err(WhyNotApplied::TooFewDays { have: rainy.len(), need: 20 });
    }
    let mut found: Vec<QualityFinding> = Vec::new();
    for window in rainy.windows(WINDOW) {
        let depth = days.depths[window[0]];
        let equal: Vec<usize> = window.iter().copied().filter(|&at| days.depths[at] == depth).collect();
        let k = equal.len();
        if k < LEAST || equal[k - 1] - equal[0] + 1 == k {
            continue;
        }
        let Some(percentiles) = percentiles.of(days.dates[window[0]]) else { continue };
        let least = match k {
            5 | 6 => percentiles[3],
            7 => percentiles[2],
            8 => percentiles[1],
            _ => percentiles[0],
        };
        let others = |all: usize| (all + 1).saturating_sub(k).max(1) as f64;
        let share = others(frequency.count(depth) as usize) / others(frequency.rainy);
        let expected = rainy.len() as f64 * choose_of_nine(k - 1) * math::pow(share.min(1.0), k as f64);
        if depth < least || expected >= TOLD_BELOW {
            continue;
        }
        let periods: Vec<Period> = equal.iter().map(|&at| days.period(at, at + 1)).collect();
        merge(&mut found, periods, depth, k, expected);
    }
    Ok(found)
}

/// A window that shares days with the last finding of the same depth belongs to it.
fn merge(found: &mut Vec<QualityFinding>, periods: Vec<Period>, depth: i32, k: usize, expected: f64) {
    if let Some(QualityFinding { periods: known, evidence: Evidence::FrequentValue { depth_mm, days, expected: least }, .. }) =
        found.last_mut()
        && *depth_mm == mm(depth)
        && known.iter().any(|period| periods.contains(period))
    {
        (*days, *least) = ((*days).max(k), least.min(expected));
        known.extend(periods);
        known.sort_by_key(|period| period.first);
        known.dedup();
        return;
    }
    let evidence = Evidence::FrequentValue { depth_mm: mm(depth), days: k, expected };
    found.push(QualityFinding { effect: Effect::Warning, periods, evidence });
}

/// Nine choose k.
fn choose_of_nine(k: usize) -> f64 {
    [1.0, 9.0, 36.0, 84.0, 126.0, 126.0, 84.0, 36.0, 9.0, 1.0][k.min(9)]
}
