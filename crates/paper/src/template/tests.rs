use minijinja::{Value, context};

use super::*;
use crate::document::{Block, Inline, numbers};
use crate::{HtmlOptions, to_html};

fn templates(sources: &[(&str, &str)]) -> Result<Templates, Error> {
    Templates::new(sources.iter().map(|(name, source)| ((*name).to_owned(), (*source).to_owned())).collect())
}

fn render(source: &str, context: Value) -> Result<Document, Error> {
    templates(&[("t.md", source)])?.render("t.md", context, &Resources::default())
}

fn place(error: &Error) -> (&str, usize) {
    match error {
        Error::Template { template, line, .. } => (template, *line),
        other => panic!("no place: {other}"),
    }
}

fn fact(id: &str, value: f64, text: &str) -> Value {
    number_value(Number { fact: id.into(), value, text: text.into() })
}

/// Values that would do harm if any of them were parsed: as minijinja, Markdown, HTML, CSS or a mark of ours.
const HOSTILE: [&str; 19] = [
    "**bold** _it_ `c` ~~s~~",
    "# heading",
    "\n\n# heading\n\n***\n\n- item\n",
    "| a | b |\n|---|---|\n| 1 | 2 |",
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "</style></title></main>",
    "[x](javascript:alert(1)) ![y](http://127.0.0.1/)",
    "{{ 7*7 }} {% include \"t.md\" %} {# c #} <!-- c -->",
    "\u{E000}0\u{E001}",
    "\u{E000}999999999999999999999\u{E001}",
    "\u{E000}",
    "\u{E001}\u{E000}",
    "[^note] [^note]: text",
    "```\nchart x\n```",
    "&lt; &amp; &#60; &nbsp;",
    "> [!WARNING]\n> told",
    "\\\\ \\* \\| $x^2$ : term",
    "\u{202E}abc إختبار\r\n\t  ",
];

/// Each value stands in every place a value may: the document holds it unchanged, as one text slot, and the shape of
/// the document is that of a harmless value.
#[test]
fn hostile_values_stay_text() {
    let source = "# T {{ x }}\n\n{{ x }}\n\n**{{ x }}** and *a{{ x }}b* and `{{ x }}`\n\n[{{ x }}](#end)\n\n| {{ x }} | b |\n|---|---|\n| c | {{ x }} |\n\n\
                  - [ ] {{ x }}\n- {{ x }}\n\n> [!NOTE]\n> {{ x }}\n\nTerm {{ x }}\n: {{ x }}\n\n```blank Name {{ x }}\n```\n\nSee[^n].\n\n[^n]: {{ x }}\n\n## End {#end}\n";
    let harmless = render(source, context! { x => "harmless" }).unwrap();
    for hostile in HOSTILE {
        let document = render(source, context! { x => hostile }).unwrap();
        let mut expected = format!("{:?}", harmless.blocks).replace("Text(\"harmless\")", &format!("Text({hostile:?})"));
        let mut found = format!("{:?}", document.blocks);
        // Only the generated anchor of the title may differ.
        for shape in [&mut expected, &mut found] {
            let from = shape.find("id: ").unwrap();
            let to = shape.find("text: ").unwrap();
            shape.replace_range(from..to, "");
        }
        assert_eq!(found, expected, "{hostile:?}");

        let html = to_html(&document, &HtmlOptions::default());
        for never in ["<script", "<img", "</style></title", "href=\"javascript", "49"] {
            assert!(!html.contains(never), "{hostile:?} gave {never}");
        }
    }
}

#[test]
fn hostile_values_in_a_table_of_numbers_keep_its_columns() {
    for hostile in HOSTILE {
        let document = render(
            "# T\n\n| a | b |\n|--|--|\n{% for x in xs %}\n| {{ x }} | {{ n }} |\n{% endfor %}\n",
            context! { xs => [hostile, hostile], n => fact("f.x", 1.0, "1") },
        )
        .unwrap();
        let [_, Block::Table(table)] = document.blocks.as_slice() else { panic!("{hostile:?}: {:?}", document.blocks) };
        assert!(table.rows.len() == 2 && table.rows.iter().all(|row| row.len() == 2), "{hostile:?}");
        assert_eq!(numbers(&document).len(), 2);
    }
}

