//! The plan and the elevation of the report, from the site file: what it gives is drawn to scale by `paper`, what it does
//! not give is left out and named. Without enough for a drawing there is a dotted grid to draw on.

mod elevation;
mod plan;

use crate::number_text::NumberStyle;
use crate::words::Words;
use paper::chart::ChartFont;
use paper::document::Inline;
use paper::drawing::{DottedGrid, DrawingText, Fill, Meaning, SizedDrawing, Spot, Square, Stroke};
use series::{Unit, UnitSystem};
use site::GroundPoint;
use site::site_file::SiteFile;
use std::collections::{BTreeMap, BTreeSet};

/// Most names on a drawing; what more there is stands in the list of what is not drawn.
const MOST_NAMES: usize = 40;

/// What drawings are made from.
pub(crate) struct DrawingMaker<'a> {
    pub(crate) site: &'a SiteFile,
    pub(crate) words: &'a Words,
    pub(crate) style: &'a NumberStyle,
    pub(crate) font: &'a ChartFont,
}

/// The drawings of a report.
#[derive(Debug, Default)]
pub(crate) struct Drawings {
    /// `plan` and `elevation`, where they could be drawn.
    pub(crate) drawn: BTreeMap<String, SizedDrawing>,
    /// A grid for each that could not.
    pub(crate) grids: BTreeMap<String, SizedDrawing>,
    /// Those of them on which nothing is missing that the site file could have given.
    pub(crate) whole: BTreeSet<&'static str>,
    /// What is missing on each, in words.
    pub(crate) not_drawn: BTreeMap<String, Vec<String>>,
}

impl DrawingMaker<'_> {
    /// Both drawings, or the grids in their place.
    pub(crate) fn all(&self) -> Drawings {
        let mut all = Drawings::default();
        // The site file has no key for the pipe between tanks.
        let links: Vec<String> = self.site.stores.iter().map(|entry| self.with("no_link", &[("name", &entry.store.name)])).collect();
        for (id, (drawing, not_drawn)) in [("plan", self.plan()), ("elevation", self.elevation())] {
            match drawing {
                Some(drawing) => {
                    let caption = vec![Inline::Text(self.word(&format!("{id}_caption")))];
                    if not_drawn.iter().all(|missing| links.contains(missing)) {
                        all.whole.insert(id);
                    }
                    all.drawn.insert(id.to_owned(), SizedDrawing { caption, ..drawing });
                    all.not_drawn.insert(id.to_owned(), not_drawn);
                }
                None => {
                    all.grids.insert(id.to_owned(), self.grid(id).draw(self.font));
                }
            }
        }
        all
    }

    fn metric(&self) -> bool {
        self.style.system == UnitSystem::Metric
    }

    fn grid(&self, id: &str) -> DottedGrid {
        let word = |key: &str| self.word(&format!("{id}_grid_{key}"));
        DottedGrid {
            id: id.to_owned(),
            title: word("title"),
            description: word("description"),
            caption: vec![Inline::Text(self.word(if self.metric() { "grid_caption_metric" } else { "grid_caption_us_customary" }))],
            square: if self.metric() { Square::FiveMillimetres } else { Square::QuarterInch },
            stamp: self.word("stamp"),
            north: if id == "plan" { self.word("north_box") } else { String::new() },
            blanks: vec![self.word("blank_square"), self.word("blank_drawn_by")],
            height_mm: if id == "plan" { 150.0 } else { 90.0 },
        }
    }

    fn word(&self, key: &str) -> String {
        self.words.get("drawing", key)
    }

    fn with(&self, key: &str, values: &[(&str, &str)]) -> String {
        // Between two texts that run from left to right, one that runs the other way would take numbers and commas along.
        let closed: Vec<(&str, String)> = values.iter().map(|(name, value)| (*name, closed(value))).collect();
        let values: Vec<(&str, &str)> = closed.iter().map(|(name, value)| (*name, value.as_str())).collect();
        self.words.with("drawing", key, &values)
    }

    /// A distance as it is written on a drawing.
    fn distance(&self, metres: f64) -> String {
        if metres == 0.0 {
            return format!("0\u{a0}{}", self.style.unit_name(Unit::Metre));
        }
        self.style.number(metres, Unit::Metre).whole()
    }

    fn about(&self, id: &str, shown: &[String]) -> DrawingText {
        DrawingText {
            id: id.to_owned(),
            title: self.word(&format!("{id}_title")),
            description: self.with(&format!("{id}_description"), &[("list", &shown.join("; "))]),
            scale: self.word("scale"),
            north: self.word("north"),
        }
    }

    fn meaning(&self, key: &str, stroke: Stroke, fill: Fill) -> Meaning {
        Meaning { stroke, fill, sign: false, words: self.word(key) }
    }

    fn sign(&self, key: &str) -> Meaning {
        Meaning { stroke: Stroke::Plain, fill: Fill::None, sign: true, words: self.word(key) }
    }
}

/// A text that ends from right to left, with the left-to-right mark behind it (Unicode Standard Annex 9, section 2.6).
fn closed(text: &str) -> String {
    let right_to_left = |character: char| matches!(u32::from(character), 0x590..=0x8FF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFF);
    if text.contains(right_to_left) { format!("{text}\u{200e}") } else { text.to_owned() }
}

fn spot(place: GroundPoint) -> Spot {
    Spot::new(place.right, place.up)
}

fn spots(places: &[GroundPoint]) -> Vec<Spot> {
    places.iter().copied().map(spot).collect()
}
