//! Columns of a table. A small table is as wide as its content with even gaps; one that nearly fills the measure fills it.
//! A table too wide is set smaller, down to 6.6 pt; one that is still too wide is cut between columns into parts, set one
//! below the other in 8 pt, each of which begins with the first column.

use super::Grid;
use crate::pdf::setter::{LEADING, SMALL, Setter};
use crate::pdf::text::shape;

/// Type sizes tried in turn; the last one is the floor.
const SIZES: [f32; 4] = [SMALL, 8.0, 7.2, 6.6];
/// Size of a table in parts.
const IN_PARTS: f32 = 8.0;
/// A word wider than this many times the type size is broken anywhere.
const LONGEST_WORD: f32 = 14.0;
/// A head may be broken until it is this share of its length.
const HEAD_SHARE: f32 = 0.55;
/// Space between two columns: at least, and at most in a table narrower than the measure; in type sizes.
const GAP_LEAST: f32 = 1.2;
const GAP_MOST: f32 = 3.6;
/// From this share of the measure on, a table fills it.
const FILLS: f32 = 0.8;

/// How a table is set.
pub(super) struct Plan {
    pub(super) size: f32,
    pub(super) parts: Vec<Part>,
}

/// Columns that stand side by side.
pub(super) struct Part {
    /// Which columns of the table, and how wide the text of each may be.
    pub(super) columns: Vec<(usize, f32)>,
    /// Space between two columns.
    pub(super) gap: f32,
    /// Whether nothing need be broken.
    fits: bool,
}

impl Part {
    pub(super) fn width(&self) -> f32 {
        self.columns.iter().map(|(_, width)| width).sum::<f32>() + self.gap * self.columns.len().saturating_sub(1) as f32
    }
}

/// The least and the wished width of a column, as multiples of the type size.
#[derive(Clone, Copy)]
struct Need {
    least: f32,
    most: f32,
}

impl Setter<'_> {
    pub(super) fn plan(&mut self, grid: &Grid, count: usize, width: f32) -> Plan {
        let all: Vec<usize> = (0..count).collect();
        // Heads on one line where there is room for all of them.
        let needs = self.needs(grid, count, 1.0);
        if let Some(part) = spread(&all, &needs, SMALL, width).filter(|part| part.fits) {
            return Plan { size: SMALL, parts: vec![part] };
        }
        let needs = self.needs(grid, count, HEAD_SHARE);
        for size in SIZES {
            if let Some(part) = spread(&all, &needs, size, width) {
                return Plan { size, parts: vec![part] };
            }
        }
        let mut parts = Vec::new();
        let mut columns = vec![0];
        for at in 1..count {
            columns.push(at);
            if columns.len() > 2 && spread(&columns, &needs, IN_PARTS, width).is_none() {
                columns.pop();
                parts.push(std::mem::replace(&mut columns, vec![0, at]));
            }
        }
        parts.push(columns);
        let parts = parts.iter().map(|columns| spread(columns, &needs, IN_PARTS, width).unwrap_or_else(|| even(columns, width)));
        Plan { size: IN_PARTS, parts: parts.collect() }
    }

    /// Widths grow with the type size, so each cell is shaped once for all sizes.
    fn needs(&mut self, grid: &Grid, count: usize, head_share: f32) -> Vec<Need> {
        let mut needs = vec![Need { least: 0.5, most: 0.5 }; count];
        let rows = grid.rows.iter().map(|(cells, _)| (cells, 1.0));
        for (cells, share) in std::iter::once((&grid.head, head_share)).chain(rows) {
            for (need, cell) in needs.iter_mut().zip(cells) {
                if cell.text.is_empty() {
                    continue;
                }
                let (least, most) = shape(&mut self.faces, cell, SMALL, LEADING).widths();
                let least = (least / SMALL).min(LONGEST_WORD);
                need.least = need.least.max(least);
                need.most = need.most.max(least.max(most / SMALL * share));
            }
        }
        needs
    }
}

/// The widths of columns set side by side; `None` where they do not fit.
fn spread(columns: &[usize], needs: &[Need], size: f32, width: f32) -> Option<Part> {
    let gaps = columns.len().saturating_sub(1) as f32;
    let gap = GAP_LEAST * size;
    let room = width - gap * gaps;
    let need = |at: &usize| needs.get(*at).copied().unwrap_or(Need { least: 0.5, most: 0.5 });
    let least: f32 = columns.iter().map(|at| need(at).least * size).sum();
    let most: f32 = columns.iter().map(|at| need(at).most * size).sum();
    if least > room {
        return None;
    }
    if most > room {
        let slack = (room - least) / (most - least);
        let of = |need: Need| size * (need.least + slack * (need.most - need.least));
        return Some(Part { columns: columns.iter().map(|at| (*at, of(need(at)))).collect(), gap, fits: false });
    }
    let gap = if gaps == 0.0 { 0.0 } else { gap + ((room - most) / gaps).min((GAP_MOST - GAP_LEAST) * size) };
    let natural = most + gap * gaps;
    let stretch = if natural >= FILLS * width { (width - gap * gaps) / most } else { 1.0 };
    Some(Part { columns: columns.iter().map(|at| (*at, need(at).most * size * stretch)).collect(), gap, fits: true })
}

/// Equal widths, where nothing else is left: words are broken anywhere.
fn even(columns: &[usize], width: f32) -> Part {
    let gap = GAP_LEAST * IN_PARTS;
    let each = ((width + gap) / columns.len().max(1) as f32 - gap).max(1.0);
    Part { columns: columns.iter().map(|at| (*at, each)).collect(), gap, fits: false }
}
