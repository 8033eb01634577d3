//! From the depth of rain on the roofs to the litres that reach the store, day by day, each loss on its own.
//!
//! Order, for a roof with an event coefficient `C`, depth `p`, plan area `A`, wetting loss `w` (DESIGN section 6, "losses"):
//!
//! 1. snow: on a frozen day the whole depth is snow and nothing runs off. Without melt credit it is lost. With a melt credit
//!    `m` it is held, and on the first day after that is not frozen `m` of it runs off and the rest is lost;
//! 2. wetting: `min(p, w)` on each day with rain; what melts is not charged;
//! 3. event coefficient: `1 - C` of what is left;
//! 4. first-flush chamber, one for the whole collection, with a state: `min(inflow, room)`; then it empties by its rule. What
//!    it takes is charged to the roofs in proportion to what each sent;
//! 5. screen: a share of what is left;
//! 6. the rest enters the store.
//!
//! A roof with an *annual* coefficient sheds `C` of its rain, which already includes wetting, first flush and screen; its water
//! therefore goes past all three (CHECKS H12). Snow is kept apart for it as well.
//!
//! Units: L. Each roof and day closes: rain = snow + change of the snow held + wetting + coefficient + first flush + screen +
//! to store, to 1e-9 x max(rain, 1 L).

use crate::chamber::Chamber;
use crate::collection::Collection;
use crate::error::{SiteError, quantity, share};
use crate::rain_run::{RainDay, RainRun};
use crate::roof::{AgainstRange, Roof, RunoffCoefficient};
use series::{Day, Volume};
use std::ops::AddAssign;

/// Where one day's rain on a roof (or on all roofs) went. All in litres.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize)]
pub struct RoofDay {
    /// Depth times plan area, rain and snow alike.
    pub rain: Volume,
    /// Lost as snow: the whole snowfall without melt credit; with it, the share that the melt is not credited with.
    pub snow: Volume,
    /// Change of the snow held on the roof: over zero when it snows, below when it melts. Always zero without melt credit.
    pub snow_held_change: Volume,
    /// Lost to wetting.
    pub wetting: Volume,
    /// Lost to the runoff coefficient.
    pub coefficient: Volume,
    /// Lost to the first-flush chamber.
    pub first_flush: Volume,
    /// Lost at the screen.
    pub screen: Volume,
    /// What enters the store.
    pub to_store: Volume,
}

impl RoofDay {
    /// What does not close: rain less everything it became. Zero but for rounding.
    pub fn residual(&self) -> Volume {
        self.rain - (self.snow + self.snow_held_change + self.wetting + self.coefficient + self.first_flush + self.screen + self.to_store)
    }

    /// `to_store / rain`: over a year or a run, the effective annual coefficient (CHECKS H12). Nothing without rain.
    pub fn effective_coefficient(&self) -> Option<f64> {
        (self.rain.get() > 0.0).then(|| self.to_store / self.rain)
    }
}

impl AddAssign for RoofDay {
    fn add_assign(&mut self, other: Self) {
        self.rain += other.rain;
        self.snow += other.snow;
        self.snow_held_change += other.snow_held_change;
        self.wetting += other.wetting;
        self.coefficient += other.coefficient;
        self.first_flush += other.first_flush;
        self.screen += other.screen;
        self.to_store += other.to_store;
    }
}

/// Roofs and collection with their state: what the chamber and the roofs hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Losses<'a> {
    roofs: &'a [Roof],
    collection: Collection,
    melt_credit: f64,
    chamber: Chamber,
    snow_held: Vec<Volume>,
}

impl<'a> Losses<'a> {
    /// Roofs and collection with an empty chamber and no snow. `melt_credit` is the share of snow that counts as inflow when
    /// it melts; 0, the default of a site file, switches the credit off.
    ///
    /// # Errors
    /// Without a roof, and when a number of a roof or of the collection has no meaning.
    pub fn new(roofs: &'a [Roof], collection: Collection, melt_credit: f64) -> Result<Self, SiteError> {
        if roofs.is_empty() {
            return Err(SiteError::NoRoof);
        }
        roofs.iter().try_for_each(Roof::check)?;
        collection.check()?;
        share("melt credit", melt_credit)?;
        Ok(Self { roofs, collection, melt_credit, chamber: Chamber::default(), snow_held: vec![Volume::ZERO; roofs.len()] })
    }

