//! What is requested, brought: names looked up, hosts served side by side, and what became of each file told in the order of the requests.

use super::archive::Archive;
use super::client::Client;
use super::fault::{Fault, NOT_IN_ARCHIVE, NOT_THERE};
use super::fetch::Means;
use super::folder_page;
use super::request::{Request, Wanted};
use super::settings::{Caller, Settings};
use super::sidecar::Sidecar;
use super::source::Source;
use crate::agencies::Product;
use std::collections::{BTreeMap, HashMap};
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

/// Brings files from a source into an archive.
#[derive(Debug)]
pub struct Downloader {
    archive: Archive,
    source: Source,
    client: Option<Client>,
}

/// What became of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// It came and is another one than before.
    Fetched,
    /// The archive's copy is the source's.
    Unchanged,
    /// Another process brought it while this one waited.
    BroughtByAnother,
    /// Nobody was asked: the archive has it.
    FromArchive,
    /// It could not be brought up to date; the copy from before is kept.
    Kept(Fault),
    /// It is not there.
    Missing(Fault),
}

/// A file that was requested, and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brought {
    /// The product.
    pub product: &'static Product,
    /// The station, where it is a record.
    pub station: Option<String>,
    /// The place in the archive, such as `ncei/ghcn-daily/all/USW00094728.dly`.
    pub path: String,
    /// The file.
    pub file: PathBuf,
    /// What became of it.
    pub outcome: Outcome,
    /// What the archive knows of it; nothing where it is missing.
    pub sidecar: Option<Sidecar>,
    /// Whether something that was requested is not there because of it. A record in parts is there when one of them is and the source has no more.
    pub lacking: bool,
}

/// A file before and behind its journey.
struct Item {
    wanted: Wanted,
    done: Mutex<Option<(Outcome, Option<Sidecar>)>>,
}

impl Item {
    fn new(wanted: Wanted, done: Option<(Outcome, Option<Sidecar>)>) -> Self {
        Self { wanted, done: Mutex::new(done) }
    }
}

impl Downloader {
    /// Prepares to bring files from the source.
    ///
    /// # Errors
    /// Where no request can be made from this machine: no root certificates, or faulty ones named.
    pub fn new(archive: Archive, source: Source, settings: Settings) -> Result<Self, Fault> {
        let client = match source {
            Source::Agencies | Source::Mirror(_) => Some(Client::new(&source, settings)?),
            Source::Folder(_) | Source::ArchiveAlone => None,
        };
        Ok(Self { archive, source, client })
    }

    /// Brings every file of the requests and says what became of each, in their order. What fails costs only itself.
    pub fn bring(&self, requests: &[Request], caller: &dyn Caller) -> Vec<Brought> {
        let (mut items, mut place_of, mut parts): (Vec<Item>, BTreeMap<String, usize>, Vec<Vec<usize>>) = Default::default();
        let mut pages = HashMap::new();
        for request in requests {
            let mut of_request = Vec::new();
            for wanted in request.files() {
                for item in self.named(wanted, &mut pages, caller) {
                    let place = *place_of.entry(item.wanted.path.clone()).or_insert_with(|| {
                        items.push(item);
                        items.len() - 1
                    });
                    of_request.push(place);
                }
            }
            parts.push(of_request);
        }
        self.fetch_all(&items, caller);
        let mut brought: Vec<Brought> = items.into_iter().map(|item| self.told(item)).collect();
        for of_request in parts {
            let is_there = |place: &usize| brought.get(*place).is_some_and(|one| one.sidecar.is_some());
            let some_are = of_request.iter().any(is_there);
            for place in of_request {
                if let Some(one) = brought.get_mut(place)
                    && let Outcome::Missing(fault) = &one.outcome
                {
                    let of_a_record = one.station.is_some();
                    one.lacking |= !(of_a_record && some_are && fault.is_not_there());
                }
            }
        }
        brought
    }

