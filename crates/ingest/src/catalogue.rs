//! The station catalogue: which stations measure rain near a place, from an agency's station list and inventory.
//!
//! * [`Catalogue`]: a list and, where the agency has one, its inventory, read once and kept small;
//! * [`Search`]: the place, the years that are wanted, how far to look;
//! * [`Nearby`]: the stations found, ranked by their [`CountedDistance`], and those that do not count, by what they lack;
//! * [`HeldRecord`]: what a record that is here already says of a station, in place of the inventory.
//!
//! The whole list of GHCN-Daily has some 130,000 stations and its inventory 750,000 lines. So a list is kept as its bytes with the place of each
//! station, of the inventory the lines of rain alone are read, and the geodesic is asked only for stations that a straight line through the earth
//! does not put out of reach.

mod candidate;
mod held_record;
mod listed_places;
mod nearby;
mod rain_years;
mod search;

pub use candidate::{Candidate, CountedDistance, HEIGHT_FACTOR, KM_OF_A_YEAR_MISSING, KM_OF_SILENCE, RainYears, YearsToldBy};
pub use held_record::HeldRecord;
pub use nearby::{Nearby, NearestElsewhere, StationCounts};
pub use search::{Search, WantedYears};

use crate::Error;
use crate::station_list::bytes_of;
use listed_places::ListedPlaces;
use rain_years::RainInventory;
use series::{Diagnostic, Diagnostics, Severity};
use std::path::Path;

/// A station list and its inventory.
#[derive(Debug)]
pub struct Catalogue {
    places: ListedPlaces,
    /// Nothing where the product has no inventory, or one of another list was given.
    inventory: Option<RainInventory>,
}

impl Catalogue {
    /// Reads a station list in any layout that [`StationList`](crate::StationList) reads, and the inventory of GHCN-Daily beside it. Faulty lines are
    /// told and left out.
    ///
    /// # Errors
    /// A file fault of either: not to be had from the system, empty, a web page, packed, or of another product.
    pub fn read(list: &Path, inventory: Option<&Path>) -> Result<(Self, Diagnostics), Error> {
        // Either is read while the other is.
        std::thread::scope(|scope| {
            let inventory = inventory.map(|path| scope.spawn(move || RainInventory::read(path)));
            let places = bytes_of(list).and_then(|bytes| ListedPlaces::read(&list.display().to_string(), bytes));
            // A fault of the program is not hidden as a list without an inventory.
            let join =
                |thread: std::thread::ScopedJoinHandle<'_, _>| thread.join().unwrap_or_else(|fault| std::panic::resume_unwind(fault));
            let inventory = inventory.map(join).transpose();
            Ok(Self::of(places?, inventory?))
        })
    }

    /// The same from bytes, each with how messages call it.
    ///
    /// # Errors
    /// As [`Catalogue::read`].
    pub fn read_bytes(list: (&str, Vec<u8>), inventory: Option<(&str, &[u8])>) -> Result<(Self, Diagnostics), Error> {
        let places = ListedPlaces::read(list.0, list.1)?;
        Ok(Self::of(places, inventory.map(|(name, bytes)| RainInventory::read_bytes(name, bytes)).transpose()?))
    }

    fn of((places, mut found): (ListedPlaces, Diagnostics), inventory: Option<(RainInventory, Diagnostics)>) -> (Self, Diagnostics) {
        let Some((inventory, more)) = inventory else { return (Self { places, inventory: None }, found) };
        found.extend(more);
        let shared = places.ids().any(|id| inventory.get(id).is_some());
        if !shared {
            let message = "found none of the list's stations in the inventory; expected the inventory of the same list";
            found.push(
                Diagnostic::new("inventory-of-another-list", Severity::Error, message)
                    .in_file(inventory.name())
                    .done("It is not used: which years the stations have is not known."),
            );
        }
        (Self { places, inventory: shared.then_some(inventory) }, found)
    }

    /// How many stations the list has.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Whether the list has none; a list without a station is not read.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Whether it is the list of GHCN-Daily.
    pub fn is_ghcn_daily(&self) -> bool {
        self.places.is_ghcn_daily()
    }

    /// The latest year of rain of the inventory, or of a list that tells years: one that at least a thousandth of its stations reach, so that an odd
    /// line does not set the calendar.
    pub fn latest_year(&self) -> Option<i32> {
        match &self.inventory {
            Some(inventory) => inventory.latest_year(),
            None => self.places.latest_year(),
        }
    }
}

#[cfg(test)]
mod tests;
