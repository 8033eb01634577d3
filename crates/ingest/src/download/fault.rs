//! Why a file could not be brought into the archive: where, what was found, what was expected, what can be done.

use series::{Diagnostic, Severity};
use std::fmt;
use std::time::Duration;

/// Why a file could not be brought. One sentence for a person, and a spelt-out identifier for a program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Spelt-out identifier, such as `download-not-there`.
    pub id: &'static str,
    /// The address, or the file or folder of this machine.
    pub place: String,
    /// What was found there.
    pub found: String,
    /// What would have been brought.
    pub expected: String,
    /// What can be done.
    pub advice: String,
}

/// The agency or mirror says that it does not have the file.
pub(crate) const NOT_THERE: &str = "download-not-there";
/// The archive does not have a file that only the archive is asked for.
pub(crate) const NOT_IN_ARCHIVE: &str = "download-not-in-the-archive";

impl Fault {
    pub(crate) fn new(id: &'static str, place: impl Into<String>, found: impl Into<String>) -> Self {
        Self { id, place: place.into(), found: found.into(), expected: String::new(), advice: String::new() }
    }

    #[must_use]
    pub(crate) fn expected(self, expected: impl Into<String>) -> Self {
        Self { expected: expected.into(), ..self }
    }

    #[must_use]
    pub(crate) fn advice(self, advice: impl Into<String>) -> Self {
        Self { advice: advice.into(), ..self }
    }

    /// A file of this machine that the system would not give or take.
    pub(crate) fn local(path: &std::path::Path, doing: &str, source: &std::io::Error) -> Self {
        Self::new("archive-file-unusable", path.display().to_string(), format!("a place that cannot be {doing} ({source})"))
            .expected("a folder of yours with room in it")
            .advice("mend that, or name another folder with --archive")
    }

    /// Whether the agency answered that there is no such file, which is no fault of the way.
    pub fn is_not_there(&self) -> bool {
        matches!(self.id, NOT_THERE | NOT_IN_ARCHIVE)
    }

    /// The same as a finding; `kept` says what became of what the archive had.
    pub fn diagnostic(&self, severity: Severity, kept: &str) -> Diagnostic {
        Diagnostic::new(self.id, severity, self.message()).in_file(&self.place).done(kept)
    }

    /// All but the place.
    pub fn message(&self) -> String {
        let mut text = format!("found {}", self.found);
        for (joint, part) in [("; expected ", &self.expected), ("; ", &self.advice)] {
            if !part.is_empty() {
                text = text + joint + part;
            }
        }
        text
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.message())
    }
}

impl std::error::Error for Fault {}

/// Whether another try may help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Again {
    No,
    Yes,
    /// Not before so long.
    After(Duration),
}

/// A try that did not work.
#[derive(Debug)]
pub(crate) struct Failed {
    pub(crate) fault: Box<Fault>,
    pub(crate) again: Again,
}

impl Failed {
    pub(crate) fn for_good(fault: Fault) -> Self {
        Self { fault: Box::new(fault), again: Again::No }
    }

    pub(crate) fn for_now(fault: Fault) -> Self {
        Self { fault: Box::new(fault), again: Again::Yes }
    }
}

impl From<Fault> for Failed {
    fn from(fault: Fault) -> Self {
        Self::for_good(fault)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_says_where_what_and_what_to_do() {
        let fault = Fault::new(NOT_THERE, "https://example.org/a", "no such file (404)").expected("a record").advice("check the id");
        assert_eq!(fault.to_string(), "https://example.org/a: found no such file (404); expected a record; check the id");
        let finding = fault.diagnostic(Severity::Warning, "The copy from before is kept.");
        assert_eq!((finding.file.as_str(), finding.done.as_str()), ("https://example.org/a", "The copy from before is kept."));
        assert!(fault.is_not_there());
    }
}
