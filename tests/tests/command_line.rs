//! The command from outside: exit codes, streams, JSON, pipes, colours, output folders, the same bytes twice.
//!
//! Source of every rule: DESIGN section 4 and the issue ("Commands", "Bad input").

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use tests::command::{Ran, call, finish, rainworth, run};
use tests::folders::{names, repository, sample, text, tree, with_file};

const GOOD: &str = "sample-data/stations/XX0INVENT01.dly";
const FLAGGED: &str = "sample-data/stations/XX0INVENT05.dly";
const NURSERY: &str = "sample-data/nursery.toml";

#[test]
fn a_wrong_call_is_2_a_failed_job_1_a_done_one_0() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    let cases: [(&[&str], i32); 17] = [
        (&["--help"], 0),
        (&["assess", "--help"], 0),
        (&["--version"], 0),
        (&["define"], 0),
        (&["define", "rain.normal"], 0),
        (&["record", GOOD], 0),
        (&["rain", GOOD], 0),
        (&["record", FLAGGED], 0),
        (&["record", FLAGGED, "--strict"], 1),
        (&["record", "no-such-file.dly"], 1),
        (&["rain", "no-such-file.dly"], 1),
        (&["assess", "no-such-file.toml", "--out", text(&out)], 1),
        (&[], 2),
        (&["assess", NURSERY], 2),
        (&["no-such-command"], 2),
        (&["rain", GOOD, "--normal-share", "80"], 2),
        (&["define", "no.such.fact"], 2),
    ];
    for (arguments, code) in cases {
        let ran = run(arguments);
        assert_eq!(ran.code, code, "{arguments:?}: {ran:?}");
        // Data on standard output; whatever went wrong is said on the other.
        assert_eq!(ran.stdout.is_empty(), code != 0 && arguments != ["record", FLAGGED, "--strict"], "{arguments:?}: {ran:?}");
        assert!(code == 0 || !ran.stderr.trim().is_empty(), "{arguments:?} fails without a word");
    }
    assert!(!out.exists());
    // A folder needs a place for its tables: that is the call, not the job.
    assert_eq!(run(&["rain", "sample-data/stations"]).code, 2);
}

#[test]
fn help_has_an_example_for_every_command() {
    for command in ["assess", "rain", "record", "define", "templates"] {
        let help = run(&[command, "--help"]).stdout;
        assert!(help.contains(&format!("rainworth {command} ")) && help.contains("Example"), "{help}");
    }
}

#[test]
fn data_goes_to_one_stream_and_all_else_to_the_other() {
    let record = run(&["record", FLAGGED]);
    assert!(record.stdout.contains("XX0INVENT05") && !record.stdout.contains("warning["), "{}", record.stdout);
    assert!(record.stderr.contains("warning[reading-flagged]"));
    let place = tempfile::tempdir().unwrap();
    let assessed = run(&["assess", NURSERY, "--out", text(&place.path().join("out"))]);
    assert_eq!((assessed.code, assessed.stdout.as_str()), (0, ""));
    assert!(assessed.stderr.contains("report.html"));
    let tables = run(&["rain", "sample-data/stations", "--out", text(&place.path().join("tables"))]);
    assert_eq!((tables.code, tables.stdout.as_str()), (0, ""));
}

/// The ids of the diagnostics in an answer, wherever it carries them.
fn ids(answer: &serde_json::Value) -> Vec<String> {
    let one = |value: &serde_json::Value| -> Vec<String> {
        value["diagnostics"]["list"].as_array().unwrap().iter().map(|found| found["id"].as_str().unwrap().to_owned()).collect()
    };
    let mut ids = one(answer);
    for station in answer["stations"].as_array().into_iter().flatten() {
        let station = if station["record"].is_null() { station } else { &station["record"] };
        ids.extend(one(station));
    }
    ids
}

