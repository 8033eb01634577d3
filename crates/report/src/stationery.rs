//! What a report is written on: its templates, words, table layouts and style sheet. Shipped in `reports/`; a person or an agency
//! may lay files of their own over them, by name.
//!
//! | file | laid over |
//! |---|---|
//! | `NAME.md` | the template of that name; a new name joins the set, for `include` |
//! | `words.toml` | word by word, above those of the locale; a key that does not exist is a fault |
//! | `tables.toml` | table by table; a fact that nothing computes is a fault |
//! | `style.css` | the whole style sheet of the page; nothing may be fetched (`style_sheet`) |
//!
//! A file of somebody else's can change what stands on the page, so it is held to limits of size, number and steps, its check sum
//! is printed with the sources, and its faults never print what the site file says.

use crate::error::Error;
use crate::style_sheet;
use crate::words::Words;
use site::site_file::Locale;
use std::collections::BTreeMap;

macro_rules! parts {
    ($($name:literal),+ $(,)?) => {
        [$(($name, include_str!(concat!("../../../reports/feasibility/en/", $name)))),+]
    };
}

/// The templates of the householder's report; `report.md` includes the others.
const TEMPLATES: [(&str, &str); 17] = parts![
    "report.md",
    "answer.md",
    "site.md",
    "gauges.md",
    "record.md",
    "rain.md",
    "spells.md",
    "storage.md",
    "replay.md",
    "storms.md",
    "path.md",
    "drawings.md",
    "cautions.md",
    "desk.md",
    "assumptions.md",
    "definitions.md",
    "sources.md",
];

const STYLE: &str = include_str!("../../../reports/feasibility/style.css");
const TABLES: &str = include_str!("../../../reports/feasibility/en/tables.toml");

/// The largest file taken from a folder of one's own, in bytes: five times the largest shipped.
pub const FILE_LIMIT: usize = 128 * 1024;
/// The most files taken from such a folder.
pub const FILE_COUNT_LIMIT: usize = 64;

/// Templates, words, tables and style of a report.
#[derive(Debug, Clone)]
pub struct Stationery {
    pub(crate) templates: BTreeMap<String, String>,
    pub(crate) tables: String,
    pub(crate) own_tables: Option<String>,
    pub(crate) own_words: Option<String>,
    pub(crate) style: String,
    /// Files that are not the shipped ones.
    pub(crate) own: Vec<OwnFile>,
}

/// A file laid over the shipped ones.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct OwnFile {
    /// Its name.
    pub name: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
}

impl Stationery {
    /// As shipped.
    pub fn shipped() -> Self {
        Self {
            templates: TEMPLATES.iter().map(|(name, source)| ((*name).to_owned(), (*source).to_owned())).collect(),
            tables: TABLES.to_owned(),
            own_tables: None,
            own_words: None,
            style: STYLE.to_owned(),
            own: Vec::new(),
        }
    }

    /// The same with these files (name, bytes) laid over it.
    ///
    /// # Errors
    /// [`Error::Stationery`]: a name that no file of a report has, too many or too large, not UTF-8, a style sheet that would fetch
    /// something. What the files say is checked when the report is made.
    pub fn overlaid(mut self, files: Vec<(String, Vec<u8>)>) -> Result<Self, Error> {
        let fault = |file: &str, found: String, expected: String| Error::Stationery { file: file.to_owned(), line: None, found, expected };
        if let Some((name, _)) = files.get(FILE_COUNT_LIMIT) {
            return Err(fault(name, format!("{} files", files.len()), format!("at most {FILE_COUNT_LIMIT}")));
        }
        let shipped: Vec<(String, Vec<u8>)> =
            [Locale::EnGb, Locale::EnUs].into_iter().filter_map(|locale| Self::shipped_files(locale).ok()).flatten().collect();
        for (name, bytes) in files {
            // A copy that nobody changed changes nothing, and the page must not say that it did.
            let unchanged = shipped.iter().any(|(known, own)| *known == name && *own == bytes);
            if unchanged && name != "words.toml" {
                continue;
            }
            if bytes.len() > FILE_LIMIT {
                return Err(fault(&name, format!("{} bytes", bytes.len()), format!("at most {FILE_LIMIT} bytes")));
            }
            let sha256 = ingest::checksum_of(&bytes);
            let Ok(text) = String::from_utf8(bytes) else {
                return Err(fault(&name, "bytes that are not UTF-8".to_owned(), "UTF-8 text".to_owned()));
            };
            let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
            match name.as_str() {
                "words.toml" => self.own_words = Some(text),
                "tables.toml" => self.own_tables = Some(text),
                "style.css" => {
                    style_sheet::check(&name, &text)?;
                    self.style = text;
                }
                _ if is_template(&name) => {
                    self.templates.insert(name.clone(), text);
                }
                _ => return Err(fault(&name, "a file of that name".to_owned(), self.names())),
            }
            if !unchanged {
                self.own.push(OwnFile { name, sha256 });
            }
        }
        for OwnFile { name, .. } in &self.own {
            let shipped = TEMPLATES.iter().any(|(known, _)| known == name);
            let included = || self.templates.values().any(|source| source.contains(&format!("\"{name}\"")));
            if is_template(name) && !shipped && !included() {
                let expected = format!("the name of a shipped template, or `{{% include \"{name}\" %}}` in one; {}", self.names());
                return Err(fault(name, "a template that no other includes".to_owned(), expected));
            }
        }
        Ok(self)
    }

