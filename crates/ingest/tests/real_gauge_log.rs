//! Daily rain of textbooks read as a person's own log: what is stated, what has to be asked, what is no record.
//!
//! Expected values: `MANIFEST.md` beside the records (the folder that RAINWORTH_DATA names): its table of textbook files and of pairs.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::formats::{Confidence, FORMATS};
use ingest::{DepthUnit, Error, StationRecord, Wanted, read_file};
use std::path::Path;
use testkit::data_dir;

/// Layouts that no reader knows yet.
const NOT_YET: &[&str] = &["midas-open"];

fn read(path: &Path, depth_unit: Option<DepthUnit>) -> Result<StationRecord, Error> {
    let mut records = Vec::new();
    read_file(path, Wanted { depth_unit, ..Wanted::default() }, &mut records)?;
    Ok(records.pop().unwrap())
}

#[test]
fn the_unit_of_fort_collins_is_asked_for_and_then_the_pair_agrees() {
    let Some(folder) = data_dir() else { return };
    let file = folder.join("textbook/extRemes_Fort.csv");
    let error = read(&file, None).unwrap_err();
    assert_eq!(error.id(), "file-leaves-a-question");
    assert!(error.to_string().contains("millimetres or inches"), "{error}");
    let textbook = read(&file, Some(DepthUnit::Inch)).unwrap().rain;
    // MANIFEST: 36,524 days, 38,791.39 mm, wettest 117.6 mm on 1997-07-29.
    let (day, depth) = textbook.greatest_day().unwrap();
    assert_eq!((textbook.counts().usable(), textbook.counts().missing), (36_524, 0));
    assert!((textbook.total_micrometres() - 38_791_390).abs() <= 60, "{}", textbook.total_micrometres());
    assert_eq!((day.to_string().as_str(), (depth + 50) / 100), ("1997-07-29", 1176));
    // MANIFEST, pairs: 36,321 common days; 35,892 within 0.14 mm; the same wettest day; the archive lacks 203 days.
    let archive = read(&folder.join("ghcnd-dly/USC00053005.dly"), None).unwrap().rain;
    let common: Vec<i64> = textbook.days().filter_map(|(day, reading)| Some(reading.depth()? - archive.reading(day).depth()?)).collect();
    assert_eq!((common.len(), common.iter().filter(|by| by.abs() <= 140).count()), (36_321, 35_892));
    assert_eq!(archive.greatest_day().map(|(day, _)| day), Some(day));
    assert_eq!(textbook.counts().usable() - common.len(), 203);
}

#[test]
fn maiquetia_is_read_as_it_stands() {
    // MANIFEST: 1961-01-01 to 1999-12-31, 14,244 days, 21,057.37 mm, wettest 410.4 mm on 1999-12-15.
    let Some(folder) = data_dir() else { return };
    let rain = read(&folder.join("textbook/mev_maiquetia.csv"), None).unwrap().rain;
    let period = rain.period().unwrap();
    assert_eq!((period.first.to_string().as_str(), period.last.to_string().as_str()), ("1961-01-01", "1999-12-31"));
    assert_eq!((rain.counts().usable(), rain.counts().missing), (14_244, 0));
    assert!((rain.total_micrometres() - 21_057_370).abs() <= 60, "{}", rain.total_micrometres());
    assert_eq!(rain.greatest_day(), Some(("1999-12-15".parse().unwrap(), 410_400)));
}

#[test]
fn a_table_without_dates_and_a_table_of_statistics_are_refused() {
    let Some(folder) = data_dir() else { return };
    let error = read(&folder.join("textbook/ismev_rain.csv"), None).unwrap_err();
    assert!(error.to_string().contains("no dates of days"), "{error}");
    let error = read(&folder.join("textbook/lmomRFA_Cascades.csv"), None).unwrap_err();
    assert_eq!(error.id(), "file-is-another-product");
}

#[test]
fn no_file_of_an_agency_is_taken_for_a_log() {
    // A log is never more than possible, and no reader of an agency's layout claims the tables of textbooks.
    let Some(folder) = data_dir() else { return };
    let log = FORMATS.last().unwrap();
    assert_eq!(log.name, "gauge log");
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(&folder).unwrap().flatten().filter(|entry| entry.path().is_dir()) {
        for file in std::fs::read_dir(entry.path()).unwrap().flatten().map(|file| file.path()).filter(|path| path.is_file()) {
            let bytes = std::fs::read(&file).unwrap();
            let head = &bytes[..bytes.len().min(1 << 16)];
            let certain = FORMATS.iter().filter(|format| (format.sniff)(head) == Confidence::Certain).count();
            let claimed = FORMATS.iter().filter(|format| format.name != log.name).any(|format| (format.sniff)(head) != Confidence::No);
            let textbook = file.parent().is_some_and(|folder| folder.ends_with("textbook"));
            let possible = (log.sniff)(head);
            if certain > 1 || possible == Confidence::Certain || (textbook && claimed) {
                wrong.push(format!("{}: {certain} certain, log {possible:?}", file.display()));
            }
            // Where a log would claim an agency's file, that file's reader has to claim it more surely.
            let not_yet = NOT_YET.iter().any(|name| file.parent().is_some_and(|folder| folder.ends_with(name)));
            if not_yet {
                continue;
            }
            if possible != Confidence::No && !textbook && certain == 0 && !claimed {
                wrong.push(format!("{}: only the log claims it", file.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
