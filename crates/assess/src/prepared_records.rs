//! The records that have a say at the site, ready for use: without the days that their quality tests reject, and within
//! the years that the site file wants.

use crate::quality_tests::quality_of;
use crate::records_at_hand::RecordsAtHand;
use ingest::StationRecord;
use series::Period;
use stats::{DayAlignment, QualityReport};

/// A record that has a say.
#[derive(Debug)]
pub(crate) struct Prepared {
    /// Its place among the candidates of the choice.
    pub(crate) candidate: usize,
    /// As it was read, without the days that were rejected.
    pub(crate) record: StationRecord,
    /// What its quality tests found.
    pub(crate) quality: QualityReport,
    /// How many days later than the site's leading gauge it dates the same rain, where the site file states it.
    pub(crate) days_later: Option<i32>,
}

impl Prepared {
    /// The record of a candidate, tested among those in use.
    pub(crate) fn new(candidate: usize, record: &StationRecord, at_hand: &RecordsAtHand) -> Self {
        let quality = quality_of(record, at_hand.in_use());
        let rain = quality.applied_to(&record.rain);
        let days_later = at_hand.days_later(&rain.station.id);
        let record = StationRecord { rain, temperature: record.temperature.clone(), diagnostics: record.diagnostics.clone() };
        Self { candidate, record, quality, days_later }
    }

    /// Only the years that the site file wants: neither the balance nor a ratio of gauges knows others.
    pub(crate) fn cut_to(mut self, period: Option<Period>) -> Self {
        if let Some(period) = period {
            self.record.rain = self.record.rain.cut_to(period);
        }
        self
    }

    /// Days later than the site's lead that it dates the same rain: stated, else as the two records say, else none.
    pub(crate) fn offset_to(&self, lead: &Self) -> i32 {
        DayAlignment::of(lead.record.rain.day_definition, self.record.rain.day_definition, self.days_later).days_later()
    }

    /// The station's identifier.
    pub(crate) fn id(&self) -> &str {
        &self.record.rain.station.id
    }
}
