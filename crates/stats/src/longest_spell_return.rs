//! Return levels of the longest dry spell of a year: how long the spell is that one year in T has, with its band.
//!
//! Each spell belongs to the year in which it ends and is not cut at New Year (CHECKS H16). A year gives its longest spell where the whole
//! year lies in the record, the spell is whole, no other spell of that year can have been longer, and no stretch without a value is longer
//! than it: a gap could hide such a spell. A year with a gap that matters is left out, never taken for shorter; a long spell is a little
//! likelier to meet a gap than a short one, so that many years left out make the levels rather too short.
//!
//! The generalised extreme value distribution by L-moments, Gumbel beside it, days; withheld below ten years, and a return period beyond
//! twice the years, as for storms. The band is that of [`return_level_bands`].
//!
//! Where a spell lasted 365 days or more, all is withheld as [`Withheld::NotWithinAYear`], and so is a level of 365 days or more: a year inside such a
//! spell has no end of one, and one drought would count for one year of several. Source: Hosking & Wallis (1997) for the fit; CHECKS A6, H16.

use crate::at_site_storm::FIT_NEEDS_YEARS;
use crate::completeness::{MissingRun, missing_runs};
use crate::distribution::Distribution;
use crate::dry_spells::{DrySpells, LongestOfYear, SpellYear};
use crate::generalized_extreme_value::GeneralizedExtremeValue;
use crate::gumbel::Gumbel;
use crate::l_moments::LMoments;
use crate::return_level_band::{BandRule, ReturnLevelBand, return_level_bands};
use serde::Serialize;
use series::{DailySeries, Day, Period, Withheld};

/// A spell of so many days leaves a year without an end of a spell.
const DAYS_OF_A_YEAR: u32 = 365;

/// A fit to the longest dry spell of each year, days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LongestSpellReturn {
    /// The years that give one, with their spell.
    pub years: Vec<LongestOfYear>,
    /// Years of the record that give none.
    pub left_out: Vec<i32>,
    /// L-moments of the lengths.
    pub moments: LMoments,
    /// The headline distribution.
    pub generalized_extreme_value: GeneralizedExtremeValue,
    /// The comparison.
    pub gumbel: Gumbel,
}

impl LongestSpellReturn {
    /// The fit to the spells of a record.
    ///
    /// # Errors
    /// [`Withheld::NotWithinAYear`] where a spell lasted 365 days or more; [`Withheld::TooFewYears`] below [`FIT_NEEDS_YEARS`];
    /// [`Withheld::NoSolution`] when the lengths have no fit.
    pub fn of(series: &DailySeries, spells: &DrySpells) -> Result<Self, Withheld> {
        if spells.spells.iter().any(|spell| spell.days >= DAYS_OF_A_YEAR) {
            return Err(Withheld::NotWithinAYear);
        }
        let (years, left_out) = longest_of_whole_years(series, spells);
        let have = years.len() as u32;
        if have < FIT_NEEDS_YEARS {
            return Err(Withheld::TooFewYears { have, need: FIT_NEEDS_YEARS });
        }
        let lengths: Vec<f64> = years.iter().map(|year| f64::from(year.spell.days)).collect();
        let moments = LMoments::of(&lengths)?;
        let generalized_extreme_value = GeneralizedExtremeValue::fit(&moments)?;
        Ok(Self { years, left_out, moments, generalized_extreme_value, gumbel: Gumbel::fit(&moments)? })
    }

    /// The longest return period that the record carries, years: twice its years.
    pub fn longest_return_period(&self) -> u32 {
        2 * self.years.len() as u32
    }

    /// The length that one year in `return_period` has at least, days, by the headline distribution.
    ///
    /// # Errors
    /// [`Withheld::BeyondTheRecord`] above twice the years; [`Withheld::NoSolution`] when it is not above 1 year or the length is below 0;
    /// [`Withheld::NotWithinAYear`] when the length is 365 days or more, of which the record shows none.
    pub fn days(&self, return_period: f64) -> Result<f64, Withheld> {
        self.within_the_record(return_period, &self.generalized_extreme_value)
    }

