//! Depth, duration and frequency: what falls in 1, 2, … days, one line for each frequency, named at its end; the single
//! cases that the lines were fitted to stand behind them as small rings over their duration.
//!
//! Both axes are linear. Depths start at zero, so that a line twice as high is twice as much; durations are whole days side
//! by side, a few of them, and a logarithmic axis would only crowd the longer ones. Between whole days a line is an aid to
//! the eye: values stand at its strokes. Rings that would cover one another step aside; their height is exact.

use serde::Serialize;

use super::frame::{
    Axis, EndLabel, Plot, Sample, Scale, axis_below, bounds, empty, end_labels, end_room, key, range, value_axis, value_ticks,
};
use super::svg::{Fill, Stroke, Svg, polyline};
use super::ticks::Tick;
use super::{ChartDrawing, ChartFont, ChartText, WIDTH};

/// A chart of depth by duration and frequency.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DepthDuration {
    /// What the chart says about itself.
    pub about: ChartText,
    /// The axis of durations.
    pub x_axis: Axis,
    /// The axis of depths, from zero.
    pub y_axis: Axis,
    /// One line for each frequency.
    pub lines: Vec<DurationLine>,
    /// What a band is, for the key; empty: not named.
    pub band_label: String,
    /// The single cases.
    pub cases: Vec<Depth>,
    /// What they are, for the key; empty: not named.
    pub cases_label: String,
}

/// A line of one frequency.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct DurationLine {
    /// Its name, printed at its right end.
    pub label: String,
    /// Its depths in rising duration; it breaks where one is not finite.
    pub depths: Vec<Depth>,
    /// Duration, low and high of its band, where it has one.
    pub band: Vec<(f64, f64, f64)>,
}

/// A depth of a duration.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Depth {
    /// Duration.
    pub duration: f64,
    /// Depth.
    pub depth: f64,
}

impl Depth {
    fn shown(&self) -> bool {
        self.duration.is_finite() && self.depth.is_finite()
    }
}

const RING: f64 = 2.0;

impl DepthDuration {
    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let depths = || self.lines.iter().flat_map(|line| &line.depths).chain(&self.cases).filter(|depth| depth.shown());
        let band = self.lines.iter().flat_map(|line| &line.band).flat_map(|&(_, low, high)| [low, high]);
        let xs = range(depths().map(|depth| depth.duration));
        let ys = range(depths().map(|depth| depth.depth).chain(band));
        let (Some((first, last)), Some((low, high))) = (xs, ys) else {
            return empty(&self.about, font);
        };
        let y_ticks = value_ticks(low.min(0.0), high.max(0.0), 7, &self.y_axis);
        let Some((low, high)) = bounds(&y_ticks) else {
            return empty(&self.about, font);
        };
        let mut durations: Vec<f64> = depths().map(|depth| depth.duration).collect();
        durations.sort_by(f64::total_cmp);
        durations.dedup();
        // Half a step is left free at both ends, so that the rings of the first and last duration have room.
        let step = durations.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
        let step = if step.is_finite() { step } else { 1.0 };

