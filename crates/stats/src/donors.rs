//! Donors for gaps: the same season of another year of the same record, taken whole (CHECKS H7, DESIGN section 6).
//!
//! A gap is cut into blocks of at most [`LONGEST_BLOCK`] days. For a block beginning on a calendar date, every other year of the record is a
//! candidate in which the days from that date on (from 28 February for the 29th, where there is none) all have a depth of their own; one
//! is drawn at random, seeded. Only where no year has the whole block may the date be off, by as few days as needed up to
//! [`GREATEST_SHIFT`]. Where that fails too, the block is halved, down to single days. A day without any donor stays without a depth.
//!
//! A donor's days stay in their order, so that wet and dry spells inside a block are real ones. Filled with zero or with a monthly mean a
//! day, dry spells grow or vanish (H7).

use crate::draws::Draws;
use series::{DailySeries, Day};

/// Longest block that one donor fills, days.
pub const LONGEST_BLOCK: usize = 90;
/// Furthest that a donor's date may be off, days.
pub const GREATEST_SHIFT: i32 = 15;

/// Finds donors in one record.
#[derive(Debug)]
pub(crate) struct Donors {
    first: Option<Day>,
    /// Every year of the record.
    years: Vec<i32>,
    /// Usable days before each index.
    usable_before: Vec<u32>,
}

impl Donors {
    pub(crate) fn new(series: &DailySeries) -> Self {
        let mut usable_before = vec![0];
        let mut usable = 0;
        for reading in series.readings() {
            usable += u32::from(reading.is_usable());
            usable_before.push(usable);
        }
        let period = series.period();
        let years = period.map_or(Vec::new(), |period| (period.first.year()..=period.last.year()).collect());
        Self { first: period.map(|period| period.first), years, usable_before }
    }

    /// For each day of a gap of `length` days from `first` on, the day that gives its depth, if any.
    pub(crate) fn fill(&self, first: Day, length: usize, draws: &mut Draws) -> Vec<Option<Day>> {
        let mut found = Vec::with_capacity(length);
        while found.len() < length {
            let block = (length - found.len()).min(LONGEST_BLOCK);
            self.fill_block(first.plus(found.len() as i32), block, draws, &mut found);
        }
        found
    }

    fn fill_block(&self, first: Day, length: usize, draws: &mut Draws, found: &mut Vec<Option<Day>>) {
        if let Some(donor) = self.donor(first, length, draws) {
            found.extend((0..length as i32).map(|i| Some(donor.plus(i))));
        } else if length > 1 {
            let half = length.div_ceil(2);
            self.fill_block(first, half, draws, found);
            self.fill_block(first.plus(half as i32), length - half, draws, found);
        } else {
            found.push(None);
        }
    }

    fn donor(&self, first: Day, length: usize, draws: &mut Draws) -> Option<Day> {
        let (own, month, date) = first.ymd();
        let starts: Vec<Day> = self
            .years
            .iter()
            .filter(|&&year| year != own)
            .filter_map(|&year| Day::new(year, month, date).or_else(|| Day::new(year, month, 28)))
            .collect();
        for shift in 0..=GREATEST_SHIFT {
            let shifts: &[i32] = if shift == 0 { &[0] } else { &[-shift, shift] };
            let candidates: Vec<Day> = starts
                .iter()
                .flat_map(|start| shifts.iter().map(|&shift| start.plus(shift)))
                .filter(|&start| self.is_whole(start, length))
                .collect();
            if !candidates.is_empty() {
                return Some(candidates[draws.below(candidates.len())]);
            }
        }
        None
    }

    fn is_whole(&self, start: Day, length: usize) -> bool {
        let Some(from) = self.first.and_then(|first| usize::try_from(start.since(first)).ok()) else { return false };
        let end = self.usable_before.get(from + length);
        end.is_some_and(|end| end - self.usable_before[from] == length as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use series::{Reading, Station};

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn whole(first: &str, last: &str, gaps: &[(&str, usize)]) -> DailySeries {
        let (first, last) = (day(first), day(last));
        let mut readings = vec![Reading::measured(1000); last.since(first) as usize + 1];
        for &(from, length) in gaps {
            let from = day(from).since(first) as usize;
            readings[from..from + length].fill(Reading::MISSING);
        }
        DailySeries::new(Station::default(), first, readings)
    }

    #[test]
    fn a_gap_takes_the_same_dates_of_another_year_whole() {
        let series = whole("2001-01-01", "2004-12-31", &[("2002-03-05", 10), ("2003-03-14", 1)]);
        for seed in 0..20 {
            let found = Donors::new(&series).fill(day("2002-03-05"), 10, &mut Draws::new(seed));
            let first = found[0].unwrap();
            // 2003 lacks the tenth day, so it is never taken.
            assert!([day("2001-03-05"), day("2004-03-05")].contains(&first));
            assert!((0..10).all(|i| found[i as usize] == Some(first.plus(i))));
        }
    }

    #[test]
    fn leap_days_shifts_halves_and_nothing() {
        let series = whole("2003-01-01", "2004-12-31", &[("2004-02-29", 2)]);
        assert_eq!(Donors::new(&series).fill(day("2004-02-29"), 2, &mut Draws::new(1))[0], Some(day("2003-02-28")));
        let series = whole("2001-01-01", "2002-12-31", &[("2001-06-10", 1), ("2002-06-08", 6)]);
        let found = Donors::new(&series).fill(day("2002-06-08"), 6, &mut Draws::new(1));
        assert_eq!(found[0], Some(day("2001-06-11")), "three days later is the least shift that leaves 10 June out");
        // Every third day missing in the only other year: no pair of whole days beyond two in a row, so halves are used.
        let gaps: Vec<String> = (0..240).map(|i| day("2001-01-03").plus(i * 3 / 2 * 2).to_string()).collect();
        let gaps: Vec<(&str, usize)> = gaps.iter().take(100).map(|text| (text.as_str(), 1)).collect();
        let series = whole("2001-01-01", "2002-12-31", &[gaps.as_slice(), &[("2002-02-01", 9)]].concat());
        assert!(Donors::new(&series).fill(day("2002-02-01"), 9, &mut Draws::new(1)).iter().all(Option::is_some));
        // One year alone has no other.
        let series = whole("2001-01-01", "2001-12-31", &[("2001-06-10", 100)]);
        assert_eq!(Donors::new(&series).fill(day("2001-06-10"), 100, &mut Draws::new(1)), vec![None; 100]);
    }

    proptest! {
        #[test]
        fn donors_are_usable_days_of_the_season(gaps in proptest::collection::vec((0..3600usize, 1..120usize), 1..30), seed in any::<u64>()) {
            let first = day("2000-02-20");
            let mut readings = vec![Reading::measured(1000); 3653];
            for (from, length) in gaps {
                readings[from..(from + length).min(3653)].fill(Reading::MISSING);
            }
            let series = DailySeries::new(Station::default(), first, readings);
            let donors = Donors::new(&series);
            for run in crate::missing_runs(&series) {
                let found = donors.fill(run.period.first, run.period.days(), &mut Draws::new(seed));
                prop_assert_eq!(found.len(), run.period.days());
                for (day, donor) in run.period.iter().zip(found) {
                    let Some(donor) = donor else { continue };
                    prop_assert!(series.reading(donor).is_usable());
                    let off = i64::from(day.day_of_year()).abs_diff(i64::from(donor.day_of_year()));
                    prop_assert!(off.min(366 - off.min(366)) <= 18, "{} from {}", day, donor);
                }
            }
        }
    }
}
