//! Key facts: boxes side by side, two or three in a row.

use krilla::tagging::{ListNumbering, Tag};

use super::MM;
use super::inlines::Look;
use super::piece::{Keep, Kind, LINE, Mark, Node, Op, Piece, QUIET, STRONG_LINE, Set, What};
use super::setter::{CLOSE, GAP, LEADING, SMALL, Setter};
use super::text::{Styled, shape};
use crate::document::{Align, KeyFact};

impl<'a> Setter<'a> {
    pub(super) fn key_facts(&mut self, facts: &'a [KeyFact], width: f32) -> Set {
        let gap = 3.0 * MM;
        let across = if matches!(facts.len(), 1 | 2 | 4) { 2 } else { 3 };
        let cell = (width - gap * (across - 1) as f32) / across as f32;
        let (pad_x, pad_y) = (6.0, 5.0);
        let inner = cell - 2.0 * pad_x;
        let mut set = Set::default();
        let mut items = Vec::new();
        for row in facts.chunks(across) {
            let mut piece = Piece { kind: Kind::Other, after: gap, before: gap, ..Piece::default() };
            let mut tallest = 0.0_f32;
            for (at, fact) in row.iter().enumerate() {
                let x = at as f32 * (cell + gap);
                let mut y = pad_y + 2.0;
                let label = self.styled(&fact.label, Look::PLAIN.coloured(QUIET));
                let mut value = Styled::default();
                self.push_slot(&mut value, &fact.value, Look::BOLD);
                value.spans.iter_mut().for_each(|span| span.unbroken = false);
                let note = self.styled(&fact.note, Look::PLAIN.coloured(QUIET));
                let mut nodes = Vec::new();
                let mut said = Vec::new();
                for (styled, size, leading) in [(&label, SMALL, LEADING), (&value, 14.4, CLOSE), (&note, SMALL, LEADING)] {
                    let lines = shape(&mut self.faces, styled, size, leading).lines(inner, Align::Start);
                    let mut ops = Vec::new();
                    let mut leaves = Vec::new();
                    for line in &lines {
                        self.line(line, styled, y, &mut ops, &mut leaves);
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
        set
    }
}
