//! Document -> one HTML5 file that needs nothing else: the style sheet and the charts stand in it, there is no script
//! and no address is fetched. A number prints as `<data data-fact="ID" value="V">text</data>`.
//!
//! The foot of every printed sheet stands in the page margin (CSS Paged Media, margin boxes), where it can never lie
//! over text; browsers without margin boxes print it once, after the last block, where it also stands on screen.

use crate::document::{Block, CautionKind, Document, Inline, KeyFact, List, Number, Slot, plain_text};
use crate::escape;

mod notes;
mod tables;
use notes::Notes;

/// How a document becomes a page.
#[derive(Debug, Clone, Default)]
pub struct HtmlOptions {
    /// The style sheet, written into the page as it is, but for `</`, which could end the element; whoever takes one from a user looks
    /// through it first.
    pub style: String,
    /// What is printed at the foot of every sheet, and below the document on screen.
    pub running_foot: Option<String>,
    /// The renderer's own words.
    pub wording: Wording,
}

/// The few words that the renderer itself writes; English by default.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wording {
    /// Of the link that jumps over the contents.
    pub skip: String,
    /// Heads the list of sections.
    pub contents: String,
    /// Heads the footnotes.
    pub notes: String,
    /// Names a reference to a footnote, before its number.
    pub note: String,
    /// Names the link from a footnote back to the text.
    pub back: String,
    /// Names a ticked box.
    pub ticked: String,
    /// Names an open box.
    pub open: String,
    /// Said after the caption of a table that goes on on a further sheet.
    pub continued: String,
    /// The number of a sheet; `{page}` and `{pages}` stand for the numbers.
    pub page: String,
    /// Says that a field is filled in on paper.
    pub blank: String,
    /// Head of a note.
    pub kind_note: String,
    /// Head of a tip.
    pub kind_tip: String,
    /// Head of an important remark.
    pub kind_important: String,
    /// Head of a warning.
    pub kind_warning: String,
    /// Head of a caution.
    pub kind_caution: String,
}

impl Default for Wording {
    fn default() -> Self {
        Wording {
            skip: "Skip to the text".to_owned(),
            contents: "Contents".to_owned(),
            notes: "Notes".to_owned(),
            note: "Note".to_owned(),
            back: "Back to the text".to_owned(),
            ticked: "ticked".to_owned(),
            open: "open".to_owned(),
            continued: "(continued)".to_owned(),
            page: "page {page} of {pages}".to_owned(),
            blank: "to be filled in on paper".to_owned(),
            kind_note: "Note".to_owned(),
            kind_tip: "Tip".to_owned(),
            kind_important: "Important".to_owned(),
            kind_warning: "Warning".to_owned(),
            kind_caution: "Caution".to_owned(),
        }
    }
}

/// Renders a document to a self-contained HTML page; the same document gives the same bytes.
pub fn to_html(document: &Document, options: &HtmlOptions) -> String {
    let mut page = Page { out: String::with_capacity(64 * 1024), wording: &options.wording, notes: Notes::new(document), document };
    page.raw("<!DOCTYPE html>\n");
    page.open("html", &[("lang", &document.language)]);
    page.raw("\n<head>\n<meta charset=\"utf-8\">\n");
    // The page needs nothing from anywhere, and says so to the browser: no script, no picture, no font, no address.
    page.raw("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n");
    page.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    page.raw("<meta name=\"color-scheme\" content=\"light dark\">\n<title>");
    page.text(&document.title);
    page.raw("</title>\n<style>\n");
    // Inside a style element only `</` could end it; in CSS `<\/` means the same.
    page.raw(&options.style.replace("</", "<\\/"));
    if let Some(foot) = &options.running_foot {
        page.raw(&margin_boxes(&document.title, foot, &options.wording.page));
    }
    page.raw("</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#_text\">");
    page.text(&options.wording.skip);
    page.raw("</a>\n");
    // On screen the list of sections stands above the text, whatever the document says; its own place is that on paper.
    page.contents("contents", "_contents");
    page.raw("<main id=\"_text\">\n");
    page.blocks(&document.blocks);
    page.footnotes();
    page.raw("</main>\n");
    if let Some(foot) = &options.running_foot {
        page.raw("<footer class=\"foot\"><p>");
        page.text(foot);
        page.raw("</p></footer>\n");
    }
    page.raw("</body>\n</html>\n");
    page.out
}

