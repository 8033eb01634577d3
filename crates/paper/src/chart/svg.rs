//! A small writer of SVG: it escapes every text, rounds every coordinate to two decimals, and knows only what the
//! charts need.

use std::fmt::{self, Write};

use super::label::Label;
use super::place::{Rectangle, meet};
use super::{ChartDrawing, ChartFont, ChartText, WIDTH, WIDTH_MM};
use crate::document::Number;
use crate::escape;

/// The ink of all charts on white paper; a page may set another `color`.
pub(crate) const INK: &str = "#16323f";
/// The family that the PDF is set in, then those with the same widths, then whatever a reader has.
pub(crate) const FONTS: &str = "'Liberation Sans', Arimo, Arial, Helvetica, sans-serif";
/// Room left free at both edges.
const EDGE: f64 = 2.0;
/// The widest text that carries no measured length: three digits. The widest fonts in use are about a seventh wider than
/// ours, so that it grows by less than two units at either end.
const SHORT: f64 = 21.0;

/// Type size of axis titles, keys and labels.
pub(super) const LABEL: f64 = 12.0;
/// Type size of ticks: the smallest but for full tables of cells.
pub(super) const SMALL: f64 = 11.0;

/// Where a text is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stroke {
    pub(super) width: f64,
    pub(super) dash: &'static str,
    pub(super) opacity: f64,
}

impl Stroke {
    pub(super) const fn solid(width: f64) -> Self {
        Stroke { width, dash: "", opacity: 1.0 }
    }

    pub(super) const fn faint(width: f64) -> Self {
        Stroke { width, dash: "", opacity: 0.28 }
    }

    pub(super) const fn dashed(width: f64, dash: &'static str) -> Self {
        Stroke { width, dash, opacity: 1.0 }
    }
}

/// How an area is filled.
#[derive(Debug, Clone, Copy)]
pub(super) enum Fill {
    None,
    Ink(f64),
    Hatch(Hatch),
    /// The same, lighter: for large fields.
    FaintHatch(Hatch),
}

/// Patterns that stay apart in grey.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hatch {
    Rising,
    Falling,
    Crossed,
    Dotted,
    Level,
    Upright,
}

impl Hatch {
    pub(super) const ALL: [Hatch; 6] = [Hatch::Rising, Hatch::Dotted, Hatch::Falling, Hatch::Crossed, Hatch::Level, Hatch::Upright];

    /// The hatch of one rectangle as a path, clipped by arithmetic: a `<pattern>` would be drawn as a picture by some
    /// printers. Lines lie on one grid for the whole drawing, so neighbours join.
    fn path(self, x: f64, y: f64, w: f64, h: f64) -> String {
        let mut d = String::new();
        let mut line = |from: (f64, f64), to: (f64, f64)| d.push_str(&polyline(&[from, to]));
        if !(w > 0.0 && h > 0.0) {
            return d;
        }
        if matches!(self, Hatch::Rising | Hatch::Crossed) {
            for sum in grid(x + y, x + y + w + h, 6.0) {
                let (left, right) = (x.max(sum - y - h), (x + w).min(sum - y));
                line((left, sum - left), (right, sum - right));
            }
        }
        if matches!(self, Hatch::Falling | Hatch::Crossed) {
            for difference in grid(x - y - h, x - y + w, 6.0) {
                let (left, right) = (x.max(difference + y), (x + w).min(difference + y + h));
                line((left, left - difference), (right, right - difference));
            }
        }
        match self {
            Hatch::Level => grid(y, y + h, 5.0).for_each(|at| line((x, at), (x + w, at))),
            Hatch::Upright => grid(x, x + w, 5.0).for_each(|at| line((at, y), (at, y + h))),
            Hatch::Dotted => {
                for (row, down) in grid(y + 1.0, y + h - 1.0, 4.0).enumerate() {
                    let shift = if row % 2 == 0 { 1.0 } else { 4.0 };
                    for across in grid(x + 1.0 - shift, x + w - 2.6 - shift, 6.0) {
                        line((across + shift, down), (across + shift + 1.6, down));
                    }
                }
            }
            Hatch::Rising | Hatch::Falling | Hatch::Crossed => {}
        }
        d
    }
}

