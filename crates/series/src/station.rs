//! A weather station: what its list says of it.

use serde::Serialize;

/// A station as its network names it. Position and height are known only where a station list or the file says so.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Station {
    /// Identifier in its network, such as an eleven-character GHCN-Daily id.
    pub id: String,
    /// Name, empty when unknown.
    pub name: String,
    /// Degrees north, -90 to 90.
    pub latitude: Option<f64>,
    /// Degrees east, -180 to 180.
    pub longitude: Option<f64>,
    /// Metres above sea level.
    pub elevation: Option<f64>,
}

impl Station {
    /// A station of which only the identifier is known.
    pub fn named_only(id: impl Into<String>) -> Self {
        Self { id: id.into(), ..Self::default() }
    }

    /// Latitude and longitude, where both are known.
    pub fn position(&self) -> Option<(f64, f64)> {
        Some((self.latitude?, self.longitude?))
    }
}
