//! A depth that stands far above all others of its calendar month.
//!
//! The depths above zero of a calendar month, all years together, are sorted; where one is 300 mm or more above the next smaller (0 below
//! the least), it and all above it are found (Durre et al. 2010, gap check, from memory).
//!
//! Effect: rejected. A warning where a neighbour within 75 km had at least a quarter of the depth from the day before to the day after,
//! or where the day before or after was itself wet by a tenth of it: great storms seldom fill one day alone (both ours). It can always be
//! applied, and says nothing of a slip smaller than 300 mm.

use super::working_days::{WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding};

/// The gap, micrometres.
const GAP: i32 = 300_000;
/// How far a neighbour may be, km.
pub(crate) const REACH_KM: f64 = 75.0;
/// What part of the depth a neighbour, and a day beside, must have.
const BORNE_OUT: i32 = 4;
const BESIDE: i32 = 10;

pub(crate) fn find(days: &WorkingDays) -> Vec<QualityFinding> {
    let mut found = Vec::new();
    if days.depths.iter().all(|depth| *depth < GAP) {
        return found;
    }
    for month in 1..=12 {
        let of_month = days.months.iter().filter(|own| own.month == month);
        let mut depths: Vec<(i32, usize)> =
            of_month.flat_map(|own| own.start..own.end).filter(|at| days.depths[*at] > 0).map(|at| (days.depths[at], at)).collect();
        depths.sort_unstable();
        let below = |i: usize| if i == 0 { 0 } else { depths[i - 1].0 };
        let Some(from) = (0..depths.len()).find(|&i| depths[i].0 - below(i) >= GAP) else { continue };
        for &(depth, at) in &depths[from..] {
            let effect = if is_borne_out(days, at) { Effect::Warning } else { Effect::Rejected };
            let evidence = Evidence::GapInMonth { depth_mm: mm(depth), next_mm: mm(below(from)), month };
            found.push(QualityFinding::on(days.day(at), effect, evidence));
        }
    }
    found.sort_by_key(|finding| finding.periods[0].first);
    found
}

/// Whether a neighbour or the days beside speak for a great depth.
pub(crate) fn is_borne_out(days: &WorkingDays, at: usize) -> bool {
    let depth = days.depths[at];
    let nearby = days.greatest_nearby(at, REACH_KM).0.unwrap_or(0);
    let beside = [at.checked_sub(1), at.checked_add(1)].into_iter().flatten().filter_map(|at| days.depths.get(at)).max();
    nearby >= depth / BORNE_OUT || beside.is_some_and(|beside| *beside >= depth / BESIDE)
}
