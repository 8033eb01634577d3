//! The `rainworth` command: arguments, files, progress, exit codes. It computes nothing; it is the only crate that prints.

mod arguments;
mod assess_command;
mod define_command;
mod diagnostic_text;
mod failure;
mod output;
mod output_folder;
mod rain_command;
mod record_command;

use arguments::{Arguments, Command};
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    // clap prints help and usage faults itself, with exit code 2 for a wrong call.
    let arguments = Arguments::parse();
    let result = match arguments.command {
        Command::Assess(arguments) => assess_command::run(&arguments),
        Command::Rain(arguments) => rain_command::run(&arguments),
        Command::Record(arguments) => record_command::run(&arguments),
        Command::Define(arguments) => define_command::run(&arguments),
    };
    match result {
        Ok(code) => code,
        Err(failure) => failure.report(),
    }
}
