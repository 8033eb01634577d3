//! Blocks to pieces: headings and paragraphs; every other kind of block has a file of its own.

use std::num::NonZeroU16;

use krilla::tagging::Tag;

use super::inlines::Look;
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, Set, What};
use super::setter::{CLOSE, GAP, LEADING, Setter, rule};
use crate::document::{Align, Block, Inline, plain_text};
use crate::error::Error;

impl<'a> Setter<'a> {
    pub(super) fn paragraph(&mut self, text: &'a [Inline], width: f32) -> Set {
        let styled = self.styled(text, Look::PLAIN);
        let (pieces, nodes) = self.text(&styled, self.size, LEADING, width, Align::Start);
        let mut set = Set { pieces, nodes: vec![Node::Group(Tag::P.into(), nodes)] };
        set.space(0.0, GAP);
        set
    }

    pub(super) fn blocks(&mut self, blocks: &'a [Block], width: f32) -> Result<Set, Error> {
        let mut set = Set::default();
        for (at, block) in blocks.iter().enumerate() {
            let mut one = self.block(block, width)?;
            if leads_in(blocks, at) {
                one.bind(Keep::LeadIn);
                if let Some(last) = one.pieces.last_mut() {
                    last.keep = last.keep.max(Keep::LeadIn);
                }
            }
            if let (Block::Paragraph(text), Some(Block::List(_))) = (block, blocks.get(at + 1))
                && plain_text(text).trim_end().ends_with(':')
                && let Some(last) = one.pieces.last_mut()
            {
                last.keep = Keep::Bound;
            }
            set.add(one);
        }
        Ok(set)
    }

    fn block(&mut self, block: &'a Block, width: f32) -> Result<Set, Error> {
        match block {
            Block::Heading { level, id, text } => Ok(self.heading(*level, id, text, width)),
            Block::Paragraph(text) => Ok(self.paragraph(text, width)),
            Block::List(list) => self.list(list, width),
            Block::Table(table) => Ok(self.table(table, width)),
            Block::DataTable(table) => Ok(self.data_table(table, width)),
            Block::KeyFacts(facts) => Ok(self.key_facts(facts, width)),
            Block::Chart(chart) => self.chart(chart, width),
            Block::Drawing(drawing) => self.sized("drawing", drawing, width),
            Block::DottedGrid(grid) => self.sized("grid", grid, width),
            Block::Caution { kind, blocks } => self.caution(*kind, blocks, width),
            Block::Footnote { .. } => Ok(Set::default()), // after the last block
            Block::Definitions(definitions) => self.definitions(definitions, width),
            Block::BlankField { label, lines } => Ok(self.blank_field(label, *lines, width)),
            Block::Contents => Ok(self.contents(width)),
            Block::PageBreak => Ok(Set { pieces: vec![Piece { new_page: true, kind: Kind::Other, ..Piece::default() }], nodes: vec![] }),
        }
    }

    fn heading(&mut self, level: u8, id: &str, text: &'a [Inline], width: f32) -> Set {
        // ISO 14289-1, 7.4.2: no level is skipped on the way down; a document made by hand may.
        let level = level.clamp(1, 6).min(self.level + 1);
        let (size, before) = match level {
            1 => (16.0, 0.0),
            2 => (13.5, 1.1),
            3 => (11.2, 0.9),
            _ => (10.0, 0.8),
        };
        self.level = level;
        let styled = self.styled(text, Look::BOLD);
        let (mut pieces, nodes) = self.text(&styled, size, CLOSE, width, Align::Start);
        for piece in &mut pieces {
            piece.kind = Kind::Heading;
            piece.keep = Keep::Bound;
        }
        let title = plain_text(text);
        if let Some(first) = pieces.first_mut() {
            first.ops.push(Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(id.to_owned()) });
            first.ops.push(Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Outline { level, text: title.clone() } });
        }
        if level == 2
            && let Some(last) = pieces.last_mut()
        {
            last.height += 2.7;
            last.ops.push(rule(0.0, last.height - 0.6, width, 0.6));
        }
        let tag = Tag::Hn(NonZeroU16::new(u16::from(level)).unwrap_or(NonZeroU16::MIN), Some(title));
        let mut set = Set { pieces, nodes: vec![Node::Group(tag.into(), nodes)] };
        set.space(before * size, 0.4 * size);
        set
    }
}

/// Whether the paragraph at `at` leads from a heading, at most one paragraph away, to a chart or a table.
fn leads_in(blocks: &[Block], at: usize) -> bool {
    let paragraph = |at: usize| matches!(blocks.get(at), Some(Block::Paragraph(_)));
    let heading = |at: Option<usize>| at.is_some_and(|at| matches!(blocks.get(at), Some(Block::Heading { .. })));
    let wide = |at: usize| {
        matches!(blocks.get(at), Some(Block::Chart(_) | Block::Drawing(_) | Block::DottedGrid(_) | Block::Table(_) | Block::DataTable(_)))
    };
    if !paragraph(at) {
        return false;
    }
    let second = at > 0 && paragraph(at - 1) && heading(at.checked_sub(2));
    (heading(at.checked_sub(1)) && (wide(at + 1) || (paragraph(at + 1) && wide(at + 2)))) || (second && wide(at + 1))
}
