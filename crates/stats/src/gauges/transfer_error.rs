//! What came out for a gauge that was left out, beside what it measured: bias, months, wet days, dry spells, greatest days.
//!
//! Only years in which the gauge measured every day and the series has a depth on every day are compared, so that a gap on one side cannot
//! pass for an error. A wet day has at least 1 mm (ETCCDI). Dry spells here are cut at New Year, as an index of a year is, on both sides
//! alike.

use crate::calendar;
use crate::site_series::SiteSeries;
use serde::Serialize;
use series::{DailySeries, Day, Withheld};

/// Least depth of a wet day, mm.
const WET_DAY_MM: f64 = 1.0;
/// Fewest years.
const NEEDED_YEARS: u32 = 5;

/// A number as measured and as it came out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pair {
    /// At the gauge that was left out.
    pub measured: f64,
    /// From the others.
    pub estimated: f64,
}

/// The error at one gauge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TransferError {
    /// Years compared.
    pub years: Vec<i32>,
    /// Mean rain of a year, mm.
    pub annual_mm: Pair,
    /// Mean error of a month's rain, sign left aside, over the mean rain of a month.
    pub month_error: f64,
    /// Share of wet days.
    pub wet_days: Pair,
    /// Mean of the years' longest dry spells, days.
    pub dry_spell_days: Pair,
    /// Mean of the years' greatest days, mm.
    pub greatest_day_mm: Pair,
}

impl TransferError {
    /// Rain that came out over what was measured, less 1.
    pub fn bias(&self) -> f64 {
        self.annual_mm.estimated / self.annual_mm.measured - 1.0
    }
}

/// Compares a record with a series made for its place without it.
///
/// # Errors
/// Under five years to compare; no rain in them.
pub fn transfer_error(measured: &DailySeries, estimated: &SiteSeries) -> Result<TransferError, Withheld> {
    let mut years = Vec::new();
    let (mut one, mut other) = (Sums::default(), Sums::default());
    let mut off = 0.0;
    for slice in calendar::years(measured) {
        let whole = slice.readings.len() == slice.days as usize && slice.readings.iter().all(|reading| reading.is_usable());
        let Some(estimates) = whole.then(|| depths(estimated, slice.first, slice.readings.len())).flatten() else { continue };
        let depths: Vec<f64> = slice.readings.iter().map(|reading| reading.depth().unwrap_or(0) as f64 / 1000.0).collect();
        years.push(slice.year);
        one.add(&depths);
        other.add(&estimates);
        let mut from = 0;
        for month in 1..=12 {
            let to = from + series::days_in_month(slice.year, month) as usize;
            let sum = |of: &[f64]| of[from..to].iter().sum::<f64>();
            off += (sum(&estimates) - sum(&depths)).abs();
            from = to;
        }
    }
    let n = years.len() as u32;
    if n < NEEDED_YEARS {
        return Err(Withheld::TooFewYears { have: n, need: NEEDED_YEARS });
    }
    if one.rain <= 0.0 {
        return Err(Withheld::NoRain);
    }
    let pair = |of: fn(&Sums) -> f64, over: f64| Pair { measured: of(&one) / over, estimated: of(&other) / over };
    let (n, days) = (f64::from(n), one.days as f64);
    Ok(TransferError {
        years,
        annual_mm: pair(|sums| sums.rain, n),
        month_error: off / one.rain,
        wet_days: pair(|sums| sums.wet, days),
        dry_spell_days: pair(|sums| sums.longest_dry, n),
        greatest_day_mm: pair(|sums| sums.greatest, n),
    })
}

/// The depths of days from one on; nothing where one has none.
fn depths(estimated: &SiteSeries, first: Day, length: usize) -> Option<Vec<f64>> {
    let at = usize::try_from(first.since(estimated.first)).ok()?;
    estimated.days.get(at..at + length)?.iter().map(|day| day.depth.map(series::Depth::get)).collect()
}

/// Sums over years.
#[derive(Debug, Default)]
struct Sums {
    days: usize,
    rain: f64,
    wet: f64,
    longest_dry: f64,
    greatest: f64,
}

impl Sums {
    fn add(&mut self, year: &[f64]) {
        self.days += year.len();
        self.rain += year.iter().sum::<f64>();
        self.wet += year.iter().filter(|depth| **depth >= WET_DAY_MM).count() as f64;
        let runs = year.chunk_by(|a, b| (*a < WET_DAY_MM) == (*b < WET_DAY_MM));
        self.longest_dry += runs.filter(|run| run[0] < WET_DAY_MM).map(<[f64]>::len).max().unwrap_or(0) as f64;
        self.greatest += year.iter().fold(0.0, |greatest: f64, depth| greatest.max(*depth));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site_series::{Filling, SiteGauges, site_series};
    use series::{DailyTemperature, Period, Reading, Station};

    /// Years of one wet day in five of 5 mm, the others dry.
    fn record(years: std::ops::RangeInclusive<i32>) -> DailySeries {
        let first = Day::first_of_year(*years.start());
        let days = Day::last_of_year(*years.end()).since(first) + 1;
        DailySeries::new(Station::default(), first, (0..days).map(|i| Reading::measured(if i % 5 == 0 { 5000 } else { 0 })).collect())
    }

    fn series(rain: &DailySeries, factor: f64) -> SiteSeries {
        let none = DailyTemperature::new();
        let gauges = SiteGauges { factors: [factor; 12], ..SiteGauges::alone(rain, &none) };
        site_series(gauges, Filling::default(), Period::of_years(1600, 2299)).unwrap()
    }

    #[test]
    fn the_same_record_has_no_error_and_a_factor_shows_as_bias() {
        let rain = record(2001..=2010);
        let same = transfer_error(&rain, &series(&rain, 1.0)).unwrap();
        assert_eq!((same.years.len(), same.bias(), same.month_error), (10, 0.0, 0.0));
        assert_eq!((same.dry_spell_days.measured, same.greatest_day_mm.estimated), (4.0, 5.0));
        assert!((same.wet_days.measured - 0.2).abs() < 0.001);
        let more = transfer_error(&rain, &series(&rain, 1.1)).unwrap();
        assert!(
            (more.bias() - 0.1).abs() < 1e-9
                && (more.month_error - 0.1).abs() < 1e-9
                && (more.greatest_day_mm.estimated - 5.5).abs() < 1e-9
        );
        // 5 mm times 0.19 is no wet day: the whole year is dry.
        let dry = transfer_error(&rain, &series(&rain, 0.19)).unwrap();
        assert_eq!((dry.wet_days.estimated, dry.dry_spell_days.estimated.round()), (0.0, 365.0));
    }

    #[test]
    fn a_year_with_a_gap_is_left_out_and_too_few_are_withheld() {
        let rain = record(2001..=2010);
        let mut gappy = rain.readings().to_vec();
        gappy[400] = Reading::MISSING;
        let gappy = DailySeries::new(Station::default(), Day::first_of_year(2001), gappy);
        let found = transfer_error(&gappy, &series(&record(1995..=2008), 1.0)).unwrap();
        assert_eq!(found.years, [2001, 2003, 2004, 2005, 2006, 2007, 2008]);
        assert_eq!(transfer_error(&gappy, &series(&record(1995..=2005), 1.0)), Err(Withheld::TooFewYears { have: 4, need: 5 }));
    }
}
