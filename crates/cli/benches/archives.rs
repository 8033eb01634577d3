//! `rainworth rain DIR` on whole archives, beside what general-purpose tools need for the same tables and what plain C needs that trusts its input.
//!
//! `cargo bench -p rainworth --bench archives` with
//! * `RAINWORTH_BENCH`: a folder with some 8 GB free, where the invented archives are made once and the results go;
//! * `RAINWORTH_PEERS`: a Python with numpy, scipy, pandas, polars, duckdb, numba and pyarrow;
//! * `RAINWORTH_PEER_SCRIPTS`: the folder of the peers' scripts (`../shared/bench` by default).
//!
//! Without them it prints one line. All commands of a table run in turn, seven rounds after one that is not counted; processor time is of the whole
//! process with its children, best and worst; the peak is of its largest process. The tables are held against the floor's by `compare.py`.

// A bench prints, and ends where it cannot go on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use nix::sys::resource::{UsageWho, getrusage};
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const ROUNDS: usize = 7;

/// The peers' rules: months with at most 3 days missing, years of 350 usable days, normals over the whole record.
const RULE: [&str; 6] = ["--month-missing", "3", "--year-days", "350", "--normal-share", "0"];

fn main() {
    let arguments: Vec<String> = env::args().collect();
    if let Some(at) = arguments.iter().position(|argument| argument == "--measure") {
        return measure(&arguments[at + 1..]);
    }
    let Some(folder) = env::var_os("RAINWORTH_BENCH").map(PathBuf::from) else {
        println!("skipped: RAINWORTH_BENCH is not set (a folder for the archives)");
        return;
    };
    let bench = Bench::new(folder);
    bench.table("medium", "dly", &["peer_numba", "peer_polars"]);
    bench.memory();
    bench.table("years", "gz", &["peer_polars"]);
    bench.table("years", "csv", &["peer_polars"]);
    bench.one_station();
}

/// Runs a command and prints its processor time (s), wall time (s) and peak (MiB): in a process of its own, so that the sums are of this one alone.
fn measure(command: &[String]) {
    let start = std::time::Instant::now();
    let status = Command::new(&command[0]).args(&command[1..]).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap();
    let wall = start.elapsed().as_secs_f64();
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap();
    let seconds = |time: nix::sys::time::TimeVal| time.tv_sec() as f64 + time.tv_usec() as f64 / 1e6;
    println!(
        "{} {wall} {} {}",
        seconds(usage.user_time()) + seconds(usage.system_time()),
        usage.max_rss() as f64 / 1024.0,
        status.success()
    );
}

/// Figures of one command over all rounds.
#[derive(Default)]
struct Figures {
    cpu: Vec<f64>,
    wall: Vec<f64>,
    peak: Vec<f64>,
}

impl Figures {
    fn best(values: &[f64]) -> f64 {
        values.iter().copied().fold(f64::INFINITY, f64::min)
    }

    fn worst(values: &[f64]) -> f64 {
        values.iter().copied().fold(0.0, f64::max)
    }
}

struct Bench {
    folder: PathBuf,
    scripts: PathBuf,
    python: Option<String>,
    floor: Option<PathBuf>,
}

impl Bench {
    fn new(folder: PathBuf) -> Self {
        let workspace = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let scripts = env::var_os("RAINWORTH_PEER_SCRIPTS").map_or_else(|| workspace.join("../shared/bench"), PathBuf::from);
        let python = env::var("RAINWORTH_PEERS").ok();
        fs::create_dir_all(&folder).unwrap();
        let binary = folder.join("floor");
        let built = Command::new("cc")
            .args(["-O3", "-march=native", "-pthread"])
            .arg(scripts.join("job_limit.c"))
            .arg("-o")
            .arg(&binary)
            .args(["-lm", "-ldeflate"])
            .status();
        let floor = built.is_ok_and(|status| status.success()).then_some(binary);
        if floor.is_none() {
            println!("no C floor: it needs cc, libdeflate's headers and {}", scripts.display());
        }
        let bench = Self { folder, scripts, python, floor };
        bench.make("medium", &["--stations", "1000", "--formats", "dly"]);
        bench.make("years", &["--stations", "200", "--formats", "csv,gz"]);
        bench.make("one", &["--stations", "1", "--formats", "dly"]);
        bench
    }

    /// Makes an invented archive once.
    fn make(&self, name: &str, arguments: &[&str]) {
        let target = self.folder.join(name);
        if target.is_dir() {
            return;
        }
        let python = self.python.as_deref().expect("RAINWORTH_PEERS makes the archives");
        let status = Command::new(python).arg(self.scripts.join("gen_archive.py")).arg(&target).args(arguments).status().unwrap();
        assert!(status.success());
    }

    fn ours(input: &Path, out: &Path) -> Vec<String> {
        let mut command = vec![env!("CARGO_BIN_EXE_rainworth").to_owned(), "rain".to_owned(), text(input), "--out".to_owned(), text(out)];
        command.extend(RULE.map(str::to_owned));
        command
    }

