//! What a site file asks of the archive: its `files` written `PRODUCT:STATION`, and a product as its `station_list`.

use crate::archive_files::{base_of, is_station_of_site, list_of_site};
use crate::failure::Failure;
use crate::read_site::read_site;
use ingest::download::Request;
use series::Diagnostics;
use site::site_file::{RecordSource, SiteFile};
use std::ops::RangeInclusive;
use std::path::Path;

/// What is asked for, and what is not.
#[derive(Debug, Default)]
pub(crate) struct SiteRequests {
    /// The lists first, then the stations in the order of the site file.
    pub(crate) requests: Vec<Request>,
    /// What else the site file names: nobody is asked for it.
    pub(crate) not_asked: Vec<String>,
}

/// Reads the site file. Years are those of the call, else the period of the site file.
pub(crate) fn of_site(path: &Path, years: Option<RangeInclusive<u16>>, diagnostics: &mut Diagnostics) -> Result<SiteRequests, Failure> {
    let site = read_site(path, "nothing was asked for", diagnostics)?;
    let years = years.or_else(|| {
        let period = site.records.period?;
        let year = |day: series::Day| u16::try_from(day.year()).ok();
        Some(year(period.first)?..=year(period.last)?)
    });
    requests(&site, path, years.as_ref()).map_err(Failure::Call)
}

fn requests(site: &SiteFile, path: &Path, years: Option<&RangeInclusive<u16>>) -> Result<SiteRequests, String> {
    let base = base_of(path);
    let in_it = |fault: String| format!("in the site file {}: {fault}", path.display());
    let mut asked = SiteRequests::default();
    if let Some(list) = &site.records.station_list {
        match list_of_site(&base, list) {
            Some(product) => asked.requests.push(Request::station_list(&product.id).map_err(in_it)?),
            None => asked.not_asked.push(format!("the station list {list}")),
        }
    }
    match &site.records.source {
        RecordSource::Folder(folder) => asked.not_asked.push(format!("the folder {folder}")),
        RecordSource::Files(files) => {
            for file in files {
                if is_station_of_site(&base, file) {
                    Request::kept(file).map_err(in_it)?;
                    // What is no fault of its name is its want of years.
                    let request = Request::station(file, years.cloned());
                    asked.requests.push(request.map_err(|fault| in_it(format!("{fault}, or a period in its [records]")))?);
                } else {
                    asked.not_asked.push(format!("the record {file}"));
                }
            }
        }
    }
    if let Some(table) = &site.official_table {
        asked.not_asked.push(format!("the official table {}", table.table.value));
    }
    Ok(asked)
}
