//! The built command. Cargo gives a test the programs of its own package only, so it is asked for once more, in the folder and
//! the profile of the test that runs.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

/// Path of the `rainworth` program, built on first use.
pub fn rainworth() -> &'static Path {
    // A failed build is kept too, or every test would try again.
    static PROGRAM: OnceLock<Result<PathBuf, String>> = OnceLock::new();
    let built = PROGRAM.get_or_init(|| {
        // .../TARGET/PROFILE/deps/this-test
        let test = std::env::current_exe().unwrap();
        let profile = test.parent().and_then(Path::parent).unwrap();
        let target = profile.parent().unwrap();
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| env!("CARGO").into());
        let mut build = Command::new(cargo);
        build.args(["build", "--quiet", "--locked", "--offline", "-p", "rainworth", "--bin", "rainworth", "--target-dir"]).arg(target);
        if profile.file_name().is_some_and(|name| name == "release") {
            build.arg("--release");
        }
        let output = build.current_dir(crate::folders::repository()).stdin(Stdio::null()).output().unwrap();
        if !output.status.success() {
            return Err(String::from_utf8_lossy(&output.stderr).into_owned());
        }
        Ok(profile.join(format!("rainworth{}", std::env::consts::EXE_SUFFIX)))
    });
    built.as_deref().unwrap_or_else(|errors| panic!("the command does not build:\n{errors}"))
}

/// What a call gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ran {
    /// Exit code; -1 when a signal ended it.
    pub code: i32,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
}

impl Ran {
    /// Standard output as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("{error} in {:?}\n{}", self.stdout, self.stderr))
    }
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8(output.stdout).unwrap(),
            stderr: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

/// A call, not yet made, with the repository as working folder.
pub fn call(arguments: &[&str]) -> Command {
    let mut command = Command::new(rainworth());
    command.args(arguments).current_dir(crate::folders::repository()).stdin(Stdio::null()).env_remove("RAYON_NUM_THREADS");
    command
}

/// A call made. A program that panicked fails the test whatever else it asks.
pub fn run(arguments: &[&str]) -> Ran {
    finish(call(arguments))
}

/// The same for a call with settings of its own.
pub fn finish(mut command: Command) -> Ran {
    let ran = Ran::from(command.output().unwrap());
    assert!((0..=2).contains(&ran.code) && !ran.stderr.contains("panicked"), "{command:?}: {ran:?}");
    ran
}
