//! A mirror in a folder of this machine: files are copied, and looked at like any other.

use super::archive::{Entry, Locked};
use super::fault::{Fault, NOT_THERE};
use super::part::{Part, Whole};
use super::request::Wanted;
use super::settings::{Caller, Event};
use super::sidecar::Sidecar;
use super::transfer::Came;
use crate::{Reader, reader};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// What to do about a file that a mirror lacks.
const ASK: &str = "ask whoever keeps it to add the file, or go without the mirror (--mirror, RAINWORTH_MIRROR)";

/// Bytes that are copied at a time.
const BLOCK: usize = 256 << 10;

/// Copies a file of the mirror into the part of its entry, unless the archive's copy is the same.
pub(crate) fn copy(folder: &Path, wanted: &Wanted, locked: &Locked, known: Option<&Sidecar>, caller: &dyn Caller) -> Result<Came, Fault> {
    let from = folder.join(&wanted.path);
    let unreadable = |source: &std::io::Error| {
        Fault::new("mirror-file-unusable", from.display().to_string(), format!("a file that cannot be read ({source})"))
            .expected(wanted.expected_in_words())
            .advice("ask whoever keeps the mirror to let you read it")
    };
    // Looked at before it is opened: a pipe would be waited for.
    let data = match std::fs::metadata(&from) {
        Ok(data) if data.is_file() => data,
        Ok(_) => return Err(not_there(&from, folder, wanted)),
        Err(source) if source.kind() == std::io::ErrorKind::NotFound => return Err(not_there(&from, folder, wanted)),
        Err(source) => return Err(unreadable(&source)),
    };
    if data.len() > Reader::MOST_BYTES {
        let fault = Fault::new("download-too-large", from.display().to_string(), format!("{} bytes", data.len()));
        return Err(fault.expected(format!("at most {} bytes", Reader::MOST_BYTES)));
    }
    // It may grow meanwhile; one byte more shows that.
    let mut file = File::open(&from).map_err(|source| unreadable(&source))?.take(data.len() + 1);
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
                part.add(&block[..got], entry)?;
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

fn not_there(from: &Path, folder: &Path, wanted: &Wanted) -> Fault {
    let fault = lacks(Fault::new(NOT_THERE, from.display().to_string(), "no such file"), &folder.display().to_string(), wanted);
    let version = folder.join("v1");
    if version.is_dir() { fault.advice(format!("an archive is a mirror from its v1 on: --mirror {}", version.display())) } else { fault }
}

/// The fault of a file that a mirror lacks: which mirror, which file, what to do.
pub(crate) fn lacks(fault: Fault, mirror: &str, wanted: &Wanted) -> Fault {
    Fault { found: format!("{}, so that the mirror {mirror} lacks it", fault.found), ..fault }
        .expected(format!("{} at {} below the mirror", wanted.expected_in_words(), wanted.path))
        .advice(if wanted.station.is_some() { format!("look whether the station is in the list (--lists), {ASK}") } else { ASK.to_owned() })
}
