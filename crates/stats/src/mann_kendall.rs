//! The test of Mann and Kendall for a trend in one direction, with equal values, and with values that depend on those before them.
//!
//! S counts the pairs of values in which the later is greater, less those in which it is less. Without a trend its mean is 0 and its
//! variance (n (n-1) (2n+5) - sum t (t-1) (2t+5)) / 18, over the groups of t equal values; Z = (S -+ 1) / sqrt(variance), 0 for S = 0. The
//! chance is that of a |Z| as great in a normal distribution (two-sided). tau = S / sqrt((n0 - n1) n0), n0 = n (n-1) / 2, n1 = sum t (t-1) / 2
//! (Kendall's tau-b). S says whether there is a trend and nothing of its size: that is [`sen_slope`](crate::sen_slope).
//!
//! Dependent years make S vary more, and the plain chance too small. The corrected test multiplies the variance by n/n* of Hamed & Rao
//! (1998; the formula is in `serial_correlation.rs`), **but never by less than 1**: among many lags some are significant by chance, and such a
//! correlation shall not make a trend look surer than independent years would (own rule; the factor is given as the formula has it). Both
//! stand side by side; neither is carried beyond the record.
//!
//! The normal distribution of Z needs about ten values (EPA QA/G-9S, 2006): the test is withheld below [`TREND_NEEDS`].
//! Source: Mann (1945), Econometrica 13; Kendall (1975), Rank Correlation Methods; Hamed & Rao (1998), Journal of Hydrology 204.

use crate::normal;
use crate::ranks::ties;
use crate::serial_correlation::variance_factor;
use crate::summary::YearValue;
use serde::Serialize;
use series::Withheld;

/// Fewest years that a trend is looked for in.
pub const TREND_NEEDS: u32 = 10;

/// The test on a series.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MannKendall {
    /// Years with a value.
    pub n: usize,
    /// S: pairs that rise less pairs that fall.
    pub score: i64,
    /// Variance of S without a trend, for independent values.
    pub variance: f64,
    /// Kendall's tau-b, -1 to 1; 0 where all values are equal.
    pub tau: f64,
    /// Z and its chance as if the years were independent.
    pub independent: TrendChance,
    /// The same with the variance corrected for serial correlation; withheld where Sen's slope has no solution.
    pub serially_correlated: Result<CorrectedTrend, Withheld>,
}

/// Z and how likely chance makes one as great.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TrendChance {
    /// Z: above 0 where the values rise.
    pub z: f64,
    /// Chance without a trend, two-sided, 0 to 1.
    pub chance: f64,
}

/// The corrected test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CorrectedTrend {
    /// n/n* by the formula: 1 where no lag is significant, above 1 where like years follow one another; below 1 it is not used.
    pub variance_factor: f64,
    /// Lags in years whose correlation was significant and counted.
    pub lags: Vec<u32>,
    /// Z and its chance, of the variance times n/n* or 1, whichever is greater.
    pub trend: TrendChance,
}

/// The test on yearly values in order of time. A year that is left out closes up: only the order counts.
///
/// # Errors
/// [`Withheld::TooFewYears`] below [`TREND_NEEDS`]; [`Withheld::NoSolution`] when a value is not finite.
pub fn mann_kendall(years: &[YearValue]) -> Result<MannKendall, Withheld> {
    enough(years)?;
    let values: Vec<f64> = years.iter().map(|year| year.value).collect();
    let mut score = 0;
    for (i, earlier) in values.iter().enumerate() {
        for later in &values[i + 1..] {
            score += i64::from(later > earlier) - i64::from(later < earlier);
        }
    }
    let n = values.len() as f64;
    let mut variance = n * (n - 1.0) * (2.0 * n + 5.0);
    let mut tied_pairs = 0.0;
    for equal in ties(&values) {
        let t = equal as f64;
        variance -= t * (t - 1.0) * (2.0 * t + 5.0);
        tied_pairs += t * (t - 1.0) / 2.0;
    }
    variance /= 18.0;
    let pairs = n * (n - 1.0) / 2.0;
    let untied = ((pairs - tied_pairs) * pairs).sqrt();
    let tau = if untied > 0.0 { score as f64 / untied } else { 0.0 };
    let serially_correlated = variance_factor(years).map(|factor| CorrectedTrend {
        variance_factor: factor.factor,
        lags: factor.lags,
        trend: chance(score, variance * factor.factor.max(1.0)),
    });
    Ok(MannKendall { n: values.len(), score, variance, tau, independent: chance(score, variance), serially_correlated })
}

