//! The step of the daily balance, and many store sizes advanced in step over one pass of the days.
//!
//! With `V` the level before the day, `Q` the inflow, `D` the demand, `S` the usable volume (Jenkins et al. 1978; Fewkes and
//! Butler 2000; CHECKS C4):
//!
//! * yield after spillage: `Y = min(D, V)`, level `min(V + Q - Y, S - Y)`, spill `max(0, V + Q - S)`;
//! * yield before spillage: `Y = min(D, V + Q)`, level `min(V + Q - Y, S)`, spill `max(0, V + Q - Y - S)`.
//!
//! The spill is computed on its own, never as what is left over, so that `V + Q - Y - spill - level` can show an error (H2).
//! Sizes lie in arrays of a fixed length: the compiler keeps a lane each, and a lane's sums do not depend on its neighbours.

use series::Volume;

/// Sizes that advance together.
pub(crate) const LANES: usize = 8;

/// Yield, spill and level at the end of a day, L.
#[inline]
pub(crate) fn step<const AFTER: bool>(level: f64, inflow: f64, demand: f64, size: f64) -> (f64, f64, f64) {
    if AFTER {
        let supplied = demand.min(level);
        (supplied, (level + inflow - size).max(0.0), (level + inflow - supplied).min(size - supplied))
    } else {
        let supplied = demand.min(level + inflow);
        (supplied, (level + inflow - supplied - size).max(0.0), (level + inflow - supplied).min(size))
    }
}

/// What may be missing from a day's demand for it to count as met: rounding only, 1e-9 x max(demand, 1 L).
#[inline]
pub(crate) fn met_within(demand: f64) -> f64 {
    1e-9 * demand.max(1.0)
}

/// Levels and sums of sizes that advance together. Counts are whole numbers in f64, so that a lane stays one register wide.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lanes<const N: usize> {
    pub(crate) level: [f64; N],
    pub(crate) supplied: [f64; N],
    pub(crate) spilled: [f64; N],
    pub(crate) drained: [f64; N],
    pub(crate) short_days: [f64; N],
    pub(crate) no_water_days: [f64; N],
    pub(crate) worst_residual: [f64; N],
}

impl<const N: usize> Lanes<N> {
    pub(crate) fn starting_at(level: [f64; N]) -> Self {
        Self {
            level,
            supplied: [0.0; N],
            spilled: [0.0; N],
            drained: [0.0; N],
            short_days: [0.0; N],
            no_water_days: [0.0; N],
            worst_residual: [0.0; N],
        }
    }

    /// One day of all sizes.
    #[inline]
    pub(crate) fn day<const AFTER: bool>(&mut self, sizes: &[f64; N], inflow: f64, demand: f64, resting: bool) {
        let tolerance = met_within(demand);
        for (lane, &size) in sizes.iter().enumerate() {
            let level = self.level[lane];
            let (supplied, spilled, drained, end) = if resting {
                (0.0, 0.0, level, 0.0)
            } else {
                let (supplied, spilled, end) = step::<AFTER>(level, inflow, demand, size);
                (supplied, spilled, 0.0, end)
            };
            let entered = if resting { 0.0 } else { inflow };
            let residual = (level + entered - supplied - spilled - drained - end).abs();
            let short = demand - supplied > tolerance;
            self.level[lane] = end;
            self.supplied[lane] += supplied;
            self.spilled[lane] += spilled;
            self.drained[lane] += drained;
            self.short_days[lane] += f64::from(u8::from(short));
            self.no_water_days[lane] += f64::from(u8::from(short && supplied <= tolerance));
            self.worst_residual[lane] = self.worst_residual[lane].max(residual);
        }
    }

    /// One pass of all days.
    pub(crate) fn pass<const AFTER: bool>(&mut self, sizes: &[f64; N], inflow: &[Volume], demand: &[Volume], resting: &[bool]) {
        for ((inflow, demand), &resting) in inflow.iter().zip(demand).zip(resting) {
            self.day::<AFTER>(sizes, inflow.get(), demand.get(), resting);
        }
    }
}
