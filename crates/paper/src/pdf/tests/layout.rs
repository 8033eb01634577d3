//! Tables wide, narrow, short and hostile; heads and contents; pages that keep their measure.

use super::super::flow::{SIDE, text_width};
use super::*;

/// Every piece of text and every rule lies inside the margins of the text.
fn inside_the_measure(pages: &[Page], paper: Paper) {
    let right = SIDE + text_width(paper) + 0.5;
    for (at, page) in pages.iter().enumerate() {
        for op in &page.ops {
            let end = match &op.what {
                What::Text { segment, .. } => op.x + segment.width,
                What::Rectangle { width, .. } | What::Chart { width, .. } | What::Link { width, .. } => op.x + width,
                _ => op.x,
            };
            assert!(op.x >= SIDE - 0.5 && end <= right, "sheet {}: {} to {end}, {right} allowed", at + 1, op.x);
        }
    }
}

fn wide_table(columns: usize, rows: usize) -> TableData {
    let cell = |row: usize, column: usize| match column {
        0 => Cell::Slot(Slot::Text(format!("row {row}"))),
        _ => Cell::Slot(Slot::Number(number((row * 100 + column) as f64, &format!("{}.5", row * 1000 + column)))),
    };
    TableData {
        id: "wide".into(),
        caption: text("A wide table"),
        columns: (0..columns)
            .map(|at| Column { head: Inline::words(format!("Column {at}")), unit: Some("mm".into()), align: Align::End })
            .collect(),
        rows: (0..rows).map(|row| Row { cells: (0..columns).map(|column| cell(row, column)).collect(), total: row + 1 == rows }).collect(),
        note: vec![],
    }
}

#[test]
fn a_wide_table_is_set_smaller_then_cut_between_columns() {
    for paper in [Paper::A4, Paper::Letter] {
        for columns in [1, 2, 6, 12, 20, 45] {
            let document = document(vec![heading(1, "one"), Block::DataTable(wide_table(columns, 30))]);
            let pages = pages(&document, paper);
            inside_the_measure(&pages, paper);
            let texts = pages.iter().flat_map(|page| &page.ops).filter_map(|op| match &op.what {
                What::Text { segment, .. } if op.mark != Mark::Head && op.mark != Mark::Foot => Some(segment),
                _ => None,
            });
            let smallest = texts.flat_map(|segment| &segment.runs).map(|run| run.size).fold(f32::MAX, f32::min);
            assert!(smallest >= 6.6, "{columns} columns: {smallest}");
        }
    }
}

#[test]
fn a_small_table_is_as_wide_as_its_content() {
    let document = document(vec![Block::DataTable(wide_table(3, 4))]);
    let pages = pages(&document, Paper::A4);
    let rule = |op: &super::super::piece::Op| match op.what {
        What::Rectangle { width, .. } => Some(width),
        _ => None,
    };
    let widest = pages[0].ops.iter().filter_map(rule).fold(0.0, f32::max);
    assert!(widest < 0.6 * text_width(Paper::A4), "{widest}");
}

#[test]
fn no_row_stands_alone_and_a_total_has_company() {
    for before in (0..60).step_by(3) {
        let document = document(vec![paragraph(before * 12 + 8), Block::DataTable(wide_table(3, 75))]);
        let pages = pages(&document, Paper::A4);
        for page in &pages {
            let rows = page.placed.iter().filter(|(kind, ..)| *kind == Kind::Row).count();
            assert_ne!(rows, 1, "after {before} dozen words");
        }
    }
}

#[test]
fn tables_of_no_row_and_of_one_row_are_tables() {
    for rows in [0, 1] {
        let document = document(vec![Block::DataTable(wide_table(3, rows))]);
        let pages = pages(&document, Paper::Letter);
        let placed = &pages[0].placed;
        assert_eq!(placed.iter().filter(|(kind, ..)| *kind == Kind::Row).count(), rows);
        assert_eq!(placed.iter().filter(|(kind, ..)| *kind == Kind::Head).count(), 1);
        to_pdf(&document, &options(&bytes(), Paper::Letter)).expect("a PDF");
    }
}

#[test]
fn a_document_of_one_paragraph_is_a_document() {
    let document = document(vec![paragraph(8)]);
    assert_eq!(to_pdf(&document, &options(&bytes(), Paper::A4)).expect("a PDF").pages, 1);
}

/// Hostile text in every place that takes text.
#[test]
fn hostile_text_stays_inside_the_measure_in_every_kind_of_block() {
    let hostile = [
        "</w:t> (Tj) <b>bold</b> **strong** {{ 7*7 }} | a \\) endstream".to_owned(),
        "\u{E000}3\u{E001} \u{202E}\u{5D0}\u{5D1}\u{5D2} \u{627}\u{644}\u{645} \u{1F327}\u{FE0F}\u{200D}\u{1F3FD} e\u{301}\u{301}\u{301}"
            .to_owned(),
        "unbroken".repeat(60),
        "999\u{202F}999".to_owned(),
    ];
    for text in &hostile {
        let outside = || Inline::outside(text.clone());
        let own = || Inline::words(text.clone());
        let row = Row {
            cells: vec![Cell::Slot(Slot::Text(text.clone())), Cell::Empty { mark: text.clone(), reason: text.clone() }],
            total: true,
        };
        let column = |head| Column { head, unit: Some(text.clone()), align: Align::End };
        let table = TableData {
            id: text.clone(),
            caption: outside(),
            columns: vec![column(own()), column(outside())],
            rows: vec![row.clone(), row],
            note: own(),
        };
        let fact = KeyFact { label: outside(), value: Slot::Text(text.clone()), note: own() };
        let item = ListItem { mark: Some(true), blocks: vec![Block::Paragraph(outside())] };
        let mut deep = Block::List(List { first_number: Some(98), items: vec![item.clone()] });
        for _ in 0..40 {
            deep = Block::List(List { first_number: None, items: vec![ListItem { mark: None, blocks: vec![deep] }] });
        }
        let blocks = vec![
            Block::Heading { level: 1, id: text.clone(), text: outside() },
            Block::Contents,
            Block::Heading { level: 2, id: "b".into(), text: vec![Inline::Strong(outside()), Inline::NoteReference("n".into())] },
            Block::Paragraph(vec![
                Inline::Code(outside()),
                Inline::Emphasis(own()),
                Inline::Link { target: text.clone(), text: outside() },
            ]),
            Block::List(List { first_number: None, items: vec![item] }),
            deep,
            Block::KeyFacts(vec![fact.clone(), fact]),
            Block::DataTable(table),
            Block::Table(crate::Table { columns: vec![Align::Centre], head: vec![own()], rows: vec![vec![outside()]] }),
            Block::Caution { kind: CautionKind::Caution, blocks: vec![Block::Paragraph(outside())] },
            Block::Definitions(vec![
                crate::Definition { term: outside(), meanings: vec![vec![Block::Paragraph(own())]] },
                crate::Definition { term: own(), meanings: vec![] },
            ]),
            Block::BlankField { label: outside(), lines: 2 },
            Block::Footnote { name: "n".into(), blocks: vec![Block::Paragraph(outside())] },
        ];
        let document = Document { title: text.clone(), language: "en".into(), blocks };
        for paper in [Paper::A4, Paper::Letter] {
            inside_the_measure(&pages(&document, paper), paper);
            let output = to_pdf(&document, &options(&bytes(), paper)).expect("a PDF");
            assert!(!output.missing_own_glyphs.contains(&'|'));
        }
    }
}
