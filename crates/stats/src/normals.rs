//! Normals: what a calendar month and a year usually bring, over a stated period of years.
//!
//! Per calendar month: mean, median, deciles, least and most of the accepted monthly totals, given only when the accepted years are
//! at least the required share of the period (0.8 by default; WMO-No. 1203, 2017; CHECKS A1.6). The annual normal is the **sum of the
//! twelve monthly normals**, not the mean of annual totals (A1.7). Medians and deciles of a year cannot be summed from months, so
//! they come from the totals of complete years (twelve accepted months), with their own n. All depths in mm.

use crate::monthly::MonthlyTotal;
use crate::quantile::QuantileDefinition;
use crate::summary::{Summary, YearValue};
use serde::Serialize;
use series::Withheld;

/// When a normal is given, and by which quantiles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NormalsRule {
    /// Least share of the period's years, 0 to 1. With 0 any month at all is enough.
    pub required_share: f64,
    /// Definition of the deciles.
    pub quantiles: QuantileDefinition,
}

impl Default for NormalsRule {
    fn default() -> Self {
        Self { required_share: 0.8, quantiles: QuantileDefinition::Type8 }
    }
}

/// A sample over the years of the period: how many are in it, which are not, and what they say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YearlySample {
    /// Years with an accepted total.
    pub n: usize,
    /// Years of the period without one.
    pub missing_years: Vec<i32>,
    /// What they say, mm, or the unit of an index; withheld when they are too few.
    pub summary: Result<Summary, Withheld>,
}

/// The normals of a period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Normals {
    /// First year of the period.
    pub first_year: i32,
    /// Last year of the period.
    pub last_year: i32,
    /// By which rule.
    pub rule: NormalsRule,
    /// January to December.
    pub months: Vec<YearlySample>,
    /// Sum of the twelve monthly normals (means), mm; withheld when one of them is.
    pub annual: Result<f64, Withheld>,
    /// Totals of the complete years, by the same required share.
    pub annual_totals: YearlySample,
}

impl Normals {
    /// The mean of a calendar month (1-12), mm.
    ///
    /// # Errors
    /// Why it is withheld.
    pub fn monthly_mean(&self, month: u32) -> Result<f64, Withheld> {
        let sample = (month as usize).checked_sub(1).and_then(|i| self.months.get(i)).ok_or(Withheld::NothingAccepted)?;
        sample.summary.as_ref().map(|summary| summary.mean).map_err(Clone::clone)
    }
}

/// The totals of complete years in mm: those whose twelve months are all accepted, in order. `totals` in order of time.
pub fn annual_totals(totals: &[MonthlyTotal]) -> Vec<YearValue> {
    totals
        .chunk_by(|a, b| a.year == b.year)
        .filter(|months| months.len() == 12 && months.iter().all(MonthlyTotal::accepted))
        .map(|months| YearValue {
            year: months[0].year,
            value: crate::calendar::millimetres(months.iter().map(|month| month.micrometres).sum()),
        })
        .collect()
}

/// The normals of the years `first_year` to `last_year` from monthly totals in order of time.
pub fn normals(totals: &[MonthlyTotal], first_year: i32, last_year: i32, rule: NormalsRule) -> Normals {
    // Years in either order, held to those that a day can have.
    let [one, other] = [first_year, last_year].map(|year| year.clamp(1600, 2299));
    let (first_year, last_year) = (one.min(other), one.max(other));
    let mut values: [Vec<YearValue>; 12] = std::array::from_fn(|_| Vec::with_capacity(totals.len() / 12 + 1));
    for total in totals {
        let month = (total.month as usize).checked_sub(1).and_then(|month| values.get_mut(month));
        if let Some((month, value)) = month.zip(total.millimetres()) {
            month.push(YearValue { year: total.year, value });
        }
    }
    let months: Vec<YearlySample> = values.into_iter().map(|values| sample(values, first_year, last_year, rule)).collect();
    // In order from January, so that the sum has one value.
    let annual = months.iter().try_fold(0.0, |sum, sample| match &sample.summary {
        Ok(summary) => Ok(sum + summary.mean),
        Err(why) => Err(why.clone()),
    });
    let annual_totals = sample(annual_totals(totals), first_year, last_year, rule);
    Normals { first_year, last_year, rule, months, annual, annual_totals }
}

