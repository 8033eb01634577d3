//! Between roof and store: the first-flush chamber and the screen.

use crate::error::{SiteError, quantity, share};
use series::Volume;

/// How a first-flush chamber empties itself again (CHECKS H13, H14: the answer depends on it).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FirstFlushEmptying {
    /// Through a small drain, this much a day, after the day's inflow.
    Drains {
        /// Litres a day.
        per_day: Volume,
    },
    /// Wholly, once this many days in a row without inflow to the chamber have passed: days on which nothing runs off the
    /// roofs that lead to it, so that a day whose rain only wets the covering counts too. 0 and 1 mean the same.
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

impl Collection {
    /// No chamber, and a screen that loses nothing.
    pub const OPEN: Self = Self { first_flush: None, screen_share_passed: 1.0 };

    /// Whether every number of it has a meaning.
    ///
    /// # Errors
    /// On a chamber or drain below zero or not finite, and on a screen share outside 0 to 1.
    pub fn check(&self) -> Result<(), SiteError> {
        share("screen share passed", self.screen_share_passed)?;
        if let Some(chamber) = self.first_flush {
            quantity("first-flush volume", chamber.volume.get())?;
            if let FirstFlushEmptying::Drains { per_day } = chamber.emptying {
                quantity("first-flush drain", per_day.get())?;
            }
        }
        Ok(())
    }
}
