//! The physical constants of this crate, in one place.

/// Standard gravity, m/s2: 9.80665 by definition (3rd General Conference on Weights and Measures, 1901; from memory).
pub const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// Density of water at 20 C, kg/m3: 998.2, the value that CHECKS E18-E20 state and compute with.
pub const WATER_DENSITY_KG_PER_M3: f64 = 998.2;

/// Days of a mean Gregorian year: 365.2425 exactly (97 leap years in 400). The years of a run are its days / this, and a yearly mean is
/// the run's total / its years; also for means made outside this crate, so that they agree with those of the balance.
pub const DAYS_PER_YEAR: f64 = 365.2425;

/// How far a day's account may miss zero, as a share of the greater of the store's volume and 1 L (CHECKS H2).
pub const BALANCE_TOLERANCE: f64 = 1e-9;
