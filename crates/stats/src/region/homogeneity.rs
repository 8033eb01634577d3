//! Whether the sites of a region are alike, and which distribution they have: H and Z against simulated regions.
//!
//! V1 = sqrt(sum n (t - tR)^2 / sum n), V2 and V3 the weighted mean distances in (t, t3) and (t3, t4). Regions of the same record lengths
//! are drawn from the kappa distribution with the region's ratios; with the mean m and deviation s (divisor one less) of V over them,
//! **H = (V - m) / s**. H1 decides: below 1 acceptably homogeneous, from 1 to 2 possibly heterogeneous, from 2 on definitely heterogeneous.
//! With b4 the mean and s4 the deviation of (t4 of a simulated region - t4R), a distribution of L-kurtosis tau4 at t3R fits when
//! **Z = (tau4 - t4R + b4) / s4** lies within 1.64 (90 %).
//! Where t4R lies above the line of the generalised logistic, the regions are drawn from that. Sites are independent; the seed is the
//! caller's and the stream is ours (`draws.rs`), so that the same seed gives the same bytes.
//! Source: Hosking & Wallis (1997), sections 4.3 and 5.2. No units.

use super::{GrowthFamily, Region};
use crate::draws::Draws;
use crate::kappa::Kappa;
use crate::l_moments::LMoments;
use serde::Serialize;
use series::Withheld;

/// What H says of a region.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Homogeneity {
    /// H below 1.
    AcceptablyHomogeneous,
    /// H from 1 to below 2.
    PossiblyHeterogeneous,
    /// H of 2 or more.
    DefinitelyHeterogeneous,
}

impl Homogeneity {
    /// What this H says; nothing for a NaN.
    pub fn of(h: f64) -> Option<Self> {
        match h {
            _ if h.is_nan() => None,
            _ if h < 1.0 => Some(Self::AcceptablyHomogeneous),
            _ if h < 2.0 => Some(Self::PossiblyHeterogeneous),
            _ => Some(Self::DefinitelyHeterogeneous),
        }
    }
}

/// A region against simulated ones.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RegionTest {
    /// What the regions were drawn from.
    pub kappa: Kappa,
    /// Of which seed.
    pub seed: u64,
    /// How many regions were drawn.
    pub simulations: usize,
    /// V1, V2, V3.
    pub spread: [f64; 3],
    /// H1, H2, H3.
    pub heterogeneity: [f64; 3],
    /// Z of each family, in the order of [`GrowthFamily::ALL`].
    pub goodness_of_fit: [(GrowthFamily, f64); 5],
}

impl RegionTest {
    /// Greatest size of Z at which a family is not rejected, at 90 %.
    pub const GREATEST_Z: f64 = 1.64;

    /// What H1 says of the region.
    pub fn homogeneity(&self) -> Option<Homogeneity> {
        Homogeneity::of(self.heterogeneity[0])
    }

    /// The families that fit at 90 %, the nearest first.
    pub fn accepted(&self) -> Vec<GrowthFamily> {
        let mut good: Vec<(GrowthFamily, f64)> = self.goodness_of_fit.into_iter().filter(|(_, z)| z.abs() <= Self::GREATEST_Z).collect();
        good.sort_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        good.into_iter().map(|(family, _)| family).collect()
    }
}

