//! A station near the place, and the rule that ranks it.
//!
//! The rule is of this house and has no source. It adds up kilometres:
//!
//! counted distance = distance + [`HEIGHT_FACTOR`] x height difference + [`KM_OF_A_YEAR_MISSING`] x wanted years that are missing
//! + [`KM_OF_SILENCE`] where the station no longer reports.
//!
//! What is not known adds nothing and is told as not known.

use super::held_record::HeldRecord;
use super::search::WantedYears;
use serde::Serialize;
use series::Station;

/// How many times the height difference counts: 10 m as one kilometre. Rain changes faster uphill than along the ground (house rule, no source).
pub const HEIGHT_FACTOR: f64 = 100.0;

/// Kilometres that each of the wanted years counts that a station does not have: a station 40 km away that has all thirty stands before one next door
/// that has ten (house rule, no source).
pub const KM_OF_A_YEAR_MISSING: f64 = 2.0;

/// Kilometres that count where a station no longer reports: its rain cannot be followed up (house rule, no source).
pub const KM_OF_SILENCE: f64 = 10.0;

/// Who tells a station's years of rain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum YearsToldBy {
    /// The inventory: the years of the first and the last value.
    Inventory,
    /// The station list itself.
    StationList,
}

/// The first and the last year in which a station measured rain. They say nothing of the gaps between.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct RainYears {
    /// First.
    pub first: i32,
    /// Last.
    pub last: i32,
    /// Who says so.
    pub told_by: YearsToldBy,
}

/// The terms of the rule, km. A term that is not known is nothing, and counts as zero.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct CountedDistance {
    /// The geodesic.
    pub distance_km: f64,
    /// For the height difference.
    pub height_km: Option<f64>,
    /// For the wanted years that are missing.
    pub years_km: Option<f64>,
    /// For no longer reporting.
    pub silence_km: Option<f64>,
    /// The sum.
    pub total_km: f64,
}

/// A station near the place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    /// Who and where.
    pub station: Station,
    /// Kilometres from the place, to the metre: the geodesic on WGS 84.
    pub distance_km: f64,
    /// Direction in which it lies from the place, degrees from north by east, -180 to 180.
    pub azimuth_degrees: f64,
    /// Metres that it stands above the place, where both heights are known.
    pub height_difference_m: Option<f64>,
    /// Its years of rain, where the inventory or the list tells them.
    pub rain_years: Option<RainYears>,
    /// Of the wanted years those from its first to its last: no more than so many, since nothing is told of gaps.
    pub wanted_years_at_most: Option<u32>,
    /// Whether its last year is the latest of the inventory or the one before.
    pub still_reports: Option<bool>,
    /// What a record says that is here already.
    pub record: Option<HeldRecord>,
    /// Its rank's reason.
    pub counted: CountedDistance,
}

impl Candidate {
    /// A station at that distance and azimuth of a place of that height.
    pub(crate) fn new(station: Station, (distance_km, azimuth_degrees): (f64, f64), elevation_m: Option<f64>) -> Self {
        let height_difference_m = station.elevation.zip(elevation_m).map(|(theirs, ours)| theirs - ours);
        Self {
            station,
            distance_km,
            azimuth_degrees,
            height_difference_m,
            rain_years: None,
            wanted_years_at_most: None,
            still_reports: None,
            record: None,
            counted: CountedDistance::default(),
        }
    }

    /// Takes its years of rain, and what they mean beside the wanted ones and the latest of all.
    pub(crate) fn take_years(&mut self, years: Option<RainYears>, wanted: Option<WantedYears>, latest: Option<i32>) {
        self.rain_years = years;
        self.wanted_years_at_most = years.zip(wanted).map(|(years, wanted)| wanted.covered_by(years.first, years.last));
        self.still_reports = years.zip(latest).map(|(years, latest)| years.last >= latest - 1);
    }

    /// The wanted years that it has: by the record where one is here, else at most; nothing where neither is known.
    pub fn years_held(&self, wanted: WantedYears) -> Option<f64> {
        let by_record = self.record.as_ref().map(|record| record.usable_share() * f64::from(wanted.count()));
        by_record.or(self.wanted_years_at_most.map(f64::from))
    }

    /// Works the rule.
    pub(crate) fn count(&mut self, wanted: Option<WantedYears>) {
        let height_km = self.height_difference_m.map(|metres| metres.abs() / 1000.0 * HEIGHT_FACTOR);
        let missing = wanted.and_then(|wanted| Some(f64::from(wanted.count()) - self.years_held(wanted)?));
        let years_km = missing.map(|years| years * KM_OF_A_YEAR_MISSING);
        let silence_km = self.still_reports.map(|reports| if reports { 0.0 } else { KM_OF_SILENCE });
        let more: f64 = [height_km, years_km, silence_km].into_iter().flatten().fold(0.0, |sum, km| sum + km);
        self.counted =
            CountedDistance { distance_km: self.distance_km, height_km, years_km, silence_km, total_km: self.distance_km + more };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_term_is_what_the_rule_says() {
        let station = Station { elevation: Some(380.0), ..Station::named_only("XXT00000001") };
        let mut candidate = Candidate::new(station, (12.5, 90.0), Some(330.0));
        let wanted = WantedYears::of(Some((1991, 2020)), None);
        candidate.take_years(Some(RainYears { first: 1950, last: 2010, told_by: YearsToldBy::Inventory }), wanted, Some(2024));
        candidate.count(wanted);
        // By hand: 50 m are 5 km; 2011 to 2020 are ten years of 2 km; silent since 2010: 10 km.
        let expected =
            CountedDistance { distance_km: 12.5, height_km: Some(5.0), years_km: Some(20.0), silence_km: Some(10.0), total_km: 47.5 };
        assert_eq!((candidate.counted, candidate.still_reports, candidate.wanted_years_at_most), (expected, Some(false), Some(20)));
        candidate.take_years(None, wanted, None);
        candidate.height_difference_m = None;
        candidate.count(wanted);
        assert_eq!(candidate.counted, CountedDistance { distance_km: 12.5, total_km: 12.5, ..CountedDistance::default() });
    }
}
