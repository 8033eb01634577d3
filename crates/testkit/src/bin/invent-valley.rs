//! Writes the invented valley again: `cargo run -p testkit --bin invent-valley [-- FOLDER]`; without a folder into `sample-data`.

use std::env;
use std::io;
use std::path::{Path, PathBuf};

fn main() -> io::Result<()> {
    let mut arguments = env::args_os().skip(1);
    let folder = arguments.next().map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data"), PathBuf::from);
    if arguments.next().is_some() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "usage: invent-valley [FOLDER]"));
    }
    testkit::valley::write(&folder)
}
