//! The sidecar of a file of the archive: `NAME.meta.json` beside it says where it came from and what it must be.

use chrono::{DateTime, SecondsFormat, Utc};
use serde::{Deserialize, Serialize};
use std::path::Path;
use std::time::SystemTime;

/// The version of the sidecars that are written and read.
pub(crate) const FORMAT: u32 = 1;
/// Largest sidecar that is read.
const MOST_BYTES: u64 = 1 << 16;

/// What is known of a file of the archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sidecar {
    /// Version of this form.
    pub format: u32,
    /// The address that it was brought from, of the agency or a mirror; `file:` and a path for a mirror that is a folder.
    pub url: String,
    /// The server's entity tag.
    pub etag: Option<String>,
    /// When the server says that it changed last.
    pub last_modified: Option<String>,
    /// SHA-256 of the file, in hexadecimal.
    pub sha256: String,
    /// Its bytes.
    pub size: u64,
    /// When it was brought (RFC 3339, UTC).
    pub fetched_at: String,
    /// When it was last found to be unchanged (RFC 3339, UTC).
    pub checked_at: String,
}

impl Sidecar {
    /// The sidecar in a file; nothing where there is none, or one of another version or cut short.
    pub(crate) fn read(path: &Path) -> Option<Self> {
        read_json(path).filter(|sidecar: &Self| sidecar.format == FORMAT)
    }

    pub(crate) fn to_json(&self) -> Vec<u8> {
        to_json(self)
    }
}

/// A small file of ours as a value.
pub(crate) fn read_json<T: for<'a> Deserialize<'a>>(path: &Path) -> Option<T> {
    if std::fs::metadata(path).ok()?.len() > MOST_BYTES {
        return None;
    }
    serde_json::from_slice(&std::fs::read(path).ok()?).ok()
}

/// A value as the text of a small file of ours.
pub(crate) fn to_json<T: Serialize>(value: &T) -> Vec<u8> {
    // Strings and numbers alone, which cannot fail.
    let mut text = serde_json::to_vec_pretty(value).unwrap_or_default();
    text.push(b'\n');
    text
}

/// A time as sidecars write it.
pub(crate) fn time(time: SystemTime) -> String {
    DateTime::<Utc>::from(time).to_rfc3339_opts(SecondsFormat::Secs, true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_sidecar_is_read_as_it_was_written_and_no_other_version_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.meta.json");
        let at = time(SystemTime::UNIX_EPOCH + Duration::from_hours(24));
        assert_eq!(at, "1970-01-02T00:00:00Z");
        let sidecar = Sidecar {
            format: FORMAT,
            url: "https://example.org/a".into(),
            etag: Some("\"1\"".into()),
            last_modified: None,
            sha256: "00".into(),
            size: 2,
            fetched_at: at.clone(),
            checked_at: at,
        };
        let text = sidecar.to_json();
        std::fs::write(&path, &text).unwrap();
        assert_eq!(Sidecar::read(&path), Some(sidecar.clone()));
        for cut in 0..text.len() - 2 {
            std::fs::write(&path, &text[..cut]).unwrap();
            assert_eq!(Sidecar::read(&path), None, "{cut}");
        }
        std::fs::write(&path, Sidecar { format: 2, ..sidecar }.to_json()).unwrap();
        assert_eq!(Sidecar::read(&path), None);
        assert_eq!(Sidecar::read(&folder.path().join("none")), None);
    }
}
