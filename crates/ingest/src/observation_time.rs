//! The time of day at which a gauge was read, gathered line by line, and the day definition that follows from it.
//!
//! An observer writes the depth down under the date on which the gauge is read, so that the 24 hours end at that time of that date
//! (practice of the United States cooperative network, from memory; a reading at 2400 closes the calendar day itself).
//!
//! * One hour on 95 % or more of the readings that state one is the hour of the record, and what differs is told: an observer who is late
//!   once in a while keeps the same day (our choice, no source).
//! * An hour that others follow for more than a year is a change of the definition: no one hour is given, and each is told with its days.
//! * Any other mixture, or a time on fewer than half of the readings, leaves the hour open.
//!
//! Where the hour is left open, the label is kept if it is the same at all hours.

use crate::finding::Findings;
use series::{Day, DayDefinition, DayLabel, Severity};
use std::collections::BTreeMap;

/// Percent of the readings that state a time which one time needs to be that of the record.
const MOST: usize = 95;
/// Days that a time has to be kept to be an epoch of its own.
const EPOCH_DAYS: i32 = 366;
/// Times that are listed in a finding.
const LISTED: usize = 4;

/// Readings at one time of day in one year.
#[derive(Debug, Clone, Copy)]
struct Tally {
    count: usize,
    first: Day,
    last: Day,
}

impl Tally {
    fn add(&mut self, day: Day) {
        self.count += 1;
        self.first = self.first.min(day);
        self.last = self.last.max(day);
    }
}

/// The year and time of the reading before, since most are followed by one alike.
#[derive(Debug, Clone, Copy)]
struct Current {
    written: [u8; 4],
    begins: Day,
    ends: Day,
    key: (i32, u16),
    tally: Tally,
}

/// How often each time of day was stated, by year.
#[derive(Debug, Clone, Default)]
pub(crate) struct ObservationTimes {
    current: Option<Current>,
    tallies: BTreeMap<(i32, u16), Tally>,
    unstated: usize,
}

/// A time of day that was kept for more than a year, or all along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Epoch {
    /// Hours and minutes as one number: 700.
    pub(crate) time: u16,
    /// The first and the last reading at that time.
    pub(crate) first: Day,
    pub(crate) last: Day,
}

impl ObservationTimes {
    /// The time of the reading of a day, hours and minutes as four digits; anything else is counted as not stated.
    pub(crate) fn add(&mut self, day: Day, time: &[u8]) {
        if time.is_empty() {
            self.unstated += 1;
        } else if let Some(current) = self.current.as_mut().filter(|own| own.written == time && own.begins <= day && day <= own.ends) {
            current.tally.add(day);
        } else {
            self.change(day, time);
        }
    }

    /// A reading of another time or year than the one before.
    #[cold]
    fn change(&mut self, day: Day, written: &[u8]) {
        let Some(time) = hours_and_minutes(written) else {
            self.unstated += 1;
            return;
        };
        if let Some(current) = self.current.take() {
            self.tallies.insert(current.key, current.tally);
        }
        let key = (day.year(), time);
        let tally = self.tallies.entry(key).and_modify(|tally| tally.add(day)).or_insert(Tally { count: 1, first: day, last: day });
        if let Ok(written) = written.try_into() {
            let begins = Day::first_of_year(day.year());
            let ends = Day::new(day.year(), 12, 31).unwrap_or(begins);
            self.current = Some(Current { written, begins, ends, key, tally: *tally });
        }
    }

    /// Whether any time was stated.
    pub(crate) fn any(&self) -> bool {
        self.current.is_some() || !self.tallies.is_empty()
    }

    /// The definition of the record, with what has to be told of it.
    pub(crate) fn definition(&self, findings: &mut Findings<'_>) -> DayDefinition {
        let counts = self.counts();
        let stated: usize = counts.values().sum();
        // Of equally common times the earlier one.
        let Some((&time, &most)) = counts.iter().rev().max_by_key(|(_, count)| **count) else {
            findings.whole("observation-hour-unknown", Severity::Note, || {
                ("the file does not say at what hour the gauge was read".to_owned(), "The 24 hours of a day are not known.")
            });
            return DayDefinition::default();
        };
        let epochs = self.epochs();
        if epochs.len() > 1 {
            findings.whole("observation-hour-changed", Severity::Note, || {
                (format!("the gauge was read at {}", told(&epochs)), "No one hour is given for the whole record.")
            });
        } else if 100 * most < MOST * stated || stated < self.unstated {
            findings.whole("observation-hour-varies", Severity::Note, || {
                (format!("the gauge was read at more than one hour: {}", self.list(&counts, None)), "The 24 hours of a day are not known.")
            });
        } else {
            if most < stated || self.unstated > 0 {
                findings.whole("observation-hour-as-a-rule", Severity::Note, || {
                    let share = if most == stated {
                        "on all readings that state an hour".to_owned()
                    } else {
                        // Rounded down, so that no share below all is printed as all.
                        let tenths = most * 1000 / stated;
                        format!("on {}.{} % of the readings that state an hour", tenths / 10, tenths % 10)
                    };
                    (
                        format!("the gauge was read at {} {share}; others: {}", clock(time), self.list(&counts, Some(time))),
                        "The 24 hours of a day are taken to end at that hour throughout.",
                    )
                });
            }
            return definition_of(time);
        }
        let mut labels = counts.keys().map(|time| definition_of(*time).label);
        let label = labels.next().filter(|first| labels.all(|label| label == *first)).unwrap_or_default();
        DayDefinition { start_hour: None, label: if self.unstated == 0 { label } else { DayLabel::Unknown } }
    }

