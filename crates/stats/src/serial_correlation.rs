//! How much the variance of Mann and Kendall's S grows where a year resembles those before it.
//!
//! n/n* = 1 + 2 / (n (n-1) (n-2)) x sum over lags i of (n-i) (n-i-1) (n-i-2) r(i). r(i) is the correlation at lag i (1 to n - 1) of the
//! **ranks** of the values, once Sen's slope is taken from them, so that the trend itself is not taken for dependence; a lag counts only
//! where |r(i)| exceeds 1.96 / sqrt(n) (5 %, two-sided). r(i) = sum (x[t] - m) (x[t+i] - m) / sum (x[t] - m)^2. A lag is a step in the list of years:
//! one left out closes up. Swings to and fro make n/n* less than 1.
//!
//! Source: Hamed & Rao (1998), Journal of Hydrology 204, 182-196.

use crate::quantile::median;
use crate::ranks::ranks;
use crate::sen_slope::pairwise_slopes;
use crate::summary::YearValue;
use series::Withheld;

/// By what the variance is multiplied, and why.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct VarianceFactor {
    /// n/n*.
    pub(crate) factor: f64,
    /// The lags that count.
    pub(crate) lags: Vec<u32>,
}

/// n/n* of yearly values in order of time, at least three.
pub(crate) fn variance_factor(years: &[YearValue]) -> Result<VarianceFactor, Withheld> {
    let ranks = ranks(&detrended(years)?);
    let n = ranks.len() as f64;
    let bound = 1.959_963_984_540_054 / n.sqrt();
    let (mut sum, mut lags) = (0.0, Vec::new());
    for (lag, r) in (1_u32..).zip(autocorrelations(&ranks)) {
        if r.abs() > bound {
            let left = n - f64::from(lag);
            sum += left * (left - 1.0) * (left - 2.0) * r;
            lags.push(lag);
        }
    }
    let factor = 1.0 + 2.0 * sum / (n * (n - 1.0) * (n - 2.0));
    if factor.is_finite() { Ok(VarianceFactor { factor, lags }) } else { Err(Withheld::NoSolution) }
}

/// The values less Sen's slope times the years since the first.
fn detrended(years: &[YearValue]) -> Result<Vec<f64>, Withheld> {
    let first = years.first().ok_or(Withheld::NothingAccepted)?.year;
    let slope = median(&pairwise_slopes(years)).map_err(|_| Withheld::NoSolution)?;
    Ok(years.iter().map(|year| year.value - slope * (f64::from(year.year) - f64::from(first))).collect())
}

/// The correlations at lags 1 to n - 1; all 0 where the values are equal.
fn autocorrelations(values: &[f64]) -> Vec<f64> {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let from_mean: Vec<f64> = values.iter().map(|value| value - mean).collect();
    let squares: f64 = from_mean.iter().map(|x| x * x).sum();
    let at = |lag: usize| from_mean.iter().zip(&from_mean[lag..]).map(|(a, b)| a * b).sum::<f64>();
    (1..values.len()).map(|lag| if squares > 0.0 { at(lag) / squares } else { 0.0 }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE, by_year};
    use crate::{TREND_NEEDS, mann_kendall};

    #[test]
    fn correlations_by_hand() {
        // 1 2 3 4, mean 2.5: squares 5; lag 1: (-1.5)(-.5) + (-.5)(.5) + (.5)(1.5) = 1.25; lag 2: -.75 - .75 = -1.5; lag 3: -2.25.
        let found = autocorrelations(&[1.0, 2.0, 3.0, 4.0]);
        assert_eq!(found, [0.25, -0.3, -0.45]);
        assert_eq!(autocorrelations(&[7.0; 3]), [0.0, 0.0]);
    }

    #[test]
    fn pymannkendall_agrees() {
        // pymannkendall 1.4.3: hamed_rao_modification_test(values).var_s / original_test(values).var_s, .z, .p. The third series is a wave
        // of 19 years, round(500 + 40 sin(i / 3) + 3 (37 i mod 11), 1) for i = 0..39.
        let wave = [
            500.0, 525.1, 548.7, 536.7, 553.9, 566.8, 542.4, 546.9, 548.3, 514.6, 513.4, 479.9, 481.7, 486.8, 463.0, 476.6, 494.5, 482.9,
            506.8, 532.0, 524.0, 547.3, 534.7, 551.3, 563.6, 538.5, 542.5, 543.5, 509.7, 508.4, 508.2, 477.5, 483.1, 460.0, 474.3, 492.7,
            481.5, 505.8, 531.0, 522.8,
        ];
        for (years, factor, z, chance) in [
            (by_year(1900, &FORT_COLLINS_MAXIMA), 0.560_447_104_710_471_1, 0.704_200_730_949_759, 0.481_307_775_896_380_2),
            (by_year(1871, &NILE), 2.142_898_327_098_720_3, -2.819_979_195_645_138_8, 0.004_802_676_310_182_719),
            (by_year(1960, &wave), 1.303_201_580_314_619_3, -1.602_353_539_224_421_7, 0.109_077_452_627_406_53),
        ] {
            let test = mann_kendall(&years).unwrap();
            let found = test.serially_correlated.unwrap();
            assert!((found.variance_factor / factor - 1.0).abs() < 1e-9);
            // A factor below 1 is not used.
            let (z, chance) = if factor < 1.0 { (test.independent.z, test.independent.chance) } else { (z, chance) };
            for (found, expected) in [(found.trend.z, z), (found.trend.chance, chance)] {
                assert!((found / expected - 1.0).abs() < 1e-9, "{found} {expected}");
            }
        }
    }

    #[test]
    fn without_dependence_the_factor_is_one() {
        // Equal values: every correlation is 0 over 0, taken as 0.
        let equal = mann_kendall(&by_year(2000, &[4.0; TREND_NEEDS as usize])).unwrap().serially_correlated.unwrap();
        assert_eq!((equal.variance_factor, equal.lags.len()), (1.0, 0));
    }
}
