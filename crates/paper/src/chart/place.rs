//! A place beside a point for its label, where it covers the least of what is already drawn.

use super::frame::Plot;
use crate::plane::{Segment, share_inside};

/// A rectangle: left, top, right, bottom.
pub(super) type Rectangle = (f64, f64, f64, f64);

/// What labels should keep off.
#[derive(Default)]
pub(super) struct Obstacles {
    pub(super) segments: Vec<Segment>,
    pub(super) rectangles: Vec<Rectangle>,
}

impl Obstacles {
    /// The rectangle (`wide` by `high`) beside the point that meets the fewest strokes and other labels and lies inside
    /// the plot; of equals, the first of: above right, above left, below right, below left, and the same farther off.
    pub(super) fn place(&mut self, plot: &Plot, (x, y): (f64, f64), wide: f64, high: f64) -> Rectangle {
        let candidates = [6.0, 16.0].into_iter().flat_map(|off| {
            let (left, right) = (x - off - wide, x + off);
            let (above, below) = (y - off * 0.5 - high, y + off * 0.5);
            [(right, above), (left, above), (right, below), (left, below)]
        });
        let boxes = candidates.map(|(left, top)| (left, top, left + wide, top + high));
        let best = boxes.min_by_key(|rectangle| self.cost(plot, rectangle));
        let best = best.unwrap_or((x, y, x + wide, y + high));
        self.rectangles.push(best);
        best
    }

    fn cost(&self, plot: &Plot, rectangle: &Rectangle) -> usize {
        let &(left, top, right, bottom) = rectangle;
        let outside = left < plot.left || right > plot.right || top < plot.top || bottom > plot.bottom;
        let covered = self.rectangles.iter().filter(|other| meet(rectangle, other)).count();
        let crossed = self.segments.iter().filter(|segment| crosses(rectangle, segment)).count();
        usize::from(outside) * 1000 + covered * 100 + crossed
    }
}

pub(super) fn meet(a: &Rectangle, b: &Rectangle) -> bool {
    a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3
}

/// Whether a stroke enters a rectangle.
pub(super) fn crosses(rectangle: &Rectangle, stroke: &Segment) -> bool {
    share_inside(rectangle, stroke).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLOT: Plot = Plot { left: 0.0, right: 200.0, top: 0.0, bottom: 200.0 };

    #[test]
    fn strokes_that_enter_are_found() {
        let rectangle = (10.0, 10.0, 20.0, 20.0);
        assert!(crosses(&rectangle, &((0.0, 0.0), (30.0, 30.0))));
        assert!(crosses(&rectangle, &((12.0, 12.0), (13.0, 13.0))));
        assert!(!crosses(&rectangle, &((0.0, 15.0), (9.0, 15.0))));
        assert!(!crosses(&rectangle, &((0.0, 25.0), (25.0, 50.0))));
    }

    #[test]
    fn a_label_keeps_off_lines_other_labels_and_the_edge() {
        let mut obstacles = Obstacles::default();
        obstacles.segments.push(((50.0, 0.0), (200.0, 200.0)));
        let first = obstacles.place(&PLOT, (100.0, 100.0), 40.0, 10.0);
        let second = obstacles.place(&PLOT, (100.0, 100.0), 40.0, 10.0);
        assert!(!meet(&first, &second));
        let edge = obstacles.place(&PLOT, (198.0, 2.0), 40.0, 10.0);
        assert!(edge.2 <= 200.0 && edge.1 >= 0.0, "{edge:?}");
    }
}
