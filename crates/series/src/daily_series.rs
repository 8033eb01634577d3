//! A station's daily rain: every day from the first to the last usable one, dense, with what each day is.
//!
//! `calendar` runs from the first to the last usable day (measured or trace); only days inside count, and
//! calendar = measured + trace + accumulated + rejected + missing, always.

use crate::{Day, DayDefinition, Extent, Kind, Period, Provenance, Qualifier, Reading, Rejection, Station};
use serde::Serialize;

/// One station's daily precipitation.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DailySeries {
    /// Whose.
    pub station: Station,
    /// Which 24 hours a date means.
    pub day_definition: DayDefinition,
    /// One gauge, or the mean of an area.
    pub extent: Extent,
    /// From which file.
    pub provenance: Provenance,
    first: Option<Day>,
    readings: Vec<Reading>,
    /// What is stated before the first and after the last usable day, in order.
    outside: Vec<(Day, Reading)>,
}

/// How many days are what. The five kinds add up to `calendar`; the qualifiers are sub-counts of `measured`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct DayCounts {
    /// Days from the first to the last usable day.
    pub calendar: usize,
    /// Days with a depth of their own, zero included.
    pub measured: usize,
    /// Days with rain too small to measure.
    pub trace: usize,
    /// Days that end a multi-day total, or lie inside one of known length.
    pub accumulated: usize,
    /// Days whose value was not accepted.
    pub rejected: usize,
    /// Days without a value.
    pub missing: usize,
    /// Of the measured: nothing was reported and the archive took it for zero.
    pub presumed_zero: usize,
    /// Of the measured: estimated by the source.
    pub estimated: usize,
    /// Of the measured: put together from shorter readings.
    pub made_of_parts: usize,
}

impl DayCounts {
    /// Measured and trace.
    pub fn usable(&self) -> usize {
        self.measured + self.trace
    }

    /// Count one day more.
    pub fn add(&mut self, reading: Reading) {
        self.calendar += 1;
        match reading.kind() {
            Kind::Measured => self.measured += 1,
            Kind::Trace => self.trace += 1,
            Kind::Accumulated { .. } | Kind::WithinTotal => self.accumulated += 1,
            Kind::Missing => self.missing += 1,
            Kind::Rejected(_) => self.rejected += 1,
        }
        let has = |qualifier| usize::from(reading.is_usable() && reading.qualifiers().has(qualifier));
        self.presumed_zero += has(Qualifier::PresumedZero);
        self.estimated += has(Qualifier::Estimated);
        self.made_of_parts += has(Qualifier::MadeOfParts);
    }
}

/// A total over several days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct MultiDayTotal {
    /// The day it ends on.
    pub last: Day,
    /// Days it covers, the last one included, where the source says.
    pub days: Option<u16>,
    /// The whole depth, micrometres.
    pub micrometres: i64,
}

impl MultiDayTotal {
    /// The days it covers, where the length is known.
    pub fn period(&self) -> Option<Period> {
        self.days.map(|days| Period::new(self.last.plus(1 - i32::from(days)), self.last))
    }
}

impl DailySeries {
    /// The series of these readings, one a day from `first` on; what lies outside the first and last usable day is cut
    /// off and kept in [`outside`](Self::outside).
    pub fn new(station: Station, first: Day, mut readings: Vec<Reading>) -> Self {
        let stated = |from: usize, readings: &[Reading]| {
            let days = readings.iter().enumerate().filter(|(_, reading)| reading.kind() != Kind::Missing);
            days.map(|(i, reading)| (first.plus((from + i) as i32), *reading)).collect::<Vec<_>>()
        };
        let (Some(from), Some(to)) = (readings.iter().position(|r| r.is_usable()), readings.iter().rposition(|r| r.is_usable())) else {
            return Self { station, outside: stated(0, &readings), ..Self::default() };
        };
        let mut outside = stated(0, &readings[..from]);
        outside.append(&mut stated(to + 1, &readings[to + 1..]));
        readings.truncate(to + 1);
        readings.drain(..from);
        // A total that reaches back beyond the first usable day keeps its days inside; those before are no part of the calendar.
        Self { station, first: Some(first.plus(from as i32)), readings, outside, ..Self::default() }
    }

    /// First to last usable day; nothing when no day is usable.
    pub fn period(&self) -> Option<Period> {
        let first = self.first?;
        Some(Period::new(first, first.plus(self.readings.len() as i32 - 1)))
    }

    /// Every reading of the calendar, in order.
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// Every day of the calendar with its reading.
    pub fn days(&self) -> impl DoubleEndedIterator<Item = (Day, Reading)> + ExactSizeIterator {
        let first = self.first.unwrap_or_else(|| Day::first_of_year(1600));
        self.readings.iter().enumerate().map(move |(i, &reading)| (first.plus(i as i32), reading))
    }

