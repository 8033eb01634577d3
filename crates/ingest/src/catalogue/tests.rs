//! The catalogue over invented lists. Distances are those of Python geographiclib 2.1 (`Geodesic.WGS84.Inverse`), rounded to the metre; the
//! terms of the rule are worked by hand.

use super::*;
use crate::{StationRecord, distance_km};
use proptest::prelude::*;
use testkit::DlyText;

/// A line of a list in the columns of `ghcnd-stations.txt`.
fn listed(id: &str, (latitude, longitude): (f64, f64), elevation: f64, name: &str) -> String {
    format!("{id:<11} {latitude:>8.4} {longitude:>9.4} {elevation:>6.1}    {name:<30}\n")
}

/// A line of an inventory.
fn held(id: &str, (latitude, longitude): (f64, f64), element: &str, (first, last): (u16, u16)) -> String {
    format!("{id:<11} {latitude:>8.4} {longitude:>9.4} {element} {first} {last}\n")
}

fn catalogue(list: &str, inventory: Option<&str>) -> (Catalogue, Diagnostics) {
    Catalogue::read_bytes(("list.txt", list.into()), inventory.map(|text| ("inventory.txt", text.as_bytes()))).unwrap()
}

fn search(place: (f64, f64), within_km: f64) -> Search {
    Search { latitude_degrees: place.0, longitude_degrees: place.1, elevation_m: Some(100.0), years: Some((1991, 2020)), within_km }
}

fn ids(candidates: &[Candidate]) -> Vec<&str> {
    candidates.iter().map(|one| one.station.id.as_str()).collect()
}

/// Five invented stations about 44.5 N, 36 W in the open Atlantic, and one far from them.
const PLACES: [(&str, (f64, f64)); 6] = [
    ("XXT00000001", (44.5, -36.1)),
    ("XXT00000002", (44.6, -36.0)),
    ("XXT00000003", (44.5, -35.5)),
    ("XXT00000004", (44.4, -36.0)),
    ("XXT00000005", (44.45, -36.05)),
    ("XXT00000006", (-44.5, -36.0)),
];

fn invented() -> (Catalogue, Diagnostics) {
    let heights = [600.0, 100.0, 150.0, -999.9, 100.0, 0.0];
    let list: String = PLACES.iter().zip(heights).map(|((id, place), height)| listed(id, *place, height, "INVENTED")).collect();
    let years = [(1950, 2024), (2001, 2024), (1980, 2024), (1951, 1970), (0, 0), (1991, 2020)];
    let mut inventory = String::new();
    for ((id, place), years) in PLACES.iter().zip(years).filter(|(_, years)| years.0 > 0) {
        inventory += &held(id, *place, "TMAX", (1950, 2024));
        inventory += &held(id, *place, "PRCP", years);
    }
    catalogue(&list, Some(&inventory))
}

#[test]
fn stations_are_ranked_by_their_counted_distance() {
    let (catalogue, found) = invented();
    assert!(found.is_empty() && catalogue.len() == 6 && catalogue.is_ghcn_daily() && catalogue.latest_year() == Some(2024));
    let (nearby, found) = catalogue.near(&search((44.5, -36.0), 100.0));
    assert!(found.is_empty());
    // 1: 7.953 km + 500 m x 100. 2: 11.112 km + 10 years x 2 km. 3: 39.765 km + 50 m x 100. All report still.
    assert_eq!(ids(&nearby.ranked), ["XXT00000002", "XXT00000003", "XXT00000001"]);
    let totals: Vec<f64> = nearby.ranked.iter().map(|one| one.counted.total_km).collect();
    for (total, expected) in totals.iter().zip([11.112 + 20.0, 39.765 + 5.0, 7.953 + 50.0]) {
        assert!((total - expected).abs() < 1e-9, "{totals:?}");
    }
    assert_eq!((ids(&nearby.without_wanted_years), ids(&nearby.without_rain)), (vec!["XXT00000004"], vec!["XXT00000005"]));
    assert_eq!((nearby.counts.in_list, nearby.counts.within_reach, nearby.elsewhere.len()), (6, 5, 0));
    assert_eq!(nearby.without_wanted_years[0].counted.height_km, None, "its height is not known");
    // Without years the latest thirty of the inventory are wanted.
    let (nearby, _) = catalogue.near(&Search { years: None, ..search((44.5, -36.0), 100.0) });
    assert_eq!(nearby.wanted_years, Some(WantedYears { first: 1995, last: 2024, named: false }));
}

