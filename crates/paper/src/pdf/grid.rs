//! What stands side by side: key facts in three columns, definitions in two, fields with their writing lines.

use std::rc::Rc;

use krilla::tagging::{ListNumbering, Tag};

use super::MM;
use super::blocks::{BODY, GAP, LEADING, SMALL, Setter, bar_at};
use super::flow;
use super::inlines::Look;
use super::piece::{Keep, Kind, LINE, Mark, Node, Op, Piece, QUIET, STRONG_LINE, Set, What};
use super::text::{Styled, shape};
use crate::document::{Align, Definition, Inline, KeyFact};
use crate::error::Error;

/// Below this width there is one column.
const TWO_COLUMNS: f32 = 120.0 * MM;

impl<'a> Setter<'a> {
    pub(super) fn key_facts(&mut self, facts: &'a [KeyFact], width: f32) -> Result<Set, Error> {
        let gap = 3.0 * MM;
        let cell = (width - 2.0 * gap) / 3.0;
        let (pad_x, pad_y) = (6.0, 5.0);
        let inner = cell - 2.0 * pad_x;
        let mut set = Set::default();
        let mut items = Vec::new();
        for row in facts.chunks(3) {
            let mut piece = Piece { kind: Kind::Other, after: gap, before: gap, ..Piece::default() };
            let mut tallest = 0.0_f32;
            for (at, fact) in row.iter().enumerate() {
                let x = at as f32 * (cell + gap);
                let mut y = pad_y + 2.0;
                let mut label = Styled::default();
                self.push_own(&mut label, &fact.label, Look::PLAIN.coloured(QUIET))?;
                let mut value = Styled::default();
                self.push_slot(&mut value, &fact.value, Look::BOLD)?;
                value.spans.iter_mut().for_each(|span| span.unbroken = false);
                let note = self.styled(&fact.note, Look::PLAIN.coloured(QUIET))?;
                let mut nodes = Vec::new();
                let mut said = Vec::new();
                for (styled, size, leading) in [(&label, SMALL, 1.35), (&value, 14.4, 1.3), (&note, SMALL, 1.35)] {
                    let lines = shape(&mut self.faces, styled, size, leading).lines(inner, Align::Start);
                    let mut ops = Vec::new();
                    let mut leaves = Vec::new();
                    for line in &lines {
                        self.line(line, &styled.links, &styled.text, y, &mut ops, &mut leaves);
                        y += line.height;
                    }
                    for mut op in ops {
                        op.x += x + pad_x;
                        piece.ops.push(op);
                    }
                    said.push(leaves);
                }
                let mut said = said.into_iter();
                nodes.push(Node::Group(Tag::Lbl.into(), said.next().unwrap_or_default()));
                let body = said.map(|leaves| Node::Group(Tag::P.into(), leaves)).collect();
                nodes.push(Node::Group(Tag::LBody.into(), body));
                items.push(Node::Group(Tag::LI.into(), nodes));
                tallest = tallest.max(y + pad_y);
            }
            piece.height = tallest;
            for at in 0..row.len() {
                let x = at as f32 * (cell + gap);
                let mut frame = |x: f32, y: f32, width: f32, height: f32, colour| {
                    piece.ops.insert(0, Op { x, y, mark: Mark::Decoration, what: What::Rectangle { width, height, colour } });
                };
                frame(x, 0.0, 0.6, tallest, LINE);
                frame(x + cell - 0.6, 0.0, 0.6, tallest, LINE);
                frame(x, tallest - 0.6, cell, 0.6, LINE);
                frame(x, 0.0, cell, 2.0, STRONG_LINE);
            }
            set.pieces.push(piece);
        }
        set.nodes.push(Node::Group(Tag::L(ListNumbering::None).into(), items));
        set.bind(Keep::Whole);
        set.space(GAP, GAP * 1.3);
        Ok(set)
    }

