//! The range that a return level may well lie in, given that it was fitted to few years: the parametric bootstrap.
//!
//! Samples of as many values as the record has are drawn from the fitted generalised extreme value distribution, each is fitted again by
//! L-moments, and the band at confidence c runs from the (1 - c) / 2 to the (1 + c) / 2 quantile (type 8) of the return levels of these fits.
//! It is the doubt of the **fit** if the distribution is right and the years are independent; it is no prediction of the next years. A sample
//! without a fit is left out; where more than one in twenty has none, the band is withheld. The draws are seeded: the same seed, the same band.
//!
//! Source: Efron & Tibshirani (1993), An Introduction to the Bootstrap, 6.5 and 13.3; CHECKS B1.13.

use crate::distribution::Distribution;
use crate::draws::Draws;
use crate::generalized_extreme_value::GeneralizedExtremeValue;
use crate::l_moments::LMoments;
use crate::quantile::{QuantileDefinition, Sample};
use serde::Serialize;
use series::{Withheld, math};

/// How a band is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BandRule {
    /// Confidence, above 0 and below 1.
    pub confidence: f64,
    /// Samples drawn.
    pub samples: u32,
    /// The seed, to be printed beside the band.
    pub seed: u64,
}

impl Default for BandRule {
    fn default() -> Self {
        Self { confidence: 0.9, samples: 1000, seed: 1 }
    }
}

/// A return level's band, in the sample's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReturnLevelBand {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Samples that had a fit.
    pub fitted: u32,
    /// How it was drawn.
    pub rule: BandRule,
}

/// The band of the level of each return period (years, above 1), for a fit to `n` values.
///
/// # Errors
/// [`Withheld::NoSolution`] when more than one sample in twenty has no fit, and when the confidence or a return period is outside its range.
pub fn return_level_bands(
    fit: &GeneralizedExtremeValue,
    n: usize,
    return_periods: &[f64],
    rule: BandRule,
) -> Result<Vec<ReturnLevelBand>, Withheld> {
    let reachable = return_periods.iter().all(|&years| years > 1.0 && years.is_finite());
    if !(reachable && rule.confidence > 0.0 && rule.confidence < 1.0) {
        return Err(Withheld::NoSolution);
    }
    let mut draws = Draws::new(rule.seed);
    let mut levels: Vec<Vec<f64>> = vec![Vec::with_capacity(rule.samples as usize); return_periods.len()];
    let mut fitted = 0;
    for _ in 0..rule.samples {
        let sample: Vec<f64> = (0..n).map(|_| fit.at_reduced_variate(-math::ln(-math::ln(draws.chance())))).collect();
        let again = LMoments::of(&sample).and_then(|moments| GeneralizedExtremeValue::fit(&moments));
        let at = |again: GeneralizedExtremeValue| -> Option<Vec<f64>> {
            return_periods.iter().map(|&years| again.at_return_period(years).ok()).collect()
        };
        if let Some(found) = again.ok().and_then(at) {
            fitted += 1;
            levels.iter_mut().zip(found).for_each(|(levels, level)| levels.push(level));
        }
    }
    if fitted == 0 || f64::from(fitted) < 0.95 * f64::from(rule.samples) {
        return Err(Withheld::NoSolution);
    }
    let tail = (1.0 - rule.confidence) / 2.0;
    levels
        .into_iter()
        .map(|levels| {
            let mut levels = Sample::of(&levels).map_err(|_| Withheld::NoSolution)?;
            let mut at = |probability| levels.quantile(probability, QuantileDefinition::Type8).map_err(|_| Withheld::NoSolution);
            Ok(ReturnLevelBand { low: at(tail)?, high: at(1.0 - tail)?, fitted, rule })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::FORT_COLLINS_MAXIMA;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.13 (six-seed mean): 90 %, 10,000 samples: T = 2: 1.444-1.690, T = 10: 2.510-3.120, T = 100: 3.820-6.199 inches; tolerance
        // 4 seed-to-seed standard deviations: .01, .02, lower .03 and upper .08.
        let fit = GeneralizedExtremeValue::fit(&LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap()).unwrap();
        let rule = BandRule { samples: 10_000, ..BandRule::default() };
        let found = return_level_bands(&fit, 100, &[2.0, 10.0, 100.0], rule).unwrap();
        let expected = [(1.444, 1.690, 0.01, 0.01), (2.510, 3.120, 0.02, 0.02), (3.820, 6.199, 0.03, 0.08)];
        for (band, (low, high, of_low, of_high)) in found.iter().zip(expected) {
            assert!((band.low - low).abs() < of_low && (band.high - high).abs() < of_high, "{band:?}");
        }
        let few = BandRule { samples: 50, ..rule };
        let once = return_level_bands(&fit, 100, &[10.0], few).unwrap();
        assert_eq!(return_level_bands(&fit, 100, &[10.0], few).unwrap(), once, "the same seed, the same band");
        assert_ne!(return_level_bands(&fit, 100, &[10.0], BandRule { seed: 2, ..few }).unwrap(), once);
    }

    #[test]
    fn arguments_outside_their_range() {
        let fit = GeneralizedExtremeValue { location: 30.0, scale: 9.0, shape: 0.0 };
        let bands = |n, years, rule| return_level_bands(&fit, n, &[years], rule);
        let rule = BandRule { samples: 20, ..BandRule::default() };
        assert!(bands(30, 10.0, rule).is_ok());
        assert_eq!(bands(1, 10.0, rule), Err(Withheld::NoSolution), "one value has no fit");
        assert_eq!(bands(30, 1.0, rule), Err(Withheld::NoSolution));
        assert_eq!(bands(30, 10.0, BandRule { confidence: 1.0, ..rule }), Err(Withheld::NoSolution));
        assert_eq!(bands(30, 10.0, BandRule { samples: 0, ..rule }), Err(Withheld::NoSolution));
    }
}
