//! Bars: one for each category, from zero, with an optional range (whisker) and an optional marker (a median, say).

use serde::Serialize;

use super::frame::{Axis, Plot, Sample, Scale, bounds, diamond, empty, key, range, value_axis, value_ticks, whisker};
use super::svg::{Anchor, Fill, Hatch, LABEL, SMALL, Stroke, Svg};
use super::{ChartDrawing, ChartFont, ChartText, Label, WIDTH};

/// A bar chart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bars {
    /// What the chart says about itself.
    pub about: ChartText,
    /// The axis of the values, with their unit.
    pub value_axis: Axis,
    /// What the categories are; may be empty.
    pub category_title: String,
    /// The bars from left to right.
    pub bars: Vec<Bar>,
    /// What a bar is, for the key.
    pub bar_label: String,
    /// What the whisker is, for the key; empty: not named.
    pub range_label: String,
    /// What the marker is, for the key; empty: not named.
    pub marker_label: String,
}

/// One bar.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Bar {
    /// The category.
    pub label: String,
    /// Its value; `None`: the place is hatched.
    pub value: Option<f64>,
    /// The value in words, printed above the bar, or under the category where a whisker or marker stands over the bar
    /// (there it would read as their value); empty: not printed.
    pub value_label: Label,
    /// Low and high end of the whisker.
    pub range: Option<(f64, f64)>,
    /// Where the marker stands.
    pub marker: Option<f64>,
}

impl Bar {
    fn value(&self) -> Option<f64> {
        self.value.filter(|value| value.is_finite())
    }

    fn range(&self) -> Option<(f64, f64)> {
        self.range.filter(|(low, high)| low.is_finite() && high.is_finite()).map(|(low, high)| (low.min(high), low.max(high)))
    }

    fn marker(&self) -> Option<f64> {
        self.marker.filter(|marker| marker.is_finite())
    }
}

