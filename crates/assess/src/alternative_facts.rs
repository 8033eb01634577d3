//! The same store under other assumptions: how much the answer hangs on what nobody has measured or on how a gap was read.

use crate::answer_from;
use crate::climate_facts::given;
use crate::facts::Facts;
use crate::site_run::SiteRun;
use series::{FactId, Unit, Volume, Withheld};
use site::sequent_peak::sequent_peak;
use site::site_file::SiteFile;
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
        share_met_as(id, file, run, &roofs, usable, record, facts)?;
    }
    Ok(())
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

/// The share met over a run on these roofs, as a fact.
pub(crate) fn share_met_as(
    id: FactId,
    file: &SiteFile,
    run: &SiteRun,
    roofs: &[Roof],
    usable: Volume,
    record: &str,
    facts: &mut Facts,
) -> Result<(), SiteError> {
    let share = answer_from::share_met(file, &run.rain, roofs, usable)?;
    let period = run.rain.period();
    let (filled, _) = run.filled_and_spread(run.rain.period());
    facts.add(given(id, Unit::Share, share).during(Some(period)).from_record(record).over(period.days(), filled));
    Ok(())
}
