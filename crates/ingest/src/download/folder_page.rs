//! The names of files on an agency's page: a folder's index, a page of links, a catalogue in JSON or XML.
//!
//! No markup is read. A name is letters, digits and `. _ -`, and what else stands around it ends it: so one rule does for all kinds of page.

use std::collections::BTreeSet;

/// Most names that one pattern may have on a page: a record in a few parts has no more.
pub(crate) const MOST_NAMES: usize = 50;

/// Longest name: a system takes 255 bytes as a rule, and the files beside it have longer ones.
const LONGEST_NAME: usize = 200;

/// Whether a character may stand in a name.
fn is_of_a_name(character: char) -> bool {
    character.is_ascii_alphanumeric() || matches!(character, '.' | '_' | '-')
}

/// Whether a file of a mirror's folder is one that a page could name, and fits the pattern.
pub(crate) fn is_named(name: &str, pattern: &str) -> bool {
    name.len() <= LONGEST_NAME && name.chars().all(is_of_a_name) && fits(name, pattern)
}

/// Whether a name fits a pattern with one `*`, which stands for one character or more.
pub(crate) fn fits(name: &str, pattern: &str) -> bool {
    let Some((before, behind)) = pattern.split_once('*') else { return name == pattern };
    name.len() > before.len() + behind.len() && name.starts_with(before) && name.ends_with(behind)
}

/// The names on a page that fit the pattern, each once, by the alphabet.
pub(crate) fn names(page: &str, pattern: &str) -> Vec<String> {
    let fitting: BTreeSet<&str> = page.split(|c| !is_of_a_name(c)).filter(|name| is_named(name, pattern)).collect();
    fitting.into_iter().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_found_in_a_folder_page_and_in_a_catalogue() {
        let name = "tageswerte_RR_00044_19610101_20241231_hist.zip";
        let page = format!(
            "<a href=\"tageswerte_RR_00043_19610101_20101231_hist.zip\">x</a> 1\n<a href=\"{name}\">tageswerte_RR_00044_196..&gt;</a>\n\
             <a href=\"../{name}\">{name}</a> 12-Mar-2031"
        );
        assert_eq!(names(&page, "tageswerte_RR_00044_*_hist.zip"), [name]);
        assert!(names(&page, "tageswerte_RR_00045_*_hist.zip").is_empty());
        let long = format!("tageswerte_RR_00045_{}_hist.zip", "1".repeat(200));
        assert!(names(&long, "tageswerte_RR_00045_*_hist.zip").is_empty(), "longer than a system takes");
        let catalogue = r#"{"url":"https:\/\/x.example\/QUOT\/Q_34_previous-1950-2024_RR-T-Vent.csv.gz"},{"url":"https://x.example/Q_34_latest-2025-2026_RR-T-Vent.csv.gz"},
            {"url": "https://x.example/Q_34_latest-2025-2026_autres-parametres.csv.gz"}"#;
        let expected = ["Q_34_latest-2025-2026_RR-T-Vent.csv.gz", "Q_34_previous-1950-2024_RR-T-Vent.csv.gz"];
        assert_eq!(names(catalogue, "Q_34_*_RR-T-Vent.csv.gz"), expected);
    }

    #[test]
    fn a_pattern_needs_all_of_a_name() {
        assert!(fits("ab1cd", "ab*cd") && !fits("abcd", "ab*cd") && !fits("xab1cd", "ab*cd") && !fits("abc", "ab*bc"));
        assert!(fits("a.zip", "a.zip") && !fits("b.zip", "a.zip"));
    }
}
