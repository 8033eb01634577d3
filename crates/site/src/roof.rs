//! A roof face: its plan area, covering and losses.

use series::{Area, Depth};

/// What a roof is covered with. Each has a published range of runoff coefficients (CHECKS C2).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Covering {
    /// Corrugated or standing-seam metal.
    Metal,
    /// Clay or concrete tiles.
    Tile,
    /// Slate.
    Slate,
    /// Asphalt (bitumen) shingles.
    AsphaltShingle,
    /// A smooth flat membrane.
    FlatMembrane,
    /// A flat roof with gravel.
    FlatGravel,
    /// A planted roof.
    Green,
    /// Timber shakes or shingles.
    TimberShake,
    /// Asbestos cement.
    AsbestosCement,
    /// Anything else: the site file must give its own coefficient.
    Other,
}

/// What share of the rain a roof sheds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunoffCoefficient {
    /// Of the rain that is left after the wetting loss, event by event; first flush and screen are charged on their own.
    Event(f64),
    /// Of the whole year's rain, every loss included: switches the other losses off (CHECKS H12).
    Annual(f64),
}

/// One roof face or one roof.
#[derive(Debug, Clone, PartialEq)]
pub struct Roof {
    /// As the owner calls it.
    pub name: String,
    /// Horizontal projection, never the sloping area.
    pub plan_area: Area,
    /// Its covering.
    pub covering: Covering,
    /// What share it sheds.
    pub runoff_coefficient: RunoffCoefficient,
    /// Depth that wets the covering on each day with rain and never runs off.
    pub wetting_loss: Depth,
}
