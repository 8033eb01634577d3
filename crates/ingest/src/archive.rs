//! Zip archives of station files: each member that is a station file is read; the texts beside it go with it.
//!
//! What an archive costs is bounded whatever stands in it: it has at most [`unpack::MOST_MEMBERS`] members; their heads, by which they are
//! known, have at most [`unpack::MOST_HEAD_BYTES`] together; all that is taken to read members whole has at most 250 times the packed bytes and
//! 1 GiB, what was taken of members that fail included; members that lie over one another are refused; the texts beside the station
//! files are kept up to 16 MiB and gone through once.
//!
//! No member vanishes: one that cannot be read is a finding of its own, and one that is neither a station file nor a known text beside such
//! files is told by its name.

use crate::formats::{self, Companion, Companions, Format, Input};
use crate::unpack::{self, Archive};
use crate::{Error, FileSummary, Reader, Sink, Wanted, content, reader};
use series::{Diagnostic, Diagnostics, Severity};

/// Bytes of a text that another product is known by.
const HEAD: usize = 1 << 16;
/// Most bytes of texts that are kept beside the station files, and what each counts beside its bytes.
const MOST_COMPANION_BYTES: usize = 16 << 20;
const COMPANION_BYTES: usize = 256;

/// Names of members that are listed in a finding.
const LISTED: usize = 5;

