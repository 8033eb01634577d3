//! Several gauges about one place: how one stands in for another, and what they say together of a place without a gauge.
//!
//! Days and amounts are kept apart. A **day** at the site is always that of one gauge at a time: the mean of two gauges rains on days on which
//! neither place had more than a drizzle (CHECKS H6). Only **amounts** of months may be weighted means: they become factors by which one
//! gauge's days are multiplied.
//!
//! * [`DayAlignment`]: whose date means which 24 hours; * [`GaugeRatios`]: how much more one catches than the other, by calendar month;
//! * [`PatternAgreement`]: how alike their days are; * [`NeighbourGauge`]: one that may give whole gaps and the pattern of totals;
//! * [`SiteAmounts`]: the site's rain over the lead's, from several gauges, with height where that helps;
//! * [`TransferError`]: what came out at a gauge that was left out, beside what it measured.

mod common_days;
mod day_alignment;
mod gauge_ratios;
mod height_gradient;
mod neighbour_days;
mod normal_ratio;
mod pattern_agreement;
mod site_amounts;
mod transfer_error;

pub use day_alignment::DayAlignment;
pub use gauge_ratios::{GaugeRatios, YEARS_TOGETHER};
pub use height_gradient::HeightGradient;
pub(crate) use neighbour_days::NeighbourDays;
pub use neighbour_days::NeighbourGauge;
pub use normal_ratio::{Amount, inverse_distance_weights, normal_ratio, normals_are_alike};
pub use pattern_agreement::PatternAgreement;
pub use site_amounts::{GaugeAmounts, SiteAmounts, site_amounts};
pub use transfer_error::{Pair, TransferError, YearlyError, transfer_error};
