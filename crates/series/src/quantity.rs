//! Quantities with their unit in the type, and the one place where they are read from text and turned into other units.
//!
//! Stored units: mm, m2, L, L/s, mm/h, m, km, kg, kPa. Arithmetic is given only where it makes sense: a depth times an area is
//! a volume (1 mm on 1 m2 is 1 L exactly), an intensity times an area is a flow.
//!
//! Conversion factors: international inch 25.4 mm and foot 0.3048 m (exact, 1959 agreement), US gallon 231 in3 =
//! 3.785411784 L (exact), pound 0.45359237 kg (exact); NIST SP 811 (2008), Appendix B, from memory.

use serde::Serialize;
use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, Sub, SubAssign};

const INCH_MM: f64 = 25.4;
const FOOT_M: f64 = 0.3048;
/// Litres of a US gallon: 231 cubic inches, exactly.
pub const LITRES_PER_US_GALLON: f64 = 3.785_411_784;
const GALLON_L: f64 = LITRES_PER_US_GALLON;
const POUND_KG: f64 = 0.453_592_37;

/// The units that a page speaks in. Stored values are the same for both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// mm, m2, L, m.
    #[default]
    Metric,
    /// in, ft2, US gal, ft.
    UsCustomary,
}

/// A text that is not a quantity of the kind asked for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// No number in front.
    #[error("found {found:?}, expected a number and a unit, such as {example:?}")]
    NoNumber {
        /// The text.
        found: String,
        /// A good one.
        example: &'static str,
    },
    /// A comma: a thousand in one country and a decimal in another.
    #[error(
        "found {found:?}: a comma means thousands in one place and decimals in another; write a point for decimals and nothing for thousands, such as {example:?}"
    )]
    Comma {
        /// The text.
        found: String,
        /// A good one.
        example: &'static str,
    },
    /// A number without a unit.
    #[error("found {found:?} without a unit; expected {name} in {units}, such as {example:?}")]
    NoUnit {
        /// The text.
        found: String,
        /// What kind of quantity.
        name: &'static str,
        /// The units taken.
        units: String,
        /// A good one.
        example: &'static str,
    },
    /// A unit that we know, of another kind of quantity.
    #[error("found {found:?}, which is {is}; expected {name} in {units}, such as {example:?}")]
    OtherKind {
        /// The text.
        found: String,
        /// What it is.
        is: &'static str,
        /// What kind was asked for.
        name: &'static str,
        /// The units taken.
        units: String,
        /// A good one.
        example: &'static str,
    },
    /// A unit that we do not know.
    #[error("found {found:?} with the unknown unit {unit:?}; expected {name} in {units}, such as {example:?}")]
    UnknownUnit {
        /// The text.
        found: String,
        /// The unit as found.
        unit: String,
        /// What kind was asked for.
        name: &'static str,
        /// The units taken.
        units: String,
        /// A good one.
        example: &'static str,
    },
}

/// A kind of quantity: what it is called, which units are read, and how it is shown.
pub trait Quantity: Copy + PartialOrd + fmt::Debug {
    /// Its name with an article, as "an area".
    const NAME: &'static str;
    /// Spellings of units that are read, with the stored units in one of them. The first is the stored unit.
    const UNITS: &'static [(&'static str, f64)];
    /// A good text.
    const EXAMPLE: &'static str;
    /// The unit of a page in each system.
    const SHOWN: [&'static str; 2];

    /// From a number in the stored unit.
    fn of(value: f64) -> Self;

    /// The number in the stored unit.
    fn value(self) -> f64;

    /// Reads a number and a unit: `"64 m2"`, `"700 ft2"`, `"2.5 m3"`.
    ///
    /// # Errors
    /// When there is no number or no unit, when the unit is of another kind, and when a comma stands in the number.
    fn parse(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | ','))).unwrap_or(text.len());
        let (digits, unit) = (&text[..end], text[end..].trim());
        let found = || text.to_owned();
        if digits.contains(',') {
            return Err(QuantityError::Comma { found: found(), example: Self::EXAMPLE });
        }
        let number = digits
            .parse::<f64>()
            .ok()
            .filter(|number| number.is_finite())
            .ok_or_else(|| QuantityError::NoNumber { found: found(), example: Self::EXAMPLE })?;
        if let Some(&(_, factor)) = Self::UNITS.iter().find(|(name, _)| *name == unit) {
            return Ok(Self::of(number * factor));
        }
        let (name, units, example) = (Self::NAME, spellings(Self::UNITS), Self::EXAMPLE);
        Err(if unit.is_empty() {
            QuantityError::NoUnit { found: found(), name, units, example }
        } else if let Some(is) = kind_of_unit(unit) {
            QuantityError::OtherKind { found: found(), is, name, units, example }
        } else {
            QuantityError::UnknownUnit { found: found(), unit: unit.to_owned(), name, units, example }
        })
    }

    /// The number and the unit's name in a system of units.
    fn shown(self, system: UnitSystem) -> (f64, &'static str) {
        let unit = Self::SHOWN[match system {
            UnitSystem::Metric => 0,
            UnitSystem::UsCustomary => 1,
        }];
        let factor = Self::UNITS.iter().find(|(name, _)| *name == unit).map_or(1.0, |&(_, factor)| factor);
        (self.value() / factor, unit)
    }
}

