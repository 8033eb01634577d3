//! What the kinds of chart share: scales, the two axes with their titles and ticks, keys, direct labels, and the empty
//! frame.

use serde::Serialize;

use super::svg::{Anchor, Fill, LABEL, SMALL, Stroke, Svg};
use super::ticks::{self, Marks, Tick};
use super::{ChartDrawing, ChartFont, ChartText, Label, WIDTH};

/// An axis: what it shows with its unit, and how its numbers are written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Axis {
    /// Title with the unit: `length (m)`.
    pub title: String,
    /// Between whole number and fraction, and between thousands.
    pub marks: Marks,
}

impl Axis {
    /// An axis whose numbers are written as in English.
    pub fn new(title: impl Into<String>) -> Self {
        Axis { title: title.into(), marks: Marks::default() }
    }
}

/// From values to places on the drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
    logarithmic: bool,
}

impl Scale {
    pub(super) fn linear(low: f64, high: f64, from: f64, to: f64) -> Self {
        Scale { low, high, from, to, logarithmic: false }
    }

    pub(super) fn logarithmic(low: f64, high: f64, from: f64, to: f64) -> Self {
        Scale { low, high, from, to, logarithmic: true }
    }

    /// Where `value` stands; values outside stand at the edge, so that nothing leaves the frame.
    pub(super) fn at(&self, value: f64) -> f64 {
        let share = if self.logarithmic {
            libm::log10(value / self.low) / libm::log10(self.high / self.low)
        } else {
            (value - self.low) / (self.high - self.low)
        };
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
        self.from + share * (self.to - self.from)
    }
}

/// The rectangle that data are drawn in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plot {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl Plot {
    /// A plot whose left edge leaves room for the ticks' labels.
    pub(super) fn beside(font: &ChartFont, ticks: &[Tick], right: f64, top: f64, bottom: f64) -> Self {
        let labels = ticks.iter().map(|tick| font.width(&tick.label, SMALL)).fold(0.0, f64::max);
        Plot { left: (labels + 12.0).max(24.0), right, top, bottom }
    }
}

/// Least and greatest of the finite values; `None` without any.
pub(super) fn range(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.filter(|value| value.is_finite()).fold(None, |range, value| match range {
        None => Some((value, value)),
        Some((low, high)) => Some((value.min(low), value.max(high))),
    })
}

/// Ticks that hold all of `low` to `high`, with a span made where there is none.
pub(super) fn value_ticks(low: f64, high: f64, most: usize, axis: &Axis) -> Vec<Tick> {
    let (low, high) = if high > low {
        (low, high)
    } else if low > 0.0 {
        (0.0, low)
    } else if low < 0.0 {
        (low, 0.0)
    } else {
        (0.0, 1.0)
    };
    ticks::linear(low, high, most, true, axis.marks)
}

/// First and last tick.
pub(super) fn bounds(ticks: &[Tick]) -> Option<(f64, f64)> {
    let (first, last) = (ticks.first()?.value, ticks.last()?.value);
    (last > first).then_some((first, last))
}

/// The value axis at the left: grid lines, labels, and the title above the axis, read level.
pub(super) fn value_axis(svg: &mut Svg, plot: &Plot, scale: &Scale, ticks: &[Tick], title: &str) {
    for tick in ticks {
        let y = scale.at(tick.value);
        svg.line((plot.left, y), (plot.right, y), &Stroke::faint(0.6));
        svg.text_if_free(plot.left - 6.0, y + SMALL * 0.36, SMALL, Anchor::End, &tick.label);
    }
    svg.text(2.0, plot.top - 10.0, LABEL, Anchor::Start, title);
}

/// The axis below: line, tick marks, labels (left out where they would touch), and the title under them.
pub(super) fn axis_below(svg: &mut Svg, plot: &Plot, scale: &Scale, ticks: &[Tick], title: &str) {
    svg.line((plot.left, plot.bottom), (plot.right, plot.bottom), &Stroke::solid(1.0));
    let mut free = f64::NEG_INFINITY;
    for tick in ticks {
        let x = scale.at(tick.value);
        svg.line((x, plot.bottom), (x, plot.bottom + 4.0), &Stroke::solid(1.0));
        let half = svg.width(&tick.label, SMALL) / 2.0;
        if x - half > free
            && let Some((_, right)) = svg.text_if_free(x, plot.bottom + 16.0, SMALL, Anchor::Middle, &tick.label)
        {
            free = right + 5.0;
        }
    }
    if !title.is_empty() {
        svg.text(f64::midpoint(plot.left, plot.right), plot.bottom + 33.0, LABEL, Anchor::Middle, title);
    }
}