    fn by_year(&self) -> BTreeMap<(i32, u16), Tally> {
        let mut all = self.tallies.clone();
        all.extend(self.current.iter().map(|current| (current.key, current.tally)));
        all
    }

    fn counts(&self) -> BTreeMap<u16, usize> {
        let mut counts = BTreeMap::new();
        for ((_, time), tally) in self.by_year() {
            *counts.entry(time).or_insert(0) += tally.count;
        }
        counts
    }

    /// The times that were kept one after the other, each for more than a year; what is shorter is passed over. One at most where there
    /// was no change.
    pub(crate) fn epochs(&self) -> Vec<Epoch> {
        let by_year = self.by_year();
        let mut years: BTreeMap<i32, (usize, u16)> = BTreeMap::new();
        for (&(year, time), tally) in &by_year {
            let most = years.entry(year).or_insert((0, time));
            if tally.count > most.0 {
                *most = (tally.count, time);
            }
        }
        let mut runs: Vec<Epoch> = Vec::new();
        for (year, (_, time)) in years {
            let Some(tally) = by_year.get(&(year, time)) else { continue };
            match runs.last_mut().filter(|run| run.time == time) {
                Some(run) => run.last = tally.last,
                None => runs.push(Epoch { time, first: tally.first, last: tally.last }),
            }
        }
        // The year of a change belongs to both.
        for at in 1..runs.len() {
            let (before, after) = (runs[at - 1], runs[at]);
            if let Some(tally) = by_year.get(&(after.first.year(), before.time)).filter(|tally| tally.last < after.first) {
                runs[at - 1].last = before.last.max(tally.last);
            }
            if let Some(tally) = by_year.get(&(before.last.year(), after.time)).filter(|tally| tally.first > before.last) {
                runs[at].first = after.first.min(tally.first);
            }
        }
        runs.retain(|run| run.last.since(run.first) >= EPOCH_DAYS);
        runs.dedup_by(|later, before| {
            let same = later.time == before.time;
            if same {
                before.last = later.last;
            }
            same
        });
        runs
    }

    /// The times that were stated most often, and how often; `but` is left out.
    fn list(&self, counts: &BTreeMap<u16, usize>, but: Option<u16>) -> String {
        let others = counts.iter().filter(|(time, _)| Some(**time) != but);
        let mut times: Vec<_> = others.map(|(time, count)| (*count, clock(*time))).collect();
        if self.unstated > 0 {
            times.push((self.unstated, "no time".to_owned()));
        }
        times.sort_by(|a, b| (b.0, &a.1).cmp(&(a.0, &b.1)));
        let more = times.len().saturating_sub(LISTED);
        let told: Vec<String> = times.iter().take(LISTED).map(|(count, time)| format!("{time} ({count} days)")).collect();
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("{}{rest}", told.join(", "))
    }
}

/// `17:00 from 1957-10-01 to 1995-05-09, 18:00 from 1995-05-10 to 2018-09-30`
pub(crate) fn told(epochs: &[Epoch]) -> String {
    let each: Vec<String> = epochs.iter().map(|epoch| format!("{} from {} to {}", clock(epoch.time), epoch.first, epoch.last)).collect();
    each.join(", ")
}

/// `07:00`
fn clock(time: u16) -> String {
    format!("{:02}:{:02}", time / 100, time % 100)
}

