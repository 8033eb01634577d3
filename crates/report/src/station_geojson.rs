//! The stations near a place as GeoJSON (RFC 7946), for a map.
//!
//! A `FeatureCollection` of points: the place first, with the id `site`, then each station with its own. Positions are longitude, latitude in
//! degrees of WGS 84, longitudes from -180 to 180 (sections 3.1.1 and 4). Heights are properties and no third number of a position, since
//! that would be the height above the ellipsoid, and lists give heights above the sea. There is no `crs` (section 4). A `bbox` over the
//! antimeridian has its west east of its east (section 5.2), and one that holds a pole has all longitudes and that pole (section 5.3).

use ingest::catalogue::{Candidate, Nearby};
use ingest::distance_km;
use serde_json::{Map, Value, json};

/// The text of the file.
pub fn stations_geojson(nearby: &Nearby) -> String {
    let search = &nearby.search;
    let place = search.place();
    let site = Map::from_iter([
        ("kind".to_owned(), json!("site")),
        ("elevation_m".to_owned(), json!(search.elevation_m)),
        ("within_km".to_owned(), json!(search.within_km)),
        ("wanted_years_first".to_owned(), json!(nearby.wanted_years.map(|years| years.first))),
        ("wanted_years_last".to_owned(), json!(nearby.wanted_years.map(|years| years.last))),
        ("stations_within_reach".to_owned(), json!(nearby.counts.within_reach)),
    ]);
    let mut features = vec![feature("site", place, &site)];
    let kinds =
        [("ranked", &nearby.ranked), ("without_wanted_years", &nearby.without_wanted_years), ("without_rain", &nearby.without_rain)];
    let mut places = vec![place];
    for (kind, stations) in kinds {
        for (number, one) in (1..).zip(stations) {
            if let Some(position) = one.station.position() {
                places.push(position);
                features.push(feature(&one.station.id, position, &properties(one, kind, number)));
            }
        }
    }
    let collection = json!({ "type": "FeatureCollection", "bbox": bounds(place, &places), "features": features });
    format!("{collection:#}\n")
}

fn feature(id: &str, (latitude, longitude): (f64, f64), properties: &Map<String, Value>) -> Value {
    json!({
        "type": "Feature",
        "id": id,
        "geometry": { "type": "Point", "coordinates": [longitude, latitude] },
        "properties": properties,
    })
}

fn properties(one: &Candidate, kind: &str, number: usize) -> Map<String, Value> {
    let rank = (kind == "ranked").then_some(number);
    let years = one.rain_years;
    let record = one.record.as_ref();
    Map::from_iter(
        [
            ("kind", json!("station")),
            ("standing", json!(kind)),
            ("rank", json!(rank)),
            ("name", json!(one.station.name)),
            ("elevation_m", json!(one.station.elevation)),
            ("distance_km", json!(one.distance_km)),
            ("azimuth_degrees", json!(one.azimuth_degrees)),
            ("height_difference_m", json!(one.height_difference_m)),
            ("rain_first_year", json!(years.map(|years| years.first))),
            ("rain_last_year", json!(years.map(|years| years.last))),
            ("wanted_years_at_most", json!(one.wanted_years_at_most)),
            ("usable_share_of_wanted_days", json!(record.map(ingest::catalogue::HeldRecord::usable_share))),
            ("still_reports", json!(one.still_reports)),
            ("counted_distance_km", json!(one.counted.total_km)),
            ("counted_height_km", json!(one.counted.height_km)),
            ("counted_years_km", json!(one.counted.years_km)),
            ("counted_silence_km", json!(one.counted.silence_km)),
        ]
        .map(|(name, value)| (name.to_owned(), value)),
    )
}

/// West, south, east, north of all places.
fn bounds(centre: (f64, f64), places: &[(f64, f64)]) -> [f64; 4] {
    let latitudes = places.iter().map(|place| place.0);
    let (south, north) = latitudes.fold((90.0_f64, -90.0_f64), |(least, most), latitude| (least.min(latitude), most.max(latitude)));
    // A disc about the centre that holds all places holds a pole where that is no further away.
    let reach = places.iter().map(|place| distance_km(centre, *place)).fold(0.0, f64::max);
    let holds = |pole: f64| distance_km(centre, (pole, 0.0)) <= reach;
    match (holds(-90.0), holds(90.0)) {
        (false, false) => {
            let (west, east) = longitudes(places);
            [west, south, east, north]
        }
        (at_south, at_north) => [-180.0, if at_south { -90.0 } else { south }, 180.0, if at_north { 90.0 } else { north }],
    }
}

/// West and east of the narrowest strip that holds all places: what lies outside of the widest gap between neighbours on the circle.
fn longitudes(places: &[(f64, f64)]) -> (f64, f64) {
    let mut around: Vec<f64> = places.iter().map(|place| place.1).collect();
    around.sort_by(f64::total_cmp);
    let (Some(first), Some(last)) = (around.first(), around.last()) else { return (-180.0, 180.0) };
    // The gap over the antimeridian, then those between neighbours.
    let (mut widest, mut strip) = (first + 360.0 - last, (*first, *last));
    for pair in around.windows(2) {
        if pair[1] - pair[0] > widest {
            (widest, strip) = (pair[1] - pair[0], (pair[1], pair[0]));
        }
    }
    strip
}

#[cfg(test)]
mod tests;
