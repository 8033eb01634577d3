//! Definitions: terms with their meanings, in two columns where there is room.

use krilla::tagging::{ListNumbering, Tag};

use super::MM;
use super::flow;
use super::inlines::Look;
use super::piece::{Keep, Kind, Node, Piece, Set};
use super::setter::{GAP, LEADING, Setter};
use crate::document::{Align, Definition};
use crate::error::Error;

/// Below this width there is one column.
const TWO_COLUMNS: f32 = 120.0 * MM;

impl<'a> Setter<'a> {
    pub(super) fn definitions(&mut self, definitions: &'a [Definition], width: f32) -> Result<Set, Error> {
        let gap = 8.0 * MM;
        let two = width >= TWO_COLUMNS && definitions.len() > 1;
        let column = if two { (width - gap) / 2.0 } else { width };
        let outer = self.size;
        self.size = 8.0;
        let mut items = Vec::new();
        let mut pieces: Vec<Piece> = Vec::new();
        for definition in definitions {
            let term = self.styled(&definition.term, Look::BOLD);
            let (mut set, nodes) = self.text(&term, self.size, LEADING, column, Align::Start);
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
}
