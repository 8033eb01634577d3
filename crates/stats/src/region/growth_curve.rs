//! The growth curve of a region: the depth of a return period over the site's mean annual maximum.
//!
//! A distribution of mean 1 with the region's L-moment ratios; the depth at a site is its mean annual maximum times the curve (index flood).
//! The families are those that Hosking & Wallis (1997, section 5.2) choose among; their L-kurtosis at the region's L-skewness is what the
//! choice is made by: generalised logistic (1 + 5 t3^2) / 6; generalised extreme value from its k; generalised Pareto
//! t3 (1 + 5 t3) / (5 + t3); generalised normal and Pearson type III by the polynomials of table A.3 (within 5e-4).
//! Source: Hosking & Wallis (1997), chapters 5 and 6, appendix A. The curve has no unit.

use super::Region;
use crate::StatsError;
use crate::distribution::Distribution;
use crate::generalized_extreme_value::GeneralizedExtremeValue;
use crate::generalized_logistic::GeneralizedLogistic;
use crate::generalized_normal::GeneralizedNormal;
use crate::generalized_pareto::GeneralizedPareto;
use crate::pearson_type_three::PearsonTypeThree;
use serde::Serialize;
use series::{Withheld, math};

/// A family of three-parameter distributions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GrowthFamily {
    /// Generalised logistic.
    GeneralizedLogistic,
    /// Generalised extreme value.
    GeneralizedExtremeValue,
    /// Generalised normal.
    GeneralizedNormal,
    /// Pearson type III.
    PearsonTypeThree,
    /// Generalised Pareto.
    GeneralizedPareto,
}

impl GrowthFamily {
    /// All of them, from the heaviest tails to the lightest.
    pub const ALL: [Self; 5] = [
        Self::GeneralizedLogistic,
        Self::GeneralizedExtremeValue,
        Self::GeneralizedNormal,
        Self::PearsonTypeThree,
        Self::GeneralizedPareto,
    ];

    /// The L-kurtosis that goes with an L-skewness; nothing where there is no such member (an L-skewness of -1 or less, of 1 or more).
    pub fn kurtosis(self, t3: f64) -> Option<f64> {
        if t3.is_nan() || t3.abs() >= 1.0 {
            return None;
        }
        let square = t3 * t3;
        // Even powers of t3 from 0 on.
        let even = |c: [f64; 5]| c.iter().rev().fold(0.0, |sum, c| sum * square + c);
        Some(match self {
            Self::GeneralizedLogistic => (1.0 + 5.0 * square) / 6.0,
            Self::GeneralizedExtremeValue => extreme_value_kurtosis(GeneralizedExtremeValue::of_moments(0.0, 1.0, t3).ok()?.shape),
            Self::GeneralizedNormal => even([0.122_82, 0.775_18, 0.122_79, -0.136_38, 0.113_68]),
            Self::PearsonTypeThree => even([0.122_40, 0.301_15, 0.958_12, -0.574_88, 0.193_83]),
            Self::GeneralizedPareto => t3 * (1.0 + 5.0 * t3) / (5.0 + t3),
        })
    }
}

/// t4 = (5 (1 - 4^-k) - 10 (1 - 3^-k) + 6 (1 - 2^-k)) / (1 - 2^-k), every difference over k (Hosking & Wallis 1997, A.6).
fn extreme_value_kurtosis(k: f64) -> f64 {
    let over = |n: f64| crate::distribution::from_standard(k, math::ln(n));
    (5.0 * over(4.0) - 10.0 * over(3.0) + 6.0 * over(2.0)) / over(2.0)
}

/// A region's growth curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GrowthCurve {
    /// Generalised logistic.
    GeneralizedLogistic(GeneralizedLogistic),
    /// Generalised extreme value.
    GeneralizedExtremeValue(GeneralizedExtremeValue),
    /// Generalised normal.
    GeneralizedNormal(GeneralizedNormal),
    /// Pearson type III.
    PearsonTypeThree(PearsonTypeThree),
    /// Generalised Pareto.
    GeneralizedPareto(GeneralizedPareto),
}

impl GrowthCurve {
    /// The curve of mean 1 with the region's ratios.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the family has no member with them.
    pub fn of(family: GrowthFamily, region: &Region) -> Result<Self, Withheld> {
        let (t, t3) = (region.t, region.t3);
        Ok(match family {
            GrowthFamily::GeneralizedLogistic => Self::GeneralizedLogistic(GeneralizedLogistic::of_moments(1.0, t, t3)?),
            GrowthFamily::GeneralizedExtremeValue => Self::GeneralizedExtremeValue(GeneralizedExtremeValue::of_moments(1.0, t, t3)?),
            GrowthFamily::GeneralizedNormal => Self::GeneralizedNormal(GeneralizedNormal::of_moments(1.0, t, t3)?),
            GrowthFamily::PearsonTypeThree => Self::PearsonTypeThree(PearsonTypeThree::of_moments(1.0, t, t3)?),
            GrowthFamily::GeneralizedPareto => Self::GeneralizedPareto(GeneralizedPareto::of_moments(1.0, t, t3)?),
        })
    }

