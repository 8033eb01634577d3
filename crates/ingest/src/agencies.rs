//! The agencies: on what terms they give their records, and what can be brought from where. The table `agencies.toml`, read once.

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};
use std::sync::LazyLock;

const TABLE: &str = include_str!("agencies.toml");

/// Terms of use and attribution, in the order of the table.
pub static TERMS: LazyLock<Vec<TermsOfUse>> = LazyLock::new(|| {
    // The table is part of the program and a test reads it; a program without it would know no terms.
    toml::from_str::<TermsTable>(TABLE).map(|table| table.terms).unwrap_or_default()
});

/// Every product, in the order of the table.
pub static PRODUCTS: LazyLock<Vec<Product>> = LazyLock::new(|| {
    // As above.
    toml::from_str::<ProductTable>(TABLE).map(|table| table.product).unwrap_or_default()
});

#[derive(Deserialize)]
struct TermsTable {
    terms: Vec<TermsOfUse>,
}

#[derive(Deserialize)]
struct ProductTable {
    product: Vec<Product>,
}

/// On what terms an agency gives a kind of record, and how it is to be named.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct TermsOfUse {
    /// What the table calls them, such as `ghcn-daily`.
    pub id: String,
    /// The agency in full.
    pub agency_name: String,
    /// What it publishes on these terms, in words.
    pub name: String,
    /// The formats of it, by the names in [`FORMATS`](crate::formats::FORMATS).
    pub formats: Vec<String>,
    /// The terms, in a line.
    pub terms: String,
    /// The line that a report on these data must print.
    pub attribution: String,
    /// Where terms and attribution were read, or "from memory".
    pub read_on: String,
}

/// The terms on which files of a format are published; nothing for a person's own log, and for what is no format.
pub fn terms_of_format(format: &str) -> Option<&'static TermsOfUse> {
    TERMS.iter().find(|terms| terms.formats.iter().any(|known| known == format))
}

/// One product of an agency that can be brought: what it is called, on what terms it is given, and where its files are.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Product {
    /// How a request names it, such as `ghcn-daily`.
    pub id: String,
    /// The agency's folder in the archive, such as `ncei`.
    pub agency: String,
    /// The product in words.
    pub name: String,
    /// What its stations' identifiers look like; nothing where no single station can be brought.
    pub station: Option<StationRule>,
    /// The terms of use; the table names them by their id.
    #[serde(deserialize_with = "terms_of_id")]
    pub terms: &'static TermsOfUse,
    /// Lists of stations and inventories.
    #[serde(default)]
    pub lists: Vec<ListFile>,
    /// The files that make a station's record.
    #[serde(default)]
    pub record: Vec<RecordFile>,
}

fn terms_of_id<'a, D: Deserializer<'a>>(from: D) -> Result<&'static TermsOfUse, D::Error> {
    let id = String::deserialize(from)?;
    TERMS.iter().find(|terms| terms.id == id).ok_or_else(|| D::Error::custom(format!("found the terms {id:?}, expected the id of some")))
}

/// A list of stations, or an inventory of what they hold.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ListFile {
    /// Its place below the agency's folder.
    pub path: String,
    /// Its address.
    pub address: String,
    /// What it must be.
    pub content: Content,
    /// Whether its last line ends with a line feed.
    #[serde(default)]
    pub whole_lines: bool,
    /// Where the address was read, or "from memory".
    pub read_on: String,
}

/// A file of a station's record, with `{id}`, `{year}`, `{department}` and `*` to be filled in.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordFile {
    /// Its place below the agency's folder.
    pub path: String,
    /// Its address.
    pub address: String,
    /// The page that tells what the `*` of its name stands for.
    pub names_on: Option<String>,
    /// Its format, by the name in [`FORMATS`](crate::formats::FORMATS).
    pub format: String,
    /// Whether its last line ends with a line feed.
    #[serde(default)]
    pub whole_lines: bool,
    /// Whether each of its lines begins with the station, so that another station's file is known.
    #[serde(default)]
    pub begins_with_station: bool,
    /// Where the address was read, or "from memory".
    pub read_on: String,
}

/// What a file must be to be taken into the archive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Content {
    /// A list of stations in a layout that is read.
    StationList,
    /// The inventory of GHCN-Daily.
    Inventory,
    /// A text that is kept for people and not read here.
    Text,
}

/// What the identifiers of a product's stations look like.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StationRule {
    /// The characters.
    pub characters: Characters,
    /// Fewest characters.
    pub shortest: usize,
    /// Most characters.
    pub longest: usize,
    /// Digits that a shorter number is filled up to with zeros.
    #[serde(default)]
    pub pad: usize,
    /// How letters are written.
    #[serde(default)]
    pub case: Case,
    /// A station that there is.
    pub example: String,
}

/// The characters of an identifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Characters {
    /// 0 to 9.
    Digits,
    /// The same and a to z.
    LettersAndDigits,
}

/// How the letters of an identifier are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Case {
    /// Capitals.
    #[default]
    Upper,
    /// Small letters.
    Lower,
}

/// The product of that id.
pub fn product(id: &str) -> Option<&'static Product> {
    PRODUCTS.iter().find(|product| product.id.eq_ignore_ascii_case(id))
}

impl Product {
    /// Whether a station's record is a file a year, so that years have to be named.
    pub fn by_year(&self) -> bool {
        self.record.iter().any(|file| file.path.contains("{year}"))
    }
}

