//! Donors for gaps: the same season of another year of the same record, taken whole (CHECKS H7, DESIGN section 6).
//!
//! A gap is cut into blocks of at most [`LONGEST_BLOCK`] days. For a block beginning on a calendar date, every other year of the record is a
//! candidate in which the days from that date on (from 28 February for the 29th, where there is none) all have a depth of their own; one
//! is drawn at random, seeded. Only where no year has the whole block may the date be off, by as few days as needed up to
//! [`GREATEST_SHIFT`]. Where that fails too, the block is halved, down to single days. A day without any donor stays without a depth.
//!
//! A donor's days stay in their order, so that wet and dry spells inside a block are real ones. Filled with zero or with a monthly mean a
//! day, dry spells grow or vanish (H7).
//!
//! A gap of more than [`LONGEST_GAP`] days takes no donor at all and draws nothing: the whole years inside it could not be replayed anyway,
//! and the two parts of the record beside it are better told apart than joined by ten years of borrowed rain.
//!
//! Work: only years with a usable day, and their neighbours, are looked at, and of a year the shifts only where there are usable days enough
//! near the date. Neither leaves out a candidate, so the draws are those of a search through everything.

use crate::draws::Draws;
use crate::usable_days::UsableDays;
use series::{DailySeries, Day};

/// Longest block that one donor fills, days.
pub const LONGEST_BLOCK: usize = 90;
/// Furthest that a donor's date may be off, days.
pub const GREATEST_SHIFT: i32 = 15;
/// Longest gap that is filled, days: ten years. A house rule, no source.
pub const LONGEST_GAP: usize = 3653;

/// Finds donors in one record.
#[derive(Debug)]
pub(crate) struct Donors {
    /// The years of the record that have a usable day, and their neighbours: a date may be off, and a block may end, over New Year.
    years: Vec<i32>,
    usable: UsableDays,
    /// Most usable days in a row: no longer block has a donor.
    longest_run: usize,
    /// How often the record was looked at, for the bound on the work.
    #[cfg(test)]
    looks: std::cell::Cell<u64>,
}

impl Donors {
    pub(crate) fn new(series: &DailySeries) -> Self {
        let runs = series.readings().chunk_by(|a, b| a.is_usable() == b.is_usable());
        let longest_run = runs.filter(|run| run[0].is_usable()).map(<[_]>::len).max().unwrap_or(0);
        let mut donors = Self {
            years: Vec::new(),
            usable: UsableDays::new(series),
            longest_run,
            #[cfg(test)]
            looks: std::cell::Cell::new(0),
        };
        if let Some(period) = series.period() {
            let (first, last) = (period.first.year(), period.last.year());
            let near = |year: i32| donors.usable_within(Day::first_of_year(year - 1), Day::last_of_year(year + 1)) > 0;
            donors.years = (first..=last).filter(|&year| near(year)).collect();
        }
        donors
    }

    /// For each day of a gap of `length` days from `first` on, the day that gives its depth, if any.
    pub(crate) fn fill(&self, first: Day, length: usize, draws: &mut Draws) -> Vec<Option<Day>> {
        if length > LONGEST_GAP {
            return vec![None; length];
        }
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
        if length > self.longest_run {
            return None;
        }
        let (own, month, date) = first.ymd();
        // All the days that any shift of a year's block may touch must hold as many usable ones as the block has.
        let enough = |start: &Day| {
            let last = start.plus(length as i32 - 1 + GREATEST_SHIFT);
            self.usable_within(start.plus(-GREATEST_SHIFT), last) >= length as u32
        };
        let starts: Vec<Day> = self
            .years
            .iter()
            .filter(|&&year| year != own)
            .filter_map(|&year| Day::new(year, month, date).or_else(|| Day::new(year, month, 28)))
            .filter(enough)
            .collect();
        for shift in 0..=GREATEST_SHIFT {
            let shifts: &[i32] = if shift == 0 { &[0] } else { &[-shift, shift] };
            let candidates: Vec<Day> = starts
                .iter()
                .flat_map(|start| shifts.iter().map(|&shift| start.plus(shift)))
                .filter(|&start| self.usable_within(start, start.plus(length as i32 - 1)) == length as u32)
                .collect();
            if !candidates.is_empty() {
                return Some(candidates[draws.below(candidates.len())]);
            }
        }
        None
    }

