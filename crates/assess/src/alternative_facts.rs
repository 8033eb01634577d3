//! The same store under other assumptions: how much the answer hangs on what nobody has measured or on how a gap was read.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::site_run::SiteRun;
use crate::store_facts::RULE;
use series::{FactId, Unit, Volume, Withheld};
use site::losses::collect;
use site::reliability::Reliability;
use site::sequent_peak::sequent_peak;
use site::site_file::SiteFile;
use site::spin_up::scored;
use site::{DailyWater, Roof, RunoffCoefficient, SiteError, WinterRule};

/// The share met with every event coefficient at the low, and at the high end of the range published for its covering: what is not
/// known of the roofs. A roof without a range, or with an annual coefficient, keeps its own.
pub(crate) fn coefficient_ends(file: &SiteFile, run: &SiteRun, usable: Volume, record: &str, facts: &mut Facts) -> Result<(), SiteError> {
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
        let id = FactId::new(&format!("store.reliability.volume.coefficient_{end}"));
        share_met(id, file, run, &roofs, usable, record, facts)?;
    }
    Ok(())
}

/// The share met over a run in which each multi-day total falls wholly on the day on which it was read.
pub(crate) fn totals_on_last_day(file: &SiteFile, run: &SiteRun, usable: Volume, record: &str, facts: &mut Facts) -> Result<(), SiteError> {
    share_met(FactId::new("store.reliability.volume.totals_on_last_day"), file, run, &file.roofs(), usable, record, facts)
}

/// The store without any shortage, by sequent peak. Left out where the store is emptied for the winter: the method carries water over.
pub(crate) fn without_shortage(
    file: &SiteFile,
    water: &DailyWater,
    filled: usize,
    record: &str,
    facts: &mut Facts,
) -> Result<(), SiteError> {
    if file.winter.rule == WinterRule::InUse {
        let peak = sequent_peak(water.inflow(), water.demand())?.map(|peak| peak.capacity.get()).ok_or(Withheld::NoSolution);
        let fact = given(FactId::new("sequent_peak.size"), Unit::Litre, peak);
        facts.add(fact.during(Some(water.period())).from_record(record).over(water.days(), filled));
    }
    Ok(())
}

fn share_met(
    id: FactId,
    file: &SiteFile,
    run: &SiteRun,
    roofs: &[Roof],
    usable: Volume,
    record: &str,
    facts: &mut Facts,
) -> Result<(), SiteError> {
    let collected = collect(&run.rain, roofs, file.collection, file.winter.melt_credit)?;
    let water = DailyWater::new(run.rain.period().first, collected.to_store(), &file.demands(), file.winter.rule)?;
    let share = Reliability::of(&scored(&water, usable, RULE)?.summary).volumetric.ok_or(Withheld::NoDemand);
    let (filled, _) = run.filled_and_spread(run.rain.period());
    facts.add(given(id, Unit::Share, share).during(Some(water.period())).from_record(record).over(water.days(), filled));
    Ok(())
}
