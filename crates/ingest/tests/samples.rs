//! Every format by an invented file in its layout (`samples/`), against figures counted by hand (`samples/figures.rs`).

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

// The table is also a part of the fuzz targets, where it is public.
#[allow(unreachable_pub)]
#[path = "../fuzz/src/families.rs"]
mod families;
#[path = "samples/figures.rs"]
mod figures;

use figures::FIGURES;
use flate2::{Compression, write::GzEncoder};
use ingest::formats::{Confidence, FORMATS, Format};
use ingest::{Error, FileSummary, StationRecord, Wanted, read_bytes};
use series::{Diagnostics, Kind, Reading, Station};
use std::io::{Cursor, Write};

const WANTED: Wanted = Wanted { temperatures: true, depth_unit: None, date_order: None };

/// A table of design rain, which is no station's record.
const TABLE: &str = "frequency-table.csv";

fn bytes_of(file: &str) -> Vec<u8> {
    std::fs::read(format!("{}/tests/samples/{file}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn read(file: &str, bytes: &[u8]) -> Result<(Vec<StationRecord>, FileSummary), Error> {
    let mut records = Vec::new();
    let summary = read_bytes(file, bytes, WANTED, &mut records)?;
    Ok((records, summary))
}

fn format_of(word: &str) -> &'static Format {
    let mut fitting = FORMATS.iter().filter(|format| format.name.contains(word));
    let format = fitting.next().unwrap_or_else(|| panic!("no format is called {word}"));
    assert!(fitting.next().is_none(), "several formats are called {word}");
    format
}

fn millimetres(micrometres: i64) -> String {
    format!("{}", micrometres as f64 / 1000.0)
}

fn counted(findings: &Diagnostics) -> String {
    let each = findings.counts.iter().map(|(id, count)| if *count == 1 { (*id).to_owned() } else { format!("{id} {count}") });
    each.collect::<Vec<_>>().join(", ")
}

fn who(station: &Station) -> String {
    let name = if station.name.is_empty() { String::new() } else { format!(" {}", station.name) };
    let place = station.position().map_or_else(String::new, |(latitude, longitude)| format!(" at {latitude} {longitude}"));
    let height = station.elevation.map_or_else(String::new, |metres| format!(", {metres} m"));
    format!("{}{name}{place}{height}", station.id)
}

/// A record in the words of the figures.
fn told(record: &StationRecord) -> String {
    let StationRecord { rain, diagnostics, .. } = record;
    let c = rain.counts();
    let list = |named: &[(usize, &str)]| {
        named.iter().filter(|(count, _)| *count > 0).map(|(count, name)| format!("{count} {name}")).collect::<Vec<_>>().join(", ")
    };
    let kinds =
        [(c.measured, "measured"), (c.trace, "trace"), (c.accumulated, "in totals"), (c.rejected, "rejected"), (c.missing, "missing")];
    let qualified = list(&[(c.estimated, "estimated"), (c.presumed_zero, "presumed zero"), (c.made_of_parts, "made of parts")]);
    let greatest = rain.greatest_day().map_or("none".to_owned(), |(day, depth)| format!("{} on {day}", millimetres(depth)));
    let day = rain.day_definition;
    let definition = day.start_hour.map_or("day unknown".to_owned(), |hour| format!("day from {hour}, dated {:?}", day.label));
    let parts = [
        who(&rain.station),
        format!("{} days: {}", c.calendar, list(&kinds)),
        qualified,
        format!("total {}, greatest {greatest}", millimetres(rain.total_micrometres())),
        definition,
        counted(diagnostics),
    ];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

#[test]
fn each_sample_holds_what_was_counted_by_hand() {
    for (file, word, of_file, stations) in FIGURES {
        let (records, summary) = read(file, &bytes_of(file)).unwrap_or_else(|error| panic!("{file}: {error}"));
        let lines: Vec<String> = records.iter().map(told).collect();
        assert_eq!(lines, *stations, "{file}");
        assert_eq!((counted(&summary.diagnostics).as_str(), summary.format), (*of_file, format_of(word).name), "{file}");
    }
}

#[test]
fn a_file_given_twice_is_the_file() {
    for (file, ..) in FIGURES {
        // A record without an id cannot be known again, and is left alone.
        let records: Vec<StationRecord> =
            read(file, &bytes_of(file)).unwrap().0.into_iter().filter(|record| !record.rain.station.id.is_empty()).collect();
        let twice = ingest::join([records.clone(), records.clone()].concat());
        assert_eq!(twice.len(), records.len(), "{file}");
        for (joined, record) in twice.iter().zip(&records) {
            assert_eq!(joined.rain.readings(), record.rain.readings(), "{file}");
            let differing = joined.diagnostics.count("day-stated-twice");
            assert_eq!(differing, 2 * record.diagnostics.count("day-stated-twice"), "{file}");
        }
    }
}

#[test]
fn each_sample_is_claimed_by_its_own_format_alone() {
    for (file, word, ..) in FIGURES {
        let own = format_of(word);
        let sure = if *word == "gauge log" { Confidence::Possible } else { Confidence::Certain };
        let bytes = bytes_of(file);
        let claims: Vec<_> = FORMATS.iter().filter(|format| (format.sniff)(&bytes) >= sure).map(|format| format.name).collect();
        assert_eq!((claims, (own.sniff)(&bytes)), (vec![own.name], sure), "{file}");
    }
}

#[test]
fn every_format_has_a_sample_and_every_sample_figures() {
    for format in FORMATS {
        let has = FIGURES.iter().any(|(_, word, ..)| format.name.contains(word));
        assert!(has, "{}: put an invented file into tests/samples and its figures into samples/figures.rs", format.name);
    }
    let folder = std::fs::read_dir(format!("{}/tests/samples", env!("CARGO_MANIFEST_DIR"))).unwrap();
    for name in folder.map(|entry| entry.unwrap().file_name().into_string().unwrap()) {
        let beside = ["README.md", "figures.rs", "crashes", ".gitattributes", TABLE].contains(&name.as_str());
        assert!(beside || FIGURES.iter().any(|(file, ..)| *file == name), "{name} has no figures");
    }
}

#[test]
fn every_format_is_in_one_family_of_the_fuzz_targets() {
    for format in FORMATS {
        let held = families::FAMILIES.iter().flat_map(|(_, words)| *words).filter(|word| format.name.contains(*word)).count();
        assert_eq!(held, 1, "{}: put it into fuzz/src/families.rs", format.name);
    }
}

/// The figures as they stand in the invented table: 3.40 in of 24 hours in 50 years, and 25 in a hundred more at the upper bound.
#[test]
fn the_table_of_design_rain_is_no_record() {
    let bytes = bytes_of(TABLE);
    let table = ingest::frequency_table(TABLE, &bytes).unwrap();
    assert_eq!((table.rows.len(), table.return_periods.as_slice()), (4, &[2.0, 10.0, 50.0, 100.0][..]));
    assert!((table.estimate(1440.0, 50.0).unwrap() - 3.40 * 25.4).abs() < 1e-9 && table.estimate(2880.0, 50.0).is_none());
    assert!((table.rows[2].upper[2].unwrap() - 4.25 * 25.4).abs() < 1e-9);
    assert_eq!((table.station.as_str(), table.latitude), ("INVENTED OMBREL MEADOW", Some(44.5)));
    assert!(FORMATS.iter().all(|format| (format.sniff)(&bytes) == Confidence::No));
    assert_eq!(read(TABLE, &bytes).unwrap_err().id(), "file-is-another-product");
    for cut in 0..bytes.len() {
        let _ = ingest::frequency_table(TABLE, &bytes[..cut]);
    }
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn zip(name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    writer.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
    writer.write_all(bytes).unwrap();
    writer.finish().unwrap().into_inner()
}

/// The same in other clothes: packed, with the other line end, with a byte-order mark.
#[test]
fn each_sample_is_the_same_in_other_clothes() {
    for (file, ..) in FIGURES {
        let plain = bytes_of(file);
        let lines: Vec<&[u8]> = plain.split(|byte| *byte == b'\n').map(|line| line.strip_suffix(b"\r").unwrap_or(line)).collect();
        let (lf, crlf) = (lines.join(&b"\n"[..]), lines.join(&b"\r\n"[..]));
        let marked = [b"\xEF\xBB\xBF", plain.as_slice()].concat();
        let clothes = [("gzip", gzip(&plain)), ("zip", zip(file, &plain)), ("LF", lf), ("CRLF", crlf), ("mark", marked)];
        let (own, own_summary) = read(file, &plain).unwrap();
        for (what, bytes) in clothes {
            let (records, summary) = read(file, &bytes).unwrap_or_else(|error| panic!("{file} {what}: {error}"));
            assert_eq!(records.len(), own.len(), "{file} {what}");
            for (one, other) in own.iter().zip(&records) {
                assert_eq!((told(one), &one.temperature), (told(other), &other.temperature), "{file} {what}");
                assert_eq!((one.rain.readings(), one.rain.period()), (other.rain.readings(), other.rain.period()), "{file} {what}");
            }
            assert_eq!(summary.diagnostics.counts, own_summary.diagnostics.counts, "{file} {what}");
        }
    }
}

/// Cut after every line and at 200 places within lines: days whose value stands before the line of the cut are as they were.
///
/// A file that is cut before its first value may be refused. Where the whole file has to settle the unit or the order of dates, a part of it
/// may leave the question open.
#[test]
fn what_stands_before_a_cut_is_read_as_it_was() {
    for (file, word, ..) in FIGURES {
        let whole = bytes_of(file);
        let (own, _) = read(file, &whole).unwrap();
        let ends = (0..whole.len()).filter(|at| whole[*at] == b'\n').map(|at| at + 1);
        let within = (0..200).map(|step| step * whole.len() / 200);
        for cut in ends.chain(within) {
            let begun = memchr::memchr_iter(b'\n', &whole[..cut]).count() as u32 + 1;
            let before = |record: &StationRecord| {
                let is_single = |reading: &Reading| reading.kind() == Kind::Measured;
                let stands = |day| record.rain.provenance.place(day).is_some_and(|place| place.line < begun);
                record.rain.days().filter(|(day, reading)| is_single(reading) && stands(*day)).collect::<Vec<_>>()
            };
            match read(file, &whole[..cut]) {
                Ok((records, _)) => {
                    for (at, record) in own.iter().enumerate() {
                        for (day, reading) in before(record) {
                            assert_eq!(records[at].rain.reading(day), reading, "{file} cut at {cut}: {day}");
                        }
                    }
                }
                Err(Error::OpenQuestion { .. }) if matches!(*word, "Climate Data Online" | "gauge log") => {}
                Err(error) => assert!(own.iter().all(|record| before(record).is_empty()), "{file} cut at {cut}: {error}"),
            }
        }
    }
}
