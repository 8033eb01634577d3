//! How much more rain one gauge brings than another, calendar month by calendar month: sums over the days on which both measured.
//!
//! Ratio of a calendar month = sum of the one's depths / sum of the other's, over the days in common. It is the ratio of normals (CHECKS A5)
//! over a common period, taken day by day so that a gap, or a total over days, on one side takes nothing from the other. A calendar month
//! stands alone with 30 years of days in common (the length of a normal); else it takes the three months about it together, with 15 months of
//! days in common; else the whole year: the ratio of a few months is mostly chance. Of each number of months or years nine tenths do, since
//! February is short and a few days may be missing. Below 5 mm a month on the mean at either gauge the next wider one is taken, for the ratio of two dry months tells
//! nothing; and no month's ratio is believed beyond twice or half that of the year. Without five years of days in common in every calendar month
//! there is none: a gauge read in summer alone says nothing of winter. The rule is ours.

use super::DayAlignment;
use super::common_days::common_days;
use crate::calendar;
use serde::Serialize;
use series::{DailySeries, Withheld};

/// Years of days in common that a ratio needs, in each calendar month.
pub const YEARS_TOGETHER: u32 = 5;
const DAYS_OF_YEAR: f64 = 365.25;
const DAYS_OF_MONTH: f64 = DAYS_OF_YEAR / 12.0;
/// Months of days in common with which a calendar month stands alone.
const MONTH_NEEDS: f64 = 30.0;
/// Months of days in common with which three calendar months together do.
const THREE_MONTHS_NEED: f64 = 15.0;
/// The share of so many months or years that does.
const ENOUGH: f64 = 0.9;
/// How far from the year's the ratio of a month may lie, as a factor.
const BELIEVED: f64 = 2.0;
/// Least rain of a month on the mean, micrometres.
const LEAST_MEAN: f64 = 5000.0;

/// The rain of one gauge over that of another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GaugeRatios {
    /// January to December.
    pub months: [f64; 12],
    /// Of the year: the sum of the one's twelve mean months over that of the other's, over the days in common.
    pub annual: f64,
    /// Days in common.
    pub common_days: u32,
}

/// Days in common of a calendar month and their sums, micrometres.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    days: u32,
    one: i64,
    other: i64,
}

impl Sums {
    fn add(&mut self, more: Self) {
        self.days += more.days;
        self.one += more.one;
        self.other += more.other;
    }

    fn months(self) -> f64 {
        f64::from(self.days) / DAYS_OF_MONTH
    }

    fn ratio(self, needed: f64) -> Option<f64> {
        let months = self.months();
        let enough = |sum: i64| sum as f64 >= LEAST_MEAN * months;
        (months >= ENOUGH * needed && enough(self.one) && enough(self.other)).then(|| self.one as f64 / self.other as f64)
    }
}

impl GaugeRatios {
    /// Of two records, the second moved as `alignment` says.
    ///
    /// # Errors
    /// Too few years of days in common; no rain at one of them.
    pub fn new(one: &DailySeries, other: &DailySeries, alignment: DayAlignment) -> Result<Self, Withheld> {
        let by_month = sums_by_month(one, other, alignment);
        let mut year = Sums::default();
        for sums in &by_month {
            year.add(*sums);
        }
        let years_of_least = by_month.iter().map(|sums| sums.months()).fold(f64::INFINITY, f64::min);
        if years_of_least < ENOUGH * f64::from(YEARS_TOGETHER) {
            return Err(Withheld::TooFewYears { have: years_of_least.round() as u32, need: YEARS_TOGETHER });
        }
        if year.one == 0 || year.other == 0 {
            return Err(Withheld::NoRain);
        }
        // Means by calendar month, so that a season in common more often than others does not count more.
        let mean = |of: fn(&Sums) -> i64| by_month.iter().map(|sums| of(sums) as f64 / sums.months()).sum::<f64>();
        let annual = mean(|sums| sums.one) / mean(|sums| sums.other);
        let months = std::array::from_fn(|at| {
            let mut three = by_month[at];
            three.add(by_month[(at + 11) % 12]);
            three.add(by_month[(at + 1) % 12]);
            let ratio = by_month[at].ratio(MONTH_NEEDS).or_else(|| three.ratio(THREE_MONTHS_NEED)).unwrap_or(annual);
            ratio.clamp(annual / BELIEVED, annual * BELIEVED)
        });
        Ok(Self { months, annual, common_days: year.days })
    }

