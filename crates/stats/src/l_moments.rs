//! L-moments of a sample by unbiased probability-weighted moments.
//!
//! With x1 <= ... <= xn: b_r = 1/n sum_j x_j (j-1)(j-2)...(j-r) / ((n-1)(n-2)...(n-r)), and
//! l1 = b0, l2 = 2 b1 - b0, l3 = 6 b2 - 6 b1 + b0, l4 = 20 b3 - 30 b2 + 12 b1 - b0, l5 = 70 b4 - 140 b3 + 90 b2 - 20 b1 + b0;
//! ratios t_r = l_r / l2. Source: Hosking & Wallis (1997), Regional Frequency Analysis, chapter 2. Units: those of the sample.

use serde::Serialize;
use series::Withheld;

/// Sample L-moments and their ratios.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LMoments {
    /// Size of the sample, at least 3.
    pub n: usize,
    /// Probability-weighted moments b0 to b4; those beyond n-1 are 0 and unused.
    pub weighted: [f64; 5],
    /// Mean.
    pub l1: f64,
    /// Scale, above 0.
    pub l2: f64,
    /// L-skewness.
    pub t3: f64,
    /// L-kurtosis, from four values on.
    pub t4: Option<f64>,
    /// Fifth ratio, from five values on.
    pub t5: Option<f64>,
}

impl LMoments {
    /// The L-moments of a sample in any order.
    ///
    /// # Errors
    /// [`Withheld::TooFewYears`] below three values; [`Withheld::NoSolution`] when all are equal or one is not finite.
    pub fn of(values: &[f64]) -> Result<Self, Withheld> {
        let n = values.len();
        if n < 3 {
            return Err(Withheld::TooFewYears { have: n as u32, need: 3 });
        }
        if values.iter().any(|value| !value.is_finite()) {
            return Err(Withheld::NoSolution);
        }
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        let b = probability_weighted_moments(&sorted);
        let l2 = 2.0 * b[1] - b[0];
        // All values equal: l2 is 0, or rounding of the mean away from it.
        if sorted[0] == sorted[n - 1] || l2 <= 0.0 || b.iter().any(|b| !b.is_finite()) {
            return Err(Withheld::NoSolution);
        }
        let l3 = 6.0 * b[2] - 6.0 * b[1] + b[0];
        let l4 = 20.0 * b[3] - 30.0 * b[2] + 12.0 * b[1] - b[0];
        let l5 = 70.0 * b[4] - 140.0 * b[3] + 90.0 * b[2] - 20.0 * b[1] + b[0];
        Ok(Self { n, weighted: b, l1: b[0], l2, t3: l3 / l2, t4: (n >= 4).then(|| l4 / l2), t5: (n >= 5).then(|| l5 / l2) })
    }
}

/// b0 to b4 of a sorted sample; b_r is 0 where the sample has r values or fewer.
pub fn probability_weighted_moments(sorted: &[f64]) -> [f64; 5] {
    let n = sorted.len();
    let mut b = [0.0; 5];
    for (j, &x) in sorted.iter().enumerate() {
        let mut weight = 1.0;
        for (r, sum) in b.iter_mut().enumerate() {
            if r > 0 {
                if n <= r {
                    break;
                }
                weight *= (j as f64 + 1.0 - r as f64) / (n - r) as f64;
            }
            *sum += weight * x;
        }
    }
    b.map(|sum| if n == 0 { 0.0 } else { sum / n as f64 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, TINY, close};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_maxima() {
        // CHECKS B1.1 (COMPUTED, own) and B1.2 (R lmom = lmoments3 = own): rel 1e-9, inches.
        let moments = LMoments::of(&FORT_COLLINS_MAXIMA.map(|x| x / 100.0)).unwrap();
        for (found, expected) in
            moments.weighted.into_iter().zip([1.7567, 1.099_325_253, 0.825_422_799_4, 0.669_891_529_4, 0.568_031_818_8])
        {
            close(found, expected, 1e-9);
        }
        let found = [moments.l1, moments.l2, moments.t3, moments.t4.unwrap(), moments.t5.unwrap()];
        for (found, expected) in found.into_iter().zip([1.7567, 0.441_950_505_05, 0.256_330_245_33, 0.159_179_897_91, 0.080_687_986_03]) {
            close(found, expected, 1e-9);
        }
    }

    #[test]
    fn tiny_series() {
        // CHECKS B1, tiny hand series (R lmom = own), given to ten digits.
        let moments = LMoments::of(&TINY).unwrap();
        for (found, expected) in moments.weighted.into_iter().zip([40.0, 27.244_444_44, 21.361_111_11, 17.852_380_95]) {
            close(found, expected, 1e-9);
        }
        close(moments.l2, 14.488_888_89, 1e-9);
        close(moments.t3, 0.324_386_503_1, 1e-9);
        close(moments.t4.unwrap(), 0.217_243_645_9, 1e-9);
    }

    #[test]
    fn samples_without_l_moments() {
        assert_eq!(LMoments::of(&[1.0, 2.0]), Err(Withheld::TooFewYears { have: 2, need: 3 }));
        assert_eq!(LMoments::of(&[0.1; 30]), Err(Withheld::NoSolution));
        assert_eq!(LMoments::of(&[1.0, 2.0, f64::NAN]), Err(Withheld::NoSolution));
        assert_eq!(LMoments::of(&[1.0, 2.0, 4.0]).unwrap().t4, None);
    }

    proptest! {
        #[test]
        fn location_and_scale_carry_over(sample in proptest::collection::vec(0.0..300.0f64, 5..80), shift in -50.0..50.0f64, scale in 0.1..20.0f64) {
            // Hosking & Wallis (1997), section 2.3: l1 -> scale l1 + shift, l2 -> scale l2, ratios unchanged.
            let Ok(before) = LMoments::of(&sample) else { return Ok(()) };
            prop_assume!(before.l2 > 0.1);
            let moved: Vec<f64> = sample.iter().map(|x| shift + scale * x).collect();
            let after = LMoments::of(&moved).unwrap();
            prop_assert!((after.l1 - (scale * before.l1 + shift)).abs() < 1e-7);
            prop_assert!((after.l2 / (scale * before.l2) - 1.0).abs() < 1e-7);
            prop_assert!((after.t3 - before.t3).abs() < 1e-6 && (after.t4.unwrap() - before.t4.unwrap()).abs() < 1e-6);
            prop_assert!(before.t3.abs() < 1.0);
        }
    }
}
