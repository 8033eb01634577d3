//! `rainworth download`: station lists and records from the agencies into the archive of this machine.

use crate::arguments::DownloadArguments;
use crate::download_progress::Progress;
use crate::failure::{self, Failure};
use crate::site_requests::{self, SiteRequests};
use crate::{archive_files, diagnostic_text, download_text, output};
use anyhow::Context;
use ingest::agencies::{PRODUCTS, Product, StationRule};
use ingest::download::{Archive, Brought, Downloader, Outcome, Request, Settings, Source};
use serde::Serialize;
use series::{Diagnostics, Severity};
use std::process::ExitCode;
use std::time::Duration;

/// What is printed with `--json`.
#[derive(Serialize)]
struct Answer<'a> {
    archive: String,
    files: Vec<OneFile<'a>>,
    /// What the site file names and nobody was asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    not_asked: Vec<String>,
    /// On what terms, a product each.
    products: Vec<OneProduct<'a>>,
    diagnostics: &'a Diagnostics,
}

/// What became of a file.
#[derive(Serialize)]
struct OneFile<'a> {
    product: &'a str,
    station: Option<&'a str>,
    path: &'a str,
    file: String,
    outcome: &'static str,
    /// Whether something that was asked for is not there because of it.
    lacking: bool,
    reason: Option<String>,
    url: Option<&'a str>,
    sha256: Option<&'a str>,
    size: Option<u64>,
    fetched_at: Option<&'a str>,
    checked_at: Option<&'a str>,
}

/// A product's terms.
#[derive(Serialize)]
struct OneProduct<'a> {
    product: &'a str,
    agency: &'a str,
    name: &'a str,
    /// What a station of it is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    stations: Option<String>,
    terms: &'a str,
    attribution: &'a str,
    terms_read_on: &'a str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    addresses: Vec<Place<'a>>,
}

/// Where a file of a product is.
#[derive(Serialize)]
struct Place<'a> {
    path: String,
    address: &'a str,
    read_on: &'a str,
}

#[derive(Serialize)]
struct Products<'a> {
    products: Vec<OneProduct<'a>>,
}

/// Brings what is asked for and says what became of each file.
pub(crate) fn run(arguments: &DownloadArguments) -> Result<ExitCode, Failure> {
    if arguments.products {
        return products(arguments.json);
    }
    let mut found = Diagnostics::default();
    let asked = requests(arguments, &mut found).map_err(|failure| failure.with(found.clone()))?;
    output::say(&download_text::not_asked(&asked.not_asked));
    let folder = archive_files::folder_of(&arguments.folder)?;
    let downloader = Downloader::new(Archive::in_folder(&folder), source(arguments)?, settings(arguments)?);
    let downloader = downloader.map_err(|fault| Failure::Job(fault.into()))?;
    let progress = Progress::new();
    let brought = downloader.bring(&asked.requests, &progress);
    progress.end();
    let diagnostics = diagnostics(&brought);
    output::say(&diagnostic_text::text(&diagnostics));
    let lacking = brought.iter().filter(|one| one.lacking).count();
    let fault = match lacking {
        0 => None,
        1 => Some("a file that was asked for is not there".to_owned()),
        many => Some(format!("{many} files that were asked for are not there")),
    };
    let mut products: Vec<&Product> = Vec::new();
    for one in brought.iter().filter(|one| one.sidecar.is_some()) {
        if !products.contains(&one.product) {
            products.push(one.product);
        }
    }
    if arguments.json {
        let files = brought.iter().map(file).collect();
        let products = products.into_iter().map(|product| terms(product, false)).collect();
        let not_asked = asked.not_asked;
        let answer = Answer { archive: folder.display().to_string(), files, not_asked, products, diagnostics: &diagnostics };
        failure::answer(&answer, fault.as_deref())?;
    } else {
        output::data(&download_text::files(&brought))?;
        output::say(&download_text::terms(&products));
    }
    Ok(failure::code(fault.as_deref()))
}

