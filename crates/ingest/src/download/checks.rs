//! What a file that came must be before it takes its place: whole, bounded, and of the product that was asked for.
//!
//! A cut shows by the length or the chunks of the answer, by the checksum of a packed file, or by a last line without its end. A body that is
//! plain text, comes with neither length nor chunks and could have been cut anywhere is refused.

use super::fault::Fault;
use super::request::{Expected, Wanted};
use crate::agencies::Content;
use crate::unpack::{self, Archive, Packing};
use crate::{Error, Reader, content, formats, inventory, reader, station_list};
use sha2::{Digest, Sha256};
use std::cell::Cell;
use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

/// Bytes that a file is known by.
const HEAD: usize = 64 << 10;

/// What was found.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Looked {
    pub(crate) sha256: String,
    pub(crate) size: u64,
}

/// What a text is seen to be while it goes by.
#[derive(Default)]
struct Seen {
    head: Vec<u8>,
    size: u64,
    last: Option<u8>,
    /// Where the first NUL byte stands: no text has one, and a disk that lost power leaves them.
    nul: Option<u64>,
}

impl Seen {
    fn add(&mut self, block: &[u8]) {
        let room = HEAD - self.head.len();
        self.head.extend_from_slice(&block[..block.len().min(room)]);
        self.nul = self.nul.or_else(|| memchr::memchr(0, block).map(|at| self.size + at as u64));
        self.last = block.last().copied().or(self.last);
        self.size += block.len() as u64;
    }
}

/// Looks at a file that came from `address`. `framed` says that a cut of the answer would have shown.
pub(crate) fn look(path: &Path, address: &str, wanted: &Wanted, framed: bool) -> Result<Looked, Fault> {
    let unreadable = |source: &std::io::Error| Fault::local(path, "read", source);
    let (mut file, mut hasher) = (File::open(path).map_err(|source| unreadable(&source))?, Sha256::new());
    let mut bytes = Seen::default();
    pass(&mut file, |block| {
        hasher.update(block);
        bytes.add(block);
    })
    .map_err(|source| unreadable(&source))?;
    let looked = Looked { sha256: reader::in_hexadecimal(&hasher.finalize()), size: bytes.size };
    let refused = |error: &Error| refused(address, wanted, error);
    let packing = unpack::packing(&bytes.head);
    if packing != Packing::Plain && matches!(wanted.expected, Expected::List(_)) {
        // Lists are published as they are and read as they are.
        let kind = if packing == Packing::Gzip { "a gzip file" } else { "a zip archive" };
        return Err(refused(&Error::Packed { file: address.to_owned(), kind }));
    }
    match packing {
        Packing::Plain => text(&bytes, address, wanted, framed)?,
        Packing::Gzip => {
            let most = unpack::most_bytes(bytes.size, Reader::MOST_STREAMED_BYTES);
            let packed = BufReader::with_capacity(HEAD, File::open(path).map_err(|source| unreadable(&source))?);
            // Zeros behind the last member are the reader's to tell.
            let padding = Cell::new(0);
            let (mut plain, mut unpacked) = (Seen::default(), unpack::gunzip_stream(packed, &padding).take(most + 1));
            pass(&mut unpacked, |block| plain.add(block)).map_err(|source| refused(&unpack::damaged(address, "gzip", &source)))?;
            if plain.size > most {
                return Err(refused(&Error::UnpacksTooLarge { file: address.to_owned(), most }));
            }
            text(&plain, address, wanted, true)?;
        }
        Packing::Zip => {
            let packed = std::fs::read(path).map_err(|source| unreadable(&source))?;
            zip(&packed, address, wanted).map_err(|error| refused(&error))?;
        }
    }
    Ok(looked)
}

fn pass(from: &mut impl Read, mut block_of: impl FnMut(&[u8])) -> std::io::Result<()> {
    let mut block = vec![0; HEAD];
    loop {
        match from.read(&mut block)? {
            0 => return Ok(()),
            got => block_of(&block[..got]),
        }
    }
}

