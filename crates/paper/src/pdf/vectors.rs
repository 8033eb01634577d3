//! Charts and drawings as vectors: the same SVG as on the page, read with the given faces and no other.

use super::faces::Face;
use super::inlines::Source;
use super::setter::Setter;
use crate::error::Error;

impl Setter<'_> {
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