#[test]
fn a_record_that_is_here_goes_before_the_inventory() {
    let (catalogue, _) = invented();
    let (mut nearby, _) = catalogue.near(&search((44.5, -36.0), 100.0));
    let mut records: Vec<StationRecord> = Vec::new();
    let mut read = |text: String| crate::read_bytes("a.dly", text.as_bytes(), crate::Wanted::default(), &mut records).unwrap();
    // Of 10,958 days of 1991 to 2020 station 2 has the 365 of 2001; station 5, which the inventory does not have, those of 2002.
    read(DlyText::new("XXT00000002").rain_run_mm((2001, 1, 1), &[Some(1.0); 365]).to_text());
    read(DlyText::new("XXT00000005").rain_run_mm((2002, 1, 1), &[Some(1.0); 365]).to_text());
    read(DlyText::new("XXT00000009").rain_run_mm((2002, 1, 1), &[Some(1.0); 365]).to_text());
    let found = nearby.take_records(&records);
    assert_eq!(ids(&nearby.ranked), ["XXT00000003", "XXT00000001", "XXT00000005", "XXT00000002"]);
    let counted = nearby.ranked[3].counted;
    let missing = 30.0 - 30.0 * 365.0 / 10_958.0;
    assert!((counted.total_km - 11.112 - 2.0 * missing).abs() < 1e-9, "{counted:?}");
    let record = nearby.ranked[3].record.clone().unwrap();
    assert_eq!((record.usable_days, record.wanted_days, record.file.as_str()), (365, 10_958, "a.dly"));
    // The inventory has station 2 to 2024, and its record ends in 2001.
    assert_eq!((found.total(), found.count("years-disagree"), found.list[0].file.as_str()), (1, 1, "a.dly"));
    assert!(found.list[0].message.contains("XXT00000002") && found.list[0].message.contains("2001 to 2024"), "{found:?}");
    assert!(nearby.without_rain.is_empty());
}

#[test]
fn a_record_of_another_place_or_height_is_told() {
    let (catalogue, _) = invented();
    let (mut nearby, _) = catalogue.near(&search((44.5, -36.0), 100.0));
    let mut records: Vec<StationRecord> = Vec::new();
    let text = DlyText::new("XXT00000003")
        .rain_run_mm((1980, 1, 1), &[Some(1.0); 31])
        .rain_mm((2000, 1, 1), 1.0)
        .rain_mm((2024, 1, 1), 1.0)
        .to_text();
    crate::read_bytes("a.dly", text.as_bytes(), crate::Wanted::default(), &mut records).unwrap();
    let station = &mut records[0].rain.station;
    (station.latitude, station.longitude, station.elevation) = (Some(44.5), Some(-35.52), Some(250.0));
    let found = nearby.take_records(&records);
    assert_eq!((found.count("place-disagrees"), found.count("height-disagrees"), found.total()), (1, 1, 2), "{found:?}");
    assert!(
        found.list[0].message.contains("1.6 km apart") && found.list[1].message.contains("found station XXT00000003 at 250 m"),
        "{found:?}"
    );
    assert_eq!(nearby.ranked.iter().find(|one| one.station.id == "XXT00000003").unwrap().distance_km, 39.765);
}

