//! Depths in a wrong unit over half-years: tenths for whole millimetres (factor 10), inches for millimetres (25.4), tenths of inches for
//! centimetres or the like (2.54), or the other way round.
//!
//! A half-year (January to June, July to December) is looked at when 20 days or more are rainy. Two figures tell its scale: the logarithm
//! of the mean of its ten greatest depths, and the mean of the logarithms of the next ten. Each is taken against the median of the same
//! halves of all years, with a spread of 1.4826 times the median absolute deviation, 0.05 at least. The record itself shows a slip when
//! both stand five spreads or more away on the same side (three, where the half-year before or after shows the same), and the nearest of
//! the factors fits each within a quarter of it or a spread and a half. Small depths are left out, since a slip downwards rounds them away and many
//! gauges do not keep them; a single great storm moves the first figure alone.
//!
//! With neighbours, the median of the logarithms of own depth over a neighbour's, on days that both have rain (15 or more in the half-year),
//! is taken against its median over all half-years; it bears the slip out when it stands five spreads away and fits the factor likewise. A
//! slip that the record shows and no neighbour bears out, while one was there to ask, is not told; one that two neighbours and most of them
//! show, and the record alone does not, is.
//!
//! Effect: rejected for the factors 10 and 25.4, and for 2.54 with two neighbours; else a warning. Limits are ours. At least eight
//! half-years of a kind are needed; a slip over more than half of the record looks like the rest of it being wrong the other way.

use super::half_years::{HalfYear, half_years};
use super::working_days::WorkingDays;
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use series::math;

/// Rainy days of a half-year, and rainy days in common with a neighbour.
const RAINY: usize = 20;
const COMMON: usize = 15;
/// Half-years of a kind.
const NEEDS: usize = 8;
/// Spreads away, alone and beside another half-year of the kind, and the least spread of a logarithm.
const SPREADS: f64 = 5.0;
const SPREADS_TOGETHER: f64 = 3.0;
const LEAST_SPREAD: f64 = 0.05;
/// How near a factor must be: the logarithm of a quarter more.
const NEAR: f64 = 0.223;
/// The slips; each also the other way round.
const FACTORS: [f64; 3] = [10.0, 25.4, 2.54];
/// Greatest depths of a half-year.
const GREATEST: usize = 10;

/// What a half-year shows: the two figures of the record, and one for each neighbour; each against its median.
#[derive(Clone, Default)]
struct Shown {
    own: Option<[Away; 2]>,
    beside: Vec<Away>,
}

/// A logarithm of a ratio, and the spread it is usually within.
#[derive(Clone, Copy)]
struct Away {
    log: f64,
    spread: f64,
}

impl Away {
    fn is_far(self, spreads: f64) -> bool {
        self.log.abs() >= spreads * self.spread
    }

    fn fits(self, factor: f64) -> bool {
        (self.log - math::ln(factor)).abs() <= NEAR.max(1.5 * self.spread)
    }
}

/// A slip of one half-year.
#[derive(Clone, Copy, PartialEq)]
struct Slip {
    factor: f64,
    own: Option<f64>,
    beside: Option<f64>,
    neighbours: usize,
    /// Far enough to stand alone.
    alone: bool,
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let halves = half_years(days);
    let shown = shown(days, &halves);
    if shown.iter().all(|shown| shown.own.is_none() && shown.beside.is_empty()) {
        let enough =
            |kind: usize| halves.iter().filter(|half| half.half == kind && figures(&days.depths[half.start..half.end]).is_some()).count();
        return Err(WhyNotApplied::TooFewYears { have: enough(0).max(enough(1)), need: NEEDS });
    }
    let mut slips: Vec<Option<Slip>> = shown.iter().map(slip).collect();
    let weak: Vec<usize> = (0..slips.len()).filter(|&i| slips[i].is_some_and(|slip| !slip.alone)).collect();
    let factor = |i: Option<usize>| i.and_then(|i| slips.get(i).copied().flatten()).map(|slip| slip.factor);
    let lonely = |i: &usize| factor(i.checked_sub(1)) != factor(Some(*i)) && factor(Some(i + 1)) != factor(Some(*i));
    for i in weak.into_iter().filter(lonely).collect::<Vec<_>>() {
        slips[i] = None;
    }
    let mut found = Vec::new();
    let mut at = 0;
    while at < slips.len() {
        let Some(first) = slips[at] else {
            at += 1;
            continue;
        };
        // A half-year with too little rain to tell, between two that slipped alike, is of the same kind.
        let same = |i: &usize| slips[*i].is_some_and(|slip| slip.factor == first.factor);
        let goes_on = |i: &usize| same(i) || (slips[*i].is_none() && shown[*i].own.is_none());
        let last = (at..slips.len()).take_while(goes_on).filter(same).last().unwrap_or(at);
        found.push(finding(days, &halves[at..=last], &slips[at..=last]));
        at = last + 1;
    }
    Ok(found)
}

fn finding(days: &WorkingDays, halves: &[HalfYear], slips: &[Option<Slip>]) -> QualityFinding {
    let mean = |of: fn(&Slip) -> Option<f64>| {
        let logs: Vec<f64> = slips.iter().flatten().filter_map(of).collect();
        (!logs.is_empty()).then(|| math::exp(logs.iter().sum::<f64>() / logs.len() as f64))
    };
    let factor = slips.iter().flatten().map(|slip| slip.factor).next().unwrap_or(1.0);
    let neighbours = slips.iter().flatten().map(|slip| slip.neighbours).min().unwrap_or(0);
    let small = factor.max(1.0 / factor) < 5.0;
    let effect = if small && neighbours < 2 { Effect::Warning } else { Effect::Rejected };
    let evidence =
        Evidence::UnitSlip { factor, ratio_to_record: mean(|slip| slip.own), ratio_to_neighbours: mean(|slip| slip.beside), neighbours };
    QualityFinding::over(days.period(halves[0].start, halves[halves.len() - 1].end), effect, evidence)
}

