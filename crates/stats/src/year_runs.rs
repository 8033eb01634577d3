//! The longest run of dry or wet days inside a year, **cut at 1 January and 31 December** as CDD and CWD are defined.
//!
//! A run is given where the gaps cannot change it: the longest run with every day of the gaps against it equals that with every day for it.
//! Days of the year outside the record are gaps. Units: days, 0 to 366. Source: climdex.org/learn/indices.

use crate::calendar::YearSlice;
use series::Withheld;

/// The longest run of days of which `is_wet` is this.
pub(crate) fn longest_run(slice: YearSlice<'_>, wet: bool) -> Result<u32, Withheld> {
    let before = slice.first.day_of_year() - 1;
    let after = slice.days - before - slice.readings.len() as u32;
    let (mut least, mut longest_least, mut most, mut longest_most) = (0, 0, before, before);
    for reading in slice.readings {
        (least, most) = match reading.is_wet() {
            Some(of_day) if of_day == wet => (least + 1, most + 1),
            Some(_) => (0, 0),
            None => (0, most + 1),
        };
        longest_least = longest_least.max(least);
        longest_most = longest_most.max(most);
    }
    longest_most = longest_most.max(most + after);
    if longest_least == longest_most { Ok(longest_least) } else { Err(Withheld::NothingAccepted) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calendar;
    use series::{DailySeries, Day, Reading, Station};

    #[test]
    fn a_gap_counts_for_a_run_and_against_it() {
        // By hand: 365 days dry but for a wet pair and, elsewhere, one wet day; then with a gap beside the pair, then beside the single day.
        let mut readings = vec![Reading::measured(0); 365];
        for i in [100, 101, 300] {
            readings[i] = Reading::measured(2000);
        }
        let longest = |readings: &[Reading], wet| {
            let series = DailySeries::new(Station::default(), Day::first_of_year(2001), readings.to_vec());
            calendar::years(&series).map(|slice| longest_run(slice, wet)).next().unwrap()
        };
        assert_eq!((longest(&readings, true), longest(&readings, false)), (Ok(2), Ok(198)));
        readings[301] = Reading::MISSING;
        assert_eq!((longest(&readings, true), longest(&readings, false)), (Ok(2), Ok(198)), "neither two nor 64 days are more");
        readings[102] = Reading::MISSING;
        assert_eq!(longest(&readings, true), Err(Withheld::NothingAccepted));
        assert_eq!(longest(&readings[..300], true), Err(Withheld::NothingAccepted), "the record ends before the year");
    }
}