/// A text, unpacked.
fn text(seen: &Seen, address: &str, wanted: &Wanted, framed: bool) -> Result<(), Fault> {
    content_of(&seen.head, address, wanted.expected).map_err(|error| refused(address, wanted, &error))?;
    let fault = |id, found: String, expected: &str| Err(Fault::new(id, address, found).expected(expected).advice("try again later"));
    let other_station = |station: &&String| wanted.begins_with_station && !seen.head.starts_with(station.as_bytes());
    if let Some(station) = wanted.station.as_ref().filter(other_station) {
        let begins = String::from_utf8_lossy(&seen.head[..seen.head.len().min(station.len())]).into_owned();
        return Err(Fault::new("download-other-station", address, format!("a record that begins with {begins:?}"))
            .expected(format!("that of station {station}"))
            .advice("tell whoever keeps the server or mirror: the file of another station lies there"));
    }
    if let Some(at) = seen.nul {
        return fault("download-not-text", format!("a NUL byte at {at}"), "text alone");
    }
    if wanted.whole_lines && seen.last != Some(b'\n') {
        return fault(
            "download-cut-short",
            format!("{} bytes whose last line has no end", seen.size),
            "a file that ends with a line feed, as this product does",
        );
    }
    if !framed {
        return fault(
            "download-length-unknown",
            format!("{} bytes, and neither a length nor chunks that tell whether that is all", seen.size),
            "an answer that tells where it ends",
        );
    }
    Ok(())
}

/// Whether a text begins as it must.
fn content_of(head: &[u8], address: &str, expected: Expected) -> Result<(), Error> {
    let words = match expected {
        Expected::Record(_) => formats::EXPECTED,
        Expected::List(_) => station_list::EXPECTED,
    };
    content::refuse_plain_faults(address, head, words)?;
    let is_inventory = || head.split(|byte| *byte == b'\n').next().is_some_and(inventory::looks_like_a_line);
    let good = match expected {
        Expected::Record(format) => match formats::choose(head) {
            Some(found) if found.name == format => true,
            Some(found) => return Err(wrong(address, format!("a {}", found.name), format)),
            None => false,
        },
        // A line of the inventory begins like one of the list.
        Expected::List(Content::StationList) => station_list::layout_of(head).is_some() && !is_inventory(),
        Expected::List(Content::Inventory) => is_inventory(),
        Expected::List(Content::Text) => true,
    };
    if good { Ok(()) } else { Err(content::unknown(address, head, words)) }
}

/// An archive: every member unpacks whole, and one is the record.
fn zip(packed: &[u8], address: &str, wanted: &Wanted) -> Result<(), Error> {
    let mut archive = Archive::open(address, packed, Reader::MOST_BYTES)?;
    let (mut plain, mut found) = (Vec::new(), None);
    for place in 0..archive.len() {
        let Some(member) = archive.name(place) else { continue };
        archive.read(place, u64::MAX, &mut plain).map_err(|fault| fault.of_file(&format!("{address}/{member}")))?;
        let fit = content_of(&plain[..plain.len().min(HEAD)], address, wanted.expected);
        // The texts that lie beside the record are none; what they are is told only where there is no record.
        if !matches!(found, Some(Ok(()))) {
            found = Some(fit);
        }
    }
    found.unwrap_or_else(|| Err(Error::Empty { file: address.to_owned(), expected: wanted.expected_in_words() }))
}

fn wrong(address: &str, found: String, expected: &str) -> Error {
    Error::WrongProduct { file: address.to_owned(), found, expected: expected.to_owned() }
}

