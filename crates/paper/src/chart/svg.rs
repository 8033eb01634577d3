//! A small writer of SVG: it escapes every text, rounds every coordinate to two decimals, and knows only what the
//! charts need.

use super::text::{fit, width};
use super::{ChartDrawing, ChartText, WIDTH, WIDTH_MM};
use crate::escape;

/// The ink of all charts on white paper; a page may set another `color`.
const INK: &str = "#16323f";
const FONTS: &str = "Helvetica, Arial, 'Liberation Sans', sans-serif";
/// Room left free at both edges.
const EDGE: f64 = 2.0;

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

    const fn parts(self) -> (&'static str, &'static str) {
        match self {
            Hatch::Rising => ("rising", "M-1 1 1-1M0 6 6 0M5 7 7 5"),
            Hatch::Falling => ("falling", "M-1 5 1 7M0 0 6 6M5-1 7 1"),
            Hatch::Crossed => ("crossed", "M0 0 6 6M0 6 6 0"),
            Hatch::Dotted => ("dotted", "M1 1h1.4M4 4h1.4"),
            Hatch::Level => ("level", "M0 3H6"),
            Hatch::Upright => ("upright", "M3 0V6"),
        }
    }
}

/// A drawing being written.
pub(super) struct Svg {
    body: String,
    id: String,
    hatches: Vec<Hatch>,
}

/// A coordinate: two decimals, no trailing zeros, never "-0"; what is not finite is 0.
pub(super) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A path through points; more than one point a quarter unit along x keep their extremes only.
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

impl Svg {
    pub(super) fn new(id: &str) -> Self {
        Svg { body: String::new(), id: escape::id(id), hatches: Vec::new() }
    }

    fn stroke(&mut self, stroke: &Stroke) {
        self.body.push_str(&format!(" stroke=\"currentColor\" stroke-width=\"{}\"", number(stroke.width)));
        if !stroke.dash.is_empty() {
            self.body.push_str(&format!(" stroke-dasharray=\"{}\"", stroke.dash));
        }
        if stroke.opacity < 1.0 {
            self.body.push_str(&format!(" stroke-opacity=\"{}\"", number(stroke.opacity)));
        }
    }

    fn fill(&mut self, fill: Fill) {
        match fill {
            Fill::None => self.body.push_str(" fill=\"none\""),
            Fill::Ink(opacity) => {
                self.body.push_str(" fill=\"currentColor\"");
                if opacity < 1.0 {
                    self.body.push_str(&format!(" fill-opacity=\"{}\"", number(opacity)));
                }
            }
            Fill::Hatch(hatch) => {
                if !self.hatches.contains(&hatch) {
                    self.hatches.push(hatch);
                }
                self.body.push_str(&format!(" fill=\"url(#{}-{})\"", self.id, hatch.parts().0));
            }
        }
    }

    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: &Stroke) {
        self.body.push_str(&format!(
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"",
            number(from.0),
            number(from.1),
            number(to.0),
            number(to.1)
        ));
        self.stroke(stroke);
        self.body.push_str("/>\n");
    }

    pub(super) fn rect(&mut self, x: f64, y: f64, w: f64, h: f64, fill: Fill, stroke: Option<&Stroke>) {
        self.body.push_str(&format!(
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
        self.body.push_str(&format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"currentColor\"/>\n",
            number(x),
            number(y),
            number(radius)
        ));
    }

    /// A text whose baseline is at `y`; moved inward where it would leave the drawing, cut where it has no room at all.
    /// Returns where it starts and ends.
    pub(super) fn text(&mut self, x: f64, y: f64, size: f64, anchor: Anchor, text: &str) -> (f64, f64) {
        let text = fit(text, size, WIDTH - 2.0 * EDGE);
        let wide = width(&text, size);
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - wide / 2.0,
            Anchor::End => x - wide,
        };
        let left = left.min(WIDTH - EDGE - wide).max(EDGE);
        let (x, name) = match anchor {
            Anchor::Start => (left, "start"),
            Anchor::Middle => (left + wide / 2.0, "middle"),
            Anchor::End => (left + wide, "end"),
        };
        self.body.push_str(&format!(
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{name}\">",
            number(x),
            number(y),
            number(size)
        ));
        escape::push(&mut self.body, &text);
        self.body.push_str("</text>\n");
        (left, left + wide)
    }

    /// The finished drawing, `height` units high.
    pub(super) fn finish(self, about: &ChartText, height: f64) -> ChartDrawing {
        let id = &self.id;
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"{}mm\" height=\"{}mm\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-desc\" color=\"{INK}\" fill=\"currentColor\" font-family=\"{FONTS}\">\n",
            number(WIDTH),
            number(height),
            number(WIDTH_MM),
            number(height * WIDTH_MM / WIDTH)
        );
        for (tag, text) in [("title", &about.title), ("desc", &about.description)] {
            out.push_str(&format!("<{tag} id=\"{id}-{tag}\">"));
            escape::push(&mut out, text);
            out.push_str(&format!("</{tag}>\n"));
        }
        if !self.hatches.is_empty() {
            out.push_str("<defs>\n");
            for hatch in &self.hatches {
                let (name, d) = hatch.parts();
                let wide = if *hatch == Hatch::Dotted { 1.4 } else { 0.9 };
                out.push_str(&format!(
                    "<pattern id=\"{id}-{name}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path d=\"{d}\" fill=\"none\" \
                     stroke=\"currentColor\" stroke-width=\"{wide}\"/></pattern>\n"
                ));
            }
            out.push_str("</defs>\n");
        }
        out.push_str(&self.body);
        out.push_str("</svg>\n");
        ChartDrawing {
            id: about.id.clone(),
            svg: out,
            title: about.title.clone(),
            description: about.description.clone(),
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
        let mut svg = Svg::new("a b");
        let (left, right) = svg.text(WIDTH, 10.0, 12.0, Anchor::Middle, "<edge> & more");
        assert!(left >= EDGE && right <= WIDTH - EDGE + 1e-9);
        let (left, _) = svg.text(0.0, 10.0, 12.0, Anchor::Middle, "left edge");
        assert_eq!(left, EDGE);
        let drawing = svg.finish(&ChartText::default(), 20.0);
        assert!(drawing.svg.contains("&lt;edge&gt; &amp; more"));
        assert!(drawing.svg.contains("a_20b-title"));
    }
}
