//! Files of the archive where a call or a site file names them by `PRODUCT:STATION` instead of by their path.
//!
//! A file of that very name goes before: nothing that is read today is read otherwise because of the archive.

use crate::arguments::ArchiveFolder;
use crate::failure::Failure;
use ingest::download::{Archive, Request, product};
use site::site_file::{RecordSource, Records};
use std::path::{Path, PathBuf};

/// The archive that the call means.
pub(crate) fn archive(folder: &ArchiveFolder) -> Result<Archive, Failure> {
    folder_of(folder).map(|folder| Archive::in_folder(&folder))
}

/// Its folder.
pub(crate) fn folder_of(folder: &ArchiveFolder) -> Result<PathBuf, Failure> {
    let no_home = || Failure::Call("this user has no home folder: name a folder for the archive with --archive".to_owned());
    folder.archive.clone().or_else(Archive::usual_folder).ok_or_else(no_home)
}

/// The paths of a call, each `PRODUCT:STATION` among them as the archive's files of it.
pub(crate) fn instead_of(paths: &[PathBuf], folder: &ArchiveFolder) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for path in paths {
        match path.to_str().filter(|text| !path.exists() && is_station(text)) {
            Some(text) => files.extend(of_station(text, folder)?),
            None => files.push(path.clone()),
        }
    }
    Ok(files)
}

/// The same of what a site file names: its record files, and a product as its station list.
pub(crate) fn named_by(records: &mut Records, base: &Path, folder: &ArchiveFolder) -> Result<(), Failure> {
    let text = |path: PathBuf| path.to_string_lossy().into_owned();
    if let RecordSource::Files(files) = &mut records.source {
        let mut all = Vec::new();
        for file in std::mem::take(files) {
            if !base.join(&file).exists() && is_station(&file) {
                all.extend(of_station(&file, folder)?.into_iter().map(text));
            } else {
                all.push(file);
            }
        }
        *files = all;
    }
    if let Some(list) = &mut records.station_list
        && !base.join(&*list).exists()
        && let Some(product) = product(list)
    {
        let request = Request::lists(&product.id).map_err(Failure::Call)?;
        // The list of stations stands before the inventory in the table.
        let first = archive(folder)?.files(&request).into_iter().next();
        let (path, _) =
            first.ok_or_else(|| not_there(&format!("the station list of {}", product.id), &format!("--lists {}", product.id)))?;
        *list = text(path);
    }
    Ok(())
}

fn is_station(text: &str) -> bool {
    text.split_once(':').is_some_and(|(name, _)| product(name).is_some())
}

fn of_station(text: &str, folder: &ArchiveFolder) -> Result<Vec<PathBuf>, Failure> {
    let request = Request::kept(text).map_err(Failure::Call)?;
    let files: Vec<PathBuf> = archive(folder)?.files(&request).into_iter().map(|(path, _)| path).collect();
    if files.is_empty() { Err(not_there(text, text)) } else { Ok(files) }
}

fn not_there(what: &str, call: &str) -> Failure {
    Failure::Job(anyhow::anyhow!("the archive does not have {what}: `rainworth download {call}` brings it"))
}