#[test]
fn json_parses_on_success_and_on_failure_and_carries_diagnostics() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    let missing = "no-such-file.dly";
    for (arguments, id) in [
        (vec!["record", "--json", FLAGGED], "reading-flagged"),
        (vec!["record", "--json", missing], "file-unreadable"),
        (vec!["record", "--json", GOOD, missing], "file-unreadable"),
        (vec!["rain", "--json", FLAGGED], "reading-flagged"),
        (vec!["rain", "--json", missing], "file-unreadable"),
        (vec!["assess", "--json", NURSERY, "--out", text(&out)], "frost-without-rest"),
    ] {
        let answer = run(&arguments).json();
        assert!(ids(&answer).iter().any(|found| found == id), "{arguments:?}");
    }
    let (_keep, bad) = with_file("bad.toml", sample("nursery.toml").replace("\"64 m2\"", "\"-64 m2\""));
    let failed = run(&["assess", "--json", text(&bad), "--out", text(&place.path().join("never"))]);
    let answer = failed.json();
    assert!(failed.code == 1 && answer["error"].as_str().is_some_and(|error| error.contains("bad.toml")), "{answer:#}");
    assert!(ids(&answer).contains(&"value-out-of-range".to_owned()));
    for arguments in [vec!["assess", "--json", "no-such-file.toml", "--out", "x"], vec!["define", "--json", "rain.normal"]] {
        run(&arguments).json();
    }
    // What is printed is what is written.
    let written: serde_json::Value = serde_json::from_slice(&fs::read(out.join("report.json")).unwrap()).unwrap();
    let printed = run(&["assess", "--json", NURSERY, "--out", text(&out)]).json();
    assert_eq!(printed, written);
}

#[test]
fn tables_of_a_folder_answer_in_json_too() {
    let place = tempfile::tempdir().unwrap();
    let empty = place.path().join("empty");
    fs::create_dir(&empty).unwrap();
    for (folder, code) in [("sample-data/stations", 0), (text(&empty), 1)] {
        let ran = run(&["rain", "--json", folder, "--out", text(&place.path().join("tables"))]);
        assert_eq!(ran.code, code, "{ran:?}");
        assert!(ran.json()["diagnostics"].is_object(), "{folder}");
    }
}

#[test]
fn record_adds_up_for_every_sample_station() {
    let files: Vec<String> =
        names(&repository().join("sample-data/stations")).iter().map(|name| format!("sample-data/stations/{name}")).collect();
    let mut arguments = vec!["record", "--json"];
    arguments.extend(files.iter().map(String::as_str));
    let answer = run(&arguments).json();
    assert_eq!(answer["stations"].as_array().unwrap().len(), 5);
    for station in answer["stations"].as_array().unwrap() {
        let days = |kind: &str| station["days"][kind].as_u64().unwrap();
        let parts: u64 = ["measured", "trace", "accumulated", "rejected", "missing"].into_iter().map(days).sum();
        assert_eq!(parts, days("calendar"));
        assert!(station["first_day"].is_string() && station["last_day"].is_string() && station["total_mm"].is_number());
        assert!(station["greatest_day"]["date"].is_string() && station["greatest_day"]["depth_mm"].is_number());
    }
    // A station whose temperatures are there and whose rain is not: zero days, and no greatest one.
    let text_of = testkit::DlyText::new("XXT00000001").temperature_c((2001, 1, 1), 4.0, -2.0).to_text();
    let (_keep, file) = with_file("dry.dly", text_of);
    let ran = run(&["record", "--json", text(&file)]);
    let answer = ran.json();
    assert_eq!((ran.code, answer["days"]["calendar"].as_u64(), answer["greatest_day"].is_null()), (0, Some(0), true));
}

#[test]
fn a_closed_pipe_is_success() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    for arguments in [
        vec!["rain", GOOD],
        vec!["rain", "--json", GOOD],
        vec!["record", "--json", FLAGGED],
        vec!["define"],
        vec!["assess", NURSERY, "--json", "--out", text(&out)],
    ] {
        let mut child = call(&arguments).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        assert!(!line.is_empty());
        assert_eq!(child.wait().unwrap().code(), Some(0), "{arguments:?} into a closed pipe");
    }
    assert!(out.join("report.html").is_file());
}

