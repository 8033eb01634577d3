//! What a person types: one definition, from which the help comes too.

use crate::stations_arguments::StationsArguments;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use ingest::{DateOrder, DepthUnit, Wanted};
use std::path::PathBuf;

/// What the rain on a roof is worth: from open daily rain records to a printable site feasibility report.
///
/// Data goes to standard output, everything else to standard error. Exit codes: 0 done, 1 the job failed, 2 the call is wrong.
#[derive(Debug, Parser)]
#[command(
    name = "rainworth",
    version,
    about,
    long_about,
    after_help = "Example: rainworth assess sample-data/nursery.toml --out my-report"
)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Do the whole job for one site: a folder with the report, its numbers, tables and charts
    #[command(after_help = "Example: rainworth assess sample-data/nursery.toml --out my-report")]
    Assess(AssessArguments),
    /// Print the rain facts of records, or write the tables of a folder of records
    #[command(
        after_help = "Examples:\n  rainworth rain sample-data/stations/XX0INVENT01.dly\n  rainworth rain sample-data/stations --out rain-tables\n  rainworth rain my-record.dly --units us-customary"
    )]
    Rain(RainArguments),
    /// Print what is in a record and what is wrong with it
    #[command(after_help = "Example: rainworth record sample-data/stations/XX0INVENT05.dly --json")]
    Record(RecordArguments),
    /// Say which stations measure rain near a place, ranked, with the reasons
    #[command(
        after_help = "Examples:\n  rainworth stations --near 44.9,-93.2 --elevation \"256 m\"\n  rainworth stations --site my-site.toml --geojson near.geojson\n  rainworth stations --near \"52.4N 13.1E\" --list dwd-rr --years 1991-2020"
    )]
    Stations(StationsArguments),
    /// Bring station lists and records from the agencies into an archive on this machine
    #[command(
        after_help = "Examples:\n  rainworth download ghcn-daily:USW00094728\n  rainworth download --lists ghcn-daily\n  rainworth download gsod:72503014732 --years 1991-2020\n  rainworth download --site my-site.toml\n  rainworth record ghcn-daily:USW00094728   (from the archive, afterwards)"
    )]
    Download(DownloadArguments),
    /// Print what a fact is: formula, units, missing-data rule, source
    #[command(after_help = "Example: rainworth define store.reliability.volume")]
    Define(DefineArguments),
    /// Copy the templates, words, tables and style sheet that reports are written on, to change them
    #[command(
        after_help = "Example: rainworth templates --out my-templates\n         rainworth assess sample-data/nursery.toml --out my-report --templates my-templates"
    )]
    Templates(TemplatesArguments),
}

impl Command {
    /// Whether the answer is wanted as JSON.
    pub(crate) fn json(&self) -> bool {
        match self {
            Self::Assess(arguments) => arguments.json,
            Self::Rain(arguments) => arguments.json,
            Self::Record(arguments) => arguments.json,
            Self::Stations(arguments) => arguments.json,
            Self::Download(arguments) => arguments.json,
            Self::Define(arguments) => arguments.json,
            Self::Templates(arguments) => arguments.json,
        }
    }
}

/// The units of a page on the terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(crate) enum Units {
    /// Millimetres
    #[default]
    Metric,
    /// Inches
    UsCustomary,
}

impl Units {
    /// The same as the pages know it.
    pub(crate) fn system(self) -> series::UnitSystem {
        match self {
            Self::Metric => series::UnitSystem::Metric,
            Self::UsCustomary => series::UnitSystem::UsCustomary,
        }
    }
}

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Sheet {
    /// 210 mm by 297 mm
    A4,
    /// 8.5 in by 11 in
    Letter,
}

impl Sheet {
    /// The same as the report knows it.
    pub(crate) fn paper(self) -> report::Paper {
        match self {
            Self::A4 => report::Paper::A4,
            Self::Letter => report::Paper::Letter,
        }
    }
}

/// Whose words a report speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(crate) enum Language {
    /// British English
    #[default]
    #[value(name = "en-GB")]
    British,
    /// English of the United States
    #[value(name = "en-US")]
    American,
}

/// What a person knows of a file that the file does not say.
#[derive(Debug, Clone, Copy, Default, Args)]
pub(crate) struct Answers {
    /// Unit of rain in files that do not name theirs, such as a log of your own or an order of daily summaries
    #[arg(long, value_name = "UNIT", value_parser = words(DepthUnit::WORDS))]
    pub(crate) depth_unit: Option<DepthUnit>,
    /// Order of the dates in files that leave it open, such as a log with 03/04/2024
    #[arg(long, value_name = "ORDER", value_parser = words(DateOrder::WORDS))]
    pub(crate) date_order: Option<DateOrder>,
}

