//! Drawings at true size: shapes in metres in, one SVG out whose millimetres are millimetres on paper at a round scale,
//! with scale bar, north arrow, legend and key.
//!
//! A scene is what stands somewhere: outlines, lines, circles, spots, dimension lines, heights, names. [`draw`] takes the
//! first scale at which the scene goes on the sheet ([`scale`]), finds places for all names where they cover neither each
//! other nor more lines than they must ([`labels`]), and writes one SVG with its size in millimetres; one unit of its
//! view box is a millimetre. A name that has no room beside its place gets a number there and stands in the key.
//!
//! Lines and areas are told apart by dash, weight and hatch, never by colour. The least type is 7.4 pt. The same scene gives the same bytes. What is
//! not finite is left out, and nothing makes it panic. [`DottedGrid`] is the sheet to draw on by hand.

use serde::Serialize;

use crate::document::Inline;

mod grid;
mod hatch;
pub mod labels;
pub mod scale;
mod sheet;
mod writer;

pub use grid::{DottedGrid, Square};
pub use scale::{METRIC, METRIC_LARGE, Scale, US_CUSTOMARY, US_CUSTOMARY_LARGE};
pub use sheet::draw;

/// Type size of every word on a drawing, mm: 7.4 pt.
pub const TYPE_MM: f64 = 2.6;
/// Width of every drawing, mm: a hair less than the text of A4 (170 mm), so that no browser shrinks the sheet.
pub const WIDTH_MM: f64 = 168.0;
/// Greatest height, mm: with its caption a drawing goes on A4 and Letter.
pub const MOST_HEIGHT_MM: f64 = 212.0;

/// A place, m: to the right, and up the page.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spot {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

impl Spot {
    /// A place from its two distances in m.
    pub const fn new(x: f64, y: f64) -> Self {
        Spot { x, y }
    }
}

/// What a shape is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Form {
    /// A closed outline.
    Outline(Vec<Spot>),
    /// A line through places.
    Line(Vec<Spot>),
    /// A line through places with an arrow head at its end.
    Arrow(Vec<Spot>),
    /// A circle.
    Circle {
        /// Its middle.
        middle: Spot,
        /// Its radius, m.
        radius: f64,
    },
    /// A spot, shown by a small sign of one size at every scale.
    Sign(Spot),
}

/// How a line is drawn; told apart without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Stroke {
    /// Heavy, unbroken.
    Heavy,
    /// Middle weight, unbroken.
    Plain,
    /// Thin, unbroken.
    Thin,
    /// Middle weight, dashes.
    Dashed,
    /// Broad, dash and dot: seen on a line that it runs along.
    DashDot,
    /// Heavy, a long dash and two dots.
    Boundary,
    /// Middle weight, dots.
    Dotted,
}

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Fill {
    /// Not at all.
    None,
    /// Lines rising to the right.
    Rising,
    /// Lines falling to the right.
    Falling,
    /// Both.
    Crossed,
    /// Level lines.
    Level,
}

/// A shape with its style.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shape {
    /// What it is.
    pub form: Form,
    /// Its line.
    pub stroke: Stroke,
    /// Its fill; lines and signs have none.
    pub fill: Fill,
}

/// A name or remark at a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Label {
    /// What is named.
    pub at: Spot,
    /// The words.
    pub words: String,
}

/// A measured distance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dimension {
    /// From here.
    pub from: Spot,
    /// To here.
    pub to: Spot,
    /// The distance in words.
    pub words: String,
}

/// Heights that are written one above the other to the right of what has them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Levels {
    /// Where the lines to the words begin, m to the right.
    pub from: f64,
    /// The words stand above this height, m, as far as there is room.
    pub above: f64,
    /// Each height, m, with its words.
    pub levels: Vec<(f64, String)>,
}

/// What a line or hatch means.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Meaning {
    /// The line.
    pub stroke: Stroke,
    /// The hatch; with `Fill::None` a line is shown (a thin one as a distance, with its ends), else an area.
    pub fill: Fill,
    /// Whether the sample is the small sign of [`Form::Sign`].
    pub sign: bool,
    /// The words.
    pub words: String,
}

/// The words about a drawing.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct DrawingText {
    /// Id, unique in a document.
    pub id: String,
    /// What it shows, in a few words.
    pub title: String,
    /// What there is to see in it, for someone who cannot see it.
    pub description: String,
    /// Printed beside the scale bar; `{scale}` becomes the scale.
    pub scale: String,
    /// The letter at the north arrow.
    pub north: String,
}

/// Everything on a drawing.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Scene {
    /// The shapes, the first one lowest.
    pub shapes: Vec<Shape>,
    /// Names.
    pub labels: Vec<Label>,
    /// Distances.
    pub dimensions: Vec<Dimension>,
    /// Heights.
    pub levels: Vec<Levels>,
    /// The legend.
    pub meanings: Vec<Meaning>,
    /// Degrees clockwise from north in which the top looks; `None`: no arrow.
    pub bearing_of_top: Option<f64>,
}

/// A finished drawing with a true size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SizedDrawing {
    /// Id, unique in a document.
    pub id: String,
    /// One `<svg>` element with title and description; also a file of its own.
    pub svg: String,
    /// What it shows.
    pub title: String,
    /// What there is to see in it, in words.
    pub description: String,
    /// Printed below, after the title.
    pub caption: Vec<Inline>,
    /// Width on paper, mm.
    pub width_mm: f64,
    /// Height on paper, mm.
    pub height_mm: f64,
    /// The scale in words, such as `1:100`; none of a sheet to draw on.
    pub scale: Option<String>,
}

#[cfg(test)]
mod tests;