    /// Usable days from `first` to `last`, those outside the record not being any.
    fn usable_within(&self, first: Day, last: Day) -> u32 {
        #[cfg(test)]
        self.looks.set(self.looks.get() + 1);
        self.usable.within(first, last)
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

    #[test]
    fn a_gap_of_over_ten_years_takes_no_donor_and_no_draw() {
        let series = whole("2000-01-01", "2020-12-31", &[("2002-01-01", 3654), ("2012-03-01", 5)]);
        let donors = Donors::new(&series);
        let mut draws = Draws::new(7);
        assert_eq!(donors.fill(day("2002-01-01"), LONGEST_GAP + 1, &mut draws), vec![None; LONGEST_GAP + 1]);
        assert_eq!(donors.fill(day("2012-03-01"), 5, &mut draws), donors.fill(day("2012-03-01"), 5, &mut Draws::new(7)));
        assert!(donors.fill(day("2002-01-01"), LONGEST_GAP, &mut draws).iter().all(Option::is_some));
        assert!(donors.years.contains(&2001) && !donors.years.contains(&2006), "a year without a usable day is no candidate");
    }

    #[test]
    fn sparse_centuries_take_little_work() {
        // One day in 1600 and one in 2299: nothing is looked up beyond the years themselves.
        let sparse = |every: usize| {
            let (first, last) = (day("1600-06-01"), day("2299-06-01"));
            let mut readings = vec![Reading::MISSING; last.since(first) as usize + 1];
            let days = readings.len();
            readings.iter_mut().step_by(every).for_each(|reading| *reading = Reading::measured(0));
            readings[days - 1] = Reading::measured(0);
            DailySeries::new(Station::default(), first, readings)
        };
        let looks = |series: &DailySeries| {
            let donors = Donors::new(series);
            let gaps = crate::missing_runs(series);
            let found: usize = gaps.iter().map(|run| donors.fill(run.period.first, run.period.days(), &mut Draws::new(1)).len()).sum();
            (found as u64, donors.years.len() as u64, donors.looks.get())
        };
        let (_, years, found) = looks(&sparse(1_000_000));
        assert!(years == 4 && found == 700, "{years} years, {found} looks");
        // One day every nine years: each block, whole or halved to days, may look once at each candidate year, and the shifts of the few
        // years with a usable day in season come on top.
        let (days, years, found) = looks(&sparse(3287));
        assert!(years < 240 && found < 2 * days * years, "{years} years, {found} looks");
    }

    /// The search through every year and shift of the record, without any short cut.
    fn plain(series: &DailySeries, first: Day, length: usize, draws: &mut Draws) -> Option<Day> {
        let period = series.period()?;
        let (own, month, date) = first.ymd();
        for shift in 0..=GREATEST_SHIFT {
            let shifts = if shift == 0 { vec![0] } else { vec![-shift, shift] };
            let mut candidates = Vec::new();
            for year in (period.first.year()..=period.last.year()).filter(|&year| year != own) {
                let start = Day::new(year, month, date).unwrap_or_else(|| Day::new(year, month, 28).unwrap());
                candidates.extend(shifts.iter().map(|&shift| start.plus(shift)).filter(|start| {
                    (0..length as i32).map(|i| start.plus(i)).all(|day| period.contains(day) && series.reading(day).is_usable())
                }));
            }
            if !candidates.is_empty() {
                return Some(candidates[draws.below(candidates.len())]);
            }
        }
        None
    }

    proptest! {
        #[test]
        fn short_cuts_change_no_draw(
            runs in proptest::collection::vec((0..7300usize, 1..150usize), 1..12), at in 0..7300i32, length in 1..=LONGEST_BLOCK, seed in any::<u64>()
        ) {
            let first = day("1999-11-20");
            let mut readings = vec![Reading::MISSING; 7305];
            for (from, length) in runs {
                readings[from..(from + length).min(7305)].fill(Reading::measured(0));
            }
            let series = DailySeries::new(Station::default(), first, readings);
            let found = Donors::new(&series).donor(first.plus(at), length, &mut Draws::new(seed));
            prop_assert_eq!(found, plain(&series, first.plus(at), length, &mut Draws::new(seed)));
        }

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
