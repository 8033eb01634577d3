//! Checks of the PDF renderer. The text of a file is read back by `pdftotext` (poppler) where that is installed.

use std::collections::BTreeSet;
use std::io::Write;
use std::process::{Command, Stdio};

use super::flow::{Page, TOP};
use super::piece::{Kind, Mark, Node, What};
use super::*;
use crate::document::{Align, Block, CautionKind, Cell, Column, Inline, KeyFact, List, ListItem, Number, Row, Slot, TableData, numbers};

mod layout;
mod structure;

struct Bytes {
    regular: Vec<u8>,
    bold: Vec<u8>,
    italic: Vec<u8>,
    mono: Vec<u8>,
}

fn bytes() -> Bytes {
    let face = |name: &str| {
        let path = format!("{}/../../reports/fonts/Liberation{name}.ttf", env!("CARGO_MANIFEST_DIR"));
        std::fs::read(path).expect("the shipped font")
    };
    Bytes { regular: face("Sans-Regular"), bold: face("Sans-Bold"), italic: face("Sans-Italic"), mono: face("Mono-Regular") }
}

fn options(bytes: &Bytes, paper: Paper) -> PdfOptions<'_> {
    PdfOptions {
        paper,
        fonts: Fonts { regular: &bytes.regular, bold: &bytes.bold, italic: &bytes.italic, mono: &bytes.mono },
        running_foot: "A foot of the sheet".into(),
        title: String::new(),
        language: String::new(),
        created: CreationDate { year: 2020, month: 2, day: 29 },
        wording: Wording::default(),
    }
}

fn text(text: &str) -> Vec<Inline> {
    vec![Inline::Text(text.into())]
}

fn number(value: f64, text: &str) -> Number {
    Number { fact: format!("test.number/at={value}"), value, text: text.into() }
}

fn heading(level: u8, id: &str) -> Block {
    Block::Heading { level, id: id.into(), text: text(&format!("Heading {id}")) }
}

fn paragraph(words: usize) -> Block {
    Block::Paragraph(text(&"seven letters a word ".repeat(words / 4)))
}

fn document(blocks: Vec<Block>) -> Document {
    Document { title: "A document".into(), language: "en-GB".into(), blocks }
}

fn long_table(rows: usize) -> TableData {
    let row = |at: usize| Row {
        cells: vec![
            Cell::Slot(Slot::Text(format!("row {at}"))),
            Cell::Slot(Slot::Number(number(at as f64, &format!("{}.{:02} L", 1000 + at, at % 100)))),
        ],
        total: false,
    };
    TableData {
        id: "long".into(),
        caption: text("A long table"),
        columns: vec![
            Column { head: Inline::words("Name of row"), unit: None, align: Align::Start },
            Column { head: Inline::words("Amount"), unit: Some("litres".into()), align: Align::End },
        ],
        rows: (0..rows).map(row).collect(),
        note: text("A remark."),
    }
}

/// One of everything.
fn everything() -> Document {
    let fact = |at: f64| KeyFact {
        label: Inline::words("Seats filled"),
        value: Slot::Number(number(at, &format!("{at} 001 %"))),
        note: vec![Inline::Text("between ".into()), Inline::Slot(Slot::Number(number(0.63, "63 %")))],
    };
    let item = |mark| ListItem { mark, blocks: vec![Block::Paragraph(text("an item"))] };
    document(vec![
        heading(1, "one"),
        Block::KeyFacts((1..6).map(|at| fact(f64::from(at) * 11.0)).collect()),
        Block::Paragraph(vec![
            Inline::Text("Words and ".into()),
            Inline::Strong(vec![Inline::Slot(Slot::Number(number(20.0, "20 boats")))]),
            Inline::Emphasis(text(" stress ")),
            Inline::Code(text("report.json")),
            Inline::LineBreak,
            Inline::Link { target: "#two".into(), text: text("inside") },
            Inline::Link { target: "https://example.org/".into(), text: text("outside") },
            Inline::Link { target: "#nowhere".into(), text: text("nowhere") },
            Inline::NoteReference("n".into()),
        ]),
        Block::Caution { kind: CautionKind::Warning, blocks: vec![paragraph(80), Block::PageBreak, heading(3, "three")] },
        Block::List(List { first_number: Some(9), items: vec![item(None), item(None)] }),
        Block::List(List { first_number: None, items: vec![item(Some(true)), item(Some(false))] }),
        Block::BlankField { label: text("Name"), lines: 3 },
        Block::PageBreak,
        heading(2, "two"),
        Block::DataTable(long_table(150)),
        Block::Footnote { name: "n".into(), blocks: vec![Block::Paragraph(vec![Inline::Slot(Slot::Number(number(7.0, "7.25 mm")))])] },
    ])
}

