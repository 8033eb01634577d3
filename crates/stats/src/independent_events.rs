//! Independent storms of a daily record: the peaks over a threshold that lie far enough apart, for a partial-duration series.
//!
//! The rule: a day **above** the threshold belongs to the event of the last such day before it, unless at least `quiet_days` days lie
//! between the two. An event's depth is its greatest day, the earliest of equals. With no quiet days every day above is an event.
//! Days pass whether they have a reading or not, so a gap as long as the quiet days parts two events. The days of multi-day totals never
//! enter. An event with a day without a reading inside it or within the quiet days beside it may have had its peak there: it is marked.
//! The years are the usable days over 365.2425. Source: declustering by runs, Coles (2001), section 5.3.2; the treatment of gaps is ours.
//! Depths in micrometres.

use serde::Serialize;
use series::{DailySeries, Day, Extent, Period};
use std::collections::BTreeSet;

/// Mean length of a Gregorian year, days.
const DAYS_OF_A_YEAR: f64 = 365.2425;

/// Which days make which events.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct EventRule {
    /// A day counts when it has more than this, micrometres.
    pub threshold_micrometres: i64,
    /// Days at or below the threshold that part two events.
    pub quiet_days: u32,
}

/// One event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct IndependentEvent {
    /// First to last day above the threshold.
    pub period: Period,
    /// The greatest day.
    pub peak: Day,
    /// Its depth, micrometres.
    pub micrometres: i64,
    /// Whether the peak may lie on a day without a reading, in the event or within the quiet days beside it.
    pub beside_a_gap: bool,
}

/// The events of a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IndependentEvents {
    /// By which rule.
    pub rule: EventRule,
    /// What the record measures.
    pub extent: Extent,
    /// Usable days over the mean length of a year.
    pub years: f64,
    /// Days above the threshold.
    pub days_above: usize,
    /// The events, in order of time.
    pub events: Vec<IndependentEvent>,
}

impl IndependentEvents {
    /// Events a year; 0 without a usable day.
    pub fn rate(&self) -> f64 {
        if self.years > 0.0 { self.events.len() as f64 / self.years } else { 0.0 }
    }
}

fn years(series: &DailySeries) -> f64 {
    series.counts().usable() as f64 / DAYS_OF_A_YEAR
}

/// The events of a record by a rule.
pub fn independent_events(series: &DailySeries, rule: EventRule) -> IndependentEvents {
    let quiet = i64::from(rule.quiet_days);
    let mut events: Vec<IndependentEvent> = Vec::new();
    let mut days_above = 0;
    for (day, reading) in series.days() {
        let Some(depth) = reading.depth().filter(|&depth| depth > rule.threshold_micrometres) else { continue };
        days_above += 1;
        match events.last_mut() {
            Some(event) if i64::from(day.since(event.period.last)) <= quiet => {
                event.period = Period::new(event.period.first, day);
                if depth > event.micrometres {
                    (event.peak, event.micrometres) = (day, depth);
                }
            }
            _ => events.push(IndependentEvent { period: Period::new(day, day), peak: day, micrometres: depth, beside_a_gap: false }),
        }
    }
    mark_gaps(series, rule.quiet_days, &mut events);
    IndependentEvents { rule, extent: series.extent, years: years(series), days_above, events }
}

/// Marks the events that a day without a depth lies in or beside. Days before the record's first and after its last count as such.
fn mark_gaps(series: &DailySeries, quiet_days: u32, events: &mut [IndependentEvent]) {
    let Some(whole) = series.period() else { return };
    // How many days without a depth lie before each day of the record.
    let mut before = Vec::with_capacity(whole.days() + 1);
    let mut without = 0_u32;
    before.push(0);
    for reading in series.readings() {
        without += u32::from(reading.depth().is_none());
        before.push(without);
    }
    let quiet = i64::from(quiet_days);
    for event in events {
        let from = i64::from(event.period.first.since(whole.first)) - quiet;
        let to = i64::from(event.period.last.since(whole.first)) + quiet;
        event.beside_a_gap = match (usize::try_from(from), usize::try_from(to + 1)) {
            (Ok(from), Ok(after)) if after < before.len() => before[after] > before[from],
            _ => true,
        };
    }
}

