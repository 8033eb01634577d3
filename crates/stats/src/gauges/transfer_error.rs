//! What came out for a gauge that was left out, beside what it measured: bias, months, wet days, dry spells, greatest days.
//!
//! Compared are the days on which the gauge measured and the series has a depth of those days, not of another year's; a day without one is left
//! out of both sides alike, so that a gap cannot pass for an error. Months count with 25 such days. Dry spells and greatest days are of years with 95 % of their days; a spell ends
//! at a day that is left out, and at New Year as an index of a year does, on both sides alike. A wet day has at least 1 mm (ETCCDI).

use crate::calendar;
use crate::site_series::SiteSeries;
use serde::Serialize;
use series::{DailySeries, Withheld};

/// Least depth of a wet day, mm.
const WET_DAY_MM: f64 = 1.0;
/// Fewest years of days, and fewest years of spells.
const NEEDED_YEARS: u32 = 5;
const DAYS_OF_YEAR: f64 = 365.25;
/// Fewest days of a month that is compared.
const DAYS_OF_COMPARED_MONTH: usize = 25;
/// Least share of days of a year whose spells and greatest day are compared.
const SHARE_OF_COMPARED_YEAR: f64 = 0.95;

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
    /// Days compared.
    pub days: usize,
    /// Rain of a year at the mean of those days, mm.
    pub annual_mm: Pair,
    /// Mean error of a month's rain, sign left aside, over the mean rain of a month.
    pub month_error: f64,
    /// Share of wet days.
    pub wet_days: Pair,
    /// Of the years.
    pub of_years: Result<YearlyError, Withheld>,
}

/// What came out of whole years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YearlyError {
    /// Which.
    pub years: Vec<i32>,
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

/// A day's depths, measured and from the others, mm.
type Both = (f64, f64);

/// Compares a record with a series made for its place without it, whose dates are `days_later` later than the record's of the same rain.
///
/// # Errors
/// Under five years of days to compare; no rain in them.
pub fn transfer_error(measured: &DailySeries, estimated: &SiteSeries, days_later: i32) -> Result<TransferError, Withheld> {
    let mut sums = Sums::default();
    let mut years = Vec::new();
    let (mut dry, mut greatest) = (Pair { measured: 0.0, estimated: 0.0 }, Pair { measured: 0.0, estimated: 0.0 });
    for slice in calendar::years(measured) {
        let days: Vec<Option<Both>> = (0..)
            .zip(slice.readings)
            .map(|(at, reading)| {
                let theirs = estimated.day(slice.first.plus(at + days_later)).filter(|day| !day.origin.is_of_another_year())?.depth?;
                Some((reading.depth()? as f64 / 1000.0, theirs.get()))
            })
            .collect();
        sums.add(&days, slice.first);
        let compared = days.iter().flatten().count();
        if compared as f64 >= SHARE_OF_COMPARED_YEAR * f64::from(slice.days) {
            years.push(slice.year);
            dry = added(dry, longest_dry(&days, |both| both.0), longest_dry(&days, |both| both.1));
            let most = |of: fn(&Both) -> f64| days.iter().flatten().map(of).fold(0.0, f64::max);
            greatest = added(greatest, most(|both| both.0), most(|both| both.1));
        }
    }
    let have = (sums.days as f64 / DAYS_OF_YEAR) as u32;
    if sums.days < (DAYS_OF_YEAR * f64::from(NEEDED_YEARS)) as usize {
        return Err(Withheld::TooFewYears { have, need: NEEDED_YEARS });
    }
    if sums.rain.0 <= 0.0 || sums.of_months <= 0.0 {
        return Err(Withheld::NoRain);
    }
    let pair = |both: Both, over: f64| Pair { measured: both.0 / over, estimated: both.1 / over };
    let n = years.len() as u32;
    let of_years = if n < NEEDED_YEARS {
        Err(Withheld::TooFewYears { have: n, need: NEEDED_YEARS })
    } else {
        let mean = |pair: Pair| Pair { measured: pair.measured / f64::from(n), estimated: pair.estimated / f64::from(n) };
        Ok(YearlyError { years, dry_spell_days: mean(dry), greatest_day_mm: mean(greatest) })
    };
    Ok(TransferError {
        days: sums.days,
        annual_mm: pair(sums.rain, sums.days as f64 / DAYS_OF_YEAR),
        month_error: sums.off / sums.of_months,
        wet_days: pair(sums.wet, sums.days as f64),
        of_years,
    })
}

fn added(pair: Pair, measured: f64, estimated: f64) -> Pair {
    Pair { measured: pair.measured + measured, estimated: pair.estimated + estimated }
}

