//! What single answers mean: not there, busy, another product, unchanged; and what becomes of the good copy.

use crate::bench::{Bench, DONE, PATH, STATION, record, server};
use ingest::download::{Outcome, Request};
use std::fs;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use testkit::server::Answer;

/// The identifier of the fault that stood in the way, and its words.
pub(crate) fn fault(outcome: &Outcome) -> (&'static str, String) {
    match outcome {
        Outcome::Kept(fault) | Outcome::Missing(fault) => (fault.id, fault.to_string()),
        other => panic!("{other:?}"),
    }
}

/// A server that gives a good record at first and then something else; what is heard of it, and how often it is asked then.
fn good_then(encrypted: bool, then: impl Fn() -> Answer + Send + Sync + 'static) -> (&'static str, String, usize) {
    let bench = Bench::new();
    let good = record(60, 1.0);
    let server = server(encrypted, {
        let good = good.clone();
        move |asked| if asked.before == 0 { Answer::file(asked, &good, "\"1\"") } else { then() }
    });
    assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
    let second = bench.bring(&server, STATION);
    assert!(matches!(second.outcome, Outcome::Kept(_)) && !second.lacking, "{second:?}");
    assert_eq!(bench.good_copy(STATION), Some(good));
    assert_eq!(bench.names(), DONE);
    let (id, words) = fault(&second.outcome);
    assert!(words.contains(&server.url()) && words.contains("expected"), "{words}");
    (id, words, server.asked().len() - 1)
}

#[test]
fn a_file_comes_whole_and_its_sidecar_says_from_where() {
    for encrypted in [false, true] {
        let bench = Bench::new();
        let body = record(600, 1.0);
        let server = server(encrypted, {
            let body = body.clone();
            move |asked| Answer::file(asked, &body, "\"1\"").header("Last-Modified", "Thu, 27 Mar 2031 06:00:00 GMT")
        });
        let brought = bench.bring(&server, STATION);
        assert_eq!((&brought.outcome, brought.path.as_str(), brought.lacking), (&Outcome::Fetched, PATH, false));
        let sidecar = brought.sidecar.unwrap();
        assert_eq!((sidecar.url, sidecar.etag.as_deref()), (server.url() + PATH, Some("\"1\"")));
        assert_eq!((sidecar.size, sidecar.sha256), (body.len() as u64, ingest::checksum_of(&body)));
        assert_eq!(
            (sidecar.fetched_at.as_str(), sidecar.last_modified.as_deref()),
            ("2031-03-28T12:00:00Z", Some("Thu, 27 Mar 2031 06:00:00 GMT"))
        );
        assert_eq!((fs::read(&brought.file).unwrap(), bench.names()), (body, DONE.map(str::to_owned).to_vec()));
        let asked = &server.asked()[0];
        assert!(asked.header("user-agent").unwrap().starts_with("rainworth/") && asked.header("accept-encoding") == Some("identity"));
    }
}

#[test]
fn what_is_not_there_is_told_at_once() {
    for encrypted in [false, true] {
        let bench = Bench::new();
        let server = server(encrypted, |_| Answer::new(404, "<html>Not found</html>"));
        let brought = bench.bring(&server, STATION);
        let (id, words) = fault(&brought.outcome);
        assert!(brought.lacking && id == "download-not-there" && words.contains("404") && words.contains("--lists"), "{words}");
        assert_eq!((server.asked().len(), brought.sidecar), (1, None));
        let (id, _, asked) = good_then(encrypted, || Answer::new(410, ""));
        assert_eq!((id, asked), ("download-not-there", 1));
        let (id, _, asked) = good_then(encrypted, || Answer::new(403, ""));
        assert_eq!((id, asked), ("download-refused", 1));
    }
}