fn requests(arguments: &DownloadArguments, found: &mut Diagnostics) -> Result<SiteRequests, Failure> {
    // The years were held within 1600 to 2299 when they were read.
    let year = |year: i32| u16::try_from(year).unwrap_or_default();
    let years = arguments.years.map(|(first, last)| year(first)..=year(last));
    let lists = arguments.lists.iter().map(|name| Request::lists(name));
    let stations = arguments.stations.iter().map(|text| Request::station(text, years.clone()));
    let named = lists.chain(stations).collect::<Result<Vec<_>, _>>().map_err(Failure::Call)?;
    let mut asked = match &arguments.site {
        Some(site) => site_requests::of_site(site, years.clone(), found)?,
        None => SiteRequests::default(),
    };
    asked.requests.extend(named);
    Ok(asked)
}

fn source(arguments: &DownloadArguments) -> Result<Source, Failure> {
    match &arguments.mirror {
        _ if arguments.offline => Ok(Source::ArchiveAlone),
        Some(mirror) => Source::mirror(mirror).map_err(Failure::Call),
        None => Ok(Source::Agencies),
    }
}

fn settings(arguments: &DownloadArguments) -> Result<Settings, Failure> {
    let mut settings = Settings::default();
    if let Some(file) = &arguments.certificates {
        let pem = std::fs::read(file).with_context(|| format!("the certificates {} cannot be read", file.display()))?;
        settings.certificates = Some(pem);
    }
    let patience = arguments.patience;
    for (given, setting) in [
        (patience.stall, &mut settings.stall),
        (patience.first_wait, &mut settings.first_wait),
        (patience.longest_wait, &mut settings.longest_wait),
    ] {
        if let Some(seconds) = given {
            *setting = Duration::from_secs_f64(seconds);
        }
    }
    Ok(settings)
}

/// What could not be brought, as findings: an error where something is not there, else a warning or a note.
fn diagnostics(brought: &[Brought]) -> Diagnostics {
    let mut found = Diagnostics::default();
    for one in brought {
        match &one.outcome {
            Outcome::Kept(fault) => found.push(fault.diagnostic(Severity::Warning, download_text::KEPT)),
            Outcome::Missing(fault) if one.lacking => found.push(fault.diagnostic(Severity::Error, download_text::missing(one))),
            Outcome::Missing(fault) => found.push(fault.diagnostic(Severity::Note, download_text::OTHER_PART)),
            _ => {}
        }
    }
    found
}

fn file(one: &Brought) -> OneFile<'_> {
    let sidecar = one.sidecar.as_ref();
    OneFile {
        product: &one.product.id,
        station: one.station.as_deref(),
        path: &one.path,
        file: one.file.display().to_string(),
        outcome: download_text::outcome(one),
        lacking: one.lacking,
        reason: match &one.outcome {
            Outcome::Kept(fault) | Outcome::Missing(fault) => Some(fault.to_string()),
            _ => None,
        },
        url: sidecar.map(|sidecar| sidecar.url.as_str()),
        sha256: sidecar.map(|sidecar| sidecar.sha256.as_str()),
        size: sidecar.map(|sidecar| sidecar.size),
        fetched_at: sidecar.map(|sidecar| sidecar.fetched_at.as_str()),
        checked_at: sidecar.map(|sidecar| sidecar.checked_at.as_str()),
    }
}

fn products(json: bool) -> Result<ExitCode, Failure> {
    let all = &*PRODUCTS;
    if json {
        output::json(&Products { products: all.iter().map(|product| terms(product, true)).collect() })?;
    } else {
        output::data(&download_text::products(all))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn terms(product: &Product, with_addresses: bool) -> OneProduct<'_> {
    let lists = product.lists.iter().map(|file| (&file.path, &file.address, &file.read_on));
    let all = lists.chain(product.record.iter().map(|file| (&file.path, &file.address, &file.read_on)));
    let addresses = all.map(|(path, address, read_on)| Place { path: format!("{}/{path}", product.agency), address, read_on });
    OneProduct {
        product: &product.id,
        agency: &product.terms.agency_name,
        name: &product.name,
        stations: product.station.as_ref().filter(|_| with_addresses).map(StationRule::in_words),
        terms: &product.terms.terms,
        attribution: &product.terms.attribution,
        terms_read_on: &product.terms.read_on,
        addresses: if with_addresses { addresses.collect() } else { Vec::new() },
    }
}
