//! The mean excess over a threshold: the chart that a threshold for a partial-duration series is chosen by.
//!
//! e(u) = mean of (x - u) over the x above u. For generalised Pareto excesses e is a straight line in u from the right threshold on, of
//! slope -k / (1 + k). The band is 1.96 standard errors either side, the standard error being the deviation (divisor one less) over
//! sqrt(n), as if the values were independent. Unit: that of the values. Source: Davison & Smith (1990), Journal of the Royal Statistical
//! Society B 52; Coles (2001), section 4.3.1.

use crate::StatsError;
use crate::finite;
use serde::Serialize;

/// The mean excess over one threshold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeanExcess {
    /// u.
    pub threshold: f64,
    /// Values above it, at least 1.
    pub n: usize,
    /// e(u), above 0.
    pub mean: f64,
    /// Standard error, from two values on.
    pub standard_error: Option<f64>,
}

impl MeanExcess {
    /// Lower and upper end of the 95 % band, from two values on.
    pub fn band(&self) -> Option<(f64, f64)> {
        self.standard_error.map(|error| (self.mean - 1.96 * error, self.mean + 1.96 * error))
    }
}

/// The mean excess over each threshold, in the order given; thresholds that no value exceeds are left out.
///
/// # Errors
/// [`StatsError::NotFinite`] when a value or a threshold is not finite.
pub fn mean_excess(values: &[f64], thresholds: &[f64]) -> Result<Vec<MeanExcess>, StatsError> {
    finite::all(values)?;
    finite::all(thresholds)?;
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let of = |&threshold: &f64| {
        let above = &sorted[sorted.partition_point(|&value| value <= threshold)..];
        let n = above.len();
        let mean = above.iter().map(|value| value - threshold).sum::<f64>() / n as f64;
        let squares: f64 = above.iter().map(|value| (value - threshold - mean) * (value - threshold - mean)).sum();
        let standard_error = (n >= 2).then(|| (squares / (n as f64 - 1.0) / n as f64).sqrt());
        // Without a value above, the mean is 0 / 0; values near the greatest number may add up beyond it.
        (n > 0 && mean.is_finite()).then_some(MeanExcess { threshold, n, mean, standard_error: standard_error.filter(|e| e.is_finite()) })
    };
    Ok(thresholds.iter().filter_map(of).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        // Above 2 of 1, 2, 3, 5, 9: excesses 1, 3, 7, mean 11/3, deviation sqrt((64 + 4 + 100) / 9 / 2).
        let found = mean_excess(&[5.0, 1.0, 9.0, 2.0, 3.0], &[2.0, 5.0, 9.0, 20.0]).unwrap();
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].n, found[1].n, found[1].mean, found[1].standard_error, found[1].band()), (3, 1, 4.0, None, None));
        assert!((found[0].mean - 11.0 / 3.0).abs() < 1e-12);
        assert!((found[0].standard_error.unwrap() - (168.0_f64 / 9.0 / 2.0 / 3.0).sqrt()).abs() < 1e-12);
        assert!(mean_excess(&[f64::NAN], &[1.0]).is_err() && mean_excess(&[1.0], &[f64::INFINITY]).is_err());
        assert!(mean_excess(&[], &[1.0]).unwrap().is_empty());
    }

    #[test]
    fn rain_of_the_textbook() {
        let Some(folder) = testkit::data_dir() else { return };
        let text = std::fs::read_to_string(folder.join("textbook/ismev_rain.csv")).unwrap();
        let values: Vec<f64> = text.lines().skip(1).map(|line| line.split(',').nth(1).unwrap().parse().unwrap()).collect();
        // numpy 2.4.6: e = r[r > u] - u; len(e), e.mean(), e.std(ddof=1) / len(e)**.5.
        let expected = [
            (0.0, 9287, 6.561_806_826_747_066, 0.077_135_134_054_871_92),
            (10.0, 2003, 7.834_997_503_744_383_5, 0.185_725_382_308_897_04),
            (20.0, 570, 7.871_403_508_771_929, 0.380_565_814_400_624_87),
            (30.0, 152, 9.084_210_526_315_79, 0.871_646_891_605_273_9),
            (40.0, 44, 11.943_181_818_181_818, 1.839_102_518_411_354),
            (60.0, 6, 18.599_999_999_999_998, 3.166_070_119_248_782),
        ];
        let found = mean_excess(&values, &expected.map(|row| row.0)).unwrap();
        for (found, (threshold, n, mean, error)) in found.iter().zip(expected) {
            assert_eq!((found.threshold, found.n), (threshold, n));
            assert!((found.mean / mean - 1.0).abs() < 1e-10 && (found.standard_error.unwrap() / error - 1.0).abs() < 1e-10);
        }
        assert_eq!(found.len(), 6);
    }
}
