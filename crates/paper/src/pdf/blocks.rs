//! Blocks to pieces: headings, paragraphs, lists, cautions and notes; tables, charts and grids have files of their own.
//! The type sizes are those of the printed HTML page.

use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZeroU16;
use std::rc::Rc;

use krilla::tagging::{ListNumbering, Tag, TagId};

use super::faces::Faces;
use super::flow::{self, Page};
use super::inlines::Look;
use super::piece::{INK, Keep, Kind, Mark, Node, Op, Piece, QUIET, Set, What};
use super::text::{Line, Styled, shape};
use super::{MM, PdfOptions};
use crate::document::{Align, Block, CautionKind, Document, Inline, List, plain_text};
use crate::error::Error;
use crate::escape;

/// Type sizes in points, and line heights as shares of them.
pub(super) const BODY: f32 = 9.6;
pub(super) const LEADING: f32 = 1.36;
pub(super) const SMALL: f32 = 8.8;
/// Space between blocks.
pub(super) const GAP: f32 = 0.65 * BODY;

pub(super) struct Setter<'a> {
    pub(super) faces: Faces,
    pub(super) options: &'a PdfOptions<'a>,
    pub(super) leaves: usize,
    pub(super) nodes: Vec<Node>,
    pub(super) missing: BTreeSet<char>,
    /// Size of the text that is being set.
    pub(super) size: f32,
    anchors: BTreeSet<String>,
    notes: BTreeMap<&'a str, &'a [Block]>,
    met: Vec<&'a str>,
    headed: bool,
}

impl<'a> Setter<'a> {
    pub(super) fn new(document: &'a Document, options: &'a PdfOptions<'a>) -> Result<Self, Error> {
        let mut setter = Setter {
            faces: Faces::new(&options.fonts)?,
            options,
            leaves: 0,
            nodes: Vec::new(),
            missing: BTreeSet::new(),
            size: BODY,
            anchors: BTreeSet::new(),
            notes: BTreeMap::new(),
            met: Vec::new(),
            headed: false,
        };
        setter.collect(&document.blocks);
        Ok(setter)
    }

    fn collect(&mut self, blocks: &'a [Block]) {
        for block in blocks {
            match block {
                Block::Heading { id, .. } => {
                    self.anchors.insert(id.clone());
                }
                Block::Chart(chart) => {
                    self.anchors.insert(format!("chart-{}", escape::id(&chart.id)));
                }
                Block::DataTable(table) => {
                    self.anchors.insert(format!("table-{}", escape::id(&table.id)));
                }
                Block::Footnote { name, blocks } => {
                    self.notes.insert(name, blocks);
                    self.collect(blocks);
                }
                Block::Caution { blocks, .. } => self.collect(blocks),
                Block::List(list) => list.items.iter().for_each(|item| self.collect(&item.blocks)),
                Block::Definitions(definitions) => {
                    definitions.iter().flat_map(|definition| &definition.meanings).for_each(|meaning| self.collect(meaning));
                }
                _ => {}
            }
        }
    }

    /// The pieces of a whole document; its nodes are kept.
    pub(super) fn document(&mut self, document: &'a Document) -> Result<Vec<Piece>, Error> {
        let width = flow::text_width(self.options.paper);
        let mut set = self.blocks(&document.blocks, width)?;
        set.add(self.footnotes(width)?);
        self.nodes = set.nodes;
        Ok(set.pieces)
    }

    /// The foot of every sheet: the running foot, the number of the page and how many there are.
    pub(super) fn feet(&mut self, pages: &mut [Page]) -> Result<(), Error> {
        const SIZE: f32 = 7.5;
        let options = self.options;
        let (width, height) = (flow::text_width(options.paper), options.paper.size().1);
        let top = height - flow::BOTTOM + 2.5 * MM;
        let mut foot = Styled::default();
        self.push_user(&mut foot, &options.running_foot, Look::PLAIN.coloured(QUIET));
        let mut lines = shape(&mut self.faces, &foot, SIZE, 1.3).lines(width * 0.86, Align::Start);
        lines.truncate(4);
        let count = pages.len();
        for (at, page) in pages.iter_mut().enumerate() {
            let mut number = Styled::default();
            self.push_own(&mut number, &format!("{} / {count}", at + 1), Look::PLAIN.coloured(QUIET))?;
            let numbers = shape(&mut self.faces, &number, SIZE, 1.3).lines(width, Align::End);
            for lines in [&lines, &numbers] {
                let mut y = top;
                for line in lines {
                    for placed in &line.segments {
                        let what = What::Text { segment: Rc::clone(&placed.segment), alt: None };
                        page.ops.push(Op { x: flow::SIDE + placed.x, y: y + line.baseline, mark: Mark::Foot, what });
                    }
                    y += line.height;
                }
            }
        }
        Ok(())
    }

