//! The texts that come with station files in an archive, and what they say of the stations: gone through once for all files of it.

use super::bureau_of_meteorology;
use crate::StationList;
use crate::station_list::{dwd, ecad};
use series::Station;
use std::collections::HashMap;
use std::sync::OnceLock;

/// A text that came with a station's file: a member of the same archive that is no station file itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Companion {
    /// Its name in the archive.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// All texts of an archive.
#[derive(Debug, Default)]
pub struct Companions {
    texts: Vec<Companion>,
    dwd: OnceLock<dwd::InArchive>,
    ecad: OnceLock<StationList>,
    notes: OnceLock<HashMap<String, Station>>,
}

/// What a file has that came alone.
pub(crate) static NONE: Companions = Companions { texts: Vec::new(), dwd: OnceLock::new(), ecad: OnceLock::new(), notes: OnceLock::new() };

impl Companions {
    /// The texts of an archive, in its order.
    pub fn new(texts: Vec<Companion>) -> Self {
        Self { texts, ..Self::default() }
    }

    /// The texts themselves.
    pub fn texts(&self) -> &[Companion] {
        &self.texts
    }

    /// What they say of stations of the Deutscher Wetterdienst.
    pub(super) fn dwd(&self) -> &dwd::InArchive {
        self.dwd.get_or_init(|| dwd::InArchive::of(&self.texts))
    }

    /// The stations of ECA&D that they list.
    pub(super) fn ecad(&self) -> &StationList {
        self.ecad.get_or_init(|| ecad::in_archive(&self.texts))
    }

    /// The stations of the Bureau of Meteorology that they tell of, by number.
    pub(super) fn notes(&self) -> &HashMap<String, Station> {
        self.notes.get_or_init(|| bureau_of_meteorology::notes(&self.texts))
    }
}