/// The region against `simulations` regions (at least 2; 500 or more for a page) drawn from a seed.
///
/// # Errors
/// [`Withheld::NothingAccepted`] below two sites or two simulations; [`Withheld::TooFewYears`] when a site has fewer than five years;
/// [`Withheld::NoSolution`] when no kappa distribution has the region's ratios, or the simulated regions do not spread.
pub fn region_test(region: &Region, seed: u64, simulations: usize) -> Result<RegionTest, Withheld> {
    if region.sites.len() < 2 || simulations < 2 {
        return Err(Withheld::NothingAccepted);
    }
    if let Some(site) = region.sites.iter().find(|site| site.n < 5) {
        return Err(Withheld::TooFewYears { have: site.n as u32, need: 5 });
    }
    let kappa = if region.t4 > (1.0 + 5.0 * region.t3 * region.t3) / 6.0 {
        Kappa::generalized_logistic(1.0, region.t, region.t3)?
    } else {
        Kappa::of_moments(1.0, region.t, region.t3, region.t4)?
    };
    let sites: Vec<Ratios> = region.sites.iter().map(|site| Ratios { n: site.n as f64, t: site.t, t3: site.t3, t4: site.t4 }).collect();
    let (spread, _) = spreads(&sites);
    let mut draws = Draws::new(seed);
    let (mut simulated, mut kurtoses) = (Vec::new(), Vec::new());
    for _ in 0..simulations {
        let drawn: Vec<Ratios> = region.sites.iter().map(|site| draw(&kappa, site.n, &mut draws)).collect::<Result<_, _>>()?;
        let (v, t4) = spreads(&drawn);
        simulated.push(v);
        kurtoses.push(t4 - region.t4);
    }
    let mut heterogeneity = [0.0; 3];
    for (i, h) in heterogeneity.iter_mut().enumerate() {
        let (mean, deviation) = mean_and_deviation(simulated.iter().map(|v| v[i]))?;
        *h = (spread[i] - mean) / deviation;
    }
    let (bias, deviation) = mean_and_deviation(kurtoses.iter().copied())?;
    let mut goodness_of_fit = GrowthFamily::ALL.map(|family| (family, 0.0));
    for (family, z) in &mut goodness_of_fit {
        *z = (family.kurtosis(region.t3).ok_or(Withheld::NoSolution)? - region.t4 + bias) / deviation;
    }
    Ok(RegionTest { kappa, seed, simulations, spread, heterogeneity, goodness_of_fit })
}

/// The ratios of one site, real or drawn.
#[derive(Debug, Clone, Copy)]
struct Ratios {
    n: f64,
    t: f64,
    t3: f64,
    t4: f64,
}

fn draw(kappa: &Kappa, n: usize, draws: &mut Draws) -> Result<Ratios, Withheld> {
    let sample: Vec<f64> = (0..n).map(|_| kappa.quantile(draws.chance())).collect();
    let moments = LMoments::of(&sample)?;
    Ok(Ratios { n: n as f64, t: moments.l2 / moments.l1, t3: moments.t3, t4: moments.t4.ok_or(Withheld::NoSolution)? })
}

/// V1 to V3, and the region's L-kurtosis.
fn spreads(sites: &[Ratios]) -> ([f64; 3], f64) {
    let years: f64 = sites.iter().map(|site| site.n).sum();
    let mean = |value: &dyn Fn(&Ratios) -> f64| sites.iter().map(|site| site.n * value(site)).sum::<f64>() / years;
    let (t, t3, t4) = (mean(&|s| s.t), mean(&|s| s.t3), mean(&|s| s.t4));
    let square = |x: f64| x * x;
    let v = [
        mean(&|s| square(s.t - t)).sqrt(),
        mean(&|s| (square(s.t - t) + square(s.t3 - t3)).sqrt()),
        mean(&|s| (square(s.t3 - t3) + square(s.t4 - t4)).sqrt()),
    ];
    (v, t4)
}

