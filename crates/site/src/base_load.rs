//! What a full tank loads its base with: mass, contact pressure, height over width. Loads and geometry only.
//!
//! Mass of the water: nominal volume x 998.2 kg/m3, filled to the brim. Contact pressure (kPa): mass x 9.80665 m/s2 / footprint.
//! Nothing is said about slab, soil or stability. CHECKS E20.

use crate::constants::{GRAVITY_M_PER_S2, WATER_DENSITY_KG_PER_M3};
use crate::error::{SiteError, positive, quantity};
use crate::store::{Shape, Store};
use series::{Area, Mass, Pressure, Volume};

/// The load of one full tank.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct BaseLoad {
    /// Water at the nominal volume.
    pub water: Mass,
    /// The empty tank, where its mass is given.
    pub tank: Option<Mass>,
    /// Both; the water alone when the tank's mass is not given.
    pub full: Mass,
    /// The area that it stands on, where it is known.
    pub footprint: Option<Area>,
    /// `full` over the footprint; nothing where that is not known. Without the tank's mass it is the water's alone.
    pub contact_pressure: Option<Pressure>,
    /// Height over the least width, where the shape is known.
    pub height_to_width: Option<f64>,
}

/// The mass of so much water.
pub fn mass_of(water: Volume) -> Mass {
    Mass::new(water.get() / 1000.0 * WATER_DENSITY_KG_PER_M3)
}

/// The pressure of a mass that stands on an area; nothing on no area.
pub fn contact_pressure(mass: Mass, footprint: Area) -> Option<Pressure> {
    (footprint.get() > 0.0).then(|| Pressure::new(mass.get() * GRAVITY_M_PER_S2 / footprint.get() / 1000.0))
}

/// The load of one full tank of a kind.
///
/// # Errors
/// On a nominal volume or mass below zero or not finite, and on a footprint or shape whose sides are not over zero.
pub fn base_load(store: &Store) -> Result<BaseLoad, SiteError> {
    quantity("nominal volume", store.nominal.get())?;
    if let Some(mass) = store.empty_mass {
        quantity("empty mass", mass.get())?;
    }
    if let Some(shape) = store.shape {
        for side in shape.all_sides() {
            positive("tank side", side.get())?;
        }
    }
    let footprint = store.footprint_of_one();
    if let Some(area) = footprint {
        positive("footprint", area.get())?;
    }
    let water = mass_of(store.nominal);
    let full = store.empty_mass.map_or(water, |tank| water + tank);
    Ok(BaseLoad {
        water,
        tank: store.empty_mass,
        full,
        footprint,
        contact_pressure: footprint.and_then(|area| contact_pressure(full, area)),
        height_to_width: store.shape.and_then(Shape::height_to_width),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::Length;

    fn tank(empty_mass: Option<f64>) -> Store {
        let (diameter, depth) = (1.5_f64, 2.0);
        Store {
            name: "tank".to_owned(),
            nominal: Volume::new(std::f64::consts::PI / 4.0 * diameter * diameter * depth * 1000.0),
            dead: Volume::ZERO,
            above_overflow: Volume::ZERO,
            count: 1,
            shape: Some(Shape::Cylinder { diameter: Length::new(diameter), height: Length::new(2.1) }),
            empty_mass: empty_mass.map(Mass::new),
            footprint: None,
        }
    }

    #[test]
    fn a_base_under_two_metres_of_water() {
        // CHECKS E20 (COMPUTED): 2 m water + 100 kg tank, 1.5 m diameter: 20.132939 kPa; water alone 19.577996.
        let pressure = |mass| base_load(&tank(mass)).unwrap().contact_pressure.unwrap().get();
        assert!((pressure(Some(100.0)) - 20.132_939).abs() < 5e-7);
        assert!((pressure(None) - 19.577_996).abs() < 5e-7);
        assert!((base_load(&tank(None)).unwrap().height_to_width.unwrap() - 1.4).abs() < 1e-12);
    }

    #[test]
    fn no_pressure_without_a_footprint() {
        let store = Store { shape: None, ..tank(Some(100.0)) };
        let load = base_load(&store).unwrap();
        assert_eq!((load.contact_pressure, load.height_to_width), (None, None));
        assert!(base_load(&Store { footprint: Some(Area::ZERO), ..store }).is_err());
        let flat = Shape::Box { length: Length::new(1.0), width: Length::new(0.0), height: Length::new(1.0) };
        assert!(base_load(&Store { shape: Some(flat), ..tank(None) }).is_err());
    }
}
