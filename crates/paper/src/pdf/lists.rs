//! Lists: bullets, numbers, and checklists whose boxes are the labels of their items.

use krilla::tagging::{ListNumbering, Tag};

use super::inlines::{Look, Source};
use super::piece::{Keep, Mark, Node, Op, Piece, Set, What};
use super::setter::{GAP, LEADING, Setter};
use super::text::shape;
use crate::document::{Align, Block, List};
use crate::error::Error;

/// Lists in lists are indented while this much is left for their text.
const LEAST_WIDTH: f32 = 90.0;

impl<'a> Setter<'a> {
    pub(super) fn list(&mut self, list: &'a List, width: f32) -> Result<Set, Error> {
        let first = list.first_number;
        let indent = match first {
            Some(first) => (first + list.items.len() as u64).to_string().len() as f32 * 0.556 * self.size + 0.9 * self.size,
            None => 1.5 * self.size,
        };
        let indent = if width - indent < LEAST_WIDTH { indent.min(width - LEAST_WIDTH).max(0.0) } else { indent };
        let line_height = self.line_height(self.size, LEADING);
        let mut set = Set::default();
        let mut items = Vec::new();
        for (at, item) in list.items.iter().enumerate() {
            let mut body = self.blocks(&item.blocks, width - indent)?;
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
                body.pieces.push(Piece { height: line_height, ..Piece::default() });
            }
            let mut label = Vec::new();
            if let (Some(ticked), Some(first)) = (item.mark, body.pieces.first_mut()) {
                let leaf = self.leaf();
                let wording = &self.options.wording;
                let alt = if ticked { wording.ticked.clone() } else { wording.open.clone() };
                let size = 0.85 * self.size;
                first.ops.insert(
                    0,
                    Op { x: 0.5, y: (line_height - size) / 2.0, mark: Mark::Leaf(leaf), what: What::TickBox { size, ticked, alt } },
                );
                label.push(Node::Leaf(leaf));
                body.bind(Keep::Whole);
            } else {
                let text = first.map_or_else(|| "•".to_owned(), |first| format!("{}.", first + at as u64));
                let styled = self.styled_text(&text, Look::PLAIN, Source::Own);
                let right = indent - 0.5 * self.size;
                let lines = shape(&mut self.faces, &styled, self.size, LEADING).lines(right, Align::End);
                if let (Some(line), Some(first)) = (lines.first(), body.pieces.first_mut()) {
                    let mut ops = Vec::new();
                    self.line(line, &styled, 0.0, &mut ops, &mut label);
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
}
