//! The four-parameter kappa distribution: what a region is simulated from when its homogeneity is judged.
//!
//! x(F) = xi + (alpha / k) (1 - ((1 - F^h) / h)^k); generalised logistic at h = -1, generalised extreme value at h = 0, generalised Pareto at
//! h = 1. L-moments from g_r = r B_r, B_r the r-th moment integral:
//! h > 0: g_r = r Gamma(1+k) Gamma(r/h) / (h^(1+k) Gamma(1+k+r/h));
//! h < 0: g_r = r Gamma(1+k) Gamma(-k-r/h) / ((-h)^(1+k) Gamma(1-r/h)), which needs k < -1/h;
//! l1 = xi + alpha (1-g1)/k; l2 = alpha (g1-g2)/k; t3 = (-g1+3g2-2g3)/(g1-g2); t4 = (g1-6g2+10g3-5g4)/(g1-g2).
//! For a given h, t3 falls as k grows; along the pairs (h, k) of one t3, t4 falls as h grows from -1 (from a skewness of
//! 0.6 on it first rises a little above the line of h = -1, which nothing below that line meets): two nested searches by halving.
//! No solution above the line of the generalised logistic, t4 > (1 + 5 t3^2) / 6, nor below that of h = 30.
//! Source: Hosking (1994), IBM Journal of Research and Development 38; Hosking & Wallis (1997), appendix A.10. Unit: that of the mean.

use crate::distribution::{from_standard, located};
use serde::Serialize;
use series::{Withheld, math};

const GREATEST_H: f64 = 30.0;
const GREATEST_K: f64 = 30.0;

/// A four-parameter kappa distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Kappa {
    /// xi.
    pub location: f64,
    /// alpha, above 0.
    pub scale: f64,
    /// k, Hosking's sign, above -1.
    pub k: f64,
    /// h, at least -1.
    pub h: f64,
}

impl Kappa {
    /// The distribution with this mean, this second L-moment and these L-moment ratios.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the ratios lie outside what the distribution can have, `l2` is not above 0, or a parameter is not
    /// finite.
    pub fn of_moments(l1: f64, l2: f64, t3: f64, t4: f64) -> Result<Self, Withheld> {
        let (k, h) = shapes_of(t3, t4).ok_or(Withheld::NoSolution)?;
        Self::with_shapes(l1, l2, k, h)
    }

    /// The generalised logistic distribution as a kappa: where the L-kurtosis is too great for any other (Hosking & Wallis 1997, 4.3.3).
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the L-skewness is not between -1 and 1 or `l2` is not above 0.
    pub fn generalized_logistic(l1: f64, l2: f64, t3: f64) -> Result<Self, Withheld> {
        if t3.abs() < 1.0 { Self::with_shapes(l1, l2, -t3, -1.0) } else { Err(Withheld::NoSolution) }
    }

    fn with_shapes(l1: f64, l2: f64, k: f64, h: f64) -> Result<Self, Withheld> {
        let k = away_from_zero(k);
        let g = integrals_less_one(k, h);
        let scale = l2 * k / (g[0] - g[1]);
        let location = l1 + scale * g[0] / k;
        located(location, scale)?;
        if l2 > 0.0 { Ok(Self { location, scale, k, h }) } else { Err(Withheld::NoSolution) }
    }

    /// The value of the chance `below` (above 0 and below 1).
    pub(crate) fn quantile(&self, below: f64) -> f64 {
        let w = from_standard(self.h, -math::ln(below));
        self.location + self.scale * from_standard(self.k, -math::ln(w))
    }
}

/// At k = 0 the formulae are 0 / 0: a k within a millionth of it is moved there.
fn away_from_zero(k: f64) -> f64 {
    if k.abs() >= 1e-6 {
        k
    } else if k < 0.0 {
        -1e-6
    } else {
        1e-6
    }
}

/// g_1 to g_4, each less 1.
fn integrals_less_one(k: f64, h: f64) -> [f64; 4] {
    let b = 1.0 + k;
    [1.0, 2.0, 3.0, 4.0].map(|r| {
        let logarithm = if h.abs() < 1e-4 {
            // Gamma(z) / Gamma(z+b) for large z (Abramowitz & Stegun 1964, 6.1.47); what is left out is below 1e-12.
            let z = h / r;
            let second = b * (b + 1.0) * (b - 1.0) * (3.0 * b - 2.0) / 24.0;
            math::ln_gamma(b) - k * math::ln(r) + math::ln_1p(z * (-b * (b - 1.0) / 2.0 + z * second))
        } else if h > 0.0 {
            math::ln(r) + math::ln_gamma(b) + math::ln_gamma(r / h) - b * math::ln(h) - math::ln_gamma(b + r / h)
        } else {
            math::ln(r) + math::ln_gamma(b) + math::ln_gamma(-k - r / h) - b * math::ln(-h) - math::ln_gamma(1.0 - r / h)
        };
        math::exp_m1(logarithm)
    })
}

