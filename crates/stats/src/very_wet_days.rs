//! R95p and R99p: what falls in a year on very wet days, those above a high percentile of the wet days of a base period.
//!
//! The threshold is the 0.95 or 0.99 quantile, by a named definition, of the wet days (1.0 mm or more, with a depth of their own) of the base
//! period, in mm. R95p and R99p are the sums of a year's days **above** it, mm a year.
//!
//! Missing days. Base period: at least 80 % of its years must each miss at most 5 % of their days (as for a normal and for a greatest day);
//! every wet day of the period then counts. A percentile is given where a wet day of the base can lie above it: from 20 wet days for 0.95,
//! from 100 for 0.99 (own rule). Year: a sum with one unaccounted day is no sum (CHECKS A1.1); multi-day totals have no single
//! day to compare. The mean of an area has no very wet day: its heavy days are not those of any gauge.
//!
//! Source: climdex.org/learn/indices; CHECKS A2.

use crate::calendar::{self, YearSlice};
use crate::indices::GREATEST_DAY_MISSING_SHARE;
use crate::quantile::{QuantileDefinition, Sample};
use serde::Serialize;
use series::{DailySeries, Reading, Withheld};

/// Least share of the base period's years that must be nearly whole.
const REQUIRED_SHARE: f64 = 0.8;

/// What counts as a very wet day, from a base period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WetDayThresholds {
    /// First year of the base period.
    pub first_year: i32,
    /// Its last year.
    pub last_year: i32,
    /// Wet days in it.
    pub wet_days: usize,
    /// Definition of the quantiles.
    pub quantiles: QuantileDefinition,
    /// The 0.95 quantile of the wet days, mm.
    pub very_wet: Result<f64, Withheld>,
    /// The 0.99 quantile, mm.
    pub extremely_wet: Result<f64, Withheld>,
}

/// What falls on a year's very wet days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VeryWetYear {
    /// Which year.
    pub year: i32,
    /// R95p, mm.
    pub very_wet_total: Result<f64, Withheld>,
    /// R99p, mm.
    pub extremely_wet_total: Result<f64, Withheld>,
}

/// The thresholds of the years `first_year` to `last_year`.
///
/// # Errors
/// [`Withheld::ArealMean`] for the mean of an area; [`Withheld::TooFewYears`] below 80 % of the years; [`Withheld::NoRain`] without a wet day.
pub fn wet_day_thresholds(
    series: &DailySeries,
    first_year: i32,
    last_year: i32,
    quantiles: QuantileDefinition,
) -> Result<WetDayThresholds, Withheld> {
    if !series.extent.is_gauge() {
        return Err(Withheld::ArealMean);
    }
    let base = || calendar::years(series).filter(|slice| (first_year..=last_year).contains(&slice.year));
    let usable = |slice: &YearSlice<'_>| slice.readings.iter().filter(|reading| reading.is_usable()).count() as u32;
    let nearly_whole = |slice: &YearSlice<'_>| f64::from(slice.days - usable(slice)) <= GREATEST_DAY_MISSING_SHARE * f64::from(slice.days);
    let have = base().filter(nearly_whole).count() as u32;
    let years = (f64::from(last_year) - f64::from(first_year) + 1.0).max(1.0);
    // A hair below, so that 0.8 of 30 is 24 whatever the last bit of the product.
    let need = (REQUIRED_SHARE * years - 1e-9).ceil() as u32;
    if have < need {
        return Err(Withheld::TooFewYears { have, need });
    }
    let wet: Vec<f64> = base().flat_map(|slice| slice.readings).copied().filter_map(wet_depth).map(calendar::millimetres).collect();
    let mut sample = Sample::of(&wet).map_err(|_| Withheld::NoRain)?;
    let mut threshold = |needed: usize, probability: f64| {
        if wet.len() < needed {
            return Err(Withheld::NothingAccepted);
        }
        sample.quantile(probability, quantiles).map_err(|_| Withheld::NoSolution)
    };
    let (very_wet, extremely_wet) = (threshold(20, 0.95), threshold(100, 0.99));
    Ok(WetDayThresholds { first_year, last_year, wet_days: wet.len(), quantiles, very_wet, extremely_wet })
}

