//! Places on the ground around a site, measured with a tape from one corner, and the plane geometry of them.
//!
//! A place is so many metres to the right and so many up the page from that corner. Area: the formula of Gauss (the
//! shoelace formula), `A = |sum(x[i] y[i+1] - x[i+1] y[i])| / 2`. Distances are straight. All in m and m2; every function
//! takes any finite numbers and gives finite ones.

use serde::Serialize;

/// A place on the ground, m from the corner that all is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GroundPoint {
    /// To the right on the page.
    pub right: f64,
    /// Up the page.
    pub up: f64,
}

impl GroundPoint {
    /// A place from its two distances in m.
    pub const fn new(right: f64, up: f64) -> Self {
        Self { right, up }
    }

    /// Straight distance to another place, m.
    pub fn distance(self, other: Self) -> f64 {
        let (right, up) = (other.right - self.right, other.up - self.up);
        (right * right + up * up).sqrt()
    }

    /// The nearest place of a stretch.
    fn nearest_of_stretch(self, from: Self, to: Self) -> Self {
        let (along, across) = (to.right - from.right, to.up - from.up);
        let squared = along * along + across * across;
        let share = if squared > 0.0 { ((self.right - from.right) * along + (self.up - from.up) * across) / squared } else { 0.0 };
        let share = share.clamp(0.0, 1.0);
        Self::new(from.right + share * along, from.up + share * across)
    }
}

/// The sides of an outline: from each corner to the next, and from the last to the first. Of two corners the one side.
pub fn sides(outline: &[GroundPoint]) -> impl Iterator<Item = (GroundPoint, GroundPoint)> + '_ {
    let count = if outline.len() < 3 { outline.len().saturating_sub(1) } else { outline.len() };
    (0..count).map(|at| (outline[at], outline[(at + 1) % outline.len()]))
}

/// Area inside an outline, m2; 0 with fewer than three corners.
pub fn area(outline: &[GroundPoint]) -> f64 {
    if outline.len() < 3 {
        return 0.0;
    }
    let twice: f64 = sides(outline).map(|(a, b)| a.right * b.up - b.right * a.up).sum();
    (twice / 2.0).abs()
}

/// Whether two sides of an outline that are not neighbours meet.
pub fn crosses_itself(outline: &[GroundPoint]) -> bool {
    let all: Vec<_> = sides(outline).collect();
    let count = all.len();
    let neighbours = |a: usize, b: usize| a + 1 == b || (a == 0 && b + 1 == count);
    (0..count).any(|a| (a + 1..count).any(|b| !neighbours(a, b) && meet(all[a], all[b])))
}

/// Whether a place lies inside an outline (rays; a place on a side may count as either).
pub fn contains(outline: &[GroundPoint], place: GroundPoint) -> bool {
    let crossings = sides(outline).filter(|(a, b)| {
        (a.up > place.up) != (b.up > place.up) && place.right < a.right + (place.up - a.up) / (b.up - a.up) * (b.right - a.right)
    });
    outline.len() >= 3 && crossings.count() % 2 == 1
}

/// The place of an outline's sides that is nearest to a place; `None` without any side.
pub fn nearest_on_outline(outline: &[GroundPoint], place: GroundPoint) -> Option<GroundPoint> {
    let nearest = |(a, b): (GroundPoint, GroundPoint)| place.nearest_of_stretch(a, b);
    sides(outline).map(nearest).min_by(|a, b| place.distance(*a).total_cmp(&place.distance(*b)))
}

/// The middle of a side of the first outline that meets the second, where there is one.
pub(crate) fn where_outlines_meet(one: &[GroundPoint], other: &[GroundPoint]) -> Option<GroundPoint> {
    sides(one).find_map(|side| sides(other).find(|&crossing| meet(side, crossing)).map(|_| middle(&[side.0, side.1])))
}

/// The middle of some places; the corner that all is measured from when there are none.
pub fn middle(places: &[GroundPoint]) -> GroundPoint {
    let count = places.len().max(1) as f64;
    let sum = places.iter().fold((0.0, 0.0), |sum, place| (sum.0 + place.right, sum.1 + place.up));
    GroundPoint::new(sum.0 / count, sum.1 / count)
}

