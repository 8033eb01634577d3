//! The standard normal distribution: the chance of a variate and the variate of a chance.
//!
//! Phi(z) = erfc(-z / sqrt 2) / 2. Its inverse starts from the rational approximation 26.2.23 of Abramowitz & Stegun (1964, error below
//! 4.5e-4) and takes Halley's steps, always in the lower tail, where the chance has all its digits. No unit.

use series::math;
use std::f64::consts::{PI, SQRT_2};

/// Chance that a standard normal variate is at or below `z`.
pub(crate) fn chance_below(z: f64) -> f64 {
    math::erfc(-z / SQRT_2) / 2.0
}

/// The variate whose chance below it is `below`, given with `above` = 1 - `below` (the smaller one decides); infinite at 0 and 1.
pub(crate) fn variate(below: f64, above: f64) -> f64 {
    if below <= above { lower_tail(below) } else { -lower_tail(above) }
}

/// Chance of a variate at least as far from 0 as `z`, on either side, 0 to 1.
pub(crate) fn chance_as_far(z: f64) -> f64 {
    2.0 * chance_below(-z.abs())
}

/// The variate that is stayed below with this chance; nothing at 0, at 1 and outside.
pub(crate) fn value_of_chance(chance: f64) -> Option<f64> {
    (chance > 0.0 && chance < 1.0).then(|| variate(chance, 1.0 - chance)).filter(|z| z.is_finite())
}

fn lower_tail(chance: f64) -> f64 {
    if chance <= 0.0 {
        return f64::NEG_INFINITY;
    }
    let t = (-2.0 * math::ln(chance)).max(0.0).sqrt();
    let start = t - (2.515_517 + t * (0.802_853 + t * 0.010_328)) / (1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308)));
    let mut z = -start;
    for _ in 0..4 {
        let density = math::exp(-z * z / 2.0) / (2.0 * PI).sqrt();
        let step = (chance_below(z) - chance) / density;
        let next = z - step / (1.0 + z * step / 2.0);
        if !next.is_finite() || next == z {
            break;
        }
        z = next;
    }
    z
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scipy_agrees() {
        // scipy 1.17.1: scipy.stats.norm.ppf(p).
        for (chance, expected) in [
            (1e-300, -37.047_096_299_361_2),
            (1e-20, -9.262_340_089_798_409),
            (1e-5, -4.264_890_793_922_825),
            (0.024_25, -1.972_961_051_311_885),
            (0.3, -0.524_400_512_708_040_9),
            (0.97, 1.880_793_608_151_250_9),
            (0.999_999, 4.753_424_308_817_087),
        ] {
            let found = variate(chance, 1.0 - chance);
            // 1 - 0.999999 has lost digits before it comes here.
            assert!((found / expected - 1.0).abs() < if chance > 0.9 { 1e-11 } else { 1e-14 }, "{chance}: {found}");
            assert!((chance_below(found) / chance - 1.0).abs() < 1e-11);
        }
        assert!(variate(0.5, 0.5).abs() < 1e-15);
        assert_eq!((variate(0.0, 1.0), variate(1.0, 0.0)), (f64::NEG_INFINITY, f64::INFINITY));
    }

    #[test]
    fn a_chance_without_a_finite_variate_has_none() {
        assert!([0.0, 1.0, -0.1, f64::NAN].into_iter().all(|chance| value_of_chance(chance).is_none()));
        assert!(value_of_chance(f64::MIN_POSITIVE).is_some() && value_of_chance(1.0 - f64::EPSILON).is_some());
        // scipy 1.17.1: norm.ppf(0.975), 2 * norm.sf(1.96).
        assert!((value_of_chance(0.975).unwrap() - 1.959_963_984_540_054).abs() < 1e-12);
        assert!((chance_as_far(-1.96) - 0.049_995_790_296_440_87).abs() < 1e-14);
    }
}
