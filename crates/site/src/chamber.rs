//! The first-flush chamber: what it takes of a day's inflow, and how it empties.
//!
//! It takes `min(inflow, room)`, then empties by its rule: a drain lets out a volume each day after the inflow; or it is
//! emptied whole after so many days without inflow (at least one). Units: L.

use crate::collection::{FirstFlush, FirstFlushEmptying};
use series::Volume;

/// The state of a first-flush chamber.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Chamber {
    holds: Volume,
    dry_days: u32,
}

impl Chamber {
    /// Takes its part of a day's inflow, then empties by its rule.
    pub(crate) fn take(&mut self, chamber: Option<FirstFlush>, inflow: Volume) -> Volume {
        let Some(FirstFlush { volume, emptying }) = chamber else { return Volume::ZERO };
        let taken = inflow.min((volume - self.holds).max(Volume::ZERO));
        // Rounding must not overfill it.
        self.holds = (self.holds + taken).min(volume);
        match emptying {
            FirstFlushEmptying::Drains { per_day } => self.holds = (self.holds - per_day).max(Volume::ZERO),
            FirstFlushEmptying::AfterDryDays(days) => {
                self.dry_days = if inflow.get() > 0.0 { 0 } else { self.dry_days.saturating_add(1) };
                if self.dry_days >= days.max(1) {
                    self.holds = Volume::ZERO;
                }
            }
        }
        taken
    }

    /// What it holds.
    pub(crate) fn holds(&self) -> Volume {
        self.holds
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drain_and_a_reset() {
        // CHECKS H14 (COMPUTED, by hand): 50 L chamber, drain 20 L a day after the inflow; the inflows are those of its 50 m2.
        let litres = |of: [f64; 9]| of.map(Volume::new);
        let inflows = litres([20.0, 20.0, 0.0, 100.0, 0.0, 0.0, 0.0, 25.0, 250.0]);
        let drains = FirstFlush { volume: Volume::new(50.0), emptying: FirstFlushEmptying::Drains { per_day: Volume::new(20.0) } };
        let mut chamber = Chamber::default();
        let taken = inflows.map(|inflow| chamber.take(Some(drains), inflow));
        assert_eq!(taken, litres([20.0, 20.0, 0.0, 50.0, 0.0, 0.0, 0.0, 25.0, 45.0]));
        // By hand: full on the fourth day, and emptied on the second dry day after it.
        let resets = FirstFlush { emptying: FirstFlushEmptying::AfterDryDays(2), ..drains };
        let mut chamber = Chamber::default();
        let taken = inflows.map(|inflow| chamber.take(Some(resets), inflow));
        assert_eq!(taken, litres([20.0, 20.0, 0.0, 10.0, 0.0, 0.0, 0.0, 25.0, 25.0]));
        assert_eq!(chamber.holds(), Volume::new(50.0));
        assert_eq!(chamber.take(None, Volume::new(5.0)), Volume::ZERO, "no chamber takes nothing");
    }
}
