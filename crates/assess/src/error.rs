//! Why an assessment cannot be made at all. Everything less is a withheld fact.

use series::{Diagnostic, Period, Severity, Withheld};

/// An assessment that cannot be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// No record with a usable day.
    #[error("no record that was read has a single usable day of rain: {files} were read")]
    NoRain {
        /// How many files were read.
        files: String,
    },
    /// The site file leaves every record out.
    #[error("the site file leaves out every gauge that was read ([[gauge]] with left_out = true)")]
    AllLeftOut,
    /// The site file names a station that no record has.
    #[error("the site file names the station {named:?}, and no record that was read is its; found {found}")]
    NoSuchStation {
        /// The name in the site file.
        named: String,
        /// The stations that were read.
        found: String,
        /// Line and column of the name in the site file; 0 where unknown.
        place: (u32, u32),
    },
    /// No record, or not the one that the site file names, has a day in the years that it wants.
    #[error(
        "records.period: found {period}, and {}; the records that were read are {found}",
        named.as_ref().map_or_else(
            || "no record has a usable day in it".to_owned(),
            |named| format!("the record of {named} has no usable day in it")
        )
    )]
    NoneInPeriod {
        /// The station that the site file names.
        named: Option<String>,
        /// The years that it wants.
        period: Period,
        /// The stations that were read and their first and last days.
        found: String,
    },
    /// The record has no day in the period, or none that can be used.
    #[error("the record of {station} cannot be used for a daily balance: no day of it in the years that are wanted has a depth")]
    NoRun {
        /// The station.
        station: String,
        /// Why.
        why: Withheld,
    },
    /// The site file asks for a value that its official table does not have.
    #[error("official.{key}: found {found}, and the table {table} has {has}")]
    NotInTable {
        /// The key in the site file.
        key: &'static str,
        /// What it asks for, as typed.
        found: String,
        /// The table as the site file names it.
        table: String,
        /// What the table has instead.
        has: String,
        /// Line and column of the value in the site file.
        place: (u32, u32),
    },
    /// A volume or depth without a meaning reached the balance.
    #[error(transparent)]
    Site(#[from] site::SiteError),
}

impl Error {
    /// The same as a finding about the site file.
    pub fn diagnostic(&self, site_file: &str) -> Diagnostic {
        let id = match self {
            Self::NoRain { .. } => "no-rain",
            Self::AllLeftOut => "every-gauge-left-out",
            Self::NoSuchStation { .. } => "station-missing",
            Self::NoneInPeriod { .. } => "no-record-in-period",
            Self::NoRun { .. } => "record-unusable",
            Self::NotInTable { .. } => "official-not-in-table",
            Self::Site(_) => "site-unusable",
        };
        let finding = Diagnostic::new(id, Severity::Error, self.to_string()).in_file(site_file).done("nothing was written");
        match self {
            Self::NoSuchStation { named, place: (line, column), .. } if *line > 0 => {
                finding.at_line(*line).at_columns(*column, named.chars().count() as u32 + 2)
            }
            Self::NotInTable { found, place: (line, column), .. } if *line > 0 => {
                finding.at_line(*line).at_columns(*column, found.chars().count() as u32)
            }
            _ => finding,
        }
    }
}
