//! Exceedance: for each x, the share of cases that are longer or larger, as a step curve from 100 % down, with labelled
//! points. The shares are the caller's, so that they may come from any estimator.

use serde::Serialize;

use super::frame::{Axis, Plot, Scale, axis_below, bounds, empty, range, value_axis, value_ticks};
use super::svg::{Anchor, Fill, SMALL, Stroke, Svg, polyline};
use super::ticks;
use super::{ChartDrawing, ChartFont, ChartText, PlottedPoint, WIDTH};

/// A chart of shares exceeding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Exceedance {
    /// What the chart says about itself.
    pub about: ChartText,
    /// The axis below: what is longer or larger.
    pub x_axis: Axis,
    /// Title of the axis of shares, which runs from 0 to 100 %.
    pub share_title: String,
    /// x and the share in percent of cases above it, in rising x; a share holds up to the next x.
    pub steps: Vec<(f64, f64)>,
    /// Points with labels (`one in ten is longer than 31 days`); y in percent.
    pub points: Vec<PlottedPoint>,
}

impl Exceedance {
    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let steps: Vec<(f64, f64)> = self.steps.iter().copied().filter(|(x, share)| x.is_finite() && share.is_finite()).collect();
        let points = || self.points.iter().filter(|point| point.x.is_finite() && point.y.is_finite());
        let xs = steps.iter().map(|step| step.0).chain(points().map(|point| point.x));
        let (false, Some((low, high))) = (steps.is_empty(), range(xs)) else {
            return empty(&self.about, font);
        };
        let x_ticks = value_ticks(low.min(0.0), high.max(0.0), 10, &self.x_axis);
        let Some((low, high)) = bounds(&x_ticks) else {
            return empty(&self.about, font);
        };
        let y_ticks = ticks::linear(0.0, 100.0, 6, true, self.x_axis.marks);
        let mut svg = Svg::new(&self.about.id, font);
        let plot = Plot::beside(font, &y_ticks, WIDTH - 12.0, 30.0, 250.0);
        let x = Scale::linear(low, high, plot.left, plot.right);
        let y = Scale::linear(0.0, 100.0, plot.bottom, plot.top);
        value_axis(&mut svg, &plot, &y, &y_ticks, &self.share_title);

        let mut line = Vec::new();
        for (at, &(from, share)) in steps.iter().enumerate() {
            if let Some(&(_, before)) = at.checked_sub(1).and_then(|before| steps.get(before)) {
                line.push((x.at(from), y.at(before)));
            }
            line.push((x.at(from), y.at(share)));
        }
        if let (Some(first), Some(last)) = (line.first().copied(), line.last().copied()) {
            let mut outline = vec![(first.0, y.at(0.0))];
            outline.extend(&line);
            outline.push((last.0, y.at(0.0)));
            svg.path(&format!("{}Z", polyline(&outline)), Fill::Ink(0.14), None);
        }
        svg.path(&polyline(&line), Fill::None, Some(&Stroke::solid(1.8)));
        axis_below(&mut svg, &plot, &x, &x_ticks, &self.x_axis.title);

        for point in points() {
            let (px, py) = (x.at(point.x), y.at(point.y));
            svg.line((px, py), (px, plot.bottom), &Stroke::dashed(0.9, "2 3"));
            svg.dot(px, py, 3.2);
            // The curve falls to the right, so above and to the right of a point is free; other labels may stand there.
            let room = plot.right - plot.left;
            let wide = svg.width(&point.label.words, SMALL).min(room);
            let start = (px + 7.0).min(plot.right - wide);
            let mut lifts = (0..8).map(|lift| py - 6.0 - 13.0 * f64::from(lift)).map(|level| level.max(plot.top + 10.0));
            lifts.find(|&level| svg.label_within((start, level), SMALL, Anchor::Start, &point.label, room).is_some());
        }
        svg.finish(&self.about, plot.bottom + 40.0)
    }
}
