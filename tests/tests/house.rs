//! Rules of the house that a compiler does not hold: which way the arrows run, who may print, read files or look at a clock, how a file
//! begins, that no test is set aside, that the README's commands are the two that `.ci/run` takes.
//!
//! Source: DESIGN section 1 and the issue.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tests::folders::repository;

/// What each crate may know of its neighbours (DESIGN section 1: arrows run down only).
const ARROWS: [(&str, &[&str]); 9] = [
    ("series", &[]),
    ("ingest", &["series"]),
    ("stats", &["series"]),
    ("site", &["series", "stats"]),
    ("assess", &["series", "ingest", "stats", "site"]),
    ("paper", &[]),
    ("report", &["series", "ingest", "stats", "site", "assess", "paper"]),
    ("cli", &["series", "ingest", "stats", "site", "assess", "paper", "report"]),
    ("testkit", &[]),
];

/// The crates that do no I/O and read no clock.
const PURE: [&str; 6] = ["series", "stats", "site", "assess", "paper", "report"];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                if path.file_name().is_some_and(|name| name != "target") {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The lines of a source file that are code of the product: before its tests, without comments; with their numbers.
fn code(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let tests = text.find("#[cfg(test)]\nmod tests").unwrap_or(text.len());
    (1..).zip(text[..tests].lines()).filter(|(_, line)| !line.trim_start().starts_with("//"))
}

fn is_test_file(path: &Path) -> bool {
    let within = path.strip_prefix(repository()).unwrap();
    within.components().any(|part| ["tests", "examples", "benches"].iter().any(|kind| part.as_os_str() == *kind))
        || path.file_stem().is_some_and(|stem| stem == "tests" || stem == "test_records" || stem == "test_data")
}

/// Lines of product code in these crates that hold one of the words.
fn lines_with(crates: &[&str], words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for name in crates {
        for path in sources(&repository().join("crates").join(name)) {
            if is_test_file(&path) {
                continue;
            }
            let text = fs::read_to_string(&path).unwrap();
            for (number, line) in code(&text) {
                if words.iter().any(|word| line.contains(word)) {
                    found.push(format!("{}:{number}: {}", path.display(), line.trim()));
                }
            }
        }
    }
    found
}

#[test]
fn arrows_run_down_only() {
    let folders: Vec<String> = tests::folders::names(&repository().join("crates"));
    let mut known: Vec<&str> = ARROWS.iter().map(|(name, _)| *name).collect();
    known.sort_unstable();
    assert_eq!(folders, known, "a new crate needs its place in the house");
    for (name, allowed) in ARROWS {
        let manifest: toml::Table = fs::read_to_string(repository().join("crates").join(name).join("Cargo.toml")).unwrap().parse().unwrap();
        let under = |table: &str| manifest.get(table).and_then(|table| table.as_table()).cloned().unwrap_or_default();
        for dependency in under("dependencies").keys().chain(under("build-dependencies").keys()) {
            let ours = ARROWS.iter().any(|(other, _)| other == dependency) || dependency == "rainworth" || dependency == "tests";
            assert!(!ours || allowed.contains(&dependency.as_str()), "{name} may not know {dependency}");
        }
        for dependency in under("dev-dependencies").keys() {
            let ours = ARROWS.iter().any(|(other, _)| other == dependency);
            assert!(
                !ours || dependency == "testkit" || allowed.contains(&dependency.as_str()),
                "tests of {name} may not know {dependency}"
            );
        }
    }
}

#[test]
fn only_the_command_prints() {
    let crates = ["series", "ingest", "stats", "site", "assess", "paper", "report"];
    let found = lines_with(&crates, &["println!", "print!(", "eprint", "dbg!", "io::stdout", "io::stderr"]);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn the_pure_crates_touch_no_file_and_no_clock() {
    let words = [
        "std::fs",
        "fs::",
        "std::time",
        "SystemTime",
        "Instant::now",
        "Local::now",
        "Utc::now",
        "std::env",
        "std::net",
        "std::process",
        "File::open",
        "thread_rng",
        "from_entropy",
        "from_os_rng",
    ];
    let found = lines_with(&PURE, &words);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn every_source_file_says_what_it_is_and_no_test_is_set_aside() {
    // Written so that this file does not hold the words themselves.
    let aside = format!("#[{}", "ignore");
    let files: Vec<PathBuf> = ["crates", "tests"].iter().flat_map(|folder| sources(&repository().join(folder))).collect();
    assert!(files.len() > 100, "{}", files.len());
    for path in files {
        let text = fs::read_to_string(&path).unwrap();
        assert!(!text.contains(&aside), "{} sets a test aside", path.display());
        let within_tests = path.file_stem().is_some_and(|stem| stem == "tests") && path.parent().is_some_and(|p| !p.ends_with("tests"));
        assert!(text.starts_with("//!") || within_tests, "{} does not begin with what it does", path.display());
    }
}

/// The one-line fenced commands of a text that start with `cargo` or `./`.
fn fenced_commands(text: &str) -> Vec<String> {
    let mut commands = Vec::new();
    let mut fence: Option<Vec<&str>> = None;
    for line in text.lines() {
        if line.starts_with("```") {
            match fence.take() {
                Some(lines) => {
                    if let [one] = lines[..]
                        && (one.starts_with("cargo ") || one.starts_with("./"))
                    {
                        commands.push(one.to_owned());
                    }
                }
                None => fence = Some(Vec::new()),
            }
        } else if let Some(lines) = &mut fence {
            lines.push(line);
        }
    }
    commands
}

#[test]
fn the_readme_begins_with_the_two_commands_that_ci_takes() {
    let readme = repository().join("README.md");
    let text = fs::read_to_string(&readme).unwrap_or_default();
    let commands = fenced_commands(&text);
    assert!(
        commands.len() >= 2,
        "README.md must hold two fenced commands of one line each that start with cargo or ./ (the report, then the tests); it holds {}",
        commands.len()
    );
    assert!(commands[1].contains("test"), "the second command passes the tests: {:?}", commands[1]);
    // The very programs that `.ci/run` takes the commands out with.
    let script = fs::read_to_string(repository().join(".ci/run")).unwrap();
    for (name, expected) in [("job_command", &commands[0]), ("test_command", &commands[1])] {
        let line = script.lines().find_map(|line| line.strip_prefix(&format!("{name}=$("))).unwrap();
        let program = line.strip_suffix(" README.md)").unwrap();
        let output = Command::new("bash").args(["-c", &format!("{program} \"$1\""), "bash"]).arg(&readme).output().unwrap();
        assert_eq!(String::from_utf8(output.stdout).unwrap().trim_end(), expected, "{name}");
    }
}
