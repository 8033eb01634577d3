//! The test of Pettitt for one change of level in a series, by ranks.
//!
//! With the ranks r1..rn of the values (equal values share their mean rank), U(k) = 2 (r1 + .. + rk) - k (n + 1); the statistic is
//! K = max |U(k)| over k = 1 .. n - 1, the change lies after that k (the earliest of equals), and the chance of a K as great in a series
//! without change is about min(1, 2 exp(-6 K^2 / (n^3 + n^2))). Ranks do not mind an outlier or a skew sample. Values that depend on one
//! another make the chance too small.
//!
//! Source: Pettitt (1979), Applied Statistics 28, 126-135; the chance as in CHECKS A4.

use crate::ranks::ranks;
use crate::{StatsError, finite};
use serde::Serialize;
use series::math;

/// The most likely change of level and how likely chance makes one as great.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pettitt {
    /// Greatest |U|; whole, or whole and a half where values are equal.
    pub statistic: f64,
    /// Values before the change.
    pub before: usize,
    /// Chance without any change, 0 to 1.
    pub chance: f64,
}

/// The test on values in order of time.
///
/// # Errors
/// Without two values, and when one is not a finite number.
pub fn pettitt(values: &[f64]) -> Result<Pettitt, StatsError> {
    finite::two_or_more(values)?;
    let ranks = ranks(values);
    let n = values.len() as f64;
    let (mut sum, mut statistic, mut before) = (0.0, 0.0, 1);
    for (k, rank) in (1..values.len()).zip(&ranks) {
        sum += rank;
        let u = (2.0 * sum - k as f64 * (n + 1.0)).abs();
        if u > statistic {
            (statistic, before) = (u, k);
        }
    }
    let chance = (2.0 * math::exp(-6.0 * statistic * statistic / (n * n * n + n * n))).min(1.0);
    Ok(Pettitt { statistic, before, chance })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE};

    #[test]
    fn the_nile_and_fort_collins() {
        // CHECKS A4.4 (own = trend = pyhomogeneity).
        let nile = pettitt(&NILE).unwrap();
        assert_eq!((nile.statistic, nile.before), (1617.0, 28));
        assert!((nile.chance - 3.591e-7).abs() < 0.0005e-7);
        let fort_collins = pettitt(&FORT_COLLINS_MAXIMA).unwrap();
        assert_eq!((fort_collins.statistic, fort_collins.before), (405.0, 46));
        assert!((fort_collins.chance - 0.754_833_0).abs() < 1e-7);
    }

    #[test]
    fn a_constant_series_has_no_change_and_nothing_gives_an_error() {
        let constant = pettitt(&[3.0; 12]).unwrap();
        assert_eq!((constant.statistic, constant.chance), (0.0, 1.0));
        assert_eq!(pettitt(&[1.0]), Err(StatsError::NoValues));
        assert_eq!(pettitt(&[1.0, f64::NAN]), Err(StatsError::NotFinite));
    }
}