#[test]
fn lists_that_disagree_are_told_and_nobody_is_lost() {
    let list = listed("XXT00000001", (10.0, 20.0), 5.0, "A") + &listed("XXT00000003", (10.1, 20.0), 5.0, "C");
    let inventory = held("XXT00000001", (10.02, 20.0), "PRCP", (1991, 2020))
        + &held("XXT00000002", (10.05, 20.0), "PRCP", (1991, 2020))
        + &held("XXT00000003", (10.105, 20.0), "PRCP", (1991, 2020))
        + &held("XXT00000004", (50.0, 20.0), "PRCP", (1991, 2020));
    let (whole, found) = catalogue(&list, Some(&inventory));
    assert!(found.is_empty());
    let (nearby, found) = whole.near(&search((10.0, 20.0), 50.0));
    // A is 2.2 km apart, C half a kilometre; 4 is far away, and nobody asks for it.
    assert_eq!((found.count("place-disagrees"), found.count("station-not-listed"), found.total()), (1, 1, 2), "{found:?}");
    assert_eq!(ids(&nearby.ranked), ["XXT00000002", "XXT00000001", "XXT00000003"], "an unknown height counts nothing");
    // The inventory of another list.
    let (other, found) = catalogue(&list, Some(&held("XXT00000008", (10.0, 20.0), "PRCP", (1991, 2020))));
    assert_eq!((found.count("inventory-of-another-list"), found.worst()), (1, Some(Severity::Error)));
    let (nearby, _) = other.near(&search((10.0, 20.0), 50.0));
    assert_eq!((nearby.ranked.len(), nearby.ranked[0].rain_years, nearby.without_rain.len()), (2, None, 0));
}

#[test]
fn where_nobody_is_the_nearest_and_the_slips_are_told() {
    let (catalogue, _) = invented();
    let (nearby, _) = catalogue.near(&search((44.5, 36.0), 100.0));
    let elsewhere: Vec<(Option<crate::Slip>, &str)> =
        nearby.elsewhere.iter().map(|one| (one.slip, one.candidate.station.id.as_str())).collect();
    // The nearest eastwards is station 3; to the other sign of the longitude the nearest that has the years is 1, since 5 has no rain and 4 no such year.
    assert_eq!(elsewhere, [(None, "XXT00000003"), (Some(crate::Slip::LongitudeSign), "XXT00000001")]);
    assert!((nearby.elsewhere[0].candidate.distance_km - distance_km((44.5, 36.0), (44.5, -35.5))).abs() < 1e-9);
    // Stations without the wanted years are there, and are told with theirs.
    let old = Search { years: Some((1901, 1910)), ..search((44.5, -36.0), 100.0) };
    let (nearby, _) = catalogue.near(&old);
    assert_eq!((nearby.counts.ranked, nearby.counts.without_wanted_years, nearby.elsewhere.len()), (0, 4, 0));
    assert_eq!(nearby.without_wanted_years[0].station.id, "XXT00000001", "nearest first");
}

#[test]
fn a_list_without_an_inventory_says_what_it_knows() {
    let text = "Stations_id von_datum bis_datum Stationshoehe geoBreite geoLaenge Stationsname Bundesland\n\
                ----------- --------- --------- ------------- --------- --------- ----------- ----------\n\
                00001 19690101 20221005             44     52.9336    8.2370 Invented                                 Nowhere\n\
                00002 19310101 19860630            478     52.9500    8.2000 Also invented                            Nowhere\n";
    let (list, _) = catalogue(text, None);
    assert!(!list.is_ghcn_daily());
    let (nearby, _) = list.near(&Search { years: Some((1961, 1990)), ..search((52.93, 8.2), 100.0) });
    assert_eq!(nearby.latest_year, Some(2022));
    let of: Vec<(&str, Option<u32>, Option<bool>)> =
        nearby.ranked.iter().map(|one| (one.station.id.as_str(), one.wanted_years_at_most, one.still_reports)).collect();
    // 1 lacks 1961 to 1968; 2 lacks 1987 to 1990, is silent, and 378 m higher.
    assert_eq!(of, [("00001", Some(22), Some(true)), ("00002", Some(26), Some(false))]);
    assert_eq!(nearby.ranked[0].rain_years.unwrap().told_by, YearsToldBy::StationList);
    // The great list without its inventory: distance and height alone.
    let text = listed("XXT00000001", (10.0, 20.0), 5.0, "A");
    let (list, _) = catalogue(&text, None);
    let (nearby, _) = list.near(&Search { years: None, ..search((10.0, 20.1), 50.0) });
    assert_eq!((nearby.ranked.len(), nearby.wanted_years, nearby.ranked[0].counted.years_km), (1, None, None));
}

