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
}

impl Report {
    /// Read `report.json` of a folder.
    ///
    /// # Panics
    /// When it is not there, is no JSON, or names a fact twice.
    pub fn read(folder: &Path) -> Self {
        Self::of(serde_json::from_slice(&std::fs::read(folder.join("report.json")).unwrap()).unwrap())
    }

    /// From its JSON.
    pub fn of(json: Value) -> Self {
        let mut facts = BTreeMap::new();
        for fact in json["facts"].as_array().unwrap() {
            let id = fact["id"].as_str().unwrap().to_owned();
            assert!(facts.insert(id.clone(), fact.clone()).is_none(), "{id} stands twice");
        }
        Self { json, facts }
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
    pub fn holds(&self, id: &str, printed: &str) -> Result<(), String> {
        let (base, end) = id.split_once('#').map_or((id, None), |(base, end)| (base, Some(end)));
        let fact = self.facts.get(base).ok_or_else(|| format!("{id} is no fact of the report"))?;
        let stored = match end {
            Some(end) => &fact["band"][end],
            None if !fact["value"]["date"].is_null() => &fact["value"]["date"],
            None => &fact["value"]["number"],
        };
        let same = match stored {
            Value::Number(number) => printed.parse::<f64>().is_ok_and(|printed| Some(printed) == number.as_f64()),
            Value::String(date) => printed == date,
            _ => false,
        };
        if same { Ok(()) } else { Err(format!("{id} is {stored}, the page has {printed:?}")) }
    }
}
