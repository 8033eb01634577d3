//! Whether a sample can be worked with at all.

use crate::StatsError;

/// Refuses a sample with a value that is not a finite number.
pub(crate) fn all(values: &[f64]) -> Result<(), StatsError> {
    if values.iter().all(|value| value.is_finite()) { Ok(()) } else { Err(StatsError::NotFinite) }
}

/// The same, and fewer than two values, in which nothing can change.
pub(crate) fn two_or_more(values: &[f64]) -> Result<(), StatsError> {
    if values.len() < 2 { Err(StatsError::NoValues) } else { all(values) }
}
