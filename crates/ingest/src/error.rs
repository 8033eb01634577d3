//! What makes a whole file unreadable, and its form as a [`Diagnostic`].

use series::{Diagnostic, Severity};

/// A file that could not be read at all. Everything less is a diagnostic beside the value that was read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The operating system did not give the file or folder.
    #[error("{file}: cannot be read: {source}")]
    Unreadable {
        /// The file or folder.
        file: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// No byte, or nothing but white space.
    #[error("{file}: the file is empty; expected {expected}")]
    Empty {
        /// The file.
        file: String,
        /// What would have been read.
        expected: String,
    },
    /// More than [`Reader::MOST_BYTES`](crate::Reader::MOST_BYTES).
    #[error("{file}: the file is larger than {most} bytes; a station file of two centuries has fewer than ten million")]
    TooLarge {
        /// The file.
        file: String,
        /// The limit.
        most: u64,
    },
    /// An HTML or XML page, such as a server's message saved under a data file's name.
    #[error("{file}: this is a web page ({begins:?}), not data; expected {expected}")]
    WebPage {
        /// The file.
        file: String,
        /// How it begins.
        begins: String,
        /// What would have been read.
        expected: String,
    },
    /// A compressed file or archive of a kind that is not unpacked here.
    #[error("{file}: this is {kind}; plain text, gzip and zip are read: unpack it first")]
    Packed {
        /// The file.
        file: String,
        /// "a gzip file", ...
        kind: &'static str,
    },
    /// A gzip file or zip archive that does not unpack whole.
    #[error("{file}: this {kind} file is damaged or cut short ({why}); expected one that unpacks whole: fetch it again")]
    Damaged {
        /// The file.
        file: String,
        /// "gzip" or "zip".
        kind: &'static str,
        /// What the unpacking said.
        why: String,
    },
    /// A packed file whose text would be larger than is believed of so small a file.
    #[error("{file}: the file unpacks to more than {most} bytes, more than is read of a packed file of its size")]
    UnpacksTooLarge {
        /// The file.
        file: String,
        /// The limit.
        most: u64,
    },
    /// No text.
    #[error("{file}: this is {kind}, not plain text; expected {expected}")]
    Binary {
        /// The file.
        file: String,
        /// What it seems to be.
        kind: &'static str,
        /// What would have been read.
        expected: String,
    },
    /// Text whose lines end in a carriage return alone, so that many would pass for one.
    #[error(
        "{file}: lines end in a carriage return alone ({returns} of them), so that many would pass for one; \
         expected a line feed at each line's end: write it anew with line feeds (`tr '\\r' '\\n' < OLD > NEW`, or \"save as\" in a text editor)"
    )]
    BareCarriageReturns {
        /// The file.
        file: String,
        /// How many carriage returns.
        returns: usize,
    },
    /// A file that can be read in more than one way, and does not say which is meant.
    #[error("{file}: {found}; {question}{}", also(further))]
    OpenQuestion {
        /// The file.
        file: String,
        /// What was found.
        found: String,
        /// What has to be known, how to write it into the file, and how to answer beside it.
        question: String,
        /// What else is open, each with what was found.
        further: Vec<String>,
    },
    /// Text of a known or unknown product that is not read here.
    #[error("{file}: found {found}; expected {expected}")]
    WrongProduct {
        /// The file.
        file: String,
        /// What it holds.
        found: String,
        /// What would have been read.
        expected: String,
    },
}

/// Further questions behind the first.
fn also(further: &[String]) -> String {
    further.iter().fold(String::new(), |text, other| text + ". Also: " + other)
}

/// Where a file's unit can be answered beside it, for a question.
pub(crate) const UNIT_BESIDE: &str =
    "answer with the option --depth-unit (mm, tenths-of-mm, in or hundredths-of-in), or in a site file with records.depth_unit";
/// The same of the order of its dates.
pub(crate) const ORDER_BESIDE: &str =
    "answer with the option --date-order (day-month-year, month-day-year or year-month-day), or in a site file with records.date_order";

impl Error {
    /// The file or folder it is about, as it was named to us.
    pub fn file(&self) -> &str {
        match self {
            Self::Unreadable { file, .. }
            | Self::Empty { file, .. }
            | Self::TooLarge { file, .. }
            | Self::WebPage { file, .. }
            | Self::Packed { file, .. }
            | Self::Damaged { file, .. }
            | Self::UnpacksTooLarge { file, .. }
            | Self::Binary { file, .. }
            | Self::BareCarriageReturns { file, .. }
            | Self::OpenQuestion { file, .. }
            | Self::WrongProduct { file, .. } => file,
        }
    }

    /// The same fault told of another name: of a member rather than of its archive.
    #[must_use]
    pub(crate) fn of_file(mut self, name: &str) -> Self {
        if let Self::Damaged { file, .. } | Self::UnpacksTooLarge { file, .. } = &mut self {
            name.clone_into(file);
        }
        self
    }

    /// Spelt-out identifier of the finding.
    pub fn id(&self) -> &'static str {
        match self {
            Self::Unreadable { .. } => "file-unreadable",
            Self::Empty { .. } => "file-empty",
            Self::TooLarge { .. } => "file-too-large",
            Self::WebPage { .. } => "file-is-a-web-page",
            Self::Packed { .. } => "file-is-packed",
            Self::Damaged { .. } => "file-damaged",
            Self::UnpacksTooLarge { .. } => "file-unpacks-too-large",
            Self::Binary { .. } => "file-is-binary",
            Self::BareCarriageReturns { .. } => "file-has-bare-carriage-returns",
            Self::OpenQuestion { .. } => "file-leaves-a-question",
            Self::WrongProduct { .. } => "file-is-another-product",
        }
    }

    /// The same as a finding, for the lists that carry findings.
    pub fn diagnostic(&self) -> Diagnostic {
        if let Self::OpenQuestion { file, found, question, further } = self {
            let first = Diagnostic::new(self.id(), Severity::Error, format!("{found}; {question}"));
            let whole = further.iter().fold(first, |finding, other| finding.note(format!("also open: {other}")));
            return whole.in_file(file).done("Nothing of the file was read.");
        }
        let text = self.to_string();
        let message = text.strip_prefix(self.file()).and_then(|rest| rest.strip_prefix(": ")).unwrap_or(&text);
        Diagnostic::new(self.id(), Severity::Error, message).in_file(self.file()).done("Nothing of the file was read.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_fault_is_a_finding_too() {
        let error = Error::Packed { file: "a.dly".into(), kind: "an xz file" };
        let finding = error.diagnostic();
        assert_eq!((finding.id, finding.file.as_str(), finding.severity), ("file-is-packed", "a.dly", Severity::Error));
        assert_eq!(finding.message, "this is an xz file; plain text, gzip and zip are read: unpack it first");
    }
}