#[test]
fn no_escape_codes_in_a_pipe_or_with_no_color() {
    for arguments in [["record", FLAGGED], ["rain", FLAGGED], ["record", "no-such-file.dly"], ["define", "no.such"], ["assess", "--help"]] {
        let mut quiet = call(&arguments);
        quiet.env("NO_COLOR", "1").env("TERM", "xterm-256color");
        let mut plain = call(&arguments);
        plain.env_remove("NO_COLOR").env("TERM", "xterm-256color");
        for ran in [finish(quiet), finish(plain)] {
            assert!(!ran.stdout.contains('\u{1b}') && !ran.stderr.contains('\u{1b}'), "{arguments:?}: {ran:?}");
        }
    }
    // The same on a terminal, where one can be had.
    let line = format!("{} record {FLAGGED}", rainworth().display());
    let terminal = Command::new("script")
        .args(["-qec", &line, "/dev/null"])
        .env("NO_COLOR", "1")
        .env("TERM", "xterm-256color")
        .current_dir(repository())
        .stdin(Stdio::null())
        .output();
    if let Ok(output) = terminal {
        let shown = String::from_utf8_lossy(&output.stdout);
        assert!(shown.contains("XX0INVENT05") && !shown.contains('\u{1b}'), "{shown}");
    }
}

#[test]
fn a_folder_of_somebody_else_is_refused_and_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let theirs = place.path().join("photos");
    fs::create_dir_all(theirs.join("2024")).unwrap();
    fs::write(theirs.join("2024/cat.jpg"), "cat").unwrap();
    let before = tree(&theirs);
    for arguments in [["assess", NURSERY, "--out", text(&theirs)], ["rain", "sample-data/stations", "--out", text(&theirs)]] {
        let ran = run(&arguments);
        assert_eq!(ran.code, 1, "{ran:?}");
        assert!(ran.stderr.contains("photos") && ran.stderr.contains("not empty"), "{ran:?}");
        assert_eq!((tree(&theirs), names(place.path())), (before.clone(), vec!["photos".to_owned()]));
    }
    // A file in the way, too.
    let file = place.path().join("note.txt");
    fs::write(&file, "note").unwrap();
    assert_eq!(run(&["assess", NURSERY, "--out", text(&file)]).code, 1);
    assert_eq!(fs::read_to_string(&file).unwrap(), "note");
    assert_eq!(names(place.path()), ["note.txt", "photos"]);
}

#[test]
fn a_report_is_replaced_whole_and_survives_a_failed_run() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("report");
    assert_eq!(run(&["assess", "sample-data/orchard.toml", "--out", text(&out)]).code, 0);
    // A file that somebody put there is theirs: nothing is replaced while it stands.
    fs::write(out.join("tables/notes.csv"), "mine").unwrap();
    let before = tree(&out);
    let refused = run(&["assess", NURSERY, "--out", text(&out)]);
    assert_eq!((refused.code, tree(&out)), (1, before), "{refused:?}");
    assert!(refused.stderr.contains("notes.csv"), "{refused:?}");
    fs::remove_file(out.join("tables/notes.csv")).unwrap();
    assert_eq!(run(&["assess", NURSERY, "--out", text(&out)]).code, 0);
    let whole = tree(&out);
    let (_keep, bad) = with_file("bad.toml", sample("nursery.toml").replace("\"64 m2\"", "\"64 mm2\""));
    assert_eq!(run(&["assess", text(&bad), "--out", text(&out)]).code, 1);
    assert_eq!((tree(&out), names(place.path())), (whole, vec!["report".to_owned()]));
}