#[test]
fn a_number_keeps_its_fact_and_may_be_compared() {
    let source = "# T\n\n{% if n.value > 60 %}\nAbove: {{ n }}.\n{% else %}\nBelow.\n{% endif %}\n";
    let document = render(source, context! { n => fact("rain.normal/month=7", 61.2, "61.2 mm") }).unwrap();
    assert_eq!(
        document.blocks[1],
        Block::Paragraph(vec![
            Inline::Text("Above: ".into()),
            Inline::Slot(Slot::Number(Number { fact: "rain.normal/month=7".into(), value: 61.2, text: "61.2 mm".into() })),
            Inline::Text(".".into()),
        ])
    );
}

#[test]
fn only_text_and_facts_are_printed() {
    let context = context! { whole => 3, part => 2.5, yes => true, list => [1, 2], nothing => (), n => fact("a", 1.0, "1"), nan => fact("b", f64::NAN, "?") };
    for (written, found) in [
        ("{{ whole }}", "a bare number"),
        ("{{ part }}", "a bare number"),
        ("{{ yes }}", "true or false"),
        ("{{ list }}", "a whole sequence"),
        ("{{ nothing }}", "nothing"),
        ("{{ 3 - 1 }}", "a bare number"),
        ("{{ n.value }}", "a bare number"),
        ("{{ list|length }}", "a bare number"),
        ("{{ nan }}", "the fact b without a finite value"),
    ] {
        let error = render(&format!("# T\n\ntext\n{written}\n"), context.clone()).unwrap_err();
        assert_eq!(place(&error), ("t.md", 4), "{error}");
        assert!(error.to_string().contains(found), "{error}");
        assert!(found.contains("the fact") || error.to_string().contains("a text, or a number that carries its fact"), "{error}");
    }
}

#[test]
fn unknown_names_are_faults_with_their_line() {
    let error = render("# T\n\n{% if true %}\n{{ site.nam }}\n{% endif %}\n", context! { site => context! { name => "x" } }).unwrap_err();
    assert_eq!(place(&error), ("t.md", 4));
    assert!(error.to_string().contains("site.nam") && error.to_string().contains("no value of that name"), "{error}");
}

#[test]
fn what_would_lose_a_type_or_capture_output_is_refused() {
    for (written, found) in [
        ("{{ a ~ b }}", "`~`"),
        ("{{ a + b }}", "`+`"),
        ("{% set a = [a, a] %}", "`[`"),
        ("{% with a = {\"b\": a} %}{% endwith %}", "`{`"),
        ("{%+ set x = a * 1000 +%}", "`*`"),
        ("{% macro m() %}x{% endmacro %}", "macro"),
        ("{% set x %}y{% endset %}", "`set x`"),
        ("{% filter upper %}y{% endfilter %}", "filter"),
        ("{% call x() %}y{% endcall %}", "call"),
        ("{% raw %}{{ x }}{% endraw %}", "raw"),
        ("{%- raw -%}{{ x }}{%- endraw -%}", "raw"),
        ("{% block b %}y{% endblock %}", "block"),
        ("{% extends \"x\" %}", "extends"),
        ("{% import \"x\" as y %}", "import"),
        ("{% for x in y recursive %}{% endfor %}", "recursive"),
    ] {
        let error = templates(&[("t.md", &format!("# T\n\n<!-- ~ {{% macro %}} -->{{{{ \"~ %}}\" }}}}\n{written}\n"))]).unwrap_err();
        assert_eq!(place(&error), ("t.md", 4), "{written}");
        assert!(error.to_string().contains(found), "{error}");
    }
}

#[test]
fn marks_in_a_template_are_refused() {
    for mark in ['\u{E000}', '\u{E001}'] {
        let error = templates(&[("t.md", &format!("# T\n\n\n<!-- {mark} -->\n"))]).unwrap_err();
        assert_eq!(place(&error), ("t.md", 4));
    }
}

