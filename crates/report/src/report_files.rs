//! The files of a report: the page, the same for paper, its numbers, tables and charts.

use crate::charts::ChartMaker;
use crate::context::ContextMaker;
use crate::definitions::Definitions;
use crate::drawings::DrawingMaker;
use crate::faces::FACES;
use crate::number_text::NumberStyle;
use crate::stationery::Stationery;
use crate::table_rows::RowMaker;
use crate::tables::TableMaker;
use crate::words::Words;
use crate::{Error, csv_tables, json, table_plan};
use assess::Assessment;
use paper::chart::ChartFont;
use paper::{CreationDate, Document, HtmlOptions, Paper, PdfOptions, Resources, Templates, Wording, to_html, to_pdf};
use series::Day;
use site::WinterRule;
use site::site_file::Locale;
use std::collections::{BTreeMap, BTreeSet};

/// How a report is made.
#[derive(Debug, Clone)]
pub struct ReportOptions {
    /// Templates, words, tables and style.
    pub stationery: Stationery,
    /// The sheet of `report.pdf`; `None`: A4, and Letter in the United States.
    pub paper: Option<Paper>,
}

impl Default for ReportOptions {
    fn default() -> Self {
        Self { stationery: Stationery::shipped(), paper: None }
    }
}

/// What a report was written as.
#[derive(Debug, Clone)]
pub struct ReportFiles {
    /// Path inside the folder, and bytes.
    pub files: Vec<(String, Vec<u8>)>,
    /// Characters that the faces of the PDF cannot show, of the site file, the records or the templates; U+FFFD stands in their place
    /// there. The shipped words have a glyph each (a test holds them to it).
    pub missing_glyphs: BTreeSet<char>,
}

/// A report drawn up, not yet written on anything.
struct DrawnUp {
    document: Document,
    words: Words,
    definitions: Definitions,
    /// Tables, charts and drawings as files of their own.
    files: Vec<(String, Vec<u8>)>,
}

/// Everything that `rainworth assess` writes: `report.html`, `report.pdf`, `report.json`, `tables/*.csv`, `charts/*.svg`,
/// `drawings/*.svg`.
///
/// # Errors
/// When a wording file or a template is at fault.
pub fn files(assessment: &Assessment, options: &ReportOptions) -> Result<ReportFiles, Error> {
    let stationery = &options.stationery;
    let mut drawn_up = draw_up(assessment, stationery, &BTreeSet::new())?;
    let foot = foot(&drawn_up.words, assessment, stationery);
    let wording = page_words(&drawn_up.words);
    let print = |document: &Document| to_pdf(document, &pdf_options(document, options.paper, assessment, &foot, &wording));
    let mut pdf = print(&drawn_up.document)?;
    let missing_glyphs: BTreeSet<char> = pdf.missing_glyphs.union(&pdf.missing_own_glyphs).copied().collect();
    if !missing_glyphs.is_empty() {
        // The paper says itself what it cannot show.
        drawn_up = draw_up(assessment, stationery, &missing_glyphs)?;
        pdf = print(&drawn_up.document)?;
    }
    let DrawnUp { document, definitions, mut files, .. } = drawn_up;
    files.push(("report.pdf".to_owned(), pdf.bytes));
    let page = HtmlOptions { style: stationery.style.clone(), running_foot: Some(foot), wording };
    files.push(("report.html".to_owned(), to_html(&document, &page).into_bytes()));
    files.push(("report.json".to_owned(), json::bytes(&json::report_json(assessment, &definitions, stationery.own()))?));
    Ok(ReportFiles { files, missing_glyphs })
}

/// The report as a document, for whoever prints it in a way of their own.
///
/// # Errors
/// When a wording file or a template is at fault.
pub fn document(assessment: &Assessment, stationery: &Stationery) -> Result<Document, Error> {
    draw_up(assessment, stationery, &BTreeSet::new()).map(|drawn_up| drawn_up.document)
}