/// Multiples of `step` strictly between `from` and `to`.
fn grid(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    let first = libm::floor(from / step) as i64 + 1;
    let last = libm::ceil(to / step) as i64 - 1;
    (first..=last).map(move |count| count as f64 * step)
}

/// A drawing being written.
pub(super) struct Svg<'a> {
    body: String,
    id: String,
    font: &'a ChartFont,
    /// Where texts stand.
    texts: Vec<Rectangle>,
}

/// A coordinate of a hundredth of a drawing unit.
pub(super) fn number(value: f64) -> String {
    crate::plane::coordinate(value, 2)
}

/// A path through points.
pub(super) fn polyline(points: &[(f64, f64)]) -> String {
    let mut out = String::new();
    for (at, (x, y)) in points.iter().enumerate() {
        out.push(if at == 0 { 'M' } else { 'L' });
        out.push_str(&number(*x));
        out.push(' ');
        out.push_str(&number(*y));
    }
    out
}

fn put(out: &mut String, text: fmt::Arguments<'_>) {
    // Writing to a string cannot fail.
    let _ = out.write_fmt(text);
}

/// The room that a text takes: from the top of its tallest letters to the foot of its lowest.
pub(super) fn text_box(left: f64, right: f64, baseline: f64, size: f64) -> Rectangle {
    (left, baseline - 0.74 * size, right, baseline + 0.22 * size)
}

/// Attributes that name the facts whose numbers stand in a text, with their values, in the order of the text.
fn fact_attributes(out: &mut String, numbers: &[Number]) {
    if numbers.is_empty() || numbers.iter().any(|number| !number.value.is_finite()) {
        return;
    }
    for (name, of) in [("data-fact", false), ("data-value", true)] {
        put(out, format_args!(" {name}=\""));
        for (at, number) in numbers.iter().enumerate() {
            let space = if at == 0 { "" } else { " " };
            // `+ 0.0` turns a negative zero into zero.
            let text = if of { (number.value + 0.0).to_string() } else { number.fact.clone() };
            out.push_str(space);
            escape::push(out, &text);
        }
        out.push('"');
    }
}

impl<'a> Svg<'a> {
    pub(super) fn new(id: &str, font: &'a ChartFont) -> Self {
        Svg { body: String::new(), id: escape::id(id), font, texts: Vec::new() }
    }

