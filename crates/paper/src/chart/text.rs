//! How wide a text is, before anything draws it: sums of the advance widths of the face that the report is printed with.
//!
//! The caller hands the face in as bytes, the same that the PDF is set in, so that a measured text is as wide as a printed
//! one. Kerning is switched off in the drawings, so a sum of advances is the whole width. On a reader's own machine another
//! font may stand in; there every text carries its measured length (`textLength`), and the browser fits it to that.

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

use crate::error::Error;

/// The advance widths of a face.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartFont {
    /// Characters and their advances in font units, in rising order of characters.
    advances: Vec<(u32, u16)>,
    units_per_em: f64,
}

impl ChartFont {
    /// Reads the widths of a TrueType or OpenType face.
    ///
    /// # Errors
    ///
    /// [`Error::Font`]: the bytes are no font, or one without widths.
    pub fn read(bytes: &[u8]) -> Result<Self, Error> {
        let fault = || Error::Font { face: "regular" };
        let font = FontRef::new(bytes).map_err(|_| fault())?;
        let glyphs = font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let units_per_em = f64::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em);
        let mut advances: Vec<(u32, u16)> = font
            .charmap()
            .mappings()
            .filter_map(|(character, glyph)| Some((character, glyphs.advance_width(glyph)?)))
            .map(|(character, advance)| (character, advance.clamp(0.0, f32::from(u16::MAX)) as u16))
            .collect();
        advances.sort_unstable();
        if advances.is_empty() || units_per_em <= 0.0 {
            return Err(fault());
        }
        Ok(ChartFont { advances, units_per_em })
    }

    /// Width of one character as a part of the type size.
    fn advance(&self, character: char) -> f64 {
        if prints_nothing(character) {
            return 0.0;
        }
        let code = u32::from(character);
        match self.advances.binary_search_by_key(&code, |entry| entry.0) {
            Ok(at) => f64::from(self.advances[at].1) / self.units_per_em,
            // A character of another font: signs and pictures of East Asia as wide as high, others as wide as a wide letter.
            Err(_) if matches!(code, 0x1100..=0x11FF | 0x2E80..=0xD7AF | 0xF900..=0xFAFF | 0xFF00..=0xFF60 | 0x1_F000..) => 1.0,
            Err(_) => 0.75,
        }
    }

    /// Width of `text` at type size `size`, in the unit of `size`.
    pub fn width(&self, text: &str, size: f64) -> f64 {
        text.chars().map(|character| self.advance(character)).sum::<f64>() * size
    }

    /// `text` cut with an ellipsis where it is wider than `room`.
    pub fn fit(&self, text: &str, size: f64, room: f64) -> String {
        if self.width(text, size) <= room {
            return text.to_owned();
        }
        let mut out = String::new();
        let mut used = self.width("…", size);
        for character in text.chars() {
            used += self.advance(character) * size;
            if used > room {
                break;
            }
            out.push(character);
        }
        let mut out = out.trim_end_matches(|character: char| character.is_whitespace() || prints_nothing(character)).to_owned();
        out.push('…');
        out
    }

    /// `text` broken at spaces into lines of at most `room`; a word wider than that gets a line of its own and is cut.
    pub fn wrap(&self, text: &str, size: f64, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        // A number keeps its unit: no line ends at a no-break space.
        let breaks = |character: char| character.is_whitespace() && character != '\u{a0}' && character != '\u{202f}';
        for word in text.split(breaks).filter(|word| !word.is_empty()) {
            match lines.last_mut() {
                Some(line) if self.width(line, size) + self.width(" ", size) + self.width(word, size) <= room => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(self.fit(word, size, room)),
            }
        }
        lines
    }
}

/// Marks set on the letter before, joiners, marks of direction, variation selectors.
fn prints_nothing(character: char) -> bool {
    matches!(u32::from(character), 0x300..=0x36F | 0x200B..=0x200F | 0x202A..=0x202E | 0x2060..=0x2069 | 0xFE00..=0xFE0F | 0xFEFF)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::tests::font;

    /// Liberation Sans has the widths of Arial and Helvetica. Adobe Core 14 AFM, Helvetica: W 944, a 556, t 278, e 556,
    /// r 333 -> 2667; digits 556 each. The face counts 2048 units to the em, so an advance may be off by half a unit.
    #[test]
    fn widths_are_those_of_the_published_metrics() {
        let font = font();
        assert!((font.width("Water", 1000.0) - 2667.0).abs() < 5.0 * 1000.0 / 4096.0 + 5.0 * 0.5);
        assert!((font.width("2024", 1000.0) - 4.0 * 556.0).abs() < 4.0);
        assert_eq!(font.width("", 10.0), 0.0);
        assert_eq!(font.width("日本", 10.0), 20.0);
        assert_eq!(font.width("e\u{301}", 10.0), font.width("e", 10.0));
    }

    #[test]
    fn what_is_no_font_is_refused() {
        for bytes in [&b""[..], b"not a font", &[0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]] {
            assert_eq!(ChartFont::read(bytes), Err(Error::Font { face: "regular" }));
        }
    }

    #[test]
    fn a_cut_text_fits_and_says_so() {
        let font = font();
        let cut = font.fit("a long label that does not fit", 10.0, 60.0);
        assert!(cut.ends_with('…') && font.width(&cut, 10.0) <= 60.0, "{cut}");
        assert_eq!(font.fit("short", 10.0, 60.0), "short");
    }

    #[test]
    fn lines_break_at_spaces() {
        let font = font();
        let lines = font.wrap("one two three four", 10.0, 50.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| font.width(line, 10.0) <= 50.0));
        assert_eq!(lines.join(" "), "one two three four");
        assert!(font.wrap("  ", 10.0, 50.0).is_empty());
    }
}
