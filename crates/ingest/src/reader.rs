//! From a file or bytes to station records: the entrance to all readers.

use crate::aligned_buffer::AlignedBuffer;
use crate::blocks::Streamed;
use crate::date_order::DateOrder;
use crate::decimal::DepthUnit;
use crate::formats::{self, Confidence, Format, Input};
use crate::saved_anew;
use crate::unpack::{self, Packing};
use crate::{Error, archive, content};
use series::{DailySeries, DailyTemperature, Diagnostics, Severity};
use sha2::{Digest, Sha256};
use std::cell::Cell;
use std::fmt::Write;
use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

/// What to read beside the rain, and what the caller knows that a file does not say.
///
/// Written as `Wanted { temperatures: true, ..Wanted::default() }`, since answers to further questions may join.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Wanted {
    /// Daily greatest and least air temperature.
    pub temperatures: bool,
    /// The unit of rain in files that do not name one; a unit that the file names goes before it.
    pub depth_unit: Option<DepthUnit>,
    /// The order of day, month and year in files that leave it open; an order that the file names or shows goes before it.
    pub date_order: Option<DateOrder>,
}

/// All that a file says of one station.
#[derive(Debug, Clone, PartialEq)]
pub struct StationRecord {
    /// The rain, with the station's identifier and the place of each day in the file.
    pub rain: DailySeries,
    /// The temperatures, empty when they were not wanted or not there.
    pub temperature: DailyTemperature,
    /// What was found in this station's lines.
    pub diagnostics: Diagnostics,
}

/// Takes the stations of a file as they are read. A vector and a closure are sinks.
pub trait Sink {
    /// One station more.
    fn station(&mut self, record: StationRecord);
}

impl Sink for Vec<StationRecord> {
    fn station(&mut self, record: StationRecord) {
        self.push(record);
    }
}

impl<F: FnMut(StationRecord)> Sink for F {
    fn station(&mut self, record: StationRecord) {
        self(record);
    }
}

/// What a file was, beside its stations.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileSummary {
    /// The format that was read.
    pub format: &'static str,
    /// How many stations went to the sink.
    pub stations: usize,
    /// What was found in the file and belongs to no one station.
    pub diagnostics: Diagnostics,
}

impl FileSummary {
    /// Whether the file was read in part only: a member of an archive could not be read, which its finding tells.
    pub fn is_in_part(&self) -> bool {
        // A fault of a whole file or member is the only finding of this weight.
        self.diagnostics.worst() == Some(Severity::Error)
    }
}

/// Reads one file after the other through buffers that stay warm; one for each worker.
///
/// What one reader holds of a file, whatever stands in it (measured on hostile files by the test `held_memory.rs`):
///
/// * the file itself, and of a packed one its text too, one member at a time, at most 250 times the packed bytes (or 4 MiB); of a by-year
///   or by-station file of rows only blocks of a quarter of a mebibyte;
/// * until the end of the file at most 64 bytes a value (20, and room to grow) and 2 KiB a station;
/// * one station's calendar at a time, at most 255,670 days (1600 to 2299) of 8 bytes, and what stands outside of it;
/// * 50 findings of a kind and station, each of a few hundred bytes, and 16 MiB of texts beside the station files of an archive.
///
/// What goes to the [`Sink`] is the caller's.
#[derive(Debug)]
pub struct Reader {
    buffer: AlignedBuffer,
    unpacked: Vec<u8>,
    checksum: bool,
}

impl Default for Reader {
    fn default() -> Self {
        Self::new()
    }
}

impl Reader {
    /// Largest file that is taken into memory, packed or unpacked.
    pub const MOST_BYTES: u64 = 1 << 30;
    /// Longest text of a file that is read as a stream.
    pub const MOST_STREAMED_BYTES: u64 = 1 << 36;

    /// A reader that puts the file's SHA-256 into each record's provenance.
    pub fn new() -> Self {
        Self { buffer: AlignedBuffer::default(), unpacked: Vec::new(), checksum: true }
    }

    /// A reader that leaves the checksum out, which takes as long as the reading: for tables over a whole archive.
    pub fn without_checksum() -> Self {
        Self { checksum: false, ..Self::new() }
    }