#[test]
fn a_busy_server_is_waited_for_as_it_asks() {
    for (encrypted, status, after, least) in [
        (false, 429, "1", 1.0),
        (true, 503, "1", 1.0),
        // A second after the time that stands on the caller's clock.
        (false, 503, "Fri, 28 Mar 2031 12:00:01 GMT", 1.0),
        // The time is past.
        (false, 503, "Fri, 28 Mar 2031 11:00:00 GMT", 0.0),
    ] {
        let bench = Bench::new();
        let body = record(60, 1.0);
        let server = server(encrypted, move |asked| {
            if asked.before == 0 { Answer::new(status, "").header("Retry-After", after) } else { Answer::file(asked, &body, "\"1\"") }
        });
        assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
        let waits = bench.listener.waits.lock().unwrap();
        assert!(waits.len() == 1 && waits[0] >= Duration::from_secs_f64(least) && server.asked().len() == 2, "{waits:?}");
    }
    // A date is held against the server's own clock, where it tells it: the caller's may be years off.
    let bench = Bench::new();
    let body = record(60, 1.0);
    let server = server(false, move |asked| {
        let busy =
            || Answer::new(503, "").header("Date", "Sun, 06 Nov 1994 08:49:37 GMT").header("Retry-After", "Sun, 06 Nov 1994 08:49:38 GMT");
        if asked.before == 0 { busy() } else { Answer::file(asked, &body, "\"1\"") }
    });
    assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
    assert!(bench.listener.waits.lock().unwrap()[0] >= Duration::from_secs(1));
    // Longer than is waited here.
    let (id, words, asked) = good_then(false, || Answer::new(429, "").header("Retry-After", "3600"));
    assert!(id == "download-server-busy" && words.contains("3600 s") && asked == 1, "{words}");
}

#[test]
fn what_may_pass_is_tried_again_so_often_and_no_more() {
    for (encrypted, status) in [(false, 408), (false, 429), (false, 500), (false, 502), (true, 503), (false, 504)] {
        let (id, words, asked) = good_then(encrypted, move || Answer::new(status, ""));
        assert!(id == "download-server-busy" && words.contains("tried 6 times") && asked == 6, "{words}");
    }
    // Nobody listens: a connection refused is tried again too.
    let bench = Bench::new();
    let mut settings = bench.settings.clone();
    settings.repeats = 2;
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let url = format!("http://{}/", listener.local_addr().unwrap());
    drop(listener);
    let source = ingest::download::Source::mirror(&url).unwrap();
    let downloader = ingest::download::Downloader::new(bench.archive(), source, settings).unwrap();
    // Of many files those that come first are tried as often as they may be, one a connection, and the others once.
    let requests: Vec<Request> = (1..=9).map(|n| Request::station(&format!("ghcn-daily:XX{n:09}"), None).unwrap()).collect();
    for brought in downloader.bring(&requests, &bench.listener) {
        let (id, words) = fault(&brought.outcome);
        assert!(id == "download-no-connection" && words.contains("--offline") && brought.lacking, "{words}");
    }
    let waits = bench.listener.waits.lock().unwrap().len();
    assert!((2..=4).contains(&waits), "{waits}");
}

#[test]
fn another_file_in_its_place_is_refused_and_the_good_copy_kept() {
    for encrypted in [false, true] {
        let (id, words, asked) = good_then(encrypted, || Answer::new(200, "<!DOCTYPE html>\n<title>Sign in</title>\n"));
        assert!(id == "file-is-a-web-page" && words.contains("<!DOCTYPE html>") && asked == 1, "{words}");
    }
    let (id, words, _) = good_then(false, || Answer::new(200, "XX000000001,20010101,PRCP,10,,,0,0700\n"));
    assert!(id == "file-is-another-product" && words.contains("GHCN-Daily file of rows"), "{words}");
    let (id, ..) = good_then(false, || Answer::new(200, ""));
    assert_eq!(id, "file-empty");
    let (id, ..) = good_then(false, || Answer::new(200, record(60, 1.0)).header("Content-Encoding", "br"));
    assert_eq!(id, "download-unknown-coding");
    // Nothing has changed, says a server that was not asked whether.
    let bench = Bench::new();
    let server = server(false, |_| Answer::new(304, "").announcing_nothing());
    assert_eq!(fault(&bench.bring(&server, STATION).outcome).0, "download-refused");
}