/// Length of a way from place to place, m.
pub fn length(way: &[GroundPoint]) -> f64 {
    way.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// On which side of the line from `a` to `b` a place lies: the sign of twice the triangle's area.
fn turn(a: GroundPoint, b: GroundPoint, c: GroundPoint) -> f64 {
    (b.right - a.right) * (c.up - a.up) - (b.up - a.up) * (c.right - a.right)
}

fn meet((a, b): (GroundPoint, GroundPoint), (c, d): (GroundPoint, GroundPoint)) -> bool {
    let within = |from: GroundPoint, to: GroundPoint, place: GroundPoint| {
        turn(from, to, place) == 0.0
            && place.right >= from.right.min(to.right)
            && place.right <= from.right.max(to.right)
            && place.up >= from.up.min(to.up)
            && place.up <= from.up.max(to.up)
    };
    let apart = |one: f64, other: f64| (one > 0.0 && other < 0.0) || (one < 0.0 && other > 0.0);
    (apart(turn(a, b, c), turn(a, b, d)) && apart(turn(c, d, a), turn(c, d, b)))
        || within(a, b, c)
        || within(a, b, d)
        || within(c, d, a)
        || within(c, d, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline(corners: &[(f64, f64)]) -> Vec<GroundPoint> {
        corners.iter().map(|&(right, up)| GroundPoint::new(right, up)).collect()
    }

    /// By hand: an L of 10 x 4 with 6 x 3 set on it (40 + 18 = 58), and a right triangle of 3 by 4 (6), in both directions of going round.
    #[test]
    fn areas_worked_by_hand() {
        let mut l = outline(&[(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (6.0, 4.0), (6.0, 7.0), (0.0, 7.0)]);
        assert_eq!(area(&l), 58.0);
        l.reverse();
        assert_eq!(area(&l), 58.0);
        assert_eq!(area(&outline(&[(1.0, 1.0), (4.0, 1.0), (4.0, 5.0)])), 6.0);
        assert_eq!(area(&outline(&[(1.0, 1.0), (4.0, 1.0)])), 0.0);
    }

    #[test]
    fn crossings() {
        assert!(!crosses_itself(&outline(&[(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (6.0, 4.0), (6.0, 7.0), (0.0, 7.0)])));
        // Two corners swapped: a bow tie. A corner that touches another side. A triangle cannot cross itself.
        assert!(crosses_itself(&outline(&[(0.0, 0.0), (8.0, 4.0), (8.0, 0.0), (0.0, 4.0)])));
        assert!(crosses_itself(&outline(&[(0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (4.0, 0.0), (0.0, 4.0)])));
        assert!(!crosses_itself(&outline(&[(0.0, 0.0), (8.0, 0.0), (0.0, 4.0)])));
    }

    /// By hand: a 3-4-5 triangle, the foot of a perpendicular, the end of a stretch.
    #[test]
    fn distances_worked_by_hand() {
        let origin = GroundPoint::new(0.0, 0.0);
        assert_eq!(origin.distance(GroundPoint::new(3.0, 4.0)), 5.0);
        let (from, to) = (GroundPoint::new(-1.0, 2.0), GroundPoint::new(9.0, 2.0));
        let to_stretch = |place: GroundPoint, from, to| place.distance(place.nearest_of_stretch(from, to));
        assert_eq!(to_stretch(origin, from, to), 2.0);
        assert_eq!(to_stretch(GroundPoint::new(12.0, 6.0), from, to), 5.0);
        assert_eq!(to_stretch(origin, to, to).to_bits(), origin.distance(to).to_bits());
        let square = outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
        assert_eq!(nearest_on_outline(&square, GroundPoint::new(1.0, 3.5)), Some(GroundPoint::new(1.0, 4.0)));
        assert_eq!(nearest_on_outline(&square[..1], origin), None);
        assert!(contains(&square, GroundPoint::new(1.0, 3.5)) && !contains(&square, GroundPoint::new(5.0, 3.5)));
        assert!(!contains(&square[..2], GroundPoint::new(1.0, 0.0)));
        assert_eq!(length(&square), 12.0);
    }
}
