//! Fenced blocks: what Markdown has no sign for.
//!
//! | block | body | becomes |
//! |---|---|---|
//! | `key-facts` | one name a line | the key facts of those names |
//! | `chart ID` | nothing | the chart of that id |
//! | `table ID` | nothing | the table of data of that id |
//! | `drawing ID` | nothing | the drawing at true size of that id |
//! | `grid ID` | nothing | the dotted grid of that id |
//! | `contents` | nothing | the list of the sections |
//! | `blank LABEL` | further labels, one a line | a form field a label; `(4 lines)` at a label's end gives it 4 writing lines |
//!
//! Names and ids may hold values (`chart store-{{ store.id }}`): they are only looked up, so they cannot become markup.

use std::collections::BTreeMap;

use super::Reader;
use super::inlines::cut;
use crate::document::{Block, Inline, plain_text};
use crate::error::{Error, one_of};

const KINDS: &str = "one of: key-facts, chart ID, table ID, drawing ID, grid ID, contents, blank LABEL";
const LINES_LIMIT: u8 = 20;

/// The block of an id, and the ids there are.
fn found<T: Clone>(all: &BTreeMap<String, T>, id: &str, block: fn(T) -> Block) -> (Option<Block>, String) {
    (all.get(id).cloned().map(block), one_of(all.keys().map(String::as_str)))
}

impl Reader<'_> {
    pub(super) fn fence(&mut self, at: usize, info: &str, body: &str, blocks: &mut Vec<Block>) -> Result<(), Error> {
        let info = info.trim();
        let (kind, argument) = info.split_once(char::is_whitespace).unwrap_or((info, ""));
        let argument = argument.trim();
        let lines = self.body_lines(at, body);
        match kind {
            "key-facts" => {
                if !argument.is_empty() {
                    let found = format!("`key-facts {}`", cut(argument));
                    return Err(self.fault(at, found, "the names in the lines below, one a line"));
                }
                let mut facts = Vec::new();
                for (line_at, line) in lines {
                    let name = self.looked_up(line_at, line)?;
                    let Some(fact) = self.resources.key_facts.get(&name) else {
                        let known = one_of(self.resources.key_facts.keys().map(String::as_str));
                        return Err(self.fault(line_at, format!("the key fact `{}`", cut(line)), known));
                    };
                    facts.push(fact.clone());
                }
                if facts.is_empty() {
                    return Err(self.fault(at, "no key fact", "names of key facts, one a line"));
                }
                blocks.push(Block::KeyFacts(facts));
            }
            "chart" | "table" | "drawing" | "grid" => {
                if let Some((line_at, line)) = lines.first() {
                    let found = format!("`{}` in a {kind}", cut(line));
                    return Err(self.fault(*line_at, found, "nothing between the fences"));
                }
                let id = self.looked_up(at, argument)?;
                let resources = self.resources;
                let (block, known) = match kind {
                    "chart" => found(&resources.charts, &id, Block::Chart),
                    "drawing" => found(&resources.drawings, &id, Block::Drawing),
                    "grid" => found(&resources.grids, &id, Block::DottedGrid),
                    _ => found(&resources.tables, &id, Block::DataTable),
                };
                let anchor = format!("{kind}-{}", crate::escape::id(&id));
                match block {
                    None => return Err(self.fault(at, format!("the {kind} `{}`", cut(argument)), known)),
                    Some(_) if !self.ids.insert(anchor) => {
                        let found = format!("the {kind} `{}` a second time", cut(argument));
                        return Err(self.fault(at, found, "each chart, table and drawing once, and a link to it"));
                    }
                    Some(block) => blocks.push(block),
                }
            }
            "contents" => {
                if !argument.is_empty() || !lines.is_empty() {
                    return Err(self.fault(
                        at,
                        format!("`contents` with `{}`", cut(argument)),
                        "`contents` alone, with nothing between the fences",
                    ));
                }
                if !self.ids.insert("_contents".to_owned()) {
                    return Err(self.fault(at, "a second list of contents", "one"));
                }
                blocks.push(Block::Contents);
            }
            "blank" => {
                let mut labels = Vec::new();
                if !argument.is_empty() {
                    labels.push((at, argument));
                }
                labels.extend(lines);
                if labels.is_empty() {
                    return Err(self.fault(at, "a blank without a label", "`blank LABEL`"));
                }
                for (label_at, label) in labels {
                    let field = self.blank(label_at, label)?;
                    blocks.push(field);
                }
            }
            "" => return Err(self.fault(at, "a fenced block without a kind", KINDS)),
            _ => return Err(self.fault(at, format!("the block `{}`", cut(kind)), KINDS)),
        }
        Ok(())
    }

    /// The filled lines of a body with their offsets in the rendered text.
    fn body_lines<'b>(&self, at: usize, body: &'b str) -> Vec<(usize, &'b str)> {
        let mut offset = at;
        let mut out = Vec::new();
        for line in body.lines() {
            // The next line of the rendered text; a body's lines follow its fence one for one.
            offset = self.text[offset..].find('\n').map_or(offset, |end| offset + end + 1);
            if !line.trim().is_empty() {
                out.push((offset, line.trim()));
            }
        }
        out
    }

    fn looked_up(&mut self, at: usize, text: &str) -> Result<String, Error> {
        let mut inlines = Vec::new();
        self.text_and_slots(at, text, &mut inlines)?;
        Ok(plain_text(&inlines))
    }

    fn blank(&mut self, at: usize, label: &str) -> Result<Block, Error> {
        let (label, lines) = match label.strip_suffix(" lines)").and_then(|rest| rest.rsplit_once('(')) {
            Some((label, count)) => {
                let lines = count.parse().ok().filter(|lines| (1..=LINES_LIMIT).contains(lines));
                let Some(lines) = lines else {
                    let expected = format!("1 to {LINES_LIMIT} lines");
                    return Err(self.fault(at, format!("`({} lines)`", cut(count)), expected));
                };
                (label.trim_end(), lines)
            }
            None => (label, 1),
        };
        let mut inlines: Vec<Inline> = Vec::new();
        self.text_and_slots(at, label, &mut inlines)?;
        Ok(Block::BlankField { label: inlines, lines })
    }
}
