//! What all blocks are set with: the faces, the leaves of the tag tree, the names of places, and the ways from styled text
//! to lines and from lines to pieces.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use krilla::tagging::Tag;

use super::PdfOptions;
use super::faces::Faces;
use super::flow;
use super::inlines::{Look, Source};
use super::piece::{INK, Keep, LINE, Mark, Node, Op, Piece, What};
use super::text::{Line, Link, Placed, Role, Styled, shape};
use crate::document::{Align, Block, Document, Inline};
use crate::error::Error;
use crate::escape;

/// Type sizes in points; they are those of the printed HTML page.
pub(super) const BODY: f32 = 9.6;
pub(super) const SMALL: f32 = 8.8;
/// Distances of lines, as multiples of the face's own: running text, captions and table cells, headings and large numbers.
pub(super) const LEADING: f32 = 1.18;
pub(super) const CLOSE: f32 = 1.1;
/// Space between blocks.
pub(super) const GAP: f32 = 0.65 * BODY;

pub(super) struct Setter<'a> {
    pub(super) faces: Faces,
    pub(super) options: &'a PdfOptions<'a>,
    pub(super) leaves: usize,
    pub(super) nodes: Vec<Node>,
    pub(super) missing: Missing,
    /// Size of the text that is being set.
    pub(super) size: f32,
    /// Level of the last heading; 0 before the first.
    pub(super) level: u8,
    pub(super) notes: BTreeMap<&'a str, &'a [Block]>,
    /// Footnotes in the order of their first reference, with the count of references.
    pub(super) met: Vec<(&'a str, usize)>,
    /// Ids and texts of the sections, for the list of contents.
    pub(super) sections: Vec<(&'a str, &'a [Inline])>,
    anchors: BTreeSet<String>,
}

/// Characters that the faces have no glyph for, by whose text they stood in.
#[derive(Debug, Default)]
pub(super) struct Missing {
    pub(super) own: BTreeSet<char>,
    pub(super) outside: BTreeSet<char>,
}

impl<'a> Setter<'a> {
    pub(super) fn new(document: &'a Document, options: &'a PdfOptions<'a>) -> Result<Self, Error> {
        let mut setter = Setter {
            faces: Faces::new(&options.fonts)?,
            options,
            leaves: 0,
            nodes: Vec::new(),
            missing: Missing::default(),
            size: BODY,
            level: 0,
            notes: BTreeMap::new(),
            met: Vec::new(),
            sections: Vec::new(),
            anchors: BTreeSet::new(),
        };
        setter.collect(&document.blocks);
        Ok(setter)
    }