    pub(super) fn leaf(&mut self) -> usize {
        self.leaves += 1;
        self.leaves - 1
    }

    /// The number of a footnote, given at its first reference.
    pub(super) fn note_number(&mut self, name: &str) -> Option<usize> {
        let (name, _) = self.notes.get_key_value(name)?;
        let at = self.met.iter().position(|met| met == name).unwrap_or_else(|| {
            self.met.push(name);
            self.met.len() - 1
        });
        Some(at + 1)
    }

    /// Draws one line, its top at `y`.
    pub(super) fn line(&mut self, line: &Line, links: &[String], text: &str, y: f32, ops: &mut Vec<Op>, nodes: &mut Vec<Node>) {
        for placed in &line.segments {
            let leaf = self.leaf();
            let what = What::Text { segment: Rc::clone(&placed.segment), alt: placed.alt.clone() };
            ops.push(Op { x: placed.x, y: y + line.baseline, mark: Mark::Leaf(leaf), what });
            let target = placed.link.and_then(|link| links.get(link)).filter(|target| self.leads_somewhere(target));
            if let Some(target) = target {
                let area = self.leaf();
                let shown = text.get(placed.range.clone()).unwrap_or_default().trim();
                let alt = if target.starts_with("#_note-") { format!("{} {shown}", self.options.wording.note) } else { shown.to_owned() };
                let what = What::Link { width: placed.segment.width, height: line.height, target: target.clone(), alt };
                ops.push(Op { x: placed.x, y, mark: Mark::Leaf(area), what });
                nodes.push(Node::Group(Tag::Link.into(), vec![Node::Leaf(leaf), Node::Leaf(area)]));
            } else {
                nodes.push(Node::Leaf(leaf));
            }
        }
    }

    fn leads_somewhere(&self, target: &str) -> bool {
        match target.strip_prefix('#') {
            Some(id) => id.starts_with("_note-") || self.anchors.contains(id),
            None => ["https:", "http:", "mailto:"].iter().any(|scheme| target.starts_with(scheme)) || !target.contains(':'),
        }
    }

    /// A text as lines, each a piece; never one line alone at either end of a sheet.
    pub(super) fn text(&mut self, styled: &Styled, size: f32, leading: f32, width: f32, align: Align) -> (Vec<Piece>, Vec<Node>) {
        let lines = shape(&mut self.faces, styled, size, leading).lines(width, align);
        let count = lines.len();
        let mut nodes = Vec::new();
        let mut pieces = Vec::with_capacity(count);
        for (at, line) in lines.iter().enumerate() {
            let mut piece = Piece { height: line.height, ..Piece::default() };
            self.line(line, &styled.links, &styled.text, 0.0, &mut piece.ops, &mut nodes);
            if at + 1 < count && (at == 0 || at + 2 == count) {
                piece.keep = Keep::Bound;
            }
            pieces.push(piece);
        }
        (pieces, nodes)
    }

    pub(super) fn paragraph(&mut self, text: &'a [Inline], width: f32) -> Result<Set, Error> {
        let styled = self.styled(text, Look::PLAIN)?;
        let (pieces, nodes) = self.text(&styled, self.size, LEADING, width, Align::Start);
        let mut set = Set { pieces, nodes: vec![Node::Group(Tag::P.into(), nodes)] };
        set.space(0.0, GAP);
        Ok(set)
    }