/// The files of a run into a fresh folder, with these settings of the environment.
fn files_of(arguments: &[&str], threads: Option<&str>) -> std::collections::BTreeMap<String, Vec<u8>> {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    let mut command = call(arguments);
    command.arg("--out").arg(&out);
    if let Some(threads) = threads {
        command.env("RAYON_NUM_THREADS", threads);
    }
    let ran = finish(command);
    assert_eq!(ran.code, 0, "{ran:?}");
    tree(&out)
}

#[test]
fn the_same_inputs_give_the_same_bytes_at_any_thread_count() {
    let calls: [&[&str]; 3] = [
        &["assess", NURSERY, "--prepared-on", "2026-11-20"],
        &["assess", "sample-data/orchard.toml", "--prepared-on", "2026-11-20"],
        &["rain", "sample-data/stations"],
    ];
    for arguments in calls {
        let first = files_of(arguments, None);
        assert!(first.len() >= 2);
        for threads in [None, Some("1"), Some("2"), Some("7")] {
            let again = files_of(arguments, threads);
            assert_eq!(first.keys().collect::<Vec<_>>(), again.keys().collect::<Vec<_>>());
            for (name, bytes) in &first {
                assert!(again[name] == *bytes, "{arguments:?}: {name} differs with {threads:?} threads");
            }
        }
    }
}

#[test]
fn every_fact_of_a_report_can_be_asked_for() {
    let place = tempfile::tempdir().unwrap();
    let mut asked = 0;
    for site in ["nursery", "orchard"] {
        let out = place.path().join(site);
        assert_eq!(run(&["assess", &format!("sample-data/{site}.toml"), "--out", text(&out)]).code, 0);
        let report = tests::report::Report::read(&out);
        // The listing has every method; one id of each is asked for with its keys.
        let listed = run(&["define", "--json"]).json();
        let methods: Vec<&str> = listed.as_array().unwrap().iter().map(|definition| definition["method"].as_str().unwrap()).collect();
        let mut last = String::new();
        for id in report.facts().keys() {
            let method = id.split('/').next().unwrap();
            assert!(methods.contains(&method), "{id} has no definition");
            if method != last {
                let ran = run(&["define", id]);
                assert_eq!(ran.code, 0, "{ran:?}");
                assert!(ran.stdout.contains(method) && ran.stdout.lines().count() >= 4, "{}", ran.stdout);
                last = method.to_owned();
                asked += 1;
            }
        }
    }
    assert!(asked > 200, "{asked}");
    let near = run(&["define", "rain.normale"]);
    assert!(near.code == 2 && near.stderr.contains("rain.normal"), "{near:?}");
}

/// Two years of the good sample station, as lines.
fn two_years() -> Vec<String> {
    let text = fs::read_to_string(repository().join(GOOD)).unwrap();
    text.lines().filter(|line| ["1990", "1991"].contains(&&line[11..15])).map(|line| format!("{line}\n")).collect()
}

/// A record with its fourth line of rain changed.
fn changed(change: impl Fn(&str) -> String) -> Vec<u8> {
    let mut lines = two_years();
    let at = (0..lines.len()).filter(|i| &lines[*i][17..21] == "PRCP").nth(3).unwrap();
    lines[at] = change(&lines[at]);
    lines.concat().into_bytes()
}