/// The words for the number of a sheet, as CSS strings and counters.
fn page_number(words: &str) -> String {
    let written = |name: &str| escape::css_string(name).trim_matches('"').to_owned();
    let words = escape::css_string(words).replace(&written("{pages}"), "\" counter(pages) \"");
    words.replace(&written("{page}"), "\" counter(page) \"")
}

/// The most characters of the title in the running head, which has one line.
const TITLE_IN_HEAD: usize = 100;
/// The face of heads and feet.
const FACE: &str = "font: 7.5pt/1.3 system-ui, sans-serif; color: #444";

/// Margin boxes: from the second sheet on the document's title at the head, on every sheet the foot and the page number, whose widths
/// leave room for two lines of text.
fn margin_boxes(title: &str, foot: &str, page: &str) -> String {
    let head = if title.chars().count() > TITLE_IN_HEAD {
        title.chars().take(TITLE_IN_HEAD - 1).chain(['…']).collect()
    } else {
        title.to_owned()
    };
    format!(
        "\n@page {{\n  @top-left {{ content: {}; width: 100%; {FACE}; text-align: left; vertical-align: bottom; padding-bottom: 2.5mm; }}\n  \
         @top-center {{ content: none; width: 0; }}\n  @top-right {{ content: none; width: 0; }}\n  \
         @bottom-left {{ content: {}; width: 86%; {FACE}; text-align: left; vertical-align: top; padding-top: 2.5mm; }}\n  \
         @bottom-center {{ content: none; width: 0; }}\n  \
         @bottom-right {{ content: {}; width: 14%; {FACE}; text-align: right; vertical-align: top; \
         padding-top: 2.5mm; }}\n}}\n@page :first {{ @top-left {{ content: none; }} }}\n",
        escape::css_string(&head),
        escape::css_string(foot),
        page_number(page)
    )
}

struct Page<'a> {
    out: String,
    wording: &'a Wording,
    notes: Notes<'a>,
    document: &'a Document,
}

impl<'a> Page<'a> {
    /// Our own markup.
    fn raw(&mut self, markup: &str) {
        self.out.push_str(markup);
    }

    /// Anything else.
    fn text(&mut self, text: &str) {
        escape::push(&mut self.out, text);
    }

    fn open(&mut self, tag: &str, attributes: &[(&str, &str)]) {
        self.out.push('<');
        self.out.push_str(tag);
        for (name, value) in attributes {
            self.out.push(' ');
            self.out.push_str(name);
            self.out.push_str("=\"");
            escape::push(&mut self.out, value);
            self.out.push('"');
        }
        self.out.push('>');
    }

    fn element(&mut self, tag: &str, attributes: &[(&str, &str)], inlines: &'a [Inline]) {
        self.open(tag, attributes);
        self.inlines(inlines);
        self.raw("</");
        self.raw(tag);
        self.raw(">\n");
    }

    fn contents(&mut self, class: &str, id: &str) {
        let document = self.document;
        let sections: Vec<(&str, String)> = document
            .blocks
            .iter()
            .filter_map(|block| match block {
                Block::Heading { level: 2, id, text } => Some((id.as_str(), plain_text(text))),
                _ => None,
            })
            .collect();
        if sections.len() < 2 {
            return;
        }
        self.open("nav", &[("class", class), ("aria-labelledby", id)]);
        self.raw("\n");
        self.open("p", &[("id", id)]);
        self.text(&self.wording.contents);
        self.raw("</p>\n<ol>\n");
        for (id, text) in sections {
            self.raw("<li>");
            self.open("a", &[("href", &format!("#{id}"))]);
            self.text(&text);
            self.raw("</a></li>\n");
        }
        self.raw("</ol>\n</nav>\n");
    }

    fn blocks(&mut self, blocks: &'a [Block]) {
        for block in blocks {
            self.block(block);
        }
    }

