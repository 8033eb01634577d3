//! How often each depth above zero stands in the record: what a chance repetition is measured by.

use super::working_days::{NONE, WorkingDays};

/// The depths above zero with their numbers.
#[derive(Debug, Clone)]
pub(crate) struct DepthFrequency {
    /// Depth, micrometres, and how many days have it, in order of depth.
    counts: Vec<(i32, u32)>,
    /// Days with a depth.
    pub(crate) usable: usize,
    /// Of them above zero.
    pub(crate) rainy: usize,
    /// Share of rainy days after rainy days over their share among all days, at least 1: rain comes in spells.
    pub(crate) persistence: f64,
}

impl DepthFrequency {
    pub(crate) fn new(days: &WorkingDays) -> Self {
        let mut rainy: Vec<i32> = days.depths.iter().copied().filter(|depth| *depth > 0).collect();
        rainy.sort_unstable();
        let counts = rainy.chunk_by(|a, b| a == b).map(|equal| (equal[0], equal.len() as u32)).collect();
        let usable = days.usable();
        let (mut after_rain, mut both) = (0_usize, 0_usize);
        for pair in days.depths.windows(2) {
            if pair[0] > 0 && pair[1] != NONE {
                after_rain += 1;
                both += usize::from(pair[1] > 0);
            }
        }
        let share = rainy.len() as f64 / usable.max(1) as f64;
        let persistence = if after_rain > 0 && share > 0.0 { (both as f64 / after_rain as f64 / share).max(1.0) } else { 1.0 };
        Self { counts, usable, rainy: rainy.len(), persistence }
    }

    /// Days with this depth.
    pub(crate) fn count(&self, depth: i32) -> u32 {
        self.counts.binary_search_by_key(&depth, |(known, _)| *known).map_or(0, |i| self.counts[i].1)
    }
}

/// A repetition is told when chance alone would make fewer than this in the whole record. Ours: one record in a thousand.
pub(crate) const TOLD_BELOW: f64 = 1e-3;
/// It is rejected when chance would make fewer than this. Ours: one record in a million.
pub(crate) const REJECTED_BELOW: f64 = 1e-6;
