//! The slips by which a place is written down wrong: its two numbers exchanged, or a sign lost.

use serde::Serialize;

/// A slip of the pen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Slip {
    /// Latitude and longitude exchanged.
    Exchanged,
    /// The other sign of the longitude: east for west.
    LongitudeSign,
    /// The other sign of the latitude: north for south.
    LatitudeSign,
}

/// The places (degrees north, degrees east) that may have been meant by this one.
pub fn slips_of_the_pen((latitude, longitude): (f64, f64)) -> impl Iterator<Item = (Slip, (f64, f64))> {
    let slips = [
        (Slip::Exchanged, (longitude, latitude)),
        (Slip::LongitudeSign, (latitude, -longitude)),
        (Slip::LatitudeSign, (-latitude, longitude)),
    ];
    slips.into_iter().filter(move |(_, place)| place.0.abs() <= 90.0 && *place != (latitude, longitude))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_that_cannot_be_is_no_slip() {
        let of = |place| slips_of_the_pen(place).map(|(slip, _)| slip).collect::<Vec<_>>();
        assert_eq!(of((44.9, -93.2)), [Slip::LongitudeSign, Slip::LatitudeSign], "no latitude is -93.2");
        assert_eq!(of((51.0, 7.0)), [Slip::Exchanged, Slip::LongitudeSign, Slip::LatitudeSign]);
        assert_eq!(of((0.0, 0.0)), []);
    }
}