    /// One day: fills `by_roof` (one place a roof, in their order) and returns the sum over all roofs. The state moves on by a
    /// day.
    ///
    /// # Errors
    /// On a depth below zero or not finite, and when `by_roof` has not one place a roof; the state is then as before.
    pub fn day(&mut self, day: RainDay, by_roof: &mut [RoofDay]) -> Result<RoofDay, SiteError> {
        quantity("rain depth", day.depth.get())?;
        if by_roof.len() != self.roofs.len() {
            return Err(SiteError::LengthsDiffer { what: "the day of the roofs", found: by_roof.len(), expected: self.roofs.len() });
        }
        // Off the roofs: for a roof with an event coefficient `to_store` holds, for the time being, what it sends on.
        let mut sent = Volume::ZERO;
        for ((roof, place), snow_held) in self.roofs.iter().zip(by_roof.iter_mut()).zip(&mut self.snow_held) {
            *place = shed(roof, day, snow_held, self.melt_credit);
            if matches!(roof.runoff_coefficient, RunoffCoefficient::Event(_)) {
                sent += place.to_store;
            }
        }
        let taken = self.chamber.take(self.collection.first_flush, sent);
        let taken_share = if sent.get() > 0.0 { taken / sent } else { 0.0 };
        let mut all = RoofDay::default();
        for (roof, place) in self.roofs.iter().zip(by_roof) {
            if matches!(roof.runoff_coefficient, RunoffCoefficient::Event(_)) {
                place.first_flush = place.to_store * taken_share;
                let to_screen = (place.to_store - place.first_flush).max(Volume::ZERO);
                place.to_store = to_screen * self.collection.screen_share_passed;
                place.screen = to_screen - place.to_store;
            }
            all += *place;
        }
        Ok(all)
    }

    /// What the chamber holds.
    pub fn chamber_holds(&self) -> Volume {
        self.chamber.holds()
    }

    /// Snow held on all roofs for the melt credit.
    pub fn snow_held(&self) -> Volume {
        self.snow_held.iter().fold(Volume::ZERO, |sum, &held| sum + held)
    }
}

/// Rain, snow, wetting and coefficient of one roof; what it sheds stands in `to_store`.
fn shed(roof: &Roof, day: RainDay, snow_held: &mut Volume, melt_credit: f64) -> RoofDay {
    let mut out = RoofDay { rain: day.depth * roof.plan_area, ..RoofDay::default() };
    let mut arriving = Volume::ZERO;
    if day.frozen {
        if melt_credit > 0.0 {
            *snow_held += out.rain;
            out.snow_held_change = out.rain;
        } else {
            out.snow = out.rain;
        }
        return out;
    }
    if snow_held.get() > 0.0 {
        let melt = *snow_held * melt_credit;
        out.snow = *snow_held - melt;
        out.snow_held_change = Volume::ZERO - *snow_held;
        *snow_held = Volume::ZERO;
        arriving += melt;
    }
    match roof.runoff_coefficient {
        RunoffCoefficient::Event(coefficient) => {
            out.wetting = day.depth.min(roof.wetting_loss) * roof.plan_area;
            arriving += out.rain - out.wetting;
            out.to_store = arriving * coefficient;
        }
        RunoffCoefficient::Annual(coefficient) => {
            arriving += out.rain;
            out.to_store = arriving * coefficient;
        }
    }
    out.coefficient = arriving - out.to_store;
    out
}

/// What became of a whole run of rain.
#[derive(Debug, Clone, PartialEq)]
pub struct CollectedRun {
    /// First day.
    pub first: Day,
    /// Each day, all roofs together.
    pub days: Vec<RoofDay>,
    /// Each roof, all days together, in the order of the roofs.
    pub by_roof: Vec<RoofDay>,
    /// All roofs and days together.
    pub total: RoofDay,
    /// The worst residual of a day and roof, as a share of max(rain of the day and roof, 1 L).
    pub worst_residual_share: f64,
}

