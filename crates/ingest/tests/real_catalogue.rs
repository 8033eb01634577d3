//! The whole list and inventory of GHCN-Daily (`RAINWORTH_DATA`, ghcnd-meta) against a search that knows no short cut.
//!
//! Expected values: a loop of Python over all 128,024 lines with geographiclib 2.1 (`Geodesic.WGS84.Inverse`), the inventory's lines of PRCP as a
//! dictionary, and the rule written out anew: distance + 100 x height difference + 2 km for each wanted year that is missing + 10 km where the last year is
//! before 2023. Counts of lines: `wc -l` and `grep -c PRCP` of the unpacked files.

#![allow(clippy::unwrap_used)]

use ingest::catalogue::{Catalogue, Nearby, Search};
use std::io::Read;
use std::path::Path;

/// A place with its height, the years, the reach; how many are within it, have other years only, have no rain; the first of the order with their
/// distance and counted distance, km.
struct Expected {
    place: (f64, f64),
    elevation_m: Option<f64>,
    years: (i32, i32),
    within_km: f64,
    counts: (usize, usize, usize),
    first: &'static [(&'static str, f64, f64)],
}

const EXPECTED: [Expected; 6] = [
    Expected {
        place: (44.9, -93.2),
        elevation_m: Some(256.0),
        years: (1995, 2024),
        within_km: 100.0,
        counts: (1168, 46, 2),
        first: &[
            ("USW00014922", 2.970, 3.120),
            ("USC00214884", 9.487, 12.107),
            ("USC00218450", 10.158, 14.128),
            ("USW00014927", 11.935, 16.195),
            ("USC00218477", 18.417, 19.947),
        ],
    },
    // Across the date line: stations of Fiji on both of its sides.
    Expected {
        place: (-17.8, 179.9),
        elevation_m: Some(10.0),
        years: (1991, 2020),
        within_km: 300.0,
        counts: (22, 0, 0),
        first: &[
            ("FJM00091663", 124.934, 135.534),
            ("FJM00091665", 125.238, 136.238),
            ("FJM00091683", 144.658, 145.358),
            ("FJM00091676", 136.210, 150.510),
            ("FJM00091691", 145.416, 156.116),
        ],
    },
    // Near the pole, without a height.
    Expected {
        place: (85.0, -60.0),
        elevation_m: None,
        years: (1961, 1990),
        within_km: 500.0,
        counts: (5, 2, 0),
        first: &[("CA002400306", 280.581, 280.581), ("CA002400300", 278.664, 288.664), ("CA002402682", 382.221, 446.221)],
    },
    // On the pole.
    Expected {
        place: (90.0, 0.0),
        elevation_m: None,
        years: (1951, 2020),
        within_km: 1000.0,
        counts: (8, 0, 0),
        first: &[
            ("CA002400306", 837.657, 837.657),
            ("GLM00004301", 709.227, 857.227),
            ("CA002400300", 835.792, 873.792),
            ("CA002400305", 837.657, 945.657),
            ("GLE00147401", 938.162, 968.162),
        ],
    },
    Expected {
        place: (51.75, -1.26),
        elevation_m: Some(62.0),
        years: (1991, 2020),
        within_km: 50.0,
        counts: (6, 4, 0),
        first: &[("UK000056225", 1.915, 2.015), ("UKE00105922", 19.430, 62.830)],
    },
    // One station, and none of the years.
    Expected { place: (-0.3, -78.5), elevation_m: Some(2800.0), years: (1961, 1990), within_km: 60.0, counts: (1, 1, 0), first: &[] },
];

fn unpacked(path: &Path) -> Vec<u8> {
    let mut text = Vec::new();
    flate2::read::MultiGzDecoder::new(std::fs::File::open(path).unwrap()).read_to_end(&mut text).unwrap();
    text
}

fn agrees(nearby: &Nearby, expected: &Expected) {
    let counts = nearby.counts;
    let place = expected.place;
    assert_eq!((counts.within_reach, counts.without_wanted_years, counts.without_rain), expected.counts, "{place:?}");
    assert!(nearby.ranked.len() >= expected.first.len(), "{place:?}");
    for (one, (id, distance, counted)) in nearby.ranked.iter().zip(expected.first) {
        assert_eq!(one.station.id, *id, "{place:?}");
        assert!((one.distance_km - distance).abs() < 1e-9 && (one.counted.total_km - counted).abs() < 1e-9, "{place:?} {one:?}");
    }
}

#[test]
fn the_whole_list_is_searched_as_a_plain_loop_does() {
    let Some(data) = testkit::data_dir() else { return };
    let meta = data.join("ghcnd-meta");
    let list = unpacked(&meta.join("ghcnd-stations.relaid.txt.gz"));
    let inventory = unpacked(&meta.join("ghcnd-inventory.relaid.txt.gz"));
    let (catalogue, found) = Catalogue::read_bytes(("list", list), Some(("inventory", inventory.as_slice()))).unwrap();
    assert_eq!((catalogue.len(), catalogue.latest_year(), found.total()), (128_024, Some(2024), 0));
    for expected in &EXPECTED {
        let search = Search {
            latitude_degrees: expected.place.0,
            longitude_degrees: expected.place.1,
            elevation_m: expected.elevation_m,
            years: Some(expected.years),
            within_km: expected.within_km,
        };
        let (nearby, found) = catalogue.near(&search);
        assert!(found.is_empty(), "{:?} {found:?}", expected.place);
        agrees(&nearby, expected);
    }
}
