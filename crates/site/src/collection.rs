//! Between roof and store: the first-flush chamber and the screen.

use series::Volume;

/// How a first-flush chamber empties itself again (CHECKS H13, H14: the answer depends on it).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FirstFlushEmptying {
    /// Through a small drain, this much a day, after the day's inflow.
    Drains {
        /// Litres a day.
        per_day: Volume,
    },
    /// Wholly, once this many days without rain on the roof have passed.
    AfterDryDays(u32),
}

/// A first-flush chamber. It takes the lesser of the inflow and its room, day by day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FirstFlush {
    /// Its volume.
    pub volume: Volume,
    /// How it empties.
    pub emptying: FirstFlushEmptying,
}

/// What the water passes on its way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Collection {
    /// The chamber, if there is one.
    pub first_flush: Option<FirstFlush>,
    /// Share of the water that the screen lets through, 0 to 1.
    pub screen_share_passed: f64,
}