    fn collect(&mut self, blocks: &'a [Block]) {
        for block in blocks {
            match block {
                Block::Heading { id, level, text } => {
                    self.anchors.insert(id.clone());
                    if *level == 2 {
                        self.sections.push((id, text));
                    }
                }
                Block::Drawing(drawing) => {
                    self.anchors.insert(format!("drawing-{}", escape::id(&drawing.id)));
                }
                Block::DottedGrid(grid) => {
                    self.anchors.insert(format!("grid-{}", escape::id(&grid.id)));
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

    pub(super) fn leaf(&mut self) -> usize {
        self.leaves += 1;
        self.leaves - 1
    }

    pub(super) fn line_height(&self, size: f32, leading: f32) -> f32 {
        size * self.faces.metrics.line * leading
    }

    /// Draws one line, its top at `y`. What stands in one link is one `Link` with one area.
    pub(super) fn line(&mut self, line: &Line, styled: &Styled, y: f32, ops: &mut Vec<Op>, nodes: &mut Vec<Node>) {
        for stretch in line.segments.chunk_by(|one, next| one.link == next.link) {
            let mut inside = Vec::new();
            for same in stretch.chunk_by(|one, next| one.role == next.role) {
                let mut leaves = Vec::with_capacity(same.len());
                for placed in same {
                    let leaf = self.leaf();
                    let what = What::Text { segment: Rc::clone(&placed.segment), alt: placed.alt.clone() };
                    ops.push(Op { x: placed.x, y: y + line.baseline, mark: Mark::Leaf(leaf), what });
                    leaves.push(Node::Leaf(leaf));
                }
                inside.append(&mut in_role(same[0].role, leaves));
            }
            let link = stretch[0].link.and_then(|link| styled.links.get(link)).filter(|link| self.leads_somewhere(&link.target));
            match link {
                Some(link) => nodes.push(self.area(link, stretch, styled, (y, line.height), inside, ops)),
                None => nodes.append(&mut inside),
            }
        }
    }

    /// Draws a line that stands outside the tag tree.
    pub(super) fn drawn(line: &Line, mark: Mark, x: f32, y: f32, ops: &mut Vec<Op>) {
        for placed in &line.segments {
            let what = What::Text { segment: Rc::clone(&placed.segment), alt: None };
            ops.push(Op { x: x + placed.x, y: y + line.baseline, mark, what });
        }
    }

    /// One line of a text that is cut, with an ellipsis, where it is wider than its place; `tail` is always shown.
    pub(super) fn shortened(&mut self, text: &str, tail: &str, look: Look, size: f32, width: f32) -> Line {
        let characters: Vec<char> = text.chars().take(400).collect();
        let set = |setter: &mut Self, count: usize| {
            let cut: String = characters[..count].iter().collect();
            let ellipsis = if count < characters.len() { "…" } else { "" };
            let mut styled = setter.styled_text(cut.trim_end(), look, Source::Outside);
            setter.push(&mut styled, ellipsis, look, Source::Own);
            setter.push(&mut styled, tail, look, Source::Own);
            shape(&mut setter.faces, &styled, size, CLOSE)
        };
        // The most characters that fit.
        let (mut fits, mut over) = (0, characters.len() + 1);
        let mut at = characters.len();
        while fits + 1 < over {
            if set(self, at).widths().1 <= width {
                fits = at;
            } else {
                over = at;
            }
            at = usize::midpoint(fits, over);
        }
        let lines = set(self, fits).lines(f32::MAX, Align::Start);
        lines.into_iter().next().unwrap_or_else(|| Line { height: self.line_height(size, CLOSE), baseline: 0.0, segments: Vec::new() })
    }

    /// The area of a link around what stands in it.
    fn area(
        &mut self,
        link: &Link,
        stretch: &[Placed],
        styled: &Styled,
        (y, height): (f32, f32),
        mut inside: Vec<Node>,
        ops: &mut Vec<Op>,
    ) -> Node {
        let leaf = self.leaf();
        let x = stretch[0].x;
        let right = stretch.iter().fold(x, |right, placed| right.max(placed.x + placed.segment.width));
        let shown: String = stretch.iter().filter_map(|placed| styled.text.get(placed.range.clone())).collect();
        let alt = link.alt.clone().unwrap_or_else(|| shown.trim().to_owned());
        if let Some(anchor) = &link.anchor {
            ops.push(Op { x, y, mark: Mark::Decoration, what: What::Anchor(anchor.clone()) });
        }
        let what = What::Link { width: right - x, height, target: link.target.clone(), alt };
        ops.push(Op { x, y, mark: Mark::Leaf(leaf), what });
        inside.push(Node::Leaf(leaf));
        let node = Node::Group(Tag::Link.into(), inside);
        if link.reference { Node::Group(Tag::Reference.into(), vec![node]) } else { node }
    }

    fn leads_somewhere(&self, target: &str) -> bool {
        match target.strip_prefix('#') {
            Some(id) => id.starts_with('_') || self.anchors.contains(id),
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
            self.line(line, styled, 0.0, &mut piece.ops, &mut nodes);
            if at + 1 < count && (at == 0 || at + 2 == count) {
                piece.keep = Keep::Bound;
            }
            pieces.push(piece);
        }
        (pieces, nodes)
    }

    /// One piece out of lines set below each other; used for captions.
    pub(super) fn caption(&mut self, styled: &Styled, size: f32, width: f32) -> (Piece, Vec<Node>) {
        let (pieces, nodes) = self.text(styled, size, LEADING, width, Align::Start);
        let mut whole = Piece::default();
        for mut piece in pieces {
            piece.shift(0.0, whole.height);
            whole.height += piece.height;
            whole.ops.append(&mut piece.ops);
        }
        (whole, nodes)
    }
}

/// Leaves inside the tags of their role. `Strong` and `Em` are not of PDF 1.7: the writer maps them to `Span` there.
fn in_role(role: Role, leaves: Vec<Node>) -> Vec<Node> {
    let mut nodes = leaves;
    if role.code {
        nodes = vec![Node::Group(Tag::Code.into(), nodes)];
    }
    if role.emphasis {
        nodes = vec![Node::Group(Tag::Em.into(), nodes)];
    }
    if role.strong {
        nodes = vec![Node::Group(Tag::Strong.into(), nodes)];
    }
    nodes
}

/// A thin rule.
pub(super) fn rule(x: f32, y: f32, width: f32, height: f32) -> Op {
    Op { x, y, mark: Mark::Decoration, what: What::Rectangle { width, height, colour: LINE } }
}

/// A bar in ink.
pub(super) fn bar_at(x: f32, y: f32, width: f32, height: f32) -> Op {
    Op { x, y, mark: Mark::Decoration, what: What::Rectangle { width, height, colour: INK } }
}
