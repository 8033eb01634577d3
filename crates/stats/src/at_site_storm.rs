//! Design storms from one record: annual maxima, their L-moments, and the depth of a return period.
//!
//! The headline distribution is the generalised extreme value, Gumbel beside it for comparison (DESIGN section 6). At one site a return
//! period beyond **twice the accepted years** is withheld, and a fit below ten years. The depths are of the record's own observation days
//! ("calendar day"); no factor to 24 hours is applied here. For storms of 1 to 3 days see [`storms`].
//!
//! Each length is fitted by itself, so for a rare event the curve of a longer storm may fall below that of a shorter one, which no rain can
//! do (n days hold any one of them). [`consistent_depths`] raises such a depth to the shorter storm's.

use crate::annual_maxima::{AnnualMaxima, YearRule, running_annual_maxima};
use crate::distribution::Distribution;
use crate::generalized_extreme_value::GeneralizedExtremeValue;
use crate::gumbel::Gumbel;
use crate::l_moments::LMoments;
use serde::Serialize;
use series::{DailySeries, Withheld};

/// Fewest accepted years that a distribution is fitted to.
pub const FIT_NEEDS_YEARS: u32 = 10;

/// A fit to annual maxima in mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtSiteStorm {
    /// Days a storm runs over.
    pub window: u32,
    /// Accepted years.
    pub n: u32,
    /// L-moments of the maxima, mm.
    pub moments: LMoments,
    /// The headline distribution.
    pub generalized_extreme_value: GeneralizedExtremeValue,
    /// The comparison.
    pub gumbel: Gumbel,
}

impl AtSiteStorm {
    /// The fit to the accepted maxima.
    ///
    /// # Errors
    /// [`Withheld::ArealMean`] for the mean of an area; [`Withheld::TooFewYears`] below [`FIT_NEEDS_YEARS`]; [`Withheld::NoSolution`] when the maxima have no fit.
    pub fn fit(maxima: &AnnualMaxima) -> Result<Self, Withheld> {
        if !maxima.extent.is_gauge() {
            return Err(Withheld::ArealMean);
        }
        let depths = maxima.depths();
        let n = depths.len() as u32;
        if n < FIT_NEEDS_YEARS {
            return Err(Withheld::TooFewYears { have: n, need: FIT_NEEDS_YEARS });
        }
        let moments = LMoments::of(&depths)?;
        let generalized_extreme_value = GeneralizedExtremeValue::fit(&moments)?;
        Ok(Self { window: maxima.window, n, moments, generalized_extreme_value, gumbel: Gumbel::fit(&moments)? })
    }

    /// The longest return period that the record carries, years: twice its accepted years.
    pub fn longest_return_period(&self) -> u32 {
        2 * self.n
    }

    /// The depth of a return period in years, mm, by the headline distribution.
    ///
    /// # Errors
    /// [`Withheld::BeyondTheRecord`] above twice the years; [`Withheld::NoSolution`] when it is not above 1 year or the depth is below 0.
    pub fn depth(&self, return_period: f64) -> Result<f64, Withheld> {
        self.within_the_record(return_period, &self.generalized_extreme_value)
    }

    /// The same by the Gumbel distribution.
    ///
    /// # Errors
    /// As [`depth`](Self::depth).
    pub fn gumbel_depth(&self, return_period: f64) -> Result<f64, Withheld> {
        self.within_the_record(return_period, &self.gumbel)
    }

    fn within_the_record(&self, return_period: f64, distribution: &impl Distribution) -> Result<f64, Withheld> {
        let longest = self.longest_return_period();
        if return_period > f64::from(longest) {
            return Err(Withheld::BeyondTheRecord { have: self.n, longest });
        }
        distribution.at_return_period(return_period).ok().filter(|&depth| depth >= 0.0).ok_or(Withheld::NoSolution)
    }
}

/// The fits to running sums over 1 to `longest` days, in that order, all by one year rule.
pub fn storms(series: &DailySeries, longest: u32, rule: YearRule) -> Vec<(AnnualMaxima, Result<AtSiteStorm, Withheld>)> {
    (1..=longest.max(1))
        .map(|window| {
            let maxima = running_annual_maxima(series, window, rule);
            let fit = AtSiteStorm::fit(&maxima);
            (maxima, fit)
        })
        .collect()
}

/// The depths of a return period for storms of several lengths, shortest first, by the headline distribution, mm: each the fit's own, or
/// that of a shorter storm where the fit gives less. A length that is withheld stays so, and the longer ones are held against the rest.
pub fn consistent_depths(fits: &[Result<AtSiteStorm, Withheld>], return_period: f64) -> Vec<Result<f64, Withheld>> {
    never_less(fits, |fit| fit.depth(return_period))
}

/// As [`consistent_depths`], by the Gumbel distribution.
pub fn consistent_gumbel_depths(fits: &[Result<AtSiteStorm, Withheld>], return_period: f64) -> Vec<Result<f64, Withheld>> {
    never_less(fits, |fit| fit.gumbel_depth(return_period))
}

