//! `stations.txt` of the European Climate Assessment & Dataset.
//!
//! Layout (the file's own preamble): STAID, STANAME, CN, LAT and LON in degrees:minutes:seconds, HGHT (also HGTH) in metres, in commas.
//! A name holds no comma. Identifiers are written without leading blanks and zeros.

use super::by_heading::{Columns, degrees_minutes_seconds};
use super::{Gathered, Layout, StationList};
use crate::content;
use crate::fields;
use crate::formats::Companion;

pub(super) const LAYOUT: Layout = Layout {
    name: "a list of the stations of ECA&D (stations.txt)",
    found_in: |bytes| COLUMNS.stand_in(content::first_lines(bytes, 40)),
    read: |bytes, gathered| COLUMNS.read(bytes, gathered, &LAYOUT),
    last_line_stands: false,
};

const COLUMNS: Columns = Columns {
    delimiter: b',',
    id: &["STAID"],
    name: &["STANAME"],
    latitude: &["LAT"],
    longitude: &["LON"],
    elevation: &["HGHT", "HGTH"],
    write_id: id,
    degrees: degrees_minutes_seconds,
};

/// A station number without leading blanks and zeros.
pub(crate) fn id(field: &[u8]) -> Option<String> {
    fields::whole(field.trim_ascii()).map(|number| number.to_string())
}

/// The stations of the `stations.txt` of an archive, read once for all of a file's stations.
pub(crate) fn in_archive(companions: &[Companion]) -> StationList {
    let lists = companions.iter().filter(|companion| (LAYOUT.found_in)(&companion.bytes));
    let mut gathered = Gathered::new("stations.txt");
    lists.for_each(|companion| (LAYOUT.read)(&companion.bytes, &mut gathered));
    gathered.list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::StationList;

    const TEXT: &str = "EUROPEAN CLIMATE ASSESSMENT & DATASET (ECA&D), file created on 22-10-2021\n\nFILE FORMAT (MISSING VALUE CODE IS -9999):\n\n\
                        STAID,STANAME                                 ,CN,      LAT,       LON,HGHT\n\n\
                        \x20  27,ANYWHERE                                ,CZ,+50:05:11,-014:24:59, 191\n\
                        \x20  28,NOWHERE                                 ,CZ,+95:05:11,+014:24:59, 191\n\
                        10029,ELSEWHERE                               ,CZ,-00:30:00,+014:00:00,-9999\n";

    #[test]
    fn degrees_minutes_and_seconds_are_degrees() {
        let (list, found) = StationList::read_bytes("stations.txt", TEXT.as_bytes()).unwrap();
        assert_eq!((list.len(), found.count("station-line-unreadable")), (2, 1));
        let (latitude, longitude) = list.get("27").unwrap().position().unwrap();
        // 11 seconds are 11/3600 of a degree.
        assert!((latitude - 50.086_389).abs() < 1e-6 && (longitude + 14.416_389).abs() < 1e-6);
        assert_eq!((list.get("10029").unwrap().latitude, list.get("10029").unwrap().elevation), (Some(-0.5), None));
    }

    #[test]
    fn the_list_of_an_archive_is_read_once() {
        let companions = [Companion { name: "stations.txt".into(), bytes: TEXT.into() }];
        let list = in_archive(&companions);
        assert_eq!(list.get("27").unwrap().name, "ANYWHERE");
        assert_eq!(list.get("10029").unwrap().latitude, Some(-0.5));
        assert!(list.get("28").is_none() && list.get("7").is_none());
    }
}
