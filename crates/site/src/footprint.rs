//! Footprints of tanks on the ground, and how near they come to a boundary, a wall or each other.
//!
//! Of two outlines that do not cross, the nearest places are a corner of one and a side of the other; of a circle and an outline, they lie
//! on the line from the middle to the nearest place of the outline. Where they cross the distance is 0. All in m.

use crate::Shape;
use crate::ground::{self, GroundPoint};
use crate::site_file::{SiteFile, StoreEntry};

/// Two footprints that share less than a strip of this width, m, only touch: a tape gives no better.
const TOUCH: f64 = 0.02;

/// What a tank covers, seen from above.
#[derive(Debug, Clone, PartialEq)]
pub enum Footprint {
    /// An upright cylinder, or a place alone with a radius of 0.
    Round {
        /// Its middle.
        middle: GroundPoint,
        /// Its radius, m.
        radius: f64,
    },
    /// A box, by its corners in the order of going round.
    Corners(Vec<GroundPoint>),
}

/// The nearest places of a footprint and of what it is near to, with the distance between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// On the footprint.
    pub from: GroundPoint,
    /// On the other.
    pub to: GroundPoint,
    /// Distance, m; 0 where they cross.
    pub distance: f64,
}

impl Nearest {
    fn between(from: GroundPoint, to: GroundPoint) -> Self {
        Self { from, to, distance: from.distance(to) }
    }

    fn nearer(self, other: Self) -> Self {
        if other.distance < self.distance { other } else { self }
    }
}

impl Footprint {
    /// The footprints of a store's tanks, where places are given: the outer shape, or else the middles alone.
    pub fn of_store(entry: &StoreEntry) -> Vec<Self> {
        let of = |&middle: &GroundPoint| match entry.store.shape {
            Some(Shape::Cylinder { diameter, .. }) => Self::Round { middle, radius: diameter.get() / 2.0 },
            Some(Shape::Box { length, width, .. }) => Self::Corners(entry.layout.length_along.rectangle(middle, length, width).to_vec()),
            None => Self::Round { middle, radius: 0.0 },
        };
        entry.layout.places.iter().map(of).collect()
    }

    /// Where it comes nearest to an outline (or a single side); `None` without any side.
    pub fn nearest_to(&self, outline: &[GroundPoint]) -> Option<Nearest> {
        match self {
            Self::Round { middle, radius } => {
                let to = ground::nearest_on_outline(outline, *middle)?;
                let whole = middle.distance(to);
                let share = if whole > *radius { radius / whole } else { 1.0 };
                let from = GroundPoint::new(middle.right + share * (to.right - middle.right), middle.up + share * (to.up - middle.up));
                Some(Nearest { from, to, distance: (whole - radius).max(0.0) })
            }
            Self::Corners(corners) => {
                if let Some(at) = ground::where_outlines_meet(corners, outline) {
                    return Some(Nearest { from: at, to: at, distance: 0.0 });
                }
                let mine =
                    corners.iter().filter_map(|&corner| Some(Nearest::between(corner, ground::nearest_on_outline(outline, corner)?)));
                let theirs =
                    outline.iter().filter_map(|&corner| Some(Nearest::between(ground::nearest_on_outline(corners, corner)?, corner)));
                // Without a side there is no distance, even where there is a corner.
                ground::sides(outline).next()?;
                mine.chain(theirs).reduce(Nearest::nearer)
            }
        }
    }

    /// Whether a line runs through it, more than touching.
    pub fn is_crossed_by(&self, outline: &[GroundPoint]) -> bool {
        self.shrunk().is_some_and(|inner| inner.nearest_to(outline).is_some_and(|nearest| nearest.distance <= 0.0))
    }

    /// Whether it stands on the same ground as another, more than touching.
    pub fn overlaps(&self, other: &Self) -> bool {
        let (Some(one), Some(two)) = (self.shrunk(), other.shrunk()) else {
            return self.middle().distance(other.middle()) < TOUCH;
        };
        match (&one, &two) {
            (Self::Round { middle: a, radius: r }, Self::Round { middle: b, radius: s }) => a.distance(*b) < r + s,
            (Self::Round { middle, .. }, Self::Corners(corners)) | (Self::Corners(corners), Self::Round { middle, .. }) => {
                let round = if matches!(one, Self::Round { .. }) { &one } else { &two };
                ground::contains(corners, *middle) || round.nearest_to(corners).is_some_and(|nearest| nearest.distance <= 0.0)
            }
            (Self::Corners(a), Self::Corners(b)) => {
                ground::where_outlines_meet(a, b).is_some() || ground::contains(a, two.middle()) || ground::contains(b, one.middle())
            }
        }
    }

    fn middle(&self) -> GroundPoint {
        match self {
            Self::Round { middle, .. } => *middle,
            Self::Corners(corners) => ground::middle(corners),
        }
    }

    /// The same without a rim of half of [`TOUCH`]; nothing where nothing is left.
    fn shrunk(&self) -> Option<Self> {
        let rim = TOUCH / 2.0;
        match self {
            Self::Round { middle, radius } => (*radius > rim).then_some(Self::Round { middle: *middle, radius: radius - rim }),
            Self::Corners(corners) => {
                let middle = self.middle();
                let moved = |from: f64, to: f64| if (from - to).abs() > rim { from + rim * (to - from).signum() } else { to };
                let inner: Vec<_> =
                    corners.iter().map(|corner| GroundPoint::new(moved(corner.right, middle.right), moved(corner.up, middle.up))).collect();
                (ground::area(&inner) > 0.0).then_some(Self::Corners(inner))
            }
        }
    }
}