fn draw_up(assessment: &Assessment, stationery: &Stationery, missing_glyphs: &BTreeSet<char>) -> Result<DrawnUp, Error> {
    let locale = assessment.site.site.locale;
    let words = Words::load(locale, stationery.own_words.as_deref())?;
    let definitions = Definitions::load()?;
    let rests = assessment.site.winter.rule != WinterRule::InUse;
    let switches: &[&str] = if rests { &[table_plan::WINTER_REST] } else { &[] };
    let plans = table_plan::load(&stationery.tables, stationery.own_tables.as_deref(), switches, &definitions)?;
    let style = NumberStyle { system: assessment.site.site.units, currency: assessment.site.site.currency.clone() };

    let font = ChartFont::read(FACES.regular)?;
    let charts = ChartMaker { assessment, words: &words, style: &style, font: &font }.all();
    let drawings = DrawingMaker { site: &assessment.site, words: &words, style: &style, font: &font }.all();
    let row_maker = RowMaker { assessment, words: &words, style: &style, definitions: &definitions };
    let table_maker = TableMaker { facts: &assessment.facts, style: &style, words: &words };
    let own = stationery.own();
    let context_maker = ContextMaker {
        assessment,
        words: &words,
        style: &style,
        definitions: &definitions,
        plans: &plans,
        drawings: &drawings,
        own,
        missing_glyphs,
    };

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
    files.extend(drawings.drawn.iter().map(|(id, drawing)| (format!("drawings/{id}.svg"), drawing.svg.clone().into_bytes())));
    files.extend(drawings.grids.iter().map(|(id, grid)| (format!("drawings/{id}.svg"), grid.svg.clone().into_bytes())));

    let resources = Resources {
        language: language(locale).to_owned(),
        key_facts: context_maker.key_facts(),
        charts,
        drawings: drawings.drawn.clone(),
        grids: drawings.grids.clone(),
        tables,
    };
    let sources = stationery.templates.iter().map(|(name, source)| (name.clone(), source.clone())).collect();
    let document = Templates::new(sources)?.render("report.md", context_maker.context(), &resources)?;
    Ok(DrawnUp { document, words, definitions, files })
}

/// The foot of every sheet; it owns up to a wording that is not the shipped one.
fn foot(words: &Words, assessment: &Assessment, stationery: &Stationery) -> String {
    let text = words.with("foot", "text", &[("site", &shortened(&assessment.site.site.name))]);
    if stationery.own().is_empty() { text } else { [text, words.get("foot", "changed")].join(" ") }
}

fn pdf_options<'a>(document: &Document, paper: Option<Paper>, assessment: &Assessment, foot: &str, wording: &Wording) -> PdfOptions<'a> {
    let own = match assessment.site.site.locale {
        Locale::EnGb => Paper::A4,
        Locale::EnUs => Paper::Letter,
    };
    PdfOptions {
        paper: paper.unwrap_or(own),
        fonts: FACES,
        running_foot: foot.to_owned(),
        title: document.title.clone(),
        language: document.language.clone(),
        created: creation_date(assessment.prepared_on),
        wording: wording.clone(),
    }
}

fn creation_date(day: Day) -> CreationDate {
    let part = |part: u32| u8::try_from(part).unwrap_or(1);
    CreationDate { year: u16::try_from(day.year()).unwrap_or(0), month: part(day.month()), day: part(day.day_of_month()) }
}

fn language(locale: Locale) -> &'static str {
    match locale {
        Locale::EnGb => "en-GB",
        Locale::EnUs => "en-US",
    }
}

/// The renderers' own words.
fn page_words(words: &Words) -> Wording {
    let word = |key: &str| words.get("page", key);
    Wording {
        skip: word("skip"),
        contents: word("contents"),
        notes: word("notes"),
        note: word("note"),
        back: word("back"),
        ticked: word("ticked"),
        open: word("open"),
        blank: word("blank"),
        continued: word("continued"),
        page: word("page"),
        kind_note: word("kind_note"),
        kind_tip: word("kind_tip"),
        kind_important: word("kind_important"),
        kind_warning: word("kind_warning"),
        kind_caution: word("kind_caution"),
    }
}

/// The most characters of the site's name in the foot of a sheet, which has room for two lines.
const NAME_IN_FOOT: usize = 60;

fn shortened(name: &str) -> String {
    if name.chars().count() <= NAME_IN_FOOT {
        return name.to_owned();
    }
    name.chars().take(NAME_IN_FOOT - 1).chain(['…']).collect()
}
