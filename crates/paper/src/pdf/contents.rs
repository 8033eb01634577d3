//! The list of contents: the sections with their sheets, each a link; in two columns where the list is long. The numbers
//! are filled in when the sheets are known; they never change how much room the list takes.

use krilla::tagging::Tag;

use super::MM;
use super::inlines::{Look, Source};
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, Set, What};
use super::setter::{CLOSE, GAP, SMALL, Setter, rule};
use super::text::{Link, Styled};
use crate::document::{Align, Inline};

/// From this many sections on there are two columns.
const TWO_COLUMNS: usize = 7;
/// Between the columns.
const BETWEEN: f32 = 8.0 * MM;
/// Room for the number of a sheet, in type sizes.
const NUMBER: f32 = 2.2;

impl<'a> Setter<'a> {
    pub(super) fn contents(&mut self, width: f32) -> Set {
        let sections = self.sections.clone();
        let mut set = Set::default();
        if sections.is_empty() {
            return set;
        }
        let head = self.options.wording.contents.clone();
        let styled = self.styled_text(&head, Look::BOLD, Source::Own);
        let (mut pieces, nodes) = self.text(&styled, 10.0, CLOSE, width, Align::Start);
        for piece in &mut pieces {
            piece.keep = Keep::Bound;
            piece.after = 2.0;
        }
        set.add(Set { pieces, nodes: vec![Node::Group(Tag::P.into(), nodes)] });

        let two = sections.len() >= TWO_COLUMNS && width > 100.0 * MM;
        let column = if two { (width - BETWEEN) / 2.0 } else { width };
        let mut entries = Vec::with_capacity(sections.len());
        let mut items = Vec::with_capacity(sections.len());
        for (id, text) in sections {
            let (entry, item) = self.entry(id, text, column);
            entries.push(entry);
            items.push(item);
        }
        set.nodes.push(Node::Group(Tag::TOC.into(), items));
        if two {
            // Row by row, so that the list is kept whole like any other group: its order is the tag tree's, down and then across.
            let mut right = entries.split_off(entries.len().div_ceil(2)).into_iter();
            for mut row in entries {
                if let Some(mut beside) = right.next() {
                    beside.shift(column + BETWEEN, 0.0);
                    row.height = row.height.max(beside.height);
                    row.ops.append(&mut beside.ops);
                }
                set.pieces.push(row);
            }
        } else {
            set.pieces.append(&mut entries);
        }
        set.bind(Keep::Whole);
        set.space(GAP, GAP * 1.5);
        set
    }

    fn entry(&mut self, id: &str, text: &'a [Inline], width: f32) -> (Piece, Node) {
        let mut styled = Styled::default();
        styled.links.push(Link { target: format!("#{id}"), ..Link::default() });
        let look = Look::PLAIN.linked(&styled);
        self.push_words(&mut styled, text, look);
        let (lines, nodes) = self.text(&styled, SMALL, CLOSE, width - NUMBER * SMALL, Align::Start);
        let mut piece = Piece { kind: Kind::Other, ..Piece::default() };
        for mut line in lines {
            line.shift(0.0, piece.height + 1.5);
            piece.height += line.height;
            piece.ops.append(&mut line.ops);
        }
        let baseline = self.line_height(SMALL, CLOSE) - piece.ops.first().map_or(0.0, |op| op.y - 1.5);
        let leaf = self.leaf();
        let what = What::PageOf { anchor: id.to_owned(), size: SMALL };
        let y = 1.5 + piece.height - baseline;
        piece.ops.push(Op { x: width, y, mark: Mark::Leaf(leaf), what });
        piece.height += 3.5;
        piece.ops.push(rule(0.0, piece.height - 0.4, width, 0.4));
        let mut inside = vec![Node::Group(Tag::Reference.into(), nodes)];
        inside.push(Node::Leaf(leaf));
        (piece, Node::Group(Tag::TOCI.into(), inside))
    }

    /// The words of a heading, without its links and notes.
    fn push_words(&mut self, out: &mut Styled, text: &'a [Inline], look: Look) {
        for inline in text {
            match inline {
                Inline::Text(text) => self.push(out, text, look, Source::Own),
                Inline::Slot(slot) => self.push_slot(out, slot, look),
                Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::Code(inner) | Inline::Link { text: inner, .. } => {
                    self.push_words(out, inner, look);
                }
                Inline::LineBreak => self.push(out, " ", look, Source::Own),
                Inline::NoteReference(_) => {}
            }
        }
    }
}
