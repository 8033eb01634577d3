//! What one storm does to the store, what two on following days do, and what depth fills it.
//!
//! A storm falls within one day, as rain, on dry roofs with an empty first-flush chamber; nothing is drawn. Losses as in
//! [`crate::losses`]; spill is `max(0, level + inflow - size)`. Units: mm, L.

use crate::collection::Collection;
use crate::error::{SiteError, quantity};
use crate::losses::{Losses, RoofDay};
use crate::rain_run::RainDay;
use crate::roof::Roof;
use series::{Depth, Volume};

/// What a storm does to a store.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct StormOnStore {
    /// Depth of the storm.
    pub depth: Depth,
    /// Where its water went on the way.
    pub water: RoofDay,
    /// Level before.
    pub from: Volume,
    /// Level after.
    pub to: Volume,
    /// What leaves by the overflow.
    pub spilled: Volume,
}

/// Storms on following days, from a level; each finds the chamber and the store as the one before left them.
///
/// # Errors
/// On a depth, size or level that has no meaning, on a level above the size, and as [`Losses::new`].
pub fn storms(
    depths: &[Depth],
    roofs: &[Roof],
    collection: Collection,
    size: Volume,
    start: Volume,
) -> Result<Vec<StormOnStore>, SiteError> {
    quantity("store size", size.get())?;
    quantity("start level", start.get())?;
    if start > size {
        return Err(SiteError::StartAboveStore { start_litres: start.get(), size_litres: size.get() });
    }
    let mut losses = Losses::new(roofs, collection, 0.0)?;
    let mut by_roof = vec![RoofDay::default(); roofs.len()];
    let mut level = start;
    let mut out = Vec::with_capacity(depths.len());
    for &depth in depths {
        let water = losses.day(RainDay { depth, frozen: false }, &mut by_roof)?;
        let reached = level + water.to_store;
        let (from, to) = (level, reached.min(size));
        out.push(StormOnStore { depth, water, from, to, spilled: (reached - size).max(Volume::ZERO) });
        level = to;
    }
    Ok(out)
}

/// One storm on an empty, a half-full and a full store.
///
/// # Errors
/// As [`storms`].
pub fn storm_from_three_levels(depth: Depth, roofs: &[Roof], collection: Collection, size: Volume) -> Result<Vec<StormOnStore>, SiteError> {
    let mut out = Vec::with_capacity(3);
    for start in [Volume::ZERO, size / 2.0, size] {
        out.extend(storms(&[depth], roofs, collection, size, start)?);
    }
    Ok(out)
}

/// The deepest storm that is looked at, mm; more than the greatest one-day depth measured on Earth (1.825 m, from memory).
const DEEPEST_MM: f64 = 2000.0;

/// The depth of one storm that fills the store from empty, to 0.001 mm; nothing when 2 m of rain do not fill it.
///
/// # Errors
/// As [`storms`].
pub fn depth_that_fills(roofs: &[Roof], collection: Collection, size: Volume) -> Result<Option<Depth>, SiteError> {
    let mut by_roof = vec![RoofDay::default(); roofs.len()];
    quantity("store size", size.get())?;
    let fresh = Losses::new(roofs, collection, 0.0)?;
    let mut fills = |depth: f64| -> Result<bool, SiteError> {
        let mut losses = fresh.clone();
        let water = losses.day(RainDay { depth: Depth::new(depth), frozen: false }, &mut by_roof)?;
        // Rounding of the losses must not ask for a thousandth more.
        Ok(water.to_store.get() >= size.get() - 1e-9 * size.get().max(1.0))
    };
    // What enters never falls with the depth, so halving finds the least that fills. In whole thousandths of a millimetre.
    let (mut too_little, mut enough) = (-1.0, DEEPEST_MM * 1000.0);
    if !fills(DEEPEST_MM)? {
        return Ok(None);
    }
    while enough - too_little > 1.0 {
        let middle = f64::midpoint(enough, too_little).floor();
        if fills(middle / 1000.0)? {
            enough = middle;
        } else {
            too_little = middle;
        }
    }
    Ok(Some(Depth::new(enough / 1000.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::collection::{FirstFlush, FirstFlushEmptying};
    use crate::roof::{Covering, RunoffCoefficient};
    use series::Area;

    fn roof() -> [Roof; 1] {
        [Roof {
            name: "roof".to_owned(),
            plan_area: Area::new(50.0),
            covering: Covering::Metal,
            runoff_coefficient: RunoffCoefficient::Event(0.85),
            wetting_loss: Depth::ZERO,
        }]
    }

    /// 1 mm of rain on 50 m2 behind the coefficient: 42.5 L.
    fn flush(emptying: FirstFlushEmptying) -> Collection {
        Collection { first_flush: Some(FirstFlush { volume: Volume::new(42.5), emptying }), screen_share_passed: 1.0 }
    }

    #[test]
    fn a_published_fill_example() {
        // TRADE section 4, "fill example" (C): 2000 L, 50 m2, coefficient 0.85, 1 mm flush: 48 mm in one event; two 15 mm storms
        // give 1190 L. By hand: 2000 / 42.5 + 1 = 48.0588 mm; 2 x 14 x 42.5 = 1190 L.
        let drained = flush(FirstFlushEmptying::Drains { per_day: Volume::new(42.5) });
        let depth = depth_that_fills(&roof(), drained, Volume::new(2000.0)).unwrap().unwrap();
        assert!((depth.get() - 48.0588).abs() < 1e-3, "{depth:?}");
        let two = storms(&[Depth::new(15.0); 2], &roof(), drained, Volume::new(2000.0), Volume::ZERO).unwrap();
        assert!((two[1].to.get() - 1190.0).abs() < 1e-9);
        // A chamber that waits for a dry day is still full for the second: 15 x 42.5 come then.
        let waiting = flush(FirstFlushEmptying::AfterDryDays(1));
        let two = storms(&[Depth::new(15.0); 2], &roof(), waiting, Volume::new(2000.0), Volume::ZERO).unwrap();
        assert!((two[1].to.get() - (14.0 + 15.0) * 42.5).abs() < 1e-9);
    }

    #[test]
    fn what_does_not_fit_spills() {
        let from = storm_from_three_levels(Depth::new(40.0), &roof(), Collection::OPEN, Volume::new(2000.0)).unwrap();
        // By hand: 40 x 50 x .85 = 1700 L.
        let got: Vec<_> = from.iter().map(|storm| (storm.from.get(), storm.to.get(), storm.spilled.get())).collect();
        assert_eq!(got, [(0.0, 1700.0, 0.0), (1000.0, 2000.0, 700.0), (2000.0, 2000.0, 1700.0)]);
    }

    #[test]
    fn a_store_that_no_storm_fills() {
        assert_eq!(depth_that_fills(&roof(), Collection::OPEN, Volume::new(1e9)), Ok(None));
        assert_eq!(depth_that_fills(&roof(), Collection::OPEN, Volume::ZERO), Ok(Some(Depth::ZERO)));
        assert!(storms(&[Depth::new(-1.0)], &roof(), Collection::OPEN, Volume::new(10.0), Volume::ZERO).is_err());
        assert!(storms(&[], &roof(), Collection::OPEN, Volume::new(10.0), Volume::new(11.0)).is_err());
        assert!(depth_that_fills(&[], Collection::OPEN, Volume::new(10.0)).is_err());
    }
}
