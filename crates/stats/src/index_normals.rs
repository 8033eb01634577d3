//! The yearly indices as normals of a base period: what a year usually brings of each.
//!
//! Of each index of [`yearly_indices`](crate::yearly_indices) and [`very_wet_years`](crate::very_wet_years): mean, median, deciles, least
//! and most over the years of the period that have it, in the index's unit, given when those years are the required share of the period
//! (0.8 unless said otherwise, as for monthly normals, WMO-No. 1203). Each index has its own years: a gap may spare one and not another. The
//! thresholds of R95p and R99p come from the same period, as ETCCDI has it for the base period.

use crate::indices::{YearIndices, yearly_indices};
use crate::normals::{NormalsRule, YearlySample, sample};
use crate::summary::YearValue;
use crate::very_wet_days::{WetDayThresholds, very_wet_years, wet_day_thresholds};
use serde::Serialize;
use series::{DailySeries, Withheld};

/// The indices over a period of years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IndexNormals {
    /// First year of the period.
    pub first_year: i32,
    /// Last year of the period.
    pub last_year: i32,
    /// By which rule.
    pub rule: NormalsRule,
    /// PRCPTOT, mm.
    pub wet_day_total: YearlySample,
    /// Days of at least 1.0 mm.
    pub wet_days: YearlySample,
    /// SDII, mm a wet day.
    pub daily_intensity: YearlySample,
    /// Rx1day, mm.
    pub greatest_day: YearlySample,
    /// Rx5day, mm.
    pub greatest_five_days: YearlySample,
    /// R10mm, days.
    pub heavy_days: YearlySample,
    /// R20mm, days.
    pub very_heavy_days: YearlySample,
    /// What counts as very wet.
    pub thresholds: Result<WetDayThresholds, Withheld>,
    /// R95p, mm.
    pub very_wet_total: YearlySample,
    /// R99p, mm.
    pub extremely_wet_total: YearlySample,
    /// CDD, days.
    pub longest_dry_run: YearlySample,
    /// CWD, days.
    pub longest_wet_run: YearlySample,
}

/// The normals of the indices over the years `first_year` to `last_year`.
pub fn index_normals(series: &DailySeries, first_year: i32, last_year: i32, rule: NormalsRule) -> IndexNormals {
    // Years in either order, held to those that a day can have.
    let [one, other] = [first_year, last_year].map(|year| year.clamp(1600, 2299));
    let (first_year, last_year) = (one.min(other), one.max(other));
    let years = yearly_indices(series);
    let thresholds = wet_day_thresholds(series, first_year, last_year, rule.quantiles);
    let very_wet = thresholds.as_ref().map(|thresholds| very_wet_years(series, thresholds)).unwrap_or_default();
    let over = |values: Vec<(i32, Result<f64, Withheld>)>| {
        let areal = values.iter().any(|(_, value)| *value == Err(Withheld::ArealMean));
        let values = values.into_iter().filter_map(|(year, value)| Some(YearValue { year, value: value.ok()? })).collect();
        let mut found = sample(values, first_year, last_year, rule);
        if areal {
            found.summary = Err(Withheld::ArealMean);
        }
        found
    };
    let of = |pick: fn(&YearIndices) -> Result<f64, Withheld>| over(years.iter().map(|year| (year.year, pick(year))).collect());
    let mut very_wet_total = over(very_wet.iter().map(|year| (year.year, year.very_wet_total.clone())).collect());
    let mut extremely_wet_total = over(very_wet.iter().map(|year| (year.year, year.extremely_wet_total.clone())).collect());
    // Where there is no threshold, that is the reason, and not the years.
    if let Some(why) = thresholds.as_ref().map_or_else(Some, |found| found.very_wet.as_ref().err()) {
        very_wet_total.summary = Err(why.clone());
    }
    if let Some(why) = thresholds.as_ref().map_or_else(Some, |found| found.extremely_wet.as_ref().err()) {
        extremely_wet_total.summary = Err(why.clone());
    }
    IndexNormals {
        first_year,
        last_year,
        rule,
        wet_day_total: of(|year| year.wet_day_total.clone()),
        wet_days: of(|year| year.wet_days.clone().map(f64::from)),
        daily_intensity: of(|year| year.daily_intensity.clone()),
        greatest_day: of(|year| year.greatest_day.clone().map(|(_, depth)| depth)),
        greatest_five_days: of(|year| year.greatest_five_days.clone().map(|(_, depth)| depth)),
        heavy_days: of(|year| year.heavy_days.clone().map(f64::from)),
        very_heavy_days: of(|year| year.very_heavy_days.clone().map(f64::from)),
        thresholds,
        very_wet_total,
        extremely_wet_total,
        longest_dry_run: of(|year| year.longest_dry_run.clone().map(f64::from)),
        longest_wet_run: of(|year| year.longest_wet_run.clone().map(f64::from)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Extent, Reading};

    #[test]
    fn fort_collins_1961_to_1990() {
        // pandas and numpy on checks/data/fort_collins_daily_1900_1999.csv, years 1961-1990: mean and median of each index, written out from
        // its definition (quantile of R95p and R99p: numpy "median_unbiased" = type 8).
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found = index_normals(&rain, 1961, 1990, NormalsRule::default());
        for (name, found, mean, median) in [
            ("PRCPTOT", found.wet_day_total, 372.4148, 363.347),
            ("wet days", found.wet_days, 55.7, 54.0),
            ("SDII", found.daily_intensity, 6.669_441_744_7, 6.611_659),
            ("Rx1day", found.greatest_day, 47.371, 41.148),
            ("Rx5day", found.greatest_five_days, 66.734_266_666_7, 66.421),
            ("R10mm", found.heavy_days, 10.666_666_666_7, 10.0),
            ("R20mm", found.very_heavy_days, 3.966_666_666_7, 4.0),
            ("R95p", found.very_wet_total, 102.9716, 98.806),
            ("R99p", found.extremely_wet_total, 36.584_466_666_7, 0.0),
            ("CDD", found.longest_dry_run, 38.766_666_666_7, 37.0),
            ("CWD", found.longest_wet_run, 4.133_333_333_3, 4.0),
        ] {
            assert_eq!((found.n, found.missing_years.len()), (30, 0));
            let summary = found.summary.unwrap();
            assert!((summary.mean - mean).abs() < 1e-6 && (summary.median - median).abs() < 1e-6, "{name} {summary:?}");
        }
    }

    #[test]
    fn what_is_withheld_says_why() {
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let late = index_normals(&rain, 1991, 2020, NormalsRule::default());
        let why = Err(Withheld::TooFewYears { have: 9, need: 24 });
        assert_eq!((late.wet_days.summary, late.very_wet_total.summary), (why.clone(), why));
        let mut areal = rain;
        areal.extent = Extent::ArealMean;
        let areal = index_normals(&areal, 1961, 1990, NormalsRule::default());
        assert!(areal.wet_day_total.summary.is_ok());
        assert_eq!((areal.greatest_day.summary, areal.extremely_wet_total.summary), (Err(Withheld::ArealMean), Err(Withheld::ArealMean)));
        let dry = DailySeries::new(series::Station::default(), series::Day::first_of_year(1961), vec![Reading::measured(0); 10957]);
        let dry = index_normals(&dry, 1990, 1961, NormalsRule::default());
        assert_eq!((dry.thresholds, dry.very_wet_total.summary), (Err(Withheld::NoRain), Err(Withheld::NoRain)));
        assert!(dry.daily_intensity.summary.is_err() && dry.wet_days.summary.unwrap().mean == 0.0);
    }
}
