//! How much the answer hangs on the runoff coefficients, which nobody has measured: the share met at both ends of the published ranges.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::site_run::SiteRun;
use crate::store_facts::RULE;
use series::{Fact, FactId, Unit, Volume, Withheld};
use site::losses::collect;
use site::reliability::Reliability;
use site::site_file::SiteFile;
use site::spin_up::scored;
use site::{DailyWater, RunoffCoefficient, SiteError};

/// The share met with every event coefficient at the low, and at the high end of the range published for its covering: what is not
/// known of the roofs. A roof without a range, or with an annual coefficient, keeps its own.
pub(crate) fn coefficient_ends(file: &SiteFile, run: &SiteRun, usable: Volume, record: &str, facts: &mut Facts) -> Result<(), SiteError> {
    let (filled, _) = run.filled_and_spread(run.rain.period());
    for end in ["low", "high"] {
        let mut roofs = file.roofs();
        for roof in &mut roofs {
            let range = roof.covering.published_range();
            if let (RunoffCoefficient::Event(own), Some(range)) = (roof.runoff_coefficient, range) {
                // The site's own coefficient may lie outside the range; the ends then reach to it.
                let value = if end == "low" { own.min(range.low) } else { own.max(range.high) };
                roof.runoff_coefficient = RunoffCoefficient::Event(value);
            }
        }
        let collected = collect(&run.rain, &roofs, file.collection, file.winter.melt_credit)?;
        let water = DailyWater::new(run.rain.period().first, collected.to_store(), &file.demands(), file.winter.rule)?;
        let value = Reliability::of(&scored(&water, usable, RULE)?.summary).volumetric.ok_or(Withheld::NoDemand);
        let fact: Fact = given(FactId::new(&format!("store.reliability.volume.coefficient_{end}")), Unit::Share, value);
        facts.add(fact.during(Some(water.period())).from_record(record).over(water.days(), filled));
    }
    Ok(())
}