#[test]
fn syntax_filters_and_endless_work_are_faults_with_their_line() {
    let error = templates(&[("t.md", "# T\n\n{% if x %}\ntext\n")]).unwrap_err();
    assert_eq!(place(&error).0, "t.md");
    let error = render("# T\n\n{{ \"a\"|upper }}\n", context! {}).unwrap_err();
    assert_eq!(place(&error), ("t.md", 3));
    assert!(error.to_string().contains("one of: length"), "{error}");
    let loops = "{% for a in xs %}{% for b in xs %}{% for c in xs %}{% for d in xs %}x{% endfor %}{% endfor %}{% endfor %}{% endfor %}";
    let error = render(&format!("# T\n\n{loops}\n"), context! { xs => vec![1; 100] }).unwrap_err();
    assert_eq!(place(&error), ("t.md", 3));
    assert!(error.to_string().contains("does not end"), "{error}");
}

/// The rendered lines are far from the template's after loops, trimmed statements, comments and includes; every fault
/// still names the line where it stands.
#[test]
fn faults_of_markdown_carry_the_templates_line() {
    let before = "# T\n\n<!-- a\ncomment -->\n{% for x in xs %}\n- item {{ x }}\n\n  more\n{% endfor %}\n\n{% include \"part.md\" %}\n\n";
    let part = "{% if true %}\nA paragraph\nof two lines.\n{% endif %}\n";
    let lines = before.matches('\n').count();
    for (fault, found) in [
        ("<b>x</b>", "raw HTML"),
        ("<div>\n\n</div>", "raw HTML"),
        ("![a](b.png)", "an image"),
        ("[a](http://x/{{ xs[0] }})", "a value in a link target"),
        ("[a](javascript:x)", "javascript"),
        ("[a](b \"title\")", "a title of a link"),
        ("[a](#nowhere)", "#nowhere"),
        ("```python\n```", "the block `python`"),
        ("```\n```", "without a kind"),
        ("```chart x\n```", "the chart `x`"),
        ("```table x\n```", "the table `x`"),
        ("> plain", "a plain quote"),
        ("---", "a rule"),
        ("text[^x]", "a footnote without a text"),
        ("[^x]: unused", "without a reference"),
        ("[unused]: http://x/{{ xs[1] }}", "not printed"),
        ("## H {.class}", "a class or attribute"),
        ("### H", "a heading of level 3"),
        ("## H {#t-{{ xs[0] }}}", "a value in the id"),
    ] {
        let context = context! { xs => ["a", "b", "c"] };
        // Directly in the template, and after it in an included one.
        let whole = templates(&[("t.md", &format!("{before}{fault}\n")), ("part.md", part)]).unwrap();
        let error = whole.render("t.md", context.clone(), &Resources::default()).unwrap_err();
        assert_eq!(place(&error), ("t.md", lines + 1), "{fault}: {error}");
        assert!(error.to_string().contains(found), "{error}");

        let whole = templates(&[("t.md", before), ("part.md", &format!("{part}\n{fault}\n"))]).unwrap();
        let error = whole.render("t.md", context.clone(), &Resources::default()).unwrap_err();
        assert_eq!(place(&error), ("part.md", 6), "{fault}: {error}");

        // In a loop: the second turn's text is the same line of the template.
        let looped = format!("# T\n{{% for x in xs %}}\n\nline {{{{ x }}}}\n\n{fault}\n{{% endfor %}}\n");
        let error = templates(&[("t.md", &looped)]).unwrap().render("t.md", context, &Resources::default()).unwrap_err();
        assert_eq!(place(&error), ("t.md", 6), "{fault}: {error}");
    }
}

#[test]
fn faults_inside_an_included_template_name_it() {
    let whole = templates(&[("t.md", "# T\n\n{% include \"part.md\" %}\n"), ("part.md", "text\n\n{{ missing }}\n")]).unwrap();
    let error = whole.render("t.md", context! {}, &Resources::default()).unwrap_err();
    assert_eq!(place(&error), ("part.md", 3));
    let whole = templates(&[("t.md", "# T\n\n{% include \"no.md\" %}\n")]).unwrap();
    let error = whole.render("t.md", context! {}, &Resources::default()).unwrap_err();
    assert_eq!(place(&error), ("t.md", 3));
    assert!(error.to_string().contains("one of: t.md"), "{error}");
}

#[test]
fn an_include_ends_its_last_line() {
    let whole = templates(&[("t.md", "# T\n\n{% include \"part.md\" %}\n\nnext\n"), ("part.md", "one\n")]).unwrap();
    let document = whole.render("t.md", context! {}, &Resources::default()).unwrap();
    assert_eq!(document.blocks.len(), 3, "{:?}", document.blocks);
}

