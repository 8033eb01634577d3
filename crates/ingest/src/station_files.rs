//! The station files of a folder.

use crate::formats::Holds;
use crate::unpack::{self, Packing};
use crate::{Error, formats};
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

/// How much of a file is looked at.
const HEAD: u64 = 64 << 10;

/// The files directly in a folder that end as a station file does or begin like one, sorted by name. Files whose name begins
/// with a dot are passed over. A file that turns out to be no data is still listed when its ending says it should be data, so
/// that its fault is told rather than the file left out in silence.
///
/// # Errors
/// [`Error::Unreadable`] when the folder cannot be read. A file in it that cannot be looked into is listed, so that its fault is told.
pub fn station_files(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let unreadable = |source| Error::Unreadable { file: folder.display().to_string(), source };
    let mut files = Vec::new();
    let mut head = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?;
        let path = entry.path();
        let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
        if hidden || !fs::metadata(&path).is_ok_and(|data| data.is_file()) {
            continue;
        }
        if formats::of_ending(&path).next().is_none() {
            head.clear();
            let looked = File::open(&path).and_then(|file| file.take(HEAD).read_to_end(&mut head));
            if looked.is_ok()
                && formats::choose(&unpack::plain_head(&head, HEAD as usize)).is_none()
                && unpack::packing(&head) != Packing::Zip
            {
                continue;
            }
        }
        files.push(path);
    }
    files.sort();
    Ok(files)
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
}
