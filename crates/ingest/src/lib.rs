//! Public station files turned into [`series`] values: one reader a format, chosen by content.
//!
//! A station file never fails as a whole for one bad line: a value that cannot be accepted is rejected in its own place with
//! a reason, and everything else is read. What fails as a whole ([`Error`]) is a file that is no data: empty, a web page, a
//! compressed archive, another product, unreadable from disk.
//!
//! * [`read_file`], [`read_bytes`], [`Reader`]: a file to one [`StationRecord`] a station, handed to a [`Sink`];
//! * [`join()`]: one station over several files, one a year or month, made one record;
//! * [`station_files()`]: the station files of a folder;
//! * [`StationList`], [`Inventory`]: who and where the stations are, and what they hold from when to when;
//! * [`catalogue`]: which stations measure rain near a place;
//! * [`distance_km`], [`azimuth_degrees`]: geodesics on WGS 84;
//! * [`read_frequency_table`]: an official table of design rains, which is no station's record;
//! * [`agencies`]: on what terms the agencies give their records, and what can be brought from where;
//! * `download` (a feature): the archive of lists and records brought from the agencies' addresses;
//! * [`formats`]: the table of readers. A new format is a file in `formats/` and a row there.

pub mod agencies;
mod aligned_buffer;
mod archive;
mod believed;
mod blocks;
pub mod catalogue;
mod content;
mod date;
mod date_order;
mod decimal;
mod delimited;
mod depth_field;
#[cfg(feature = "download")]
pub mod download;
mod encoding;
mod error;
mod fields;
mod file_dates;
mod finding;
pub mod formats;
mod frequency_table;
mod geodesy;
mod heading;
mod inventory;
mod join;
mod listed_place;
mod majority;
mod multi_day_totals;
mod ncei_products;
mod observation_time;
mod reader;
mod saved_anew;
mod slip_of_the_pen;
mod station_days;
mod station_files;
mod station_list;
mod unpack;

pub use date_order::DateOrder;
pub use decimal::DepthUnit;
pub use error::Error;
pub use finding::LINES_NOT_READ;
pub use frequency_table::{FrequencyKind, FrequencyRow, FrequencySeries, FrequencyTable, frequency_table, read_frequency_table};
pub use geodesy::{azimuth_degrees, distance_km};
pub use inventory::{Inventory, InventoryEntry};
pub use join::join;
pub use reader::{FileSummary, Reader, Sink, StationRecord, Wanted, checksum_of, read_bytes, read_file};
pub use slip_of_the_pen::{Slip, slips_of_the_pen};
pub use station_files::{Folder, NoStationFile, PassedOver, holds_parts, look_through, station_files};
pub use station_list::StationList;