    pub(super) fn blocks(&mut self, blocks: &'a [Block], width: f32) -> Result<Set, Error> {
        let mut set = Set::default();
        for (at, block) in blocks.iter().enumerate() {
            let mut one = self.block(block, width)?;
            if leads_in(blocks, at) {
                one.bind(Keep::LeadIn);
                if let Some(last) = one.pieces.last_mut() {
                    last.keep = last.keep.max(Keep::LeadIn);
                }
            }
            if let (Block::Paragraph(text), Some(Block::List(_))) = (block, blocks.get(at + 1))
                && plain_text(text).trim_end().ends_with(':')
                && let Some(last) = one.pieces.last_mut()
            {
                last.keep = Keep::Bound;
            }
            set.add(one);
        }
        Ok(set)
    }

    fn block(&mut self, block: &'a Block, width: f32) -> Result<Set, Error> {
        match block {
            Block::Heading { level, id, text } => self.heading(*level, id, text, width),
            Block::Paragraph(text) => self.paragraph(text, width),
            Block::List(list) => self.list(list, width),
            Block::Table(table) => self.table(table, width),
            Block::DataTable(table) => self.data_table(table, width),
            Block::KeyFacts(facts) => self.key_facts(facts, width),
            Block::Chart(chart) => self.chart(chart, width),
            Block::Caution { kind, blocks } => self.caution(*kind, blocks, width),
            Block::Footnote { .. } => Ok(Set::default()), // after the last block
            Block::Definitions(definitions) => self.definitions(definitions, width),
            Block::BlankField { label, lines } => self.blank_field(label, *lines, width),
            Block::PageBreak => Ok(Set { pieces: vec![Piece { new_page: true, kind: Kind::Other, ..Piece::default() }], nodes: vec![] }),
        }
    }

