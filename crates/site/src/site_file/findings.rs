//! Everything found while a site file is read: faults with their place, and the defaults that were taken.
//!
//! Faults are put in the order of the file at the end, because the sections are read in an order of our own. What is
//! kept is bounded, so that a hostile file costs no more than its own size.

use super::model::Assumption;
use series::{Diagnostic, Diagnostics, Severity};
use std::collections::BTreeMap;
use std::ops::Range;

/// So many of one kind are kept before sorting; the list itself keeps [`Diagnostics::KEPT`].
const KEPT_BEFORE_SORTING: usize = 100;
/// So many characters of the file are quoted in a message.
const QUOTED: usize = 60;

pub(super) const NOT_USED: &str = "the site file was not used";
pub(super) const AS_WRITTEN: &str = "used as written";

/// The collector.
pub(super) struct Findings<'a> {
    text: &'a str,
    file: &'a str,
    line_starts: Vec<usize>,
    list: Vec<(usize, Diagnostic)>,
    counts: BTreeMap<&'static str, (Severity, usize)>,
    assumptions: Vec<Assumption>,
    /// Values without the quotes that they need.
    unquoted: Vec<Range<usize>>,
}

impl<'a> Findings<'a> {
    pub(super) fn new(text: &'a str, file: &'a str) -> Self {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, file, line_starts, list: Vec::new(), counts: BTreeMap::new(), assumptions: Vec::new(), unquoted: Vec::new() }
    }

    /// The text at a span, cut to whole characters.
    pub(super) fn slice(&self, span: &Range<usize>) -> &'a str {
        let start = self.boundary(span.start);
        &self.text[start..self.boundary(span.end).max(start)]
    }

    fn boundary(&self, at: usize) -> usize {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        at
    }

    /// Line and column of an offset, from 1.
    pub(super) fn place(&self, offset: usize) -> (u32, u32) {
        let offset = self.boundary(offset);
        let line = self.line_starts.partition_point(|&start| start <= offset).max(1);
        let column = self.text[self.line_starts[line - 1]..offset].chars().count() + 1;
        (line as u32, column as u32)
    }

    /// Where the line of an offset stands, without its end.
    pub(super) fn line_at(&self, offset: usize) -> Range<usize> {
        let (line, _) = self.place(offset);
        let start = self.line_starts[line as usize - 1];
        start..start + self.line_text(line).len()
    }

    /// Notes values without the quotes that they need: each is reported by whoever reads its key, or else at the end.
    pub(super) fn note_unquoted(&mut self, places: Vec<Range<usize>>) {
        self.unquoted = places;
    }

    /// Whether a value stands without the quotes that it needs.
    pub(super) fn is_unquoted(&self, span: &Range<usize>) -> bool {
        self.unquoted.contains(span)
    }

    /// Reports the values without quotes that nobody has reported.
    pub(super) fn tell_unquoted(&mut self) {
        for span in std::mem::take(&mut self.unquoted) {
            let told = self.list.iter().any(|(start, found)| *start == span.start && found.severity == Severity::Error);
            if !told {
                let message = format!("not TOML: found {} without quotes", quoted(self.slice(&span)));
                self.error("toml-syntax", &span, message);
            }
        }
    }

    fn line_text(&self, line: u32) -> &'a str {
        let start = self.line_starts[line as usize - 1];
        self.text[start..].split('\n').next().unwrap_or_default().trim_end_matches('\r')
    }

    /// One fault more.
    pub(super) fn add(&mut self, id: &'static str, severity: Severity, span: &Range<usize>, message: String, done: &str) {
        let count = self.counts.entry(id).or_insert((severity, 0));
        count.0 = count.0.max(severity);
        count.1 += 1;
        if count.1 > KEPT_BEFORE_SORTING {
            return;
        }
        let (line, column) = self.place(span.start);
        let text = self.line_text(line);
        // A mark never runs over the end of its line, and is never empty.
        let left = text.chars().count().saturating_sub(column as usize - 1);
        let length = self.slice(span).split('\n').next().unwrap_or_default().chars().count();
        let diagnostic = Diagnostic::new(id, severity, message)
            .in_file(self.file)
            .at_line(line)
            .at_columns(column, length.min(left).max(1) as u32)
            .with_text(text)
            .done(done);
        self.list.push((span.start, diagnostic));
    }

    /// The file cannot be used.
    pub(super) fn error(&mut self, id: &'static str, span: &Range<usize>, message: String) {
        self.add(id, Severity::Error, span, message, NOT_USED);
    }

    /// A value that is used, though it is unlikely.
    pub(super) fn warning(&mut self, id: &'static str, span: &Range<usize>, message: String) {
        self.add(id, Severity::Warning, span, message, AS_WRITTEN);
    }

    /// Worth knowing.
    pub(super) fn note(&mut self, id: &'static str, span: &Range<usize>, message: String, done: &str) {
        self.add(id, Severity::Note, span, message, done);
    }

    /// A default was taken.
    pub(super) fn assume(&mut self, id: &'static str, key: impl Into<String>, value_text: impl Into<String>) {
        self.assumptions.push(Assumption { id, key: key.into(), value_text: value_text.into() });
    }

    /// Whether any error was found.
    pub(super) fn has_errors(&self) -> bool {
        self.counts.values().any(|(severity, _)| *severity == Severity::Error)
    }

    /// All faults in the order of the file, and all defaults.
    pub(super) fn finish(mut self) -> (Diagnostics, Vec<Assumption>) {
        self.list.sort_by_key(|(start, _)| *start);
        let mut diagnostics = Diagnostics::default();
        for (_, diagnostic) in self.list {
            diagnostics.push(diagnostic);
        }
        for (id, (severity, count)) in self.counts {
            for _ in diagnostics.count(id)..count {
                diagnostics.add(id, severity, || Diagnostic::new(id, severity, "more of the same").in_file(self.file).done(NOT_USED));
            }
        }
        (diagnostics, self.assumptions)
    }
}

/// A piece of the file for a message: on one line, without control characters, cut.
pub(super) fn quoted(text: &str) -> String {
    let mut shown: String = text.chars().take(QUOTED).map(|c| if c.is_control() { '.' } else { c }).collect();
    if text.chars().nth(QUOTED).is_some() {
        shown.push('…');
    }
    shown
}

/// Nearest of the known words, if any is near enough to be meant.
pub(super) fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    if word.chars().nth(QUOTED).is_some() {
        return None;
    }
    let word = word.to_lowercase();
    let far = (word.chars().count() / 3).clamp(1, 4);
    let by_distance = known.into_iter().map(|one| (strsim::osa_distance(&word, one), one));
    by_distance.filter(|(distance, _)| *distance <= far).min_by_key(|(distance, _)| *distance).map(|(_, one)| one)
}
