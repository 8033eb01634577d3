//! The station files of a folder, and what is passed over beside them.

use crate::formats::Holds;
use crate::unpack::{self, Packing};
use crate::{Error, formats};
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

/// How much of a file is looked at.
const HEAD: u64 = 64 << 10;

/// What a folder holds: files to be read, and what is passed over.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Folder {
    /// The files directly in it that end as a station file does or begin like one, sorted by name.
    pub files: Vec<PathBuf>,
    /// All else, sorted by name, but for names that begin with a dot and the archive's sidecars (`.meta.json`).
    pub passed_over: Vec<PassedOver>,
}

/// Something in a folder that is not read.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct PassedOver {
    /// Where.
    pub path: PathBuf,
    /// What it is.
    pub what: NoStationFile,
}

/// What is no station file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoStationFile {
    /// A folder: only files that lie directly in the folder given are read.
    Subfolder,
    /// A product that is known and not read, named by the agency's word for it.
    Known(&'static str),
    /// A file that no reader knows, by its content.
    Unknown,
}

/// The files directly in a folder that end as a station file or a packed one does or begin like one, sorted by name, and what is passed
/// over beside them. Files whose name begins with a dot are left alone. A file that turns out to be no data is still listed when its
/// ending says it should be data, so that its fault is told rather than the file left out in silence.
///
/// # Errors
/// [`Error::Unreadable`] when the folder cannot be read. A file in it that cannot be looked into is listed, so that its fault is told.
pub fn look_through(folder: &Path) -> Result<Folder, Error> {
    let unreadable = |source| Error::Unreadable { file: folder.display().to_string(), source };
    let mut found = Folder::default();
    let mut head = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?;
        let path = entry.path();
        let name = entry.file_name();
        let name = name.as_encoded_bytes();
        // A sidecar of the archive goes with its file.
        if name.starts_with(b".") || name.ends_with(b".meta.json") {
            continue;
        }
        match what_is_it(&path, &mut head) {
            None => found.files.push(path),
            Some(what) => found.passed_over.push(PassedOver { path, what }),
        }
    }
    found.files.sort();
    found.passed_over.sort();
    Ok(found)
}

/// The files of [`look_through`] alone.
///
/// # Errors
/// As there.
pub fn station_files(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    look_through(folder).map(|folder| folder.files)
}

/// Why a file is none to be read; nothing for one that is.
fn what_is_it(path: &Path, head: &mut Vec<u8>) -> Option<NoStationFile> {
    match fs::metadata(path) {
        Ok(data) if data.is_dir() => return Some(NoStationFile::Subfolder),
        // A pipe or a device in a folder is nobody's record, and to open it may wait for ever. Of a link to nothing the fault is told.
        Ok(data) if !data.is_file() => return Some(NoStationFile::Unknown),
        _ => {}
    }
    if formats::of_ending(path).next().is_some() {
        return None;
    }
    head.clear();
    File::open(path).and_then(|file| file.take(HEAD).read_to_end(head)).ok()?;
    let plain = unpack::plain_head(head, HEAD as usize);
    if formats::choose(&plain).is_some() {
        return None;
    }
    // What a packed file holds is seen by its head, unless it is an archive or damaged.
    let ending = path.extension().map(OsStr::to_ascii_lowercase).unwrap_or_default();
    let damaged = match unpack::packing(head) {
        Packing::Zip => true,
        Packing::Gzip => plain.is_empty(),
        Packing::Plain => ending == "zip" || ending == "gz",
    };
    match formats::look_alike(&plain) {
        _ if damaged => None,
        Some(product) => Some(NoStationFile::Known(product)),
        None => Some(NoStationFile::Unknown),
    }
}

/// Whether a file is of a format whose files each hold a part of a station's record, by its first bytes, of an archive by those of its first
/// member; a file that cannot be looked into is none.
pub fn holds_parts(path: &Path) -> bool {
    // Of an archive with a hundred thousand files that end so, none has to be opened for this.
    let mut of_ending = formats::of_ending(path).peekable();
    if of_ending.peek().is_some() && of_ending.all(|format| format.holds == Holds::WholeRecords) {
        return false;
    }
    let mut head = Vec::new();
    if File::open(path).and_then(|file| file.take(HEAD).read_to_end(&mut head)).is_err() {
        return false;
    }
    let plain = match unpack::packing(&head) {
        Packing::Zip => unpack::first_member_head(&head, HEAD as usize).unwrap_or_default().into(),
        _ => unpack::plain_head(&head, HEAD as usize),
    };
    formats::choose(&plain).is_some_and(|format| format.holds == Holds::PartsOfRecords)
}

