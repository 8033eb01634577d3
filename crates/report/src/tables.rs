//! Tables of the report: a plan, rows and facts put together, once for the page and once for the CSV file.

use crate::number_text::NumberStyle;
use crate::table_plan::{ColumnPlan, TablePlan};
use crate::table_rows::TableRow;
use crate::words::Words;
use assess::Facts;
use paper::{Align, Cell, Column, Inline, Number, Row, Slot, TableData};
use series::{Fact, FactValue, Unit};

/// More different reasons than this are told by the first alone.
const REASONS_SHOWN: usize = 3;

/// What a table is made from.
pub(crate) struct TableMaker<'a> {
    pub(crate) facts: &'a Facts,
    pub(crate) style: &'a NumberStyle,
    pub(crate) words: &'a Words,
}

/// The fact of a column in a row.
pub(crate) fn fact_id(column: &ColumnPlan, row: &TableRow) -> Option<String> {
    let pattern = if row.total { column.total.as_ref() } else { column.fact.as_ref() }?;
    Some(pattern.replace("{row}", &row.key))
}

impl TableMaker<'_> {
    /// The table as it is printed.
    pub(crate) fn page(&self, id: &str, plan: &TablePlan, rows: &[TableRow]) -> TableData {
        // A column of texts that says nothing in any row has no place on the page.
        let says = |column: &&ColumnPlan| {
            let text = column.text.as_ref();
            rows.is_empty() || text.is_none_or(|name| rows.iter().any(|row| row.text.get(name).is_some_and(|text| !text.is_empty())))
        };
        let shown: Vec<&ColumnPlan> = plan.columns.iter().filter(says).collect();
        let columns = shown.iter().map(|column| Column {
            head: Inline::words(column.head.clone()),
            unit: self.column_unit(column, rows).filter(|_| !column.own_unit).filter(|unit| !unit.is_empty()),
            align: if column.text.is_some() { Align::Start } else { Align::End },
        });
        let printed = rows.iter().map(|row| Row { cells: shown.iter().map(|column| self.cell(column, row)).collect(), total: row.total });
        let reasons = self.reasons(plan, rows).join("; ");
        let dash = if reasons.is_empty() { String::new() } else { self.words.with("label", "dash", &[("reasons", &reasons)]) };
        let note = [plan.note.as_str(), dash.as_str()].join(" ").trim().to_owned();
        let text = |text: &str| if text.is_empty() { Vec::new() } else { vec![Inline::Text(text.to_owned())] };
        TableData {
            id: id.to_owned(),
            caption: text(&plan.caption),
            columns: columns.collect(),
            rows: printed.collect(),
            note: text(&note),
        }
    }

    /// Why values of the table are withheld, each reason once: what a dash means must stand on the paper.
    fn reasons(&self, plan: &TablePlan, rows: &[TableRow]) -> Vec<String> {
        let cells = rows.iter().flat_map(|row| plan.columns.iter().filter_map(move |column| fact_id(column, row)));
        let mut reasons: Vec<String> = cells
            .filter_map(|id| match &self.facts.get(&id)?.value {
                FactValue::Withheld(why) => Some(self.words.withheld(why)),
                _ => None,
            })
            .collect();
        reasons.sort();
        reasons.dedup();
        // "Too few years" may differ by row in its count; the first speaks for all.
        if reasons.len() > REASONS_SHOWN {
            reasons.truncate(1);
        }
        reasons
    }

    fn column_unit(&self, column: &ColumnPlan, rows: &[TableRow]) -> Option<String> {
        let unit = rows.iter().find_map(|row| self.facts.get(&fact_id(column, row)?)).map(|fact| fact.unit)?;
        // A share carries its sign in each cell; a date has no unit.
        (unit != Unit::Share).then(|| self.style.unit_name(unit))
    }

    fn cell(&self, column: &ColumnPlan, row: &TableRow) -> Cell {
        if let Some(name) = &column.text {
            return Cell::Slot(Slot::Text(row.text.get(name).cloned().unwrap_or_default()));
        }
        let nothing = |reason: String| Cell::Empty { mark: "–".to_owned(), reason };
        let Some(id) = fact_id(column, row) else { return Cell::Slot(Slot::Text(String::new())) };
        let Some(fact) = self.facts.get(&id) else { return nothing(self.words.get("withheld", "nothing_accepted")) };
        match &fact.value {
            FactValue::Withheld(why) => nothing(self.words.withheld(why)),
            FactValue::Number(value) => Cell::Slot(Slot::Number(self.number(fact, *value, column.own_unit))),
            FactValue::Date(day) => Cell::Slot(Slot::Text(day.to_string())),
        }
    }

    /// A fact's number as printed, with its unit or bare.
    pub(crate) fn number(&self, fact: &Fact, value: f64, with_unit: bool) -> Number {
        let printed = self.style.of(fact, value);
        let text = if with_unit || printed.unit == "%" { printed.whole() } else { printed.digits };
        Number { fact: fact.id.to_string(), value, text }
    }
}
