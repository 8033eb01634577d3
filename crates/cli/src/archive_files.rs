//! Files of the archive where a call or a site file names them by `PRODUCT:STATION` instead of by their path.
//!
//! A file of that very name goes before: nothing that is read today is read otherwise because of the archive.

use crate::arguments::ArchiveFolder;
use crate::failure::Failure;
use ingest::StationRecord;
use ingest::agencies::{Content, Product, product};
use ingest::download::{Archive, Request, Sidecar};
use series::FileOrigin;
use site::site_file::{RecordSource, Records};
use std::path::{Path, PathBuf};

/// The archive that the call means.
pub(crate) fn archive(folder: &ArchiveFolder) -> Result<Archive, Failure> {
    folder_of(folder).map(|folder| Archive::in_folder(&folder))
}

/// Its folder, from the root on: what a site file names is looked for beside the site file, and the archive is not.
pub(crate) fn folder_of(folder: &ArchiveFolder) -> Result<PathBuf, Failure> {
    let no_home = || Failure::Call("this user has no home folder: name a folder for the archive with --archive".to_owned());
    let named = folder.archive.clone().or_else(Archive::usual_folder).ok_or_else(no_home)?;
    Ok(std::path::absolute(&named).unwrap_or(named))
}

/// The paths of a call, each `PRODUCT:STATION` among them as the archive's files of it.
pub(crate) fn instead_of(paths: &[PathBuf], folder: &ArchiveFolder) -> Result<Vec<PathBuf>, Failure> {
    let (mut files, mut missing) = (Vec::new(), Missing::default());
    for path in paths {
        match path.to_str().filter(|text| !path.exists() && is_station(text)) {
            Some(text) => {
                let found = missing.or_files(&archive(folder)?, text, &Request::kept(text).map_err(Failure::Call)?);
                files.extend(found.into_iter().map(|(path, _)| path));
            }
            None => files.push(path.clone()),
        }
    }
    let calls = missing.calls.join(" ");
    missing.refuse(&calls)?;
    Ok(files)
}

/// A station list of a call: a file, or the archive's list of a product.
pub(crate) fn list_instead_of(list: &Path, folder: &ArchiveFolder) -> Result<PathBuf, Failure> {
    let Some(product) = list.to_str().filter(|_| !list.exists()).and_then(product) else { return Ok(list.to_owned()) };
    let request = Request::station_list(&product.id).map_err(Failure::Call)?;
    let mut missing = Missing::default();
    let found = missing.or_files(&archive(folder)?, &format!("the station list of {}", product.id), &request);
    missing.refuse(&format!("--lists {}", product.id))?;
    found
        .into_iter()
        .next()
        .map(|(path, _)| path)
        .ok_or_else(|| Failure::Job(anyhow::anyhow!("the archive has no station list of {}", product.id)))
}

/// The same of what a site file names: its record files, and a product as its station list. What the archive knows of the record files is
/// handed back.
pub(crate) fn named_by(site: &Path, records: &mut Records, folder: &ArchiveFolder) -> Result<Vec<Sidecar>, Failure> {
    let base = base_of(site);
    let text = |path: PathBuf| path.to_string_lossy().into_owned();
    let (mut missing, mut known) = (Missing::default(), Vec::new());
    if let RecordSource::Files(files) = &mut records.source {
        let mut all = Vec::new();
        for file in std::mem::take(files) {
            if is_station_of_site(&base, &file) {
                let request = Request::kept(&file).map_err(Failure::Call)?;
                for (path, sidecar) in missing.or_files(&archive(folder)?, &file, &request) {
                    all.push(text(path));
                    known.push(sidecar);
                }
            } else {
                all.push(file);
            }
        }
        *files = all;
    }
    if let Some(list) = &mut records.station_list
        && let Some(product) = list_of_site(&base, list)
    {
        let request = Request::station_list(&product.id).map_err(Failure::Call)?;
        let found = missing.or_files(&archive(folder)?, &format!("the station list of {}", product.id), &request);
        if let Some((path, _)) = found.into_iter().next() {
            *list = text(path);
        }
    }
    missing.refuse(&format!("--site {}", site.display()))?;
    Ok(known)
}

/// Notes in the records from where the archive brought their files, which are known by their checksums.
pub(crate) fn note_origins(records: &mut [StationRecord], known: &[Sidecar]) {
    for source in records.iter_mut().flat_map(|record| &mut record.rain.provenance.sources) {
        let of_it = known.iter().find(|sidecar| sidecar.sha256 == source.sha256);
        source.origin = of_it.map(|sidecar| FileOrigin { url: sidecar.url.clone(), fetched_at: sidecar.fetched_at.clone() });
    }
}

/// The folder of a site file, in which the paths that it names begin.
pub(crate) fn base_of(site: &Path) -> PathBuf {
    site.parent().map(Path::to_owned).unwrap_or_default()
}

/// Whether a site file's record file is a station of the archive and no file beside it.
pub(crate) fn is_station_of_site(base: &Path, file: &str) -> bool {
    !base.join(file).exists() && is_station(file)
}

/// The product that a site file names as its station list.
pub(crate) fn list_of_site(base: &Path, list: &str) -> Option<&'static Product> {
    if base.join(list).exists() { None } else { product(list) }
}

/// The lists of a product that the archive has, and what each is.
pub(crate) fn lists(request: &Request, folder: &ArchiveFolder) -> Result<Vec<(Content, PathBuf)>, Failure> {
    let archive = archive(folder)?;
    let here: Vec<PathBuf> = archive.files(request).into_iter().map(|(path, _)| path).collect();
    let wanted = request.files().into_iter().zip(&request.product.lists).map(|(wanted, list)| (list.content, archive.file(&wanted)));
    Ok(wanted.filter(|(_, path)| here.contains(path)).collect())
}

fn is_station(text: &str) -> bool {
    text.split_once(':').is_some_and(|(name, _)| product(name).is_some())
}

/// What the archive does not have.
#[derive(Default)]
struct Missing {
    /// In words: what it is, and what lies in its place.
    told: Vec<String>,
    /// As a call of `download` names it.
    calls: Vec<String>,
}

impl Missing {
    /// The files of a request; where there are none it is remembered as missing.
    fn or_files(&mut self, archive: &Archive, what: &str, request: &Request) -> Vec<(PathBuf, Sidecar)> {
        let files = archive.files(request);
        if files.is_empty() {
            let unverified = archive.unverified(request);
            let there =
                unverified.first().map(|path| format!(" ({} is there, but is not what its sidecar says, or has none)", path.display()));
            self.told.push(format!("{what}{}", there.unwrap_or_default()));
            self.calls.push(what.to_owned());
        }
        files
    }

    fn refuse(self, call: &str) -> Result<(), Failure> {
        if self.told.is_empty() {
            return Ok(());
        }
        Err(Failure::Job(anyhow::anyhow!(
            "the archive does not have {}: `rainworth download {call}` brings what is missing",
            self.told.join(", ")
        )))
    }
}