/// L-skewness and L-kurtosis.
fn ratios(k: f64, h: f64) -> (f64, f64) {
    let [g1, g2, g3, g4] = integrals_less_one(away_from_zero(k), h);
    let l2 = g1 - g2;
    ((-g1 + 3.0 * g2 - 2.0 * g3) / l2, (g1 - 6.0 * g2 + 10.0 * g3 - 5.0 * g4) / l2)
}

/// The k with this L-skewness at a given h.
fn k_of(t3: f64, h: f64) -> Option<f64> {
    let (mut low, mut high) = (-1.0, if h < 0.0 { (-1.0 / h).min(GREATEST_K) } else { GREATEST_K });
    if h >= -1.0 / GREATEST_K && ratios(high, h).0 > t3 {
        return None;
    }
    for _ in 0..70 {
        let k = f64::midpoint(low, high);
        let found = ratios(k, h).0;
        if found.is_nan() {
            return None;
        }
        if found > t3 {
            low = k;
        } else {
            high = k;
        }
    }
    Some(f64::midpoint(low, high))
}

/// k and h of these ratios.
fn shapes_of(t3: f64, t4: f64) -> Option<(f64, f64)> {
    // The first is false for a NaN too; the line of the generalised logistic itself is h = -1.
    if !(t3.abs() < 1.0 && t4.abs() < 1.0 && t4 <= (1.0 + 5.0 * t3 * t3) / 6.0) {
        return None;
    }
    let kurtosis = |h| k_of(t3, h).map(|k| ratios(k, h).1);
    let (mut low, mut high) = (-1.0, GREATEST_H);
    if kurtosis(high).is_some_and(|least| t4 < least) {
        return None;
    }
    for _ in 0..70 {
        let h = f64::midpoint(low, high);
        // Where this h has no k for the skewness, the h sought is smaller.
        if kurtosis(h).is_some_and(|found| found > t4) {
            low = h;
        } else {
            high = h;
        }
    }
    let h = f64::midpoint(low, high);
    let k = k_of(t3, h)?;
    let (skewness, kurtosis) = ratios(k, h);
    ((skewness - t3).abs() < 1e-6 && (kurtosis - t4).abs() < 1e-6).then_some((k, h))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generalized_extreme_value::GeneralizedExtremeValue;
    use crate::test_records::close;
    use proptest::prelude::*;

    #[test]
    fn the_region_of_the_book() {
        // CHECKS B3.5 (R lmomRFA) from the moments of B3.3: 1e-5.
        let fit = Kappa::of_moments(1.0, 0.110_298_476_05, 0.027_859_216_26, 0.136_613_062_41).unwrap();
        for (found, expected) in
            [(fit.location, 0.954_161_966_6), (fit.scale, 0.153_271_057_2), (fit.k, 0.123_594_679_7), (fit.h, -0.295_491_469_4)]
        {
            close(found, expected, 1e-5);
        }
    }

    #[test]
    fn moments_by_integration() {
        // scipy 1.17.1: scipy.integrate.quad of the quantile function of xi 0, alpha 1 against the shifted Legendre polynomials 1, 2F-1,
        // 6F^2-6F+1, 20F^3-30F^2+12F-1 over 0..1 (limit=500): l1, l2, t3, t4 for (k, h).
        for (k, h, l1, l2, t3, t4) in [
            (0.2, 0.5, 0.648_869_867_435_450_9, 0.466_192_514_203_342_23, 0.157_981_803_143_093_68, 0.101_420_914_953_565_06),
            (-0.2, 0.5, 1.045_490_022_889_748_3, 0.772_731_807_437_03, 0.369_168_356_998_009_54, 0.230_172_643_249_841_32),
            (0.1, -0.3, 0.318_432_743_733_410_9, 0.729_374_920_023_14, 0.043_425_646_830_483_05, 0.139_007_026_074_084_44),
            (-0.1, -0.5, 0.434_152_844_790_043_9, 0.886_902_991_807_154_5, 0.161_588_235_294_118_37, 0.177_291_911_764_670_38),
            (0.3, 1.2, 0.829_123_994_398_260_2, 0.307_403_858_944_243_77, 0.246_485_350_367_246, 0.088_684_632_380_078_9),
            (-0.1, 0.0, 0.686_287_021_193_187_4, 0.766_991_821_167_679_8, 0.235_824_772_287_858_6, 0.179_743_451_242_383_08),
            (0.1, 1e-5, 0.486_497_533_709_385_6, 0.637_088_359_101_977_8, 0.107_249_753_748_143_65, 0.128_926_409_366_275_83),
        ] {
            let (skewness, kurtosis) = ratios(k, h);
            close(skewness, t3, 1e-9);
            close(kurtosis, t4, 1e-9);
            let fit = Kappa::of_moments(l1, l2, t3, t4).unwrap();
            for (found, expected) in [(fit.location, 0.0), (fit.scale, 1.0), (fit.k, k), (fit.h, h)] {
                assert!((found - expected).abs() < 1e-6, "{k} {h}: {fit:?}");
            }
        }
    }

    #[test]
    fn quantiles_of_a_second_library() {
        // scipy 1.17.1: scipy.stats.kappa4.ppf([.001, .01, .1, .5, .9, .99, .999], h, k, xi, alpha).
        for (kappa, expected) in [
            (
                Kappa { location: 0.954_161_966_6, scale: 0.153_271_057_2, k: 0.123_594_679_7, h: -0.295_491_469_4 },
                [
                    0.370_400_523_094_887_36,
                    0.549_769_853_348_680_1,
                    0.757_062_223_662_971_3,
                    0.993_728_597_353_224_6,
                    1.253_452_988_462_384_6,
                    1.491_814_628_892_929_5,
                    1.666_178_579_360_001_2,
                ],
            ),
            (
                Kappa { location: 10.0, scale: 2.0, k: -0.2, h: 0.5 },
                [
                    8.761_633_600_929_539,
                    8.890_895_361_322,
                    9.393_159_752_645_49,
                    11.128_897_372_737_823,
                    15.766_752_614_124_254,
                    25.106_260_684_737_4,
                    39.808_725_822_431_64,
                ],
            ),
        ] {
            for (chance, expected) in [0.001, 0.01, 0.1, 0.5, 0.9, 0.99, 0.999].into_iter().zip(expected) {
                close(kappa.quantile(chance), expected, 1e-12);
            }
        }
    }

    #[test]
    fn known_members_and_what_has_no_solution() {
        // The extreme value distribution is h = 0 (Hosking & Wallis 1997, A.10): its t4 from scipy's integration above, k = -0.1.
        let gev = GeneralizedExtremeValue::of_moments(50.0, 10.0, 0.235_824_772_287_858_6).unwrap();
        let kappa = Kappa::of_moments(50.0, 10.0, 0.235_824_772_287_858_6, 0.179_743_451_242_383_08).unwrap();
        assert!(
            (kappa.location - gev.location).abs() < 1e-5 && (kappa.scale - gev.scale).abs() < 1e-5 && (kappa.k - gev.shape).abs() < 1e-6
        );
        // The logistic: by hand x(F) = l1 + l2 ln(F / (1 - F)) at k = 0, h = -1.
        let logistic = Kappa::generalized_logistic(50.0, 10.0, 0.0).unwrap();
        close(logistic.quantile(0.9), 50.0 + 10.0 * math::ln(9.0), 1e-5);
        for (l2, t3, t4) in [
            (1.0, 0.1, 0.2),
            (1.0, 0.1, -0.9),
            (1.0, 1.0, 0.1),
            (1.0, f64::NAN, 0.1),
            (1.0, 0.1, f64::NAN),
            (0.0, 0.1, 0.1),
            (f64::NAN, 0.1, 0.1),
        ] {
            assert_eq!(Kappa::of_moments(1.0, l2, t3, t4), Err(Withheld::NoSolution), "{l2} {t3} {t4}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn shapes_come_back(k in -0.3..0.9f64, h in -0.95..1.5f64) {
            let (t3, t4) = ratios(k, h);
            let (found_k, found_h) = shapes_of(t3, t4).unwrap();
            prop_assert!((found_k - k).abs() < 1e-4 && (found_h - h).abs() < 1e-4, "{found_k} {found_h}");
        }
    }
}
