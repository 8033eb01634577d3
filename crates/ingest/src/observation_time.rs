//! The time of day at which a gauge was read, gathered line by line, and the day definition that follows from it.
//!
//! An observer writes the depth down under the date on which the gauge is read, so that the 24 hours end at that time of that date
//! (practice of the United States cooperative network, from memory; a reading at 2400 closes the calendar day itself). A definition
//! follows only where all readings were made at one time: two hours in one record are two definitions.

use crate::finding::Findings;
use series::{DayDefinition, DayLabel, Severity};
use std::collections::BTreeMap;

/// How often each time of day was stated.
#[derive(Debug, Clone, Default)]
pub(crate) struct ObservationTimes {
    counts: BTreeMap<u16, usize>,
    unstated: usize,
}

impl ObservationTimes {
    /// The time of one reading, hours and minutes as four digits; anything else is counted as not stated.
    pub(crate) fn add(&mut self, time: &[u8]) {
        match hours_and_minutes(time) {
            Some(time) => *self.counts.entry(time).or_insert(0) += 1,
            None => self.unstated += 1,
        }
    }

    /// Whether any time was stated.
    pub(crate) fn any(&self) -> bool {
        !self.counts.is_empty()
    }

    /// The one definition of all readings, with what has to be told of it. `note` is what no time at all says.
    pub(crate) fn definition(&self, findings: &mut Findings<'_>) -> DayDefinition {
        let mut times = self.counts.iter();
        match (times.next(), times.next(), self.unstated) {
            (Some((&time, _)), None, 0) => definition_of(time),
            (None, ..) => {
                findings.whole("observation-hour-unknown", Severity::Note, || {
                    ("the file does not say at what hour the gauge was read".to_owned(), "The 24 hours of a day are not known.")
                });
                DayDefinition::default()
            }
            _ => {
                findings.whole("observation-hour-varies", Severity::Note, || {
                    (format!("the gauge was read at more than one hour: {}", self.list()), "The 24 hours of a day are not known.")
                });
                DayDefinition::default()
            }
        }
    }

    /// The times that were stated most often, and how often.
    fn list(&self) -> String {
        let mut times: Vec<_> = self.counts.iter().map(|(time, count)| (*count, format!("{time:04}"))).collect();
        if self.unstated > 0 {
            times.push((self.unstated, "no time".to_owned()));
        }
        times.sort_by(|a, b| (b.0, &a.1).cmp(&(a.0, &b.1)));
        let more = times.len().saturating_sub(4);
        let told: Vec<String> = times.iter().take(4).map(|(count, time)| format!("{time} ({count} days)")).collect();
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("{}{rest}", told.join(", "))
    }
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

    fn of(times: &[&str]) -> (DayDefinition, usize) {
        let mut all = ObservationTimes::default();
        for time in times {
            all.add(time.as_bytes());
        }
        let mut findings = Findings::new("x");
        let definition = all.definition(&mut findings);
        (definition, findings.list.total())
    }

    #[test]
    fn one_hour_for_all_readings_makes_a_definition() {
        let at = |start_hour, label| DayDefinition { start_hour, label };
        assert_eq!(of(&["0700", "700", "07:00"]), (at(Some(7), DayLabel::LastDay), 0));
        assert_eq!(of(&["2400"]), (at(Some(0), DayLabel::FirstDay), 0));
        assert_eq!(of(&["0000"]), (at(Some(0), DayLabel::Unknown), 0));
        assert_eq!(of(&["0730"]), (at(None, DayLabel::LastDay), 0));
        for unknown in [&["0700", "0800"][..], &["0700", ""], &["", ""], &["9999"], &[]] {
            assert_eq!(of(unknown), (DayDefinition::default(), 1), "{unknown:?}");
        }
    }
}
