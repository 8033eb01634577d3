//! Tables: columns as wide as their content asks for, heads repeated on every sheet, rows never split, and a table that
//! fits on one sheet kept whole. A table too wide for its place is set smaller, down to 6.6 pt.

use krilla::tagging::{TableHeaderScope, Tag, TagKind};

use super::blocks::{GAP, SMALL, Setter, bar_at, rule};
use super::flow;
use super::inlines::Look;
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, QUIET, STRONG_LINE, Set, What};
use super::text::{Shaped, Styled, shape};
use crate::document::{Align, Cell, Table, TableData, plain_text};
use crate::error::Error;
use crate::escape;

/// Type sizes tried in turn.
const SIZES: [f32; 4] = [SMALL, 8.0, 7.2, 6.6];
const LEADING: f32 = 1.36;

/// A table of either kind, its cells as styled text.
struct Grid {
    columns: Vec<Align>,
    head: Vec<Styled>,
    rows: Vec<(Vec<Styled>, bool)>,
    summary: String,
    caption: Option<(Piece, Vec<Node>)>,
}

impl<'a> Setter<'a> {
    pub(super) fn table(&mut self, table: &'a Table, width: f32) -> Result<Set, Error> {
        let head = table.head.iter().map(|cell| self.styled(cell, Look::BOLD)).collect::<Result<Vec<_>, _>>()?;
        let mut rows = Vec::with_capacity(table.rows.len());
        for row in &table.rows {
            rows.push((row.iter().map(|cell| self.styled(cell, Look::PLAIN)).collect::<Result<Vec<_>, _>>()?, false));
        }
        let summary = table.head.iter().map(|cell| plain_text(cell)).collect::<Vec<_>>().join(", ");
        let mut set = self.grid(Grid { columns: table.columns.clone(), head, rows, summary, caption: None }, width);
        set.space(GAP * 0.5, GAP * 1.3);
        Ok(set)
    }

