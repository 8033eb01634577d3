//! Which of the records leads: its distance, height difference and completeness, and the rule that chose it.
//!
//! The daily pattern is that of one gauge. The rule: the station that the site file names; otherwise the nearest with at least 30 accepted
//! years and 90 % of its days usable; otherwise the nearest with at least 10 such years and as many usable days; otherwise the one with the
//! most accepted years. Years and days count within the period that the site file names, where it names one. An accepted year has at most 5 % of its days without a usable reading
//! (common practice, no source). Distances are geodesics on WGS 84.

use crate::record_summary::RecordSummary;
use crate::records_at_hand::RecordsAtHand;
use ingest::{Slip, azimuth_degrees, distance_km, slips_of_the_pen};
use rayon::prelude::*;
use serde::Serialize;
use series::math;
use series::{DailySeries, Day, Diagnostic, Period, Severity};

/// Greatest share of missing days in an accepted year.
pub(crate) const ACCEPTED_YEAR_MISSING_SHARE: f64 = 0.05;

/// Least share of usable days of a record that leads without being named: a gappier one leaves too many normals withheld.
pub(crate) const LEAD_USABLE_SHARE: f64 = 0.90;

/// Why this station leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// The site file names it.
    Named,
    /// It is the nearest with at least this many accepted years and nine usable days in ten.
    NearestWithYears(u32),
    /// No station list gives its place, so nearness decides nothing; the first by id with at least this many accepted years and nine usable
    /// days in ten.
    FirstWithYears(u32),
    /// No record is whole enough for that; it has the most accepted years.
    MostYears,
}

/// A candidate record against the site.
#[derive(Debug, Clone, Serialize)]
pub struct Candidate {
    /// What is in it.
    pub summary: RecordSummary,
    /// Kilometres to the site, to the metre, where the station's place is known.
    pub distance_km: Option<f64>,
    /// Direction in which the station lies from the site, degrees from north by east, -180 to 180, where the station's place is known.
    pub azimuth_degrees: Option<f64>,
    /// Metres that the station stands above the site, where both heights are known.
    pub height_difference_m: Option<f64>,
    /// Accepted years.
    pub accepted_years: Vec<i32>,
}

impl Candidate {
    /// Kilometres east and north of the site on a map about the site, where the station's place is known.
    pub fn east_north_km(&self) -> Option<(f64, f64)> {
        self.distance_km.zip(self.azimuth_degrees).map(|(distance, azimuth)| east_north_km(distance, azimuth))
    }
}

/// Place on a map about a centre: x = d sin a to the east, y = d cos a to the north, with the geodesic's length d and its azimuth a at the
/// centre (azimuthal equidistant projection of the ellipsoid; J. P. Snyder, Map Projections: A Working Manual, 1987, chapter 25).
pub(crate) fn east_north_km(distance_km: f64, azimuth_degrees: f64) -> (f64, f64) {
    let azimuth = azimuth_degrees.to_radians();
    (distance_km * math::sin(azimuth), distance_km * math::cos(azimuth))
}

/// The candidates, the leading one's place in the list, and why it leads.
#[derive(Debug, Clone, Serialize)]
pub struct StationChoice {
    /// Every record with at least one usable day, nearest first; those of unknown place last.
    pub candidates: Vec<Candidate>,
    /// Which of them leads.
    pub leads: usize,
    /// Why.
    pub reason: Reason,
}

impl StationChoice {
    /// Another candidate leads.
    pub(crate) fn lead_with(&mut self, candidate: usize, reason: Reason) {
        self.leads = candidate;
        self.reason = as_known(reason, &self.candidates[candidate]);
    }

    /// The leading candidate.
    pub fn leading(&self) -> &Candidate {
        &self.candidates[self.leads]
    }
}

/// The site's place and height.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Place {
    /// Degrees north.
    pub(crate) latitude: f64,
    /// Degrees east.
    pub longitude: f64,
    /// Metres above sea level.
    pub elevation: Option<f64>,
}

/// What the rule looks at of a record, within the years that are wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Standing {
    /// Accepted years.
    pub(crate) accepted_years: usize,
    /// Share of usable days of those that the record covers; nothing without a usable day.
    pub(crate) usable_share: Option<f64>,
}

impl Standing {
    /// Of a record with these accepted years, over the period where one is given.
    pub(crate) fn of(rain: &DailySeries, accepted_years: &[i32], period: Option<Period>) -> Self {
        let Some(covered) = rain.period().and_then(|own| period.map_or(Some(own), |period| own.overlap(period))) else {
            return Self { accepted_years: 0, usable_share: None };
        };
        let usable = rain.within(covered).filter(|(_, reading)| reading.is_usable()).count();
        let years = accepted_years.iter().filter(|year| covered.overlap(Period::of_years(**year, **year)).is_some()).count();
        Self { accepted_years: years, usable_share: (usable > 0).then(|| usable as f64 / covered.days() as f64) }
    }
}

/// The rule: which of the records leads, nearest first, and why; nothing where none has a usable day.
pub(crate) fn leading_by_rule(records: &[Standing]) -> Option<(usize, Reason)> {
    let whole = |record: &Standing| record.usable_share.is_some_and(|share| share >= LEAD_USABLE_SHARE);
    let with_years = |years: usize| records.iter().position(|record| record.accepted_years >= years && whole(record));
    [30, 10].into_iter().find_map(|years| Some((with_years(years)?, Reason::NearestWithYears(years as u32)))).or_else(|| {
        let usable = || records.iter().enumerate().filter(|(_, record)| record.usable_share.is_some());
        let most = usable().map(|(_, record)| record.accepted_years).max()?;
        Some((usable().find(|(_, record)| record.accepted_years == most)?.0, Reason::MostYears))
    })
}

