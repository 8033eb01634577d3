//! Plotting positions: the return period at which each annual maximum is drawn beside a fitted curve.
//!
//! T = (n + 1) / rank, rank 1 the largest (Weibull; CHECKS B1.14). In years for annual maxima; the values keep their unit. Nothing is
//! fitted, so no position reaches beyond n + 1 years.

/// Return period in years and value, the largest value first; equals keep their order and get ranks of their own. Values that are not
/// finite are left out and not counted; no value gives no position.
pub fn plotting_positions(values: &[f64]) -> Vec<(f64, f64)> {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let n_and_one = sorted.len() as f64 + 1.0;
    sorted.into_iter().enumerate().map(|(above, value)| (n_and_one / (above as f64 + 1.0), value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::FORT_COLLINS_MAXIMA;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.14: the top three (4.63, 4.43, 4.34 in) at 101, 50.5, 33.667 years (half a unit of the last printed digit).
        let found = plotting_positions(&FORT_COLLINS_MAXIMA);
        assert_eq!((found.len(), found[0], found[1], found[2].1), (100, (101.0, 463.0), (50.5, 443.0), 434.0));
        assert!((found[2].0 - 33.667).abs() <= 0.000_5);
        assert!(found.windows(2).all(|pair| pair[0].0 > pair[1].0 && pair[0].1 >= pair[1].1));
    }

    #[test]
    fn what_is_no_number_has_no_place() {
        assert_eq!(plotting_positions(&[f64::NAN, 1.0, f64::INFINITY]), [(2.0, 1.0)]);
        assert!(plotting_positions(&[]).is_empty());
    }
}
