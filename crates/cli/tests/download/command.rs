//! `rainworth download` as a person or a program calls it, and the commands that read the archive.

use crate::{DONE, PATH, STATION, names, record};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;
use testkit::server::{Answer, Server};

/// The command with an archive and nothing else of this machine's settings; the answer as JSON where it is some.
pub(crate) fn command(archive: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_rainworth"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("RAINWORTH_") || name.to_lowercase().ends_with("_proxy")) {
        command.env_remove(name);
    }
    command.args(arguments).env("RAINWORTH_ARCHIVE", archive).env("RAINWORTH_FIRST_WAIT_SECONDS", "0.004").stdin(Stdio::null());
    command
}

pub(crate) fn run(archive: &Path, arguments: &[&str]) -> (i32, Value, String) {
    let Output { status, stdout, stderr } = command(archive, arguments).output().unwrap();
    (status.code().unwrap(), serde_json::from_slice(&stdout).unwrap_or(Value::Null), String::from_utf8(stderr).unwrap())
}

fn good() -> Server {
    Server::plain(|asked| match asked.path.strip_prefix('/') {
        Some(PATH) => Answer::file(asked, &record(600, 1.0), "\"1\""),
        Some("ncei/ghcn-daily/ghcnd-stations.txt") => {
            Answer::new(200, "XX000000001  47.1000   11.1000  500.0    INVENTED VALLEY                             \n")
        }
        Some("ncei/ghcn-daily/ghcnd-inventory.txt") => Answer::new(200, "XX000000001  47.1000   11.1000 PRCP 2001 2002\n"),
        _ => Answer::new(404, ""),
    })
    .unwrap()
}

#[test]
fn what_is_brought_can_be_read_without_a_network() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive");
    // Another version's folder is nobody's business.
    fs::create_dir_all(archive.join("v2/ncei")).unwrap();
    fs::write(archive.join("v2/ncei/x"), "x").unwrap();
    let server = good();
    let (code, answer, _) = run(&archive, &["record", STATION, "--json"]);
    assert!(code == 1 && answer["error"].as_str().unwrap().contains("rainworth download ghcn-daily:XX000000001"), "{answer:#}");
    let call = ["download", STATION, "--lists", "ghcn-daily", "--mirror", &server.url(), "--json"];
    let (code, answer, errors) = run(&archive, &call);
    assert_eq!(code, 0, "{answer:#}\n{errors}");
    let files = answer["files"].as_array().unwrap();
    let told: Vec<&str> = files.iter().map(|file| file["outcome"].as_str().unwrap()).collect();
    assert_eq!(told, ["fetched"; 3]);
    assert_eq!(files[2]["path"], PATH);
    assert_eq!(files[2]["sha256"], ingest::checksum_of(&record(600, 1.0)));
    assert!(answer["products"][0]["attribution"].as_str().unwrap().contains("10.7289/V5D21VHZ"), "{answer:#}");
    assert_eq!(run(&archive, &call).1["files"][2]["outcome"], "unchanged");
    drop(server);
    let (code, answer, errors) = run(&archive, &["download", STATION, "--offline", "--json"]);
    assert_eq!((code, &answer["files"][0]["outcome"]), (0, &"in-archive".into()), "{errors}");
    let (code, answer, errors) = run(&archive, &["record", STATION, "--json"]);
    assert_eq!((code, &answer["station"]["id"]), (0, &"XX000000001".into()), "{answer:#}\n{errors}");
    assert_eq!(run(&archive, &["rain", STATION, "--json"]).0, 0);
    assert_eq!(names(&archive.join("v1").join(PATH)), DONE);
    assert_eq!(fs::read_to_string(archive.join("v2/ncei/x")).unwrap(), "x");
    // The archive's folder as a folder of records: what lies beside the records is passed over in silence.
    let folder = archive.join("v1").join(PATH).parent().unwrap().to_owned();
    let (code, answer, _) =
        run(&archive, &["rain", folder.to_str().unwrap(), "--out", place.path().join("out").to_str().unwrap(), "--json"]);
    assert_eq!((code, &answer["files"], &answer["passed_over"]), (0, &1.into(), &Value::Array(Vec::new())), "{answer:#}");
}

