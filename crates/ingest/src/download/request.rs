//! What is asked for: a station of a product, written `PRODUCT:STATION`, or a product's lists; and the files that this means.

use crate::agencies::{Content, PRODUCTS, Product, RecordFile, product};
use std::ops::RangeInclusive;

/// What stands for a year in a path.
pub(crate) const YEAR: &str = "{year}";

/// A station's record, or the lists of a product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// The product.
    pub product: &'static Product,
    /// The station, as the agency writes it; nothing for the product's lists.
    pub station: Option<String>,
    /// The years, for a product that keeps a file a year.
    pub years: Option<RangeInclusive<u16>>,
    /// Of a product's lists, only the list of stations that is read.
    pub station_list_alone: bool,
}

/// A file that a request means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// The product.
    pub product: &'static Product,
    /// The station, where it is a record.
    pub station: Option<String>,
    /// The place in the archive: the agency's folder, then the path below it. A `*` in its name is still to be filled in.
    pub path: String,
    /// The agency's address of it.
    pub address: String,
    /// The page that tells what the `*` stands for.
    pub names_on: Option<String>,
    pub(crate) expected: Expected,
    /// Whether the last line ends with a line feed.
    pub(crate) whole_lines: bool,
    /// Whether each line begins with the station.
    pub(crate) begins_with_station: bool,
}

/// What a file must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Expected {
    /// A list.
    List(Content),
    /// A record in the format of that name.
    Record(&'static str),
}

impl Request {
    /// Reads `PRODUCT:STATION`. `years` are needed for a product that keeps a file a year, and mean nothing for the others.
    ///
    /// # Errors
    /// A sentence that says what was found and what was expected.
    pub fn station(text: &str, years: Option<RangeInclusive<u16>>) -> Result<Self, String> {
        let request = Self::kept(text)?;
        let product = request.product;
        let years = if product.by_year() { years } else { None };
        if product.by_year() && years.is_none() {
            return Err(format!("{} keeps a file a year: name the years, such as --years 1991-2020", product.id));
        }
        Ok(Self { years, ..request })
    }

    /// Reads `PRODUCT:STATION` as what the archive has of it, of whatever years.
    ///
    /// # Errors
    /// A sentence that says what was found and what was expected.
    pub fn kept(text: &str) -> Result<Self, String> {
        let Some((name, station)) = text.split_once(':') else {
            return Err(format!("found {text:?}, expected PRODUCT:STATION, such as ghcn-daily:USW00094728; the products are {}", ids()));
        };
        let product = known(name)?;
        let Some(rule) = &product.station else {
            return Err(format!("no single station of {} can be brought; its lists can (--lists {})", product.id, product.id));
        };
        let Some(written) = rule.written(station) else {
            return Err(format!("found the station {station:?} of {}, expected {}", product.id, rule.in_words()));
        };
        Ok(Self { product, station: Some(written), years: None, station_list_alone: false })
    }

    /// The lists of a product.
    ///
    /// # Errors
    /// A sentence that says what was found and what was expected.
    pub fn lists(name: &str) -> Result<Self, String> {
        let product = known(name)?;
        if product.lists.is_empty() {
            return Err(format!("no list of the stations of {} is known that can be brought", product.id));
        }
        Ok(Self { product, station: None, years: None, station_list_alone: false })
    }

    /// The list of a product's stations, where one is read: what a site file's `station_list` means.
    ///
    /// # Errors
    /// A sentence that says what was found and what was expected.
    pub fn station_list(name: &str) -> Result<Self, String> {
        let product = known(name)?;
        if !product.lists.iter().any(|file| file.content == Content::StationList) {
            return Err(format!(
                "found {} as station list, of which no list of stations is read; expected another product, or a file",
                product.id
            ));
        }
        Ok(Self { product, station: None, years: None, station_list_alone: true })
    }

    /// The files that this means, in the order of the table and of the years.
    pub fn files(&self) -> Vec<Wanted> {
        let Some(station) = &self.station else {
            let lists = self.product.lists.iter().filter(|file| !self.station_list_alone || file.content == Content::StationList);
            return lists
                .map(|file| Wanted {
                    product: self.product,
                    station: None,
                    path: format!("{}/{}", self.product.agency, file.path),
                    address: file.address.clone(),
                    names_on: None,
                    expected: Expected::List(file.content),
                    whole_lines: file.whole_lines,
                    begins_with_station: false,
                })
                .collect();
        };
        let record = self.product.record.iter().map(|file| self.record_file(file, station));
        record
            .flat_map(|file| match &self.years {
                Some(years) if file.path.contains(YEAR) => years.clone().map(|year| file.of_year(year)).collect(),
                _ => vec![file],
            })
            .collect()
    }