    fn block(&mut self, block: &'a Block) {
        match block {
            Block::Heading { level, id, text } => {
                let tag = format!("h{}", level.clamp(&1, &6));
                self.element(&tag, &[("id", id)], text);
            }
            Block::Paragraph(text) => self.element("p", &[], text),
            Block::List(list) => self.list(list),
            Block::Table(table) => self.table(table),
            Block::KeyFacts(facts) => self.key_facts(facts),
            Block::Chart(chart) => {
                let id = format!("chart-{}", escape::id(&chart.id));
                self.open("figure", &[("class", "chart"), ("id", &id)]);
                self.raw("\n");
                // On a phone a drawing is wider than the screen: the box that scrolls it can be reached by key.
                self.open("div", &[("class", "drawing"), ("role", "group"), ("aria-label", &chart.title), ("tabindex", "0")]);
                self.raw(&chart.svg);
                self.raw("</div>\n<figcaption><strong>");
                self.text(&chart.title);
                self.raw("</strong>");
                if !chart.caption.is_empty() {
                    self.raw(" ");
                    self.inlines(&chart.caption);
                }
                self.raw("</figcaption>\n</figure>\n");
            }
            Block::Drawing(drawing) => self.sized("drawing", &drawing.svg, (&drawing.id, &drawing.title), &drawing.caption),
            Block::DottedGrid(grid) => self.sized("grid", &grid.svg, (&grid.id, &grid.title), &grid.caption),
            Block::DataTable(table) => self.data_table(table),
            Block::Caution { kind, blocks } => {
                let (class, head) = self.caution(*kind);
                self.open("aside", &[("class", &format!("caution {class}")), ("aria-label", head)]);
                self.raw("\n<p class=\"kind\">");
                self.text(head);
                self.raw("</p>\n");
                self.blocks(blocks);
                self.raw("</aside>\n");
            }
            Block::Footnote { .. } => {} // after the last block
            Block::Definitions(definitions) => {
                self.raw("<dl class=\"definitions\">\n");
                for definition in definitions {
                    self.element("dt", &[], &definition.term);
                    for meaning in &definition.meanings {
                        self.raw("<dd>");
                        self.tight(meaning);
                        self.raw("</dd>\n");
                    }
                }
                self.raw("</dl>\n");
            }
            Block::BlankField { label, lines } => {
                self.raw("<div class=\"blank\"><span class=\"label\">");
                self.inlines(label);
                self.raw("</span><span class=\"hidden\"> (");
                self.text(&self.wording.blank);
                self.raw(")</span><span class=\"lines\" aria-hidden=\"true\">");
                for _ in 0..*lines {
                    self.raw("<span class=\"line\"></span>");
                }
                self.raw("</span></div>\n");
            }
            Block::Contents => self.contents("contents in-text", "_contents-on-paper"),
            Block::PageBreak => self.raw("<hr class=\"page-break\">\n"),
        }
    }

    /// A drawing whose millimetres are millimetres on paper; where the page is narrower it scrolls in its own box.
    fn sized(&mut self, kind: &str, svg: &str, (id, title): (&str, &str), caption: &'a [Inline]) {
        self.open("figure", &[("class", "sized"), ("id", &format!("{kind}-{}", escape::id(id)))]);
        self.raw("\n");
        self.open("div", &[("class", "drawing"), ("role", "group"), ("aria-label", title), ("tabindex", "0")]);
        self.raw(svg);
        self.raw("</div>\n<figcaption><strong>");
        self.text(title);
        self.raw("</strong>");
        if !caption.is_empty() {
            self.raw(" ");
            self.inlines(caption);
        }
        self.raw("</figcaption>\n</figure>\n");
    }

    fn caution(&self, kind: CautionKind) -> (&'static str, &'a str) {
        match kind {
            CautionKind::Note => ("note", &self.wording.kind_note),
            CautionKind::Tip => ("tip", &self.wording.kind_tip),
            CautionKind::Important => ("important", &self.wording.kind_important),
            CautionKind::Warning => ("warning", &self.wording.kind_warning),
            CautionKind::Caution => ("grave", &self.wording.kind_caution),
        }
    }

