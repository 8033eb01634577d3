//! Charts: the same SVG as on the page, read with the given faces and no other, drawn as vectors.

use krilla::tagging::Tag;

use super::faces::Face;
use super::flow;
use super::inlines::{Look, Source};
use super::piece::{Keep, Kind, Mark, Node, Op, Piece, QUIET, Set, What};
use super::setter::{GAP, SMALL, Setter};
use crate::chart::ChartDrawing;
use crate::error::Error;
use crate::escape;

impl<'a> Setter<'a> {
    pub(super) fn chart(&mut self, chart: &'a ChartDrawing, width: f32) -> Result<Set, Error> {
        let mut styled = self.styled_text(&chart.title, Look::BOLD, Source::Outside);
        if !chart.caption.is_empty() {
            self.push(&mut styled, " ", Look::PLAIN, Source::Own);
            self.push_inlines(&mut styled, &chart.caption, Look::PLAIN.coloured(QUIET));
        }
        let (mut caption, caption_nodes) = self.caption(&styled, SMALL, width);
        caption.before = 3.0;
        caption.after = GAP * 1.2;

        let tree = self.read(&chart.id, &chart.svg)?;
        let (drawn_width, drawn_height) = (tree.size().width(), tree.size().height());
        let room = flow::text_height(self.options.paper) - caption.height - 6.0;
        let scale = (width / drawn_width).min(room / drawn_height);
        let (drawn_width, drawn_height) = (drawn_width * scale, drawn_height * scale);
        let leaf = self.leaf();
        let ops = vec![
            Op { x: 0.0, y: 0.0, mark: Mark::Decoration, what: What::Anchor(format!("chart-{}", escape::id(&chart.id))) },
            Op {
                x: (width - drawn_width) / 2.0,
                y: 0.0,
                mark: Mark::Leaf(leaf),
                what: What::Chart { width: drawn_width, height: drawn_height, tree: tree.into() },
            },
        ];
        let piece = Piece { kind: Kind::Other, height: drawn_height, before: GAP, keep: Keep::Bound, ops, ..Piece::default() };
        let alt = match (chart.title.trim(), chart.description.trim()) {
            ("", "") => chart.id.clone(),
            ("", only) | (only, "") => only.to_owned(),
            (title, description) => format!("{}. {description}", title.trim_end_matches('.')),
        };
        Ok(Set {
            pieces: vec![piece, caption],
            // The caption stands beside the figure, not in it: a reader that says the alternative text leaves out the rest.
            nodes: vec![Node::Group(
                Tag::Div.into(),
                vec![Node::Group(Tag::Figure(Some(alt)).into(), vec![Node::Leaf(leaf)]), Node::Group(Tag::P.into(), caption_nodes)],
            )],
        })
    }

    pub(super) fn read(&mut self, id: &str, drawn: &str) -> Result<usvg::Tree, Error> {
        // A character without a glyph in a label is user text: the chart's own words are checked with the report's.
        let mut svg = String::with_capacity(drawn.len());
        for character in drawn.chars() {
            match character {
                '\n' | '\r' | '\t' => svg.push(character),
                _ if character.is_ascii() && !character.is_control() => svg.push(character),
                _ => match self.glyph(character, Face::Regular, Source::Outside) {
                    Some(('\u{FFFD}', _)) => svg.push_str(self.faces.stand_in),
                    Some((shown, _)) => svg.push(shown),
                    None => {}
                },
            }
        }
        let ids = self.faces.ids;
        let options = usvg::Options {
            fontdb: self.faces.database.clone(),
            // Whatever family the drawing names, there are these faces only.
            font_resolver: usvg::FontResolver {
                select_font: Box::new(move |font, _| {
                    let face = if font.weight() >= 600 {
                        Face::Bold
                    } else if font.style() == usvg::FontStyle::Normal {
                        Face::Regular
                    } else {
                        Face::Italic
                    };
                    Some(ids[face as usize])
                }),
                select_fallback: Box::new(|_, _, _| None),
            },
            // Nothing outside the drawing is read.
            image_href_resolver: usvg::ImageHrefResolver { resolve_data: Box::new(|_, _, _| None), resolve_string: Box::new(|_, _| None) },
            ..usvg::Options::default()
        };
        usvg::Tree::from_str(&svg, &options).map_err(|error| Error::Chart { id: id.to_owned(), reason: error.to_string() })
    }
}
