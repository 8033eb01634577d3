//! Why an assessment cannot be made at all. Everything less is a withheld fact.

use series::Withheld;

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
    /// The site file names a station that no record has.
    #[error("the site file names the station {named:?}, and no record that was read is its; found {found}")]
    NoSuchStation {
        /// The name in the site file.
        named: String,
        /// The stations that were read.
        found: String,
    },
    /// The record has no day in the period, or none that can be used.
    #[error("the record of {station} cannot be used for a daily balance: {why:?}")]
    NoRun {
        /// The station.
        station: String,
        /// Why.
        why: Withheld,
    },
    /// A volume or depth without a meaning reached the balance.
    #[error(transparent)]
    Site(#[from] site::SiteError),
}
