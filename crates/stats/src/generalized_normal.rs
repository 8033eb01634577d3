//! The generalised normal (three-parameter lognormal) distribution fitted by L-moments.
//!
//! x(F) = xi + (alpha / k) (1 - exp(-k z)), z the standard normal variate of F, and xi + alpha z where k = 0. The lognormal with lower end
//! zeta, log mean mu and log deviation sigma is k = -sigma, alpha = sigma exp(mu), xi = zeta + exp(mu).
//! k = -t3 (E0 + E1 t3^2 + E2 t3^4 + E3 t3^6) / (1 + F1 t3^2 + F2 t3^4 + F3 t3^6), a relative error below 2.5e-6 for |t3| <= 0.94;
//! alpha = l2 k exp(-k^2 / 2) / erf(k / 2); xi = l1 - (alpha / k) (1 - exp(k^2 / 2)). Beyond |t3| = 0.95 nothing is given.
//! Source: Hosking & Wallis (1997), appendix A.8; coefficients also Hosking (1996), IBM research report RC 20525.
//! Parameters in the sample's unit.

use crate::StatsError;
use crate::distribution::{Distribution, chances, from_standard, located, to_standard};
use crate::finite;
use crate::l_moments::LMoments;
use crate::normal;
use serde::Serialize;
use series::{Withheld, math};
use std::f64::consts::PI;

const NUMERATOR: [f64; 4] = [2.046_653_4, -3.654_437_1, 1.839_673_3, -0.203_602_44];
const DENOMINATOR: [f64; 3] = [-2.018_217_3, 1.242_040_1, -0.217_418_01];

/// A fitted generalised normal distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GeneralizedNormal {
    /// xi, the median.
    pub location: f64,
    /// alpha, above 0.
    pub scale: f64,
    /// k, Hosking's sign: k < 0 has the heavy upper tail.
    pub shape: f64,
}

impl GeneralizedNormal {
    /// Greatest size of the L-skewness that the approximation is good for.
    pub const GREATEST_SKEWNESS: f64 = 0.95;

    /// The distribution with these L-moments.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the L-skewness is beyond [`GREATEST_SKEWNESS`](Self::GREATEST_SKEWNESS) either way, `l2` is not above
    /// 0, or a parameter is not finite.
    pub fn fit(moments: &LMoments) -> Result<Self, Withheld> {
        Self::of_moments(moments.l1, moments.l2, moments.t3)
    }

    /// The distribution with this mean, this second L-moment (above 0) and this L-skewness.
    ///
    /// # Errors
    /// As [`fit`](Self::fit).
    pub fn of_moments(l1: f64, l2: f64, t3: f64) -> Result<Self, Withheld> {
        if !(l2 > 0.0 && t3.abs() <= Self::GREATEST_SKEWNESS) {
            return Err(Withheld::NoSolution);
        }
        let square = t3 * t3;
        let above = NUMERATOR[0] + square * (NUMERATOR[1] + square * (NUMERATOR[2] + square * NUMERATOR[3]));
        let below = 1.0 + square * (DENOMINATOR[0] + square * (DENOMINATOR[1] + square * DENOMINATOR[2]));
        let shape = -t3 * above / below;
        let half = shape * shape / 2.0;
        let (scale, location) = if shape.abs() < 1e-7 {
            // erf(k / 2) tends to k / sqrt(pi).
            let scale = l2 * PI.sqrt();
            (scale, l1 + scale * shape / 2.0)
        } else {
            let scale = l2 * shape * math::exp(-half) / math::erf(shape / 2.0);
            (scale, l1 + scale / shape * math::exp_m1(half))
        };
        located(location, scale)?;
        Ok(Self { location, scale, shape })
    }
}

impl Distribution for GeneralizedNormal {
    fn at_reduced_variate(&self, y: f64) -> f64 {
        let (below, above) = chances(y);
        self.location + self.scale * from_standard(self.shape, normal::variate(below, above))
    }

