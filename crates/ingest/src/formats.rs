//! The table of readers. A new format is a file in this folder and a row in [`FORMATS`].

use crate::blocks::Blocks;
use crate::finding::Findings;
use crate::{Error, FileSummary, Sink, Wanted};
use std::path::Path;

mod bureau_of_meteorology;
mod canada;
mod canada_archive;
mod canada_flags;
mod climate_data_online;
mod companions;
mod dwd_daily;
mod ecad;
mod gauge_log;
mod ghcn;
mod ghcn_daily;
mod ghcn_rows;
mod ghcn_totals;
mod global_summary_of_the_day;
mod hadukp;
mod hidroweb;
mod hong_kong;
mod imgw;
mod knmi;
mod met_eireann;
mod meteo_france;
mod meteoswiss;
mod midas_open;
mod ncei;
mod ncei_access;
mod plain_value;
mod smhi;

pub(crate) use companions::NONE as NO_COMPANIONS;
pub use companions::{Companion, Companions};
pub(crate) use plain_value::coordinate;

/// How sure a reader is that bytes are of its format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// They are not.
    No,
    /// Parts of them are; the rest is damaged or something else.
    Possible,
    /// They are.
    Certain,
}

impl Confidence {
    /// Of a heading that is the format's own: certain where the columns that are needed stand in it.
    pub(crate) fn of_heading<T>(found: Option<T>, has_columns: impl Fn(&T) -> bool) -> Self {
        match found {
            Some(heading) if has_columns(&heading) => Self::Certain,
            Some(_) => Self::Possible,
            None => Self::No,
        }
    }
}

/// A file's name and bytes on their way into a reader.
#[derive(Debug, Clone, Copy)]
pub struct Input<'a> {
    /// The file as it was named to us.
    pub name: &'a str,
    /// Its bytes, unpacked, as they stand.
    pub bytes: &'a [u8],
    /// SHA-256 of the file in hexadecimal, empty when it was not asked for.
    pub sha256: &'a str,
    /// What came in the same archive.
    pub companions: &'a Companions,
}

impl<'a> Input<'a> {
    #[cfg(test)]
    pub(crate) fn of(name: &'a str, bytes: &'a [u8]) -> Self {
        Self { name, bytes, sha256: "", companions: &NO_COMPANIONS }
    }

    /// The fault of a file whose heading is known and that does not hold the rain of days.
    pub(crate) fn wrong_product(&self, found: impl Into<String>) -> Error {
        Error::WrongProduct { file: self.name.to_owned(), found: found.into(), expected: EXPECTED.to_owned() }
    }

    pub(crate) fn findings(&self) -> Findings<'a> {
        Findings::new(self.name)
    }
}

/// What one file of a format holds of a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Holds {
    /// Its whole record.
    WholeRecords,
    /// A year, a month or a span of it, beside other files of the same station.
    PartsOfRecords,
}