    fn table(&self, archive: &str, format: &str, peers: &[&str]) {
        let data = self.folder.join(archive);
        let input = data.join(if format == "dly" { "dly" } else { "by_year" });
        let input = if format == "dly" { input } else { self.only(&input, format) };
        let out = |name: &str| {
            let out = self.folder.join("out").join(format!("{archive}-{format}-{name}"));
            fs::create_dir_all(out.parent().unwrap()).unwrap();
            out
        };
        let mut commands = vec![("rainworth".to_owned(), Self::ours(&input, &out("rainworth")))];
        if let Some(floor) = &self.floor {
            fs::create_dir_all(out("floor")).unwrap();
            commands.push((
                "C floor, one thread".to_owned(),
                vec![text(floor), text(&data), text(&out("floor")), "1".to_owned(), format.to_owned()],
            ));
        }
        if let Some(python) = &self.python {
            for peer in peers {
                let script = text(&self.scripts.join(format!("{peer}.py")));
                let command = vec![python.clone(), script, text(&data), text(&out(peer)), "--format".to_owned(), format.to_owned()];
                commands.push(((*peer).trim_start_matches("peer_").to_owned(), command));
            }
        }
        println!("\n{archive}, {format}:\n");
        print_table(&commands, &run(&commands));
        if let (Some(python), Some(_)) = (&self.python, &self.floor) {
            let compared =
                Command::new(python).arg(self.scripts.join("compare.py")).args([out("floor"), out("rainworth")]).output().unwrap();
            println!("\n{}", String::from_utf8_lossy(&compared.stdout).trim());
        }
    }

    /// A folder with links to the files of one of two formats that lie in one folder.
    fn only(&self, folder: &Path, format: &str) -> PathBuf {
        let target = self.folder.join(format!("only-{format}"));
        if !target.is_dir() {
            fs::create_dir(&target).unwrap();
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.extension().is_some_and(|ending| ending == format) {
                    fs::hard_link(&path, target.join(path.file_name().unwrap())).unwrap();
                }
            }
        }
        target
    }

    /// Four thousand stations: the thousand four times over, under other ids.
    fn memory(&self) {
        let (from, target) = (self.folder.join("medium/dly"), self.folder.join("four-thousand"));
        if !target.is_dir() {
            fs::create_dir(&target).unwrap();
            for entry in fs::read_dir(&from).unwrap() {
                let path = entry.unwrap().path();
                let mut bytes = fs::read(&path).unwrap();
                for letter in *b"ABCD" {
                    bytes.chunks_mut(270).for_each(|line| line[2] = letter);
                    let id = String::from_utf8_lossy(&bytes[..11]).into_owned();
                    fs::write(target.join(format!("{id}.dly")), &bytes).unwrap();
                }
            }
        }
        let commands = [
            ("1,000 stations".to_owned(), Self::ours(&from, &self.folder.join("out/memory-1"))),
            ("4,000 stations".to_owned(), Self::ours(&target, &self.folder.join("out/memory-4"))),
        ];
        println!("\nmemory:\n");
        print_table(&commands, &run(&commands));
    }

    /// One station from a cold start to all its figures.
    fn one_station(&self) {
        let data = self.folder.join("one");
        let mut commands = vec![("rainworth".to_owned(), Self::ours(&data.join("dly"), &self.folder.join("out/one")))];
        if let Some(floor) = &self.floor {
            let out = self.folder.join("out/one-floor");
            fs::create_dir_all(&out).unwrap();
            commands.push(("C floor, one thread".to_owned(), vec![text(floor), text(&data), text(&out), "1".to_owned(), "dly".to_owned()]));
        }
        println!("\none station, 60 years:\n");
        print_table(&commands, &run(&commands));
    }
}

fn text(path: &Path) -> String {
    path.display().to_string()
}

/// Each command in turn, round after round.
fn run(commands: &[(String, Vec<String>)]) -> Vec<Figures> {
    let mut figures: Vec<Figures> = commands.iter().map(|_| Figures::default()).collect();
    for round in 0..=ROUNDS {
        for ((name, command), figures) in commands.iter().zip(&mut figures) {
            let said = Command::new(env::current_exe().unwrap()).arg("--measure").args(command).output().unwrap();
            let said = String::from_utf8_lossy(&said.stdout).into_owned();
            let words: Vec<&str> = said.split_whitespace().collect();
            assert_eq!(words.get(3), Some(&"true"), "{name} failed: {}", command.join(" "));
            let numbers: Vec<f64> = words[..3].iter().map(|word| word.parse().unwrap()).collect();
            if round > 0 {
                figures.cpu.push(numbers[0]);
                figures.wall.push(numbers[1]);
                figures.peak.push(numbers[2]);
            }
        }
    }
    figures
}

fn print_table(commands: &[(String, Vec<String>)], figures: &[Figures]) {
    let ours = Figures::best(&figures[0].cpu);
    println!("| | CPU s, best | worst | wall s, best | peak MiB | CPU: it / rainworth | rainworth / it | wall: rainworth / it |");
    println!("|---|---|---|---|---|---|---|---|");
    for ((name, _), it) in commands.iter().zip(figures) {
        let (cpu, wall) = (Figures::best(&it.cpu), Figures::best(&it.wall));
        println!(
            "| {name} | {cpu:.3} | {:.3} | {wall:.3} | {:.0} | {:.2} | {:.2} | {:.2} |",
            Figures::worst(&it.cpu),
            Figures::worst(&it.peak),
            cpu / ours,
            ours / cpu,
            Figures::best(&figures[0].wall) / wall
        );
    }
}
