//! Where a server may lead, and whom it has to be vouched for by.

use crate::answers::fault;
use crate::bench::{Bench, PATH, STATION, record, server};
use ingest::download::{Downloader, Outcome, Request, Source};
use testkit::server::Answer;

#[test]
fn five_redirects_are_followed_and_no_more() {
    for (encrypted, hops, arrives) in [(false, 1, true), (true, 5, true), (true, 6, false), (false, usize::MAX, false)] {
        let bench = Bench::new();
        let body = record(60, 1.0);
        let server = server(encrypted, move |asked| {
            let hop = asked.path.rsplit("hop").next().and_then(|hop| hop.parse::<usize>().ok()).unwrap_or(0);
            if hop == hops {
                Answer::file(asked, &body, "\"1\"")
            } else {
                Answer::new(302, "").header("Location", &format!("/hop{}", hop + 1))
            }
        });
        let brought = bench.bring(&server, STATION);
        if arrives {
            assert_eq!(brought.outcome, Outcome::Fetched);
            assert_eq!(brought.sidecar.unwrap().url, server.url() + PATH);
        } else {
            assert_eq!((fault(&brought.outcome).0, server.asked().len()), ("download-redirected-too-often", 6));
        }
    }
}

#[test]
fn a_redirect_to_another_scheme_is_refused() {
    for (encrypted, to) in [
        (true, "http://127.0.0.1:9/x"),
        (false, "https://127.0.0.1:9/x"),
        (true, "ftp://127.0.0.1/x"),
        (true, "file:///etc/hostname"),
        (false, "http://"),
    ] {
        let bench = Bench::new();
        let server = server(encrypted, move |_| Answer::new(301, "").header("Location", to));
        let (id, words) = fault(&bench.bring(&server, STATION).outcome);
        assert!(id == "download-redirect-refused" && words.contains(to), "{words}");
        assert_eq!(server.asked().len(), 1);
    }
}

#[test]
fn a_server_that_nobody_vouches_for_is_refused() {
    let bench = Bench::new();
    let (own, other) = (server(true, |_| Answer::new(404, "")), server(true, |_| Answer::new(404, "")));
    let bring = |certificates: &str| {
        let mut settings = bench.settings.clone();
        settings.certificates = Some(certificates.as_bytes().to_vec());
        let downloader = Downloader::new(bench.archive(), Source::mirror(&own.url()).unwrap(), settings)?;
        Ok::<_, ingest::download::Fault>(downloader.bring(&[Request::station(STATION, None).unwrap()], &bench.listener).remove(0))
    };
    let (id, words) = fault(&bring(other.root()).unwrap().outcome);
    assert!(id == "download-certificate-refused" && words.contains("--certificates"), "{words}");
    assert!(own.asked().is_empty() && bench.listener.waits.lock().unwrap().is_empty(), "nothing is said to it, and it is not tried again");
    assert_eq!(fault(&bring(own.root()).unwrap().outcome).0, "download-not-there");
    for wrong in ["", "no certificate\n", "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n"] {
        assert_eq!(bring(wrong).unwrap_err().id, "certificates-unusable", "{wrong:?}");
    }
}
