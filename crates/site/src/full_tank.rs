//! How long a full store lasts when nothing comes in, from the first of each month.
//!
//! The days counted are those that pass, from the first of the month on, before the first day whose whole demand the store
//! cannot give; days without demand count, for they pass too. Demand follows month and weekday. A store that rests in winter
//! is empty then: no count begins in the rest, and a count that reaches the rest ends with it.

use crate::demand::{Demand, demand_on};
use crate::error::{SiteError, quantity};
use crate::kernel::met_within;
use crate::surroundings::WinterRule;
use series::{Day, Volume};

/// Beyond this many days nobody plans with one fill.
pub const LONGEST_DAYS: u32 = 366;

/// How long a full store lasts from a day on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct FullStoreLasts {
    /// From this day on.
    pub from: Day,
    /// Whole days on which every demand is met; nothing when that holds for 366 days, or when the store rests on the first of them.
    pub days: Option<u32>,
    /// Whether the store rests on the first of them.
    pub resting: bool,
}

/// How long a full store of this usable volume lasts from the first of each month of a year, January first.
///
/// # Errors
/// On a size below zero or not finite, and on a demand that has no meaning.
pub fn full_store_lasts(size: Volume, demands: &[Demand], winter: WinterRule, year: i32) -> Result<Vec<FullStoreLasts>, SiteError> {
    quantity("store size", size.get())?;
    demands.iter().try_for_each(Demand::check)?;
    Ok((1..=12).filter_map(|month| Day::new(year, month, 1)).map(|from| lasts(size, demands, winter, from)).collect())
}

fn lasts(size: Volume, demands: &[Demand], winter: WinterRule, from: Day) -> FullStoreLasts {
    if winter.rests_on(from) {
        return FullStoreLasts { from, days: None, resting: true };
    }
    let mut level = size.get();
    for passed in 0..LONGEST_DAYS {
        let day = from.plus(passed as i32);
        let asked = demand_on(demands, day).get();
        if asked - level > met_within(asked) || winter.rests_on(day) {
            return FullStoreLasts { from, days: Some(passed), resting: false };
        }
        level = (level - asked).max(0.0);
    }
    FullStoreLasts { from, days: None, resting: false }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_store_by_hand() {
        let mut daily_by_month = [Volume::ZERO; 12];
        daily_by_month[5..8].fill(Volume::new(50.0));
        let demand = [Demand { name: String::new(), daily_by_month, weekdays: [true; 7] }];
        let got = full_store_lasts(Volume::new(1000.0), &demand, WinterRule::InUse, 2023).unwrap();
        assert_eq!(got.len(), 12);
        // 1000 / 50 = 20 days from 1 June; from 1 May the 31 days of May pass first; from 1 August as from 1 June.
        assert_eq!((got[5].days, got[4].days, got[7].days), (Some(20), Some(51), Some(20)));
        // From 1 September nothing is asked for until 1 June 2024, 274 days over a 29 February, and 20 more pass.
        assert_eq!(got[8].days, Some(294));
        assert_eq!(full_store_lasts(Volume::new(5000.0), &demand, WinterRule::InUse, 2023).unwrap()[8].days, None);
        assert_eq!(full_store_lasts(Volume::new(49.0), &demand, WinterRule::InUse, 2023).unwrap()[6].days, Some(0));
        assert!(full_store_lasts(Volume::new(f64::NAN), &demand, WinterRule::InUse, 2023).is_err());
    }

    #[test]
    fn weekdays_stretch_a_full_store() {
        // 1 June 2023 was a Thursday. Drawn on Mondays: 5, 12, 19, 26 June; two draws in the store: the third fails on the 19th.
        let demand = [Demand {
            name: String::new(),
            daily_by_month: [Volume::new(100.0); 12],
            weekdays: [true, false, false, false, false, false, false],
        }];
        assert_eq!(full_store_lasts(Volume::new(250.0), &demand, WinterRule::InUse, 2023).unwrap()[5].days, Some(18));
    }

    #[test]
    fn a_rest_begins_no_count_and_ends_one() {
        // By hand, 10 L a day. Rest from 15 November to 20 March: the first of December to March lie in it; from 1 November
        // 14 days pass before it, from 1 October 31 + 14; a store of 300 L is empty after 30 days before that.
        let demand = [Demand { name: String::new(), daily_by_month: [Volume::new(10.0); 12], weekdays: [true; 7] }];
        let winter = WinterRule::Rests { from: (11, 15), to: (3, 20) };
        let got = full_store_lasts(Volume::new(1000.0), &demand, winter, 2023).unwrap();
        for month in [1, 2, 3, 12] {
            assert_eq!((got[month - 1].days, got[month - 1].resting), (None, true), "{month}");
        }
        assert_eq!((got[10].days, got[10].resting), (Some(14), false));
        assert_eq!((got[9].days, got[9].resting), (Some(45), false));
        assert_eq!(got[3].days, Some(100));
        assert_eq!(full_store_lasts(Volume::new(300.0), &demand, winter, 2023).unwrap()[9].days, Some(30));
        // Without demand the rest is what ends a count: 1 April to 14 November, 30+31+30+31+31+30+31+14 days.
        let idle = full_store_lasts(Volume::new(300.0), &[], winter, 2023).unwrap();
        assert_eq!((idle[3].days, idle[3].resting), (Some(228), false));
        // A rest of the whole year leaves no count at all.
        let never = WinterRule::Rests { from: (1, 1), to: (12, 31) };
        let never = full_store_lasts(Volume::new(300.0), &demand, never, 2023).unwrap();
        assert!(never.iter().all(|lasts| lasts.resting && lasts.days.is_none()));
    }
}
