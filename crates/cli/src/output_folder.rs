//! A folder of results that appears whole or not at all.
//!
//! Files are written into a folder beside the wanted one, which is then renamed. A folder that stands there already is
//! replaced only if it is empty or carries our mark; anybody else's is refused.

use anyhow::{Context, bail};
use std::fs;
use std::path::{Path, PathBuf};

/// The file that marks a folder as ours; its text is the version of the folder's layout.
const MARK: &str = ".made-by-rainworth";
const LAYOUT: &str = "1\n";

/// Whether a report may be put there: checked before the work, so that nobody waits for a refusal.
pub(crate) fn check(folder: &Path) -> anyhow::Result<()> {
    match fs::read_dir(folder) {
        Ok(mut entries) => {
            if entries.next().is_some() && !folder.join(MARK).is_file() {
                bail!("{} is not empty and was not made by rainworth; nothing was written: name a new folder", folder.display());
            }
            Ok(())
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error).with_context(|| format!("cannot use {} as an output folder", folder.display())),
    }
}

/// Writes these files (path inside the folder, bytes) as the folder.
pub(crate) fn write(folder: &Path, files: &[(String, Vec<u8>)]) -> anyhow::Result<()> {
    check(folder)?;
    let parent = match folder.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    let name = folder.file_name().with_context(|| format!("{} has no name of its own to write to", folder.display()))?;
    fs::create_dir_all(&parent).with_context(|| format!("cannot make {}", parent.display()))?;
    let beside = tempfile::Builder::new()
        .prefix(&format!(".{}.", name.to_string_lossy()))
        .tempdir_in(&parent)
        .with_context(|| format!("cannot write in {}", parent.display()))?;
    let fresh = beside.path().join("new");
    fs::create_dir(&fresh)?;
    for (path, bytes) in files {
        let target = fresh.join(path);
        if let Some(inner) = target.parent() {
            fs::create_dir_all(inner)?;
        }
        fs::write(&target, bytes).with_context(|| format!("cannot write {}", target.display()))?;
    }
    fs::write(fresh.join(MARK), LAYOUT)?;
    // The old folder steps aside first and goes with the temporary one.
    if folder.exists() {
        fs::rename(folder, beside.path().join("old")).with_context(|| format!("cannot replace {}", folder.display()))?;
    }
    fs::rename(&fresh, folder).with_context(|| format!("cannot put the finished folder at {}", folder.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(text: &str) -> Vec<(String, Vec<u8>)> {
        vec![("tables/a.csv".to_owned(), text.as_bytes().to_vec())]
    }

    #[test]
    fn ours_is_replaced_and_anybody_elses_refused() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("report");
        write(&folder, &one("1")).unwrap();
        write(&folder, &one("2")).unwrap();
        assert_eq!(fs::read_to_string(folder.join("tables/a.csv")).unwrap(), "2");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "nothing is left beside it");

        let theirs = place.path().join("photos");
        fs::create_dir(&theirs).unwrap();
        fs::write(theirs.join("cat.jpg"), "x").unwrap();
        assert!(write(&theirs, &one("1")).unwrap_err().to_string().contains("not made by rainworth"));
        assert_eq!(fs::read_dir(&theirs).unwrap().count(), 1);
    }

    #[test]
    fn a_file_in_the_way_is_refused() {
        let place = tempfile::tempdir().unwrap();
        let file = place.path().join("report");
        fs::write(&file, "x").unwrap();
        assert!(write(&file, &one("1")).is_err());
        assert_eq!(fs::read_to_string(&file).unwrap(), "x");
    }
}
