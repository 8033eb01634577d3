//! A region of gauges whose annual maxima are alike but for their scale: which gauge does not belong, whether the rest are alike, which
//! distribution they have, and the curve they share.
//!
//! Every site gives its years n and its L-moment ratios t = l2/l1, t3, t4, t5. The region's ratios are their means weighted by n; its own
//! mean is 1 (index flood: each maximum over its site's mean). Source: Hosking & Wallis (1997), chapters 3 to 6. Ratios have no unit.

mod discordancy;
mod growth_curve;
mod homogeneity;

pub use discordancy::{critical_discordancy, discordancies};
pub use growth_curve::{GrowthCurve, GrowthFamily};
pub use homogeneity::{Homogeneity, RegionTest, region_test};

use crate::l_moments::LMoments;
use serde::Serialize;
use series::Withheld;

/// One site of a region.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RegionSite {
    /// Years, at least 5.
    pub n: usize,
    /// L-CV: l2 over the mean.
    pub t: f64,
    /// L-skewness.
    pub t3: f64,
    /// L-kurtosis.
    pub t4: f64,
    /// Fifth ratio.
    pub t5: f64,
}

impl RegionSite {
    /// The site with these L-moments.
    ///
    /// # Errors
    /// [`Withheld::TooFewYears`] below five values; [`Withheld::NoSolution`] when the mean is not above 0.
    pub fn of(moments: &LMoments) -> Result<Self, Withheld> {
        let (Some(t4), Some(t5)) = (moments.t4, moments.t5) else {
            return Err(Withheld::TooFewYears { have: moments.n as u32, need: 5 });
        };
        let t = moments.l2 / moments.l1;
        if moments.l1 > 0.0 && t.is_finite() { Ok(Self { n: moments.n, t, t3: moments.t3, t4, t5 }) } else { Err(Withheld::NoSolution) }
    }
}

/// Sites taken together, and their mean L-moment ratios.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Region {
    /// The sites.
    pub sites: Vec<RegionSite>,
    /// Years of all sites together.
    pub years: usize,
    /// L-CV.
    pub t: f64,
    /// L-skewness.
    pub t3: f64,
    /// L-kurtosis.
    pub t4: f64,
    /// Fifth ratio.
    pub t5: f64,
}

impl Region {
    /// The region of these sites.
    ///
    /// # Errors
    /// [`Withheld::NothingAccepted`] without a site; [`Withheld::NoSolution`] when a site has no years, a ratio that is not finite, or an
    /// L-CV that is not above 0.
    pub fn of(sites: &[RegionSite]) -> Result<Self, Withheld> {
        if sites.is_empty() {
            return Err(Withheld::NothingAccepted);
        }
        let good = |site: &RegionSite| site.n > 0 && site.t > 0.0 && [site.t, site.t3, site.t4, site.t5].iter().all(|t| t.is_finite());
        if !sites.iter().all(good) {
            return Err(Withheld::NoSolution);
        }
        let years = sites.iter().map(|site| site.n).sum();
        let mean = |ratio: fn(&RegionSite) -> f64| sites.iter().map(|site| site.n as f64 * ratio(site)).sum::<f64>() / years as f64;
        Ok(Self { sites: sites.to_vec(), years, t: mean(|s| s.t), t3: mean(|s| s.t3), t4: mean(|s| s.t4), t5: mean(|s| s.t5) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{CASCADES, FORT_COLLINS_MAXIMA};

    pub(crate) fn cascades() -> Region {
        Region::of(&CASCADES.map(|(n, _, t, t3, t4, t5)| RegionSite { n, t, t3, t4, t5 })).unwrap()
    }

    #[test]
    fn north_cascades() {
        // CHECKS B3.3 (R lmomRFA): 1e-9.
        let region = cascades();
        let expected = [0.110_298_476_05, 0.027_859_216_26, 0.136_613_062_41, 0.012_227_939_04];
        for (found, expected) in [region.t, region.t3, region.t4, region.t5].into_iter().zip(expected) {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
        // The sum of n that the manifest of the data gives.
        assert_eq!(region.years, 1378);
    }

    #[test]
    fn sites_and_regions_that_cannot_be() {
        let moments = LMoments::of(&FORT_COLLINS_MAXIMA).unwrap();
        let site = RegionSite::of(&moments).unwrap();
        // By hand from CHECKS B1.2: l2 / l1 = 0.44195050505 / 1.7567.
        assert!((site.t - 0.441_950_505_05 / 1.7567).abs() < 1e-10 && site.n == 100);
        let few = LMoments::of(&[1.0, 2.0, 4.0, 7.0]).unwrap();
        assert_eq!(RegionSite::of(&few), Err(Withheld::TooFewYears { have: 4, need: 5 }));
        assert_eq!(RegionSite::of(&LMoments { l1: -1.0, ..moments }), Err(Withheld::NoSolution));
        assert_eq!(Region::of(&[]), Err(Withheld::NothingAccepted));
        for wrong in [RegionSite { n: 0, ..site }, RegionSite { t: 0.0, ..site }, RegionSite { t4: f64::NAN, ..site }] {
            assert_eq!(Region::of(&[site, wrong]), Err(Withheld::NoSolution));
        }
    }
}
