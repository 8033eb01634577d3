//! The one look at a clock: the day printed on a report whose date nobody gave, and the day on which a record is looked at.

use series::Day;

/// Today's date here.
pub(crate) fn today() -> Day {
    use chrono::Datelike;
    let now = chrono::Local::now().date_naive();
    Day::new(now.year(), now.month(), now.day()).unwrap_or_else(|| Day::first_of_year(now.year()))
}
