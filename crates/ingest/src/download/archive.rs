//! The files on this machine: `v1/AGENCY/PATH`, each with `NAME.meta.json` beside it.
//!
//! Beside a file that is on its way or has been lie, with names that begin with a dot so that nothing takes them for a record:
//! `.NAME.lock` (who holds it may change the file; it stays), `.NAME.part` and `.NAME.part.json` (what came until now), and for a moment
//! `.NAME.meta.json.new`, the sidecar that is about to hold.
//!
//! A file takes its place in three steps: the new sidecar is written beside the old one and synced, the body is renamed into its place, the new
//! sidecar is renamed over the old one. A sidecar names the checksum of its body, so that after a crash between any two steps one of the
//! two sidecars fits the body that is there: the old pair before the second step, the new pair behind it. Where neither fits, the file is
//! unverified: it is kept until another has come whole, and used for nothing.
//!
//! Other folders beside `v1` are another version's and are left alone.

use super::fault::Fault;
use super::request::{Request, Wanted, YEAR};
use super::sidecar::Sidecar;
use crate::reader;
use etcetera::BaseStrategy;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::Write;
use std::path::{Path, PathBuf};

/// The version of the layout.
const VERSION: &str = "v1";
/// So often a file is looked at anew while other processes put others into its place.
const MOST_LOOKS: usize = 100;
/// So many looks with the same sidecars tell that the file is not theirs.
const UNCHANGED_LOOKS: usize = 3;
/// The years that are looked for; those of the calendar that is read.
const YEARS: std::ops::RangeInclusive<u16> = 1600..=2299;

/// The archive in a folder of this machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Archive {
    root: PathBuf,
}

impl Archive {
    /// The archive in that folder, which need not be there yet.
    pub fn in_folder(folder: &Path) -> Self {
        Self { root: folder.join(VERSION) }
    }

    /// The folder that is used when none is named: `rainworth` in the user's cache folder (`XDG_CACHE_HOME`, else `.cache` at home); nothing
    /// where there is no home.
    pub fn usual_folder() -> Option<PathBuf> {
        etcetera::choose_base_strategy().ok().map(|folders| folders.cache_dir().join("rainworth"))
    }

    /// Where a file of it lies or would lie.
    pub fn file(&self, wanted: &Wanted) -> PathBuf {
        self.root.join(&wanted.path)
    }

    /// The files of a request that are here and what their sidecars say, those alone that are what they must be. A request without years means all
    /// that are here.
    pub fn files(&self, request: &Request) -> Vec<(PathBuf, Sidecar)> {
        let of_one = |wanted: Wanted| {
            let named = self.named(&wanted).into_iter();
            let mut files: Vec<(PathBuf, Sidecar)> =
                named.filter_map(|wanted| Some((self.file(&wanted), self.entry(&wanted.path).verified()?))).collect();
            if wanted.names_on.is_some() {
                // Where the source has given a file another name, the old one stays here and is no longer checked: what was checked last goes before
                // it, since of a day that two files state differently the first one stands.
                files.sort_by(|(one, a), (other, b)| b.checked_at.cmp(&a.checked_at).then_with(|| one.cmp(other)));
            }
            files
        };
        request.files().into_iter().flat_map(of_one).collect()
    }

    /// The files of a request that are here and are not what a sidecar says, or have none: they are used for nothing.
    pub fn unverified(&self, request: &Request) -> Vec<PathBuf> {
        let wanted = request.files().into_iter().flat_map(|wanted| self.named(&wanted));
        let unverified = wanted.filter(|wanted| self.file(wanted).exists() && self.entry(&wanted.path).verified().is_none());
        unverified.map(|wanted| self.file(&wanted)).collect()
    }

    /// A file whose name is a pattern, or whose year is left open, as the files here that fit it; any other as itself.
    pub(crate) fn named(&self, wanted: &Wanted) -> Vec<Wanted> {
        if wanted.path.contains(YEAR) {
            let years = YEARS.map(|year| wanted.of_year(year));
            return years.filter(|wanted| self.file(wanted).is_file()).collect();
        }
        if wanted.names_on.is_none() {
            return vec![wanted.clone()];
        }
        let path = self.file(wanted);
        let entries = path.parent().and_then(|folder| fs::read_dir(folder).ok());
        let names = entries.into_iter().flatten().filter_map(|entry| entry.ok()?.file_name().into_string().ok());
        let mut found: Vec<String> = names.filter(|name| super::folder_page::is_named(name, wanted.name())).collect();
        found.sort();
        found.iter().map(|name| wanted.named(name)).collect()
    }

