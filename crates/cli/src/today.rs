//! The one look at a clock: the day printed on a report whose date nobody gave, the day on which a record is looked at, the time at which a
//! file was brought.

use series::Day;
use std::time::SystemTime;

/// The time now.
pub(crate) fn now() -> SystemTime {
    SystemTime::now()
}

/// Today's date here.
pub(crate) fn today() -> Day {
    use chrono::Datelike;
    let now = chrono::Local::now().date_naive();
    Day::new(now.year(), now.month(), now.day()).unwrap_or_else(|| Day::first_of_year(now.year()))
}
