//! Rendered Markdown (text and marks) -> blocks of a document. CommonMark with tables, footnotes, task lists, heading
//! attributes, alerts and definition lists; fenced blocks as in [`fences`]. What a page could not keep is an error: raw
//! HTML, images, indented code, plain quotes, titles of links, classes of headings, a value in a link target.
//!
//! At the end every value that the template printed must stand in the document exactly where a reader meets it: a value
//! that the Markdown swallowed (in an unused link definition, say) is an error too.

use std::collections::{BTreeMap, BTreeSet};
use std::iter::Peekable;
use std::ops::Range;

use pulldown_cmark::{Alignment, BlockQuoteKind, CodeBlockKind, Event, OffsetIter, Options, Parser, Tag, TagEnd, TextMergeWithOffset};

use crate::document::{Align, Block, CautionKind, Definition, Document, Inline, List, ListItem, Slot, Table, fixed_text, plain_text};
use crate::error::{Error, Fault, one_of};
use crate::template::{MARK_OPEN, Places, Resources};

mod fences;
mod inlines;

/// The deepest nesting of blocks and emphasis together; a report has some five.
const DEPTH_LIMIT: usize = 32;
const HTML_FAULT: &str = "raw HTML";
const HTML_EXPECTED: &str = "Markdown (write `\\<` for the sign itself)";

/// Reads the rendered text of a template.
pub(crate) fn read(text: &str, slots: &[Slot], places: &Places<'_>, resources: &Resources) -> Result<Document, Error> {
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_TASKLISTS
        | Options::ENABLE_HEADING_ATTRIBUTES
        | Options::ENABLE_GFM
        | Options::ENABLE_DEFINITION_LIST;
    let parser = Parser::new_ext(text, options).into_offset_iter();
    let mut reader = Reader {
        events: TextMergeWithOffset::new(parser).peekable(),
        text,
        slots,
        used: vec![false; slots.len()],
        places,
        resources,
        last_level: 0,
        depth: 0,
        next_number: BTreeMap::new(),
        task_mark: None,
        ids: BTreeSet::new(),
        targets: Vec::new(),
        notes: BTreeMap::new(),
        references: BTreeSet::new(),
    };
    let blocks = reader.blocks(None)?;
    reader.finish()?;
    let title = blocks
        .iter()
        .find_map(|block| match block {
            Block::Heading { level: 1, text, .. } => Some(plain_text(text)),
            _ => None,
        })
        .ok_or_else(|| Fault::new("no title", "a heading of level 1 (`# Title`)").at(places.at(0)))?;
    let language = if resources.language.is_empty() { "en".to_owned() } else { resources.language.clone() };
    Ok(Document { title, language, blocks })
}

struct Reader<'a> {
    events: Peekable<TextMergeWithOffset<'a, OffsetIter<'a>>>,
    text: &'a str,
    slots: &'a [Slot],
    used: Vec<bool>,
    places: &'a Places<'a>,
    resources: &'a Resources,
    last_level: u8,
    /// How many blocks and runs of text stand around the one that is read.
    depth: usize,
    /// For each slug the number that its next heading gets.
    next_number: BTreeMap<String, usize>,
    task_mark: Option<bool>,
    /// Anchors of headings, charts and tables.
    ids: BTreeSet<String>,
    /// Link targets inside the document, to be checked at the end, with their offsets.
    targets: Vec<(String, usize)>,
    /// Footnotes defined, with their offsets.
    notes: BTreeMap<String, usize>,
    references: BTreeSet<String>,
}

impl<'a> Reader<'a> {
    fn fault(&self, offset: usize, found: impl Into<String>, expected: impl Into<String>) -> Error {
        Fault::new(found, expected).at(self.places.at(offset))
    }

    fn next_is(&mut self, end: TagEnd) -> bool {
        matches!(self.events.peek(), Some((Event::End(tag), _)) if *tag == end)
    }

    /// Enters a block or a run of text: what is too deep for a reader is too deep for the renderers, which go down the same way.
    fn enter(&mut self) -> Result<(), Error> {
        self.depth += 1;
        if self.depth <= DEPTH_LIMIT {
            return Ok(());
        }
        let at = self.events.peek().map_or(self.text.len(), |(_, range)| range.start);
        Err(self.fault(at, "a block or emphasis inside too many others", format!("at most {DEPTH_LIMIT} inside one another")))
    }

    /// Blocks up to the end of `end` (consumed), or to the end of the text.
    fn blocks(&mut self, end: Option<TagEnd>) -> Result<Vec<Block>, Error> {
        self.enter()?;
        let blocks = self.blocks_inside(end);
        self.depth -= 1;
        blocks
    }

