//! The lists that the templates print: what is not known, definitions, sources.

use super::ContextMaker;
use assess::SnowKnowledge;
use minijinja::{Value, context};
use site::{Covering, Evidence};
use std::collections::{BTreeMap, BTreeSet};

/// At most so many characters are named one by one.
const GLYPHS_NAMED: usize = 12;

impl ContextMaker<'_> {
    /// What the report does not know, a sentence each.
    pub(super) fn unknowns(&self) -> Vec<String> {
        let site = &self.assessment.site;
        let around = &site.surroundings;
        let around_keys = [("basement", around.basement), ("slope", around.slope), ("downhill_neighbour", around.downhill_neighbour)];
        let open: Vec<String> =
            around_keys.into_iter().filter(|(_, stated)| stated.is_none()).map(|(key, _)| self.words.get("surroundings", key)).collect();
        let keys = [
            ("snow", self.assessment.run.snow == SnowKnowledge::Unknown),
            ("snow_days", matches!(self.assessment.run.snow, SnowKnowledge::StatedFrost | SnowKnowledge::RestsThroughFrost)),
            ("flow", site.official.is_none()),
            ("gauge", self.assessment.neighbours.amounts.is_none()),
            ("gauges", self.assessment.neighbours.amounts.is_some()),
            ("demand", true),
            ("surroundings", !open.is_empty()),
            ("material", true),
            ("ground", true),
            ("change", true),
            ("rules", true),
        ];
        keys.into_iter()
            .filter(|(_, there)| *there)
            .map(|(key, _)| self.words.with("unknown", key, &[("keys", &open.join("; "))]))
            .collect()
    }

    /// The characters that the printed sheets cannot show, by their numbers; empty where there are none.
    pub(super) fn missing_glyphs(&self) -> String {
        let codes = self.missing_glyphs.iter().take(GLYPHS_NAMED).map(|character| format!("U+{:04X}", u32::from(*character)));
        let more = (self.missing_glyphs.len() > GLYPHS_NAMED).then(|| "...".to_owned());
        codes.chain(more).collect::<Vec<_>>().join(", ")
    }

    /// The definitions that the printed report has, by title.
    pub(super) fn definition_list(&self) -> Vec<Value> {
        let mut shown: BTreeMap<&str, Value> = BTreeMap::new();
        for fact in &self.assessment.facts {
            let Some(definition) = self.definitions.of(fact).filter(|definition| definition.on_paper) else { continue };
            let missing = self.words.with("label", "missing", &[("rule", &definition.missing)]);
            shown.entry(&definition.title).or_insert_with(|| {
                context! {
                    title => definition.title.clone(),
                    formula => definition.formula.clone(),
                    missing => missing,
                    source => definition.sources.join(", "),
                    method => definition.method.clone(),
                }
            });
        }
        shown.into_values().collect()
    }

    /// The works and files that the report rests on.
    pub(super) fn sources(&self) -> Vec<Value> {
        let cited = self.assessment.facts.iter().filter_map(|fact| self.definitions.of(fact)).flat_map(|definition| &definition.sources);
        let references = self.definitions.references(cited);
        let mut sources: Vec<Value> = references.into_iter().map(|(key, text)| context! { key => key, text => text }).collect();
        let ranges: BTreeSet<String> =
            self.assessment.site.roofs.iter().filter_map(|entry| self.range_source(entry.roof.covering)).collect();
        sources.extend(ranges.into_iter().map(|text| context! { key => "", text => text }));
        sources
    }

    fn range_source(&self, covering: Covering) -> Option<String> {
        let range = covering.published_range()?;
        let evidence = match range.evidence {
            Evidence::Read => "evidence_read",
            Evidence::Memory => "evidence_memory",
            Evidence::CommonPractice => "evidence_common_practice",
        };
        let evidence = self.words.get("label", evidence);
        Some(self.words.with("label", "range_source", &[("source", range.source), ("evidence", &evidence)]))
    }
}
