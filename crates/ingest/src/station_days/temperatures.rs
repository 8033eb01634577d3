//! The temperatures of a station, from the order of the file into that of time.

use crate::finding::Findings;
use series::{DailyTemperature, Day, Severity};

/// The temperatures by day; of two for one day the first in the file stands.
pub(super) fn by_day(mut greatest: Vec<(Day, i16)>, mut least: Vec<(Day, i16)>, findings: &mut Findings<'_>) -> DailyTemperature {
    let mut temperature = DailyTemperature::new();
    let mut differing = 0;
    for list in [&mut greatest, &mut least] {
        list.sort_by_key(|(day, _)| *day);
        list.dedup_by(|later, stands| {
            differing += usize::from(later.0 == stands.0 && later.1 != stands.1);
            later.0 == stands.0
        });
    }
    if differing > 0 {
        findings.whole("temperature-stated-twice", Severity::Note, || {
            (
                format!("found {differing} temperatures that an earlier line of the file states differently; expected one a day"),
                "The first in the file stand.",
            )
        });
    }
    for (day, tenths) in greatest {
        temperature.set_greatest(day, tenths);
    }
    for (day, tenths) in least {
        temperature.set_least(day, tenths);
    }
    temperature
}
