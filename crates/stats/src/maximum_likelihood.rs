//! Fits by maximum likelihood, beside those by L-moments: annual maxima by the generalised extreme value, excesses by the generalised Pareto.
//!
//! With y the standard variate of a value (Hosking's k): a maximum adds -ln alpha - (1-k) y - exp(-y) to the log-likelihood, an excess
//! -ln alpha - (1-k) y. The values are centred and scaled first, so the unit does not matter. The search starts from the fit by L-moments,
//! or from k = 0 where that leaves out a value.
//! **k stays below 1**: from there on the likelihood has no greatest value. A fit on that edge, or at no rounded top, is withheld.
//! Standard errors are asymptotic, from the observed information, and given where k < 0.5 (Smith 1985, Biometrika 72).
//! Source: Coles (2001), sections 3.3 and 4.3 (his shape is -k). Parameters in the sample's unit.

use crate::at_site_storm::FIT_NEEDS_YEARS;
use crate::distribution::to_standard;
use crate::generalized_extreme_value::GeneralizedExtremeValue;
use crate::generalized_pareto::GeneralizedPareto;
use crate::gumbel::Gumbel;
use crate::l_moments::LMoments;
use crate::likelihood_search::{greatest, standard_errors};
use serde::Serialize;
use series::{Withheld, math};

/// The edge of the search.
const GREATEST_K: f64 = 0.99;
const FIRST_STEP: f64 = 0.1;
const SETTLED: f64 = 1e-9;
/// For second derivatives, of values scaled to l2 = 1.
const DIFFERENCE: f64 = 1e-3;

/// Annual maxima fitted by maximum likelihood.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LikelyExtremeValue {
    /// The distribution.
    pub distribution: GeneralizedExtremeValue,
    /// Greatest log-likelihood.
    pub log_likelihood: f64,
    /// Standard errors of location, scale and shape, where k < 0.5.
    pub standard_errors: Option<[f64; 3]>,
}

impl LikelyExtremeValue {
    /// The fit to annual maxima in any order.
    ///
    /// # Errors
    /// [`Withheld::TooFewYears`] below ten values; [`Withheld::NoSolution`] when all are equal, one is not finite, or the likelihood has no
    /// top below k = 1.
    pub fn fit(values: &[f64]) -> Result<Self, Withheld> {
        let (scaled, centre, unit) = scaled(values, None)?;
        let f = |p: &[f64; 3]| extreme_value_likelihood(&scaled, p);
        let moments = LMoments::of(&scaled)?;
        let gumbel = Gumbel::fit(&moments)?;
        let starts = [
            GeneralizedExtremeValue::fit(&moments).ok().map(|fit| [fit.location, math::ln(fit.scale), fit.shape]),
            Some([gumbel.location, math::ln(gumbel.scale), 0.0]),
        ];
        let (top, value) =
            starts.into_iter().flatten().find_map(|start| greatest(f, start, FIRST_STEP, SETTLED)).ok_or(Withheld::NoSolution)?;
        let [location, ln_scale, shape] = top;
        let errors = standard_errors(f, &top, DIFFERENCE).filter(|_| shape < GREATEST_K - 0.01).ok_or(Withheld::NoSolution)?;
        let scale = math::exp(ln_scale);
        let distribution = GeneralizedExtremeValue { location: centre + unit * location, scale: unit * scale, shape };
        // The error of ln alpha times alpha is that of alpha, to first order.
        let errors = [unit * errors[0], unit * scale * errors[1], errors[2]];
        let log_likelihood = value - values.len() as f64 * math::ln(unit);
        Ok(Self { distribution, log_likelihood, standard_errors: (shape < 0.5).then_some(errors) })
    }
}

/// Values above a threshold fitted by maximum likelihood.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LikelyPareto {
    /// The distribution; its location is the threshold.
    pub distribution: GeneralizedPareto,
    /// Greatest log-likelihood.
    pub log_likelihood: f64,
    /// Standard errors of scale and shape, where k < 0.5.
    pub standard_errors: Option<[f64; 2]>,
}

