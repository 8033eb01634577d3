//! The calendar years and months of a record as slices of its readings, without a date computed for every day.
//!
//! A month or year at the end of a record is given whole in length and in part in readings: its other days are missing.

use series::{DailySeries, Day, Reading, days_in_month, is_leap_year};

/// The readings of one calendar month that lie in the record.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MonthSlice<'a> {
    pub(crate) year: i32,
    /// 1 to 12.
    pub(crate) month: u32,
    /// Days of the calendar month, whether in the record or not.
    pub(crate) days: u32,
    /// The first reading's day.
    pub(crate) first: Day,
    pub(crate) readings: &'a [Reading],
}

/// The months from the record's first day to its last, in order.
pub(crate) fn months(series: &DailySeries) -> impl Iterator<Item = MonthSlice<'_>> {
    let readings = series.readings();
    let mut next = series.period().map(|period| (period.first, period.first.ymd()));
    let mut at = 0;
    std::iter::from_fn(move || {
        let (first, (year, month, date)) = next?;
        let days = days_in_month(year, month);
        let length = ((days + 1 - date) as usize).min(readings.len() - at);
        let slice = MonthSlice { year, month, days, first, readings: &readings[at..at + length] };
        at += length;
        let after = if month == 12 { (year + 1, 1, 1) } else { (year, month + 1, 1) };
        next = (at < readings.len()).then(|| (first.plus(length as i32), after));
        Some(slice)
    })
}

/// The readings of one calendar year that lie in the record.
#[derive(Debug, Clone, Copy)]
pub(crate) struct YearSlice<'a> {
    pub(crate) year: i32,
    /// Days of the calendar year, whether in the record or not.
    pub(crate) days: u32,
    /// The first reading's day.
    pub(crate) first: Day,
    pub(crate) readings: &'a [Reading],
}

/// The years from the record's first day to its last, in order.
pub(crate) fn years(series: &DailySeries) -> impl Iterator<Item = YearSlice<'_>> {
    let readings = series.readings();
    let mut next = series.period().map(|period| period.first);
    let mut at = 0;
    std::iter::from_fn(move || {
        let first = next?;
        let year = first.year();
        let length = ((Day::last_of_year(year).since(first) + 1) as usize).min(readings.len() - at);
        let slice = YearSlice { year, days: days_in_year(year), first, readings: &readings[at..at + length] };
        at += length;
        next = (at < readings.len()).then(|| first.plus(length as i32));
        Some(slice)
    })
}

/// Days of a calendar year.
pub(crate) fn days_in_year(year: i32) -> u32 {
    365 + u32::from(is_leap_year(year))
}

/// Micrometres as millimetres.
pub(crate) fn millimetres(micrometres: i64) -> f64 {
    micrometres as f64 / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::Station;

    #[test]
    fn months_and_years_tile_the_record() {
        let first = Day::new(1999, 11, 17).unwrap();
        for length in [1_usize, 14, 15, 45, 46, 500, 1300] {
            let series = DailySeries::new(Station::default(), first, vec![Reading::measured(1); length]);
            let mut day = first;
            for month in months(&series) {
                assert_eq!((month.first, month.year, month.month), (day, day.year(), day.month()));
                assert!(month.readings.len() <= month.days as usize);
                day = day.plus(month.readings.len() as i32);
            }
            assert_eq!(day, first.plus(length as i32));
            let mut day = first;
            for year in years(&series) {
                assert_eq!((year.first, year.year), (day, day.year()));
                day = day.plus(year.readings.len() as i32);
            }
            assert_eq!(day, first.plus(length as i32));
        }
        assert_eq!(months(&DailySeries::default()).count() + years(&DailySeries::default()).count(), 0);
    }
}
