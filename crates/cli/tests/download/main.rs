//! `rainworth download` as a process: called by a person or a program, several at once, killed in the middle. What a misbehaving server may do to the
//! client behind it is in `ingest/tests/download`.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod command;
mod full_disk;
mod killed;
mod site;

use std::path::Path;
use testkit::DlyText;

/// The station that is asked for, and its place in the archive and on a mirror.
const STATION: &str = "ghcn-daily:XX000000001";
const PATH: &str = "ncei/ghcn-daily/all/XX000000001.dly";

/// An invented record of so many days, whose rain tells it from another version.
fn record(days: usize, depth: f64) -> Vec<u8> {
    DlyText::new("XX000000001").rain_run_mm((2001, 1, 1), &vec![Some(depth); days]).to_text().into_bytes()
}

/// The names in a file's folder but for its lock, which stays.
fn names(file: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(file.parent().unwrap()).unwrap();
    let mut names: Vec<String> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.retain(|name| name.rsplit_once('.').is_none_or(|(_, ending)| ending != "lock"));
    names.sort();
    names
}

/// The names that a finished file has.
const DONE: [&str; 2] = ["XX000000001.dly", "XX000000001.dly.meta.json"];