fn never_less(fits: &[Result<AtSiteStorm, Withheld>], depth: impl Fn(&AtSiteStorm) -> Result<f64, Withheld>) -> Vec<Result<f64, Withheld>> {
    let mut most = 0.0_f64;
    fits.iter()
        .map(|fit| {
            most = most.max(depth(fit.as_ref().map_err(Clone::clone)?)?);
            Ok(most)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::annual_maxima::AnnualMaximum;
    use crate::test_records::FORT_COLLINS_MAXIMA;
    use series::{Day, Extent};

    fn maxima(depths: &[i64]) -> AnnualMaxima {
        let years = (1900..)
            .zip(depths)
            .map(|(year, &depth)| AnnualMaximum {
                year,
                days: 365,
                usable_by_month: [0; 12],
                greatest: Some((Day::first_of_year(year), depth)),
                accepted: true,
            })
            .collect();
        AnnualMaxima { window: 1, rule: YearRule::default(), extent: Extent::Gauge, key_months: Vec::new(), years }
    }

    #[test]
    fn depths_up_to_twice_the_years() {
        let fit = AtSiteStorm::fit(&maxima(&FORT_COLLINS_MAXIMA.map(|x| x as i64 * 254))).unwrap();
        // CHECKS B1.4 and B1.5 at T = 100, inches.
        assert!((fit.depth(100.0).unwrap() / 25.4 / 4.860_761 - 1.0).abs() < 2e-6);
        assert!((fit.gumbel_depth(100.0).unwrap() / 25.4 / 4.321_721_642 - 1.0).abs() < 1e-8);
        assert!(fit.depth(200.0).is_ok());
        assert_eq!(fit.depth(201.0), Err(Withheld::BeyondTheRecord { have: 100, longest: 200 }));
        assert_eq!(fit.depth(1.0), Err(Withheld::NoSolution));
        assert_eq!(fit.depth(f64::NAN), Err(Withheld::NoSolution));
    }

    #[test]
    fn the_mean_of_an_area_has_no_storm() {
        let areal = AnnualMaxima { extent: Extent::ArealMean, ..maxima(&FORT_COLLINS_MAXIMA.map(|x| x as i64 * 254)) };
        assert_eq!(AtSiteStorm::fit(&areal), Err(Withheld::ArealMean));
        assert_eq!(consistent_depths(&[AtSiteStorm::fit(&areal)], 10.0), [Err(Withheld::ArealMean)]);
    }

    #[test]
    fn few_or_equal_maxima_have_no_fit() {
        assert_eq!(AtSiteStorm::fit(&maxima(&[1000; 9])), Err(Withheld::TooFewYears { have: 9, need: 10 }));
        assert_eq!(AtSiteStorm::fit(&maxima(&[1000; 30])), Err(Withheld::NoSolution));
    }

    #[test]
    fn a_longer_storm_is_never_less() {
        // By hand: Gumbel at T years is location + scale x y(T), so these two cross: the longer storm has the greater median and less spread.
        let gumbel = |window, location, scale| {
            let fit = AtSiteStorm::fit(&maxima(&FORT_COLLINS_MAXIMA.map(|x| x as i64 * 254))).unwrap();
            let generalized_extreme_value = GeneralizedExtremeValue { location, scale, shape: 0.0 };
            Ok(AtSiteStorm { window, gumbel: Gumbel { location, scale }, generalized_extreme_value, ..fit })
        };
        let fits = [gumbel(1, 40.0, 20.0), Err(Withheld::NoSolution), gumbel(3, 50.0, 10.0), gumbel(4, 200.0, 10.0)];
        for (by, own) in [
            (consistent_depths as fn(&[_], f64) -> Vec<_>, AtSiteStorm::depth as fn(&AtSiteStorm, f64) -> _),
            (consistent_gumbel_depths, AtSiteStorm::gumbel_depth),
        ] {
            let of = |at: usize, years| own(fits[at].as_ref().unwrap(), years);
            assert!(of(2, 100.0).unwrap() < of(0, 100.0).unwrap() && of(2, 2.0).unwrap() > of(0, 2.0).unwrap());
            assert_eq!(by(&fits, 100.0), [of(0, 100.0), Err(Withheld::NoSolution), of(0, 100.0), of(3, 100.0)]);
            assert_eq!(by(&fits, 2.0), [of(0, 2.0), Err(Withheld::NoSolution), of(2, 2.0), of(3, 2.0)]);
            assert!(matches!(by(&fits, 201.0)[0], Err(Withheld::BeyondTheRecord { .. })));
            assert!(by(&[], 10.0).is_empty());
        }
    }

    #[test]
    fn ann_arbor_from_116_years() {
        // CHECKS H11 (COMPUTED): Ann Arbor, 116 years: GEV 100-year 4.03 in, GEV 2-year x 1.13 = 2.06 in, Gumbel 100-year x 1.13 = 4.32 in.
        let Some((rain, _)) = crate::test_records::ghcn("USC00200230") else { return };
        let found = storms(&rain, 3, YearRule::default());
        let fit = found[0].1.clone().unwrap();
        assert_eq!(fit.n, 116);
        // Half a unit of the last printed digit; the factor 1.13 is the table's own.
        let inches = |depth: Result<f64, Withheld>| depth.unwrap() / 25.4;
        assert!((inches(fit.depth(100.0)) - 4.03).abs() < 0.005);
        assert!((1.13 * inches(fit.depth(2.0)) - 2.06).abs() < 0.005);
        assert!((1.13 * inches(fit.gumbel_depth(100.0)) - 4.32).abs() < 0.005);
        assert!(found.windows(2).all(|pair| pair[0].1.clone().unwrap().moments.l1 <= pair[1].1.clone().unwrap().moments.l1));
    }
}
