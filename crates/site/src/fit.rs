//! Whether tanks go into the room that the owner measured: geometry alone, without room to walk, to build or to service.
//!
//! Tanks alike stand in rows, all turned the same way; every number of rows and both ways are tried. A length of the room that is not
//! given keeps the answer open, unless the given ones rule the tanks out already.

use crate::error::{SiteError, positive, quantity};
use crate::store::{Shape, Space, Store};
use series::Length;

/// Whether something goes into the room.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "fit")]
pub enum Fit {
    /// It does, in so many rows.
    Fits {
        /// Tanks along the room's length.
        along_length: u32,
        /// Tanks along its width.
        along_width: u32,
        /// Whether a box stands with its longer side across the room's length.
        turned: bool,
    },
    /// It does not.
    DoesNotFit {
        /// Whether it is the height that rules it out.
        too_high: bool,
    },
    /// The site file does not say enough.
    CannotTell {
        /// What would tell, such as `space.length`.
        needs: Vec<&'static str>,
    },
}

/// Measures by tape agree to a millimetre; a tank of just the room's size goes in.
const TAPE_METRES: f64 = 1e-9;

/// Whether all tanks of one kind go into the room together, with nothing else in it.
///
/// # Errors
/// On a side or height of the tank that is not over zero, and on a length of the room below zero or not finite.
pub fn fit(store: &Store, space: &Space) -> Result<Fit, SiteError> {
    let mut needs = Vec::new();
    for (known, key) in
        [(space.length.is_some(), "space.length"), (space.width.is_some(), "space.width"), (space.height.is_some(), "space.height")]
    {
        if !known {
            needs.push(key);
        }
    }
    let Some(shape) = store.shape else {
        needs.insert(0, "store.shape");
        return Ok(Fit::CannotTell { needs });
    };
    for side in shape.all_sides() {
        positive("tank side", side.get())?;
    }
    for length in [space.length, space.width, space.height].into_iter().flatten() {
        quantity("space", length.get())?;
    }
    // What is not known rules nothing out.
    let room = |length: Option<Length>| length.map_or(f64::INFINITY, Length::get);
    if !goes(shape.height(), 1, room(space.height)) {
        return Ok(Fit::DoesNotFit { too_high: true });
    }
    let Some(arrangement) = arrange(shape, store.count.max(1), room(space.length), room(space.width)) else {
        return Ok(Fit::DoesNotFit { too_high: false });
    };
    Ok(if needs.is_empty() { arrangement } else { Fit::CannotTell { needs } })
}

fn goes(side: Length, tanks: u32, room: f64) -> bool {
    side.get() * f64::from(tanks) <= room + TAPE_METRES
}

fn arrange(shape: Shape, count: u32, length: f64, width: f64) -> Option<Fit> {
    let (shorter, longer) = shape.sides();
    for (turned, along, across) in [(false, longer, shorter), (true, shorter, longer)] {
        // The most that stand in one row decide how many rows there must be; no other number of rows needs less width.
        let in_a_row = if length.is_finite() { ((length + TAPE_METRES) / along.get()).floor() } else { f64::from(count) };
        if in_a_row < 1.0 {
            continue;
        }
        let along_length = in_a_row.min(f64::from(count)) as u32;
        let along_width = count.div_ceil(along_length);
        if goes(along, along_length, length) && goes(across, along_width, width) {
            return Some(Fit::Fits { along_length, along_width, turned });
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::Volume;

    fn tank(length: f64, width: f64, height: f64, count: u32) -> Store {
        Store {
            name: "tank".to_owned(),
            nominal: Volume::new(1000.0),
            dead: Volume::ZERO,
            above_overflow: Volume::ZERO,
            count,
            shape: Some(Shape::Box { length: Length::new(length), width: Length::new(width), height: Length::new(height) }),
            empty_mass: None,
            footprint: None,
        }
    }

    fn space(length: f64, width: f64, height: f64) -> Space {
        let some = |metres: f64| (metres > 0.0).then(|| Length::new(metres));
        Space { length: some(length), width: some(width), height: some(height) }
    }

    fn fit(store: &Store, space: &Space) -> Fit {
        super::fit(store, space).unwrap()
    }

    #[test]
    fn tanks_may_be_turned_and_stand_in_rows() {
        // By hand.
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 1), &space(1.0, 2.0, 1.5)), Fit::Fits { along_length: 1, along_width: 1, turned: true });
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 4), &space(4.0, 2.0, 2.0)), Fit::Fits { along_length: 2, along_width: 2, turned: false });
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 5), &space(4.0, 2.0, 2.0)), Fit::DoesNotFit { too_high: false });
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 1), &space(4.0, 2.0, 1.4)), Fit::DoesNotFit { too_high: true });
        // Three of 0.6 m in 1.8 m: rounding must not cost a tank.
        assert_eq!(fit(&tank(0.6, 0.6, 1.0, 3), &space(1.8, 0.6, 1.0)), Fit::Fits { along_length: 3, along_width: 1, turned: false });
    }

    #[test]
    fn what_is_not_given_keeps_the_answer_open() {
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 1), &space(4.0, 0.0, 2.0)), Fit::CannotTell { needs: vec!["space.width"] });
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 1), &space(0.5, 0.0, 2.0)), Fit::DoesNotFit { too_high: false });
        assert_eq!(fit(&tank(2.0, 1.0, 1.5, 1), &space(0.0, 0.0, 1.0)), Fit::DoesNotFit { too_high: true });
        let shapeless = Store { shape: None, ..tank(1.0, 1.0, 1.0, 1) };
        assert_eq!(fit(&shapeless, &space(4.0, 4.0, 4.0)), Fit::CannotTell { needs: vec!["store.shape"] });
        for bad in [tank(f64::NAN, 1.0, 1.0, 1), tank(1.0, 1.0, f64::NAN, 1), tank(1.0, 0.0, 1.0, 1), tank(1.0, -1.0, 1.0, 1)] {
            assert!(super::fit(&bad, &space(4.0, 4.0, 4.0)).is_err());
        }
        let negative = Space { length: Some(Length::new(-1.0)), ..Space::default() };
        assert!(super::fit(&tank(1.0, 1.0, 1.0, 1), &negative).is_err());
    }
}
