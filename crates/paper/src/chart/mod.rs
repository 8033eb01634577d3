//! Charts: plain data in, one SVG drawing out. One file a kind; what the kinds share is in [`frame`] (axes, keys),
//! [`ticks`] (round numbers), `svg` (the writer) and [`text`] (widths of text).
//!
//! House style: one ink (`currentColor`, so a page may turn it for a dark screen), told apart by dashes, hatches and
//! labels, never by colour; bars start at zero; the unit stands in the axis title; nothing is clipped. A drawing is 680
//! units wide and meant for 170 mm, so that one unit is a quarter of a millimetre and 11 units are 7.8 pt.
//! The same data gives the same bytes; coordinates have two decimals. Empty data and values that are not finite give
//! an empty frame that says so, never a panic.

use serde::Serialize;

use crate::document::Inline;

pub mod bars;
pub mod cells;
pub mod curve;
pub mod depth_duration;
pub mod exceedance;
pub mod frame;
pub mod label;
pub mod map;
mod place;
pub mod shares;
pub(crate) mod svg;
pub mod text;
pub mod ticks;
pub mod trace;

pub use bars::{Bar, Bars};
pub use cells::{CellRow, CellValue, Cells};
pub use curve::{Band, Curve, Line, PlottedPoint, Reference, ReferenceAxis};
pub use depth_duration::{Depth, DepthDuration, DurationLine};
pub use exceedance::Exceedance;
pub use frame::Axis;
pub use label::Label;
pub use map::{MapPlace, MapWords, PlaceMap};
pub use shares::{Part, Shares};
pub use text::ChartFont;
pub use ticks::Marks;
pub use trace::{Amounts, AmountsPlace, Level, Trace};

/// Width of every drawing, in its own units.
pub const WIDTH: f64 = 680.0;
/// Width that a drawing is made for, in millimetres.
pub const WIDTH_MM: f64 = 170.0;

/// What every chart says about itself in words.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct ChartText {
    /// Id, unique in a document.
    pub id: String,
    /// What the chart shows, in a few words.
    pub title: String,
    /// What there is to see in it, for someone who cannot see it.
    pub description: Label,
    /// Printed below, after the title.
    pub caption: Vec<Inline>,
    /// Printed in the empty frame when there is nothing to draw; empty: "no data".
    pub no_data: String,
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChartDrawing {
    /// Id, unique in a document.
    pub id: String,
    /// The drawing: one `<svg>` element with title and description; also a file of its own.
    pub svg: String,
    /// What the chart shows.
    pub title: String,
    /// What there is to see in it, in words.
    pub description: String,
    /// Printed below, after the title.
    pub caption: Vec<Inline>,
    /// Width in drawing units (a quarter of a millimetre at 170 mm).
    pub width: f64,
    /// Height in drawing units.
    pub height: f64,
}

#[cfg(test)]
pub(crate) mod tests;
