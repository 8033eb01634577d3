//! From an assessment to documents: the report, its JSON, tables and charts, and the pages for a terminal.
//!
//! Nothing is computed here but rounding and layout. Wording, table columns and definitions are data in `reports/`; a
//! number reaches a page only as a fact of the assessment, looked up by its id.
//!
//! * [`files`]: everything that `rainworth assess` writes;
//! * [`Stationery`]: what it is written on: templates, words, tables, style sheet;
//! * [`rain_files`]: the two tables over many stations;
//! * [`stations_geojson`]: the stations near a place, for a map;
//! * [`terminal`]: pages of text;
//! * [`Definitions`]: what each fact is.

mod caution_words;
mod charts;
mod context;
mod csv_tables;
mod definitions;
mod drawings;
mod error;
mod faces;
mod gauge_rows;
mod json;
mod key_facts;
mod number_text;
mod rain_csv;
mod report_files;
mod station_geojson;
mod stationery;
mod style_sheet;
mod table_plan;
mod table_rows;
mod tables;
pub mod terminal;
mod words;

pub use definitions::{Definition, Definitions};
pub use error::Error;
pub use json::report_json;
pub use number_text::{NumberStyle, Printed};
pub use paper::Paper;
pub use rain_csv::{MONTHLY_HEAD, monthly_rows, record_rows, records_head, renamed_rows, station_rows, stations_head};
pub use report_files::{ReportFiles, ReportOptions, document, files};
pub use station_geojson::stations_geojson;
pub use stationery::{FILE_COUNT_LIMIT, FILE_LIMIT, OwnFile, Stationery};
