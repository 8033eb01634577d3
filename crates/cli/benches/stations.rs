//! `rainworth stations` over the whole list and inventory of GHCN-Daily: 128,024 stations, 756,739 lines, 46 MB.
//!
//! `cargo bench -p rainworth --bench stations` with `RAINWORTH_DATA`; without it, it prints one line. The files are unpacked into a folder of their own and
//! taken from there into an archive by `rainworth download --mirror`. Wall and processor time of the whole process, best and worst of seven runs
//! after one that is not counted, with the files in the system's cache.

// A bench prints, and ends where it cannot go on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use nix::sys::resource::{UsageWho, getrusage};
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

const RUNS: usize = 7;
/// Limit, s of wall time.
const LIMIT: f64 = 0.3;

const PROGRAM: &str = env!("CARGO_BIN_EXE_rainworth");

fn main() {
    let Some(data) = testkit::data_dir() else { return };
    let place = tempfile::tempdir().unwrap();
    let (mirror, archive) = (place.path().join("mirror"), place.path().join("archive"));
    let lists = mirror.join("ncei/ghcn-daily");
    fs::create_dir_all(&lists).unwrap();
    for name in ["ghcnd-stations", "ghcnd-inventory"] {
        unpack(&data.join(format!("ghcnd-meta/{name}.relaid.txt.gz")), &lists.join(format!("{name}.txt")));
    }
    let (mirror, archive) = (mirror.to_str().unwrap(), archive.to_str().unwrap());
    let brought = run(&["download", "--lists", "ghcn-daily", "--mirror", mirror, "--archive", archive]);
    assert!(brought, "the lists could not be taken into an archive");
    let (list, inventory) = (lists.join("ghcnd-stations.txt"), lists.join("ghcnd-inventory.txt"));
    let own = ["--station-list", list.to_str().unwrap(), "--inventory", inventory.to_str().unwrap(), "--archive", archive];
    let kept = ["--archive", archive];
    println!("{:<56} {:>9} {:>9} {:>9} {:>9} {:>9}", "search", "wall ms", "worst", "cpu ms", "worst", "of 300 ms");
    for (name, near) in [("1,168 stations within 100 km of 44.9,-93.2", "44.9,-93.2"), ("nobody within 100 km of 44.9,-30", "44.9,-30")] {
        for (from, lists) in [("", &kept[..]), (", plain files", &own[..])] {
            let (wall, cpu) = measure(&[&["stations", "--near", near, "--elevation", "256 m"][..], lists].concat());
            let share = wall.0 / LIMIT * 100.0;
            let [wall, cpu] = [wall, cpu].map(|(best, worst)| format!("{:>9.0} {:>9.0}", best * 1e3, worst * 1e3));
            println!("{:<56} {wall} {cpu} {share:>7.0} %", format!("{name}{from}"));
        }
    }
}

fn unpack(from: &Path, to: &Path) {
    let mut text = Vec::new();
    flate2::read::MultiGzDecoder::new(File::open(from).unwrap()).read_to_end(&mut text).unwrap();
    fs::write(to, text).unwrap();
}

fn run(arguments: &[&str]) -> bool {
    Command::new(PROGRAM).args(arguments).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success()
}

/// Best and worst wall and processor time, s.
fn measure(arguments: &[&str]) -> ((f64, f64), (f64, f64)) {
    run(arguments);
    let (mut wall, mut cpu) = ((f64::INFINITY, 0.0_f64), (f64::INFINITY, 0.0_f64));
    for _ in 0..RUNS {
        let (before, start) = (children(), Instant::now());
        run(arguments);
        let (took, used) = (start.elapsed().as_secs_f64(), children() - before);
        wall = (wall.0.min(took), wall.1.max(took));
        cpu = (cpu.0.min(used), cpu.1.max(used));
    }
    (wall, cpu)
}

/// Processor time of all children so far, s.
fn children() -> f64 {
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap();
    let seconds = |time: nix::sys::time::TimeVal| time.tv_sec() as f64 + time.tv_usec() as f64 / 1e6;
    seconds(usage.user_time()) + seconds(usage.system_time())
}