/// The text of a PDF, or `None` where `pdftotext` is not installed.
fn read(pdf: &[u8]) -> Option<String> {
    read_with(pdf, &["-layout", "-", "-"])
}

fn read_with(pdf: &[u8], arguments: &[&str]) -> Option<String> {
    let Ok(mut child) = Command::new("pdftotext").args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn() else {
        let _ = writeln!(std::io::stderr(), "skipped: pdftotext is not installed (the text of a PDF is not read back)");
        return None;
    };
    let mut stdin = child.stdin.take().expect("a pipe");
    let bytes = pdf.to_vec();
    let feeder = std::thread::spawn(move || stdin.write_all(&bytes));
    let output = child.wait_with_output().expect("pdftotext ends");
    feeder.join().expect("no panic").expect("pdftotext reads it all");
    assert!(output.status.success());
    Some(String::from_utf8(output.stdout).expect("UTF-8"))
}

/// The text of a PDF, sheet by sheet, as its fonts' own tables give it.
fn text_by_sheet(pdf: &[u8]) -> Vec<String> {
    let read = lopdf::Document::load_mem(pdf).expect("lopdf reads the file");
    let sheets = read.get_pages().into_keys();
    sheets.map(|sheet| one_spaced(&read.extract_text(&[sheet]).expect("text"))).collect()
}

fn one_spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn pages(document: &Document, paper: Paper) -> Vec<Page> {
    let bytes = bytes();
    let options = options(&bytes, paper);
    let (pages, _) = lay_out(document, &options).expect("laid out");
    pages
}

#[test]
fn every_number_stands_in_the_text_on_both_papers() {
    let bytes = bytes();
    let document = everything();
    for paper in [Paper::A4, Paper::Letter] {
        let output = to_pdf(&document, &options(&bytes, paper)).expect("a PDF");
        let Some(text) = read(&output.bytes) else { return };
        let text = one_spaced(&text);
        for number in numbers(&document) {
            assert!(text.contains(&number.text), "{} on {paper:?}", number.text);
        }
        assert!(text.contains(&format!("page {0} of {0}", output.pages)));
        // ISO 32000-1, 7.7.3.3: MediaBox in points; ISO 216: 210 mm is 595.28 pt; Letter is 8.5 in = 612 pt.
        let box_ = if paper == Paper::A4 { "595.2" } else { "612" };
        assert!(String::from_utf8_lossy(&output.bytes).contains(box_));
    }
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let bytes = bytes();
    let document = everything();
    let write = || to_pdf(&document, &options(&bytes, Paper::A4)).expect("a PDF");
    assert_eq!(write(), write());
}

#[test]
fn an_empty_document_is_one_sheet() {
    let bytes = bytes();
    let empty = Document { title: String::new(), language: String::new(), blocks: vec![] };
    let output = to_pdf(&empty, &options(&bytes, Paper::Letter)).expect("a PDF");
    assert_eq!(output.pages, 1);
    let empty_things = document(vec![
        Block::Paragraph(vec![]),
        Block::KeyFacts(vec![]),
        Block::List(List { first_number: None, items: vec![ListItem { mark: None, blocks: vec![] }] }),
        Block::DataTable(TableData::default()),
        Block::Definitions(vec![]),
        Block::Caution { kind: CautionKind::Note, blocks: vec![] },
        Block::BlankField { label: vec![], lines: 0 },
        Block::PageBreak,
        Block::PageBreak,
    ]);
    to_pdf(&empty_things, &options(&bytes, Paper::A4)).expect("a PDF");
}