    /// The same by the Gumbel distribution.
    ///
    /// # Errors
    /// As [`days`](Self::days).
    pub fn gumbel_days(&self, return_period: f64) -> Result<f64, Withheld> {
        self.within_the_record(return_period, &self.gumbel)
    }

    /// The band of [`days`](Self::days).
    ///
    /// # Errors
    /// As [`days`](Self::days) and [`return_level_bands`]; [`Withheld::NotWithinAYear`] also when the upper end is 365 days or more.
    pub fn band(&self, return_period: f64, rule: BandRule) -> Result<ReturnLevelBand, Withheld> {
        self.days(return_period)?;
        let bands = return_level_bands(&self.generalized_extreme_value, self.years.len(), &[return_period], rule)?;
        let band = bands.first().copied().ok_or(Withheld::NoSolution)?;
        if band.high < f64::from(DAYS_OF_A_YEAR) { Ok(band) } else { Err(Withheld::NotWithinAYear) }
    }

    fn within_the_record(&self, return_period: f64, distribution: &impl Distribution) -> Result<f64, Withheld> {
        let longest = self.longest_return_period();
        if return_period > f64::from(longest) {
            return Err(Withheld::BeyondTheRecord { have: self.years.len() as u32, longest });
        }
        let days = distribution.at_return_period(return_period).ok().filter(|&days| days >= 0.0).ok_or(Withheld::NoSolution)?;
        if days < f64::from(DAYS_OF_A_YEAR) { Ok(days) } else { Err(Withheld::NotWithinAYear) }
    }
}

/// The longest spell of every year that is sure of it, and the years that are not.
fn longest_of_whole_years(series: &DailySeries, spells: &DrySpells) -> (Vec<LongestOfYear>, Vec<i32>) {
    let Some(record) = series.period() else { return (Vec::new(), Vec::new()) };
    let gaps = missing_runs(series);
    let found = spells.longest_by_year(SpellYear::Last);
    let sure: Vec<LongestOfYear> = found.into_iter().filter(|year| is_sure(year, record, &gaps)).collect();
    let left_out =
        (record.first.year()..=record.last.year()).filter(|year| sure.binary_search_by_key(year, |of| of.year).is_err()).collect();
    (sure, left_out)
}

