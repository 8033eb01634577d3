//! The Pearson type III distribution fitted by L-moments.
//!
//! A gamma variate moved and scaled: with skewness gamma, a = 4 / gamma^2 and b = sigma |gamma| / 2, (x - mu) / b + a is a standard gamma
//! variate of shape a where gamma > 0; mirrored where gamma < 0; normal where gamma = 0. mu and sigma are the mean and the deviation.
//! a from the L-skewness: with z = 3 pi t3^2, a = (1 + 0.2906 z) / (z + 0.1882 z^2 + 0.0442 z^3) where |t3| < 1/3; with z = 1 - |t3|,
//! a = (0.36067 z - 0.59567 z^2 + 0.25361 z^3) / (1 - 2.78861 z + 2.56096 z^2 - 0.77045 z^3) beyond, relative error below 5e-5.
//! gamma = 2 / sqrt(a) with the sign of t3; sigma = l2 sqrt(pi a) Gamma(a) / Gamma(a + 1/2); mu = l1. Range: -1 < t3 < 1.
//! Source: Hosking & Wallis (1997), appendix A.9. Parameters in the sample's unit.
//!
//! Above a = 1e5 (|gamma| < 0.0064) the quantile is the expansion of Cornish & Fisher to the third power of 1 / sqrt(a), 1e-9 of sigma.

use crate::StatsError;
use crate::distribution::{Distribution, chances};
use crate::finite;
use crate::incomplete_gamma;
use crate::l_moments::LMoments;
use crate::normal;
use serde::Serialize;
use series::{Withheld, math};
use std::f64::consts::PI;

/// Shape above which the gamma variate is taken from the normal one.
const NEARLY_NORMAL: f64 = 1e5;

/// A fitted Pearson type III distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PearsonTypeThree {
    /// mu.
    pub mean: f64,
    /// sigma, above 0.
    pub deviation: f64,
    /// gamma, of any sign; no unit.
    pub skewness: f64,
}

impl PearsonTypeThree {
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
        let size = t3.abs();
        if !(l2 > 0.0 && size < 1.0) {
            return Err(Withheld::NoSolution);
        }
        let fit = if size < 1e-7 {
            Self { mean: l1, deviation: l2 * PI.sqrt(), skewness: 0.0 }
        } else {
            let a = if size < 1.0 / 3.0 {
                let z = 3.0 * PI * t3 * t3;
                (1.0 + 0.2906 * z) / (z * (1.0 + z * (0.1882 + z * 0.0442)))
            } else {
                let z = 1.0 - size;
                z * (0.360_67 - z * (0.595_67 - z * 0.253_61)) / (1.0 - z * (2.788_61 - z * (2.560_96 - z * 0.770_45)))
            };
            let skewness = math::pow(a, -0.5) * if t3 < 0.0 { -2.0 } else { 2.0 };
            Self { mean: l1, deviation: l2 * PI.sqrt() * root_times_gammas(a), skewness }
        };
        let good = fit.deviation > 0.0 && fit.deviation.is_finite() && fit.mean.is_finite() && fit.skewness.is_finite();
        if good { Ok(fit) } else { Err(Withheld::NoSolution) }
    }

    /// Shape of the gamma variate.
    fn shape(&self) -> f64 {
        4.0 / (self.skewness * self.skewness)
    }

    /// The variate of mean 0 and deviation 1 for the size of the skewness, of these chances.
    fn standard(&self, below: f64, above: f64) -> f64 {
        let a = self.shape();
        if a > NEARLY_NORMAL {
            from_normal(a, normal::variate(below, above))
        } else {
            (incomplete_gamma::variate(a, below, above) - a) / a.sqrt()
        }
    }
}

/// sqrt(a) Gamma(a) / Gamma(a + 1/2): from its expansion where the two logarithms would lose digits.
fn root_times_gammas(a: f64) -> f64 {
    if a > 100.0 {
        let r = 1.0 / a;
        1.0 / (1.0 - r * (1.0 / 8.0 - r * (1.0 / 128.0 + r * (5.0 / 1024.0 - r * 21.0 / 32_768.0))))
    } else {
        a.sqrt() * math::exp(math::ln_gamma(a) - math::ln_gamma(a + 0.5))
    }
}

