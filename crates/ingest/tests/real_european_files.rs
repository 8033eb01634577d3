//! The readers of European agencies against real files, trap by trap.
//!
//! Expected values: `MANIFEST.md` beside the records (the folder that RAINWORTH_DATA names), or a count of the file's own text here.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::formats::{Confidence, FORMATS};
use ingest::{StationList, StationRecord, Wanted, read_file};
use series::{DayLabel, Extent, Kind};
use std::path::{Path, PathBuf};
use testkit::data_dir;

fn station(file: &Path) -> StationRecord {
    let mut records = Vec::new();
    read_file(file, Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    assert_eq!(records.len(), 1, "{}", file.display());
    records.pop().unwrap()
}

/// The columns of a file with semicolons, by name, of the rows that have rain.
fn rows_with_rain(file: &Path, rain: &str, wanted: &[&str]) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(file).unwrap();
    let mut lines = text.lines().map(|line| line.split(';').map(|field| field.trim().to_owned()).collect::<Vec<_>>());
    let heading = lines.next().unwrap();
    let at = |name: &str| heading.iter().position(|own| own == name).unwrap();
    let (rain, wanted) = (at(rain), wanted.iter().map(|name| at(name)).collect::<Vec<_>>());
    lines.filter(|row| row[rain] != "-999").map(|row| wanted.iter().map(|&at| row[at].clone()).collect()).collect()
}

#[test]
fn dwd_levels_and_forms_are_counted() {
    let Some(folder) = data_dir() else { return };
    for (path, columns) in [
        ("dwd-rr/produkt_nieder_tag_19490101_20171231_01526.txt", ["RS", "QN_6", "RSF"]),
        ("dwd-kl/produkt_klima_tag_19750101_20150630_00399.txt", ["RSK", "QN_4", "RSKF"]),
    ] {
        let file = folder.join(path);
        let record = station(&file);
        let rows = rows_with_rain(&file, columns[0], &columns);
        let count = |of: &dyn Fn(&[String]) -> bool| rows.iter().filter(|row| of(row)).count();
        let found = |id: &str| record.diagnostics.count(id);
        assert_eq!(found("quality-level-unchecked"), count(&|row| row[1] == "1"), "{path}");
        assert_eq!(found("precipitation-as-snow"), count(&|row| row[2] == "7" || row[2] == "8"), "{path}");
        // MANIFEST.md, dwd-kl/00399: forms 5 (27) and 3 (1) that the description does not list.
        assert_eq!(found("precipitation-form-unknown"), count(&|row| row[2] == "5" || row[2] == "3"), "{path}");
        let dry = |row: &[String]| row[0].parse::<f64>().unwrap() == 0.0;
        assert_eq!(record.rain.counts().trace, count(&|row| dry(row) && ["1", "4", "6", "7", "8"].contains(&row[2].as_str())), "{path}");
    }
    // MANIFEST.md, dwd-rr/01526: forms 7 (1,382) and 8 (1,116), no level 1.
    let record = station(&folder.join("dwd-rr/produkt_nieder_tag_19490101_20171231_01526.txt"));
    assert_eq!((record.diagnostics.count("precipitation-as-snow"), record.diagnostics.count("quality-level-unchecked")), (2498, 0));
    assert_eq!((record.rain.station.id.as_str(), record.rain.day_definition.label), ("01526", DayLabel::FirstDay));
}

#[test]
fn the_zip_of_dwd_gives_the_place_and_no_rain() {
    // MANIFEST.md, traps: RSK -999 in every row. The texts of the archive tell three lines of the station, at 777 and 680 m.
    let Some(folder) = data_dir() else { return };
    let record = station(&folder.join("dwd-kl/tageswerte_KL_00011_akt.zip"));
    assert_eq!((record.rain.period(), record.diagnostics.count("no-usable-day"), record.diagnostics.count("station-moved")), (None, 1, 1));
    let station = &record.rain.station;
    assert_eq!((station.id.as_str(), station.name.as_str()), ("00011", "Donaueschingen (Landeplatz)"));
    assert_eq!((station.position(), station.elevation), (Some((47.9737, 8.5205)), Some(680.0)));
}

#[test]
fn the_lists_of_stations_place_their_records() {
    let Some(folder) = data_dir() else { return };
    let list = folder.join("dwd-kl/KL_Tageswerte_Beschreibung_Stationen.txt");
    let (stations, found) = StationList::read(&list).unwrap();
    // MANIFEST.md: 1,352 lines, two of them heading and ruler; ISO 8859-1.
    assert_eq!((stations.len(), found.total()), (1350, 0));
    assert_eq!(stations.get("00044").unwrap().name, "Großenkneten");
    let mut records = vec![station(&folder.join("dwd-kl/produkt_klima_tag_19750101_20150630_00399.txt"))];
    assert!(stations.place("list", &mut records).is_empty());
    assert!(records[0].rain.station.name.starts_with("Berlin-Alexanderplatz"), "{}", records[0].rain.station.name);
    let (geography, _) = StationList::read(&folder.join("dwd-kl/00174/Metadaten_Geographie_00174.txt")).unwrap();
    assert_eq!(geography.get("00174").unwrap().elevation, Some(250.0));
    let (stations, _) = StationList::read(&folder.join("ecad/stations.txt")).unwrap();
    let mut records = vec![station(&folder.join("ecad/RR_STAID000027.txt"))];
    assert!(stations.place("stations.txt", &mut records).is_empty());
    // 50:05:11 and 14:24:59 in degrees.
    let (latitude, longitude) = records[0].rain.station.position().unwrap();
    assert!(
        (latitude - (50.0 + 5.0 / 60.0 + 11.0 / 3600.0)).abs() < 1e-9 && (longitude - (14.0 + 24.0 / 60.0 + 59.0 / 3600.0)).abs() < 1e-9
    );
    assert_eq!((records[0].rain.station.name.as_str(), records[0].rain.station.elevation), ("PRAHA-KLEMENTINUM", Some(191.0)));
}