fn slip(shown: &Shown) -> Option<Slip> {
    let factors = || FACTORS.into_iter().flat_map(|factor| [factor, 1.0 / factor]);
    let nearest = |log: f64| factors().min_by(|a, b| (log - math::ln(*a)).abs().total_cmp(&(log - math::ln(*b)).abs())).unwrap_or(1.0);
    let bearing = |factor: f64| -> Vec<f64> {
        shown.beside.iter().filter(|away| away.is_far(SPREADS) && away.fits(factor)).map(|away| away.log).collect()
    };
    let mean = |logs: &[f64]| (!logs.is_empty()).then(|| logs.iter().sum::<f64>() / logs.len() as f64);
    if let Some([greatest, next]) = shown.own.filter(|own| own.iter().all(|away| away.is_far(SPREADS_TOGETHER))) {
        let log = f64::midpoint(greatest.log, next.log);
        let factor = nearest(log);
        if greatest.fits(factor) && next.fits(factor) {
            let bearing = bearing(factor);
            let denied = bearing.is_empty() && !shown.beside.is_empty();
            let alone = greatest.is_far(SPREADS) && next.is_far(SPREADS);
            return (!denied).then(|| Slip { factor, own: Some(log), beside: mean(&bearing), neighbours: bearing.len(), alone });
        }
    }
    let beside: Vec<f64> = shown.beside.iter().filter(|away| away.is_far(SPREADS)).map(|away| away.log).collect();
    let factor = nearest(mean(&beside)?);
    let bearing = bearing(factor);
    (bearing.len() >= 2 && 2 * bearing.len() > shown.beside.len()).then(|| Slip {
        factor,
        own: None,
        beside: mean(&bearing),
        neighbours: bearing.len(),
        alone: true,
    })
}

fn shown(days: &WorkingDays, halves: &[HalfYear]) -> Vec<Shown> {
    let mut shown = vec![Shown::default(); halves.len()];
    let figures: Vec<Option<[f64; 2]>> = halves.iter().map(|half| figures(&days.depths[half.start..half.end])).collect();
    for kind in 0..2 {
        let of = |i: usize| figures[i].filter(|_| halves[i].half == kind);
        let sides = [0, 1].map(|side| median_and_spread((0..halves.len()).filter_map(|i| of(i).map(|both| both[side]))));
        let [Some(greatest), Some(next)] = sides else { continue };
        let away = |log: f64, (median, spread): (f64, f64)| Away { log: log - median, spread };
        for (i, shown) in shown.iter_mut().enumerate() {
            shown.own = of(i).map(|both| [away(both[0], greatest), away(both[1], next)]).or(shown.own);
        }
    }
    for beside in days.neighbours() {
        let ratios: Vec<Option<f64>> = halves.iter().map(|half| ratio(&days.depths, &beside.depths, *half)).collect();
        let Some((median, spread)) = median_and_spread(ratios.iter().copied().flatten()) else { continue };
        for (shown, ratio) in shown.iter_mut().zip(ratios) {
            shown.beside.extend(ratio.map(|log| Away { log: log - median, spread }));
        }
    }
    shown
}

/// Logarithm of the mean of the greatest depths, and mean logarithm of the next ones, where there are enough.
fn figures(depths: &[i32]) -> Option<[f64; 2]> {
    let mut rainy: Vec<i32> = depths.iter().copied().filter(|depth| *depth > 0).collect();
    if rainy.len() < RAINY {
        return None;
    }
    rainy.sort_unstable_by(|a, b| b.cmp(a));
    let (greatest, next) = (&rainy[..GREATEST], &rainy[GREATEST..2 * GREATEST]);
    let mean = greatest.iter().map(|depth| f64::from(*depth)).sum::<f64>() / GREATEST as f64;
    Some([math::ln(mean), next.iter().map(|depth| math::ln(f64::from(*depth))).sum::<f64>() / GREATEST as f64])
}

/// Median logarithm of own depth over a neighbour's on the days of a half-year that both have rain, where there are enough.
fn ratio(own: &[i32], theirs: &[i32], half: HalfYear) -> Option<f64> {
    let pairs = own[half.start..half.end].iter().zip(&theirs[half.start..half.end]);
    let mut ratios: Vec<f64> =
        pairs.filter(|(own, theirs)| **own > 0 && **theirs > 0).map(|(own, theirs)| f64::from(*own) / f64::from(*theirs)).collect();
    if ratios.len() < COMMON {
        return None;
    }
    let middle = ratios.len() / 2;
    Some(math::ln(*ratios.select_nth_unstable_by(middle, f64::total_cmp).1))
}

/// Median and spread of the values, where there are enough.
fn median_and_spread(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let values: Vec<f64> = values.collect();
    if values.len() < NEEDS {
        return None;
    }
    let median = crate::median(&values).ok()?;
    let deviations: Vec<f64> = values.iter().map(|value| (value - median).abs()).collect();
    Some((median, (1.4826 * crate::median(&deviations).ok()?).max(LEAST_SPREAD)))
}
