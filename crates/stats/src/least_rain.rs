//! The least rain that any D days in a row brought, for every D: how little to reckon with while a store must last D days.
//!
//! For each D, the least sum of the depths of D days in a row that all have a depth of their own, mm, and the first of those days (the
//! earliest of equals). A stretch with a missing day or inside a multi-day total is no stretch: its rain is not known day by day, and a
//! missing day is never 0. The sum never falls as D grows. It is what the record did, with no return period; nothing is given for a D that no stretch
//! without a gap holds.

use crate::calendar::millimetres;
use serde::Serialize;
use series::{DailySeries, Day, Reading};

/// The least sum of so many days.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeastRain {
    /// D.
    pub days: u32,
    /// The first of them.
    pub first: Day,
    /// Their rain, mm.
    pub millimetres: f64,
    /// Stretches of D days that were held against one another.
    pub stretches: usize,
}

/// The least sums of 1 to `longest` days, shortest first, as far as the record holds a stretch of them.
pub fn least_rain(series: &DailySeries, longest: u32) -> Vec<LeastRain> {
    let Some(period) = series.period() else { return Vec::new() };
    let parts = usable_parts(series.readings());
    let most = parts.iter().map(|part| part.sums.len() as u32 - 1).max().unwrap_or(0).min(longest);
    (1..=most)
        .filter_map(|days| {
            let length = days as usize;
            let mut least: Option<(&UsablePart, i64)> = None;
            let mut stretches = 0;
            for part in parts.iter().filter(|part| part.sums.len() > length) {
                stretches += part.sums.len() - length;
                let sum = part.stretches(length).min()?;
                if least.is_none_or(|(_, so_far)| sum < so_far) {
                    least = Some((part, sum));
                }
            }
            let (part, sum) = least?;
            let first = part.first + part.stretches(length).position(|of| of == sum)?;
            Some(LeastRain { days, first: period.first.plus(first as i32), millimetres: millimetres(sum), stretches })
        })
        .collect()
}

/// Days in a row that all have a depth of their own.
struct UsablePart {
    /// Which reading is the first.
    first: usize,
    /// Depth of the days before each day of the part, and of all of them; micrometres.
    sums: Vec<i64>,
}

impl UsablePart {
    /// The sums of each `length` days in a row.
    fn stretches(&self, length: usize) -> impl Iterator<Item = i64> {
        self.sums.iter().zip(&self.sums[length..]).map(|(before, after)| after - before)
    }
}

fn usable_parts(readings: &[Reading]) -> Vec<UsablePart> {
    let mut parts = Vec::new();
    let mut at = 0;
    for run in readings.chunk_by(|a, b| a.is_usable() == b.is_usable()) {
        if run[0].is_usable() {
            let mut sums = vec![0; run.len() + 1];
            for (i, reading) in run.iter().enumerate() {
                sums[i + 1] = sums[i] + reading.depth().unwrap_or(0);
            }
            parts.push(UsablePart { first: at, sums });
        }
        at += run.len();
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use series::Station;

    #[test]
    fn fort_collins() {
        // numpy on checks/data/fort_collins_daily_1900_1999.csv: cumulative sums c, argmin of c[D:] - c[:-D].
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found = least_rain(&rain, 365);
        for (days, depth, first) in [
            (1, 0.0, "1900-01-01"),
            (30, 0.0, "1900-10-17"),
            (60, 0.0, "1935-11-11"),
            (90, 1.016, "1905-11-28"),
            (121, 2.794, "1905-10-31"),
            (180, 17.78, "1976-09-28"),
            (365, 125.222, "1924-06-05"),
        ] {
            let least = found[days - 1];
            assert_eq!((least.days as usize, least.millimetres, least.first.to_string().as_str()), (days, depth, first));
            assert_eq!(least.stretches, 36_524 + 1 - days);
        }
        // CHECKS H16: the longest dry spell, 121 d from 1905-10-31, is also the driest 121 days.
    }

    #[test]
    fn no_stretch_over_a_gap() {
        let first = Day::new(2001, 3, 1).unwrap();
        let mut readings: Vec<Reading> = [4, 1, 0, 3, 2, 2].into_iter().map(|mm| Reading::measured(mm * 1000)).collect();
        readings.insert(3, Reading::MISSING);
        readings.push(Reading::WITHIN_TOTAL);
        readings.push(Reading::accumulated(0, Some(2)));
        let found = least_rain(&DailySeries::new(Station::default(), first, readings), 100);
        // By hand: 4 1 0 ? 3 2 2: one day 0 (3 March), two days 1 + 0 (2 March), three days 4 + 1 + 0 (1 March).
        let plain: Vec<_> = found.iter().map(|least| (least.millimetres, least.first.day_of_month(), least.stretches)).collect();
        assert_eq!(plain, [(0.0, 3, 6), (1.0, 2, 4), (5.0, 1, 2)]);
        assert!(least_rain(&DailySeries::default(), 9).is_empty());
        assert!(least_rain(&DailySeries::new(Station::default(), first, vec![Reading::MISSING; 40]), 9).is_empty());
    }

    proptest! {
        #[test]
        fn it_never_falls_and_is_a_stretch_of_the_record(depths in proptest::collection::vec(proptest::option::weighted(0.95, 0..9_i32), 1..120)) {
            let readings = depths.iter().map(|depth| depth.map_or(Reading::MISSING, |mm| Reading::measured(mm * 1000))).collect();
            let rain = DailySeries::new(Station::default(), Day::new(1999, 12, 20).unwrap(), readings);
            let found = least_rain(&rain, 60);
            prop_assert!(found.windows(2).all(|pair| pair[0].millimetres <= pair[1].millimetres));
            for (least, length) in found.iter().zip(1..) {
                let plain = depths.windows(length).filter_map(|days| days.iter().copied().sum::<Option<i32>>()).min();
                prop_assert_eq!(plain.map(f64::from), Some(least.millimetres));
            }
        }
    }
}