    /// The depth of a return period in years at a site with this mean annual maximum, in its unit.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the return period is not above 1 year or not finite, or the depth is below 0 or beyond all numbers.
    pub fn depth_at(&self, mean_annual_maximum: f64, return_period: f64) -> Result<f64, Withheld> {
        let growth = self.at_return_period(return_period).map_err(|_| Withheld::NoSolution)?;
        let depth = mean_annual_maximum * growth;
        if depth >= 0.0 && depth.is_finite() { Ok(depth) } else { Err(Withheld::NoSolution) }
    }

    fn distribution(&self) -> &dyn Distribution {
        match self {
            Self::GeneralizedLogistic(curve) => curve,
            Self::GeneralizedExtremeValue(curve) => curve,
            Self::GeneralizedNormal(curve) => curve,
            Self::PearsonTypeThree(curve) => curve,
            Self::GeneralizedPareto(curve) => curve,
        }
    }
}

impl Distribution for GrowthCurve {
    fn at_reduced_variate(&self, y: f64) -> f64 {
        self.distribution().at_reduced_variate(y)
    }

    fn cumulative(&self, value: f64) -> Result<f64, StatsError> {
        self.distribution().cumulative(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::tests::cascades;

    #[test]
    fn kurtosis_of_each_family() {
        // CHECKS B3.8 at the t3 of the North Cascades: 5e-4.
        let expected = [0.167_32, 0.110_76, 0.123_42, 0.122_63, 0.006_37];
        for (family, expected) in GrowthFamily::ALL.into_iter().zip(expected) {
            assert!((family.kurtosis(0.027_859_216_26).unwrap() - expected).abs() <= 5e-4, "{family:?}");
            assert!((family.kurtosis(f64::NAN), family.kurtosis(1.0)) == (None, None));
        }
        // Gumbel's t4 is 0.150375 (Hosking & Wallis 1997, A.5), with t3 = ln(9/8) / ln 2.
        let t3 = math::ln(9.0 / 8.0) / std::f64::consts::LN_2;
        assert!((GrowthFamily::GeneralizedExtremeValue.kurtosis(t3).unwrap() - 0.150_375).abs() < 1e-6);
        // scipy's integration of the quantile function at k = -0.1 (kappa.rs): t3 0.2358247722878586, t4 0.17974345124238308.
        assert!((GrowthFamily::GeneralizedExtremeValue.kurtosis(0.235_824_772_287_858_6).unwrap() - 0.179_743_451_242_383).abs() < 1e-9);
    }

    #[test]
    fn north_cascades() {
        // CHECKS B3.9 (COMPUTED): the growth curve by the generalised normal, 5e-4.
        let curve = GrowthCurve::of(GrowthFamily::GeneralizedNormal, &cascades()).unwrap();
        let GrowthCurve::GeneralizedNormal(fit) = curve else { panic!("{curve:?}") };
        for (found, expected) in [(fit.location, 0.9944), (fit.scale, 0.1952), (fit.shape, -0.0570)] {
            assert!((found - expected).abs() <= 5e-4);
        }
        for (chance, expected) in [(0.01, 0.569), (0.1, 0.753), (0.5, 0.994), (0.9, 1.254), (0.99, 1.480), (0.999, 1.654)] {
            assert!((curve.quantile(chance).unwrap() - expected).abs() <= 5e-4);
        }
        // Index flood: the first site's mean, 19.685 in, times the curve at 0.99.
        assert!((curve.depth_at(19.685, 100.0).unwrap() / 19.685 - 1.480).abs() <= 5e-4);
        for (mean, years) in [(f64::NAN, 100.0), (-1.0, 100.0), (19.685, 1.0), (19.685, f64::NAN), (f64::INFINITY, 2.0)] {
            assert_eq!(curve.depth_at(mean, years), Err(Withheld::NoSolution));
        }
    }

    #[test]
    fn every_family_has_mean_one_and_the_ratios() {
        // The mean and l2 by adding up the quantile function: l1 = integral of x, l2 = integral of x (2F - 1) (Hosking & Wallis 1997, 2.4).
        for family in GrowthFamily::ALL {
            let curve = GrowthCurve::of(family, &cascades()).unwrap();
            let steps = 20_000;
            let (mut l1, mut l2) = (0.0, 0.0);
            for i in 0..steps {
                let chance = (f64::from(i) + 0.5) / f64::from(steps);
                let value = curve.quantile(chance).unwrap();
                l1 += value / f64::from(steps);
                l2 += value * (2.0 * chance - 1.0) / f64::from(steps);
                if i % 1000 == 0 {
                    assert!((curve.cumulative(value).unwrap() - chance).abs() < 1e-9);
                }
            }
            // Steps of 1 in 20,000 lose some of the tails.
            assert!((l1 - 1.0).abs() < 1e-4 && (l2 - 0.110_298).abs() < 1e-4, "{family:?} {l1} {l2}");
        }
    }

    #[test]
    fn a_region_without_a_member() {
        let wild = Region { t3: 0.97, ..cascades() };
        assert_eq!(GrowthCurve::of(GrowthFamily::GeneralizedNormal, &wild), Err(Withheld::NoSolution));
        assert!(GrowthCurve::of(GrowthFamily::GeneralizedPareto, &wild).is_ok());
    }
}
