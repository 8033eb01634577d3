//! How whole a record is: days by kind in each year and month, the years that are whole enough, and the runs without a value.
//!
//! A day is usable when it has a depth of its own (measured or trace). Days of the first and last year that lie outside the
//! record are missing days of that year: half a year is never taken for a whole one.

use crate::calendar;
use serde::Serialize;
use series::{DailySeries, DayCounts, Period};

/// The days of one calendar year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct YearCounts {
    /// Which year.
    pub year: i32,
    /// Its calendar days, 365 or 366.
    pub days: u32,
    /// What its days inside the record are.
    pub counts: DayCounts,
}

/// The days of one calendar month.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct MonthCounts {
    /// Which year.
    pub year: i32,
    /// Which month, 1 to 12.
    pub month: u32,
    /// Its calendar days.
    pub days: u32,
    /// What its days inside the record are.
    pub counts: DayCounts,
}

/// Days without a depth of their own, one after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct MissingRun {
    /// From which day to which.
    pub period: Period,
    /// How many of them a multi-day total ends on or covers.
    pub accumulated: usize,
    /// How many had a value that was not accepted.
    pub rejected: usize,
}

impl YearCounts {
    /// Days of the calendar year without a depth of their own.
    pub fn missing(&self) -> u32 {
        self.days - self.counts.usable() as u32
    }

    /// The same as a share of the calendar year, 0 to 1.
    pub fn missing_share(&self) -> f64 {
        f64::from(self.missing()) / f64::from(self.days)
    }
}

/// What the days of each calendar year are, first to last year of the record.
pub fn counts_by_year(series: &DailySeries) -> Vec<YearCounts> {
    calendar::years(series).map(|slice| YearCounts { year: slice.year, days: slice.days, counts: counts(slice.readings) }).collect()
}

/// What the days of each calendar month are, first to last month of the record.
pub fn counts_by_month(series: &DailySeries) -> Vec<MonthCounts> {
    calendar::months(series)
        .map(|slice| MonthCounts { year: slice.year, month: slice.month, days: slice.days, counts: counts(slice.readings) })
        .collect()
}

/// The years of which at most this share of the days has no depth of its own (0 to 1; DESIGN uses 0.05).
pub fn accepted_years(series: &DailySeries, greatest_missing_share: f64) -> Vec<i32> {
    counts_by_year(series).iter().filter(|year| year.missing_share() <= greatest_missing_share).map(|year| year.year).collect()
}

/// Every run of days without a depth of their own, in order; they never touch.
pub fn missing_runs(series: &DailySeries) -> Vec<MissingRun> {
    let Some(period) = series.period() else { return Vec::new() };
    let readings = series.readings();
    let mut runs = Vec::new();
    let mut at = 0;
    while at < readings.len() {
        let length = readings[at..].iter().take_while(|reading| !reading.is_usable()).count();
        if length == 0 {
            at += 1;
            continue;
        }
        let counts = counts(&readings[at..at + length]);
        let first = period.first.plus(at as i32);
        runs.push(MissingRun {
            period: Period::new(first, first.plus(length as i32 - 1)),
            accumulated: counts.accumulated,
            rejected: counts.rejected,
        });
        at += length;
    }
    runs
}

fn counts(readings: &[series::Reading]) -> DayCounts {
    let mut counts = DayCounts::default();
    for &reading in readings {
        counts.add(reading);
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Day, Reading, Rejection, Station};

    #[test]
    fn a_half_year_is_not_a_whole_one() {
        let mut readings = vec![Reading::measured(0); 184 + 365];
        readings[200] = Reading::MISSING;
        readings[201] = Reading::rejected(5, Rejection::QualityFlag(b'X'));
        readings[300] = Reading::accumulated(5000, None);
        let series = DailySeries::new(Station::default(), Day::new(1999, 7, 1).unwrap(), readings);
        let years = counts_by_year(&series);
        assert_eq!((years.len(), years[0].missing(), years[1].missing(), years[1].days), (2, 181, 1 + 3, 366));
        assert_eq!(accepted_years(&series, 0.05), [2000]);
        assert_eq!(accepted_years(&series, 0.01), Vec::<i32>::new(), "4 of 366 is above 1 %");
        let months = counts_by_month(&series);
        assert_eq!(months.iter().map(|month| month.counts.calendar).sum::<usize>(), 549);
        let runs = missing_runs(&series);
        assert_eq!(runs.iter().map(|run| (run.period.days(), run.accumulated, run.rejected)).collect::<Vec<_>>(), [(2, 0, 1), (1, 1, 0)]);
        assert!(missing_runs(&DailySeries::default()).is_empty());
    }
}
