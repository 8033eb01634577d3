//! Which cautions a report must print for a site, and why each. The wording lives in the report's tables, not here.
//!
//! Points: TRADE section 6; CHECKS section G. Some stand on every report; some are raised by what the site file says, and also
//! where it does not say what would rule them out, for silence is no answer.

use crate::roof::{MaterialConcern, Roof};
use crate::store::{Shape, Store};
use crate::surroundings::Surroundings;

/// A caution. Each has one paragraph of wording per language.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// The overflow near a basement.
    OverflowNearBasement,
    /// The overflow on sloping ground.
    OverflowOnSlope,
    /// The overflow above a neighbour.
    OverflowAboveNeighbour,
    /// The overflow at any site: away from foundations, septic fields, neighbours.
    Overflow,
    /// Not water to drink.
    NotForDrinking,
    /// Watering what will be eaten.
    Vegetables,
    /// Rainwater must not reach the mains.
    CrossConnection,
    /// What a full tank weighs, and that its base needs a licensed person where the ground is not plain.
    TankWeight,
    /// A tank more than twice as high as wide.
    SlenderTank,
    /// Children and animals: drowning, tipping.
    Children,
    /// A tank is a confined space.
    ConfinedSpace,
    /// A tank or drum that held something else before.
    SecondHandTank,
    /// Light makes stored water grow.
    Light,
    /// Mosquitoes.
    Mosquito,
    /// Frost.
    Frost,
    /// Electricity by water.
    Electricity,
    /// Work on ladders and roofs.
    Heights,
    /// What the roof is made of.
    RoofMaterial,
    /// A buried tank: flotation, traffic, utilities.
    BuriedTank,
    /// A well or septic field near the overflow.
    WellOrSeptic,
    /// Water law and permits differ from place to place.
    WaterLaw,
    /// The whole needs looking after.
    Maintenance,
    /// Past rain does not promise rain to come.
    PastRain,
    /// Planning information, not an engineering design.
    NotADesign,
}

/// Why a caution stands.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "reason")]
pub enum CautionReason {
    /// It stands on every report.
    Always,
    /// The site file says so.
    SiteFileSays,
    /// The site file does not say otherwise.
    SiteFileSilent,
    /// A material on or in a roof.
    Material {
        /// Which.
        concern: MaterialConcern,
    },
    /// The greatest height over width of a tank.
    HeightToWidth {
        /// The ratio.
        ratio: f64,
    },
}

/// A caution with its reason.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct RaisedCaution {
    /// Which.
    pub caution: Caution,
    /// Why.
    pub reason: CautionReason,
    /// Whether it belongs on page one.
    pub page_one: bool,
}

/// What the cautions are chosen by. `None` where the site file does not say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CautionSite<'a> {
    /// The roofs.
    pub roofs: &'a [Roof],
    /// The stores.
    pub stores: &'a [Store],
    /// What lies around.
    pub surroundings: &'a Surroundings,
    /// Whether the mains make up what the store cannot give.
    pub top_up: bool,
    /// Whether a pump draws from the store.
    pub pump: bool,
    /// Whether a tank lies in the ground.
    pub buried: Option<bool>,
    /// Whether plants that will be eaten are watered.
    pub vegetables: Option<bool>,
}

/// A tank over this many times as high as wide is called slender: the ratio in the permit exemptions of CHECKS G (READ S80).
pub const SLENDER_ABOVE: f64 = 2.0;

/// The cautions of a site: those of page one first, then in the order of [`Caution`].
pub fn cautions(site: &CautionSite<'_>) -> Vec<RaisedCaution> {
    use CautionReason::{Always, HeightToWidth, Material, SiteFileSays};
    let around = site.surroundings;
    let mut raised = Vec::new();
    let mut raise = |caution, reason, page_one| raised.push(RaisedCaution { caution, reason, page_one });
    for (caution, there) in [
        (Caution::OverflowNearBasement, around.basement),
        (Caution::OverflowOnSlope, around.slope),
        (Caution::OverflowAboveNeighbour, around.downhill_neighbour),
    ] {
        if let Some(reason) = unless_ruled_out(there) {
            raise(caution, reason, reason == SiteFileSays);
        }
    }
    for caution in [
        Caution::Overflow,
        Caution::NotForDrinking,
        Caution::TankWeight,
        Caution::Children,
        Caution::ConfinedSpace,
        Caution::SecondHandTank,
        Caution::Light,
        Caution::Mosquito,
        Caution::Heights,
        Caution::WaterLaw,
        Caution::Maintenance,
        Caution::PastRain,
        Caution::NotADesign,
    ] {
        raise(caution, Always, false);
    }
    for (caution, there) in [(Caution::CrossConnection, site.top_up), (Caution::Electricity, site.pump)] {
        if there {
            raise(caution, SiteFileSays, false);
        }
    }
    for (caution, there) in [(Caution::Frost, around.frost), (Caution::BuriedTank, site.buried), (Caution::Vegetables, site.vegetables)] {
        if let Some(reason) = unless_ruled_out(there) {
            raise(caution, reason, false);
        }
    }
    let near = around.well_distance.is_some() || around.septic_distance.is_some();
    raise(Caution::WellOrSeptic, if near { SiteFileSays } else { CautionReason::SiteFileSilent }, false);
    let slender = site.stores.iter().filter_map(|store| store.shape.and_then(Shape::height_to_width)).fold(0.0, f64::max);
    if slender > SLENDER_ABOVE {
        raise(Caution::SlenderTank, HeightToWidth { ratio: slender }, false);
    }
    let mut concerns: Vec<_> = site.roofs.iter().flat_map(|roof| roof.covering.material_concerns()).copied().collect();
    concerns.sort_unstable();
    concerns.dedup();
    for concern in concerns {
        // An asbestos roof is not touched for a water tank.
        raise(Caution::RoofMaterial, Material { concern }, concern == MaterialConcern::Asbestos && names_asbestos(site.roofs));
    }
    raised.sort_by_key(|one| (!one.page_one, one.caution));
    raised
}