    /// Read all stations of a file into the sink: plain, in a gzip file, or in the members of a zip archive.
    ///
    /// # Errors
    /// A file fault: not to be had from the system, empty, a web page, packed in another way, damaged, binary, another product.
    pub fn read_file(&mut self, path: &Path, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
        let name = path.display().to_string();
        let unreadable = |source| Error::Unreadable { file: name.clone(), source };
        let mut file = File::open(path).map_err(unreadable)?;
        let size = file.metadata().map_or(0, |data| data.len());
        // Room for all of a file of usual size at once; a larger one is perhaps not taken into memory at all.
        self.buffer.grow(size.min(ROOM) as usize + 1);
        let head = self.buffer.fill(0, HEAD, &mut file).map_err(unreadable)?;
        if let Some(streamed) = self.stream(&name, &mut file, head, size, wanted, sink) {
            return streamed;
        }
        // One byte over the limit tells a file that is too large, also where the system reports no size.
        let most = Self::MOST_BYTES as usize + 1;
        let filled = self.buffer.fill(head, most, &mut file).map_err(unreadable)?;
        if filled == most {
            self.buffer = AlignedBuffer::default();
            return Err(Error::TooLarge { file: name, most: Self::MOST_BYTES });
        }
        read(&name, &self.buffer[..filled], &mut self.unpacked, self.checksum, wanted, sink)
    }

    /// Reads the file as a stream, if it is of a format that is read so; its first `head` bytes are in the buffer already. A pipe cannot be gone
    /// through twice, for the checksum and for the values, and is taken into memory.
    fn stream(
        &self,
        name: &str,
        file: &mut File,
        head: usize,
        size: u64,
        wanted: Wanted,
        sink: &mut dyn Sink,
    ) -> Option<Result<FileSummary, Error>> {
        let head = &self.buffer[..head];
        let packing = unpack::packing(head);
        let plain = unpack::plain_head(head, HEAD);
        // What is not sure of its format is looked at whole, where it can be.
        let format = formats::certain(&plain).or_else(|| formats::choose(&plain).filter(|_| size > Self::MOST_BYTES))?;
        let read_blocks = format.read_blocks?;
        if packing == Packing::Gzip && unpacks_at_once(file, size) {
            return None;
        }
        if let Err(fault) = content::refuse_plain_faults(name, &plain, formats::EXPECTED) {
            return Some(Err(fault));
        }
        let here = file.stream_position().ok()?;
        let sha256 = if self.checksum { checksum_of_file(file, here) } else { Ok(String::new()) };
        let sha256 = match sha256 {
            Ok(sha256) => sha256,
            Err(source) => return Some(Err(Error::Unreadable { file: name.to_owned(), source })),
        };
        let input = Input { name, bytes: &[], sha256: &sha256, companions: &formats::NO_COMPANIONS };
        let padding = Cell::new(0);
        let read = if packing == Packing::Gzip {
            let packed = BufReader::with_capacity(HEAD, head.chain(file));
            let most = unpack::most_bytes(size, Self::MOST_STREAMED_BYTES);
            let source = unpack::gunzip_stream(packed, &padding);
            let mut blocks = Streamed::new(name, source, most, |file, fault| unpack::damaged(file, "gzip", fault));
            read_blocks(input, &mut blocks, wanted, sink)
        } else {
            let fault = |file: &str, fault: &std::io::Error| Error::Unreadable { file: file.to_owned(), source: fault.kind().into() };
            let from_start = content::without_marks(head).chain(file);
            let mut blocks = Streamed::new(name, from_start, Self::MOST_STREAMED_BYTES, fault);
            read_blocks(input, &mut blocks, wanted, sink)
        };
        Some(read.and_then(|summary| something_in_it(input, format, summary)).map(|summary| told_padding(input, summary, padding.get())))
    }
}

/// Whether a gzip file is short, and says of itself that its text is short enough to be unpacked in one go; the file is left where it stood. What its
/// end says holds for its last member, and not where zeros stand behind it.
fn unpacks_at_once(file: &mut File, size: u64) -> bool {
    let mut told = [0; 4];
    let here = file.stream_position();
    let looked = file.seek(SeekFrom::End(-4)).and_then(|_| file.read_exact(&mut told));
    let back = here.and_then(|here| file.seek(SeekFrom::Start(here)));
    let short = size <= unpack::MOST_AT_ONCE && u64::from(u32::from_le_bytes(told)) <= unpack::MOST_AT_ONCE;
    looked.is_ok() && back.is_ok() && short
}