/// What a key shows beside its words.
#[derive(Debug, Clone, Copy)]
pub(super) enum Sample {
    Area(Fill),
    Whisker,
    Diamond,
    Dot,
    Ring,
    Square,
    Triangle,
    Circle,
}

const SAMPLE: f64 = 22.0;

/// A key in one or more lines from `top` down; returns the height used.
pub(super) fn key(svg: &mut Svg, top: f64, entries: &[(Sample, &str)]) -> f64 {
    let labels: Vec<(Sample, Label)> = entries.iter().map(|&(sample, words)| (sample, Label::from(words))).collect();
    key_of_labels(svg, top, &labels)
}

/// The same with numbers of facts in it.
pub(super) fn key_of_labels(svg: &mut Svg, top: f64, entries: &[(Sample, Label)]) -> f64 {
    let line = 17.0;
    let (mut x, mut y) = (2.0, top);
    for (sample, label) in entries {
        let words = svg.fit(&label.words, LABEL, WIDTH - SAMPLE - 14.0);
        let wide = SAMPLE + 6.0 + svg.width(&words, LABEL);
        if x > 2.0 && x + wide > WIDTH - 2.0 {
            x = 2.0;
            y += line;
        }
        let middle = y + 6.0;
        match *sample {
            Sample::Area(fill) => svg.rect(x, y, SAMPLE, 11.0, fill, Some(&Stroke::solid(0.8))),
            Sample::Whisker => whisker(svg, x + SAMPLE / 2.0, y, y + 12.0),
            Sample::Diamond => diamond(svg, x + SAMPLE / 2.0, middle),
            Sample::Dot => svg.dot(x + SAMPLE / 2.0, middle, 3.0),
            Sample::Ring => svg.ring(x + SAMPLE / 2.0, middle, 2.0, &Stroke::solid(0.9)),
            Sample::Square => square_mark(svg, x + SAMPLE / 2.0, middle),
            Sample::Triangle => triangle_mark(svg, x + SAMPLE / 2.0, middle),
            Sample::Circle => ring_mark(svg, x + SAMPLE / 2.0, middle),
        }
        svg.label_within((x + SAMPLE + 6.0, y + 10.0), LABEL, Anchor::Start, label, WIDTH - SAMPLE - 14.0);
        x += wide + 18.0;
    }
    if entries.is_empty() { 0.0 } else { y - top + line }
}

/// An upright line with two end strokes.
pub(super) fn whisker(svg: &mut Svg, x: f64, from: f64, to: f64) {
    let stroke = Stroke::solid(1.1);
    svg.line((x, from), (x, to), &stroke);
    svg.line((x - 4.0, from), (x + 4.0, from), &stroke);
    svg.line((x - 4.0, to), (x + 4.0, to), &stroke);
}

/// A filled diamond.
pub(super) fn diamond(svg: &mut Svg, x: f64, y: f64) {
    let points = [(x, y - 4.5), (x + 4.5, y), (x, y + 4.5), (x - 4.5, y)];
    svg.path(&format!("{}Z", super::svg::polyline(&points)), Fill::Ink(1.0), None);
}

/// An open square with a dot in it.
pub(super) fn square_mark(svg: &mut Svg, x: f64, y: f64) {
    svg.rect(x - 5.5, y - 5.5, 11.0, 11.0, Fill::None, Some(&Stroke::solid(1.6)));
    svg.dot(x, y, 1.8);
}

/// A filled triangle.
pub(super) fn triangle_mark(svg: &mut Svg, x: f64, y: f64) {
    let points = [(x, y - 6.5), (x + 6.0, y + 4.5), (x - 6.0, y + 4.5)];
    svg.path(&format!("{}Z", super::svg::polyline(&points)), Fill::Ink(1.0), None);
}

/// An open circle.
pub(super) fn ring_mark(svg: &mut Svg, x: f64, y: f64) {
    svg.ring(x, y, 4.0, &Stroke::solid(1.5));
}

/// Labels at heights, moved apart until none touches another, kept between `top` and `bottom`; same order out as in.
pub(crate) fn spread(heights: &[f64], gap: f64, top: f64, bottom: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|a, b| heights[*a].total_cmp(&heights[*b]).then(a.cmp(b)));
    let mut out = heights.to_vec();
    let gap = gap.min((bottom - top).max(0.0) / heights.len().saturating_sub(1).max(1) as f64);
    let mut free = top;
    for &at in &order {
        out[at] = out[at].max(free);
        free = out[at] + gap;
    }
    let mut free = bottom;
    for &at in order.iter().rev() {
        out[at] = out[at].min(free);
        free = out[at] - gap;
    }
    out
}