fn is_sure(longest: &LongestOfYear, record: Period, gaps: &[MissingRun]) -> bool {
    let year = Period::new(Day::first_of_year(longest.year), Day::last_of_year(longest.year));
    let hidden = gaps.iter().filter(|gap| gap.period.overlap(year).is_some()).map(|gap| gap.period.days()).max().unwrap_or(0);
    let in_the_record = record.contains(year.first) && record.contains(year.last);
    in_the_record && longest.certain && longest.spell.is_whole() && hidden <= longest.spell.days as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DrySpellRule, dry_spells};
    use series::{Reading, Station};

    fn fit(rain: &DailySeries) -> Result<LongestSpellReturn, Withheld> {
        LongestSpellReturn::of(rain, &dry_spells(rain, DrySpellRule::default()))
    }

    #[test]
    fn fort_collins() {
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found = fit(&rain).unwrap();
        // CHECKS H16 has 42.56 d over all 100 years; the record begins and ends inside a spell, so 1900 and 1999 are left out here.
        assert_eq!((found.years.len(), &found.left_out[..]), (98, &[1900, 1999][..]));
        // lmoments3 1.0.8 on the longest spells of 1901-1998 (runs below 1.0 mm that end in the year, numpy): lmom_ratios, gev.lmom_fit, gum.lmom_fit,
        // ppf(1 - 1/T). GEV rel 2e-6 as in CHECKS B1.3, the rest 1e-8.
        for (of, expected) in [
            (found.moments.l1, 42.642_857_142_857_146),
            (found.moments.l2, 8.545_234_588_680_833),
            (found.moments.t3, 0.321_815_255_259_691_5),
            (found.moments.t4.unwrap(), 0.240_432_985_462_511_4),
            (found.gumbel.location, 35.526_845_705_199_12),
            (found.gumbel.scale, 12.328_167_564_322_678),
        ] {
            assert!((of / expected - 1.0).abs() < 1e-8, "{of} {expected}");
        }
        for (years, days, gumbel) in [
            (2.0, 38.093_009_348, 40.045_278_405),
            (10.0, 62.410_055_564, 63.269_751_194),
            (50.0, 93.999_265_945, 83.630_599_306),
            (100.0, 111.281_685_605, 92.238_256_194),
        ] {
            assert!((found.days(years).unwrap() / days - 1.0).abs() < 2e-6, "{:?}", found.days(years));
            assert!((found.gumbel_days(years).unwrap() / gumbel - 1.0).abs() < 1e-8);
        }
        let rule = BandRule { samples: 200, ..BandRule::default() };
        let band = found.band(50.0, rule).unwrap();
        assert!(band.low < 93.999 && 93.999 < band.high && band.fitted == 200, "{band:?}");
        assert_eq!(found.days(197.0), Err(Withheld::BeyondTheRecord { have: 98, longest: 196 }));
        assert_eq!(found.band(1.0, rule), Err(Withheld::NoSolution));
    }

    #[test]
    fn spells_that_outlast_a_year_have_no_return_level() {
        let wet_every = |days: usize, years: i32| {
            let readings = (0..years as usize * 365).map(|i| Reading::measured(if i % days == 0 { 5000 } else { 0 })).collect();
            DailySeries::new(Station::default(), Day::first_of_year(2001), readings)
        };
        assert_eq!(fit(&wet_every(400, 30)), Err(Withheld::NotWithinAYear));
        assert_eq!(fit(&wet_every(20, 30)), Err(Withheld::NoSolution), "all longest spells are of 19 days");
        assert_eq!(fit(&wet_every(20, 8)), Err(Withheld::TooFewYears { have: 7, need: 10 }), "2,920 days end two days before 2008 does");
        let dry = DailySeries::new(Station::default(), Day::first_of_year(2001), vec![Reading::measured(0); 9999]);
        assert_eq!(fit(&dry), Err(Withheld::NotWithinAYear));
        assert_eq!(fit(&DailySeries::default()), Err(Withheld::TooFewYears { have: 0, need: 10 }));
        // CHECKS H16: Death Valley, whose longest spell lasted 273 d.
        let Some((rain, _)) = crate::test_records::ghcn("USC00042319") else { return };
        let found = fit(&rain).unwrap();
        let longest = found.years.iter().map(|year| year.spell.days).max();
        assert_eq!(longest, Some(273));
        let rule = BandRule { samples: 400, ..BandRule::default() };
        for years in [2.0, 10.0, 100.0] {
            assert!(found.band(years, rule).map_or_else(|why| why == Withheld::NotWithinAYear, |band| band.high < 365.0));
        }
        assert!(found.days(2.0).unwrap() < found.days(50.0).unwrap() && found.days(50.0).unwrap() < 365.0);
    }

    #[test]
    fn a_gap_leaves_out_the_years_that_it_may_change() {
        let mut state = 7_u32;
        let mut readings: Vec<Reading> = (0..20 * 365 + 5)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                Reading::measured(if state >> 28 == 0 { 5000 } else { 0 })
            })
            .collect();
        let rain = |readings: &[Reading]| DailySeries::new(Station::default(), Day::first_of_year(2001), readings.to_vec());
        let whole = fit(&rain(&readings)).unwrap();
        // One day between two wet ones hides nothing; a whole missing year hides itself and may hide a spell of its neighbours.
        let at =
            readings.windows(2).skip(3000).position(|two| two[0].is_wet() == Some(true) && two[1].is_wet() == Some(true)).unwrap() + 3000;
        let mut one = readings.clone();
        one[at] = Reading::MISSING;
        assert_eq!(fit(&rain(&one)).unwrap().left_out, whole.left_out);
        readings[9 * 365 + 2..10 * 365 + 2].fill(Reading::MISSING);
        let found = fit(&rain(&readings)).unwrap();
        assert!(found.left_out.contains(&2010) && found.years.iter().all(|year| year.year != 2010));
        let unchanged = found.years.iter().filter(|year| whole.years.contains(year)).count();
        assert_eq!(unchanged, found.years.len(), "a year that stays has the same spell");
    }
}