    fn cumulative(&self, value: f64) -> Result<f64, StatsError> {
        finite::all(&[value])?;
        Ok(normal::chance_below(to_standard(self.shape, (value - self.location) / self.scale)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, close};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.7 (R lmom): rel 1e-6, inches.
        let fit = GeneralizedNormal::fit(&LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap()).unwrap();
        for (found, expected) in [(fit.location, 1.557_492_804_7), (fit.scale, 0.695_754_511_0), (fit.shape, -0.532_938_026_7)] {
            close(found, expected, 1e-6);
        }
        let expected = [1.557_493, 2.296_425, 2.836_608, 3.570_771, 4.152_516, 4.762_409, 5.403_801];
        for (years, expected) in [2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0].into_iter().zip(expected) {
            close(fit.at_return_period(years).unwrap(), expected, 1e-6);
        }
    }

    #[test]
    fn the_region_of_the_book() {
        // CHECKS B3.9 (COMPUTED): xi 0.9944, alpha 0.1952, k -0.0570, to 5e-4.
        let growth = GeneralizedNormal { location: 0.9944, scale: 0.1952, shape: -0.0570 };
        for (chance, expected) in [(0.01, 0.569), (0.1, 0.753), (0.5, 0.994), (0.9, 1.254), (0.99, 1.480), (0.999, 1.654)] {
            assert!((growth.quantile(chance).unwrap() - expected).abs() <= 5e-4);
        }
    }

    #[test]
    fn a_second_library_agrees() {
        // lmoments3 1.0.8: d = distr.gno; p = d.lmom_fit(lmom_ratios=[50, 10, t3, 0.2]); p, d(**p).ppf([.001, .01, .5, .99, .999]).
        for (t3, location, scale, shape, expected) in [
            (
                -0.3,
                55.214_175_649_071_21,
                15.035_979_031_775_115,
                0.627_521_003_716_037_9,
                [-87.427_241_947_282_33, -23.982_331_910_953_945, 55.214_175_649_071_21, 73.609_564_889_848_88, 75.729_009_630_256_24],
            ),
            (
                0.02,
                49.637_307_672_203_91,
                17.712_166_325_157_046,
                -0.040_936_878_061_429_14,
                [-1.776_795_805_165_647_8, 10.333_848_999_308_906, 49.637_307_672_203_91, 92.867_793_688_670_63, 107.984_835_196_421_84],
            ),
            (
                0.8,
                39.714_751_335_467_59,
                2.999_597_325_617_4,
                -2.038_761_063_682_283,
                [38.246_168_010_494_43, 38.256_287_166_014_94, 39.714_751_335_467_59, 207.092_195_944_949, 839.660_183_181_940_7],
            ),
        ] {
            let fit = GeneralizedNormal::of_moments(50.0, 10.0, t3).unwrap();
            close(fit.location, location, 1e-10);
            close(fit.scale, scale, 1e-10);
            close(fit.shape, shape, 1e-10);
            for (chance, expected) in [0.001, 0.01, 0.5, 0.99, 0.999].into_iter().zip(expected) {
                close(fit.quantile(chance).unwrap(), expected, 1e-9);
            }
        }
        // distr.gno(k=k, loc=10, scale=2).cdf([4, 8, 10, 16]).
        for (shape, expected) in [
            (-0.2, [2.308_774_667_003_632_4e-6, 0.132_271_483_720_042_77, 0.5, 0.990_613_752_070_989_8]),
            (0.3, [0.016_197_073_972_377_35, 0.190_910_068_984_173_68, 0.5, 0.999_999_999_999_991_8]),
        ] {
            let fit = GeneralizedNormal { location: 10.0, scale: 2.0, shape };
            for (value, expected) in [4.0, 8.0, 10.0, 16.0].into_iter().zip(expected) {
                close(fit.cumulative(value).unwrap(), expected, 1e-9);
            }
        }
        assert_eq!(GeneralizedNormal { location: 10.0, scale: 2.0, shape: 0.3 }.cumulative(25.0), Ok(1.0));
        assert_eq!(GeneralizedNormal { location: 10.0, scale: 2.0, shape: -0.3 }.cumulative(0.0), Ok(0.0));
    }

    #[test]
    fn moments_out_of_range_have_no_solution() {
        for (l2, t3) in [(1.0, 0.96), (1.0, -1.0), (1.0, f64::NAN), (0.0, 0.1), (f64::NAN, 0.1), (f64::INFINITY, 0.1)] {
            assert_eq!(GeneralizedNormal::of_moments(5.0, l2, t3), Err(Withheld::NoSolution));
        }
        // The normal distribution: l2 = sigma / sqrt(pi) (Hosking & Wallis 1997, A.4); F = 0.97 from norm.ppf of scipy 1.17.1.
        let fit = GeneralizedNormal::of_moments(5.0, 1.0 / PI.sqrt(), 0.0).unwrap();
        close(fit.quantile(0.97).unwrap(), 6.880_793_608_151_251, 1e-12);
    }

    proptest! {
        #[test]
        fn the_chance_of_a_quantile(t3 in -0.9..0.9f64, chance in 0.001..0.999f64) {
            let fit = GeneralizedNormal::of_moments(50.0, 10.0, t3).unwrap();
            prop_assert!((fit.cumulative(fit.quantile(chance).unwrap()).unwrap() - chance).abs() < 1e-9);
        }
    }
}
