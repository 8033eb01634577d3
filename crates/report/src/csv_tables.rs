//! The report's tables as CSV files: the same columns as on the page, numbers unrounded and in stored units, one header line
//! with the unit in each head, a withheld value empty.

use crate::Error;
use crate::definitions::Definitions;
use crate::table_plan::TablePlan;
use crate::table_rows::TableRow;
use crate::tables::fact_id;
use assess::{Assessment, Facts};
use series::{FactValue, Unit};

/// One table as the bytes of a CSV file (RFC 4180).
pub(crate) fn bytes(plan: &TablePlan, rows: &[TableRow], facts: &Facts) -> Result<Vec<u8>, Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    let heads = plan.columns.iter().map(|column| {
        let unit = rows.iter().find_map(|row| facts.get(&fact_id(column, row)?)).map(|fact| stored_unit(fact.unit));
        match unit.filter(|unit| !unit.is_empty() && !column.own_unit) {
            Some(unit) => format!("{} [{unit}]", column.head),
            None => column.head.clone(),
        }
    });
    out.write_record(heads)?;
    for row in rows {
        let cells = plan.columns.iter().map(|column| match &column.text {
            Some(name) => row.text.get(name).cloned().unwrap_or_default(),
            None => fact_id(column, row).and_then(|id| facts.get(&id)).map(|fact| stored(&fact.value)).unwrap_or_default(),
        });
        out.write_record(cells)?;
    }
    out.into_inner().map_err(|error| Error::Csv(error.into_error().into()))
}

/// Every definition: method, title, unit, formula, missing-data rule, sources.
pub(crate) fn definitions(definitions: &Definitions) -> Result<Vec<u8>, Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(["method", "title", "unit", "formula", "missing data", "sources"])?;
    for definition in definitions.all() {
        let sources = definitions.sources(definition).join("; ");
        let cells = [&definition.method, &definition.title, &definition.unit, &definition.formula, &definition.missing, &sources];
        out.write_record(cells)?;
    }
    out.into_inner().map_err(|error| Error::Csv(error.into_error().into()))
}

/// Every day of the replay: rain, inflow, demand, supply, spill, level. In mm and litres.
pub(crate) fn replay_days(assessment: &Assessment) -> Result<Vec<u8>, Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(["day", "rain [mm]", "inflow [L]", "asked for [L]", "supplied [L]", "spilled [L]", "level [L]"])?;
    for replay in assessment.replay.iter().filter(|_| assessment.headline_withheld().is_none()) {
        for ((day, what), rain) in replay.trace.dated().zip(&replay.rain) {
            let volumes = [what.inflow, what.demand, what.supplied, what.spilled, what.level].map(|volume| volume.get().to_string());
            out.write_record([day.to_string(), rain.get().to_string()].into_iter().chain(volumes))?;
        }
    }
    out.into_inner().map_err(|error| Error::Csv(error.into_error().into()))
}

fn stored(value: &FactValue) -> String {
    match value {
        FactValue::Number(value) => value.to_string(),
        FactValue::Date(day) => day.to_string(),
        FactValue::Withheld(_) => String::new(),
    }
}

/// The unit that a fact is stored in, as a table's head names it.
pub(crate) fn stored_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Millimetre => "mm",
        Unit::Litre => "L",
        Unit::LitrePerDay => "L/d",
        Unit::LitrePerYear => "L/a",
        Unit::LitrePerSecond => "L/s",
        Unit::SquareMetre => "m2",
        Unit::Metre => "m",
        Unit::Kilometre => "km",
        Unit::MillimetrePerHour => "mm/h",
        Unit::Day => "d",
        Unit::Year => "a",
        Unit::Share => "1",
        Unit::Kilogram => "kg",
        Unit::Kilopascal => "kPa",
        Unit::CalendarYear | Unit::Ratio | Unit::Count | Unit::Currency | Unit::Date => "",
    }
}
