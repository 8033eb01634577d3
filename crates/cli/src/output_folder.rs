//! A folder of results that appears whole or not at all, and never at the cost of anything that is not ours.
//!
//! Files are written into a folder beside the wanted one, which is then renamed. A folder that stands there already is replaced
//! only if it is empty, or if its mark says that results of the same kind were written into it and it holds nothing but those
//! files. The mark is a file of lines: the version of the layout, the kind, then the path of each file that was written.

use anyhow::{Context, anyhow, bail};
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};

/// The file that marks a folder as ours.
const MARK: &str = ".made-by-rainworth";
/// Version of the mark's layout. The first had no list of files, so that nothing can be said of a folder that bears it.
const LAYOUT: &str = "2";

/// What a folder of ours holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A site's report.
    Assessment,
    /// The tables of many records.
    RainTables,
}

impl Kind {
    fn name(self) -> &'static str {
        match self {
            Self::Assessment => "assessment",
            Self::RainTables => "rain tables",
        }
    }
}

/// Whether results may be put there: checked before the work, so that nobody waits for a refusal.
pub(crate) fn check(folder: &Path, kind: Kind) -> anyhow::Result<()> {
    name_of(folder)?;
    match fs::read_dir(folder) {
        Ok(_) => replaceable(folder, kind),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error).with_context(|| format!("cannot use {} as an output folder", folder.display())),
    }
}

/// Refuses an output folder that one of the inputs lies in: to replace it would take the input away.
pub(crate) fn refuse_inputs_inside<P: AsRef<Path>>(folder: &Path, inputs: &[P]) -> anyhow::Result<()> {
    // A folder that is not there holds nothing; an input that is not there is told by its reader.
    let Ok(folder) = fs::canonicalize(folder) else { return Ok(()) };
    for input in inputs {
        let input = input.as_ref();
        if fs::canonicalize(input).is_ok_and(|whole| whole.starts_with(&folder)) {
            bail!(
                "the input {} lies inside the output folder {}; nothing was written: name another folder",
                input.display(),
                folder.display()
            );
        }
    }
    Ok(())
}

/// Writes these files (path inside the folder, bytes) as the folder.
pub(crate) fn write(folder: &Path, kind: Kind, files: &[(String, Vec<u8>)]) -> anyhow::Result<()> {
    let mut fresh = FreshFolder::beside(folder, kind)?;
    for (path, bytes) in files {
        let target = fresh.path_of(path)?;
        fs::write(&target, bytes).with_context(|| format!("cannot write {}", target.display()))?;
    }
    fresh.put_in_place()
}

/// A folder that is being written beside the wanted one; dropped before it is put in place, it leaves nothing.
pub(crate) struct FreshFolder {
    folder: PathBuf,
    kind: Kind,
    beside: tempfile::TempDir,
    mark: String,
}

impl FreshFolder {
    /// A new folder beside `folder`, empty so far.
    pub(crate) fn beside(folder: &Path, kind: Kind) -> anyhow::Result<Self> {
        check(folder, kind)?;
        // Of a link to a folder, the folder is replaced and not the link.
        let folder = fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
        let parent = match folder.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
            _ => PathBuf::from("."),
        };
        fs::create_dir_all(&parent).with_context(|| format!("cannot make {}", parent.display()))?;
        let beside = tempfile::Builder::new()
            .prefix(&format!(".{}.", name_of(&folder)?))
            .tempdir_in(&parent)
            .with_context(|| format!("cannot write in {}", parent.display()))?;
        fs::create_dir(beside.path().join("new"))?;
        Ok(Self { folder, kind, beside, mark: format!("{LAYOUT}\n{}\n", kind.name()) })
    }

    /// Where a file of the folder is to be written; it is entered into the mark.
    pub(crate) fn path_of(&mut self, path: &str) -> anyhow::Result<PathBuf> {
        let target = self.beside.path().join("new").join(path);
        if let Some(inner) = target.parent() {
            fs::create_dir_all(inner)?;
        }
        self.mark.push_str(path);
        self.mark.push('\n');
        Ok(target)
    }

    /// Puts the finished folder in the place of the wanted one.
    pub(crate) fn put_in_place(self) -> anyhow::Result<()> {
        let Self { folder, kind, beside, mark } = self;
        let fresh = beside.path().join("new");
        fs::write(fresh.join(MARK), mark)?;
        // Looked at once more: the work between may have been long.
        check(&folder, kind)?;
        let old = beside.path().join("old");
        match exchange(&fresh, &folder, &old, |from, to| fs::rename(from, to)) {
            Ok(()) => Ok(()),
            Err(Exchange::AsBefore(error)) => {
                Err(error).with_context(|| format!("cannot put the finished folder at {}; what stood there is as it was", folder.display()))
            }
            Err(Exchange::Aside(error)) => {
                let kept = beside.keep().join("old");
                Err(error).with_context(|| {
                    format!(
                        "cannot put the finished folder at {}, nor put back the one that stood there: it is kept whole in {}",
                        folder.display(),
                        kept.display()
                    )
                })
            }
        }
    }
}

