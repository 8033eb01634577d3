//! A mirror in a folder of this machine: files are copied, and looked at like any other.

use super::archive::{Entry, Locked};
use super::fault::{Fault, NOT_THERE};
use super::part::{Part, Whole};
use super::request::Wanted;
use super::settings::{Caller, Event};
use super::sidecar::Sidecar;
use super::transfer::Came;
use crate::reader;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Bytes that are copied at a time.
const BLOCK: usize = 256 << 10;

/// Copies a file of the mirror into the part of its entry, unless the archive's copy is the same.
pub(crate) fn copy(folder: &Path, wanted: &Wanted, locked: &Locked, known: Option<&Sidecar>, caller: &dyn Caller) -> Result<Came, Fault> {
    let from = folder.join(&wanted.path);
    let unreadable = |source: &std::io::Error| Fault::local(&from, "read", source);
    let mut file = match File::open(&from) {
        Ok(file) => file,
        Err(source) if source.kind() == std::io::ErrorKind::NotFound => return Err(not_there(&from, wanted)),
        Err(source) => return Err(unreadable(&source)),
    };
    let data = file.metadata().map_err(|source| unreadable(&source))?;
    if !data.is_file() {
        return Err(not_there(&from, wanted));
    }
    if let Some(known) = known
        && known.size == data.len()
        && reader::checksum_of_whole_file(&from).is_ok_and(|sha256| sha256 == known.sha256)
    {
        return Ok(Came::Unchanged);
    }
    let entry: &Entry = &locked.entry;
    let mut part = Part::begin(entry, Whole { length: Some(data.len()), ..Whole::of(&address(folder, wanted)) })?;
    caller.event(Event::Begun { path: &wanted.path, have: 0, length: Some(data.len()) });
    let mut block = vec![0; BLOCK];
    loop {
        match file.read(&mut block).map_err(|source| unreadable(&source))? {
            0 => break,
            got => {
                part.add(&block[..got])?;
                caller.event(Event::Received { path: &wanted.path, bytes: got as u64 });
            }
        }
    }
    if !part.is_whole() {
        return Err(Fault::new("mirror-file-changed", from.display().to_string(), format!("{} bytes of {}", part.have, data.len()))
            .expected("a file that does not change while it is copied")
            .advice("try again"));
    }
    Ok(Came::Whole(part))
}

/// How a sidecar names a file of such a mirror.
pub(crate) fn address(folder: &Path, wanted: &Wanted) -> String {
    format!("file:{}", folder.join(&wanted.path).display())
}

fn not_there(from: &Path, wanted: &Wanted) -> Fault {
    Fault::new(NOT_THERE, from.display().to_string(), "no such file in the mirror")
        .expected(format!("{} at {} below it", wanted.expected_in_words(), wanted.path))
        .advice("ask whoever keeps the mirror, or leave --mirror out")
}