    /// The reading of a day; missing outside the calendar.
    pub fn reading(&self, day: Day) -> Reading {
        self.first
            .and_then(|first| usize::try_from(day.since(first)).ok())
            .and_then(|i| self.readings.get(i).copied())
            .unwrap_or(Reading::MISSING)
    }

    /// The readings of a period, day by day; missing outside the calendar.
    pub fn within(&self, period: Period) -> impl Iterator<Item = (Day, Reading)> {
        period.iter().map(|day| (day, self.reading(day)))
    }

    /// The same series cut to a period.
    #[must_use]
    pub fn cut_to(&self, period: Period) -> Self {
        let Some(shared) = self.period().and_then(|own| own.overlap(period)) else {
            return Self {
                station: self.station.clone(),
                day_definition: self.day_definition,
                extent: self.extent,
                provenance: self.provenance.clone(),
                ..Self::default()
            };
        };
        let readings = self.within(shared).map(|(_, reading)| reading).collect();
        let cut = Self::new(self.station.clone(), shared.first, readings);
        Self { day_definition: self.day_definition, extent: self.extent, provenance: self.provenance.clone(), outside: Vec::new(), ..cut }
    }

    /// The same series with the usable readings of these days not accepted for `why`. Their depths are kept, and those that come to lie
    /// before the first or after the last usable day stand in [`outside`](Self::outside): nothing is lost. Other days stay as they are.
    #[must_use]
    pub fn rejecting(&self, days: impl IntoIterator<Item = Day>, why: Rejection) -> Self {
        let mut series = self.clone();
        let Some(first) = self.first else { return series };
        for day in days {
            let Some(reading) = usize::try_from(day.since(first)).ok().and_then(|i| series.readings.get_mut(i)) else { continue };
            if reading.is_usable() {
                *reading = Reading::rejected(reading.stated_micrometres() as i32, why).qualified(reading.qualifiers());
            }
        }
        let cut = Self::new(series.station, first, series.readings);
        let (before, after) = self.outside.split_at(self.outside.partition_point(|(day, _)| *day < first));
        let outside = [before, cut.outside.as_slice(), after].concat();
        Self { day_definition: self.day_definition, extent: self.extent, provenance: series.provenance, outside, ..cut }
    }

    /// How many readings other than missing lie before the first or after the last usable day.
    pub fn readings_outside(&self) -> usize {
        self.outside.len()
    }

    /// The readings other than missing that lie outside of the calendar, in order.
    pub fn outside(&self) -> &[(Day, Reading)] {
        &self.outside
    }

    /// Every reading other than missing, in the calendar and outside of it, in order.
    pub fn stated(&self) -> impl Iterator<Item = (Day, Reading)> {
        let first = self.first.unwrap_or_else(|| Day::first_of_year(1600));
        let after = self.outside.partition_point(|(day, _)| *day < first);
        let inside = self.days().filter(|(_, reading)| reading.kind() != Kind::Missing);
        self.outside[..after].iter().copied().chain(inside).chain(self.outside[after..].iter().copied())
    }

    /// How many days are what, over the whole calendar.
    pub fn counts(&self) -> DayCounts {
        let mut counts = DayCounts::default();
        self.readings.iter().for_each(|&reading| counts.add(reading));
        counts
    }

    /// Sum of the usable days' own depths, micrometres; multi-day totals are not in it.
    pub fn total_micrometres(&self) -> i64 {
        self.readings.iter().filter_map(|reading| reading.depth()).sum()
    }

    /// The greatest depth of a single usable day and its date, the earliest of equals; micrometres.
    pub fn greatest_day(&self) -> Option<(Day, i64)> {
        self.days().filter_map(|(day, reading)| Some((day, reading.depth()?))).fold(None, |best, (day, depth)| match best {
            Some((_, most)) if depth <= most => best,
            _ => Some((day, depth)),
        })
    }

    /// The multi-day totals of the calendar in order.
    pub fn multi_day_totals(&self) -> impl Iterator<Item = MultiDayTotal> {
        self.days().filter_map(total)
    }

    /// The multi-day totals in order, with those that end outside of the calendar.
    pub fn stated_totals(&self) -> impl Iterator<Item = MultiDayTotal> {
        self.stated().filter_map(total)
    }
}

