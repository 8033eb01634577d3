//! Lists of stations: identifier, name, position, height, in the layouts of several agencies.
//!
//! [`LAYOUTS`] is the table of them: a new layout is a file in `station_list/` and a row there. An identifier is written as the reader of
//! that agency's records writes it, so that [`StationList::place`] finds it.

use crate::finding::{Findings, Line};
use crate::{Error, Reader, StationRecord, content, fields, listed_place};
use series::{Diagnostic, Diagnostics, Severity, Station};
use std::collections::BTreeMap;
use std::path::Path;

mod by_heading;
pub(crate) use by_heading::decimal_number;
pub(crate) mod dwd;
pub(crate) mod ecad;
pub(crate) mod ghcn;
pub(crate) mod meteoswiss;

pub(crate) const EXPECTED: &str = "a list of stations in one of the public layouts that are read (such as ghcnd-stations.txt: columns 1-11 id, 13-20 latitude, 22-30 longitude)";

/// One layout of a list.
pub(crate) struct Layout {
    /// The product in words, with its article.
    pub(crate) name: &'static str,
    /// Whether the first lines of a text are of this layout.
    pub(crate) found_in: fn(&[u8]) -> bool,
    /// Read every station.
    pub(crate) read: fn(&[u8], &mut Gathered<'_>),
    /// Whether of several lines of one station the last one stands, as in a history of its places; else the first, and the rest are told.
    pub(crate) last_line_stands: bool,
}

/// Every layout that is read.
const LAYOUTS: &[Layout] = &[dwd::LIST, dwd::GEOGRAPHY, ecad::LAYOUT, meteoswiss::LAYOUT, ghcn::LAYOUT];

/// The layout of a text, if it is a list of stations.
pub(crate) fn layout_of(bytes: &[u8]) -> Option<&'static Layout> {
    LAYOUTS.iter().find(|layout| (layout.found_in)(bytes))
}

/// A list on its way out of a file.
pub(crate) struct Gathered<'a> {
    list: StationList,
    pub(crate) findings: Findings<'a>,
}

impl<'a> Gathered<'a> {
    fn new(name: &'a str) -> Self {
        Self { list: StationList::default(), findings: Findings::new(name) }
    }

    /// One station more.
    pub(crate) fn station(&mut self, station: Station, line: Line<'_>, layout: &Layout) {
        match self.list.by_id.get(&station.id) {
            Some(&place) if layout.last_line_stands => self.list.stations[place] = station,
            Some(_) => self.findings.at("duplicate-station", Severity::Warning, line, None, || {
                (format!("station {} stands in the list a second time; expected once", station.id), "The first line stands.")
            }),
            None => {
                self.list.by_id.insert(station.id.clone(), self.list.stations.len());
                self.list.stations.push(station);
            }
        }
    }

    /// The first and the last year in which a station measured, where the list says so; of several lines of one station the first stands.
    pub(crate) fn years(&mut self, id: &str, first: i32, last: i32) {
        if let Some(&place) = self.list.by_id.get(id) {
            self.list.years.entry(place).or_insert((first, last));
        }
    }
}

/// The stations of a list, in the order of the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StationList {
    stations: Vec<Station>,
    by_id: BTreeMap<String, usize>,
    years: BTreeMap<usize, (i32, i32)>,
}

impl StationList {
    /// Read a list. A faulty line is told and left out; of two lines with one identifier the first stands (the last one in a history of a
    /// station's places).
    ///
    /// # Errors
    /// A file fault: not to be had from the system, empty, a web page, packed, or without a single station line.
    pub fn read(path: &Path) -> Result<(Self, Diagnostics), Error> {
        Self::read_bytes(&path.display().to_string(), &bytes_of(path)?)
    }

