//! How a command ends when it cannot do its job, and the exit code that says so.
//!
//! | code | meaning |
//! |---|---|
//! | 0 | done; faults of single lines or values may have been reported |
//! | 1 | the job failed, or `--strict` found a fault |
//! | 2 | the call is wrong |

use crate::output;
use anyhow::Error;
use std::process::ExitCode;

/// The end of a command that could not go on.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The call is wrong: exit 2.
    Call(String),
    /// The job failed: exit 1.
    Job(Error),
    /// All has been said already: exit 1.
    Said,
    /// The reader of our output went away: success.
    ClosedPipe,
}

impl Failure {
    /// Says what is left to say and gives the exit code.
    pub(crate) fn report(self) -> ExitCode {
        match self {
            Self::Call(message) => {
                output::say(&format!("error: {message}\n"));
                ExitCode::from(2)
            }
            Self::Job(error) => {
                output::say(&format!("error: {error:#}\n"));
                ExitCode::FAILURE
            }
            Self::Said => ExitCode::FAILURE,
            Self::ClosedPipe => ExitCode::SUCCESS,
        }
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