/// The effective annual coefficient of a roof, held against what is published for its covering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffectiveCoefficient {
    /// What entered the store over what fell, snow included.
    pub value: f64,
    /// Where it lies against the covering's range; nothing where no range is known.
    pub against_range: Option<AgainstRange>,
}

impl CollectedRun {
    /// What enters the store, day by day.
    pub fn to_store(&self) -> Vec<Volume> {
        self.days.iter().map(|day| day.to_store).collect()
    }

    /// The effective annual coefficient of each roof, in their order; nothing for a roof without rain.
    pub fn effective_coefficients(&self, roofs: &[Roof]) -> Vec<Option<EffectiveCoefficient>> {
        let effective = |(total, roof): (&RoofDay, &Roof)| {
            let value = total.effective_coefficient()?;
            Some(EffectiveCoefficient { value, against_range: roof.covering.published_range().map(|range| range.place(value)) })
        };
        self.by_roof.iter().zip(roofs).map(effective).collect()
    }
}

/// A whole run of rain through the roofs and the collection, from an empty chamber and no snow.
///
/// # Errors
/// As [`Losses::new`].
pub fn collect(rain: &RainRun, roofs: &[Roof], collection: Collection, melt_credit: f64) -> Result<CollectedRun, SiteError> {
    let mut losses = Losses::new(roofs, collection, melt_credit)?;
    let mut of_day = vec![RoofDay::default(); roofs.len()];
    let mut by_roof = of_day.clone();
    let (mut days, mut total, mut worst) = (Vec::with_capacity(rain.days().len()), RoofDay::default(), 0.0_f64);
    for &day in rain.days() {
        let all = losses.day(day, &mut of_day)?;
        for (sum, one) in by_roof.iter_mut().zip(&of_day) {
            *sum += *one;
            worst = worst.max(one.residual().get().abs() / one.rain.get().max(one.snow_held_change.get().abs()).max(1.0));
        }
        total += all;
        days.push(all);
    }
    Ok(CollectedRun { first: rain.period().first, days, by_roof, total, worst_residual_share: worst })
}

