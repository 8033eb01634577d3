//! How long a full store lasts when nothing comes in, from the first of each month.
//!
//! The days counted are those that pass, from the first of the month on, before the first day whose whole demand the store
//! cannot give; days without demand count, for they pass too. Demand follows month and weekday. Winter rest is left aside: the
//! question is what a full store holds, not what becomes of it.

use crate::demand::{Demand, demand_on};
use crate::error::{SiteError, quantity};
use crate::kernel::met_within;
use series::{Day, Volume};

/// Beyond this many days nobody plans with one fill.
pub const LONGEST_DAYS: u32 = 366;

/// How long a full store lasts from a day on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct FullStoreLasts {
    /// From this day on.
    pub from: Day,
    /// Whole days on which every demand is met; nothing when that holds for 366 days.
    pub days: Option<u32>,
}

/// How long a full store of this usable volume lasts from the first of each month of a year, January first.
///
/// # Errors
/// On a size below zero or not finite, and on a demand that has no meaning.
pub fn full_store_lasts(size: Volume, demands: &[Demand], year: i32) -> Result<Vec<FullStoreLasts>, SiteError> {
    quantity("store size", size.get())?;
    demands.iter().try_for_each(Demand::check)?;
    Ok((1..=12).filter_map(|month| Day::new(year, month, 1)).map(|from| lasts(size, demands, from)).collect())
}

fn lasts(size: Volume, demands: &[Demand], from: Day) -> FullStoreLasts {
    let mut level = size.get();
    for passed in 0..LONGEST_DAYS {
        let asked = demand_on(demands, from.plus(passed as i32)).get();
        if asked - level > met_within(asked) {
            return FullStoreLasts { from, days: Some(passed) };
        }
        level = (level - asked).max(0.0);
    }
    FullStoreLasts { from, days: None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_store_by_hand() {
        let mut daily_by_month = [Volume::ZERO; 12];
        daily_by_month[5..8].fill(Volume::new(50.0));
        let demand = [Demand { name: String::new(), daily_by_month, weekdays: [true; 7] }];
        let got = full_store_lasts(Volume::new(1000.0), &demand, 2023).unwrap();
        assert_eq!(got.len(), 12);
        // 1000 / 50 = 20 days from 1 June; from 1 May the 31 days of May pass first; from 1 August as from 1 June.
        assert_eq!((got[5].days, got[4].days, got[7].days), (Some(20), Some(51), Some(20)));
        // From 1 September nothing is asked for until 1 June 2024, 274 days over a 29 February, and 20 more pass.
        assert_eq!(got[8].days, Some(294));
        assert_eq!(full_store_lasts(Volume::new(5000.0), &demand, 2023).unwrap()[8].days, None);
        assert_eq!(full_store_lasts(Volume::new(49.0), &demand, 2023).unwrap()[6].days, Some(0));
        assert!(full_store_lasts(Volume::new(f64::NAN), &demand, 2023).is_err());
    }

    #[test]
    fn weekdays_stretch_a_full_store() {
        // 1 June 2023 was a Thursday. Drawn on Mondays: 5, 12, 19, 26 June; two draws in the store: the third fails on the 19th.
        let demand = [Demand {
            name: String::new(),
            daily_by_month: [Volume::new(100.0); 12],
            weekdays: [true, false, false, false, false, false, false],
        }];
        assert_eq!(full_store_lasts(Volume::new(250.0), &demand, 2023).unwrap()[5].days, Some(18));
    }
}
