//! The standard normal homogeneity test (SNHT) for one change of the mean.
//!
//! With z = (x - mean) / s (s with n - 1) and the mean z1 of the first k values and z2 of the others, T(k) = k z1^2 + (n - k) z2^2; the
//! statistic is the greatest T(k) over k = 1 .. n - 1, and the change lies after that k. It finds changes near the ends better than
//! Pettitt's test, and supposes values that are nearly normal and do not depend on one another.
//!
//! Source: Alexandersson (1986), Journal of Climatology 6, 661-675; s with n - 1 as in CHECKS A4.5. The levels of [`homogeneity_level`] are
//! measured: 40,000 series of independent normal numbers a length, numpy, to about 0.1 (CHECKS A4 has from memory, at 5 %, 7.65 for 20,
//! 8.45 for 50 and 9.17 for 100 values; the same run gave 7.15, 8.42 and 9.16).

use crate::{StatsError, finite};
use serde::Serialize;

/// The most likely change of the mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StandardNormalHomogeneity {
    /// Greatest T.
    pub statistic: f64,
    /// Values before the change.
    pub before: usize,
}

/// The test on values in order of time. A constant series has the statistic 0.
///
/// # Errors
/// Without two values, and when one is not a finite number.
pub fn standard_normal_homogeneity(values: &[f64]) -> Result<StandardNormalHomogeneity, StatsError> {
    finite::two_or_more(values)?;
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let variance = values.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / (n - 1.0);
    let mut found = StandardNormalHomogeneity { statistic: 0.0, before: 1 };
    let mut sum = 0.0;
    for (k, value) in (1..values.len()).zip(values) {
        sum += value - mean;
        // The sums of both parts are equal and opposite, so that T = sum^2 (1 / k + 1 / (n - k)) / s^2.
        let statistic = sum * sum * (1.0 / k as f64 + 1.0 / (n - k as f64)) / variance;
        if statistic > found.statistic {
            found = StandardNormalHomogeneity { statistic, before: k };
        }
    }
    Ok(found)
}

/// The statistic that one homogeneous series in a hundred exceeds, for `n` values; straight lines between the measured lengths, the
/// nearest beyond them.
pub fn homogeneity_level(n: usize) -> f64 {
    const MEASURED: [(usize, f64); 9] =
        [(15, 8.22), (20, 9.16), (30, 10.14), (40, 10.78), (50, 11.11), (70, 11.87), (100, 12.19), (150, 12.55), (200, 12.95)];
    let above = MEASURED.iter().position(|(length, _)| *length >= n);
    match above {
        Some(0) => MEASURED[0].1,
        None => MEASURED[MEASURED.len() - 1].1,
        Some(i) => {
            let ((short, low), (long, high)) = (MEASURED[i - 1], MEASURED[i]);
            low + (high - low) * (n - short) as f64 / (long - short) as f64
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE};

    #[test]
    fn the_nile_and_fort_collins() {
        // CHECKS A4.5 (own = trend = pyhomogeneity), to half a unit of the last digit.
        let nile = standard_normal_homogeneity(&NILE).unwrap();
        assert_eq!(nile.before, 28);
        assert!((nile.statistic - 43.218_864_71).abs() < 5e-9);
        let fort_collins = standard_normal_homogeneity(&FORT_COLLINS_MAXIMA).unwrap();
        assert_eq!(fort_collins.before, 3);
        assert!((fort_collins.statistic - 7.098_505_29).abs() < 5e-9);
    }

    #[test]
    fn levels_grow_with_the_length() {
        assert_eq!((homogeneity_level(5), homogeneity_level(100), homogeneity_level(900)), (8.22, 12.19, 12.95));
        assert!((homogeneity_level(35) - f64::midpoint(10.14, 10.78)).abs() < 1e-12);
        assert_eq!(standard_normal_homogeneity(&[2.0; 9]).unwrap().statistic, 0.0);
        assert_eq!(standard_normal_homogeneity(&[]), Err(StatsError::NoValues));
    }
}
