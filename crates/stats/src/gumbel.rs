//! The Gumbel distribution (extreme value type I) fitted by L-moments.
//!
//! x(F) = xi - alpha ln(-ln F); alpha = l2 / ln 2, xi = l1 - gamma alpha, gamma Euler's constant.
//! Source: Hosking & Wallis (1997), appendix A.5. Parameters in the sample's unit.

use crate::StatsError;
use crate::distribution::Distribution;
use crate::finite;
use crate::l_moments::LMoments;
use serde::Serialize;
use series::{Withheld, math};
use std::f64::consts::LN_2;

/// Euler's constant.
pub(crate) const EULER: f64 = 0.577_215_664_901_532_9;

/// A fitted Gumbel distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gumbel {
    /// xi.
    pub location: f64,
    /// alpha, above 0.
    pub scale: f64,
}

impl Gumbel {
    /// The distribution with these L-moments.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the scale is not above 0.
    pub fn fit(moments: &LMoments) -> Result<Self, Withheld> {
        let scale = moments.l2 / LN_2;
        let location = moments.l1 - EULER * scale;
        if scale > 0.0 && location.is_finite() { Ok(Self { location, scale }) } else { Err(Withheld::NoSolution) }
    }
}

impl Distribution for Gumbel {
    fn at_reduced_variate(&self, y: f64) -> f64 {
        self.location + self.scale * y
    }

    fn cumulative(&self, value: f64) -> Result<f64, StatsError> {
        finite::all(&[value])?;
        Ok(math::exp(-math::exp(-(value - self.location) / self.scale)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, TINY, close};
    use statrs::distribution::ContinuousCDF;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.5 (R lmom): rel 1e-8, inches.
        let fit = Gumbel::fit(&LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap()).unwrap();
        close(fit.location, 1.388_667_406, 1e-8);
        close(fit.scale, 0.637_599_802, 1e-8);
        let expected = [1.622_355_972, 2.345_028_845, 2.823_501_169, 3.428_052_218, 3.876_542_722, 4.321_721_642, 4.765_276_180];
        for (years, expected) in [2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0].into_iter().zip(expected) {
            close(fit.at_return_period(years).unwrap(), expected, 1e-8);
        }
    }

    #[test]
    fn tiny_series() {
        // CHECKS B1, tiny hand series: T = 10 (R lmom = own).
        let fit = Gumbel::fit(&LMoments::of(&TINY).unwrap()).unwrap();
        close(fit.at_return_period(10.0).unwrap(), 74.973_969_76, 1e-9);
    }

    #[test]
    fn dry_runs_of_fort_collins() {
        // CHECKS A6.3 (COMPUTED): from the L-moments of A6.2.
        let moments = LMoments { n: 100, weighted: [0.0; 5], l1: 38.87, l2: 6.573_838_384, t3: 0.2, t4: None, t5: None };
        let fit = Gumbel::fit(&moments).unwrap();
        close(fit.location, 33.395_661_22, 1e-9);
        close(fit.scale, 9.484_044_036, 1e-9);
        for (years, expected) in [(2.0, 36.8717), (5.0, 47.6212), (10.0, 54.7382), (20.0, 61.5651), (50.0, 70.4018)] {
            assert!((fit.at_return_period(years).unwrap() - expected).abs() < 0.000_05 + 1e-9);
        }
    }

    #[test]
    fn statrs_agrees() {
        // Independent code: the Gumbel of statrs, through its distribution function.
        let fit = Gumbel { location: 33.4, scale: 9.48 };
        let other = statrs::distribution::Gumbel::new(33.4, 9.48).unwrap();
        for years in [1.1, 2.0, 10.0, 100.0] {
            let value = fit.at_return_period(years).unwrap();
            assert!((other.cdf(value) - (1.0 - 1.0 / years)).abs() < 1e-12);
            assert!((fit.cumulative(value).unwrap() - other.cdf(value)).abs() < 1e-14);
        }
    }

    #[test]
    fn arguments_outside_their_range_are_errors() {
        let fit = Gumbel { location: 1.0, scale: 1.0 };
        assert!(
            fit.at_return_period(1.0).is_err() && fit.at_return_period(f64::NAN).is_err() && fit.at_return_period(f64::INFINITY).is_err()
        );
        assert!(fit.quantile(0.0).is_err() && fit.quantile(1.0).is_err() && fit.quantile(f64::NAN).is_err());
    }
}
