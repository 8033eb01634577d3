//! Document to PDF: the same document, options and fonts give the same bytes. Nothing is read from the machine: no
//! font, no clock, no file.
//!
//! The way is one way: blocks -> pieces that are set at a width and never broken (`blocks`, `table`, `text`) -> pages
//! (`flow`) -> bytes (`write`). Lines are broken and shaped by parley, pages written by krilla, which checks the rules of
//! PDF/A-2a and PDF/UA-1 that a program can check and refuses a document that breaks one. Whether a file follows those
//! standards as a whole also depends on its words, so the file is never called certified.
//!
//! All lengths inside are points (1/72 inch), y downwards from the top of the sheet.

use std::collections::BTreeSet;

use crate::document::Document;
use crate::error::Error;
use crate::html::Wording;

mod blocks;
mod cautions;
mod contents;
mod definitions;
mod faces;
mod fields;
mod figure;
mod flow;
mod inlines;
mod key_facts;
mod lists;
mod notes;
mod piece;
mod setter;
mod sheets;
mod table;
mod text;
mod vectors;
mod write;

/// Points in a millimetre.
const MM: f32 = 72.0 / 25.4;

/// The sheet; upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 mm by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 in by 11 in (ANSI Y14.1, size A).
    Letter,
}

impl Paper {
    /// Width and height in points.
    pub fn size(self) -> (f32, f32) {
        match self {
            Paper::A4 => (210.0 * MM, 297.0 * MM),
            Paper::Letter => (612.0, 792.0),
        }
    }
}

/// The four faces that everything is set in, charts included: bytes of TrueType or OpenType fonts whose licence allows
/// embedding. Only the glyphs used are embedded.
#[derive(Debug, Clone, Copy)]
pub struct Fonts<'a> {
    /// Upright, regular weight.
    pub regular: &'a [u8],
    /// Upright, bold.
    pub bold: &'a [u8],
    /// Italic, regular weight.
    pub italic: &'a [u8],
    /// Upright, regular weight, every letter as wide as the next; for file names, commands and ids.
    pub mono: &'a [u8],
}

/// The day a document was made, as the caller states it; written as midnight, UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CreationDate {
    /// Year, Common Era.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, 1 to 31.
    pub day: u8,
}

/// How a document becomes a PDF.
#[derive(Debug, Clone)]
pub struct PdfOptions<'a> {
    /// The sheet.
    pub paper: Paper,
    /// The faces.
    pub fonts: Fonts<'a>,
    /// Printed at the foot of every sheet; empty: only the page number stands there.
    pub running_foot: String,
    /// Title of the file; empty: the document's.
    pub title: String,
    /// Language of the file as a BCP 47 tag; empty: the document's.
    pub language: String,
    /// The day written into the file.
    pub created: CreationDate,
    /// The renderer's own words.
    pub wording: Wording,
}

/// A written PDF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfOutput {
    /// The file.
    pub bytes: Vec<u8>,
    /// Number of pages.
    pub pages: usize,
    /// Characters of text from outside that the faces have no glyph for; U+FFFD is printed in their place.
    pub missing_glyphs: BTreeSet<char>,
    /// The same for our own text (templates, wording). A test of ours holds this to be empty; a template that somebody
    /// else edited is printed all the same.
    pub missing_own_glyphs: BTreeSet<char>,
}

/// Renders a document to a tagged PDF.
///
/// # Errors
///
/// [`Error::Font`]: a face is not a font. [`Error::Chart`]: a drawing is not SVG. [`Error::Pdf`]: the writer refuses the document.
pub fn to_pdf(document: &Document, options: &PdfOptions) -> Result<PdfOutput, Error> {
    let (pages, setter) = lay_out(document, options)?;
    let count = pages.len();
    let bytes = write::write(document, options, &setter.faces, pages, setter.nodes, setter.leaves)?;
    Ok(PdfOutput { bytes, pages: count, missing_glyphs: setter.missing.outside, missing_own_glyphs: setter.missing.own })
}

fn lay_out<'a>(document: &'a Document, options: &'a PdfOptions) -> Result<(Vec<flow::Page>, setter::Setter<'a>), Error> {
    let mut setter = setter::Setter::new(document, options)?;
    let pieces = setter.document(document)?;
    let mut pages = flow::flow(&pieces, options.paper);
    setter.margins(document, &mut pages);
    Ok((pages, setter))
}

#[cfg(test)]
mod tests;
