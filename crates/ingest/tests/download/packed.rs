//! Packed bodies: damaged ones and bombs.

use crate::answers::fault;
use crate::bench::{Bench, ROWS, server};
use flate2::{Compression, write::GzEncoder};
use ingest::download::Outcome;
use std::io::Write;
use testkit::server::Answer;

fn gzip(text: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(text).unwrap();
    encoder.finish().unwrap()
}

/// An archive of one member.
pub(crate) fn zipped(name: &str, text: &str) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    writer.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
    writer.write_all(text.as_bytes()).unwrap();
    writer.finish().unwrap().into_inner()
}

/// An invented file of a gauge of the DWD's.
pub(crate) fn gauge() -> String {
    "STATIONS_ID;MESS_DATUM;QN_6;  RS; RSF;SH_TAG;eor\n         44;20010101;    5;   9.0;   1;   0;eor\n".to_owned()
}

fn rows() -> Vec<u8> {
    b"XX000000001,20010201,PRCP,12,,,0,0700\n".repeat(3000)
}

#[test]
fn a_damaged_gzip_file_is_refused_and_a_good_one_taken() {
    for encrypted in [false, true] {
        let bench = Bench::new();
        let good = gzip(&rows());
        let server = server(encrypted, {
            let good = good.clone();
            move |asked| {
                let mut damaged = good.clone();
                damaged[good.len() / 2] ^= 1;
                match asked.before {
                    0 | 2 => Answer::new(200, damaged),
                    3 => Answer::new(200, &good[..good.len() - 20]),
                    _ => Answer::new(200, &*good),
                }
            }
        });
        let first = bench.bring(&server, ROWS);
        assert!(fault(&first.outcome).0 == "file-damaged" && first.lacking, "{first:?}");
        assert_eq!(bench.bring(&server, ROWS).outcome, Outcome::Fetched);
        for _ in 0..2 {
            let kept = bench.bring(&server, ROWS);
            assert!(fault(&kept.outcome).0 == "file-damaged" && !kept.lacking, "{kept:?}");
            assert_eq!(bench.good_copy(ROWS), Some(good.clone()));
        }
    }
}

#[test]
fn a_bomb_is_stopped() {
    // 64 MiB in some 65 kB: a thousand to one, as far as deflate goes.
    let bomb = gzip(&vec![b'0'; 64 << 20]);
    for encrypted in [false, true] {
        let bench = Bench::new();
        let server = server(encrypted, {
            let bomb = bomb.clone();
            move |_| Answer::new(200, &*bomb)
        });
        let brought = bench.bring(&server, ROWS);
        assert!(fault(&brought.outcome).0 == "file-unpacks-too-large" && brought.lacking, "{brought:?}");
    }
}