    pub(super) fn definitions(&mut self, definitions: &'a [Definition], width: f32) -> Result<Set, Error> {
        let gap = 8.0 * MM;
        let two = width >= TWO_COLUMNS && definitions.len() > 1;
        let column = if two { (width - gap) / 2.0 } else { width };
        let outer = self.size;
        self.size = 8.0;
        let mut items = Vec::new();
        let mut pieces: Vec<Piece> = Vec::new();
        for definition in definitions {
            let term = self.styled(&definition.term, Look::BOLD)?;
            let (mut set, nodes) = self.text(&term, self.size, 1.35, column, Align::Start);
            let mut meaning = Set::default();
            for blocks in &definition.meanings {
                meaning.add(self.blocks(blocks, column)?);
            }
            let bound = meaning.pieces.len().saturating_sub(1);
            meaning.pieces[..bound].iter_mut().for_each(|piece| piece.after = piece.after.min(2.0));
            if let Some(last) = meaning.pieces.last_mut() {
                last.after = 4.0;
            }
            // A term stays with its meaning, and a short meaning is one.
            let short = flow::stacked(&meaning.pieces) < 20.0 * self.size;
            for piece in &mut set {
                piece.keep = Keep::Bound;
            }
            if short {
                meaning.bind(Keep::Bound);
            }
            set.append(&mut meaning.pieces);
            pieces.append(&mut set);
            items.push(Node::Group(
                Tag::LI.into(),
                vec![Node::Group(Tag::Lbl.into(), nodes), Node::Group(Tag::LBody.into(), meaning.nodes)],
            ));
        }
        self.size = outer;
        pieces.retain(|piece| !piece.new_page);
        let nodes = vec![Node::Group(Tag::L(ListNumbering::None).into(), items)];
        if pieces.is_empty() {
            return Ok(Set { pieces, nodes });
        }
        let mut set = Set { pieces, nodes };
        if two {
            let first = set.pieces.iter().position(|piece| piece.keep == Keep::Free).map_or(set.pieces.len(), |at| at + 1);
            let height = flow::stacked(&set.pieces[..first]);
            let inner = std::mem::take(&mut set.pieces);
            set.pieces.push(Piece { kind: Kind::Other, height, columns: Some((inner, column + gap)), ..Piece::default() });
        }
        set.space(0.0, GAP);
        Ok(set)
    }

    pub(super) fn blank_field(&mut self, label: &'a [Inline], lines: u8, width: f32) -> Result<Set, Error> {
        let (pitch, top) = (9.0 * MM, 4.0 * MM);
        let styled = self.styled(label, Look::PLAIN)?;
        let mut shaped = shape(&mut self.faces, &styled, self.size, LEADING);
        let room = shaped.widths().1.min(width * 0.45).max(1.0);
        let set = shaped.lines(room, Align::Start);
        let mut piece = Piece { kind: Kind::Other, ..Piece::default() };
        let mut nodes = Vec::new();
        let mut y = top;
        for line in &set {
            self.line(line, &styled.links, &styled.text, y, &mut piece.ops, &mut nodes);
            y += line.height;
        }
        let start = room + 0.8 * BODY;
        let lines = lines.clamp(1, 20);
        for at in 1..=lines {
            piece.ops.push(bar_at(start, f32::from(at) * pitch - 0.6, (width - start).max(20.0), 0.6));
        }
        piece.height = y.max(f32::from(lines) * pitch);
        piece.after = GAP;
        Ok(Set { pieces: vec![piece], nodes: vec![Node::Group(Tag::P.into(), nodes)] })
    }

    /// One piece out of lines set below each other; used for captions.
    pub(super) fn caption(&mut self, styled: &Styled, size: f32, width: f32) -> (Piece, Vec<Node>) {
        let (pieces, nodes) = self.text(styled, size, 1.4, width, Align::Start);
        let mut whole = Piece::default();
        for mut piece in pieces {
            piece.shift(0.0, whole.height);
            whole.height += piece.height;
            whole.ops.append(&mut piece.ops);
        }
        (whole, nodes)
    }

    /// The same piece, to be drawn again as decoration.
    pub(super) fn again(piece: &Piece) -> Rc<Piece> {
        let mut again = piece.clone();
        again.ops.retain(|op| !matches!(op.what, What::Link { .. } | What::Anchor(_) | What::Outline { .. }));
        Rc::new(again)
    }
}
