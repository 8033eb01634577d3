//! Footnotes: numbered by their first reference, printed after the last block, each with links back to where it was
//! referred to.

use std::collections::BTreeMap;

use super::Page;
use crate::document::{Block, Document};

/// The footnotes of a document and the references met so far.
pub(super) struct Notes<'a> {
    texts: BTreeMap<&'a str, &'a [Block]>,
    /// Names in the order of first reference, with the count of references.
    met: Vec<(&'a str, usize)>,
}

impl<'a> Notes<'a> {
    pub(super) fn new(document: &'a Document) -> Self {
        let mut texts = BTreeMap::new();
        collect(&document.blocks, &mut texts);
        Notes { texts, met: Vec::new() }
    }
}

fn collect<'a>(blocks: &'a [Block], texts: &mut BTreeMap<&'a str, &'a [Block]>) {
    for block in blocks {
        match block {
            Block::Footnote { name, blocks } => {
                texts.insert(name, blocks);
                collect(blocks, texts);
            }
            Block::Caution { blocks, .. } => collect(blocks, texts),
            Block::List(list) => list.items.iter().for_each(|item| collect(&item.blocks, texts)),
            Block::Definitions(definitions) => {
                definitions.iter().flat_map(|definition| &definition.meanings).for_each(|meaning| collect(meaning, texts));
            }
            _ => {}
        }
    }
}

impl<'a> Page<'a> {
    pub(super) fn note_reference(&mut self, name: &'a str) {
        if !self.notes.texts.contains_key(name) {
            return; // a document made by hand; the template reader never lets one through
        }
        let known = self.notes.met.iter().position(|(met, _)| *met == name);
        let at = known.unwrap_or_else(|| {
            self.notes.met.push((name, 0));
            self.notes.met.len() - 1
        });
        self.notes.met[at].1 += 1;
        let (number, count) = (at + 1, self.notes.met[at].1);
        let label = format!("{} {number}", self.wording.note);
        self.raw("<sup class=\"note\">");
        self.open(
            "a",
            &[
                ("id", &format!("_ref-{number}-{count}")),
                ("href", &format!("#_note-{number}")),
                ("role", "doc-noteref"),
                ("aria-label", &label),
            ],
        );
        self.raw(&format!("{number}</a></sup>"));
    }

    pub(super) fn footnotes(&mut self) {
        if self.notes.met.is_empty() {
            return;
        }
        self.raw("<section class=\"notes\" role=\"doc-endnotes\" aria-labelledby=\"_notes\">\n<h2 id=\"_notes\">");
        self.text(&self.wording.notes);
        self.raw("</h2>\n<ol>\n");
        // A note may refer to another one, which then joins the end of the list.
        let mut at = 0;
        while at < self.notes.met.len() {
            let (name, _) = self.notes.met[at];
            let blocks = self.notes.texts.get(name).copied().unwrap_or_default();
            let number = at + 1;
            self.open("li", &[("id", &format!("_note-{number}"))]);
            self.tight(blocks);
            let count = self.notes.met[at].1;
            for back in 1..=count {
                let label = format!("{} ({number}.{back})", self.wording.back);
                self.raw(" ");
                self.open(
                    "a",
                    &[("class", "back"), ("href", &format!("#_ref-{number}-{back}")), ("role", "doc-backlink"), ("aria-label", &label)],
                );
                self.raw("↩</a>");
            }
            self.raw("</li>\n");
            at += 1;
        }
        self.raw("</ol>\n</section>\n");
    }
}