/// `0700` or `700` as 700, `07:00` alike; nothing for what is no time of day.
fn hours_and_minutes(time: &[u8]) -> Option<u16> {
    let time = time.trim_ascii();
    let (hours, minutes) = match time {
        [hours @ .., b':', a, b] if !hours.is_empty() && hours.len() <= 2 => (hours, [*a, *b]),
        [hours @ .., a, b] if !hours.is_empty() && hours.len() <= 2 => (hours, [*a, *b]),
        _ => return None,
    };
    let (hours, minutes) = (crate::fields::whole(hours)?, crate::fields::whole(&minutes)?);
    (minutes < 60 && (hours < 24 || (hours == 24 && minutes == 0))).then_some((hours * 100 + minutes) as u16)
}

/// 24 hours that end at that time of the day whose date they bear. Of a time that is no whole hour the hour is not given.
pub(crate) fn definition_of(time: u16) -> DayDefinition {
    match (time / 100, time % 100) {
        (24, _) => DayDefinition { start_hour: Some(0), label: DayLabel::FirstDay },
        // Midnight written 0000 may be the first or the last moment of its date.
        (0, 0) => DayDefinition { start_hour: Some(0), label: DayLabel::Unknown },
        (hour, 0) => DayDefinition { start_hour: Some(hour as u8), label: DayLabel::LastDay },
        _ => DayDefinition { start_hour: None, label: DayLabel::LastDay },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    /// Times of one reading a day from a first day on, each for so many days; the definition and the only finding.
    fn of(runs: &[(&str, i32)]) -> (DayDefinition, String) {
        let mut all = ObservationTimes::default();
        let mut next = day("2001-01-01");
        for (time, days) in runs {
            for _ in 0..*days {
                all.add(next, time.as_bytes());
                next = next.plus(1);
            }
        }
        let mut findings = Findings::new("x");
        let definition = all.definition(&mut findings);
        assert!(findings.list.total() <= 1);
        (definition, findings.list.list.first().map_or(String::new(), |found| found.message.clone()))
    }

    fn at(start_hour: impl Into<Option<u8>>, label: DayLabel) -> DayDefinition {
        DayDefinition { start_hour: start_hour.into(), label }
    }

    #[test]
    fn one_hour_for_all_readings_makes_a_definition() {
        assert_eq!(of(&[("0700", 1), ("700", 1), ("07:00", 1)]), (at(7, DayLabel::LastDay), String::new()));
        assert_eq!(of(&[("2400", 1)]), (at(0, DayLabel::FirstDay), String::new()));
        assert_eq!(of(&[("0000", 1)]), (at(0, DayLabel::Unknown), String::new()));
        assert_eq!(of(&[("0730", 1)]), (at(None, DayLabel::LastDay), String::new()));
        for unknown in [&[("", 2)][..], &[("9999", 1)], &[]] {
            assert_eq!(of(unknown).0, DayDefinition::default(), "{unknown:?}");
        }
    }

    #[test]
    fn an_odd_reading_now_and_then_changes_no_hour() {
        // By hand: 5000 - 3 = 4997 of 5000 are 99.94 %.
        let (definition, told) = of(&[("0700", 2000), ("1000", 1), ("0700", 1997), ("0730", 2), ("0700", 1000)]);
        assert_eq!(definition, at(7, DayLabel::LastDay));
        assert_eq!(
            told,
            "the gauge was read at 07:00 on 99.9 % of the readings that state an hour; others: 07:30 (2 days), 10:00 (1 days)"
        );
        // 95 of 100 are enough, 94 are not; what states no hour does not count, up to half of all.
        assert_eq!(of(&[("0700", 95), ("0800", 5)]).0, at(7, DayLabel::LastDay));
        assert_eq!(of(&[("0700", 94), ("0800", 6)]).0, at(None, DayLabel::LastDay));
        assert_eq!(of(&[("0700", 94), ("2400", 6)]).0, DayDefinition::default());
        assert_eq!(of(&[("0700", 50), ("", 50)]).0, at(7, DayLabel::LastDay));
        assert_eq!(of(&[("0700", 50), ("", 51)]).0, DayDefinition::default());
    }

    #[test]
    fn a_change_of_the_hour_is_told_with_its_days() {
        // 2001-01-01 and 10,000 days: 1,827 are five years with a leap day, so 2006-01-01; 400 days more end on 2007-02-04.
        let (definition, told) = of(&[("0700", 1826), ("0800", 400), ("0700", 10_000)]);
        assert_eq!(definition, at(None, DayLabel::LastDay));
        assert_eq!(
            told,
            "the gauge was read at 07:00 from 2001-01-01 to 2005-12-31, 08:00 from 2006-01-01 to 2007-02-04, 07:00 from 2007-02-05 to 2034-06-22"
        );
        // A season of another hour is no epoch.
        assert_eq!(of(&[("0700", 1826), ("0800", 300), ("0700", 10_000)]).0, at(7, DayLabel::LastDay));
    }
}
