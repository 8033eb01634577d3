//! Bodies that are cut, stall or lie about their length, and how they are gone on with.

use crate::answers::fault;
use crate::bench::{Bench, DONE, STATION, record, server};
use ingest::download::Outcome;
use std::time::Duration;
use testkit::server::{Answer, Asked, Step};

const AT: usize = 3000;

/// What came in the first, cut try; the first request's answer is cut behind [`AT`] bytes, the second one is `then`'s.
fn cut_then(encrypted: bool, how: &Step, then: impl Fn(&Asked) -> Answer + Send + Sync + 'static) -> (Bench, Outcome, Vec<Asked>) {
    let mut bench = Bench::new();
    if matches!(how, Step::Stall) {
        bench.settings.stall = Duration::from_millis(600);
    }
    let (body, how) = (record(600, 1.0), how.clone());
    let server =
        server(
            encrypted,
            move |asked| {
                if asked.before == 0 { Answer::file(asked, &body, "\"1\"").but_after(AT, how.clone()) } else { then(asked) }
            },
        );
    let brought = bench.bring(&server, STATION);
    (bench, brought.outcome, server.asked())
}

#[test]
fn a_body_that_is_cut_or_stalls_is_gone_on_with() {
    for encrypted in [false, true] {
        for how in [Step::Pause(Duration::ZERO), Step::Stall] {
            let (bench, outcome, asked) = cut_then(encrypted, &how, |asked| Answer::file(asked, &record(600, 1.0), "\"1\""));
            assert_eq!((outcome, bench.good_copy(STATION)), (Outcome::Fetched, Some(record(600, 1.0))));
            let second = (asked[1].header("range"), asked[1].header("if-range"));
            assert_eq!((asked.len(), second), (2, (Some(format!("bytes={AT}-").as_str()), Some("\"1\""))));
            assert_eq!(bench.names(), DONE);
        }
    }
}

