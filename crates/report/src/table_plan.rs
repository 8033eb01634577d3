//! The tables as data: which columns each has, and which fact stands in each column (`reports/feasibility/en/tables.toml`).
//!
//! A column shows either a text of the row (`text = "name"`) or a fact (`fact = "rain.normal/month={row}"`, `{row}` being the row's
//! key). So every number in a table is a fact, and a new column needs no code.

use crate::Error;
use serde::Deserialize;
use std::collections::BTreeMap;

const TABLES: &str = include_str!("../../../reports/feasibility/en/tables.toml");

/// One table's layout.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct TablePlan {
    /// What the table shows.
    pub(crate) caption: String,
    /// Printed below it.
    #[serde(default)]
    pub(crate) note: String,
    /// Which rows it has: a name that `table_rows` knows.
    pub(crate) rows: String,
    /// Its columns.
    #[serde(rename = "column")]
    pub(crate) columns: Vec<ColumnPlan>,
}

/// One column.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ColumnPlan {
    /// Its head, without the unit.
    pub(crate) head: String,
    /// The row's text that it shows.
    pub(crate) text: Option<String>,
    /// The fact that it shows.
    pub(crate) fact: Option<String>,
    /// The fact in the last row, when that is a sum.
    pub(crate) total: Option<String>,
    /// The switch without which the column is left out.
    pub(crate) only: Option<String>,
    /// Whether each cell carries its own unit, where the facts of a column differ in theirs.
    #[serde(default)]
    pub(crate) own_unit: bool,
}

/// All plans, by the table's id; columns whose switch is not among `switches` are left out.
pub(crate) fn load(switches: &[&str]) -> Result<BTreeMap<String, TablePlan>, Error> {
    let wording = |message: String| Error::Wording { file: "feasibility/en/tables.toml", message };
    let mut plans: BTreeMap<String, TablePlan> = toml::from_str(TABLES).map_err(|error| wording(error.to_string()))?;
    for (id, plan) in &plans {
        if let Some(column) = plan.columns.iter().find(|column| column.text.is_some() == column.fact.is_some()) {
            return Err(wording(format!("table {id}, column {:?}: expected either text or fact", column.head)));
        }
    }
    for plan in plans.values_mut() {
        plan.columns.retain(|column| column.only.as_deref().is_none_or(|only| switches.contains(&only)));
    }
    Ok(plans)
}
