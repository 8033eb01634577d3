//! The document: what stands on the pages, in order, without a word on how it is drawn. Templates make it, the
//! renderers (HTML here, PDF beside it) read it.
//!
//! Text that came from a template and values that came from outside are kept apart: a value is a [`Slot`] and is never
//! parsed. A number is a [`Number`] with the id of the fact it states, its value in SI units, and its text as printed.

use serde::Serialize;

use crate::chart::ChartDrawing;
use crate::drawing::SizedDrawing;

/// A whole document.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Document {
    /// Plain text of the first level-1 heading.
    pub title: String,
    /// Language of the text, as a BCP 47 tag (`en-GB`).
    pub language: String,
    /// What stands on the pages, in order.
    pub blocks: Vec<Block>,
}

/// A block of a document.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Block {
    /// A heading; ids are unique in a document.
    Heading {
        /// 1 to 6; a level is never skipped on the way down.
        level: u8,
        /// Anchor, unique in the document.
        id: String,
        /// The heading's text.
        text: Vec<Inline>,
    },
    /// A paragraph.
    Paragraph(Vec<Inline>),
    /// A list or a checklist.
    List(List),
    /// A table written in the template.
    Table(Table),
    /// The numbers that drive the finding.
    KeyFacts(Vec<KeyFact>),
    /// A chart.
    Chart(ChartDrawing),
    /// A drawing at true size.
    Drawing(SizedDrawing),
    /// A sheet of dots to draw on by hand.
    DottedGrid(SizedDrawing),
    /// A table of data, given by the caller.
    DataTable(TableData),
    /// A caution or note set apart from the text.
    Caution {
        /// How grave it is.
        kind: CautionKind,
        /// What it says.
        blocks: Vec<Block>,
    },
    /// A footnote's text; it is referred to by [`Inline::NoteReference`].
    Footnote {
        /// Its name in the template; the printed number is the renderer's.
        name: String,
        /// What it says.
        blocks: Vec<Block>,
    },
    /// Terms with their meanings.
    Definitions(Vec<Definition>),
    /// A form field to be filled in by hand on paper.
    BlankField {
        /// What is to be filled in.
        label: Vec<Inline>,
        /// Writing lines, 1 to 20.
        lines: u8,
    },
    /// The list of the sections (headings of level 2), with the numbers of their pages on paper.
    Contents,
    /// The next block starts a new page.
    PageBreak,
}

/// A piece of a line. [`Inline::Text`] is ours, written by whoever writes the templates; what a user typed or a file held
/// is a [`Inline::Slot`], wherever it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Inline {
    /// Text of the template.
    Text(String),
    /// A value from outside.
    Slot(Slot),
    /// Strong importance.
    Strong(Vec<Inline>),
    /// Stress.
    Emphasis(Vec<Inline>),
    /// A file name, command or id, in a fixed-width face.
    Code(Vec<Inline>),
    /// A link whose target stands in the template.
    Link {
        /// An absolute `https:`, `http:` or `mailto:` address, a `#heading`, or a path beside the document.
        target: String,
        /// What is shown.
        text: Vec<Inline>,
    },
    /// A reference to the [`Block::Footnote`] of that name.
    NoteReference(String),
    /// A line end inside a paragraph.
    LineBreak,
}

impl Inline {
    /// Words of ours as a run of inlines; no words: an empty run.
    pub fn words(text: impl Into<String>) -> Vec<Inline> {
        let text = text.into();
        if text.is_empty() { Vec::new() } else { vec![Inline::Text(text)] }
    }

    /// A text from outside as a run of inlines; it is never parsed, and what has no glyph prints as U+FFFD.
    pub fn outside(text: impl Into<String>) -> Vec<Inline> {
        vec![Inline::Slot(Slot::Text(text.into()))]
    }
}

/// A value from outside the template: never parsed, always shown as it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Slot {
    /// Any text.
    Text(String),
    /// A number with the fact it states.
    Number(Number),
}

impl Slot {
    /// The text as printed.
    pub fn text(&self) -> &str {
        match self {
            Slot::Text(text) => text,
            Slot::Number(number) => &number.text,
        }
    }
}

/// A number on a page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Number {
    /// Id of the fact, `method[/key=value]…`.
    pub fact: String,
    /// Value in SI units; finite.
    pub value: f64,
    /// The number as printed: rounded, with its unit where it has one.
    pub text: String,
}

/// A list, ordered or not.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct List {
    /// The first number of an ordered list; `None`: bullets.
    pub first_number: Option<u64>,
    /// The items.
    pub items: Vec<ListItem>,
}

impl List {
    /// Whether every item has a box to tick.
    pub fn is_checklist(&self) -> bool {
        !self.items.is_empty() && self.items.iter().all(|item| item.mark.is_some())
    }
}

/// An item of a list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ListItem {
    /// A box to tick: ticked or open.
    pub mark: Option<bool>,
    /// What the item says.
    pub blocks: Vec<Block>,
}

/// How a column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    /// At the start of the line.
    #[default]
    Start,
    /// In the middle.
    Centre,
    /// At the end of the line; numbers.
    End,
}

/// A table written in the template.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Table {
    /// How each column is set.
    pub columns: Vec<Align>,
    /// Cells of the head.
    pub head: Vec<Vec<Inline>>,
    /// Rows of cells, each as long as the head.
    pub rows: Vec<Vec<Vec<Inline>>>,
}

