//! `rainworth download --site`: what a site file names, and what of it nobody is asked for.

use crate::command::{command, run};
use crate::record;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use testkit::server::{Answer, Server};

/// The nursery's site file with other lines for its records.
fn site(place: &Path, files: &str, list: &str, period: &str) -> PathBuf {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data/nursery.toml");
    let sample = fs::read_to_string(sample).unwrap();
    let lines = sample.lines().map(|line| match line.split('=').next().unwrap_or_default().trim() {
        "folder" => format!("files = {files}"),
        "station_list" => list.to_owned(),
        "station" | "normals" => String::new(),
        "period" => period.to_owned(),
        _ => line.to_owned(),
    });
    let file = place.join("site.toml");
    fs::write(&file, lines.collect::<Vec<_>>().join("\n")).unwrap();
    file
}

fn server() -> Server {
    Server::plain(|asked| match asked.path.as_str() {
        "/ncei/ghcn-daily/all/XX000000001.dly" => Answer::file(asked, &record(600, 1.0), "\"1\""),
        "/ncei/ghcn-daily/ghcnd-stations.txt" => {
            Answer::new(200, "XX000000001  47.1000   11.1000  500.0    INVENTED VALLEY                             \n")
        }
        _ => Answer::new(404, ""),
    })
    .unwrap()
}

/// What the server was asked for, by the alphabet.
fn asked(server: &Server) -> Vec<String> {
    let mut paths: Vec<String> = server.asked().into_iter().map(|asked| asked.path).collect();
    paths.sort();
    paths
}

#[test]
fn what_a_site_file_names_is_brought_and_the_rest_is_told() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive");
    // A file of the very name of a station goes before the archive.
    fs::write(place.path().join("ghcn-daily:XX000000002"), record(10, 1.0)).unwrap();
    let files = r#"["ghcn-daily:XX000000001", "ghcn-daily:XX000000002", "own/log.csv"]"#;
    let site = site(place.path(), files, "station_list = \"ghcn-daily\"", "");
    let server = server();
    let call = ["download", "--site", site.to_str().unwrap(), "--mirror", &server.url(), "--json"];
    let (code, answer, errors) = run(&archive, &call);
    assert_eq!(code, 0, "{answer:#}\n{errors}");
    let told: Vec<&str> = answer["files"].as_array().unwrap().iter().map(|file| file["outcome"].as_str().unwrap()).collect();
    assert_eq!(told, ["fetched"; 2]);
    assert_eq!(answer["not_asked"], serde_json::json!(["the record ghcn-daily:XX000000002", "the record own/log.csv"]));
    assert!(errors.contains("not asked for: the record own/log.csv"), "{errors}");
    // The inventory is read by nothing that a site file names.
    assert_eq!(asked(&server), ["/ncei/ghcn-daily/all/XX000000001.dly", "/ncei/ghcn-daily/ghcnd-stations.txt"]);
}

#[test]
fn years_are_those_of_the_period_or_of_the_call() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive");
    let years = |period: &str, more: &[&str]| {
        let site = site(place.path(), "[\"gsod:72503014732\"]", "", period);
        let server = server();
        let url = server.url();
        let call = [&["download", "--site", site.to_str().unwrap(), "--mirror", &url, "--json"], more].concat();
        let (code, answer, errors) = run(&archive, &call);
        (code, answer["error"].as_str().unwrap_or_default().to_owned() + &errors, asked(&server))
    };
    let of = |years: std::ops::RangeInclusive<u16>| years.map(|year| format!("/ncei/gsod/{year}/72503014732.csv")).collect::<Vec<_>>();
    assert_eq!(years("period = \"2001-2003\"", &[]).2, of(2001..=2003));
    assert_eq!(years("period = \"2001-2003\"", &["--years", "1999-2000"]).2, of(1999..=2000));
    let (code, words, asked) = years("", &[]);
    assert!(code == 2 && asked.is_empty() && words.contains("site.toml") && words.contains("period"), "{words}");
}

#[test]
fn a_site_file_that_asks_for_nothing_or_wrongly_is_told() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive");
    let told = |files: &str, list: &str| {
        let site = site(place.path(), files, list, "");
        let (code, answer, errors) = run(&archive, &["download", "--site", site.to_str().unwrap(), "--offline", "--json"]);
        (code, answer, errors)
    };
    let (code, answer, _) = told("[\"a.dly\"]", "station_list = \"list.txt\"");
    assert_eq!((code, &answer["files"]), (0, &Value::Array(Vec::new())), "{answer:#}");
    assert_eq!(answer["not_asked"], serde_json::json!(["the station list list.txt", "the record a.dly"]));
    let (code, answer, _) = told("[\"ghcn-daily:US\"]", "");
    assert!(code == 2 && answer["error"].as_str().unwrap().contains("expected 11 letters and digits"), "{answer:#}");
    let (code, answer, _) = told("[\"a.dly\"]", "station_list = \"gsod\"");
    assert!(code == 2 && answer["error"].as_str().unwrap().contains("no list of stations is read"), "{answer:#}");
    // Faults of the site file are told as `assess` tells them.
    let (code, answer, errors) = told("[]", "");
    assert!(code == 1 && answer["error"].as_str().unwrap().contains("nothing was asked for") && errors.contains("site.toml"), "{answer:#}");
}

#[test]
fn assess_names_all_that_is_missing_and_the_call_that_brings_it() {
    let place = tempfile::tempdir().unwrap();
    let site = site(place.path(), r#"["ghcn-daily:XX000000001", "ghcn-daily:XX000000002"]"#, "station_list = \"ghcn-daily\"", "");
    // The archive of a call is no folder beside the site file.
    let mut assess = command(Path::new("archive"), &["assess", site.to_str().unwrap(), "--out", "out", "--json"]);
    let answer: Value = serde_json::from_slice(&assess.current_dir(place.path()).output().unwrap().stdout).unwrap();
    let error = answer["error"].as_str().unwrap();
    for words in
        ["ghcn-daily:XX000000001", "ghcn-daily:XX000000002", "the station list of ghcn-daily", "rainworth download --site", "site.toml"]
    {
        assert!(error.contains(words), "{words}: {error}");
    }
}

#[test]
fn a_file_that_is_there_without_its_sidecar_is_told_apart_from_none() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("v1").join(crate::PATH);
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(&file, record(10, 1.0)).unwrap();
    let (code, answer, _) = run(place.path(), &["record", crate::STATION, "--json"]);
    let error = answer["error"].as_str().unwrap();
    assert!(code == 1 && error.contains(file.to_str().unwrap()) && error.contains("sidecar"), "{error}");
}
