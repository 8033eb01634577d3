//! A sudden change of the yearly rain, of the wet days, or of the rain against the neighbours: another place, gauge or observer.
//!
//! Looked at, over the calendar years that have 350 days or more with a depth: the rain of a year divided by its days with a depth, times
//! 365.25; the days of at least 1 mm, likewise; and, where there are neighbours, the mean over them of the year's rain here over theirs on
//! common days (300 at least), each on its own mean. Such a ratio takes the climate's own changes away (Alexandersson 1986), so with
//! neighbours the plain totals are not looked at.
//!
//! Found when Pettitt's chance is below 0.01, the standard normal homogeneity statistic is above the level of one in a hundred, both
//! put the change within five years of each other (Pettitt's place is told), and the mean changes by a tenth or more (ours). Buishand's
//! range stands beside. Effect: a warning; a climate may change as well as a gauge, and without neighbours nobody can tell. Twenty years are
//! needed. Changes near the ends, gradual changes, and a second change are not found by these.
//!
//! Sources: WMO-No. 1203 (2017), on homogeneity; the tests' own are in `pettitt`, `standard_normal_homogeneity` and `buishand_range`.

use super::finding::ChangeOf;
use super::working_days::{NONE, WET, WorkingDays};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use crate::buishand_range::buishand_range;
use crate::pettitt::pettitt;
use crate::standard_normal_homogeneity::{homogeneity_level, standard_normal_homogeneity};
use series::{Day, Period};

/// Days with a depth that a year needs; days in common with a neighbour.
const DAYS: usize = 350;
const COMMON: usize = 300;
/// Fewest years.
const YEARS: usize = 20;
/// Pettitt's chance.
const CHANCE: f64 = 0.01;
/// Years that the two tests may differ by.
const APART: usize = 5;
/// Least change of the mean, as a share of the mean before.
const CHANGE: f64 = 0.1;
/// Mean length of a year, days.
const YEAR: f64 = 365.25;

/// A calendar year by the places of its days.
#[derive(Clone, Copy)]
struct YearSpan {
    year: i32,
    start: usize,
    end: usize,
    usable: usize,
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let years = days.months.chunk_by(|a, b| a.year == b.year).map(|months| {
        let (start, end) = (months[0].start, months[months.len() - 1].end);
        let usable = days.depths[start..end].iter().filter(|depth| **depth != NONE).count();
        YearSpan { year: months[0].year, start, end, usable }
    });
    let years: Vec<YearSpan> = years.filter(|year| year.usable >= DAYS).collect();
    if years.len() < YEARS {
        return Err(WhyNotApplied::TooFewYears { have: years.len(), need: YEARS });
    }
    let a_year = |of: &dyn Fn(i32) -> f64, year: &YearSpan| {
        let depths = days.depths[year.start..year.end].iter().filter(|depth| **depth != NONE);
        (year.year, depths.map(|depth| of(*depth)).sum::<f64>() / year.usable as f64 * YEAR)
    };
    let of_all = |of: &dyn Fn(i32) -> f64| years.iter().map(|year| a_year(of, year)).collect::<Vec<_>>();
    let mut found = Vec::new();
    let ratios = against_neighbours(days, &years);
    if ratios.len() >= YEARS {
        found.extend(change(days, &ratios, ChangeOf::TotalOverNeighbours));
    } else {
        found.extend(change(days, &of_all(&|depth| f64::from(depth) / 1000.0), ChangeOf::AnnualTotal));
    }
    found.extend(change(days, &of_all(&|depth| f64::from(u8::from(depth >= WET))), ChangeOf::WetDays));
    Ok(found)
}

/// The year's rain over the neighbours', each neighbour's on its own mean; years with at least one neighbour.
fn against_neighbours(days: &WorkingDays, years: &[YearSpan]) -> Vec<(i32, f64)> {
    let mut sums = vec![(0.0, 0_usize); years.len()];
    for beside in days.neighbours() {
        let ratio = |year: &YearSpan| {
            let pairs = days.depths[year.start..year.end].iter().zip(&beside.depths[year.start..year.end]);
            let common = pairs.filter(|(own, theirs)| **own != NONE && **theirs != NONE);
            let (n, own, theirs) =
                common.fold((0_usize, 0.0, 0.0), |(n, own, theirs), (a, b)| (n + 1, own + f64::from(*a), theirs + f64::from(*b)));
            (n >= COMMON && theirs > 0.0).then(|| own / theirs)
        };
        let ratios: Vec<Option<f64>> = years.iter().map(ratio).collect();
        let known = ratios.iter().flatten().count();
        let mean = ratios.iter().flatten().sum::<f64>() / known as f64;
        // A neighbour of few years would move the mean where it comes and goes.
        if known < YEARS || 5 * known < 4 * years.len() || mean <= 0.0 {
            continue;
        }
        for (sum, ratio) in sums.iter_mut().zip(ratios) {
            if let Some(ratio) = ratio {
                *sum = (sum.0 + ratio / mean, sum.1 + 1);
            }
        }
    }
    years.iter().zip(sums).filter(|(_, (_, n))| *n > 0).map(|(year, (sum, n))| (year.year, sum / n as f64)).collect()
}

fn change(days: &WorkingDays, values: &[(i32, f64)], of: ChangeOf) -> Option<QualityFinding> {
    let plain: Vec<f64> = values.iter().map(|(_, value)| *value).collect();
    let by_rank = pettitt(&plain).ok()?;
    let by_mean = standard_normal_homogeneity(&plain).ok()?;
    let level = homogeneity_level(plain.len());
    if by_rank.chance >= CHANCE || by_mean.statistic <= level || by_rank.before.abs_diff(by_mean.before) > APART {
        return None;
    }
    let (before, after) = plain.split_at(by_rank.before);
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (before, after) = (mean(before), mean(after));
    if (after - before).abs() < CHANGE * before {
        return None;
    }
    let year = values[by_rank.before].0;
    let evidence = Evidence::ChangePoint {
        of,
        year,
        before,
        after,
        years: plain.len(),
        pettitt_chance: by_rank.chance,
        homogeneity: by_mean.statistic,
        homogeneity_level: level,
        buishand: buishand_range(&plain).map_or(0.0, |found| found.statistic),
    };
    let record = days.period(0, days.depths.len());
    Some(QualityFinding::over(Period::new(Day::first_of_year(year), record.last), Effect::Warning, evidence))
}
