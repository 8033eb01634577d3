//! Where a station list and a record disagree on where the station stands.

use crate::geodesy::distance_km;
use series::{Diagnostic, Severity, Station};

/// Places further apart than this are two places, km. Lists give hundredths of a degree at worst, which is about as much.
pub(crate) const SAME_PLACE_KM: f64 = 1.0;
/// Heights further apart than this are two heights, m (our choice).
const SAME_HEIGHT_M: f64 = 10.0;

/// Findings for the file of the record.
pub(crate) fn disagreements(listed: &Station, own: &Station, file: &str) -> Vec<Diagnostic> {
    let tell = |id, message: String, done: &str| Diagnostic::new(id, Severity::Warning, message).in_file(file).done(done);
    let apart = listed.position().zip(own.position()).map(|(list, file)| (list, file, distance_km(list, file)));
    let place = apart.filter(|(_, _, apart)| *apart > SAME_PLACE_KM).map(|(list, file, apart)| {
        let message = format!(
            "found station {} at {:.4}, {:.4} in its record, expected {:.4}, {:.4} as the list has it: {apart:.1} km apart",
            listed.id, file.0, file.1, list.0, list.1
        );
        tell("place-disagrees", message, "The place in the list is used.")
    });
    let heights = listed.elevation.zip(own.elevation).filter(|(list, file)| (list - file).abs() > SAME_HEIGHT_M);
    let height = heights.map(|(list, file)| {
        let message = format!("found station {} at {file:.0} m in its record, expected {list:.0} m as the list has it", listed.id);
        tell("height-disagrees", message, "The height in the list is used.")
    });
    place.into_iter().chain(height).collect()
}

/// The station as the list has it, with what only the record says.
pub(crate) fn placed(listed: &Station, own: &Station) -> Station {
    let mut station = listed.clone();
    if station.position().is_none() {
        (station.latitude, station.longitude) = (own.latitude, own.longitude);
    }
    station.elevation = station.elevation.or(own.elevation);
    station
}

#[cfg(test)]
mod tests {
    use crate::{StationList, StationRecord, Wanted, read_bytes};

    #[test]
    fn a_list_that_puts_a_record_elsewhere_is_told_and_keeps_what_it_lacks() {
        // By-station rows give no place; an invented NCEI access file does: 44.5 north, 36.0 west, 182 m.
        let access = "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\"PRCP_ATTRIBUTES\"\n\
                      \"XX0INVENT01\",\"2001-01-01\",\"44.5\",\"-36.0\",\"182.0\",\"INVENTED\",\"   12\",\",,S\"\n";
        let list = |line: &str| StationList::read_bytes("list", line.as_bytes()).unwrap().0;
        let place = |line: &str| {
            let mut records: Vec<StationRecord> = Vec::new();
            read_bytes("a.csv", access.as_bytes(), Wanted::default(), &mut records).unwrap();
            let found = list(line).place("list", &mut records);
            (found, records.pop().unwrap().rain.station)
        };
        // A degree of longitude at 44.5 north is some 79 km: another place.
        let (found, station) = place("XX0INVENT01  44.5000  -35.0000  300.0    INVENTED OMBREL MEADOW                      \n");
        assert_eq!((found.count("place-disagrees"), found.count("height-disagrees"), found.total()), (1, 1, 2), "{found:?}");
        assert_eq!((station.longitude, station.elevation), (Some(-35.0), Some(300.0)));
        // The list's height is not known (-999.9): the record's stays.
        let (found, station) = place("XX0INVENT01  44.5000  -36.0010 -999.9    INVENTED OMBREL MEADOW                      \n");
        assert_eq!((found.total(), station.elevation, station.longitude), (0, Some(182.0), Some(-36.001)));
        let (found, station) = place("XX0INVENT09  44.5000  -36.0010  182.0    INVENTED OMBREL MEADOW                      \n");
        assert_eq!((found.count("station-not-listed"), station.latitude), (1, Some(44.5)));
        assert!(found.list[0].done.contains("with the place that it gives itself"));
    }
}
