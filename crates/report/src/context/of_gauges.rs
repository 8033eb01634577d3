//! What the templates see of the gauges beside the one that leads, and of what speaks against that one.

use super::ContextMaker;
use assess::LeadDoubt;
use minijinja::{Value, context};

impl ContextMaker<'_> {
    /// The gauges that are asked, and whether they say anything of the site's amounts.
    pub(super) fn beside(&self) -> Value {
        let neighbours = &self.assessment.neighbours;
        let gradient = neighbours.amounts.as_ref().map(|amounts| amounts.gradient);
        context! {
            any => !neighbours.beside.is_empty(),
            wanted => self.assessment.site.records.use_neighbours || !self.assessment.site.records.amounts_as_measured,
            alike => neighbours.alike,
            scaled => neighbours.amounts.is_some(),
            no_gradient => gradient == Some(None) && self.assessment.site.site.elevation.is_some(),
            answers => self.assessment.answers.iter().any(|answer| answer.alone.is_ok()),
            left_out => self.assessment.answers.iter().any(|answer| answer.left_out.as_ref().is_ok_and(|found| found.rain.is_ok() || found.share_met.is_ok())),
            lead_weight => format!("gauge.weight/station={}", self.assessment.choice.leading().summary.station.id),
            left_out_many => self.assessment.facts.number("left_out.gauges").is_some_and(|gauges| gauges > 1.0),
            amounts_wanted => !self.assessment.site.records.amounts_as_measured,
        }
    }

    /// What speaks against the leading gauge.
    pub(super) fn doubts(&self) -> Value {
        let doubts = &self.assessment.doubts;
        // Beyond 100 km a warning of its own stands on the page.
        let far = doubts.contains(&LeadDoubt::Far) && self.assessment.diagnostics.count("gauge-far-away") == 0;
        let (height, short) = (doubts.contains(&LeadDoubt::Height), doubts.contains(&LeadDoubt::Short));
        context! { any => far || height || short, far => far, height => height, short => short }
    }
}
