//! What stands in the margins of every sheet. At the head, from the second sheet on: the document's title and the section
//! that the sheet begins in. At the foot: the running foot and the number of the sheet. None of it is read out twice: it is
//! marked as artifacts. Page numbers that stand in the text are filled in here too, when the sheets are known.

use std::collections::BTreeMap;

use super::MM;
use super::flow::{self, Page};
use super::inlines::{Look, Source};
use super::piece::{Mark, Op, QUIET, What};
use super::setter::{CLOSE, Setter, rule};
use super::text::shape;
use crate::document::{Align, Document};

/// Size of all that stands in the margins.
const SIZE: f32 = 7.5;
/// Lines of the running foot, at most.
const FOOT_LINES: usize = 3;
/// Shares of the width: the title's in the head, the foot's beside the number of the sheet.
const TITLE_SHARE: f32 = 0.56;
const FOOT_SHARE: f32 = 0.8;

impl Setter<'_> {
    pub(super) fn margins(&mut self, document: &Document, pages: &mut [Page]) {
        self.page_numbers(pages);
        self.heads(document, pages);
        self.feet(pages);
    }

    /// Numbers of sheets in a list of contents.
    fn page_numbers(&mut self, pages: &mut [Page]) {
        let mut places = BTreeMap::new();
        for (at, page) in pages.iter().enumerate() {
            for op in &page.ops {
                if let What::Anchor(name) = &op.what {
                    places.entry(name.clone()).or_insert(at + 1);
                }
            }
        }
        for op in pages.iter_mut().flat_map(|page| &mut page.ops) {
            let What::PageOf { anchor, size } = &op.what else { continue };
            let number = places.get(anchor).map_or_else(|| "–".to_owned(), usize::to_string);
            let styled = self.styled_text(&number, Look::PLAIN, Source::Own);
            let lines = shape(&mut self.faces, &styled, *size, CLOSE).lines(f32::MAX, Align::Start);
            let Some(placed) = lines.first().and_then(|line| line.segments.first()) else { continue };
            op.x -= placed.segment.width;
            op.what = What::Text { segment: placed.segment.clone(), alt: None };
        }
    }

    fn heads(&mut self, document: &Document, pages: &mut [Page]) {
        let width = flow::text_width(self.options.paper);
        let title = if document.title.trim().is_empty() { self.options.title.as_str() } else { document.title.as_str() };
        let look = Look::PLAIN.coloured(QUIET);
        let mut section = String::new();
        for (at, page) in pages.iter_mut().enumerate() {
            let mut begun = page.ops.iter().filter_map(|op| match &op.what {
                What::Outline { level: 2, text } => Some((op.y, text)),
                _ => None,
            });
            let first = begun.next();
            if let Some((y, text)) = first
                && y <= flow::TOP + 1.0
            {
                section.clone_from(text);
            }
            if at > 0 {
                let mut ops = Vec::new();
                let named = self.shortened(&section, "", look, SIZE, width * (1.0 - TITLE_SHARE) - 12.0);
                let title = self.shortened(title, "", look, SIZE, if section.is_empty() { width } else { width * TITLE_SHARE });
                let top = flow::TOP - 7.0 * MM;
                Setter::drawn(&title, Mark::Head, flow::SIDE, top, &mut ops);
                Setter::drawn(&named, Mark::Head, flow::SIDE + width - named.width(), top, &mut ops);
                if !ops.is_empty() {
                    ops.push(Op { mark: Mark::Head, ..rule(flow::SIDE, top + title.height + 1.2, width, 0.5) });
                }
                page.ops.append(&mut ops);
            }
            let last = page.ops.iter().rev().find_map(|op| match &op.what {
                What::Outline { level: 2, text } => Some(text.clone()),
                _ => None,
            });
            section = last.unwrap_or(section);
        }
    }

    fn feet(&mut self, pages: &mut [Page]) {
        let options = self.options;
        let (width, height) = (flow::text_width(options.paper), options.paper.size().1);
        let top = height - flow::BOTTOM + 2.5 * MM;
        let look = Look::PLAIN.coloured(QUIET);
        let foot = self.styled_text(&options.running_foot, look, Source::Outside);
        let mut lines = shape(&mut self.faces, &foot, SIZE, CLOSE).lines(width * FOOT_SHARE, Align::Start);
        lines.truncate(FOOT_LINES);
        let count = pages.len().to_string();
        for (at, page) in pages.iter_mut().enumerate() {
            let number = options.wording.page.replace("{page}", &(at + 1).to_string()).replace("{pages}", &count);
            let number = self.styled_text(&number, look, Source::Own);
            let numbers = shape(&mut self.faces, &number, SIZE, CLOSE).lines(width, Align::End);
            for lines in [&lines, &numbers] {
                let mut y = top;
                for line in lines {
                    Setter::drawn(line, Mark::Foot, flow::SIDE, y, &mut page.ops);
                    y += line.height;
                }
            }
        }
    }
}