    fn blocks_inside(&mut self, end: Option<TagEnd>) -> Result<Vec<Block>, Error> {
        let mut blocks = Vec::new();
        while let Some((event, range)) = self.events.peek().cloned() {
            match event {
                Event::End(tag) => {
                    if Some(tag) == end {
                        self.events.next();
                    }
                    return Ok(blocks);
                }
                Event::Start(ref tag) if !is_inline(tag) => {
                    self.events.next();
                    let tag = tag.clone();
                    self.block(tag, range, &mut blocks)?;
                }
                Event::Rule => {
                    self.events.next();
                    if self.text[range.clone()].trim_start().starts_with('*') {
                        blocks.push(Block::PageBreak);
                    } else {
                        return Err(self.fault(range.start, "a rule", "`***` for a page break"));
                    }
                }
                Event::Html(_) => return Err(self.fault(range.start, HTML_FAULT, HTML_EXPECTED)),
                // The text of a tight list item or of a definition stands without a paragraph.
                _ => blocks.push(Block::Paragraph(self.inlines(None)?)),
            }
        }
        Ok(blocks)
    }

    fn block(&mut self, tag: Tag<'a>, range: Range<usize>, blocks: &mut Vec<Block>) -> Result<(), Error> {
        let at = range.start;
        let block = match tag {
            Tag::Heading { level, id, classes, attrs } => {
                if !classes.is_empty() || !attrs.is_empty() {
                    return Err(self.fault(at, "a class or attribute of a heading", "`{#id}` alone"));
                }
                let text = self.inlines(Some(TagEnd::Heading(level)))?;
                self.heading(at, level as u8, id.as_deref(), text)?
            }
            Tag::Paragraph => Block::Paragraph(self.inlines(Some(TagEnd::Paragraph))?),
            Tag::BlockQuote(Some(kind)) => {
                Block::Caution { kind: caution_kind(kind), blocks: self.blocks(Some(TagEnd::BlockQuote(Some(kind))))? }
            }
            Tag::BlockQuote(None) => {
                return Err(self.fault(at, "a plain quote", "`> [!WARNING]`, `> [!CAUTION]`, `> [!IMPORTANT]`, `> [!TIP]` or `> [!NOTE]`"));
            }
            Tag::CodeBlock(CodeBlockKind::Fenced(info)) => {
                let mut body = String::new();
                while let Some((Event::Text(text), _)) = self.events.next_if(|(event, _)| matches!(event, Event::Text(_))) {
                    body.push_str(&text);
                }
                self.events.next_if(|(event, _)| matches!(event, Event::End(TagEnd::CodeBlock)));
                return self.fence(at, &info, &body, blocks);
            }
            Tag::CodeBlock(CodeBlockKind::Indented) => {
                return Err(self.fault(at, "a line indented by four or more", "text at the margin"));
            }
            Tag::List(first_number) => self.list(first_number)?,
            Tag::FootnoteDefinition(name) => {
                let name = self.fixed(at, &name, "the name of a footnote")?;
                if self.notes.insert(name.clone(), at).is_some() {
                    let found = format!("a second footnote `{name}`");
                    return Err(self.fault(at, found, "each footnote once"));
                }
                Block::Footnote { name, blocks: self.blocks(Some(TagEnd::FootnoteDefinition))? }
            }
            Tag::DefinitionList => self.definitions()?,
            Tag::Table(columns) => self.table(&columns)?,
            Tag::HtmlBlock => return Err(self.fault(at, HTML_FAULT, HTML_EXPECTED)),
            other => {
                let found = format!("{:?}", other.to_end());
                return Err(self.fault(at, found, "a block of a report"));
            }
        };
        blocks.push(block);
        Ok(())
    }

    fn heading(&mut self, at: usize, level: u8, id: Option<&str>, text: Vec<Inline>) -> Result<Block, Error> {
        if level > self.last_level + 1 {
            let expected = format!("level {} or less", self.last_level + 1);
            return Err(self.fault(at, format!("a heading of level {level}"), expected));
        }
        self.last_level = level;
        let id = match id {
            Some(id) => {
                let id = self.fixed(at, id, "the id of a heading")?;
                if id.is_empty() || id.starts_with('_') || id.contains(char::is_whitespace) {
                    let expected = "an id that starts with a letter or digit, without spaces";
                    return Err(self.fault(at, format!("the id `{id}`"), expected));
                }
                if self.ids.contains(&id) {
                    return Err(self.fault(at, format!("a second id `{id}`"), "each id once"));
                }
                id
            }
            // Of the template's own words alone: an anchor never tells what the site file says.
            None => self.free_id(&slug(&fixed_text(&text))),
        };
        self.ids.insert(id.clone());
        Ok(Block::Heading { level, id, text })
    }

    fn free_id(&mut self, wanted: &str) -> String {
        let next = self.next_number.entry(wanted.to_owned()).or_insert(1);
        loop {
            let id = if *next == 1 { wanted.to_owned() } else { format!("{wanted}-{next}") };
            *next += 1;
            if !self.ids.contains(&id) {
                return id;
            }
        }
    }