fn spellings(units: &[(&str, f64)]) -> String {
    units.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
}

fn kind_of_unit(unit: &str) -> Option<&'static str> {
    fn of<Q: Quantity>(unit: &str) -> Option<&'static str> {
        Q::UNITS.iter().any(|(name, _)| *name == unit).then_some(Q::NAME)
    }
    of::<Depth>(unit)
        .or_else(|| of::<Area>(unit))
        .or_else(|| of::<Volume>(unit))
        .or_else(|| of::<Flow>(unit))
        .or_else(|| of::<Intensity>(unit))
        .or_else(|| of::<Length>(unit))
        .or_else(|| of::<Distance>(unit))
        .or_else(|| of::<Mass>(unit))
        .or_else(|| of::<Pressure>(unit))
}

macro_rules! quantity {
    ($(#[$doc:meta])* $type:ident, $name:literal, $example:literal, shown $metric:literal $us:literal, $($unit:literal = $factor:expr),+) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize)]
        #[serde(transparent)]
        pub struct $type(f64);

        impl $type {
            /// Zero.
            pub const ZERO: Self = Self(0.0);

            /// From a number in the stored unit.
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            /// The number in the stored unit.
            pub const fn get(self) -> f64 {
                self.0
            }

            /// The lesser of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The greater of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
        }

        impl Quantity for $type {
            const NAME: &'static str = $name;
            const UNITS: &'static [(&'static str, f64)] = &[$(($unit, $factor)),+];
            const EXAMPLE: &'static str = $example;
            const SHOWN: [&'static str; 2] = [$metric, $us];

            fn of(value: f64) -> Self {
                Self(value)
            }

            fn value(self) -> f64 {
                self.0
            }
        }

        impl Add for $type {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $type {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl AddAssign for $type {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl SubAssign for $type {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }

        impl Mul<f64> for $type {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $type {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        /// The ratio of two.
        impl Div for $type {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $type {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                // From plain zero: the sum of nothing must not be minus zero, which would print a minus sign.
                Self(all.fold(0.0, |sum, one| sum + one.0))
            }
        }
    };
}

quantity!(
    /// Depth of water, mm. A depth in a record is an exact integer instead, see [`Reading`](crate::Reading).
    Depth, "a depth of water", "25 mm", shown "mm" "in",
    "mm" = 1.0, "cm" = 10.0, "in" = INCH_MM
);
quantity!(
    /// Plan area, m2.
    Area, "an area", "64 m2", shown "m2" "ft2",
    "m2" = 1.0, "m²" = 1.0, "ft2" = FOOT_M * FOOT_M, "ft²" = FOOT_M * FOOT_M, "sq ft" = FOOT_M * FOOT_M
);
quantity!(
    /// Volume of water, L.
    Volume, "a volume", "1000 L", shown "L" "gal",
    "L" = 1.0, "l" = 1.0, "m3" = 1000.0, "m³" = 1000.0, "gal" = GALLON_L, "ft3" = FOOT_M * FOOT_M * FOOT_M * 1000.0
);
quantity!(
    /// Flow, L/s.
    Flow, "a flow", "1.5 L/s", shown "L/s" "gpm",
    "L/s" = 1.0, "L/min" = 1.0 / 60.0, "gpm" = GALLON_L / 60.0
);
quantity!(
    /// Rain intensity, mm/h.
    Intensity, "a rain intensity", "75 mm/h", shown "mm/h" "in/h",
    "mm/h" = 1.0, "in/h" = INCH_MM
);
quantity!(
    /// Length or height, m.
    Length, "a length", "1.2 m", shown "m" "ft",
    "m" = 1.0, "cm" = 0.01, "mm" = 0.001, "ft" = FOOT_M, "in" = INCH_MM / 1000.0
);
quantity!(
    /// Distance over the ground, km. The international mile is 1.609344 km (exact).
    Distance, "a distance", "50 km", shown "km" "miles",
    "km" = 1.0, "miles" = 1.609_344, "mile" = 1.609_344, "mi" = 1.609_344, "m" = 0.001
);
quantity!(
    /// Mass, kg.
    Mass, "a mass", "100 kg", shown "kg" "lb",
    "kg" = 1.0, "lb" = POUND_KG
);
quantity!(
    /// Pressure, kPa. One pound-force a square inch is 6.894757 kPa (from the exact inch, pound and 9.80665 m/s2).
    Pressure, "a pressure", "20 kPa", shown "kPa" "psf",
    "kPa" = 1.0, "psf" = POUND_KG * 9.80665 / (FOOT_M * FOOT_M) / 1000.0
);

/// Head of water, m.
pub type Head = Length;

/// 1 mm on 1 m2 is 1 L.
impl Mul<Area> for Depth {
    type Output = Volume;
    fn mul(self, area: Area) -> Volume {
        Volume(self.0 * area.0)
    }
}

/// The depth that a volume makes on an area.
impl Div<Area> for Volume {
    type Output = Depth;
    fn div(self, area: Area) -> Depth {
        Depth(self.0 / area.0)
    }
}

/// 1 mm/h on 1 m2 is 1 L/h.
impl Mul<Area> for Intensity {
    type Output = Flow;
    fn mul(self, area: Area) -> Flow {
        Flow(self.0 * area.0 / 3600.0)
    }
}

impl Depth {
    /// A depth from a record's micrometres.
    pub fn from_micrometres(micrometres: i64) -> Self {
        Self(micrometres as f64 / 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(left: f64, right: f64) {
        assert!((left - right).abs() <= 1e-9 * right.abs(), "{left} is not {right}");
    }

    #[test]
    fn rain_on_a_roof() {
        // CHECKS C1.1 (COMPUTED: 144/231): 1 in on 1 ft2 is 0.6233766234 US gal.
        let volume = Depth::parse("1 in").unwrap() * Area::parse("1 ft2").unwrap();
        let (gallons, unit) = volume.shown(UnitSystem::UsCustomary);
        assert_eq!(unit, "gal");
        close(gallons, 144.0 / 231.0);
        // CHECKS C1.2 (READ S29): 1 mm on 1 m2 is 1 L.
        assert_eq!(Depth::new(1.0) * Area::new(1.0), Volume::new(1.0));
        // CHECKS C1.3 (READ S28): 400 ft2 x 1 in is "248 gal" with the factor rounded to 0.62.
        let (gallons, _) = (Depth::parse("1 in").unwrap() * Area::parse("400 ft2").unwrap()).shown(UnitSystem::UsCustomary);
        assert!((gallons * 0.62 / (144.0 / 231.0) - 248.0).abs() < 1e-9, "{gallons}");
        // CHECKS E2 (COMPUTED): 100 m2 at 75 mm/h is 2.083333 L/s; 1 in/h on 1 ft2 is .01038961 gpm.
        close((Intensity::new(75.0) * Area::new(100.0)).get(), 100.0 * 75.0 / 3600.0);
        let (gpm, _) = (Intensity::parse("1 in/h").unwrap() * Area::parse("1 ft2").unwrap()).shown(UnitSystem::UsCustomary);
        assert!((gpm - 0.010_389_61).abs() < 5e-9, "{gpm}");
    }

    #[test]
    fn legal_limits_in_gallons_keep_their_side() {
        // CHECKS H24: 360 gal = 1362.748 L.
        assert!((Volume::parse("360 gal").unwrap().get() - 1362.748).abs() < 5e-4);
        assert!(Volume::new(1363.0) > Volume::parse("360 gal").unwrap());
    }

    #[test]
    fn a_wrong_unit_is_named_for_what_it_is() {
        let error = Area::parse("64 mm2").unwrap_err();
        assert_eq!(
            error.to_string(),
            "found \"64 mm2\" with the unknown unit \"mm2\"; expected an area in m2, m², ft2, ft², sq ft, such as \"64 m2\""
        );
        assert!(matches!(Area::parse("64 L"), Err(QuantityError::OtherKind { is: "a volume", .. })));
        assert!(matches!(Area::parse("64"), Err(QuantityError::NoUnit { .. })));
        assert!(matches!(Volume::parse("1,000 L"), Err(QuantityError::Comma { .. })));
        for text in ["", "m2", "x 3 m2", "..3 m2", "1e999 m2", "- m2", "٣ m2"] {
            assert!(Area::parse(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn a_shown_quantity_reads_back(value in 0.0..1e9f64, us in proptest::bool::ANY) {
            let system = if us { UnitSystem::UsCustomary } else { UnitSystem::Metric };
            let (number, unit) = Volume::new(value).shown(system);
            let back = Volume::parse(&format!("{number} {unit}")).unwrap();
            prop_assert!((back.get() - value).abs() <= 1e-12 * value.max(1.0));
        }

        #[test]
        fn no_text_makes_it_panic(text in ".*") {
            let _ = Volume::parse(&text);
            let _ = Depth::parse(&text);
        }
    }
}
