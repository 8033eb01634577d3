//! The three numbers that drive the finding, with a line below each.

use crate::context::ContextMaker;
use crate::words::{Piece, pieces};
use paper::{Inline, KeyFact, Number, Slot};
use series::FactValue;
use std::collections::BTreeMap;

impl ContextMaker<'_> {
    /// The three numbers that drive the finding.
    pub(crate) fn key_facts(&self) -> BTreeMap<String, KeyFact> {
        let slot = |id: &str| self.slot(id);
        let given = |id: &str| self.assessment.facts.number(id).is_some();
        let run = self.assessment.run.rain.period();
        let (first, last) = (run.first.year().to_string(), run.last.year().to_string());
        let text = |key: &str| self.words.get("key_fact", key);
        let shortest = (1..=12)
            .filter_map(|month| Some((month, self.assessment.facts.number(&format!("full_store.days/month={month}"))?)))
            .reduce(|least, next| if next.1 < least.1 { next } else { least });
        let dry_note = match shortest {
            Some((month, _)) => self.fill("dry_note", &[("days", &format!("full_store.days/month={month}"))]),
            None => vec![Inline::Text(text("dry_note_never"))],
        };
        BTreeMap::from([
            (
                "met".to_owned(),
                KeyFact {
                    label: Inline::words(text("met")),
                    value: slot("store.reliability.volume"),
                    note: vec![Inline::Text(self.words.with("key_fact", "met_note", &[("first", &first), ("last", &last)]))],
                },
            ),
            (
                "delivers".to_owned(),
                KeyFact {
                    label: Inline::words(text("delivers")),
                    value: slot("supply.year.median"),
                    note: if given("supply.year.lower_decile") {
                        self.fill("delivers_note", &[("low", "supply.year.lower_decile"), ("demand", "demand.year")])
                    } else {
                        Vec::new()
                    },
                },
            ),
            ("dry".to_owned(), KeyFact { label: Inline::words(text("dry")), value: slot("spell.season.length"), note: dry_note }),
        ])
    }

    fn slot(&self, id: &str) -> Slot {
        let Some(fact) = self.assessment.facts.get(id) else { return Slot::Text(self.words.get("withheld", "nothing_accepted")) };
        match &fact.value {
            FactValue::Number(value) => {
                Slot::Number(Number { fact: id.to_owned(), value: *value, text: self.style.of(fact, *value).whole() })
            }
            FactValue::Date(day) => Slot::Text(day.to_string()),
            FactValue::Withheld(why) => Slot::Text(self.words.withheld(why)),
        }
    }

    /// A phrase whose `{names}` become slots of facts.
    fn fill(&self, key: &str, places: &[(&str, &str)]) -> Vec<Inline> {
        let phrase = self.words.get("key_fact", key);
        let filled = |piece: Piece| match piece {
            Piece::Text(text) => Some(Inline::Text(text.to_owned())),
            Piece::Name(name) => places.iter().find(|(place, _)| *place == name).map(|(_, id)| Inline::Slot(self.slot(id))),
        };
        pieces(&phrase).into_iter().filter_map(filled).collect()
    }
}