/// Bytes that a format is known by.
const HEAD: usize = 64 << 10;
/// The largest file that memory is reserved for at once.
const ROOM: u64 = 32 << 20;

/// Read all stations of a file into the sink. See [`Reader`] for many files.
///
/// # Errors
/// As [`Reader::read_file`].
pub fn read_file(path: &Path, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    Reader::new().read_file(path, wanted, sink)
}

/// Read all stations of bytes, packed or not, into the sink; `name` is how messages call them.
///
/// # Errors
/// A file fault: empty, a web page, packed in another way, damaged, binary, another product.
pub fn read_bytes(name: &str, bytes: &[u8], wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    read(name, bytes, &mut Vec::new(), true, wanted, sink)
}

fn read(
    name: &str,
    bytes: &[u8],
    unpacked: &mut Vec<u8>,
    checksum: bool,
    wanted: Wanted,
    sink: &mut dyn Sink,
) -> Result<FileSummary, Error> {
    let sha256 = if checksum { checksum_of(bytes) } else { String::new() };
    match unpack::packing(bytes) {
        Packing::Plain => read_text(Input { name, bytes, sha256: &sha256, companions: &formats::NO_COMPANIONS }, wanted, sink),
        Packing::Gzip => {
            let padding = unpack::gunzip(name, bytes, Reader::MOST_BYTES, unpacked)?;
            let input = Input { name, bytes: unpacked, sha256: &sha256, companions: &formats::NO_COMPANIONS };
            Ok(told_padding(input, read_text(input, wanted, sink)?, padding))
        }
        Packing::Zip => archive::read(name, bytes, &sha256, unpacked, wanted, sink),
    }
}

/// Read plain text in the format that it is in.
pub(crate) fn read_text(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    if let Some(text) = saved_anew::from_utf16(input.bytes) {
        let summary = read_text(Input { bytes: &text, ..input }, wanted, sink)?;
        let what = "found text in UTF-16, expected UTF-8: a table saved anew".to_owned();
        return Ok(told(input, summary, "text-in-utf-16", (what, AS_PUBLISHED)));
    }
    let expected = formats::EXPECTED;
    content::refuse_plain_faults(input.name, input.bytes, expected)?;
    let chosen = formats::choose(input.bytes);
    // A format that is sure of the text needs no second look, and it is rare that none is.
    if chosen.is_none_or(|format| (format.sniff)(input.bytes) != Confidence::Certain) {
        if let Some(respelt) = saved_anew::respelt(input.bytes) {
            let summary = (respelt.format.read)(Input { bytes: &respelt.bytes, ..input }, wanted, sink)?;
            return Ok(told(input, summary, "table-saved-anew", (respelt.what, AS_PUBLISHED)));
        }
        if let Some(what) = chosen.filter(|format| formats::is_own_log(format)).and_then(|_| saved_anew::look_alike(input.bytes)) {
            return Err(input.wrong_product(what));
        }
    }
    let Some(format) = chosen else {
        return Err(content::unknown(input.name, input.bytes, expected));
    };
    something_in_it(input, format, (format.read)(input, wanted, sink)?)
}

/// The summary, unless nothing was read and nothing told: a file that vanishes.
fn something_in_it(input: Input<'_>, format: &Format, summary: FileSummary) -> Result<FileSummary, Error> {
    if summary.stations == 0 && summary.diagnostics.is_empty() {
        return Err(input.wrong_product(format!("the heading of a {} and no line of values behind it", format.name)));
    }
    Ok(summary)
}

/// The summary with a note in front on zeros behind the packed text.
fn told_padding(input: Input<'_>, summary: FileSummary, zeros: u64) -> FileSummary {
    if zeros == 0 {
        return summary;
    }
    let what = format!("found {zeros} zero bytes behind the packed text, expected the gzip file to end there");
    told(input, summary, "zeros-behind-gzip", (what, "They are passed over; the text is whole."))
}

