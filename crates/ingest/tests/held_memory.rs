//! What one reader holds of hostile files, measured: the greatest resident memory of a process of its own that reads each of them.
//!
//! The bound is stated at [`ingest::Reader`]: the file, 64 bytes a value, 2 KiB a station and some calendars of 2 MiB. A reader that made a
//! calendar for every station at once would take twenty gigabytes of ten thousand stations of two days each.
//!
//! Only where the system tells a process's greatest memory (`/proc/self/status`). With `RAINWORTH_HOSTILE` the files are large: ten thousand
//! stations, lines of a hundred mebibytes; it names a file to which the measures are written. Without it the test takes some seconds.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use flate2::{Compression, write::GzEncoder};
use ingest::{Error, Reader, Wanted};
use std::io::{Cursor, Write};
use std::path::Path;
use std::process::Command;

/// One number or the other: see above.
fn sized(small: u32, hostile: u32) -> u32 {
    if std::env::var_os("RAINWORTH_HOSTILE").is_some() { hostile } else { small }
}

/// Names the file that is read in a process of its own.
const CASE: &str = "RAINWORTH_HELD_FILE";

fn sample(file: &str) -> String {
    let bytes = std::fs::read(format!("{}/tests/samples/{file}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    String::from_utf8_lossy(&bytes).into_owned()
}

/// The lines of a sample up to and with the one that begins so.
fn heading(file: &str, last: &str) -> String {
    let text = sample(file);
    let end = text.lines().position(|line| line.trim_start_matches('\u{feff}').starts_with(last)).unwrap();
    text.lines().take(end + 1).fold(String::new(), |all, line| all + line + "\n")
}

type Row = fn(u32, u32) -> String;

/// Each layout that holds several stations: its heading, and a row of a station and a year.
fn layouts() -> Vec<(&'static str, String, Row)> {
    vec![
        ("ghcn daily", String::new(), |id, year| format!("XXT{id:08}{year}01PRCP    7  v{}\n", "-9999   ".repeat(30))),
        ("ghcn rows", String::new(), |id, year| format!("XXT{id:08},{year}0101,PRCP,7,,,v,0700\n")),
        ("canada", heading("canada.csv", "\"Long"), |id, year| {
            format!("\"-36\",\"44\",\"X\",\"{id:07}\",\"{year}-01-01\",\"{year}\",\"01\",\"01\"{}\n", ",\"0.7\"".repeat(23))
        }),
        ("canada archive", String::new(), |id, year| format!("{id:07}{year}01012000007 {}\n", "-99999M".repeat(30))),
        ("australia", heading("bureau-of-meteorology.csv", "Product"), |id, year| format!("IDCJAC0009,{id:06},{year},01,01,0.7,1,Y\n")),
        ("france", heading("meteo-france-order.csv", "POSTE"), |id, year| format!("{id:08};{year}0101;0,7{}\n", ";".repeat(66))),
        ("brazil", heading("hidroweb.csv", "Estacao"), |id, year| format!("{id:08};1;01/01/{year};1;;;;;0;0;0;;0;0,7{}\n", ";".repeat(61))),
        ("poland", String::new(), |id, year| {
            format!("\"{id:09}\",\"X\",\"{year}\",\"01\",\"01\",.7,\"\",\"W\",0,\"\",0,\"\",\"\",\"\",\"\",\"\"\n")
        }),
        ("access", heading("ncei-access.csv", "\"STATION"), |id, year| format!("XXT{id:08},{year}-01-01,44,-36,1,X,7,\",,v\",,,,,,,,\n")),
        ("orders", "STATION,NAME,DATE,PRCP\nXXT99999999,X,2001-01-01,0.01\n".to_owned(), |id, year| {
            format!("XXT{id:08},X,{year}-01-01,0.07\n")
        }),
        ("summaries", heading("global-summary-of-the-day.csv", "\"STATION"), |id, year| {
            format!("{id:011},{year}-01-01,44,-36,1,X{},0.07,G,999.9,000000\n", ",".repeat(18))
        }),
        ("germany", heading("dwd-rain.txt", "STATIONS"), |id, year| format!("{id:>11};{year}0101;    5;   0.7;   1;   0;eor\n")),
        ("europe", heading("ecad-source.txt", " STAID"), |id, year| format!("{id:>6},990084,{year}0101,    7,    0\n")),
        ("netherlands", heading("knmi-gauge.txt", "STN,"), |id, year| format!("{id},{year}0101,    7,     ,\n")),
        ("switzerland", heading("meteoswiss.csv", "station"), |id, year| format!("X{id};{year}0101;-;-;-;-;0.7;-;-;-;-;-\n")),
    ]
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn zip(members: impl Iterator<Item = (String, String)>) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in members {
        writer.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// The process's greatest resident memory in bytes, where the system tells it.
fn greatest_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kibibytes| kibibytes << 10)
}

/// Run by [`held`] in a process of its own; alone it does nothing.
#[test]
fn in_a_process_of_its_own() {
    let Ok(file) = std::env::var(CASE) else { return };
    let before = greatest_memory().unwrap();
    let (mut stations, mut calendar) = (0, 0);
    let read = Reader::new().read_file(
        Path::new(&file),
        Wanted { temperatures: true, ..Wanted::default() },
        &mut |record: ingest::StationRecord| {
            stations += 1;
            calendar = calendar.max(record.rain.counts().calendar);
        },
    );
    let fault = read.as_ref().map_or_else(Error::id, |_| "");
    std::fs::write(format!("{file}.held"), format!("{} {stations} {calendar} {fault}", greatest_memory().unwrap() - before)).unwrap();
}

/// What was held of a file with these bytes beside its calendar, how many stations came of it, their longest calendar, and the fault.
fn held(bytes: &[u8]) -> (u64, u64, usize, String) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("hostile");
    std::fs::write(&file, bytes).unwrap();
    let own = std::env::current_exe().unwrap();
    let run = Command::new(own).args(["--exact", "in_a_process_of_its_own"]).env(CASE, &file).output().unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stdout));
    let told = std::fs::read_to_string(format!("{}.held", file.display())).unwrap();
    let mut words = told.split(' ');
    let mut number = || words.next().unwrap().parse::<u64>().unwrap();
    let (held, stations, calendar) = (number(), number(), number());
    (held, stations, calendar as usize, words.next().unwrap_or_default().to_owned())
}