/// A member whose head could be read.
struct Member {
    place: usize,
    name: String,
    format: Option<&'static Format>,
    /// What it is where it is none of the texts that come with station files.
    kind: Option<&'static str>,
}

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
    if members.iter().any(|member| matches!(member.name.as_str(), "[Content_Types].xml" | "mimetype")) {
        return Err(Error::Binary { file: name.to_owned(), kind: content::WORKBOOK, expected: formats::EXPECTED.to_owned() });
    }
    // Beside files of an agency a table that would pass for somebody's own log is a text like the others.
    let of_an_agency = members.iter().any(|member| member.format.is_some_and(|format| !formats::is_own_log(format)));
    let (mut data, mut texts, mut unread, mut kept, mut left_out) = (Vec::new(), Vec::new(), Vec::new(), 0, 0);
    for Member { place, name: member, format, kind } in members {
        if format.is_some_and(|format| !of_an_agency || !formats::is_own_log(format)) {
            data.push((place, format!("{name}/{member}")));
            continue;
        }
        if let Some(kind) = format.map(|_| "a gauge log").or(kind) {
            unread.push((member.clone(), kind));
        }
        if kept >= MOST_COMPANION_BYTES {
            left_out += 1;
            continue;
        }
        match archive.read(place, (MOST_COMPANION_BYTES - kept) as u64, plain) {
            Ok(()) => {
                kept += plain.len() + COMPANION_BYTES;
                texts.push(Companion { name: member, bytes: plain.clone() });
            }
            Err(Error::UnpacksTooLarge { .. }) if !archive.is_used_up() => left_out += 1,
            Err(fault) => faults.add(fault.of_file(&format!("{name}/{member}"))),
        }
    }
    let companions = Companions::new(texts);
    let mut whole = FileSummary { format: "zip archive", stations: 0, diagnostics: Diagnostics::default() };
    let mut read_any = false;
    for (place, member) in data {
        let read = archive.read(place, u64::MAX, plain).map_err(|fault| fault.of_file(&member)).and_then(|()| {
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
        return Err(faults.first.unwrap_or_else(|| nothing_in_it(name, companions.texts(), &unread)));
    }
    whole.diagnostics.extend(faults.told);
    tell_unread(name, &unread, &mut whole.diagnostics);
    if left_out > 0 {
        let message = format!("found {left_out} more texts beside the station files than are kept (16 MiB of them)");
        whole.diagnostics.push(
            Diagnostic::new("texts-left-out", Severity::Note, message).in_file(name).done("What they say of the stations is not read."),
        );
    }
    Ok(whole)
}

/// The members that can be looked into, with the format that each is known to have by its head.
fn known_members(name: &str, archive: &mut Archive<'_>, faults: &mut Faults) -> Vec<Member> {
    let head_bytes = unpack::head_bytes(archive.len());
    let mut members = Vec::new();
    for place in 0..archive.len() {
        let Some(member) = archive.name(place) else { continue };
        match archive.head(place, head_bytes) {
            Ok(head) => {
                let format = formats::choose(&head);
                let kind = if format.is_some() || goes_with_station_files(&member, &head) { None } else { Some(content::kind(&head)) };
                members.push(Member { place, name: member, format, kind });
            }
            Err(fault) => faults.add(fault.of_file(&format!("{name}/{member}"))),
        }
    }
    members
}

/// Whether a member is one of the texts that agencies put beside their station files: a list of stations by its content, and by their names the
/// metadata of the Deutscher Wetterdienst (as text and as pages), the notes of the Bureau of Meteorology and the tables of ECA&D. What a
/// Macintosh adds to each file of an archive stands under `__MACOSX` (from memory).
fn goes_with_station_files(member: &str, head: &[u8]) -> bool {
    let file = member.rsplit('/').next().unwrap_or(member);
    let known = file.starts_with("Metadaten_")
        || file.ends_with("_Note.txt")
        || matches!(file, "stations.txt" | "sources.txt" | "elements.txt" | "metadata.txt")
        || member.starts_with("__MACOSX/");
    known
        || crate::station_list::layout_of(head).is_some()
        || crate::inventory::looks_like_a_line(content::first_lines(head, 1).trim_ascii_end())
}

/// The members that are not read, by name: a warning where one may hold records, a note where all are running text.
fn tell_unread(name: &str, unread: &[(String, &'static str)], diagnostics: &mut Diagnostics) {
    if unread.is_empty() {
        return;
    }
    let harmless = |kind: &str| kind == content::NO_LAYOUT || kind == content::EMPTY;
    // What may hold records is named first.
    let (texts, others): (Vec<_>, Vec<_>) = unread.iter().partition(|(_, kind)| harmless(kind));
    let severity = if others.is_empty() { Severity::Note } else { Severity::Warning };
    let listed: Vec<_> = others.into_iter().chain(texts).take(LISTED).map(|(member, kind)| format!("{member} ({kind})")).collect();
    let more = unread.len() - listed.len();
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    let message = format!(
        "found {} members that are no station files: {}{rest}; expected station files and what is told of their stations",
        unread.len(),
        listed.join(", ")
    );
    let finding = Diagnostic::new("members-not-read", severity, message).in_file(name);
    diagnostics.push(finding.done("No rain is read from them; unpack what holds records, and read it by itself."));
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
fn nothing_in_it(name: &str, members: &[Companion], unread: &[(String, &'static str)]) -> Error {
    let expected = formats::EXPECTED;
    // A known product says more than a note that lies before it.
    let known = members.iter().find(|member| formats::look_alike(&member.bytes[..member.bytes.len().min(HEAD)]).is_some());
    let Some(first) = known.or(members.first()) else {
        // A text that is too long to be kept is known by its head.
        return match unread.first() {
            Some((member, kind)) => {
                Error::WrongProduct { file: format!("{name}/{member}"), found: (*kind).to_owned(), expected: expected.to_owned() }
            }
            None => Error::Empty { file: name.to_owned(), expected: format!("a zip archive with {expected}") },
        };
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

    fn zipped<T: AsRef<[u8]>>(members: &[(&str, T)]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, text) in members {
            writer.start_file(*name, SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored)).unwrap();
            writer.write_all(text.as_ref()).unwrap();
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
        assert_eq!(id(&zipped::<&str>(&[])).id(), "file-empty");
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
        // 16 MiB at ten bytes and what each counts beside: 16,777,216 / 266 = 63,072.2, so 63,073 are kept; of the last of them 266 x 63,072 =
        // 16,777,152 bytes are taken already, so that its ten find room.
        let told = |id: &str| summary.diagnostics.list.iter().find(|told| told.id == id).unwrap().message.clone();
        assert_eq!(summary.diagnostics.total(), 2);
        assert!(told("texts-left-out").contains(&(99_999 - 63_073).to_string()), "{}", told("texts-left-out"));
        assert!(
            told("members-not-read").contains("0 (text of no known layout), 1 (text of no known layout), 2 ("),
            "{}",
            told("members-not-read")
        );
        assert!(told("members-not-read").contains("and 99994 more"), "{}", told("members-not-read"));
    }

    #[test]
    fn a_member_that_is_no_station_file_is_told_by_name() {
        let station = testkit::DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).to_text();
        let list = "XXT00000001  17.1167  -61.7833   10.1    NOWHERE                                     \n";
        let told = |others: &[(&str, &[u8])]| {
            let members: Vec<_> = others.iter().copied().chain([("one.dly", station.as_bytes())]).collect();
            let mut records: Vec<crate::StationRecord> = Vec::new();
            let summary = crate::read_bytes("all.zip", &zipped(&members), Wanted::default(), &mut records).unwrap();
            assert!(records.len() == 1 && !summary.is_in_part());
            summary.diagnostics.list
        };
        let found = told(&[
            ("readme.txt", b"Invented records.\n"),
            ("two.dly.gz", b"\x1F\x8B\x08"),
            ("page.html", b"<html>"),
            ("inner.zip", b"PK\x03\x04"),
            ("log.csv", b"date,rain (mm)\n2024-03-01,5\n"),
            ("empty.txt", b""),
            ("Metadaten_Geraete_1.html", b"<html>"),
            ("x/stations-of-all.txt", list.as_bytes()),
        ]);
        assert_eq!((found.len(), found[0].id, found[0].severity), (1, "members-not-read", Severity::Warning));
        for part in [
            "found 6 members",
            "two.dly.gz (a gzip file)",
            "page.html (a web page)",
            "inner.zip (a zip archive)",
            "log.csv (a gauge log)",
            "and 1 more",
        ] {
            assert!(found[0].message.contains(part), "{part}: {}", found[0].message);
        }
        let notes = told(&[("readme.txt", b"Invented records.\n")]);
        assert_eq!((notes[0].id, notes[0].severity), ("members-not-read", Severity::Note));
        assert!(told(&[("stations.txt", list.as_bytes())]).is_empty());
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
            assert!(summary.is_in_part());
            assert_eq!((summary.diagnostics.count("file-damaged"), records.len()), (1, if spoilt.starts_with('I') { 2 } else { 1 }));
        }
    }
}
