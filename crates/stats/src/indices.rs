//! Yearly climate indices of daily rain by the ETCCDI definitions (climdex.org/learn/indices; CHECKS A2), with what a gap does to each.
//!
//! * PRCPTOT: rain on wet days (1.0 mm or more), mm; wet days; SDII = PRCPTOT / wet days, mm/d; all-day total, mm;
//! * Rx1day: the greatest day, Rx5day: the greatest sum of five days in a row that all lie in the year, mm;
//! * R10mm, R20mm: days of at least 10 and 20 mm;
//! * CDD, CWD: the longest run of days below 1.0 mm, and of at least 1.0 mm, cut at New Year as they are defined.
//!
//! R95p and R99p need a base period: [`very_wet_years`](crate::very_wet_years).
//!
//! Missing days: a sum or count of a year with one unaccounted day is withheld (CHECKS A1.1); the all-day total may use multi-day
//! totals of known length that lie in the year. Rx1day and Rx5day are the greatest of the days at hand (A1.4), withheld when more than
//! 5 % of the year is missing (H10). CDD and CWD are given where the gaps cannot change them. For the mean of an area, whose heavy days are
//! those of no gauge, Rx1day, Rx5day, R10mm and R20mm are withheld.

use crate::calendar::{self, YearSlice};
use crate::placed_totals::{PlacedTotal, placed_totals};
use crate::year_runs::longest_run;
use serde::Serialize;
use series::{DailySeries, Day, Reading, Withheld};

/// Greatest share of missing days with which the greatest day of a year is given.
pub const GREATEST_DAY_MISSING_SHARE: f64 = 0.05;

/// The indices of one calendar year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YearIndices {
    /// Which year.
    pub year: i32,
    /// Days with a depth of their own.
    pub usable: u32,
    /// The others.
    pub missing: u32,
    /// All rain of the year, mm.
    pub all_day_total: Result<f64, Withheld>,
    /// PRCPTOT, mm.
    pub wet_day_total: Result<f64, Withheld>,
    /// Days of at least 1.0 mm.
    pub wet_days: Result<u32, Withheld>,
    /// SDII, mm a wet day; a year without a wet day has none.
    pub daily_intensity: Result<f64, Withheld>,
    /// Rx1day: the day and mm, the earliest of equals.
    pub greatest_day: Result<(Day, f64), Withheld>,
    /// Rx5day: the last of the five days and mm, the earliest of equals.
    pub greatest_five_days: Result<(Day, f64), Withheld>,
    /// R10mm: days of at least 10 mm.
    pub heavy_days: Result<u32, Withheld>,
    /// R20mm: days of at least 20 mm.
    pub very_heavy_days: Result<u32, Withheld>,
    /// CDD, days.
    pub longest_dry_run: Result<u32, Withheld>,
    /// CWD, days.
    pub longest_wet_run: Result<u32, Withheld>,
}

/// The indices of every calendar year of the record.
pub fn yearly_indices(series: &DailySeries) -> Vec<YearIndices> {
    let mut years: Vec<YearIndices> = calendar::years(series).map(of_year).collect();
    if !series.extent.is_gauge() {
        for year in &mut years {
            (year.greatest_day, year.greatest_five_days) = (Err(Withheld::ArealMean), Err(Withheld::ArealMean));
            (year.heavy_days, year.very_heavy_days) = (Err(Withheld::ArealMean), Err(Withheld::ArealMean));
        }
    }
    years
}

fn of_year(slice: YearSlice<'_>) -> YearIndices {
    let (mut usable, mut wet, mut all, mut wet_total) = (0, 0, 0, 0);
    let mut greatest: Option<(usize, i64)> = None;
    for (i, depth) in slice.readings.iter().enumerate().filter_map(|(i, reading)| Some((i, reading.depth()?))) {
        usable += 1;
        all += depth;
        if depth >= Reading::WET_DAY_MICROMETRES {
            wet += 1;
            wet_total += depth;
        }
        if greatest.is_none_or(|(_, most)| depth > most) {
            greatest = Some((i, depth));
        }
    }
    let missing = slice.days - usable;
    let (covered, in_totals) = covered(slice.readings);
    let whole = |value| if missing == 0 { Ok(value) } else { Err(Withheld::NothingAccepted) };
    let count = |least: i64| {
        let days = slice.readings.iter().filter_map(|reading| reading.depth()).filter(|&depth| depth >= least).count();
        if missing == 0 { Ok(days as u32) } else { Err(Withheld::NothingAccepted) }
    };
    let enough = f64::from(missing) <= GREATEST_DAY_MISSING_SHARE * f64::from(slice.days);
    let greatest_day = greatest
        .filter(|_| enough)
        .map(|(i, depth)| (slice.first.plus(i as i32), calendar::millimetres(depth)))
        .ok_or(Withheld::NothingAccepted);
    YearIndices {
        year: slice.year,
        usable,
        missing,
        all_day_total: if missing == covered { Ok(calendar::millimetres(all + in_totals)) } else { Err(Withheld::NothingAccepted) },
        wet_day_total: whole(calendar::millimetres(wet_total)),
        wet_days: if missing == 0 { Ok(wet) } else { Err(Withheld::NothingAccepted) },
        daily_intensity: if wet == 0 { Err(Withheld::NothingAccepted) } else { whole(calendar::millimetres(wet_total) / f64::from(wet)) },
        greatest_day,
        greatest_five_days: greatest_five_days(slice)
            .filter(|_| enough)
            .map(|(day, sum)| (day, calendar::millimetres(sum)))
            .ok_or(Withheld::NothingAccepted),
        heavy_days: count(10_000),
        very_heavy_days: count(20_000),
        longest_dry_run: longest_run(slice, false),
        longest_wet_run: longest_run(slice, true),
    }
}

