//! What the tests share: an archive in a folder of its own, a server with or without encryption, a caller that listens.

use ingest::download::{Archive, Brought, Caller, Downloader, Event, Request, Settings, Source};
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, SystemTime};
use tempfile::TempDir;
use testkit::DlyText;
use testkit::server::{Answer, Asked, Server};

/// The station that is asked for, and its place in the archive and on a mirror.
pub(crate) const STATION: &str = "ghcn-daily:XX000000001";
pub(crate) const PATH: &str = "ncei/ghcn-daily/all/XX000000001.dly";
/// The same as rows, in gzip.
pub(crate) const ROWS: &str = "ghcn-daily-rows:XX000000001";

/// An invented record of so many days, whose rain tells it from another version.
pub(crate) fn record(days: usize, depth: f64) -> Vec<u8> {
    DlyText::new("XX000000001").rain_run_mm((2001, 1, 1), &vec![Some(depth); days]).to_text().into_bytes()
}

/// A server, encrypted or not.
pub(crate) fn server(encrypted: bool, handler: impl Fn(&Asked) -> Answer + Send + Sync + 'static) -> Server {
    if encrypted { Server::encrypted(handler).unwrap() } else { Server::plain(handler).unwrap() }
}

/// Hears how long is waited; its clock stands still.
#[derive(Default)]
pub(crate) struct Listener {
    pub(crate) waits: Mutex<Vec<Duration>>,
}

/// 2031-03-28, 12:00 UTC.
pub(crate) const NOON: u64 = 1_932_465_600;

impl Caller for Listener {
    fn now(&self) -> SystemTime {
        SystemTime::UNIX_EPOCH + Duration::from_secs(NOON)
    }

    fn event(&self, event: Event<'_>) {
        if let Event::Waiting { wait, .. } = event {
            self.waits.lock().unwrap().push(wait);
        }
    }
}

/// An archive and what is heard on the way.
pub(crate) struct Bench {
    pub(crate) place: TempDir,
    pub(crate) listener: Listener,
    pub(crate) settings: Settings,
}

impl Bench {
    pub(crate) fn new() -> Self {
        let settings = Settings {
            stall: Duration::from_secs(10),
            first_wait: Duration::from_millis(4),
            longest_wait: Duration::from_secs(2),
            ..Settings::default()
        };
        Self { place: tempfile::tempdir().unwrap(), listener: Listener::default(), settings }
    }

    pub(crate) fn bring(&self, server: &Server, station: &str) -> Brought {
        self.bring_all(server, &[Request::station(station, None).unwrap()]).remove(0)
    }

    pub(crate) fn bring_all(&self, server: &Server, requests: &[Request]) -> Vec<Brought> {
        let mut settings = self.settings.clone();
        settings.certificates = (!server.root().is_empty()).then(|| server.root().as_bytes().to_vec());
        let source = Source::mirror(&server.url()).unwrap();
        Downloader::new(self.archive(), source, settings).unwrap().bring(requests, &self.listener)
    }

    pub(crate) fn archive(&self) -> Archive {
        Archive::in_folder(self.place.path())
    }

    /// The archive's copy, if it is what its sidecar says.
    pub(crate) fn good_copy(&self, station: &str) -> Option<Vec<u8>> {
        let files = self.archive().files(&Request::kept(station).unwrap());
        files.first().map(|(path, _)| std::fs::read(path).unwrap())
    }

    /// The names in the station's folder of the archive.
    pub(crate) fn names(&self) -> Vec<String> {
        names(&self.place.path().join("v1").join(PATH))
    }
}

/// The names in a file's folder but for its lock, which stays.
pub(crate) fn names(file: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(file.parent().unwrap()).unwrap();
    let mut names: Vec<String> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.retain(|name| name.rsplit_once('.').is_none_or(|(_, ending)| ending != "lock"));
    names.sort();
    names
}

/// The names that a finished file has.
pub(crate) const DONE: [&str; 2] = ["XX000000001.dly", "XX000000001.dly.meta.json"];
