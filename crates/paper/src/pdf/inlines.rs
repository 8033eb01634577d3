//! Inlines to styled text. Our own text must have its glyphs; in user text a character without one becomes U+FFFD and is
//! reported.

use super::blocks::Setter;
use super::faces::{Face, prints_nothing};
use super::piece::{Colour, INK};
use super::text::{Span, Styled};
use crate::document::{Inline, Slot};
use crate::error::Error;

/// A number longer than this may be broken like any text.
const LONGEST_UNBROKEN: usize = 24;

/// How the text around looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    pub(super) face: Face,
    pub(super) colour: Colour,
    pub(super) scale: f32,
    pub(super) raise: f32,
    link: Option<usize>,
}

impl Look {
    pub(super) const PLAIN: Look = Look { face: Face::Regular, colour: INK, scale: 1.0, raise: 0.0, link: None };
    pub(super) const BOLD: Look = Look { face: Face::Bold, ..Look::PLAIN };

    pub(super) fn coloured(self, colour: Colour) -> Look {
        Look { colour, ..self }
    }
}

impl<'a> Setter<'a> {
    pub(super) fn styled(&mut self, inlines: &'a [Inline], look: Look) -> Result<Styled, Error> {
        let mut out = Styled::default();
        self.push_inlines(&mut out, inlines, look)?;
        Ok(out)
    }

    pub(super) fn push_inlines(&mut self, out: &mut Styled, inlines: &'a [Inline], look: Look) -> Result<(), Error> {
        for inline in inlines {
            match inline {
                Inline::Text(text) => self.push_own(out, text, look)?,
                Inline::Slot(slot) => self.push_slot(out, slot, look)?,
                Inline::Strong(inner) => self.push_inlines(out, inner, Look { face: Face::Bold, ..look })?,
                Inline::Emphasis(inner) => {
                    let face = if look.face == Face::Bold { Face::Bold } else { Face::Italic };
                    self.push_inlines(out, inner, Look { face, ..look })?;
                }
                Inline::Code(inner) => self.push_inlines(out, inner, look)?,
                Inline::Link { target, text } => {
                    out.links.push(target.clone());
                    self.push_inlines(out, text, Look { link: Some(out.links.len() - 1), ..look })?;
                }
                Inline::NoteReference(name) => {
                    if let Some(number) = self.note_number(name) {
                        out.links.push(format!("#_note-{number}"));
                        let link = Some(out.links.len() - 1);
                        self.push_own(out, &number.to_string(), Look { link, scale: 0.7, raise: 0.33, ..look })?;
                    }
                }
                Inline::LineBreak => push(out, "\n", look, false, None),
            }
        }
        Ok(())
    }

    pub(super) fn push_slot(&mut self, out: &mut Styled, slot: &Slot, look: Look) -> Result<(), Error> {
        match slot {
            Slot::Number(number) => {
                let start = out.text.len();
                let spans = out.spans.len();
                self.push_own(out, &number.text, look)?;
                if out.text.len() - start <= LONGEST_UNBROKEN {
                    out.spans[spans..].iter_mut().for_each(|span| span.unbroken = true);
                }
            }
            Slot::Text(text) => self.push_user(out, text, look),
        }
        Ok(())
    }

    /// Our own text.
    pub(super) fn push_own(&mut self, out: &mut Styled, text: &str, look: Look) -> Result<(), Error> {
        self.push_own_read_as(out, text, None, look)
    }

    /// Our own text, read out as `alt`.
    pub(super) fn push_own_read_as(&mut self, out: &mut Styled, text: &str, alt: Option<String>, look: Look) -> Result<(), Error> {
        let mut clean = String::with_capacity(text.len());
        for character in text.chars() {
            match character {
                '\n' | '\r' | '\t' => clean.push(' '),
                _ if prints_nothing(character) => {}
                _ if self.faces.has(character) => clean.push(character),
                _ => return Err(Error::MissingGlyph { character }),
            }
        }
        push(out, &clean, look, false, alt);
        Ok(())
    }

    /// Text from outside: what it holds is shown, and what stands around it keeps its order.
    pub(super) fn push_user(&mut self, out: &mut Styled, text: &str, look: Look) {
        let clean = self.clean(text);
        if clean.is_ascii() {
            push(out, &clean, look, false, None);
        } else {
            // Unicode Standard Annex 9: FIRST STRONG ISOLATE and POP DIRECTIONAL ISOLATE.
            push(out, &format!("\u{2068}{clean}\u{2069}"), look, false, None);
        }
    }

    /// Text from outside, with U+FFFD for each character that has no glyph.
    pub(super) fn clean(&mut self, text: &str) -> String {
        let mut clean = String::with_capacity(text.len());
        for character in text.chars() {
            match character {
                '\n' | '\r' | '\t' => clean.push(' '),
                _ if prints_nothing(character) => {}
                _ if self.faces.has(character) => clean.push(character),
                _ => {
                    self.missing.insert(character);
                    clean.push('\u{FFFD}');
                }
            }
        }
        clean
    }
}

fn push(out: &mut Styled, text: &str, look: Look, unbroken: bool, alt: Option<String>) {
    if text.is_empty() {
        return;
    }
    let start = out.text.len();
    out.text.push_str(text);
    out.spans.push(Span {
        range: start..out.text.len(),
        face: look.face,
        scale: look.scale,
        raise: look.raise,
        colour: look.colour,
        link: look.link,
        unbroken,
        alt,
    });
}
