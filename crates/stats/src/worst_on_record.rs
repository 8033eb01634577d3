//! How likely a year is to be worse than the worst on record: a range, since no fit tells it.
//!
//! If the years are independent and of one kind, the chance p that a year is worse than the worst of n has the distribution Beta(1, n), whatever the
//! distribution of the amounts: P(p <= x) = 1 - (1 - x)^n. Its mean is 1 / (n + 1); with confidence c it lies from
//! 1 - (1 - (1 - c) / 2)^(1/n) to 1 - ((1 - c) / 2)^(1/n). So the worst of 30 years may come once in 10 years or once in 600: no return period is put on
//! it. Years that depend on one another leave it wider still.
//!
//! Source: order statistics (David & Nagaraja 2003, Order Statistics, 2.5); CHECKS H22.

use serde::Serialize;
use series::{Withheld, math};

/// The chance of a year that is worse than the worst on record, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChanceOfTheWorst {
    /// Years on record.
    pub years: u32,
    /// Confidence of the range.
    pub confidence: f64,
    /// Its lower end.
    pub low: f64,
    /// The mean.
    pub mean: f64,
    /// Its upper end.
    pub high: f64,
}

/// The range after so many years.
///
/// # Errors
/// [`Withheld::TooFewYears`] without a year; [`Withheld::NoSolution`] when the confidence is not above 0 and below 1.
pub fn chance_of_the_worst(years: u32, confidence: f64) -> Result<ChanceOfTheWorst, Withheld> {
    if years == 0 {
        return Err(Withheld::TooFewYears { have: 0, need: 1 });
    }
    if !(confidence > 0.0 && confidence < 1.0) {
        return Err(Withheld::NoSolution);
    }
    let tail = (1.0 - confidence) / 2.0;
    let n = f64::from(years);
    let at = |kept: f64| 1.0 - math::pow(kept, 1.0 / n);
    Ok(ChanceOfTheWorst { years, confidence, low: at(1.0 - tail), mean: 1.0 / (n + 1.0), high: at(tail) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{Beta, ContinuousCDF};

    #[test]
    fn the_worst_of_thirty_years() {
        // CHECKS H22: .17 to 9.5 % (90 %), mean 3.2 %.
        let found = chance_of_the_worst(30, 0.9).unwrap();
        for (found, percent, half) in [(found.low, 0.17, 0.005), (found.high, 9.5, 0.05), (found.mean, 3.2, 0.05)] {
            assert!((100.0 * found - percent).abs() < half, "{found}");
        }
        // Independent code: the distribution function of Beta(1, n) of statrs.
        for years in [1, 30, 250] {
            let found = chance_of_the_worst(years, 0.9).unwrap();
            let beta = Beta::new(1.0, f64::from(years)).unwrap();
            assert!((beta.cdf(found.low) - 0.05).abs() < 1e-9 && (beta.cdf(found.high) - 0.95).abs() < 1e-9, "{years}");
        }
    }

    #[test]
    fn no_years_and_no_confidence() {
        assert_eq!(chance_of_the_worst(0, 0.9), Err(Withheld::TooFewYears { have: 0, need: 1 }));
        for confidence in [0.0, 1.0, f64::NAN] {
            assert_eq!(chance_of_the_worst(30, confidence), Err(Withheld::NoSolution));
        }
    }
}
