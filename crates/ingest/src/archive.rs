//! Zip archives of station files: each member that is a station file is read; the texts beside it go with it.
//!
//! What an archive costs is bounded whatever stands in it: it has at most [`unpack::MOST_MEMBERS`] members; their heads, by which they are
//! known, have at most [`unpack::MOST_HEAD_BYTES`] together; all that is read whole at most 250 times the packed bytes and 1 GiB; the
//! texts beside the station files are kept up to 16 MiB and gone through once.

use crate::formats::{self, Companion, Companions, Format, Input};
use crate::unpack::{self, Archive};
use crate::{Error, FileSummary, Reader, Sink, Wanted, content, reader};
use series::{Diagnostic, Diagnostics, Severity};

/// Bytes of a text that another product is known by.
const HEAD: usize = 1 << 16;
/// Most bytes of texts that are kept beside the station files, and what each counts beside its bytes.
const MOST_COMPANION_BYTES: usize = 16 << 20;
const COMPANION_BYTES: usize = 256;

/// Read all stations of an archive into the sink.
pub(crate) fn read(
    name: &str,
    packed: &[u8],
    sha256: &str,
    plain: &mut Vec<u8>,
    wanted: Wanted,
    sink: &mut dyn Sink,
) -> Result<FileSummary, Error> {
    let mut archive = Archive::open(name, packed, Reader::MOST_BYTES)?;
    let mut faults = Faults::default();
    let members = known_members(name, &mut archive, &mut faults);
    // .xlsx holds a list of its parts (ECMA-376 part 2 section 7.2.3.1), .ods its kind (OpenDocument 1.2 part 3 section 3.3).
    if members.iter().any(|(_, member, _)| matches!(member.as_str(), "[Content_Types].xml" | "mimetype")) {
        return Err(Error::Binary { file: name.to_owned(), kind: content::WORKBOOK, expected: formats::EXPECTED.to_owned() });
    }
    // Beside files of an agency a table that would pass for somebody's own log is a text like the others.
    let of_an_agency = members.iter().any(|(.., format)| format.is_some_and(|format| !formats::is_own_log(format)));
    let (mut data, mut texts, mut kept, mut left_out) = (Vec::new(), Vec::new(), 0, 0);
    for (place, member, format) in members {
        if format.is_some_and(|format| !of_an_agency || !formats::is_own_log(format)) {
            data.push((place, format!("{name}/{member}")));
        } else if kept < MOST_COMPANION_BYTES {
            match archive.read(place, plain) {
                Ok(()) => {
                    kept += plain.len() + COMPANION_BYTES;
                    texts.push(Companion { name: member, bytes: plain.clone() });
                }
                Err(fault) => faults.add(fault.of_file(&format!("{name}/{member}"))),
            }
        } else {
            left_out += 1;
        }
    }
    let companions = Companions::new(texts);
    let mut whole = FileSummary { format: "zip archive", stations: 0, diagnostics: Diagnostics::default() };
    let mut read_any = false;
    for (place, member) in data {
        let read = archive.read(place, plain).map_err(|fault| fault.of_file(&member)).and_then(|()| {
            let input = Input { name: &member, bytes: plain, sha256, companions: &companions };
            reader::read_text(input, wanted, sink)
        });
        match read {
            Ok(part) => {
                read_any = true;
                whole.format = part.format;
                whole.stations += part.stations;
                whole.diagnostics.extend(part.diagnostics);
            }
            Err(fault) => faults.add(fault),
        }
    }
    // A member that cannot be read costs only itself, unless none can be read.
    if !read_any {
        return Err(faults.first.unwrap_or_else(|| nothing_in_it(name, companions.texts())));
    }
    whole.diagnostics.extend(faults.told);
    if left_out > 0 {
        let message = format!("found {left_out} more texts beside the station files than are kept (16 MiB of them)");
        whole.diagnostics.push(
            Diagnostic::new("texts-left-out", Severity::Note, message).in_file(name).done("What they say of the stations is not read."),
        );
    }
    Ok(whole)
}

/// The members that can be read, with the format that each is known to have by its head.
fn known_members(name: &str, archive: &mut Archive<'_>, faults: &mut Faults) -> Vec<(usize, String, Option<&'static Format>)> {
    let head_bytes = unpack::head_bytes(archive.len());
    let mut members = Vec::new();
    for place in 0..archive.len() {
        let Some(member) = archive.name(place) else { continue };
        match archive.head(place, head_bytes) {
            Ok(head) => members.push((place, member, formats::choose(&head))),
            Err(fault) => faults.add(fault.of_file(&format!("{name}/{member}"))),
        }
    }
    members
}

/// What could not be read: the first fault whole, and all as findings.
#[derive(Default)]
struct Faults {
    first: Option<Error>,
    told: Diagnostics,
}

impl Faults {
    fn add(&mut self, fault: Error) {
        self.told.push(fault.diagnostic());
        self.first.get_or_insert(fault);
    }
}

