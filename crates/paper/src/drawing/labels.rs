//! Places for words: nowhere outside the frame, never over each other, over as few lines as can be, and near to what they
//! name; with a fine line to it where they stand apart. All in mm, y downwards.

use crate::plane::share_inside;
pub(super) use crate::plane::{Point, Segment};

/// A rectangle on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Rectangle {
    /// Whether two rectangles share more than an edge.
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether the other one lies inside.
    pub fn holds(&self, other: &Self) -> bool {
        other.left >= self.left && other.right <= self.right && other.top >= self.top && other.bottom <= self.bottom
    }

    /// The part of a stroke that lies inside, as two shares of it; none where they only touch.
    pub fn inside(&self, stroke: &Segment) -> Option<(f64, f64)> {
        share_inside(&(self.left, self.top, self.right, self.bottom), stroke).filter(|(from, to)| from < to)
    }

    fn nearest(&self, (x, y): Point) -> Point {
        (x.max(self.left).min(self.right), y.max(self.top).min(self.bottom))
    }
}

/// What words keep off, and where they may stand.
pub(super) struct Room {
    pub(super) frame: Rectangle,
    pub(super) taken: Vec<Rectangle>,
    pub(super) strokes: Vec<Segment>,
}

/// Farther than this from what they name words get a line to it, mm.
const NEAR: f64 = 2.2;

impl Room {
    /// A free place of `wide` by `high` within `reach` of `at`, with the line to it where it stands apart; taken from then on. `clear`: over no
    /// line at all.
    pub(super) fn place(&mut self, at: Point, (wide, high): (f64, f64), reach: f64, clear: bool) -> Option<(Rectangle, Option<Segment>)> {
        const STEP: f64 = 1.5;
        let steps = libm::ceil(reach / STEP) as i32;
        let mut best: Option<(f64, Rectangle)> = None;
        for down in -steps..=steps {
            for across in -steps..=steps {
                let (dx, dy) = (f64::from(across) * STEP, f64::from(down) * STEP);
                let (left, top) = (at.0 + dx - wide / 2.0, at.1 + dy - high / 2.0);
                let rectangle = Rectangle { left, top, right: left + wide, bottom: top + high };
                if !self.frame.holds(&rectangle) || self.taken.iter().any(|other| rectangle.meets(other)) {
                    continue;
                }
                if clear && self.strokes.iter().any(|stroke| rectangle.inside(stroke).is_some()) {
                    continue;
                }
                let cost = self.cost(at, &rectangle);
                if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                    best = Some((cost, rectangle));
                }
            }
        }
        let (_, rectangle) = best?;
        self.taken.push(rectangle);
        let end = rectangle.nearest(at);
        let apart = distance(end, at) > NEAR;
        if apart {
            self.strokes.push((at, end));
        }
        Some((rectangle, apart.then_some((at, end))))
    }

    fn cost(&self, at: Point, rectangle: &Rectangle) -> f64 {
        let crossed = self.strokes.iter().filter(|stroke| rectangle.inside(stroke).is_some()).count();
        let end = rectangle.nearest(at);
        let away = distance(end, at);
        // A line to the words should not run through other words.
        let over = self.taken.iter().filter(|other| away > NEAR && other.inside(&(at, end)).is_some()).count();
        let middle = (f64::midpoint(rectangle.left, rectangle.right), f64::midpoint(rectangle.top, rectangle.bottom));
        away + 0.05 * distance(middle, at) + 14.0 * crossed as f64 + 20.0 * over as f64
    }
}

fn distance(a: Point, b: Point) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(wide: f64, high: f64) -> Room {
        Room { frame: Rectangle { left: 0.0, top: 0.0, right: wide, bottom: high }, taken: Vec::new(), strokes: Vec::new() }
    }

    #[test]
    fn words_never_cover_each_other_nor_leave_the_frame() {
        let mut room = room(60.0, 40.0);
        let mut found = Vec::new();
        while let Some((rectangle, _)) = room.place((30.0, 20.0), (15.0, 3.5), 60.0, false) {
            assert!(room.frame.holds(&rectangle) && found.iter().all(|other| !rectangle.meets(other)));
            found.push(rectangle);
        }
        // Three beside each other, nine below each other at the best; some room is lost.
        assert!(found.len() > 15, "{}", found.len());
    }

    #[test]
    fn words_keep_off_lines_and_lead_back_when_they_stand_apart() {
        let mut room = room(60.0, 40.0);
        room.strokes.push(((0.0, 20.0), (60.0, 20.0)));
        let (rectangle, _) = room.place((30.0, 20.0), (15.0, 3.5), 20.0, true).unwrap();
        assert!(rectangle.inside(&room.strokes[0]).is_none(), "{rectangle:?}");
        room.taken.push(Rectangle { left: 5.0, top: 5.0, right: 55.0, bottom: 35.0 });
        let (far, line) = room.place((30.0, 20.0), (15.0, 3.5), 40.0, false).unwrap();
        assert!(far.top > 34.9 || far.bottom < 5.1 && line.is_some());
        assert!(room.place((30.0, 20.0), (70.0, 3.5), 40.0, false).is_none());
    }
}
