//! Where the stations of `rainworth stations` come from: a product's lists in the archive, or files.

use crate::archive_files;
use crate::arguments::ArchiveFolder;
use crate::failure::Failure;
use crate::stations_arguments::StationsArguments;
use ingest::agencies::{Content, product};
use ingest::catalogue::Catalogue;
use ingest::download::Request;
use std::path::PathBuf;

/// The product whose stations the great list has.
const GHCN_DAILY: &str = "ghcn-daily";

/// A station list, its inventory, and the product that they are of.
#[derive(Debug)]
pub(crate) struct Source {
    pub(crate) list: PathBuf,
    pub(crate) inventory: Option<PathBuf>,
    pub(crate) product: Option<String>,
    /// Whether the list is the archive's.
    from_archive: bool,
}

/// The lists that a call means.
pub(crate) fn find(arguments: &StationsArguments) -> Result<Source, Failure> {
    if let Some(list) = &arguments.station_list {
        return Ok(Source { list: list.clone(), inventory: arguments.inventory.clone(), product: None, from_archive: false });
    }
    let request = Request::lists(&arguments.list).map_err(Failure::Call)?;
    let id = &request.product.id;
    if !request.product.lists.iter().any(|list| list.content == Content::StationList) {
        return Err(Failure::Call(format!(
            "the list of {id} is kept for people and not read here; expected a product such as {GHCN_DAILY}"
        )));
    }
    let lists = archive_files::lists(&request, &arguments.folder)?;
    let of = |content| lists.iter().find(|(kind, _)| *kind == content).map(|(_, path)| path.clone());
    let archive = archive_files::archive(&arguments.folder)?;
    let not_there = |what: &str| {
        // A file that lies there and is not what its sidecar says is not used; that it is there is said.
        let unverified = archive.unverified(&request);
        let there = unverified.first().map(|path| format!(" ({} is there, but is not what its sidecar says, or has none)", path.display()));
        let there = there.unwrap_or_default();
        Failure::Job(anyhow::anyhow!(
            "the archive does not have the {what} of {id}{there}: `rainworth download --lists {id}` brings it (`--station-list FILE` takes a list of your own)"
        ))
    };
    let list = of(Content::StationList).ok_or_else(|| not_there("station list"))?;
    let inventory = of(Content::Inventory);
    if inventory.is_none() && request.product.lists.iter().any(|list| list.content == Content::Inventory) {
        return Err(not_there("inventory"));
    }
    Ok(Source { list, inventory, product: Some(id.clone()), from_archive: true })
}

impl Source {
    /// With the product of a list that was given as a file, where its layout tells.
    pub(crate) fn with_product_of(self, catalogue: &Catalogue) -> Self {
        let of_layout = catalogue.is_ghcn_daily().then(|| GHCN_DAILY.to_owned());
        Self { product: self.product.or(of_layout), ..self }
    }

    /// The list as a site file would name it.
    pub(crate) fn as_a_site_file_names_it(&self) -> String {
        match &self.product {
            Some(product) if self.from_archive => product.clone(),
            _ => self.list.display().to_string(),
        }
    }

    /// The product, where single records of it can be brought.
    pub(crate) fn with_records(&self) -> Option<&str> {
        let id = self.product.as_deref()?;
        product(id).filter(|product| product.station.is_some()).map(|product| product.id.as_str())
    }

    /// The archive's files of these stations. Without an archive there are none.
    pub(crate) fn archived<'a>(&self, folder: &ArchiveFolder, ids: impl Iterator<Item = &'a str>) -> Vec<PathBuf> {
        let Some(product) = self.with_records() else { return Vec::new() };
        let Ok(archive) = archive_files::archive(folder) else { return Vec::new() };
        let requests = ids.filter_map(|id| Request::kept(&format!("{product}:{id}")).ok());
        requests.flat_map(|request| archive.files(&request)).map(|(path, _)| path).collect()
    }
}