impl StationRule {
    /// An identifier as the agency's addresses write it; nothing for what can be none.
    pub fn written(&self, typed: &str) -> Option<String> {
        let allowed = |byte: u8| match self.characters {
            Characters::Digits => byte.is_ascii_digit(),
            Characters::LettersAndDigits => byte.is_ascii_alphanumeric(),
        };
        let fits = (self.shortest..=self.longest).contains(&typed.len()) && typed.bytes().all(allowed);
        let written = match self.case {
            Case::Upper => typed.to_ascii_uppercase(),
            Case::Lower => typed.to_ascii_lowercase(),
        };
        fits.then(|| format!("{written:0>width$}", width = self.pad))
    }

    /// The rule in words.
    pub fn in_words(&self) -> String {
        let characters = match self.characters {
            Characters::Digits => "digits",
            Characters::LettersAndDigits => "letters and digits",
        };
        let count =
            if self.shortest == self.longest { self.shortest.to_string() } else { format!("{} to {}", self.shortest, self.longest) };
        format!("{count} {characters}, such as {}", self.example)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::FORMATS;
    use std::collections::BTreeMap;

    #[test]
    fn the_table_is_sound() {
        let table: ProductTable = toml::from_str(TABLE).unwrap();
        assert_eq!(table.product, *PRODUCTS);
        assert!(PRODUCTS.len() > 10);
        let plain = |text: &str| text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"._-/".contains(&byte));
        let mut of_path: BTreeMap<String, &str> = BTreeMap::new();
        for product in PRODUCTS.iter() {
            assert!(plain(&product.id) && plain(&product.agency) && !product.agency.contains('/'), "{}", product.id);
            assert!(!product.lists.is_empty() || !product.record.is_empty(), "{}", product.id);
            assert_eq!(product.station.is_some(), !product.record.is_empty(), "{}", product.id);
            assert!(!product.name.is_empty() && !product.name.contains('\n'), "{}", product.id);
            let lists = product.lists.iter().map(|file| (&file.path, &file.address, &file.read_on));
            for (path, address, read_on) in lists.chain(product.record.iter().map(|file| (&file.path, &file.address, &file.read_on))) {
                assert!(address.starts_with("https://") && !read_on.is_empty(), "{address}");
                let known = ["{id}", "{year}", "{department}", "*"].iter().fold(path.clone(), |path, word| path.replace(word, "0"));
                assert!(plain(&known) && known.split('/').all(|part| !part.is_empty() && !part.starts_with('.')), "{path}");
                // Two products may share a file, but not a place for two files.
                let before = of_path.insert(format!("{}/{path}", product.agency), address);
                assert!(before.is_none_or(|before| before == address), "{path}");
            }
            for file in &product.record {
                assert_eq!(terms_of_format(&file.format), Some(product.terms), "{}", file.format);
                assert_eq!(file.names_on.is_some(), file.path.contains('*'), "{}", file.path);
                assert_eq!(file.address.contains('*'), file.path.contains('*'), "{}", file.path);
                let last = |text: &str| text.rsplit('/').next().unwrap().to_owned();
                if file.names_on.is_some() {
                    assert_eq!(last(&file.path), last(&file.address), "the name on the page is the name in the archive");
                    assert_eq!(file.path.matches('*').count(), 1, "{}", file.path);
                }
            }
            if let Some(rule) = &product.station {
                assert_eq!(rule.written(&rule.example).as_deref(), Some(rule.example.as_str()), "{}", product.id);
            }
        }
    }

    #[test]
    fn every_format_has_terms_but_a_log_of_ones_own() {
        let table: TermsTable = toml::from_str(TABLE).unwrap();
        assert_eq!(table.terms, *TERMS);
        for format in FORMATS {
            let of_it = TERMS.iter().filter(|terms| terms.formats.iter().any(|known| known == format.name)).count();
            let expected = usize::from(format.name != "gauge log");
            assert_eq!(of_it, expected, "{}", format.name);
        }
        for terms in TERMS.iter() {
            assert!(!terms.formats.is_empty(), "{}", terms.id);
            for format in &terms.formats {
                assert!(FORMATS.iter().any(|known| known.name == format), "{format}");
            }
            for text in [&terms.agency_name, &terms.name, &terms.terms, &terms.attribution, &terms.read_on] {
                assert!(!text.is_empty() && !text.contains('\n') && text.trim() == text, "{}", terms.id);
            }
        }
    }

    #[test]
    fn an_identifier_is_written_as_the_agency_does_and_nothing_else_passes() {
        let written = |id: &str, typed: &str| product(id).unwrap().station.as_ref().unwrap().written(typed);
        assert_eq!(written("ghcn-daily", "usw00094728").as_deref(), Some("USW00094728"));
        assert_eq!(written("dwd-rr", "44").as_deref(), Some("00044"));
        assert_eq!(written("meteoswiss", "BER").as_deref(), Some("ber"));
        for typed in ["", "USW0009472", "USW000947280", "../../../ab", "USW0009472/", "USW0009472é", "USW 0094728"] {
            assert_eq!(written("ghcn-daily", typed), None, "{typed:?}");
        }
        assert_eq!(written("dwd-rr", "4x"), None);
        assert!(product("GHCN-Daily").is_some() && product("nothing").is_none());
    }
}
