//! A calendar day and a period of days, in the Gregorian calendar from 1600 to 2299.
//!
//! The bounds are those of any instrumental rain record, with room for a mistyped century to be seen as one.

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// First and last year that a [`Day`] can have.
const YEARS: std::ops::RangeInclusive<i32> = 1600..=2299;

/// The days of 1600-01-01 and 2299-12-31, counted from 1 January of year 1 as day 1; a test holds them to the calendar.
const FIRST: i32 = 584_023;
const LAST: i32 = 839_692;

/// A calendar day, 1600-01-01 to 2299-12-31. Ordered; four bytes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(i32);

/// A text or a triple that is no day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found {found:?}, expected a calendar day from 1600 to 2299 written as year-month-day, such as 2024-06-30")]
pub struct DayError {
    /// The text as found.
    pub found: String,
}

impl Day {
    /// The day of that year, month (1-12) and day of the month, or nothing if there is none, as for 29 February 1900.
    pub fn new(year: i32, month: u32, day: u32) -> Option<Self> {
        if !YEARS.contains(&year) {
            return None;
        }
        NaiveDate::from_ymd_opt(year, month, day).map(|date| Self(date.num_days_from_ce()))
    }

    /// 1 January of a year held to 1600-2299.
    pub fn first_of_year(year: i32) -> Self {
        Self::at_least(year.clamp(*YEARS.start(), *YEARS.end()), 1, 1)
    }

    /// 31 December of a year held to 1600-2299.
    pub fn last_of_year(year: i32) -> Self {
        Self::at_least(year.clamp(*YEARS.start(), *YEARS.end()), 12, 31)
    }

    fn at_least(year: i32, month: u32, day: u32) -> Self {
        // Every caller gives a real date; the fallback keeps the function total.
        Self(NaiveDate::from_ymd_opt(year, month, day).unwrap_or_default().num_days_from_ce())
    }

    fn date(self) -> NaiveDate {
        NaiveDate::from_num_days_from_ce_opt(self.0).unwrap_or_default()
    }

    /// The year.
    pub fn year(self) -> i32 {
        self.date().year()
    }

    /// The month, 1 to 12.
    pub fn month(self) -> u32 {
        self.date().month()
    }

    /// The day of the month, 1 to 31.
    pub fn day_of_month(self) -> u32 {
        self.date().day()
    }

    /// The day of the year, 1 to 366.
    pub fn day_of_year(self) -> u32 {
        self.date().ordinal()
    }

    /// The weekday, Monday 0 to Sunday 6.
    pub fn weekday(self) -> u32 {
        self.date().weekday().num_days_from_monday()
    }

    /// Year, month and day of the month at once.
    pub fn ymd(self) -> (i32, u32, u32) {
        let date = self.date();
        (date.year(), date.month(), date.day())
    }

    /// The day that many days later (earlier when negative), held to 1600-2299.
    #[must_use]
    pub fn plus(self, days: i32) -> Self {
        Self(self.0.saturating_add(days).clamp(FIRST, LAST))
    }

    /// Days from `earlier` to this day; negative when this day is the earlier one.
    pub fn since(self, earlier: Self) -> i32 {
        self.0 - earlier.0
    }

    /// A number that grows by one a day, for the x axis of a chart.
    pub fn number(self) -> i32 {
        self.0
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.ymd();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

impl fmt::Debug for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Day {
    type Err = DayError;

    fn from_str(text: &str) -> Result<Self, DayError> {
        let error = || DayError { found: text.to_owned() };
        let shape =
            text.len() == 10 && text.bytes().enumerate().all(|(i, b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() });
        if !shape {
            return Err(error());
        }
        let number = |range: std::ops::Range<usize>| text[range].parse::<u32>().map_err(|_| error());
        Self::new(number(0..4)? as i32, number(5..7)?, number(8..10)?).ok_or_else(error)
    }
}

impl Serialize for Day {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

/// An unbroken run of days, both ends included; `first` is never after `last`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Period {
    /// First day.
    pub first: Day,
    /// Last day.
    pub last: Day,
}

impl Period {
    /// The period from one day to another, in either order.
    pub fn new(one: Day, other: Day) -> Self {
        Self { first: one.min(other), last: one.max(other) }
    }

    /// The whole calendar years from one to another.
    pub fn of_years(first: i32, last: i32) -> Self {
        Self::new(Day::first_of_year(first.min(last)), Day::last_of_year(first.max(last)))
    }

    /// How many days it holds, at least 1.
    pub fn days(self) -> usize {
        (self.last.since(self.first) + 1).max(0) as usize
    }

    /// Whether the day lies in it.
    pub fn contains(self, day: Day) -> bool {
        self.first <= day && day <= self.last
    }

    /// The part that both share, if any.
    pub fn overlap(self, other: Self) -> Option<Self> {
        let (first, last) = (self.first.max(other.first), self.last.min(other.last));
        (first <= last).then_some(Self { first, last })
    }

    /// Every day in order.
    pub fn iter(self) -> impl Iterator<Item = Day> {
        (0..self.days() as i32).map(move |i| self.first.plus(i))
    }
}

impl fmt::Display for Period {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {}", self.first, self.last)
    }
}

/// Days in a month (1-12) of a year, by the Gregorian rule.
pub fn days_in_month(year: i32, month: u32) -> u32 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if is_leap_year(year) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Whether a year has a 29 February, by the Gregorian rule.
pub fn is_leap_year(year: i32) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_of_two_centuries_follows_the_one_before() {
        // 1900 is no leap year and 2000 is one: both rules of the Gregorian calendar are met here.
        let mut day = Day::new(1800, 1, 1).unwrap();
        for year in 1800..=2000 {
            for month in 1..=12 {
                for date in 1..=days_in_month(year, month) {
                    assert_eq!(day.ymd(), (year, month, date));
                    assert_eq!(Day::new(year, month, date), Some(day));
                    assert_eq!(day.to_string().parse(), Ok(day));
                    day = day.plus(1);
                }
                assert_eq!(Day::new(year, month, days_in_month(year, month) + 1), None);
            }
        }
    }

    #[test]
    fn a_day_that_never_was_is_refused() {
        for text in
            ["1900-02-29", "2023-13-01", "2023-00-10", "2023-1-1", "23-01-01", "2023/01/01", "", "1599-12-31", "2300-01-01", "2023-01-0१"]
        {
            assert!(text.parse::<Day>().is_err(), "{text}");
        }
    }

    #[test]
    fn the_first_of_1970_was_a_thursday() {
        // The Unix epoch fell on a Thursday (POSIX.1-2017, rationale A.4.16).
        assert_eq!(Day::new(1970, 1, 1).unwrap().weekday(), 3);
    }

    #[test]
    fn the_ends_of_time_hold() {
        assert_eq!(Day::first_of_year(1600).plus(-5), Day::new(1600, 1, 1).unwrap());
        assert_eq!(Day::last_of_year(2299).plus(i32::MAX), Day::new(2299, 12, 31).unwrap());
    }

    #[test]
    fn a_period_counts_both_ends() {
        let period = Period::of_years(2023, 2024);
        assert_eq!(period.days(), 365 + 366);
        assert_eq!(period.iter().count(), 731);
        assert_eq!(period.overlap(Period::of_years(2025, 2026)), None);
    }
}
