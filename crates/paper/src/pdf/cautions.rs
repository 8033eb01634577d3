//! Cautions: a frame with a bar at its left, thicker the graver it is, so that it is told apart in grey too.

use krilla::tagging::Tag;

use super::inlines::{Look, Source};
use super::piece::{Keep, Node, Set};
use super::setter::{GAP, LEADING, Setter, bar_at};
use crate::document::{Align, Block, CautionKind};
use crate::error::Error;

impl<'a> Setter<'a> {
    pub(super) fn caution(&mut self, kind: CautionKind, blocks: &'a [Block], width: f32) -> Result<Set, Error> {
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
        let mut styled = self.styled_text(head, Look::BOLD, Source::Own);
        let rest = if let [Block::Paragraph(text), rest @ ..] = blocks {
            self.push(&mut styled, "  ", Look::PLAIN, Source::Own);
            self.push_inlines(&mut styled, text, Look::PLAIN);
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
}
