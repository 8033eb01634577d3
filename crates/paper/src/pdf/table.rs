//! Tables of both kinds to grids of styled cells; `columns` finds their widths, `rows` sets them.

use krilla::tagging::Tag;

mod columns;
mod rows;

use super::inlines::{Look, Source};
use super::piece::{Keep, Mark, Node, Op, Piece, QUIET, Set, What};
use super::setter::{GAP, LEADING, SMALL, Setter};
use super::text::Styled;
use crate::document::{Align, Cell, Table, TableData, plain_text};
use crate::escape;

/// A table of either kind, its cells as styled text.
pub(super) struct Grid {
    pub(super) columns: Vec<Align>,
    pub(super) head: Vec<Styled>,
    /// Cells, and whether the row is a total.
    pub(super) rows: Vec<(Vec<Styled>, bool)>,
    pub(super) summary: String,
    pub(super) caption: Option<(Piece, Vec<Node>)>,
    /// Said again above a part of the table on a further sheet.
    pub(super) title: String,
}

impl<'a> Setter<'a> {
    pub(super) fn table(&mut self, table: &'a Table, width: f32) -> Set {
        let head = table.head.iter().map(|cell| self.styled(cell, Look::BOLD)).collect();
        let mut rows = Vec::with_capacity(table.rows.len());
        for row in &table.rows {
            rows.push((row.iter().map(|cell| self.styled(cell, Look::PLAIN)).collect(), false));
        }
        let summary = table.head.iter().map(|cell| plain_text(cell)).collect::<Vec<_>>().join(", ");
        let mut set = self.grid(Grid { columns: table.columns.clone(), head, rows, summary, caption: None, title: String::new() }, width);
        set.space(GAP * 0.5, GAP * 1.3);
        set
    }

    pub(super) fn data_table(&mut self, table: &'a TableData, width: f32) -> Set {
        let mut head = Vec::with_capacity(table.columns.len());
        for column in &table.columns {
            let mut cell = self.styled(&column.head, Look::BOLD);
            if let Some(unit) = &column.unit {
                self.push(&mut cell, " ", Look::PLAIN, Source::Own);
                self.push(&mut cell, unit, Look::PLAIN.coloured(QUIET), Source::Outside);
            }
            head.push(cell);
        }
        let mut rows = Vec::with_capacity(table.rows.len());
        for row in &table.rows {
            let look = if row.total { Look::BOLD } else { Look::PLAIN };
            let mut cells = Vec::with_capacity(row.cells.len());
            for cell in &row.cells {
                let mut styled = Styled::default();
                match cell {
                    Cell::Slot(slot) => self.push_slot(&mut styled, slot, look),
                    Cell::Empty { mark, reason } => self.push_read_as(&mut styled, mark, look, Source::Own, Some(reason)),
                }
                cells.push(styled);
            }
            rows.push((cells, row.total));
        }
        let mut caption = None;
        let anchor = What::Anchor(format!("table-{}", escape::id(&table.id)));
        let anchor = Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: anchor };
        if !table.caption.is_empty() {
            let styled = self.styled(&table.caption, Look::BOLD);
            let (mut piece, nodes) = self.caption(&styled, SMALL, width);
            piece.ops.push(anchor.clone());
            piece.after = 3.0;
            caption = Some((piece, nodes));
        }
        let captioned = caption.is_some();
        let columns = table.columns.iter().map(|column| column.align).collect();
        let mut set =
            self.grid(Grid { columns, head, rows, summary: plain_text(&table.caption), caption, title: plain_text(&table.caption) }, width);
        if let (false, Some(first)) = (captioned, set.pieces.first_mut()) {
            first.ops.push(anchor);
        }
        if !table.note.is_empty() {
            let styled = self.styled(&table.note, Look::PLAIN.coloured(QUIET));
            let (mut lines, nodes) = self.text(&styled, SMALL, LEADING, width, Align::Start);
            if let Some(first) = lines.first_mut() {
                first.before = 3.0;
            }
            if let Some(last) = set.pieces.last_mut() {
                last.keep = Keep::Bound;
            }
            set.pieces.append(&mut lines);
            set.nodes.push(Node::Group(Tag::P.into(), nodes));
        }
        set.space(GAP, GAP * 1.3);
        set
    }
}