#[test]
fn a_site_file_may_name_a_station_of_the_archive() {
    let place = tempfile::tempdir().unwrap();
    let (archive, mirror) = (place.path().join("archive"), place.path().join("mirror"));
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data");
    let station = fs::read(sample.join("stations/XX0INVENT01.dly")).unwrap();
    for (path, bytes) in [
        ("ncei/ghcn-daily/all/XX0INVENT01.dly", station),
        ("ncei/ghcn-daily/ghcnd-stations.txt", fs::read(sample.join("ghcnd-stations.txt")).unwrap()),
    ] {
        let file = mirror.join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(file, bytes).unwrap();
    }
    let mirror = mirror.to_str().unwrap();
    // The mirror has no inventory: the call says so, and the rest is there.
    let (code, answer, _) = run(&archive, &["download", "ghcn-daily:XX0INVENT01", "--lists", "ghcn-daily", "--mirror", mirror, "--json"]);
    let told: Vec<&str> = answer["files"].as_array().unwrap().iter().map(|file| file["outcome"].as_str().unwrap()).collect();
    assert_eq!((code, told), (1, vec!["fetched", "not-there", "fetched"]), "{answer:#}");
    let site = fs::read_to_string(sample.join("nursery.toml")).unwrap();
    let lines = site.lines().map(|line| {
        let key = line.split('=').next().unwrap_or_default().trim();
        match key {
            "folder" | "files" => "files = [\"ghcn-daily:XX0INVENT01\"]".to_owned(),
            "station_list" => "station_list = \"ghcn-daily\"".to_owned(),
            _ => line.to_owned(),
        }
    });
    let file = place.path().join("site.toml");
    fs::write(&file, lines.collect::<Vec<_>>().join("\n")).unwrap();
    let out = place.path().join("out");
    let (code, _, errors) = run(&archive, &["assess", file.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert_eq!(code, 0, "{errors}");
    // The report says from where the file came; of a folder on this machine not which.
    let told = |from: &str| {
        let report: Value = serde_json::from_slice(&fs::read(out.join("report.json")).unwrap()).unwrap();
        let file = &report["records"]["candidates"][0]["summary"]["source"]["files"][0];
        assert_eq!(file["sha256"], ingest::checksum_of(&fs::read(sample.join("stations/XX0INVENT01.dly")).unwrap()));
        assert!(file["origin"]["url"].as_str().unwrap().starts_with(from), "{file}");
        fs::read_to_string(out.join("report.html")).unwrap()
    };
    let page = told(&format!("file:{mirror}/"));
    assert!(page.contains("from a folder that somebody keeps as a mirror") && !page.contains(mirror));
    let server = Server::plain({
        let sample = sample.clone();
        move |asked| {
            let name = asked.path.rsplit('/').next().unwrap().to_owned();
            let folder = if name == "ghcnd-stations.txt" { sample.clone() } else { sample.join("stations") };
            Answer::new(200, fs::read(folder.join(name)).unwrap())
        }
    })
    .unwrap();
    let archive = place.path().join("another");
    let site = file.to_str().unwrap();
    assert_eq!(run(&archive, &["download", "--site", site, "--mirror", &server.url()]).0, 0);
    assert_eq!(run(&archive, &["assess", site, "--out", out.to_str().unwrap()]).0, 0);
    assert!(told(&server.url()).contains(&format!("from {}ncei/ghcn-daily/all/XX0INVENT01.dly", server.url())));
}

#[test]
fn what_is_missing_is_told_and_counted() {
    let place = tempfile::tempdir().unwrap();
    let (code, answer, errors) = run(place.path(), &["download", STATION, "--offline", "--json"]);
    assert_eq!((code, &answer["done"], &answer["files"][0]["outcome"]), (1, &Value::Bool(false), &"not-there".into()), "{answer:#}");
    assert!(errors.contains("without --offline") && errors.contains("a file that was asked for is not there"), "{errors}");
    let server = good();
    let output = command(place.path(), &["download", STATION, "ghcn-daily-rows:XX000000001", "--mirror", &server.url()]).output().unwrap();
    let (text, errors) = (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
    assert_eq!(output.status.code(), Some(1));
    assert!(text.starts_with("fetched    ") && text.contains("\nnot-there  ") && text.lines().count() == 2, "{text}");
    assert!(errors.contains("404") && errors.contains("Nothing of it is in the archive.") && errors.contains("terms:"), "{errors}");
}

#[test]
fn a_wrong_call_is_refused_before_anything_is_asked() {
    let place = tempfile::tempdir().unwrap();
    for arguments in [
        &["download"][..],
        &["download", "USW00094728"],
        &["download", "ghcn-daily:US"],
        &["download", "gsod:72503014732"],
        &["download", STATION, "--mirror", "ftp://127.0.0.1/"],
        &["download", STATION, "--years", "2020-1991"],
        &["download", "--lists", "knmi"],
        &["download", "--products", STATION],
    ] {
        let (code, _, errors) = run(place.path(), arguments);
        assert_eq!(code, 2, "{arguments:?}: {errors}");
    }
    assert!(!place.path().join("v1").exists());
    let (code, answer, _) = run(place.path(), &["download", "--products", "--json"]);
    assert!(code == 0 && answer["products"].as_array().unwrap().len() > 10);
    assert!(answer["products"][0]["addresses"][0]["read_on"].as_str().unwrap().contains("from memory"));
}

#[test]
fn two_processes_at_once_bring_one_good_file() {
    let place = tempfile::tempdir().unwrap();
    let body = record(600, 1.0);
    let server = Server::plain({
        let body = body.clone();
        move |asked| Answer::file(asked, &body, "\"1\"").dribbling(500, Duration::from_millis(10))
    })
    .unwrap();
    let call = ["download", STATION, "--mirror", &server.url(), "--json"];
    let processes: Vec<_> =
        (0..4).map(|_| command(place.path(), &call).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()).collect();
    let mut told: Vec<String> = Vec::new();
    for process in processes {
        let output = process.wait_with_output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
        told.push(answer["files"][0]["outcome"].as_str().unwrap().to_owned());
    }
    // Who came late finds it unchanged; who waited takes what the first brought.
    assert_eq!(told.iter().filter(|outcome| *outcome == "fetched").count(), 1, "{told:?}");
    let file = place.path().join("v1").join(PATH);
    assert_eq!((fs::read(&file).unwrap(), names(&file)), (body, DONE.map(str::to_owned).to_vec()));
}
