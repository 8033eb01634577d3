//! Templates: Markdown with minijinja statements, rendered to a [`Document`].
//!
//! minijinja never writes a value into the Markdown. Its formatter puts the value into a list and writes a mark,
//! U+E000 n U+E001; the Markdown parser sees only marks, and marks become typed slots. So a value can never become
//! markup, and every number on a page is a known [`Number`]: bare numbers, true/false, lists and nothing at all are
//! refused. Faults carry the template's line, from the spans that minijinja records with its output.
//!
//! Template comments are `<!-- -->` (the usual `{#` collides with heading ids). Statements: `if`, `for`, `set`, `with`,
//! `include`, `do`; those that capture output (`macro`, `filter`, `call`, block `set`, `raw`) are refused, since captured marks
//! would be taken for text. The operators `~`, `+` and `*` are refused, since they would turn a number into text, or a text into one
//! without end; so are lists and maps written in a `set` or `with`, which could be nested to a size that
//! no step counts. A repeated whole is an `include` in a `for`.
//!
//! Templates may be somebody else's. They are held to steps ([`FUEL`]), depth and length ([`TEMPLATE_LIMIT`], [`OUTPUT_LIMIT`]), and no fault
//! prints a value: faults are read, copied and sent where the values should not go.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Object, ValueKind};
use minijinja::{Environment, ErrorKind, OutputSpan, OutputSpanKind, UndefinedBehavior, Value};

use crate::chart::ChartDrawing;
use crate::document::{Document, KeyFact, Number, Slot, TableData};
use crate::drawing::SizedDrawing;
use crate::error::{Error, Fault, one_of};
use crate::markdown;

mod statements;
use statements::check_source;

/// Opens a mark; may not stand in a template.
pub(crate) const MARK_OPEN: char = '\u{E000}';
/// Closes a mark; may not stand in a template.
pub(crate) const MARK_CLOSE: char = '\u{E001}';
/// The largest template read, in bytes: ten times a long report.
pub const TEMPLATE_LIMIT: usize = 512 * 1024;
/// Steps a rendering may take before it is stopped; a long report takes some ten thousand.
pub const FUEL: u64 = 1_000_000;
/// The longest Markdown that templates may write, in bytes, and the longest sum of the values printed: twenty long reports.
pub const OUTPUT_LIMIT: usize = 4 * 1024 * 1024;

/// What the fenced blocks of a template refer to, by id.
#[derive(Debug, Clone, Default)]
pub struct Resources {
    /// Language of the document, as a BCP 47 tag; empty means `en`.
    pub language: String,
    /// Key facts by name.
    pub key_facts: BTreeMap<String, KeyFact>,
    /// Charts by id.
    pub charts: BTreeMap<String, ChartDrawing>,
    /// Drawings at true size by id.
    pub drawings: BTreeMap<String, SizedDrawing>,
    /// Dotted grids by id.
    pub grids: BTreeMap<String, SizedDrawing>,
    /// Tables of data by id.
    pub tables: BTreeMap<String, TableData>,
}

/// A set of templates that may include each other.
#[derive(Debug, Clone)]
pub struct Templates {
    sources: Vec<(String, String)>,
}

/// A [`Number`] as a value for the context of a template. There, `{{ n }}` prints it, and `n.value` (a plain number)
/// may be compared in an `if`.
pub fn number_value(number: Number) -> Value {
    Value::from_object(NumberObject(number))
}

impl Templates {
    /// Reads templates, each with its name; every one is checked.
    ///
    /// # Errors
    /// A name given twice, a template over [`TEMPLATE_LIMIT`], a syntax fault, a refused statement or operator, or a
    /// private-use mark in a template.
    pub fn new(sources: Vec<(String, String)>) -> Result<Templates, Error> {
        for (at, (name, source)) in sources.iter().enumerate() {
            if sources[..at].iter().any(|(other, _)| other == name) {
                return Err(Error::DuplicateTemplate { name: name.clone() });
            }
            if source.len() > TEMPLATE_LIMIT {
                return Err(Error::TemplateTooLarge { name: name.clone(), bytes: source.len(), limit: TEMPLATE_LIMIT });
            }
            check_source(source).map_err(|(line, fault)| fault.at((name.clone(), line)))?;
        }
        let templates = Templates { sources };
        templates.environment(&Sink::default())?;
        Ok(templates)
    }

