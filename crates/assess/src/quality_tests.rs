//! The quality tests of one record among others: which neighbours it is held against.
//!
//! The nearest four gauges with a known place within 75 km of the record's own, other than itself: the reach of the spatial test of Durre et
//! al. 2010. Without a place, or without neighbours, the tests say what one record shows by itself.

use crate::neighbour_choice::REACH_KM;
use ingest::{StationRecord, distance_km};
use stats::{DayAlignment, Neighbour, QualityReport, quality_report};

/// Most neighbours.
const MOST: usize = 4;

/// What the quality tests make of a record, held against those of `others` that are its neighbours. The record itself may be among them.
/// Neighbours' dates are moved where both records say which 24 hours a date means.
pub fn quality_of<'a>(record: &StationRecord, others: impl IntoIterator<Item = &'a StationRecord>) -> QualityReport {
    let own = &record.rain.station;
    let distance = |other: &StationRecord| {
        let differs = other.rain.station.id != own.id && other.rain.extent.is_gauge() && other.rain.period().is_some();
        let (here, there) = own.position().zip(other.rain.station.position()).filter(|_| differs)?;
        Some(distance_km(here, there)).filter(|distance| *distance <= REACH_KM)
    };
    let beside = |other: &'a StationRecord| {
        let alignment = DayAlignment::of(record.rain.day_definition, other.rain.day_definition, None);
        Some(Neighbour { series: &other.rain, distance_km: distance(other)?, days_later: alignment.days_later() })
    };
    let mut near: Vec<Neighbour<'_>> = others.into_iter().filter_map(beside).collect();
    // Nearest first; of equals in the order given.
    near.sort_by(|a, b| a.distance_km.total_cmp(&b.distance_km));
    near.truncate(MOST);
    quality_report(&record.rain, &near)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::read;
    use testkit::DlyText;

    fn record(id: &str, position: Option<(f64, f64)>) -> StationRecord {
        let mut record = read(&DlyText::new(id).rain_run_mm((2001, 1, 1), &[Some(1.0); 40]));
        (record.rain.station.latitude, record.rain.station.longitude) = position.unzip();
        record
    }

    #[test]
    fn the_nearest_four_within_reach_are_asked_and_nobody_twice() {
        // A degree of latitude is 111 km: 0.1 is 11 km, 0.7 is 78 km.
        let own = record("XXT00000001", Some((50.0, 0.0)));
        let at = |id: &str, north: f64| record(id, Some((50.0 + north, 0.0)));
        let mut others = vec![own.clone(), at("XXT00000002", 0.7), at("XXT00000003", 0.3), at("XXT00000004", 0.1), at("XXT00000005", 0.2)];
        others.extend([record("XXT00000006", None), at("XXT00000007", 0.4), at("XXT00000008", 0.5)]);
        let ids: Vec<String> = quality_of(&own, &others).neighbours.into_iter().map(|one| one.id).collect();
        assert_eq!(ids, ["XXT00000004", "XXT00000005", "XXT00000003", "XXT00000007"]);
        assert_eq!(quality_of(&record("XXT00000009", None), &others).neighbours, []);
    }
}
