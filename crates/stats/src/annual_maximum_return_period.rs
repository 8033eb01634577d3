//! The return period among annual maxima of a storm whose return period is stated for a partial-duration series.
//!
//! `1 / Ta = 1 - exp(-1 / Tp)`: Tp counts all large storms (average recurrence interval, years), Ta the largest of each year (1 / annual
//! exceedance probability, years). Both are years; Ta is always the longer one, by about half a year for long ones (W. B. Langbein,
//! Annual floods and the partial-duration flood series, 1949; CHECKS B4.1).

use crate::StatsError;
use series::math;

/// Years of annual maxima for years of a partial-duration series, over 0 and finite.
///
/// # Errors
/// [`StatsError::ReturnPeriodTooShort`] for anything else: below a few days there is no annual maximum to speak of either.
pub fn annual_maximum_return_period(partial_duration_years: f64) -> Result<f64, StatsError> {
    let wrong = Err(StatsError::ReturnPeriodTooShort { found: partial_duration_years });
    if !(partial_duration_years >= 0.01 && partial_duration_years.is_finite()) {
        return wrong;
    }
    let years = 1.0 / (1.0 - math::exp(-1.0 / partial_duration_years));
    if years.is_finite() { Ok(years) } else { wrong }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[allow(clippy::approx_constant)] // 1.442695 is one of the checked values: 1 / ln 2, from Ta = 2.
    fn published_pairs_both_ways() {
        // CHECKS B4.1 (computed from Langbein's formula, six decimals): Tp -> Ta, and Ta -> Tp.
        let forth = [(1.0, 1.581_977), (2.0, 2.541_494), (5.0, 5.516_656), (10.0, 10.508_332)];
        let back = [(1.442_695, 2.0), (4.481_420, 5.0), (9.491_222, 10.0), (24.496_598, 25.0), (49.498_316, 50.0), (99.499_162, 100.0)];
        for (partial, annual) in forth.into_iter().chain(back) {
            let found = annual_maximum_return_period(partial).unwrap();
            assert!((found - annual).abs() < 1.1e-6, "{partial}: {found}");
        }
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e300] {
            assert!(annual_maximum_return_period(wrong).is_err(), "{wrong}");
        }
    }
}
