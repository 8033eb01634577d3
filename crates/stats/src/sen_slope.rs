//! Sen's slope: how much a series rises or falls a year, and the interval that the slope may well lie in.
//!
//! The slope is the median of (later - earlier) / (years between) over all pairs of years, in the values' unit a year. An outlier moves it
//! little. The interval at a confidence c: with N pairs, the variance of S of [`mann_kendall`](crate::mann_kendall) for independent years and
//! z the normal value of (1 + c) / 2, the slopes of ranks (N - z sqrt(variance)) / 2 and (N + z sqrt(variance)) / 2 + 1, each rounded (half to
//! even) and held within 1 to N. Where years depend on one another the interval is too narrow.
//! It tells what the record did between its first and its last year, and is never carried beyond them.
//!
//! Source: Sen (1968), Journal of the American Statistical Association 63, 1379-1389; Gilbert (1987), section 16.5.

use crate::mann_kendall::{enough, mann_kendall};
use crate::normal;
use crate::quantile::median;
use crate::summary::YearValue;
use serde::Serialize;
use series::Withheld;

/// A slope and its interval, in the values' unit a year.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SenSlope {
    /// Years with a value.
    pub n: usize,
    /// The slope.
    pub slope: f64,
    /// Confidence of the interval, above 0 and below 1.
    pub confidence: f64,
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

/// The slope of yearly values in order of time.
///
/// # Errors
/// [`Withheld::TooFewYears`] below [`TREND_NEEDS`](crate::TREND_NEEDS); [`Withheld::NoSolution`] when a value is not finite, when two values
/// are of one year, and when the confidence is not above 0 and below 1.
pub fn sen_slope(years: &[YearValue], confidence: f64) -> Result<SenSlope, Withheld> {
    enough(years)?;
    let mut slopes = pairwise_slopes(years);
    slopes.sort_by(f64::total_cmp);
    let slope = median(&slopes).map_err(|_| Withheld::NoSolution)?;
    let z = Some(confidence)
        .filter(|confidence| *confidence > 0.0 && *confidence < 1.0)
        .and_then(|confidence| normal::value_of_chance(f64::midpoint(1.0, confidence)))
        .ok_or(Withheld::NoSolution)?;
    let (pairs, reach) = (slopes.len() as f64, z * mann_kendall(years)?.variance.sqrt());
    let at = |rank: f64| slopes[rank.clamp(1.0, pairs) as usize - 1];
    let low = at(((pairs - reach) / 2.0).round_ties_even());
    let high = at(f64::midpoint(pairs, reach).round_ties_even() + 1.0);
    Ok(SenSlope { n: years.len(), slope, confidence, low, high })
}

/// (later - earlier) / (years between) of every pair; not finite for two values of one year.
pub(crate) fn pairwise_slopes(years: &[YearValue]) -> Vec<f64> {
    let mut slopes = Vec::with_capacity(years.len() * years.len() / 2);
    for (i, earlier) in years.iter().enumerate() {
        for later in &years[i + 1..] {
            let between = f64::from(later.year) - f64::from(earlier.year);
            slopes.push((later.value - earlier.value) / between);
        }
    }
    slopes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE, by_year};

    #[test]
    fn fort_collins_maxima_the_nile_and_the_guidance() {
        // CHECKS A4.2: 0.1231060606 a year, 95 % from -0.34177 to 0.61538 (R trend), hundredths of an inch.
        let found = sen_slope(&by_year(1900, &FORT_COLLINS_MAXIMA), 0.95).unwrap();
        assert!((found.slope - 0.123_106_060_6).abs() < 0.5e-10);
        assert!((found.low + 0.341_77).abs() < 0.5e-5 && (found.high - 0.615_38).abs() < 0.5e-5, "{found:?}");
        // CHECKS A4.3 and A4.1.
        assert_eq!(sen_slope(&by_year(1871, &NILE), 0.95).unwrap().slope, -2.6);
        let eleven = [10., 10., 10., 5., 10., 20., 18., 17., 15., 24., 15.];
        assert_eq!(sen_slope(&by_year(1, &eleven), 0.95).unwrap().slope, 1.0);
    }

    #[test]
    fn scipy_agrees() {
        // scipy 1.17.1: stats.theilslopes(values, arange(100), confidence), and the Nile without the years 1872, 1875, .. (67 left).
        let fort_collins = by_year(1900, &FORT_COLLINS_MAXIMA);
        let nile = by_year(1871, &NILE);
        let gappy: Vec<YearValue> = nile.iter().copied().filter(|year| (year.year - 1871) % 3 != 1).collect();
        for (years, confidence, slope, low, high) in [
            (&fort_collins, 0.90, 0.123_106_060_606_060_61, -0.274_509_803_921_568_65, 0.55),
            (&fort_collins, 0.95, 0.123_106_060_606_060_61, -0.341_772_151_898_734_17, 0.615_384_615_384_615_4),
            (&nile, 0.90, -2.6, -3.428_571_428_571_428_4, -1.659_090_909_090_909_2),
            (&nile, 0.95, -2.6, -3.627_906_976_744_186, -1.428_571_428_571_428_6),
            (&gappy, 0.90, -2.44, -3.559_322_033_898_305, -1.269_841_269_841_269_8),
        ] {
            let found = sen_slope(years, confidence).unwrap();
            for (found, expected) in [(found.slope, slope), (found.low, low), (found.high, high)] {
                assert!((found / expected - 1.0).abs() < 1e-12, "{found} {expected}");
            }
        }
        // stats.theilslopes(values[:10], arange(10), 0.9).
        let ten = sen_slope(&fort_collins[..10], 0.9).unwrap();
        assert_eq!((ten.slope, ten.low, ten.high), (-11.5, -38.0, 9.0));
    }

    #[test]
    fn a_straight_line_and_what_has_no_slope() {
        let line: Vec<f64> = (0..15).map(|i| 500.0 - 3.0 * f64::from(i)).collect();
        let found = sen_slope(&by_year(1990, &line), 0.9).unwrap();
        assert_eq!((found.slope, found.low, found.high), (-3.0, -3.0, -3.0));
        assert_eq!(sen_slope(&by_year(1990, &line[..9]), 0.9), Err(Withheld::TooFewYears { have: 9, need: 10 }));
        let twice = vec![YearValue { year: 2000, value: 1.0 }; 12];
        assert_eq!(sen_slope(&twice, 0.9), Err(Withheld::NoSolution), "two values of one year");
        for confidence in [0.0, 1.0, f64::NAN] {
            assert_eq!(sen_slope(&by_year(1990, &line), confidence), Err(Withheld::NoSolution));
        }
    }
}
