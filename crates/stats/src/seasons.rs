//! Seasonal rain: totals of three calendar months, and what a season usually brings.
//!
//! December to February, March to May, June to August, September to November. **December counts to the next year**: the first season of 1991 is
//! December 1990 to February 1991. A season has a total where its three months are all accepted; mean, median, deciles, least and most, mm,
//! are given where the seasons at hand are the required share of the period's years, as for monthly normals. The mean of a season is of whole
//! seasons, so it can differ from the sum of three monthly normals where years are missing. Variability: standard deviation and coefficient
//! of variation of the same totals.
//!
//! Source: WMO-No. 1203 (2017) for the share; the seasons as climatology commonly takes them (common practice, no source).

use crate::calendar::millimetres;
use crate::monthly::MonthlyTotal;
use crate::normals::{NormalsRule, YearlySample, sample};
use crate::summary::YearValue;
use crate::variability::{Variability, variability};
use serde::Serialize;
use series::Withheld;

/// Three calendar months.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Season {
    /// December of the year before to February.
    DecemberToFebruary,
    /// March to May.
    MarchToMay,
    /// June to August.
    JuneToAugust,
    /// September to November.
    SeptemberToNovember,
}

impl Season {
    /// The four, in the order of the year.
    pub const ALL: [Self; 4] = [Self::DecemberToFebruary, Self::MarchToMay, Self::JuneToAugust, Self::SeptemberToNovember];

    /// The season of a month (1 to 12), and whether it counts to the next year.
    fn of_month(month: u32) -> Option<(Self, bool)> {
        match month {
            12 => Some((Self::DecemberToFebruary, true)),
            1 | 2 => Some((Self::DecemberToFebruary, false)),
            3..=5 => Some((Self::MarchToMay, false)),
            6..=8 => Some((Self::JuneToAugust, false)),
            9..=11 => Some((Self::SeptemberToNovember, false)),
            _ => None,
        }
    }
}

/// A season over a period of years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonNormal {
    /// Which season.
    pub season: Season,
    /// Its totals, mm.
    pub sample: YearlySample,
    /// How much they vary; withheld where the sample is.
    pub variability: Result<Variability, Withheld>,
}

/// The totals of a season in mm by the year it counts to, in order: those whose three months are all accepted. `totals` in order of time.
pub fn seasonal_totals(totals: &[MonthlyTotal], season: Season) -> Vec<YearValue> {
    let of_season: Vec<(i32, &MonthlyTotal)> = totals
        .iter()
        .filter_map(|total| match Season::of_month(total.month) {
            Some((of, next)) if of == season => Some((total.year + i32::from(next), total)),
            _ => None,
        })
        .collect();
    of_season
        .chunk_by(|a, b| a.0 == b.0)
        .filter(|months| months.len() == 3 && months.iter().all(|(_, total)| total.accepted()))
        .map(|months| YearValue { year: months[0].0, value: millimetres(months.iter().map(|(_, total)| total.micrometres).sum()) })
        .collect()
}

/// The four seasons over the years `first_year` to `last_year` from monthly totals in order of time.
pub fn season_normals(totals: &[MonthlyTotal], first_year: i32, last_year: i32, rule: NormalsRule) -> Vec<SeasonNormal> {
    // Years in either order, held to those that a day can have.
    let [one, other] = [first_year, last_year].map(|year| year.clamp(1600, 2299));
    let (first_year, last_year) = (one.min(other), one.max(other));
    Season::ALL
        .into_iter()
        .map(|season| {
            let mut values = seasonal_totals(totals, season);
            values.retain(|value| (first_year..=last_year).contains(&value.year));
            let plain: Vec<f64> = values.iter().map(|value| value.value).collect();
            let sample = sample(values, first_year, last_year, rule);
            let variability = sample.summary.as_ref().map_err(Clone::clone).and_then(|_| variability(&plain));
            SeasonNormal { season, sample, variability }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{MonthRefusal, MonthRule, monthly_totals, normals};

    #[test]
    fn fort_collins_1961_to_1990() {
        // pandas on checks/data/fort_collins_daily_1900_1999.csv, seasons of 1961-1990, December with the year after: mean, median, std (n - 1).
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let totals = monthly_totals(&rain, MonthRule::Whole);
        let found = season_normals(&totals, 1961, 1990, NormalsRule::default());
        for (found, (mean, median, deviation)) in found.iter().zip([
            (33.714_266_666_7, 32.004, 17.768_476_594_6),
            (147.590_933_333_3, 149.352, 63.997_222_281_8),
            (127.321_733_333_3, 119.38, 56.076_124_957_7),
            (76.005_266_666_7, 69.85, 32.374_766_825_9),
        ]) {
            let (summary, variability) = (found.sample.summary.clone().unwrap(), found.variability.clone().unwrap());
            assert_eq!((found.sample.n, variability.n), (30, 30));
            assert!((summary.mean - mean).abs() < 1e-9 && (summary.median - median).abs() < 1e-9, "{found:?}");
            assert!((variability.standard_deviation - deviation).abs() < 1e-9);
            assert!((variability.coefficient_of_variation.unwrap() - deviation / mean).abs() < 1e-9);
        }
        // Every month accepted: beside the monthly normals, spring is the sum of three of them.
        let months = normals(&totals, 1961, 1990, NormalsRule::default());
        let spring: f64 = (3..=5).map(|month| months.monthly_mean(month).unwrap()).sum();
        assert!((found[1].sample.summary.clone().unwrap().mean - spring).abs() < 1e-9);
        // The record begins with January 1900, so its first season has no December.
        assert_eq!(seasonal_totals(&totals, Season::DecemberToFebruary)[0].year, 1901);
    }

    #[test]
    fn december_counts_to_the_next_year_and_a_missing_month_leaves_the_season_out() {
        let mut totals: Vec<MonthlyTotal> = (2000..2003)
            .flat_map(|year| (1..=12).map(move |month| (year, month)))
            .map(|(year, month)| MonthlyTotal {
                year,
                month,
                micrometres: i64::from(month) * 1000,
                usable: series::days_in_month(year, month),
                covered: 0,
                missing: 0,
                refused: None,
            })
            .collect();
        let years = |totals: &[MonthlyTotal], season| -> Vec<(i32, f64)> {
            seasonal_totals(totals, season).iter().map(|value| (value.year, value.value)).collect()
        };
        // By hand: 12 + 1 + 2 mm; 9 + 10 + 11 mm.
        assert_eq!(years(&totals, Season::DecemberToFebruary), [(2001, 15.0), (2002, 15.0)]);
        assert_eq!(years(&totals, Season::SeptemberToNovember), [(2000, 30.0), (2001, 30.0), (2002, 30.0)]);
        totals[11].refused = Some(MonthRefusal::DaysMissing);
        assert_eq!(years(&totals, Season::DecemberToFebruary), [(2002, 15.0)]);
        let few = season_normals(&totals, 2002, 2000, NormalsRule::default());
        assert_eq!(few[0].variability, Err(Withheld::TooFewYears { have: 1, need: 3 }));
        assert_eq!(few[1].variability.clone().unwrap().coefficient_of_variation, Some(0.0));
        assert!(season_normals(&[], 1991, 2020, NormalsRule::default()).iter().all(|season| season.variability.is_err()));
    }
}
