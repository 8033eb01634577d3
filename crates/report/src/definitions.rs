//! What each fact is: title, formula, missing-data rule, source. One list (`reports/definitions.toml`) for the page, the
//! tables, `report.json` and `rainworth define`, so that they cannot disagree.

use crate::Error;
use serde::{Deserialize, Serialize};
use series::Fact;
use std::collections::BTreeMap;
use std::fmt::Write;

const DEFINITIONS: &str = include_str!("../../../reports/definitions.toml");
const REFERENCES: &str = include_str!("../../../reports/references.toml");

/// What a method means; all facts of the method share it.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Definition {
    /// The method: the part of a fact's id before the keys.
    #[serde(default)]
    pub method: String,
    /// Its name for people.
    pub title: String,
    /// The unit that values are stored in.
    pub unit: String,
    /// How it is computed, in words.
    pub formula: String,
    /// What missing data do to it.
    pub missing: String,
    /// Keys into the list of references.
    pub sources: Vec<String>,
    /// Whether the printed report's page of definitions has it.
    #[serde(default, skip_serializing)]
    pub on_paper: bool,
}

/// All definitions and references.
#[derive(Debug, Clone)]
pub struct Definitions {
    methods: BTreeMap<String, Definition>,
    references: BTreeMap<String, String>,
}

impl Definitions {
    /// The definitions that this program was built with.
    ///
    /// # Errors
    /// When a wording file does not read or names a reference that is not there.
    pub fn load() -> Result<Self, Error> {
        let wording = |file: &str, message: String| Error::Wording { file: file.to_owned(), message };
        let mut methods: BTreeMap<String, Definition> =
            toml::from_str(DEFINITIONS).map_err(|error| wording("definitions.toml", error.to_string()))?;
        let references: BTreeMap<String, String> =
            toml::from_str(REFERENCES).map_err(|error| wording("references.toml", error.to_string()))?;
        for (method, definition) in &mut methods {
            definition.method.clone_from(method);
            if let Some(unknown) = definition.sources.iter().find(|key| !references.contains_key(*key)) {
                return Err(wording("definitions.toml", format!("{method} cites {unknown:?}, which references.toml does not have")));
            }
        }
        Ok(Self { methods, references })
    }

    /// The definition of a fact's id or method.
    pub fn get(&self, id: &str) -> Option<&Definition> {
        self.methods.get(id.split('/').next().unwrap_or_default())
    }

    /// The definition of a fact.
    pub fn of(&self, fact: &Fact) -> Option<&Definition> {
        self.methods.get(fact.id.method())
    }

    /// Whether there is a method of that name.
    pub(crate) fn knows(&self, method: &str) -> bool {
        self.methods.contains_key(method)
    }

    /// All definitions, by method.
    pub fn all(&self) -> Vec<&Definition> {
        self.methods.values().collect()
    }

    /// The method whose name is nearest to a mistyped one.
    pub fn nearest(&self, id: &str) -> Option<&str> {
        let method_of = id.split('/').next().unwrap_or_default();
        // Likeness from 0 to 1 that favours a common beginning: methods differ most at their ends.
        let likeness = |method: &String| strsim::jaro_winkler(method, method_of);
        let nearest = self.methods.keys().max_by(|a, b| likeness(a).total_cmp(&likeness(b)))?;
        (likeness(nearest) >= 0.8).then_some(nearest)
    }

    /// The references behind a definition, in words.
    pub fn sources(&self, definition: &Definition) -> Vec<&str> {
        definition.sources.iter().filter_map(|key| self.references.get(key)).map(String::as_str).collect()
    }

    /// The references of these keys, as key and words.
    pub(crate) fn references<'a>(&'a self, keys: impl IntoIterator<Item = &'a String>) -> BTreeMap<&'a str, &'a str> {
        keys.into_iter().filter_map(|key| Some((key.as_str(), self.references.get(key)?.as_str()))).collect()
    }

    /// Every definition on a line.
    pub fn list_text(&self) -> String {
        let width = self.methods.keys().map(String::len).max().unwrap_or(0);
        self.methods.values().fold(String::new(), |mut list, definition| {
            // Writing to a string cannot fail.
            let _ = writeln!(list, "{:width$}  {}", definition.method, definition.title);
            list
        })
    }

    /// One definition as a paragraph for a terminal.
    pub fn text(&self, definition: &Definition) -> String {
        format!(
            "{}\n  {}\n  stored in  {}\n  formula    {}\n  missing    {}\n  source     {}\n",
            definition.method,
            definition.title,
            definition.unit,
            definition.formula,
            definition.missing,
            self.sources(definition).join("; ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_definition_reads_and_every_reference_is_cited() {
        let definitions = Definitions::load().unwrap();
        let cited: Vec<&String> = definitions.methods.values().flat_map(|definition| &definition.sources).collect();
        let idle: Vec<&String> = definitions.references.keys().filter(|key| !cited.contains(key)).collect();
        assert!(idle.is_empty(), "nobody cites {idle:?}");
        assert!(definitions.methods.values().all(|definition| definition.formula.len() > 10 && definition.missing.len() > 3));
    }

    #[test]
    fn a_mistyped_id_finds_its_neighbour() {
        let definitions = Definitions::load().unwrap();
        assert_eq!(definitions.get("rain.normal/month=7").map(|d| d.method.as_str()), Some("rain.normal"));
        assert_eq!(definitions.nearest("rain.normale"), Some("rain.normal"));
        assert_eq!(definitions.nearest("x"), None);
    }
}
