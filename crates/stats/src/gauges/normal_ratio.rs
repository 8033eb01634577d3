//! The rain of a month at a place without a reading, from several gauges about it: normal ratio, inverse distance, plain mean.
//!
//! Normal ratio: P_x = (1 / sum w_i) sum w_i (N_x / N_i) P_i, with the normals N and, in its usual form, all weights w equal (Paulhus &
//! Kohler 1952; WMO-No. 168; CHECKS A5.1 to A5.3). Inverse distance: w_i = d_i^-b with b = 2 as a rule, and N_x / N_i = 1 (A5.4). The plain
//! mean of the gauges does where every normal is within a tenth of the place's own (A5.5). Amounts and normals in one unit of depth.
//!
//! For months and longer only. Day by day such a mean rains too often and never hard (H6).

use crate::{StatsError, finite};

/// What a gauge about the place has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// Its normal, above 0.
    pub normal: f64,
    /// Its rain.
    pub amount: f64,
    /// Its weight, above 0.
    pub weight: f64,
}

/// The amount at the place whose normal is `normal`.
///
/// # Errors
/// Without a gauge, and when a number is not finite.
pub fn normal_ratio(normal: f64, gauges: &[Amount]) -> Result<f64, StatsError> {
    if gauges.is_empty() {
        return Err(StatsError::NoValues);
    }
    let weights: f64 = gauges.iter().map(|gauge| gauge.weight).sum();
    let sum: f64 = gauges.iter().map(|gauge| gauge.weight * normal / gauge.normal * gauge.amount).sum();
    let found = sum / weights;
    finite::all(&[found])?;
    Ok(found)
}

/// Weights d^-power of gauges at these distances, with the sum 1. A gauge nearer than `least` counts as that near, so that none has all.
pub fn inverse_distance_weights(distances: &[f64], power: f64, least: f64) -> Vec<f64> {
    let raw: Vec<f64> = distances.iter().map(|distance| series::math::pow(distance.max(least), -power)).collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter().map(|weight| weight / sum).collect()
}

/// Whether the plain mean of gauges with these normals does for a place with this one: all are within a tenth of it.
pub fn normals_are_alike(normal: f64, others: &[f64]) -> bool {
    others.iter().all(|other| (other - normal).abs() <= 0.1 * normal)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn equal(normals: &[f64], amounts: &[f64]) -> Vec<Amount> {
        normals.iter().zip(amounts).map(|(&normal, &amount)| Amount { normal, amount, weight: 1.0 }).collect()
    }

    #[test]
    fn published_examples() {
        // CHECKS A5.1 (S12): exact 77; the plain mean is 90.
        let found = normal_ratio(1000.0, &equal(&[1100.0, 1200.0, 1250.0], &[110.0, 90.0, 70.0])).unwrap();
        assert!((found - 77.0).abs() < 0.5, "{found}");
        let exact = 1000.0 / 3.0 * (110.0 / 1100.0 + 90.0 / 1200.0 + 70.0 / 1250.0);
        assert!((found - exact).abs() < 1e-9);
        // A5.2 (S13): 3.06 in, exact 3.061021.
        let found = normal_ratio(36.8, &equal(&[39.5, 43.1, 49.5, 46.2], &[3.8, 3.25, 4.6, 3.15])).unwrap();
        assert!((found - 3.061_021).abs() < 5e-7, "{found}");
        // A5.3 (computed; data from memory).
        let found = normal_ratio(92.01, &equal(&[80.97, 67.59, 76.28], &[91.11, 72.23, 79.89])).unwrap();
        assert!((found - 99.407_8).abs() < 5e-5, "{found}");
        // A5.4 (computed).
        for (power, expected) in [(2.0, 22.786_885_25), (1.0, 23.846_153_85)] {
            let weights = inverse_distance_weights(&[10.0, 15.0, 20.0], power, 0.1);
            let found: f64 = weights.iter().zip([20.0, 25.0, 30.0]).map(|(weight, amount)| weight * amount).sum();
            assert!((found - expected).abs() < 5e-9, "{power}: {found}");
        }
        // A5.5 (S13, S14): 36.8 +- 10 % is 33.12 to 40.48.
        assert!(normals_are_alike(36.8, &[33.13, 40.47]) && !normals_are_alike(36.8, &[33.11]) && !normals_are_alike(36.8, &[40.49]));
        assert_eq!(normal_ratio(1.0, &[]), Err(StatsError::NoValues));
        assert_eq!(normal_ratio(1.0, &[Amount { normal: 0.0, amount: 1.0, weight: 1.0 }]), Err(StatsError::NotFinite));
        assert_eq!(inverse_distance_weights(&[0.0, 1e9], 2.0, 0.1)[0], 1.0);
    }
}