#[test]
fn a_long_table_repeats_its_head_and_splits_no_row() {
    let document = document(vec![heading(1, "one"), Block::DataTable(long_table(150))]);
    let pages = pages(&document, Paper::A4);
    assert!(pages.len() > 2);
    let rows: usize = pages.iter().map(|page| page.placed.iter().filter(|(kind, ..)| *kind == Kind::Row).count()).sum();
    assert_eq!(rows, 150);
    for page in &pages {
        let heads = page.placed.iter().filter(|(kind, ..)| *kind == Kind::Head).count();
        assert_eq!(heads, 1);
        let bottom = Paper::A4.size().1 - flow::BOTTOM + 0.1;
        assert!(page.placed.iter().all(|(_, y, height)| *y >= TOP && y + height <= bottom));
    }
    // A head that is drawn again is decoration: it is read once.
    let decorated = |page: &Page| page.ops.iter().any(|op| op.mark == Mark::Decoration && matches!(op.what, What::Text { .. }));
    assert!(!decorated(&pages[0]) && pages[1..].iter().all(decorated));
}

#[test]
fn a_table_that_fits_on_a_sheet_is_kept_whole() {
    let document = document(vec![paragraph(600), Block::DataTable(long_table(30))]);
    let pages = pages(&document, Paper::Letter);
    let with_rows = pages.iter().filter(|page| page.placed.iter().any(|(kind, ..)| *kind == Kind::Row)).count();
    assert_eq!(with_rows, 1);
}

#[test]
fn no_heading_ends_a_sheet_and_no_line_of_a_paragraph_is_alone() {
    for words in (40..1400).step_by(40) {
        let document = document(vec![paragraph(words), heading(2, "a"), heading(3, "b"), paragraph(120), heading(2, "c"), paragraph(900)]);
        let pages = pages(&document, Paper::A4);
        for page in &pages {
            assert_ne!(page.placed.last().map(|(kind, ..)| *kind), Some(Kind::Heading), "{words} words");
            let after_heading: Vec<_> = page.placed.iter().rev().take_while(|(kind, ..)| *kind == Kind::Text).collect();
            assert!(after_heading.len() != 1, "{words} words: one line alone at the foot");
            let first: Vec<_> = page.placed.iter().take_while(|(kind, ..)| *kind == Kind::Text).collect();
            assert!(first.len() != 1, "{words} words: one line alone at the head");
        }
    }
}

#[test]
fn hostile_text_stays_text() {
    let bytes = bytes();
    let hostile = [
        "</w:t> (Tj) <b>bold</b> **strong** {{ 7*7 }} | a \\) endstream",
        "\u{E000}3\u{E001}\u{0}\u{7}\u{FFFE}",
        "\u{202E}reversed\u{2066} \u{5D0}\u{5D1}\u{5D2} \u{627}\u{644}\u{645}",
        "\u{1F327}\u{FE0F}\u{200D}\u{1F3FD} \u{65E5}\u{672C} e\u{301}\u{301}\u{301}",
        "\n\r\n\t",
    ];
    let mut all: Vec<String> = hostile.iter().map(|text| (*text).to_owned()).collect();
    all.push("long".repeat(20_000));
    all.push("word ".repeat(10_000));
    let slot = |text: &String| Slot::Text(text.clone());
    let mut blocks = vec![Block::Heading { level: 1, id: "h".into(), text: vec![Inline::Slot(slot(&all[0]))] }];
    for text in &all {
        blocks.push(Block::Paragraph(vec![Inline::Text("before ".into()), Inline::Slot(slot(text)), Inline::Text(" after".into())]));
        blocks.push(Block::KeyFacts(vec![KeyFact {
            label: Inline::words("label"),
            value: slot(&text.chars().take(200).collect()),
            note: vec![],
        }]));
    }
    let mut table = long_table(1);
    table.rows = all.iter().map(|text| Row { cells: vec![Cell::Slot(slot(text)), Cell::Slot(slot(text))], total: false }).collect();
    blocks.push(Block::DataTable(table));
    let mut options = options(&bytes, Paper::A4);
    options.running_foot = all.concat();
    let output = to_pdf(&document(blocks), &options).expect("a PDF");
    let expected: BTreeSet<char> = ['\u{E000}', '\u{1F327}', '\u{65E5}', '\u{627}', '\u{0}'].into();
    assert!(output.missing_glyphs.is_superset(&expected), "{:?}", output.missing_glyphs);
    // Hebrew is in the faces, Latin too.
    assert!(!output.missing_glyphs.contains(&'\u{5D0}') && !output.missing_glyphs.contains(&'a'));
    if let Some(text) = read(&output.bytes) {
        let text = one_spaced(&text);
        assert!(text.contains("<b>bold</b> **strong** {{ 7*7 }} | a \\) endstream"));
        assert!(text.contains('\u{FFFD}'));
    }
}