        let mut svg = Svg::new(&self.about.id, font);
        let top = key(&mut svg, 2.0, &self.key()) + 34.0;
        let room = end_room(font, self.lines.iter().map(|line| line.label.as_str()), WIDTH / 4.0);
        let plot = Plot::beside(font, &y_ticks, WIDTH - room - 6.0, top, top + 250.0);
        let x = Scale::linear(first - step * 0.5, last + step * 0.3, plot.left, plot.right);
        let y = Scale::linear(low, high, plot.bottom, plot.top);
        value_axis(&mut svg, &plot, &y, &y_ticks, &self.y_axis.title);
        for line in &self.lines {
            draw_band(&mut svg, &line.band, &x, &y);
        }
        let widest = (x.at(first + step) - x.at(first)) * 0.28;
        for &duration in &durations {
            let heights = self.cases.iter().filter(|case| case.shown() && case.duration == duration).map(|case| y.at(case.depth));
            for (aside, height) in side_by_side(heights.collect(), 2.0 * RING + 1.2, widest) {
                svg.ring(x.at(duration) + aside, height, RING, &Stroke::solid(0.9));
            }
        }
        let mut ends = Vec::new();
        for line in &self.lines {
            for run in line.depths.split(|depth| !depth.shown()) {
                let places: Vec<_> = run.iter().map(|depth| (x.at(depth.duration), y.at(depth.depth))).collect();
                if places.len() > 1 {
                    svg.path(&polyline(&places), Fill::None, Some(&Stroke::solid(1.1)));
                }
                for (px, py) in places {
                    svg.line((px - 9.0, py), (px + 9.0, py), &Stroke::solid(2.2));
                }
            }
            if let Some(last) = line.depths.iter().rev().find(|depth| depth.shown()) {
                ends.push(EndLabel { x: x.at(last.duration) + 9.0, y: y.at(last.depth), words: &line.label });
            }
        }
        let ticks: Vec<Tick> = durations.iter().map(|&value| Tick { value, label: self.duration(value) }).collect();
        axis_below(&mut svg, &plot, &x, &ticks, &self.x_axis.title);
        end_labels(&mut svg, &plot, room, &ends);
        svg.finish(&self.about, plot.bottom + 40.0)
    }

    fn duration(&self, value: f64) -> String {
        let text = super::svg::number(value);
        text.replace('.', &self.x_axis.marks.decimal.to_string())
    }

    fn key(&self) -> Vec<(Sample, &str)> {
        let mut entries = Vec::new();
        if !self.band_label.is_empty() && self.lines.iter().any(|line| !line.band.is_empty()) {
            entries.push((Sample::Area(Fill::Ink(0.16)), self.band_label.as_str()));
        }
        if !self.cases_label.is_empty() && self.cases.iter().any(Depth::shown) {
            entries.push((Sample::Ring, &self.cases_label));
        }
        entries
    }
}

fn draw_band(svg: &mut Svg, band: &[(f64, f64, f64)], x: &Scale, y: &Scale) {
    let shown = |&(at, low, high): &(f64, f64, f64)| at.is_finite() && low.is_finite() && high.is_finite();
    for run in band.split(|point| !shown(point)).filter(|run| run.len() > 1) {
        let upper = run.iter().map(|&(at, _, high)| (x.at(at), y.at(high)));
        let lower = run.iter().rev().map(|&(at, low, _)| (x.at(at), y.at(low)));
        let outline: Vec<_> = upper.chain(lower).collect();
        svg.path(&format!("{}Z", polyline(&outline)), Fill::Ink(0.16), Some(&Stroke::faint(0.8)));
    }
}

/// How far each height steps aside so that none covers another, as far as `widest` allows; from the middle outward, in
/// rising heights.
fn side_by_side(mut heights: Vec<f64>, gap: f64, widest: f64) -> Vec<(f64, f64)> {
    heights.sort_by(f64::total_cmp);
    let most = (widest / gap).floor().max(0.0) as i32;
    let asides = || (0..=most).flat_map(|step| [f64::from(step) * gap, -f64::from(step) * gap]);
    let mut placed: Vec<(f64, f64)> = Vec::with_capacity(heights.len());
    for height in heights {
        let covers =
            |aside: f64| placed.iter().rev().take_while(|other| height - other.1 < gap).any(|other| (other.0 - aside).abs() < gap - 1e-9);
        // Where there is no room left, rings cover one another in the middle.
        let aside = asides().find(|&aside| !covers(aside)).unwrap_or(0.0);
        placed.push((aside, height));
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rings_step_aside_and_keep_their_height() {
        let placed = side_by_side(vec![10.0, 10.0, 11.0, 30.0], 5.0, 50.0);
        assert_eq!(placed, [(0.0, 10.0), (5.0, 10.0), (-5.0, 11.0), (0.0, 30.0)]);
        // No room: nothing is lost.
        assert_eq!(side_by_side(vec![1.0; 9], 5.0, 4.0).len(), 9);
    }
}