#[test]
fn the_rain_of_prague_ends_before_its_rows_do() {
    // MANIFEST.md, traps: rain ends in 2005, rows go on to 2021 with Q 9; no row has another code, and there is one source.
    let Some(folder) = data_dir() else { return };
    let record = station(&folder.join("ecad/RR_STAID000027.txt"));
    assert_eq!(record.rain.period().unwrap().last.to_string(), "2005-04-30");
    assert_eq!((record.rain.counts().rejected, record.rain.readings_outside(), record.diagnostics.total()), (0, 0, 0));
    assert_eq!((record.rain.station.id.as_str(), record.rain.day_definition.label), ("27", DayLabel::Unknown));
}

#[test]
fn the_days_of_knmi_begin_at_two_hours() {
    let Some(folder) = data_dir() else { return };
    let automatic = station(&folder.join("knmi/etmgeg_392.txt"));
    // MANIFEST.md: RH -1 on 20 days.
    assert_eq!((automatic.rain.counts().trace, automatic.rain.day_definition.label), (20, DayLabel::FirstDay));
    assert!(automatic.temperature.days_with_mean() > 300);
    let gauge = station(&folder.join("knmi/neerslaggeg_ESBEEK_831.txt"));
    assert_eq!((gauge.rain.counts().missing, gauge.rain.day_definition.start_hour), (1, Some(9)));
    assert_eq!(gauge.rain.day_definition.label, DayLabel::LastDay);
}

#[test]
fn the_mean_of_an_area_is_told_as_such() {
    // MANIFEST.md, traps: an areal mean, not a gauge.
    let Some(folder) = data_dir() else { return };
    let record = station(&folder.join("hadukp/HadSWEP_daily_qc.txt"));
    assert_eq!((record.rain.extent, record.diagnostics.count("areal-mean"), record.diagnostics.total()), (Extent::ArealMean, 1, 1));
    assert_eq!(record.rain.station.id, "HadSWEP");
}

#[test]
fn one_of_two_reports_stands_on_every_day_of_bracknell() {
    // MANIFEST.md, traps: two reports for every day, differing on 187 of 365. The rows with 10009 are NCM traces, 74 by a count of the text.
    let Some(folder) = data_dir() else { return };
    let path = "midas-open/midas-open_uk-daily-rain-obs_dv-201908_berkshire_00838_bracknell-beaufort-park_qcv-1_1991.csv";
    let record = station(&folder.join(path));
    let counts = record.rain.counts();
    assert_eq!((counts.calendar, counts.usable(), counts.trace), (365, 365, 74));
    assert_eq!(record.diagnostics.count("second-report-differs"), 187);
    // MANIFEST.md: NCM has 546.9 mm.
    assert_eq!(record.rain.total_micrometres(), 546_900);
    assert_eq!((record.diagnostics.count("several-reports"), record.diagnostics.count("quality-status-set")), (1, 17));
    let station = &record.rain.station;
    assert_eq!(
        (station.id.as_str(), station.name.as_str(), station.position()),
        ("00838", "bracknell-beaufort-park", Some((51.39, -0.786)))
    );
    assert!(record.rain.readings().iter().all(|reading| matches!(reading.kind(), Kind::Measured | Kind::Trace)));
}

#[test]
fn the_days_of_sion_begin_at_six_hours_utc() {
    let Some(folder) = data_dir() else { return };
    let record = station(&folder.join("meteoswiss/VS_NBCN.csv"));
    assert_eq!((record.rain.station.id.as_str(), record.rain.day_definition.start_hour), ("SIO", Some(7)));
    assert!(record.temperature.days_with_mean() > 20_000);
    assert_eq!(record.diagnostics.total(), 0);
}

/// Which folder of the records belongs to which of these readers.
const OWN: [(&str, &[&str]); 6] = [
    ("DWD daily station file", &["dwd-rr", "dwd-kl"]),
    ("ECA&D daily precipitation file", &["ecad"]),
    ("KNMI daily station file", &["knmi"]),
    ("MeteoSwiss daily file", &["meteoswiss"]),
    ("HadUKP daily precipitation file", &["hadukp"]),
    ("MIDAS Open daily rain file", &["midas-open"]),
];

#[test]
fn no_reader_claims_a_file_of_another() {
    let Some(folder) = data_dir() else { return };
    let mut files = Vec::new();
    list(&folder, &mut files);
    for file in files {
        let bytes = std::fs::read(&file).unwrap();
        let head = &bytes[..bytes.len().min(1 << 16)];
        let place = file.strip_prefix(&folder).unwrap().components().next().unwrap().as_os_str().to_str().unwrap().to_owned();
        for format in FORMATS {
            let own = OWN.iter().find(|(name, _)| *name == format.name);
            let Some((name, folders)) = own else { continue };
            if !folders.contains(&place.as_str()) {
                assert_eq!((format.sniff)(head), Confidence::No, "{name} claims {}", file.display());
            }
        }
    }
}

fn list(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { list(&path, files) } else { files.push(path) }
    }
}