fn mean_and_deviation(values: impl ExactSizeIterator<Item = f64> + Clone) -> Result<(f64, f64), Withheld> {
    let n = values.len() as f64;
    let mean = values.clone().sum::<f64>() / n;
    let deviation = (values.map(|value| (value - mean) * (value - mean)).sum::<f64>() / (n - 1.0)).sqrt();
    if mean.is_finite() && deviation > 0.0 && deviation.is_finite() { Ok((mean, deviation)) } else { Err(Withheld::NoSolution) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::region::RegionSite;
    use crate::region::tests::cascades;
    use proptest::prelude::*;

    #[test]
    fn north_cascades() {
        let found = region_test(&cascades(), 1, 1000).unwrap();
        // CHECKS B3.4 (R lmomRFA): 1e-9.
        for (found, expected) in found.spread.into_iter().zip([0.010_438_443_06, 0.033_922_991_9, 0.040_468_294_23]) {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
        // CHECKS B3.6 (R lmomRFA, 10,000 simulations): within 0.2.
        for (found, expected) in found.heterogeneity.into_iter().zip([0.57, -1.42, -2.29]) {
            assert!((found - expected).abs() < 0.2, "{found} {expected}");
        }
        assert_eq!(found.homogeneity(), Some(Homogeneity::AcceptablyHomogeneous));
        // CHECKS B3.7: each with its own tolerance.
        let expected = [(3.47, 0.35), (-2.85, 0.25), (-1.48, 0.15), (-1.52, 0.15), (-14.58, 1.2)];
        for ((family, found), (expected, tolerance)) in found.goodness_of_fit.into_iter().zip(expected) {
            assert!((found - expected).abs() < tolerance, "{family:?}: {found} {expected}");
        }
        let mut accepted = found.accepted();
        accepted.sort_by_key(|family| format!("{family:?}"));
        assert_eq!(accepted, [GrowthFamily::GeneralizedNormal, GrowthFamily::PearsonTypeThree]);
    }

    #[test]
    fn what_h_says() {
        // CHECKS B3.10.
        for (h, expected) in [
            (-3.0, Homogeneity::AcceptablyHomogeneous),
            (0.999, Homogeneity::AcceptablyHomogeneous),
            (1.0, Homogeneity::PossiblyHeterogeneous),
            (1.999, Homogeneity::PossiblyHeterogeneous),
            (2.0, Homogeneity::DefinitelyHeterogeneous),
        ] {
            assert_eq!(Homogeneity::of(h), Some(expected));
        }
        assert_eq!(Homogeneity::of(f64::NAN), None);
    }

    #[test]
    fn the_seed_decides_and_two_regions_in_one_are_found_out() {
        let region = cascades();
        assert_eq!(region_test(&region, 7, 20), region_test(&region, 7, 20));
        assert_ne!(region_test(&region, 7, 20), region_test(&region, 8, 20));
        // Half of the sites with twice the L-CV.
        let mixed: Vec<_> = (0..).zip(&region.sites).map(|(i, s)| RegionSite { t: s.t * f64::from(1 + i % 2), ..*s }).collect();
        let found = region_test(&Region::of(&mixed).unwrap(), 7, 100).unwrap();
        assert_eq!(found.homogeneity(), Some(Homogeneity::DefinitelyHeterogeneous));
    }

    #[test]
    fn regions_that_cannot_be_judged() {
        let region = cascades();
        assert_eq!(region_test(&Region::of(&region.sites[..1]).unwrap(), 1, 100), Err(Withheld::NothingAccepted));
        assert_eq!(region_test(&region, 1, 1), Err(Withheld::NothingAccepted));
        assert_eq!(region_test(&Region { t4: -0.9, ..region.clone() }, 1, 10), Err(Withheld::NoSolution));
        // Above the generalised logistic, that is drawn from: h = -1.
        let peaked = region_test(&Region { t4: 0.3, ..region.clone() }, 1, 10).unwrap();
        assert_eq!((peaked.kappa.h, peaked.kappa.k), (-1.0, -region.t3));
        let mut short = region.sites;
        short[3].n = 4;
        assert_eq!(region_test(&Region::of(&short).unwrap(), 1, 10), Err(Withheld::TooFewYears { have: 4, need: 5 }));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn whatever_the_ratios_no_number_is_none(
            ratios in proptest::collection::vec((5_usize..60, 0.01..3.0f64, -1.1..1.1f64, -0.5..1.1f64), 2..8),
        ) {
            let sites: Vec<RegionSite> = ratios.into_iter().map(|(n, t, t3, t4)| RegionSite { n, t, t3, t4, t5: 0.0 }).collect();
            if let Ok(found) = region_test(&Region::of(&sites).unwrap(), 3, 20) {
                prop_assert!(found.heterogeneity.iter().chain(&found.spread).all(|x| x.is_finite()));
                prop_assert!(found.goodness_of_fit.iter().all(|(_, z)| z.is_finite()));
            }
        }
    }
}
