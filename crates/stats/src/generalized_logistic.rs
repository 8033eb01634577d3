//! The generalised logistic distribution fitted by L-moments.
//!
//! x(F) = xi + (alpha / k) (1 - ((1-F)/F)^k), and xi - alpha ln((1-F)/F) where k = 0. k = -t3;
//! alpha = l2 sin(k pi) / (k pi); xi = l1 - alpha (1/k - pi / sin(k pi)). Range of the L-skewness: -1 < t3 < 1.
//! Source: Hosking & Wallis (1997), appendix A.7 (Hosking's sign: k < 0 has the heavy upper tail). Parameters in the sample's unit.

use crate::StatsError;
use crate::distribution::{Distribution, chances, from_standard, located, to_standard};
use crate::finite;
use crate::l_moments::LMoments;
use serde::Serialize;
use series::{Withheld, math};
use std::f64::consts::PI;

/// A fitted generalised logistic distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GeneralizedLogistic {
    /// xi, the median.
    pub location: f64,
    /// alpha, above 0.
    pub scale: f64,
    /// k, between -1 and 1.
    pub shape: f64,
}

impl GeneralizedLogistic {
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
        let shape = -t3;
        let angle = shape * PI;
        let (scale, location) = if angle.abs() < 1e-4 {
            // sin(x) / x and x / sin(x) by their series; the next terms are below 1e-17.
            (l2 * (1.0 - angle * angle / 6.0), l1 + l2 * PI * angle / 6.0)
        } else {
            let scale = l2 * math::sin(angle) / angle;
            (scale, l1 - (scale - l2) / shape)
        };
        located(location, scale)?;
        Ok(Self { location, scale, shape })
    }
}

impl Distribution for GeneralizedLogistic {
    fn at_reduced_variate(&self, y: f64) -> f64 {
        let (below, above) = chances(y);
        self.location + self.scale * from_standard(self.shape, math::ln(below) - math::ln(above))
    }

    fn cumulative(&self, value: f64) -> Result<f64, StatsError> {
        finite::all(&[value])?;
        Ok(1.0 / (1.0 + math::exp(-to_standard(self.shape, (value - self.location) / self.scale))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, close};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.6 (R lmom): parameters rel 1e-8, quantiles to their six printed decimals, inches.
        let fit = GeneralizedLogistic::fit(&LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap()).unwrap();
        for (found, expected) in [(fit.location, 1.576_302_874_4), (fit.scale, 0.395_709_265_6), (fit.shape, -0.256_330_245_3)] {
            close(found, expected, 1e-8);
        }
        let expected = [1.576_303, 2.234_987, 2.743_855, 3.518_867, 4.218_801, 5.045_790, 6.028_283];
        for (years, expected) in [2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0].into_iter().zip(expected) {
            assert!((fit.at_return_period(years).unwrap() - expected).abs() <= 0.51e-6);
        }
    }

    #[test]
    fn a_second_library_agrees() {
        // lmoments3 1.0.8: d = distr.glo; p = d.lmom_fit(lmom_ratios=[50, 10, t3, 0.2]); p, d(**p).ppf([.001, .01, .5, .99, .999]).
        for (t3, location, scale, expected) in [
            (
                -0.3,
                54.720_210_288_862_006,
                8.583_936_913_341_399,
                [-143.880_573_332_594_22, -30.234_625_654_142_363, 54.720_210_288_862_006, 76.124_338_669_192_7, 79.730_073_205_590_33],
            ),
            (
                0.02,
                49.671_078_119_920_59,
                9.993_421_562_398_412,
                [-14.795_975_655_145_405, 5.797_048_419_047_314, 49.671_078_119_920_59, 97.768_326_222_207_04, 123.687_678_291_515_45],
            ),
            (
                0.8,
                40.423_404_011_839_494,
                2.338_723_209_471_598,
                [37.511_647_600_007_564, 37.574_025_386_387_72, 40.423_404_011_839_494, 152.950_812_666_840_93, 771.238_367_636_755],
            ),
        ] {
            let fit = GeneralizedLogistic::of_moments(50.0, 10.0, t3).unwrap();
            close(fit.location, location, 1e-12);
            close(fit.scale, scale, 1e-12);
            for (chance, expected) in [0.001, 0.01, 0.5, 0.99, 0.999].into_iter().zip(expected) {
                close(fit.quantile(chance).unwrap(), expected, 1e-11);
            }
        }
        // distr.glo(k=k, loc=10, scale=2).cdf([4, 8, 10, 16]).
        for (shape, expected) in [
            (-0.2, [0.010_136_205_258_156_466, 0.246_806_459_387_804_35, 0.5, 0.912_935_669_907_781_4]),
            (0.3, [0.105_315_272_115_815_41, 0.294_308_933_662_246_64, 0.5, 0.999_536_056_460_154]),
        ] {
            let fit = GeneralizedLogistic { location: 10.0, scale: 2.0, shape };
            for (value, expected) in [4.0, 8.0, 10.0, 16.0].into_iter().zip(expected) {
                close(fit.cumulative(value).unwrap(), expected, 1e-12);
            }
        }
        // Above the upper end, xi + alpha / k = 16.67, every year stays below; below the lower end none does.
        assert_eq!(GeneralizedLogistic { location: 10.0, scale: 2.0, shape: 0.3 }.cumulative(25.0), Ok(1.0));
        assert_eq!(GeneralizedLogistic { location: 10.0, scale: 2.0, shape: -0.3 }.cumulative(0.0), Ok(0.0));
    }

    #[test]
    fn moments_out_of_range_have_no_solution() {
        for (l2, t3) in [(1.0, 1.0), (1.0, -1.0), (1.0, f64::NAN), (0.0, 0.1), (f64::NAN, 0.1), (f64::INFINITY, 0.1)] {
            assert_eq!(GeneralizedLogistic::of_moments(5.0, l2, t3), Err(Withheld::NoSolution));
        }
        // By hand, the logistic: alpha = l2, xi = l1, x(F) = 5 + ln(F / (1-F)).
        let fit = GeneralizedLogistic::of_moments(5.0, 1.0, 0.0).unwrap();
        close(fit.quantile(0.9).unwrap(), 5.0 + math::ln(9.0), 1e-14);
        assert!(GeneralizedLogistic::of_moments(5.0, 1.0, 1e-6).unwrap().location < 5.0);
    }

    proptest! {
        #[test]
        fn the_chance_of_a_quantile(t3 in -0.9..0.9f64, chance in 0.001..0.999f64) {
            let fit = GeneralizedLogistic::of_moments(50.0, 10.0, t3).unwrap();
            prop_assert!((fit.cumulative(fit.quantile(chance).unwrap()).unwrap() - chance).abs() < 1e-9);
        }
    }
}
