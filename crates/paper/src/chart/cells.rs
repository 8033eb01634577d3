//! Cells: a grid of years (rows) by months (columns), or of any two things, each cell grey by its value and with its
//! number in it. Missing cells are hatched, and the key says so.

use serde::Serialize;

use super::frame::{Sample, empty, key_of_labels, range};
use super::svg::{Anchor, Fill, Hatch, SMALL, Stroke, Svg};
use super::{ChartDrawing, ChartFont, ChartText, Label, WIDTH};

/// A grid of cells.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Cells {
    /// What the chart says about itself.
    pub about: ChartText,
    /// What the numbers are, with their unit; printed above.
    pub value_title: String,
    /// Heads of the columns.
    pub columns: Vec<String>,
    /// The rows.
    pub rows: Vec<CellRow>,
    /// Names the lightest grey in the key (`0 mm`); empty: not named.
    pub low_label: String,
    /// Names the darkest grey in the key; empty: not named.
    pub high_label: Label,
    /// Names a hatched cell in the key; empty: "missing".
    pub missing_label: String,
}

/// A row of a grid.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct CellRow {
    /// Head of the row.
    pub label: String,
    /// One for each column; `None`: missing.
    pub cells: Vec<Option<CellValue>>,
}

/// A cell.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct CellValue {
    /// Its value.
    pub value: f64,
    /// Its number as printed; left out where the cell is too narrow for it.
    pub label: Label,
}

/// The darkest grey: ink on it still stands out by over 4.5 to 1 (WCAG 2.2, 1.4.3), on white and on the dark screen of the report.
const DARKEST: f64 = 0.35;

impl Cells {
    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let values = self.rows.iter().flat_map(|row| row.cells.iter().flatten());
        let values = range(values.map(|cell| cell.value));
        let (Some((low, high)), false) = (values, self.columns.is_empty()) else {
            return empty(&self.about, font);
        };
        let low = low.min(0.0);
        let mut svg = Svg::new(&self.about.id, font);
        let mut top = 4.0;
        if !self.value_title.is_empty() {
            svg.text(2.0, 12.0, SMALL + 1.0, Anchor::Start, &self.value_title);
            top += 18.0;
        }
        top += key_of_labels(&mut svg, top, &self.key()) + 18.0;
        // Sixty years still fit one printed page.
        let (row_height, size) = if self.rows.len() <= 45 { (17.0, SMALL) } else { (14.0, 10.0) };
        let widest = self.rows.iter().map(|row| svg.width(&row.label, SMALL)).fold(0.0, f64::max);
        let left = (widest + 10.0).min(WIDTH / 3.0);
        let wide = (WIDTH - left - 4.0) / self.columns.len() as f64;
        for (at, column) in self.columns.iter().enumerate() {
            let middle = left + wide * (at as f64 + 0.5);
            let head = svg.fit(column, SMALL, wide - 2.0);
            svg.text_if_free(middle, top - 5.0, SMALL, Anchor::Middle, &head);
        }
        for (at, row) in self.rows.iter().enumerate() {
            let y = top + row_height * at as f64;
            let baseline = y + row_height / 2.0 + size * 0.36;
            let head = svg.fit(&row.label, size, left - 8.0);
            svg.text(left - 6.0, baseline, size, Anchor::End, &head);
            for column in 0..self.columns.len() {
                let x = left + wide * column as f64;
                let cell = row.cells.get(column).and_then(Option::as_ref);
                let edge = Stroke::faint(0.6);
                match cell.filter(|cell| cell.value.is_finite()) {
                    None => svg.rect(x, y, wide, row_height, Fill::FaintHatch(Hatch::Rising), Some(&edge)),
                    Some(cell) => {
                        let share = if high > low { (cell.value - low) / (high - low) } else { 0.0 };
                        let fill = Fill::Ink(DARKEST * share.clamp(0.0, 1.0));
                        svg.rect(x, y, wide, row_height, fill, Some(&edge));
                        svg.label_within((x + wide / 2.0, baseline), size, Anchor::Middle, &cell.label, wide - 3.0);
                    }
                }
            }
        }
        svg.finish(&self.about, top + row_height * self.rows.len() as f64 + 3.0)
    }

    fn key(&self) -> Vec<(Sample, Label)> {
        let mut entries = Vec::new();
        if !self.low_label.is_empty() {
            entries.push((Sample::Area(Fill::Ink(0.0)), self.low_label.as_str().into()));
        }
        if !self.high_label.is_empty() {
            entries.push((Sample::Area(Fill::Ink(DARKEST)), self.high_label.clone()));
        }
        let missing = |row: &CellRow| {
            let given = row.cells.iter().flatten().filter(|cell| cell.value.is_finite()).count();
            given < self.columns.len()
        };
        if self.rows.iter().any(missing) {
            let words = if self.missing_label.is_empty() { "missing" } else { self.missing_label.as_str() };
            entries.push((Sample::Area(Fill::FaintHatch(Hatch::Rising)), words.into()));
        }
        entries
    }
}