    fn record_file(&self, file: &'static RecordFile, station: &str) -> Wanted {
        let fill = |template: &str| template.replace("{id}", station).replace("{department}", department(station));
        Wanted {
            product: self.product,
            station: Some(station.to_owned()),
            path: format!("{}/{}", self.product.agency, fill(&file.path)),
            address: fill(&file.address),
            names_on: file.names_on.clone(),
            expected: Expected::Record(&file.format),
            whole_lines: file.whole_lines,
            begins_with_station: file.begins_with_station,
        }
    }
}

impl Wanted {
    /// The same file with the name that the agency's page tells, which fits the pattern of its name.
    pub(crate) fn named(&self, name: &str) -> Self {
        let with_name = |text: &str| text.rsplit_once('/').map_or_else(|| name.to_owned(), |(folder, _)| format!("{folder}/{name}"));
        Self { path: with_name(&self.path), address: with_name(&self.address), names_on: None, ..self.clone() }
    }

    /// The last part of its path: its name, or the pattern of it.
    pub(crate) fn name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or(&self.path)
    }

    /// The same file of that year.
    pub(crate) fn of_year(&self, year: u16) -> Self {
        let fill = |text: &str| text.replace(YEAR, &year.to_string());
        Self { path: fill(&self.path), address: fill(&self.address), ..self.clone() }
    }

    /// What it must be, in words.
    pub(crate) fn expected_in_words(&self) -> String {
        match self.expected {
            Expected::List(Content::StationList) => format!("the station list of {}", self.product.id),
            Expected::List(Content::Inventory) => format!("the inventory of {}", self.product.id),
            Expected::List(Content::Text) => format!("a list of {}", self.product.id),
            Expected::Record(format) => format!("a {format}"),
        }
    }
}

/// The department of a Meteo-France station: the first two digits of its number, overseas (97, 98) the first three.
fn department(station: &str) -> &str {
    let digits = if station.starts_with("97") || station.starts_with("98") { 3 } else { 2 };
    station.get(..digits).unwrap_or(station)
}

fn known(name: &str) -> Result<&'static Product, String> {
    product(name).ok_or_else(|| format!("found the product {name:?}, expected one of {}", ids()))
}

fn ids() -> String {
    PRODUCTS.iter().map(|product| product.id.as_str()).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_station_means_the_files_of_its_record() {
        let files = Request::station("dwd-rr:44", None).unwrap().files();
        let paths: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
        let folder = "dwd/more_precip";
        let expected =
            [format!("{folder}/historical/tageswerte_RR_00044_*_hist.zip"), format!("{folder}/recent/tageswerte_RR_00044_akt.zip")];
        assert_eq!(paths, expected);
        let named = files[0].named("tageswerte_RR_00044_19610101_20241231_hist.zip");
        assert!(named.path.ends_with("historical/tageswerte_RR_00044_19610101_20241231_hist.zip"), "{named:?}");
        assert!(named.address.ends_with("daily/more_precip/historical/tageswerte_RR_00044_19610101_20241231_hist.zip"), "{named:?}");
        // A product of a file a year needs the years.
        assert!(Request::station("gsod:72503014732", None).unwrap_err().contains("--years"));
        let files = Request::station("gsod:72503014732", Some(1999..=2001)).unwrap().files();
        assert_eq!(files.len(), 3);
        assert_eq!(files[2].path, "ncei/gsod/2001/72503014732.csv");
        assert!(files[2].address.ends_with("/access/2001/72503014732.csv"));
    }

    #[test]
    fn a_department_is_taken_from_the_station() {
        let path = |station: &str| Request::station(&format!("meteo-france:{station}"), None).unwrap().files()[0].path.clone();
        assert_eq!(path("34154001"), "meteo-france/quot/Q_34_*_RR-T-Vent.csv.gz");
        assert_eq!(path("97101001"), "meteo-france/quot/Q_971_*_RR-T-Vent.csv.gz");
        assert_eq!(path("34"), path("34154001"));
    }

    #[test]
    fn a_wrong_request_is_told_with_what_was_expected() {
        for (text, words) in [
            ("USW00094728", "PRODUCT:STATION"),
            ("ghcn:USW00094728", "expected one of ghcn-daily"),
            ("ghcn-daily:USW0009472", "11 letters and digits, such as USW00094728"),
            ("ghcn-daily:../../../../x", "expected 11"),
            ("ecad:000027", "--lists ecad"),
        ] {
            let error = Request::station(text, None).unwrap_err();
            assert!(error.contains(words), "{error}");
        }
        assert!(Request::lists("knmi").is_err() && Request::lists("ghcn-daily").is_ok());
        // The list of GSOD is kept and not read; that of GHCN-Daily comes without its inventory.
        assert!(Request::station_list("gsod").unwrap_err().contains("no list of stations is read"));
        let files = Request::station_list("ghcn-daily").unwrap().files();
        assert_eq!(files.iter().map(|file| file.path.as_str()).collect::<Vec<_>>(), ["ncei/ghcn-daily/ghcnd-stations.txt"]);
    }
}
