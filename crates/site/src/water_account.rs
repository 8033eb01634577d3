//! The whole account, from the rain on the roofs to what is left in the store.
//!
//! rain = snow + snow held + wetting + coefficient + first flush + screen + bypassed + spilled + drained + supplied + change of
//! the store. Nothing in it is computed as a remainder; what does not close is printed (CHECKS H2). Units: L.

use crate::balance::BalanceSummary;
use crate::losses::RoofDay;
use series::Volume;

/// Where all the rain of a run went.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct WaterAccount {
    /// Rain, losses and what entered the inlet.
    pub roofs: RoofDay,
    /// Inflow that the resting store did not take.
    pub bypassed: Volume,
    /// What left by the overflow.
    pub spilled: Volume,
    /// What was let out for the winter.
    pub drained: Volume,
    /// What was drawn.
    pub supplied: Volume,
    /// What the store holds more at the end than at the beginning.
    pub stored_change: Volume,
}

impl WaterAccount {
    /// The account of a run: its roofs' total and its store's sums, over the same days.
    pub fn new(roofs: RoofDay, store: &BalanceSummary) -> Self {
        Self {
            roofs,
            bypassed: store.bypassed,
            spilled: store.spilled,
            drained: store.drained,
            supplied: store.supplied,
            stored_change: store.end - store.start,
        }
    }

    /// What does not close: rain less everything it became.
    pub fn residual(&self) -> Volume {
        let roofs = &self.roofs;
        let lost = roofs.snow + roofs.snow_held_change + roofs.wetting + roofs.coefficient + roofs.first_flush + roofs.screen;
        roofs.rain - (lost + self.bypassed + self.spilled + self.drained + self.supplied + self.stored_change)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::{ReleaseRule, balance, summary};
    use crate::collection::{Collection, FirstFlush, FirstFlushEmptying};
    use crate::daily_water::DailyWater;
    use crate::demand::Demand;
    use crate::losses::collect;
    use crate::rain_run::{RainDay, RainRun};
    use crate::roof::{Covering, Roof, RunoffCoefficient};
    use crate::surroundings::WinterRule;
    use proptest::prelude::*;
    use series::{Area, Day, Depth};

    proptest! {
        #[test]
        fn rain_in_is_all_that_became_of_it(
            days in proptest::collection::vec((0.0..60.0_f64, any::<bool>(), 0..10_u8), 1..400),
            (area, size, flush, melt) in (1.0..300.0_f64, 0.0..10_000.0_f64, 0.0..80.0_f64, 0.0..=1.0_f64),
            rests in any::<bool>(),
        ) {
            let days: Vec<_> =
                days.iter().map(|&(mm, wet, cold)| RainDay { depth: Depth::new(if wet { mm } else { 0.0 }), frozen: cold == 0 }).collect();
            let first = Day::new(2001, 1, 1).unwrap();
            let rain = RainRun::new(first, days).unwrap();
            let roof = |runoff_coefficient| Roof {
                name: String::new(), plan_area: Area::new(area), covering: Covering::Tile, runoff_coefficient, wetting_loss: Depth::new(0.4),
            };
            let roofs = [roof(RunoffCoefficient::Event(0.85)), roof(RunoffCoefficient::Annual(0.7))];
            let emptying = FirstFlushEmptying::Drains { per_day: Volume::new(15.0) };
            let collection = Collection { first_flush: Some(FirstFlush { volume: Volume::new(flush), emptying }), screen_share_passed: 0.95 };
            let collected = collect(&rain, &roofs, collection, melt).unwrap();
            prop_assert!(collected.worst_residual_share <= 1e-9);
            let demand = Demand { name: String::new(), daily_by_month: [Volume::new(75.0); 12], weekdays: [true, false, true, true, false, true, true] };
            let winter = if rests { WinterRule::Rests { from: (11, 15), to: (3, 1) } } else { WinterRule::InUse };
            let water = DailyWater::new(first, collected.to_store(), &[demand], winter).unwrap();
            for rule in [ReleaseRule::YieldAfterSpillage, ReleaseRule::YieldBeforeSpillage] {
                // Day by day, from the depth on the plan area to the level: 1e-9 x max(S, 1 L), and no more than rounding of
                // the day's own rain.
                let trace = balance(&water, Volume::new(size), rule, Volume::ZERO).unwrap();
                let mut level = Volume::ZERO;
                for (on_roofs, in_store) in collected.days.iter().zip(&trace.days) {
                    let whole = WaterAccount {
                        roofs: *on_roofs, bypassed: in_store.bypassed, spilled: in_store.spilled, drained: in_store.drained,
                        supplied: in_store.supplied, stored_change: in_store.level - level,
                    };
                    prop_assert!(whole.residual().get().abs() <= 1e-9 * size.max(1.0), "{}", whole.residual().get());
                    level = in_store.level;
                }
                let sums = summary(&water, Volume::new(size), rule, Volume::ZERO).unwrap();
                let account = WaterAccount::new(collected.total, &sums);
                // Summed over up to 400 days.
                prop_assert!(account.residual().get().abs() <= 400.0 * 1e-9 * size.max(1.0));
            }
        }
    }
}
