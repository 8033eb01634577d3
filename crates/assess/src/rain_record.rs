//! The rain facts of one record alone: what `rainworth rain FILE` shows.

use crate::climate_facts::{ClimateRule, climate};
use crate::facts::Facts;
use crate::rain_tables::RainTableRule;
use crate::record_facts;
use crate::record_summary::RecordSummary;
use crate::spell_facts::spells;
use crate::storm_facts::storms;
use ingest::StationRecord;
use serde::Serialize;
use series::{Fact, FactId, Unit};
use stats::DrySpellRule;

/// A record with its rain facts.
#[derive(Debug, Clone, Serialize)]
pub struct RainRecord {
    /// What is in the record.
    pub record: RecordSummary,
    /// Its facts.
    pub facts: Facts,
}

/// The rain facts of a record by these rules.
pub fn rain_record(record: &StationRecord, rule: RainTableRule) -> RainRecord {
    let mut facts = Facts::default();
    let summary = RecordSummary::of(record);
    let rain = &record.rain;
    record_facts::of_record(&summary, &record.rain, &mut facts);
    climate(rain, ClimateRule { months: rule.months, normals: rule.normals, period: rule.normals_period }, &mut facts);
    spells(rain, DrySpellRule::default(), &mut facts);
    storms(rain, rule.years, &mut facts);
    snow(record, &mut facts);
    RainRecord { record: summary, facts }
}

/// Adds the share of the precipitation on frozen days, where there are temperatures.
pub(crate) fn snow(record: &StationRecord, facts: &mut Facts) {
    let share = stats::snow_share(&record.rain, &record.temperature);
    if share.days > 0 {
        let fact = crate::climate_facts::given(FactId::new("snow.share"), Unit::Share, share.share);
        let fact: Fact = fact.during(record.rain.period()).from_record(&record.rain.station.id);
        facts.add(fact.over(share.days, share.without_temperature));
    }
}
