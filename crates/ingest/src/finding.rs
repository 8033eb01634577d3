//! Findings with their place in a file of lines.

use series::{Diagnostic, Diagnostics, Severity};

/// A line of the file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line<'a> {
    /// From 1.
    pub(crate) number: u32,
    /// Its bytes.
    pub(crate) text: &'a [u8],
}

/// Gathers the findings of one station or one file.
pub(crate) struct Findings<'a> {
    file: &'a str,
    pub(crate) list: Diagnostics,
}

impl<'a> Findings<'a> {
    pub(crate) fn new(file: &'a str) -> Self {
        Self { file, list: Diagnostics::default() }
    }

    /// A finding about the file as a whole; `say` gives message and what was done.
    pub(crate) fn whole(&mut self, id: &'static str, severity: Severity, say: impl FnOnce() -> (String, &'static str)) {
        self.list.add(id, severity, || {
            let (message, done) = say();
            Diagnostic::new(id, severity, message).in_file(self.file).done(done)
        });
    }

    /// A finding at columns (from 1, width) of a line; `say` runs only if the finding is kept whole.
    pub(crate) fn at(
        &mut self,
        id: &'static str,
        severity: Severity,
        line: Line<'_>,
        columns: impl Into<Option<(u32, u32)>>,
        say: impl FnOnce() -> (String, &'static str),
    ) {
        self.list.add(id, severity, || {
            let (message, done) = say();
            // A line's start is enough for an eye; a line of a mebibyte is not copied.
            let text = String::from_utf8_lossy(&line.text[..line.text.len().min(400)]);
            let found = Diagnostic::new(id, severity, message).in_file(self.file).at_line(line.number).with_text(&text).done(done);
            match columns.into() {
                Some((column, span)) => found.at_columns(column, span),
                None => found,
            }
        });
    }

    /// The findings in the order of the file; those without a line last.
    pub(crate) fn finish(mut self) -> Diagnostics {
        self.list.list.sort_by_key(|finding| (finding.line.unwrap_or(u32::MAX), finding.column));
        self.list
    }
}
