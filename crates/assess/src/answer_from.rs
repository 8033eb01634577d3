//! The answer that a run of rain gives: the share of the demand that the proposed store would have met.

use crate::store_facts::RULE;
use series::{Volume, Withheld};
use site::losses::water_to_store;
use site::rain_run::RainRun;
use site::reliability::Reliability;
use site::site_file::SiteFile;
use site::spin_up::scored_summaries;
use site::{DailyWater, Roof, SiteError};

/// The share met by a store of this usable volume over a run on these roofs; withheld without a demand.
///
/// # Errors
/// When a volume has no meaning.
pub(crate) fn share_met(file: &SiteFile, rain: &RainRun, roofs: &[Roof], usable: Volume) -> Result<Result<f64, Withheld>, SiteError> {
    let inflow = water_to_store(rain, roofs, file.collection, file.winter.melt_credit)?;
    let water = DailyWater::new(rain.period().first, inflow, &file.demands(), file.winter.rule)?;
    let [sums] = scored_summaries(&water, [usable], RULE)?;
    Ok(Reliability::of(&sums).volumetric.ok_or(Withheld::NoDemand))
}
