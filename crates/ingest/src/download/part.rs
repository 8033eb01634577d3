//! What has come of a file until now: `.NAME.part`, and `.NAME.part.json`, which says of what it is a part.
//!
//! It can be gone on with where the server gave a strong validator (RFC 9110, section 13.1.5): a strong entity tag, or a date of last change that is at
//! least a second before the answer's own date (section 8.8.2.2). The note is written before the first byte and emptied before another
//! file's first byte, so that the bytes are always of what the note says.

use super::archive::{Entry, create_anew, remove, write_synced};
use super::fault::Fault;
use super::sidecar::{FORMAT, read_json, to_json};
use serde::{Deserialize, Serialize};
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::PathBuf;

/// Of what a part is a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Whole {
    pub(crate) format: u32,
    /// The address.
    pub(crate) url: String,
    /// The entity tag as the server gave it.
    pub(crate) etag: Option<String>,
    /// The date of last change as the server gave it.
    pub(crate) last_modified: Option<String>,
    /// What `If-Range` may say.
    pub(crate) validator: Option<String>,
    /// All its bytes.
    pub(crate) length: Option<u64>,
    /// Whether a cut shows: a length or chunks tell where the body ends.
    pub(crate) framed: bool,
}

impl Whole {
    pub(crate) fn of(url: &str) -> Self {
        Self { format: FORMAT, url: url.to_owned(), etag: None, last_modified: None, validator: None, length: None, framed: true }
    }
}

/// A part, open for more.
#[derive(Debug)]
pub(crate) struct Part {
    pub(crate) whole: Whole,
    /// Its bytes until now.
    pub(crate) have: u64,
    path: PathBuf,
    file: File,
}

impl Part {
    /// The part that an earlier try left, if it is of this address and can be gone on with; any other is removed.
    pub(crate) fn left(entry: &Entry, url: &str) -> Result<Option<Self>, Fault> {
        let path = entry.part();
        let whole: Option<Whole> = read_json(&entry.part_sidecar());
        let of_it = whole.filter(|whole| whole.format == FORMAT && whole.url == url && whole.validator.is_some());
        // A link is no part of ours.
        let have = std::fs::symlink_metadata(&path).ok().filter(std::fs::Metadata::is_file).map_or(0, |data| data.len());
        match of_it {
            Some(whole) if have > 0 && whole.length.is_none_or(|length| have <= length) => {
                let file = OpenOptions::new().append(true).open(&path).map_err(|source| Fault::local(&path, "opened", &source))?;
                Ok(Some(Self { whole, have, path, file }))
            }
            _ => {
                Self::discard(entry)?;
                Ok(None)
            }
        }
    }

    /// A part without a byte yet.
    pub(crate) fn begin(entry: &Entry, whole: Whole) -> Result<Self, Fault> {
        let path = entry.part();
        let file = create_anew(&path)?;
        write_synced(&entry.part_sidecar(), &to_json(&whole))?;
        Ok(Self { whole, have: 0, path, file })
    }

    /// More of it. Where it cannot be written, as on a full disk, nothing of it is kept: the room is given back.
    pub(crate) fn add(&mut self, bytes: &[u8], entry: &Entry) -> Result<(), Fault> {
        if let Err(source) = self.file.write_all(bytes) {
            Self::discard(entry)?;
            return Err(Fault::local(&self.path, "written", &source));
        }
        self.have += bytes.len() as u64;
        Ok(())
    }

    /// Whether all is there, as far as the server said how much that is.
    pub(crate) fn is_whole(&self) -> bool {
        self.whole.length == Some(self.have)
    }

    /// Brings it to the disk.
    pub(crate) fn sync(&self) -> Result<(), Fault> {
        self.file.sync_all().map_err(|source| Fault::local(&self.path, "written", &source))
    }

    /// Removes a part and its note.
    pub(crate) fn discard(entry: &Entry) -> Result<(), Fault> {
        remove(&entry.part())?;
        remove(&entry.part_sidecar())
    }
}

#[cfg(test)]
mod tests {
    use super::super::archive::Archive;
    use super::*;

    #[test]
    fn only_a_part_of_the_same_file_is_gone_on_with() {
        let place = tempfile::tempdir().unwrap();
        let entry = Archive::in_folder(place.path()).entry("agency/list.txt");
        let _locked = entry.lock(|| unreachable!()).unwrap();
        let url = "https://example.org/list.txt";
        let whole = Whole { validator: Some("\"1\"".into()), length: Some(5), ..Whole::of(url) };
        let left = |whole: &Whole, bytes: &[u8], url: &str| {
            let mut part = Part::begin(&entry, whole.clone()).unwrap();
            part.add(bytes, &entry).unwrap();
            drop(part);
            Part::left(&entry, url).unwrap().map(|part| (part.have, part.is_whole()))
        };
        assert_eq!(left(&whole, b"lis", url), Some((3, false)));
        assert_eq!(left(&whole, b"lists", url), Some((5, true)));
        assert_eq!(left(&whole, b"lists!", url), None, "more than announced");
        assert_eq!(left(&whole, b"", url), None);
        assert_eq!(left(&whole, b"lis", "https://example.org/other.txt"), None);
        assert_eq!(left(&Whole { validator: None, ..whole.clone() }, b"lis", url), None);
        assert!(!entry.part().exists() && !entry.part_sidecar().exists(), "what cannot be gone on with is removed");
        // A note that was cut by a crash.
        left(&whole, b"lis", url);
        std::fs::write(entry.part_sidecar(), b"{\"format\": 1, \"url\"").unwrap();
        assert!(Part::left(&entry, url).unwrap().is_none());
    }
}