    /// Text that may hold no value: ids, names, targets.
    fn fixed(&self, at: usize, text: &str, what: &str) -> Result<String, Error> {
        if text.contains(MARK_OPEN) {
            return Err(self.fault(at, format!("a value in {what}"), "fixed text there"));
        }
        Ok(text.to_owned())
    }

    fn list(&mut self, first_number: Option<u64>) -> Result<Block, Error> {
        let outer = self.task_mark.take();
        let mut items = Vec::new();
        while self.events.next_if(|(event, _)| matches!(event, Event::Start(Tag::Item))).is_some() {
            self.task_mark = None;
            let mut mark = None;
            if let Some((Event::TaskListMarker(ticked), _)) = self.events.next_if(|(event, _)| matches!(event, Event::TaskListMarker(_))) {
                mark = Some(ticked);
            }
            let blocks = self.blocks(Some(TagEnd::Item))?;
            items.push(ListItem { mark: mark.or(self.task_mark.take()), blocks });
        }
        self.task_mark = outer;
        self.events.next();
        Ok(Block::List(List { first_number, items }))
    }

    fn definitions(&mut self) -> Result<Block, Error> {
        let mut definitions: Vec<Definition> = Vec::new();
        while !self.next_is(TagEnd::DefinitionList) {
            match self.events.next() {
                Some((Event::Start(Tag::DefinitionListTitle), _)) => {
                    definitions.push(Definition { term: self.inlines(Some(TagEnd::DefinitionListTitle))?, meanings: Vec::new() });
                }
                Some((Event::Start(Tag::DefinitionListDefinition), _)) => {
                    let meaning = self.blocks(Some(TagEnd::DefinitionListDefinition))?;
                    if let Some(last) = definitions.last_mut() {
                        last.meanings.push(meaning);
                    }
                }
                Some(_) => {}
                None => break,
            }
        }
        self.events.next();
        Ok(Block::Definitions(definitions))
    }

    fn table(&mut self, columns: &[Alignment]) -> Result<Block, Error> {
        let (mut head, mut rows) = (Vec::new(), Vec::new());
        while let Some((Event::Start(tag), _)) = self.events.next_if(|(event, _)| matches!(event, Event::Start(_))) {
            let mut cells = Vec::new();
            while self.events.next_if(|(event, _)| matches!(event, Event::Start(Tag::TableCell))).is_some() {
                cells.push(self.inlines(Some(TagEnd::TableCell))?);
            }
            self.events.next();
            if matches!(tag, Tag::TableHead) {
                head = cells;
            } else {
                rows.push(cells);
            }
        }
        self.events.next();
        let columns = columns
            .iter()
            .map(|alignment| match alignment {
                Alignment::None | Alignment::Left => Align::Start,
                Alignment::Center => Align::Centre,
                Alignment::Right => Align::End,
            })
            .collect();
        Ok(Block::Table(Table { columns, head, rows }))
    }

    /// What can be checked only when all is read.
    fn finish(&self) -> Result<(), Error> {
        for (target, at) in &self.targets {
            if !self.ids.contains(target) {
                let found = format!("a link to `#{target}`");
                return Err(self.fault(*at, found, one_of(self.ids.iter().map(String::as_str))));
            }
        }
        for (name, at) in &self.notes {
            if !self.references.contains(name) {
                let found = format!("the footnote `{name}` without a reference");
                return Err(self.fault(*at, found, format!("`[^{name}]` in the text")));
            }
        }
        if let Some(lost) = self.used.iter().position(|used| !used) {
            let mark = format!("{MARK_OPEN}{lost}{}", crate::template::MARK_CLOSE);
            let at = self.text.find(&mark).unwrap_or(0);
            return Err(self.fault(at, "a value in a place that is not printed", "values in running text, tables and fenced blocks"));
        }
        Ok(())
    }
}

fn is_inline(tag: &Tag<'_>) -> bool {
    matches!(
        tag,
        Tag::Strong | Tag::Emphasis | Tag::Strikethrough | Tag::Superscript | Tag::Subscript | Tag::Link { .. } | Tag::Image { .. }
    )
}

fn caution_kind(kind: BlockQuoteKind) -> CautionKind {
    match kind {
        BlockQuoteKind::Note => CautionKind::Note,
        BlockQuoteKind::Tip => CautionKind::Tip,
        BlockQuoteKind::Important => CautionKind::Important,
        BlockQuoteKind::Warning => CautionKind::Warning,
        BlockQuoteKind::Caution => CautionKind::Caution,
    }
}

/// An anchor from a heading's text: lower-case letters and digits with hyphens between.
fn slug(text: &str) -> String {
    let mut out = String::new();
    for character in text.chars().flat_map(char::to_lowercase) {
        if character.is_alphanumeric() {
            out.push(character);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let trimmed = out.trim_end_matches('-');
    if trimmed.is_empty() { "section".to_owned() } else { trimmed.to_owned() }
}

#[cfg(test)]
mod tests;
