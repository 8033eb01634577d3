//! Running text: text, marks that become slots, emphasis, code, links, references to footnotes.

use pulldown_cmark::{Event, LinkType, Tag, TagEnd};

use super::{HTML_EXPECTED, HTML_FAULT, Reader, is_inline};
use crate::document::Inline;
use crate::error::Error;
use crate::template::{MARK_CLOSE, MARK_OPEN};

impl Reader<'_> {
    /// Inlines up to the end of `end` (consumed); without `end`, up to the next block.
    pub(super) fn inlines(&mut self, end: Option<TagEnd>) -> Result<Vec<Inline>, Error> {
        self.enter()?;
        let inlines = self.inlines_inside(end);
        self.depth -= 1;
        inlines
    }

    fn inlines_inside(&mut self, end: Option<TagEnd>) -> Result<Vec<Inline>, Error> {
        let mut out = Vec::new();
        while let Some((event, range)) = self.events.peek().cloned() {
            match &event {
                Event::End(tag) => {
                    if Some(*tag) == end {
                        self.events.next();
                    }
                    return Ok(out);
                }
                Event::Start(tag) if end.is_none() && !is_inline(tag) => return Ok(out),
                Event::Rule if end.is_none() => return Ok(out),
                _ => {}
            }
            self.events.next();
            let at = range.start;
            match event {
                Event::Text(text) => {
                    if text.contains("[^") {
                        let found = format!("`{}`: a footnote without a text", cut(&text));
                        return Err(self.fault(at, found, "`[^name]: text` somewhere in the template"));
                    }
                    self.text_and_slots(at, &text, &mut out)?;
                }
                Event::Code(text) => {
                    let mut inner = Vec::new();
                    self.text_and_slots(at, &text, &mut inner)?;
                    out.push(Inline::Code(inner));
                }
                Event::SoftBreak => out.push(Inline::Text(" ".to_owned())),
                Event::HardBreak => out.push(Inline::LineBreak),
                Event::TaskListMarker(ticked) => self.task_mark = Some(ticked),
                Event::FootnoteReference(name) => {
                    let name = self.fixed(at, &name, "the name of a footnote")?;
                    self.references.insert(name.clone());
                    out.push(Inline::NoteReference(name));
                }
                Event::Start(Tag::Strong) => {
                    out.push(Inline::Strong(self.inlines(Some(TagEnd::Strong))?));
                }
                Event::Start(Tag::Emphasis) => {
                    out.push(Inline::Emphasis(self.inlines(Some(TagEnd::Emphasis))?));
                }
                Event::Start(Tag::Link { link_type, dest_url, title, .. }) => {
                    let target = self.target(at, link_type, &dest_url, &title)?;
                    let text = self.inlines(Some(TagEnd::Link))?;
                    out.push(Inline::Link { target, text });
                }
                Event::Start(Tag::Image { .. }) => {
                    return Err(self.fault(at, "an image", "a fenced block `chart ID`"));
                }
                Event::Html(_) | Event::InlineHtml(_) => {
                    return Err(self.fault(at, HTML_FAULT, HTML_EXPECTED));
                }
                other => {
                    let found = format!("`{}` ({other:?})", cut(&self.text[range]));
                    return Err(self.fault(at, found, "running text"));
                }
            }
        }
        Ok(out)
    }

    /// Splits text at its marks.
    pub(super) fn text_and_slots(&mut self, at: usize, text: &str, out: &mut Vec<Inline>) -> Result<(), Error> {
        let mut rest = text;
        while let Some((before, after)) = rest.split_once(MARK_OPEN) {
            if !before.is_empty() {
                out.push(Inline::Text(before.to_owned()));
            }
            let slot = after.split_once(MARK_CLOSE).and_then(|(number, tail)| {
                let number: usize = number.parse().ok()?;
                Some((number, self.slots.get(number)?.clone(), tail))
            });
            let Some((number, slot, tail)) = slot else {
                return Err(self.fault(at, "a torn value", "a value inside one run of text"));
            };
            self.used[number] = true;
            out.push(Inline::Slot(slot));
            rest = tail;
        }
        if !rest.is_empty() {
            out.push(Inline::Text(rest.to_owned()));
        }
        Ok(())
    }

    fn target(&mut self, at: usize, link_type: LinkType, target: &str, title: &str) -> Result<String, Error> {
        let target = self.fixed(at, target, "a link target")?;
        if !title.is_empty() {
            return Err(self.fault(at, "a title of a link", "the link's text alone"));
        }
        if link_type == LinkType::Email {
            return Ok(format!("mailto:{target}"));
        }
        if let Some(anchor) = target.strip_prefix('#') {
            self.targets.push((anchor.to_owned(), at));
            return Ok(target);
        }
        let scheme = target
            .split_once(':')
            .map(|(scheme, _)| scheme)
            .filter(|scheme| !scheme.contains(['/', '?', '#']))
            .map(str::to_ascii_lowercase);
        let beside = scheme.is_none() && !target.starts_with(['/', '\\']) && !target.is_empty();
        if beside || matches!(scheme.as_deref(), Some("https" | "http" | "mailto")) {
            return Ok(target);
        }
        let expected = "an https, http or mailto address, `#id`, or a path beside the document";
        Err(self.fault(at, format!("the link target `{}`", cut(&target)), expected))
    }
}

/// The beginning of what a template says, for a fault. A value is told as `{{ … }}`: faults never print what the site file says.
pub(super) fn cut(text: &str) -> String {
    let line = text.lines().next().unwrap_or("");
    let mut written = String::new();
    let mut rest = line;
    while let Some((before, after)) = rest.split_once(MARK_OPEN) {
        written.push_str(before);
        written.push_str("{{ … }}");
        rest = after.split_once(MARK_CLOSE).map_or("", |(_, rest)| rest);
    }
    written.push_str(rest);
    let mut out: String = written.chars().take(60).collect();
    if out.len() < written.len() {
        out.push('…');
    }
    out
}
