//! On what terms the records may be used, and how their source is to be named: each source once, the one of the record that leads first.
//!
//! What is known of a file is its format, which says who publishes such files, not who made this one: the terms hold for files that came from
//! the agency. Whoever prints them says so.

use crate::station_choice::{Candidate, StationChoice};
use ingest::agencies::{TermsOfUse, terms_of_format};
use serde::Serialize;

/// The records of one source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TermsOfRecords {
    /// Their stations: the id, else the name, else the file's own name.
    pub records: Vec<String>,
    /// Their formats.
    pub formats: Vec<String>,
    /// The terms; nothing for a person's own log, which no agency publishes.
    pub terms: Option<&'static TermsOfUse>,
}

/// The sources of all records of a choice.
pub fn terms_of_records(choice: &StationChoice) -> Vec<TermsOfRecords> {
    let mut found: Vec<TermsOfRecords> = Vec::new();
    let others = choice.candidates.iter().enumerate().filter(|(place, _)| *place != choice.leads).map(|(_, other)| other);
    for candidate in std::iter::once(choice.leading()).chain(others) {
        let format = &candidate.summary.source.format;
        let terms = terms_of_format(format);
        let record = name(candidate);
        match found.iter_mut().find(|known| known.terms == terms) {
            Some(known) => {
                known.records.push(record);
                if !known.formats.contains(format) {
                    known.formats.push(format.clone());
                }
            }
            None => found.push(TermsOfRecords { records: vec![record], formats: vec![format.clone()], terms }),
        }
    }
    found
}

fn name(candidate: &Candidate) -> String {
    let station = &candidate.summary.station;
    let file = candidate.summary.source.file.rsplit(['/', '\\']).next().unwrap_or_default();
    [station.id.as_str(), station.name.as_str(), file].into_iter().find(|name| !name.is_empty()).unwrap_or_default().to_owned()
}
