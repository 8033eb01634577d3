//! Percentiles of the rainy days around a calendar date: of all depths above zero within 14 days of it in any year.
//!
//! The percentile p of n depths is the one of rank ceil(p n). Given from 20 depths on. The window of 29 days, depths above zero alone and
//! the 20 are those of Durre et al. (2010), from memory.
//!
//! The window slides over the dates; the depths in it are counted in a binary indexed tree over their ranks (Fenwick 1994), so that a step
//! costs the depths that enter and leave, and a percentile the logarithm of the number of different depths.

use super::working_days::{DATES, WorkingDays};

/// Days either side of a date.
pub(crate) const REACH: usize = 14;
/// Fewest depths.
const NEEDS: u32 = 20;
/// Which percentiles.
const SHARES: [f64; 5] = [0.30, 0.50, 0.70, 0.90, 0.95];

/// The percentiles of a date, micrometres: 30, 50, 70, 90, 95.
pub(crate) type Percentiles = [i32; 5];

/// Percentiles by the place of a date.
#[derive(Debug, Clone)]
pub(crate) struct SeasonalPercentiles(Vec<Option<Percentiles>>);

impl SeasonalPercentiles {
    pub(crate) fn new(days: &WorkingDays) -> Self {
        let mut depths: Vec<i32> = days.depths.iter().copied().filter(|depth| *depth > 0).collect();
        depths.sort_unstable();
        depths.dedup();
        let mut by_date: Vec<Vec<u32>> = vec![Vec::new(); DATES];
        for (depth, date) in days.depths.iter().zip(&days.dates).filter(|(depth, _)| **depth > 0) {
            by_date[*date as usize].push(depths.partition_point(|known| known < depth) as u32);
        }
        let mut window = Ranks::new(depths.len());
        for reach in 0..2 * REACH {
            window.change(&by_date[(DATES + reach - REACH) % DATES], true);
        }
        let of_dates = (0..DATES).map(|date| {
            window.change(&by_date[(date + REACH) % DATES], true);
            let found = (window.total >= NEEDS)
                .then(|| SHARES.map(|share| depths[window.at_rank((share * f64::from(window.total)).ceil() as u32)]));
            window.change(&by_date[(date + DATES - REACH) % DATES], false);
            found
        });
        Self(of_dates.collect())
    }

    /// Those of a date, where it has depths enough.
    pub(crate) fn of(&self, date: u16) -> Option<Percentiles> {
        self.0[date as usize]
    }

    /// Whether any date has depths enough.
    pub(crate) fn any(&self) -> bool {
        self.0.iter().any(Option::is_some)
    }
}

/// Numbers of depths by rank, as a binary indexed tree.
struct Ranks {
    tree: Vec<u32>,
    total: u32,
}

impl Ranks {
    fn new(different: usize) -> Self {
        Self { tree: vec![0; different + 1], total: 0 }
    }

    fn change(&mut self, ranks: &[u32], enter: bool) {
        for rank in ranks {
            let mut at = *rank as usize + 1;
            while at < self.tree.len() {
                self.tree[at] = if enter { self.tree[at] + 1 } else { self.tree[at] - 1 };
                at += at & at.wrapping_neg();
            }
        }
        let entered = ranks.len() as u32;
        self.total = if enter { self.total + entered } else { self.total - entered };
    }

    /// The place of the depth with this rank, from 1; ranks beyond the last give the last.
    fn at_rank(&self, rank: u32) -> usize {
        let mut left = rank.clamp(1, self.total.max(1));
        let mut place = 0;
        let mut step = self.tree.len().next_power_of_two() / 2;
        while step > 0 {
            if place + step < self.tree.len() && self.tree[place + step] < left {
                place += step;
                left -= self.tree[place];
            }
            step /= 2;
        }
        place.min(self.tree.len().saturating_sub(2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::seeded_depths;
    use series::{DailySeries, Day, Reading, Station};

    #[test]
    fn the_sliding_window_agrees_with_sorting_each_one() {
        let readings = seeded_depths(4, 9 * 365).into_iter().map(Reading::measured).collect();
        let series = DailySeries::new(Station::default(), Day::new(1996, 3, 5).unwrap(), readings);
        let days = WorkingDays::new(&series, &[]).unwrap();
        let percentiles = SeasonalPercentiles::new(&days);
        for date in 0..DATES {
            let near = |other: u16| {
                let apart = (usize::from(other) + DATES - date) % DATES;
                apart <= REACH || apart >= DATES - REACH
            };
            let mut depths: Vec<i32> = days.depths.iter().zip(&days.dates).filter(|(d, o)| **d > 0 && near(**o)).map(|(d, _)| *d).collect();
            depths.sort_unstable();
            let expected = SHARES.map(|share| depths[(share * depths.len() as f64).ceil() as usize - 1]);
            assert_eq!(percentiles.of(date as u16), Some(expected), "{date}");
        }
    }
}