/// The values of the period, and their summary where they are the required share of its years.
pub(crate) fn sample(mut values: Vec<YearValue>, first_year: i32, last_year: i32, rule: NormalsRule) -> YearlySample {
    values.retain(|value| (first_year..=last_year).contains(&value.year));
    let years = (last_year - first_year + 1) as f64;
    // A hair below, so that 0.8 of 30 is 24 whatever the last bit of the product.
    let need = (rule.required_share.clamp(0.0, 1.0) * years - 1e-9).ceil().max(0.0) as u32;
    let have = values.len() as u32;
    let summary = if have < need { Err(Withheld::TooFewYears { have, need }) } else { Summary::of(&values, rule.quantiles) };
    // Totals come in order of time, so the years present do too.
    let mut present = values.iter().map(|value| value.year).peekable();
    let missing_years = (first_year..=last_year)
        .filter(|year| {
            while present.next_if(|other| other < year).is_some() {}
            present.peek() != Some(year)
        })
        .collect();
    YearlySample { n: values.len(), missing_years, summary }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{MonthRule, monthly_totals};

    fn totals(years: std::ops::Range<i32>) -> Vec<MonthlyTotal> {
        years
            .flat_map(|year| {
                (1..=12).map(move |month| MonthlyTotal {
                    year,
                    month,
                    micrometres: i64::from(month) * 1000,
                    usable: series::days_in_month(year, month),
                    covered: 0,
                    missing: 0,
                    refused: None,
                })
            })
            .collect()
    }

    #[test]
    fn twenty_four_of_thirty_years_are_enough_and_23_are_not() {
        // CHECKS A1.6 (WMO-No. 1203, by S1).
        let enough = normals(&totals(1991..2015), 1991, 2020, NormalsRule::default());
        assert_eq!((enough.months[6].n, enough.months[6].missing_years.len(), enough.monthly_mean(7)), (24, 6, Ok(7.0)));
        assert_eq!(enough.annual, Ok(78.0));
        let few = normals(&totals(1991..2014), 1991, 2020, NormalsRule::default());
        assert_eq!(few.annual, Err(Withheld::TooFewYears { have: 23, need: 24 }));
        let any = normals(&totals(1991..1992), 1991, 2020, NormalsRule { required_share: 0.0, ..NormalsRule::default() });
        assert_eq!(any.annual, Ok(78.0));
        let none = normals(&[], 1991, 2020, NormalsRule { required_share: 0.0, ..NormalsRule::default() });
        assert_eq!((none.annual.clone(), none.annual_totals.n), (Err(Withheld::NothingAccepted), 0));
        assert_eq!(normals(&[], i32::MAX, i32::MIN, NormalsRule::default()).annual_totals.missing_years.len(), 700);
        assert!(none.monthly_mean(0).is_err() && none.monthly_mean(13).is_err());
    }

    #[test]
    fn the_annual_normal_is_the_sum_of_months_not_the_mean_of_years() {
        // CHECKS A1.7: with a month refused, its year leaves the annual totals, not the other months.
        let mut totals = totals(1991..2021);
        totals[0].refused = Some(crate::MonthRefusal::DaysMissing);
        totals[1].micrometres = 302_000;
        let found = normals(&totals, 1991, 2020, NormalsRule::default());
        assert_eq!(found.annual, Ok(78.0 + 10.0));
        assert_eq!((found.annual_totals.n, found.annual_totals.summary.unwrap().mean), (29, 78.0));
    }

    #[test]
    fn fort_collins_1961_to_1990() {
        // CHECKS A2.7 (COMPUTED, data S5): normals 1961-90 in mm, printed to three decimals; annual 384.3697.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found = normals(&monthly_totals(&rain, MonthRule::Whole), 1961, 1990, NormalsRule::default());
        let expected = [10.770, 9.754, 34.400, 44.839, 68.351, 50.190, 44.941, 32.190, 33.359, 24.562, 18.085, 12.929];
        for (month, expected) in (1..).zip(expected) {
            assert!((found.monthly_mean(month).unwrap() - expected).abs() < 0.000_5 + 1e-9, "month {month}");
        }
        assert!((found.annual.unwrap() - 384.3697).abs() < 0.000_05);
    }

    #[test]
    fn happy_camp_loses_rain_without_its_totals() {
        // CHECKS H8 (COMPUTED): sum of the means of all valid months 1255.4 mm if every day must be measured, 1303.0 with the totals.
        let Some((rain, _)) = crate::test_records::ghcn("USC00043761") else { return };
        let rule = NormalsRule { required_share: 0.0, ..NormalsRule::default() };
        for (months, expected) in [(MonthRule::AtMostMissing(0), 1255.4), (MonthRule::Whole, 1303.0)] {
            let annual = normals(&monthly_totals(&rain, months), 1900, 2020, rule).annual.unwrap();
            assert!((annual - expected).abs() < 0.05, "{annual}");
        }
    }

    #[test]
    fn july_at_oxford() {
        // CHECKS, lesson figures: July 1991-2020 mean 52.9, median 49.55, range 3.6-110.2 mm.
        let Some((rain, _)) = crate::test_records::ghcn("UK000056225") else { return };
        let found = normals(&monthly_totals(&rain, MonthRule::Whole), 1991, 2020, NormalsRule::default());
        let july = found.months[6].summary.clone().unwrap();
        assert!((july.mean - 52.9).abs() < 0.05 && (july.median - 49.55).abs() < 1e-9);
        assert_eq!((july.least.value, july.most.value), (3.6, 110.2));
    }
}
