use minijinja::{Value, context};

use crate::document::{Align, Block, CautionKind, Inline, KeyFact, Slot, TableData, plain_text};
use crate::{ChartDrawing, ChartText, Error, Resources, Templates};

fn resources() -> Resources {
    let fact = KeyFact { label: Inline::words("Seats"), value: Slot::Text("71".into()), note: Vec::new() };
    let about = ChartText { id: "c-1".into(), ..ChartText::default() };
    let chart = ChartDrawing {
        id: about.id.clone(),
        svg: "<svg/>".into(),
        title: "C".into(),
        description: String::new(),
        caption: Vec::new(),
        width: 1.0,
        height: 1.0,
    };
    let table = TableData { id: "years".into(), ..TableData::default() };
    Resources {
        language: "de".into(),
        key_facts: [("seats".to_owned(), fact)].into(),
        charts: [("c-1".to_owned(), chart)].into(),
        tables: [("years".to_owned(), table)].into(),
        ..Resources::default()
    }
}

fn blocks(body: &str, context: Value) -> Result<Vec<Block>, Error> {
    let source = format!("# T\n\n{body}\n");
    let mut document = Templates::new(vec![("t.md".into(), source)])?.render("t.md", context, &resources())?;
    assert_eq!((document.title.as_str(), document.language.as_str()), ("T", "de"));
    document.blocks.remove(0);
    Ok(document.blocks)
}

fn text(words: &str) -> Vec<Inline> {
    vec![Inline::Text(words.into())]
}

#[test]
fn fenced_blocks_are_resolved() {
    let found =
        blocks("```key-facts\nseats\n\n```\n\n```chart c-{{ one }}\n```\n\n```table years\n```\n", context! { one => "1" }).unwrap();
    assert!(matches!(&found[0], Block::KeyFacts(facts) if facts.len() == 1 && facts[0].label == Inline::words("Seats")));
    assert!(matches!(&found[1], Block::Chart(chart) if chart.id == "c-1"));
    assert!(matches!(&found[2], Block::DataTable(table) if table.id == "years"));
}

#[test]
fn unknown_ids_name_the_known_ones_and_their_line() {
    let error = blocks("```key-facts\nseats\nsets\n```\n", context! {}).unwrap_err();
    assert_eq!(error.to_string(), "t.md, line 5: found the key fact `sets`; expected one of: seats");
    let error = blocks("```chart c-2\n```\n", context! {}).unwrap_err();
    assert_eq!(error.to_string(), "t.md, line 3: found the chart `c-2`; expected one of: c-1");
    let error = blocks("```chart c-1\n```\n\n```chart c-1\n```\n", context! {}).unwrap_err();
    assert!(error.to_string().contains("line 6: found the chart `c-1` a second time"), "{error}");
    let error = blocks("```chart c-1\nbody\n```\n", context! {}).unwrap_err();
    assert!(error.to_string().contains("line 4"), "{error}");
}