/// What enters the store, day by day, as [`collect`] has it, without the account of the losses.
///
/// # Errors
/// As [`Losses::new`].
pub fn water_to_store(rain: &RainRun, roofs: &[Roof], collection: Collection, melt_credit: f64) -> Result<Vec<Volume>, SiteError> {
    let mut losses = Losses::new(roofs, collection, melt_credit)?;
    let mut of_day = vec![RoofDay::default(); roofs.len()];
    rain.days().iter().map(|&day| Ok(losses.day(day, &mut of_day)?.to_store)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::collection::{FirstFlush, FirstFlushEmptying};
    use crate::roof::Covering;
    use crate::test_data::fort_collins;
    use proptest::prelude::*;
    use series::{Area, Depth};

    fn roof(area: f64, runoff_coefficient: RunoffCoefficient, wetting: f64) -> Roof {
        Roof {
            name: "shed".to_owned(),
            plan_area: Area::new(area),
            covering: Covering::Metal,
            runoff_coefficient,
            wetting_loss: Depth::new(wetting),
        }
    }

    fn chamber(litres: f64, emptying: FirstFlushEmptying) -> Collection {
        Collection { first_flush: Some(FirstFlush { volume: Volume::new(litres), emptying }), screen_share_passed: 1.0 }
    }

    fn run(depths: &[f64]) -> RainRun {
        let depths: Vec<_> = depths.iter().copied().map(Depth::new).collect();
        RainRun::without_snow(Day::new(2001, 1, 1).unwrap(), &depths).unwrap()
    }

    #[test]
    fn a_chamber_has_a_state() {
        // CHECKS H14 (COMPUTED, by hand): 50 L chamber, 50 m2, C 1, drain 20 L a day after the inflow.
        let collection = chamber(50.0, FirstFlushEmptying::Drains { per_day: Volume::new(20.0) });
        let rain = run(&[0.4, 0.4, 0.0, 2.0, 0.0, 0.0, 0.0, 0.5, 5.0]);
        let got = collect(&rain, &[roof(50.0, RunoffCoefficient::Event(1.0), 0.0)], collection, 0.0).unwrap();
        let taken: Vec<_> = got.days.iter().map(|day| day.first_flush.get()).collect();
        let stored: Vec<_> = got.days.iter().map(|day| day.to_store.get()).collect();
        assert_eq!(taken, [20.0, 20.0, 0.0, 50.0, 0.0, 0.0, 0.0, 25.0, 45.0]);
        assert_eq!(stored, [0.0, 0.0, 0.0, 50.0, 0.0, 0.0, 0.0, 0.0, 205.0]);
        assert_eq!((got.total.first_flush.get(), got.total.to_store.get(), got.total.rain.get()), (160.0, 255.0, 415.0));
        assert_eq!(water_to_store(&rain, &[roof(50.0, RunoffCoefficient::Event(1.0), 0.0)], collection, 0.0).unwrap(), got.to_store());
    }

    #[test]
    fn the_reset_of_the_chamber_decides_what_it_costs() {
        // CHECKS H13 (COMPUTED numpy): 1 mm flush on Fort Collins 1990-1999, mm a year: 44.6, 33.7, 26.3, 17.4 if reset after
        // 1, 2, 3, 5 dry days (half a unit of the last printed digit).
        let Some(rain) = fort_collins(1990, 1999) else { return };
        for (days, expected) in [(1, 44.6), (2, 33.7), (3, 26.3), (5, 17.4)] {
            let collection = chamber(1.0, FirstFlushEmptying::AfterDryDays(days));
            let got = collect(&rain, &[roof(1.0, RunoffCoefficient::Event(1.0), 0.0)], collection, 0.0).unwrap();
            let a_year = got.total.first_flush.get() / 10.0;
            assert!((a_year - expected).abs() <= 0.05, "{days}: {a_year}");
        }
        // Charged on every rain day, 76.0 mm a year: a drain that empties the chamber every day.
        let collection = chamber(1.0, FirstFlushEmptying::Drains { per_day: Volume::new(1.0) });
        let got = collect(&rain, &[roof(1.0, RunoffCoefficient::Event(1.0), 0.0)], collection, 0.0).unwrap();
        assert!((got.total.first_flush.get() / 10.0 - 76.0).abs() <= 0.05);
    }

    #[test]
    fn wetting_and_first_flush_stand_beside_the_coefficient() {
        // CHECKS H12 (COMPUTED numpy): C .85 with 0.5 mm wetting alone is .7697 of the rain; with a 1 mm flush that resets
        // after 1 dry day .6985; charged every rain day .6575. The source's flush is 1 mm of what the wetting leaves, taken
        // before the coefficient: behind it, .85 mm.
        let Some(rain) = fort_collins(1990, 1999) else { return };
        let share = |collection| {
            let roofs = [roof(1.0, RunoffCoefficient::Event(0.85), 0.5)];
            collect(&rain, &roofs, collection, 0.0).unwrap().total.effective_coefficient().unwrap()
        };
        assert!((share(Collection::OPEN) - 0.7697).abs() <= 5e-5);
        assert!((share(chamber(0.85, FirstFlushEmptying::AfterDryDays(1))) - 0.6985).abs() <= 5e-5);
        assert!((share(chamber(0.85, FirstFlushEmptying::Drains { per_day: Volume::new(0.85) })) - 0.6575).abs() <= 5e-5);
    }

    #[test]
    fn an_annual_coefficient_switches_the_other_losses_off() {
        // CHECKS H12: the annual share is what it says, whatever wetting, chamber and screen there are.
        let roofs = [roof(100.0, RunoffCoefficient::Annual(0.77), 0.5), roof(50.0, RunoffCoefficient::Event(1.0), 0.0)];
        let collection = Collection { screen_share_passed: 0.5, ..chamber(60.0, FirstFlushEmptying::AfterDryDays(1)) };
        let got = collect(&run(&[0.3, 0.0, 10.0]), &roofs, collection, 0.0).unwrap();
        assert_eq!(got.by_roof[0].effective_coefficient(), Some(0.77));
        assert_eq!(got.by_roof[0].wetting + got.by_roof[0].first_flush + got.by_roof[0].screen, Volume::ZERO);
        // By hand: the other roof sends 15 L, all taken, chamber empties, then 500 L less 60, half of it through the screen.
        assert!((got.by_roof[1].to_store.get() - 220.0).abs() < 1e-9);
        let effective = got.effective_coefficients(&roofs);
        assert_eq!(effective[0].unwrap().against_range, Some(AgainstRange::Inside));
        assert_eq!(effective[1].unwrap().against_range, Some(AgainstRange::Below));
    }

    #[test]
    fn snow_is_not_rain() {
        // CHECKS H15: days of mean <= 0 C give no inflow. Melt credit by hand: 10 mm of snow on 20 m2 held, half credited.
        let day = |depth: f64, frozen: bool| RainDay { depth: Depth::new(depth), frozen };
        let days = vec![day(4.0, true), day(6.0, true), day(0.0, false), day(3.0, false)];
        let rain = RainRun::new(Day::new(2001, 1, 1).unwrap(), days).unwrap();
        let roofs = [roof(20.0, RunoffCoefficient::Event(0.9), 0.5)];
        let off = collect(&rain, &roofs, Collection::OPEN, 0.0).unwrap();
        assert_eq!((off.total.snow.get(), off.total.snow_held_change.get()), (200.0, 0.0));
        assert!((off.total.to_store.get() - 2.5 * 20.0 * 0.9).abs() < 1e-9);
        let half = collect(&rain, &roofs, Collection::OPEN, 0.5).unwrap();
        assert_eq!(half.days[1].snow_held_change.get(), 120.0);
        assert_eq!((half.days[2].snow.get(), half.days[2].snow_held_change.get()), (100.0, -200.0));
        assert!((half.days[2].to_store.get() - 90.0).abs() < 1e-9);
        assert!((half.total.to_store.get() - (90.0 + 45.0)).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn every_day_and_roof_closes(
            days in proptest::collection::vec((0.0..80.0_f64, any::<bool>(), any::<bool>()), 1..200),
            (areas, shares) in (proptest::collection::vec(1.0..400.0_f64, 3), proptest::collection::vec(0.0..=1.0_f64, 3)),
            (wetting, flush, drain, screen, melt) in (0.0..3.0_f64, 0.0..300.0_f64, 0.0..100.0_f64, 0.0..=1.0_f64, 0.0..=1.0_f64),
            dry in 0..5_u32, drains in any::<bool>(),
        ) {
            let roofs = [
                roof(areas[0], RunoffCoefficient::Event(shares[0]), wetting),
                roof(areas[1], RunoffCoefficient::Annual(shares[1]), wetting),
                roof(areas[2], RunoffCoefficient::Event(shares[2]), 0.0),
            ];
            let emptying = if drains { FirstFlushEmptying::Drains { per_day: Volume::new(drain) } } else { FirstFlushEmptying::AfterDryDays(dry) };
            let collection = Collection { screen_share_passed: screen, ..chamber(flush, emptying) };
            let days: Vec<_> =
                days.iter().map(|&(depth, wet, frozen)| RainDay { depth: Depth::new(if wet { depth } else { 0.0 }), frozen }).collect();
            let mut losses = Losses::new(&roofs, collection, melt).unwrap();
            let mut by_roof = [RoofDay::default(); 3];
            for day in days {
                let before = losses.snow_held().get();
                let all = losses.day(day, &mut by_roof).unwrap();
                for one in by_roof {
                    prop_assert!(one.residual().get().abs() <= 1e-9 * one.rain.get().max(before).max(1.0));
                    for part in [one.snow, one.wetting, one.coefficient, one.first_flush, one.screen, one.to_store] {
                        prop_assert!(part.get() >= 0.0 && part.get().is_finite());
                    }
                }
                prop_assert!(all.first_flush.get() <= flush * (1.0 + 1e-12));
                prop_assert!(losses.chamber_holds().get() <= flush);
            }
        }
    }
}
