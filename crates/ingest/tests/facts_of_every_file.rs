//! Every public file at hand against the facts that a separate reader counted: usable days, days without, total, wettest day, ends.
//!
//! Expected values: `facts.json` beside the records (the folder that RAINWORTH_DATA names), with the rules of its `check_facts.py`.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{Error, StationRecord, Wanted, read_file};
use serde_json::Value;
use std::path::Path;
use testkit::data_dir;

#[test]
fn every_file_is_read_as_it_was_counted() {
    let Some(folder) = data_dir() else { return };
    let facts: Value = serde_json::from_slice(&std::fs::read(folder.join("facts.json")).unwrap()).unwrap();
    let mut wrong = Vec::new();
    for fact in facts.as_array().unwrap() {
        let path = fact["path"].as_str().unwrap();
        let faults = judge(&folder.join(path), fact);
        if !faults.is_empty() {
            wrong.push(format!("{path}: {}", faults.join("; ")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn judge(file: &Path, fact: &Value) -> Vec<String> {
    let mut records: Vec<StationRecord> = Vec::new();
    let read: Result<_, Error> = read_file(file, Wanted { temperatures: true, ..Wanted::default() }, &mut records);
    let expected = fact["expect"].as_str().unwrap();
    match (expected, &read) {
        ("any", _) | ("refuse", Err(_)) => return Vec::new(),
        ("refuse", Ok(_)) => return vec!["not refused".to_owned()],
        (_, Err(error)) => return vec![error.to_string()],
        _ => {}
    }
    records.retain(|record| record.rain.counts().usable() > 0);
    if expected == "none" {
        return if records.is_empty() { Vec::new() } else { vec!["usable days where there are none".to_owned()] };
    }
    figures(&records, fact, expected)
}

fn figures(records: &[StationRecord], fact: &Value, expected: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut told = |what: &str, found: String, wanted: String| {
        if found != wanted {
            wrong.push(format!("{what} {found}, want {wanted}"));
        }
    };
    let stations = fact["stations"].as_u64().unwrap_or(1) as usize;
    if expected == "days" || records.len() > stations {
        told("stations", records.len().to_string(), stations.to_string());
    }
    let counts: Vec<_> = records.iter().map(|record| record.rain.counts()).collect();
    for c in &counts {
        told("calendar", c.calendar.to_string(), (c.measured + c.trace + c.accumulated + c.rejected + c.missing).to_string());
    }
    let usable: usize = counts.iter().map(series::DayCounts::usable).sum();
    told("usable", usable.to_string(), fact["usable"].to_string());
    if expected == "days" && fact.get("missing").is_some() {
        told("other days", (counts[0].calendar - usable).to_string(), fact["missing"].to_string());
    }
    // check_facts.py: depths within 0.06 mm a station, since facts.json has them to a tenth or a hundredth.
    let near = |found: f64, wanted: &Value, tolerance: f64| {
        let wanted: Vec<f64> =
            wanted.as_array().map_or_else(|| vec![wanted.as_f64().unwrap()], |list| list.iter().map(|v| v.as_f64().unwrap()).collect());
        wanted.iter().any(|wanted| (found - wanted).abs() <= tolerance + 1e-6 * wanted.abs())
    };
    let total = records.iter().map(|record| record.rain.total_micrometres()).sum::<i64>() as f64 / 1000.0;
    if !near(total, &fact["total_mm"], 0.06 * stations as f64) {
        told("total", total.to_string(), fact["total_mm"].to_string());
    }
    let greatest =
        records.iter().filter_map(|record| record.rain.greatest_day()).fold(None, |best: Option<(series::Day, i64)>, next| match best {
            Some((_, most)) if next.1 <= most => best,
            _ => Some(next),
        });
    let (date, depth) = greatest.unwrap();
    if fact.get("greatest_mm").is_some() && !near(depth as f64 / 1000.0, &fact["greatest_mm"], 0.06) {
        told("greatest", (depth as f64 / 1000.0).to_string(), fact["greatest_mm"].to_string());
    }
    let text = |key: &str| fact[key].as_str().map(str::to_owned);
    if let Some(wanted) = text("greatest_date") {
        told("greatest on", date.to_string(), wanted);
    }
    let period = records[0].rain.period().unwrap();
    for (key, found) in [("first_day", period.first), ("last_day", period.last)] {
        if let Some(wanted) = text(key) {
            told(key, found.to_string(), wanted);
        }
    }
    wrong
}