#[test]
fn a_body_that_drips_is_given_up() {
    // A clock that runs: each look at it is a second later.
    #[derive(Default)]
    struct Running(std::sync::atomic::AtomicU64);
    impl ingest::download::Caller for Running {
        fn now(&self) -> std::time::SystemTime {
            std::time::SystemTime::UNIX_EPOCH + Duration::from_secs(self.0.fetch_add(1, std::sync::atomic::Ordering::SeqCst))
        }
        fn event(&self, _: ingest::download::Event<'_>) {}
    }
    let mut bench = Bench::new();
    bench.settings.repeats = 1;
    let server = server(false, |asked| Answer::file(asked, &record(1200, 1.0), "\"1\"").dribbling(50, Duration::from_millis(1)));
    let source = ingest::download::Source::mirror(&server.url()).unwrap();
    let downloader = ingest::download::Downloader::new(bench.archive(), source, bench.settings.clone()).unwrap();
    let request = [ingest::download::Request::station(STATION, None).unwrap()];
    let (id, words) = fault(&downloader.bring(&request, &Running::default()).remove(0).outcome);
    assert!(id == "download-too-slow" && words.contains("100 bytes a second") && words.contains("tried 2 times"), "{words}");
    // What came is not lost: the second try went on with it.
    assert!(server.asked()[1].header("range").is_some());
}

#[test]
fn a_part_is_gone_on_with_by_a_later_run() {
    let mut bench = Bench::new();
    bench.settings.repeats = 0;
    let body = record(1200, 1.0);
    let server = server(true, {
        let body = body.clone();
        move |asked| {
            let answer = Answer::file(asked, &body, "\"1\"");
            if asked.before < 3 { answer.but_after(AT, Step::Pause(Duration::ZERO)) } else { answer }
        }
    });
    for run in 0..3 {
        assert_eq!(fault(&bench.bring(&server, STATION).outcome).0, "download-cut-short", "{run}");
    }
    assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
    let ranges: Vec<Option<String>> = server.asked().iter().map(|asked| asked.header("range").map(str::to_owned)).collect();
    assert_eq!(ranges, [None, Some(format!("bytes={AT}-")), Some(format!("bytes={}-", 2 * AT)), Some(format!("bytes={}-", 3 * AT))]);
    assert_eq!(bench.good_copy(STATION), Some(body));
}

#[test]
fn a_file_that_changed_in_between_begins_anew() {
    for encrypted in [false, true] {
        let (bench, outcome, asked) =
            cut_then(encrypted, &Step::Pause(Duration::ZERO), |asked| Answer::file(asked, &record(700, 2.0), "\"2\""));
        assert_eq!((outcome, bench.good_copy(STATION), asked.len()), (Outcome::Fetched, Some(record(700, 2.0)), 2));
    }
    // A server that sends a part of the new version all the same.
    let (bench, outcome, asked) = cut_then(false, &Step::Pause(Duration::ZERO), |asked| {
        let new = record(600, 2.0);
        match asked.before {
            1 => Answer::new(206, &new[AT..])
                .header("ETag", "\"2\"")
                .header("Content-Range", &format!("bytes {AT}-{}/{}", new.len() - 1, new.len())),
            _ => Answer::file(asked, &new, "\"2\""),
        }
    });
    assert_eq!((outcome, bench.good_copy(STATION)), (Outcome::Fetched, Some(record(600, 2.0))));
    assert_eq!((asked.len(), asked[2].header("range")), (3, None));
    // The same without a word on which version: a server that gave a tag has to give it again (RFC 9110, section 15.3.7).
    let (bench, outcome, asked) = cut_then(false, &Step::Pause(Duration::ZERO), |asked| {
        let new = record(600, 2.0);
        match asked.before {
            1 => Answer::new(206, &new[AT..]).header("Content-Range", &format!("bytes {AT}-{}/{}", new.len() - 1, new.len())),
            _ => Answer::file(asked, &new, "\"2\""),
        }
    });
    assert_eq!((outcome, bench.good_copy(STATION)), (Outcome::Fetched, Some(record(600, 2.0))));
    assert_eq!((asked.len(), asked[2].header("range")), (3, None));
}

#[test]
fn a_server_without_ranges_sends_the_whole_again() {
    let (bench, outcome, asked) =
        cut_then(true, &Step::Pause(Duration::ZERO), |_| Answer::new(200, record(600, 1.0)).header("ETag", "\"1\""));
    assert_eq!((outcome, bench.good_copy(STATION), asked.len()), (Outcome::Fetched, Some(record(600, 1.0)), 2));
}

#[test]
fn a_wrong_range_is_refused_and_the_file_begun_anew() {
    let size = record(600, 1.0).len();
    for range in [format!("bytes 0-{}/{size}", size - 1), format!("bytes {AT}-{}/{}", size, size + 1), "bytes".to_owned(), String::new()] {
        let (bench, outcome, asked) = cut_then(false, &Step::Pause(Duration::ZERO), move |asked| match asked.before {
            1 => Answer::new(206, &record(600, 1.0)[AT..]).header("ETag", "\"1\"").header("Content-Range", &range),
            _ => Answer::file(asked, &record(600, 1.0), "\"1\""),
        });
        assert_eq!((outcome, bench.good_copy(STATION)), (Outcome::Fetched, Some(record(600, 1.0))));
        assert_eq!((asked.len(), asked[2].header("range")), (3, None));
    }
    let (_, outcome, asked) = cut_then(false, &Step::Pause(Duration::ZERO), |asked| match asked.before {
        1 => Answer::new(416, ""),
        _ => Answer::file(asked, &record(600, 1.0), "\"1\""),
    });
    assert_eq!((outcome, asked[2].header("range")), (Outcome::Fetched, None));
}

#[test]
fn only_a_strong_validator_is_relied_on() {
    for (tag, changed, made, relied_on) in [
        ("W/\"1\"", "", "", None),
        ("", "Thu, 27 Mar 2031 06:00:00 GMT", "Fri, 28 Mar 2031 12:00:00 GMT", Some("Thu, 27 Mar 2031 06:00:00 GMT")),
        // Changed in the second of the answer: it may change again in it (RFC 9110, section 8.8.2.2).
        ("", "Fri, 28 Mar 2031 12:00:00 GMT", "Fri, 28 Mar 2031 12:00:00 GMT", None),
    ] {
        let bench = Bench::new();
        let server = server(false, move |asked| {
            let headers = [("ETag", tag), ("Last-Modified", changed), ("Date", made)];
            let answer = headers
                .into_iter()
                .filter(|(_, value)| !value.is_empty())
                .fold(Answer::new(200, record(600, 1.0)), |answer, (name, value)| answer.header(name, value));
            if asked.before == 0 { answer.but_after(AT, Step::Pause(Duration::ZERO)) } else { answer }
        });
        assert_eq!(bench.bring(&server, STATION).outcome, Outcome::Fetched);
        assert_eq!((server.asked().len(), server.asked()[1].header("if-range")), (2, relied_on), "{tag}{changed}");
    }
}

#[test]
fn a_wrong_length_is_seen_both_ways() {
    for encrypted in [false, true] {
        // More announced than comes: tried again, and given up.
        let bench = Bench::new();
        let body = record(600, 1.0);
        let longer = server(encrypted, {
            let body = body.clone();
            move |_| Answer::new(200, &*body).announcing(body.len() + 10)
        });
        assert_eq!(fault(&bench.bring(&longer, STATION).outcome).0, "download-cut-short");
        assert_eq!(longer.asked().len(), 6);
        // Less announced than comes: HTTP ends the file there, in the middle of a line.
        let shorter = server(encrypted, move |_| Answer::new(200, &*body).announcing(body.len() - 40));
        let (id, words) = fault(&bench.bring(&shorter, STATION).outcome);
        assert!(id == "download-cut-short" && words.contains("last line"), "{words}");
        assert_eq!((shorter.asked().len(), bench.good_copy(STATION)), (1, None));
    }
}

#[test]
fn a_body_whose_end_nothing_tells_is_refused() {
    let bench = Bench::new();
    let open_end = server(false, |_| Answer::new(200, record(600, 1.0)).announcing_nothing());
    assert_eq!(fault(&bench.bring(&open_end, STATION).outcome).0, "download-length-unknown");
    // In chunks it is told (RFC 9112, section 7.1).
    let chunks = server(false, |asked| {
        let body = record(600, 1.0);
        let chunked = [format!("{:x}\r\n", body.len()).as_bytes(), body.as_slice(), b"\r\n0\r\n\r\n"].concat();
        let answer = Answer::new(200, chunked).announcing_nothing().header("Transfer-Encoding", "chunked");
        if asked.before == 0 { answer.but_after(AT, Step::Pause(Duration::ZERO)) } else { answer }
    });
    assert_eq!(bench.bring(&chunks, STATION).outcome, Outcome::Fetched);
    assert_eq!((chunks.asked().len(), bench.good_copy(STATION)), (2, Some(record(600, 1.0))));
}
