//! Pieces to pages: what is kept together stays together while it fits on a sheet; heads of tables are repeated.

use super::MM;
use super::Paper;
use super::piece::{Keep, Kind, Mark, Op, Piece};

/// Margins of the sheet in points; the foot stands in the lower one.
pub(super) const TOP: f32 = 16.0 * MM;
pub(super) const SIDE: f32 = 20.0 * MM;
pub(super) const BOTTOM: f32 = 22.0 * MM;

/// Width of the text.
pub(super) fn text_width(paper: Paper) -> f32 {
    paper.size().0 - 2.0 * SIDE
}

/// Height of the text.
pub(super) fn text_height(paper: Paper) -> f32 {
    paper.size().1 - TOP - BOTTOM
}

/// A sheet.
#[derive(Default)]
pub(super) struct Page {
    pub(super) ops: Vec<Op>,
    /// What stands on it, from top to bottom: kind, top and height.
    pub(super) placed: Vec<(Kind, f32, f32)>,
}

struct Flow {
    pages: Vec<Page>,
    y: f32,
    /// Space asked for by the last piece; `None` at the top of a sheet.
    after: Option<f32>,
    bottom: f32,
}

pub(super) fn flow(pieces: &[Piece], paper: Paper) -> Vec<Page> {
    let mut flow = Flow { pages: vec![Page::default()], y: TOP, after: None, bottom: paper.size().1 - BOTTOM };
    flow.place(pieces, Keep::LeadIn);
    flow.pages
}

/// The height of pieces set one below the other, the space before the first one left out.
pub(super) fn stacked(pieces: &[Piece]) -> f32 {
    let mut height = 0.0;
    let mut after: Option<f32> = None;
    for piece in pieces {
        height += after.map_or(0.0, |after| after.max(piece.before)) + piece.height;
        after = Some(piece.after);
    }
    height
}

impl Flow {
    fn at_top(&self) -> bool {
        self.after.is_none()
    }

    fn new_page(&mut self) {
        self.pages.push(Page::default());
        self.y = TOP;
        self.after = None;
    }

    fn space_before(&self, piece: &Piece) -> f32 {
        match self.after {
            Some(after) => after.max(piece.before),
            None => piece.head.as_ref().map_or(0.0, |head| head.height),
        }
    }

    fn fits(&self, unit: &[Piece]) -> bool {
        let Some(first) = unit.first() else { return true };
        self.y + self.space_before(first) + stacked(unit) <= self.bottom + 0.01
    }

    fn fits_fresh(&self, unit: &[Piece]) -> bool {
        let head = unit.first().and_then(|first| first.head.as_ref()).map_or(0.0, |head| head.height);
        TOP + head + stacked(unit) <= self.bottom + 0.01
    }

    fn place(&mut self, pieces: &[Piece], level: Keep) {
        let mut at = 0;
        while at < pieces.len() {
            let mut end = at + 1;
            while end < pieces.len() && pieces[end - 1].keep >= level {
                end += 1;
            }
            let unit = &pieces[at..end];
            let weaker = match level {
                Keep::Free | Keep::LeadIn => Some(Keep::Whole),
                Keep::Whole => Some(Keep::Bound),
                Keep::Bound => None,
            };
            if self.fits(unit) {
                self.put_all(unit);
            } else if !self.at_top() && self.fits_fresh(unit) {
                self.new_page();
                self.put_all(unit);
            } else if let Some(weaker) = weaker.filter(|_| unit.len() > 1) {
                self.place(unit, weaker);
            } else {
                for piece in unit {
                    if !self.at_top() && !self.fits(std::slice::from_ref(piece)) {
                        self.new_page();
                    }
                    self.put(piece);
                }
            }
            at = end;
        }
    }

    fn put_all(&mut self, pieces: &[Piece]) {
        for piece in pieces {
            self.put(piece);
        }
    }

    fn put(&mut self, piece: &Piece) {
        if piece.new_page {
            if !self.at_top() {
                self.new_page();
            }
            return;
        }
        if let (true, Some(head)) = (self.at_top(), &piece.head) {
            self.draw(head, 0.0, true);
            self.y += head.height;
        } else {
            self.y += self.space_before(piece);
        }
        if let Some((inner, right)) = &piece.columns {
            self.columns(inner, *right);
        } else {
            self.draw(piece, 0.0, false);
            self.y += piece.height;
        }
        self.after = Some(piece.after);
    }

    fn draw(&mut self, piece: &Piece, x: f32, again: bool) {
        let y = self.y;
        let Some(page) = self.pages.last_mut() else { return };
        for op in &piece.ops {
            let mark = if again { Mark::Decoration } else { op.mark };
            page.ops.push(Op { x: SIDE + x + op.x, y: y + op.y, mark, what: op.what.clone() });
        }
        page.placed.push((piece.kind, y, piece.height));
    }

    /// Two columns of nearly the same height; what is too much for a sheet goes on on the next one.
    fn columns(&mut self, mut pieces: &[Piece], right: f32) {
        while !pieces.is_empty() {
            let room = self.bottom - self.y;
            let mut ends: Vec<usize> = (0..pieces.len()).filter(|at| pieces[*at].keep == Keep::Free).map(|at| at + 1).collect();
            if ends.last() != Some(&pieces.len()) {
                ends.push(pieces.len());
            }
            // The split of all that is left with the lowest columns; if even that is too high, two full columns.
            let height = |split: usize| stacked(&pieces[..split]).max(stacked(&pieces[split..]));
            let balanced = ends.iter().copied().min_by(|a, b| height(*a).total_cmp(&height(*b))).unwrap_or(pieces.len());
            let (first, second) = if height(balanced) <= room {
                (balanced, pieces.len())
            } else {
                let fill = |from: usize| {
                    let last = ends.iter().copied().filter(|end| *end > from && stacked(&pieces[from..*end]) <= room).max();
                    last.unwrap_or(from)
                };
                let first = fill(0);
                if first == 0 && !self.at_top_of_sheet() {
                    self.new_page();
                    continue;
                }
                let first = if first == 0 { ends[0] } else { first };
                (first, fill(first))
            };
            let start = self.y;
            let mut lowest = start;
            for (column, x) in [(&pieces[..first], 0.0), (&pieces[first..second], right)] {
                self.y = start;
                let mut after: Option<f32> = None;
                for piece in column {
                    self.y += after.map_or(0.0, |after| after.max(piece.before));
                    self.draw(piece, x, false);
                    self.y += piece.height;
                    after = Some(piece.after);
                }
                lowest = lowest.max(self.y);
            }
            self.y = lowest;
            pieces = &pieces[second..];
            if !pieces.is_empty() {
                self.new_page();
            }
        }
    }

    fn at_top_of_sheet(&self) -> bool {
        self.y <= TOP
    }
}
