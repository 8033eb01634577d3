//! The facts of a `report.json`.

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// A report's JSON.
#[derive(Debug, Clone)]
pub struct Report {
    /// The whole.
    pub json: Value,
    facts: BTreeMap<String, Value>,
    /// Numbers of each fact as they are written, by key. The JSON library's own parser may be off in the last bit.
    written: BTreeMap<String, BTreeMap<String, String>>,
}

impl Report {
    /// Read `report.json` of a folder.
    ///
    /// # Panics
    /// When it is not there, is no JSON, or names a fact twice.
    pub fn read(folder: &Path) -> Self {
        let text = std::fs::read_to_string(folder.join("report.json")).unwrap();
        let json: Value = serde_json::from_str(&text).unwrap();
        let mut facts = BTreeMap::new();
        for fact in json["facts"].as_array().unwrap() {
            let id = fact["id"].as_str().unwrap().to_owned();
            assert!(facts.insert(id.clone(), fact.clone()).is_none(), "{id} stands twice");
        }
        let written = numbers_as_written(&text);
        Self { json, facts, written }
    }

    /// Every fact by id.
    pub fn facts(&self) -> &BTreeMap<String, Value> {
        &self.facts
    }

    /// A fact's number.
    pub fn number(&self, id: &str) -> Option<f64> {
        self.facts.get(id)?["value"]["number"].as_f64()
    }

    /// Whether the value that a page prints for an id (`ID`, `ID#low`, `ID#high`) is the fact's own, to the last bit.
    ///
    /// # Errors
    /// What differs.
    pub fn holds(&self, id: &str, printed: &str) -> Result<(), String> {
        let (base, key) = id.split_once('#').unwrap_or((id, "number"));
        let fact = self.facts.get(base).ok_or_else(|| format!("{id} is no fact of the report"))?;
        let number = |text: &str| text.parse::<f64>().ok();
        let same = match (&fact["value"]["date"], self.written.get(base).and_then(|numbers| numbers.get(key))) {
            (Value::String(date), _) => date == printed,
            (_, Some(stored)) => number(stored).is_some() && number(stored) == number(printed),
            _ => false,
        };
        if same { Ok(()) } else { Err(format!("{id} is {} with {}, the page has {printed:?}", fact["value"], fact["band"])) }
    }
}

/// `number`, `low` and `high` of each fact, from the printed lines of the file (one key a line).
fn numbers_as_written(text: &str) -> BTreeMap<String, BTreeMap<String, String>> {
    let mut written: BTreeMap<String, BTreeMap<String, String>> = BTreeMap::new();
    let mut id = String::new();
    for line in text.lines() {
        let Some((key, value)) = line.trim().trim_end_matches(',').split_once(": ") else { continue };
        match key.trim_matches('"') {
            "id" => value.trim_matches('"').clone_into(&mut id),
            key @ ("number" | "low" | "high") => {
                written.entry(id.clone()).or_default().insert(key.to_owned(), value.to_owned());
            }
            _ => {}
        }
    }
    written
}