/// One of the numbers that drive the finding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeyFact {
    /// What the number is.
    pub label: Vec<Inline>,
    /// The number (or a text that says why there is none).
    pub value: Slot,
    /// Its band, unit or definition, in a few words.
    pub note: Vec<Inline>,
}

/// A table of data, given by the caller under an id.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct TableData {
    /// Id, unique in the document.
    pub id: String,
    /// What the table holds; printed above it.
    pub caption: Vec<Inline>,
    /// Columns; the first one heads its row.
    pub columns: Vec<Column>,
    /// Rows; each as long as `columns`.
    pub rows: Vec<Row>,
    /// A remark printed below.
    pub note: Vec<Inline>,
}

/// A column of a [`TableData`].
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Column {
    /// What stands in the column.
    pub head: Vec<Inline>,
    /// Its unit, printed with the head.
    pub unit: Option<String>,
    /// How it is set.
    pub align: Align,
}

/// A row of a [`TableData`].
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Row {
    /// Its cells.
    pub cells: Vec<Cell>,
    /// Whether it is set apart (a total).
    pub total: bool,
}

/// A cell of a [`TableData`].
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cell {
    /// A text or a number.
    Slot(Slot),
    /// Nothing, and why: the reason is read out and printed as given (`–`, `withheld`).
    Empty {
        /// What is printed.
        mark: String,
        /// Why there is no value.
        reason: String,
    },
}

/// A term with its meanings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Definition {
    /// The term.
    pub term: Vec<Inline>,
    /// What it means.
    pub meanings: Vec<Vec<Block>>,
}

/// How grave a caution is (the five kinds of the Markdown alerts that templates are written in).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CautionKind {
    /// Worth knowing.
    Note,
    /// A hint.
    Tip,
    /// Needed to get it right.
    Important,
    /// Harm is possible.
    Warning,
    /// Harm is likely.
    Caution,
}

/// The plain text of a run of inlines.
pub fn plain_text(inlines: &[Inline]) -> String {
    let mut out = String::new();
    push_plain(&mut out, inlines);
    out
}

fn push_plain(out: &mut String, inlines: &[Inline]) {
    for inline in inlines {
        match inline {
            Inline::Text(text) => out.push_str(text),
            Inline::Slot(slot) => out.push_str(slot.text()),
            Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::Code(inner) | Inline::Link { text: inner, .. } => {
                push_plain(out, inner);
            }
            Inline::LineBreak => out.push(' '),
            Inline::NoteReference(_) => {}
        }
    }
}

/// The plain text of a run of inlines without the values in it.
pub(crate) fn fixed_text(inlines: &[Inline]) -> String {
    let piece = |inline: &Inline| match inline {
        Inline::Text(text) => text.clone(),
        Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::Code(inner) | Inline::Link { text: inner, .. } => fixed_text(inner),
        Inline::Slot(_) | Inline::LineBreak => " ".to_owned(),
        Inline::NoteReference(_) => String::new(),
    };
    inlines.iter().map(piece).collect()
}

/// Every number of a document in the order of the page, those in key facts and tables included; charts are drawings.
pub fn numbers(document: &Document) -> Vec<&Number> {
    let mut out = Vec::new();
    block_numbers(&document.blocks, &mut out);
    out
}

fn block_numbers<'a>(blocks: &'a [Block], out: &mut Vec<&'a Number>) {
    for block in blocks {
        match block {
            Block::Heading { text, .. } | Block::Paragraph(text) | Block::BlankField { label: text, .. } => inline_numbers(text, out),
            Block::List(list) => list.items.iter().for_each(|item| block_numbers(&item.blocks, out)),
            Block::Table(table) => {
                for cell in table.head.iter().chain(table.rows.iter().flatten()) {
                    inline_numbers(cell, out);
                }
            }
            Block::KeyFacts(facts) => {
                for fact in facts {
                    inline_numbers(&fact.label, out);
                    slot_number(&fact.value, out);
                    inline_numbers(&fact.note, out);
                }
            }
            Block::Chart(chart) => inline_numbers(&chart.caption, out),
            Block::Drawing(drawing) => inline_numbers(&drawing.caption, out),
            Block::DottedGrid(grid) => inline_numbers(&grid.caption, out),
            Block::DataTable(table) => {
                inline_numbers(&table.caption, out);
                table.columns.iter().for_each(|column| inline_numbers(&column.head, out));
                for cell in table.rows.iter().flat_map(|row| &row.cells) {
                    if let Cell::Slot(slot) = cell {
                        slot_number(slot, out);
                    }
                }
                inline_numbers(&table.note, out);
            }
            Block::Caution { blocks, .. } | Block::Footnote { blocks, .. } => {
                block_numbers(blocks, out);
            }
            Block::Definitions(definitions) => {
                for definition in definitions {
                    inline_numbers(&definition.term, out);
                    for meaning in &definition.meanings {
                        block_numbers(meaning, out);
                    }
                }
            }
            Block::Contents | Block::PageBreak => {}
        }
    }
}

fn inline_numbers<'a>(inlines: &'a [Inline], out: &mut Vec<&'a Number>) {
    for inline in inlines {
        match inline {
            Inline::Slot(slot) => slot_number(slot, out),
            Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::Code(inner) | Inline::Link { text: inner, .. } => {
                inline_numbers(inner, out);
            }
            Inline::Text(_) | Inline::LineBreak | Inline::NoteReference(_) => {}
        }
    }
}

fn slot_number<'a>(slot: &'a Slot, out: &mut Vec<&'a Number>) {
    if let Slot::Number(number) = slot {
        out.push(number);
    }
}