    pub(crate) fn entry(&self, path: &str) -> Entry {
        Entry { body: self.root.join(path) }
    }
}

/// One file of the archive, there or not.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    body: PathBuf,
}

impl Entry {
    /// A file beside it.
    fn beside(&self, before: &str, behind: &str) -> PathBuf {
        let name = self.body.file_name().unwrap_or_default().to_string_lossy();
        self.body.with_file_name(format!("{before}{name}{behind}"))
    }

    pub(crate) fn sidecar(&self) -> PathBuf {
        self.beside("", ".meta.json")
    }

    pub(crate) fn new_sidecar(&self) -> PathBuf {
        self.beside(".", ".meta.json.new")
    }

    pub(crate) fn part(&self) -> PathBuf {
        self.beside(".", ".part")
    }

    pub(crate) fn part_sidecar(&self) -> PathBuf {
        self.beside(".", ".part.json")
    }

    /// The sidecar that fits the file; nothing where the file is not there or is not what a sidecar says.
    pub(crate) fn verified(&self) -> Option<Sidecar> {
        let read = || [self.sidecar(), self.new_sidecar()].map(|path| Sidecar::read(&path));
        let mut sidecars = read();
        let mut unchanged = 0;
        for _ in 0..MOST_LOOKS {
            if let Some(fitting) = self.fitting(&sidecars) {
                return Some(fitting);
            }
            // Between the look at the sidecars and that at the file another process may have put a new pair into their place, and the old one
            // once more: sidecars that have not changed say something only when they have not changed several times.
            let before = std::mem::replace(&mut sidecars, read());
            unchanged = if sidecars == before { unchanged + 1 } else { 0 };
            if unchanged == UNCHANGED_LOOKS {
                return None;
            }
        }
        None
    }

    /// The one of the sidecars that fits the file as it is now.
    fn fitting(&self, sidecars: &[Option<Sidecar>]) -> Option<Sidecar> {
        let size = fs::metadata(&self.body).ok().filter(fs::Metadata::is_file)?.len();
        let of_size: Vec<&Sidecar> = sidecars.iter().flatten().filter(|sidecar| sidecar.size == size).collect();
        if of_size.is_empty() {
            return None;
        }
        let sha256 = reader::checksum_of_whole_file(&self.body).ok()?;
        of_size.into_iter().find(|sidecar| sidecar.sha256 == sha256).cloned()
    }

    /// Takes the entry for this process, waiting for another that has it; `in_use` is called before it is waited.
    pub(crate) fn lock(&self, in_use: impl FnOnce()) -> Result<Locked, Fault> {
        let folder = self.body.parent().unwrap_or(&self.body);
        fs::create_dir_all(folder).map_err(|source| Fault::local(folder, "made", &source))?;
        let path = self.beside(".", ".lock");
        let unusable = |source: &std::io::Error| Fault::local(&path, "locked", source);
        let file = OpenOptions::new().create(true).truncate(false).write(true).open(&path).map_err(|source| unusable(&source))?;
        let waited = match file.try_lock() {
            Ok(()) => false,
            Err(TryLockError::WouldBlock) => {
                in_use();
                file.lock().map_err(|source| unusable(&source))?;
                true
            }
            Err(TryLockError::Error(source)) => return Err(unusable(&source)),
        };
        let locked = Locked { entry: self.clone(), _lock: file, waited };
        locked.recover()?;
        Ok(locked)
    }
}

/// An entry that this process alone may change.
#[derive(Debug)]
pub(crate) struct Locked {
    pub(crate) entry: Entry,
    /// Closing the file gives the lock back.
    _lock: File,
    /// Whether another process had it.
    pub(crate) waited: bool,
}

