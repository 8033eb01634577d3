//! A store's volume against a limit that a local rule sets, compared in the rule's own unit.
//!
//! 1363 L is over 360 gal (1362.748 L) and 1362 L is within; rounding either way would turn an answer round (CHECKS H24). Whether
//! the rule means nominal or usable volume decides as well: where it does not say and the two differ in their answer, so do we not.

use crate::error::{SiteError, positive};
use crate::store::{Store, nominal_volume, usable_volume};
use series::{Quantity, Volume};

/// Which volume a rule means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitBasis {
    /// What the maker states.
    Nominal,
    /// What can be drawn.
    Usable,
}

/// The unit that a rule is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitUnit {
    /// Litres.
    Litre,
    /// Cubic metres.
    CubicMetre,
    /// US gallons.
    UsGallon,
}

/// A rule's greatest volume.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct VolumeLimit {
    /// The number in the rule's unit; a volume of just that is within.
    pub value: f64,
    /// The rule's unit.
    pub unit: LimitUnit,
    /// Which volume it means; nothing where it does not say.
    pub basis: Option<LimitBasis>,
}

/// Our arithmetic against a published limit.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "against_limit")]
pub enum AgainstLimit {
    /// Within, this much in the rule's unit.
    Within {
        /// The volume in the rule's unit.
        volume: f64,
    },
    /// Over, this much in the rule's unit.
    Over {
        /// The volume in the rule's unit.
        volume: f64,
    },
    /// The rule does not say which volume it means, and it matters.
    CannotTell,
}

impl LimitUnit {
    /// So many litres, in this unit.
    pub fn from_litres(self, volume: Volume) -> f64 {
        let name = match self {
            Self::Litre => "L",
            Self::CubicMetre => "m3",
            Self::UsGallon => "gal",
        };
        let factor = Volume::UNITS.iter().find(|(unit, _)| *unit == name).map_or(1.0, |&(_, factor)| factor);
        volume.get() / factor
    }
}

/// All stores together against a limit.
///
/// # Errors
/// On a limit that is not over zero, and on a store whose volumes have no meaning.
pub fn against_limit(stores: &[Store], limit: &VolumeLimit) -> Result<AgainstLimit, SiteError> {
    positive("limit", limit.value)?;
    let usable = limit.unit.from_litres(usable_volume(stores)?);
    let nominal = limit.unit.from_litres(nominal_volume(stores));
    let answer = |volume: f64| if volume <= limit.value { AgainstLimit::Within { volume } } else { AgainstLimit::Over { volume } };
    Ok(match limit.basis {
        Some(LimitBasis::Nominal) => answer(nominal),
        Some(LimitBasis::Usable) => answer(usable),
        // Usable is never the greater one.
        None if nominal <= limit.value => AgainstLimit::Within { volume: nominal },
        None if usable > limit.value => AgainstLimit::Over { volume: usable },
        None => AgainstLimit::CannotTell,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn store(nominal: f64, dead: f64) -> [Store; 1] {
        [Store {
            name: "tank".to_owned(),
            nominal: Volume::new(nominal),
            dead: Volume::new(dead),
            above_overflow: Volume::ZERO,
            count: 1,
            shape: None,
            empty_mass: None,
            footprint: None,
        }]
    }

    #[test]
    fn a_litre_turns_the_answer() {
        // CHECKS H24: 360 gal = 1362.748 L: 1362 L within, 1363 L over; 18,927 L = 4,999.98 gal is within 5,000.
        let gallons = |value: f64| VolumeLimit { value, unit: LimitUnit::UsGallon, basis: Some(LimitBasis::Nominal) };
        assert!(matches!(against_limit(&store(1362.0, 0.0), &gallons(360.0)), Ok(AgainstLimit::Within { .. })));
        assert!(matches!(against_limit(&store(1363.0, 0.0), &gallons(360.0)), Ok(AgainstLimit::Over { .. })));
        let Ok(AgainstLimit::Within { volume }) = against_limit(&store(18_927.0, 0.0), &gallons(5000.0)) else { panic!() };
        assert!((volume - 4999.98).abs() < 5e-3);
    }

    #[test]
    fn a_rule_that_does_not_say_which_volume() {
        // CHECKS H24: "nominal or usable as the rule says; silent -> cannot tell".
        let limit = |basis| VolumeLimit { value: 1.0, unit: LimitUnit::CubicMetre, basis };
        let tank = store(1050.0, 100.0);
        assert_eq!(against_limit(&tank, &limit(None)), Ok(AgainstLimit::CannotTell));
        assert_eq!(against_limit(&tank, &limit(Some(LimitBasis::Usable))), Ok(AgainstLimit::Within { volume: 0.95 }));
        assert_eq!(against_limit(&tank, &limit(Some(LimitBasis::Nominal))), Ok(AgainstLimit::Over { volume: 1.05 }));
        assert_eq!(against_limit(&store(900.0, 0.0), &limit(None)), Ok(AgainstLimit::Within { volume: 0.9 }));
        assert!(against_limit(&tank, &VolumeLimit { value: f64::NAN, ..limit(None) }).is_err());
    }
}