/// The greatest threshold on the record's own scale that is exceeded by at least `events_a_year` events a year, micrometres; nothing where
/// no threshold of 0 or more has so many, or none is asked for.
pub fn threshold_for_rate(series: &DailySeries, quiet_days: u32, events_a_year: f64) -> Option<i64> {
    let needed = events_a_year * years(series);
    if needed.is_nan() || needed <= 0.0 {
        return None;
    }
    let mut rainy: Vec<(i64, i64)> = (0..)
        .zip(series.readings())
        .filter_map(|(i, reading)| reading.depth().filter(|&depth| depth > 0).map(|depth| (depth, i)))
        .collect();
    rainy.sort_unstable_by(|a, b| b.cmp(a));
    let close = |a: Option<i64>, b: Option<i64>| match (a, b) {
        (Some(a), Some(b)) => i64::from(b - a <= i64::from(quiet_days)),
        _ => 0,
    };
    // Events are the days above less the neighbouring pairs of them that are close.
    let (mut above, mut events) = (BTreeSet::new(), 0_i64);
    for equal in rainy.chunk_by(|a, b| a.0 == b.0) {
        if events as f64 >= needed {
            // The days above this depth, itself not among them, are enough.
            return Some(equal[0].0);
        }
        for &(_, i) in equal {
            let (last, next) = (above.range(..i).next_back().copied(), above.range(i..).next().copied());
            events += 1 + close(last, next) - close(last, Some(i)) - close(Some(i), next);
            above.insert(i);
        }
    }
    (events as f64 >= needed).then_some(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::seeded_depths;
    use proptest::prelude::*;
    use series::{Reading, Station};

    fn record(readings: Vec<Reading>) -> DailySeries {
        DailySeries::new(Station::default(), "2001-01-01".parse().unwrap(), readings)
    }

    fn of(depths: &[i32]) -> DailySeries {
        record(depths.iter().map(|&depth| if depth < 0 { Reading::MISSING } else { Reading::measured(depth * 1000) }).collect())
    }

    fn rule(threshold: i64, quiet_days: u32) -> EventRule {
        EventRule { threshold_micrometres: threshold * 1000, quiet_days }
    }

    /// Coles (2001): 17,531 days of rain, mm (`textbook/ismev_rain.csv`, CHECKS B2).
    fn coles() -> Option<DailySeries> {
        let path = testkit::data_dir()?.join("textbook/ismev_rain.csv");
        let text = std::fs::read_to_string(path).unwrap();
        let depth = |line: &str| (line.split(',').nth(1).unwrap().parse::<f64>().unwrap() * 1000.0).round() as i32;
        Some(record(text.lines().skip(1).map(|line| Reading::measured(depth(line))).collect()))
    }

    #[test]
    fn events_by_hand() {
        // mm: 0 12 9 30 30 0 0 11 0 0 0 40 0 0.
        let series = of(&[0, 12, 9, 30, 30, 0, 0, 11, 0, 0, 0, 40, 0, 0]);
        let shape = |quiet| -> Vec<(u32, u32, u32, i64)> {
            independent_events(&series, rule(10, quiet))
                .events
                .iter()
                .map(|e| (e.period.first.day_of_month(), e.period.last.day_of_month(), e.peak.day_of_month(), e.micrometres / 1000))
                .collect()
        };
        assert_eq!(shape(0), [(2, 2, 2, 12), (4, 4, 4, 30), (5, 5, 5, 30), (8, 8, 8, 11), (12, 12, 12, 40)]);
        assert_eq!(shape(1), [(2, 2, 2, 12), (4, 5, 4, 30), (8, 8, 8, 11), (12, 12, 12, 40)]);
        assert_eq!(shape(2), [(2, 5, 4, 30), (8, 8, 8, 11), (12, 12, 12, 40)]);
        assert_eq!(shape(3), [(2, 8, 4, 30), (12, 12, 12, 40)]);
        assert_eq!(shape(4), [(2, 12, 12, 40)]);
        let found = independent_events(&series, rule(10, 2));
        assert_eq!((found.days_above, found.rate()), (5, 3.0 / (14.0 / 365.2425)));
        // 12 mm is not above 12 mm.
        assert_eq!(independent_events(&series, rule(12, 1)).events.len(), 2);
    }

    #[test]
    fn gaps_part_events_and_mark_them() {
        // Two missing days between: as long as the quiet days asked for, and the peak may lie in them.
        let series = of(&[0, 0, 20, -1, -1, 30, 0, 0, 0, 15, 0, 0]);
        let found = independent_events(&series, rule(10, 2));
        assert_eq!(
            found.events.iter().map(|e| (e.micrometres, e.beside_a_gap)).collect::<Vec<_>>(),
            [(20_000, true), (30_000, true), (15_000, false)]
        );
        assert_eq!(independent_events(&series, rule(10, 3)).events.len(), 2);
        assert!((found.years - 10.0 / 365.2425).abs() < 1e-12);
        // A multi-day total is no day's rain; the ends of the record are gaps.
        let total =
            record(vec![Reading::measured(0), Reading::WITHIN_TOTAL, Reading::accumulated(90_000, Some(2)), Reading::measured(50_000)]);
        let found = independent_events(&total, rule(10, 1));
        assert_eq!((found.events.len(), found.events[0].micrometres, found.events[0].beside_a_gap), (1, 50_000, true));
        let none = independent_events(&DailySeries::default(), rule(10, 1));
        assert!(none.events.is_empty() && none.rate() == 0.0);
    }

    #[test]
    fn rain_of_the_textbook() {
        let Some(series) = coles() else { return };
        // CHECKS B2.1: 152 of 17,531 days above 30 mm.
        let found = independent_events(&series, rule(30, 0));
        assert_eq!((series.counts().usable(), found.days_above, found.events.len()), (17_531, 152, 152));
        // Counted with numpy 2.4.6 by the same rule over np.where(r > 30): events, and the sum of their greatest days, mm.
        for (quiet, events, sum) in [(1, 145, 5707.8), (2, 143, 5630.4), (3, 141, 5569.4), (7, 131, 5197.2)] {
            let found = independent_events(&series, rule(30, quiet)).events;
            assert_eq!(found.len(), events);
            assert_eq!(found.iter().map(|e| e.micrometres).sum::<i64>(), (sum * 1000.0_f64).round() as i64);
        }
    }

    #[test]
    fn thresholds_by_hand() {
        // A year of dry days with 50, 40, 40, 30, 20 mm far apart, and 45 mm beside the 50: one event with it.
        let mut depths = vec![0; 365];
        for (at, depth) in [(10, 50), (11, 45), (60, 40), (120, 40), (200, 30), (300, 20)] {
            depths[at] = depth;
        }
        let series = of(&depths);
        // Above 45: one event; above 40: still one (50 with 45); above 30: three; above 20: four; above 0: five.
        for (rate, expected) in [(0.9, Some(45)), (1.1, Some(30)), (3.0, Some(30)), (3.1, Some(20)), (5.0, Some(0)), (5.1, None)] {
            assert_eq!(threshold_for_rate(&series, 2, rate), expected.map(|mm| mm * 1000), "{rate}");
        }
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(threshold_for_rate(&series, 2, wrong), None);
        }
        assert_eq!(threshold_for_rate(&DailySeries::default(), 2, 1.0), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn the_threshold_gives_its_rate(seed in 0_u64..1000, quiet in 0_u32..6, rate in 1.0..20.0f64) {
            let series = record(seeded_depths(seed, 2000).into_iter().map(Reading::measured).collect());
            let threshold = threshold_for_rate(&series, quiet, rate).unwrap();
            let at = |threshold_micrometres| independent_events(&series, EventRule { threshold_micrometres, quiet_days: quiet });
            prop_assert!(at(threshold).rate() >= rate);
            // No depth of the record above it has as many.
            let mut above: Vec<i64> = series.readings().iter().filter_map(|r| r.depth()).filter(|&d| d > threshold).collect();
            above.sort_unstable();
            above.dedup();
            for depth in above {
                prop_assert!(at(depth).rate() < rate);
            }
        }
    }
}
