//! Pages to bytes: drawing, tags, outline, links, metadata.

use std::collections::BTreeMap;

use krilla::action::{Action, LinkAction};
use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::color::rgb;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::{Destination, XyzDestination};
use krilla::error::KrillaError;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag, TagGroup, TagTree};
use krilla::{Document as Pdf, SerializeSettings};
use krilla_svg::{SurfaceExt, SvgSettings};

use super::PdfOptions;
use super::faces::Faces;
use super::flow::{Page, SIDE};
use super::piece::{Colour, INK, Mark, Node, Op, What};
use super::text::Segment;
use crate::document::Document;
use crate::error::Error;

/// Longest text written into an outline, alternative text or title.
const LONGEST: usize = 4000;

pub(super) fn write(
    document: &Document,
    options: &PdfOptions,
    faces: &Faces,
    pages: Vec<Page>,
    nodes: Vec<Node>,
    leaves: usize,
) -> Result<Vec<u8>, Error> {
    let refused = |reason: String| Error::Pdf { reason };
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A2_A)
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| refused(format!("{error:?}")))?;
    let mut pdf = Pdf::new_with(SerializeSettings { configuration, enable_tagging: true, ..SerializeSettings::default() });
    let mut anchors: BTreeMap<String, (usize, f32)> = BTreeMap::new();
    let mut headings: Vec<(u8, String, usize, f32)> = Vec::new();
    for (at, page) in pages.iter().enumerate() {
        for op in &page.ops {
            match &op.what {
                What::Anchor(name) => {
                    anchors.entry(name.clone()).or_insert((at, op.y));
                }
                What::Outline { level, text } => headings.push((*level, cut(text), at, op.y)),
                _ => {}
            }
        }
    }
    let (width, height) = options.paper.size();
    let mut identifiers: Vec<Option<Identifier>> = (0..leaves).map(|_| None).collect();
    for page in pages {
        let settings = PageSettings::from_wh(width, height).ok_or_else(|| refused("the sheet has no size".to_owned()))?;
        let mut sheet = pdf.start_page_with(settings);
        let mut links = Vec::new();
        let mut surface = sheet.surface();
        for op in page.ops {
            if let What::Link { .. } = op.what {
                links.push(op);
                continue;
            }
            if matches!(op.what, What::Anchor(_) | What::Outline { .. }) {
                continue;
            }
            let identifier = surface.start_tagged(content_tag(&op));
            draw(&mut surface, faces, &op);
            surface.end_tagged();
            if let Mark::Leaf(leaf) = op.mark {
                identifiers[leaf] = Some(identifier);
            }
        }
        surface.finish();
        for op in links {
            let (What::Link { width, height, target, alt }, Mark::Leaf(leaf)) = (op.what, op.mark) else { continue };
            let name = target.trim_start_matches('#').to_owned();
            let target = match target.strip_prefix('#') {
                Some(name) => match anchors.get(name) {
                    Some((page, y)) => Target::Destination(destination(*page, *y)),
                    None => continue,
                },
                None => Target::Action(Action::Link(LinkAction::new(target))),
            };
            let Some(area) = Rect::from_xywh(op.x, op.y, width.max(0.1), height) else { continue };
            let annotation = Annotation::new_link(LinkAnnotation::new(area, target), Some(cut(if alt.is_empty() { &name } else { &alt })));
            identifiers[leaf] = Some(sheet.add_tagged_annotation(annotation));
        }
        sheet.finish();
    }
    let language = first_of([&options.language, &document.language, "en"]);
    let mut tree = TagTree::new().with_lang(Some(language.clone()));
    for node in nodes {
        if let Some(node) = build(node, &mut identifiers) {
            tree.push(node);
        }
    }
    pdf.set_tag_tree(tree);
    pdf.set_outline(outline(&headings));
    let created = options.created;
    let date = DateTime::new(created.year).month(created.month).day(created.day).hour(0).minute(0).second(0);
    pdf.set_metadata(
        Metadata::new()
            .title(cut(&first_of([&options.title, &document.title, "-"])))
            .language(language)
            .creation_date(date.utc_offset_hour(0).utc_offset_minute(0)),
    );
    pdf.finish().map_err(|error| refused(rules(&error)))
}

/// The rules that the writer names, and nothing of the document that they speak of: a fault may be read where the text should not go.
fn rules(error: &KrillaError) -> String {
    let name = |debug: String| debug.chars().take_while(char::is_ascii_alphanumeric).collect::<String>();
    match error {
        KrillaError::Validation(broken) => broken.iter().map(|(rule, _)| name(format!("{rule:?}"))).collect::<Vec<_>>().join(", "),
        other => name(format!("{other:?}")),
    }
}

