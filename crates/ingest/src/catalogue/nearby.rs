//! The search itself: who is within reach, in which order, and who would be where nobody is.

use super::Catalogue;
use super::candidate::{Candidate, RainYears, YearsToldBy};
use super::held_record::{HeldRecord, disagreements};
use super::search::{Search, WantedYears};
use crate::geodesy::{distance_and_azimuth, least_km_of_a_degree_north, point_km, straight_km};
use crate::listed_place::SAME_PLACE_KM;
use crate::{InventoryEntry, Slip, StationRecord, distance_km, slips_of_the_pen};
use serde::Serialize;
use series::{Diagnostic, Diagnostics, Severity, Station};

/// Distances are rounded to the metre; what is a little further may round to the edge. Kilometres.
const ROUNDING_KM: f64 = 0.001;

/// How many stations there are of each kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct StationCounts {
    /// In the list.
    pub in_list: usize,
    /// Within reach.
    pub within_reach: usize,
    /// Of these, with some of the wanted years, or of years that are not known.
    pub ranked: usize,
    /// Of these, with rain in other years only.
    pub without_wanted_years: usize,
    /// Of these, without rain.
    pub without_rain: usize,
}

/// A station that would count, about the place or about the place that may have been meant.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NearestElsewhere {
    /// The slip of the pen that would explain it; nothing where it is the nearest to the place itself.
    pub slip: Option<Slip>,
    /// Degrees north of the place that it is near to.
    pub latitude_degrees: f64,
    /// Degrees east of it.
    pub longitude_degrees: f64,
    /// The station, its distance and direction from there.
    pub candidate: Candidate,
}

/// The stations near a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Nearby {
    /// What was looked for.
    pub search: Search,
    /// The years that are wanted; nothing where neither the caller nor the inventory tells any.
    pub wanted_years: Option<WantedYears>,
    /// The latest year of the inventory, or of a list that tells years.
    pub latest_year: Option<i32>,
    /// How many stations there are.
    pub counts: StationCounts,
    /// Stations with some of the wanted years, or of years that are not known, by their counted distance.
    pub ranked: Vec<Candidate>,
    /// Stations with rain in other years only, nearest first.
    pub without_wanted_years: Vec<Candidate>,
    /// Stations without rain, nearest first.
    pub without_rain: Vec<Candidate>,
    /// Where nobody is ranked: the nearest station that would be, and one near each place that a slip of the pen explains.
    pub elsewhere: Vec<NearestElsewhere>,
    /// Whether an inventory tells who measures rain.
    #[serde(skip)]
    rain_is_known: bool,
}

impl Catalogue {
    /// The stations near a place, ranked. Where the list and the inventory disagree about a station found, that is told.
    pub fn near(&self, search: &Search) -> (Nearby, Diagnostics) {
        let mut found = Diagnostics::default();
        let latest_year = self.latest_year();
        let wanted_years = WantedYears::of(search.years, latest_year);
        let mut all: Vec<Candidate> = Vec::new();
        for (number, way) in self.within(search.place(), search.within_km) {
            let mut candidate = Candidate::new(self.places.station(number), way, search.elevation_m);
            candidate.take_years(self.rain_years(&candidate.station.id), wanted_years, latest_year);
            self.tell_other_place(&candidate.station, &mut found);
            all.push(candidate);
        }
        for entry in self.not_listed(search.place(), search.within_km) {
            let station = Station { latitude: Some(entry.latitude), longitude: Some(entry.longitude), ..Station::named_only(entry.id()) };
            let way = distance_and_azimuth(search.place(), (entry.latitude, entry.longitude));
            let message = format!("found station {} in the inventory, which the list does not have; expected it in both", entry.id());
            found.push(
                Diagnostic::new("station-not-listed", Severity::Warning, message)
                    .in_file(self.inventory.as_ref().map(|inventory| inventory.name().to_owned()).unwrap_or_default())
                    .done("Its place in the inventory is used; its name and height are not known."),
            );
            let mut candidate = Candidate::new(station, way, search.elevation_m);
            candidate.take_years(Some(years_of(entry)), wanted_years, latest_year);
            all.push(candidate);
        }
        let mut nearby = Nearby {
            search: search.clone(),
            wanted_years,
            latest_year,
            counts: StationCounts { in_list: self.len(), ..StationCounts::default() },
            ranked: Vec::new(),
            without_wanted_years: Vec::new(),
            without_rain: Vec::new(),
            elsewhere: Vec::new(),
            rain_is_known: self.inventory.is_some(),
        };
        nearby.rank(all);
        if nearby.ranked.is_empty() {
            nearby.elsewhere = self.elsewhere(search, wanted_years, latest_year);
        }
        (nearby, found)
    }

