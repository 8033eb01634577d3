//! How much more the rain of two periods of a station differs than the draw of their years explains.
//!
//! Of station s, with n1 and n2 annual totals of mean m1, m2 and variance s1^2, s2^2 (n - 1) in two periods without a year in common:
//! r = ln(m2 / m1), and v = s1^2 / (n1 m1^2) + s2^2 / (n2 m2^2), the variance of r for independent years of one kind (first-order propagation).
//! Excess variance of S stations = mean of (r^2 - v): a moment estimator, no weights, 0 where it comes out below 0. Its standard error =
//! standard deviation of (r^2 - v) / sqrt(S), as if the stations were independent; neighbours are not, so it is too small for them.
//!
//! The rain of a period to come is then that of the record times exp(z sqrt(excess)), z standard normal: one factor for all days of a
//! replicate. It holds for periods of the lengths it was taken from. A change that all stations share is part of the excess, and so is
//! persistence from year to year. The ratio has no unit; the variance is of its natural logarithm. Totals in any unit, the same in both periods.
//!
//! Source: DESIGN section 6 (one between-epoch rain factor, its variance from other stations); moment estimator after DerSimonian & Laird
//! (1986), Controlled Clinical Trials 7, 177-188, with equal weights (from memory).

use crate::variability::variability;
use serde::Serialize;
use series::{Withheld, math};

/// Fewest years of a period (common practice, no source).
pub const EPOCH_NEEDS_YEARS: u32 = 10;
/// Fewest stations (own rule).
pub const EPOCH_NEEDS_STATIONS: u32 = 3;

/// The annual totals of one station in two periods without a year in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EpochPair<'a> {
    /// Of the earlier period.
    pub earlier: &'a [f64],
    /// Of the later one.
    pub later: &'a [f64],
}

/// The variance of the factor between two periods.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EpochFactor {
    /// Stations used.
    pub stations: u32,
    /// Stations left out: too few years, a mean that is not above 0, or a total that is not finite.
    pub left_out: u32,
    /// Mean of ln(later / earlier).
    pub mean_log_ratio: f64,
    /// Mean of its square.
    pub mean_square: f64,
    /// What the draw of years explains of that.
    pub by_years: f64,
    /// The rest, at least 0: variance of the logarithm of the factor.
    pub excess_variance: f64,
    /// Whether the rest was below 0 and was set to 0.
    pub was_below_zero: bool,
    /// Standard error of the rest for independent stations.
    pub standard_error: f64,
}

