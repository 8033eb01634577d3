//! The generalised Pareto distribution fitted by L-moments.
//!
//! x(F) = xi + (alpha / k) (1 - (1-F)^k), and xi - alpha ln(1-F) where k = 0. With three parameters k = (1 - 3 t3) / (1 + t3),
//! alpha = (1+k)(2+k) l2, xi = l1 - (2+k) l2. With the lower end xi known, as for the excesses over a threshold, k = (l1-xi)/l2 - 2 and
//! alpha = (1+k)(l1-xi). k > -1, Hosking's sign: **k = -shape** of other books (k < 0 has the heavy upper tail).
//! Source: Hosking & Wallis (1997), appendix A.3. Parameters in the sample's unit.

use crate::StatsError;
use crate::distribution::{Distribution, chances, from_standard, located, to_standard};
use crate::finite;
use crate::l_moments::LMoments;
use serde::Serialize;
use series::{Withheld, math};

/// A fitted generalised Pareto distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GeneralizedPareto {
    /// xi, the least value.
    pub location: f64,
    /// alpha, above 0.
    pub scale: f64,
    /// k, above -1.
    pub shape: f64,
}

impl GeneralizedPareto {
    /// The distribution with these L-moments.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the L-skewness is not between -1 and 1, `l2` is not above 0, or a parameter is not finite.
    pub fn fit(moments: &LMoments) -> Result<Self, Withheld> {
        Self::of_moments(moments.l1, moments.l2, moments.t3)
    }

    /// The distribution with this mean, this second L-moment (above 0) and this L-skewness.
    ///
    /// # Errors
    /// As [`fit`](Self::fit).
    pub fn of_moments(l1: f64, l2: f64, t3: f64) -> Result<Self, Withheld> {
        if !(l2 > 0.0 && t3.abs() < 1.0) {
            return Err(Withheld::NoSolution);
        }
        let shape = (1.0 - 3.0 * t3) / (1.0 + t3);
        Self::checked(l1 - (2.0 + shape) * l2, (1.0 + shape) * (2.0 + shape) * l2, shape)
    }

    /// The distribution with a known least value, this mean and this second L-moment.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the mean is not above the least value by more than `l2`, `l2` is not above 0, or a parameter is not
    /// finite.
    pub fn above(location: f64, l1: f64, l2: f64) -> Result<Self, Withheld> {
        if !(l2 > 0.0 && l1 > location) {
            return Err(Withheld::NoSolution);
        }
        let shape = (l1 - location) / l2 - 2.0;
        Self::checked(location, (1.0 + shape) * (l1 - location), shape)
    }

    fn checked(location: f64, scale: f64, shape: f64) -> Result<Self, Withheld> {
        located(location, scale)?;
        if shape > -1.0 && shape.is_finite() { Ok(Self { location, scale, shape }) } else { Err(Withheld::NoSolution) }
    }
}

impl Distribution for GeneralizedPareto {
    fn at_reduced_variate(&self, y: f64) -> f64 {
        self.location + self.scale * from_standard(self.shape, -math::ln(chances(y).1))
    }

