//! Sound records to put faults in: invented skies with five gauges each, and real records where RAINWORTH_DATA is set.

use series::{DailySeries, Day, Reading, Station, days_in_month};
use testkit::valley::{CleanRain, clean_rain};

/// A sound record and the records about it.
pub(crate) struct Sound {
    pub(crate) own: DailySeries,
    /// With their distances, km.
    pub(crate) neighbours: Vec<(DailySeries, f64)>,
}

/// Invented skies, a gauge with four neighbours each; fifty years.
pub(crate) fn invented(skies: u64) -> Vec<Sound> {
    let sky = |seed: u64| {
        let gauges = clean_rain(1000 + seed);
        let own = series_of(&gauges[0]);
        let neighbours = gauges[1..].iter().map(|gauge| (series_of(gauge), distance_km(gauges[0].position, gauge.position))).collect();
        Sound { own, neighbours }
    };
    (0..skies).map(sky).collect()
}

/// Long records without a flag worth speaking of (MANIFEST): humid temperate, temperate, humid subtropical. They have no neighbours.
pub(crate) fn real() -> Vec<Sound> {
    ["USW00094728", "UK000056225", "ASN00066062"].iter().filter_map(|id| Some(Sound { own: ghcn(id)?, neighbours: Vec::new() })).collect()
}

fn series_of(gauge: &CleanRain) -> DailySeries {
    let readings = gauge.tenths.iter().map(|tenths| Reading::measured(tenths * 100)).collect();
    DailySeries::new(Station::named_only(gauge.id), Day::first_of_year(gauge.first_year), readings)
}

/// On a sphere of 6,371 km, for short distances.
fn distance_km((lat, lon): (f64, f64), (lat2, lon2): (f64, f64)) -> f64 {
    let east = (lon2 - lon) * series::math::cos(lat.to_radians());
    ((lat2 - lat) * (lat2 - lat) + east * east).sqrt().to_radians() * 6371.0
}

/// A station of `ghcnd-dly` by the fields of the archive's readme: element, value, measurement and quality flag. Totals are left missing.
fn ghcn(id: &str) -> Option<DailySeries> {
    let path = testkit::data_dir()?.join("ghcnd-dly").join(format!("{id}.dly"));
    let text = std::fs::read_to_string(path).unwrap();
    let base = Day::first_of_year(1800);
    let mut rain = vec![Reading::MISSING; Day::last_of_year(2100).since(base) as usize];
    for line in text.lines().filter(|line| &line[17..21] == "PRCP") {
        let (year, month) = (line[11..15].parse().unwrap(), line[15..17].parse().unwrap());
        for date in 1..=days_in_month(year, month) {
            let at = 21 + (date as usize - 1) * 8;
            let value: i32 = line[at..at + 5].trim().parse().unwrap();
            let flags = &line.as_bytes()[at + 5..at + 8];
            if value != -9999 && flags[1] == b' ' {
                let day = Day::new(year, month, date).unwrap();
                rain[day.since(base) as usize] = if flags[0] == b'T' { Reading::TRACE } else { Reading::measured(value * 100) };
            }
        }
    }
    Some(DailySeries::new(Station::named_only(id), base, rain))
}
