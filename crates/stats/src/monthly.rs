//! Monthly totals by a named rule for what makes a month whole.
//!
//! * [`MonthRule::Whole`]: every day has a depth of its own or lies inside a multi-day total of known length that lies wholly in
//!   the month; the total is then the days' own depths and those multi-day totals. A sum with one day missing is no sum (WMO-No. 1203,
//!   2017, CHECKS A1.1); a sum may use an accumulated reading that covers the gap (WMO-No. 100; CHECKS H8).
//! * [`MonthRule::AtMostMissing`]: plain counting, for comparison with tools that do so: the sum of the usable days where at most that
//!   many are not; multi-day totals neither count nor fill. Such a sum is too small by what fell on the missing days.

use crate::calendar::{self, MonthSlice};
use crate::placed_totals::placed_totals;
use serde::Serialize;
use series::{DailySeries, Kind, Reading};

/// What makes a month whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MonthRule {
    /// Every day is accounted for.
    #[default]
    Whole,
    /// At most so many days have no depth of their own, and at least one has.
    AtMostMissing(u32),
}

/// Why a month has no accepted total.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MonthRefusal {
    /// Days are missing or their values were not accepted.
    DaysMissing,
    /// A multi-day total begins in one month and ends in another.
    TotalCrossesMonths,
    /// A multi-day total of unknown length: which days it covers cannot be told.
    TotalOfUnknownLength,
    /// A multi-day total covers a day that has a reading of its own, so that rain would count twice.
    TotalOverlapsReading,
}

/// One month's total. The three counts of days add up to the calendar month.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct MonthlyTotal {
    /// Which year.
    pub year: i32,
    /// Which month, 1 to 12.
    pub month: u32,
    /// The rain accounted for, micrometres: a month's total only where the month is accepted.
    pub micrometres: i64,
    /// Days with a depth of their own.
    pub usable: u32,
    /// Days inside multi-day totals that count.
    pub covered: u32,
    /// All other days.
    pub missing: u32,
    /// Why the month is not accepted; nothing when it is.
    pub refused: Option<MonthRefusal>,
}

impl MonthlyTotal {
    /// Whether the rule takes the month.
    pub fn accepted(&self) -> bool {
        self.refused.is_none()
    }

    /// The month's rain in mm, where it is accepted.
    pub fn millimetres(&self) -> Option<f64> {
        self.accepted().then(|| calendar::millimetres(self.micrometres))
    }
}

/// The total of every month from the record's first to its last, accepted or not.
pub fn monthly_totals(series: &DailySeries, rule: MonthRule) -> Vec<MonthlyTotal> {
    calendar::months(series)
        .map(|slice| match rule {
            MonthRule::Whole => whole(slice),
            MonthRule::AtMostMissing(most) => counted(slice, most),
        })
        .collect()
}

fn counted(slice: MonthSlice<'_>, most: u32) -> MonthlyTotal {
    let (mut usable, mut micrometres) = (0, 0);
    for (one, depth) in slice.readings.iter().map(|reading| reading.counted()) {
        usable += one;
        micrometres += i64::from(depth);
    }
    let missing = slice.days - usable;
    let refused = (missing > most || usable == 0).then_some(MonthRefusal::DaysMissing);
    MonthlyTotal { year: slice.year, month: slice.month, micrometres, usable, covered: 0, missing, refused }
}