fn unless_ruled_out(there: Option<bool>) -> Option<CautionReason> {
    match there {
        Some(true) => Some(CautionReason::SiteFileSays),
        None => Some(CautionReason::SiteFileSilent),
        Some(false) => None,
    }
}

fn names_asbestos(roofs: &[Roof]) -> bool {
    roofs.iter().any(|roof| roof.covering == crate::roof::Covering::AsbestosCement)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::{Covering, RunoffCoefficient};
    use series::{Area, Depth, Length, Volume};

    fn raised(covering: Covering, surroundings: &Surroundings, diameter: f64, pump: bool) -> Vec<RaisedCaution> {
        let roofs = [Roof {
            name: String::new(),
            plan_area: Area::new(50.0),
            covering,
            runoff_coefficient: RunoffCoefficient::Event(0.8),
            wetting_loss: Depth::ZERO,
        }];
        let stores = [Store {
            name: String::new(),
            nominal: Volume::new(1000.0),
            dead: Volume::ZERO,
            above_overflow: Volume::ZERO,
            count: 1,
            shape: Some(Shape::Cylinder { diameter: Length::new(diameter), height: Length::new(2.0) }),
            empty_mass: None,
            footprint: None,
        }];
        cautions(&CautionSite { roofs: &roofs, stores: &stores, surroundings, top_up: pump, pump, buried: Some(false), vegetables: None })
    }

    fn has(list: &[RaisedCaution], caution: Caution) -> Option<(CautionReason, bool)> {
        list.iter().find(|one| one.caution == caution).map(|one| (one.reason, one.page_one))
    }

    #[test]
    fn a_basement_puts_the_overflow_on_page_one() {
        // The issue: "A basement, slope or downhill neighbour puts the overflow caution on page one."
        let around = Surroundings { basement: Some(true), slope: Some(false), ..Surroundings::default() };
        let list = raised(Covering::Tile, &around, 1.0, false);
        assert_eq!(list[0].caution, Caution::OverflowNearBasement);
        assert_eq!(has(&list, Caution::OverflowNearBasement), Some((CautionReason::SiteFileSays, true)));
        assert_eq!(has(&list, Caution::OverflowOnSlope), None);
        assert_eq!(has(&list, Caution::OverflowAboveNeighbour), Some((CautionReason::SiteFileSilent, false)));
        for (slope, neighbour) in [(true, false), (false, true)] {
            let around = Surroundings { slope: Some(slope), downhill_neighbour: Some(neighbour), ..Surroundings::default() };
            assert!(raised(Covering::Tile, &around, 1.0, false)[0].page_one);
        }
    }

    #[test]
    fn tanks_roofs_and_pumps_raise_their_own() {
        let none = Surroundings::default();
        // CHECKS G (READ S80): height to width 2:1. 2.0 m over 1.0 m is not above it, over 0.8 m is.
        assert_eq!(has(&raised(Covering::Tile, &none, 1.0, false), Caution::SlenderTank), None);
        assert_eq!(
            has(&raised(Covering::Tile, &none, 0.8, false), Caution::SlenderTank),
            Some((CautionReason::HeightToWidth { ratio: 2.5 }, false))
        );
        assert_eq!(has(&raised(Covering::Tile, &none, 1.0, false), Caution::Electricity), None);
        for caution in [Caution::Electricity, Caution::CrossConnection, Caution::NotForDrinking, Caution::Children, Caution::Frost] {
            assert!(has(&raised(Covering::Tile, &none, 1.0, true), caution).is_some(), "{caution:?}");
        }
        let asbestos = raised(Covering::AsbestosCement, &none, 1.0, false);
        assert!(asbestos.iter().any(|one| one.page_one && one.reason == CautionReason::Material { concern: MaterialConcern::Asbestos }));
        assert_eq!(has(&asbestos, Caution::BuriedTank), None);
    }
}
