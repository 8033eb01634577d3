//! Footnotes: numbered by their first reference, set after the last block, with links there and back.

use std::num::NonZeroU16;

use krilla::tagging::{Tag, TagId};

use super::inlines::{Look, Source};
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, Set, What};
use super::setter::{BODY, CLOSE, LEADING, SMALL, Setter};
use super::text::{Link, Styled, shape};
use crate::document::Align;
use crate::error::Error;

/// Leads back from a note to the text.
const BACK: &str = "↑";

impl Setter<'_> {
    /// A raised number that leads to its note; a name without a note prints nothing.
    pub(super) fn note_reference(&mut self, out: &mut Styled, name: &str, look: Look) {
        let Some((name, _)) = self.notes.get_key_value(name) else { return };
        let at = self.met.iter().position(|(met, _)| met == name).unwrap_or_else(|| {
            self.met.push((name, 0));
            self.met.len() - 1
        });
        self.met[at].1 += 1;
        let (number, count) = (at + 1, self.met[at].1);
        out.links.push(Link {
            target: format!("#_note-{number}"),
            alt: Some(format!("{} {number}", self.options.wording.note)),
            anchor: Some(format!("_ref-{number}-{count}")),
            reference: true,
        });
        let look = Look { scale: 0.7, raise: 0.33, ..look }.linked(out);
        self.push(out, &number.to_string(), look, Source::Own);
    }

    /// The footnotes that were referred to, after the last block; a note may refer to another one.
    pub(super) fn footnotes(&mut self, width: f32) -> Result<Set, Error> {
        let mut set = Set::default();
        if self.met.is_empty() {
            return Ok(set);
        }
        self.size = SMALL;
        set.add(self.notes_head(width));
        let indent = 2.0 * SMALL;
        let mut at = 0;
        while let Some((name, _)) = self.met.get(at).copied() {
            let number = at + 1;
            let blocks = self.notes.get(name).copied().unwrap_or_default();
            let mut body = self.blocks(blocks, width - indent)?;
            self.back_links(at, width - indent, &mut body);
            body.shift(indent);
            let label = self.styled_text(&format!("{number}."), Look::PLAIN, Source::Own);
            let lines = shape(&mut self.faces, &label, SMALL, LEADING).lines(indent - 4.0, Align::End);
            let mut nodes = Vec::new();
            if let (Some(line), Some(first)) = (lines.first(), body.pieces.first_mut()) {
                let mut ops = vec![Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(format!("_note-{number}")) }];
                self.line(line, &label, 0.0, &mut ops, &mut nodes);
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

    fn notes_head(&mut self, width: f32) -> Set {
        let head = self.options.wording.notes.clone();
        let styled = self.styled_text(&head, Look::BOLD, Source::Own);
        let (mut pieces, nodes) = self.text(&styled, 11.2, CLOSE, width, Align::Start);
        for piece in &mut pieces {
            piece.kind = Kind::Heading;
            piece.keep = Keep::Bound;
        }
        let level = if self.level > 0 { 2 } else { 1 };
        if let Some(first) = pieces.first_mut() {
            first.ops.push(Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Outline { level, text: head.clone() } });
        }
        let tag = Tag::Hn(NonZeroU16::new(u16::from(level)).unwrap_or(NonZeroU16::MIN), Some(head));
        let mut set = Set { pieces, nodes: vec![Node::Group(tag.into(), nodes)] };
        set.space(12.0, 4.0);
        set
    }

    /// Links from a note back to each place that refers to it, at the end of its last line where there is room.
    fn back_links(&mut self, at: usize, width: f32, body: &mut Set) {
        let (number, count) = (at + 1, self.met[at].1);
        let mut styled = Styled::default();
        for back in 1..=count {
            if back > 1 {
                self.push(&mut styled, " ", Look::PLAIN, Source::Own);
            }
            styled.links.push(Link {
                target: format!("#_ref-{number}-{back}"),
                alt: Some(format!("{} ({number}.{back})", self.options.wording.back)),
                ..Link::default()
            });
            let look = Look::PLAIN.linked(&styled);
            self.push(&mut styled, BACK, look, Source::Own);
        }
        let lines = shape(&mut self.faces, &styled, SMALL, LEADING).lines(width, Align::Start);
        let mut nodes = Vec::new();
        for (down, line) in lines.iter().enumerate() {
            let wide = line.width();
            let taken = body.pieces.last().map_or(width, Piece::right);
            let beside = down == 0 && lines.len() == 1 && taken + SMALL + wide <= width;
            let mut ops = Vec::new();
            self.line(line, &styled, 0.0, &mut ops, &mut nodes);
            match body.pieces.last_mut() {
                Some(last) if beside => {
                    for mut op in ops {
                        op.x += taken + 0.6 * SMALL;
                        op.y += last.height - line.height;
                        last.ops.push(op);
                    }
                }
                last => {
                    if let Some(last) = last {
                        last.after = 0.0;
                        last.keep = Keep::Bound;
                    }
                    body.pieces.push(Piece { height: line.height, after: 4.0, ops, ..Piece::default() });
                }
            }
        }
        body.nodes.push(Node::Group(Tag::P.into(), nodes));
    }
}
