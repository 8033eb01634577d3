//! What a caller can ask that has no answer at all. A value that the record cannot carry is no error: it is [`series::Withheld`].

/// An argument outside its range.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StatsError {
    /// A probability outside its range.
    #[error("found a probability of {found}, expected one above 0 and below 1")]
    ProbabilityOutsideRange {
        /// The number given.
        found: f64,
    },
    /// A return period of a year or less: every year reaches that.
    #[error("found a return period of {found} years, expected more than 1")]
    ReturnPeriodTooShort {
        /// The number given, years.
        found: f64,
    },
    /// Blocks too short to keep dry spells, or too long to be seasonal.
    #[error("found blocks of {found} days, expected {least} to {most}")]
    BlockOutsideRange {
        /// The number given, days.
        found: u32,
        /// The shortest.
        least: u32,
        /// The longest.
        most: u32,
    },
    /// A quantile of no numbers.
    #[error("found no values, expected at least one")]
    NoValues,
    /// A value that is not a finite number.
    #[error("found a value that is not a finite number")]
    NotFinite,
}