/// Whether there are enough finite values for a trend.
pub(crate) fn enough(years: &[YearValue]) -> Result<(), Withheld> {
    let have = years.len() as u32;
    if have < TREND_NEEDS {
        Err(Withheld::TooFewYears { have, need: TREND_NEEDS })
    } else if years.iter().all(|year| year.value.is_finite()) {
        Ok(())
    } else {
        Err(Withheld::NoSolution)
    }
}

fn chance(score: i64, variance: f64) -> TrendChance {
    let continuous = (score - score.signum()) as f64;
    let z = if variance > 0.0 { continuous / variance.sqrt() } else { 0.0 };
    TrendChance { z, chance: normal::chance_as_far(z) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE, by_year};
    use proptest::prelude::*;

    #[test]
    fn eleven_values_of_the_guidance() {
        // CHECKS A4.1 (EPA QA/G-9S p. 109): S 22, variance 155.33, Z 1.685; COMPUTED Z 1.68494979, p 0.0919983.
        let found = mann_kendall(&by_year(1990, &[10., 10., 10., 5., 10., 20., 18., 17., 15., 24., 15.])).unwrap();
        assert_eq!((found.n, found.score), (11, 22));
        assert!((found.variance - 155.333_333_333).abs() < 1e-8);
        assert!((found.independent.z - 1.684_949_79).abs() < 0.5e-8 && (found.independent.chance - 0.091_998_3).abs() < 0.5e-7);
    }

    #[test]
    fn fort_collins_maxima_and_the_nile() {
        // CHECKS A4.2 (trend = pymannkendall = own). scipy 1.17.1: stats.kendalltau(range(100), values).statistic
        // = 0.03604708902313521, for the Nile -0.2807413347246131.
        let found = mann_kendall(&by_year(1900, &FORT_COLLINS_MAXIMA)).unwrap();
        assert_eq!(found.score, 178);
        assert!((found.variance - 112_724.666_7).abs() < 0.5e-4);
        assert!((found.independent.z - 0.527_185_9).abs() < 0.5e-7 && (found.independent.chance - 0.598_064_5).abs() < 0.5e-7);
        assert!((found.tau - 0.036_047_089_023_135_21).abs() < 1e-14);
        // CHECKS A4.3 (own = trend).
        let nile = mann_kendall(&by_year(1871, &NILE)).unwrap();
        assert_eq!(nile.score, -1387);
        assert!((nile.tau + 0.280_741_334_724_613_1).abs() < 1e-14);
        assert!((nile.variance - 112_728.333_3).abs() < 0.5e-4);
        assert!((nile.independent.z + 4.128_066_523).abs() < 0.5e-9 && (nile.independent.chance - 3.658e-5).abs() < 0.5e-8);
    }

    #[test]
    fn few_equal_and_not_finite_values() {
        let nine = by_year(2000, &[1.0; 9]);
        assert_eq!(mann_kendall(&nine), Err(Withheld::TooFewYears { have: 9, need: 10 }));
        let equal = mann_kendall(&by_year(2000, &[3.0; 12])).unwrap();
        assert_eq!((equal.score, equal.tau, equal.independent), (0, 0.0, TrendChance { z: 0.0, chance: 1.0 }));
        let mut broken = [1.0; 12];
        broken[3] = f64::NAN;
        assert_eq!(mann_kendall(&by_year(2000, &broken)), Err(Withheld::NoSolution));
    }

    proptest! {
        #[test]
        fn turned_round_the_score_changes_its_sign(values in proptest::collection::vec(0..40_i32, 10..60)) {
            let forth: Vec<f64> = values.iter().map(|&value| f64::from(value)).collect();
            let back: Vec<f64> = forth.iter().rev().copied().collect();
            let (forth, back) = (mann_kendall(&by_year(1900, &forth)).unwrap(), mann_kendall(&by_year(1900, &back)).unwrap());
            prop_assert_eq!((forth.score, forth.variance), (-back.score, back.variance));
            for found in [forth, back] {
                prop_assert!(found.tau.abs() <= 1.0 + 1e-12 && (0.0..=1.0).contains(&found.independent.chance));
                if let Ok(corrected) = found.serially_correlated {
                    prop_assert!(corrected.variance_factor.is_finite() && corrected.trend.chance <= 1.0);
                    prop_assert!(corrected.trend.chance >= found.independent.chance);
                }
            }
        }
    }
}