    pub(super) fn font(&self) -> &'a ChartFont {
        self.font
    }

    /// Width of a text.
    pub(super) fn width(&self, text: &str, size: f64) -> f64 {
        self.font.width(text, size)
    }

    /// A text cut where it is too wide.
    pub(super) fn fit(&self, text: &str, size: f64, room: f64) -> String {
        self.font.fit(text, size, room)
    }

    /// Where texts stand.
    pub(super) fn texts(&self) -> &[Rectangle] {
        &self.texts
    }

    /// Whether no text stands in a rectangle or close beside it.
    pub(super) fn is_free(&self, rectangle: &Rectangle) -> bool {
        // A short text may grow by two units at either end, see `SHORT`; so may its neighbour.
        let &(left, top, right, bottom) = rectangle;
        self.texts.iter().all(|other| !meet(&(left - 4.0, top, right + 4.0, bottom), other))
    }

    fn put(&mut self, text: fmt::Arguments<'_>) {
        put(&mut self.body, text);
    }

    fn stroke(&mut self, stroke: &Stroke) {
        self.put(format_args!(" stroke=\"currentColor\" stroke-width=\"{}\"", number(stroke.width)));
        if !stroke.dash.is_empty() {
            self.put(format_args!(" stroke-dasharray=\"{}\"", stroke.dash));
        }
        if stroke.opacity < 1.0 {
            self.put(format_args!(" stroke-opacity=\"{}\"", number(stroke.opacity)));
        }
    }

    fn fill(&mut self, fill: Fill) {
        match fill {
            // A hatch is drawn by `rect`.
            Fill::None | Fill::Hatch(_) | Fill::FaintHatch(_) => self.body.push_str(" fill=\"none\""),
            Fill::Ink(opacity) => {
                self.body.push_str(" fill=\"currentColor\"");
                if opacity < 1.0 {
                    self.put(format_args!(" fill-opacity=\"{}\"", number(opacity)));
                }
            }
        }
    }

    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: &Stroke) {
        self.put(format_args!("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"", number(from.0), number(from.1), number(to.0), number(to.1)));
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    pub(super) fn rect(&mut self, x: f64, y: f64, w: f64, h: f64, fill: Fill, stroke: Option<&Stroke>) {
        if let Fill::Hatch(hatch) | Fill::FaintHatch(hatch) = fill {
            let d = hatch.path(x, y, w, h);
            let wide = if hatch == Hatch::Dotted { 1.6 } else { 0.9 };
            if !d.is_empty() {
                let opacity = if matches!(fill, Fill::FaintHatch(_)) { 0.5 } else { 1.0 };
                self.path(&d, Fill::None, Some(&Stroke { opacity, ..Stroke::solid(wide) }));
            }
            if stroke.is_none() {
                return;
            }
        }
        self.put(format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(x),
            number(y),
            number(w.max(0.0)),
            number(h.max(0.0))
        ));
        self.fill(fill);
        if let Some(stroke) = stroke {
            self.stroke(stroke);
        }
        self.body.push_str("/>\n");
    }

    pub(super) fn path(&mut self, d: &str, fill: Fill, stroke: Option<&Stroke>) {
        self.body.push_str("<path d=\"");
        self.body.push_str(d);
        self.body.push('"');
        self.fill(fill);
        if let Some(stroke) = stroke {
            self.stroke(stroke);
            self.body.push_str(" stroke-linejoin=\"round\"");
        }
        self.body.push_str("/>\n");
    }

    pub(super) fn dot(&mut self, x: f64, y: f64, radius: f64) {
        self.put(format_args!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"currentColor\"/>\n", number(x), number(y), number(radius)));
    }

    /// An open circle.
    pub(super) fn ring(&mut self, x: f64, y: f64, radius: f64, stroke: &Stroke) {
        self.put(format_args!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\"", number(x), number(y), number(radius)));
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    /// A text whose baseline is at `y`; moved inward where it would leave the drawing, cut where it has no room at all.
    /// Returns where it starts and ends.
    pub(super) fn text(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, text: &str) -> (f64, f64) {
        let text = self.fit(text, size, WIDTH - 2.0 * EDGE);
        let (left, right) = self.span(x, size, anchor, &text);
        self.write((left, right), y, size, anchor, &text, &[]);
        (left, right)
    }

    /// The same where no other text stands; otherwise nothing is drawn.
    pub(super) fn text_if_free(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, text: &str) -> Option<(f64, f64)> {
        self.label_if_free(x, y, size, anchor, &Label::from(text))
    }

    /// A label, with its facts; a number is never cut, so a label that holds one and has no room at all is left out.
    pub(super) fn label(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, label: &Label) -> Option<(f64, f64)> {
        let text = self.fit(&label.words, size, WIDTH - 2.0 * EDGE);
        if text != label.words && !label.numbers.is_empty() {
            return None;
        }
        let (left, right) = self.span(x, size, anchor, &text);
        self.write((left, right), y, size, anchor, &text, &label.numbers);
        Some((left, right))
    }

    /// The same where no other text stands; otherwise nothing is drawn.
    pub(super) fn label_if_free(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, label: &Label) -> Option<(f64, f64)> {
        let text = self.fit(&label.words, size, WIDTH - 2.0 * EDGE);
        let (left, right) = self.span(x, size, anchor, &text);
        if label.words.is_empty() || !self.is_free(&text_box(left, right, y, size)) {
            return None;
        }
        self.label(x, y, size, anchor, label)
    }

    /// A label that has `room` at most: words are cut to it, a label with a number in it is left out.
    pub(super) fn label_within(&mut self, (x, y): (f64, f64), size: f64, anchor: Anchor, label: &Label, room: f64) -> Option<(f64, f64)> {
        if self.width(&label.words, size) <= room {
            return self.label_if_free(x, y, size, anchor, label);
        }
        if !label.numbers.is_empty() {
            return None;
        }
        let words = self.fit(&label.words, size, room);
        self.text_if_free(x, y, size, anchor, &words)
    }

    fn span(&self, x: f64, size: f64, anchor: Anchor, text: &str) -> (f64, f64) {
        let wide = self.width(text, size);
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - wide / 2.0,
            Anchor::End => x - wide,
        };
        let left = left.min(WIDTH - EDGE - wide).max(EDGE);
        (left, left + wide)
    }

    fn write(&mut self, (left, right): (f64, f64), y: f64, size: f64, anchor: Anchor, text: &str, numbers: &[Number]) {
        if text.is_empty() {
            return;
        }
        let (x, name) = match anchor {
            Anchor::Start => (left, "start"),
            Anchor::Middle => (f64::midpoint(left, right), "middle"),
            Anchor::End => (right, "end"),
        };
        self.put(format_args!("<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{name}\"", number(x), number(y), number(size)));
        // Another font than ours is fitted to the measured length. A short text cannot grow by more than the gaps hold.
        if right - left > SHORT {
            self.put(format_args!(" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"", number(right - left)));
        }
        fact_attributes(&mut self.body, numbers);
        self.body.push('>');
        escape::push(&mut self.body, text);
        self.body.push_str("</text>\n");
        self.texts.push(text_box(left, right, y, size));
    }

    /// The finished drawing, `height` units high.
    pub(super) fn finish(self, about: &ChartText, height: f64) -> ChartDrawing {
        let id = &self.id;
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"{}mm\" height=\"{}mm\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-desc\" color=\"{INK}\" fill=\"currentColor\" font-family=\"{FONTS}\" font-kerning=\"none\">\n",
            number(WIDTH),
            number(height),
            number(WIDTH_MM),
            number(height * WIDTH_MM / WIDTH)
        );
        for (tag, text, numbers) in [("title", &about.title, &[][..]), ("desc", &about.description.words, &about.description.numbers)] {
            put(&mut out, format_args!("<{tag} id=\"{id}-{tag}\""));
            fact_attributes(&mut out, numbers);
            out.push('>');
            escape::push(&mut out, text);
            put(&mut out, format_args!("</{tag}>\n"));
        }
        out.push_str(&self.body);
        out.push_str("</svg>\n");
        ChartDrawing {
            id: about.id.clone(),
            svg: out,
            title: about.title.clone(),
            description: about.description.words.clone(),
            caption: about.caption.clone(),
            width: WIDTH,
            height,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coordinates_have_two_decimals_at_most() {
        for (value, text) in [(1.0, "1"), (1.005, "1"), (-0.001, "0"), (12.346, "12.35"), (f64::NAN, "0")] {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn text_stays_inside_and_is_escaped() {
        let font = crate::chart::tests::font();
        let mut svg = Svg::new("a b", &font);
        let (left, right) = svg.text(WIDTH, 10.0, 12.0, Anchor::Middle, "<edge> & more");
        assert!(left >= EDGE && right <= WIDTH - EDGE + 1e-9);
        let (left, _) = svg.text(0.0, 10.0, 12.0, Anchor::Middle, "left edge");
        assert_eq!(left, EDGE);
        let drawing = svg.finish(&ChartText::default(), 20.0);
        assert!(drawing.svg.contains("&lt;edge&gt; &amp; more"));
        assert!(drawing.svg.contains("a_20b-title"));
    }
}