    fn cumulative(&self, value: f64) -> Result<f64, StatsError> {
        finite::all(&[value])?;
        if value <= self.location {
            return Ok(0.0);
        }
        Ok(-math::exp_m1(-to_standard(self.shape, (value - self.location) / self.scale)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, close};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.9 (R lmom): parameters rel 1e-8, quantiles to their six printed decimals, inches.
        let fit = GeneralizedPareto::fit(&LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap()).unwrap();
        for (found, expected) in [(fit.location, 0.791_534_799_0), (fit.scale, 1.142_636_135_5), (fit.shape, 0.183_876_225_9)] {
            close(found, expected, 1e-8);
        }
        let expected = [1.535_155, 2.383_391, 2.936_521, 3.567_468, 3.978_905, 4.341_107, 4.659_966];
        for (years, expected) in [2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0].into_iter().zip(expected) {
            assert!((fit.at_return_period(years).unwrap() - expected).abs() <= 0.51e-6);
        }
    }

    #[test]
    fn a_second_library_agrees() {
        // lmoments3 1.0.8: d = distr.gpa; p = d.lmom_fit(lmom_ratios=[50, 10, t3, 0.2]); p (its c is -k), d(**p).ppf([.001, .01, .5, .99, .999]).
        for (t3, location, scale, shape, expected) in [
            (
                -0.3,
                2.857_142_857_142_854,
                175.102_040_816_326_54,
                2.714_285_714_285_714_4,
                [3.032_094_846_233_287_3, 4.593_190_279_651_771, 57.538_404_931_321_05, 67.368_180_580_796_09, 67.368_420_588_353_13],
            ),
            (
                0.02,
                20.784_313_725_490_197,
                56.139_946_174_548_24,
                0.921_568_627_450_980_3,
                [20.840_455_874_023_085, 21.345_934_139_437_88, 49.541_500_435_216_33, 80.827_935_201_921_5, 81.597_405_539_042_38],
            ),
            (
                0.8,
                37.777_777_777_777_78,
                2.716_049_382_716_047_7,
                -0.777_777_777_777_777_9,
                [37.780_496_243_664_16, 37.805_181_954_964_44, 40.272_815_118_338_92, 159.783_969_212_224_95, 786.627_986_995_260_1],
            ),
        ] {
            let fit = GeneralizedPareto::of_moments(50.0, 10.0, t3).unwrap();
            close(fit.location, location, 1e-12);
            close(fit.scale, scale, 1e-12);
            close(fit.shape, shape, 1e-12);
            for (chance, expected) in [0.001, 0.01, 0.5, 0.99, 0.999].into_iter().zip(expected) {
                close(fit.quantile(chance).unwrap(), expected, 1e-11);
            }
        }
        // scipy 1.17.1: scipy.stats.genpareto.cdf([8, 10, 16, 25], -k, 10, 2).
        for (shape, expected) in [
            (-0.2, [0.0, 0.0, 0.904_632_568_359_375, 0.989_76]),
            (0.0, [0.0, 0.0, 0.950_212_931_632_136, 0.999_446_915_629_852_2]),
            (0.3, [0.0, 0.0, 0.999_535_841_116_638_7, 1.0]),
        ] {
            let fit = GeneralizedPareto { location: 10.0, scale: 2.0, shape };
            for (value, expected) in [8.0, 10.0, 16.0, 25.0].into_iter().zip(expected) {
                close(fit.cumulative(value).unwrap(), expected, 1e-12);
            }
        }
    }

    #[test]
    fn a_known_least_value() {
        // By hand, the exponential: mean 3 over the least value and l2 = 3 / 2 give k = 0, alpha = 3.
        let fit = GeneralizedPareto::above(10.0, 13.0, 1.5).unwrap();
        assert_eq!((fit.scale, fit.shape), (3.0, 0.0));
        close(fit.quantile(0.9).unwrap(), 10.0 + 3.0 * math::ln(10.0), 1e-14);
    }

    #[test]
    fn moments_out_of_range_have_no_solution() {
        for (l2, t3) in [(1.0, 1.0), (1.0, -1.0), (1.0, f64::NAN), (0.0, 0.1), (f64::NAN, 0.1), (f64::INFINITY, 0.1)] {
            assert_eq!(GeneralizedPareto::of_moments(5.0, l2, t3), Err(Withheld::NoSolution));
        }
        for (l1, l2) in [(10.0, 1.0), (11.0, 1.0), (12.0, 0.0), (f64::NAN, 1.0), (12.0, f64::NAN), (f64::INFINITY, 1.0)] {
            assert_eq!(GeneralizedPareto::above(10.0, l1, l2), Err(Withheld::NoSolution));
        }
    }

    proptest! {
        #[test]
        // A lower skewness has k so great that the values crowd at the upper end closer than a number's digits.
        fn the_chance_of_a_quantile(t3 in -0.3..0.9f64, chance in 0.001..0.999f64) {
            let fit = GeneralizedPareto::of_moments(50.0, 10.0, t3).unwrap();
            prop_assert!((fit.cumulative(fit.quantile(chance).unwrap()).unwrap() - chance).abs() < 1e-9);
        }
    }
}
