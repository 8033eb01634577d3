//! Figures: a chart as wide as the text, a drawing or a grid at its true size; below it the title and a caption, which may go on on the
//! next sheet.

use krilla::tagging::Tag;

use super::MM;
use super::flow;
use super::inlines::{Look, Source};
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, QUIET, Set, What};
use super::setter::{GAP, LEADING, SMALL, Setter};
use crate::chart::ChartDrawing;
use crate::document::{Align, Inline};
use crate::drawing::SizedDrawing;
use crate::error::Error;
use crate::escape;

/// At most this share of a sheet is kept free for the caption of a chart; a longer one goes on on the next sheet.
const CAPTION_SHARE: f32 = 0.33;

/// What is said of a figure.
struct About<'a> {
    kind: &'a str,
    id: &'a str,
    title: &'a str,
    description: &'a str,
}

impl About<'_> {
    /// What a reader hears in place of the strokes.
    fn alternative_text(&self) -> String {
        match (self.title.trim(), self.description.trim()) {
            ("", "") => self.id.to_owned(),
            ("", only) | (only, "") => only.to_owned(),
            (title, description) => format!("{}. {description}", title.trim_end_matches('.')),
        }
    }
}

impl<'a> Setter<'a> {
    /// A chart, as wide as the text and no higher than a sheet.
    pub(super) fn chart(&mut self, chart: &'a ChartDrawing, width: f32) -> Result<Set, Error> {
        let about = About { kind: "chart", id: &chart.id, title: &chart.title, description: &chart.description };
        let caption = self.figure_caption(&chart.title, &chart.caption, width);
        let below = flow::stacked(&caption.0).min(CAPTION_SHARE * flow::text_height(self.options.paper));
        let tree = self.read(&chart.id, &chart.svg)?;
        let (wide, high) = (tree.size().width(), tree.size().height());
        let room = flow::text_height(self.options.paper) - below - 6.0;
        let scale = (width / wide).min(room / high);
        Ok(self.figure(&about, tree, (wide * scale, high * scale), caption, (width - wide * scale) / 2.0))
    }

    /// A drawing or grid: a millimetre of it is a millimetre on the sheet, whatever the width of the text.
    pub(super) fn sized(&mut self, kind: &str, drawing: &'a SizedDrawing, width: f32) -> Result<Set, Error> {
        let about = About { kind, id: &drawing.id, title: &drawing.title, description: &drawing.description };
        let caption = self.figure_caption(&drawing.title, &drawing.caption, width);
        let tree = self.read(&drawing.id, &drawing.svg)?;
        Ok(self.figure(&about, tree, (drawing.width_mm as f32 * MM, drawing.height_mm as f32 * MM), caption, 0.0))
    }

    fn figure_caption(&mut self, title: &str, caption: &'a [Inline], width: f32) -> (Vec<Piece>, Vec<Node>) {
        let mut styled = self.styled_text(title, Look::BOLD, Source::Outside);
        if !caption.is_empty() {
            self.push(&mut styled, " ", Look::PLAIN, Source::Own);
            self.push_inlines(&mut styled, caption, Look::PLAIN.coloured(QUIET));
        }
        let (mut lines, nodes) = self.text(&styled, SMALL, LEADING, width, Align::Start);
        for line in &mut lines {
            line.keep = line.keep.max(Keep::Whole);
        }
        if let Some(first) = lines.first_mut() {
            first.before = 3.0;
        }
        if let Some(last) = lines.last_mut() {
            (last.after, last.keep) = (GAP * 1.2, Keep::Free);
        }
        (lines, nodes)
    }

    fn figure(&mut self, about: &About, tree: usvg::Tree, size: (f32, f32), caption: (Vec<Piece>, Vec<Node>), left: f32) -> Set {
        let leaf = self.leaf();
        let (width, height) = size;
        let ops = vec![
            Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(format!("{}-{}", about.kind, escape::id(about.id))) },
            Op { x: left, y: 0.0, mark: Mark::Leaf(leaf), what: What::Chart { width, height, tree: tree.into() } },
        ];
        let mut pieces = vec![Piece { kind: Kind::Other, height, before: GAP, keep: Keep::Bound, ops, ..Piece::default() }];
        let (lines, words) = caption;
        pieces.extend(lines);
        let figure = Node::Group(Tag::Figure(Some(about.alternative_text())).into(), vec![Node::Leaf(leaf)]);
        // The caption stands beside the figure, not in it: a reader that says the alternative text leaves out the rest.
        Set { pieces, nodes: vec![Node::Group(Tag::Div.into(), vec![figure, Node::Group(Tag::P.into(), words)])] }
    }
}