/// What is done with a text that is not as its agency writes it.
const AS_PUBLISHED: &str = "The text is read as if it were as published.";

/// The summary with a note in front: what was found, and what was done.
fn told(input: Input<'_>, mut summary: FileSummary, id: &'static str, said: (String, &'static str)) -> FileSummary {
    let mut findings = input.findings();
    findings.whole(id, Severity::Note, || said);
    let mut diagnostics = findings.finish();
    diagnostics.extend(summary.diagnostics);
    summary.diagnostics = diagnostics;
    summary
}

/// SHA-256 (FIPS 180-4) of some bytes, in hexadecimal: what a file is cited by.
pub fn checksum_of(bytes: &[u8]) -> String {
    in_hexadecimal(&Sha256::digest(bytes))
}

/// The same of a file that is not taken into memory; it is left standing at `here`.
fn checksum_of_file(file: &mut File, here: u64) -> std::io::Result<String> {
    let (mut hasher, mut buffer) = (Sha256::new(), vec![0; HEAD]);
    file.rewind()?;
    loop {
        match file.read(&mut buffer)? {
            0 => break,
            got => hasher.update(&buffer[..got]),
        }
    }
    file.seek(SeekFrom::Start(here))?;
    Ok(in_hexadecimal(&hasher.finalize()))
}

/// The same of a file by its name.
#[cfg(feature = "download")]
pub(crate) fn checksum_of_whole_file(path: &Path) -> std::io::Result<String> {
    checksum_of_file(&mut File::open(path)?, 0)
}

pub(crate) fn in_hexadecimal(digest: &[u8]) -> String {
    digest.iter().fold(String::with_capacity(2 * digest.len()), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_checksum_is_sha_256() {
        // FIPS 180-2 appendix B.1: the digest of "abc".
        assert_eq!(checksum_of(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn a_missing_file_and_a_folder_are_named() {
        let folder = tempfile::tempdir().unwrap();
        for path in [folder.path().join("none.dly"), folder.path().to_path_buf()] {
            let error = read_file(&path, Wanted::default(), &mut Vec::new()).unwrap_err();
            assert_eq!((error.id(), error.file()), ("file-unreadable", path.display().to_string().as_str()));
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_is_read_whole() {
        // Longer than the head that a format is known by, in a layout that is read as a stream.
        let days = (0..4000).map(|i| series::Day::first_of_year(1950).plus(i).to_string().replace('-', ""));
        let text: String = days.map(|day| format!("XXT00000001,{day},PRCP,10,,,0,0700\n")).collect::<Vec<_>>().concat();
        let folder = tempfile::tempdir().unwrap();
        let (plain, pipe) = (folder.path().join("plain.csv"), folder.path().join("pipe.csv"));
        std::fs::write(&plain, &text).unwrap();
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let writer = std::thread::spawn({
            let pipe = pipe.clone();
            move || std::fs::write(pipe, text)
        });
        let mut records: Vec<StationRecord> = Vec::new();
        for path in [&plain, &pipe] {
            read_file(path, Wanted::default(), &mut records).unwrap();
        }
        writer.join().unwrap().unwrap();
        assert_eq!(records[0].rain.counts().measured, 4000);
        assert_eq!(records[0].rain.readings(), records[1].rain.readings());
        assert_eq!(records[0].rain.provenance.sha256(), records[1].rain.provenance.sha256());
    }

    #[test]
    fn a_warm_reader_reads_each_file_for_itself() {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, days: usize| {
            let path = folder.path().join(name);
            std::fs::write(&path, testkit::DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &vec![Some(1.0); days]).to_text())
                .unwrap();
            path
        };
        let (long, short) = (write("long", 400), write("short", 10));
        let mut reader = Reader::without_checksum();
        let mut records = Vec::new();
        for path in [&long, &short, &long] {
            reader.read_file(path, Wanted::default(), &mut records).unwrap();
        }
        assert_eq!(records.iter().map(|record| record.rain.counts().measured).collect::<Vec<_>>(), [400, 10, 400]);
        assert!(records[0].rain.provenance.sha256().is_empty());
        read_file(&short, Wanted::default(), &mut records).unwrap();
        assert_eq!(records[3].rain.provenance.sha256().len(), 64);
    }
}
