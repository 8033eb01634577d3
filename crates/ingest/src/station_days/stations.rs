//! The stations of a file that holds several.

use super::StationDays;
use crate::finding::Findings;
use crate::formats::Input;
use series::Severity;
use std::collections::HashMap;

/// Most stations of one file that are read: all that the Global Historical Climatology Network lists are 130,000 (ghcnd-stations.txt).
pub(crate) const MOST_STATIONS: usize = 200_000;

/// The stations of a file that holds several, in the order in which they appear.
pub(crate) struct Stations<'a> {
    input: Input<'a>,
    format: &'static str,
    places: HashMap<Vec<u8>, usize>,
    list: Vec<StationDays<'a>>,
    last: (Vec<u8>, usize),
    /// Takes the lines of stations beyond the most that are read.
    beyond: Option<StationDays<'a>>,
}

impl<'a> Stations<'a> {
    pub(crate) fn new(input: Input<'a>, format: &'static str) -> Self {
        Self { input, format, places: HashMap::new(), list: Vec::new(), last: (Vec::new(), usize::MAX), beyond: None }
    }

    /// The station of that key, made by `new` when it is met for the first time.
    pub(crate) fn at(&mut self, key: &[u8], new: impl FnOnce(Input<'a>) -> StationDays<'a>) -> &mut StationDays<'a> {
        if self.last.1 == usize::MAX || self.last.0 != key {
            let place = if let Some(&place) = self.places.get(key) {
                place
            } else if self.list.len() == MOST_STATIONS {
                return self.beyond.insert(new(self.input));
            } else {
                self.list.push(new(self.input));
                self.places.insert(key.to_vec(), self.list.len() - 1);
                self.list.len() - 1
            };
            self.last = (key.to_vec(), place);
        }
        &mut self.list[self.last.1]
    }

    /// Whether the station of that key is among those that are read; what a reader keeps beside a station it keeps for these alone.
    pub(crate) fn keeps(&self, key: &[u8]) -> bool {
        self.last.1 != usize::MAX && self.last.0 == key || self.places.contains_key(key)
    }

    /// The station of that key, if it was met before: a line that cannot be read makes none.
    pub(crate) fn known(&mut self, key: &[u8]) -> Option<&mut StationDays<'a>> {
        self.places.get(key).and_then(|&place| self.list.get_mut(place))
    }

    /// Every station met so far, in the order in which they appeared.
    pub(crate) fn each(&mut self) -> impl Iterator<Item = &mut StationDays<'a>> {
        self.list.iter_mut()
    }

    /// Hands one record after the other to the sink; gives how many there were.
    pub(crate) fn finish(mut self, sink: &mut dyn crate::Sink) -> usize {
        let count = self.list.len();
        if let Some(last) = self.list.last_mut().filter(|_| self.beyond.is_some()) {
            tell_too_many(&mut last.findings);
        }
        for station in self.list {
            sink.station(station.record(self.input, self.format));
        }
        count
    }
}

/// That there were more stations than are read.
pub(crate) fn tell_too_many(findings: &mut Findings<'_>) {
    findings.whole("too-many-stations", Severity::Warning, || {
        (
            format!("found more than {MOST_STATIONS} stations in one file; expected no more than there are in the world"),
            "The lines of further stations are not read.",
        )
    });
}
