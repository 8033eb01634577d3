//! What a record that is here already says of a station: it knows the gaps, which no inventory does. And where record and list disagree.

use super::candidate::Candidate;
use super::search::WantedYears;
use crate::{StationRecord, listed_place};
use serde::Serialize;
use series::{Day, Diagnostic, Diagnostics, Period, Severity};

/// A station's record in figures.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HeldRecord {
    /// Its file, or the first of them.
    pub file: String,
    /// First usable day.
    pub first_day: Day,
    /// Last usable day.
    pub last_day: Day,
    /// Usable days (measured or trace) within the wanted years.
    pub usable_days: usize,
    /// Days of the wanted years.
    pub wanted_days: usize,
}

impl HeldRecord {
    /// Counts a record; nothing for one without a usable day. Without wanted years there are none of them.
    pub(crate) fn of(record: &StationRecord, wanted: Option<WantedYears>) -> Option<Self> {
        let period = record.rain.period()?;
        let wanted = wanted.map(|wanted| Period::of_years(wanted.first, wanted.last));
        let within = wanted.and_then(|wanted| wanted.overlap(period));
        let usable = |period| record.rain.within(period).filter(|(_, reading)| reading.is_usable()).count();
        Some(Self {
            file: record.rain.provenance.sources.first().map(|file| file.file.clone()).unwrap_or_default(),
            first_day: period.first,
            last_day: period.last,
            usable_days: within.map_or(0, usable),
            wanted_days: wanted.map_or(0, Period::days),
        })
    }

    /// Share of the wanted days that are usable, 0 to 1.
    pub fn usable_share(&self) -> f64 {
        if self.wanted_days == 0 { 0.0 } else { self.usable_days as f64 / self.wanted_days as f64 }
    }
}

/// Tells where a record is of another place, height or time than the lists say.
pub(crate) fn disagreements(candidate: &Candidate, record: &StationRecord, held: &HeldRecord, found: &mut Diagnostics) {
    let (listed, own) = (&candidate.station, &record.rain.station);
    for finding in listed_place::disagreements(listed, own, &held.file) {
        found.push(finding);
    }
    if let Some(years) = candidate.rain_years
        && (held.first_day.year() > years.first || held.last_day.year() < years.last)
    {
        let message = format!(
            "found rain of station {} from {} to {} in its record, expected the years {} to {} that the lists have",
            listed.id, held.first_day, held.last_day, years.first, years.last
        );
        let finding = Diagnostic::new("years-disagree", Severity::Warning, message).in_file(&held.file);
        found.push(finding.done("The days of the record are counted. It may be older than the list: bring it anew."));
    }
}
