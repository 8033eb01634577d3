//! A dotted grid to draw on by hand: for what no drawing at a scale can be made of. Stamped as not to scale, with a box for
//! north and blanks for what one square stands for.

use serde::Serialize;

use super::labels::Rectangle;
use super::writer::{LINE, TYPE, Writer};
use super::{DrawingText, SizedDrawing, Stroke, WIDTH_MM};
use crate::chart::ChartFont;
use crate::document::Inline;

/// The distance between two dots on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Square {
    /// 5 mm.
    FiveMillimetres,
    /// 1/4 in.
    QuarterInch,
}

impl Square {
    /// The distance, mm.
    pub fn mm(self) -> f64 {
        match self {
            Square::FiveMillimetres => 5.0,
            Square::QuarterInch => 25.4 / 4.0,
        }
    }
}

/// A sheet of dots.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DottedGrid {
    /// Id, unique in a document.
    pub id: String,
    /// What is to be drawn, in a few words.
    pub title: String,
    /// The same for someone who cannot see it.
    pub description: String,
    /// Printed below, after the title.
    pub caption: Vec<Inline>,
    /// Distance of the dots.
    pub square: Square,
    /// Stamped over the grid's head: that it is not to scale.
    pub stamp: String,
    /// Names the box in which the arrow to north is drawn by hand; empty: no box.
    pub north: String,
    /// Blanks to be filled in, each with its label.
    pub blanks: Vec<String>,
    /// Height of the dotted field, mm, 20 to 170.
    pub height_mm: f64,
}

impl DottedGrid {
    /// The sheet.
    pub fn draw(&self, font: &ChartFont) -> SizedDrawing {
        let mut writer = Writer::new(font);
        let step = self.square.mm();
        let columns = libm::floor((WIDTH_MM - 1.0) / step);
        let height = if self.height_mm.is_finite() { self.height_mm.clamp(20.0, 170.0) } else { 100.0 };
        let rows = libm::floor(height / step) as u32;
        let left = (WIDTH_MM - columns * step) / 2.0;
        // The head: stamp, and blanks below each other beside the box for north.
        let box_side = if self.north.is_empty() { 0.0 } else { 22.0 };
        let stamp = font.fit(&self.stamp, 3.6, WIDTH_MM - box_side - 12.0);
        let wide = font.width(&stamp, 3.6) + 4.0;
        writer.line(&[(left, 1.0), (left + wide, 1.0), (left + wide, 7.0), (left, 7.0)], true, Stroke::Heavy);
        writer.text(left + 2.0, 5.2, 3.6, "start", &stamp);
        let mut y = 9.5;
        let blank_end = WIDTH_MM - left - box_side - 4.0;
        for blank in &self.blanks {
            let words = font.fit(blank, TYPE, (blank_end - left) * 0.6);
            writer.text(left, y + 4.6, TYPE, "start", &words);
            writer.line(&[(left + font.width(&words, TYPE) + 1.5, y + 5.0), (blank_end, y + 5.0)], false, Stroke::Thin);
            y += 7.5;
        }
        if box_side > 0.0 {
            let area = Rectangle { left: WIDTH_MM - left - box_side, top: 1.0, right: WIDTH_MM - left, bottom: 1.0 + box_side };
            let corners = [(area.left, area.top), (area.right, area.top), (area.right, area.bottom), (area.left, area.bottom)];
            writer.line(&corners, true, Stroke::Plain);
            let words = font.fit(&self.north, TYPE, box_side - 2.0);
            writer.text(area.left + box_side / 2.0, area.top + LINE, TYPE, "middle", &words);
            y = y.max(area.bottom + 1.0);
        }
        let top = y + 2.5;
        let body = (0..=rows).map(|row| top + step * f64::from(row));
        writer.dots(left, columns, step, body);
        let about = DrawingText { id: self.id.clone(), title: self.title.clone(), ..DrawingText::default() };
        let mut drawing = writer.finish(&about, &self.description, top + step * f64::from(rows) + 1.5, None);
        drawing.caption.clone_from(&self.caption);
        drawing
    }
}
