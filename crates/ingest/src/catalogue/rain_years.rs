//! Which years each station measured rain, by the inventory.

use crate::{Error, Inventory, InventoryEntry};
use series::Diagnostics;
use std::collections::BTreeMap;
use std::path::Path;

/// The lines of rain of an inventory.
#[derive(Debug)]
pub(crate) struct RainInventory {
    name: String,
    rain: Inventory,
    latest: Option<i32>,
}

impl RainInventory {
    /// Reads the inventory; `name` is how messages call it.
    pub(crate) fn read_bytes(name: &str, bytes: &[u8]) -> Result<(Self, Diagnostics), Error> {
        Ok(Self::of(name, Inventory::read_rain_bytes(name, bytes)?))
    }

    /// The same of a file.
    pub(crate) fn read(path: &Path) -> Result<(Self, Diagnostics), Error> {
        Ok(Self::of(&path.display().to_string(), Inventory::read_rain(path)?))
    }

    fn of(name: &str, (rain, found): (Inventory, Diagnostics)) -> (Self, Diagnostics) {
        let latest = latest(rain.iter().map(|entry| i32::from(entry.last_year)));
        (Self { name: name.to_owned(), rain, latest }, found)
    }

    pub(crate) fn name(&self) -> &str {
        &self.name
    }

    pub(crate) fn latest_year(&self) -> Option<i32> {
        self.latest
    }

    /// A station's line of rain; of several the first.
    pub(crate) fn get(&self, id: &str) -> Option<&InventoryEntry> {
        self.rain.of_station(id).first()
    }

    /// The first line of every station, in the order of the identifiers.
    pub(crate) fn stations(&self) -> impl Iterator<Item = &InventoryEntry> {
        let mut before = "";
        self.rain.iter().filter(move |entry| std::mem::replace(&mut before, entry.id()) != entry.id())
    }
}

/// The latest of some years that at least a thousandth of them reach: an odd one alone does not count.
pub(crate) fn latest(years: impl Iterator<Item = i32>) -> Option<i32> {
    let (mut counts, mut all) = (BTreeMap::new(), 0_usize);
    for year in years {
        *counts.entry(year).or_insert(0_usize) += 1;
        all += 1;
    }
    let mut reached = 0;
    counts.into_iter().rev().find_map(|(year, count)| {
        reached += count;
        (reached * 1000 >= all).then_some(year)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_odd_year_does_not_set_the_calendar() {
        let with_odd = |odd: usize| std::iter::repeat_n(2024, 4000).chain(std::iter::repeat_n(2204, odd));
        assert_eq!((latest(with_odd(3)), latest(with_odd(5))), (Some(2024), Some(2204)));
        assert_eq!((latest([1991, 1999].into_iter()), latest(std::iter::empty())), (Some(1999), None));
    }

    #[test]
    fn the_first_line_of_a_station_stands() {
        let text = "XXT00000002  17.1167  -61.7833 PRCP 1991 2024\n\
                    XXT00000001  17.1167  -61.7833 PRCP 1901 1950\n\
                    XXT00000001  17.1167  -61.7833 TMAX 1901 2024\n\
                    XXT00000001  17.1167  -61.7833 PRCP 1960 2001\n";
        let (inventory, found) = RainInventory::read_bytes("x", text.as_bytes()).unwrap();
        assert!(found.is_empty());
        let stations: Vec<(&str, u16)> = inventory.stations().map(|entry| (entry.id(), entry.last_year)).collect();
        assert_eq!(stations, [("XXT00000001", 1950), ("XXT00000002", 2024)]);
        assert_eq!((inventory.latest_year(), inventory.get("XXT00000001").unwrap().first_year), (Some(2024), 1901));
    }
}