fn whole(slice: MonthSlice<'_>) -> MonthlyTotal {
    let mut total = counted(slice, 0);
    let without_value =
        |readings: &[Reading]| readings.iter().filter(|reading| matches!(reading.kind(), Kind::Missing | Kind::Rejected(_))).count() as u32;
    let mut open = slice.days - slice.readings.len() as u32 + without_value(slice.readings);
    let mut placed = 0;
    // A total that begins before the month, or before the record, leaves its days missing.
    for part in placed_totals(slice.readings) {
        placed += 1;
        if part.is_inside() {
            total.covered += u32::from(part.days);
            total.micrometres += part.micrometres;
            open -= without_value(&slice.readings[part.first..part.last]);
        }
    }
    total.missing = slice.days - total.usable - total.covered;
    let ends =
        |known| slice.readings.iter().filter(|day| matches!(day.kind(), Kind::Accumulated { days } if days.is_some() == known)).count();
    total.refused = if total.missing == 0 {
        None
    } else if ends(false) > 0 {
        Some(MonthRefusal::TotalOfUnknownLength)
    } else if ends(true) > placed {
        Some(MonthRefusal::TotalOverlapsReading)
    } else if open == 0 {
        Some(MonthRefusal::TotalCrossesMonths)
    } else {
        Some(MonthRefusal::DaysMissing)
    };
    total
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use series::{Day, Station};

    fn january(change: impl Fn(&mut Vec<Reading>)) -> DailySeries {
        let mut readings = vec![Reading::measured(1000); 31 + 28];
        change(&mut readings);
        DailySeries::new(Station::default(), Day::new(2001, 1, 1).unwrap(), readings)
    }

    fn outcome(series: &DailySeries) -> (i64, u32, u32, u32, Option<MonthRefusal>) {
        let total = monthly_totals(series, MonthRule::Whole)[0];
        (total.micrometres, total.usable, total.covered, total.missing, total.refused)
    }

    #[test]
    fn one_missing_day_of_31_leaves_no_total() {
        // CHECKS A1.1 (WMO-No. 1203, by S1).
        let series = january(|days| days[9] = Reading::MISSING);
        assert_eq!(outcome(&series), (30_000, 30, 0, 1, Some(MonthRefusal::DaysMissing)));
        assert!(monthly_totals(&series, MonthRule::Whole)[1].accepted());
        assert_eq!(outcome(&january(|days| days[9] = Reading::TRACE)), (30_000, 31, 0, 0, None));
    }

    #[test]
    fn the_worked_case_of_two_months() {
        // CHECKS A1.5: 7, 8, 9 January and 1 to 5 February missing: both totals missing.
        let series = january(|days| [6, 7, 8, 31, 32, 33, 34, 35].iter().for_each(|&i| days[i] = Reading::MISSING));
        assert!(monthly_totals(&series, MonthRule::Whole).iter().all(|total| !total.accepted()));
        // Plain counting takes January (3 missing) and not February (5).
        let plain = monthly_totals(&series, MonthRule::AtMostMissing(3));
        assert_eq!((plain[0].accepted(), plain[0].micrometres, plain[1].accepted()), (true, 28_000, false));
    }

    #[test]
    fn a_total_inside_the_month_fills_it() {
        let series = january(|days| {
            days[3] = Reading::WITHIN_TOTAL;
            days[4] = Reading::accumulated(9000, Some(2));
        });
        assert_eq!(outcome(&series), (29_000 + 9000, 29, 2, 0, None));
        let plain = monthly_totals(&series, MonthRule::AtMostMissing(2))[0];
        assert_eq!((plain.micrometres, plain.missing, plain.accepted()), (29_000, 2, true), "totals neither count nor fill");
    }

    #[test]
    fn totals_that_cannot_be_placed_refuse_the_month() {
        let crossing = january(|days| {
            days[30] = Reading::WITHIN_TOTAL;
            days[31] = Reading::accumulated(9000, Some(2));
        });
        assert!(monthly_totals(&crossing, MonthRule::Whole).iter().all(|t| t.refused == Some(MonthRefusal::TotalCrossesMonths)));
        let unknown = january(|days| days[10] = Reading::accumulated(9000, None));
        assert_eq!(outcome(&unknown).4, Some(MonthRefusal::TotalOfUnknownLength));
        let overlap = january(|days| days[10] = Reading::accumulated(9000, Some(3)));
        assert_eq!(outcome(&overlap), (30_000, 30, 0, 1, Some(MonthRefusal::TotalOverlapsReading)));
    }

    #[test]
    fn a_month_without_a_usable_day_is_never_usable() {
        let mut readings = vec![Reading::MISSING; 31 + 28 + 31];
        readings[0] = Reading::measured(1);
        readings[89] = Reading::measured(1);
        let series = DailySeries::new(Station::default(), Day::new(2001, 1, 1).unwrap(), readings);
        let accepted: Vec<bool> = monthly_totals(&series, MonthRule::AtMostMissing(31)).iter().map(MonthlyTotal::accepted).collect();
        assert_eq!(accepted, [true, false, true]);
    }

    #[test]
    fn happy_camp_gains_months_from_its_totals() {
        // CHECKS H8 (COMPUTED there): 747 months if every day must be measured, 913 if a total of known length inside the month counts.
        let Some((rain, _)) = crate::test_records::ghcn("USC00043761") else { return };
        let totals = monthly_totals(&rain, MonthRule::Whole);
        assert_eq!(totals.iter().filter(|total| total.accepted()).count(), 913);
        assert_eq!(monthly_totals(&rain, MonthRule::AtMostMissing(0)).iter().filter(|total| total.accepted()).count(), 747);
        // CHECKS, lesson figures: November 1996 with both totals is 187.9 mm, its measured days sum to 97.2.
        let november = totals.iter().find(|total| (total.year, total.month) == (1996, 11)).unwrap();
        assert_eq!(november.micrometres, 187_900);
        let plain = monthly_totals(&rain, MonthRule::AtMostMissing(31));
        assert_eq!(plain.iter().find(|total| (total.year, total.month) == (1996, 11)).unwrap().micrometres, 97_200);
    }

    proptest! {
        #[test]
        fn totals_add_up_and_days_are_counted_once(kinds in proptest::collection::vec((0..8u8, 0..50_000i32), 1..900)) {
            let readings = kinds.iter().map(|&(kind, depth)| match kind {
                0 => Reading::MISSING,
                1 => Reading::WITHIN_TOTAL,
                2 => Reading::accumulated(depth, Some(2)),
                3 => Reading::accumulated(depth, None),
                _ => Reading::measured(depth),
            }).collect();
            let series = DailySeries::new(Station::default(), Day::new(1999, 10, 20).unwrap(), readings);
            let plain = monthly_totals(&series, MonthRule::AtMostMissing(31));
            prop_assert_eq!(plain.iter().map(|total| total.micrometres).sum::<i64>(), series.total_micrometres());
            for total in monthly_totals(&series, MonthRule::Whole) {
                prop_assert_eq!(total.usable + total.covered + total.missing, series::days_in_month(total.year, total.month));
                prop_assert_eq!(total.accepted(), total.missing == 0);
            }
        }
    }
}