type ReadText = fn(Input<'_>, Wanted, &mut dyn Sink) -> Result<FileSummary, Error>;
type ReadBlocks = fn(Input<'_>, &mut dyn Blocks, Wanted, &mut dyn Sink) -> Result<FileSummary, Error>;

/// One format: its name, its usual endings, how it is known and how it is read.
#[derive(Debug)]
pub struct Format {
    /// The product in words, with its article left out: "GHCN-Daily station file".
    pub name: &'static str,
    /// Endings of file names, lower case, without the dot.
    pub endings: &'static [&'static str],
    /// Whether bytes, perhaps only the first thousands of a file, are of this format.
    pub sniff: fn(&[u8]) -> Confidence,
    /// Read all stations of the file.
    pub read: ReadText,
    /// Whole records or parts of them.
    pub holds: Holds,
    /// How a file of it is read that is not taken into memory.
    pub(crate) read_blocks: Option<ReadBlocks>,
}

impl Format {
    /// A format whose files hold whole records and are taken into memory.
    const fn new(name: &'static str, endings: &'static [&'static str], sniff: fn(&[u8]) -> Confidence, read: ReadText) -> Self {
        Self { name, endings, sniff, read, holds: Holds::WholeRecords, read_blocks: None }
    }

    /// The same where a station's record is spread over files.
    const fn in_parts(mut self) -> Self {
        self.holds = Holds::PartsOfRecords;
        self
    }

    /// The same where a file may be longer than memory.
    const fn streamed(mut self, read_blocks: ReadBlocks) -> Self {
        self.read_blocks = Some(read_blocks);
        self
    }
}

/// Every format that is read. Of two equally sure readers the earlier one is taken.
// One a line, so that two new formats do not meet.
#[rustfmt::skip]
pub const FORMATS: &[Format] = &[
    ghcn_daily::FORMAT,
    ghcn_rows::FORMAT,
    hong_kong::FORMAT,
    canada::FORMAT,
    canada_archive::FORMAT,
    bureau_of_meteorology::FORMAT,
    meteo_france::FORMAT,
    hidroweb::FORMAT,
    imgw::FORMAT,
    smhi::FORMAT,
    met_eireann::FORMAT,
    ncei_access::FORMAT,
    climate_data_online::FORMAT,
    global_summary_of_the_day::FORMAT,
    dwd_daily::FORMAT,
    ecad::FORMAT,
    knmi::FORMAT,
    meteoswiss::FORMAT,
    hadukp::FORMAT,
    midas_open::FORMAT,
    // The weakest comes last.
    gauge_log::FORMAT,
];

type LookAlike = fn(&[u8]) -> Option<&'static str>;

/// What the head of a text is when it is another product of an agency whose daily rain is read.
#[rustfmt::skip]
const LOOK_ALIKES: &[LookAlike] = &[
    ghcn_rows::look_alike,
    canada::look_alike,
    canada_archive::look_alike,
    bureau_of_meteorology::look_alike,
    meteo_france::look_alike,
    hidroweb::look_alike,
    imgw::look_alike,
    smhi::look_alike,
    met_eireann::look_alike,
    crate::ncei_products::other_product,
];

/// The name of a product that is easily taken for one that is read: monthly, hourly, another element.
pub(crate) fn look_alike(head: &[u8]) -> Option<&'static str> {
    if crate::frequency_table::looks_like_one(head) {
        return Some(
            "a point precipitation-frequency table of NOAA Atlas 14, no station's record (it is an official table of design rains)",
        );
    }
    LOOK_ALIKES.iter().find_map(|known| known(head))
}

/// The format that is sure of these bytes.
pub(crate) fn certain(bytes: &[u8]) -> Option<&'static Format> {
    FORMATS.iter().find(|format| (format.sniff)(bytes) == Confidence::Certain)
}

/// The format of these bytes, by content alone.
pub fn choose(bytes: &[u8]) -> Option<&'static Format> {
    let mut best = (Confidence::No, None);
    for format in FORMATS {
        let confidence = (format.sniff)(bytes);
        if confidence == Confidence::Certain {
            return Some(format);
        }
        if confidence > best.0 {
            best = (confidence, Some(format));
        }
    }
    // Another product of an agency may look like something weaker that is read; it is refused by its own name.
    if best.0 < Confidence::Certain && look_alike(&bytes[..bytes.len().min(1 << 16)]).is_some() {
        return None;
    }
    best.1
}

/// The formats whose files usually end as this name does.
pub(crate) fn of_ending(path: &Path) -> impl Iterator<Item = &'static Format> {
    let ending = path.extension().unwrap_or_default();
    FORMATS.iter().filter(move |format| format.endings.iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

/// What is read, for a message; the table in DEVELOPERS.md names every format.
pub(crate) const EXPECTED: &str = "daily precipitation of a weather station in one of the public formats that are read";

/// Whether a format is that of a person's own log: in an archive of station files such a member is a text beside them.
pub(crate) fn is_own_log(format: &Format) -> bool {
    format.name == gauge_log::FORMAT.name
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_developers_page_has_a_row_for_every_format() {
        let page = include_str!("../../../DEVELOPERS.md");
        for format in FORMATS {
            assert!(page.contains(&format!("\n| {} | ", format.name)), "{}", format.name);
        }
    }
}
