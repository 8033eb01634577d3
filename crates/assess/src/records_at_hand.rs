//! The records that are at hand, each station once, and what the site file's `[[gauge]]` sections say of them.
//!
//! A station that comes in several records (the same station in two formats) is taken once: the record with more usable days, then the one
//! with more temperatures, then the first. Two records of one gauge would weigh twice and agree with themselves. A gauge that the site file
//! leaves out is read and listed; it leads nothing, fills nothing and is held against nothing.

use ingest::StationRecord;
use series::{Diagnostic, Severity};
use site::site_file::GaugeRule;
use std::collections::HashMap;

/// The records and the rules.
#[derive(Debug)]
pub(crate) struct RecordsAtHand<'a> {
    /// Each station once, in the order in which they were read.
    pub(crate) records: Vec<&'a StationRecord>,
    rules: &'a [GaugeRule],
    /// What was found: stations twice, rules of no station.
    pub(crate) findings: Vec<Diagnostic>,
}

impl<'a> RecordsAtHand<'a> {
    pub(crate) fn new(all: &'a [StationRecord], rules: &'a [GaugeRule]) -> Self {
        let id = |record: &'a StationRecord| record.rain.station.id.as_str();
        let fullness = |record: &StationRecord| (record.rain.counts().usable(), record.temperature.days_with_mean());
        let mut records: Vec<&StationRecord> = Vec::new();
        let mut places: HashMap<&str, usize> = HashMap::new();
        let mut findings = Vec::new();
        for record in all {
            let Some(&place) = places.get(id(record)).filter(|_| !id(record).is_empty()) else {
                places.insert(id(record), records.len());
                records.push(record);
                continue;
            };
            let before = records[place];
            let fuller = if fullness(record) > fullness(before) { record } else { before };
            let message = format!(
                "found the station {} in {} and in {}; expected each station once",
                id(record),
                before.rain.provenance.file(),
                record.rain.provenance.file()
            );
            let done = format!("The fuller record is used: {}.", fuller.rain.provenance.file());
            findings.push(Diagnostic::new("station-twice", Severity::Warning, message).done(done));
            records[place] = fuller;
        }
        for rule in rules.iter().filter(|rule| !places.contains_key(rule.id.value.as_str())) {
            let there: Vec<&str> = records.iter().map(|record| id(record)).collect();
            let message = format!("gauge.id: found {:?}, and no record that was read is its; found {}", rule.id.value, there.join(", "));
            let finding = Diagnostic::new("gauge-unknown", Severity::Warning, message).at_line(rule.id.line);
            findings.push(finding.done("what the section says is not used"));
        }
        Self { records, rules, findings }
    }

    /// Whether the site file leaves a station out.
    pub(crate) fn is_left_out(&self, id: &str) -> bool {
        self.rules.iter().any(|rule| rule.left_out && rule.id.value == id)
    }

    /// How many days later than the leading gauge a station dates the same rain, where the site file states it.
    pub(crate) fn days_later(&self, id: &str) -> Option<i32> {
        self.rules.iter().find(|rule| rule.id.value == id).and_then(|rule| rule.days_later)
    }

    /// What is found when the site file says of the leading gauge how its dates lie beside its own.
    pub(crate) fn rule_of_lead(&self, id: &str) -> Option<Diagnostic> {
        self.days_later(id)?;
        let message = format!("gauge.days_later: found it for {id}, which leads; expected it for a gauge beside the leading one");
        Some(Diagnostic::new("gauge-leads", Severity::Warning, message).done("what the section says is not used"))
    }

    /// The records that are not left out.
    pub(crate) fn in_use(&self) -> impl Iterator<Item = &'a StationRecord> + '_ {
        self.records.iter().copied().filter(|record| !self.is_left_out(&record.rain.station.id))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::read;
    use site::site_file::Typed;
    use testkit::DlyText;

    #[test]
    fn each_station_once_and_rules_of_nobody_are_told() {
        let record = |id: &str, days: usize| read(&DlyText::new(id).rain_run_mm((2001, 1, 1), &vec![Some(1.0); days]));
        let all = [record("XXT00000001", 10), record("XXT00000002", 10), record("XXT00000001", 20)];
        let rule = |id: &str| GaugeRule {
            id: Typed { value: id.to_owned(), text: id.to_owned(), line: 7, column: 1 },
            days_later: None,
            left_out: true,
        };
        let rules = [rule("XXT00000002"), rule("XXT0000000Z")];
        let at_hand = RecordsAtHand::new(&all, &rules);
        assert_eq!(at_hand.records.iter().map(|record| record.rain.counts().usable()).collect::<Vec<_>>(), [20, 10]);
        assert_eq!(at_hand.in_use().count(), 1);
        assert_eq!(at_hand.findings.iter().map(|finding| finding.id).collect::<Vec<_>>(), ["station-twice", "gauge-unknown"]);
    }
}
