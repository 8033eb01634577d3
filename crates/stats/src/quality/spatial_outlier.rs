//! A depth that no neighbour bears out.
//!
//! The depth is held against those of up to seven nearest neighbours within 75 km, each from the day before to the day after (so that
//! different hours of observation do no harm). Where it lies between the least and the greatest of them the difference is 0, else it is the
//! least difference d, mm. With the least difference p of the percent ranks, of the tested depth at its own station and of the neighbours'
//! depths at theirs (share of the rainy days within 14 days of the date, in all years, that are smaller, in percent; 0 for a dry day), it is
//! found when d > 269.24 - 45.72 ln p, and d > 269.24 where p is below 1 or cannot be had (Durre et al. 2010, spatial corroboration check,
//! from memory). Two stations in one great storm both have a rank near 100: p is small and the limit wide, so a true extreme with a true
//! neighbour stays.
//!
//! Effect: rejected with three neighbours or more, a warning with one or two. A warning also where, with three or more, a depth of 50 mm or
//! more is at least five times the greatest of theirs: a slip of the decimal mark on a day of rain all about stays within the limits above
//! (ours; a true local storm can do the same, so nothing is rejected for it). Not applied without a neighbour within reach.
//!
//! A rainy day that is written as 0 is found only when all about it fell far over 50 mm on three days running.

use super::gap_in_month::REACH_KM;
use super::seasonal_percentiles::REACH;
use super::working_days::{Beside, DATES, WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use series::math;

/// Limit at a difference of rank of 1 percent, and its fall with the logarithm of it, mm.
const WIDEST: f64 = 269.24;
const FALL: f64 = 45.72;
/// Most neighbours, and fewest that reject.
const MOST: usize = 7;
const REJECT: usize = 3;
/// A depth that may be a slip of the decimal mark, micrometres, and over the greatest of the neighbours'.
const SLIP: i32 = 50_000;
const SLIP_TIMES: i32 = 5;
/// Fewest rainy days of a rank.
const NEEDS: usize = 20;

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let mut near: Vec<&Beside> = days.neighbours().filter(|beside| beside.distance_km <= REACH_KM).collect();
    if near.is_empty() {
        return Err(WhyNotApplied::TooFewNeighbours { have: 0, need: 1 });
    }
    near.sort_by(|a, b| a.distance_km.total_cmp(&b.distance_km));
    // No difference up to the limit at a rank difference of 100 percent can be found.
    let least = ((WIDEST - FALL * math::ln(100.0)) * 1000.0) as i32;
    let looked_at = least.min(SLIP);
    let mut ranks = None;
    let mut found = Vec::new();
    for (at, &depth) in days.depths.iter().enumerate() {
        // Great itself, or not there while the nearest neighbours are great.
        if depth < looked_at && (depth < 0 || near.iter().all(|beside| beside.depths[at] < least)) {
            continue;
        }
        let around: Vec<(usize, i32)> = (0..near.len()).flat_map(|i| near[i].around(at).map(move |other| (i, other))).collect();
        let mut had: Vec<usize> = around.iter().map(|(i, _)| *i).collect();
        had.dedup();
        had.truncate(MOST);
        let around: Vec<(usize, i32)> = around.into_iter().filter(|(i, _)| had.contains(i)).collect();
        let Some(&(_, nearest)) = around.iter().min_by_key(|(_, other)| (depth - other).abs()) else { continue };
        let between = around.iter().any(|(_, other)| *other <= depth) && around.iter().any(|(_, other)| *other >= depth);
        let slipped = had.len() >= REJECT && depth >= SLIP && depth / SLIP_TIMES >= nearest && !between;
        if between || ((depth - nearest).abs() <= least && !slipped) {
            continue;
        }
        let ranks = ranks.get_or_insert_with(|| Ranks::new(days, &near));
        let limit = ranks.limit(usize::from(days.dates[at]), depth, &around);
        let is_outside = mm(depth - nearest).abs() > limit;
        if is_outside || slipped {
            let effect = if is_outside && had.len() >= REJECT { Effect::Rejected } else { Effect::Warning };
            let evidence =
                Evidence::SpatialOutlier { depth_mm: mm(depth), nearest_mm: mm(nearest), limit_mm: limit, neighbours: had.len() };
            found.push(QualityFinding::on(days.day(at), effect, evidence));
        }
    }
    Ok(found)
}

/// The rainy depths of the station and of its neighbours by date.
struct Ranks {
    own: Vec<Vec<i32>>,
    near: Vec<Vec<Vec<i32>>>,
}

impl Ranks {
    fn new(days: &WorkingDays, near: &[&Beside]) -> Self {
        let by_date = |depths: &[i32]| {
            let mut dates = vec![Vec::new(); DATES];
            for (depth, date) in depths.iter().zip(&days.dates).filter(|(depth, _)| **depth > 0) {
                dates[*date as usize].push(*depth);
            }
            dates
        };
        Self { own: by_date(&days.depths), near: near.iter().map(|beside| by_date(&beside.depths)).collect() }
    }

    /// The difference that is accepted, mm.
    fn limit(&self, date: usize, depth: i32, around: &[(usize, i32)]) -> f64 {
        let Some(own) = rank(&self.own, date, depth) else { return WIDEST };
        let others = around.iter().filter_map(|(i, other)| rank(&self.near[*i], date, *other));
        let (mut least, mut below, mut above) = (f64::INFINITY, false, false);
        for other in others {
            least = least.min((own - other).abs());
            below |= other <= own;
            above |= other >= own;
        }
        if !least.is_finite() || least < 1.0 || (below && above) { WIDEST } else { WIDEST - FALL * math::ln(least) }
    }
}

/// Percent rank of a depth among the rainy days around a date, halves of the equal ones counted; 0 for a dry day.
fn rank(dates: &[Vec<i32>], date: usize, depth: i32) -> Option<f64> {
    if depth == 0 {
        return Some(0.0);
    }
    let season = (0..=2 * REACH).flat_map(|i| &dates[(date + DATES + i - REACH) % DATES]);
    let (mut n, mut below) = (0_usize, 0.0);
    for other in season {
        n += 1;
        below += if *other < depth { 1.0 } else { f64::from(u8::from(*other == depth)) / 2.0 };
    }
    (n >= NEEDS).then(|| 100.0 * below / n as f64)
}