    fn heading(&mut self, level: u8, id: &str, text: &'a [Inline], width: f32) -> Result<Set, Error> {
        let level = level.clamp(1, 6);
        let (size, before) = match level {
            1 => (16.0, 0.0),
            2 => (13.5, 1.1),
            3 => (11.2, 0.9),
            _ => (10.0, 0.8),
        };
        self.headed = true;
        let styled = self.styled(text, Look::BOLD)?;
        let (mut pieces, nodes) = self.text(&styled, size, 1.25, width, Align::Start);
        for piece in &mut pieces {
            piece.kind = Kind::Heading;
            piece.keep = Keep::Bound;
        }
        let title = plain_text(text);
        if let Some(first) = pieces.first_mut() {
            first.ops.push(Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(id.to_owned()) });
            first.ops.push(Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Outline { level, text: title.clone() } });
        }
        if level == 2
            && let Some(last) = pieces.last_mut()
        {
            last.height += 2.7;
            last.ops.push(rule(0.0, last.height - 0.6, width, 0.6));
        }
        let tag = Tag::Hn(NonZeroU16::new(u16::from(level)).unwrap_or(NonZeroU16::MIN), Some(title));
        let mut set = Set { pieces, nodes: vec![Node::Group(tag.into(), nodes)] };
        set.space(before * size, 0.4 * size);
        Ok(set)
    }

    fn list(&mut self, list: &'a List, width: f32) -> Result<Set, Error> {
        let first = list.first_number;
        let indent = match first {
            Some(first) => (first + list.items.len() as u64).to_string().len() as f32 * 0.556 * self.size + 0.9 * self.size,
            None => 1.5 * self.size,
        };
        let mut set = Set::default();
        let mut items = Vec::new();
        for (at, item) in list.items.iter().enumerate() {
            let mut body = self.blocks(&item.blocks, (width - indent).max(20.0))?;
            body.shift(indent);
            let tight =
                item.blocks.iter().enumerate().all(|(at, block)| matches!((at, block), (0, Block::Paragraph(_)) | (1.., Block::List(_))));
            let count = body.pieces.len();
            for (at, piece) in body.pieces.iter_mut().enumerate() {
                if tight || at + 1 == count {
                    piece.after = piece.after.min(0.15 * self.size);
                }
            }
            if body.pieces.is_empty() {
                body.pieces.push(Piece { height: self.size * LEADING, ..Piece::default() });
            }
            let mut label = Vec::new();
            if let (Some(ticked), Some(first)) = (item.mark, body.pieces.first_mut()) {
                let leaf = self.leaf();
                let wording = &self.options.wording;
                let alt = if ticked { wording.ticked.clone() } else { wording.open.clone() };
                let size = 0.85 * self.size;
                first.ops.insert(
                    0,
                    Op { x: 0.5, y: (self.size * LEADING - size) / 2.0, mark: Mark::Leaf(leaf), what: What::TickBox { size, ticked, alt } },
                );
                label.push(Node::Leaf(leaf));
                body.bind(Keep::Whole);
            } else {
                let text = first.map_or_else(|| "•".to_owned(), |first| format!("{}.", first + at as u64));
                let mut styled = Styled::default();
                self.push_own(&mut styled, &text, Look::PLAIN)?;
                let right = indent - 0.5 * self.size;
                let lines = shape(&mut self.faces, &styled, self.size, LEADING).lines(right, Align::End);
                if let (Some(line), Some(first)) = (lines.first(), body.pieces.first_mut()) {
                    let mut ops = Vec::new();
                    self.line(line, &[], &text, 0.0, &mut ops, &mut label);
                    ops.append(&mut first.ops);
                    first.ops = ops;
                }
            }
            items.push(Node::Group(
                Tag::LI.into(),
                vec![Node::Group(Tag::Lbl.into(), label), Node::Group(Tag::LBody.into(), std::mem::take(&mut body.nodes))],
            ));
            set.pieces.append(&mut body.pieces);
        }
        let numbering = match first {
            Some(_) => ListNumbering::Decimal,
            None if list.is_checklist() => ListNumbering::None,
            None => ListNumbering::Disc,
        };
        set.nodes.push(Node::Group(Tag::L(numbering).into(), items));
        set.space(0.0, GAP);
        Ok(set)
    }

    fn caution(&mut self, kind: CautionKind, blocks: &'a [Block], width: f32) -> Result<Set, Error> {
        let wording = &self.options.wording;
        let (head, bar, thin) = match kind {
            CautionKind::Note => (&wording.kind_note, 3.0, 0.6),
            CautionKind::Tip => (&wording.kind_tip, 3.0, 0.6),
            CautionKind::Important => (&wording.kind_important, 3.0, 0.6),
            CautionKind::Warning => (&wording.kind_warning, 7.0, 0.6),
            CautionKind::Caution => (&wording.kind_caution, 7.0, 2.0),
        };
        let (pad_x, pad_y) = (9.0, 5.5);
        let inner = (width - bar - thin - 2.0 * pad_x).max(40.0);
        // The kind runs into the first paragraph.
        let mut styled = Styled::default();
        self.push_own(&mut styled, head, Look::BOLD)?;
        let rest = if let [Block::Paragraph(text), rest @ ..] = blocks {
            self.push_own(&mut styled, "  ", Look::PLAIN)?;
            self.push_inlines(&mut styled, text, Look::PLAIN)?;
            rest
        } else {
            blocks
        };
        let (pieces, nodes) = self.text(&styled, self.size, LEADING, inner, Align::Start);
        let mut set = Set { pieces, nodes: vec![Node::Group(Tag::P.into(), nodes)] };
        set.space(0.0, GAP);
        set.add(self.blocks(rest, inner)?);
        set.pieces.retain(|piece| !piece.new_page);
        set.shift(bar + pad_x);
        let count = set.pieces.len();
        let mut after = 0.0_f32;
        for (at, piece) in set.pieces.iter_mut().enumerate() {
            let space = if at == 0 { pad_y } else { after.max(piece.before) };
            after = piece.after;
            piece.take_space(space);
            if at + 1 == count {
                piece.height += pad_y;
            }
            let height = piece.height;
            let mut frame = vec![bar_at(0.0, 0.0, bar, height), bar_at(width - thin, 0.0, thin, height)];
            if at == 0 {
                frame.push(bar_at(0.0, 0.0, width, thin));
            }
            if at + 1 == count {
                frame.push(bar_at(0.0, height - thin, width, thin));
            }
            frame.append(&mut piece.ops);
            piece.ops = frame;
        }
        set.bind(Keep::Whole);
        set.space(GAP, GAP * 1.2);
        set.nodes = vec![Node::Group(Tag::Div.into(), set.nodes)];
        Ok(set)
    }

    /// The footnotes that were referred to, after the last block; a note may refer to another one.
    fn footnotes(&mut self, width: f32) -> Result<Set, Error> {
        let mut set = Set::default();
        if self.met.is_empty() {
            return Ok(set);
        }
        self.size = SMALL;
        let head = self.options.wording.notes.clone();
        let mut styled = Styled::default();
        self.push_own(&mut styled, &head, Look::BOLD)?;
        let (mut pieces, nodes) = self.text(&styled, 11.2, 1.25, width, Align::Start);
        for piece in &mut pieces {
            piece.kind = Kind::Heading;
            piece.keep = Keep::Bound;
        }
        let level = if self.headed { 2 } else { 1 };
        if let Some(first) = pieces.first_mut() {
            first.ops.push(Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Outline { level, text: head.clone() } });
        }
        let tag = Tag::Hn(NonZeroU16::new(u16::from(level)).unwrap_or(NonZeroU16::MIN), Some(head));
        let mut heading = Set { pieces, nodes: vec![Node::Group(tag.into(), nodes)] };
        heading.space(12.0, 4.0);
        set.add(heading);
        let indent = 2.0 * SMALL;
        let mut at = 0;
        while let Some(name) = self.met.get(at).copied() {
            let number = at + 1;
            let blocks = self.notes.get(name).copied().unwrap_or_default();
            let mut body = self.blocks(blocks, width - indent)?;
            body.shift(indent);
            if body.pieces.is_empty() {
                body.pieces.push(Piece { height: SMALL * LEADING, ..Piece::default() });
            }
            let mut label = Styled::default();
            self.push_own(&mut label, &format!("{number}."), Look::PLAIN)?;
            let lines = shape(&mut self.faces, &label, SMALL, LEADING).lines(indent - 4.0, Align::End);
            let mut nodes = Vec::new();
            if let (Some(line), Some(first)) = (lines.first(), body.pieces.first_mut()) {
                let mut ops = vec![Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(format!("_note-{number}")) }];
                self.line(line, &[], &label.text, 0.0, &mut ops, &mut nodes);
                ops.append(&mut first.ops);
                first.ops = ops;
            }
            let mut inside = vec![Node::Group(Tag::Lbl.into(), nodes)];
            inside.append(&mut body.nodes);
            let id = TagId::from(format!("note-{number}").into_bytes());
            set.nodes.push(Node::Group(Tag::Note.with_id(Some(id)).into(), inside));
            set.pieces.append(&mut body.pieces);
            at += 1;
        }
        self.size = BODY;
        Ok(set)
    }
}

