//! The calendar months of a record: how whole they are, their rain, their days of rain, their greatest day.

use crate::record_summary::{GreatestDay, millimetres};
use serde::Serialize;
use series::DailySeries;
use stats::MonthlyTotal;

/// The same calendar month of all years.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MonthOfRecord {
    /// 1 to 12.
    pub month: u32,
    /// Its days from the record's first to its last.
    pub days: usize,
    /// Of those, the usable ones.
    pub usable: usize,
    /// Months with a depth for every day, or inside a multi-day total within the month.
    pub complete: usize,
    /// Mean rain of the complete months, mm; nothing without one.
    pub mean_mm: Option<f64>,
    /// The wettest complete month, mm; the earliest of equals; nothing where none had rain.
    pub most_mm: Option<f64>,
    /// The year of the wettest complete month.
    pub most_year: Option<i32>,
    /// Months of which every day is usable: days of rain can be counted in no others.
    pub whole: usize,
    /// Their mean number of days of any depth above zero; a trace is none.
    pub mean_rain_days: Option<f64>,
    /// Their mean number of days of at least 1.0 mm.
    pub mean_wet_days: Option<f64>,
    /// The greatest depth of one usable day; nothing without rain.
    pub greatest_day: Option<GreatestDay>,
}

impl MonthOfRecord {
    /// Usable days over days, 0 to 1; nothing for a month that the record never reaches.
    pub fn coverage(&self) -> Option<f64> {
        (self.days > 0).then(|| self.usable as f64 / self.days as f64)
    }
}

/// Days of rain of one month while it is counted.
#[derive(Default)]
struct Counted {
    key: (i32, u32),
    usable: u32,
    rain_days: usize,
    wet_days: usize,
}

/// January to December; `totals` are the months' own.
pub(crate) fn by_month(rain: &DailySeries, totals: &[MonthlyTotal]) -> Vec<MonthOfRecord> {
    let blank = |month| MonthOfRecord {
        month,
        days: 0,
        usable: 0,
        complete: 0,
        mean_mm: None,
        most_mm: None,
        most_year: None,
        whole: 0,
        mean_rain_days: None,
        mean_wet_days: None,
        greatest_day: None,
    };
    let mut months: Vec<MonthOfRecord> = (1..=12).map(blank).collect();
    let mut days_of_rain = [(0_usize, 0_usize); 12];
    let mut close = |counted: &Counted, months: &mut [MonthOfRecord]| {
        let (year, month) = counted.key;
        if counted.usable > 0 && counted.usable == series::days_in_month(year, month) {
            let at = month as usize - 1;
            months[at].whole += 1;
            days_of_rain[at].0 += counted.rain_days;
            days_of_rain[at].1 += counted.wet_days;
        }
    };
    let mut counted = Counted::default();
    for (day, reading) in rain.days() {
        if counted.key != (day.year(), day.month()) {
            close(&counted, &mut months);
            counted = Counted { key: (day.year(), day.month()), ..Counted::default() };
        }
        let month = &mut months[day.month() as usize - 1];
        month.days += 1;
        if let Some(depth) = reading.depth() {
            month.usable += 1;
            month.greatest_day = GreatestDay::greater(month.greatest_day, day, depth);
            counted.usable += 1;
            counted.rain_days += usize::from(depth > 0);
            counted.wet_days += usize::from(reading.is_wet() == Some(true));
        }
    }
    close(&counted, &mut months);
    for (month, (rain_days, wet_days)) in months.iter_mut().zip(days_of_rain) {
        let complete: Vec<&MonthlyTotal> = totals.iter().filter(|total| total.month == month.month && total.accepted()).collect();
        month.complete = complete.len();
        let sum: i64 = complete.iter().map(|total| total.micrometres).sum();
        month.mean_mm = (!complete.is_empty()).then(|| millimetres(sum) / complete.len() as f64);
        let wettest = crate::record_sheet::first_greatest(complete.iter(), |total| total.micrometres).filter(|total| total.micrometres > 0);
        month.most_mm = wettest.map(|total| millimetres(total.micrometres));
        month.most_year = wettest.map(|total| total.year);
        let mean = |days: usize| (month.whole > 0).then(|| days as f64 / month.whole as f64);
        (month.mean_rain_days, month.mean_wet_days) = (mean(rain_days), mean(wet_days));
    }
    months
}

#[cfg(test)]
mod tests {
    use super::*;
    use testkit::DlyText;

    #[test]
    fn calendar_months_add_up_over_the_years() {
        // Januaries of 31 mm and 62 mm, of which both are whole; a February of 27 days; nothing else.
        let text = DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &[Some(1.0); 31 + 27]).rain_run_mm((2002, 1, 1), &[Some(2.0); 31]);
        let rain = crate::test_records::read(&text).rain;
        let months = by_month(&rain, &stats::monthly_totals(&rain, stats::MonthRule::Whole));
        let (january, february, march) = (months[0], months[1], months[2]);
        assert_eq!((january.days, january.usable, january.complete, january.coverage()), (62, 62, 2, Some(1.0)));
        assert_eq!((january.mean_mm, january.most_mm, january.most_year), (Some(46.5), Some(62.0), Some(2002)));
        assert_eq!((january.whole, january.mean_rain_days, january.mean_wet_days), (2, Some(31.0), Some(31.0)));
        assert_eq!((february.whole, february.mean_wet_days), (0, None), "no day of rain is counted in a month with a day lost");
        assert_eq!((february.days, february.usable, february.complete, february.mean_mm), (28, 27, 0, None));
        assert_eq!((march.days, march.coverage(), march.greatest_day), (31, Some(0.0), None));
    }

    #[test]
    fn a_month_without_rain_has_no_wettest() {
        let rain = crate::test_records::read(&DlyText::new("XXT00000001").rain_run_mm((2001, 9, 1), &[Some(0.0); 30])).rain;
        let september = by_month(&rain, &stats::monthly_totals(&rain, stats::MonthRule::Whole))[8];
        assert_eq!((september.complete, september.mean_mm, september.mean_rain_days), (1, Some(0.0), Some(0.0)));
        assert_eq!((september.most_mm, september.most_year, september.greatest_day), (None, None, None));
    }
}