/// Where a tank of the site comes nearest to the property boundary.
pub fn nearest_to_boundary(site: &SiteFile) -> Option<Nearest> {
    of_stores(&site.plan.boundary, site.stores.iter())
}

/// Where an overflow of the site runs out nearest to a wall.
pub fn nearest_to_wall(site: &SiteFile) -> Option<Nearest> {
    ends_to_walls(site.stores.iter(), &site.plan.buildings.iter().map(|building| building.outline.as_slice()).collect::<Vec<_>>())
}

pub(crate) fn of_stores<'a>(boundary: &[GroundPoint], stores: impl Iterator<Item = &'a StoreEntry>) -> Option<Nearest> {
    stores.flat_map(Footprint::of_store).filter_map(|footprint| footprint.nearest_to(boundary)).reduce(Nearest::nearer)
}

pub(crate) fn ends_to_walls<'a>(stores: impl Iterator<Item = &'a StoreEntry>, walls: &[&[GroundPoint]]) -> Option<Nearest> {
    let ends = stores.filter_map(|entry| entry.layout.overflow_path.last().copied());
    let each =
        ends.flat_map(|end| walls.iter().filter_map(move |wall| Some(Nearest::between(end, ground::nearest_on_outline(wall, end)?))));
    each.reduce(Nearest::nearer)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(corners: &[(f64, f64)]) -> Vec<GroundPoint> {
        corners.iter().map(|&(right, up)| GroundPoint::new(right, up)).collect()
    }

    fn box_of(left: f64, bottom: f64, right: f64, top: f64) -> Footprint {
        Footprint::Corners(points(&[(left, bottom), (right, bottom), (right, top), (left, top)]))
    }

    fn round(right: f64, up: f64, radius: f64) -> Footprint {
        Footprint::Round { middle: GroundPoint::new(right, up), radius }
    }

    /// By hand: a corner of the boundary 0.2 m above the long side of a box, whose own corners are 1.51 m and more away.
    #[test]
    fn a_corner_of_the_boundary_against_a_side_of_the_tank() {
        let boundary = points(&[(0.0, 20.0), (1.5, 9.7), (3.0, 20.0)]);
        let nearest = box_of(0.0, 8.5, 3.0, 9.5).nearest_to(&boundary).unwrap();
        assert!((nearest.distance - 0.2).abs() < 1e-12);
        assert_eq!((nearest.from, nearest.to), (GroundPoint::new(1.5, 9.5), GroundPoint::new(1.5, 9.7)));
    }

    /// By hand: a side at 9.2 m runs through a box from 8.5 to 9.5 m and through a circle about 9 m with a radius of 0.5 m.
    #[test]
    fn a_boundary_through_a_tank_is_at_no_distance() {
        let side = points(&[(-5.0, 9.2), (9.0, 9.2)]);
        for tank in [box_of(0.0, 8.5, 3.0, 9.5), round(1.0, 9.0, 0.5)] {
            assert_eq!(tank.nearest_to(&side).map(|nearest| nearest.distance), Some(0.0));
            assert!(tank.is_crossed_by(&side));
        }
        // Touching is not crossing.
        let touching = points(&[(-5.0, 9.5), (9.0, 9.5)]);
        assert!(!box_of(0.0, 8.5, 3.0, 9.5).is_crossed_by(&touching) && !round(1.0, 9.0, 0.5).is_crossed_by(&touching));
        let clear = points(&[(-5.0, 10.0), (9.0, 10.0)]);
        assert_eq!(round(1.0, 9.0, 0.5).nearest_to(&clear).map(|nearest| nearest.distance), Some(0.5));
        assert_eq!(box_of(0.0, 8.5, 3.0, 9.5).nearest_to(&clear[..1]), None);
    }

    #[test]
    fn tanks_on_the_same_ground() {
        assert!(round(0.0, 0.0, 0.5).overlaps(&round(0.0, 0.0, 0.5)));
        assert!(round(0.0, 0.0, 0.5).overlaps(&round(0.9, 0.0, 0.5)));
        assert!(!round(0.0, 0.0, 0.5).overlaps(&round(1.0, 0.0, 0.5)));
        assert!(box_of(0.0, 0.0, 2.0, 1.0).overlaps(&box_of(1.9, 0.0, 3.0, 1.0)));
        assert!(box_of(0.0, 0.0, 2.0, 1.0).overlaps(&box_of(0.0, 0.0, 2.0, 1.0)));
        assert!(!box_of(0.0, 0.0, 2.0, 1.0).overlaps(&box_of(2.0, 0.0, 3.0, 1.0)));
        // Inside one another, and at a corner: the middle of the circle is 0.5 m from each side, the corner 0.71 m away.
        assert!(box_of(0.0, 0.0, 4.0, 4.0).overlaps(&round(2.0, 2.0, 0.5)) && round(2.0, 2.0, 0.5).overlaps(&box_of(0.0, 0.0, 4.0, 4.0)));
        assert!(!box_of(0.0, 0.0, 2.0, 1.0).overlaps(&round(2.5, 1.5, 0.6)));
        // Places without a size.
        assert!(round(1.0, 1.0, 0.0).overlaps(&round(1.0, 1.0, 0.0)) && !round(1.0, 1.0, 0.0).overlaps(&round(1.5, 1.0, 0.0)));
    }
}
