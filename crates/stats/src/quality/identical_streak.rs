//! The same depth above zero day after day.
//!
//! A streak of k equal depths on k days running, k at least 4, is held against chance: a depth that f of the other days have is expected
//! to make N f (c f)^(k-1) such streaks in N days, where c is how much oftener rain follows rain than it falls (`depth_frequency`). The
//! share f is that of the whole record or, where it is greater, of the days within 45 days of the date in all years: light snow keeps to
//! its season.
//! Told when fewer than 0.001 are expected, rejected when fewer than one in a million and 1 mm or more (ours): so a coarse gauge does not
//! count as a fault, and days of 0.1 mm on end, which are dew or light snow in many gauges, are not lost. Twenty equal depths on successive rainy days, dry and missing days between them left out, are found as well
//! (Durre et al. 2010, streak check, from memory), rejected or told by the same chance.
//!
//! Which day of a streak is right nobody can tell: all are concerned. Not applied to the mean of an area.

use super::depth_frequency::{DepthFrequency, REJECTED_BELOW, TOLD_BELOW};
use super::working_days::{DATES, NONE, WET, WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding};
use series::{Period, math};

/// Shortest streak of days running.
const DAYS_RUNNING: usize = 4;
/// Days either side of a date that are its season.
const SEASON: usize = 45;
/// Shortest streak of rainy days.
const RAINY_DAYS: usize = 20;

pub(crate) fn find(days: &WorkingDays, frequency: &DepthFrequency) -> Vec<QualityFinding> {
    let mut found = Vec::new();
    let mut at = 0;
    for equal in days.depths.chunk_by(|a, b| a == b) {
        let (depth, k) = (equal[0], equal.len());
        if depth > 0 && k >= DAYS_RUNNING {
            let share = share(frequency.count(depth), k, frequency.usable).max(in_season(days, at, k));
            let expected = frequency.usable as f64 * share * math::pow((frequency.persistence * share).min(1.0), (k - 1) as f64);
            found.extend(finding(&[days.period(at, at + k)], depth, k, expected));
        }
        at += k;
    }
    let rainy: Vec<usize> = (0..days.depths.len()).filter(|&at| days.depths[at] > 0).collect();
    for equal in rainy.chunk_by(|&a, &b| days.depths[a] == days.depths[b]) {
        let (depth, k) = (days.depths[equal[0]], equal.len());
        let runs_on = equal[k - 1] - equal[0] + 1 == k;
        if k >= RAINY_DAYS && !runs_on {
            let share = share(frequency.count(depth), k, frequency.rainy);
            let expected = frequency.rainy as f64 * math::pow(share, k as f64);
            let runs = equal.chunk_by(|a, b| a + 1 == *b).map(|run| days.period(run[0], run[run.len() - 1] + 1));
            let runs: Vec<Period> = runs.collect();
            found.retain(|part: &QualityFinding| !part.periods.iter().all(|period| runs.contains(period)));
            found.extend(finding(&runs, depth, k, expected));
        }
    }
    found.sort_by_key(|finding| finding.periods[0].first);
    found
}

/// The share of the days about the date, in all years, that have the depth, the streak's own but one left out.
fn in_season(days: &WorkingDays, at: usize, streak: usize) -> f64 {
    let (depth, date) = (days.depths[at], usize::from(days.dates[at]));
    let (mut usable, mut equal) = (0, 0);
    for (other, of) in days.depths.iter().zip(&days.dates) {
        let apart = (usize::from(*of) + DATES - date) % DATES;
        if *other != NONE && (apart <= SEASON || apart >= DATES - SEASON) {
            usable += 1;
            equal += u32::from(*other == depth);
        }
    }
    share(equal, streak, usable)
}

/// The share of `of` days that have the depth, the streak's own but one left out on both sides.
fn share(count: u32, streak: usize, of: usize) -> f64 {
    let others = |all: usize| (all + 1).saturating_sub(streak).max(1) as f64;
    (others(count as usize) / others(of)).min(1.0)
}

fn finding(periods: &[Period], depth: i32, days: usize, expected: f64) -> Option<QualityFinding> {
    let effect = if expected < REJECTED_BELOW && depth >= WET { Effect::Rejected } else { Effect::Warning };
    let evidence = Evidence::IdenticalStreak { depth_mm: mm(depth), days, expected };
    (expected < TOLD_BELOW).then(|| QualityFinding { effect, periods: periods.to_vec(), evidence })
}