#[test]
fn blanks_take_several_labels_and_lines() {
    let found = blocks("```blank Name of {{ who }}\nParcel\nRemarks (4 lines)\n```\n", context! { who => "x (9 lines)" }).unwrap();
    let fields: Vec<(String, u8)> = found
        .iter()
        .map(|block| match block {
            Block::BlankField { label, lines } => (plain_text(label), *lines),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(fields, [("Name of x (9 lines)".to_owned(), 1), ("Parcel".to_owned(), 1), ("Remarks".to_owned(), 4)]);
    assert!(blocks("```blank A (0 lines)\n```\n", context! {}).is_err());
    assert!(blocks("```blank\n```\n", context! {}).is_err());
}

#[test]
fn lists_and_checklists() {
    let found = blocks("3. one\n4. two\n   - inner\n\ntext\n\n- [x] done\n- [ ] open\n\ntext\n\n- [x] loose\n\n- [ ] loose\n", context! {})
        .unwrap();
    let lists: Vec<_> = found.iter().filter_map(|block| if let Block::List(list) = block { Some(list) } else { None }).collect();
    assert_eq!(lists[0].first_number, Some(3));
    assert_eq!(lists[0].items[0].blocks, [Block::Paragraph(text("one"))]);
    assert!(matches!(&lists[0].items[1].blocks[1], Block::List(inner) if inner.first_number.is_none()));
    for list in &lists[1..] {
        assert!(list.is_checklist());
        assert_eq!(list.items.iter().map(|item| item.mark).collect::<Vec<_>>(), [Some(true), Some(false)]);
    }
}

#[test]
fn tables_cautions_definitions_breaks() {
    let found = blocks(
        "| a | b | c |\n|:-|:-:|-:|\n| 1 | 2 | **3** |\n\n> [!CAUTION]\n> Hot.\n>\n> - very\n\nTerm\n: Meaning.\n\n***\n\nEnd\\\nof line, `code`.\n",
        context! {},
    )
    .unwrap();
    let Block::Table(table) = &found[0] else { panic!("{found:?}") };
    assert_eq!(table.columns, [Align::Start, Align::Centre, Align::End]);
    assert_eq!(table.rows[0][2], [Inline::Strong(text("3"))]);
    assert!(matches!(&found[1], Block::Caution { kind: CautionKind::Caution, blocks } if blocks.len() == 2));
    let Block::Definitions(definitions) = &found[2] else { panic!("{found:?}") };
    assert_eq!((&definitions[0].term, definitions[0].meanings.len()), (&text("Term"), 1));
    assert_eq!(found[3], Block::PageBreak);
    let Block::Paragraph(last) = &found[4] else { panic!("{found:?}") };
    assert!(last.contains(&Inline::LineBreak) && last.contains(&Inline::Code(text("code"))));
}

#[test]
fn headings_have_ids_of_their_own() {
    let found = blocks("## One two\n\n## One two\n\n### Three {#drei}\n\n[a](#drei) [b](#one-two-2) [c](https://x.example/) <mail@x.example> [d](tables/a.csv)\n", context! {}).unwrap();
    let ids: Vec<&str> =
        found.iter().filter_map(|block| if let Block::Heading { id, .. } = block { Some(id.as_str()) } else { None }).collect();
    assert_eq!(ids, ["one-two", "one-two-2", "drei"]);
    let Block::Paragraph(links) = &found[3] else { panic!("{found:?}") };
    assert!(links.iter().any(|link| matches!(link, Inline::Link { target, .. } if target == "mailto:mail@x.example")));
    assert!(blocks("## A {#x}\n\n## B {#x}\n", context! {}).unwrap_err().to_string().contains("line 5: found a second id `x`"));
    assert!(blocks("## A {#_note-1}\n", context! {}).is_err());
}

#[test]
fn other_targets_are_refused() {
    for target in ["javascript:alert(1)", "JavaScript:x", "data:text/html,x", "//host/x", "/etc/passwd", "file:///x", "\\\\host"] {
        assert!(blocks(&format!("[a](<{target}>)\n"), context! {}).is_err(), "{target}");
    }
}

#[test]
fn footnotes_are_named_blocks() {
    let found = blocks("a[^n] b[^n]\n\n[^n]: Note.\n", context! {}).unwrap();
    assert!(
        matches!(&found[0], Block::Paragraph(inlines) if inlines.iter().filter(|i| **i == Inline::NoteReference("n".into())).count() == 2)
    );
    assert_eq!(found[1], Block::Footnote { name: "n".into(), blocks: vec![Block::Paragraph(text("Note."))] });
}

#[test]
fn a_value_that_markdown_swallows_is_a_fault() {
    let error = blocks("text\n\n[a]: http://x.example/{{ x }}\n", context! { x => "gone" }).unwrap_err();
    assert!(error.to_string().starts_with("t.md, line 5: found a value in a place that is not printed"), "{error}");
}

#[test]
fn what_is_nested_without_end_is_a_fault_and_no_crash() {
    for nested in [
        "- ".repeat(40_000) + "x\n",
        "> [!NOTE]\n".to_owned() + &"> ".repeat(20_000) + "x\n",
        "*a _a ".repeat(20_000) + "x" + &"_ *".repeat(20_000),
    ] {
        // Some nesting is text to the Markdown reader; none may end the program.
        if let Err(error) = blocks(&nested, context! {}) {
            assert!(error.to_string().starts_with("t.md, line "), "{error}");
        }
    }
    assert!(blocks(&("- ".repeat(40) + "x\n"), context! {}).unwrap_err().to_string().contains("inside too many others"));
    assert!(blocks(&("- ".repeat(10) + "x\n"), context! {}).is_ok());
}

#[test]
fn headings_alike_get_a_number_each_in_their_order() {
    let found = blocks("## a\n\n## a-2\n\n## a\n\n## a\n", context! {}).unwrap();
    let ids: Vec<&str> =
        found.iter().filter_map(|block| if let Block::Heading { id, .. } = block { Some(id.as_str()) } else { None }).collect();
    assert_eq!(ids, ["a", "a-2", "a-3", "a-4"]);
    // Twenty thousand of them: a search from the start for each would take minutes.
    assert_eq!(blocks(&"## a\n\n".repeat(20_000), context! {}).unwrap().len(), 20_000);
}
