//! Drawings at true size: a millimetre of the drawing is a millimetre on the sheet, whatever the width of the text.

use krilla::tagging::Tag;

use super::MM;
use super::inlines::{Look, Source};
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, QUIET, Set, What};
use super::setter::{GAP, SMALL, Setter};
use crate::document::Inline;
use crate::drawing::SizedDrawing;
use crate::error::Error;
use crate::escape;

impl<'a> Setter<'a> {
    pub(super) fn sized(&mut self, kind: &str, drawing: &SizedDrawing, words: &'a [Inline], width: f32) -> Result<Set, Error> {
        let mut styled = self.styled_text(&drawing.title, Look::BOLD, Source::Outside);
        if !words.is_empty() {
            self.push(&mut styled, " ", Look::PLAIN, Source::Own);
            self.push_inlines(&mut styled, words, Look::PLAIN.coloured(QUIET));
        }
        let (mut caption, caption_nodes) = self.caption(&styled, SMALL, width);
        caption.before = 3.0;
        caption.after = GAP * 1.2;

        let tree = self.read(&drawing.id, &drawing.svg)?;
        let (wide, high) = (drawing.width_mm as f32 * MM, drawing.height_mm as f32 * MM);
        let leaf = self.leaf();
        let ops = vec![
            Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(format!("{kind}-{}", escape::id(&drawing.id))) },
            Op { x: 0.0, y: 0.0, mark: Mark::Leaf(leaf), what: What::Chart { width: wide, height: high, tree: tree.into() } },
        ];
        let piece = Piece { kind: Kind::Other, height: high, before: GAP, keep: Keep::Bound, ops, ..Piece::default() };
        let alt = match (drawing.title.trim(), drawing.description.trim()) {
            ("", "") => drawing.id.clone(),
            ("", only) | (only, "") => only.to_owned(),
            (title, description) => format!("{}. {description}", title.trim_end_matches('.')),
        };
        Ok(Set {
            pieces: vec![piece, caption],
            nodes: vec![Node::Group(
                Tag::Div.into(),
                vec![Node::Group(Tag::Figure(Some(alt)).into(), vec![Node::Leaf(leaf)]), Node::Group(Tag::P.into(), caption_nodes)],
            )],
        })
    }
}