    fn told(&self, item: Item) -> Brought {
        let Item { wanted, done } = item;
        let done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
        // Every item is done with above; one that is not would be a fault of ours and is told as one.
        let (outcome, sidecar) =
            done.unwrap_or_else(|| (Outcome::Missing(Fault::new("download-not-possible", &wanted.path, "no attempt")), None));
        Brought {
            product: wanted.product,
            station: wanted.station.clone(),
            file: self.archive.file(&wanted),
            path: wanted.path,
            outcome,
            sidecar,
            lacking: false,
        }
    }

    /// The file, or where its name is a pattern, the files of the source that fit it.
    fn named(&self, wanted: Wanted, pages: &mut HashMap<String, Result<String, Fault>>, caller: &dyn Caller) -> Vec<Item> {
        if wanted.names_on.is_none() {
            return vec![Item::new(wanted, None)];
        }
        let names = match self.names(&wanted, pages, caller) {
            Ok(names) => names,
            Err(fault) => {
                // What the archive has from before is kept, as with any other file that cannot be brought up to date.
                let kept = self.archive.named(&wanted).into_iter().filter_map(|kept| {
                    let sidecar = self.archive.entry(&kept.path).verified()?;
                    let outcome = if fault.id == NOT_IN_ARCHIVE { Outcome::FromArchive } else { Outcome::Kept(fault.clone()) };
                    Some(Item::new(kept, Some((outcome, Some(sidecar)))))
                });
                let kept: Vec<Item> = kept.collect();
                return if kept.is_empty() { vec![Item::new(wanted, Some((Outcome::Missing(fault), None)))] } else { kept };
            }
        };
        names.iter().map(|name| Item::new(wanted.named(name), None)).collect()
    }

    /// The names of the source that fit the pattern, at least one.
    fn names(
        &self,
        wanted: &Wanted,
        pages: &mut HashMap<String, Result<String, Fault>>,
        caller: &dyn Caller,
    ) -> Result<Vec<String>, Fault> {
        let (place, names) = match (&self.source, &self.client, self.source.page(wanted)) {
            (Source::Folder(folder), ..) => {
                let pattern = folder.join(&wanted.path);
                let folder = pattern.parent().unwrap_or(folder);
                let entries = std::fs::read_dir(folder).into_iter().flatten();
                let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
                let mut names: Vec<String> = names.filter(|name| folder_page::is_named(name, wanted.name())).collect();
                names.sort();
                (folder.display().to_string(), names)
            }
            (_, Some(client), Some(page)) => {
                let text = pages.entry(page.to_string()).or_insert_with(|| client.page(&page, caller));
                let text = text.as_ref().map_err(Clone::clone)?;
                (page.to_string(), folder_page::names(text, wanted.name()))
            }
            _ => {
                let pattern = self.archive.file(wanted).display().to_string();
                let fault = Fault::new(NOT_IN_ARCHIVE, pattern, "no such file in the archive");
                return Err(fault.expected(wanted.expected_in_words()).advice("bring it with a network, without --offline"));
            }
        };
        match names.len() {
            0 => Err(Fault::new(NOT_THERE, place, format!("no name like {}", wanted.name()))
                .expected(wanted.expected_in_words())
                .advice("look whether the station is in the list (--lists)")),
            many if many > folder_page::MOST_NAMES => {
                Err(Fault::new("download-refused", place, format!("{many} names like {}", wanted.name()))
                    .expected(format!("at most {}", folder_page::MOST_NAMES)))
            }
            _ => Ok(names),
        }
    }

