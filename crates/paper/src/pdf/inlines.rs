//! Inlines to styled text. A character without a glyph becomes U+FFFD and is reported: what a document says is never the
//! reason that there is no file. Whose text it stood in is kept apart, so that a test can hold our own text to its glyphs.

use super::faces::{Face, prints_nothing};
use super::piece::{Colour, INK};
use super::setter::Setter;
use super::text::{Link, Role, Span, Styled};
use crate::document::{Inline, Slot};

/// A number longer than this may be broken like any text.
const LONGEST_UNBROKEN: usize = 24;
/// Fixed-width letters look larger than the text's: their size as a share of it.
const CODE_SCALE: f32 = 0.94;

/// Whose words they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Source {
    /// Ours: templates, wording, signs that the renderer sets.
    Own,
    /// From outside: values of every kind.
    Outside,
}

/// How the text around looks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    pub(super) face: Face,
    pub(super) colour: Colour,
    pub(super) scale: f32,
    pub(super) raise: f32,
    pub(super) role: Role,
    pub(super) link: Option<usize>,
}

impl Look {
    pub(super) const PLAIN: Look = Look { face: Face::Regular, colour: INK, scale: 1.0, raise: 0.0, role: Role::NONE, link: None };
    pub(super) const BOLD: Look = Look { face: Face::Bold, ..Look::PLAIN };

    pub(super) fn coloured(self, colour: Colour) -> Look {
        Look { colour, ..self }
    }

    /// The look of a stretch that leads to the last link of `out`.
    pub(super) fn linked(self, out: &Styled) -> Look {
        Look { link: out.links.len().checked_sub(1), ..self }
    }
}

impl<'a> Setter<'a> {
    pub(super) fn styled(&mut self, inlines: &'a [Inline], look: Look) -> Styled {
        let mut out = Styled::default();
        self.push_inlines(&mut out, inlines, look);
        out
    }

    /// A text of ours or from outside, by itself.
    pub(super) fn styled_text(&mut self, text: &str, look: Look, source: Source) -> Styled {
        let mut out = Styled::default();
        self.push(&mut out, text, look, source);
        out
    }

    pub(super) fn push_inlines(&mut self, out: &mut Styled, inlines: &'a [Inline], look: Look) {
        for inline in inlines {
            match inline {
                Inline::Text(text) => self.push(out, text, look, Source::Own),
                Inline::Slot(slot) => self.push_slot(out, slot, look),
                Inline::Strong(inner) => {
                    // Fixed-width and bold italic are not shipped: there the tag alone says it.
                    let face = if look.face == Face::Mono { Face::Mono } else { Face::Bold };
                    self.push_inlines(out, inner, Look { face, role: Role { strong: true, ..look.role }, ..look });
                }
                Inline::Emphasis(inner) => {
                    let face = if look.face == Face::Regular { Face::Italic } else { look.face };
                    self.push_inlines(out, inner, Look { face, role: Role { emphasis: true, ..look.role }, ..look });
                }
                Inline::Code(inner) => {
                    let role = Role { code: true, ..look.role };
                    self.push_inlines(out, inner, Look { face: Face::Mono, scale: look.scale * CODE_SCALE, role, ..look });
                }
                Inline::Link { target, text } => {
                    out.links.push(Link { target: target.clone(), ..Link::default() });
                    let look = look.linked(out);
                    self.push_inlines(out, text, look);
                }
                Inline::NoteReference(name) => self.note_reference(out, name, look),
                Inline::LineBreak => push_span(out, "\n", look, false, None),
            }
        }
    }

    pub(super) fn push_slot(&mut self, out: &mut Styled, slot: &Slot, look: Look) {
        let spans = out.spans.len();
        let start = out.text.len();
        self.push(out, slot.text(), look, Source::Outside);
        if matches!(slot, Slot::Number(_)) && out.text.len() - start <= LONGEST_UNBROKEN {
            out.spans[spans..].iter_mut().for_each(|span| span.unbroken = true);
        }
    }

    /// Adds a text; what stands around a text from outside keeps its order.
    pub(super) fn push(&mut self, out: &mut Styled, text: &str, look: Look, source: Source) {
        // Unicode Standard Annex 9: FIRST STRONG ISOLATE and POP DIRECTIONAL ISOLATE.
        let isolated = source == Source::Outside && !text.is_ascii();
        if isolated {
            push_span(out, "\u{2068}", look, false, None);
        }
        self.push_read_as(out, text, look, source, None);
        if isolated {
            push_span(out, "\u{2069}", look, false, None);
        }
    }

    /// Adds a text that is read out as `alt`.
    pub(super) fn push_read_as(&mut self, out: &mut Styled, text: &str, look: Look, source: Source, alt: Option<&str>) {
        let mut stretch = String::with_capacity(text.len());
        let mut look = look;
        let wanted = look.face;
        for character in text.chars() {
            let Some((shown, face)) = self.glyph(character, wanted, source) else { continue };
            if face != look.face {
                push_span(out, &stretch, look, false, alt);
                stretch.clear();
                look.face = face;
            }
            stretch.push(shown);
        }
        push_span(out, &stretch, look, false, alt);
    }

    /// What is shown for a character, and in which face: the wanted one, else the regular one.
    pub(super) fn glyph(&mut self, character: char, wanted: Face, source: Source) -> Option<(char, Face)> {
        if matches!(character, '\n' | '\r' | '\t') {
            return Some((' ', wanted));
        }
        if prints_nothing(character) {
            return None;
        }
        if let Some(face) = [wanted, Face::Regular].into_iter().find(|face| self.faces.has(*face, character)) {
            return Some((character, face));
        }
        match source {
            Source::Own => self.missing.own.insert(character),
            Source::Outside => self.missing.outside.insert(character),
        };
        Some(('\u{FFFD}', Face::Regular))
    }
}

fn push_span(out: &mut Styled, text: &str, look: Look, unbroken: bool, alt: Option<&str>) {
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
        role: look.role,
        link: look.link,
        unbroken,
        alt: alt.map(str::to_owned),
    });
}
