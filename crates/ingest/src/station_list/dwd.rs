//! The station lists of the Deutscher Wetterdienst: one of all stations in columns, and the `Metadaten_Geographie_*.txt` that comes in the
//! archive of each station and tells where the gauge stood from when to when.
//!
//! Layouts (the files' own headings): `Stations_id von_datum bis_datum Stationshoehe geoBreite geoLaenge Stationsname Bundesland [Abgabe]`
//! under a ruler of dashes, ISO 8859-1 or UTF-8; `Stations_id;Stationshoehe;Geogr.Breite;Geogr.Laenge;von_datum;bis_datum;Stationsname`.
//! Degrees with decimals, metres. Identifiers are written with five digits, as in the names of DWD's files. Of a station that has
//! moved the last place stands.

use super::by_heading::{Columns, decimal_number, metres};
use super::{Gathered, Layout, lines};
use crate::delimited::{Heading, Rows};
use crate::encoding::{self, WINDOWS_1252};
use crate::finding::shown;
use crate::formats::Companion;
use crate::{content, fields};
use series::{Severity, Station};
use std::collections::HashMap;

pub(super) const LIST: Layout = Layout {
    name: "a list of the stations of the Deutscher Wetterdienst (Beschreibung_Stationen.txt)",
    found_in: |bytes| {
        let head = content::first_lines(bytes, 2).to_ascii_lowercase();
        let holds = |word: &[u8]| memchr::memmem::find(&head, word).is_some();
        head.starts_with(b"stations_id ") && holds(b"geobreite") && holds(b"stationsname")
    },
    read: read_list,
    last_line_stands: false,
};

pub(super) const GEOGRAPHY: Layout = Layout {
    name: "where a station of the Deutscher Wetterdienst stood (Metadaten_Geographie)",
    found_in: |bytes| COLUMNS.stand_in(content::first_lines(bytes, 1)),
    read: |bytes, gathered| COLUMNS.read(bytes, gathered, &GEOGRAPHY),
    last_line_stands: true,
};

const COLUMNS: Columns = Columns {
    delimiter: b';',
    id: &["Stations_id"],
    name: &["Stationsname"],
    latitude: &["Geogr.Breite", "Geographische Breite", "geoBreite"],
    longitude: &["Geogr.Laenge", "Geographische Laenge", "geoLaenge"],
    elevation: &["Stationshoehe"],
    write_id: id,
    degrees: decimal_number,
};

/// A station number with five digits.
pub(crate) fn id(field: &[u8]) -> Option<String> {
    fields::whole(field.trim_ascii()).map(|number| format!("{number:05}"))
}

fn read_list(bytes: &[u8], gathered: &mut Gathered<'_>) {
    // The heading and its ruler.
    for line in lines(bytes).skip_while(|line| !line.text.trim_ascii_start().starts_with(b"-")).skip(1) {
        match list_line(line.text) {
            Some((station, years)) => {
                let id = station.id.clone();
                gathered.station(station, line, &LIST);
                if let Some((first, last)) = years {
                    gathered.years(&id, first, last);
                }
            }
            None => gathered.findings.at("station-line-unreadable", Severity::Warning, line, None, || {
                (
                    format!("found {:?}, expected number, two dates, height, latitude, longitude and name", shown(line.text)),
                    "The station is left out of the list.",
                )
            }),
        }
    }
}

/// A station, and the years of its first and last day.
fn list_line(line: &[u8]) -> Option<(Station, Option<(i32, i32)>)> {
    let mut rest = line;
    let mut next = || {
        rest = rest.trim_ascii_start();
        let end = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
        let (word, behind) = rest.split_at(end);
        rest = behind;
        word
    };
    let id = id(next())?;
    let (first_day, last_day, height) = (next(), next(), next());
    let year = |day: &[u8]| fields::whole(day).filter(|_| day.len() == 8).map(|day| (day / 10_000).cast_signed());
    let years = year(first_day).zip(year(last_day)).filter(|(first, last)| (1600..=*last).contains(first) && *last <= 2299);
    let latitude = decimal_number(next()).filter(|degrees| degrees.abs() <= 90.0)?;
    let longitude = decimal_number(next()).filter(|degrees| degrees.abs() <= 180.0)?;
    let name = rest.trim_ascii();
    // Two blanks end the name: the state and the terms of use stand behind it. A name as wide as its column has one.
    let end = memchr::memmem::find(name, b"  ").unwrap_or(name.len()).min(41);
    let station = Station {
        id,
        name: encoding::name(&name[..end], WINDOWS_1252),
        latitude: Some(latitude),
        longitude: Some(longitude),
        elevation: metres(height),
    };
    Some((station, years))
}

/// What the texts of an archive say of its stations, gone through once whatever many stations there are.
#[derive(Debug, Default)]
pub(crate) struct InArchive {
    stations: HashMap<String, Station>,
    /// Different positions or heights of a station.
    places: HashMap<String, Vec<Vec<u8>>>,
    /// The last name in a `Metadaten_Stationsname_*.txt`, of the first such text that has the station.
    names: HashMap<String, String>,
}