    /// Fetches what is not done with: one host's files by as many threads as it has connections, the hosts side by side.
    fn fetch_all(&self, items: &[Item], caller: &dyn Caller) {
        let means = Means { archive: &self.archive, source: &self.source, client: self.client.as_ref(), caller };
        let mut of_host: BTreeMap<String, Vec<&Item>> = BTreeMap::new();
        for item in items {
            let to_do = item.done.lock().unwrap_or_else(PoisonError::into_inner).is_none();
            if to_do {
                let host = self.source.address(&item.wanted).and_then(|url| url.host_str().map(str::to_owned)).unwrap_or_default();
                of_host.entry(host).or_default().push(item);
            }
        }
        let threads = self.client.as_ref().map_or(1, |client| client.settings.connections.max(1));
        std::thread::scope(|scope| {
            for items in of_host.into_values() {
                let threads = threads.min(items.len());
                let queue = std::sync::Arc::new(Mutex::new(items.into_iter()));
                for _ in 0..threads {
                    let (queue, means) = (queue.clone(), &means);
                    scope.spawn(move || {
                        loop {
                            let next = queue.lock().unwrap_or_else(PoisonError::into_inner).next();
                            let Some(item) = next else { return };
                            let done = means.fetch(&item.wanted);
                            *item.done.lock().unwrap_or_else(PoisonError::into_inner) = Some(done);
                        }
                    });
                }
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::settings::Event;
    use super::*;
    use std::fs;
    use std::path::Path;
    use std::time::{Duration, SystemTime};

    struct Quiet;

    impl Caller for Quiet {
        fn now(&self) -> SystemTime {
            SystemTime::UNIX_EPOCH + Duration::from_secs(1_000_000_000)
        }

        fn event(&self, _: Event<'_>) {}
    }

    fn mirror(folder: &Path, path: &str, bytes: &[u8]) {
        let file = folder.join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(file, bytes).unwrap();
    }

    fn bring(archive: &Path, source: Source, requests: &[Request]) -> Vec<Brought> {
        Downloader::new(Archive::in_folder(archive), source, Settings::default()).unwrap().bring(requests, &Quiet)
    }

    fn record(days: usize) -> Vec<u8> {
        testkit::DlyText::new("XX000000001").rain_run_mm((2001, 1, 1), &vec![Some(1.0); days]).to_text().into_bytes()
    }

    #[test]
    fn a_folder_is_a_mirror_and_the_archive_does_without_it_afterwards() {
        let (place, from) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let request = [Request::station("ghcn-daily:XX000000001", None).unwrap()];
        let source = || Source::Folder(from.path().to_owned());
        let one = |source| bring(place.path(), source, &request).remove(0);
        let missing = one(source());
        assert!(missing.lacking && matches!(&missing.outcome, Outcome::Missing(fault) if fault.is_not_there()), "{missing:?}");
        let path = "ncei/ghcn-daily/all/XX000000001.dly";
        mirror(from.path(), path, &record(10));
        let fetched = one(source());
        assert_eq!((&fetched.outcome, fetched.lacking, fetched.path.as_str()), (&Outcome::Fetched, false, path));
        assert_eq!(fetched.file, place.path().join("v1").join(path));
        let sidecar = fetched.sidecar.unwrap();
        assert_eq!(
            (sidecar.sha256.as_str(), sidecar.fetched_at.as_str()),
            (crate::checksum_of(&record(10)).as_str(), "2001-09-09T01:46:40Z")
        );
        assert_eq!(one(source()).outcome, Outcome::Unchanged);
        assert_eq!(one(Source::ArchiveAlone).outcome, Outcome::FromArchive);
        mirror(from.path(), path, &record(20));
        assert_eq!(one(source()).outcome, Outcome::Fetched);
        // A bad file on the mirror costs nothing that is there.
        mirror(from.path(), path, b"<html>Not found</html>\n");
        let kept = one(source());
        assert!(matches!(&kept.outcome, Outcome::Kept(fault) if fault.id == "file-is-a-web-page"), "{kept:?}");
        assert_eq!((kept.lacking, fs::read(&kept.file).unwrap()), (false, record(20)));
        // Somebody changed the file by hand: it is nobody's record until it is brought again.
        fs::write(&kept.file, record(21)).unwrap();
        let changed = one(Source::ArchiveAlone);
        assert!(changed.lacking && matches!(&changed.outcome, Outcome::Missing(fault) if fault.found.contains("sidecar")), "{changed:?}");
        mirror(from.path(), path, &record(20));
        assert_eq!((one(source()).outcome, fs::read(&kept.file).unwrap()), (Outcome::Fetched, record(20)));
    }

    #[test]
    fn a_record_in_parts_is_there_when_one_of_them_is() {
        let (place, from) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let requests = [Request::station("meteoswiss:abc", None).unwrap()];
        let text = b"station_abbr;reference_timestamp;rre150d0\nABC;01.01.2001 00:00;1.2\n";
        let all = |source| bring(place.path(), source, &requests);
        assert!(all(Source::Folder(from.path().to_owned())).iter().all(|one| one.lacking));
        mirror(from.path(), "meteoswiss/ogd-smn/abc/ogd-smn_abc_d_recent.csv", text);
        let brought = all(Source::Folder(from.path().to_owned()));
        assert_eq!((brought.len(), &brought[1].outcome), (2, &Outcome::Fetched));
        assert!(matches!(&brought[0].outcome, Outcome::Missing(_)) && !brought[0].lacking, "{brought:?}");
        assert!(all(Source::ArchiveAlone).iter().all(|one| !one.lacking));
    }

    #[test]
    fn names_that_only_the_source_knows_are_looked_up() {
        let (place, from) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let packed = |years: &str| {
            use std::io::Write;
            let text =
                "NUM_POSTE;NOM_USUEL;LAT;LON;ALTI;AAAAMMJJ;RR;QRR\n34154001;VALLEY;43.5;3.9;2;YEAR0101;1.2;1\n".replace("YEAR", years);
            let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
            encoder.write_all(text.as_bytes()).unwrap();
            encoder.finish().unwrap()
        };
        mirror(from.path(), "meteo-france/quot/Q_34_previous-1950-2024_RR-T-Vent.csv.gz", &packed("1950"));
        mirror(from.path(), "meteo-france/quot/Q_34_latest-2025-2026_RR-T-Vent.csv.gz", &packed("2025"));
        mirror(from.path(), "meteo-france/quot/Q_35_latest-2025-2026_RR-T-Vent.csv.gz", &packed("2025"));
        // A station asked for twice is brought once.
        let requests = [Request::station("meteo-france:34154001", None).unwrap(), Request::station("meteo-france:34", None).unwrap()];
        let brought = bring(place.path(), Source::Folder(from.path().to_owned()), &requests);
        let names: Vec<&str> = brought.iter().map(|one| one.path.rsplit('/').next().unwrap()).collect();
        assert_eq!(names, ["Q_34_latest-2025-2026_RR-T-Vent.csv.gz", "Q_34_previous-1950-2024_RR-T-Vent.csv.gz"]);
        assert!(brought.iter().all(|one| one.outcome == Outcome::Fetched), "{brought:?}");
        let offline = bring(place.path(), Source::ArchiveAlone, &requests);
        assert!(offline.len() == 2 && offline.iter().all(|one| one.outcome == Outcome::FromArchive), "{offline:?}");
        // The mirror is empty now: what was there is kept.
        fs::remove_dir_all(from.path().join("meteo-france")).unwrap();
        let kept = bring(place.path(), Source::Folder(from.path().to_owned()), &requests);
        assert!(kept.len() == 2 && kept.iter().all(|one| matches!(one.outcome, Outcome::Kept(_)) && !one.lacking), "{kept:?}");
        let other = [Request::station("meteo-france:36", None).unwrap()];
        assert!(bring(place.path(), Source::ArchiveAlone, &other).iter().all(|one| one.lacking));
    }

    #[test]
    fn files_of_a_year_are_asked_for_by_year() {
        let (place, from) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let text = "\"STATION\",\"DATE\",\"TEMP\",\"DEWP\",\"MAX\",\"MIN\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"FRSHTT\"\n\"00000099999\",\"2001-01-01\",\"1\",\"1\",\"1\",\"1\",\"0.10\",\"G\",\"0\"\n";
        mirror(from.path(), "ncei/gsod/2001/00000099999.csv", text.as_bytes());
        let request = [Request::station("gsod:00000099999", Some(2000..=2002)).unwrap()];
        let brought = bring(place.path(), Source::Folder(from.path().to_owned()), &request);
        assert_eq!(brought.iter().map(|one| one.sidecar.is_some()).collect::<Vec<_>>(), [false, true, false]);
        assert!(brought.iter().all(|one| !one.lacking));
        let archive = Archive::in_folder(place.path());
        assert_eq!(archive.files(&Request::kept("gsod:00000099999").unwrap()).len(), 1);
    }
}
