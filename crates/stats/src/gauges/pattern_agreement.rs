//! How alike the days of two gauges are: the correlation of the square roots of their depths on the days that both have.
//!
//! Roots, because depths have a long tail and a single storm would decide. From 0 (one says nothing of the other's days) to 1. The order in
//! which neighbours are asked, and whether they are asked at all, follows it; the limits are ours.

use super::DayAlignment;
use super::common_days::common_days;
use crate::correlation::Correlation;
use serde::Serialize;
use series::{DailySeries, Withheld};

/// Days in common that it needs.
const NEEDED_DAYS: usize = 730;

/// Two gauges' days side by side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PatternAgreement {
    /// Days on which both have a depth of their own.
    pub common_days: usize,
    /// Correlation of the square roots of the depths, -1 to 1.
    pub correlation: f64,
}

impl PatternAgreement {
    /// Of two records, the second moved as `alignment` says.
    ///
    /// # Errors
    /// Under two years of days in common; a gauge of which no two days differ.
    pub fn new(lead: &DailySeries, neighbour: &DailySeries, alignment: DayAlignment) -> Result<Self, Withheld> {
        let too_few = |days: usize| Withheld::TooFewYears { have: (days / 365) as u32, need: (NEEDED_DAYS / 365) as u32 };
        let mut sums = Correlation::default();
        for day in common_days(lead, neighbour, alignment) {
            sums.add((day.lead as f64).sqrt(), (day.other as f64).sqrt());
        }
        if sums.pairs() < NEEDED_DAYS {
            return Err(too_few(sums.pairs()));
        }
        let correlation = sums.coefficient().ok_or(Withheld::NoRain)?;
        Ok(Self { common_days: sums.pairs(), correlation })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::seeded_depths;
    use series::{Day, Reading, Station};

    fn record(first: Day, depths: &[i32]) -> DailySeries {
        DailySeries::new(Station::default(), first, depths.iter().map(|&depth| Reading::measured(depth)).collect())
    }

    #[test]
    fn a_record_a_day_late_agrees_when_it_is_moved() {
        let depths = seeded_depths(3, 2000);
        let first: Day = "2001-03-01".parse().unwrap();
        let lead = record(first, &depths);
        let late = record(first.plus(1), &depths[..1500]);
        let of = |days_later| PatternAgreement::new(&lead, &late, DayAlignment::Stated { days_later }).unwrap();
        assert_eq!((of(1).common_days, of(0).common_days), (1500, 1500));
        assert!((of(1).correlation - 1.0).abs() < 1e-12);
        // Independent draws of the test's own: the standard error over 1,500 days is 0.026.
        assert!(of(0).correlation.abs() < 0.1, "{}", of(0).correlation);
        let early = record(first.plus(-700), &depths[..1400]);
        assert_eq!(PatternAgreement::new(&lead, &early, DayAlignment::NotTold), Err(Withheld::TooFewYears { have: 1, need: 2 }));
        let dry = record(first, &[0; 2000]);
        assert_eq!(PatternAgreement::new(&lead, &dry, DayAlignment::NotTold), Err(Withheld::NoRain));
    }
}