/// A fault of a file as a fault of what came.
fn refused(address: &str, wanted: &Wanted, error: &Error) -> Fault {
    let found = match error {
        Error::Empty { .. } => "an empty file".to_owned(),
        Error::WebPage { begins, .. } => format!("a web page ({begins:?})"),
        Error::Packed { kind, .. } | Error::Binary { kind, .. } => (*kind).to_owned(),
        Error::Damaged { kind, why, .. } => format!("a {kind} file that is damaged or cut short ({why})"),
        Error::UnpacksTooLarge { most, .. } => {
            format!("a packed file that unpacks to more than {most} bytes, more than is believed of its size")
        }
        Error::WrongProduct { found, .. } => found.clone(),
        other => other.to_string(),
    };
    Fault::new(error.id(), address, found)
        .expected(wanted.expected_in_words())
        .advice("try again later; where it stays so, the address has moved or the server has a fault")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::download::Request;
    use flate2::{Compression, write::GzEncoder};
    use std::io::Write;

    fn look_at(wanted: &Wanted, bytes: &[u8], framed: bool) -> Result<Looked, Fault> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part");
        std::fs::write(&path, bytes).unwrap();
        look(&path, "https://example.org/file", wanted, framed)
    }

    fn of(text: &str) -> Wanted {
        let request = if text.contains(':') { Request::station(text, None) } else { Request::lists(text) };
        request.unwrap().files().remove(0)
    }

    fn gzip(text: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(text).unwrap();
        encoder.finish().unwrap()
    }

    fn zipped(members: &[(&str, &str)]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
        for (name, text) in members {
            writer.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            writer.write_all(text.as_bytes()).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    fn id(wanted: &Wanted, bytes: &[u8]) -> &'static str {
        look_at(wanted, bytes, true).unwrap_err().id
    }

    #[test]
    fn a_record_must_be_of_its_product_and_whole() {
        let dly = of("ghcn-daily:XX000000001");
        let text = testkit::DlyText::new("XX000000001").rain_mm((2001, 2, 1), 1.2).to_text();
        let looked = look_at(&dly, text.as_bytes(), true).unwrap();
        assert_eq!(looked, Looked { sha256: crate::checksum_of(text.as_bytes()), size: text.len() as u64 });
        let another = testkit::DlyText::new("XX000000002").rain_mm((2001, 2, 1), 1.2).to_text();
        assert_eq!(id(&dly, another.as_bytes()), "download-other-station");
        assert_eq!(id(&dly, b""), "file-empty");
        assert_eq!(id(&dly, b"<!DOCTYPE html><title>Not found</title>\n"), "file-is-a-web-page");
        assert_eq!(id(&dly, b"XX000000001,20010201,PRCP,12,,,0,0700\n"), "file-is-another-product");
        assert_eq!(id(&dly, &text.as_bytes()[..text.len() - 40]), "download-cut-short");
        let mut torn = text.clone().into_bytes();
        torn.splice(100..100, [0; 50]);
        assert_eq!(id(&dly, &torn), "download-not-text");
        assert_eq!(look_at(&dly, text.as_bytes(), false).unwrap_err().id, "download-length-unknown");
    }

    #[test]
    fn a_packed_record_is_unpacked_whole_within_bounds() {
        let rows = of("ghcn-daily-rows:XX000000001");
        let packed = gzip(&b"XX000000001,20010201,PRCP,12,,,0,0700\n".repeat(1000));
        // A packed file tells by itself whether it is whole.
        assert!(look_at(&rows, &packed, false).is_ok());
        assert_eq!(id(&rows, &gzip(b"XX000000002,20010201,PRCP,12,,,0,0700\n")), "download-other-station");
        assert_eq!(id(&rows, &packed[..packed.len() - 9]), "file-damaged");
        let mut altered = packed.clone();
        let crc = altered.len() - 6;
        altered[crc] ^= 1;
        assert_eq!(id(&rows, &altered), "file-damaged");
        assert_eq!(id(&rows, &gzip(&vec![b'0'; 64 << 20])), "file-unpacks-too-large");
        assert_eq!(id(&rows, &gzip(b"<html>Not found</html>")), "file-is-a-web-page");
    }

    #[test]
    fn an_archive_must_hold_the_record() {
        let gauge = of("dwd-rr:44").named("tageswerte_RR_00044_20010101_20011231_hist.zip");
        let record = (
            "produkt.txt",
            "STATIONS_ID;MESS_DATUM;QN_6;RS;RSF;SH_TAG;NSH_TAG;eor\n         44;20010101;    9;   1.2;   6;   0;   0;eor\n",
        );
        let note = ("note.txt", "Invented.\n");
        assert!(look_at(&gauge, &zipped(&[note, record]), true).is_ok());
        assert!(look_at(&gauge, &zipped(&[record, note]), true).is_ok());
        assert_eq!(id(&gauge, &zipped(&[note])), "file-is-another-product");
        assert_eq!(id(&gauge, &zipped(&[])), "file-empty");
        let whole = zipped(&[record]);
        assert_eq!(id(&gauge, &whole[..whole.len() - 8]), "file-damaged");
    }

    #[test]
    fn a_list_must_be_one() {
        let (stations, inventory) = (of("ghcn-daily"), Request::lists("ghcn-daily").unwrap().files().remove(1));
        let station = b"XXT00000001  17.1167  -61.7833   10.1    NOWHERE                                     \n";
        let entry = b"XXT00000001  17.1167  -61.7833 PRCP 1949 1966\n";
        assert!(look_at(&stations, station, true).is_ok() && look_at(&inventory, entry, true).is_ok());
        assert_eq!(id(&stations, entry), "file-is-another-product");
        assert_eq!(id(&inventory, station), "file-is-another-product");
        assert_eq!(id(&stations, &gzip(station)), "file-is-packed");
        // A list that is not read is kept as it is, but for what is no text.
        let kept = of("smhi");
        assert!(look_at(&kept, b"{\"station\": []}", true).is_ok());
        assert_eq!(id(&kept, b"<html>"), "file-is-a-web-page");
    }
}