/// Whether the paragraph at `at` leads from a heading, at most one paragraph away, to a chart or a table.
fn leads_in(blocks: &[Block], at: usize) -> bool {
    let paragraph = |at: usize| matches!(blocks.get(at), Some(Block::Paragraph(_)));
    let heading = |at: Option<usize>| at.is_some_and(|at| matches!(blocks.get(at), Some(Block::Heading { .. })));
    let wide = |at: usize| matches!(blocks.get(at), Some(Block::Chart(_) | Block::Table(_) | Block::DataTable(_)));
    if !paragraph(at) {
        return false;
    }
    let second = at > 0 && paragraph(at - 1) && heading(at.checked_sub(2));
    (heading(at.checked_sub(1)) && (wide(at + 1) || (paragraph(at + 1) && wide(at + 2)))) || (second && wide(at + 1))
}

/// A thin rule.
pub(super) fn rule(x: f32, y: f32, width: f32, height: f32) -> Op {
    Op { x, y, mark: Mark::Decoration, what: What::Rectangle { width, height, colour: super::piece::LINE } }
}

/// A bar in ink.
pub(super) fn bar_at(x: f32, y: f32, width: f32, height: f32) -> Op {
    Op { x, y, mark: Mark::Decoration, what: What::Rectangle { width, height, colour: INK } }
}
