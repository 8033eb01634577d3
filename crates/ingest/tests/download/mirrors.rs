//! Mirrors of a school or agency, on a server and in a folder: what they lack, hide or hold by mistake.

use crate::answers::fault;
use crate::bench::{Bench, PATH, STATION, record, server};
use ingest::download::{Brought, Downloader, Outcome, Request, Source};
use std::fs;
use std::path::{Path, PathBuf};
use testkit::server::Answer;

/// A folder that is a mirror, and what is brought from it.
struct Mirror {
    bench: Bench,
    folder: tempfile::TempDir,
}

impl Mirror {
    fn new() -> Self {
        Self { bench: Bench::new(), folder: tempfile::tempdir().unwrap() }
    }

    /// The place of a file, its folder made.
    fn place(&self, path: &str) -> PathBuf {
        let file = self.folder.path().join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        file
    }

    fn bring(&self, station: &str) -> Vec<Brought> {
        let source = Source::mirror(self.folder.path().to_str().unwrap()).unwrap();
        let downloader = Downloader::new(self.bench.archive(), source, self.bench.settings.clone()).unwrap();
        downloader.bring(&[Request::station(station, None).unwrap()], &self.bench.listener)
    }

    fn fault(&self, station: &str) -> (&'static str, String) {
        fault(&self.bring(station).remove(0).outcome)
    }
}

#[test]
fn a_mirror_that_lacks_a_file_is_named_with_the_file_and_what_to_do() {
    let bench = Bench::new();
    let server = server(false, |_| Answer::new(404, "<html>Not found</html>"));
    let (id, words) = fault(&bench.bring(&server, STATION).outcome);
    assert_eq!(id, "download-not-there");
    for part in [&server.url(), PATH, "the mirror", "ask whoever keeps it", "RAINWORTH_MIRROR", "404"] {
        assert!(words.contains(part), "{part}: {words}");
    }
    let mirror = Mirror::new();
    let (id, words) = mirror.fault(STATION);
    assert_eq!(id, "download-not-there");
    for part in [mirror.folder.path().to_str().unwrap(), PATH, "the mirror", "ask whoever keeps it", "RAINWORTH_MIRROR"] {
        assert!(words.contains(part), "{part}: {words}");
    }
    // The folder of an archive instead of the `v1` in it.
    fs::write(mirror.place(&format!("v1/{PATH}")), record(60, 1.0)).unwrap();
    let (_, words) = mirror.fault(STATION);
    assert!(words.contains(mirror.folder.path().join("v1").to_str().unwrap()), "{words}");
}

#[test]
fn a_mirror_that_hides_its_folders_does_not_pass_for_one_without_the_file() {
    let bench = Bench::new();
    let packed = crate::packed::zipped("produkt.txt", &crate::packed::gauge());
    let server =
        server(false, move |asked| if asked.path.ends_with("_akt.zip") { Answer::new(200, &*packed) } else { Answer::new(404, "") });
    let brought = bench.bring_all(&server, &[Request::station("dwd-rr:44", None).unwrap()]);
    // The recent months are there; whether there are years before them nobody can tell.
    let (id, words) = fault(&brought[0].outcome);
    assert!(id == "download-names-unknown" && words.contains("what is in its folders"), "{words}");
    assert_eq!((&brought[1].outcome, brought[0].lacking), (&Outcome::Fetched, true));
}

#[test]
fn what_is_no_file_of_a_mirror_is_told_as_the_mirrors() {
    // A file where a folder should be.
    let mirror = Mirror::new();
    fs::write(mirror.folder.path().join("ncei"), "x").unwrap();
    let (id, words) = mirror.fault(STATION);
    assert!(id == "mirror-file-unusable" && words.contains("ask whoever keeps the mirror") && !words.contains("--archive"), "{words}");
    // A file larger than any that is read: it is not copied. The limit is `Reader::MOST_BYTES`, 1 GiB; the file has holes only.
    let mirror = Mirror::new();
    fs::File::create(mirror.place(PATH)).unwrap().set_len((1 << 30) + 1).unwrap();
    let (id, words) = mirror.fault(STATION);
    assert!(id == "download-too-large" && words.contains("1073741825 bytes"), "{words}");
}

#[cfg(unix)]
#[test]
fn a_pipe_in_a_mirror_is_not_waited_for() {
    let mirror = Mirror::new();
    let made = std::process::Command::new("mkfifo").arg(mirror.place(PATH)).status();
    if !made.is_ok_and(|status| status.success()) {
        eprintln!("skipped: there is no mkfifo to make a pipe with");
        return;
    }
    let (sender, receiver) = std::sync::mpsc::channel();
    // A thread that waits for ever ends with the test's process.
    std::thread::spawn(move || sender.send(mirror.fault(STATION).0));
    assert_eq!(receiver.recv_timeout(std::time::Duration::from_secs(20)), Ok("download-not-there"));
}

#[test]
fn names_are_taken_from_a_mirrors_folder_as_from_its_page() {
    let mirror = Mirror::new();
    let packed = crate::packed::zipped("produkt.txt", &crate::packed::gauge());
    let folder = "dwd/more_precip/historical";
    // No agency writes such names, and a terminal must not print the second.
    for middle in ["20010101 20011231", "\u{7}\u{1b}[2J", &"1".repeat(220)] {
        fs::write(mirror.place(&format!("{folder}/tageswerte_RR_00044_{middle}_hist.zip")), &packed).unwrap();
    }
    assert_eq!(mirror.fault("dwd-rr:44").0, "download-not-there");
    let good = format!("{folder}/tageswerte_RR_00044_20010101_20011231_hist.zip");
    fs::write(mirror.place(&good), &packed).unwrap();
    let brought = mirror.bring("dwd-rr:44");
    assert_eq!((&brought[0].outcome, brought[0].path.as_str(), brought.len()), (&Outcome::Fetched, good.as_str(), 2));
}

#[test]
fn a_sidecar_names_the_whole_path_of_a_mirrors_file() {
    let mirror = Mirror::new();
    fs::write(mirror.place(PATH), record(60, 1.0)).unwrap();
    // Tests share one working folder, so that the path has to lead from it.
    let here = std::env::current_dir().unwrap();
    let up: PathBuf = here.components().skip(1).map(|_| Path::new("..")).collect();
    let relative = up.join(mirror.folder.path().strip_prefix("/").unwrap());
    let source = Source::mirror(relative.to_str().unwrap()).unwrap();
    let downloader = Downloader::new(mirror.bench.archive(), source, mirror.bench.settings.clone()).unwrap();
    let brought = downloader.bring(&[Request::station(STATION, None).unwrap()], &mirror.bench.listener).remove(0);
    assert!(brought.sidecar.unwrap().url.starts_with("file:/"), "{:?}", brought.outcome);
}