impl LikelyPareto {
    /// The fit to values above a threshold, in any order.
    ///
    /// # Errors
    /// [`Withheld::TooFewYears`] below ten values (counted as years); [`Withheld::NoSolution`] when a value is not above the threshold or not
    /// finite, all are equal, or the likelihood has no top below k = 1.
    pub fn above(threshold: f64, values: &[f64]) -> Result<Self, Withheld> {
        let (scaled, _, unit) = scaled(values, Some(threshold))?;
        if scaled.iter().any(|&value| value <= 0.0) {
            return Err(Withheld::NoSolution);
        }
        let f = |p: &[f64; 2]| pareto_likelihood(&scaled, p);
        let moments = LMoments::of(&scaled)?;
        let starts = [
            GeneralizedPareto::above(0.0, moments.l1, moments.l2).ok().map(|fit| [math::ln(fit.scale), fit.shape]),
            Some([math::ln(moments.l1), 0.0]),
        ];
        let (top, value) =
            starts.into_iter().flatten().find_map(|start| greatest(f, start, FIRST_STEP, SETTLED)).ok_or(Withheld::NoSolution)?;
        let [ln_scale, shape] = top;
        let errors = standard_errors(f, &top, DIFFERENCE).filter(|_| shape < GREATEST_K - 0.01).ok_or(Withheld::NoSolution)?;
        let scale = unit * math::exp(ln_scale);
        let distribution = GeneralizedPareto { location: threshold, scale, shape };
        let log_likelihood = value - values.len() as f64 * math::ln(unit);
        Ok(Self { distribution, log_likelihood, standard_errors: (shape < 0.5).then_some([scale * errors[0], errors[1]]) })
    }
}

/// The values less their mean (or a given number) and over their second L-moment; the two numbers.
fn scaled(values: &[f64], centre: Option<f64>) -> Result<(Vec<f64>, f64, f64), Withheld> {
    if values.len() < FIT_NEEDS_YEARS as usize {
        return Err(Withheld::TooFewYears { have: values.len() as u32, need: FIT_NEEDS_YEARS });
    }
    let moments = LMoments::of(values)?;
    let (centre, unit) = (centre.unwrap_or(moments.l1), moments.l2);
    let scaled: Vec<f64> = values.iter().map(|value| (value - centre) / unit).collect();
    if scaled.iter().all(|value| value.is_finite()) { Ok((scaled, centre, unit)) } else { Err(Withheld::NoSolution) }
}

/// The log-likelihood of location, ln alpha and k; minus infinity outside their range.
fn extreme_value_likelihood(values: &[f64], &[location, ln_scale, shape]: &[f64; 3]) -> f64 {
    if shape > GREATEST_K {
        return f64::NEG_INFINITY;
    }
    let scale = math::exp(ln_scale);
    let mut sum = -(values.len() as f64) * ln_scale;
    for value in values {
        let y = to_standard(shape, (value - location) / scale);
        if !y.is_finite() {
            return f64::NEG_INFINITY;
        }
        sum -= (1.0 - shape) * y + math::exp(-y);
    }
    sum
}

