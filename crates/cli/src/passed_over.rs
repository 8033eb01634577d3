//! What of a folder is not read, in words and for JSON.

use ingest::{NoStationFile, PassedOver};
use serde::Serialize;
use std::fmt::Write;

/// How many of a kind are named before the rest is only counted.
const NAMED: usize = 5;

/// One of them in JSON, where all stand.
#[derive(Debug, Serialize)]
pub(crate) struct Told {
    path: String,
    what: &'static str,
}

/// All of them, for JSON.
pub(crate) fn told(passed_over: &[PassedOver]) -> Vec<Told> {
    passed_over.iter().map(|one| Told { path: one.path.display().to_string(), what: what(one.what) }).collect()
}

fn what(what: NoStationFile) -> &'static str {
    match what {
        NoStationFile::Subfolder => "folder",
        NoStationFile::Known(product) => product,
        NoStationFile::Unknown => "no station file by its content",
    }
}

/// The first few of each kind by name and the number of the rest; nothing for none.
pub(crate) fn text(passed_over: &[PassedOver]) -> String {
    let mut text = String::new();
    let folders = "subfolders (only files that lie in the folder itself are read)";
    let files = "files that are no station files by their content";
    for (heading, of_folders) in [(folders, true), (files, false)] {
        let some: Vec<&PassedOver> = passed_over.iter().filter(|one| (one.what == NoStationFile::Subfolder) == of_folders).collect();
        if some.is_empty() {
            continue;
        }
        let _ = writeln!(text, "passed over: {heading}: {}", some.len());
        for one in some.iter().take(NAMED) {
            let name = one.path.file_name().unwrap_or(one.path.as_os_str()).to_string_lossy();
            match one.what {
                NoStationFile::Known(product) => writeln!(text, "  {name}: {product}"),
                _ => writeln!(text, "  {name}"),
            }
            .ok();
        }
        if some.len() > NAMED {
            let _ = writeln!(text, "  and {} more (all with --json)", some.len() - NAMED);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_few_are_named_and_the_rest_counted() {
        let one = |name: String, what| PassedOver { path: name.into(), what };
        let mut all: Vec<PassedOver> = (1..=7).map(|n| one(format!("x/note{n}.txt"), NoStationFile::Unknown)).collect();
        all.push(one("x/more".into(), NoStationFile::Subfolder));
        all[0].what = NoStationFile::Known("hourly data");
        let text = text(&all);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 2 + 1 + 5 + 1, "{text}");
        assert!(lines[1] == "  more" && lines[3] == "  note1.txt: hourly data" && lines[8].contains("and 2 more"), "{text}");
        assert_eq!(told(&all).len(), 8);
    }
}
