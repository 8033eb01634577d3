//! What the templates see of the quality tests of the record that leads: for each finding its test, its effect, the ids of its facts, and
//! what it says in words that are no numbers.

use super::ContextMaker;
use minijinja::{Value, context};
use stats::{ChangeOf, CoarseRounding, Effect, Evidence, QualityFinding};

impl ContextMaker<'_> {
    /// The findings, and whether there were neighbours.
    pub(super) fn quality(&self) -> Value {
        let Some(report) = &self.assessment.choice.leading().summary.quality else { return context! {} };
        let findings: Vec<Value> = (1..).zip(&report.findings).map(|(number, finding)| self.quality_finding(number, finding)).collect();
        let not = report.not_applied.iter().map(|one| self.words.get("quality_test", one.test.id())).collect::<Vec<_>>().join(", ");
        context! { findings => findings, rejected => !report.rejected.is_empty(), neighbours => !report.neighbours.is_empty(), not_applied => not }
    }

    fn quality_finding(&self, number: usize, finding: &QualityFinding) -> Value {
        let of = |name: &str| format!("record.quality.{name}/finding={number}");
        let has = |name: &str| self.assessment.facts.get(&of(name)).is_some();
        let weekdays = |days: &[u32]| days.iter().map(|day| self.words.get("weekdays", &day.to_string())).collect::<Vec<_>>().join(", ");
        let (mut of_weekdays, mut read_on, mut kind) = (String::new(), String::new(), "");
        match &finding.evidence {
            Evidence::UntaggedTotals { weekdays: days, read_on: on, .. } => (of_weekdays, read_on) = (weekdays(days), weekdays(&[*on])),
            Evidence::DayShift { days_late, .. } => kind = if *days_late < 0 { "early" } else { "late" },
            Evidence::CoarseRounding(CoarseRounding::Step { .. }) => kind = "step",
            Evidence::CoarseRounding(CoarseRounding::NoSmallDepths { .. }) => kind = "no_small",
            Evidence::ChangePoint { of: what, .. } => {
                kind = match what {
                    ChangeOf::AnnualTotal => "total",
                    ChangeOf::WetDays => "wet_days",
                    ChangeOf::TotalOverNeighbours => "neighbours",
                };
            }
            _ => {}
        }
        context! {
            test => finding.test().id(),
            rejected => finding.effect == Effect::Rejected,
            one_day => finding.periods.first().zip(finding.periods.last()).is_some_and(|(first, last)| first.first == last.last),
            kind => kind,
            weekdays => of_weekdays,
            read_on => read_on,
            has_ratio => has("ratio"),
            has_neighbours => has("neighbours"),
            has_against => has("against"),
            has_same => has("same_first_day"),
            told => matches!(finding.evidence, Evidence::RepeatedMonths { told_by_neighbours: true, .. }),
            first => of("first_day"),
            last => of("last_day"),
            same_first => of("same_first_day"),
            same_last => of("same_last_day"),
            depth => of("depth"),
            against => of("against"),
            days => of("days"),
            usual_days => of("usual_days"),
            share => of("share"),
            share_elsewhere => of("share_elsewhere"),
            ratio => of("ratio"),
            neighbours => of("neighbours"),
        }
    }
}