    /// Years of days in common.
    pub fn common_years(&self) -> f64 {
        f64::from(self.common_days) / DAYS_OF_YEAR
    }

    /// The other gauge over this one.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { months: self.months.map(f64::recip), annual: self.annual.recip(), common_days: self.common_days }
    }
}

fn sums_by_month(one: &DailySeries, other: &DailySeries, alignment: DayAlignment) -> [Sums; 12] {
    let mut by_month = [Sums::default(); 12];
    let mut months = calendar::months(one);
    let (mut month, mut end) = (0, 0);
    for day in common_days(one, other, alignment) {
        while day.at >= end {
            let Some(slice) = months.next() else { return by_month };
            month = slice.month as usize - 1;
            end += slice.readings.len();
        }
        by_month[month].add(Sums { days: 1, one: day.lead, other: day.other });
    }
    by_month
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Day, Reading, Station};

    /// Whole years with the same depth on each day of a calendar month, micrometres.
    fn years(years: std::ops::RangeInclusive<i32>, of: impl Fn(u32) -> i32) -> DailySeries {
        let period = series::Period::of_years(*years.start(), *years.end());
        let readings = period.iter().map(|day| Reading::measured(of(day.month()))).collect();
        DailySeries::new(Station::default(), period.first, readings)
    }

    fn ratios(one: &DailySeries, other: &DailySeries) -> Result<GaugeRatios, Withheld> {
        GaugeRatios::new(one, other, DayAlignment::NotTold)
    }

    #[test]
    fn a_month_alone_three_together_or_the_year() {
        // One brings twice as much in January; the other always the same. 30 common years let January stand alone.
        let one = years(1981..=2010, |month| if month == 1 { 2000 } else { 1000 });
        let found = ratios(&one, &years(1970..=2020, |_| 1000)).unwrap();
        assert_eq!((found.months[0], found.months[1], found.common_days), (2.0, 1.0, 10_957));
        // Equal days of rain, months of mean length: (2 + 11) / 12.
        assert!((found.annual - 13.0 / 12.0).abs() < 1e-12);
        assert_eq!(found.inverse().months[0], 0.5);
        // Nine times as much in one month is believed as twice the year's (9 + 11) / 12.
        let nine = ratios(&years(1981..=2010, |month| if month == 1 { 9000 } else { 1000 }), &years(1981..=2010, |_| 1000)).unwrap();
        assert!((nine.months[0] - 2.0 * 20.0 / 12.0).abs() < 1e-12, "{nine:?}");
        // Five years, 2008 a leap year: December, January and February are (31 + 62 + 28.2) over (31 + 31 + 28.2).
        let few = ratios(&one, &years(2006..=2010, |_| 1000)).unwrap();
        let winter = (31.0 + 62.0 + 28.2) / (31.0 + 31.0 + 28.2);
        assert!((few.months[0] - winter).abs() < 1e-12 && few.months[5] == 1.0, "{few:?}");
        // A dry July takes June and August to it.
        let wet = |dry: i32, wet: i32| move |month: u32| if month == 7 { dry } else { wet };
        let dry = ratios(&years(1981..=2010, wet(10, 2000)), &years(1981..=2010, wet(30, 1000))).unwrap();
        let three = (61.0 * 2000.0 + 31.0 * 10.0) / (61.0 * 1000.0 + 31.0 * 30.0);
        assert!((dry.months[6] - three).abs() < 1e-12, "{dry:?}");
    }

    #[test]
    fn too_little_in_common_gives_none() {
        let one = years(1990..=2010, |_| 1000);
        assert_eq!(ratios(&one, &years(2007..=2020, |_| 1)), Err(Withheld::TooFewYears { have: 4, need: 5 }));
        let mut summer = years(1990..=2010, |_| 1000).readings().to_vec();
        for (day, reading) in one.period().unwrap().iter().zip(&mut summer) {
            if day.month() == 1 {
                *reading = Reading::MISSING;
            }
        }
        let summer = DailySeries::new(Station::default(), Day::first_of_year(1990), summer);
        assert_eq!(ratios(&one, &summer), Err(Withheld::TooFewYears { have: 0, need: 5 }));
        assert_eq!(ratios(&one, &years(1990..=2010, |_| 0)), Err(Withheld::NoRain));
        let none = DailySeries::new(Station::default(), Day::first_of_year(2000), Vec::new());
        assert!(ratios(&one, &none).is_err());
    }
}