    /// Renders the template `name` with `context` to a document.
    ///
    /// # Errors
    /// An unknown template; any fault of a template with its name and line: an unknown or refused value, an unknown
    /// block or id, raw HTML, an image, a slot in a link target, a value that the Markdown swallowed.
    pub fn render(&self, name: &str, context: Value, resources: &Resources) -> Result<Document, Error> {
        let sink = Sink::default();
        let environment = self.environment(&sink)?;
        if !self.sources.iter().any(|(known, _)| known == name) {
            return Err(Error::UnknownTemplate {
                name: name.to_owned(),
                known: self.sources.iter().map(|(known, _)| known.as_str()).collect::<Vec<_>>().join(", "),
            });
        }
        let rendered = environment.get_template(name).and_then(|template| {
            // Once for the length alone: what would be too long is never held.
            template.render_captured_to(context.clone(), Measure::default())?;
            sink.clear();
            template.render_with_spans(context)
        });
        let mut state = sink.0.lock().unwrap_or_else(PoisonError::into_inner);
        let (text, spans) = rendered.map_err(|error| self.place_error(name, &error, state.refused.take()))?;
        let places = Places { root: name, spans: &spans, sources: &self.sources, text: &text };
        markdown::read(&text, &state.slots, &places, resources)
    }

    fn environment(&self, sink: &Sink) -> Result<Environment<'static>, Error> {
        let mut environment = Environment::empty();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.set_fuel(Some(FUEL));
        environment.set_recursion_limit(64);
        let syntax = SyntaxConfig::builder()
            .comment_delimiters("<!--", "-->")
            .trim_blocks(true)
            .lstrip_blocks(true)
            .keep_trailing_newline(true)
            .build()
            .map_err(|error| self.place_error("", &error, None))?;
        environment.set_syntax(syntax);
        environment.add_filter("length", minijinja::filters::length);
        environment.add_filter("first", minijinja::filters::first);
        environment.add_filter("last", minijinja::filters::last);
        environment.add_filter("default", minijinja::filters::default);
        environment.add_test("defined", minijinja::tests::is_defined);
        environment.add_test("none", minijinja::tests::is_none);
        let sink = sink.clone();
        environment.set_formatter(move |out, _, value| {
            let mut state = sink.0.lock().unwrap_or_else(PoisonError::into_inner);
            match slot_of(value) {
                Ok(slot) => {
                    state.bytes += slot.text().len();
                    if state.bytes > OUTPUT_LIMIT {
                        return Err(too_long());
                    }
                    state.slots.push(slot);
                    let last = state.slots.len() - 1;
                    out.write_str(&format!("{MARK_OPEN}{last}{MARK_CLOSE}"))?;
                    Ok(())
                }
                Err(fault) => {
                    state.refused = Some(fault);
                    Err(minijinja::Error::new(ErrorKind::InvalidOperation, "refused"))
                }
            }
        });
        for (name, source) in &self.sources {
            environment.add_template_owned(name.clone(), source.clone()).map_err(|error| self.place_error(name, &error, None))?;
        }
        Ok(environment)
    }

    /// The innermost place and the plainest words for an error of minijinja.
    fn place_error(&self, root: &str, error: &minijinja::Error, refused: Option<Fault>) -> Error {
        let mut inner = error;
        let mut next = std::error::Error::source(error);
        while let Some(source) = next {
            if let Some(deeper) = source.downcast_ref::<minijinja::Error>() {
                inner = deeper;
            }
            next = source.source();
        }
        let name = inner.name().unwrap_or(root).to_owned();
        let source = self.sources.iter().find(|(known, _)| *known == name).map_or("", |(_, source)| source.as_str());
        let range = inner.range().filter(|range| source.get(range.clone()).is_some());
        let line = match (&range, inner.line()) {
            (Some(range), _) => line_of(source, range.start),
            (None, Some(line)) => line,
            (None, None) => 1,
        };
        let written = range
            .and_then(|range| source.get(range))
            .map(str::trim)
            .filter(|written| !written.is_empty())
            .map(|written| format!("`{written}`: "))
            .unwrap_or_default();
        let detail = inner.detail().filter(|detail| tells_no_value(inner.kind(), detail));
        let detail = detail.map(|detail| format!(": {detail}")).unwrap_or_default();
        let fault = match (refused, inner.kind()) {
            (Some(fault), _) => Fault::new(format!("{written}{}", fault.found), fault.expected),
            (None, ErrorKind::UndefinedError) => {
                Fault::new(format!("{written}no value of that name"), "a name that the report gives to this template")
            }
            (None, ErrorKind::OutOfFuel) => Fault::new(format!("{written}a template that does not end"), format!("at most {FUEL} steps")),
            (None, ErrorKind::WriteFailure) => {
                Fault::new("more text than a report can have", format!("at most {OUTPUT_LIMIT} bytes in all, and as many of values"))
            }
            (None, ErrorKind::TemplateNotFound) => {
                Fault::new(format!("{written}a template that does not exist"), one_of(self.sources.iter().map(|(known, _)| known.as_str())))
            }
            (None, ErrorKind::UnknownFilter) => Fault::new(format!("{written}an unknown filter"), "one of: length, first, last, default"),
            (None, ErrorKind::UnknownTest) => Fault::new(format!("{written}an unknown test"), "one of: defined, none"),
            (None, kind) => Fault::new(format!("{written}{kind}{detail}"), "a statement that can be carried out"),
        };
        fault.at((name, line))
    }
}

