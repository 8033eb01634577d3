//! The range test of Buishand for a change of the mean.
//!
//! With the adjusted partial sums S(k) = (x1 - mean) + .. + (xk - mean), S(0) = 0, and the standard deviation s with n, the statistic is
//! R / sqrt n = (max S - min S) / (s sqrt n), and the change lies after the k of the greatest |S|. It is strongest for a change in the
//! middle of a series.
//!
//! Source: Buishand (1982), Journal of Hydrology 58, 11-27. No level is given here: it stands beside the two other tests as evidence.

use crate::{StatsError, finite};
use serde::Serialize;

/// The range of the adjusted partial sums.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BuishandRange {
    /// R / sqrt n.
    pub statistic: f64,
    /// Values before the change.
    pub before: usize,
}

/// The test on values in order of time. A constant series has the statistic 0.
///
/// # Errors
/// Without two values, and when one is not a finite number.
pub fn buishand_range(values: &[f64]) -> Result<BuishandRange, StatsError> {
    finite::two_or_more(values)?;
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let deviation = (values.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / n).sqrt();
    let (mut sum, mut least, mut most, mut greatest, mut before) = (0.0_f64, 0.0_f64, 0.0_f64, 0.0_f64, 1);
    for (k, value) in (1..values.len()).zip(values) {
        sum += value - mean;
        (least, most) = (least.min(sum), most.max(sum));
        if sum.abs() > greatest {
            (greatest, before) = (sum.abs(), k);
        }
    }
    let statistic = if deviation > 0.0 { (most - least) / (deviation * n.sqrt()) } else { 0.0 };
    Ok(BuishandRange { statistic, before })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::NILE;

    #[test]
    fn the_nile() {
        // numpy 2, cumsum of the deviations over x.std() and sqrt(100), on checks/data/nile.csv: 2.966636554976996, after 28 values.
        let nile = buishand_range(&NILE).unwrap();
        assert_eq!(nile.before, 28);
        assert!((nile.statistic - 2.966_636_554_976_996).abs() < 1e-12);
        assert_eq!(buishand_range(&[2.0; 9]).unwrap().statistic, 0.0);
        assert_eq!(buishand_range(&[f64::INFINITY, 1.0]), Err(StatsError::NotFinite));
    }
}