/// The log-likelihood of ln alpha and k; minus infinity outside their range.
fn pareto_likelihood(excesses: &[f64], &[ln_scale, shape]: &[f64; 2]) -> f64 {
    if shape > GREATEST_K {
        return f64::NEG_INFINITY;
    }
    let scale = math::exp(ln_scale);
    let mut sum = -(excesses.len() as f64) * ln_scale;
    for excess in excesses {
        let y = to_standard(shape, excess / scale);
        if !y.is_finite() {
            return f64::NEG_INFINITY;
        }
        sum -= (1.0 - shape) * y;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distribution::Distribution;
    use crate::draws::Draws;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE, PORT_PIRIE, TINY, close};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.10 (R evd = scipy): parameters 1e-3, log-likelihood 1e-5; errors to their printed digits.
        let fit = LikelyExtremeValue::fit(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap();
        close(fit.distribution.location, 1.346_66, 1e-3);
        close(fit.distribution.scale, 0.532_81, 1e-3);
        close(fit.distribution.shape, -0.173_62, 1e-3);
        close(fit.log_likelihood, -104.964_534_4, 1e-5);
        for (found, expected) in fit.standard_errors.unwrap().into_iter().zip([0.0617, 0.0488, 0.0920]) {
            assert!((found - expected).abs() <= 5.1e-5, "{found} {expected}");
        }
    }

    #[test]
    fn port_pirie() {
        // CHECKS B2.5 (scipy; Coles 2001 prints 3.87, 0.198, -0.050, 4.34): 1e-3.
        let fit = LikelyExtremeValue::fit(&PORT_PIRIE).unwrap();
        for (found, expected) in [
            (fit.distribution.location, 3.874_75),
            (fit.distribution.scale, 0.198_04),
            (fit.distribution.shape, 0.0501),
            (fit.log_likelihood, 4.339_058),
        ] {
            close(found, expected, 1e-3);
        }
        // CHECKS B2.6: the 10-year and 100-year level, m, 5e-4.
        assert!((fit.distribution.at_return_period(10.0).unwrap() - 4.2962).abs() <= 5e-4);
        assert!((fit.distribution.at_return_period(100.0).unwrap() - 4.6884).abs() <= 5e-4);
    }

    #[test]
    fn scipy_agrees() {
        // scipy 1.17.1: c, loc, scale = scipy.stats.genextreme.fit(x); k = c. Its own search stops at 1e-4, so its log-likelihood may not be
        // above ours; refined with scipy.optimize.minimize (Nelder-Mead, xatol=1e-11) it gives the second row, and the errors from the
        // second differences of its logpdf.
        let nile = LikelyExtremeValue::fit(&NILE).unwrap();
        let tiny = LikelyExtremeValue::fit(&TINY).unwrap();
        for (fit, rough, refined, rough_likelihood, refined_likelihood, errors) in [
            (
                nile,
                [854.070_661_801_956_8, 157.913_304_872_056_76, 0.198_507_606_480_000_76],
                [854.089_558_335_490_9, 157.925_483_588_946_46, 0.198_520_707_865_372_88],
                -653.030_767_599_592_8,
                -653.030_766_384_521_4,
                [17.504_032_072_322_51, 12.242_691_788_769_683, 0.067_395_093_191_953_11],
            ),
            (
                tiny,
                [26.882_589_568_952_007, 14.658_953_590_410_87, -0.281_237_656_032_281_24],
                [26.882_629_681_241_795, 14.658_985_249_297_007, -0.281_233_634_368_265_9],
                -44.234_470_603_308_914,
                -44.234_470_603_233_79,
                [5.560_896_171_661_636, 4.680_696_972_393_065, 0.351_904_844_324_429_37],
            ),
        ] {
            let found = [fit.distribution.location, fit.distribution.scale, fit.distribution.shape];
            for ((found, rough), refined) in found.into_iter().zip(rough).zip(refined) {
                close(found, rough, 1e-3);
                close(found, refined, 1e-5);
            }
            assert!(fit.log_likelihood > rough_likelihood);
            close(fit.log_likelihood, refined_likelihood, 1e-10);
            for (found, expected) in fit.standard_errors.unwrap().into_iter().zip(errors) {
                close(found, expected, 1e-4);
            }
        }
    }

    #[test]
    fn rain_of_the_textbook() {
        let Some(folder) = testkit::data_dir() else { return };
        let text = std::fs::read_to_string(folder.join("textbook/ismev_rain.csv")).unwrap();
        let days = text.lines().skip(1).map(|line| line.split(',').nth(1).unwrap().parse::<f64>().unwrap());
        let above: Vec<f64> = days.filter(|&depth| depth > 30.0).collect();
        let fit = LikelyPareto::above(30.0, &above).unwrap();
        // CHECKS B2.2: R ismev, R evd and scipy; parameters 1e-3, log-likelihood 1e-4, errors to their printed digits.
        for (scale, shape) in [(7.442_264, 0.184_303), (7.441_098, 0.184_523), (7.440_269, 0.184_499)] {
            close(fit.distribution.scale, scale, 1e-3);
            assert!((fit.distribution.shape + shape).abs() < 1e-3);
        }
        close(fit.log_likelihood, -485.0937, 1e-6);
        // R ismev's, 0.9588 and 0.1012, are taken at its own parameters; scipy's logpdf at ours gives 0.95852601 and 0.10120241.
        let [scale, shape] = fit.standard_errors.unwrap();
        close(scale, 0.9588, 1e-3);
        close(scale, 0.958_526_01, 1e-4);
        close(shape, 0.101_202_41, 1e-4);
    }

    #[test]
    fn samples_without_a_fit() {
        assert_eq!(LikelyExtremeValue::fit(&TINY[..9]), Err(Withheld::TooFewYears { have: 9, need: 10 }));
        assert_eq!(LikelyExtremeValue::fit(&[3.0; 30]), Err(Withheld::NoSolution));
        assert_eq!(LikelyExtremeValue::fit(&[f64::NAN; 30]), Err(Withheld::NoSolution));
        assert_eq!(LikelyPareto::above(12.0, &TINY), Err(Withheld::NoSolution));
        assert_eq!(LikelyPareto::above(f64::NAN, &TINY), Err(Withheld::NoSolution));
        // Even steps up to an end: the likelihood of the excesses grows to the edge at k = 1, which is the uniform distribution.
        let even: Vec<f64> = (1..=40).map(f64::from).collect();
        assert_eq!(LikelyPareto::above(0.0, &even), Err(Withheld::NoSolution));
    }

    #[test]
    fn seeded_samples_of_every_shape_have_a_fit_near_their_own() {
        let mut draws = Draws::new(11);
        for shape in [-0.4, -0.1, 0.0, 0.1, 0.3] {
            let own = GeneralizedExtremeValue { location: 60.0, scale: 15.0, shape };
            let sample: Vec<f64> = (0..400).map(|_| own.quantile(draws.chance()).unwrap()).collect();
            let fit = LikelyExtremeValue::fit(&sample).unwrap();
            let found = [fit.distribution.location - 60.0, fit.distribution.scale - 15.0, fit.distribution.shape - shape];
            // Within four of its own standard errors.
            for (away, error) in found.into_iter().zip(fit.standard_errors.unwrap()) {
                assert!(away.abs() < 4.0 * error, "{shape}: {away} {error}");
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn whatever_the_sample_no_number_is_none(sample in proptest::collection::vec(prop_oneof![0.0..1.0f64, 0.0..300.0f64, 0.0..1e12f64], 10..40)) {
            if let Ok(fit) = LikelyExtremeValue::fit(&sample) {
                let distribution = fit.distribution;
                prop_assert!(distribution.location.is_finite() && distribution.scale > 0.0 && distribution.scale.is_finite());
                prop_assert!(distribution.shape.is_finite() && fit.log_likelihood.is_finite());
                prop_assert!(fit.standard_errors.is_none_or(|errors| errors.iter().all(|error| error.is_finite() && *error > 0.0)));
                // No less likely than the fit by L-moments, where that holds every value.
                let moments = GeneralizedExtremeValue::fit(&LMoments::of(&sample).unwrap()).unwrap();
                let other = extreme_value_likelihood(&sample, &[moments.location, math::ln(moments.scale), moments.shape]);
                prop_assert!(fit.log_likelihood >= other - 1e-6 * other.abs(), "{} {}", fit.log_likelihood, other);
            }
            if let Ok(fit) = LikelyPareto::above(-1.0, &sample) {
                prop_assert!(fit.distribution.scale > 0.0 && fit.distribution.scale.is_finite() && fit.log_likelihood.is_finite());
            }
        }

        #[test]
        fn the_unit_does_not_matter(factor in 0.01..100.0f64, shift in -1000.0..1000.0f64) {
            let moved: Vec<f64> = NILE.iter().map(|x| shift + factor * x).collect();
            let (own, moved) = (LikelyExtremeValue::fit(&NILE).unwrap().distribution, LikelyExtremeValue::fit(&moved).unwrap().distribution);
            close(moved.scale, factor * own.scale, 1e-5);
            close(moved.shape, own.shape, 1e-4);
        }
    }
}
