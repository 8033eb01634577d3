//! A great depth in a season that otherwise has hardly any rain, alone between dry days.
//!
//! Where a season has too few rainy days for a percentile, an outlier shows by being far above everything else of the season. Found: at
//! least 25 mm; the days before and after, where they have a depth, below 1 mm; and ten times or more the greatest depth (taken as 1 mm at
//! least) within 15 days of the date in all other years, of which at least 300 days have a depth (ours, no source: set so that a sound
//! record of a dry climate says little).
//!
//! Effect: a warning; not told where a neighbour within 75 km bears it out by a quarter. Not applied with fewer than 300 days.

use super::gap_in_month::REACH_KM;
use super::working_days::{DATES, NONE, WET, WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};

/// Least depth, micrometres.
const LEAST: i32 = 25_000;
/// Times the next greatest.
const TIMES: i32 = 10;
/// Days either side of the date.
const REACH: usize = 15;
/// Days of the season with a depth in other years.
const NEEDS: usize = 300;

/// The greatest depth of a date with its year, the greatest of any other year, and the days with a depth.
#[derive(Clone, Copy, Default)]
struct OfDate {
    first: (i32, i32),
    second: i32,
    days: usize,
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    if days.usable() < NEEDS {
        return Err(WhyNotApplied::TooFewDays { have: days.usable(), need: NEEDS });
    }
    let is_dry = |at: Option<usize>| at.and_then(|at| days.depths.get(at)).is_none_or(|depth| *depth < WET);
    let is_candidate = |at: usize| days.depths[at] >= LEAST && is_dry(at.checked_sub(1)) && is_dry(Some(at + 1));
    let candidates: Vec<usize> = (0..days.depths.len()).filter(|&at| is_candidate(at)).collect();
    if candidates.is_empty() {
        return Ok(Vec::new());
    }
    let dates = by_date(days);
    let mut found = Vec::new();
    for at in candidates {
        let (depth, year) = (days.depths[at], days.day(at).year());
        let season = (0..=2 * REACH).map(|i| dates[(usize::from(days.dates[at]) + DATES + i - REACH) % DATES]);
        // A date counts by its other years: one day less than it has is at most this year's.
        let (mut next, mut season_days) = (0, 0_usize);
        for date in season {
            next = next.max(if date.first.1 == year { date.second } else { date.first.0 });
            season_days += date.days.saturating_sub(1);
        }
        let borne_out = || days.greatest_nearby(at, REACH_KM).0.unwrap_or(0) >= depth / 4;
        if season_days >= NEEDS && depth / TIMES >= next.max(WET) && !borne_out() {
            let evidence = Evidence::OutOfSeason { depth_mm: mm(depth), next_mm: mm(next), season_days };
            found.push(QualityFinding::on(days.day(at), Effect::Warning, evidence));
        }
    }
    Ok(found)
}

fn by_date(days: &WorkingDays) -> Vec<OfDate> {
    let mut dates = vec![OfDate::default(); DATES];
    for month in &days.months {
        for at in (month.start..month.end).filter(|&at| days.depths[at] != NONE) {
            let date = &mut dates[days.dates[at] as usize];
            date.days += 1;
            if days.depths[at] > date.first.0 {
                date.second = date.first.0;
                date.first = (days.depths[at], month.year);
            } else {
                date.second = date.second.max(days.depths[at]);
            }
        }
    }
    dates
}