/// What a printed value becomes; only text and our numbers may be printed.
fn slot_of(value: &Value) -> Result<Slot, Fault> {
    if let Some(NumberObject(number)) = value.downcast_object_ref::<NumberObject>() {
        return if number.value.is_finite() {
            Ok(Slot::Number(number.clone()))
        } else {
            Err(Fault::new(format!("the fact {} without a finite value", number.fact), "a value, or a text that says why there is none"))
        };
    }
    if let Some(text) = value.as_str() {
        return Ok(Slot::Text(text.to_owned()));
    }
    let found = match value.kind() {
        ValueKind::Number => "a bare number".to_owned(),
        ValueKind::Bool => "true or false".to_owned(),
        ValueKind::Undefined => "no value of that name".to_owned(),
        ValueKind::None => "nothing (none)".to_owned(),
        kind => format!("a whole {kind}"),
    };
    Err(Fault::new(found, "a text, or a number that carries its fact"))
}

/// Whether the words of minijinja's error speak of the template alone. Those of a failed sum, a conversion or a key can hold a value.
fn tells_no_value(kind: ErrorKind, detail: &str) -> bool {
    match kind {
        ErrorKind::SyntaxError | ErrorKind::UnknownFunction | ErrorKind::UnknownMethod | ErrorKind::BadEscape => true,
        ErrorKind::InvalidOperation => {
            ["there is no fact", "the fact has no band", "tried to use"].iter().any(|known| detail.starts_with(known))
        }
        _ => false,
    }
}

fn too_long() -> minijinja::Error {
    minijinja::Error::new(ErrorKind::WriteFailure, "too long")
}

/// Takes a rendering to tell its length, and stops it at [`OUTPUT_LIMIT`].
#[derive(Default)]
struct Measure {
    bytes: usize,
}

impl std::io::Write for Measure {
    fn write(&mut self, text: &[u8]) -> std::io::Result<usize> {
        self.bytes += text.len();
        if self.bytes > OUTPUT_LIMIT { Err(std::io::ErrorKind::FileTooLarge.into()) } else { Ok(text.len()) }
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[derive(Debug, Clone)]
struct NumberObject(Number);

impl fmt::Display for NumberObject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.text)
    }
}

impl Object for NumberObject {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        match key.as_str()? {
            "value" => Some(Value::from(self.0.value)),
            "fact" => Some(Value::from(self.0.fact.as_str())),
            _ => None,
        }
    }

    fn render(self: &Arc<Self>, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.text)
    }
}

/// Where one rendering keeps its values.
#[derive(Clone, Default)]
struct Sink(Arc<Mutex<SinkState>>);

impl Sink {
    fn clear(&self) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = SinkState::default();
    }
}

#[derive(Default)]
struct SinkState {
    slots: Vec<Slot>,
    bytes: usize,
    refused: Option<Fault>,
}

/// From a place in the rendered text back to the template and its line.
pub(crate) struct Places<'a> {
    root: &'a str,
    spans: &'a [OutputSpan],
    sources: &'a [(String, String)],
    text: &'a str,
}

impl Places<'_> {
    /// Template and line that wrote what stands at byte `offset` of the rendered text. White space is stepped over:
    /// a block is where its first character is.
    pub(crate) fn at(&self, offset: usize) -> (String, usize) {
        let rest = self.text.get(offset..).unwrap_or("");
        let offset = offset + (rest.len() - rest.trim_start().len());
        let at = self.spans.partition_point(|span| span.output_range().start <= offset);
        let Some(span) = at.checked_sub(1).and_then(|at| self.spans.get(at)) else {
            return (self.root.to_owned(), 1);
        };
        let source = self.sources.iter().find(|(name, _)| name == span.name()).map_or("", |(_, source)| source.as_str());
        // Raw text is a verbatim slice of the template; the output of an expression stands where the expression begins.
        let into = match span.kind() {
            OutputSpanKind::Raw => offset - span.output_range().start,
            _ => 0,
        };
        let position = (span.source_range().start + into).min(span.source_range().end);
        (span.name().to_owned(), line_of(source, position))
    }
}

fn line_of(source: &str, offset: usize) -> usize {
    let bytes = &source.as_bytes()[..offset.min(source.len())];
    bytes.split(|&byte| byte == b'\n').count()
}

#[cfg(test)]
mod tests;
