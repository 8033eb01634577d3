//! What can go wrong between a template and a document: every fault in a template carries the template's name, the
//! line in that template (never the rendered line), what was found there and what was expected.

/// A fault met while reading or rendering templates.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A fault at a known place of a template.
    #[error("{template}, line {line}: found {found}; expected {expected}")]
    Template {
        /// Name of the template, as given to `Templates::new`.
        template: String,
        /// Line in that template, counted from 1.
        line: usize,
        /// What stands there.
        found: String,
        /// What could stand there.
        expected: String,
    },
    /// A template was asked for by a name that was not given.
    #[error("no template is named `{name}`; there are: {known}")]
    UnknownTemplate {
        /// The name asked for.
        name: String,
        /// The names there are, separated by commas.
        known: String,
    },
    /// Two templates carry the same name.
    #[error("two templates are named `{name}`; each name may be given once")]
    DuplicateTemplate {
        /// The name given twice.
        name: String,
    },
    /// A template is larger than any hand-written one would be.
    #[error("template `{name}` has {bytes} bytes; at most {limit} are read")]
    TemplateTooLarge {
        /// Name of the template.
        name: String,
        /// Its size in bytes.
        bytes: usize,
        /// The largest size read, in bytes.
        limit: usize,
    },
    /// A face given for the PDF cannot be read as a font.
    #[error("the {face} face given for the PDF cannot be read as a font")]
    Font {
        /// `regular`, `bold`, `italic` or `mono`.
        face: &'static str,
    },
    /// A drawing cannot be read back as SVG.
    #[error("chart `{id}` cannot be put into the PDF: {reason}")]
    Chart {
        /// Id of the chart.
        id: String,
        /// What the SVG reader says.
        reason: String,
    },
    /// The PDF writer refuses the document, with the rules it names.
    #[error("the PDF cannot be written: {reason}")]
    Pdf {
        /// What the writer says.
        reason: String,
    },
}

/// A fault without its place; the place is added where it is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    pub(crate) found: String,
    pub(crate) expected: String,
}

impl Fault {
    pub(crate) fn new(found: impl Into<String>, expected: impl Into<String>) -> Self {
        Fault { found: found.into(), expected: expected.into() }
    }

    pub(crate) fn at(self, (template, line): (String, usize)) -> Error {
        Error::Template { template, line, found: self.found, expected: self.expected }
    }
}

/// "one of: a, b, c", or a plain word that there are none.
pub(crate) fn one_of<'a>(known: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = known.collect();
    if names.is_empty() { "none here: the report offers no such thing".to_owned() } else { format!("one of: {}", names.join(", ")) }
}
