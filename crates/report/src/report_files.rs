//! The files of a report: the page, its numbers, tables and charts.

use crate::charts::ChartMaker;
use crate::context::ContextMaker;
use crate::definitions::Definitions;
use crate::number_text::NumberStyle;
use crate::table_rows::RowMaker;
use crate::tables::TableMaker;
use crate::words::Words;
use crate::{Error, csv_tables, json, table_plan};
use assess::Assessment;
use paper::{HtmlOptions, Resources, Templates, Wording, to_html};
use site::WinterRule;
use site::site_file::Locale;
use std::collections::BTreeMap;

const STYLE: &str = include_str!("../../../reports/feasibility/style.css");

macro_rules! parts {
    ($($name:literal),+ $(,)?) => {
        [$(($name, include_str!(concat!("../../../reports/feasibility/en/", $name)))),+]
    };
}

/// The templates of the householder's report; `report.md` includes the others.
const TEMPLATES: [(&str, &str); 14] = parts![
    "report.md",
    "answer.md",
    "site.md",
    "record.md",
    "rain.md",
    "spells.md",
    "storage.md",
    "replay.md",
    "storms.md",
    "path.md",
    "cautions.md",
    "assumptions.md",
    "definitions.md",
    "sources.md",
];

/// Everything that `rainworth assess` writes, as path inside the folder and bytes: `report.html`, `report.json`, `tables/*.csv`, `charts/*.svg`.
///
/// # Errors
/// When a wording file or a template is at fault.
pub fn files(assessment: &Assessment) -> Result<Vec<(String, Vec<u8>)>, Error> {
    let locale = assessment.site.site.locale;
    let words = Words::load(locale)?;
    let definitions = Definitions::load()?;
    let rests = assessment.site.winter.rule != WinterRule::InUse;
    let plans = table_plan::load(if rests { &["winter_rest"] } else { &[] })?;
    let style = NumberStyle { system: assessment.site.site.units, currency: assessment.site.site.currency.clone() };

    let charts = ChartMaker { assessment, words: &words, style: &style }.all();
    let row_maker = RowMaker { assessment, words: &words, style: &style, definitions: &definitions };
    let table_maker = TableMaker { facts: &assessment.facts, style: &style, words: &words };
    let context_maker = ContextMaker { assessment, words: &words, style: &style, definitions: &definitions, plans: &plans };

    let mut tables = BTreeMap::new();
    let mut files = Vec::new();
    for id in context_maker.table_ids() {
        let Some(plan) = plans.get(id) else { continue };
        let rows = row_maker.rows(&plan.rows);
        files.push((format!("tables/{id}.csv"), csv_tables::bytes(plan, &rows, &assessment.facts)?));
        tables.insert(id.clone(), table_maker.page(id, plan, &rows));
    }
    files.push(("tables/replay_days.csv".to_owned(), csv_tables::replay_days(assessment)?));
    files.push(("tables/definitions.csv".to_owned(), csv_tables::definitions(&definitions)?));
    files.extend(charts.iter().map(|(id, chart)| (format!("charts/{id}.svg"), chart.svg.clone().into_bytes())));

    let language = match locale {
        Locale::EnGb => "en-GB",
        Locale::EnUs => "en-US",
    };
    let resources = Resources { language: language.to_owned(), key_facts: context_maker.key_facts(), charts, tables };
    let sources = TEMPLATES.iter().map(|(name, source)| ((*name).to_owned(), (*source).to_owned())).collect();
    let document = Templates::new(sources)?.render("report.md", context_maker.context(), &resources)?;
    let foot = words.with("foot", "text", &[("site", &shortened(&assessment.site.site.name))]);
    let options = HtmlOptions { style: STYLE.to_owned(), running_foot: Some(foot), wording: Wording::default() };
    files.push(("report.html".to_owned(), to_html(&document, &options).into_bytes()));
    files.push(("report.json".to_owned(), json::bytes(&json::report_json(assessment, &definitions))?));
    Ok(files)
}

/// The most characters of the site's name in the foot of a sheet, which has room for two lines.
const NAME_IN_FOOT: usize = 60;

fn shortened(name: &str) -> String {
    if name.chars().count() <= NAME_IN_FOOT {
        return name.to_owned();
    }
    name.chars().take(NAME_IN_FOOT - 1).chain(['…']).collect()
}
