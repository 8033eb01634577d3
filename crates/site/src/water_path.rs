//! The flow that each part of the water's path must carry: gutter, downpipe, overflow, link between tanks.
//!
//! Rational method with a runoff coefficient of 1, for a path must carry what falls: `flow (L/s) = intensity (mm/h) x plan area
//! (m2) / 3600`. The intensity is an [`OfficialIntensity`], which only the owner's value or an official table makes. No function
//! of this crate turns a depth into one: gutters flood within minutes and a daily record does not know minutes. Without it a
//! row says so.
//!
//! The overflow carries the whole inflow, for the store may be full. In a row of tanks alike that fills from one end, the first
//! link carries what all the tanks behind it take, `(n - 1) / n` of the inflow until the first tank spills: half with two
//! (CHECKS H21). Flows and stated capacities only; nothing is said about either.

use crate::error::{SiteError, positive, quantity};
use crate::roof::Roof;
use crate::store::Store;
use crate::surroundings::OfficialIntensity;
use series::{Area, Flow};

/// A part of the water's path.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PathPart {
    /// Along the eaves of one roof.
    Gutter,
    /// Down from one roof.
    Downpipe,
    /// Out of the full store.
    Overflow,
    /// Between the first two tanks.
    Link,
}

/// Why a flow cannot be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NotAssessable {
    /// Daily records do not tell flows; an official short-duration intensity is needed.
    DailyRecords,
}

/// A flow, or why there is none.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FlowCheck {
    /// Computed from the official intensity.
    Computed(Flow),
    /// Not to be told.
    NotAssessable(NotAssessable),
}

/// One row of the path.
#[derive(Debug, Clone, PartialEq)]
pub struct PathRow {
    /// Which part.
    pub part: PathPart,
    /// Of which roof or store, as the owner calls it; nothing for the whole.
    pub of: Option<String>,
    /// Plan area that drains through it.
    pub area: Area,
    /// Share of that area's water that it carries: 1 but for a link.
    pub share: f64,
    /// What it must carry.
    pub flow: FlowCheck,
    /// What its maker or a table states that it can carry, where given.
    pub stated_capacity: Option<Flow>,
}

/// Stated capacities, where the owner has them.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StatedCapacities {
    /// Of the gutter of each roof.
    pub gutter: Option<Flow>,
    /// Of the downpipes of each roof together.
    pub downpipe: Option<Flow>,
    /// Of the overflow.
    pub overflow: Option<Flow>,
    /// Of the link.
    pub link: Option<Flow>,
}

/// The rows of the path: gutter and downpipe of each roof, the overflow, and the link of each row of tanks alike.
///
/// # Errors
/// On a plan area below zero or not finite, and on an official intensity that is not over zero.
pub fn water_path(
    roofs: &[Roof],
    stores: &[Store],
    official: Option<&OfficialIntensity>,
    stated: StatedCapacities,
) -> Result<Vec<PathRow>, SiteError> {
    let intensity = official.map(OfficialIntensity::intensity);
    if let Some(intensity) = intensity {
        positive("official intensity", intensity.get())?;
    }
    for roof in roofs {
        quantity("roof plan area", roof.plan_area.get())?;
    }
    let row = |part, of: Option<&str>, area: Area, share: f64, stated_capacity| PathRow {
        part,
        of: of.map(str::to_owned),
        area,
        share,
        flow: intensity
            .map_or(FlowCheck::NotAssessable(NotAssessable::DailyRecords), |intensity| FlowCheck::Computed(intensity * area * share)),
        stated_capacity,
    };
    let mut rows = Vec::with_capacity(roofs.len() * 2 + 2);
    for roof in roofs {
        rows.push(row(PathPart::Gutter, Some(&roof.name), roof.plan_area, 1.0, stated.gutter));
        rows.push(row(PathPart::Downpipe, Some(&roof.name), roof.plan_area, 1.0, stated.downpipe));
    }
    let all = roofs.iter().fold(Area::ZERO, |sum, roof| sum + roof.plan_area);
    rows.push(row(PathPart::Overflow, None, all, 1.0, stated.overflow));
    for store in stores.iter().filter(|store| store.count > 1) {
        let tanks = f64::from(store.count);
        rows.push(row(PathPart::Link, Some(&store.name), all, (tanks - 1.0) / tanks, stated.link));
    }
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::{Covering, RunoffCoefficient};
    use series::{Depth, Intensity, Volume};

    fn site(area: f64, count: u32) -> ([Roof; 1], [Store; 1]) {
        let roof = Roof {
            name: "shed".to_owned(),
            plan_area: Area::new(area),
            covering: Covering::Metal,
            runoff_coefficient: RunoffCoefficient::Event(0.85),
            wetting_loss: Depth::ZERO,
        };
        let store = Store {
            name: "tank".to_owned(),
            nominal: Volume::new(1000.0),
            dead: Volume::ZERO,
            above_overflow: Volume::ZERO,
            count,
            shape: None,
            empty_mass: None,
            footprint: None,
        };
        ([roof], [store])
    }

    fn official(mm_per_hour: f64) -> OfficialIntensity {
        OfficialIntensity::from_official_table(Intensity::new(mm_per_hour), 5.0, 20.0, "a table".to_owned(), None)
    }

    #[test]
    fn the_rational_method_with_a_coefficient_of_one() {
        // CHECKS E2 (COMPUTED; derivation READ S23): 100 m2 at 75 mm/h is 2.083333 L/s.
        let (roofs, stores) = site(100.0, 1);
        let rows = water_path(&roofs, &stores, Some(&official(75.0)), StatedCapacities::default()).unwrap();
        assert_eq!(rows.iter().map(|row| row.part).collect::<Vec<_>>(), [PathPart::Gutter, PathPart::Downpipe, PathPart::Overflow]);
        for row in rows {
            let FlowCheck::Computed(flow) = row.flow else { panic!("{row:?}") };
            assert!((flow.get() - 100.0 * 75.0 / 3600.0).abs() < 1e-12);
        }
    }

    #[test]
    fn the_link_of_two_tanks_carries_half() {
        // CHECKS H21: 50 m2 at 75 mm/h with a coefficient of .9 is .9375 L/s, and the link carries half of it.
        let (roofs, stores) = site(50.0, 2);
        let rows = water_path(&roofs, &stores, Some(&official(75.0 * 0.9)), StatedCapacities::default()).unwrap();
        let flow = |part| rows.iter().find(|row| row.part == part).map(|row| row.flow);
        assert_eq!(flow(PathPart::Overflow), Some(FlowCheck::Computed(Flow::new(0.9375))));
        assert_eq!(flow(PathPart::Link), Some(FlowCheck::Computed(Flow::new(0.9375 / 2.0))));
    }

    #[test]
    fn daily_records_tell_no_flow() {
        let (roofs, stores) = site(100.0, 2);
        let stated = StatedCapacities { overflow: Some(Flow::new(3.0)), ..StatedCapacities::default() };
        let rows = water_path(&roofs, &stores, None, stated).unwrap();
        assert!(rows.iter().all(|row| row.flow == FlowCheck::NotAssessable(NotAssessable::DailyRecords)));
        assert_eq!(rows[2].stated_capacity, Some(Flow::new(3.0)));
        for bad in [0.0, -1.0, f64::NAN] {
            assert!(water_path(&roofs, &stores, Some(&official(bad)), stated).is_err());
        }
    }
}
