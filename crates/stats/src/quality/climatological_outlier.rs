//! A depth many times the usual great ones of its season.
//!
//! Found: nine times the 95th percentile of the season's rainy days or more (Durre et al. 2010, from memory; percentiles as in
//! `seasonal_percentiles`; their factor of five for freezing days is not used, since no temperature is looked at).
//!
//! Effect: a warning. A true storm can be such a day, so a day that a neighbour within 75 km bears out by a quarter of its depth, from the
//! day before to the day after, is not told (ours); whether it is wrong is for the neighbours to say (`spatial_outlier`). Not applied
//! where no date has 20 rainy days around it.

use super::gap_in_month::REACH_KM;
use super::seasonal_percentiles::SeasonalPercentiles;
use super::working_days::{WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};

/// Times the 95th percentile.
const TIMES: i64 = 9;

pub(crate) fn find(days: &WorkingDays, percentiles: &SeasonalPercentiles) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    if !percentiles.any() {
        return Err(WhyNotApplied::TooFewDays { have: days.depths.iter().filter(|depth| **depth > 0).count(), need: 20 });
    }
    let mut found = Vec::new();
    for (at, (&depth, &date)) in days.depths.iter().zip(&days.dates).enumerate().filter(|(_, (depth, _))| **depth > 0) {
        let Some([.., percentile]) = percentiles.of(date) else { continue };
        if i64::from(depth) < TIMES * i64::from(percentile) || days.greatest_nearby(at, REACH_KM).0.unwrap_or(0) >= depth / 4 {
            continue;
        }
        let evidence = Evidence::ClimatologicalOutlier { depth_mm: mm(depth), percentile_95_mm: mm(percentile) };
        found.push(QualityFinding::on(days.day(at), Effect::Warning, evidence));
    }
    Ok(found)
}
