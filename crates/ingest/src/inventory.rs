//! The inventory of GHCN-Daily: which element a station holds, from which year to which.
//!
//! Layout (GHCN-Daily readme 3.26, section VII): columns 1-11 id, 13-20 latitude, 22-30 longitude, 32-35 element, 37-40 first
//! and 42-45 last year of unflagged data. The years say nothing of the gaps between them.

use crate::blocks::{Blocks, Streamed, Whole};
use crate::station_list::{Fault, bytes_of, lines_behind, position};
use crate::{Error, Reader, content, fields, finding::Findings};
use series::{Diagnostics, Severity};
use std::fs::File;
use std::path::Path;

/// The element of rain.
const RAIN: &[u8; 4] = b"PRCP";

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
        Self::gather(name, &mut Whole(Some(bytes)), |_| true)
    }

    /// The lines of rain (`PRCP`) alone: one in six of the whole inventory, which is read a block at a time. A line of another element is looked at
    /// no further than its element.
    ///
    /// # Errors
    /// As [`Inventory::read`].
    pub(crate) fn read_rain(path: &Path) -> Result<(Self, Diagnostics), Error> {
        let name = path.display().to_string();
        let unreadable = |file: &str, fault: &std::io::Error| Error::Unreadable { file: file.to_owned(), source: fault.kind().into() };
        let file = File::open(path).map_err(|source| Error::Unreadable { file: name.clone(), source })?;
        let mut blocks = Streamed::new(&name, file, Reader::MOST_BYTES, unreadable);
        Self::gather(&name, &mut blocks, |line| !is_of_another_element(line)).map_err(|error| match error {
            Error::UnpacksTooLarge { file, most } => Error::TooLarge { file, most },
            other => other,
        })
    }

    /// The same from bytes.
    ///
    /// # Errors
    /// As [`Inventory::read`].
    pub(crate) fn read_rain_bytes(name: &str, bytes: &[u8]) -> Result<(Self, Diagnostics), Error> {
        Self::gather(name, &mut Whole(Some(bytes)), |line| !is_of_another_element(line))
    }

    fn gather(name: &str, blocks: &mut dyn Blocks, wanted: impl Fn(&[u8]) -> bool) -> Result<(Self, Diagnostics), Error> {
        let (mut entries, mut others, mut before) = (Vec::new(), false, 0);
        let mut findings = Findings::new(name);
        while let Some(bytes) = blocks.next_block()? {
            if before == 0 {
                content::refuse_plain_faults(name, bytes, EXPECTED)?;
            }
            for line in lines_behind(before, bytes) {
                if !wanted(line.text) {
                    others = true;
                    continue;
                }
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
            if entries.is_empty() && !others {
                return Err(content::unknown(name, bytes, EXPECTED));
            }
            // A file of 1 GiB has fewer lines than that.
            before += u32::try_from(memchr::memchr_iter(b'\n', bytes).count()).unwrap_or(0);
        }
        if entries.is_empty() && !others {
            return Err(Error::Empty { file: name.to_owned(), expected: EXPECTED.to_owned() });
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

/// Whether a line is whole and of an element that is not rain.
fn is_of_another_element(line: &[u8]) -> bool {
    line.get(30..36).is_some_and(|field| {
        field[0] == b' ' && field[5] == b' ' && field[1..5].iter().all(u8::is_ascii_graphic) && field[1..5] != *RAIN && line.len() >= 45
    })
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
        // Of rain alone: the spoilt line of another element is nobody's loss.
        let (rain, found) = Inventory::read_rain_bytes("x", text.as_bytes()).unwrap();
        assert_eq!((rain.len(), found.total(), rain.get("GM000001153", "PRCP")), (2, 0, inventory.get("GM000001153", "PRCP")));
        let (none, _) = Inventory::read_rain_bytes("x", &text.as_bytes()[..45]).unwrap();
        assert!(none.is_empty());
        let (_, found) = Inventory::read_rain_bytes("x", text.replace("PRCP 1891", "PRCP 1x91").as_bytes()).unwrap();
        assert_eq!(found.count("inventory-line-unreadable"), 1);
        assert!(Inventory::read_rain_bytes("x", b"date,rain\n").is_err());
    }
}
