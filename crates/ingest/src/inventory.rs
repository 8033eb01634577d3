//! The inventory of GHCN-Daily: which element a station holds, from which year to which.
//!
//! Layout (GHCN-Daily readme 3.26, section VII): columns 1-11 id, 13-20 latitude, 22-30 longitude, 32-35 element, 37-40 first
//! and 42-45 last year of unflagged data. The years say nothing of the gaps between them.

use crate::station_list::{Fault, bytes_of, lines, position};
use crate::{Error, content, fields, finding::Findings};
use series::{Diagnostics, Severity};
use std::path::Path;

const EXPECTED: &str = "an inventory of GHCN-Daily (ghcnd-inventory.txt: columns 1-11 id, 32-35 element, 37-40 and 42-45 years)";

/// One element of one station. Kept small: the whole inventory has some 750,000.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InventoryEntry {
    id: [u8; 11],
    element: [u8; 4],
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
    /// First year with a value that no quality check refused.
    pub first_year: u16,
    /// Last such year.
    pub last_year: u16,
}

impl InventoryEntry {
    /// Identifier of the station.
    pub fn id(&self) -> &str {
        // Only letters and digits were let in.
        std::str::from_utf8(&self.id).unwrap_or_default()
    }

    /// The element, such as `PRCP`.
    pub fn element(&self) -> &str {
        std::str::from_utf8(&self.element).unwrap_or_default()
    }
}

/// The entries of a `ghcnd-inventory.txt`, by station; of one station in the order of the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Inventory {
    entries: Vec<InventoryEntry>,
}

impl Inventory {
    /// Read an inventory. A faulty line is told and left out.
    ///
    /// # Errors
    /// A file fault: not to be had from the system, empty, a web page, packed, or without a single inventory line.
    pub fn read(path: &Path) -> Result<(Self, Diagnostics), Error> {
        Self::read_bytes(&path.display().to_string(), &bytes_of(path)?)
    }

    /// The same from bytes; `name` is how messages call them.
    ///
    /// # Errors
    /// As [`Inventory::read`].
    pub fn read_bytes(name: &str, bytes: &[u8]) -> Result<(Self, Diagnostics), Error> {
        content::refuse_plain_faults(name, bytes, EXPECTED)?;
        let mut entries = Vec::new();
        let mut findings = Findings::new(name);
        for line in lines(bytes) {
            match entry(line.text) {
                Ok(entry) => entries.push(entry),
                Err((column, span, what)) => {
                    findings.at("inventory-line-unreadable", Severity::Warning, line, (column, span), || {
                        let found = String::from_utf8_lossy(fields::columns(line.text, column as usize, (column + span) as usize - 1));
                        (format!("found {found:?}, expected {what}"), "The line is left out of the inventory.")
                    });
                }
            }
        }
        if entries.is_empty() {
            return Err(content::unknown(name, bytes, EXPECTED));
        }
        entries.sort_by_key(|entry| entry.id);
        Ok((Self { entries }, findings.finish()))
    }

    /// Every entry, by station.
    pub fn iter(&self) -> std::slice::Iter<'_, InventoryEntry> {
        self.entries.iter()
    }

    /// The entries of one station.
    pub fn of_station(&self, id: &str) -> &[InventoryEntry] {
        let first = self.entries.partition_point(|entry| entry.id[..] < *id.as_bytes());
        let count = self.entries[first..].partition_point(|entry| entry.id[..] == *id.as_bytes());
        &self.entries[first..first + count]
    }

    /// One element of one station.
    pub fn get(&self, id: &str, element: &str) -> Option<&InventoryEntry> {
        self.of_station(id).iter().find(|entry| entry.element() == element)
    }

    /// How many entries.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }
}

impl<'a> IntoIterator for &'a Inventory {
    type Item = &'a InventoryEntry;
    type IntoIter = std::slice::Iter<'a, InventoryEntry>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

fn entry(line: &[u8]) -> Result<InventoryEntry, Fault> {
    let (latitude, longitude) = position(line)?;
    let element = fields::columns(line, 32, 35);
    let id = fields::columns(line, 1, 11).try_into().map_err(|_| (1, 11, "a station identifier"))?;
    let element = Some(element)
        .filter(|element| element.iter().all(u8::is_ascii_graphic))
        .and_then(|element| element.try_into().ok())
        .ok_or((32, 4, "an element of four letters, such as PRCP"))?;
    let year = |first| {
        let field = fields::columns(line, first, first + 3);
        fields::whole(field).filter(|_| field.len() == 4).and_then(|year| u16::try_from(year).ok())
    };
    let first_year = year(37).ok_or((37, 4, "the first year"))?;
    let last_year = year(42).filter(|last| *last >= first_year).ok_or((42, 4, "the last year, not before the first"))?;
    Ok(InventoryEntry { id, element, latitude, longitude, first_year, last_year })
}

/// Whether a line could stand in an inventory.
pub(crate) fn looks_like_a_line(line: &[u8]) -> bool {
    line.get(11) == Some(&b' ') && entry(line).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_the_columns_of_the_readme() {
        // The first and third line of shared/data/ghcnd-meta/ghcnd-inventory_gm.txt, as published; the others are invented.
        let text = "GM000001153  51.9506    7.5914 TMAX 1891 1991\n\
                    GM000001153  51.9506    7.5914 PRCP 1891 1991\n\
                    GM000001153  51.9506    7.5914 SNOW 1991 1891\n\
                    AA000000001 -51.9506 -107.5914 PRCP 1900 2000\n";
        let (inventory, found) = Inventory::read_bytes("x", text.as_bytes()).unwrap();
        assert_eq!((inventory.len(), found.count("inventory-line-unreadable")), (3, 1));
        let rain = inventory.get("GM000001153", "PRCP").unwrap();
        assert_eq!((rain.id(), rain.first_year, rain.last_year, rain.latitude), ("GM000001153", 1891, 1991, 51.9506));
        assert_eq!(inventory.of_station("GM000001153").len(), 2);
        assert_eq!((inventory.of_station("GM").len(), inventory.of_station("ZZ").len()), (0, 0));
        assert_eq!(inventory.iter().next().unwrap().longitude, -107.5914, "sorted by station");
    }
}
