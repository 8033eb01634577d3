//! What every distribution of annual maxima answers: the value for a probability and for a return period, and the probability of a value.
//!
//! The annual-maximum return period T is 1 / (1 - F), F the chance that a year stays at or below the value.
//!
//! Five of them are one form with different standard variates y(F): x = xi + (alpha / k) (1 - exp(-k y)), and xi + alpha y where k = 0
//! (Hosking & Wallis 1997, appendix). [`from_standard`] and [`to_standard`] are that form and its inverse.

use crate::StatsError;
use series::{Withheld, math};

/// A fitted distribution of annual maxima.
pub trait Distribution {
    /// The value at a reduced variate y = -ln(-ln F), in the sample's unit.
    fn at_reduced_variate(&self, y: f64) -> f64;

    /// The chance that a year stays at or below a value in the sample's unit, 0 to 1.
    ///
    /// # Errors
    /// When the value is not finite.
    fn cumulative(&self, value: f64) -> Result<f64, StatsError>;

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

/// Refuses a location or scale that no fit can have.
pub(crate) fn located(location: f64, scale: f64) -> Result<(), Withheld> {
    if scale > 0.0 && scale.is_finite() && location.is_finite() { Ok(()) } else { Err(Withheld::NoSolution) }
}

/// (1 - exp(-k y)) / k, which tends to y as k does to 0.
pub(crate) fn from_standard(k: f64, y: f64) -> f64 {
    let x = k * y;
    if x.abs() < 1e-3 {
        // The series keeps the digits that the difference would lose; the next term is below 1e-18.
        y * (1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * (1.0 - x / 6.0)))))
    } else {
        (1.0 - math::exp(-x)) / k
    }
}

/// The y with (1 - exp(-k y)) / k equal to `standard`; minus infinity below the least value that there is, infinity above the greatest.
pub(crate) fn to_standard(k: f64, standard: f64) -> f64 {
    let x = -k * standard;
    if x <= -1.0 {
        if k > 0.0 { f64::INFINITY } else { f64::NEG_INFINITY }
    } else if x.abs() < 1e-12 {
        standard
    } else {
        -math::ln_1p(x) / k
    }
}

/// F of a reduced variate y = -ln(-ln F), and 1 - F, both with all their digits.
pub(crate) fn chances(y: f64) -> (f64, f64) {
    let exponent = math::exp(-y);
    (math::exp(-exponent), -math::exp_m1(-exponent))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_form_at_its_limits() {
        // By hand: 1 - 1/2 for k = 1, y = ln 2; k = 0 is the identity; beyond the end of the range nothing or all.
        assert!((from_standard(1.0, std::f64::consts::LN_2) - 0.5).abs() < 1e-15);
        assert_eq!((from_standard(0.0, 3.0), to_standard(0.0, 3.0)), (3.0, 3.0));
        assert_eq!((to_standard(0.5, 2.0), to_standard(-0.5, -2.5)), (f64::INFINITY, f64::NEG_INFINITY));
        // F = 1/2 at y = -ln(ln 2).
        let (below, above) = chances(-math::ln(std::f64::consts::LN_2));
        assert!((below - 0.5).abs() < 1e-15 && (above - 0.5).abs() < 1e-15);
        assert!((chances(50.0).1 / math::exp(-50.0) - 1.0).abs() < 1e-15);
    }

    proptest! {
        #[test]
        fn the_form_and_its_inverse(k in -2.0..2.0f64, y in -3.0..6.0f64) {
            prop_assert!((to_standard(k, from_standard(k, y)) - y).abs() < 1e-9);
        }
    }
}
