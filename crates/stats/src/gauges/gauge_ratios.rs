//! How much more rain one gauge brings than another, calendar month by calendar month: the ratio of normals over the years in which both have
//! the month.
//!
//! Ratio of a calendar month = sum of the one's accepted totals / sum of the other's, over the months that both have. A calendar month stands
//! alone with at least 30 years in common (the length of a normal); else it takes the three months about it together, with at least 15 months
//! in common; else the whole year: the ratio of a few years' months is mostly chance. Under 5 mm a month on the mean at either gauge the next wider one is taken: a ratio of two dry months tells nothing. Without
//! five years of months in common there is none. The rule is ours; the ratio is the normal ratio's (CHECKS A5).

use crate::monthly::MonthlyTotal;
use serde::Serialize;
use series::Withheld;

/// Years of months in common that a ratio needs.
pub const YEARS_TOGETHER: u32 = 5;
/// Common months with which a calendar month stands alone.
const MONTH_NEEDS: u32 = 30;
/// Common months with which three calendar months together do.
const THREE_MONTHS_NEED: u32 = 15;
/// Least rain of a month on the mean, micrometres.
const LEAST_MEAN: f64 = 5000.0;

/// The rain of one gauge over that of another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GaugeRatios {
    /// January to December.
    pub months: [f64; 12],
    /// Of the year: the sum of the twelve means over that of the other gauge, over the months in common.
    pub annual: f64,
    /// Months in common.
    pub common_months: u32,
}

/// Months in common of a calendar month and their sums, micrometres.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    n: u32,
    one: i64,
    other: i64,
}

impl Sums {
    fn add(&mut self, more: Self) {
        self.n += more.n;
        self.one += more.one;
        self.other += more.other;
    }

    fn ratio(self, needed: u32) -> Option<f64> {
        let enough = |sum: i64| sum as f64 >= LEAST_MEAN * f64::from(self.n);
        (self.n >= needed && enough(self.one) && enough(self.other)).then(|| self.one as f64 / self.other as f64)
    }
}

impl GaugeRatios {
    /// Of two records' monthly totals, each in order of time.
    ///
    /// # Errors
    /// Too few years in common; no rain at one of them.
    pub fn new(one: &[MonthlyTotal], other: &[MonthlyTotal]) -> Result<Self, Withheld> {
        let mut by_month = [Sums::default(); 12];
        let mut others = other.iter().peekable();
        for month in one {
            let key = (month.year, month.month);
            while others.next_if(|total| (total.year, total.month) < key).is_some() {}
            let Some(beside) = others.next_if(|total| (total.year, total.month) == key) else { continue };
            if month.accepted() && beside.accepted() {
                by_month[month.month as usize - 1].add(Sums { n: 1, one: month.micrometres, other: beside.micrometres });
            }
        }
        let mut year = Sums::default();
        by_month.iter().for_each(|sums| year.add(*sums));
        if year.n < 12 * YEARS_TOGETHER {
            return Err(Withheld::TooFewYears { have: year.n / 12, need: YEARS_TOGETHER });
        }
        if year.one == 0 || year.other == 0 {
            return Err(Withheld::NoRain);
        }
        let whole_year = year.one as f64 / year.other as f64;
        let months = std::array::from_fn(|at| {
            let mut three = by_month[at];
            three.add(by_month[(at + 11) % 12]);
            three.add(by_month[(at + 1) % 12]);
            by_month[at].ratio(MONTH_NEEDS).or_else(|| three.ratio(THREE_MONTHS_NEED)).unwrap_or(whole_year)
        });
        // Means by calendar month, so that a season in common more often than others does not count more.
        let mean = |of: fn(&Sums) -> i64| by_month.iter().map(|sums| of(sums) as f64 / f64::from(sums.n)).sum::<f64>();
        let annual = if by_month.iter().all(|sums| sums.n > 0) { mean(|sums| sums.one) / mean(|sums| sums.other) } else { whole_year };
        Ok(Self { months, annual, common_months: year.n })
    }

    /// The other gauge over this one.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { months: self.months.map(f64::recip), annual: self.annual.recip(), common_months: self.common_months }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Totals of whole years, micrometres by the calendar month.
    fn years(years: std::ops::RangeInclusive<i32>, of: impl Fn(i32, u32) -> i64) -> Vec<MonthlyTotal> {
        let month =
            |year, month| MonthlyTotal { year, month, micrometres: of(year, month), usable: 28, covered: 0, missing: 0, refused: None };
        years.flat_map(|year| (1..=12).map(move |m| (year, m))).map(|(year, m)| month(year, m)).collect()
    }

    #[test]
    fn a_month_alone_three_together_or_the_year() {
        // One brings 60 mm in January, 30 else; the other 30 always: 30 common years let January stand alone.
        let one = years(1981..=2010, |_, month| if month == 1 { 60_000 } else { 30_000 });
        let other = years(1970..=2020, |_, _| 30_000);
        let found = GaugeRatios::new(&one, &other).unwrap();
        assert_eq!((found.months[0], found.months[1], found.common_months), (2.0, 1.0, 360));
        assert!((found.annual - 13.0 / 12.0).abs() < 1e-12);
        assert_eq!(found.inverse().months[0], 0.5);
        // Five years: December, January and February together are (60 + 30 + 30) / 90.
        let few = GaugeRatios::new(&one, &years(2006..=2010, |_, _| 30_000)).unwrap();
        assert!([11, 0, 1].iter().all(|&at| (few.months[at] - 4.0 / 3.0).abs() < 1e-12), "{few:?}");
        assert_eq!(few.months[5], 1.0);
        // A dry season takes wider means.
        let dry = GaugeRatios::new(
            &years(1990..=2010, |_, m| if m == 7 { 100 } else { 60_000 }),
            &years(1990..=2010, |_, m| if m == 7 { 900 } else { 30_000 }),
        )
        .unwrap();
        assert!((dry.months[6] - 120_100.0 / 60_900.0).abs() < 1e-12);
    }

    #[test]
    fn too_little_in_common_gives_none() {
        let one = years(1990..=2010, |_, _| 30_000);
        assert_eq!(GaugeRatios::new(&one, &years(2007..=2020, |_, _| 1)), Err(Withheld::TooFewYears { have: 4, need: 5 }));
        assert_eq!(GaugeRatios::new(&one, &years(1990..=2010, |_, _| 0)), Err(Withheld::NoRain));
        assert!(GaugeRatios::new(&one, &[]).is_err());
    }
}