#[test]
fn our_own_text_must_have_its_glyphs() {
    let bytes = bytes();
    let document = document(vec![Block::Paragraph(text("snow \u{2603} man"))]);
    let output = to_pdf(&document, &options(&bytes, Paper::A4)).expect("a PDF");
    assert_eq!(output.missing_own_glyphs, BTreeSet::from(['\u{2603}']));
    assert!(output.missing_glyphs.is_empty());
    let broken = Fonts { bold: b"not a font", ..options(&bytes, Paper::A4).fonts };
    let options = PdfOptions { fonts: broken, ..options(&bytes, Paper::A4) };
    assert_eq!(to_pdf(&document, &options).expect_err("no font"), Error::Font { face: "bold" });
}

/// ISO 14289-1 (PDF/UA-1) 7.1: all that is not an artifact stands in the structure tree, once.
#[test]
fn every_leaf_stands_in_the_tag_tree_once() {
    fn leaves(node: &Node, out: &mut Vec<usize>) {
        match node {
            Node::Leaf(leaf) => out.push(*leaf),
            Node::Group(_, inner) => inner.iter().for_each(|node| leaves(node, out)),
        }
    }
    let bytes = bytes();
    let document = everything();
    let options = options(&bytes, Paper::A4);
    let (pages, setter) = lay_out(&document, &options).expect("laid out");
    let mut tagged = Vec::new();
    setter.nodes.iter().for_each(|node| leaves(node, &mut tagged));
    let mut drawn: Vec<usize> =
        pages.iter().flat_map(|page| &page.ops).filter_map(|op| if let Mark::Leaf(leaf) = op.mark { Some(leaf) } else { None }).collect();
    tagged.sort_unstable();
    drawn.sort_unstable();
    assert_eq!(tagged, drawn);
    assert_eq!(tagged, (0..setter.leaves).collect::<Vec<_>>());
    let links = pages.iter().flat_map(|page| &page.ops).filter(|op| matches!(op.what, What::Link { .. })).count();
    assert_eq!(links, 4, "a link to nowhere is text; the note's reference and the way back are links");
}

/// A drawing keeps its size: 10 m at 1:100 are 100 mm on both papers, by the operation and, read back by poppler, by the numbers under its
/// scale bar, which stand 10 mm apart.
#[test]
fn a_drawing_keeps_its_size() {
    use crate::drawing::{DrawingText, Fill, Form, METRIC, Scene, Shape, Spot, Stroke, WIDTH_MM, draw};
    let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 4.0)].map(|(x, y)| Spot::new(x, y)).to_vec();
    let scene =
        Scene { shapes: vec![Shape { form: Form::Outline(corners), stroke: Stroke::Heavy, fill: Fill::Rising }], ..Scene::default() };
    let about = DrawingText { id: "field".into(), title: "A field".into(), description: "Ten metres.".into(), ..DrawingText::default() };
    let drawing = draw(&about, METRIC, &crate::chart::tests::font(), |_| scene.clone()).expect("goes on the sheet");
    let bytes = bytes();
    for paper in [Paper::A4, Paper::Letter] {
        let document = document(vec![heading(1, "title"), paragraph(40), Block::Drawing(drawing.clone())]);
        let options = options(&bytes, paper);
        let (pages, _) = lay_out(&document, &options).unwrap();
        let sizes: Vec<(f32, f32)> = pages
            .iter()
            .flat_map(|page| &page.ops)
            .filter_map(|op| if let What::Chart { width, height, .. } = op.what { Some((width, height)) } else { None })
            .collect();
        // The view box is 168 mm wide, so that 100 of its units are 100 / 168 of the width.
        let [(width, height)] = sizes[..] else { panic!("{sizes:?}") };
        assert!((width / MM - WIDTH_MM as f32).abs() < 0.01 && (height / MM - drawing.height_mm as f32).abs() < 0.01);
        let pdf = to_pdf(&document, &options).unwrap().bytes;
        let Some(words) = read_with(&pdf, &["-bbox", "-", "-"]) else { return };
        let middle = |digit: &str| {
            let line = words.lines().find(|line| line.contains(&format!(">{digit}</word>"))).unwrap_or_else(|| panic!("{words}"));
            let value = |name: &str| line.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse::<f64>().unwrap();
            f64::midpoint(value("xMin"), value("xMax"))
        };
        let apart = (middle("4") - middle("1")) * 25.4 / 72.0;
        assert!((apart - 30.0).abs() < 0.1, "{apart}");
    }
}