impl Answers {
    /// Rain and temperatures, read with these answers.
    pub(crate) fn wanted(self) -> Wanted {
        Wanted { temperatures: true, depth_unit: self.depth_unit, date_order: self.date_order }
    }

    /// Rain alone, read with these answers.
    pub(crate) fn rain_alone(self) -> Wanted {
        Wanted { temperatures: false, ..self.wanted() }
    }
}

/// One of a few words.
fn words<T: Copy + Send + Sync + 'static>(words: &'static [(&'static str, T)]) -> impl TypedValueParser<Value = T> {
    let known = PossibleValuesParser::new(words.iter().map(|(word, _)| *word));
    known.try_map(|given| words.iter().find(|(word, _)| *word == given).map(|(_, value)| *value).ok_or("no such word"))
}

#[derive(Debug, Args)]
pub(crate) struct TemplatesArguments {
    /// Folder for the copies; it must be new or empty
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Whose words words.toml gets
    #[arg(long, value_enum, default_value_t)]
    pub(crate) locale: Language,
    /// Print the names of the files as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct AssessArguments {
    /// The site file (TOML; sample-data/SITE-FILE.md describes it)
    pub(crate) site: PathBuf,
    /// Folder for the report; made anew, or replaced if only an earlier report of ours stands there
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Date printed as the day of preparation, year-month-day [default: the site file's, else today]
    #[arg(long, value_name = "DATE")]
    pub(crate) prepared_on: Option<series::Day>,
    /// The sheet of report.pdf [default: A4, and Letter for a site file with the locale en-US]
    #[arg(long, value_enum)]
    pub(crate) paper: Option<Sheet>,
    /// Folder of templates, words, tables or a style sheet of your own, laid over the shipped ones by name (`rainworth templates`
    /// writes those)
    #[arg(long, value_name = "DIR")]
    pub(crate) templates: Option<PathBuf>,
    // They go before what the site file says of the same.
    #[command(flatten)]
    pub(crate) answers: Answers,
    #[command(flatten)]
    pub(crate) folder: ArchiveFolder,
    /// Print the result as JSON on standard output, diagnostics included
    #[arg(long)]
    pub(crate) json: bool,
    /// Treat a warning about a record or the site file as a failure
    #[arg(long)]
    pub(crate) strict: bool,
}

#[derive(Debug, Args)]
pub(crate) struct RainArguments {
    /// Station files, or one folder of them; a station over several files is one record. PRODUCT:STATION takes the archive's files
    #[arg(required = true, value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) folder: ArchiveFolder,
    /// Folder for monthly.csv, stations.csv and records.csv (needed for a folder of records); made anew, or replaced if only
    /// earlier tables of ours stand there
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Accept a month with at most this many days not valid, multi-day totals neither counting nor filling
    /// [default: every day measured, or inside a multi-day total that lies within the month]
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u32).range(0..=30))]
    pub(crate) month_missing: Option<u32>,
    /// Accept a year for the annual maxima with at least this many valid days
    /// [default: at most 5 % missing, and at most 10 % in the months that hold most maxima]
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u32).range(1..=366))]
    pub(crate) year_days: Option<u32>,
    /// Share of a period's years that a monthly normal needs, 0 to 1
    #[arg(long, value_name = "SHARE", default_value_t = 0.8, value_parser = share)]
    pub(crate) normal_share: f64,
    /// Years of the normals, such as 1991-2020 [default for a file: 1991-2020, or the latest thirty years that
    /// give every month; for a folder: each whole record]
    #[arg(long, value_name = "YEARS", value_parser = years)]
    pub(crate) normals: Option<(i32, i32)>,
    /// The station to show, by its id; may be given several times [default: all, or a list of them where they are more than ten]
    #[arg(long, value_name = "ID")]
    pub(crate) station: Vec<String>,
    #[command(flatten)]
    pub(crate) answers: Answers,
    /// Units of the printed page; tables and JSON stay in mm
    #[arg(long, value_enum, default_value_t)]
    pub(crate) units: Units,
    /// Print as JSON; with --out, a summary of what was read and written
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct RecordArguments {
    /// Station files; a station over several files, one a year or month, is one record. PRODUCT:STATION takes the archive's files
    #[arg(required = true)]
    pub(crate) files: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) folder: ArchiveFolder,
    /// The station to show, by its id; may be given several times [default: all, or a list of them where they are more than ten]
    #[arg(long, value_name = "ID")]
    pub(crate) station: Vec<String>,
    /// A station list that gives names, places and heights: a file, or a product such as ghcn-daily for the list in the archive. With places
    /// several records are held against each other
    #[arg(long, value_name = "FILE|PRODUCT")]
    pub(crate) station_list: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) answers: Answers,
    /// Units of the printed page; JSON stays in mm
    #[arg(long, value_enum, default_value_t)]
    pub(crate) units: Units,
    /// List every year of a long record, not its decades
    #[arg(long)]
    pub(crate) years: bool,
    /// Print as JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// Exit with 1 when any line or value was at fault
    #[arg(long)]
    pub(crate) strict: bool,
}

