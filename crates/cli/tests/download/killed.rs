//! The real process killed (SIGKILL) a hundred times in the middle of its work, while the file on the server changes again and again: never is a half
//! file taken for whole, never is a good copy lost, and what a kill left half done the next run ends.

use crate::command::command;
use crate::{DONE, PATH, STATION, names, record};
use ingest::download::{Archive, Request};
use std::fs;
use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use testkit::draws::Draws;
use testkit::server::{Answer, Server};

const KILLS: usize = 100;

#[test]
fn a_hundred_kills_cost_nothing() {
    let versions: Vec<Vec<u8>> = (0..=KILLS + 1).map(|version| record(1200 + version, 1.0 + 0.1 * version as f64)).collect();
    let (current, hurry) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(1)));
    let server = Server::plain({
        let (versions, current, hurry) = (versions.clone(), current.clone(), hurry.clone());
        move |asked| {
            let version = current.load(Ordering::SeqCst);
            let answer = Answer::file(asked, &versions[version], &format!("\"{version}\""));
            // About a tenth of a second for the whole, unless in a hurry.
            if hurry.load(Ordering::SeqCst) == 1 { answer } else { answer.dribbling(800, Duration::from_millis(7)) }
        }
    })
    .unwrap();
    let place = tempfile::tempdir().unwrap();
    let url = server.url();
    let run = || {
        command(place.path(), &["download", STATION, "--mirror", &url, "--json"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    };
    let file = place.path().join("v1").join(PATH);
    let archive = Archive::in_folder(place.path());
    let request = Request::kept(STATION).unwrap();
    assert!(run().wait().unwrap().success());
    current.fetch_add(1, Ordering::SeqCst);
    let mut draws = Draws::new(5);
    let (mut in_the_middle, mut ended_before, mut half_done) = (0, 0, 0);
    for kill in 0..KILLS {
        let mode = kill % 4;
        hurry.store(usize::from(mode == 0), Ordering::SeqCst);
        let asked = server.asked().len();
        let mut process = run();
        if mode != 1 {
            // Counted from the request, so that a slow machine does not move all kills before it; a run may end without one.
            while server.asked().len() == asked && process.try_wait().unwrap().is_none() {
                std::thread::sleep(Duration::from_millis(1));
            }
        }
        let most = match mode {
            // Everything there at once: in the steps that put it in its place.
            0 => 12.0,
            // Counted from the start of the process: also before the first request.
            1 => 150.0,
            _ => 110.0,
        };
        std::thread::sleep(Duration::from_secs_f64(draws.uniform() * most / 1000.0));
        process.kill().unwrap();
        // Ended by itself before the kill, or by it.
        if process.wait().unwrap().code().is_some() {
            ended_before += 1;
        }
        let seen = fs::read(&file).unwrap();
        let whole = versions[..=current.load(Ordering::SeqCst)].contains(&seen);
        assert!(whole, "kill {kill}: {} bytes that are no version", seen.len());
        if seen == versions[current.load(Ordering::SeqCst)] || kill % 9 == 8 {
            // There is another one to be brought, or the part that lies there is of a version that is gone.
            current.fetch_add(1, Ordering::SeqCst);
        }
        let copies = archive.files(&request);
        assert_eq!(copies.len(), 1, "kill {kill}: the good copy is lost");
        assert_eq!(copies[0].1.sha256, ingest::checksum_of(&seen));
        let names = names(&file);
        in_the_middle += usize::from(names.contains(&".XX000000001.dly.part".to_owned()));
        half_done += usize::from(names.contains(&".XX000000001.dly.meta.json.new".to_owned()));
    }
    hurry.store(1, Ordering::SeqCst);
    assert!(run().wait().unwrap().success());
    let last = &versions[current.load(Ordering::SeqCst)];
    assert_eq!((&fs::read(&file).unwrap(), names(&file)), (last, DONE.map(str::to_owned).to_vec()));
    assert_eq!(archive.files(&request)[0].1.sha256, ingest::checksum_of(last));
    println!(
        "{KILLS} kills: {in_the_middle} with a part left, {half_done} between body and sidecar, {ended_before} came too late; {} requests",
        server.asked().len()
    );
    assert!(in_the_middle >= KILLS / 5, "too few kills in the middle to mean anything: {in_the_middle}");
}
