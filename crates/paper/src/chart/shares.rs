//! Shares: a total taken apart in one lying bar. Each part has a hatch and a letter over it; the list below names them,
//! so that nothing hangs on a shade of grey.

use serde::Serialize;

use super::frame::empty;
use super::svg::{Anchor, Fill, Hatch, LABEL, Stroke, Svg};
use super::{ChartDrawing, ChartFont, ChartText, Label, WIDTH};

/// A total and its parts.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Shares {
    /// What the chart says about itself.
    pub about: ChartText,
    /// The total in words, printed above the bar (`All: 96 m3 a year`).
    pub total_label: Label,
    /// The parts from left to right.
    pub parts: Vec<Part>,
}

/// A part of a total.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Part {
    /// What it is.
    pub label: String,
    /// Its value, zero or more; what is below zero or not finite has no width.
    pub value: f64,
    /// Its value (and share) in words.
    pub value_label: Label,
}

fn fill(at: usize) -> Fill {
    match at {
        0 => Fill::Ink(0.75),
        1 => Fill::Hatch(Hatch::Rising),
        2 => Fill::Ink(0.12),
        _ => Fill::Hatch(Hatch::ALL[(at - 2) % Hatch::ALL.len()]),
    }
}

/// A, B, … Z, AA, AB, …
fn letter(at: usize) -> String {
    let last = char::from(b'A' + (at % 26) as u8);
    match at / 26 {
        0 => last.to_string(),
        before => format!("{}{last}", letter(before - 1)),
    }
}

impl Shares {
    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let size = |part: &Part| if part.value.is_finite() { part.value.max(0.0) } else { 0.0 };
        let total: f64 = self.parts.iter().map(size).sum();
        if !(total > 0.0 && total.is_finite()) {
            return empty(&self.about, font);
        }
        let mut svg = Svg::new(&self.about.id, font);
        let mut top = 4.0;
        if !self.total_label.is_empty() {
            svg.label(2.0, 13.0, LABEL, Anchor::Start, &self.total_label);
            top += 20.0;
        }
        let (left, right) = (2.0, WIDTH - 2.0);
        let bar_top = top + 18.0;
        let height = 44.0;
        let mut x = left;
        let mut free = f64::NEG_INFINITY;
        for (at, part) in self.parts.iter().enumerate() {
            let wide = size(part) / total * (right - left);
            if wide > 0.0 {
                svg.rect(x, bar_top, wide, height, fill(at), Some(&Stroke::solid(1.0)));
                // Letters of narrow parts step aside; a stroke leads back to the part.
                let name = letter(at);
                let half = svg.width(&name, LABEL) / 2.0;
                let middle = x + wide / 2.0;
                let place = middle.max(free + half);
                if let Some((_, end)) = svg.text_if_free(place, bar_top - 7.0, LABEL, Anchor::Middle, &name) {
                    let foot = end.min(place + half) - half;
                    svg.line((foot, bar_top - 5.0), (middle, bar_top), &Stroke::solid(0.8));
                    free = end + 5.0;
                }
            }
            x += wide;
        }
        let list_top = bar_top + height + 14.0;
        let values = self.parts.iter().map(|part| svg.width(&part.value_label.words, LABEL));
        let value_room = values.fold(0.0, f64::max).min(WIDTH / 2.0);
        let names = self.parts.iter().map(|part| svg.width(&part.label, LABEL));
        let name_room = names.fold(0.0, f64::max).min(WIDTH - 60.0 - value_room - 24.0);
        for (at, part) in self.parts.iter().enumerate() {
            let y = list_top + 19.0 * at as f64;
            svg.text(4.0, y + 11.0, LABEL, Anchor::Start, &letter(at));
            svg.rect(26.0, y, 26.0, 13.0, fill(at), Some(&Stroke::solid(0.8)));
            let name = svg.fit(&part.label, LABEL, name_room + 1.0);
            svg.text(60.0, y + 11.0, LABEL, Anchor::Start, &name);
            let end = 60.0 + name_room + 24.0 + value_room;
            svg.label_within((end, y + 11.0), LABEL, Anchor::End, &part.value_label, value_room + 1.0);
        }
        svg.finish(&self.about, list_top + 19.0 * self.parts.len() as f64 + 2.0)
    }
}
