//! One file of the archive brought up to date: taken for this process, asked for, looked at, put in its place.

use super::archive::{Archive, Locked};
use super::checks;
use super::client::Client;
use super::downloader::Outcome;
use super::fault::{Fault, NOT_IN_ARCHIVE};
use super::mirror_folder;
use super::part::Part;
use super::request::Wanted;
use super::settings::{Caller, Event};
use super::sidecar::{self, FORMAT, Sidecar};
use super::source::Source;
use super::transfer::{Came, Transfer};

/// What is needed for any file.
pub(crate) struct Means<'a> {
    pub(crate) archive: &'a Archive,
    pub(crate) source: &'a Source,
    pub(crate) client: Option<&'a Client>,
    pub(crate) caller: &'a dyn Caller,
}

impl Means<'_> {
    /// Brings one file, or says why not and what the archive has of it.
    pub(crate) fn fetch(&self, wanted: &Wanted) -> (Outcome, Option<Sidecar>) {
        let entry = self.archive.entry(&wanted.path);
        if *self.source == Source::ArchiveAlone {
            return match entry.verified() {
                Some(sidecar) => (Outcome::FromArchive, Some(sidecar)),
                None => (Outcome::Missing(self.not_in_archive(wanted)), None),
            };
        }
        let result = self.update(wanted);
        self.caller.event(Event::Done { path: &wanted.path });
        match result {
            Ok((outcome, sidecar)) => (outcome, Some(sidecar)),
            Err(fault) => match entry.verified() {
                Some(sidecar) => (Outcome::Kept(fault), Some(sidecar)),
                None => (Outcome::Missing(fault), None),
            },
        }
    }

    fn update(&self, wanted: &Wanted) -> Result<(Outcome, Sidecar), Fault> {
        let entry = self.archive.entry(&wanted.path);
        let before = Sidecar::read(&entry.sidecar());
        let locked = entry.lock(|| self.caller.event(Event::InUse { path: &wanted.path }))?;
        let known = entry.verified();
        if let Some(known) = known.clone().filter(|known| locked.waited && before.as_ref() != Some(known)) {
            // What another process has just brought need not be asked for again.
            return Ok((Outcome::BroughtByAnother, known));
        }
        let (came, url) = self.bring(wanted, &locked, known.as_ref())?;
        let now = sidecar::time(self.caller.now());
        match (came, known) {
            (Came::Unchanged, Some(known)) => {
                let known = Sidecar { checked_at: now, ..known };
                locked.refresh(&known)?;
                Ok((Outcome::Unchanged, known))
            }
            // Nobody is asked whether a copy has changed that is not there.
            (Came::Unchanged, None) => Err(Fault::new("download-refused", url, "the answer that nothing has changed").expected("the file")),
            (Came::Whole(part), known) => {
                let sidecar = look(wanted, &locked, part, &url, now)?;
                locked.install(&sidecar)?;
                let same = known.is_some_and(|known| known.sha256 == sidecar.sha256);
                Ok((if same { Outcome::Unchanged } else { Outcome::Fetched }, sidecar))
            }
        }
    }

    /// Brings the file to its part, and says from where.
    fn bring(&self, wanted: &Wanted, locked: &Locked, known: Option<&Sidecar>) -> Result<(Came, String), Fault> {
        if let Source::Folder(folder) = self.source {
            let came = mirror_folder::copy(folder, wanted, locked, known, self.caller)?;
            return Ok((came, mirror_folder::address(folder, wanted)));
        }
        let (Some(client), Some(address)) = (self.client, self.source.address(wanted)) else { return Err(self.not_in_archive(wanted)) };
        let transfer = Transfer { client, caller: self.caller, wanted, address: &address, locked, known };
        let came = transfer.bring().map_err(|fault| match self.source {
            Source::Mirror(mirror) if fault.is_not_there() => mirror_folder::lacks(fault, mirror.as_str(), wanted),
            _ => fault,
        })?;
        Ok((came, address.into()))
    }

    fn not_in_archive(&self, wanted: &Wanted) -> Fault {
        let path = self.archive.file(wanted);
        let found = if path.exists() { "a file that is not what its sidecar says, or has none" } else { "no such file in the archive" };
        let fault = Fault::new(NOT_IN_ARCHIVE, path.display().to_string(), found);
        fault.expected(wanted.expected_in_words()).advice("bring it with a network, without --offline")
    }
}

/// The sidecar of a part that is what it must be; any other is removed.
fn look(wanted: &Wanted, locked: &Locked, part: Part, url: &str, now: String) -> Result<Sidecar, Fault> {
    part.sync()?;
    match checks::look(&locked.entry.part(), url, wanted, part.whole.framed) {
        Ok(looked) => Ok(Sidecar {
            format: FORMAT,
            url: url.to_owned(),
            etag: part.whole.etag,
            last_modified: part.whole.last_modified,
            sha256: looked.sha256,
            size: looked.size,
            fetched_at: now.clone(),
            checked_at: now,
        }),
        Err(fault) => {
            Part::discard(&locked.entry)?;
            Err(fault)
        }
    }
}