    /// The same from bytes; `name` is how messages call them.
    ///
    /// # Errors
    /// As [`StationList::read`].
    pub fn read_bytes(name: &str, bytes: &[u8]) -> Result<(Self, Diagnostics), Error> {
        content::refuse_plain_faults(name, bytes, EXPECTED)?;
        let Some(layout) = layout_of(bytes) else { return Err(content::unknown(name, bytes, EXPECTED)) };
        let mut gathered = Gathered::new(name);
        (layout.read)(bytes, &mut gathered);
        if gathered.list.stations.is_empty() {
            return Err(content::unknown(name, bytes, EXPECTED));
        }
        Ok((gathered.list, gathered.findings.finish()))
    }

    /// The station of that identifier.
    pub fn get(&self, id: &str) -> Option<&Station> {
        self.by_id.get(id).and_then(|&place| self.stations.get(place))
    }

    /// The first and the last year in which a station measured, where the list says so. They say nothing of the gaps between.
    pub fn years(&self, id: &str) -> Option<(i32, i32)> {
        self.by_id.get(id).and_then(|place| self.years.get(place)).copied()
    }

    /// Gives each record the name, place and height that the list has for its station; what the list does not have of it the record keeps.
    /// `name` is how messages call the list. Told are a station that the list does not have (`station-not-listed`), and a place or height
    /// that the two give differently (`place-disagrees`, `height-disagrees`): the list's is used.
    pub fn place(&self, name: &str, records: &mut [StationRecord]) -> Diagnostics {
        let mut found = Diagnostics::default();
        for record in records {
            let file = record.rain.provenance.file().to_owned();
            let station = &mut record.rain.station;
            if let Some(listed) = self.get(&station.id) {
                for finding in listed_place::disagreements(listed, station, &file) {
                    found.push(finding);
                }
                *station = listed_place::placed(listed, station);
            } else {
                let message = format!("found no station {:?} in the list; expected one line for it", station.id);
                let done = match station.position() {
                    None => "The record is used; its distance and height are not known.",
                    Some(_) => "The record is used, with the place that it gives itself.",
                };
                found.push(Diagnostic::new("station-not-listed", Severity::Warning, message).in_file(name).done(done));
            }
        }
        found
    }

    /// Every station in the order of the file.
    pub fn iter(&self) -> std::slice::Iter<'_, Station> {
        self.stations.iter()
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.stations.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.stations.is_empty()
    }
}

impl<'a> IntoIterator for &'a StationList {
    type Item = &'a Station;
    type IntoIter = std::slice::Iter<'a, Station>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

/// A column, a width and what was expected there.
pub(crate) type Fault = (u32, u32, &'static str);

/// Identifier, latitude and longitude stand alike in the list and in the inventory.
pub(crate) fn position(line: &[u8]) -> Result<(f64, f64), Fault> {
    if !fields::is_station_id(fields::columns(line, 1, 11)) {
        return Err((1, 11, "a station identifier of eleven letters and digits"));
    }
    let degrees = |first, last, most: f64| fields::decimal(line, first, last).filter(|degrees| degrees.abs() <= most);
    let latitude = degrees(13, 20, 90.0).ok_or((13, 8, "a latitude from -90 to 90 degrees"))?;
    let longitude = degrees(22, 30, 180.0).ok_or((22, 9, "a longitude from -180 to 180 degrees"))?;
    Ok((latitude, longitude))
}

/// The lines that are not blank, with their numbers.
pub(crate) fn lines(bytes: &[u8]) -> impl Iterator<Item = Line<'_>> {
    lines_behind(0, bytes)
}

/// The same of a piece of a text, with the lines that stand before it.
pub(crate) fn lines_behind(before: u32, bytes: &[u8]) -> impl Iterator<Item = Line<'_>> {
    let (mut rest, mut number) = (content::without_marks(bytes), before);
    std::iter::from_fn(move || {
        while !rest.is_empty() {
            let end = memchr::memchr(b'\n', rest).unwrap_or(rest.len());
            let text = fields::without_return(&rest[..end]);
            rest = rest.get(end + 1..).unwrap_or_default();
            number += 1;
            if !fields::is_blank(text) {
                return Some(Line { number, text });
            }
        }
        None
    })
}