fn total((last, reading): (Day, Reading)) -> Option<MultiDayTotal> {
    match reading.kind() {
        Kind::Accumulated { days } => Some(MultiDayTotal { last, days, micrometres: reading.stated_micrometres() }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    #[test]
    fn rejected_days_keep_their_depths_and_nothing_is_lost() {
        let mut readings = vec![Reading::measured(1000); 5];
        readings[0] = Reading::measured(700).qualified(Qualifier::Estimated.into());
        readings[2] = Reading::accumulated(9000, None);
        readings.insert(0, Reading::accumulated(400, None));
        let series = DailySeries::new(Station::default(), day("2000-12-31"), readings);
        let days = ["2001-01-01", "2001-01-03", "2001-01-04", "1990-01-01"].map(day);
        let left = series.rejecting(days, Rejection::QualityTest);
        // The total of 3 January is no usable day and stays; 1 January leaves the calendar with its depth and what was told of it.
        assert_eq!(left.period(), Some(Period::new(day("2001-01-02"), day("2001-01-05"))));
        assert_eq!((left.counts().measured, left.counts().accumulated, left.counts().rejected), (2, 1, 1));
        let first = left.outside()[1];
        assert_eq!(
            (first.0, first.1.kind(), first.1.stated_micrometres()),
            (day("2001-01-01"), Kind::Rejected(Rejection::QualityTest), 700)
        );
        assert!(first.1.qualifiers().has(Qualifier::Estimated));
        assert_eq!(left.reading(day("2001-01-04")).stated_micrometres(), 1000);
        assert_eq!(left.stated().count(), series.stated().count());
        let none = series.rejecting(series.days().map(|(day, _)| day), Rejection::QualityTest);
        assert_eq!((none.period(), none.stated().count()), (None, series.stated().count()));
    }

    #[test]
    fn only_days_between_usable_ones_count() {
        let readings = vec![
            Reading::rejected(9_000_000, Rejection::QualityFlag(b'G')),
            Reading::MISSING,
            Reading::measured(5000),
            Reading::WITHIN_TOTAL,
            Reading::accumulated(8000, Some(2)),
            Reading::MISSING,
            Reading::measured(5000),
            Reading::TRACE,
            Reading::MISSING,
            Reading::accumulated(8000, None),
        ];
        let series = DailySeries::new(Station::default(), day("2001-01-01"), readings);
        assert_eq!(series.period(), Some(Period::new(day("2001-01-03"), day("2001-01-08"))));
        let counts = series.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.accumulated, counts.missing), (6, 2, 1, 2, 1));
        assert_eq!(series.outside()[1], (day("2001-01-10"), Reading::accumulated(8000, None)));
        assert_eq!(series.total_micrometres(), 10_000);
        assert_eq!(series.greatest_day(), Some((day("2001-01-03"), 5000)), "the earliest of equals");
        assert_eq!(
            series.multi_day_totals().collect::<Vec<_>>(),
            [MultiDayTotal { last: day("2001-01-05"), days: Some(2), micrometres: 8000 }]
        );
    }

    #[test]
    fn a_record_without_a_usable_day_has_no_calendar() {
        let series = DailySeries::new(Station::default(), day("2001-01-01"), vec![Reading::MISSING; 40]);
        assert_eq!((series.period(), series.counts().calendar, series.greatest_day()), (None, 0, None));
        assert_eq!(series.days().count(), 0);
    }

    fn reading() -> impl Strategy<Value = Reading> {
        prop_oneof![
            (0..400_000).prop_map(Reading::measured),
            Just(Reading::TRACE),
            Just(Reading::MISSING),
            Just(Reading::WITHIN_TOTAL),
            (0..400_000, proptest::option::of(2..30u16)).prop_map(|(depth, days)| Reading::accumulated(depth, days)),
            (0..400_000).prop_map(|depth| Reading::rejected(depth, Rejection::QualityFlag(b'X'))),
        ]
    }

    proptest! {
        #[test]
        fn every_day_of_the_calendar_is_counted_once(readings in proptest::collection::vec(reading(), 0..400)) {
            let series = DailySeries::new(Station::default(), day("1999-12-01"), readings);
            let c = series.counts();
            prop_assert_eq!(c.calendar, c.measured + c.trace + c.accumulated + c.rejected + c.missing);
            prop_assert_eq!(c.calendar, series.period().map_or(0, Period::days));
        }

        #[test]
        fn what_is_stated_is_what_was_given(readings in proptest::collection::vec(reading(), 0..400)) {
            let first = day("1999-12-01");
            let days = readings.iter().enumerate().map(|(i, &reading)| (first.plus(i as i32), reading));
            let given: Vec<_> = days.filter(|(_, reading)| reading.kind() != Kind::Missing).collect();
            prop_assert_eq!(DailySeries::new(Station::default(), first, readings).stated().collect::<Vec<_>>(), given);
        }

        #[test]
        fn a_cut_series_agrees_with_the_whole(readings in proptest::collection::vec(reading(), 1..400), from in 0..400, length in 1..400) {
            let series = DailySeries::new(Station::default(), day("1999-12-01"), readings);
            let period = Period::new(day("1999-12-01").plus(from), day("1999-12-01").plus(from + length));
            let cut = series.cut_to(period);
            for (day, reading) in cut.days() {
                prop_assert!(period.contains(day));
                prop_assert_eq!(reading, series.reading(day));
            }
            let inside: i64 = series.within(period).filter_map(|(_, r)| r.depth()).sum();
            prop_assert_eq!(cut.total_micrometres(), inside);
        }
    }
}
