//! A depth above the greatest ever measured in a day is no depth of a day.
//!
//! Limit: 1,825 mm, Foc-Foc, La Reunion, 24 hours of 7 and 8 January 1966 (World Meteorological Organization, World Weather and Climate
//! Extremes Archive, from memory). Effect: rejected. It can always be applied; totals over several days are not looked at.

use super::working_days::{WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding};

/// Greatest depth of a day on Earth, micrometres.
const LIMIT: i32 = 1_825_000;

pub(crate) fn find(days: &WorkingDays) -> Vec<QualityFinding> {
    let above = days.depths.iter().enumerate().filter(|(_, depth)| **depth > LIMIT);
    above
        .map(|(at, depth)| {
            let evidence = Evidence::AbsoluteLimit { depth_mm: mm(*depth), limit_mm: mm(LIMIT) };
            QualityFinding::on(days.day(at), Effect::Rejected, evidence)
        })
        .collect()
}