impl Locked {
    /// Ends what a crash left between two steps: a new sidecar that fits the body takes its place, any other goes.
    fn recover(&self) -> Result<(), Fault> {
        let new = self.entry.new_sidecar();
        if !new.exists() {
            return Ok(());
        }
        match Sidecar::read(&new) {
            Some(sidecar) if self.entry.verified().as_ref() == Some(&sidecar) => rename(&new, &self.entry.sidecar()),
            _ => remove(&new),
        }
    }

    /// The part, whole, checked and synced, takes the file's place with this sidecar.
    pub(crate) fn install(&self, sidecar: &Sidecar) -> Result<(), Fault> {
        self.write_new_sidecar(sidecar)?;
        rename(&self.entry.part(), &self.entry.body)?;
        // The old sidecar goes only when the new body has reached the disk by name.
        self.sync_folder()?;
        rename(&self.entry.new_sidecar(), &self.entry.sidecar())?;
        self.sync_folder()?;
        remove(&self.entry.part_sidecar())
    }

    /// The same file with a new sidecar.
    pub(crate) fn refresh(&self, sidecar: &Sidecar) -> Result<(), Fault> {
        self.write_new_sidecar(sidecar)?;
        rename(&self.entry.new_sidecar(), &self.entry.sidecar())?;
        self.sync_folder()
    }

    fn write_new_sidecar(&self, sidecar: &Sidecar) -> Result<(), Fault> {
        write_synced(&self.entry.new_sidecar(), &sidecar.to_json())?;
        self.sync_folder()
    }

    /// Names are in a folder, which has to reach the disk like a file.
    fn sync_folder(&self) -> Result<(), Fault> {
        #[cfg(unix)]
        if let Some(folder) = self.entry.body.parent() {
            File::open(folder).and_then(|folder| folder.sync_all()).map_err(|source| Fault::local(folder, "written", &source))?;
        }
        Ok(())
    }
}

/// A file made anew in the place of any that is there. It is never written through a link: in a folder that several people may write in, a link
/// of that name could lead to any file of this user.
pub(crate) fn create_anew(path: &Path) -> Result<File, Fault> {
    remove(path)?;
    OpenOptions::new().write(true).create_new(true).open(path).map_err(|source| Fault::local(path, "written", &source))
}

/// A small file written anew and brought to the disk.
pub(crate) fn write_synced(path: &Path, bytes: &[u8]) -> Result<(), Fault> {
    let mut file = create_anew(path)?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(|source| Fault::local(path, "written", &source))
}

fn rename(from: &Path, to: &Path) -> Result<(), Fault> {
    fs::rename(from, to).map_err(|source| Fault::local(to, "written", &source))
}

