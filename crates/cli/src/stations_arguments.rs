//! What a person types for `rainworth stations`.

use crate::arguments::{Answers, ArchiveFolder, Units, years};
use crate::typed_place::TypedPlace;
use clap::{ArgGroup, Args};
use series::{Distance, Length, Quantity};
use std::path::PathBuf;

/// Most stations that are listed.
const MOST: u16 = 1000;

#[derive(Debug, Args)]
#[command(group = ArgGroup::new("place").required(true).args(["near", "site"]))]
pub(crate) struct StationsArguments {
    /// The place: degrees north, degrees east, such as 44.9,-93.2 or "44.9N 93.2W"
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    pub(crate) near: Option<TypedPlace>,
    /// A site file instead: its place, height, years and units; it need not be finished
    #[arg(long, value_name = "SITE.toml")]
    pub(crate) site: Option<PathBuf>,
    /// Height of the place above the sea with its unit, such as "256 m" or "840 ft"
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true, value_parser = elevation)]
    pub(crate) elevation: Option<Length>,
    /// Years that are wanted, such as 1991-2020 [default: the site file's, else the latest thirty of the inventory]
    #[arg(long, value_name = "YEARS", value_parser = years)]
    pub(crate) years: Option<(i32, i32)>,
    /// How far to look, with its unit, such as "60 km" or "40 miles"
    #[arg(long, value_name = "DISTANCE", default_value = "100 km", value_parser = within)]
    pub(crate) within: Distance,
    /// How many stations to list
    #[arg(long, value_name = "N", default_value_t = 10, value_parser = clap::value_parser!(u16).range(1..=i64::from(MOST)))]
    pub(crate) count: u16,
    /// The product whose station list in the archive is taken
    #[arg(long, value_name = "PRODUCT", default_value = "ghcn-daily", conflicts_with = "station_list")]
    pub(crate) list: String,
    /// A station list of your own instead
    #[arg(long, value_name = "FILE")]
    pub(crate) station_list: Option<PathBuf>,
    /// The inventory of that list
    #[arg(long, value_name = "FILE", requires = "station_list")]
    pub(crate) inventory: Option<PathBuf>,
    /// Folder of records that are here already: their days count in place of the inventory's years. Those of the archive are looked at in any case
    #[arg(long, value_name = "DIR")]
    pub(crate) records: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) folder: ArchiveFolder,
    #[command(flatten)]
    pub(crate) answers: Answers,
    /// Units of the printed page [default: the site file's, else metric]; JSON and GeoJSON stay in km and m
    #[arg(long, value_enum)]
    pub(crate) units: Option<Units>,
    /// Write the stations as GeoJSON (RFC 7946) into a new file, or with - to standard output in place of the page
    #[arg(long, value_name = "FILE|-")]
    pub(crate) geojson: Option<PathBuf>,
    /// Print as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

fn elevation(text: &str) -> Result<Length, String> {
    let read = Length::parse(text).map_err(|error| error.to_string())?;
    // The range that a site file takes.
    if (-450.0..=6000.0).contains(&read.get()) { Ok(read) } else { Err(format!("found {text:?}, expected a height from -450 m to 6000 m")) }
}

fn within(text: &str) -> Result<Distance, String> {
    let read = Distance::parse(text).map_err(|error| error.to_string())?;
    // No place is further than half the meridian, 20,004 km.
    if read.get() > 0.0 && read.get() <= 20_100.0 {
        Ok(read)
    } else {
        Err(format!("found {text:?}, expected more than 0 km and at most 20100 km"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_need_their_unit_and_a_range() {
        assert_eq!((elevation("256 m"), elevation("-3 m").map(Length::get)), (Ok(Length::new(256.0)), Ok(-3.0)));
        assert!((within("40 miles").unwrap().get() - 64.373_76).abs() < 1e-9);
        for text in ["256", "7000 m", "256 km", "high"] {
            assert!(elevation(text).is_err(), "{text}");
        }
        for text in ["100", "0 km", "-5 km", "30000 km", "100 kg"] {
            assert!(within(text).is_err(), "{text}");
        }
    }
}
