//! The chance that an event of a return period is reached at least once within some years: what to print instead of "once in T years".
//!
//! 1 - (1 - 1/T)^n, T the annual return period in years, n years, each year independent of the others (TRADE section 4, "risk wording").
//! The power is taken by multiplication, so the same everywhere.

use crate::StatsError;

/// Share (0 to 1) of stretches of `years` years in which an event of `return_period_years` is reached at least once; 0 for no years.
///
/// # Errors
/// [`StatsError::ReturnPeriodTooShort`] when the return period is not above 1 year or not finite.
pub fn chance_within(return_period_years: f64, years: u32) -> Result<f64, StatsError> {
    if !(return_period_years > 1.0 && return_period_years.is_finite()) {
        return Err(StatsError::ReturnPeriodTooShort { found: return_period_years });
    }
    // By squares: 32 rounds at most, however many years.
    let (mut kept, mut square, mut left) = (1.0, 1.0 - 1.0 / return_period_years, years);
    while left > 0 {
        if left % 2 == 1 {
            kept *= square;
        }
        square *= square;
        left /= 2;
    }
    Ok(1.0 - kept)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_trade_s_own_wording() {
        // TRADE section 4, "risk wording": a 20-year event in 20 years 64 %, a 100-year one in 20 years 18 % (whole percents).
        for (return_period, expected) in [(20.0, 64.0), (100.0, 18.0)] {
            let percent = 100.0 * chance_within(return_period, 20).unwrap();
            assert!((percent - expected).abs() <= 0.5, "{return_period}: {percent}");
        }
    }

    #[test]
    fn by_hand_and_at_the_ends() {
        assert_eq!(chance_within(2.0, 3).unwrap(), 0.875);
        assert_eq!((chance_within(50.0, 0).unwrap(), chance_within(2.0, u32::MAX).unwrap()), (0.0, 1.0));
        assert!((chance_within(50.0, 1).unwrap() - 0.02).abs() < 1e-15);
        for wrong in [1.0, 0.0, -5.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(chance_within(wrong, 20), Err(StatsError::ReturnPeriodTooShort { .. })));
        }
    }
}