#[test]
fn templates_are_known_by_name_once_and_have_a_size() {
    assert!(matches!(templates(&[("a", "# A"), ("a", "# B")]), Err(Error::DuplicateTemplate { .. })));
    assert!(matches!(templates(&[("a", &"x".repeat(TEMPLATE_LIMIT + 1))]), Err(Error::TemplateTooLarge { .. })));
    let error = templates(&[("a", "# A")]).unwrap().render("b", context! {}, &Resources::default()).unwrap_err();
    assert_eq!(error.to_string(), "no template is named `b`; there are: a");
    assert!(render("no heading\n", context! {}).unwrap_err().to_string().contains("# Title"));
}

#[test]
fn a_template_that_writes_without_end_is_stopped() {
    let long = "word ".repeat(80_000);
    let rows: Vec<u32> = (0..1000).collect();
    let error = render(&format!("# T\n\n{{% for row in rows %}}\n{long}\n{{% endfor %}}\n"), context! { rows }).unwrap_err();
    assert!(error.to_string().contains("more text than a report can have"), "{error}");
    let error = render("# T\n\n{% for row in rows %}{{ long }}{% endfor %}\n", context! { rows => (0..1000).collect::<Vec<u32>>(), long })
        .unwrap_err();
    assert!(error.to_string().contains("more text than a report can have"), "{error}");
    let nested = "{% for a in rows %}{% for b in rows %}{% for c in rows %}{% endfor %}{% endfor %}{% endfor %}";
    let error = render(&format!("# T\n\n{nested}\n"), context! { rows => (0..1000).collect::<Vec<u32>>() }).unwrap_err();
    assert!(error.to_string().contains("does not end"), "{error}");
    let error =
        templates(&[("t.md", "# T\n\n{% include \"t.md\" %}\n")]).unwrap().render("t.md", context! {}, &Resources::default()).unwrap_err();
    assert!(place(&error).1 >= 1, "{error}");
}

#[test]
fn no_fault_prints_a_value() {
    let secret = "Hill Farm 7, 51.4321";
    let site = context! { name => secret, n => number_value(Number { fact: "a.b".into(), value: 987_654.25, text: "987,654".into() }) };
    let texts = [
        "{{ site.n.value }}",
        "{{ site }}",
        "{{ site[site.name] }}",
        "{{ site.name.foo }}",
        "{{ site.name() }}",
        "{{ site.name / 2 }}",
        "{{ site.n.value // 0 }}",
        "{{ site.n.value * site.n.value }}",
        "{{ site.name|length }}",
        "{{ site.n|length }}",
        "{% include site.name %}",
        "{% for a, b in site.name %}{% endfor %}",
        "{% if site.name < site.n %}{% endif %}",
        "{% if site.name is site.name %}{% endif %}",
        "```chart {{ site.name }}\n```",
        "```table {{ site.name }}\n```",
        "```key-facts\n{{ site.name }}\n```",
        "```{{ site.name }}\n```",
        "```chart x\n{{ site.name }}\n```",
        "[a]({{ site.name }})",
        "[a](https://example.org \"{{ site.name }}\")",
        "![{{ site.name }}](a.png)",
        "<b>{{ site.name }}</b>",
        "[{{ site.name }}]: https://example.org",
        "## {{ site.name }} one\n\n[a](#nowhere)",
        "## a {#{{ site.name }}}",
        "[^{{ site.name }}]",
        "[^a]: {{ site.name }}",
        "> {{ site.name }}",
        "    {{ site.name }}",
        "#### {{ site.name }}",
    ];
    for text in texts {
        // Some are refused when the template is read, some when it is rendered; a few print well.
        let result = templates(&[("t.md", &format!("# T\n\n{text}\n"))])
            .and_then(|templates| templates.render("t.md", context! { site => site.clone() }, &Resources::default()));
        let Err(error) = result else { continue };
        let told = format!("{error} {error:?}");
        assert!(!told.contains("Hill Farm") && !told.contains("987") && !told.contains("51.43"), "{text}: {told}");
        assert!(!told.contains('\u{E000}') && !told.contains("e000"), "{text}: {told}");
    }
}
