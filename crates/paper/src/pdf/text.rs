//! Text to lines: styled spans are broken and shaped by parley (Unicode line breaking and bidirectional order), then cut
//! into segments, one for each stretch that stands in one link and has one role.

use std::borrow::Cow;
use std::ops::Range;
use std::rc::Rc;

use krilla::text::{GlyphId, KrillaGlyph};
use parley::{
    Alignment, AlignmentOptions, BaseDirection, FontFamily, FontFamilyName, Layout, LineHeight, OverflowWrap, StyleProperty, TextWrapMode,
};

use super::faces::{Face, Faces, prints_nothing};
use super::piece::Colour;
use crate::document::Align;

/// What a stretch of text is, for the tag tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Role {
    pub(super) strong: bool,
    pub(super) emphasis: bool,
    pub(super) code: bool,
}

impl Role {
    pub(super) const NONE: Role = Role { strong: false, emphasis: false, code: false };
}

/// Where a stretch of text leads.
#[derive(Debug, Clone, Default)]
pub(super) struct Link {
    pub(super) target: String,
    /// What it is called; `None`: what is shown.
    pub(super) alt: Option<String>,
    /// The name of the place where it stands.
    pub(super) anchor: Option<String>,
    /// Whether it refers to a note.
    pub(super) reference: bool,
}

/// How a span of text looks and where it leads.
#[derive(Debug, Clone, Default)]
pub(super) struct Span {
    pub(super) range: Range<usize>,
    pub(super) face: Face,
    /// Size as a share of the text's.
    pub(super) scale: f32,
    /// How far above the line it stands, as a share of the text's size.
    pub(super) raise: f32,
    pub(super) colour: Colour,
    pub(super) role: Role,
    pub(super) link: Option<usize>,
    pub(super) unbroken: bool,
    pub(super) alt: Option<String>,
}

/// A text with its spans, not yet broken into lines.
#[derive(Debug, Clone, Default)]
pub(super) struct Styled {
    pub(super) text: String,
    pub(super) spans: Vec<Span>,
    pub(super) links: Vec<Link>,
}

/// A stretch of a line that stands in one link or in none and has one role.
pub(super) struct Segment {
    pub(super) runs: Vec<Run>,
    pub(super) text: Rc<str>,
    pub(super) width: f32,
}

pub(super) struct Run {
    /// Right of the segment's start, below the baseline.
    pub(super) x: f32,
    pub(super) y: f32,
    pub(super) face: Face,
    pub(super) size: f32,
    pub(super) colour: Colour,
    pub(super) glyphs: Vec<KrillaGlyph>,
}

pub(super) struct Line {
    pub(super) height: f32,
    pub(super) baseline: f32,
    pub(super) segments: Vec<Placed>,
}

impl Line {
    /// Where the line ends.
    pub(super) fn width(&self) -> f32 {
        self.segments.iter().fold(0.0_f32, |right, placed| right.max(placed.x + placed.segment.width))
    }
}

pub(super) struct Placed {
    pub(super) x: f32,
    pub(super) link: Option<usize>,
    pub(super) role: Role,
    pub(super) alt: Option<String>,
    pub(super) segment: Rc<Segment>,
    /// The bytes of the text.
    pub(super) range: Range<usize>,
}

/// A shaped text.
pub(super) struct Shaped {
    layout: Layout<usize>,
    text: Rc<str>,
    spans: Vec<Span>,
    size: f32,
    line_height: f32,
    baseline: f32,
}

