//! Short scripts for a reference interpreter: arguments in, standard output back.

use std::path::Path;
use std::process::{Command, Stdio};

/// Runs a script given as text; what it prints.
///
/// # Panics
/// When it fails: its errors are the message.
pub fn script(python: &Path, text: &str, argument: &str) -> String {
    finish(Command::new(python).args(["-c", text, argument]))
}

/// Runs a prepared call; what it prints.
///
/// # Panics
/// When it fails: its output and errors are the message.
pub fn finish(command: &mut Command) -> String {
    let output = command.stdin(Stdio::null()).env("PYTHONDONTWRITEBYTECODE", "1").output().unwrap();
    let stdout = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{command:?}\n{stdout}\n{}", String::from_utf8_lossy(&output.stderr));
    stdout
}