/// What the program itself and its buffers take, and the longest calendar with what stands outside of it.
const PROGRAM: u64 = 6 << 20;
const CALENDARS: u64 = 3 * 255_670 * 8;

/// Compares and, where that is wanted, writes down what was measured.
fn holds(what: &str, held: u64, file: usize, most: u64) {
    if let Some(path) = std::env::var_os("RAINWORTH_HOSTILE") {
        let mut list = std::fs::OpenOptions::new().create(true).append(true).open(path).unwrap();
        writeln!(list, "{what}: file {file}, held {held}, bound {most}").unwrap();
    }
    assert!(held <= most, "{what}: {held} bytes held of a file of {file}, expected at most {most}");
}

fn bound(file: usize, values: u64, stations: u64) -> u64 {
    file as u64 + 64 * values + 2048 * stations + CALENDARS + PROGRAM
}

#[test]
fn many_stations_of_two_days_centuries_apart_take_one_calendar_at_a_time() {
    if greatest_memory().is_none() {
        return;
    }
    let stations = sized(100, 10_000);
    for (name, heading, row) in layouts() {
        let mut text = heading;
        for year in [1601, 2298] {
            (1..=stations).for_each(|id| text += &row(id, year));
        }
        let (held, read, calendar, fault) = held(text.as_bytes());
        let most = bound(text.len(), 2 * u64::from(stations), u64::from(stations));
        assert!(read >= u64::from(stations) && calendar > 250_000, "{name}: {read} stations, {calendar} days {fault}");
        holds(&format!("{stations} stations, {name}"), held, text.len(), most);
    }
}

#[test]
fn many_values_of_one_day_take_their_bytes_each() {
    if greatest_memory().is_none() {
        return;
    }
    for (name, heading, row) in layouts() {
        let mut text = heading;
        (0..sized(50_000, 200_000)).for_each(|_| text += &row(1, 2001));
        let (held, _, _, fault) = held(text.as_bytes());
        let most = bound(text.len(), u64::from(sized(50_000, 200_000)), 2);
        assert!(fault.is_empty(), "{name}: {fault}");
        holds(&format!("values of one day, {name}"), held, text.len(), most);
    }
}

#[test]
fn a_very_long_line_is_held_once() {
    if greatest_memory().is_none() {
        return;
    }
    for (name, heading, row) in layouts().into_iter().chain([("nothing", String::new(), (|_, _| String::new()) as Row)]) {
        for filling in if sized(0, 1) == 0 { vec![b'"'] } else { vec![b',', b'7', b'"'] } {
            let mut bytes = (heading.clone() + &row(1, 2001) + row(1, 2001).trim_end()).into_bytes();
            bytes.resize(bytes.len() + ((sized(16, 100) as usize) << 20), filling);
            let (held, ..) = held(&bytes);
            let most = bound(bytes.len(), 2000, 10);
            holds(&format!("a long line of {}, {name}", char::from(filling)), held, bytes.len(), most);
        }
    }
}

#[test]
fn packed_files_are_bounded_too() {
    if greatest_memory().is_none() {
        return;
    }
    let (_, heading, row) = &layouts()[1];
    let note = "an invented note ".repeat(60);
    let members = zip((0..sized(2000, 10_000))
        .map(|id| (format!("{id}.csv"), if id % 2 == 0 { format!("{heading}{}", row(id, 2001)) } else { note.clone() })));
    let (taken, stations, ..) = held(&members);
    let most = bound(members.len(), 5000, 5000) + 10_000 * 1024 + (16 << 20);
    assert_eq!(stations, u64::from(sized(1000, 5000)));
    holds("an archive of many members", taken, members.len(), most);
    let bomb = gzip(&vec![b'7'; (sized(64, 600) as usize) << 20]);
    let (taken, _, _, fault) = held(&bomb);
    assert_eq!(fault, "file-unpacks-too-large");
    let most = bound(bomb.len(), 0, 0) + 250 * bomb.len() as u64 * 2;
    holds("a bomb", taken, bomb.len(), most);
}
