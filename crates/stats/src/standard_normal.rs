//! The standard normal distribution: the chance to stay below a value, and the value of a chance.
//!
//! Phi(z) = erfc(-z / sqrt 2) / 2. Its inverse starts from the rational approximation 26.2.23 of Abramowitz & Stegun (1964), which is right
//! to 4.5e-4, and takes three of Halley's steps: e = (Phi(z) - p) / phi(z), z - e / (1 + z e / 2).

use series::math;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Chance of a value at or below `z`, 0 to 1.
pub(crate) fn chance_below(z: f64) -> f64 {
    0.5 * math::erfc(-z * FRAC_1_SQRT_2)
}

/// Chance of a value at least as far from 0 as `z` on either side, 0 to 1.
pub(crate) fn chance_as_far(z: f64) -> f64 {
    math::erfc(z.abs() * FRAC_1_SQRT_2)
}

/// The value that is stayed below with this chance; nothing at 0, at 1 and outside.
pub(crate) fn value_of_chance(chance: f64) -> Option<f64> {
    if !(chance > 0.0 && chance < 1.0) {
        return None;
    }
    // In the lower half, where a small chance keeps its digits.
    let low = chance.min(1.0 - chance);
    let mut z = -abramowitz_stegun(low);
    for _ in 0..3 {
        let density = math::exp(-0.5 * z * z) / (2.0 * PI).sqrt();
        if density <= 0.0 {
            break;
        }
        let error = (chance_below(z) - low) / density;
        z -= error / (1.0 + 0.5 * z * error);
    }
    Some(if chance < 0.5 { z } else { -z }).filter(|z| z.is_finite())
}

/// The value exceeded with a chance of at most a half.
fn abramowitz_stegun(chance: f64) -> f64 {
    let t = (-2.0 * math::ln(chance)).sqrt();
    let above = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let below = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    t - above / below
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, Normal};

    #[test]
    fn statrs_and_the_tables_agree() {
        let other = Normal::standard();
        for z in [-8.0, -3.1, -1.0, 0.0, 0.3, 1.959_963_984_540_054, 5.0] {
            assert!((chance_below(z) / other.cdf(z) - 1.0).abs() < 1e-10, "{z}");
        }
        for chance in [1e-12, 1e-4, 0.025, 0.3, 0.5, 0.7, 0.999] {
            let z = value_of_chance(chance).unwrap();
            assert!((z - other.inverse_cdf(chance)).abs() < 1e-8, "{chance}");
            assert!((chance_below(z) / chance - 1.0).abs() < 1e-11, "{chance}");
            // CHECKS A3.4: the approximation by itself is within 4.5e-4 of the exact inverse.
            assert!((abramowitz_stegun(chance.min(1.0 - chance)) - z.abs()).abs() < 4.5e-4, "{chance}");
        }
        // scipy 1: norm.ppf(0.975), norm.sf(1.96)*2.
        assert!((value_of_chance(0.975).unwrap() - 1.959_963_984_540_054).abs() < 1e-12);
        assert!((chance_as_far(-1.96) - 0.049_995_790_296_440_87).abs() < 1e-14);
    }

    #[test]
    fn no_chance_gives_an_infinite_value() {
        assert!([0.0, 1.0, -0.1, f64::NAN].into_iter().all(|chance| value_of_chance(chance).is_none()));
        assert!(value_of_chance(f64::MIN_POSITIVE).is_some() && value_of_chance(1.0 - f64::EPSILON).is_some());
    }
}
