//! Form fields to be filled in by hand. A printed blank is a paragraph with the label's text; its writing lines are
//! decoration. The tag `Form` is for widget annotations (ISO 32000-1, 14.8.4.5; ISO 14289-1, 7.18.4), and there is none.

use krilla::tagging::Tag;

use super::MM;
use super::inlines::Look;
use super::piece::{Kind, Node, Piece, Set};
use super::setter::{BODY, GAP, LEADING, Setter, bar_at};
use super::text::shape;
use crate::document::{Align, Inline};

impl<'a> Setter<'a> {
    pub(super) fn blank_field(&mut self, label: &'a [Inline], lines: u8, width: f32) -> Set {
        let (pitch, top) = (9.0 * MM, 4.0 * MM);
        let styled = self.styled(label, Look::PLAIN);
        let mut shaped = shape(&mut self.faces, &styled, self.size, LEADING);
        let room = shaped.widths().1.min(width * 0.45).max(1.0);
        let set = shaped.lines(room, Align::Start);
        let mut piece = Piece { kind: Kind::Other, ..Piece::default() };
        let mut nodes = Vec::new();
        let mut y = top;
        for line in &set {
            self.line(line, &styled, y, &mut piece.ops, &mut nodes);
            y += line.height;
        }
        let start = room + 0.8 * BODY;
        let lines = lines.clamp(1, 20);
        for at in 1..=lines {
            piece.ops.push(bar_at(start, f32::from(at) * pitch - 0.6, (width - start).max(20.0), 0.6));
        }
        piece.height = y.max(f32::from(lines) * pitch);
        piece.after = GAP;
        Set { pieces: vec![piece], nodes: vec![Node::Group(Tag::P.into(), nodes)] }
    }
}