    fn list(&mut self, list: &'a List) {
        let tag = if list.first_number.is_some() { "ol" } else { "ul" };
        let start = list.first_number.map(|first| first.to_string());
        let mut attributes = Vec::new();
        if list.is_checklist() {
            attributes.push(("class", "checklist"));
        }
        if let Some(start) = start.as_deref().filter(|start| *start != "1") {
            attributes.push(("start", start));
        }
        self.open(tag, &attributes);
        self.raw("\n");
        for item in &list.items {
            self.raw("<li>");
            if let Some(ticked) = item.mark {
                let word = if ticked { &self.wording.ticked } else { &self.wording.open };
                self.open("svg", &[("class", "box"), ("viewBox", "0 0 16 16"), ("role", "img"), ("aria-label", word)]);
                self.raw("<rect x=\"1\" y=\"1\" width=\"14\" height=\"14\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.5\"/>");
                if ticked {
                    self.raw("<path d=\"M4 4 12 12M12 4 4 12\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"2\"/>");
                }
                self.raw("</svg>");
            }
            self.tight(&item.blocks);
            self.raw("</li>\n");
        }
        self.raw("</");
        self.raw(tag);
        self.raw(">\n");
    }

    /// A paragraph that stands alone, or first before a list, needs no element of its own.
    fn tight(&mut self, blocks: &'a [Block]) {
        match blocks {
            [Block::Paragraph(text), rest @ ..] if rest.iter().all(|block| matches!(block, Block::List(_))) => {
                self.inlines(text);
                self.blocks(rest);
            }
            _ => self.blocks(blocks),
        }
    }

    fn key_facts(&mut self, facts: &'a [KeyFact]) {
        self.raw("<dl class=\"key-facts\">\n");
        for fact in facts {
            self.raw("<div><dt>");
            self.inlines(&fact.label);
            self.raw("</dt><dd class=\"value\">");
            self.slot(&fact.value);
            self.raw("</dd>");
            if !fact.note.is_empty() {
                self.raw("<dd class=\"remark\">");
                self.inlines(&fact.note);
                self.raw("</dd>");
            }
            self.raw("</div>\n");
        }
        self.raw("</dl>\n");
    }

    fn inlines(&mut self, inlines: &'a [Inline]) {
        for inline in inlines {
            match inline {
                Inline::Text(text) => self.text(text),
                Inline::Slot(slot) => self.slot(slot),
                Inline::Strong(inner) => self.wrapped("strong", inner),
                Inline::Emphasis(inner) => self.wrapped("em", inner),
                Inline::Code(inner) => self.wrapped("code", inner),
                Inline::Link { target, text } => {
                    self.open("a", &[("href", target)]);
                    self.inlines(text);
                    self.raw("</a>");
                }
                Inline::NoteReference(name) => self.note_reference(name),
                Inline::LineBreak => self.raw("<br>\n"),
            }
        }
    }

    fn wrapped(&mut self, tag: &str, inner: &'a [Inline]) {
        self.open(tag, &[]);
        self.inlines(inner);
        self.raw("</");
        self.raw(tag);
        self.raw(">");
    }

    fn slot(&mut self, slot: &Slot) {
        match slot {
            // A value in another script must not turn the order of the words around it.
            Slot::Text(text) if !text.is_ascii() => {
                self.raw("<bdi>");
                self.text(text);
                self.raw("</bdi>");
            }
            Slot::Text(text) => self.text(text),
            Slot::Number(number) => self.number(number),
        }
    }

    fn number(&mut self, number: &Number) {
        // `+ 0.0` turns a negative zero into zero.
        let value = (number.value + 0.0).to_string();
        let mut attributes = vec![("data-fact", number.fact.as_str())];
        if number.value.is_finite() {
            attributes.push(("value", &value));
        }
        let tag = if number.value.is_finite() { "data" } else { "span" };
        self.open(tag, &attributes);
        self.text(&number.text);
        self.raw("</");
        self.raw(tag);
        self.raw(">");
    }
}

#[cfg(test)]
mod tests;
