//! The days of a month, or of several months in a row, that stand twice in the record.
//!
//! Two months are the same when the depths of their first 28 days are, days without a depth at the same places, with at least 25 depths,
//! and three rainy days of three different depths among them. Dry days say nothing; each rainy day is as likely to agree as other days have
//! its depth, so that among all pairs of months, P, the number expected by chance is P times the product of these shares. Told below 0.001,
//! rejected below one in a million (ours): so two dry months, or two months of a coarse gauge with little rain, do not count. Months in a row
//! that agree at the same distance are one finding; twelve are a repeated year.
//!
//! Which of the two is the copy one record cannot tell, and both are rejected (Durre et al. 2010, duplicate check, from memory, of whole
//! years and months). With neighbours the one whose depths agree less with them is rejected alone, when the correlations of the square
//! roots of the depths differ by 0.3 or more (ours).
//!
//! A copy that was changed on a single day, or moved by days, is not found.

use super::depth_frequency::{DepthFrequency, REJECTED_BELOW, TOLD_BELOW};
use super::working_days::{MonthSpan, NONE, WorkingDays};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use crate::correlation::Correlation;
use series::{Period, math};

/// Days that are compared.
const DAYS: usize = 28;
/// Fewest of them with a depth.
const USABLE: usize = 25;
/// Fewest rainy days, and different depths.
const RAINY: usize = 3;
/// Difference of correlation that tells the copy.
const TELLING: f64 = 0.3;

/// Two places with the same days: months by their index, and how many in a row.
struct Repetition {
    first: usize,
    second: usize,
    months: usize,
    rainy: usize,
    /// Logarithm of the product of the shares.
    log_chance: f64,
}

pub(crate) fn find(days: &WorkingDays, frequency: &DepthFrequency) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let telling: Vec<usize> = (0..days.months.len()).filter(|&month| can_tell(days, days.months[month])).collect();
    if telling.len() < 2 {
        return Err(WhyNotApplied::TooFewDays { have: days.usable(), need: 2 * USABLE });
    }
    let pairs = telling.len() as f64 * (telling.len() as f64 - 1.0) / 2.0;
    let mut found = Vec::new();
    for repetition in repetitions(days, frequency, telling) {
        let expected = math::exp(math::ln(pairs) + repetition.log_chance);
        if expected < TOLD_BELOW {
            found.push(finding(days, &repetition, expected));
        }
    }
    found.sort_by_key(|finding| finding.periods[0].first);
    Ok(found)
}

/// Whether a month has days and rain enough to be told from others.
fn can_tell(days: &WorkingDays, month: MonthSpan) -> bool {
    let Some(compared) = compared(days, month) else { return false };
    let usable = compared.iter().filter(|depth| **depth != NONE).count();
    let mut rainy: Vec<i32> = compared.iter().copied().filter(|depth| *depth > 0).collect();
    let count = rainy.len();
    rainy.sort_unstable();
    rainy.dedup();
    usable >= USABLE && count >= RAINY && rainy.len() >= RAINY
}

fn compared(days: &WorkingDays, month: MonthSpan) -> Option<&[i32]> {
    days.depths[month.start..month.end].get(..DAYS)
}

fn repetitions(days: &WorkingDays, frequency: &DepthFrequency, mut months: Vec<usize>) -> Vec<Repetition> {
    months.sort_by_cached_key(|&month| (compared(days, days.months[month]).map(<[i32]>::to_vec), month));
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for same in months.chunk_by(|&a, &b| compared(days, days.months[a]) == compared(days, days.months[b])) {
        pairs.extend(same[1..].iter().map(|&other| (same[0], other)));
    }
    // By distance, then by place: a year that stands twice is twelve neighbours in this order.
    pairs.sort_by_key(|&(a, b)| (b - a, a));
    let mut found: Vec<Repetition> = Vec::new();
    for (first, second) in pairs {
        let (rainy, log_chance) = agreement(days, frequency, days.months[first], days.months[second]);
        match found.last_mut() {
            Some(last) if last.second - last.first == second - first && last.first + last.months == first => {
                last.months += 1;
                last.rainy += rainy;
                last.log_chance += log_chance;
            }
            _ => found.push(Repetition { first, second, months: 1, rainy, log_chance }),
        }
    }
    found
}

/// Rainy days that agree, and the logarithm of the product of their shares; the two places themselves count once.
fn agreement(days: &WorkingDays, frequency: &DepthFrequency, one: MonthSpan, other: MonthSpan) -> (usize, f64) {
    let pairs = days.depths[one.start..one.end].iter().zip(&days.depths[other.start..other.end]);
    pairs.filter(|(a, b)| **a > 0 && a == b).fold((0, 0.0), |(rainy, log_chance), (depth, _)| {
        let others = frequency.count(*depth).saturating_sub(1).max(1);
        (rainy + 1, log_chance + math::ln(f64::from(others) / frequency.usable as f64))
    })
}

fn finding(days: &WorkingDays, repetition: &Repetition, expected: f64) -> QualityFinding {
    let over = |month: usize| days.period(days.months[month].start, days.months[month + repetition.months - 1].end);
    let (first, second) = (over(repetition.first), over(repetition.second));
    let effect = if expected < REJECTED_BELOW { Effect::Rejected } else { Effect::Warning };
    let copy = match (against_neighbours(days, first), against_neighbours(days, second)) {
        (Some(one), Some(other)) if one - other >= TELLING => Some((second, first)),
        (Some(one), Some(other)) if other - one >= TELLING => Some((first, second)),
        _ => None,
    };
    let evidence = Evidence::RepeatedMonths {
        months: repetition.months,
        rainy_days: repetition.rainy,
        expected,
        told_by_neighbours: copy.is_some(),
        same_as: copy.map(|(_, original)| original),
    };
    let periods = copy.map_or_else(|| vec![first, second], |(copy, _)| vec![copy]);
    QualityFinding { effect, periods, evidence }
}

/// Correlation with the neighbours' mean, of square roots, where there are days enough.
fn against_neighbours(days: &WorkingDays, period: Period) -> Option<f64> {
    let from = period.first.since(days.first).max(0) as usize;
    let mut correlation = Correlation::default();
    for at in (from..from + period.days()).filter(|&at| days.depths[at] != NONE) {
        let depths = days.neighbours().map(|beside| beside.depths[at]).filter(|depth| *depth != NONE);
        let (n, sum) = depths.fold((0, 0.0), |(n, sum), depth| (n + 1, sum + f64::from(depth).sqrt()));
        if n > 0 {
            correlation.add(f64::from(days.depths[at]).sqrt(), sum / f64::from(n));
        }
    }
    if correlation.pairs() < USABLE { None } else { correlation.coefficient() }
}
