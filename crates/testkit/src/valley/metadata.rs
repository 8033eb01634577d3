//! Station list, inventory and the page that says what the sample data are.
//!
//! Layouts: GHCN-Daily readme 3.26, sections IV (stations) and VII (inventory).

use std::fmt::Write;

use super::gauge::Gauge;
use super::weather::DROUGHT_YEARS;
use crate::record_builder::{DlyText, INVENTED_SOURCE};

/// `ghcnd-stations.txt`: id 1-11, latitude 13-20, longitude 22-30, elevation 32-37, state 39-40, name 42-71, then flags and WMO number, blank.
pub(super) fn stations(gauges: &[Gauge]) -> String {
    let mut text = String::new();
    for gauge in gauges {
        let Gauge { id, name, latitude, longitude, elevation_m, .. } = gauge;
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{id} {latitude:8.4} {longitude:9.4} {elevation_m:6.1}    {name:<30}{:14}", "");
    }
    text
}

/// `ghcnd-inventory.txt`: id 1-11, latitude 13-20, longitude 22-30, element 32-35, first year 37-40, last year 42-45.
pub(super) fn inventory(gauges: &[Gauge], records: &[DlyText]) -> String {
    let mut text = String::new();
    for (gauge, record) in gauges.iter().zip(records) {
        let Gauge { id, latitude, longitude, .. } = gauge;
        for (element, first, last) in record.inventory() {
            let _ = writeln!(text, "{id} {latitude:8.4} {longitude:9.4} {element} {first:4} {last:4}");
        }
    }
    text
}

/// `README.md` of the sample data.
pub(super) fn readme(gauges: &[Gauge]) -> String {
    let mut text = format!(
        "# Sample data: an invented valley\n\n\
         **Everything in this folder is invented.** There is no such valley, no such gauge was ever read, and no number here says anything\n\
         about the rain of a real place. Do not plan a tank with these records.\n\n\
         The layouts are those of the public archive GHCN-Daily (its readme, version 3.26): station files of one line a month and element\n\
         (`stations/*.dly`), the station list (`ghcnd-stations.txt`) and the inventory of elements (`ghcnd-inventory.txt`). What tells\n\
         them apart from the archive's own files:\n\n\
         - every id begins with `XX`, a country code that the archive does not use, and says `INVENT`;\n\
         - every name begins with `INVENTED`;\n\
         - the coordinates lie in the open North Atlantic;\n\
         - every value carries the source flag `{INVENTED_SOURCE}`, which the archive gives to no source.\n\n\
         The station files, the two lists, the garden's log and this page are written by one command, and come out the same byte for byte on every machine:\n\n\
         ```\n\
         cargo run -p testkit --bin invent-valley\n\
         ```\n\n\
         Do not edit them by hand: a test compares them with a fresh run of the generator (`crates/testkit/src/valley.rs`).\n\n\
         ## The stations\n\n"
    );
    for gauge in gauges {
        let Gauge { id, name, elevation_m, first_year, shows, .. } = gauge;
        let _ = writeln!(text, "- **{id}, {name}**, {elevation_m:.0} m, {first_year} to 2024. {shows}");
    }
    let droughts: Vec<String> = DROUGHT_YEARS.iter().map(|(year, _)| year.to_string()).collect();
    let _ = write!(
        text,
        "- **invented-garden, INVENTED OMBREL GARDEN**, 190 m, October and November 2024: `garden-log.csv`, a person's own log. What is needed to\n  \
         read it stands in its heading. Traces and words, weekends read on Monday, a day away, a broken gauge, an estimate.\n\
         \nAll of them see the same daily weather, each with its own normal ratio and noise, so that neighbours agree as real gauges do. The\n\
         climate is temperate with a dry summer. Rain was made rarer on purpose in {}; nothing has a trend.\n",
        droughts.join(", ")
    );
    text
}
