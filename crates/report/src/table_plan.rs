//! The tables as data: which columns each has, and which fact stands in each column (`reports/feasibility/en/tables.toml`).
//!
//! A column shows either a text of the row (`text = "name"`) or a fact (`fact = "rain.normal/month={row}"`, `{row}` being the row's
//! key). So every number in a table is a fact, and a new column needs no code.

use crate::Error;
use crate::definitions::Definitions;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};

/// Switches that a column may hang on.
const SWITCHES: [&str; 1] = [WINTER_REST];
/// The switch of sites whose store rests in winter.
pub(crate) const WINTER_REST: &str = "winter_rest";
/// Tables that are files of their own and have no plan.
const BUILT_IN: [&str; 2] = ["definitions", "replay_days"];

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

/// All plans, by the table's id, those of a file of one's own over the shipped; columns whose switch is not among `switches` are left out.
pub(crate) fn load(
    shipped: &str,
    own: Option<&str>,
    switches: &[&str],
    definitions: &Definitions,
) -> Result<BTreeMap<String, TablePlan>, Error> {
    let mut plans = read("feasibility/en/tables.toml", shipped)?;
    if let Some(own) = own {
        let own = read("tables.toml", own)?;
        let rows: BTreeSet<String> = plans.values().map(|plan| plan.rows.clone()).collect();
        check_own(&own, &rows, definitions)?;
        plans.extend(own);
    }
    for plan in plans.values_mut() {
        plan.columns.retain(|column| column.only.as_deref().is_none_or(|only| switches.contains(&only)));
    }
    Ok(plans)
}

fn read(file: &str, text: &str) -> Result<BTreeMap<String, TablePlan>, Error> {
    let wording = |message: String| Error::Wording { file: file.to_owned(), message };
    let plans: BTreeMap<String, TablePlan> = toml::from_str(text).map_err(|error| wording(error.to_string()))?;
    for (id, plan) in &plans {
        if let Some(column) = plan.columns.iter().find(|column| column.text.is_some() == column.fact.is_some()) {
            return Err(wording(format!("table {id}, column {:?}: expected either text or fact", column.head)));
        }
    }
    Ok(plans)
}

/// A name that nothing answers to would print a column of dashes: a slip of the pen.
fn check_own(own: &BTreeMap<String, TablePlan>, rows: &BTreeSet<String>, definitions: &Definitions) -> Result<(), Error> {
    let fault = |id: &str, found: String, expected: String| {
        Err(Error::Stationery { file: "tables.toml".to_owned(), line: None, found: format!("{found} in the table {id}"), expected })
    };
    for (id, plan) in own {
        let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_';
        if id.is_empty() || id.len() > 64 || !id.bytes().all(plain) {
            return fault(id, "an id that cannot name a file".to_owned(), "1 to 64 of a-z, 0-9 and _".to_owned());
        }
        if BUILT_IN.contains(&id.as_str()) {
            return fault(id, "the id of a file that is written without it".to_owned(), "another id".to_owned());
        }
        if plan.columns.is_empty() {
            return fault(id, "no column".to_owned(), "at least one that is always there".to_owned());
        }
        if let Some(only) = plan.columns.iter().filter_map(|column| column.only.as_ref()).find(|only| !SWITCHES.contains(&only.as_str())) {
            return fault(id, format!("the switch {only:?}"), format!("one of: {}", SWITCHES.join(", ")));
        }
        if plan.columns.iter().all(|column| column.only.is_some()) {
            return fault(id, "no column without a switch".to_owned(), "at least one that is always there".to_owned());
        }
        if !rows.contains(&plan.rows) {
            let known: Vec<&str> = rows.iter().map(String::as_str).collect();
            return fault(id, format!("the rows {:?}", plan.rows), format!("one of: {}", known.join(", ")));
        }
        for fact in plan.columns.iter().flat_map(|column| column.fact.iter().chain(&column.total)) {
            let method = fact.split('/').next().unwrap_or_default();
            // `{row}` may stand in the method too, as in `record.{row}`: what stands before it must begin one.
            let known = match method.split_once('{') {
                Some((beginning, _)) => definitions.all().iter().any(|definition| definition.method.starts_with(beginning)),
                None => definitions.knows(method),
            };
            if !known {
                return fault(id, format!("the fact {fact:?}"), "a method that `rainworth define` lists".to_owned());
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(own: &str) -> Result<BTreeMap<String, TablePlan>, Error> {
        let shipped = "[months]\ncaption = \"a\"\nrows = \"months\"\n[[months.column]]\nhead = \"Month\"\ntext = \"name\"\n";
        load(shipped, Some(own), &[], &Definitions::load().unwrap())
    }

    #[test]
    fn a_table_of_ones_own_takes_the_place_of_the_shipped_one() {
        let own =
            "[months]\ncaption = \"ours\"\nrows = \"months\"\n[[months.column]]\nhead = \"Rain\"\nfact = \"rain.normal/month={row}\"\n";
        assert_eq!(with(own).unwrap()["months"].caption, "ours");
    }

    #[test]
    fn slips_of_the_pen_are_named() {
        let table = |id: &str, rows: &str, column: &str| {
            format!("[{id}]\ncaption = \"a\"\nrows = \"{rows}\"\n[[{id}.column]]\nhead = \"Rain\"\n{column}\n")
        };
        for (own, told) in [
            (table("months", "month", "text = \"name\""), "one of: months"),
            (table("months", "months", "fact = \"rain.normul/month={row}\""), "rain.normul"),
            (table("Months", "months", "text = \"name\""), "cannot name a file"),
            (table("months", "months", "text = \"a\"\nfact = \"b\""), "either text or fact"),
            (table("definitions", "months", "text = \"name\""), "another id"),
            (table("months", "months", "text = \"name\"\nonly = \"zzz\""), "one of: winter_rest"),
            (table("months", "months", "text = \"name\"\nonly = \"winter_rest\""), "always there"),
            (table("months", "months", "tekst = \"a\""), "line 6"),
        ] {
            let error = with(&own).unwrap_err().to_string();
            assert!(error.contains(told), "{error}");
        }
    }
}
