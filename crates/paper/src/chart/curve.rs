//! Curves: one or more lines over a numeric axis (linear or logarithmic), with an optional band, plotted points and
//! reference lines. Lines are told apart by dashes and named at their right end.

use serde::Serialize;

use super::frame::{
    Axis, EndLabel, Plot, Sample, Scale, axis_below, bounds, dash, empty, end_labels, end_room, key, range, value_axis, value_ticks,
};
use super::place::Obstacles;
use super::svg::{Anchor, Fill, LABEL, SMALL, Stroke, Svg, polyline};
use super::ticks::{self, Tick};
use super::{ChartDrawing, ChartFont, ChartText, Label, WIDTH};

/// A chart of curves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// What the chart says about itself.
    pub about: ChartText,
    /// The axis below.
    pub x_axis: Axis,
    /// The axis at the left.
    pub y_axis: Axis,
    /// Whether the axis below is logarithmic; values at or below zero are then left out.
    pub x_logarithmic: bool,
    /// Whether the axis at the left starts at zero.
    pub y_from_zero: bool,
    /// The lines.
    pub lines: Vec<Line>,
    /// A band behind the lines.
    pub band: Option<Band>,
    /// Points, each plotted by itself.
    pub points: Vec<PlottedPoint>,
    /// What the points are, for the key.
    pub points_label: String,
    /// Upright and level lines.
    pub references: Vec<Reference>,
}

/// A line.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Line {
    /// Its name, printed at its right end.
    pub label: String,
    /// Its points in rising x; it breaks where a value is not finite.
    pub points: Vec<(f64, f64)>,
}

/// A band.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Band {
    /// What it is, for the key.
    pub label: String,
    /// x, low and high, in rising x.
    pub points: Vec<(f64, f64, f64)>,
}

/// A point.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PlottedPoint {
    /// Place along the axis below.
    pub x: f64,
    /// Place along the axis at the left.
    pub y: f64,
    /// Its name, printed beside it; empty: none.
    pub label: Label,
}

/// Which axis a reference line belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReferenceAxis {
    /// An upright line at an x.
    X,
    /// A level line at a y.
    Y,
}

/// A reference line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reference {
    /// Which axis `at` is measured on.
    pub axis: ReferenceAxis,
    /// Where it stands.
    pub at: f64,
    /// What it is.
    pub label: Label,
}

impl Curve {
    fn shown(&self, x: f64, y: f64) -> bool {
        x.is_finite() && y.is_finite() && (!self.x_logarithmic || x > 0.0)
    }

    fn places(&self) -> Vec<(f64, f64)> {
        let lines = self.lines.iter().flat_map(|line| line.points.iter().copied());
        let band = self.band.iter().flat_map(|band| &band.points);
        let band = band.flat_map(|&(x, low, high)| [(x, low), (x, high)]);
        let points = self.points.iter().map(|point| (point.x, point.y));
        lines.chain(band).chain(points).filter(|&(x, y)| self.shown(x, y)).collect()
    }

    fn references(&self, axis: ReferenceAxis) -> impl Iterator<Item = &Reference> {
        self.references.iter().filter(move |reference| {
            reference.axis == axis && reference.at.is_finite() && (axis == ReferenceAxis::Y || !self.x_logarithmic || reference.at > 0.0)
        })
    }

    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let places = self.places();
        let xs = places.iter().map(|place| place.0);
        let ys = places.iter().map(|place| place.1);
        if places.is_empty() {
            return empty(&self.about, font);
        }
        let xs = range(xs.chain(self.references(ReferenceAxis::X).map(|reference| reference.at)));
        let ys = range(ys.chain(self.references(ReferenceAxis::Y).map(|reference| reference.at)));
        let (Some((x_low, x_high)), Some((mut y_low, mut y_high))) = (xs, ys) else {
            return empty(&self.about, font);
        };
        if self.y_from_zero {
            y_low = y_low.min(0.0);
            y_high = y_high.max(0.0);
        }
        let y_ticks = value_ticks(y_low, y_high, 7, &self.y_axis);
        let Some((x_ticks, x_low, x_high)) = self.x_ticks(x_low, x_high) else {
            return empty(&self.about, font);
        };
        let Some((y_low, y_high)) = bounds(&y_ticks) else {
            return empty(&self.about, font);
        };

