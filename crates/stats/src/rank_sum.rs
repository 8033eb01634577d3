//! The rank-sum test of Wilcoxon, Mann and Whitney: whether one of two samples lies higher than the other.
//!
//! U counts the pairs in which the later sample's value is the greater, a half for equal ones. Were both of one distribution, its mean is
//! n1 n2 / 2 and its variance n1 n2 / 12 x (n + 1 - sum t (t^2 - 1) / (n (n - 1))) over groups of t equal values,
//! n = n1 + n2. The chance is that of a |U - mean| less a half as great in a normal distribution (two-sided), 0 to 1. Ranks do not mind a
//! skew sample; values that depend on one another make the chance too small.
//!
//! Source: Mann & Whitney (1947), Annals of Mathematical Statistics 18; the variance with ties as in Lehmann (1975), Nonparametrics, 1.4.

use crate::normal;
use crate::ranks::{ranks, ties};
use crate::{StatsError, finite};
use serde::Serialize;

/// How two samples compare.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RankSum {
    /// U of the later sample: pairs in which it is the greater, 0 to n1 n2.
    pub statistic: f64,
    /// Chance of a U as far from its mean if both were alike, 0 to 1.
    pub chance: f64,
}

/// The test of an earlier and a later sample.
///
/// # Errors
/// When one is empty or holds a value that is not finite.
pub fn rank_sum(earlier: &[f64], later: &[f64]) -> Result<RankSum, StatsError> {
    if earlier.is_empty() || later.is_empty() {
        return Err(StatsError::NoValues);
    }
    let together = [earlier, later].concat();
    finite::all(&together)?;
    let (n1, n2, n) = (earlier.len() as f64, later.len() as f64, together.len() as f64);
    let statistic = ranks(&together)[earlier.len()..].iter().sum::<f64>() - n2 * (n2 + 1.0) / 2.0;
    let tied: f64 = ties(&together).into_iter().map(|t| t as f64 * (t as f64 * t as f64 - 1.0)).sum();
    let variance = n1 * n2 / 12.0 * (n + 1.0 - tied / (n * (n - 1.0)));
    let from_mean = ((statistic - n1 * n2 / 2.0).abs() - 0.5).max(0.0);
    let z = if variance > 0.0 { from_mean / variance.sqrt() } else { 0.0 };
    Ok(RankSum { statistic, chance: normal::chance_as_far(z) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE};

    #[test]
    fn scipy_agrees() {
        // scipy 1.17.1: stats.mannwhitneyu(earlier, later, method="asymptotic"); its statistic is the earlier sample's, n1 n2 - U.
        for (sample, split, statistic, chance) in [
            (&FORT_COLLINS_MAXIMA, 50, 2500.0 - 1118.0, 0.364_614_109_152_390_56),
            (&NILE, 50, 2500.0 - 1777.0, 0.000_283_589_640_613_705_2),
            (&NILE, 85, 1275.0 - 720.0, 0.428_580_251_505_960_46),
        ] {
            let found = rank_sum(&sample[..split], &sample[split..]).unwrap();
            assert_eq!(found.statistic, statistic);
            assert!((found.chance / chance - 1.0).abs() < 1e-10, "{found:?}");
        }
    }

    #[test]
    fn alike_empty_and_equal_samples() {
        let alike = rank_sum(&NILE, &NILE).unwrap();
        assert_eq!((alike.statistic, alike.chance), (5000.0, 1.0));
        assert_eq!(rank_sum(&[2.0; 5], &[2.0; 5]).unwrap().chance, 1.0);
        assert_eq!(rank_sum(&[], &NILE), Err(StatsError::NoValues));
        assert_eq!(rank_sum(&[f64::NAN], &NILE), Err(StatsError::NotFinite));
    }
}
