//! The gamma distribution of amounts above 0, fitted as Thom did, and its distribution function.
//!
//! A = ln(mean) - mean(ln x); shape = (1 + sqrt(1 + 4 A / 3)) / (4 A), scale = mean / shape: an approximation to the greatest likelihood that
//! is right to about 0.1 % for monthly rain. F(x) = P(shape, x / scale), the regularised lower incomplete gamma function. Scale in the amounts'
//! unit.
//!
//! Source: Thom (1958), Monthly Weather Review 86, 117-122.

use crate::incomplete_gamma;
use serde::Serialize;
use series::{Withheld, math};

/// The least A that a fit is given for: below it the amounts are equal but for rounding.
const LEAST_A: f64 = 1e-6;

/// A fitted gamma distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GammaDistribution {
    /// Shape, above 0, no unit.
    pub shape: f64,
    /// Scale, above 0, in the amounts' unit.
    pub scale: f64,
}

impl GammaDistribution {
    /// The fit to amounts above 0.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] without amounts, when one is not above 0, and when all are equal.
    pub fn fit(amounts: &[f64]) -> Result<Self, Withheld> {
        if amounts.is_empty() || !amounts.iter().all(|&amount| amount > 0.0 && amount.is_finite()) {
            return Err(Withheld::NoSolution);
        }
        let n = amounts.len() as f64;
        let sum: f64 = amounts.iter().sum();
        let logarithms: f64 = amounts.iter().map(|&amount| math::ln(amount)).sum();
        Self::from_sums(n, sum, logarithms)
    }

    /// The fit to `n` amounts of this sum and this sum of natural logarithms.
    pub(crate) fn from_sums(n: f64, sum: f64, logarithms: f64) -> Result<Self, Withheld> {
        let mean = sum / n;
        let a = math::ln(mean) - logarithms / n;
        let shape = (1.0 + (1.0 + 4.0 * a / 3.0).sqrt()) / (4.0 * a);
        let scale = mean / shape;
        if a > LEAST_A && shape.is_finite() && scale > 0.0 && scale.is_finite() {
            Ok(Self { shape, scale })
        } else {
            Err(Withheld::NoSolution)
        }
    }

    /// Chance of an amount at or below this, 0 to 1; 0 for an amount that is not above 0.
    pub fn chance_below(&self, amount: f64) -> f64 {
        let x = amount / self.scale;
        if x.is_nan() { 0.0 } else { incomplete_gamma::tails(self.shape, x).0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, Gamma};

    #[test]
    fn ten_amounts() {
        // CHECKS A3.1 (COMPUTED scipy): mean 53, A 0.09918376369, alpha 5.202640907, beta 10.18713399.
        let found = GammaDistribution::fit(&[30., 45., 60., 20., 80., 55., 40., 100., 35., 65.]).unwrap();
        assert!((found.shape / 5.202_640_907 - 1.0).abs() < 1e-9 && (found.scale / 10.187_133_99 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn scipy_and_statrs_agree_on_the_distribution_function() {
        // scipy 1.17.1: special.gammainc(shape, x).
        for (shape, x, expected) in [
            (0.5, 0.2, 0.472_910_743_134_461_96),
            (2.158_633_839, 0.3, 0.026_095_658_530_006_647),
            (5.2, 5.0, 0.523_283_549_383_543_7),
            (1.2, 30.0, 0.999_999_999_999_797_5),
            (40.0, 35.0, 0.219_809_554_825_318),
            (300.0, 310.0, 0.722_488_754_171_861_1),
        ] {
            let found = GammaDistribution { shape, scale: 7.0 }.chance_below(7.0 * x);
            assert!((found / expected - 1.0).abs() < 1e-11, "{shape} {x} {found}");
            assert!((found - Gamma::new(shape, 1.0).unwrap().cdf(x)).abs() < 1e-9);
        }
    }

    #[test]
    fn no_fit_and_the_ends() {
        for amounts in [&[][..], &[0.0, 3.0], &[4.0; 30], &[1.0, f64::INFINITY], &[-1.0, 2.0], &[f64::NAN; 2]] {
            assert_eq!(GammaDistribution::fit(amounts), Err(Withheld::NoSolution), "{amounts:?}");
        }
        // Hardly different amounts give the greatest shape; the function still runs from 0 to 1.
        let narrow = GammaDistribution::fit(&[100.0, 100.3]).unwrap();
        let chances = [99.0, 100.0, 100.15, 100.3, 101.5].map(|amount| narrow.chance_below(amount));
        assert!(chances.windows(2).all(|pair| pair[0] <= pair[1]) && (chances[2] - 0.5).abs() < 0.01, "{chances:?}");
        for amount in [0.0, -1.0, f64::NAN] {
            assert_eq!(narrow.chance_below(amount), 0.0);
        }
        assert_eq!(narrow.chance_below(f64::MAX), 1.0);
        assert!(narrow.chance_below(f64::INFINITY) <= 1.0);
    }
}
