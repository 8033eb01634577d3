use std::collections::BTreeMap;

use minijinja::context;

use super::*;
use crate::document::{Align, Cell, Column, Row, TableData};
use crate::{Resources, Templates, number_value};

fn number(fact: &str, value: f64, text: &str) -> Number {
    Number { fact: fact.into(), value, text: text.into() }
}

fn page(source: &str, options: &HtmlOptions) -> String {
    let data = TableData {
        id: "t".into(),
        caption: vec![Inline::Text("Cap <tion>".into())],
        columns: vec![
            Column { head: Inline::words("Year"), ..Column::default() },
            Column { head: Inline::words("Depth"), unit: Some("mm".into()), align: Align::End },
        ],
        rows: vec![
            Row {
                cells: vec![Cell::Slot(Slot::Text("2001".into())), Cell::Slot(Slot::Number(number("a/year=2001", -0.0, "0")))],
                total: true,
            },
            Row {
                cells: vec![Cell::Slot(Slot::Text("2002".into())), Cell::Empty { mark: "–".into(), reason: "book <lost>".into() }],
                total: false,
            },
        ],
        note: Vec::new(),
    };
    let resources = Resources { language: "en-GB".into(), tables: BTreeMap::from([("t".into(), data)]), ..Resources::default() };
    let context = context! { n => number_value(number("rain.normal/month=7", 61.25, "61.3 mm")), x => "<i>&\"" };
    let document = Templates::new(vec![("t.md".into(), source.into())]).unwrap().render("t.md", context, &resources).unwrap();
    to_html(&document, options)
}

#[test]
fn numbers_carry_their_fact() {
    let html = page("# T\n\n{{ n }}\n", &HtmlOptions::default());
    assert!(html.contains("<p><data data-fact=\"rain.normal/month=7\" value=\"61.25\">61.3 mm</data></p>"), "{html}");
}

#[test]
fn the_page_stands_alone_and_is_marked_up() {
    let html = page(
        "# T {{ x }}\n\ntext\n\n## One\n\n## Two\n\n```table t\n```\n",
        &HtmlOptions { style: "p{color:red}".into(), ..HtmlOptions::default() },
    );
    for part in [
        "<!DOCTYPE html>\n<html lang=\"en-GB\">",
        "<title>T &lt;i&gt;&amp;&quot;</title>",
        "p{color:red}",
        "<a class=\"skip\" href=\"#_text\">",
        "<nav class=\"contents\"",
        "<a href=\"#one\">One</a>",
        "<main id=\"_text\">",
        "<caption>Cap &lt;tion&gt;</caption>",
        "<th scope=\"col\" class=\"end\">Depth <span class=\"unit\">mm</span></th>",
        "<tr class=\"total\"><th class=\"start\" scope=\"row\">2001</th><td class=\"end\"><data data-fact=\"a/year=2001\" value=\"0\">0</data></td>",
        "<span class=\"hidden\">book &lt;lost&gt;</span>",
    ] {
        assert!(html.contains(part), "{part}\n{html}");
    }
    for never in ["<script", "http://", "https://", "url(", "@import", "<link"] {
        assert!(!html.contains(never), "{never}");
    }
}

#[test]
fn every_reference_to_a_note_is_linked_both_ways() {
    let html = page("# T\n\na[^b] c[^a] d[^b]\n\n[^a]: Alpha.\n\n[^b]: Beta {{ n }}.\n", &HtmlOptions::default());
    for part in
        ["id=\"_ref-1-1\" href=\"#_note-1\"", "id=\"_ref-2-1\"", "id=\"_ref-1-2\"", "<li id=\"_note-1\">Beta <data", "href=\"#_ref-1-2\""]
    {
        assert!(html.contains(part), "{part}\n{html}");
    }
}

#[test]
fn ids_are_unique_and_local_links_lead_somewhere() {
    let html = page(
        "# T\n\n## A\n\nx[^n] y[^n] [to B](#b) [table](#table-t)\n\n## A\n\n## B\n\n```table t\n```\n\n[^n]: N.\n",
        &HtmlOptions::default(),
    );
    let values = |attribute: &str| -> Vec<String> {
        html.split(attribute).skip(1).map(|rest| rest.split('"').next().unwrap_or("").to_owned()).collect()
    };
    let ids = values(" id=\"");
    let mut unique = ids.clone();
    unique.sort();
    unique.dedup();
    assert_eq!(unique.len(), ids.len(), "{ids:?}");
    for target in values(" href=\"#") {
        assert!(ids.contains(&target), "{target} of {ids:?}");
    }
}

/// CSS Paged Media 3, section 4: margin boxes; the text is a CSS string that nothing can leave.
#[test]
fn the_foot_is_on_every_sheet_and_on_screen() {
    let options = HtmlOptions { running_foot: Some("Not \"an\" approval; </style><b>".into()), ..HtmlOptions::default() };
    let html = page("# T\n", &options);
    assert!(html.contains("@bottom-left { content: \"Not \\22 an\\22  approval\\3B  \\3C \\2F style\\3E \\3C b\\3E \";"), "{html}");
    assert!(html.contains("<footer class=\"foot\"><p>Not &quot;an&quot; approval; &lt;/style&gt;&lt;b&gt;</p></footer>"));
    assert_eq!(html.matches("</style>").count(), 1);
}

#[test]
fn a_style_sheet_cannot_end_its_element() {
    let html = page("# T\n", &HtmlOptions { style: "a{content:\"</style><script>\"}".into(), ..HtmlOptions::default() });
    assert_eq!(html.matches("</style>").count(), 1);
}

#[test]
fn blanks_checklists_and_cautions() {
    let html = page(
        "# T\n\n- [x] a\n- [ ] b\n\n> [!WARNING]\n> Hot {{ x }}.\n\n```blank Name\nRemarks (2 lines)\n```\n\n***\n\nend\n",
        &HtmlOptions::default(),
    );
    assert!(html.contains("<ul class=\"checklist\">") && html.contains("aria-label=\"ticked\"") && html.contains("aria-label=\"open\""));
    assert!(html.contains("<aside class=\"caution warning\" aria-label=\"Warning\">"));
    assert_eq!(html.matches("<span class=\"line\">").count(), 3);
    assert!(html.contains("<hr class=\"page-break\">"));
}

#[test]
fn other_scripts_are_kept_apart() {
    let mut document = Document { title: "T".into(), language: "en".into(), blocks: Vec::new() };
    document.blocks.push(Block::Paragraph(vec![Inline::Slot(Slot::Text("\u{202E}إختبار".into()))]));
    assert!(to_html(&document, &HtmlOptions::default()).contains("<p><bdi>\u{202E}إختبار</bdi></p>"));
}

#[test]
fn a_number_without_a_value_still_prints() {
    let mut document = Document { title: "T".into(), language: "en".into(), blocks: Vec::new() };
    document.blocks.push(Block::Paragraph(vec![Inline::Slot(Slot::Number(number("a", f64::INFINITY, "?")))]));
    assert!(to_html(&document, &HtmlOptions::default()).contains("<span data-fact=\"a\">?</span>"));
}