#[cfg(test)]
mod tests {
    use super::*;
    use testkit::DlyText;

    #[test]
    fn parts_of_records_are_known_packed_or_not() {
        use std::io::Write;
        let folder = tempfile::tempdir().unwrap();
        let part = "\"STATION\",\"DATE\",\"TEMP\",\"DEWP\",\"MAX\",\"MIN\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"FRSHTT\"\n\"00000099999\",\"2001-01-01\",\"1\",\"1\",\"1\",\"1\",\"0.10\",\"G\",\"0\"\n";
        let whole = DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).to_text();
        let held = |name: &str, bytes: &[u8]| {
            let path = folder.path().join(name);
            fs::write(&path, bytes).unwrap();
            holds_parts(&path)
        };
        let zipped = |method, text: &str| {
            let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
            writer.start_file("member.csv", zip::write::SimpleFileOptions::default().compression_method(method)).unwrap();
            writer.write_all(text.as_bytes()).unwrap();
            writer.finish().unwrap().into_inner()
        };
        assert!(held("a.csv", part.as_bytes()) && held("a.txt", part.as_bytes()));
        assert!(!held("b.dly", whole.as_bytes()) && !held("b.txt", whole.as_bytes()));
        for method in [zip::CompressionMethod::Stored, zip::CompressionMethod::Deflated] {
            assert!(held("a.zip", &zipped(method, part)) && !held("b.zip", &zipped(method, &whole)));
        }
        assert!(!held("cut.zip", b"PK\x03\x04\x14") && !holds_parts(&folder.path().join("none")));
    }

    #[test]
    fn a_folder_gives_its_station_files_by_name() {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
        let station = DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).to_text();
        write("b.DLY", &station);
        write("a.dly", "<html>");
        write("by-content.txt", &station);
        write("README.txt", "Invented records.\n");
        write("ghcnd-stations.txt", "XXT00000001  17.1167  -61.7833   10.1    NOWHERE                                     \n");
        write(".hidden.dly", &station);
        fs::create_dir(folder.path().join("folder.dly")).unwrap();
        let names: Vec<_> =
            station_files(folder.path()).unwrap().iter().map(|p| p.file_name().unwrap().to_string_lossy().into_owned()).collect();
        assert_eq!(names, ["a.dly", "b.DLY", "by-content.txt"]);
        let error = station_files(&folder.path().join("none")).unwrap_err();
        assert!(error.file().ends_with("none") && error.id() == "file-unreadable");
    }

    #[test]
    fn what_is_passed_over_is_named_and_a_broken_archive_is_read_for_its_fault() {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, bytes: &[u8]| fs::write(folder.path().join(name), bytes).unwrap();
        write("broken.zip", b"foobar\n");
        write("broken.gz", b"foobar\n");
        write("cut.gz", &[0x1f, 0x8b, 8]);
        write("notes.txt", b"Invented records.\n");
        write(
            "hourly.txt",
            b"Station Name: VALLEY\ndate: - Date and Time (utc)\n\ndate,ind,rain,ind,temp\n01-jan-1986 01:00,0,0.1,0,5.0\n",
        );
        write(".hidden", b"x");
        fs::create_dir(folder.path().join("more")).unwrap();
        let found = look_through(folder.path()).unwrap();
        let name = |path: &Path| path.file_name().unwrap().to_string_lossy().into_owned();
        assert_eq!(found.files.iter().map(|path| name(path)).collect::<Vec<_>>(), ["broken.gz", "broken.zip", "cut.gz"]);
        let passed: Vec<_> = found.passed_over.iter().map(|one| (name(&one.path), one.what)).collect();
        let hourly = NoStationFile::Known("hourly data of Met Eireann");
        let expected = [("hourly.txt", hourly), ("more", NoStationFile::Subfolder), ("notes.txt", NoStationFile::Unknown)];
        assert_eq!(passed, expected.map(|(name, what)| (name.to_owned(), what)));
    }
}
