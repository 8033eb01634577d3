//! Reads a folder of templates of one's own: its files and nothing outside of it.
//!
//! Links are refused wherever they lead, and so are folders inside: what a report was made with is what stands in this one folder.
//! Names that begin with a dot (notes of editors and file managers) are passed over; every other file must be one that a report has.

use anyhow::{Context, Result, bail};
use report::{FILE_COUNT_LIMIT, FILE_LIMIT};
use std::fs;
use std::io::Read;
use std::path::Path;

/// The files of the folder as name and bytes, by name.
pub(crate) fn read(folder: &Path) -> Result<Vec<(String, Vec<u8>)>> {
    let whole = fs::canonicalize(folder).with_context(|| format!("the template folder {} cannot be found", folder.display()))?;
    let entries = fs::read_dir(&whole).with_context(|| format!("{} cannot be read as a folder", folder.display()))?;
    let mut files = Vec::new();
    for entry in entries {
        let path = entry?.path();
        let Some(name) = path.file_name().and_then(|name| name.to_str()).map(str::to_owned) else {
            bail!("{}: found a name that is not UTF-8; expected the name of a template", folder.display());
        };
        if name.starts_with('.') {
            continue;
        }
        // Of a name that may hold anything: nothing of it reaches the terminal but as text.
        let shown = folder.join(&name).display().to_string().escape_debug().to_string();
        let kind = fs::symlink_metadata(&path)?.file_type();
        if !kind.is_file() {
            let found = if kind.is_symlink() {
                "a link"
            } else if kind.is_dir() {
                "a folder"
            } else {
                "no ordinary file"
            };
            bail!("{shown}: found {found}; expected a file of the folder's own");
        }
        if files.len() == FILE_COUNT_LIMIT {
            bail!("{}: found more than {FILE_COUNT_LIMIT} files; expected the few that you changed", folder.display());
        }
        let mut bytes = Vec::new();
        let file = open(&path).with_context(|| format!("{shown} cannot be read"))?;
        // Looked at once more, by what was opened and not by its name: between the look and the opening it may have become something else.
        if !file.metadata()?.is_file() {
            bail!("{shown}: found no ordinary file; expected a file of the folder's own");
        }
        // One more than is taken, so that what is too long is known to be.
        file.take(FILE_LIMIT as u64 + 1).read_to_end(&mut bytes).with_context(|| format!("{shown} cannot be read"))?;
        files.push((name, bytes));
    }
    if files.is_empty() {
        bail!(
            "the template folder {} has no file; expected those that you changed (`rainworth templates --out DIR` writes copies)",
            folder.display()
        );
    }
    files.sort();
    Ok(files)
}

/// Opens a file, never through a link and never waiting for whoever writes to a pipe.
#[cfg(unix)]
fn open(path: &Path) -> std::io::Result<fs::File> {
    use rustix::fs::{Mode, OFlags};
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(rustix::fs::open(path, flags, Mode::empty())?.into())
}

/// Opens a file.
#[cfg(not(unix))]
fn open(path: &Path) -> std::io::Result<fs::File> {
    fs::File::open(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_come_by_name_and_hidden_ones_are_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["b.md", "a.md", ".b.md.swp"] {
            fs::write(folder.path().join(name), name).unwrap();
        }
        let names: Vec<String> = read(folder.path()).unwrap().into_iter().map(|(name, _)| name).collect();
        assert_eq!(names, ["a.md", "b.md"]);
    }

    #[test]
    fn what_is_too_long_is_not_read_to_its_end() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.md"), vec![b'x'; 4 * FILE_LIMIT]).unwrap();
        assert_eq!(read(folder.path()).unwrap()[0].1.len(), FILE_LIMIT + 1);
    }

    #[cfg(unix)]
    #[test]
    fn links_folders_and_emptiness_are_refused() {
        let outside = tempfile::tempdir().unwrap();
        fs::write(outside.path().join("secret.md"), "secret").unwrap();
        let folder = tempfile::tempdir().unwrap();
        assert!(read(folder.path()).unwrap_err().to_string().contains("has no file"));
        std::os::unix::fs::symlink(outside.path().join("secret.md"), folder.path().join("a.md")).unwrap();
        assert!(read(folder.path()).unwrap_err().to_string().contains("a.md: found a link"));
        fs::remove_file(folder.path().join("a.md")).unwrap();
        fs::create_dir(folder.path().join("inner")).unwrap();
        assert!(read(folder.path()).unwrap_err().to_string().contains("inner: found a folder"));
        assert!(read(&folder.path().join("none")).unwrap_err().to_string().contains("cannot be found"));
        // A link to the folder itself is only a way to it.
        fs::remove_dir(folder.path().join("inner")).unwrap();
        fs::write(folder.path().join("a.md"), "x").unwrap();
        std::os::unix::fs::symlink(folder.path(), outside.path().join("way")).unwrap();
        assert_eq!(read(&outside.path().join("way")).unwrap().len(), 1);
    }
}
