//! The page over invented lists: its width, what it advises, what it says where nobody is.

use super::*;
use ingest::catalogue::{Catalogue, Search};

const LIST: &str = "\
XXT00000001  44.5000  -36.1000  150.0    INVENTED MEADOW AT LONG MILL
XXT00000002  44.6000  -36.0000  100.0    INVENTED FORD
XXT00000003  44.4000  -36.0000  900.0    INVENTED PASS
XXT00000004  44.4500  -36.0500  100.0    INVENTED QUARRY
";

const INVENTORY: &str = "\
XXT00000001  44.5000  -36.1000 PRCP 1950 2024
XXT00000002  44.6000  -36.0000 PRCP 2001 2010
XXT00000003  44.4000  -36.0000 PRCP 1951 1970
XXT00000004  44.4500  -36.0500 TMAX 1951 2024
";

const PRODUCT: StationsSource<'_> = StationsSource { list: "ghcn-daily", product: Some("ghcn-daily") };

fn nearby(place: (f64, f64), years: (i32, i32), inventory: bool) -> Nearby {
    let inventory = inventory.then_some(("inventory", INVENTORY.as_bytes()));
    let (catalogue, _) = Catalogue::read_bytes(("list", LIST.into()), inventory).unwrap();
    let search =
        Search { latitude_degrees: place.0, longitude_degrees: place.1, elevation_m: Some(100.0), years: Some(years), within_km: 50.0 };
    catalogue.near(&search).0
}

/// The words of a page, however they are broken.
fn words(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_page_says_which_one_to_take_and_why() {
    let found = nearby((44.5, -36.0), (1991, 2020), true);
    let page = near_stations(&found, PRODUCT, UnitSystem::Metric);
    assert!(page.lines().all(|line| line.chars().count() <= WIDTH), "{page}");
    // 7.953 km (Python geographiclib 2.1); 50 m are 5 km.
    for said in [
        "Rain gauges near 44.5000 N, 36.0000 W, 100 m above the sea",
        "Take XXT00000001 (INVENTED MEADOW AT LONG MILL): 8 km to the west; 50 m higher; rain 1950 to 2024 by the inventory, so up to all 30 years; it still reports.",
        "2 stations within 50 km with rain in these years; 1 with rain in other years only; 1 without rain.",
        "50 m higher, which counts 5 km.",
        "INVENTED FORD: 11.1 km to the north. At the same height. Rain 2001 to 2010 by the inventory, so at most 10 of the 30 years, which counts 40 km. It is silent since 2010, which counts 10 km. It stands behind the first mostly for the years that it lacks.",
        "rainworth download ghcn-daily:XXT00000001 ghcn-daily:XXT00000002",
        "files = [\"ghcn-daily:XXT00000001\", \"ghcn-daily:XXT00000002\"] station_list = \"ghcn-daily\"",
    ] {
        assert!(words(&page).contains(said), "{said}\n{page}");
    }
    let row = page.lines().find(|line| line.starts_with(" 2")).unwrap();
    let cells: Vec<&str> = row.split_whitespace().collect();
    assert_eq!(cells, ["2", "XXT00000002", "INVENTED", "FORD", "11.1", "N", "0", "2001-2010", "\u{2264}10"]);
}

#[test]
fn the_same_stands_in_miles_and_feet() {
    let page = near_stations(&nearby((44.5, -36.0), (1991, 2020), true), PRODUCT, UnitSystem::UsCustomary);
    // 7.953 km = 4.94 miles, 50 m = 164 ft, 2 km = 1.24 miles, 10 km = 6.21 miles.
    for said in
        ["4.9 miles to the west; 164 ft higher", "1.2 miles for each of the years wanted", "and 6.2 miles where a gauge no longer reports"]
    {
        assert!(words(&page).contains(said), "{said}\n{page}");
    }
}

#[test]
fn what_is_not_known_is_said() {
    let found = nearby((44.5, -36.0), (1991, 2020), false);
    let page = near_stations(&found, StationsSource { list: "my list.txt", product: None }, UnitSystem::Metric);
    assert!(page.lines().all(|line| line.chars().count() <= WIDTH), "{page}");
    assert!(words(&page).contains("this list tells no years") && words(&page).contains("Its years are not known."), "{page}");
    assert!(words(&page).contains("from the agency whose list this is") && !page.contains("rainworth download"), "{page}");
}

#[test]
fn where_nobody_is_the_page_says_what_to_look_at() {
    let page = words(&near_stations(&nearby((44.5, 36.0), (1991, 2020), true), PRODUCT, UnitSystem::Metric));
    for said in [
        "No station within 50 km with rain in these years.",
        "The nearest that would count is XXT00000002 (INVENTED FORD), 5522 km to the north-west, rain 2001 to 2010.",
        "--within \"5530 km\"",
        "With the longitude's other sign (east for west) the place would be 44.5000 N, 36.0000 W, and XXT00000001 (INVENTED MEADOW AT LONG MILL) 8 km away. If that is meant: --near=44.5,-36",
    ] {
        assert!(page.contains(said), "{said}\n{page}");
    }
    let page = near_stations(&nearby((44.5, -36.0), (1901, 1910), true), PRODUCT, UnitSystem::Metric);
    for said in [
        "With rain in other years only: 3 stations.",
        "Where the years of the nearest serve: --years 1950-2024",
        "No station of the list has rain in these years at all.",
    ] {
        assert!(words(&page).contains(said), "{said}\n{page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= WIDTH) && page.contains("1951-1970"), "{page}");
}
