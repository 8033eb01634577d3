//! What the files of a station say of it, and whether they agree.

use crate::StationRecord;
use crate::finding::Findings;
use series::{DailySeries, DayDefinition, Extent, Severity, Station};

/// What the files say of the station; of two that differ the one given first stands.
pub(super) fn station(parts: &[StationRecord]) -> Station {
    let stations = || parts.iter().map(|part| &part.rain.station);
    let position = stations().find(|station| station.position().is_some());
    Station {
        id: stations().next().map(|station| station.id.clone()).unwrap_or_default(),
        name: stations().find(|station| !station.name.is_empty()).map(|station| station.name.clone()).unwrap_or_default(),
        latitude: position.and_then(|station| station.latitude),
        longitude: position.and_then(|station| station.longitude),
        elevation: stations().find_map(|station| station.elevation),
    }
}

/// The value that all parts share; where one differs, that is told and nothing is known.
fn shared<T: PartialEq + Copy>(
    parts: &[StationRecord],
    findings: &mut [Findings<'_>],
    of: fn(&DailySeries) -> T,
    (id, what): (&'static str, &str),
) -> Option<T> {
    let first = of(&parts.first()?.rain);
    let differs = parts.iter().position(|part| of(&part.rain) != first)?;
    findings[differs].whole(id, Severity::Warning, || {
        let other = parts[0].rain.provenance.file();
        (format!("found {what} than in {other}; expected one for the whole record"), "It is taken as unknown for the joined record.")
    });
    Some(first)
}

pub(super) fn day_definition(parts: &[StationRecord], findings: &mut [Findings<'_>]) -> DayDefinition {
    let what = ("day-definition-differs", "another meaning of a day's date");
    match shared(parts, findings, |rain| rain.day_definition, what) {
        Some(_) => DayDefinition::default(),
        None => parts.first().map(|part| part.rain.day_definition).unwrap_or_default(),
    }
}

pub(super) fn extent(parts: &[StationRecord], findings: &mut [Findings<'_>]) -> Extent {
    let what = ("extent-differs", "a gauge or an area where there is the other");
    match shared(parts, findings, |rain| rain.extent, what) {
        Some(_) => Extent::Unknown,
        None => parts.first().map(|part| part.rain.extent).unwrap_or_default(),
    }
}
