//! How much a sample varies about its mean: standard deviation and coefficient of variation.
//!
//! s = sqrt(sum (x - mean)^2 / (n - 1)), in the sample's unit; coefficient of variation = s / mean, no unit, 0 or more for amounts of
//! rain. It needs two values; a mean of 0 or below has no coefficient.
//! Source: WMO-No. 100 (2018), on dispersion, from memory.

use serde::Serialize;
use series::Withheld;

/// A sample's spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Variability {
    /// Values.
    pub n: usize,
    /// Mean, in the sample's unit.
    pub mean: f64,
    /// Standard deviation, in the sample's unit, 0 or more.
    pub standard_deviation: f64,
    /// Standard deviation / mean; nothing where the mean is not above 0.
    pub coefficient_of_variation: Option<f64>,
}

/// The spread of these values.
///
/// # Errors
/// [`Withheld::TooFewYears`] below two values; [`Withheld::NoSolution`] when one is not finite.
pub fn variability(values: &[f64]) -> Result<Variability, Withheld> {
    let n = values.len();
    if n < 2 {
        return Err(Withheld::TooFewYears { have: n as u32, need: 2 });
    }
    let mean = values.iter().sum::<f64>() / n as f64;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    let standard_deviation = (squares / (n - 1) as f64).sqrt();
    if !(mean.is_finite() && standard_deviation.is_finite()) {
        return Err(Withheld::NoSolution);
    }
    let coefficient_of_variation = (mean > 0.0).then(|| standard_deviation / mean).filter(|share| share.is_finite());
    Ok(Variability { n, mean, standard_deviation, coefficient_of_variation })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::FORT_COLLINS_MAXIMA;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.11 (COMPUTED): mean 1.7567 in, sd(n-1) 0.8316687071 in.
        let found = variability(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap();
        assert!((found.mean - 1.7567).abs() < 1e-12 && (found.standard_deviation - 0.831_668_707_1).abs() < 0.5e-10);
        assert!((found.coefficient_of_variation.unwrap() - 0.831_668_707_1 / 1.7567).abs() < 1e-10);
    }

    #[test]
    fn samples_without_a_coefficient() {
        assert_eq!(variability(&[1.0]), Err(Withheld::TooFewYears { have: 1, need: 2 }));
        assert_eq!(variability(&[0.0; 5]).unwrap().coefficient_of_variation, None);
        assert_eq!(variability(&[4.0; 5]).unwrap().coefficient_of_variation, Some(0.0));
        assert_eq!(variability(&[1.0, f64::NAN]), Err(Withheld::NoSolution));
        assert_eq!(variability(&[f64::MAX, f64::MAX]), Err(Withheld::NoSolution));
    }
}