/// R95p and R99p of every calendar year of the record.
pub fn very_wet_years(series: &DailySeries, thresholds: &WetDayThresholds) -> Vec<VeryWetYear> {
    let total = |slice: &YearSlice<'_>, threshold: &Result<f64, Withheld>| {
        let threshold = threshold.clone()?;
        if !series.extent.is_gauge() {
            return Err(Withheld::ArealMean);
        }
        let missing = slice.days as usize - slice.readings.iter().filter(|reading| reading.is_usable()).count();
        if missing > 0 {
            return Err(Withheld::NothingAccepted);
        }
        let above = slice.readings.iter().copied().filter_map(wet_depth).filter(|&depth| calendar::millimetres(depth) > threshold);
        Ok(calendar::millimetres(above.sum()))
    };
    calendar::years(series)
        .map(|slice| VeryWetYear {
            year: slice.year,
            very_wet_total: total(&slice, &thresholds.very_wet),
            extremely_wet_total: total(&slice, &thresholds.extremely_wet),
        })
        .collect()
}

fn wet_depth(reading: Reading) -> Option<i64> {
    reading.depth().filter(|&depth| depth >= Reading::WET_DAY_MICROMETRES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Day, Extent, Station};

    #[test]
    fn fort_collins_1997_and_1966() {
        // CHECKS A2.6 (COMPUTED): base 1961-90, 1,671 wet days; q95 type 7 23.368 (= xclim), type 8 23.4188; q99 type 8 46.37532;
        // 1997 R95p 297.688, R99p 228.6; 1966 R95p 24.13, R99p 0 mm.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let base = |quantiles| wet_day_thresholds(&rain, 1961, 1990, quantiles).unwrap();
        let found = base(QuantileDefinition::Type8);
        assert_eq!(found.wet_days, 1671);
        assert!((base(QuantileDefinition::Type7).very_wet.unwrap() - 23.368).abs() < 1e-6);
        assert!((found.very_wet.clone().unwrap() - 23.4188).abs() < 1e-6);
        assert!((found.extremely_wet.clone().unwrap() - 46.375_32).abs() < 1e-6);
        let years = very_wet_years(&rain, &found);
        for (year, very_wet, extremely_wet) in [(1997, 297.688, 228.6), (1966, 24.13, 0.0)] {
            let found = years.iter().find(|of| of.year == year).unwrap();
            assert!((found.very_wet_total.clone().unwrap() - very_wet).abs() < 1e-6);
            assert!((found.extremely_wet_total.clone().unwrap() - extremely_wet).abs() < 1e-6);
        }
        assert_eq!(wet_day_thresholds(&rain, 1991, 2020, QuantileDefinition::Type8), Err(Withheld::TooFewYears { have: 9, need: 24 }));
    }

    #[test]
    fn few_wet_days_a_dry_record_and_the_mean_of_an_area() {
        let of = |wet: usize| {
            let mut readings = vec![Reading::measured(0); 10 * 366];
            (0..wet).for_each(|i| readings[i * 30] = Reading::measured(3000 + i as i32));
            DailySeries::new(Station::default(), Day::first_of_year(2001), readings)
        };
        let base = |rain: &DailySeries| wet_day_thresholds(rain, 2001, 2010, QuantileDefinition::Type8);
        assert_eq!(base(&of(0)), Err(Withheld::NoRain));
        assert_eq!(base(&of(1)).unwrap().very_wet, Err(Withheld::NothingAccepted));
        let some = base(&of(25)).unwrap();
        assert!(some.very_wet.is_ok() && some.extremely_wet.is_err());
        let years = very_wet_years(&of(25), &some);
        assert!(years[0].very_wet_total.is_ok() && years[0].extremely_wet_total.is_err());
        assert!(years.last().unwrap().very_wet_total.is_err(), "the last year is in part");
        let mut areal = of(25);
        areal.extent = Extent::ArealMean;
        assert_eq!(base(&areal), Err(Withheld::ArealMean));
        assert_eq!(very_wet_years(&areal, &some)[0].very_wet_total, Err(Withheld::ArealMean));
        assert!(wet_day_thresholds(&of(25), i32::MAX, i32::MIN, QuantileDefinition::Type8).is_err());
    }
}