    /// Who is within so many kilometres: its number, its distance and its azimuth. The geodesic is asked for those alone that neither their latitude
    /// nor the straight line puts out of reach.
    fn within(&self, place: (f64, f64), km: f64) -> Vec<(usize, (f64, f64))> {
        let reach = Reach::of(place, km);
        let near = self.places.positions().filter(|(_, position)| reach.may_hold(*position));
        near.map(|(number, position)| (number, distance_and_azimuth(place, position))).filter(|(_, way)| way.0 <= km).collect()
    }

    /// The inventory's stations within reach that the list does not have.
    fn not_listed(&self, place: (f64, f64), km: f64) -> Vec<&InventoryEntry> {
        let Some(inventory) = &self.inventory else { return Vec::new() };
        let reach = Reach::of(place, km);
        // Both are in the order of the identifiers.
        let mut ids = self.places.ids().peekable();
        let stations = inventory.stations().filter(move |entry| {
            while ids.next_if(|id| *id < entry.id()).is_some() {}
            ids.peek() != Some(&entry.id())
        });
        let near = stations.filter(|entry| reach.may_hold((entry.latitude, entry.longitude)));
        near.filter(|entry| distance_km(place, (entry.latitude, entry.longitude)) <= km).collect()
    }

    fn rain_years(&self, id: &str) -> Option<RainYears> {
        match &self.inventory {
            Some(inventory) => inventory.get(id).map(years_of),
            None => self.places.years(id).map(|(first, last)| RainYears { first, last, told_by: YearsToldBy::StationList }),
        }
    }

    /// Tells a station that the inventory has at another place than the list.
    fn tell_other_place(&self, station: &Station, found: &mut Diagnostics) {
        let Some((inventory, entry)) = self.inventory.as_ref().and_then(|inventory| Some((inventory, inventory.get(&station.id)?))) else {
            return;
        };
        let Some(listed) = station.position() else { return };
        // The same numbers need no geodesic.
        let apart = if listed == (entry.latitude, entry.longitude) { 0.0 } else { distance_km(listed, (entry.latitude, entry.longitude)) };
        if apart > SAME_PLACE_KM {
            let message = format!(
                "found station {} at {:.4}, {:.4}, expected {:.4}, {:.4} as the list has it: {apart:.1} km apart",
                station.id, entry.latitude, entry.longitude, listed.0, listed.1
            );
            let finding = Diagnostic::new("place-disagrees", Severity::Warning, message).in_file(inventory.name());
            found.push(finding.done("The place in the list is used."));
        }
    }

    /// Whether a station would be ranked.
    fn counts(&self, id: &str, wanted: Option<WantedYears>) -> bool {
        match (self.rain_years(id), wanted) {
            (Some(years), Some(wanted)) => wanted.covered_by(years.first, years.last) > 0,
            (Some(_), None) => true,
            (None, _) => self.inventory.is_none(),
        }
    }

    /// The nearest station that would be ranked, and those within reach of the places that slips of the pen explain.
    fn elsewhere(&self, search: &Search, wanted: Option<WantedYears>, latest: Option<i32>) -> Vec<NearestElsewhere> {
        let of = |slip: Option<Slip>, place: (f64, f64)| {
            let (number, way) = self.nearest(place, |id| self.counts(id, wanted))?;
            let mut candidate = Candidate::new(self.places.station(number), way, search.elevation_m);
            candidate.take_years(self.rain_years(&candidate.station.id), wanted, latest);
            candidate.count(wanted);
            Some(NearestElsewhere { slip, latitude_degrees: place.0, longitude_degrees: place.1, candidate })
        };
        let slips = slips_of_the_pen(search.place()).filter_map(|(slip, place)| of(Some(slip), place));
        let explained = slips.filter(|found| found.candidate.distance_km <= search.within_km);
        of(None, search.place()).into_iter().chain(explained).collect()
    }

