//! Standard output for data, standard error for all else. Both drop colour where it is not wanted (`NO_COLOR`, a pipe).

use crate::failure::Failure;
use serde::Serialize;
use std::io::Write;

/// Writes data to standard output.
pub(crate) fn data(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes a value as JSON to standard output.
pub(crate) fn json<T: Serialize>(value: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value).map_err(|error| Failure::Job(error.into()))?;
    data(&format!("{text}\n"))
}

/// Writes a message to standard error; a closed one is nobody's loss.
pub(crate) fn say(text: &str) {
    let _ = anstream::stderr().lock().write_all(text.as_bytes());
}
