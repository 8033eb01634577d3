//! Distances, heights, directions and places as a terminal's pages show them.

use series::{Distance, Length, Quantity, UnitSystem};

/// Nearer to a pole than this, degrees, every direction is the same.
const AT_A_POLE: f64 = 89.99;

/// Distances and heights in a system of units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lengths(pub(super) UnitSystem);

impl Lengths {
    pub(super) fn distance_unit(self) -> &'static str {
        Distance::of(0.0).shown(self.0).1
    }

    pub(super) fn height_unit(self) -> &'static str {
        Length::of(0.0).shown(self.0).1
    }

    /// With one decimal below a thousand.
    pub(super) fn distance(self, km: f64) -> String {
        let (shown, _) = Distance::of(km).shown(self.0);
        if shown < 999.95 { format!("{shown:.1}") } else { format!("{shown:.0}") }
    }

    /// The same, without a decimal that is zero, and with its unit.
    pub(super) fn distance_with_unit(self, km: f64) -> String {
        let text = self.distance(km);
        let text = text.strip_suffix(".0").unwrap_or(&text);
        let unit = if text == "1" && self.0 == UnitSystem::UsCustomary { "mile" } else { self.distance_unit() };
        format!("{text} {unit}")
    }

    /// A round reach that holds a distance, as an option takes it.
    pub(super) fn reach_that_holds(self, km: f64) -> String {
        let (shown, unit) = Distance::of(km).shown(self.0);
        format!("{:.0} {unit}", (shown / 10.0).floor() * 10.0 + 10.0)
    }

    fn shown_height(self, metres: f64) -> f64 {
        Length::of(metres).shown(self.0).0.round()
    }

    /// Whole metres or feet, with the unit.
    pub(super) fn height(self, metres: f64) -> String {
        format!("{:.0} {}", self.shown_height(metres), self.height_unit())
    }

    /// The same with its sign and without the unit.
    pub(super) fn signed_height(self, metres: f64) -> String {
        if self.is_level(metres) { "0".to_owned() } else { format!("{:+.0}", self.shown_height(metres)) }
    }

    /// Whether a difference in height is none as printed.
    pub(super) fn is_level(self, metres: f64) -> bool {
        self.shown_height(metres) == 0.0
    }
}

/// The eight winds from north by east.
const WINDS: [(&str, &str); 8] = [
    ("N", "north"),
    ("NE", "north-east"),
    ("E", "east"),
    ("SE", "south-east"),
    ("S", "south"),
    ("SW", "south-west"),
    ("W", "west"),
    ("NW", "north-west"),
];

fn wind((latitude, _): (f64, f64), azimuth_degrees: f64) -> Option<(&'static str, &'static str)> {
    // From a pole every way leads to the other one.
    if latitude.abs() > AT_A_POLE {
        return None;
    }
    let eighths = (azimuth_degrees.rem_euclid(360.0) / 45.0).round();
    WINDS.get(eighths as usize % 8).copied()
}

/// The direction in letters; nothing at a pole.
pub(super) fn direction(from: (f64, f64), azimuth_degrees: f64) -> &'static str {
    wind(from, azimuth_degrees).map_or("", |(letters, _)| letters)
}

/// The direction in words; nothing at a pole.
pub(super) fn direction_in_words(from: (f64, f64), azimuth_degrees: f64) -> Option<&'static str> {
    wind(from, azimuth_degrees).map(|(_, words)| words)
}

/// A place in degrees with four decimals, about ten metres.
pub fn place_in_words((latitude, longitude): (f64, f64)) -> String {
    let half = |degrees: f64, plus: &str, minus: &str| format!("{:.4} {}", degrees.abs(), if degrees < 0.0 { minus } else { plus });
    format!("{}, {}", half(latitude, "N", "S"), half(longitude, "E", "W"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_are_the_nearest_of_eight_winds() {
        let of = |azimuth| direction((44.0, 7.0), azimuth);
        assert_eq!([0.0, 22.4, 22.6, 90.0, -90.0, 180.0, -180.0, -22.4, -44.0].map(of), ["N", "N", "NE", "E", "W", "S", "S", "N", "NW"]);
        assert_eq!((direction((90.0, 0.0), 33.0), direction_in_words((-90.0, 0.0), 33.0)), ("", None));
        assert_eq!(direction_in_words((44.0, 7.0), -135.0), Some("south-west"));
    }

    #[test]
    fn lengths_are_printed_in_either_system() {
        let (metric, us) = (Lengths(UnitSystem::Metric), Lengths(UnitSystem::UsCustomary));
        assert_eq!(
            (metric.distance_with_unit(100.0), metric.distance(1234.5), metric.distance(12.34)),
            ("100 km".into(), "1234".into(), "12.3".into())
        );
        // 1 mile = 1.609344 km, 1 ft = 0.3048 m (exact).
        assert_eq!((us.distance_with_unit(1.609_344), us.distance_with_unit(160.9344)), ("1 mile".into(), "100 miles".into()));
        assert_eq!((us.signed_height(30.48), metric.signed_height(-0.4), metric.height(-3.2)), ("+100".into(), "0".into(), "-3 m".into()));
        assert_eq!((metric.reach_that_holds(812.3), us.reach_that_holds(16.1)), ("820 km".into(), "20 miles".into()));
        assert_eq!(place_in_words((-0.5, 179.9)), "0.5000 S, 179.9000 E");
    }
}