impl Bars {
    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let values = self.bars.iter().flat_map(|bar| {
            let (low, high) = bar.range().unzip();
            [bar.value(), low, high, bar.marker()].into_iter().flatten()
        });
        let Some((low, high)) = range(values) else {
            return empty(&self.about, font);
        };
        let ticks = value_ticks(low.min(0.0), high.max(0.0), 7, &self.value_axis);
        let Some((low, high)) = bounds(&ticks) else {
            return empty(&self.about, font);
        };
        let mut svg = Svg::new(&self.about.id, font);
        let key_height = key(&mut svg, 2.0, &self.key());
        // Numbers over the bars stand between the axis title and the plot.
        let over = if self.values_over() { 14.0 } else { 0.0 };
        let top = key_height + 34.0 + over;
        let plot = Plot::beside(font, &ticks, WIDTH - 4.0, top, top + 210.0);
        let scale = Scale::linear(low, high, plot.bottom, plot.top);
        value_axis(&mut svg, &plot, &scale, &ticks, "");
        svg.text(2.0, top - over - 10.0, LABEL, Anchor::Start, &self.value_axis.title);
        let slot = (plot.right - plot.left) / self.bars.len() as f64;
        let bar_width = (slot * 0.62).min(60.0);
        for (at, bar) in self.bars.iter().enumerate() {
            let middle = plot.left + slot * (at as f64 + 0.5);
            self.bar(&mut svg, &plot, &scale, bar, middle, bar_width);
        }
        svg.line((plot.left, scale.at(0.0)), (plot.right, scale.at(0.0)), &Stroke::solid(1.2));
        let mut rows = self.categories(&mut svg, &plot, slot);
        if self.values_below() {
            rows += 1;
            let y = plot.bottom + 15.0 * rows as f64;
            for (at, bar) in self.bars.iter().enumerate() {
                let x = plot.left + slot * (at as f64 + 0.5);
                if svg.width(&bar.value_label.words, SMALL) <= slot && bar.value().is_some() {
                    svg.label_if_free(x, y, SMALL, Anchor::Middle, &bar.value_label);
                }
            }
            // Tells whose numbers these are, in the room that the axis leaves.
            svg.rect(plot.left - 20.0, y - 8.5, 14.0, 8.5, Fill::Ink(0.3), Some(&Stroke::solid(0.8)));
        }
        let mut height = plot.bottom + 8.0 + 15.0 * rows as f64;
        if !self.category_title.is_empty() {
            height += 16.0;
            let middle = f64::midpoint(plot.left, plot.right);
            svg.text(middle, height - 2.0, LABEL, Anchor::Middle, &self.category_title);
        }
        svg.finish(&self.about, height + 4.0)
    }

    fn values_over(&self) -> bool {
        !self.values_below() && self.bars.iter().any(|bar| !bar.value_label.is_empty())
    }

    fn values_below(&self) -> bool {
        let covered = |bar: &Bar| bar.range().is_some() || bar.marker().is_some();
        self.bars.iter().any(covered) && self.bars.iter().any(|bar| !bar.value_label.is_empty())
    }

    fn key(&self) -> Vec<(Sample, &str)> {
        let mut entries = Vec::new();
        if !self.bar_label.is_empty() {
            entries.push((Sample::Area(Fill::Ink(0.3)), self.bar_label.as_str()));
        }
        if !self.range_label.is_empty() && self.bars.iter().any(|bar| bar.range().is_some()) {
            entries.push((Sample::Whisker, &self.range_label));
        }
        if !self.marker_label.is_empty() && self.bars.iter().any(|bar| bar.marker().is_some()) {
            entries.push((Sample::Diamond, &self.marker_label));
        }
        if self.bars.iter().any(|bar| bar.value().is_none()) {
            let words = if self.about.no_data.is_empty() { "no data" } else { &self.about.no_data };
            entries.push((Sample::Area(Fill::Hatch(Hatch::Rising)), words));
        }
        entries
    }

    fn bar(&self, svg: &mut Svg, plot: &Plot, scale: &Scale, bar: &Bar, middle: f64, wide: f64) {
        let zero = scale.at(0.0);
        let Some(value) = bar.value() else {
            let fill = Fill::Hatch(Hatch::Rising);
            svg.rect(middle - wide / 2.0, plot.top, wide, plot.bottom - plot.top, fill, None);
            return;
        };
        let end = scale.at(value);
        svg.rect(middle - wide / 2.0, zero.min(end), wide, (zero - end).abs(), Fill::Ink(0.3), Some(&Stroke::solid(1.0)));
        if let Some((low, high)) = bar.range() {
            whisker(svg, middle, scale.at(high), scale.at(low));
        }
        if let Some(marker) = bar.marker() {
            diamond(svg, middle, scale.at(marker));
        }
        let fits = svg.width(&bar.value_label.words, SMALL) <= wide / 0.62;
        if fits && !self.values_below() {
            svg.label_if_free(middle, end.min(zero) - 4.0, SMALL, Anchor::Middle, &bar.value_label);
        }
    }

    /// Labels of the categories, in two rows turn by turn where one would not hold them; returns the rows used.
    fn categories(&self, svg: &mut Svg, plot: &Plot, slot: f64) -> usize {
        let widest = self.bars.iter().map(|bar| svg.width(&bar.label, SMALL)).fold(0.0, f64::max);
        let rows = if widest + 4.0 <= slot { 1 } else { 2 };
        let room = slot * rows as f64 - 4.0;
        // Where even two rows are too narrow for a number or a short word, every nth is named.
        let every = if room >= widest.min(30.0) { 1 } else { (34.0 / slot).ceil() as usize };
        let room = if every > 1 { slot * every as f64 - 4.0 } else { room };
        for (at, bar) in self.bars.iter().enumerate().step_by(every) {
            let row = if every > 1 { 0 } else { at % rows };
            let y = plot.bottom + 15.0 + 15.0 * row as f64;
            let x = plot.left + slot * (at as f64 + 0.5);
            let label = svg.fit(&bar.label, SMALL, room);
            svg.text_if_free(x, y, SMALL, Anchor::Middle, &label);
        }
        if every > 1 { 1 } else { rows }
    }
}
