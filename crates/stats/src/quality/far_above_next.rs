//! A depth far above the next greatest of the record.
//!
//! Of the five greatest days of a record with 30 rainy days or more: found are those of 10 mm or more that reach three times the next
//! greatest depth (ours, no source). It speaks where a record is too short for its seasons to be known, and is told once: a day that
//! `out_of_season` or a test before it tells is left out. Effect: a warning; not told where a neighbour within 75 km bears it out by a quarter.
//! Not applied with fewer rainy days.

use super::gap_in_month::REACH_KM;
use super::working_days::{WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};

/// Days that are looked at.
pub(crate) const GREATEST: usize = 5;
/// Least depth, micrometres (a day of heavy precipitation, ETCCDI R10mm).
pub(crate) const LEAST: i32 = 10_000;
/// Rainy days of the record.
const NEEDS: usize = 30;
/// Times the next greatest.
const TIMES: i32 = 3;

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let rainy = days.depths.iter().filter(|depth| **depth > 0).count();
    if rainy < NEEDS {
        return Err(WhyNotApplied::TooFewDays { have: rainy, need: NEEDS });
    }
    let greatest = greatest(days, GREATEST + 1);
    let pairs = greatest.windows(2).map(|pair| (pair[0], days.depths[pair[0]], days.depths[pair[1]]));
    let far = pairs.filter(|(_, depth, next)| *depth >= LEAST && depth / TIMES >= *next);
    let alone = far.filter(|(at, depth, _)| days.greatest_nearby(*at, REACH_KM).0.unwrap_or(0) < depth / 4);
    let mut found: Vec<QualityFinding> = alone
        .map(|(at, depth, next)| {
            QualityFinding::on(days.day(at), Effect::Warning, Evidence::FarAboveNext { depth_mm: mm(depth), next_mm: mm(next) })
        })
        .collect();
    found.sort_by_key(|finding| finding.periods[0].first);
    Ok(found)
}

/// The places of the greatest depths above zero, greatest first; of equals the earliest.
pub(crate) fn greatest(days: &WorkingDays, count: usize) -> Vec<usize> {
    let mut found: Vec<usize> = Vec::with_capacity(count + 1);
    for (at, &depth) in days.depths.iter().enumerate().filter(|(_, depth)| **depth > 0) {
        if found.len() < count || days.depths[found[count - 1]] < depth {
            found.insert(found.partition_point(|&other| days.depths[other] >= depth), at);
            found.truncate(count);
        }
    }
    found
}
