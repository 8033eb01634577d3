//! Over what a depth of rain is taken: one gauge, or the mean of an area.

use serde::Serialize;

/// What a series measures.
///
/// The mean over an area is smoother than any gauge in it: it has more wet days and smaller maxima, so it may stand for a month's rain
/// and never for a storm on one roof (WMO-No. 168, on areal reduction).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Extent {
    /// One gauge.
    #[default]
    Gauge,
    /// The mean of several gauges over an area.
    ArealMean,
    /// The files of the record say different things.
    Unknown,
}

impl Extent {
    /// Whether every day is of a gauge, so that its greatest days are those of a place. Not so where the files of a record differ.
    pub fn is_gauge(self) -> bool {
        self == Self::Gauge
    }
}
