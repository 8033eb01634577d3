//! What is looked for: a place, years, how far.

use serde::Serialize;

/// A place, the years that are wanted there, and how far to look.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Search {
    /// Degrees north, -90 to 90.
    pub latitude_degrees: f64,
    /// Degrees east, -180 to 180.
    pub longitude_degrees: f64,
    /// Metres above sea level.
    pub elevation_m: Option<f64>,
    /// First and last year that are wanted; else the latest thirty of the inventory.
    #[serde(skip)]
    pub years: Option<(i32, i32)>,
    /// Kilometres within which stations are looked for.
    pub within_km: f64,
}

impl Search {
    /// The place.
    pub fn place(&self) -> (f64, f64) {
        (self.latitude_degrees, self.longitude_degrees)
    }
}

/// The years that are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct WantedYears {
    /// First.
    pub first: i32,
    /// Last.
    pub last: i32,
    /// Whether the caller named them; else they are the latest thirty of the inventory or list.
    pub named: bool,
}

impl WantedYears {
    /// How many years of a record serve where none are named: as many as normals are of.
    pub const USUAL: i32 = 30;

    /// Those that the caller named, else the latest thirty; nothing where neither is known.
    pub(crate) fn of(named: Option<(i32, i32)>, latest: Option<i32>) -> Option<Self> {
        match named {
            Some((first, last)) => Some(Self { first, last, named: true }),
            None => latest.map(|last| Self { first: last - Self::USUAL + 1, last, named: false }),
        }
    }

    /// How many.
    pub fn count(self) -> u32 {
        u32::try_from(self.last - self.first + 1).unwrap_or(0)
    }

    /// How many of them lie from the first to the last of these years.
    pub(crate) fn covered_by(self, first: i32, last: i32) -> u32 {
        u32::try_from(last.min(self.last) - first.max(self.first) + 1).unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_are_counted_with_both_ends() {
        let wanted = WantedYears::of(None, Some(2024)).unwrap();
        assert_eq!((wanted.first, wanted.last, wanted.count(), wanted.named), (1995, 2024, 30, false));
        let covered = [(1900, 2030), (2000, 2009), (1990, 1995), (1980, 1994), (2025, 2030)].map(|(a, b)| wanted.covered_by(a, b));
        assert_eq!(covered, [30, 10, 1, 0, 0]);
        assert_eq!(WantedYears::of(None, None), None);
        assert!(WantedYears::of(Some((1991, 2020)), None).unwrap().named);
    }
}
