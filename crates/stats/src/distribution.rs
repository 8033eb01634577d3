//! What every distribution of annual maxima answers: the value for a probability, and for a return period.
//!
//! The annual-maximum return period T is 1 / (1 - F), F the chance that a year stays at or below the value.

use crate::StatsError;
use series::math;

/// A fitted distribution of annual maxima.
pub trait Distribution {
    /// The value at a reduced variate y = -ln(-ln F), in the sample's unit.
    fn at_reduced_variate(&self, y: f64) -> f64;

    /// The value that a year stays at or below with chance `non_exceedance` (above 0 and below 1).
    ///
    /// # Errors
    /// When the chance lies outside that range, or the value is beyond all numbers.
    fn quantile(&self, non_exceedance: f64) -> Result<f64, StatsError> {
        if !(non_exceedance > 0.0 && non_exceedance < 1.0) {
            return Err(StatsError::ProbabilityOutsideRange { found: non_exceedance });
        }
        let value = self.at_reduced_variate(-math::ln(-math::ln(non_exceedance)));
        if value.is_finite() { Ok(value) } else { Err(StatsError::NotFinite) }
    }

    /// The value of a return period in years (above 1).
    ///
    /// # Errors
    /// When the return period is not above 1 year or not finite.
    fn at_return_period(&self, years: f64) -> Result<f64, StatsError> {
        if !(years > 1.0 && years.is_finite()) {
            return Err(StatsError::ReturnPeriodTooShort { found: years });
        }
        self.quantile(1.0 - 1.0 / years)
    }
}
