//! A list of stations in columns that a heading names.

use super::{Gathered, Layout};
use crate::decimal;
use crate::delimited::{Heading, Row, Rows};
use crate::encoding::{self, WINDOWS_1252};
use crate::finding::shown;
use series::{Severity, Station};

/// The names that a layout has given its columns over the years, and how it writes them.
pub(crate) struct Columns {
    pub(crate) delimiter: u8,
    pub(crate) id: &'static [&'static str],
    pub(crate) name: &'static [&'static str],
    pub(crate) latitude: &'static [&'static str],
    pub(crate) longitude: &'static [&'static str],
    pub(crate) elevation: &'static [&'static str],
    /// The identifier as the reader of records writes it.
    pub(crate) write_id: fn(&[u8]) -> Option<String>,
    /// An angle in degrees.
    pub(crate) degrees: fn(&[u8]) -> Option<f64>,
}

impl Columns {
    /// Whether a line is this layout's heading.
    pub(crate) fn is_heading(&self, heading: &Heading) -> bool {
        [self.id, self.name, self.latitude, self.longitude].iter().all(|names| heading.find_any(names).is_some())
    }

    /// Whether the heading stands among the first lines.
    pub(crate) fn stand_in(&self, head: &[u8]) -> bool {
        let mut rows = Rows::new(head, self.delimiter);
        while let Some(row) = rows.next_row() {
            if self.is_heading(&Heading::of(&row)) {
                return true;
            }
        }
        false
    }

    /// Every station below the heading.
    pub(crate) fn read(&self, bytes: &[u8], gathered: &mut Gathered<'_>, layout: &Layout) {
        let mut rows = Rows::new(bytes, self.delimiter);
        let mut heading: Option<Heading> = None;
        while let Some(row) = rows.next_row() {
            match &heading {
                None => heading = Some(Heading::of(&row)).filter(|heading| self.is_heading(heading)),
                // A foot line of the agency has no fields.
                Some(heading) if row.len() < heading.len() / 2 => {}
                Some(heading) => match self.station(heading, &row) {
                    Ok(station) => gathered.station(station, row.line, layout),
                    Err((place, expected)) => {
                        gathered.findings.at("station-line-unreadable", Severity::Warning, row.line, row.columns(place), || {
                            (format!("found {:?}, expected {expected}", shown(row.get(place))), "The station is left out of the list.")
                        });
                    }
                },
            }
        }
    }

    fn station(&self, heading: &Heading, row: &Row<'_, '_>) -> Result<Station, (usize, &'static str)> {
        let place = |names: &[&str]| heading.find_any(names).unwrap_or(usize::MAX);
        let angle = |names, most: f64| (self.degrees)(row.get(place(names))).filter(|degrees| degrees.abs() <= most);
        let id = (self.write_id)(row.get(place(self.id))).ok_or((place(self.id), "a station identifier"))?;
        let latitude = angle(self.latitude, 90.0).ok_or((place(self.latitude), "a latitude from -90 to 90 degrees"))?;
        let longitude = angle(self.longitude, 180.0).ok_or((place(self.longitude), "a longitude from -180 to 180 degrees"))?;
        Ok(Station {
            id,
            name: encoding::name(row.get(place(self.name)), WINDOWS_1252),
            latitude: Some(latitude),
            longitude: Some(longitude),
            elevation: metres(row.get(place(self.elevation))),
        })
    }
}

/// A height above sea level; nothing where it is not known.
pub(crate) fn metres(field: &[u8]) -> Option<f64> {
    decimal_number(field).filter(|metres| (-500.0..=9000.0).contains(metres))
}

/// A plain decimal number.
pub(crate) fn decimal_number(field: &[u8]) -> Option<f64> {
    decimal::scaled(field, b'.', 1_000_000).map(|millionths| millionths as f64 / 1e6)
}

/// `+050:05:11`: degrees, minutes and seconds.
pub(crate) fn degrees_minutes_seconds(field: &[u8]) -> Option<f64> {
    let (sign, rest) = match field.trim_ascii().split_first()? {
        (b'-', rest) => (-1.0, rest),
        (b'+', rest) => (1.0, rest),
        _ => (1.0, field.trim_ascii()),
    };
    let mut parts = rest.split(|byte| *byte == b':').map(crate::fields::whole);
    let (degrees, minutes, seconds) = (parts.next()??, parts.next()??, parts.next()??);
    let plausible = minutes < 60 && seconds < 60 && parts.next().is_none();
    plausible.then(|| sign * (f64::from(degrees) + f64::from(minutes) / 60.0 + f64::from(seconds) / 3600.0))
}
