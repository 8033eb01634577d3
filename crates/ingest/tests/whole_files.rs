//! What is told of whole files: the same however they are packed and however they are read.
//!
//! Expected values: counted by hand on invented lines.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use flate2::{Compression, write::GzEncoder};
use ingest::{Error, FileSummary, StationRecord, Wanted, read_bytes, read_file};
use std::io::Write;

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

/// From a file, which is streamed where its format is; and from bytes.
fn both(bytes: &[u8]) -> [(Result<FileSummary, Error>, Vec<StationRecord>); 2] {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x");
    std::fs::write(&path, bytes).unwrap();
    let (mut streamed, mut whole) = (Vec::new(), Vec::new());
    let from_file = read_file(&path, Wanted::default(), &mut streamed);
    let from_bytes = read_bytes("x", bytes, Wanted::default(), &mut whole);
    [(from_file, streamed), (from_bytes, whole)]
}

/// Rows of snow, with a heading and a blank line among them.
fn snow(rows: u32) -> String {
    let heading = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n\n".to_owned();
    (0..rows).fold(heading, |text, row| format!("{text}XXT00000001,200101{:02},SNOW,10,,,0,0700\n", row % 28 + 1))
}

#[test]
fn rows_without_precipitation_are_told_alike_however_they_come() {
    for text in [snow(28), snow(3)] {
        let rows = text.matches("SNOW").count();
        for bytes in [text.clone().into_bytes(), gzip(text.as_bytes())] {
            for (read, records) in both(&bytes) {
                let told = &read.unwrap().diagnostics.list[0];
                assert!(records.is_empty() && told.id == "no-precipitation-element");
                let expected = format!("found {rows} rows, none of precipitation; expected ");
                assert!(told.message.contains(&expected), "{told:?}");
            }
        }
    }
}

#[test]
fn zeros_behind_a_gzip_file_are_a_note() {
    // 26 MiB of text, more than is unpacked at once, and a short one.
    let row = "XXT00000001,20010101,PRCP,10,,,0,0700\n";
    // Numbers that vary, since a text that packs to less than a 250th of its size is not believed.
    let varied = |line: u32| format!("XXT00000001,20010101,SNOW,{:05},,,0,0700\n", line.wrapping_mul(40_503) % 99_991);
    let long = (0..(26 << 20) / 41).map(varied).collect::<String>() + row;
    for text in [row.to_owned(), long] {
        let packed = [gzip(text.as_bytes()), vec![0; 1000]].concat();
        for (read, records) in both(&packed) {
            let summary = read.unwrap();
            let told = &summary.diagnostics.list[0];
            assert_eq!((told.id, records.len(), records[0].rain.counts().measured), ("zeros-behind-gzip", 1, 1));
            assert!(told.message.starts_with("found 1000 zero bytes behind"), "{}", told.message);
        }
    }
}

#[test]
fn the_station_after_the_last_that_is_read_is_told_as_such() {
    // The limit is ours: 200,000 stations.
    type Line = fn(u32) -> String;
    let layouts: [(&str, Line); 3] = [
        ("", |id| format!("XXT{id:08}200101PRCP    7  v\n")),
        ("", |id| format!("XXT{id:08},20010101,PRCP,7,,,v,\n")),
        (
            "Product code,Bureau of Meteorology station number,Year,Month,Day,Rainfall amount (millimetres),Period over which rainfall was measured (days),Quality\n",
            |id| format!("IDCJAC0009,{id:06},2001,01,01,0.7,1,N\n"),
        ),
    ];
    for (place, (heading, line)) in layouts.into_iter().enumerate() {
        let lines = (0..200_001).chain([0, 200_000]).flat_map(|id| line(id).into_bytes());
        let text: Vec<u8> = heading.bytes().chain(lines).collect();
        let (mut stations, mut told) = (0, 0);
        let summary = read_bytes("x", &text, Wanted::default(), &mut |record: StationRecord| {
            stations += 1;
            told += record.diagnostics.count("too-many-stations");
        })
        .unwrap();
        told += summary.diagnostics.count("too-many-stations");
        assert_eq!((stations, told, summary.diagnostics.count("line-unreadable")), (200_000, 1, 0), "{place}");
    }
}