        let mut svg = Svg::new(&self.about.id, font);
        let key_height = key(&mut svg, 2.0, &self.key());
        let uprights = self.references(ReferenceAxis::X).count();
        let top = key_height + 34.0 + 15.0 * uprights as f64;
        let room = end_room(font, self.lines.iter().map(|line| line.label.as_str()), WIDTH / 4.0);
        let plot = Plot::beside(font, &y_ticks, WIDTH - room - 6.0, top, top + 230.0);
        let x = if self.x_logarithmic {
            Scale::logarithmic(x_low, x_high, plot.left, plot.right)
        } else {
            Scale::linear(x_low, x_high, plot.left, plot.right)
        };
        let y = Scale::linear(y_low, y_high, plot.bottom, plot.top);
        // The title stands above the labels of upright lines.
        value_axis(&mut svg, &plot, &y, &y_ticks, "");
        svg.text(2.0, key_height + 16.0, LABEL, Anchor::Start, &self.y_axis.title);
        if let Some(band) = &self.band {
            self.draw_band(&mut svg, band, &x, &y);
        }
        self.draw_references(&mut svg, &plot, &x, &y, key_height + 34.0);
        for (at, line) in self.lines.iter().enumerate() {
            for run in line.points.split(|&(px, py)| !self.shown(px, py)) {
                if let [(px, py)] = run {
                    svg.dot(x.at(*px), y.at(*py), 2.0);
                } else if !run.is_empty() {
                    let run: Vec<_> = run.iter().map(|&(px, py)| (x.at(px), y.at(py))).collect();
                    svg.path(&polyline(&run), Fill::None, Some(&dash(at)));
                }
            }
        }
        self.draw_points(&mut svg, &plot, &x, &y);
        axis_below(&mut svg, &plot, &x, &x_ticks, &self.x_axis.title);
        let ends: Vec<EndLabel> = self
            .lines
            .iter()
            .filter(|line| !line.label.is_empty())
            .filter_map(|line| {
                let &(px, py) = line.points.iter().rev().find(|point| self.shown(point.0, point.1))?;
                Some(EndLabel { x: x.at(px), y: y.at(py), words: &line.label })
            })
            .collect();
        end_labels(&mut svg, &plot, room, &ends);
        svg.finish(&self.about, plot.bottom + 40.0)
    }

    fn x_ticks(&self, low: f64, high: f64) -> Option<(Vec<Tick>, f64, f64)> {
        if self.x_logarithmic {
            let (low, high) = if high > low { (low, high) } else { (low / 2.0, high * 2.0) };
            let ticks = ticks::logarithmic(low, high, 12, self.x_axis.marks);
            return Some((ticks, low, high));
        }
        let ticks = value_ticks(low, high, 9, &self.x_axis);
        let (low, high) = bounds(&ticks)?;
        Some((ticks, low, high))
    }

    fn key(&self) -> Vec<(Sample, &str)> {
        let mut entries = Vec::new();
        if let Some(band) = self.band.as_ref().filter(|band| !band.label.is_empty()) {
            entries.push((Sample::Area(Fill::Ink(0.16)), band.label.as_str()));
        }
        if !self.points_label.is_empty() && !self.points.is_empty() {
            entries.push((Sample::Dot, &self.points_label));
        }
        entries
    }

    fn draw_band(&self, svg: &mut Svg, band: &Band, x: &Scale, y: &Scale) {
        let shown = |&(px, low, high): &(f64, f64, f64)| self.shown(px, low) && high.is_finite();
        for run in band.points.split(|point| !shown(point)) {
            if run.len() < 2 {
                continue;
            }
            let upper = run.iter().map(|&(px, _, high)| (x.at(px), y.at(high)));
            let lower = run.iter().rev().map(|&(px, low, _)| (x.at(px), y.at(low)));
            let outline: Vec<_> = upper.chain(lower).collect();
            let edge = Stroke::faint(0.8);
            svg.path(&format!("{}Z", polyline(&outline)), Fill::Ink(0.16), Some(&edge));
        }
    }

    fn draw_points(&self, svg: &mut Svg, plot: &Plot, x: &Scale, y: &Scale) {
        let mut obstacles = Obstacles { rectangles: svg.texts().to_vec(), ..Obstacles::default() };
        for line in &self.lines {
            for pair in line.points.windows(2) {
                if pair.iter().all(|point| self.shown(point.0, point.1)) {
                    let at = |point: (f64, f64)| (x.at(point.0), y.at(point.1));
                    obstacles.segments.push((at(pair[0]), at(pair[1])));
                }
            }
        }
        for reference in self.references(ReferenceAxis::X) {
            let px = x.at(reference.at);
            obstacles.segments.push(((px, plot.top), (px, plot.bottom)));
        }
        for reference in self.references(ReferenceAxis::Y) {
            let py = y.at(reference.at);
            obstacles.segments.push(((plot.left, py), (plot.right, py)));
        }
        let shown = || self.points.iter().filter(|point| self.shown(point.x, point.y));
        for point in shown() {
            let (px, py) = (x.at(point.x), y.at(point.y));
            svg.dot(px, py, 3.0);
            obstacles.rectangles.push((px - 3.5, py - 3.5, px + 3.5, py + 3.5));
        }
        for point in shown().filter(|point| !point.label.is_empty()) {
            let room = plot.right - plot.left;
            let at = (x.at(point.x), y.at(point.y));
            let wide = svg.width(&point.label.words, SMALL).min(room);
            let (left, top, _, bottom) = obstacles.place(plot, at, wide, SMALL + 1.0);
            if top < plot.top || bottom > plot.bottom {
                continue;
            }
            svg.label_within((left, top + SMALL - 2.0), SMALL, Anchor::Start, &point.label, room);
        }
    }

    fn draw_references(&self, svg: &mut Svg, plot: &Plot, x: &Scale, y: &Scale, first: f64) {
        let stroke = Stroke::dashed(1.1, "3 3");
        for (at, reference) in self.references(ReferenceAxis::X).enumerate() {
            let px = x.at(reference.at);
            // Each upright line has a line of text to itself above the plot.
            let level = first + 15.0 * at as f64;
            svg.line((px, level + 3.0), (px, plot.bottom), &stroke);
            svg.label_within((px, level), SMALL, Anchor::Middle, &reference.label, WIDTH - 4.0);
        }
        for reference in self.references(ReferenceAxis::Y) {
            let py = y.at(reference.at);
            svg.line((plot.left, py), (plot.right, py), &stroke);
            let (above, below) = (py - 4.0, py + 13.0);
            let levels = if py - 16.0 < plot.top {
                [below, above]
            } else if py + 16.0 > plot.bottom {
                [above, above - 14.0]
            } else {
                [above, below]
            };
            let room = plot.right - plot.left - 12.0;
            let ends = [(plot.left + 6.0, Anchor::Start), (plot.right - 6.0, Anchor::End)];
            let mut places = ends.into_iter().flat_map(|(px, anchor)| levels.map(|level| (px, level, anchor)));
            places.find(|&(px, level, anchor)| svg.label_within((px, level), SMALL, anchor, &reference.label, room).is_some());
        }
    }
}