/// Where the archive is.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct ArchiveFolder {
    /// Folder of the archive [default: rainworth in the user's cache folder]
    #[arg(long, value_name = "DIR", env = "RAINWORTH_ARCHIVE")]
    pub(crate) archive: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct DownloadArguments {
    /// A station's record, such as ghcn-daily:USW00094728; `--products` lists the products and what their stations are called
    #[arg(value_name = "PRODUCT:STATION", required_unless_present_any = ["site", "lists", "products"])]
    pub(crate) stations: Vec<String>,
    /// The station list of a product, and its inventory if it has one; may be given several times
    #[arg(long, value_name = "PRODUCT")]
    pub(crate) lists: Vec<String>,
    /// Everything that a site file names as PRODUCT:STATION, and a product as its station_list; years are those of its period
    #[arg(long, value_name = "SITE.toml")]
    pub(crate) site: Option<PathBuf>,
    /// List what can be brought, from where, and on what terms
    #[arg(long, conflicts_with_all = ["stations", "lists", "site"])]
    pub(crate) products: bool,
    /// Years of a product that keeps a file a year, such as 1991-2020
    #[arg(long, value_name = "YEARS", value_parser = years)]
    pub(crate) years: Option<(i32, i32)>,
    #[command(flatten)]
    pub(crate) folder: ArchiveFolder,
    /// Ask nobody: say what the archive has and what is missing in it
    #[arg(long)]
    pub(crate) offline: bool,
    /// Take the files from a mirror instead: an address or a folder below which they lie as AGENCY/PATH, as in the archive below v1
    #[arg(long, value_name = "URL|DIR", env = "RAINWORTH_MIRROR")]
    pub(crate) mirror: Option<String>,
    /// Further root certificates (PEM), such as that of a school's proxy
    #[arg(long, value_name = "FILE", env = "RAINWORTH_CERTIFICATES")]
    pub(crate) certificates: Option<PathBuf>,
    /// Print as JSON
    #[arg(long)]
    pub(crate) json: bool,
    #[command(flatten)]
    pub(crate) patience: Patience,
}

/// How long is waited; for tests and for networks of their own kind.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct Patience {
    /// Seconds without a byte before a connection is given up
    #[arg(long = "stall-seconds", hide = true, value_name = "SECONDS", env = "RAINWORTH_STALL_SECONDS", value_parser = seconds)]
    pub(crate) stall: Option<f64>,
    /// Longest wait before the first repeat, seconds
    #[arg(long = "first-wait-seconds", hide = true, value_name = "SECONDS", env = "RAINWORTH_FIRST_WAIT_SECONDS", value_parser = seconds)]
    pub(crate) first_wait: Option<f64>,
    /// Longest wait before any repeat, seconds
    #[arg(long = "longest-wait-seconds", hide = true, value_name = "SECONDS", env = "RAINWORTH_LONGEST_WAIT_SECONDS", value_parser = seconds)]
    pub(crate) longest_wait: Option<f64>,
}

#[derive(Debug, Args)]
pub(crate) struct DefineArguments {
    /// A fact's id or method, such as rain.normal or rain.normal/month=7; without one, all are listed
    pub(crate) id: Option<String>,
    /// Print as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

fn share(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(share) if (0.0..=1.0).contains(&share) => Ok(share),
        _ => Err(format!("found {text:?}, expected a share from 0 to 1, such as 0.8")),
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if (0.001..=3600.0).contains(&seconds) => Ok(seconds),
        _ => Err(format!("found {text:?}, expected seconds from 0.001 to 3600")),
    }
}

pub(crate) fn years(text: &str) -> Result<(i32, i32), String> {
    let wrong = || format!("found {text:?}, expected two years from 1600 to 2299, such as 1991-2020");
    let (first, last) = text.split_once('-').ok_or_else(wrong)?;
    let year = |text: &str| text.trim().parse::<i32>().ok().filter(|year| (1600..=2299).contains(year)).ok_or_else(wrong);
    let (first, last) = (year(first)?, year(last)?);
    if first <= last { Ok((first, last)) } else { Err(wrong()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_definition_is_sound() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn years_and_shares_are_checked() {
        assert_eq!(years("1991-2020"), Ok((1991, 2020)));
        for text in ["1991", "2020-1991", "91-20", "1991-2x", ""] {
            assert!(years(text).is_err(), "{text}");
        }
        assert!(share("0.8").is_ok() && share("80").is_err() && share("NaN").is_err());
    }
}
