//! A store: one tank or several alike, with the three volumes that must not be mixed.

use crate::error::{SiteError, quantity};
use series::{Area, Length, Mass, Volume};

/// The outer shape of one tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Upright cylinder.
    Cylinder {
        /// Outer diameter.
        diameter: Length,
        /// Height.
        height: Length,
    },
    /// Box.
    Box {
        /// Length.
        length: Length,
        /// Width.
        width: Length,
        /// Height.
        height: Length,
    },
}

/// Tanks of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Store {
    /// As the owner calls it.
    pub name: String,
    /// What the maker states for one tank.
    pub nominal: Volume,
    /// What lies below the outlet of one tank and cannot be drawn.
    pub dead: Volume,
    /// What lies above the overflow of one tank and never fills.
    pub above_overflow: Volume,
    /// How many.
    pub count: u32,
    /// Outer shape of one tank, where given.
    pub shape: Option<Shape>,
    /// Mass of one empty tank, where given.
    pub empty_mass: Option<Mass>,
    /// Footprint of one tank, from its shape or as given.
    pub footprint: Option<Area>,
}

/// The room there is for tanks.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Space {
    /// Length on the ground.
    pub length: Option<Length>,
    /// Width on the ground.
    pub width: Option<Length>,
    /// Free height.
    pub height: Option<Length>,
}

impl Store {
    /// What one tank gives: nominal less dead volume less the volume above its overflow.
    ///
    /// # Errors
    /// On a volume below zero or not finite, and when the two parts exceed the nominal volume.
    pub fn usable_of_one(&self) -> Result<Volume, SiteError> {
        quantity("nominal volume", self.nominal.get())?;
        quantity("dead volume", self.dead.get())?;
        quantity("volume above the overflow", self.above_overflow.get())?;
        let usable = self.nominal - self.dead - self.above_overflow;
        if usable.get() < 0.0 {
            return Err(SiteError::NothingUsable { name: self.name.clone() });
        }
        Ok(usable)
    }

    /// What all tanks of this kind give.
    ///
    /// # Errors
    /// As [`Store::usable_of_one`].
    pub fn usable(&self) -> Result<Volume, SiteError> {
        Ok(self.usable_of_one()? * f64::from(self.count))
    }

    /// What the maker states for all tanks of this kind.
    pub fn nominal_of_all(&self) -> Volume {
        self.nominal * f64::from(self.count)
    }

    /// Footprint of one tank: as given, or from its shape.
    pub fn footprint_of_one(&self) -> Option<Area> {
        self.footprint.or_else(|| self.shape.map(Shape::footprint))
    }
}

impl Shape {
    /// The area that it stands on, m2.
    pub fn footprint(self) -> Area {
        match self {
            Self::Cylinder { diameter, .. } => Area::new(std::f64::consts::PI / 4.0 * diameter.get() * diameter.get()),
            Self::Box { length, width, .. } => Area::new(length.get() * width.get()),
        }
    }

    /// Its height.
    pub fn height(self) -> Length {
        match self {
            Self::Cylinder { height, .. } | Self::Box { height, .. } => height,
        }
    }

    /// Every measure that it was given by.
    pub fn all_sides(self) -> [Length; 3] {
        match self {
            Self::Cylinder { diameter, height } => [diameter, diameter, height],
            Self::Box { length, width, height } => [length, width, height],
        }
    }

    /// The two sides of the rectangle that it stands in, the shorter one first.
    pub fn sides(self) -> (Length, Length) {
        match self {
            Self::Cylinder { diameter, .. } => (diameter, diameter),
            Self::Box { length, width, .. } => (length.min(width), length.max(width)),
        }
    }

    /// Height over the least width; nothing when that width is not over zero.
    pub fn height_to_width(self) -> Option<f64> {
        let (width, _) = self.sides();
        let ratio = self.height() / width;
        (width.get() > 0.0 && ratio.is_finite()).then_some(ratio)
    }
}

/// What all stores together give.
///
/// # Errors
/// As [`Store::usable_of_one`].
pub fn usable_volume(stores: &[Store]) -> Result<Volume, SiteError> {
    stores.iter().try_fold(Volume::ZERO, |sum, store| Ok(sum + store.usable()?))
}

/// What the makers state for all stores together.
pub fn nominal_volume(stores: &[Store]) -> Volume {
    stores.iter().map(Store::nominal_of_all).fold(Volume::ZERO, |sum, one| sum + one)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tank(nominal: f64, dead: f64, above_overflow: f64, count: u32) -> Store {
        Store {
            name: "tank".to_owned(),
            nominal: Volume::new(nominal),
            dead: Volume::new(dead),
            above_overflow: Volume::new(above_overflow),
            count,
            shape: None,
            empty_mass: None,
            footprint: None,
        }
    }

    #[test]
    fn usable_is_nominal_less_both_ends() {
        // TRADE section 7, row 20: an owner's tank loses 130 L by its overflow's height and 60 L under its outlet.
        assert_eq!(tank(1000.0, 60.0, 130.0, 2).usable(), Ok(Volume::new(1620.0)));
        assert_eq!(usable_volume(&[tank(1000.0, 60.0, 130.0, 2), tank(500.0, 0.0, 0.0, 1)]), Ok(Volume::new(2120.0)));
        assert!(matches!(tank(100.0, 60.0, 130.0, 1).usable(), Err(SiteError::NothingUsable { .. })));
        assert!(tank(f64::NAN, 0.0, 0.0, 1).usable().is_err());
        assert!(tank(100.0, -1.0, 0.0, 1).usable().is_err());
    }
}