/// Removes a file that may be gone already.
pub(crate) fn remove(path: &Path) -> Result<(), Fault> {
    match fs::remove_file(path) {
        Err(source) if source.kind() != std::io::ErrorKind::NotFound => Err(Fault::local(path, "removed", &source)),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sidecar::FORMAT;
    use super::*;

    fn sidecar(body: &[u8]) -> Sidecar {
        Sidecar {
            format: FORMAT,
            url: "https://example.org/a".into(),
            etag: None,
            last_modified: None,
            sha256: crate::checksum_of(body),
            size: body.len() as u64,
            fetched_at: "2031-03-28T00:00:00Z".into(),
            checked_at: "2031-03-28T00:00:00Z".into(),
        }
    }

    fn files(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_crash_between_any_two_steps_leaves_the_old_pair_or_the_new_one() {
        let (old, new) = (b"old".as_slice(), b"newer".as_slice());
        for crash_behind in 0..=3 {
            let place = tempfile::tempdir().unwrap();
            let archive = Archive::in_folder(place.path());
            let entry = archive.entry("agency/list.txt");
            let locked = entry.lock(|| unreachable!()).unwrap();
            fs::write(entry.part(), old).unwrap();
            locked.install(&sidecar(old)).unwrap();
            fs::write(entry.part(), new).unwrap();
            // The steps of `install`, as far as the crash lets them.
            if crash_behind >= 1 {
                locked.write_new_sidecar(&sidecar(new)).unwrap();
            }
            if crash_behind >= 2 {
                rename(&entry.part(), &entry.body).unwrap();
            }
            if crash_behind >= 3 {
                rename(&entry.new_sidecar(), &entry.sidecar()).unwrap();
            }
            drop(locked);
            let expected = if crash_behind < 2 { old } else { new };
            assert_eq!(fs::read(&entry.body).unwrap(), expected);
            assert_eq!(entry.verified(), Some(sidecar(expected)), "{crash_behind}");
            // The next to take it ends the step.
            drop(entry.lock(|| unreachable!()).unwrap());
            assert!(!entry.new_sidecar().exists());
            assert_eq!((Sidecar::read(&entry.sidecar()), entry.verified()), (Some(sidecar(expected)), Some(sidecar(expected))));
        }
    }

    #[test]
    fn a_file_that_is_not_what_its_sidecar_says_is_not_verified() {
        let place = tempfile::tempdir().unwrap();
        let entry = Archive::in_folder(place.path()).entry("agency/a/list.txt");
        assert_eq!(entry.verified(), None);
        let locked = entry.lock(|| unreachable!()).unwrap();
        fs::write(entry.part(), b"text").unwrap();
        locked.install(&sidecar(b"text")).unwrap();
        assert_eq!(files(entry.body.parent().unwrap()), [".list.txt.lock", "list.txt", "list.txt.meta.json"]);
        for other in [&b"tex"[..], b"next", b""] {
            fs::write(&entry.body, other).unwrap();
            assert_eq!(entry.verified(), None);
        }
        fs::write(&entry.body, b"text").unwrap();
        fs::remove_file(entry.sidecar()).unwrap();
        assert_eq!(entry.verified(), None);
    }

    #[test]
    fn a_reader_sees_a_good_pair_while_another_is_put_in_its_place() {
        let place = tempfile::tempdir().unwrap();
        let entry = Archive::in_folder(place.path()).entry("agency/list.txt");
        let locked = entry.lock(|| unreachable!()).unwrap();
        // As long as each other: the size tells nothing.
        let versions = [vec![b'a'; 100_000], vec![b'b'; 100_000]];
        let install = |version: &[u8]| {
            fs::write(entry.part(), version).unwrap();
            locked.install(&sidecar(version)).unwrap();
        };
        install(&versions[0]);
        let done = std::sync::atomic::AtomicBool::new(false);
        std::thread::scope(|scope| {
            let reader = scope.spawn(|| {
                let mut looks = 0;
                while !done.load(std::sync::atomic::Ordering::SeqCst) {
                    assert!(entry.verified().is_some(), "look {looks}");
                    looks += 1;
                }
                looks
            });
            for turn in 0..200 {
                install(&versions[turn % 2]);
            }
            done.store(true, std::sync::atomic::Ordering::SeqCst);
            assert!(reader.join().unwrap() > 10);
        });
    }

    #[test]
    fn an_entry_is_held_by_one_at_a_time() {
        let place = tempfile::tempdir().unwrap();
        let entry = Archive::in_folder(place.path()).entry("agency/list.txt");
        let first = entry.lock(|| unreachable!()).unwrap();
        let (sender, receiver) = std::sync::mpsc::channel();
        let other = std::thread::spawn({
            let entry = entry.clone();
            move || entry.lock(|| sender.send(()).unwrap()).unwrap().waited
        });
        receiver.recv().unwrap();
        drop(first);
        assert!(other.join().unwrap());
    }

    #[test]
    fn files_of_a_pattern_are_found_by_name() {
        let place = tempfile::tempdir().unwrap();
        let archive = Archive::in_folder(place.path());
        let request = Request::station("dwd-rr:44", None).unwrap();
        let wanted = &request.files()[0];
        assert!(archive.named(wanted).is_empty());
        let name = "tageswerte_RR_00044_19610101_20241231_hist.zip";
        let entry = archive.entry(&wanted.named(name).path);
        let locked = entry.lock(|| unreachable!()).unwrap();
        fs::write(entry.part(), b"text").unwrap();
        locked.install(&sidecar(b"text")).unwrap();
        assert_eq!(archive.named(wanted).len(), 1);
        let found = archive.files(&request);
        assert_eq!((found.len(), &found[0].0, found[0].1.size), (1, &entry.body.clone(), 4));
    }
}