#[test]
fn bad_station_files_cost_what_design_says() {
    let whole = two_years().concat();
    let mut gzip = vec![0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 3];
    gzip.extend_from_slice(whole.as_bytes());
    let long = format!("{}{}\n{}", &whole[..270 * 4], "x".repeat((1 << 20) + 1), &whole[270 * 4..]);
    // DESIGN section 2: a line fault rejects its value and is counted (exit 0); a file fault ends the reading (exit 1).
    // Days lost, exit code, id.
    let cases: [(&str, Vec<u8>, i32, Option<&str>); 12] = [
        ("plain", whole.clone().into_bytes(), 0, None),
        ("windows line ends", whole.replace('\n', "\r\n").into_bytes(), 0, None),
        ("truncated line", changed(|line| format!("{}\n", &line[..101])), 0, Some("line-too-short")),
        ("letters in a number", changed(|line| format!("{} 1x2 {}", &line[..21], &line[26..])), 0, Some("value-unreadable")),
        ("NUL bytes in a number", changed(|line| format!("{}\0\0\0\0\0{}", &line[..21], &line[26..])), 0, Some("value-unreadable")),
        ("month 13", changed(|line| format!("{}13{}", &line[..15], &line[17..])), 0, Some("impossible-month")),
        ("31 April", changed(|line| format!("{}   12  v{}", &line[..261], &line[269..])), 0, Some("day-that-never-was")),
        ("a line over 1 MiB", long.into_bytes(), 0, Some("line-over-one-mebibyte")),
        ("nothing", Vec::new(), 1, Some("file-empty")),
        ("a web page", b"<!DOCTYPE html>\n<html><body>Not found</body></html>\n".to_vec(), 1, Some("file-is-a-web-page")),
        ("NUL bytes alone", vec![0; 4000], 1, Some("file-is-binary")),
        ("no gzip behind its mark", gzip, 1, Some("file-damaged")),
    ];
    let expected = {
        let (_keep, file) = with_file("station.dly", &whole);
        run(&["record", "--json", text(&file)]).json()
    };
    for (case, bytes, code, id) in cases {
        let (place, file) = with_file("station.dly", bytes);
        for command in ["record", "rain"] {
            let ran = run(&[command, "--json", text(&file)]);
            assert_eq!(ran.code, code, "{case}: {ran:?}");
            let found = ids(&ran.json());
            match id {
                Some(id) => {
                    assert!(found.contains(&id.to_owned()), "{case}: {found:?}");
                    assert!(ran.stderr.contains("station.dly") && ran.stderr.contains(&format!("[{id}]")), "{case}: {}", ran.stderr);
                }
                None => assert!(found.is_empty() && ran.stderr.is_empty(), "{case}: {found:?}"),
            }
            if command == "record" && code == 0 {
                let answer = ran.json();
                let station = if answer["stations"].is_null() { &answer } else { &answer["stations"][0] };
                assert_eq!(station["days"]["calendar"], expected["days"]["calendar"], "{case}");
                let untouched = id.is_none() || id == Some("line-over-one-mebibyte") || id == Some("day-that-never-was");
                assert_eq!(station["days"] == expected["days"] && station["total_mm"] == expected["total_mm"], untouched, "{case}");
            }
        }
        let strict = run(&["record", "--strict", text(&file)]);
        assert_eq!(strict.code, i32::from(id.is_some()), "{case} with --strict: {strict:?}");
        // As the one record of a site: a file fault fails the job and leaves nothing; a line fault is a finding of the report, here of two
        // years only, which may be too few for the job but never for a panic.
        let (_keep, site) = with_file("site.toml", site_with_record(&file));
        let out = place.path().join("out");
        let ran = run(&["assess", "--json", text(&site), "--out", text(&out)]);
        assert!(code == 0 || ran.code == 1, "{case}: {ran:?}");
        assert_eq!(out.exists(), ran.code == 0, "{case}");
        if let Some(id) = id {
            assert!(ids(&ran.json()).contains(&id.to_owned()) || ran.stdout.contains(id), "{case}: {}", ran.stdout);
        }
    }
}

/// The nursery with one record file in place of its folder.
fn site_with_record(file: &Path) -> String {
    let text = sample("nursery.toml");
    let start = text.find("[records]").unwrap();
    let end = text[start..].find("\n\n").unwrap() + start;
    format!("{}[records]\nfiles = [\"{}\"]{}", &text[..start], file.display(), &text[end..])
}

