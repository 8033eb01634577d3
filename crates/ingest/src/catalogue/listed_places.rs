//! Where the stations of a list are: of the great list of GHCN-Daily its bytes, and a place a line; of any other the list as it is read.

use crate::finding::{Findings, Line};
use crate::station_list::{EXPECTED, StationList, ghcn, layout_of, lines};
use crate::{Error, content, fields};
use series::{Diagnostics, Severity, Station};

/// The stations of a list, found by number.
#[derive(Debug)]
pub(crate) struct ListedPlaces {
    stations: Stations,
}

#[derive(Debug)]
enum Stations {
    /// The text, and its lines in the order of the identifiers.
    Ghcn(Vec<u8>, Vec<PlacedLine>),
    Other(StationList),
}

/// A line of the list: whose, where it begins, and where the station is.
#[derive(Debug, Clone, Copy)]
struct PlacedLine {
    id: [u8; 11],
    at: u32,
    position: (f64, f64),
}

impl ListedPlaces {
    /// Reads a list in any layout. A faulty line is told and left out; of two lines with one identifier the first stands.
    pub(crate) fn read(name: &str, bytes: Vec<u8>) -> Result<(Self, Diagnostics), Error> {
        content::refuse_plain_faults(name, &bytes, EXPECTED)?;
        if layout_of(&bytes).is_none_or(|layout| layout.name != ghcn::LAYOUT.name) {
            let (list, found) = StationList::read_bytes(name, &bytes)?;
            return Ok((Self { stations: Stations::Other(list) }, found));
        }
        let mut findings = Findings::new(name);
        let mut placed = Vec::with_capacity(bytes.len() / 86);
        for line in lines(&bytes) {
            match place_of(&bytes, line) {
                Ok(line) => placed.push(line),
                Err(fault) => ghcn::tell(&mut findings, line, fault),
            }
        }
        if placed.is_empty() {
            return Err(content::unknown(name, &bytes, EXPECTED));
        }
        placed.sort_by_key(|line| line.id);
        placed.dedup_by(|second, first| {
            let same = second.id == first.id;
            if same {
                let (number, text) = (line_number(&bytes, second.at), line_at(&bytes, second.at));
                findings.at("duplicate-station", Severity::Warning, Line { number, text }, None, || {
                    let id = String::from_utf8_lossy(&second.id).into_owned();
                    (format!("station {id} stands in the list a second time; expected once"), "The first line stands.")
                });
            }
            same
        });
        let found = findings.finish();
        Ok((Self { stations: Stations::Ghcn(bytes, placed) }, found))
    }

    pub(crate) fn len(&self) -> usize {
        match &self.stations {
            Stations::Ghcn(_, placed) => placed.len(),
            Stations::Other(list) => list.len(),
        }
    }

    pub(crate) fn is_ghcn_daily(&self) -> bool {
        matches!(self.stations, Stations::Ghcn(..))
    }

    /// Every identifier. Those of GHCN-Daily are in their order.
    pub(crate) fn ids(&self) -> Box<dyn Iterator<Item = &str> + '_> {
        match &self.stations {
            // Only letters, digits, `-` and `_` were let in.
            Stations::Ghcn(_, placed) => Box::new(placed.iter().map(|line| std::str::from_utf8(&line.id).unwrap_or_default())),
            Stations::Other(list) => Box::new(list.iter().map(|station| station.id.as_str())),
        }
    }

    /// The number of every station whose place is known, and its place.
    pub(crate) fn positions(&self) -> Box<dyn Iterator<Item = (usize, (f64, f64))> + '_> {
        match &self.stations {
            Stations::Ghcn(_, placed) => Box::new(placed.iter().map(|line| line.position).enumerate()),
            Stations::Other(list) => Box::new(list.iter().enumerate().filter_map(|(number, station)| Some((number, station.position()?)))),
        }
    }

    /// Who and where a station is.
    pub(crate) fn station(&self, number: usize) -> Station {
        match &self.stations {
            Stations::Ghcn(bytes, placed) => {
                placed.get(number).and_then(|line| ghcn::station(line_at(bytes, line.at)).ok()).unwrap_or_default()
            }
            Stations::Other(list) => list.iter().nth(number).cloned().unwrap_or_default(),
        }
    }

    /// A station's identifier alone.
    pub(crate) fn id(&self, number: usize) -> &str {
        match &self.stations {
            Stations::Ghcn(_, placed) => placed.get(number).and_then(|line| std::str::from_utf8(&line.id).ok()).unwrap_or_default(),
            Stations::Other(list) => list.iter().nth(number).map_or("", |station| station.id.as_str()),
        }
    }

    /// The first and the last year that the list itself tells of a station.
    pub(crate) fn years(&self, id: &str) -> Option<(i32, i32)> {
        match &self.stations {
            Stations::Ghcn(..) => None,
            Stations::Other(list) => list.years(id),
        }
    }

    /// The latest year that the list tells.
    pub(crate) fn latest_year(&self) -> Option<i32> {
        match &self.stations {
            Stations::Ghcn(..) => None,
            Stations::Other(list) => {
                super::rain_years::latest(list.iter().filter_map(|station| list.years(&station.id)).map(|(_, last)| last))
            }
        }
    }
}

fn place_of(bytes: &[u8], line: Line<'_>) -> Result<PlacedLine, crate::station_list::Fault> {
    let (position, _) = ghcn::place(line.text)?;
    let id = fields::columns(line.text, 1, 11).try_into().map_err(|_| (1, 11, "a station identifier"))?;
    // A list is at most 1 GiB long.
    let at = (line.text.as_ptr() as usize - bytes.as_ptr() as usize) as u32;
    Ok(PlacedLine { id, at, position })
}

/// The line that begins there.
fn line_at(bytes: &[u8], at: u32) -> &[u8] {
    let rest = bytes.get(at as usize..).unwrap_or_default();
    fields::without_return(&rest[..memchr::memchr(b'\n', rest).unwrap_or(rest.len())])
}

/// Its number, from 1.
fn line_number(bytes: &[u8], at: u32) -> u32 {
    let before = bytes.get(..at as usize).unwrap_or_default();
    u32::try_from(memchr::memchr_iter(b'\n', before).count()).map_or(0, |lines| lines + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_great_list_is_read_as_any_list_is() {
        let text = "\u{feff}XXT00000002  17.1167  -61.7833   12.0    B\r\n\
                    \n\
                    XXT00000001  17.1167  -61.7833 -999.9    A\r\n\
                    XXT00000003  17.1167  -61.7833   high    C\n\
                    XXT00000002  18.1167  -61.7833   10.1    AGAIN\n";
        let (list, found) = StationList::read_bytes("x", text.as_bytes()).unwrap();
        let (places, same) = ListedPlaces::read("x", text.as_bytes().to_vec()).unwrap();
        assert_eq!((&found, found.total()), (&same, 2));
        assert!(places.is_ghcn_daily() && places.years("XXT00000001").is_none());
        let of_places: Vec<Station> = places.positions().map(|(number, _)| places.station(number)).collect();
        assert_eq!((of_places.len(), places.ids().collect::<Vec<_>>()), (2, vec!["XXT00000001", "XXT00000002"]));
        assert!(of_places.iter().all(|station| list.get(&station.id) == Some(station) && station.name.len() == 1));
        assert_eq!((places.id(1), places.id(2), places.station(2)), ("XXT00000002", "", Station::default()));
    }
}
