//! A store: one tank or several alike, with the three volumes that must not be mixed.

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