/// A companion file whole.
pub(crate) fn bytes_of(path: &Path) -> Result<Vec<u8>, Error> {
    use std::io::Read;
    let mut bytes = Vec::new();
    let file = path.display().to_string();
    let taken = std::fs::File::open(path).and_then(|opened| opened.take(Reader::MOST_BYTES + 1).read_to_end(&mut bytes));
    match taken {
        Err(source) => Err(Error::Unreadable { file, source }),
        Ok(_) if bytes.len() as u64 > Reader::MOST_BYTES => Err(Error::TooLarge { file, most: Reader::MOST_BYTES }),
        Ok(_) => Ok(bytes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_the_columns_of_the_readme() {
        // The first and third line of ghcnd-stations.txt, as published (shared/data/ghcnd-meta/ghcnd-stations_1st_ten.txt).
        let text = "ACW00011604  17.1167  -61.7833   10.1    ST JOHNS COOLIDGE FLD                       \r\n\
                    AE000041196  25.3330   55.5170   34.0    SHARJAH INTER. AIRP            GSN     41196\n";
        let (list, found) = StationList::read_bytes("x", text.as_bytes()).unwrap();
        assert!(found.is_empty());
        let expected = Station {
            id: "AE000041196".into(),
            name: "SHARJAH INTER. AIRP".into(),
            latitude: Some(25.333),
            longitude: Some(55.517),
            elevation: Some(34.0),
        };
        assert_eq!(list.get("AE000041196"), Some(&expected));
        assert_eq!((list.len(), list.iter().next().unwrap().id.as_str(), list.get("X")), (2, "ACW00011604", None));
    }

    #[test]
    fn a_record_takes_its_place_from_the_list() {
        let text = "XXT00000001  17.1167  -61.7833   12.0    NOWHERE\n";
        let (list, _) = StationList::read_bytes("list.txt", text.as_bytes()).unwrap();
        let mut records = Vec::new();
        for id in ["XXT00000001", "XXT00000002"] {
            let text = testkit::DlyText::new(id).rain_mm((2001, 2, 1), 1.2).to_text();
            crate::read_bytes("a.dly", text.as_bytes(), crate::Wanted::default(), &mut records).unwrap();
        }
        let found = list.place("list.txt", &mut records);
        assert_eq!(Some(&records[0].rain.station), list.get("XXT00000001"));
        assert_eq!(records[1].rain.station, Station::named_only("XXT00000002".to_owned()));
        assert_eq!((found.total(), found.count("station-not-listed"), found.list[0].file.as_str()), (1, 1, "list.txt"));
        assert!(found.list[0].message.contains("XXT00000002"));
    }

    #[test]
    fn faults_are_told_and_nothing_else_is_lost() {
        let text = "XXT00000001  17.1167  -61.7833 -999.9    NOWHERE\n\
                    \n\
                    XXT00000002  97.1167  -61.7833   10.1    TOO FAR NORTH\n\
                    XXT00000001  18.1167  -61.7833   10.1    AGAIN\n\
                    XXT00000003  1";
        let (list, found) = StationList::read_bytes("list.txt", text.as_bytes()).unwrap();
        assert_eq!(list.get("XXT00000001").unwrap().elevation, None);
        assert_eq!(list.len(), 1);
        assert_eq!((found.count("station-line-unreadable"), found.count("duplicate-station")), (2, 1));
        assert_eq!((found.list[0].line, found.list[0].column), (Some(3), Some(13)));
        assert_eq!(found.list[0].message, "found \" 97.1167\", expected a latitude from -90 to 90 degrees");
        let refused = StationList::read_bytes("page.txt", b" <html>").unwrap_err();
        assert_eq!(refused.id(), "file-is-a-web-page");
        assert_eq!(StationList::read_bytes("x", b"a,b\n1,2\n").unwrap_err().id(), "file-is-another-product");
    }
}