/// The excess variance of several stations together.
///
/// # Errors
/// [`Withheld::TooFewYears`] when no station has [`EPOCH_NEEDS_YEARS`] in both periods (with the most that one had in its shorter period);
/// [`Withheld::NothingAccepted`] when fewer than [`EPOCH_NEEDS_STATIONS`] can be used.
pub fn epoch_factor(stations: &[EpochPair<'_>]) -> Result<EpochFactor, Withheld> {
    let most = stations.iter().map(|pair| pair.earlier.len().min(pair.later.len())).max().unwrap_or(0);
    if most < EPOCH_NEEDS_YEARS as usize {
        return Err(Withheld::TooFewYears { have: most as u32, need: EPOCH_NEEDS_YEARS });
    }
    let ratios: Vec<(f64, f64)> = stations.iter().filter_map(log_ratio).collect();
    if ratios.len() < EPOCH_NEEDS_STATIONS as usize {
        return Err(Withheld::NothingAccepted);
    }
    let n = ratios.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| ratios.iter().map(of).sum::<f64>() / n;
    let (mean_square, by_years) = (mean(|(ratio, _)| ratio * ratio), mean(|(_, variance)| *variance));
    let rests: Vec<f64> = ratios.iter().map(|(ratio, variance)| ratio * ratio - variance).collect();
    let rest = variability(&rests)?;
    Ok(EpochFactor {
        stations: ratios.len() as u32,
        left_out: (stations.len() - ratios.len()) as u32,
        mean_log_ratio: mean(|(ratio, _)| *ratio),
        mean_square,
        by_years,
        excess_variance: rest.mean.max(0.0),
        was_below_zero: rest.mean < 0.0,
        standard_error: rest.standard_deviation / n.sqrt(),
    })
}

/// ln(later / earlier) and its variance for independent years.
fn log_ratio(pair: &EpochPair<'_>) -> Option<(f64, f64)> {
    let of_mean = |totals: &[f64]| {
        let enough = totals.len() >= EPOCH_NEEDS_YEARS as usize;
        let found = variability(totals).ok().filter(|found| enough && found.mean > 0.0)?;
        let coefficient = found.coefficient_of_variation?;
        Some((found.mean, coefficient * coefficient / totals.len() as f64))
    };
    let ((earlier, of_earlier), (later, of_later)) = (of_mean(pair.earlier)?, of_mean(pair.later)?);
    let (ratio, variance) = (math::ln(later) - math::ln(earlier), of_earlier + of_later);
    (ratio.is_finite() && variance.is_finite()).then_some((ratio, variance))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_stations_by_hand() {
        // Ten totals of 90 and 110 by turns: mean 100, variance 1000 / 9, squared coefficient 1 / 90, of the mean 1 / 900. Multiplied by a
        // factor, the coefficient stays. Factors e^0.1, e^-0.1, e^0.2: squares 0.01, 0.01, 0.04, mean 0.02; by years 2 / 900.
        let earlier: Vec<f64> = (0..10).map(|i| if i % 2 == 0 { 90.0 } else { 110.0 }).collect();
        let later = [0.1, -0.1, 0.2].map(|change| earlier.iter().map(|total| total * math::exp(change)).collect::<Vec<f64>>());
        let pairs: Vec<_> = later.iter().map(|later| EpochPair { earlier: &earlier, later }).collect();
        let found = epoch_factor(&pairs).unwrap();
        let close = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-12, "{found} {expected}");
        close(found.mean_log_ratio, 0.2 / 3.0);
        close(found.mean_square, 0.02);
        close(found.by_years, 2.0 / 900.0);
        close(found.excess_variance, 0.02 - 2.0 / 900.0);
        // Squares less the same: standard deviation of 0.01, 0.01, 0.04 is sqrt(0.0003).
        close(found.standard_error, 0.000_3_f64.sqrt() / 3.0_f64.sqrt());
        assert_eq!((found.stations, found.left_out, found.was_below_zero), (3, 0, false));
        // Not one of them changed: what years explain is more than nothing.
        let same = [EpochPair { earlier: &earlier, later: &earlier }; 3];
        let found = epoch_factor(&same).unwrap();
        assert_eq!((found.excess_variance, found.was_below_zero), (0.0, true));
    }

    #[test]
    fn a_known_factor_comes_back() {
        // 20,000 made-up stations of 30 and 20 normal years, coefficient 0.2: nothing in excess, then a factor whose logarithm has the
        // standard deviation 0.1. First-order propagation leaves out terms of the order v^2 (1e-5), added to four standard errors.
        for (spread, expected) in [(0.0, 0.0), (0.1, 0.01)] {
            let mut draws = testkit::draws::Draws::new(23);
            let mut years = |n: usize, mean: f64| (0..n).map(|_| mean * (1.0 + 0.2 * draws.normal())).collect::<Vec<f64>>();
            let mut factors = testkit::draws::Draws::new(24);
            let totals: Vec<_> = (0..20_000).map(|_| (years(30, 500.0), years(20, 500.0 * math::exp(spread * factors.normal())))).collect();
            let pairs: Vec<_> = totals.iter().map(|(earlier, later)| EpochPair { earlier, later }).collect();
            let found = epoch_factor(&pairs).unwrap();
            let rest = found.mean_square - found.by_years;
            assert!((rest - expected).abs() < 4.0 * found.standard_error + 1e-5, "{rest} {expected} {}", found.standard_error);
        }
    }

    #[test]
    fn long_records() {
        // Years of 360 usable days or more: the first 40, one left out, the next 20. Expected: a separate numpy code on the same files.
        let mut totals = Vec::new();
        for id in ["USW00094728", "USC00200230", "USC00053005", "UK000056225", "ASN00066062", "RSM00030710"] {
            let Some((rain, _)) = crate::test_records::ghcn(id) else {
                return;
            };
            let years = crate::calendar::years(&rain).filter_map(|year| {
                let depths: Vec<i64> = year.readings.iter().filter_map(|reading| reading.depth()).collect();
                (depths.len() >= 360).then(|| crate::calendar::millimetres(depths.iter().sum()))
            });
            totals.push(years.take(61).collect::<Vec<f64>>());
        }
        let pairs: Vec<_> = totals.iter().map(|years| EpochPair { earlier: &years[..40], later: &years[41..61] }).collect();
        let found = epoch_factor(&pairs).unwrap();
        println!("{found:?}");
        for (found, expected) in [
            (found.mean_log_ratio, 0.004_723_095_732),
            (found.mean_square, 0.009_138_411_106),
            (found.by_years, 0.003_339_805_280),
            (found.excess_variance, 0.005_798_605_826),
            (found.standard_error, 0.003_830_837_008),
        ] {
            assert!((found - expected).abs() < 1e-11, "{found} {expected}");
        }
    }

    #[test]
    fn stations_that_carry_nothing() {
        let (short, zero, odd, good) = ([1.0; 9], [0.0; 10], [f64::NAN; 10], [5.0; 10]);
        assert_eq!(epoch_factor(&[]), Err(Withheld::TooFewYears { have: 0, need: 10 }));
        assert_eq!(epoch_factor(&[EpochPair { earlier: &short, later: &good }]), Err(Withheld::TooFewYears { have: 9, need: 10 }));
        let pair = |later| EpochPair { earlier: &good, later };
        assert_eq!(epoch_factor(&[pair(&zero), pair(&odd), pair(&good), pair(&good)]), Err(Withheld::NothingAccepted));
        let found = epoch_factor(&[pair(&zero), pair(&odd), pair(&good), pair(&good), pair(&good)]).unwrap();
        assert_eq!((found.stations, found.left_out, found.excess_variance, found.standard_error), (3, 2, 0.0, 0.0));
    }
}
