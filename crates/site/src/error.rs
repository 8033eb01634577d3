//! What can be wrong with the numbers that a computation is given. Every one is the caller's to show; none is a panic.

use series::Day;

/// An input that no computation of this crate takes.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SiteError {
    /// Negative, infinite or not a number, where only a finite quantity of zero or more has a meaning.
    #[error("{what} is {value}; expected a finite number of zero or more")]
    NotAQuantity {
        /// Which input.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// A share outside 0 to 1.
    #[error("{what} is {value}; expected a share from 0 to 1")]
    NotAShare {
        /// Which input.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// Zero, negative, infinite or not a number, where the quantity must be over zero.
    #[error("{what} is {value}; expected a finite number over zero")]
    NotPositive {
        /// Which input.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// Series of different lengths.
    #[error("{what} has {found} values; expected {expected}")]
    LengthsDiffer {
        /// Which series.
        what: &'static str,
        /// Its values.
        found: usize,
        /// Values of the series that it goes with.
        expected: usize,
    },
    /// A series without a day.
    #[error("no days given")]
    NoDays,
    /// A series that reaches beyond the last day of the calendar.
    #[error("{days} days from {first} on reach beyond 2299")]
    BeyondTheCalendar {
        /// First day.
        first: Day,
        /// How many.
        days: usize,
    },
    /// A start level above what the store holds.
    #[error("start level {start_litres} L is above the usable volume of {size_litres} L")]
    StartAboveStore {
        /// Start level, L.
        start_litres: f64,
        /// Usable volume, L.
        size_litres: f64,
    },
    /// Water is to be drawn, and on no weekday.
    #[error("a demand is drawn on no weekday")]
    NoWeekday,
    /// Dead volume and volume above the overflow leave nothing of the nominal volume.
    #[error("store {name:?}: dead volume and volume above the overflow together exceed the nominal volume")]
    NothingUsable {
        /// The store's name.
        name: String,
    },
    /// No roof.
    #[error("no roof given")]
    NoRoof,
}

/// The value, if it is finite and at least zero.
pub(crate) fn quantity(what: &'static str, value: f64) -> Result<f64, SiteError> {
    if value.is_finite() && value >= 0.0 { Ok(value) } else { Err(SiteError::NotAQuantity { what, value }) }
}

/// The value, if it is finite and over zero.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, SiteError> {
    if value.is_finite() && value > 0.0 { Ok(value) } else { Err(SiteError::NotPositive { what, value }) }
}

/// The value, if it lies in 0 to 1.
pub(crate) fn share(what: &'static str, value: f64) -> Result<f64, SiteError> {
    if (0.0..=1.0).contains(&value) { Ok(value) } else { Err(SiteError::NotAShare { what, value }) }
}
