//! The records that have a say at the site, ready for use: without the days that their quality tests reject.

use crate::neighbour_choice::{MOST_BESIDE, NoSay, REACH_KM};
use crate::quality_tests::quality_of;
use crate::station_choice::{Candidate, StationChoice};
use ingest::StationRecord;
use site::site_file::GaugeRule;
use stats::QualityReport;

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
    /// The record of a candidate, tested among all records.
    pub(crate) fn new(candidate: usize, record: &StationRecord, all: &[StationRecord], rules: &[GaugeRule]) -> Self {
        let quality = quality_of(record, all);
        let rain = quality.applied_to(&record.rain);
        let days_later = rules.iter().find(|rule| rule.id.value == rain.station.id).and_then(|rule| rule.days_later);
        let record = StationRecord { rain, temperature: record.temperature.clone(), diagnostics: record.diagnostics.clone() };
        Self { candidate, record, quality, days_later }
    }

    /// The station's identifier.
    pub(crate) fn id(&self) -> &str {
        &self.record.rain.station.id
    }
}

/// Why each candidate other than the lead has no say, in their order; nothing for those that are asked.
pub(crate) fn asked(choice: &StationChoice, rules: &[GaugeRule]) -> Vec<Option<NoSay>> {
    let lead_is_gauge = choice.leading().summary.extent.is_gauge();
    let any_place = choice.candidates.iter().any(|candidate| candidate.distance_km.is_some());
    let mut taken = 0;
    let mut why = |at: usize, candidate: &Candidate| {
        if at == choice.leads {
            return None;
        }
        let left_out = rules.iter().any(|rule| rule.left_out && rule.id.value == candidate.summary.station.id);
        if left_out {
            return Some(NoSay::LeftOut);
        }
        if !candidate.summary.extent.is_gauge() || !lead_is_gauge {
            return Some(NoSay::ArealMean);
        }
        if any_place && candidate.distance_km.is_none_or(|distance| distance > REACH_KM) {
            return Some(NoSay::OutOfReach);
        }
        if taken == MOST_BESIDE {
            return Some(NoSay::OthersNearer);
        }
        taken += 1;
        None
    };
    choice.candidates.iter().enumerate().map(|(at, candidate)| why(at, candidate)).collect()
}