/// A gamma variate of shape `a`, less its mean and over its deviation, from the normal variate of the same chance.
fn from_normal(a: f64, z: f64) -> f64 {
    let square = z * z;
    let r = 1.0 / a.sqrt();
    z + r * ((square - 1.0) / 3.0 + r * (z * (square - 7.0) / 36.0 - r * (square * (3.0 * square + 7.0) - 16.0) / 810.0))
}

impl Distribution for PearsonTypeThree {
    fn at_reduced_variate(&self, y: f64) -> f64 {
        let (below, above) = chances(y);
        let standard = if self.skewness < 0.0 { -self.standard(above, below) } else { self.standard(below, above) };
        self.mean + self.deviation * standard
    }

    fn cumulative(&self, value: f64) -> Result<f64, StatsError> {
        finite::all(&[value])?;
        let standard = (value - self.mean) / self.deviation;
        let mirrored = self.skewness < 0.0;
        let wanted = if mirrored { -standard } else { standard };
        let a = self.shape();
        let (below, above) = if a > NEARLY_NORMAL {
            // No chance is left beyond 40 deviations; the slope of the expansion is near 1 up to there.
            let wanted = wanted.clamp(-40.0, 40.0);
            let mut z = wanted;
            for _ in 0..20 {
                z -= from_normal(a, z) - wanted;
            }
            (normal::chance_below(z), normal::chance_below(-z))
        } else {
            incomplete_gamma::tails(a, a + wanted * a.sqrt())
        };
        Ok(if mirrored { above } else { below })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, close};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.8 (R lmom): rel 1e-5, inches.
        let fit = PearsonTypeThree::fit(&LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap()).unwrap();
        for (found, expected) in [(fit.mean, 1.7567), (fit.deviation, 0.842_960_461_8), (fit.skewness, 1.542_560_106_4)] {
            close(found, expected, 1e-5);
        }
        let expected = [1.549_265, 2.333_379, 2.879_174, 3.571_848, 4.082_342, 4.584_890, 5.081_439];
        for (years, expected) in [2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0].into_iter().zip(expected) {
            close(fit.at_return_period(years).unwrap(), expected, 1e-5);
        }
    }

    #[test]
    fn a_second_library_agrees() {
        // lmoments3 1.0.8: d = distr.pe3; p = d.lmom_fit(lmom_ratios=[50, 10, t3, 0.2]); p, d(**p).ppf([.001, .01, .5, .99, .999]).
        for (t3, deviation, skewness, expected) in [
            (
                -0.3,
                19.568_288_597_522_2,
                -1.800_848_805_932_464_5,
                [-60.424_547_821_734_07, -18.485_388_349_950_497, 55.510_588_053_698_35, 71.264_260_469_242_52, 71.660_656_040_365_57],
            ),
            (
                0.02,
                17.732_889_747_292_48,
                0.122_775_564_509_215_09,
                [-1.712_782_449_775_559_7, 10.354_316_858_161_013, 49.637_220_219_370_874, 92.846_378_347_874_6, 107.914_078_284_008_38],
            ),
            (
                0.5,
                22.999_314_883_071_698,
                3.079_344_831_381_105_6,
                [35.062_204_477_650_34, 35.062_685_134_773_32, 40.812_557_471_394_555, 143.860_440_761_597_26, 216.627_199_757_473_25],
            ),
            (
                0.8,
                36.766_232_612_564_984,
                6.541_908_179_167_764_5,
                [38.759_783_352_005_95, 38.759_783_352_005_95, 38.803_513_277_639_084, 223.403_637_134_515_37, 435.454_963_497_868_9],
            ),
        ] {
            let fit = PearsonTypeThree::of_moments(50.0, 10.0, t3).unwrap();
            close(fit.deviation, deviation, 1e-12);
            close(fit.skewness, skewness, 1e-12);
            for (chance, expected) in [0.001, 0.01, 0.5, 0.99, 0.999].into_iter().zip(expected) {
                close(fit.quantile(chance).unwrap(), expected, 1e-9);
            }
        }
    }

    #[test]
    fn every_skewness_that_scipy_knows() {
        // scipy 1.17.1: scipy.stats.pearson3.ppf([.001, .01, .5, .99, .999], skew, 10, 2); pearson3.cdf([8, 10, 11], skew, 10, 2).
        for (skewness, quantiles, chances) in [
            (
                -4.0,
                [-6.505_777_031_546_746, 1.264_458_311_211_875_2, 10.825_304_790_588_506, 10.999_999_973_001_207, 10.999_999_999_997_3],
                [0.100_063_486_715_501_79, 0.256_322_055_268_538_96, 1.0],
            ),
            (
                -0.1,
                [3.533_553_982_677_61, 5.200_787_217_124_187, 10.033_328_390_553_564, 14.505_154_287_311_47, 15.896_677_350_649_284],
                [0.158_557_889_400_006_87, 0.493_350_870_161_094_5, 0.687_057_136_814_412_2],
            ),
            (
                0.001,
                [3.822_385_123_373_806, 5.348_774_934_673_656, 9.999_666_666_671_601, 14.654_166_328_212_796, 16.183_314_566_896_57],
                [0.158_655_243_845_757_53, 0.500_066_490_380_159_3, 0.691_506_468_981_373_4],
            ),
            (
                0.004,
                [3.830_933_011_377_396_7, 5.353_187_596_653_129, 9.998_666_666_982_672, 14.658_577_450_827_352, 16.191_865_737_688_66],
                [0.158_655_092_387_875_53, 0.500_265_961_526_177_9, 0.691_638_486_598_443_7],
            ),
            (
                0.01,
                [3.848_022_797_024_043_5, 5.362_015_663_954_651, 9.996_666_671_604_999, 14.667_396_897_838_785, 16.208_973_907_418_113],
                [0.158_654_242_121_999_93, 0.500_664_903_893_011_7, 0.691_902_497_024_646_7],
            ),
            (
                3.0,
                [8.666_667_072_688_927, 8.666_738_869_965_556, 9.208_925_095_629_887, 18.102_753_160_084_706, 24.304_702_979_696_273],
                [0.0, 0.692_457_700_065_591_7, 0.814_732_379_019_758_1],
            ),
            (
                20.0,
                [9.8, 9.8, 9.8, 15.101_051_005_031_636, 39.981_682_953_894_904],
                [0.0, 0.960_347_423_521_509_5, 0.977_233_954_984_958_9],
            ),
        ] {
            let fit = PearsonTypeThree { mean: 10.0, deviation: 2.0, skewness };
            for (chance, expected) in [0.001, 0.01, 0.5, 0.99, 0.999].into_iter().zip(quantiles) {
                close(fit.quantile(chance).unwrap(), expected, 1e-9);
            }
            for (value, expected) in [8.0, 10.0, 11.0].into_iter().zip(chances) {
                close(fit.cumulative(value).unwrap(), expected, 1e-9);
            }
        }
        // Normal where the skewness is 0: scipy.stats.norm.ppf(0.97) = 1.8807936081512509.
        close(PearsonTypeThree { mean: 10.0, deviation: 2.0, skewness: 0.0 }.quantile(0.97).unwrap(), 13.761_587_216_302_502, 1e-12);
    }

    #[test]
    fn moments_out_of_range_have_no_solution() {
        for (l2, t3) in [(1.0, 1.0), (1.0, -1.0), (1.0, f64::NAN), (0.0, 0.1), (f64::NAN, 0.1), (f64::INFINITY, 0.1)] {
            assert_eq!(PearsonTypeThree::of_moments(5.0, l2, t3), Err(Withheld::NoSolution));
        }
        let fit = PearsonTypeThree::of_moments(5.0, 1.0, 0.0).unwrap();
        assert!(fit.cumulative(f64::NAN).is_err() && fit.cumulative(1e300) == Ok(1.0) && fit.cumulative(-1e300) == Ok(0.0));
        // Either side of each change of formula: a = 100 and t3 = 1/3.
        close(root_times_gammas(100.0), root_times_gammas(100.000_001), 1e-9);
        let at = |t3| PearsonTypeThree::of_moments(5.0, 1.0, t3).unwrap().skewness;
        close(at(0.333_333), at(0.333_334), 1e-4);
    }

    proptest! {
        #[test]
        fn the_chance_of_a_quantile(t3 in -0.7..0.7f64, chance in 0.01..0.99f64) {
            let fit = PearsonTypeThree::of_moments(50.0, 10.0, t3).unwrap();
            let value = fit.quantile(chance).unwrap();
            // Where values crowd at the end of the range, no digit is left to tell them apart by.
            let end = fit.mean - 2.0 * fit.deviation / fit.skewness;
            prop_assume!((value - end).abs() > 1e-4);
            prop_assert!((fit.cumulative(value).unwrap() - chance).abs() < 1e-8);
        }
    }
}