/// How an exchange of folders can fail.
#[derive(Debug)]
enum Exchange {
    /// Nothing was changed, or it was changed back.
    AsBefore(io::Error),
    /// The old folder stands aside and could not be put back.
    Aside(io::Error),
}

/// Puts `fresh` in the place of `folder`; what stands there steps aside to `old` first, and comes back if that fails.
fn exchange(fresh: &Path, folder: &Path, old: &Path, mut rename: impl FnMut(&Path, &Path) -> io::Result<()>) -> Result<(), Exchange> {
    let stood = folder.exists();
    if stood {
        rename(folder, old).map_err(Exchange::AsBefore)?;
    }
    let Err(error) = rename(fresh, folder) else { return Ok(()) };
    if stood && rename(old, folder).is_err() { Err(Exchange::Aside(error)) } else { Err(Exchange::AsBefore(error)) }
}

fn name_of(folder: &Path) -> anyhow::Result<String> {
    let name = folder.file_name().with_context(|| format!("{} has no name of its own to write to; name a folder", folder.display()))?;
    Ok(name.to_string_lossy().into_owned())
}

/// Whether a folder that is there is empty, or holds only what we wrote of that kind.
fn replaceable(folder: &Path, kind: Kind) -> anyhow::Result<()> {
    let shown = folder.display();
    let end = "nothing was written: name a new folder";
    let files = files_in(folder, Path::new("")).with_context(|| format!("cannot look through {shown}"))?;
    let Some(first) = files.first() else { return Ok(()) };
    let mark = match fs::read_to_string(folder.join(MARK)) {
        Ok(mark) => mark,
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            bail!("{shown} is not empty and was not made by rainworth (it holds {}); {end}", first.display())
        }
        Err(error) => return Err(error).with_context(|| format!("cannot read the mark {MARK} in {shown}")),
    };
    let mut lines = mark.lines();
    let layout = lines.next().unwrap_or_default();
    if layout != LAYOUT {
        bail!("{shown} was made by another version of rainworth, which left no list of its files that this one reads; {end}");
    }
    let other = lines.next().unwrap_or_default();
    if other != kind.name() {
        bail!("{shown} holds results of another kind (found {other:?}, expected {:?}); {end}", kind.name());
    }
    let ours: BTreeSet<&str> = lines.chain([MARK]).collect();
    let foreign = files.iter().find(|file| !path_in_mark(file).is_some_and(|path| ours.contains(path.as_str())));
    match foreign {
        Some(foreign) => Err(anyhow!("{shown} holds {}, which rainworth did not write there; {end}", foreign.display())),
        None => Ok(()),
    }
}

/// A path as the mark has it; nothing for one that no mark can have.
fn path_in_mark(path: &Path) -> Option<String> {
    let parts: Option<Vec<&str>> = path
        .components()
        .map(|part| match part {
            Component::Normal(part) => part.to_str(),
            _ => None,
        })
        .collect();
    Some(parts?.join("/"))
}

