//! Rows of a table: heads repeated on every sheet, rows never split, neither the first nor the last row (a total, often)
//! alone on a sheet, and a table that fits on one sheet kept whole.
//!
//! A table in parts is one table in the tag tree, as it was in the document: what is drawn again is decoration.

use std::rc::Rc;

use krilla::tagging::{TableHeaderScope, Tag, TagKind};

use super::Grid;
use super::columns::{Part, Plan};
use crate::document::Align;
use crate::pdf::flow;
use crate::pdf::inlines::Look;
use crate::pdf::piece::{Keep, Kind, Mark, Node, Op, Piece, QUIET, STRONG_LINE, Set, What};
use crate::pdf::setter::{GAP, LEADING, SMALL, Setter, bar_at, rule};
use crate::pdf::text::{Styled, shape};

/// A head higher than this share of the sheet is not repeated.
const HIGHEST_HEAD: f32 = 0.3;

#[derive(Clone, Copy, PartialEq, Eq)]
enum RowKind {
    Head,
    Plain,
    Total,
}

/// How one row is set in one part.
struct Setting<'p> {
    part: &'p Part,
    aligns: &'p [Align],
    size: f32,
    kind: RowKind,
    /// Whether the first column was said before.
    again: bool,
}

impl Setter<'_> {
    pub(super) fn grid(&mut self, grid: Grid, width: f32) -> Set {
        let count = grid.head.len().max(grid.rows.iter().map(|(cells, _)| cells.len()).max().unwrap_or(0));
        let mut set = Set::default();
        if count == 0 {
            return set;
        }
        let Plan { size, parts } = self.plan(&grid, count, width);
        let aligns: Vec<Align> = (0..count).map(|at| grid.columns.get(at).copied().unwrap_or_default()).collect();
        let mut inside = Vec::new();
        if let Some((mut piece, nodes)) = grid.caption {
            piece.keep = Keep::Bound;
            set.pieces.push(piece);
            inside.push(Node::Group(Tag::Caption.into(), nodes));
        }
        let empty = || (0..count).map(|_| Vec::new()).collect::<Vec<Vec<Node>>>();
        let mut head_nodes = empty();
        let mut row_nodes: Vec<Vec<Vec<Node>>> = grid.rows.iter().map(|_| empty()).collect();
        let last = grid.rows.len().saturating_sub(1);
        for (part_at, part) in parts.iter().enumerate() {
            let setting = |kind| Setting { part, aligns: &aligns, size, kind, again: part_at > 0 };
            if part_at > 0 {
                set.pieces.extend(self.continued(&grid.title, width));
            }
            let mut heads = self.row(&grid.head, &setting(RowKind::Head), &mut head_nodes);
            for piece in &mut heads {
                piece.keep = Keep::Bound;
            }
            let again = match heads.as_slice() {
                [one] if one.height < HIGHEST_HEAD * flow::text_height(self.options.paper) => Some(self.repeated(one, &grid.title, width)),
                _ => None,
            };
            set.pieces.append(&mut heads);
            for (at, (cells, total)) in grid.rows.iter().enumerate() {
                let kind = if *total { RowKind::Total } else { RowKind::Plain };
                let mut pieces = self.row(cells, &setting(kind), &mut row_nodes[at]);
                for piece in &mut pieces {
                    piece.head.clone_from(&again);
                    piece.keep = if at == 0 || at + 1 == last { Keep::Bound } else { Keep::Whole };
                }
                set.pieces.append(&mut pieces);
            }
            if let Some(last) = set.pieces.last_mut() {
                last.keep = Keep::Free;
                last.after = GAP;
            }
        }
        inside.push(Node::Group(Tag::THead.into(), vec![cells_of(head_nodes, true)]));
        if !row_nodes.is_empty() {
            inside.push(Node::Group(Tag::TBody.into(), row_nodes.into_iter().map(|nodes| cells_of(nodes, false)).collect()));
        }
        let summary = Some(grid.summary).filter(|summary| !summary.is_empty());
        set.nodes.push(Node::Group(Tag::Table.with_summary(summary).into(), inside));
        set
    }

    /// The line above a part of a table that was begun before.
    fn continued(&mut self, title: &str, width: f32) -> Option<Piece> {
        if title.is_empty() {
            return None;
        }
        let tail = format!(" {}", self.options.wording.continued);
        let line = self.shortened(title, &tail, Look::BOLD.coloured(QUIET), SMALL, width);
        let mut piece = Piece { height: line.height, before: GAP, after: 3.0, keep: Keep::Bound, ..Piece::default() };
        Setter::drawn(&line, Mark::Decoration, 0.0, 0.0, &mut piece.ops);
        Some(piece)
    }

    /// What stands above the rows on a further sheet.
    fn repeated(&mut self, head: &Piece, title: &str, width: f32) -> Rc<Piece> {
        let again = head.again();
        let Some(mut whole) = self.continued(title, width) else { return again };
        let down = whole.height + 3.0;
        let mut again = (*again).clone();
        again.shift(0.0, down);
        whole.ops.append(&mut again.ops);
        whole.height = down + again.height;
        whole.kind = Kind::Head;
        Rc::new(whole)
    }

    /// Sets a row in one part of its table; the nodes of its cells join those of the parts before.
    fn row(&mut self, cells: &[Styled], setting: &Setting, nodes: &mut [Vec<Node>]) -> Vec<Piece> {
        let Setting { part, size, kind, .. } = *setting;
        let above = 0.3 * size;
        let mut deepest = 1;
        let mut x = 0.0;
        let mut columns = Vec::with_capacity(part.columns.len());
        for (at, width) in &part.columns {
            let align = setting.aligns.get(*at).copied().unwrap_or_default();
            let lines = match cells.get(*at) {
                Some(cell) if !cell.text.is_empty() => shape(&mut self.faces, cell, size, LEADING).lines(*width, align),
                _ => Vec::new(),
            };
            deepest = deepest.max(lines.len());
            columns.push((*at, x, lines));
            x += width + part.gap;
        }
        // A row higher than a sheet (a very long text from outside) is the only one that is ever cut.
        let line_height = self.line_height(size, LEADING);
        let room = flow::text_height(self.options.paper) * 0.6 - 2.0 * above;
        let most = ((room / line_height) as usize).max(1);
        let mut pieces = Vec::new();
        let mut from = 0;
        while from < deepest {
            let to = (from + most).min(deepest);
            let height = 2.0 * above + (to - from) as f32 * line_height;
            let kind_of = if kind == RowKind::Head { Kind::Head } else { Kind::Row };
            let mut piece = Piece { kind: kind_of, height, ops: rules(kind, height, part.width()), ..Piece::default() };
            for (at, x, lines) in &columns {
                // Heads stand on the rule below them.
                let sunk = if kind == RowKind::Head { (to - from).saturating_sub(lines.len()) as f32 * line_height } else { 0.0 };
                for (down, line) in lines.iter().take(to).skip(from).enumerate() {
                    let y = above + sunk + down as f32 * line_height;
                    if setting.again && *at == 0 {
                        Setter::drawn(line, Mark::Decoration, *x, y, &mut piece.ops);
                    } else if let (Some(cell), Some(nodes)) = (cells.get(*at), nodes.get_mut(*at)) {
                        let mut ops: Vec<Op> = Vec::new();
                        self.line(line, cell, y, &mut ops, nodes);
                        for op in &mut ops {
                            op.x += x;
                        }
                        piece.ops.append(&mut ops);
                    }
                }
            }
            pieces.push(piece);
            from = to;
        }
        pieces
    }
}

fn rules(kind: RowKind, height: f32, width: f32) -> Vec<Op> {
    match kind {
        RowKind::Head => vec![strong_rule(height - 1.0, width)],
        RowKind::Total => vec![bar_at(0.0, height - 0.4, width, 0.4), strong_rule(0.0, width)],
        RowKind::Plain => vec![rule(0.0, height - 0.5, width, 0.5)],
    }
}

fn strong_rule(y: f32, width: f32) -> Op {
    Op { x: 0.0, y, mark: Mark::Decoration, what: What::Rectangle { width, height: 1.0, colour: STRONG_LINE } }
}

fn cells_of(nodes: Vec<Vec<Node>>, head: bool) -> Node {
    let cells = nodes.into_iter().enumerate().map(|(at, nodes)| {
        let tag: TagKind = match (head, at) {
            (true, _) => Tag::TH(TableHeaderScope::Column).into(),
            (_, 0) => Tag::TH(TableHeaderScope::Row).into(),
            _ => Tag::TD.into(),
        };
        Node::Group(tag, nodes)
    });
    Node::Group(Tag::TR.into(), cells.collect())
}