/// Why no member could be read: what the first of them is.
fn nothing_in_it(name: &str, members: &[Companion]) -> Error {
    let expected = formats::EXPECTED;
    // A known product says more than a note that lies before it.
    let known = members.iter().find(|member| formats::look_alike(&member.bytes[..member.bytes.len().min(HEAD)]).is_some());
    let Some(first) = known.or(members.first()) else {
        return Error::Empty { file: name.to_owned(), expected: format!("a zip archive with {expected}") };
    };
    let inside = format!("{name}/{}", first.name);
    match content::refuse_plain_faults(&inside, &first.bytes, expected) {
        Err(fault) => fault,
        Ok(()) => content::unknown(&inside, &first.bytes, expected),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Cursor, Write};
    use zip::write::SimpleFileOptions;

    fn zipped(members: &[(&str, &str)]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in members {
            writer.start_file(*name, SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored)).unwrap();
            writer.write_all(text.as_bytes()).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    #[test]
    fn each_station_file_of_an_archive_is_read() {
        let station = |id: &str| testkit::DlyText::new(id).rain_mm((2001, 2, 1), 1.2).to_text();
        let (one, other) = (station("XXT00000001"), station("XXT00000002"));
        let bytes = zipped(&[("note.txt", "Invented records.\n"), ("a/one.dly", &one), ("two.dly", &other)]);
        let mut records = Vec::new();
        let summary = crate::read_bytes("all.zip", &bytes, Wanted::default(), &mut records).unwrap();
        assert_eq!((summary.stations, records.len()), (2, 2));
        assert_eq!(records[0].rain.provenance.file(), "all.zip/a/one.dly");
        assert_eq!(records[0].rain.provenance.sha256(), crate::checksum_of(&bytes));
    }

    #[test]
    fn a_workbook_is_told() {
        for first in ["[Content_Types].xml", "mimetype"] {
            let bytes = zipped(&[(first, "<?xml version=\"1.0\"?><Types/>"), ("xl/sheet1.xml", "<worksheet/>")]);
            let error = crate::read_bytes("rain.xlsx", &bytes, Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.id() == "file-is-binary" && error.to_string().contains("save the sheet"), "{error}");
        }
    }

    #[test]
    fn an_own_log_is_read_from_an_archive_and_gives_way_to_station_files() {
        let log = ("log.csv", "date,rain (mm)\n2024-03-01,5\n");
        let read = |bytes: &[u8]| {
            let mut records = Vec::new();
            crate::read_bytes("all.zip", bytes, Wanted::default(), &mut records).map(|summary| (summary.stations, summary.format))
        };
        assert_eq!(read(&zipped(&[log])).unwrap(), (1, "gauge log"));
        let station = testkit::DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).to_text();
        assert_eq!(read(&zipped(&[log, ("one.dly", &station)])).unwrap(), (1, "GHCN-Daily station file"));
        let error = read(&zipped(&[("log.csv", "date,rain\n2024-03-01,5\n")])).unwrap_err();
        assert_eq!((error.id(), error.file()), ("file-leaves-a-question", "all.zip/log.csv"));
    }

    #[test]
    fn an_archive_without_a_station_file_says_what_it_holds() {
        let id = |bytes: &[u8]| crate::read_bytes("x.zip", bytes, Wanted::default(), &mut Vec::new()).unwrap_err();
        assert_eq!(id(&zipped(&[])).id(), "file-empty");
        let page = id(&zipped(&[("page.html", "<html>")]));
        assert_eq!((page.id(), page.file()), ("file-is-a-web-page", "x.zip/page.html"));
        assert_eq!(id(&zipped(&[("note.txt", "Invented records.\n")])).id(), "file-is-another-product");
        let whole = zipped(&[("note.txt", "Invented records.\n")]);
        assert_eq!(id(&whole[..whole.len() - 8]).id(), "file-damaged");
    }

    #[test]
    fn an_archive_of_very_many_members_is_refused_or_read_in_bounds() {
        // The limit is ours (unpack::MOST_MEMBERS); an archive of one member more is not opened.
        let station = testkit::DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).to_text();
        let with = |others: usize| {
            let names: Vec<String> = (0..others).map(|member| member.to_string()).collect();
            let members: Vec<(&str, &str)> =
                names.iter().map(|name| (name.as_str(), "Invented.\n")).chain([("a.dly", station.as_str())]).collect();
            zipped(&members)
        };
        let error = crate::read_bytes("x.zip", &with(unpack::MOST_MEMBERS), Wanted::default(), &mut Vec::new()).unwrap_err();
        assert!(error.id() == "file-is-another-product" && error.to_string().contains("more than 100000 members"), "{error}");
        let mut records: Vec<crate::StationRecord> = Vec::new();
        let summary = crate::read_bytes("x.zip", &with(unpack::MOST_MEMBERS - 1), Wanted::default(), &mut records).unwrap();
        assert_eq!(records.len(), 1);
        // 16 MiB at ten bytes and what each counts beside: 16,777,216 / 266 = 63,072.2, so 63,073 are kept.
        let told = &summary.diagnostics.list[0];
        assert_eq!((told.id, summary.diagnostics.total()), ("texts-left-out", 1));
        assert!(told.message.contains(&(99_999 - 63_073).to_string()), "{}", told.message);
    }

    #[test]
    fn a_damaged_member_costs_only_itself() {
        let station = |id: &str| testkit::DlyText::new(id).rain_mm((2001, 2, 1), 1.2).to_text();
        let (one, other) = (station("XXT00000001"), station("XXT00000002"));
        let whole = zipped(&[("note.txt", "Invented records.\n"), ("one.dly", &one), ("two.dly", &other)]);
        for spoilt in ["Invented records.", "XXT00000002"] {
            let mut bytes = whole.clone();
            let at = memchr::memmem::find(&bytes, spoilt.as_bytes()).unwrap();
            bytes[at + 1] ^= 1;
            let mut records: Vec<crate::StationRecord> = Vec::new();
            let summary = crate::read_bytes("all.zip", &bytes, Wanted::default(), &mut records).unwrap();
            assert_eq!(records[0].rain.station.id, "XXT00000001");
            assert_eq!((summary.diagnostics.count("file-damaged"), records.len()), (1, if spoilt.starts_with('I') { 2 } else { 1 }));
        }
    }
}
