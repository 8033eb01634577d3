//! The facts of an assessment, in the order in which they were found, each under an id of its own.

use serde::{Serialize, Serializer};
use series::Fact;
use std::collections::HashMap;

/// All facts of an assessment.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    list: Vec<Fact>,
    places: HashMap<String, usize>,
}

impl Facts {
    /// One fact more. A second one under the same id replaces the first.
    pub fn add(&mut self, fact: Fact) {
        if let Some(&place) = self.places.get(fact.id.as_str()) {
            self.list[place] = fact;
        } else {
            self.places.insert(fact.id.as_str().to_owned(), self.list.len());
            self.list.push(fact);
        }
    }

    /// The fact of this id.
    pub fn get(&self, id: &str) -> Option<&Fact> {
        self.places.get(id).map(|&place| &self.list[place])
    }

    /// The number of the fact of this id; nothing when there is none or it is withheld.
    pub fn number(&self, id: &str) -> Option<f64> {
        self.get(id)?.as_number()
    }

    /// All of them, in order.
    pub fn iter(&self) -> std::slice::Iter<'_, Fact> {
        self.list.iter()
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }
}

impl Extend<Fact> for Facts {
    fn extend<I: IntoIterator<Item = Fact>>(&mut self, facts: I) {
        facts.into_iter().for_each(|fact| self.add(fact));
    }
}

impl<'a> IntoIterator for &'a Facts {
    type Item = &'a Fact;
    type IntoIter = std::slice::Iter<'a, Fact>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl Serialize for Facts {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.list.serialize(serializer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{FactId, Unit};

    #[test]
    fn a_fact_is_found_by_its_id() {
        let mut facts = Facts::default();
        let id = FactId::new("rain.normal").key("month", 7);
        facts.add(Fact::number(id.clone(), Unit::Millimetre, 30.0));
        facts.add(Fact::number(id, Unit::Millimetre, 31.0));
        assert_eq!((facts.len(), facts.number("rain.normal/month=7")), (1, Some(31.0)));
        assert_eq!(facts.number("rain.normal/month=8"), None);
    }
}
