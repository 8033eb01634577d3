//! A file that is named and not there: who names it, where it was looked for, and what is near by name.

use series::{Diagnostic, Severity};
use std::path::Path;

/// Least likeness of two names, from 0 to 1, that makes one a suggestion (our choice): a third of the letters may differ.
const LIKE: f64 = 0.65;

/// The finding `file-unreadable` for what the site file names as `what` ("record file", "record folder", "station list") when nothing
/// is there; nothing when something is.
pub(crate) fn finding(site_file: &str, what: &str, named: &str, path: &Path) -> Option<Diagnostic> {
    if !is_missing(path) {
        return None;
    }
    let folder = folder_of(path);
    let place = if folder.is_dir() {
        format!("the folder {} has none of that name", folder.display())
    } else {
        format!("the folder {} is not there", folder.display())
    };
    let found = Diagnostic::new(
        "file-unreadable",
        Severity::Error,
        format!("the site file {site_file} names the {what} {named:?}, which is not there: {place}"),
    )
    .in_file(path.display().to_string())
    .done("Nothing of it was read.");
    Some(match near(folder, path) {
        Some(near) => found.note(near_in_words(&near)),
        None => found,
    })
}

/// What helps with a file that was named on the command line and is not there; nothing for one that is.
pub(crate) fn notes(path: &Path) -> Vec<String> {
    let folder = folder_of(path);
    match is_missing(path) {
        true if folder.is_dir() => near(folder, path).map(|near| near_in_words(&near)).into_iter().collect(),
        true => vec![format!("the folder {} is not there", folder.display())],
        false => Vec::new(),
    }
}

fn is_missing(path: &Path) -> bool {
    std::fs::metadata(path).is_err_and(|error| error.kind() == std::io::ErrorKind::NotFound)
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn near_in_words(name: &str) -> String {
    format!("the nearest name in that folder is {name:?}")
}

/// The name in the folder that is most like the path's own; of equals the first in the alphabet.
fn near(folder: &Path, path: &Path) -> Option<String> {
    let wanted = path.file_name()?.to_string_lossy().to_lowercase();
    let names = std::fs::read_dir(folder).ok()?.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let likeness = |name: &str| strsim::normalized_damerau_levenshtein(&wanted, &name.to_lowercase());
    let near = names.map(|name| (likeness(&name), name)).filter(|(like, _)| *like >= LIKE);
    near.max_by(|(a, first), (b, second)| a.total_cmp(b).then_with(|| second.cmp(first))).map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn the_site_file_the_folder_and_a_near_name_are_told() {
        let place = tempfile::tempdir().unwrap();
        for name in ["XX0INVENT01.dly", "XX0INVENT02.dly", "README.txt"] {
            fs::write(place.path().join(name), "x").unwrap();
        }
        let of = |named: &str| finding("site.toml", "record file", named, &place.path().join(named));
        assert_eq!(of("XX0INVENT01.dly"), None);
        let found = of("xx0invnet02.dly").unwrap();
        assert!(found.message.contains("site.toml") && found.message.contains("xx0invnet02.dly"), "{found:?}");
        assert!(found.message.contains(&place.path().display().to_string()), "{found:?}");
        assert_eq!(found.notes, ["the nearest name in that folder is \"XX0INVENT02.dly\""]);
        assert!(of("somewhere-else.csv").unwrap().notes.is_empty());
        assert!(of("no-folder/a.dly").unwrap().message.contains("is not there"));
    }
}
