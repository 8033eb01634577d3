//! The SVG writer of drawings: one unit is a millimetre; three decimals; every text escaped.

use std::fmt::Write;

pub(super) use super::TYPE_MM as TYPE;
use super::labels::{Point, Segment};
use super::{DrawingText, SizedDrawing, Stroke, WIDTH_MM};
use crate::chart::ChartFont;
use crate::chart::svg::{FONTS, INK};
use crate::escape;

/// The widest text that carries no measured length, mm.
const SHORT: f64 = 5.0;
/// From line to line, mm.
pub(super) const LINE: f64 = 3.4;

impl Stroke {
    /// Width and dashes, mm.
    fn pen(self) -> (f64, &'static str) {
        match self {
            Stroke::Heavy => (0.6, ""),
            Stroke::Plain => (0.35, ""),
            Stroke::Thin => (0.18, ""),
            Stroke::Dashed => (0.35, "2 1.1"),
            Stroke::DashDot => (1.0, "3.6 1 0.8 1"),
            Stroke::Boundary => (0.6, "5 1 0.9 1 0.9 1"),
            Stroke::Dotted => (0.5, "0.6 0.9"),
        }
    }
}

pub(super) struct Writer<'a> {
    body: String,
    /// What words are measured with.
    pub(super) font: &'a ChartFont,
}

/// A coordinate of a thousandth of a millimetre.
pub(super) fn number(value: f64) -> String {
    crate::plane::coordinate(value, 3)
}

fn path(points: &[Point], closed: bool) -> String {
    let mut out = String::new();
    for (at, (x, y)) in points.iter().enumerate() {
        let _ = write!(out, "{}{} {}", if at == 0 { 'M' } else { 'L' }, number(*x), number(*y));
    }
    if closed {
        out.push('Z');
    }
    out
}

impl<'a> Writer<'a> {
    pub(super) fn new(font: &'a ChartFont) -> Self {
        Writer { body: String::new(), font }
    }

    pub(super) fn line(&mut self, points: &[Point], closed: bool, stroke: Stroke) {
        let (width, dash) = stroke.pen();
        let _ = write!(
            self.body,
            "<path d=\"{}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{width}\" stroke-linejoin=\"round\"",
            path(points, closed)
        );
        if !dash.is_empty() {
            let _ = write!(self.body, " stroke-dasharray=\"{dash}\"");
        }
        self.body.push_str("/>\n");
    }

    /// Strokes of one hatch.
    pub(super) fn hatch(&mut self, strokes: &[Segment]) {
        if strokes.is_empty() {
            return;
        }
        let d: String = strokes.iter().map(|(from, to)| path(&[*from, *to], false)).collect();
        let _ =
            writeln!(self.body, "<path d=\"{d}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"0.14\" stroke-opacity=\"0.75\"/>");
    }

    pub(super) fn circle(&mut self, (x, y): Point, radius: f64, stroke: Stroke) {
        let (width, dash) = stroke.pen();
        let _ = write!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{width}\"",
            number(x),
            number(y),
            number(radius)
        );
        if !dash.is_empty() {
            let _ = write!(self.body, " stroke-dasharray=\"{dash}\"");
        }
        self.body.push_str("/>\n");
    }

    /// A filled outline.
    pub(super) fn solid(&mut self, points: &[Point]) {
        let _ = writeln!(self.body, "<path d=\"{}\" fill=\"currentColor\"/>", path(points, true));
    }

    /// The small sign of a spot: a circle with a cross.
    pub(super) fn sign(&mut self, (x, y): Point) {
        self.circle((x, y), 0.9, Stroke::Plain);
        self.line(&[(x - 1.6, y), (x + 1.6, y)], false, Stroke::Thin);
        self.line(&[(x, y - 1.6), (x, y + 1.6)], false, Stroke::Thin);
    }

    /// A text with its baseline at `y`; `anchor` is start, middle or end.
    pub(super) fn text(&mut self, x: f64, y: f64, size: f64, anchor: &str, text: &str) {
        let _ = write!(self.body, "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{anchor}\"", number(x), number(y), number(size));
        // Another font than ours is fitted to the measured length; a short text cannot grow by much.
        let wide = self.font.width(text, size);
        if wide > SHORT {
            let _ = write!(self.body, " textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"", number(wide));
        }
        self.body.push('>');
        escape::push(&mut self.body, text);
        self.body.push_str("</text>\n");
    }

    /// Lines of text set from the left, the first one's top at `top`.
    pub(super) fn lines(&mut self, x: f64, top: f64, lines: &[String]) {
        for (at, line) in lines.iter().enumerate() {
            self.text(x, top + LINE * at as f64 + TYPE, TYPE, "start", line);
        }
    }

    pub(super) fn finish(self, about: &DrawingText, description: &str, height: f64, scale: Option<String>) -> SizedDrawing {
        let id = format!("drawing-{}", escape::id(&about.id));
        let (wide, high) = (number(WIDTH_MM), number(height));
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide} {high}\" width=\"{wide}mm\" height=\"{high}mm\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-desc\" color=\"{INK}\" fill=\"currentColor\" font-family=\"{FONTS}\" font-kerning=\"none\">\n"
        );
        for (tag, text) in [("title", about.title.as_str()), ("desc", description)] {
            let _ = write!(svg, "<{tag} id=\"{id}-{tag}\">");
            escape::push(&mut svg, text);
            let _ = writeln!(svg, "</{tag}>");
        }
        svg.push_str(&self.body);
        svg.push_str("</svg>\n");
        SizedDrawing {
            id: about.id.clone(),
            svg,
            title: about.title.clone(),
            description: description.to_owned(),
            caption: Vec::new(),
            width_mm: WIDTH_MM,
            height_mm: height,
            scale,
        }
    }
}

/// Side of a dot, mm.
const DOT: f64 = 0.35;

impl Writer<'_> {
    /// Rows of dots: dashed lines, which every program draws alike and which stay small.
    pub(super) fn dots(&mut self, left: f64, columns: f64, step: f64, rows: impl Iterator<Item = f64>) {
        let d: String = rows.map(|y| path(&[(left - DOT / 2.0, y), (left + columns * step + DOT / 2.0, y)], false)).collect();
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{DOT}\" stroke-dasharray=\"{DOT} {}\"/>",
            number(step - DOT)
        );
    }
}
