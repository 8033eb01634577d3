//! A depth far above all others of its season in other years.
//!
//! The season of a day is the days within 14 days of its date in all other years. Two rules find one:
//!
//! * one of the five greatest days of the record, of 10 mm or more, that is 2.5 times or more the greatest of its season, of which at least
//!   145 days have a depth (five years of 29). The window is that of the outlier check of Durre et al. (2010), from memory; 2.5 is ours:
//!   among the five greatest days of eleven sound records from Oxford to Death Valley none reaches 2.4;
//! * any day of at least 25 mm, alone between days below 1 mm (or without a depth), that is ten times or more the greatest of its season
//!   (taken as 1 mm at least), of which at least 290 days have a depth (ten years; ours): a great fall in a season without rain.
//!
//! Effect: a warning; not told where a neighbour within 75 km bears it out by a quarter. Not applied with fewer than 145 days.

use super::far_above_next::{GREATEST, LEAST, greatest};
use super::gap_in_month::REACH_KM;
use super::working_days::{DATES, NONE, WET, WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};

/// Of the five greatest days: half of the times that one is above its season, and days of the season.
const HALVES_OF_GREATEST: i64 = 5;
const NEEDS: usize = 145;
/// Of a day alone: least depth, micrometres, times, and days of the season.
const ALONE: i32 = 25_000;
const TIMES: i32 = 10;
const ALONE_NEEDS: usize = 290;
/// Days either side of the date.
const REACH: usize = 14;

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
    let is_alone = |at: usize| days.depths[at] >= ALONE && is_dry(at.checked_sub(1)) && is_dry(Some(at + 1));
    let greatest = greatest(days, GREATEST);
    let is_great = |at: usize| days.depths[at] >= LEAST && greatest.contains(&at);
    let candidates: Vec<usize> = (0..days.depths.len()).filter(|&at| is_great(at) || is_alone(at)).collect();
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
        let great = is_great(at) && season_days >= NEEDS && 2 * i64::from(depth) >= HALVES_OF_GREATEST * i64::from(next);
        let alone = is_alone(at) && season_days >= ALONE_NEEDS && depth / TIMES >= next.max(WET);
        if (great || alone) && !borne_out() {
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