/// Shapes a text; `leading` is the distance of its lines as a multiple of the face's own.
pub(super) fn shape(faces: &mut Faces, styled: &Styled, size: f32, leading: f32) -> Shaped {
    let metrics = faces.metrics;
    let line_height = size * metrics.line * leading;
    let baseline = (line_height - size * (metrics.ascent + metrics.descent)) / 2.0 + size * metrics.ascent;
    // U+FFFD and its stand-in are both three bytes long, so places in the one text are places in the other: the file's
    // text says U+FFFD, the sheet shows the stand-in.
    let stand_in = faces.stand_in;
    let shown = if styled.text.contains('\u{FFFD}') {
        Cow::Owned(styled.text.replace('\u{FFFD}', stand_in))
    } else {
        Cow::Borrowed(styled.text.as_str())
    };
    let mut builder = faces.layouts.ranged_builder(&mut faces.context, &shown, 1.0, false);
    builder.set_base_direction(BaseDirection::Ltr);
    builder.push_default(StyleProperty::FontFamily(FontFamily::Single(FontFamilyName::named(Face::Regular.family()))));
    builder.push_default(StyleProperty::FontSize(size));
    builder.push_default(StyleProperty::LineHeight(LineHeight::Absolute(line_height)));
    builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::BreakWord));
    for (at, span) in styled.spans.iter().enumerate() {
        builder.push(StyleProperty::Brush(at), span.range.clone());
        if span.face == Face::Mono {
            let family = FontFamily::Single(FontFamilyName::named(span.face.family()));
            builder.push(StyleProperty::FontFamily(family), span.range.clone());
        } else if span.face != Face::Regular {
            builder.push(StyleProperty::FontWeight(span.face.weight()), span.range.clone());
            builder.push(StyleProperty::FontStyle(span.face.style()), span.range.clone());
        }
        if span.scale != 1.0 {
            builder.push(StyleProperty::FontSize(size * span.scale), span.range.clone());
        }
        if span.unbroken {
            builder.push(StyleProperty::TextWrapMode(TextWrapMode::NoWrap), span.range.clone());
        }
    }
    let layout = builder.build(&*shown);
    Shaped { layout, text: Rc::from(styled.text.as_str()), spans: styled.spans.clone(), size, line_height, baseline }
}

impl Shaped {
    /// The width of the widest word and of the whole text on one line.
    pub(super) fn widths(&self) -> (f32, f32) {
        let widths = self.layout.calculate_content_widths();
        (widths.min, widths.max)
    }

    /// Breaks the text into lines of `width`.
    pub(super) fn lines(&mut self, width: f32, align: Align) -> Vec<Line> {
        let alignment = match align {
            Align::Start => Alignment::Left,
            Align::Centre => Alignment::Center,
            Align::End => Alignment::Right,
        };
        // A hair of room, so that a text set at its own width does not break.
        self.layout.break_all_lines(Some(width.max(1.0) + 0.05));
        self.layout.align(alignment, AlignmentOptions::default());
        if self.text.is_empty() {
            return Vec::new();
        }
        let mut lines = Vec::with_capacity(self.layout.len());
        for line in self.layout.lines() {
            let metrics = line.metrics();
            let mut x = metrics.offset;
            let mut segments: Vec<(f32, usize, Range<usize>, Segment)> = Vec::new();
            for run in line.runs() {
                for cluster in run.visual_clusters() {
                    let span_at = cluster.style().brush;
                    let Some(span) = self.spans.get(span_at) else { continue };
                    let range = cluster.text_range();
                    let hidden = self.text.get(range.clone()).is_some_and(|text| text.chars().all(|c| prints_nothing(c) || c.is_control()));
                    let advance = cluster.advance();
                    if hidden {
                        continue;
                    }
                    let same = segments.last().is_some_and(|(_, at, _, _)| {
                        self.spans.get(*at).is_some_and(|last| {
                            last.link == span.link && last.role == span.role && last.alt.is_none() && span.alt.is_none()
                        })
                    });
                    if !same {
                        let segment = Segment { runs: Vec::new(), text: Rc::clone(&self.text), width: 0.0 };
                        segments.push((x, span_at, range.clone(), segment));
                    }
                    let Some((start, at, covered, segment)) = segments.last_mut() else { continue };
                    let size = run.font_size();
                    let y = -span.raise * self.size;
                    let joined = segment.runs.last().is_some_and(|last| {
                        last.face == span.face && last.size == size && last.y == y && last.colour == span.colour && *at == span_at
                    });
                    if !joined {
                        segment.runs.push(Run { x: x - *start, y, face: span.face, size, colour: span.colour, glyphs: Vec::new() });
                        *at = span_at;
                    }
                    *covered = covered.start.min(range.start)..covered.end.max(range.end);
                    if let Some(last) = segment.runs.last_mut() {
                        for glyph in cluster.glyphs() {
                            last.glyphs.push(KrillaGlyph::new(
                                GlyphId::new(glyph.id),
                                glyph.advance / size,
                                glyph.x / size,
                                -glyph.y / size,
                                0.0,
                                range.clone(),
                                None,
                            ));
                        }
                    }
                    x += advance;
                    // Space at the end of a line hangs out of it.
                    if !cluster.is_space_or_nbsp() {
                        segment.width = x - *start;
                    }
                }
            }
            let segments = segments
                .into_iter()
                .map(|(x, at, range, segment)| Placed {
                    x,
                    link: self.spans[at].link,
                    role: self.spans[at].role,
                    alt: self.spans[at].alt.clone(),
                    segment: Rc::new(segment),
                    range,
                })
                .collect();
            lines.push(Line { height: self.line_height, baseline: self.baseline, segments });
        }
        lines
    }
}