/// All that is in a folder and is no folder itself, by path inside it, in order. A link counts as a file of its own and is not
/// followed; one of ours that became a link is therefore not told from what we wrote, and the exchange takes the link alone.
fn files_in(folder: &Path, inside: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder.join(inside))? {
        let entry = entry?;
        let path = inside.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            files.extend(files_in(folder, &path)?);
        } else {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    const KIND: Kind = Kind::Assessment;

    fn one(text: &str) -> Vec<(String, Vec<u8>)> {
        vec![("tables/a.csv".to_owned(), text.as_bytes().to_vec())]
    }

    fn refusal(folder: &Path, kind: Kind) -> String {
        let refused = check(folder, kind).unwrap_err().to_string();
        assert_eq!(write(folder, kind, &one("new")).unwrap_err().to_string(), refused);
        refused
    }

    #[test]
    fn ours_is_replaced_and_anybody_elses_refused() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("report");
        write(&folder, KIND, &one("1")).unwrap();
        write(&folder, KIND, &one("2")).unwrap();
        assert_eq!(fs::read_to_string(folder.join("tables/a.csv")).unwrap(), "2");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "nothing is left beside it");

        let theirs = place.path().join("photos");
        fs::create_dir(&theirs).unwrap();
        write(&theirs, KIND, &one("1")).unwrap();
        fs::remove_dir_all(&theirs).unwrap();
        fs::create_dir(&theirs).unwrap();
        fs::write(theirs.join("cat.jpg"), "x").unwrap();
        let refused = refusal(&theirs, KIND);
        assert!(refused.contains("not made by rainworth") && refused.contains("cat.jpg"), "{refused}");
        assert_eq!(fs::read_dir(&theirs).unwrap().count(), 1);
    }

    #[test]
    fn a_file_of_the_users_in_our_folder_is_never_taken_away() {
        let place = tempfile::tempdir().unwrap();
        for name in ["notes.txt", "tables/mine.csv", ".hidden/deep/b"] {
            let folder = place.path().join("report");
            write(&folder, KIND, &one("1")).unwrap();
            let theirs = folder.join(name);
            fs::create_dir_all(theirs.parent().unwrap()).unwrap();
            fs::write(&theirs, "theirs").unwrap();
            let refused = refusal(&folder, KIND);
            assert!(refused.contains(name), "{refused}");
            assert_eq!(fs::read_to_string(&theirs).unwrap(), "theirs");
            assert_eq!(fs::read_to_string(folder.join("tables/a.csv")).unwrap(), "1");
            fs::remove_dir_all(&folder).unwrap();
        }
    }

    #[test]
    fn another_kind_and_an_older_layout_are_refused() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("report");
        write(&folder, Kind::RainTables, &one("1")).unwrap();
        let refused = refusal(&folder, KIND);
        assert!(refused.contains("\"rain tables\"") && refused.contains("\"assessment\""), "{refused}");
        for mark in ["1\n", ""] {
            fs::write(folder.join(MARK), mark).unwrap();
            assert!(refusal(&folder, Kind::RainTables).contains("another version"));
        }
        assert_eq!(fs::read_to_string(folder.join("tables/a.csv")).unwrap(), "1");
    }

    #[test]
    fn an_input_inside_is_refused() {
        let place = tempfile::tempdir().unwrap();
        let (folder, outside) = (place.path().join("report"), place.path().join("site.toml"));
        let inside = folder.join("inner/site.toml");
        fs::create_dir_all(inside.parent().unwrap()).unwrap();
        for file in [&inside, &outside] {
            fs::write(file, "x").unwrap();
        }
        for input in [&inside, &folder, &folder.join("../report/inner")] {
            let refused = refuse_inputs_inside(&folder, &[&outside, input]).unwrap_err().to_string();
            assert!(refused.contains(&input.display().to_string()), "{refused}");
        }
        refuse_inputs_inside(&folder, &[&outside, &folder.join("none.dly")]).unwrap();
        refuse_inputs_inside(&place.path().join("new"), &[&outside]).unwrap();
    }

    #[test]
    fn a_file_in_the_way_and_a_folder_without_a_name_are_refused() {
        let place = tempfile::tempdir().unwrap();
        let file = place.path().join("report");
        fs::write(&file, "x").unwrap();
        assert!(write(&file, KIND, &one("1")).is_err());
        assert_eq!(fs::read_to_string(&file).unwrap(), "x");
        for folder in ["/", "..", "."] {
            assert!(refusal(Path::new(folder), KIND).contains("no name of its own"), "{folder}");
        }
    }

    /// A folder that stands and one to put there, and a rename that fails at these calls, counted from 1.
    fn exchange_failing_at(calls: &[usize]) -> (tempfile::TempDir, Result<(), Exchange>) {
        let place = tempfile::tempdir().unwrap();
        let at = |name: &str| place.path().join(name);
        for name in ["fresh", "folder"] {
            fs::create_dir(at(name)).unwrap();
            fs::write(at(name).join("which"), name).unwrap();
        }
        let mut call = 0;
        let result = exchange(&at("fresh"), &at("folder"), &at("old"), |from, to| {
            call += 1;
            if calls.contains(&call) { Err(io::Error::other("no")) } else { fs::rename(from, to) }
        });
        (place, result)
    }

    #[test]
    fn the_old_folder_outlives_every_failure() {
        let which = |place: &tempfile::TempDir, name: &str| fs::read_to_string(place.path().join(name).join("which")).ok();
        let (place, result) = exchange_failing_at(&[]);
        assert!(result.is_ok() && which(&place, "folder").as_deref() == Some("fresh"));
        for calls in [[1], [2]] {
            let (place, result) = exchange_failing_at(&calls);
            assert!(matches!(result, Err(Exchange::AsBefore(_))), "{calls:?}");
            assert_eq!(which(&place, "folder").as_deref(), Some("folder"), "{calls:?}");
        }
        let (place, result) = exchange_failing_at(&[2, 3]);
        assert!(matches!(result, Err(Exchange::Aside(_))));
        assert_eq!(which(&place, "old").as_deref(), Some("folder"));
    }
}
