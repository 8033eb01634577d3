//! The calendar years of a record, and its decades: days of each kind, rain, days of rain, the greatest day.

use crate::record_summary::{GreatestDay, millimetres};
use serde::Serialize;
use series::{DailySeries, DayCounts};
use stats::MonthlyTotal;
use std::collections::BTreeMap;

/// The days and the rain of some calendar years of a record.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct YearsOfRecord {
    /// First calendar year.
    pub first_year: i32,
    /// Last calendar year; the same for a single one.
    pub last_year: i32,
    /// Days of each kind that lie in the record.
    pub days: DayCounts,
    /// Days of these years before the record's first and after its last day.
    pub days_outside: usize,
    /// Sum of the usable days' own depths, mm.
    pub total_mm: f64,
    /// Usable days of any depth above zero; a trace is none.
    pub rain_days: usize,
    /// Usable days of at least 1.0 mm.
    pub wet_days: usize,
    /// The greatest depth of one usable day, the earliest of equals; nothing without rain.
    pub greatest_day: Option<GreatestDay>,
    #[serde(skip)]
    micrometres: i64,
}

impl YearsOfRecord {
    fn of_year(year: i32) -> Self {
        let days_outside = if series::is_leap_year(year) { 366 } else { 365 };
        Self {
            first_year: year,
            last_year: year,
            days: DayCounts::default(),
            days_outside,
            total_mm: 0.0,
            rain_days: 0,
            wet_days: 0,
            greatest_day: None,
            micrometres: 0,
        }
    }

    /// Whether every day of the years is usable.
    pub fn is_whole(&self) -> bool {
        self.days_outside == 0 && self.days.usable() == self.days.calendar
    }

    /// Days without a depth of their own, those outside of the record included.
    pub(crate) fn lost(&self) -> usize {
        self.days_outside + self.days.calendar - self.days.usable()
    }

    /// The year, or the first and last one.
    pub fn key(&self) -> String {
        if self.first_year == self.last_year { self.first_year.to_string() } else { format!("{}-{}", self.first_year, self.last_year) }
    }

    /// These years and later ones together.
    fn with(mut self, other: &Self) -> Self {
        self.last_year = other.last_year;
        let (ours, theirs) = (&mut self.days, other.days);
        ours.calendar += theirs.calendar;
        ours.measured += theirs.measured;
        ours.trace += theirs.trace;
        ours.accumulated += theirs.accumulated;
        ours.rejected += theirs.rejected;
        ours.missing += theirs.missing;
        ours.presumed_zero += theirs.presumed_zero;
        ours.estimated += theirs.estimated;
        ours.made_of_parts += theirs.made_of_parts;
        self.days_outside += other.days_outside;
        self.micrometres += other.micrometres;
        self.total_mm = millimetres(self.micrometres);
        self.rain_days += other.rain_days;
        self.wet_days += other.wet_days;
        self.greatest_day = match (self.greatest_day, other.greatest_day) {
            (Some(a), Some(b)) if b.depth_mm <= a.depth_mm => Some(a),
            (a, b) => b.or(a),
        };
        self
    }
}

/// What a year brings on the mean, over the years that are whole for it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct MeanYear {
    /// Years of which every calendar month is complete: a depth for every day, or inside a multi-day total within the month.
    pub complete_years: usize,
    /// Their mean rain, mm; nothing without one.
    pub rain_mm: Option<f64>,
    /// Years of which every day is usable: days of rain can be counted in no others.
    pub whole_years: usize,
    /// Their mean number of days of any depth above zero; nothing without one.
    pub rain_days: Option<f64>,
    /// Their mean number of days of at least 1.0 mm; nothing without one.
    pub wet_days: Option<f64>,
}

/// Every calendar year from the first to the last.
pub(crate) fn by_year(rain: &DailySeries) -> Vec<YearsOfRecord> {
    let mut years: Vec<YearsOfRecord> = Vec::new();
    for (day, reading) in rain.days() {
        if years.last().is_none_or(|last| last.first_year != day.year()) {
            years.push(YearsOfRecord::of_year(day.year()));
        }
        let Some(year) = years.last_mut() else { continue };
        year.days.add(reading);
        year.days_outside -= 1;
        if let Some(depth) = reading.depth() {
            year.micrometres += depth;
            year.rain_days += usize::from(depth > 0);
            year.wet_days += usize::from(reading.is_wet() == Some(true));
            year.greatest_day = GreatestDay::greater(year.greatest_day, day, depth);
        }
    }
    for year in &mut years {
        year.total_mm = millimetres(year.micrometres);
    }
    years
}

/// Decades of these years, cut at the first and the last.
pub(crate) fn by_decade(years: &[YearsOfRecord]) -> Vec<YearsOfRecord> {
    let mut decades: Vec<YearsOfRecord> = Vec::new();
    for year in years {
        match decades.last_mut() {
            Some(decade) if decade.first_year.div_euclid(10) == year.first_year.div_euclid(10) => *decade = decade.with(year),
            _ => decades.push(*year),
        }
    }
    decades
}

/// The mean year, from the years and the totals of the months.
pub(crate) fn mean_year(years: &[YearsOfRecord], months: &[MonthlyTotal]) -> MeanYear {
    let mut complete: BTreeMap<i32, (usize, i64)> = BTreeMap::new();
    for total in months.iter().filter(|total| total.accepted()) {
        let year = complete.entry(total.year).or_default();
        *year = (year.0 + 1, year.1 + total.micrometres);
    }
    let sums: Vec<i64> = complete.into_values().filter(|(months, _)| *months == 12).map(|(_, micrometres)| micrometres).collect();
    let whole: Vec<&YearsOfRecord> = years.iter().filter(|year| year.is_whole()).collect();
    let mean = |sum: f64, n: usize| (n > 0).then(|| sum / n as f64);
    let days = |of: fn(&YearsOfRecord) -> usize| mean(whole.iter().map(|year| of(year) as f64).sum(), whole.len());
    MeanYear {
        complete_years: sums.len(),
        rain_mm: mean(millimetres(sums.iter().sum()), sums.len()),
        whole_years: whole.len(),
        rain_days: days(|year| year.rain_days),
        wet_days: days(|year| year.wet_days),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stats::MonthRule;

    /// By hand: 2001 has 365 days of 1.0, 0.9 and 0 mm by threes: 122 of 1.0 mm, 122 of 0.9 mm, 121 dry; 122 x 1.9 mm = 231.8 mm. 2002 ends in
    /// November.
    #[test]
    fn days_of_rain_and_the_mean_year_are_counted_as_by_hand() {
        let days: Vec<Option<f64>> = (0..365 + 334).map(|i| Some([1.0, 0.9, 0.0][i % 3])).collect();
        let record = crate::test_records::read(&testkit::DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &days));
        let years = by_year(&record.rain);
        assert_eq!((years[0].wet_days, years[0].rain_days), (122, 244));
        let mean = mean_year(&years, &stats::monthly_totals(&record.rain, MonthRule::Whole));
        let expected = MeanYear { complete_years: 1, rain_mm: Some(231.8), whole_years: 1, rain_days: Some(244.0), wet_days: Some(122.0) };
        assert_eq!(mean, expected);
        assert_eq!(mean_year(&[], &[]), MeanYear::default());
    }
}