impl InArchive {
    pub(crate) fn of(companions: &[Companion]) -> Self {
        let mut all = Self::default();
        for companion in companions {
            if (GEOGRAPHY.found_in)(&companion.bytes) {
                let mut gathered = Gathered::new(&companion.name);
                (GEOGRAPHY.read)(&companion.bytes, &mut gathered);
                all.stations.extend(gathered.list.iter().map(|station| (station.id.clone(), station.clone())));
                all.add_places(&companion.bytes);
            } else {
                for (id, name) in names_in(&companion.bytes) {
                    all.names.entry(id).or_insert(name);
                }
            }
        }
        all
    }

    /// A station as it is told, and at how many places it has been; name alone where nothing else is told.
    pub(crate) fn station(&self, id: &str) -> (Station, usize) {
        let mut station = self.stations.get(id).cloned().unwrap_or_else(|| Station::named_only(id));
        if station.name.is_empty() {
            station.name = self.names.get(id).cloned().unwrap_or_default();
        }
        (station, self.places.get(id).map_or(0, Vec::len))
    }

    fn add_places(&mut self, bytes: &[u8]) {
        let mut rows = Rows::new(bytes, b';');
        while let Some(row) = rows.next_row() {
            let Some(id) = id(row.get(0)) else { continue };
            // To a hundredth of a degree, about one kilometre: the same place measured anew is no move.
            let place = [row.get(1), &hundredths(row.get(2)), &hundredths(row.get(3))].join(&b';');
            let places = self.places.entry(id).or_default();
            if places.len() < 100 && !places.contains(&place) {
                places.push(place);
            }
        }
    }
}

fn hundredths(field: &[u8]) -> Vec<u8> {
    crate::decimal::scaled(field, b'.', 100).map_or_else(|| field.to_vec(), |number| number.to_string().into_bytes())
}

/// The last name of each station in a `Metadaten_Stationsname_*.txt`: `Stations_ID;Stationsname;Von_Datum;Bis_Datum`.
fn names_in(bytes: &[u8]) -> HashMap<String, String> {
    let mut names = HashMap::new();
    let mut rows = Rows::new(bytes, b';');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let Some((number, name)) = heading.find("Stations_ID").zip(heading.find("Stationsname")) else { return names };
    while let Some(row) = rows.next_row() {
        let name = encoding::name(row.get(name), WINDOWS_1252);
        if let Some(id) = id(row.get(number)).filter(|_| !name.is_empty()) {
            names.insert(id, name);
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::StationList;

    #[test]
    fn the_list_is_read_in_either_encoding_and_with_its_newer_column() {
        let text = "Stations_id von_datum bis_datum Stationshoehe geoBreite geoLaenge Stationsname Bundesland Abgabe\r\n\
                    ----------- --------- --------- ------------- --------- --------- ----------- ---------- ------\r\n\
                    00044 19690101 20221005             44     52.9336    8.2370 Gro\u{df}enkneten                             Niedersachsen                            Frei\r\n\
                    99999 x\r\n";
        for bytes in [text.as_bytes().to_vec(), encoding_rs::WINDOWS_1252.encode(text).0.into_owned()] {
            let (list, found) = StationList::read_bytes("list.txt", &bytes).unwrap();
            let station = list.get("00044").unwrap();
            assert_eq!(
                (station.name.as_str(), station.position(), station.elevation),
                ("Großenkneten", Some((52.9336, 8.237)), Some(44.0))
            );
            assert_eq!((list.len(), found.count("station-line-unreadable")), (1, 1));
            assert_eq!((list.years("00044"), list.years("00001")), (Some((1969, 2022)), None));
        }
    }

    #[test]
    fn of_a_station_that_moved_the_last_place_stands() {
        let text = "Stations_id;Stationshoehe;Geogr.Breite;Geogr.Laenge;von_datum;bis_datum;Stationsname\r\n\
                    \x20   11;  777.00; 47.9500;  8.4667;19670316;19871130;Irgendwo\r\n\
                    \x20   11;  680.00; 47.9735;  8.5204;19871201;20041231;Irgendwo\r\n\
                    \x20   11;  680.00; 47.9737;  8.5205;20050101;        ;Irgendwo\r\n";
        let (list, found) = StationList::read_bytes("x", text.as_bytes()).unwrap();
        assert!(found.is_empty());
        assert_eq!(list.get("00011").unwrap().position(), Some((47.9737, 8.5205)));
        let companion = Companion { name: "Metadaten_Geographie_00011.txt".into(), bytes: text.into() };
        let (station, places) = InArchive::of(&[companion]).station("00011");
        assert_eq!((station.elevation, places), (Some(680.0), 2));
    }

    #[test]
    fn the_name_alone_comes_from_the_file_of_names() {
        let text = b"Stations_ID;Stationsname;Von_Datum;Bis_Datum\r\n    11;K\xF6ln             ;19670316;\r\n".to_vec();
        let (station, places) = InArchive::of(&[Companion { name: "n.txt".into(), bytes: text }]).station("00011");
        assert_eq!((station.name.as_str(), station.position(), places), ("Köln", None, 0));
    }
}
