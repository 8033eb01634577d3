//! The `rainworth` command: arguments, files, progress, exit codes. It computes nothing; it is the only crate that prints.

mod archive_files;
mod arguments;
mod assess_command;
mod chosen_stations;
mod define_command;
mod diagnostic_text;
mod download_command;
mod download_progress;
mod download_text;
mod failure;
mod missing_file;
mod output;
mod output_folder;
mod passed_over;
mod rain_command;
mod rain_tables;
mod read_records;
mod read_site;
mod record_command;
mod site_requests;
mod spool;
mod stations_arguments;
mod stations_command;
mod stations_source;
mod table_draft;
mod table_names;
mod template_folder;
mod templates_command;
mod today;
mod typed_place;

use arguments::{Arguments, Command};
use clap::Parser;
use failure::Failure;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        // clap words a wrong call itself, and prints help as data; a program that asked for JSON gets JSON.
        Err(error) if error.use_stderr() && std::env::args_os().any(|argument| argument == "--json") => {
            let text = error.to_string();
            return Failure::Call(text.trim().trim_start_matches("error: ").to_owned()).report(true);
        }
        Err(error) => error.exit(),
    };
    let json = arguments.command.json();
    let result = match arguments.command {
        Command::Assess(arguments) => assess_command::run(&arguments),
        Command::Rain(arguments) => rain_command::run(arguments),
        Command::Record(arguments) => record_command::run(&arguments),
        Command::Stations(arguments) => stations_command::run(&arguments),
        Command::Download(arguments) => download_command::run(&arguments),
        Command::Define(arguments) => define_command::run(&arguments),
        Command::Templates(arguments) => templates_command::run(&arguments),
    };
    match result {
        Ok(code) => code,
        Err(failure) => failure.report(json),
    }
}