/// What the site file asks for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    /// The station that it names.
    pub(crate) named: Option<&'a str>,
    /// The years.
    pub(crate) period: Option<Period>,
}

/// Ranks the records and chooses the leading one; nothing when no record has a usable day in the period or the named one is not there.
pub(crate) fn choose(at_hand: &RecordsAtHand, place: Place, wanted: Wanted, as_of: Day) -> Option<StationChoice> {
    let mut candidates: Vec<(Candidate, Standing)> = at_hand
        .records
        .par_iter()
        .filter(|record| record.rain.period().is_some())
        .map(|record| {
            let station = &record.rain.station;
            let accepted_years = stats::accepted_years(&record.rain, ACCEPTED_YEAR_MISSING_SHARE);
            let standing = if at_hand.is_left_out(&station.id) {
                Standing { accepted_years: 0, usable_share: None }
            } else {
                Standing::of(&record.rain, &accepted_years, wanted.period)
            };
            let candidate = Candidate {
                summary: RecordSummary::of(record, Some(as_of), None),
                distance_km: station.position().map(|position| distance_km((place.latitude, place.longitude), position)),
                azimuth_degrees: station.position().map(|position| azimuth_degrees((place.latitude, place.longitude), position)),
                height_difference_m: station.elevation.zip(place.elevation).map(|(theirs, ours)| theirs - ours),
                accepted_years,
            };
            (candidate, standing)
        })
        .collect();
    let far = |candidate: &Candidate| candidate.distance_km.unwrap_or(f64::INFINITY);
    candidates.sort_by(|(a, _), (b, _)| far(a).total_cmp(&far(b)).then_with(|| a.summary.station.id.cmp(&b.summary.station.id)));
    let (candidates, standings): (Vec<Candidate>, Vec<Standing>) = candidates.into_iter().unzip();
    let (leads, reason) = match wanted.named {
        Some(id) => (candidates.iter().position(|candidate| candidate.summary.station.id == id)?, Reason::Named),
        None => leading_by_rule(&standings)?,
    };
    let reason = as_known(reason, &candidates[leads]);
    Some(StationChoice { candidates, leads, reason })
}

/// Nearness decides nothing where the place is not known.
fn as_known(reason: Reason, candidate: &Candidate) -> Reason {
    match reason {
        Reason::NearestWithYears(years) if candidate.distance_km.is_none() => Reason::FirstWithYears(years),
        reason => reason,
    }
}

/// Beyond this many kilometres a gauge says little of a roof, and coordinates may be wrong (common practice, no source).
pub(crate) const FAR_KM: f64 = 100.0;

/// A warning when the lead gauge is very far, with the slip of the pen that would explain it.
pub(crate) fn far_away(choice: &StationChoice, place: Place) -> Option<Diagnostic> {
    let leading = choice.leading();
    let (distance, position) = (leading.distance_km?, leading.summary.station.position()?);
    if distance <= FAR_KM {
        return None;
    }
    let message = format!("the gauge {} is {distance:.0} km from the site", leading.summary.station.id);
    let finding =
        Diagnostic::new("gauge-far-away", Severity::Warning, message).done("it is used all the same: read the report with that in mind");
    let explained = slips_of_the_pen((place.latitude, place.longitude)).find_map(|(slip, place)| {
        let distance = distance_km(place, position);
        let what = in_words(slip);
        (distance <= FAR_KM).then(|| format!("{what} it would be {distance:.0} km: look at site.latitude and site.longitude"))
    });
    Some(match explained {
        Some(note) => finding.note(note),
        None => finding,
    })
}

/// A slip in words.
fn in_words(slip: Slip) -> &'static str {
    match slip {
        Slip::Exchanged => "with latitude and longitude exchanged",
        Slip::LongitudeSign => "with the other sign of the longitude",
        Slip::LatitudeSign => "with the other sign of the latitude",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// East and north from pyproj 3.7.2 (PROJ), `Proj(proj="aeqd", lat_0=, lon_0=, ellps="WGS84")`, which projects without our formula: an
    /// ordinary pair, over the date line, over the pole, over the equator. Distances are kept to the metre, so to 0.5 m.
    #[test]
    fn places_lie_on_the_map_where_a_reference_library_puts_them() {
        let cases = [
            ((51.75, -1.26), (51.48, -0.45), (56.270_489_868_098, -29.728_226_751_558)),
            ((-17.8, 179.9), (-18.1, -179.5), (63.507_255_078_820, -33.306_150_574_667)),
            ((89.9, 10.0), (89.5, -120.0), (-42.781_426_540_514, 47.066_975_312_532)),
            ((-1.0, -60.0), (0.5, -60.7), (-77.929_538_387_757, 165.857_386_235_421)),
        ];
        for (site, station, (east, north)) in cases {
            let (x, y) = east_north_km(distance_km(site, station), azimuth_degrees(site, station));
            assert!((x - east).abs() <= 0.0005 && (y - north).abs() <= 0.0005, "{site:?} {x} {y}");
        }
    }
}
