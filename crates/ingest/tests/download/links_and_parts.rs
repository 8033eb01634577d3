//! What lies beside a file of the archive when it is asked for: parts of a process that ended, links that somebody planted, files of other years.

use crate::bench::{Bench, DONE, PATH, STATION, record, server};
use ingest::download::{Archive, Outcome, Request};
use serde_json::json;
use std::fs;
use std::path::PathBuf;
use testkit::server::Answer;

/// The place of a file beside the station's, its folder made.
fn beside(bench: &Bench, name: &str) -> PathBuf {
    let file = bench.place.path().join("v1").join(PATH).with_file_name(name);
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    file
}

#[test]
fn a_whole_part_of_an_earlier_run_is_taken_only_if_the_server_still_has_it() {
    for (changed, expected) in [(false, record(600, 1.0)), (true, record(700, 2.0))] {
        let bench = Bench::new();
        let (old, new) = (record(600, 1.0), record(700, 2.0));
        let server =
            server(false, move |asked| if changed { Answer::file(asked, &new, "\"2\"") } else { Answer::file(asked, &old, "\"1\"") });
        // Killed behind the last byte and before its look at the file.
        let body = record(600, 1.0);
        fs::write(beside(&bench, ".XX000000001.dly.part"), &body).unwrap();
        let note = json!({
            "format": 1, "url": server.url() + PATH, "etag": "\"1\"", "last_modified": null, "validator": "\"1\"", "length": body.len(), "framed": true,
        });
        fs::write(beside(&bench, ".XX000000001.dly.part.json"), note.to_string()).unwrap();
        assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
        let asked = server.asked();
        assert_eq!((asked.len(), asked[0].header("if-none-match")), (1, Some("\"1\"")));
        assert_eq!((bench.good_copy(STATION), bench.names()), (Some(expected), DONE.map(str::to_owned).to_vec()));
    }
}

#[cfg(unix)]
#[test]
fn a_link_in_the_archive_is_never_written_through() {
    let bench = Bench::new();
    let victim = bench.place.path().join("letter.txt");
    fs::write(&victim, "Dear neighbour").unwrap();
    for name in [".XX000000001.dly.part", ".XX000000001.dly.part.json", ".XX000000001.dly.meta.json.new"] {
        std::os::unix::fs::symlink(&victim, beside(&bench, name)).unwrap();
    }
    let server = server(false, |asked| Answer::file(asked, &record(60, 1.0), "\"1\""));
    let brought = bench.bring(&server, STATION);
    assert_eq!((brought.outcome, fs::read_to_string(&victim).unwrap().as_str()), (Outcome::Fetched, "Dear neighbour"));
    assert_eq!(bench.good_copy(STATION), Some(record(60, 1.0)));
    // A part that is gone on with is no link either.
    let note = json!({
        "format": 1, "url": server.url() + PATH, "etag": "\"1\"", "last_modified": null, "validator": "\"1\"", "length": 9999, "framed": true,
    });
    fs::write(beside(&bench, ".XX000000001.dly.part.json"), note.to_string()).unwrap();
    std::os::unix::fs::symlink(&victim, beside(&bench, ".XX000000001.dly.part")).unwrap();
    fs::remove_file(beside(&bench, "XX000000001.dly")).unwrap();
    bench.bring(&server, STATION);
    assert_eq!(fs::read_to_string(&victim).unwrap(), "Dear neighbour");
}

#[test]
fn validators_of_any_length_leave_a_file_that_can_be_used() {
    // A sidecar over 64 KiB is not read.
    let bench = Bench::new();
    let tag = format!("\"{}\"", "1".repeat(70_000));
    let server = server(false, move |_| Answer::new(200, record(60, 1.0)).header("ETag", &tag).header("Last-Modified", &tag));
    assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
    assert_eq!(bench.good_copy(STATION), Some(record(60, 1.0)));
}

#[test]
fn of_two_files_of_one_pattern_the_one_that_the_source_still_has_goes_before() {
    // DWD puts the last day into the name: the file of a year later has another name, and corrects days of the one before.
    let bench = Bench::new();
    let mirror = tempfile::tempdir().unwrap();
    let folder = mirror.path().join("dwd/more_precip/historical");
    fs::create_dir_all(&folder).unwrap();
    let packed = crate::packed::zipped("produkt.txt", &crate::packed::gauge());
    let bring = |noon: u64| {
        struct At(u64);
        impl ingest::download::Caller for At {
            fn now(&self) -> std::time::SystemTime {
                std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(self.0)
            }
            fn event(&self, _: ingest::download::Event<'_>) {}
        }
        let source = ingest::download::Source::mirror(mirror.path().to_str().unwrap()).unwrap();
        let downloader = ingest::download::Downloader::new(bench.archive(), source, bench.settings.clone()).unwrap();
        downloader.bring(&[Request::station("dwd-rr:44", None).unwrap()], &At(noon)).remove(0).outcome
    };
    let name = |last: &str| format!("tageswerte_RR_00044_20010101_{last}_hist.zip");
    fs::write(folder.join(name("20241231")), &packed).unwrap();
    assert_eq!(bring(crate::bench::NOON), Outcome::Fetched);
    fs::rename(folder.join(name("20241231")), folder.join(name("20251231"))).unwrap();
    assert_eq!(bring(crate::bench::NOON + 1), Outcome::Fetched);
    let files = Archive::in_folder(bench.place.path()).files(&Request::kept("dwd-rr:44").unwrap());
    let names: Vec<String> = files.iter().map(|(path, _)| path.file_name().unwrap().to_str().unwrap().to_owned()).collect();
    assert_eq!(names, [name("20251231"), name("20241231")]);
}
