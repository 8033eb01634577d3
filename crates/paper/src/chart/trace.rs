//! A value over real dates, filled below, with an optional second series of amounts (bars) that hangs from the top or
//! stands in a strip of its own below, and level lines. Days without a value are hatched, never joined over.

use serde::Serialize;

use super::frame::{
    Axis, EndLabel, Plot, Sample, Scale, axis_below, bounds, empty, end_labels, end_room, key, range, value_axis, value_ticks,
};
use super::svg::{Anchor, Fill, Hatch, LABEL, SMALL, Stroke, Svg, polyline};
use super::ticks::Tick;
use super::{ChartDrawing, ChartFont, ChartText, WIDTH};

/// A chart of a value over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trace {
    /// What the chart says about itself.
    pub about: ChartText,
    /// Ticks of dates: day number and label.
    pub date_ticks: Vec<(f64, String)>,
    /// What stands under the dates; may be empty.
    pub date_title: String,
    /// The axis of the value.
    pub value_axis: Axis,
    /// What the value is, for the key.
    pub value_label: String,
    /// Day number and value, in rising days; `None` or not finite: no value.
    pub values: Vec<(f64, Option<f64>)>,
    /// A second series.
    pub amounts: Option<Amounts>,
    /// Level lines on the axis of the value.
    pub levels: Vec<Level>,
}

/// A second series of amounts, one a day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Amounts {
    /// Its axis.
    pub axis: Axis,
    /// What it is, for the key.
    pub label: String,
    /// Day number and amount; the bar is one day wide.
    pub bars: Vec<(f64, f64)>,
    /// Where its strip is.
    pub place: AmountsPlace,
}

/// Where the strip of amounts is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AmountsPlace {
    /// Above the value, bars hanging down.
    Hanging,
    /// Below the value, bars standing up.
    Below,
}

/// A level line.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Level {
    /// Where it stands on the axis of the value.
    pub at: f64,
    /// What it is.
    pub label: String,
}

const STRIP: f64 = 70.0;
const BODY: f64 = 190.0;

fn given(value: Option<f64>) -> Option<f64> {
    value.filter(|value| value.is_finite())
}

impl Trace {
    /// Draws the chart.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let levels = self.levels.iter().map(|level| level.at);
        let values = self.values.iter().filter_map(|(_, value)| given(*value));
        let days = range(self.values.iter().map(|(day, _)| *day));
        let (Some((first, last)), Some((low, high)), true) = (days, range(values.clone().chain(levels)), values.clone().next().is_some())
        else {
            return empty(&self.about, font);
        };
        let ticks = value_ticks(low.min(0.0), high.max(0.0), 6, &self.value_axis);
        let Some((low, high)) = bounds(&ticks) else {
            return empty(&self.about, font);
        };
        let amounts = self.amounts.as_ref().and_then(|amounts| {
            let (_, most) = range(amounts.bars.iter().map(|bar| bar.1))?;
            let ticks = value_ticks(0.0, most, 3, &amounts.axis);
            Some((amounts, ticks))
        });

