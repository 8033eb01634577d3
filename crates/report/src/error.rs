//! What can go wrong between an assessment and its pages. All of it is a fault of the wording files, never of the data.

/// A report that could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A wording file does not read.
    #[error("{file}: {message}")]
    Wording {
        /// Its name.
        file: String,
        /// What is wrong.
        message: String,
    },
    /// A file laid over the shipped ones cannot be taken.
    #[error("{file}{}: found {found}; expected {expected}", line.map(|line| format!(", line {line}")).unwrap_or_default())]
    Stationery {
        /// Its name.
        file: String,
        /// Where, if that is known; counted from 1.
        line: Option<usize>,
        /// What stands there.
        found: String,
        /// What could stand there.
        expected: String,
    },
    /// A template does not render.
    #[error(transparent)]
    Template(#[from] paper::Error),
    /// A value could not be written as JSON.
    #[error("report.json: {0}")]
    Json(#[from] serde_json::Error),
    /// A table could not be written as CSV.
    #[error("a table could not be written: {0}")]
    Csv(#[from] csv::Error),
}
