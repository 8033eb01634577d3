//! How a command ends when it cannot do its job: what is said, what `--json` carries, and the exit code.
//!
//! | code | meaning |
//! |---|---|
//! | 0 | done; faults of single lines or values may have been reported |
//! | 1 | the job failed, in whole or in part, or `--strict` found a fault |
//! | 2 | the call is wrong |
//!
//! With `--json` each command that does not end with 0 prints an object with `done: false` and `error` on standard output; the
//! findings stand beside them as `diagnostics`, and whatever was done in spite of it too.

use crate::{diagnostic_text, output};
use anyhow::Error;
use serde::Serialize;
use series::Diagnostics;
use std::process::ExitCode;

/// The fault that `--strict` makes of a finding.
pub(crate) const STRICT: &str = "a warning or an error was found, which --strict makes a failure";

/// The end of a command that could not go on.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The call is wrong: exit 2.
    Call(String),
    /// The job failed: exit 1.
    Job(Error),
    /// The job failed, and findings tell why: exit 1.
    Found(Error, Box<Diagnostics>),
    /// The reader of our output went away: success.
    ClosedPipe,
}

/// What a failed call prints with `--json`.
#[derive(Serialize)]
struct Failed<'a> {
    done: bool,
    error: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    diagnostics: Option<&'a Diagnostics>,
}

/// An answer that was given although not all was done: the answer's own fields behind `done` and `error`. A whole answer has
/// neither.
#[derive(Serialize)]
struct Answer<'a, T> {
    #[serde(skip_serializing_if = "Option::is_none")]
    done: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<&'a str>,
    #[serde(flatten)]
    given: &'a T,
}

/// Prints an answer as JSON, with the fault that stands beside it if there is one.
pub(crate) fn answer<T: Serialize>(answer: &T, fault: Option<&str>) -> Result<(), Failure> {
    output::json(&Answer { done: fault.map(|_| false), error: fault, given: answer })
}

/// The exit code of an answer, and the fault in words on standard error.
pub(crate) fn code(fault: Option<&str>) -> ExitCode {
    match fault {
        Some(fault) => {
            output::say(&format!("error: {fault}\n"));
            ExitCode::FAILURE
        }
        None => ExitCode::SUCCESS,
    }
}

impl Failure {
    /// The same with the findings that were gathered until then.
    pub(crate) fn with(self, diagnostics: Diagnostics) -> Self {
        match self {
            Self::Job(error) => Self::Found(error, Box::new(diagnostics)),
            other => other,
        }
    }

    /// Says what there is to say and gives the exit code.
    pub(crate) fn report(self, json: bool) -> ExitCode {
        let (error, diagnostics, code) = match self {
            Self::Call(message) => (message, None, ExitCode::from(2)),
            Self::Job(error) => (format!("{error:#}"), None, ExitCode::FAILURE),
            Self::Found(error, diagnostics) => (format!("{error:#}"), Some(diagnostics), ExitCode::FAILURE),
            Self::ClosedPipe => return ExitCode::SUCCESS,
        };
        if let Some(diagnostics) = &diagnostics {
            output::say(&diagnostic_text::text(diagnostics));
        }
        output::say(&format!("error: {error}\n"));
        if json {
            // Whether or not anybody reads it, the job failed.
            let _ = output::json(&Failed { done: false, error: &error, diagnostics: diagnostics.as_deref() });
        }
        code
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::BrokenPipe { Self::ClosedPipe } else { Self::Job(error.into()) }
    }
}

impl From<Error> for Failure {
    fn from(error: Error) -> Self {
        Self::Job(error)
    }
}