        let mut svg = Svg::new(&self.about.id, font);
        let key_height = key(&mut svg, 2.0, &self.key());
        let hanging = matches!(&amounts, Some((amounts, _)) if amounts.place == AmountsPlace::Hanging);
        let start = key_height + 30.0;
        let top = if hanging { start + STRIP + 30.0 } else { start };
        let all: Vec<Tick> = ticks.iter().chain(amounts.iter().flat_map(|(_, ticks)| ticks)).cloned().collect();
        let room = end_room(font, self.levels.iter().map(|level| level.label.as_str()), WIDTH / 6.5);
        let plot = Plot::beside(font, &all, WIDTH - 8.0 - room, top, top + BODY);
        // A day is one wide: its value holds from its number to the next.
        let x = Scale::linear(first, last + 1.0, plot.left, plot.right);
        let y = Scale::linear(low, high, plot.bottom, plot.top);
        value_axis(&mut svg, &plot, &y, &ticks, &self.value_axis.title);
        self.areas(&mut svg, &plot, &x, &y);
        let mut ends = Vec::new();
        for level in self.levels.iter().filter(|level| level.at.is_finite()) {
            let py = y.at(level.at);
            svg.line((plot.left, py), (plot.right, py), &Stroke::dashed(1.2, "6 3"));
            ends.push(EndLabel { x: plot.right, y: py, words: &level.label });
        }
        end_labels(&mut svg, &plot, room, &ends);
        let mut below = plot;
        if let Some((amounts, ticks)) = &amounts {
            let strip = if hanging {
                Plot { top: start, bottom: start + STRIP, ..plot }
            } else {
                below = Plot { top: plot.bottom + 32.0, bottom: plot.bottom + 32.0 + STRIP, ..plot };
                svg.line((plot.left, plot.bottom), (plot.right, plot.bottom), &Stroke::solid(1.0));
                below
            };
            draw_amounts(&mut svg, &strip, &x, amounts, ticks);
        }
        let dates: Vec<Tick> = self
            .date_ticks
            .iter()
            .filter(|(day, _)| *day >= first && *day <= last + 1.0)
            .map(|(day, label)| Tick { value: *day, label: label.clone() })
            .collect();
        axis_below(&mut svg, &below, &x, &dates, &self.date_title);
        let title = if self.date_title.is_empty() { 22.0 } else { 40.0 };
        svg.finish(&self.about, below.bottom + title)
    }

    fn key(&self) -> Vec<(Sample, &str)> {
        let mut entries = vec![];
        if !self.value_label.is_empty() {
            entries.push((Sample::Area(Fill::Ink(0.22)), self.value_label.as_str()));
        }
        if let Some(amounts) = self.amounts.as_ref().filter(|amounts| !amounts.label.is_empty()) {
            entries.push((Sample::Area(Fill::Ink(0.85)), &amounts.label));
        }
        if self.values.iter().any(|(_, value)| given(*value).is_none()) {
            let words = if self.about.no_data.is_empty() { "no data" } else { &self.about.no_data };
            entries.push((Sample::Area(Fill::Hatch(Hatch::Rising)), words));
        }
        entries
    }

    fn areas(&self, svg: &mut Svg, plot: &Plot, x: &Scale, y: &Scale) {
        let zero = y.at(0.0);
        for run in self.values.chunk_by(|a, b| given(a.1).is_some() == given(b.1).is_some()) {
            let (Some((first, value)), Some((last, _))) = (run.first(), run.last()) else {
                continue;
            };
            let (from, to) = (x.at(*first), x.at(*last + 1.0));
            if given(*value).is_none() {
                let fill = Fill::Hatch(Hatch::Rising);
                svg.rect(from, plot.top, to - from, plot.bottom - plot.top, fill, None);
                continue;
            }
            let points = run.iter().filter_map(|(day, value)| Some((x.at(*day + 0.5), y.at(given(*value)?))));
            let points = thinned(points);
            let (Some(start), Some(end)) = (points.first().copied(), points.last().copied()) else {
                continue;
            };
            let mut line = vec![(from, start.1)];
            line.extend(&points);
            line.push((to, end.1));
            let mut outline = vec![(from, zero)];
            outline.extend(&line);
            outline.push((to, zero));
            svg.path(&format!("{}Z", polyline(&outline)), Fill::Ink(0.22), None);
            svg.path(&polyline(&line), Fill::None, Some(&Stroke::solid(1.4)));
        }
    }
}

fn draw_amounts(svg: &mut Svg, strip: &Plot, x: &Scale, amounts: &Amounts, ticks: &[Tick]) {
    let Some((_, most)) = bounds(ticks) else {
        return;
    };
    let (zero, end) = match amounts.place {
        AmountsPlace::Hanging => (strip.top, strip.bottom),
        AmountsPlace::Below => (strip.bottom, strip.top),
    };
    let y = Scale::linear(0.0, most, zero, end);
    for tick in ticks {
        let at = y.at(tick.value);
        svg.line((strip.left, at), (strip.right, at), &Stroke::faint(0.6));
        svg.text_if_free(strip.left - 6.0, at + SMALL * 0.36, SMALL, Anchor::End, &tick.label);
    }
    svg.text(2.0, strip.top - 10.0, LABEL, Anchor::Start, &amounts.axis.title);
    let mut d = String::new();
    for &(day, amount) in &amounts.bars {
        if day.is_finite() && amount.is_finite() && amount > 0.0 {
            // At least half a unit wide, so that a single day in a long record still shows.
            let (left, right) = (x.at(day), x.at(day + 1.0));
            let right = right.max(left + 0.5);
            let corners = [(left, zero), (left, y.at(amount)), (right, y.at(amount)), (right, zero)];
            d.push_str(&polyline(&corners));
            d.push('Z');
        }
    }
    if !d.is_empty() {
        svg.path(&d, Fill::Ink(0.85), None);
    }
    svg.line((strip.left, zero), (strip.right, zero), &Stroke::solid(1.0));
}

/// Of the points that fall into one quarter of a unit, the first, lowest, highest and last: what can be seen.
fn thinned(points: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let points: Vec<(f64, f64)> = points.collect();
    if points.len() <= 2000 {
        return points;
    }
    let mut out = Vec::new();
    for column in points.chunk_by(|a, b| (a.0 * 4.0).floor() == (b.0 * 4.0).floor()) {
        if column.len() <= 4 {
            out.extend(column);
            continue;
        }
        let mut kept = [0, 0, 0, column.len() - 1];
        for (at, point) in column.iter().enumerate() {
            if point.1 < column[kept[1]].1 {
                kept[1] = at;
            }
            if point.1 > column[kept[2]].1 {
                kept[2] = at;
            }
        }
        kept.sort_unstable();
        let mut before = usize::MAX;
        for at in kept {
            if at != before {
                out.push(column[at]);
                before = at;
            }
        }
    }
    out
}