    pub(super) fn data_table(&mut self, table: &'a TableData, width: f32) -> Result<Set, Error> {
        let mut head = Vec::with_capacity(table.columns.len());
        for column in &table.columns {
            let mut cell = Styled::default();
            self.push_own(&mut cell, &column.head, Look::BOLD)?;
            if let Some(unit) = &column.unit {
                self.push_own(&mut cell, " ", Look::PLAIN)?;
                self.push_own(&mut cell, unit, Look::PLAIN.coloured(QUIET))?;
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
                    Cell::Slot(slot) => self.push_slot(&mut styled, slot, look)?,
                    Cell::Empty { mark, reason } => self.push_own_read_as(&mut styled, mark, Some(reason.clone()), look)?,
                }
                cells.push(styled);
            }
            rows.push((cells, row.total));
        }
        let mut caption = None;
        let anchor = What::Anchor(format!("table-{}", escape::id(&table.id)));
        let anchor = Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: anchor };
        if !table.caption.is_empty() {
            let styled = self.styled(&table.caption, Look::BOLD)?;
            let (mut piece, nodes) = self.caption(&styled, SMALL, width);
            piece.ops.push(anchor.clone());
            piece.after = 3.0;
            caption = Some((piece, nodes));
        }
        let captioned = caption.is_some();
        let columns = table.columns.iter().map(|column| column.align).collect();
        let mut set = self.grid(Grid { columns, head, rows, summary: plain_text(&table.caption), caption }, width);
        if let (false, Some(first)) = (captioned, set.pieces.first_mut()) {
            first.ops.push(anchor);
        }
        if !table.note.is_empty() {
            let styled = self.styled(&table.note, Look::PLAIN.coloured(QUIET))?;
            let (mut piece, nodes) = self.caption(&styled, SMALL, width);
            piece.before = 3.0;
            if let Some(last) = set.pieces.last_mut() {
                last.keep = Keep::Bound;
            }
            set.pieces.push(piece);
            set.nodes.push(Node::Group(Tag::P.into(), nodes));
        }
        set.space(GAP, GAP * 1.3);
        Ok(set)
    }

    fn grid(&mut self, grid: Grid, width: f32) -> Set {
        let count = grid.head.len().max(grid.rows.iter().map(|(cells, _)| cells.len()).max().unwrap_or(0));
        let mut set = Set::default();
        if count == 0 {
            return set;
        }
        let (size, widths) = self.fit(&grid, count, width);
        let columns: Vec<Align> = (0..count).map(|at| grid.columns.get(at).copied().unwrap_or_default()).collect();
        let mut inside = Vec::new();
        if let Some((mut piece, nodes)) = grid.caption {
            piece.keep = Keep::Bound;
            set.pieces.push(piece);
            inside.push(Node::Group(Tag::Caption.into(), nodes));
        }
        let (mut heads, node) = self.row(&grid.head, &columns, &widths, size, width, RowKind::Head);
        inside.push(Node::Group(Tag::THead.into(), vec![node]));
        for piece in &mut heads {
            piece.keep = Keep::Bound;
        }
        let again = match heads.as_slice() {
            [one] => Some(Setter::again(one)),
            _ => None,
        };
        set.pieces.append(&mut heads);
        let mut body = Vec::with_capacity(grid.rows.len());
        let last = grid.rows.len().saturating_sub(1);
        for (at, (cells, total)) in grid.rows.iter().enumerate() {
            let kind = if *total { RowKind::Total } else { RowKind::Plain };
            let (mut pieces, node) = self.row(cells, &columns, &widths, size, width, kind);
            for piece in &mut pieces {
                piece.head.clone_from(&again);
                // Neither the first nor the last row stands alone on a sheet.
                piece.keep = if at == 0 || at + 1 == last { Keep::Bound } else { Keep::Whole };
            }
            set.pieces.append(&mut pieces);
            body.push(node);
        }
        if !body.is_empty() {
            inside.push(Node::Group(Tag::TBody.into(), body));
        }
        if let Some(last) = set.pieces.last_mut() {
            last.keep = Keep::Free;
        }
        let summary = Some(grid.summary).filter(|summary| !summary.is_empty());
        set.nodes.push(Node::Group(Tag::Table.with_summary(summary).into(), inside));
        set
    }

    /// The type size, and the width of each column with its share of space.
    fn fit(&mut self, grid: &Grid, count: usize, width: f32) -> (f32, Vec<f32>) {
        let mut chosen = (SMALL, vec![width / count as f32; count]);
        for size in SIZES {
            let pad = padding(size);
            let (mut least, mut most) = (vec![1.0_f32; count], vec![1.0_f32; count]);
            let rows = grid.rows.iter().map(|(cells, _)| (cells, 1.0));
            // A head is broken into two lines before a row is.
            for (cells, wish) in std::iter::once((&grid.head, 0.55)).chain(rows) {
                for (at, cell) in cells.iter().enumerate() {
                    let (min, max) = shape(&mut self.faces, cell, size, LEADING).widths();
                    let max = min.max(max * wish);
                    least[at] = least[at].max(min);
                    most[at] = most[at].max(max);
                }
            }
            let room = width - 2.0 * pad * (count - 1) as f32;
            let (min, max): (f32, f32) = (least.iter().sum(), most.iter().sum());
            let inner: Vec<f32> = if max <= room {
                most.iter().map(|most| most + (room - max) * most / max).collect()
            } else if min <= room {
                let slack = (room - min) / (max - min);
                least.iter().zip(&most).map(|(least, most)| least + slack * (most - least)).collect()
            } else {
                least.iter().map(|least| room.max(1.0) * least / min).collect()
            };
            let outer = |at: usize, inner: f32| inner + if at == 0 { 0.0 } else { pad } + if at + 1 == count { 0.0 } else { pad };
            chosen = (size, inner.iter().enumerate().map(|(at, inner)| outer(at, *inner)).collect());
            if min <= room {
                break;
            }
        }
        chosen
    }

    fn row(&mut self, cells: &[Styled], columns: &[Align], widths: &[f32], size: f32, width: f32, kind: RowKind) -> (Vec<Piece>, Node) {
        let (pad, above) = (padding(size), 0.3 * size);
        let count = widths.len();
        let mut set = Vec::with_capacity(count);
        let mut deepest = 1;
        let mut x = 0.0;
        for at in 0..count {
            let left = if at == 0 { 0.0 } else { pad };
            let right = if at + 1 == count { 0.0 } else { pad };
            let mut shaped: Option<Shaped> = cells.get(at).map(|cell| shape(&mut self.faces, cell, size, LEADING));
            let lines = shaped.as_mut().map(|shaped| shaped.lines(widths[at] - left - right, columns[at])).unwrap_or_default();
            deepest = deepest.max(lines.len());
            set.push((x + left, lines));
            x += widths[at];
        }
        // A row higher than a sheet (a very long text from outside) is the only one that is ever cut.
        let line_height = size * LEADING;
        let room = flow::text_height(self.options.paper) * 0.8 - 2.0 * above;
        let most = ((room / line_height) as usize).max(1);
        let mut pieces = Vec::new();
        let mut nodes: Vec<Vec<Node>> = (0..count).map(|_| Vec::new()).collect();
        let mut from = 0;
        while from < deepest {
            let to = (from + most).min(deepest);
            let height = 2.0 * above + (to - from) as f32 * line_height;
            let mut piece = Piece { kind: if kind == RowKind::Head { Kind::Head } else { Kind::Row }, height, ..Piece::default() };
            for (at, (x, lines)) in set.iter().enumerate() {
                // Heads stand on the rule below them.
                let sunk = if kind == RowKind::Head { (to - from).saturating_sub(lines.len()) as f32 * line_height } else { 0.0 };
                let styled = cells.get(at);
                for (down, line) in lines.iter().take(to).skip(from).enumerate() {
                    let mut ops: Vec<Op> = Vec::new();
                    let y = above + sunk + down as f32 * line_height;
                    let (links, text) = styled.map_or((&[][..], ""), |styled| (&styled.links[..], styled.text.as_str()));
                    self.line(line, links, text, y, &mut ops, &mut nodes[at]);
                    for mut op in ops {
                        op.x += x;
                        piece.ops.push(op);
                    }
                }
            }
            match kind {
                RowKind::Head => piece.ops.insert(0, strong_rule(height - 1.0, width)),
                RowKind::Total => {
                    piece.ops.insert(0, strong_rule(0.0, width));
                    piece.ops.insert(0, bar_at(0.0, height - 0.4, width, 0.4));
                }
                RowKind::Plain => piece.ops.insert(0, rule(0.0, height - 0.5, width, 0.5)),
            }
            pieces.push(piece);
            from = to;
        }
        let cells = nodes.into_iter().enumerate().map(|(at, nodes)| {
            let tag: TagKind = match (kind, at) {
                (RowKind::Head, _) => Tag::TH(TableHeaderScope::Column).into(),
                (_, 0) => Tag::TH(TableHeaderScope::Row).into(),
                _ => Tag::TD.into(),
            };
            Node::Group(tag, nodes)
        });
        (pieces, Node::Group(Tag::TR.into(), cells.collect()))
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum RowKind {
    Head,
    Plain,
    Total,
}

fn padding(size: f32) -> f32 {
    0.6 * size
}

fn strong_rule(y: f32, width: f32) -> Op {
    Op { x: 0.0, y, mark: Mark::Decoration, what: What::Rectangle { width, height: 1.0, colour: STRONG_LINE } }
}