fn first_of<const N: usize>(texts: [&str; N]) -> String {
    texts.into_iter().find(|text| !text.trim().is_empty()).unwrap_or_default().to_owned()
}

fn cut(text: &str) -> String {
    text.chars().filter(|character| !character.is_control()).take(LONGEST).collect()
}

fn destination(page: usize, y: f32) -> Destination {
    Destination::Xyz(XyzDestination::new(page, Point::from_xy(SIDE, (y - 6.0).max(0.0))))
}

fn content_tag(op: &Op) -> ContentTag<'_> {
    match (op.mark, &op.what) {
        (Mark::Head, _) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Header)),
        (Mark::Foot, _) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Footer)),
        (Mark::Decoration, _) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        (Mark::Leaf(_), What::Text { alt, .. }) => ContentTag::Span(SpanTag::empty().with_alt_text(alt.as_deref())),
        (Mark::Leaf(_), What::TickBox { alt, .. }) => ContentTag::Span(SpanTag::empty().with_alt_text(Some(alt))),
        (Mark::Leaf(_), _) => ContentTag::Other,
    }
}

fn fill(colour: Colour) -> Fill {
    let [red, green, blue] = colour;
    Fill { paint: rgb::Color::new(red, green, blue).into(), opacity: NormalizedF32::ONE, ..Fill::default() }
}

fn rectangle(x: f32, y: f32, width: f32, height: f32) -> Option<Path> {
    let mut path = PathBuilder::new();
    path.push_rect(Rect::from_xywh(x, y, width, height)?);
    path.finish()
}

fn draw(surface: &mut Surface, faces: &Faces, op: &Op) {
    match &op.what {
        What::Text { segment, .. } => draw_text(surface, faces, segment, op.x, op.y),
        What::Rectangle { width, height, colour } => {
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*colour)));
            if let Some(path) = rectangle(op.x, op.y, *width, *height) {
                surface.draw_path(&path);
            }
        }
        What::TickBox { size, ticked, .. } => {
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke { paint: rgb::Color::new(0, 0, 0).into(), width: 0.8, ..Stroke::default() }));
            if let Some(path) = rectangle(op.x, op.y, *size, *size) {
                surface.draw_path(&path);
            }
            if *ticked {
                let (near, far) = (size * 0.22, size * 0.78);
                for (from, to) in [(near, far), (far, near)] {
                    let mut path = PathBuilder::new();
                    path.move_to(op.x + near, op.y + from);
                    path.line_to(op.x + far, op.y + to);
                    if let Some(path) = path.finish() {
                        surface.draw_path(&path);
                    }
                }
            }
            surface.set_stroke(None);
            surface.set_fill(Some(fill(INK)));
        }
        What::Chart { width, height, tree } => {
            if let Some(size) = Size::from_wh(*width, *height) {
                surface.push_transform(&Transform::from_translate(op.x, op.y));
                surface.draw_svg(tree, size, SvgSettings::default());
                surface.pop();
            }
        }
        What::Anchor(_) | What::Outline { .. } | What::Link { .. } | What::PageOf { .. } => {}
    }
}

fn draw_text(surface: &mut Surface, faces: &Faces, segment: &Segment, x: f32, y: f32) {
    surface.set_stroke(None);
    for run in &segment.runs {
        surface.set_fill(Some(fill(run.colour)));
        surface.draw_glyphs(Point::from_xy(x + run.x, y + run.y), &run.glyphs, faces.font(run.face), &segment.text, run.size, false);
    }
}

/// The tag tree; a group of nothing is left out.
fn build(node: Node, identifiers: &mut [Option<Identifier>]) -> Option<krilla::tagging::Node> {
    match node {
        Node::Leaf(leaf) => identifiers.get_mut(leaf)?.take().map(Into::into),
        Node::Group(tag, inner) => {
            let mut group = TagGroup::new(tag);
            for node in inner {
                if let Some(node) = build(node, identifiers) {
                    group.push(node);
                }
            }
            Some(group.into())
        }
    }
}

fn outline(headings: &[(u8, String, usize, f32)]) -> Outline {
    let mut outline = Outline::new();
    let mut at = 0;
    while at < headings.len() {
        outline.push_child(entry(headings, &mut at));
    }
    outline
}

/// The heading at `at` with all deeper ones that follow it.
fn entry(headings: &[(u8, String, usize, f32)], at: &mut usize) -> OutlineNode {
    let (level, text, page, y) = &headings[*at];
    let mut node = OutlineNode::new(text.clone(), XyzDestination::new(*page, Point::from_xy(SIDE, (y - 6.0).max(0.0))));
    *at += 1;
    while headings.get(*at).is_some_and(|(next, ..)| next > level) {
        node.push_child(entry(headings, at));
    }
    node
}
