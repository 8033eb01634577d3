//! The four faces, as the line breaker, the page writer and the chart reader each want them.

use std::collections::BTreeMap;
use std::sync::Arc;

use krilla::text::Font;
use parley::fontique::{Blob, CharmapIndex, Collection, CollectionOptions, FontInfoOverride, SourceCache};
use parley::{FontContext, FontFamily, FontFamilyName, FontStyle, FontWeight, LayoutContext, StyleProperty};
use usvg::fontdb;

use super::Fonts;
use crate::error::Error;

/// One of the four faces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Face {
    #[default]
    Regular,
    Bold,
    Italic,
    Mono,
}

impl Face {
    /// The name that the face's family goes by inside, whatever its file calls it.
    pub(super) fn family(self) -> &'static str {
        if self == Face::Mono { "paper-mono" } else { "paper" }
    }

    pub(super) fn weight(self) -> FontWeight {
        if self == Face::Bold { FontWeight::BOLD } else { FontWeight::NORMAL }
    }

    pub(super) fn style(self) -> FontStyle {
        if self == Face::Italic { FontStyle::Italic } else { FontStyle::Normal }
    }
}

type Bytes = Arc<dyn AsRef<[u8]> + Send + Sync>;
type Read = (Font, fontdb::ID, (Bytes, CharmapIndex));

pub(super) struct Faces {
    fonts: [Font; 4],
    pub(super) database: Arc<fontdb::Database>,
    pub(super) ids: [fontdb::ID; 4],
    charmaps: [(Bytes, CharmapIndex); 4],
    known: BTreeMap<char, [bool; 4]>,
    /// Drawn for U+FFFD where the faces have no glyph for that either; three bytes long, as U+FFFD is.
    pub(super) stand_in: &'static str,
    pub(super) context: FontContext,
    pub(super) layouts: LayoutContext<usize>,
    pub(super) metrics: Metrics,
}

/// What the regular face says of itself, as shares of the type size. All lines are set by it, so that a word in another
/// face does not move its line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Metrics {
    /// From the baseline up and down to the ends of the letters.
    pub(super) ascent: f32,
    pub(super) descent: f32,
    /// From one baseline to the next.
    pub(super) line: f32,
}

impl Faces {
    pub(super) fn new(fonts: &Fonts) -> Result<Self, Error> {
        let mut database = fontdb::Database::new();
        let mut collection = Collection::new(CollectionOptions { system_fonts: false, ..CollectionOptions::default() });
        let mut read = |face: Face, bytes: &[u8], name: &'static str| -> Result<Read, Error> {
            let fault = Error::Font { face: name };
            let data: Bytes = Arc::new(bytes.to_vec());
            let font = Font::new(Arc::clone(&data).into(), 0).ok_or_else(|| fault.clone())?;
            let named = FontInfoOverride {
                family_name: Some(face.family()),
                weight: Some(face.weight()),
                style: Some(face.style()),
                ..FontInfoOverride::default()
            };
            let registered = collection.register_fonts(Blob::new(Arc::clone(&data)), Some(named));
            let info = registered.first().and_then(|(_, infos)| infos.first()).ok_or_else(|| fault.clone())?;
            let charmap = (Arc::clone(&data), info.charmap_index());
            let id = database.load_font_source(fontdb::Source::Binary(data)).first().copied().ok_or(fault)?;
            Ok((font, id, charmap))
        };
        let regular = read(Face::Regular, fonts.regular, "regular")?;
        let bold = read(Face::Bold, fonts.bold, "bold")?;
        let italic = read(Face::Italic, fonts.italic, "italic")?;
        let mono = read(Face::Mono, fonts.mono, "mono")?;
        let mut faces = Faces {
            ids: [regular.1, bold.1, italic.1, mono.1],
            charmaps: [regular.2, bold.2, italic.2, mono.2],
            fonts: [regular.0, bold.0, italic.0, mono.0],
            database: Arc::new(database),
            known: BTreeMap::new(),
            context: FontContext { collection, source_cache: SourceCache::default() },
            layouts: LayoutContext::new(),
            stand_in: "???",
            metrics: Metrics { ascent: 0.0, descent: 0.0, line: 0.0 },
        };
        let found =
            ["\u{FFFD}", "\u{25A1}", "\u{25AF}", "\u{25CA}"].into_iter().find(|text| text.chars().all(|one| faces.has(Face::Regular, one)));
        faces.stand_in = found.unwrap_or("???");
        faces.metrics = measure(&mut faces);
        Ok(faces)
    }

    pub(super) fn font(&self, face: Face) -> Font {
        self.fonts[face as usize].clone()
    }

    /// Whether a face has a glyph for `character`. Characters for private use never have a meaning here.
    pub(super) fn has(&mut self, face: Face, character: char) -> bool {
        if matches!(character, '\u{E000}'..='\u{F8FF}' | '\u{F_0000}'.. | '\u{FFFE}' | '\u{FFFF}') || character.is_control() {
            return false;
        }
        let charmaps = &self.charmaps;
        let known = self.known.entry(character).or_insert_with(|| {
            std::array::from_fn(|at| {
                let (bytes, index) = &charmaps[at];
                let charmap = index.charmap((**bytes).as_ref());
                charmap.and_then(|charmap| charmap.map(character)).is_some_and(|glyph| glyph != 0)
            })
        });
        known[face as usize]
    }
}

fn measure(faces: &mut Faces) -> Metrics {
    // At a large size, since some of the numbers are rounded to whole points.
    const SIZE: f32 = 1000.0;
    let mut builder = faces.layouts.ranged_builder(&mut faces.context, "x", 1.0, false);
    builder.push_default(StyleProperty::FontFamily(FontFamily::Single(FontFamilyName::named(Face::Regular.family()))));
    builder.push_default(StyleProperty::FontSize(SIZE));
    let mut layout = builder.build("x");
    layout.break_all_lines(None);
    let found = layout.lines().next().and_then(|line| line.runs().next().map(|run| *run.font_metrics()));
    match found {
        Some(found) if found.ascent + found.descent > 0.0 => Metrics {
            ascent: found.ascent / SIZE,
            descent: found.descent / SIZE,
            line: (found.ascent + found.descent + found.leading.max(0.0)) / SIZE,
        },
        // A face that says nothing of itself.
        _ => Metrics { ascent: 0.8, descent: 0.2, line: 1.15 },
    }
}

/// Characters that print nothing and only steer: joiners, direction marks, variation selectors, soft hyphens.
pub(super) fn prints_nothing(character: char) -> bool {
    matches!(
        character,
        '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{180B}'..='\u{180F}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}'
            | '\u{E_0000}'..='\u{E_0FFF}'
    )
}