/// A name for the right end of a line.
pub(super) struct EndLabel<'a> {
    /// Where the line ends.
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) words: &'a str,
}

/// Room that names at the right need: at most `most`; longer ones are broken into lines.
pub(super) fn end_room<'a>(font: &ChartFont, words: impl Iterator<Item = &'a str>, most: f64) -> f64 {
    let widest = words.map(|words| font.width(words, LABEL)).fold(0.0, f64::max);
    if widest > 0.0 { (widest + 9.0).min(most) } else { 0.0 }
}

/// Names at the right of the plot, moved apart; a faint stroke leads back to a line that ends elsewhere.
pub(super) fn end_labels(svg: &mut Svg, plot: &Plot, room: f64, labels: &[EndLabel]) {
    let mut lines: Vec<Vec<String>> = labels.iter().map(|label| svg.font().wrap(label.words, LABEL, room - 8.0)).collect();
    let tallest = |lines: &[Vec<String>]| lines.iter().map(Vec::len).max().unwrap_or(1).max(1);
    // Names that would not all find room one below the other are cut to a line each.
    if 14.0 * (tallest(&lines) * labels.len()) as f64 > plot.bottom - plot.top {
        lines = labels.iter().map(|label| vec![svg.fit(label.words, LABEL, room - 8.0)]).collect();
    }
    let tallest = tallest(&lines);
    let gap = 14.0 * tallest as f64;
    let heights: Vec<f64> = labels.iter().map(|label| label.y + 4.0).collect();
    let heights = spread(&heights, gap, plot.top + 6.0, plot.bottom - gap + 14.0);
    for ((label, lines), height) in labels.iter().zip(&lines).zip(heights) {
        let start = plot.right + 8.0;
        if (height - 4.0 - label.y).abs() > 3.0 || label.x < plot.right - 3.0 {
            svg.line((label.x + 2.0, label.y), (start - 2.0, height - 4.0), &Stroke::faint(0.9));
        }
        for (row, words) in lines.iter().enumerate() {
            svg.text_if_free(start, height + 14.0 * row as f64, LABEL, Anchor::Start, words);
        }
    }
}

/// Dashes for the first, second, … line of a chart.
pub(super) fn dash(at: usize) -> Stroke {
    match at % 4 {
        0 => Stroke::solid(1.9),
        1 => Stroke::dashed(1.7, "7 4"),
        2 => Stroke::dashed(1.9, "2 3"),
        _ => Stroke::dashed(1.7, "9 3 2 3"),
    }
}

/// An empty frame that says that there is nothing to draw.
pub(super) fn empty(about: &ChartText, font: &ChartFont) -> ChartDrawing {
    let mut svg = Svg::new(&about.id, font);
    let height = 120.0;
    svg.rect(1.0, 1.0, WIDTH - 2.0, height - 2.0, Fill::None, Some(&Stroke::dashed(1.0, "4 4")));
    let words = if about.no_data.is_empty() { "no data" } else { &about.no_data };
    svg.text(WIDTH / 2.0, height / 2.0 + 4.0, LABEL, Anchor::Middle, words);
    svg.finish(about, height)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_moved_apart_and_stay_inside() {
        let out = spread(&[50.0, 51.0, 52.0, 200.0], 13.0, 10.0, 100.0);
        let mut sorted = out.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(sorted.windows(2).all(|pair| pair[1] - pair[0] >= 13.0 - 1e-9), "{out:?}");
        assert!(out.iter().all(|y| (10.0..=100.0).contains(y)), "{out:?}");
        assert!(out[0] < out[1] && out[1] < out[2]);
    }

    #[test]
    fn scales_keep_inside_the_frame() {
        let scale = Scale::linear(0.0, 10.0, 100.0, 200.0);
        assert_eq!(scale.at(5.0), 150.0);
        assert_eq!(scale.at(50.0), 200.0);
        assert_eq!(scale.at(f64::NAN), 100.0);
        let scale = Scale::logarithmic(1.0, 100.0, 0.0, 100.0);
        assert!((scale.at(10.0) - 50.0).abs() < 1e-9);
        assert_eq!(scale.at(0.0), 0.0);
    }

    #[test]
    fn a_range_leaves_out_what_is_not_finite() {
        assert_eq!(range([f64::NAN, 2.0, f64::INFINITY, -1.0].into_iter()), Some((-1.0, 2.0)));
        assert_eq!(range([f64::NAN].into_iter()), None);
    }
}
