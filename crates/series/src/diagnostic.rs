//! Something found in a file: data, not text, so that the terminal, the JSON and the record sheet show the same list.

use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; nothing was changed.
    Note,
    /// A value was set aside or read in a way the reader of a report should know of.
    Warning,
    /// The file or the value could not be used.
    Error,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        })
    }
}

/// One finding, with its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Spelt-out identifier, such as `reading-flagged`.
    pub id: &'static str,
    /// How grave.
    pub severity: Severity,
    /// One line: what was found and what was expected.
    pub message: String,
    /// The file as it was named to us.
    pub file: String,
    /// Line, from 1.
    pub line: Option<u32>,
    /// Column, from 1, in characters.
    pub column: Option<u32>,
    /// Characters that the finding spans.
    pub span: Option<u32>,
    /// The line's text (shortened), for a terminal to underline.
    pub text: Option<String>,
    /// More to know, a line each.
    pub notes: Vec<String>,
    /// What was done about it.
    pub done: String,
}

impl Diagnostic {
    /// A finding without a place yet.
    pub fn new(id: &'static str, severity: Severity, message: impl Into<String>) -> Self {
        Self {
            id,
            severity,
            message: message.into(),
            file: String::new(),
            line: None,
            column: None,
            span: None,
            text: None,
            notes: Vec::new(),
            done: String::new(),
        }
    }

    /// In this file.
    #[must_use]
    pub fn in_file(self, file: impl Into<String>) -> Self {
        Self { file: file.into(), ..self }
    }

    /// At this line (from 1).
    #[must_use]
    pub fn at_line(self, line: u32) -> Self {
        Self { line: Some(line), ..self }
    }

    /// At these columns (from 1).
    #[must_use]
    pub fn at_columns(self, column: u32, span: u32) -> Self {
        Self { column: Some(column), span: Some(span), ..self }
    }

    /// With the line's text; control characters are shown as dots, and a long line is cut at 400 characters.
    #[must_use]
    pub fn with_text(self, text: &str) -> Self {
        let plain = text.len() <= 400 && text.bytes().all(|byte| matches!(byte, b' '..=b'~'));
        let shown = if plain { text.to_owned() } else { text.chars().take(400).map(|c| if c.is_control() { '.' } else { c }).collect() };
        Self { text: Some(shown), ..self }
    }

    /// With one more note.
    #[must_use]
    pub fn note(mut self, note: impl Into<String>) -> Self {
        self.notes.push(note.into());
        self
    }

    /// With what was done about it.
    #[must_use]
    pub fn done(self, done: impl Into<String>) -> Self {
        Self { done: done.into(), ..self }
    }
}

/// The findings of one reading: the first of each kind whole, and a count of all.
///
/// A century of flagged days would be thousands of entries; each such day also keeps its reason in its own reading, so
/// nothing is lost by keeping the first [`KEPT`](Self::KEPT) of a kind.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Diagnostics {
    /// The findings kept, in the order of the file.
    pub list: Vec<Diagnostic>,
    /// How many there were of each kind, kept or not.
    pub counts: BTreeMap<&'static str, usize>,
    /// What the letters of the source's quality flags stand for, as far as they were met.
    #[serde(skip)]
    pub flags: BTreeMap<u8, String>,
    worst: Option<Severity>,
}

impl Diagnostics {
    /// How many of one kind are kept whole.
    pub const KEPT: usize = 50;

    /// One finding more; the closure runs only if it is kept.
    pub fn add(&mut self, id: &'static str, severity: Severity, make: impl FnOnce() -> Diagnostic) {
        let count = self.counts.entry(id).or_insert(0);
        *count += 1;
        self.worst = self.worst.max(Some(severity));
        if *count <= Self::KEPT {
            self.list.push(make());
        }
    }

    /// One finding more.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.add(diagnostic.id, diagnostic.severity, || diagnostic);
    }

    /// All of another list behind this one; of each kind as many are kept whole as of one list.
    pub fn extend(&mut self, other: Self) {
        let mut kept: BTreeMap<&'static str, usize> = BTreeMap::new();
        for diagnostic in &self.list {
            *kept.entry(diagnostic.id).or_insert(0) += 1;
        }
        for diagnostic in other.list {
            let count = kept.entry(diagnostic.id).or_insert(0);
            if *count < Self::KEPT {
                *count += 1;
                self.list.push(diagnostic);
            }
        }
        for (id, count) in other.counts {
            *self.counts.entry(id).or_insert(0) += count;
        }
        self.flags.extend(other.flags);
        self.worst = self.worst.max(other.worst);
    }

    /// The gravest finding.
    pub fn worst(&self) -> Option<Severity> {
        self.worst
    }

    /// How many findings of this kind.
    pub fn count(&self, id: &str) -> usize {
        self.counts.get(id).copied().unwrap_or(0)
    }

    /// How many findings in all.
    pub fn total(&self) -> usize {
        self.counts.values().sum()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.counts.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_count_goes_on_when_the_list_is_full() {
        let mut diagnostics = Diagnostics::default();
        for line in 0..200 {
            diagnostics.push(Diagnostic::new("reading-flagged", Severity::Warning, "x").at_line(line + 1));
        }
        assert_eq!((diagnostics.list.len(), diagnostics.count("reading-flagged")), (Diagnostics::KEPT, 200));
        assert_eq!(diagnostics.worst(), Some(Severity::Warning));
    }

    #[test]
    fn a_hostile_line_is_shown_without_its_control_characters() {
        let shown = Diagnostic::new("line-unreadable", Severity::Warning, "x").with_text("a\0b\u{1b}[31m");
        assert_eq!(shown.text.as_deref(), Some("a.b.[31m"));
    }
}
