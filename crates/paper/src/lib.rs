//! Paper: a document model, templates that make it, two renderers that print it (HTML, PDF), and the drawing of charts.
//!
//! The way is one way: Markdown template + values ([`template`]) -> [`document`] -> pages ([`html`], [`pdf`]). Charts
//! ([`chart`]) and drawings at true size ([`drawing`]) are drawn once as SVG and put into any page. Nothing here does I/O, reads a clock or knows what the
//! numbers are about.

pub mod chart;
pub mod document;
pub mod drawing;
mod error;
mod escape;
pub mod html;
mod markdown;
pub mod pdf;
mod plane;
pub mod template;

pub use chart::{ChartDrawing, ChartText};
pub use document::{
    Align, Block, CautionKind, Cell, Column, Definition, Document, Inline, KeyFact, List, ListItem, Number, Row, Slot, Table, TableData,
    numbers, plain_text,
};
pub use drawing::{DottedGrid, SizedDrawing};
pub use error::Error;
pub use html::{HtmlOptions, Wording, to_html};
pub use pdf::{CreationDate, Fonts, Paper, PdfOptions, PdfOutput, to_pdf};
pub use template::{Resources, Templates, number_value};
