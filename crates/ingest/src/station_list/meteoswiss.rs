//! The station lists of `MeteoSwiss`: `*_meta_stations.csv` of its open data, and `liste-download-nbcn-d.csv` of the older service.
//!
//! Layout (the files' own headings; read in public repositories that use them): semicolons, ISO 8859-1, WGS 84 degrees with decimals,
//! heights in metres. The identifier is the station's abbreviation in capitals.

use super::Layout;
use super::by_heading::{Columns, decimal_number};
use crate::content;
use crate::encoding::{self, WINDOWS_1252};

pub(super) const LAYOUT: Layout = Layout {
    name: "a list of the stations of MeteoSwiss",
    found_in: |bytes| COLUMNS.stand_in(content::first_lines(bytes, 1)),
    read: |bytes, gathered| COLUMNS.read(bytes, gathered, &LAYOUT),
    last_line_stands: false,
};

const COLUMNS: Columns = Columns {
    delimiter: b';',
    id: &["station_abbr", "station/location"],
    name: &["station_name", "Station"],
    latitude: &["station_coordinates_wgs84_lat", "Latitude"],
    longitude: &["station_coordinates_wgs84_lon", "Longitude"],
    elevation: &["station_height_masl", "Station height m. a. sea level"],
    write_id: id,
    degrees: decimal_number,
};

/// A station's abbreviation in capitals.
pub(crate) fn id(field: &[u8]) -> Option<String> {
    Some(encoding::name(field, WINDOWS_1252).to_uppercase()).filter(|id| !id.is_empty())
}

#[cfg(test)]
mod tests {
    use crate::StationList;

    #[test]
    fn the_open_data_list_is_read() {
        let text =
            b"station_abbr;station_name;station_canton;station_height_masl;station_coordinates_wgs84_lat;station_coordinates_wgs84_lon\r\n\
                     aaa;Z\xFCrich / Nirgends;ZH;556.0;47.3779;8.5657\r\n";
        let (list, _) = StationList::read_bytes("x", text).unwrap();
        let station = list.get("AAA").unwrap();
        assert_eq!((station.name.as_str(), station.elevation, station.latitude), ("Zürich / Nirgends", Some(556.0), Some(47.3779)));
    }
}
