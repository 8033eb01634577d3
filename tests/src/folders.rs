//! Folders: the repository, temporary places, the bytes of a tree, copies of the sample sites.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Root of the repository.
pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap()
}

/// Every file below a folder with its bytes, by path with `/`.
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    gather(folder, "", &mut found);
    found
}

fn gather(folder: &Path, prefix: &str, found: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let name = format!("{prefix}{}", entry.file_name().to_str().unwrap());
        if entry.file_type().unwrap().is_dir() {
            gather(&entry.path(), &format!("{name}/"), found);
        } else {
            found.insert(name, fs::read(entry.path()).unwrap());
        }
    }
}

/// Names in a folder, hidden ones too, in order.
pub fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A sample's site file as text, with its record folder named by its whole path so that the text can be used anywhere.
pub fn sample(name: &str) -> String {
    let samples = repository().join("sample-data");
    let text = fs::read_to_string(samples.join(name)).unwrap();
    let placed = text
        .replace("folder = \"stations\"", &format!("folder = \"{}\"", samples.join("stations").display()))
        .replace("\"ghcnd-stations.txt\"", &format!("\"{}\"", samples.join("ghcnd-stations.txt").display()));
    assert_ne!(placed, text);
    placed
}

/// A temporary folder that holds one file.
pub fn with_file(name: &str, bytes: impl AsRef<[u8]>) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(name);
    fs::write(&file, bytes).unwrap();
    (folder, file)
}

/// Path as text for an argument.
pub fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}
