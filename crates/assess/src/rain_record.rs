//! The rain facts of one record alone: what `rainworth rain FILE` shows.

use crate::climate_facts::{ClimateRule, climate, given};
use crate::facts::Facts;
use crate::rain_tables::RainTableRule;
use crate::record_facts;
use crate::record_summary::RecordSummary;
use crate::spell_facts::spells;
use crate::storm_facts::storms;
use ingest::StationRecord;
use serde::Serialize;
use series::{DailySeries, DailyTemperature, FactId, Unit};
use stats::{DrySpell, DrySpellRule};

/// A record with its rain facts.
#[derive(Debug, Clone, Serialize)]
pub struct RainRecord {
    /// What is in the record.
    pub record: RecordSummary,
    /// Its facts.
    pub facts: Facts,
    /// The longest dry spells, longest first, and what lies beside each.
    pub longest_dry_spells: Vec<DrySpell>,
}

/// The rain facts of a record by these rules.
pub fn rain_record(record: &StationRecord, rule: RainTableRule) -> RainRecord {
    let mut facts = Facts::default();
    let summary = RecordSummary::of(record, None, None);
    let rain = &record.rain;
    record_facts::of_record(&summary, &record.rain, &mut facts);
    climate(rain, ClimateRule { months: rule.months, normals: rule.normals, period: rule.normals_period }, &mut facts);
    let longest_dry_spells = spells(rain, DrySpellRule::default(), &mut facts).longest;
    storms(rain, rule.years, &mut facts);
    snow(rain, &record.temperature, &mut facts);
    RainRecord { record: summary, facts, longest_dry_spells }
}

/// Adds the share of the precipitation on frozen days; withheld without temperatures on days with a reading.
pub(crate) fn snow(rain: &DailySeries, temperature: &DailyTemperature, facts: &mut Facts) {
    let share = stats::snow_share(rain, temperature);
    let fact = given(FactId::new("snow.share"), Unit::Share, share.share);
    facts.add(fact.during(rain.period()).from_record(&rain.station.id).over(share.days, share.without_temperature));
}