/// Days and micrometres of the multi-day totals that lie in the year.
fn covered(readings: &[Reading]) -> (u32, i64) {
    let inside = placed_totals(readings).filter(PlacedTotal::is_inside);
    inside.fold((0, 0), |sum, total| (sum.0 + u32::from(total.days), sum.1 + total.micrometres))
}

/// The greatest sum of five days in a row that lie in the year: its last day and micrometres, the earliest of equals.
fn greatest_five_days(slice: YearSlice<'_>) -> Option<(Day, i64)> {
    let mut best: Option<(usize, i64)> = None;
    for (first, five) in slice.readings.windows(5).enumerate() {
        let sum = five.iter().map(|reading| reading.depth()).sum::<Option<i64>>();
        if let Some(sum) = sum.filter(|&sum| best.is_none_or(|(_, most)| sum > most)) {
            best = Some((first + 4, sum));
        }
    }
    best.map(|(i, sum)| (slice.first.plus(i as i32), sum))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_1997, sparse_year};

    #[test]
    fn fort_collins_1997() {
        // CHECKS A2.1-A2.5 (COMPUTED own = xclim 0.62): counts exact, depths 1e-6 mm.
        let found = &yearly_indices(&sparse_year(1997, FORT_COLLINS_1997))[0];
        assert!((found.all_day_total.clone().unwrap() - 641.096).abs() < 1e-6);
        assert!((found.wet_day_total.clone().unwrap() - 625.602).abs() < 1e-6);
        assert!((found.daily_intensity.clone().unwrap() - 8.937_171_429).abs() < 1e-6);
        assert!((found.greatest_day.clone().unwrap().1 - 117.602).abs() < 1e-6);
        assert_eq!((found.wet_days.clone(), found.longest_dry_run.clone(), found.missing), (Ok(70), Ok(21), 0));
        assert_eq!((found.heavy_days.clone(), found.very_heavy_days.clone(), found.longest_wet_run.clone()), (Ok(14), Ok(7), Ok(5)));
        assert!((found.greatest_five_days.clone().unwrap().1 - 163.576).abs() < 1e-6);
    }

    #[test]
    fn fort_collins_1966_and_the_mean_longest_dry_run() {
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let years = yearly_indices(&rain);
        let found = years.iter().find(|year| year.year == 1966).unwrap();
        // CHECKS A2.1-A2.5.
        assert!((found.all_day_total.clone().unwrap() - 187.706).abs() < 1e-6);
        assert!((found.wet_day_total.clone().unwrap() - 176.022).abs() < 1e-6);
        assert!((found.daily_intensity.clone().unwrap() - 4.093_534_884).abs() < 1e-6);
        assert!((found.greatest_day.clone().unwrap().1 - 24.13).abs() < 1e-6);
        assert_eq!((found.wet_days.clone(), found.longest_dry_run.clone()), (Ok(43), Ok(56)));
        assert_eq!((found.heavy_days.clone(), found.very_heavy_days.clone(), found.longest_wet_run.clone()), (Ok(2), Ok(1), Ok(3)));
        assert!((found.greatest_five_days.clone().unwrap().1 - 30.48).abs() < 1e-6);
        // CHECKS A6.1, A6.2 and H16: annual runs cut at New Year, mean 38.87, greatest 97, least 18; L-moments.
        let runs: Vec<f64> = years.iter().map(|year| f64::from(year.longest_dry_run.clone().unwrap())).collect();
        assert_eq!((runs.len(), runs.iter().copied().fold(0.0, f64::max), runs.iter().copied().fold(400.0, f64::min)), (100, 97.0, 18.0));
        let moments = crate::LMoments::of(&runs).unwrap();
        for (found, expected) in
            [(moments.l1, 38.87), (moments.l2, 6.573_838_384), (moments.t3, 0.201_564_518_2), (moments.t4.unwrap(), 0.193_741_649_2)]
        {
            assert!((found / expected - 1.0).abs() < 1e-9, "{found} {expected}");
        }
    }

    #[test]
    fn a_gap_withholds_what_it_may_change_and_nothing_else() {
        let mut readings = vec![Reading::measured(0); 365];
        (0..365).step_by(10).for_each(|i| readings[i] = Reading::measured(5000));
        readings[100] = Reading::measured(9000);
        readings[205] = Reading::MISSING;
        readings[364] = Reading::measured(0);
        let year =
            |readings| yearly_indices(&DailySeries::new(series::Station::default(), Day::new(2001, 1, 1).unwrap(), readings)).remove(0);
        let found = year(readings.clone());
        assert_eq!((found.wet_days, found.wet_day_total), (Err(Withheld::NothingAccepted), Err(Withheld::NothingAccepted)));
        assert_eq!(found.greatest_day, Ok((Day::new(2001, 4, 11).unwrap(), 9.0)));
        assert_eq!(found.greatest_five_days, Ok((Day::new(2001, 4, 11).unwrap(), 9.0)), "the first five days that hold it");
        assert_eq!((found.heavy_days, found.very_heavy_days), (Err(Withheld::NothingAccepted), Err(Withheld::NothingAccepted)));
        assert_eq!(found.longest_dry_run, Ok(9), "another run of nine days is whole");
        readings[210] = Reading::MISSING;
        assert_eq!(year(readings.clone()).longest_dry_run, Err(Withheld::NothingAccepted), "nine at least, nineteen at most");
        readings[205] = Reading::WITHIN_TOTAL;
        readings[206] = Reading::accumulated(4000, Some(2));
        readings[210] = Reading::measured(5000);
        let found = year(readings);
        assert_eq!((found.all_day_total, found.missing), (Ok(37.0 * 5.0 + 4.0 + 4.0), 2));
    }
}