    /// The files that are not the shipped ones.
    pub fn own(&self) -> &[OwnFile] {
        &self.own
    }

    /// The shipped files for a person to change, as name and bytes; the words are those of the locale.
    ///
    /// # Errors
    /// When a shipped wording file is at fault.
    pub fn shipped_files(locale: Locale) -> Result<Vec<(String, Vec<u8>)>, Error> {
        let shipped = Self::shipped();
        let words = Words::load(locale, None)?.to_toml()?;
        let mut files: Vec<_> = shipped.templates.into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
        files.push(("words.toml".to_owned(), words.into_bytes()));
        files.push(("tables.toml".to_owned(), shipped.tables.into_bytes()));
        files.push(("style.css".to_owned(), shipped.style.into_bytes()));
        Ok(files)
    }

    fn names(&self) -> String {
        let templates: Vec<&str> = self.templates.keys().map(String::as_str).collect();
        format!("words.toml, tables.toml, style.css, or a template: {}, or a new name of a-z, 0-9, - and _ with .md", templates.join(", "))
    }
}

fn is_template(name: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-' || byte == b'_';
    name.strip_suffix(".md").is_some_and(|stem| !stem.is_empty() && stem.len() <= 64 && stem.bytes().all(plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laid(name: &str, text: &str) -> Result<Stationery, Error> {
        Stationery::shipped().overlaid(vec![(name.to_owned(), text.as_bytes().to_vec())])
    }

    #[test]
    fn a_file_takes_the_place_of_the_one_of_its_name_and_is_named_with_its_check_sum() {
        let own = laid("cautions.md", "\u{feff}## Ours\r\n").unwrap();
        assert_eq!(own.templates["cautions.md"], "## Ours\n");
        assert_eq!(own.own[0].name, "cautions.md");
        // FIPS 180-4, by `printf '\xef\xbb\xbf## Ours\r\n' | sha256sum`.
        assert_eq!(own.own[0].sha256, "3bac6b953f0cb5ed7f037bf7c2b8bd12cb18ed0427e01f3f0163c21b8e68a6ba");
        let included = ("report.md".to_owned(), b"# T\n\n{% include \"annex.md\" %}\n".to_vec());
        let both = vec![("annex.md".to_owned(), b"## More\n".to_vec()), included];
        assert_eq!(Stationery::shipped().overlaid(both).unwrap().templates.len(), TEMPLATES.len() + 1);
        assert!(laid("anwser.md", "## More\n").unwrap_err().to_string().contains("no other includes"));
    }

    #[test]
    fn other_names_are_refused_with_those_that_are_taken() {
        for name in ["Report.md", "../report.md", "a/report.md", ".md", "report.html", "words.tml", "report.md~", "räin.md"] {
            let error = laid(name, "x").unwrap_err().to_string();
            assert!(error.contains("answer.md") && error.contains("style.css"), "{error}");
        }
    }

    #[test]
    fn number_size_and_encoding_have_limits() {
        let many = (0..=FILE_COUNT_LIMIT).map(|at| (format!("a{at}.md"), Vec::new())).collect();
        assert!(Stationery::shipped().overlaid(many).unwrap_err().to_string().contains("at most 64"));
        let large = vec![("a.md".to_owned(), vec![b'x'; FILE_LIMIT + 1])];
        assert!(Stationery::shipped().overlaid(large).unwrap_err().to_string().contains("131073 bytes"));
        let latin = vec![("a.md".to_owned(), vec![0xe4])];
        assert!(Stationery::shipped().overlaid(latin).unwrap_err().to_string().contains("UTF-8"));
    }

    #[test]
    fn every_shipped_file_is_within_the_limits_and_may_be_laid_over_itself() {
        let files = Stationery::shipped_files(Locale::EnUs).unwrap();
        assert!(files.iter().all(|(_, bytes)| bytes.len() * 2 < FILE_LIMIT));
        // Copies that nobody changed are no change of the report's wording.
        assert!(Stationery::shipped().overlaid(files.clone()).unwrap().own.is_empty());
        let changed = files.into_iter().map(|(name, bytes)| (name, [bytes, b"\n".to_vec()].concat()));
        assert_eq!(Stationery::shipped().overlaid(changed.collect()).unwrap().own.len(), TEMPLATES.len() + 3);
    }
}
