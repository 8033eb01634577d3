//! Where the things outside the repository are that some tests need, each named by an environment variable.
//!
//! A test asks, and returns at once on `None`; the function has then written its one line to standard error. A variable that is set is
//! taken at its word: a wrong path must fail the test that uses it, not skip it.

use std::env;
use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Once;

/// Folder of real station records, from `RAINWORTH_DATA`.
pub fn data_dir() -> Option<PathBuf> {
    static SAID: Once = Once::new();
    from_environment("RAINWORTH_DATA", "the folder of real station records", &SAID)
}

/// A Python interpreter with scipy, from `RAINWORTH_REFERENCE`.
pub fn reference_python() -> Option<PathBuf> {
    static SAID: Once = Once::new();
    from_environment("RAINWORTH_REFERENCE", "a Python interpreter with scipy", &SAID)
}

/// The program of a web browser that runs without a window, from `RAINWORTH_BROWSER`.
pub fn browser() -> Option<PathBuf> {
    static SAID: Once = Once::new();
    from_environment("RAINWORTH_BROWSER", "the program of a web browser", &SAID)
}

/// The file axe.min.js of axe-core, rules of web accessibility, from `RAINWORTH_AXE`.
pub fn accessibility_rules() -> Option<PathBuf> {
    static SAID: Once = Once::new();
    from_environment("RAINWORTH_AXE", "the file axe.min.js of axe-core", &SAID)
}

/// The variable's path; when it is unset or empty, the skip line, once a process.
fn from_environment(variable: &str, what: &str, said: &Once) -> Option<PathBuf> {
    let path = env::var_os(variable).filter(|value| !value.is_empty()).map(PathBuf::from);
    if path.is_none() {
        said.call_once(|| {
            // Straight to the stream: the test harness swallows what `eprintln!` writes in a test that succeeds.
            let line = format!("{}\n", skip_line(variable, what));
            // A closed standard error leaves nobody to tell.
            let _ = io::stderr().write_all(line.as_bytes());
        });
    }
    path
}

fn skip_line(variable: &str, what: &str) -> String {
    format!("skipped: {variable} is not set ({what})")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unset_variable_gives_none_and_a_single_line() {
        static SAID: Once = Once::new();
        // Said before, so that the test's own line does not stand among the real ones.
        SAID.call_once(|| {});
        assert!(from_environment("RAINWORTH_A_VARIABLE_THAT_NOBODY_SETS", "nothing", &SAID).is_none());
        let line = skip_line("RAINWORTH_DATA", "the folder of real station records");
        assert!(line.starts_with("skipped: RAINWORTH_DATA is not set (") && !line.contains('\n'));
    }

    #[test]
    fn a_set_variable_is_taken_at_its_word() {
        static SAID: Once = Once::new();
        let path = from_environment("PATH", "any variable that is always set", &SAID);
        assert_eq!(path, env::var_os("PATH").map(PathBuf::from));
        assert!(!SAID.is_completed());
    }
}
