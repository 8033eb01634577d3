//! The gaps of a record: days in a row that are neither usable nor in a multi-day total.

use serde::Serialize;
use series::{DailySeries, Day, Kind, Period};

/// The longest gaps that are listed.
const GAPS_LISTED: usize = 5;

/// Days in a row that are neither usable nor in a multi-day total.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
    /// How many.
    pub days: usize,
    /// Of them, days whose value was rejected.
    pub rejected: usize,
}

impl Gap {
    /// From its first day to its last.
    pub fn period(&self) -> Period {
        Period::new(self.first, self.last)
    }
}

/// How many gaps, and the longest ones.
pub(crate) fn gaps(rain: &DailySeries) -> (usize, Vec<Gap>) {
    let mut gaps: Vec<Gap> = Vec::new();
    for (day, reading) in rain.days() {
        let rejected = match reading.kind() {
            Kind::Missing => 0,
            Kind::Rejected(_) => 1,
            _ => continue,
        };
        match gaps.last_mut() {
            Some(gap) if day.since(gap.last) == 1 => {
                gap.last = day;
                gap.days += 1;
                gap.rejected += rejected;
            }
            _ => gaps.push(Gap { first: day, last: day, days: 1, rejected }),
        }
    }
    let count = gaps.len();
    gaps.sort_by_key(|gap| (std::cmp::Reverse(gap.days), gap.first));
    gaps.truncate(GAPS_LISTED);
    (count, gaps)
}