    /// The nearest station of those that serve.
    fn nearest(&self, place: (f64, f64), serves: impl Fn(&str) -> bool) -> Option<(usize, (f64, f64))> {
        let centre = point_km(place);
        let mut straight: Option<(f64, usize, (f64, f64))> = None;
        for (number, position) in self.places.positions() {
            let km = straight_km(&point_km(position), &centre);
            if straight.is_none_or(|(least, ..)| km < least) && serves(self.places.id(number)) {
                straight = Some((km, number, position));
            }
        }
        // The nearest over the ground is no further than this one is, and need not be the same.
        let (_, _, position) = straight?;
        let near = self.within(place, distance_km(place, position));
        let near = near.into_iter().filter(|(number, _)| serves(self.places.id(*number)));
        near.min_by(|(_, one), (_, other)| one.0.total_cmp(&other.0))
    }
}

impl Nearby {
    /// Takes the records that are here already, of whatever stations: what they say of the wanted years goes before the inventory, and the order is
    /// worked anew. Where a record is of another place or time than the lists say, that is told.
    pub fn take_records(&mut self, records: &[StationRecord]) -> Diagnostics {
        let mut found = Diagnostics::default();
        let lists = [&mut self.ranked, &mut self.without_wanted_years, &mut self.without_rain];
        let mut all: Vec<Candidate> = lists.into_iter().flat_map(std::mem::take).collect();
        for candidate in &mut all {
            let of_station = records.iter().filter(|record| record.rain.station.id == candidate.station.id);
            for record in of_station {
                let Some(held) = HeldRecord::of(record, self.wanted_years) else { continue };
                disagreements(candidate, record, &held, &mut found);
                // Of a station in several formats the fullest record counts.
                if candidate.record.as_ref().is_none_or(|other| other.usable_days < held.usable_days) {
                    candidate.record = Some(held);
                }
            }
        }
        self.rank(all);
        found
    }

    /// Sorts the stations by what they lack, and works their order.
    fn rank(&mut self, all: Vec<Candidate>) {
        self.counts.within_reach = all.len();
        let wanted = self.wanted_years;
        for mut candidate in all {
            candidate.count(wanted);
            let years = wanted.and_then(|wanted| candidate.years_held(wanted));
            if self.rain_is_known && candidate.rain_years.is_none() && candidate.record.is_none() {
                self.without_rain.push(candidate);
            } else if years.is_some_and(|years| years <= 0.0) {
                self.without_wanted_years.push(candidate);
            } else {
                self.ranked.push(candidate);
            }
        }
        let by = |km: fn(&Candidate) -> f64| {
            move |one: &Candidate, other: &Candidate| km(one).total_cmp(&km(other)).then_with(|| one.station.id.cmp(&other.station.id))
        };
        self.ranked.sort_by(by(|candidate| candidate.distance_km));
        self.ranked.sort_by(|one, other| one.counted.total_km.total_cmp(&other.counted.total_km));
        self.without_wanted_years.sort_by(by(|candidate| candidate.distance_km));
        self.without_rain.sort_by(by(|candidate| candidate.distance_km));
        self.counts.ranked = self.ranked.len();
        self.counts.without_wanted_years = self.without_wanted_years.len();
        self.counts.without_rain = self.without_rain.len();
    }

    /// Keeps so many of each kind; the counts stay.
    pub fn keep(&mut self, most: usize) {
        for list in [&mut self.ranked, &mut self.without_wanted_years, &mut self.without_rain] {
            list.truncate(most);
        }
    }
}

/// What cannot be within so many kilometres of a place, told without a geodesic.
struct Reach {
    latitude: f64,
    band_degrees: f64,
    centre: [f64; 3],
    km: f64,
}

impl Reach {
    fn of(place: (f64, f64), km: f64) -> Self {
        let km = km + ROUNDING_KM;
        Self { latitude: place.0, band_degrees: km / least_km_of_a_degree_north(), centre: point_km(place), km }
    }

    fn may_hold(&self, position: (f64, f64)) -> bool {
        (position.0 - self.latitude).abs() <= self.band_degrees && straight_km(&point_km(position), &self.centre) <= self.km
    }
}

fn years_of(entry: &InventoryEntry) -> RainYears {
    RainYears { first: i32::from(entry.first_year), last: i32::from(entry.last_year), told_by: YearsToldBy::Inventory }
}