#[test]
fn bad_site_files_are_refused_with_their_place() {
    let good = sample("nursery.toml");
    let swap = |from: &str, to: &str| {
        let changed = good.replacen(from, to, 1);
        assert_ne!(changed, good, "{from}");
        changed.into_bytes()
    };
    // The change, the id, and the text of the line that the message must name.
    let cases: [(&str, Vec<u8>, &str, &str); 8] = [
        ("a negative roof", swap("\"64 m2\"", "\"-64 m2\""), "value-out-of-range", "-64 m2"),
        ("units swapped", swap("\"64 m2\"", "\"64 mm2\""), "quantity-unreadable", "64 mm2"),
        ("a depth for an area", swap("\"64 m2\"", "\"64 mm\""), "quantity-unreadable", "\"64 mm\""),
        (
            "a tank larger than its space",
            swap("length = \"2.6 m\"", "length = \"1.1 m\""),
            "store-larger-than-space",
            "diameter = \"1.22 m\"",
        ),
        ("a tank that its shape cannot hold", swap("\"1500 L\"", "\"90 m3\""), "keys-contradict", "90 m3"),
        ("a key mistyped", swap("plan_area", "plan_areas"), "key-unknown", "plan_areas"),
        ("no number", swap("latitude = 44.482", "latitude = \"north\""), "value-wrong-type", "north"),
        ("no TOML", swap("[site]", "[site"), "toml-syntax", "[site"),
    ];
    for (case, bytes, id, on_line) in cases {
        let line = 1 + String::from_utf8(bytes.clone()).unwrap().lines().position(|line| line.contains(on_line)).unwrap();
        let ran = refused(case, &bytes);
        assert!(ran.stderr.contains(&format!("site.toml:{line}")), "{case}, line {line}: {}", ran.stderr);
        assert!(ids(&ran.json()).contains(&id.to_owned()), "{case}: {}", ran.stdout);
        let found = ran.json()["diagnostics"]["list"].clone();
        let placed = found.as_array().unwrap().iter().any(|one| one["id"] == id && one["line"] == line && one["severity"] == "error");
        assert!(placed, "{case}: {found:#}");
    }
    // All faults at once, with the nearest key.
    let two = String::from_utf8(swap("\"64 m2\"", "\"-64 m2\"")).unwrap().replace("tariff_per_m3", "tarif_per_m3");
    let ran = refused("two faults", two.as_bytes());
    assert!(ran.stderr.contains("-64 m2") && ran.stderr.contains("tariff_per_m3"), "{}", ran.stderr);
    // What is not there is named.
    for (case, bytes, named) in [
        ("a station that is not there", swap("station = \"XX0INVENT01\"", "station = \"XX0NOSUCH01\""), "XX0NOSUCH01"),
        ("a folder that is not there", swap("/stations\"", "/no-such-folder\""), "no-such-folder"),
        ("a list that is not there", swap("ghcnd-stations.txt", "no-such-list.txt"), "no-such-list.txt"),
        ("bytes that are no text", [b"format = 1\n[site]\nname = \"".as_slice(), &[0xff, 0xfe], b"\"\n"].concat(), "site.toml"),
        ("a file of nothing", Vec::new(), "site.toml"),
    ] {
        let ran = refused(case, &bytes);
        assert!(ran.stderr.contains(named) && ran.json()["error"].is_string(), "{case}: {}", ran.stderr);
    }
    let ran = run(&["assess", "no-such-site.toml", "--out", "never"]);
    assert!(ran.code == 1 && ran.stderr.contains("no-such-site.toml"), "{ran:?}");
    assert!(!repository().join("never").exists());
}

/// A site file that must be refused: exit 1, and not a trace of a folder.
fn refused(case: &str, bytes: &[u8]) -> Ran {
    let (place, file) = with_file("site.toml", bytes);
    let ran = run(&["assess", "--json", text(&file), "--out", text(&place.path().join("out"))]);
    assert_eq!(ran.code, 1, "{case}: {ran:?}");
    assert_eq!(names(place.path()), ["site.toml"], "{case}");
    ran
}
