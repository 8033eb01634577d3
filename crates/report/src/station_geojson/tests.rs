//! The rules of RFC 7946, each with its section, held against the text that is written.

use super::*;
use ingest::catalogue::{Catalogue, Search};

/// Stations by id and place, all within reach of the place.
fn written(place: (f64, f64), stations: &[(&str, f64, f64)]) -> Value {
    let line = |(id, latitude, longitude): &(&str, f64, f64)| format!("{id} {latitude:>8.4} {longitude:>9.4}   10.0    INVENTED");
    let list = stations.iter().map(line).collect::<Vec<_>>().join("\n");
    let (catalogue, _) = Catalogue::read_bytes(("list", list.into_bytes()), None).unwrap();
    let search = Search { latitude_degrees: place.0, longitude_degrees: place.1, elevation_m: None, years: None, within_km: 3000.0 };
    let (nearby, _) = catalogue.near(&search);
    serde_json::from_str(&stations_geojson(&nearby)).unwrap()
}

fn bbox(collection: &Value) -> Vec<f64> {
    collection["bbox"].as_array().unwrap().iter().map(|side| side.as_f64().unwrap()).collect()
}

#[test]
fn the_collection_is_what_the_standard_says() {
    let collection = written((44.5, -36.0), &[("XXT00000001", 44.6, -36.2), ("XXT00000002", 44.1, -35.9)]);
    // 3.3: a FeatureCollection has features. 4: no crs.
    assert_eq!((collection["type"].as_str(), collection.get("crs")), (Some("FeatureCollection"), None));
    let features = collection["features"].as_array().unwrap();
    assert_eq!(features.len(), 3);
    for feature in features {
        // 3.2: type, geometry, properties, and an id that is a text or a number.
        assert!(feature["type"] == "Feature" && feature["id"].is_string() && feature["properties"].is_object(), "{feature}");
        // 3.1.1: longitude, latitude, and no more than a height behind; 4: degrees.
        let position = feature["geometry"]["coordinates"].as_array().unwrap();
        let degrees: Vec<f64> = position.iter().map(|number| number.as_f64().unwrap()).collect();
        assert!(feature["geometry"]["type"] == "Point" && degrees.len() == 2, "{feature}");
        assert!(degrees[0].abs() <= 180.0 && degrees[1].abs() <= 90.0, "{feature}");
        // 7.1: no member of a geometry's own within a feature.
        assert!(["coordinates", "geometries", "geometry", "features"].iter().all(|member| feature["properties"].get(member).is_none()));
    }
    assert_eq!((features[0]["id"].as_str(), features[1]["id"].as_str()), (Some("site"), Some("XXT00000001")));
    assert_eq!(features[1]["geometry"]["coordinates"], json!([-36.2, 44.6]));
    assert_eq!((features[1]["properties"]["rank"].as_u64(), features[1]["properties"]["name"].as_str()), (Some(1), Some("INVENTED")));
    // 5: west, south, east, north.
    assert_eq!(bbox(&collection), [-36.2, 44.1, -35.9, 44.6]);
}

#[test]
fn a_box_over_the_antimeridian_has_its_west_east_of_its_east() {
    // 5.2, with its own example: Fiji, from 177 degrees east to 178 degrees west.
    let collection = written((-18.0, 180.0), &[("XXT00000001", -20.0, 177.0), ("XXT00000002", -16.0, -178.0)]);
    assert_eq!(bbox(&collection), [177.0, -20.0, -178.0, -16.0]);
}

#[test]
fn a_box_about_a_pole_has_all_longitudes() {
    // 5.3: from the least latitude and 180 west to 90 north and 180 east.
    let collection = written((89.0, 10.0), &[("XXT00000001", 88.0, -150.0)]);
    assert_eq!(bbox(&collection), [-180.0, 88.0, 180.0, 90.0]);
    let collection = written((-90.0, 0.0), &[("XXT00000001", -88.0, 15.0)]);
    assert_eq!(bbox(&collection), [-180.0, -90.0, 180.0, -88.0]);
    // Near the pole, which is further away than any station.
    let collection = written((85.0, 10.0), &[("XXT00000001", 84.0, 12.0)]);
    assert_eq!(bbox(&collection), [10.0, 84.0, 12.0, 85.0]);
}