/// The longest run of days below the wet day; a day that is not compared ends it.
fn longest_dry(days: &[Option<Both>], of: fn(&Both) -> f64) -> f64 {
    let is_dry = |day: &Option<Both>| day.as_ref().is_some_and(|both| of(both) < WET_DAY_MM);
    let runs = days.chunk_by(|a, b| is_dry(a) == is_dry(b));
    runs.filter(|run| is_dry(&run[0])).map(<[_]>::len).max().unwrap_or(0) as f64
}

/// Sums over days and months; of pairs, measured first.
#[derive(Debug, Default)]
struct Sums {
    days: usize,
    rain: Both,
    wet: Both,
    /// Rain of the compared months as measured, and the errors of them, sign left aside.
    of_months: f64,
    off: f64,
}

impl Sums {
    fn add(&mut self, days: &[Option<Both>], first: series::Day) {
        let one = |wet: bool| f64::from(u8::from(wet));
        for both in days.iter().flatten() {
            self.days += 1;
            self.rain = (self.rain.0 + both.0, self.rain.1 + both.1);
            self.wet = (self.wet.0 + one(both.0 >= WET_DAY_MM), self.wet.1 + one(both.1 >= WET_DAY_MM));
        }
        let mut from = 0;
        while from < days.len() {
            let (year, month, date) = first.plus(from as i32).ymd();
            let to = (from + (series::days_in_month(year, month) + 1 - date) as usize).min(days.len());
            let compared = || days[from..to].iter().flatten();
            if compared().count() >= DAYS_OF_COMPARED_MONTH {
                let sum = |of: fn(&Both) -> f64| compared().map(of).sum::<f64>();
                let measured = sum(|both| both.0);
                self.of_months += measured;
                self.off += (sum(|both| both.1) - measured).abs();
            }
            from = to;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site_series::{Filling, SiteGauges, site_series};
    use series::{DailyTemperature, Day, Period, Reading, Station};

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
        let of = |factor| {
            let found = transfer_error(&rain, &series(&rain, factor), 0).unwrap();
            let of_years = found.of_years.clone().unwrap();
            (found, of_years)
        };
        let (same, of_years) = of(1.0);
        assert_eq!((same.days, same.bias(), same.month_error), (3652, 0.0, 0.0));
        // The same rain a day later is no error once that is known.
        let late = DailySeries::new(Station::default(), Day::first_of_year(2001).plus(1), rain.readings().to_vec());
        let of_late = |days_later| transfer_error(&rain, &series(&late, 1.0), days_later).unwrap().month_error;
        assert!(of_late(1) == 0.0 && of_late(0) > 0.0);
        assert_eq!((of_years.years.len(), of_years.dry_spell_days.measured, of_years.greatest_day_mm.estimated), (10, 4.0, 5.0));
        assert!((same.wet_days.measured - 0.2).abs() < 0.001 && (same.annual_mm.measured - 365.25).abs() < 0.5);
        let (more, of_years) = of(1.1);
        assert!((more.bias() - 0.1).abs() < 1e-9 && (more.month_error - 0.1).abs() < 1e-9);
        assert!((of_years.greatest_day_mm.estimated - 5.5).abs() < 1e-9);
        // 5 mm times 0.19 is no wet day: the whole year is dry.
        let (dry, of_years) = of(0.19);
        assert_eq!((dry.wet_days.estimated, of_years.dry_spell_days.estimated.round()), (0.0, 365.0));
    }

    #[test]
    fn days_that_one_side_lacks_are_left_out_of_both() {
        let rain = record(2001..=2010);
        let mut gappy = rain.readings().to_vec();
        // 20 days of 2002 are over 5 %; 18 days of 2004 are not, and end a spell.
        gappy[400..420].fill(Reading::MISSING);
        gappy[1200..1218].fill(Reading::MISSING);
        let gappy = DailySeries::new(Station::default(), Day::first_of_year(2001), gappy);
        // The others rain on the same days: the fifth, tenth, ... since 2001.
        let found = transfer_error(&gappy, &series(&rain, 1.0), 0).unwrap();
        assert_eq!((found.days, found.bias(), found.month_error), (3652 - 38, 0.0, 0.0));
        let of_years = found.of_years.unwrap();
        assert_eq!(of_years.years, [2001, 2003, 2004, 2005, 2006, 2007, 2008, 2009, 2010]);
        assert_eq!(of_years.dry_spell_days, Pair { measured: 4.0, estimated: 4.0 });
        assert_eq!(transfer_error(&gappy, &series(&record(2007..=2020), 1.0), 0).unwrap_err(), Withheld::TooFewYears { have: 4, need: 5 });
    }
}
