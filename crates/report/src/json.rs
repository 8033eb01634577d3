//! `report.json`: every fact with its definition's title and unit, the records, the findings, the account of the water.

use crate::Error;
use crate::csv_tables::stored_unit;
use crate::definitions::Definitions;
use crate::stationery::OwnFile;
use assess::{Assessment, StationChoice, TermsOfRecords, terms_of_records};
use serde::Serialize;
use series::{Day, Diagnostics, Fact};
use site::WaterAccount;

/// Version of the layout of `report.json`.
const FORMAT: u32 = 1;

/// The whole of `report.json`.
#[derive(Debug, Serialize)]
pub struct ReportJson<'a> {
    format: u32,
    made_with: &'static str,
    prepared_on: Day,
    site: &'a str,
    records: &'a StationChoice,
    /// They hold for records that came from the agency named; the format does not prove that.
    terms_of_use: Vec<TermsOfRecords>,
    seed: u64,
    /// Files that were laid over the shipped templates, words, tables and style.
    own_stationery: &'a [OwnFile],
    water_account_litres: Option<&'a WaterAccount>,
    facts: Vec<FactJson<'a>>,
    diagnostics: &'a Diagnostics,
}

/// A fact with what its definition says.
#[derive(Debug, Serialize)]
struct FactJson<'a> {
    #[serde(flatten)]
    fact: &'a Fact,
    unit_symbol: &'static str,
    title: &'a str,
    sources: &'a [String],
}

/// The assessment as it is written to `report.json`.
pub fn report_json<'a>(assessment: &'a Assessment, definitions: &'a Definitions, own_stationery: &'a [OwnFile]) -> ReportJson<'a> {
    let fact_json = |fact: &'a Fact| {
        let definition = definitions.of(fact);
        FactJson {
            fact,
            unit_symbol: stored_unit(fact.unit),
            title: definition.map_or("", |definition| definition.title.as_str()),
            sources: definition.map_or(&[], |definition| definition.sources.as_slice()),
        }
    };
    ReportJson {
        format: FORMAT,
        made_with: concat!("rainworth ", env!("CARGO_PKG_VERSION")),
        prepared_on: assessment.prepared_on,
        site: &assessment.site.site.name,
        records: &assessment.choice,
        terms_of_use: terms_of_records(&assessment.choice),
        seed: assessment.site.records.seed,
        own_stationery,
        water_account_litres: assessment.account.as_ref(),
        facts: assessment.facts.iter().map(fact_json).collect(),
        diagnostics: &assessment.diagnostics,
    }
}

pub(crate) fn bytes(report: &ReportJson) -> Result<Vec<u8>, Error> {
    let mut bytes = serde_json::to_vec_pretty(report)?;
    bytes.push(b'\n');
    Ok(bytes)
}