#[test]
fn faulty_lists_are_refused_or_told() {
    let error = Catalogue::read_bytes(("list.txt", b"date,rain\n".to_vec()), None).unwrap_err();
    assert_eq!(error.id(), "file-is-another-product");
    let list = listed("XXT00000001", (10.0, 20.0), 5.0, "A");
    let error = Catalogue::read_bytes(("list.txt", list.clone().into_bytes()), Some(("inventory.txt", b"<html>"))).unwrap_err();
    assert_eq!(error.id(), "file-is-a-web-page");
    let inventory = held("XXT00000001", (10.0, 20.0), "PRCP", (1991, 2020)) + "XXT00000001  10.0000   20.0000 PRCP 19";
    let (_, found) = catalogue(&list, Some(&inventory));
    assert_eq!(found.count("inventory-line-unreadable"), 1);
    assert!(Catalogue::read(Path::new("/nowhere/list.txt"), None).is_err());
}

fn places() -> impl Strategy<Value = (f64, f64)> {
    // The whole earth, and more of the date line and of the poles than there is.
    let latitude = prop_oneof![-90.0..=90.0, 89.0..=90.0, -90.0..=-89.0, Just(90.0), Just(-90.0), Just(0.0)];
    let longitude = prop_oneof![-180.0..=180.0, 179.0..=180.0, -180.0..=-179.0, Just(180.0), Just(-180.0), Just(0.0)];
    (latitude, longitude)
}

proptest! {
    /// What is put out of reach without a geodesic is out of reach by the geodesic: nobody is lost, whatever the place and the reach, and a station
    /// whose distance is the reach itself is within it.
    #[test]
    fn the_filter_loses_nobody(centre in places(), stations in prop::collection::vec(places(), 1..60), km in 0.001..20_100.0_f64, exact in 0_usize..60) {
        let stations: Vec<(f64, f64)> = stations.into_iter().map(|(a, b)| ((a * 1e4).round() / 1e4, (b * 1e4).round() / 1e4)).collect();
        let list: String = stations.iter().enumerate().map(|(number, place)| listed(&format!("XXT{number:08}"), *place, 0.0, "X")).collect();
        let (catalogue, _) = catalogue(&list, None);
        let km = stations.get(exact).map_or(km, |place| distance_km(centre, *place));
        let (nearby, _) = catalogue.near(&Search { elevation_m: None, years: None, ..search(centre, km) });
        let mut expected: Vec<(u64, String)> = Vec::new();
        for (number, place) in stations.iter().enumerate() {
            let away = distance_km(centre, *place);
            if away <= km {
                expected.push((away.to_bits(), format!("XXT{number:08}")));
            }
        }
        expected.sort();
        let found: Vec<(u64, String)> = nearby.ranked.iter().map(|one| (one.distance_km.to_bits(), one.station.id.clone())).collect();
        prop_assert_eq!(found, expected);
        if nearby.ranked.is_empty() {
            let nearest = stations.iter().map(|place| distance_km(centre, *place)).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(nearby.elsewhere[0].candidate.distance_km, nearest);
        }
    }
}
