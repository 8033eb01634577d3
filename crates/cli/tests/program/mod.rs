//! The program, run as a process, and what it said.

use std::path::Path;
use std::process::{Command, Stdio};

pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

pub(crate) fn run(arguments: &[&str]) -> Ran {
    let output = Command::new(env!("CARGO_BIN_EXE_rainworth")).args(arguments).stdin(Stdio::null()).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    Ran { code: output.status.code().unwrap(), stdout: text(output.stdout), stderr: text(output.stderr) }
}

pub(crate) fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}