#[test]
fn what_has_not_changed_is_not_sent_again() {
    for encrypted in [false, true] {
        for tag in [true, false] {
            let bench = Bench::new();
            let body = record(60, 1.0);
            let server = server(encrypted, move |asked| match (tag, asked.header("if-modified-since")) {
                (true, _) => Answer::file(asked, &body, "\"1\""),
                (false, Some("Thu, 27 Mar 2031 06:00:00 GMT")) => Answer::new(304, "").announcing_nothing(),
                (false, _) => Answer::new(200, &*body).header("Last-Modified", "Thu, 27 Mar 2031 06:00:00 GMT"),
            });
            let first = bench.bring(&server, STATION);
            assert_eq!(first.outcome, Outcome::Fetched);
            let mut sidecar = first.sidecar.unwrap();
            // As if it had been brought a day earlier.
            sidecar.checked_at = "2031-03-27T12:00:00Z".into();
            sidecar.fetched_at.clone_from(&sidecar.checked_at);
            fs::write(
                first.file.with_extension("dly.meta.json"),
                serde_json::to_vec(&serde_json::json!({
                    "format": 1, "url": sidecar.url, "etag": sidecar.etag, "last_modified": sidecar.last_modified, "sha256": sidecar.sha256,
                    "size": sidecar.size, "fetched_at": sidecar.fetched_at, "checked_at": sidecar.checked_at,
                }))
                .unwrap(),
            )
            .unwrap();
            let second = bench.bring(&server, STATION);
            assert_eq!(second.outcome, Outcome::Unchanged);
            let refreshed = second.sidecar.unwrap();
            assert_eq!((refreshed.fetched_at.as_str(), refreshed.checked_at.as_str()), ("2031-03-27T12:00:00Z", "2031-03-28T12:00:00Z"));
            assert_eq!(bench.names(), DONE);
            // Of another address the same validators say nothing: the whole file is asked for.
            let elsewhere = crate::bench::server(encrypted, |asked| Answer::file(asked, &record(60, 1.0), "\"1\""));
            assert_eq!(bench.bring(&elsewhere, STATION).outcome, Outcome::Unchanged);
            let asked = &elsewhere.asked()[0];
            assert_eq!((asked.header("if-none-match"), asked.header("if-modified-since")), (None, None));
        }
    }
}

#[test]
fn a_mirror_that_lacks_a_file_costs_only_that_file() {
    let bench = Bench::new();
    let body = record(60, 1.0);
    let server = server(
        true,
        move |asked| if asked.path.contains("XX000000001") { Answer::file(asked, &body, "\"1\"") } else { Answer::new(404, "") },
    );
    let requests = ["ghcn-daily:XX000000002", STATION].map(|station| Request::station(station, None).unwrap());
    let brought = bench.bring_all(&server, &requests);
    assert_eq!(brought.iter().map(|one| one.lacking).collect::<Vec<_>>(), [true, false]);
    assert_eq!((fault(&brought[0].outcome).0, &brought[1].outcome), ("download-not-there", &Outcome::Fetched));
}

#[test]
fn a_host_bears_no_more_than_two_connections() {
    let bench = Bench::new();
    let body = record(60, 1.0);
    // Each station's file is its own.
    let body = String::from_utf8(body).unwrap();
    let server = server(false, move |asked| {
        let id = asked.path.rsplit('/').next().and_then(|name| name.strip_suffix(".dly")).unwrap();
        Answer::file(asked, body.replace("XX000000001", id).as_bytes(), "\"1\"").dribbling(2000, Duration::from_millis(5))
    });
    let requests: Vec<Request> = (1..=12).map(|n| Request::station(&format!("ghcn-daily:XX{n:09}"), None).unwrap()).collect();
    let brought = bench.bring_all(&server, &requests);
    assert!(brought.iter().all(|one| one.outcome == Outcome::Fetched), "{brought:?}");
    assert!(server.most_at_a_time() <= 2 && server.asked().len() == 12, "{}", server.most_at_a_time());
}

#[test]
fn names_are_taken_from_a_mirrors_folder_page() {
    let bench = Bench::new();
    let name = "tageswerte_RR_00044_20010101_20011231_hist.zip";
    let packed = crate::packed::zipped("produkt.txt", &crate::packed::gauge());
    let pages = Arc::new(AtomicUsize::new(0));
    let server = server(true, {
        let pages = pages.clone();
        move |asked| match asked.path.as_str() {
            "/dwd/more_precip/historical/" => {
                // The page itself may be busy at first.
                if pages.fetch_add(1, Ordering::SeqCst) == 0 {
                    return Answer::new(503, "");
                }
                Answer::new(
                    200,
                    format!("<html><a href=\"{name}\">{name}</a> <a href=\"tageswerte_RR_00045_20010101_20011231_hist.zip\">x</a>"),
                )
            }
            path if path.ends_with(name) => Answer::new(200, &*packed),
            _ => Answer::new(404, ""),
        }
    });
    let requests = ["dwd-rr:44", "dwd-rr:46"].map(|station| Request::station(station, None).unwrap());
    let brought = bench.bring_all(&server, &requests);
    let told: Vec<(bool, bool)> = brought.iter().map(|one| (one.sidecar.is_some(), one.lacking)).collect();
    // Of 44 the closed part is there and the recent one is not; of 46 neither is.
    assert_eq!(told, [(true, false), (false, false), (false, true), (false, true)], "{brought:#?}");
    assert_eq!(pages.load(Ordering::SeqCst), 2, "one page does for both");
}
