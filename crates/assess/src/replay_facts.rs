//! The driest twelve months, replayed with the proposed store, and what great rains do to it.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::site_run::SiteRun;
use crate::storm_facts::RETURN_PERIODS;
use series::{Day, Depth, Fact, FactId, Period, Unit, Volume, Withheld, days_in_month};
use site::balance::BalanceTrace;
use site::driest_year::{driest_twelve_months, replay};
use site::error::SiteError;
use site::one_storm::{depth_that_fills, storm_from_three_levels, storms};
use site::reliability::Reliability;
use site::{Collection, Roof};

/// The replayed months with the rain of each day.
#[derive(Debug, Clone)]
pub struct Replay {
    /// Every day of the store.
    pub trace: BalanceTrace,
    /// Rain of every day, mm.
    pub rain: Vec<Depth>,
    /// Its months, year and number.
    pub months: Vec<(i32, u32)>,
}

/// Replays the driest twelve months; nothing when no twelve months are whole enough.
///
/// # Errors
/// When the whole run does not hold them.
pub(crate) fn replay_driest(run: &SiteRun, whole: &BalanceTrace, record: &str, facts: &mut Facts) -> Result<Option<Replay>, SiteError> {
    let Some(driest) = driest_twelve_months(&run.rain, &run.excluded_years) else { return Ok(None) };
    let trace = replay(whole, driest.period)?;
    let sums = &trace.summary;
    let (filled, _) = run.filled_and_spread(driest.period);
    let of = |fact: Fact| fact.during(Some(driest.period)).from_record(record).over(driest.period.days(), filled);
    facts.add(of(Fact::date(FactId::new("replay.first_day"), driest.period.first)));
    facts.add(of(Fact::date(FactId::new("replay.last_day"), driest.period.last)));
    facts.add(of(Fact::number(FactId::new("replay.windows"), Unit::Count, driest.windows as f64)));
    facts.add(of(Fact::number(FactId::new("replay.rain"), Unit::Millimetre, driest.depth.get())));
    let volumetric = Reliability::of(sums).volumetric.ok_or(Withheld::NoDemand);
    facts.add(of(given(FactId::new("replay.reliability"), Unit::Share, volumetric)));
    let volumes = [
        ("supplied", sums.supplied),
        ("demand", sums.demand),
        ("inflow", sums.inflow),
        ("spilled", sums.spilled),
        ("start", sums.start),
        ("not_taken", sums.drained + sums.bypassed),
    ];
    for (name, volume) in volumes {
        facts.add(of(Fact::number(FactId::new(&format!("replay.{name}")), Unit::Litre, volume.get())));
    }
    facts.add(of(Fact::number(FactId::new("replay.short_days"), Unit::Day, sums.short_days as f64)));
    facts.add(of(Fact::number(FactId::new("replay.no_water_days"), Unit::Day, sums.no_water_days as f64)));

    let rain: Vec<Depth> = driest.period.iter().filter_map(|day| run.rain.on(day)).map(|day| day.depth).collect();
    let mut months = Vec::with_capacity(12);
    let mut first = driest.period.first;
    while first <= driest.period.last && months.len() < 12 {
        let (year, month, _) = first.ymd();
        let period = Period::new(first, first.plus(days_in_month(year, month) as i32 - 1));
        if let (Some(part), Some(depth)) = (trace.cut_to(period), run.rain.depth_in(period)) {
            let key = |method: &str| FactId::new(&format!("replay.month.{method}")).key("month", format!("{year:04}-{month:02}"));
            let of = |fact: Fact| fact.during(Some(period)).from_record(record);
            facts.add(of(Fact::number(key("rain"), Unit::Millimetre, depth.get())));
            let sums = &part.summary;
            let volumes = [
                ("inflow", sums.inflow),
                ("demand", sums.demand),
                ("supplied", sums.supplied),
                ("spilled", sums.spilled),
                ("end", sums.end),
                ("not_taken", sums.drained + sums.bypassed),
            ];
            for (name, volume) in volumes {
                facts.add(of(Fact::number(key(name), Unit::Litre, volume.get())));
            }
        }
        months.push((year, month));
        first = next_month(first);
    }
    Ok(Some(Replay { trace, rain, months }))
}

fn next_month(first: Day) -> Day {
    let (year, month, _) = first.ymd();
    first.plus(days_in_month(year, month) as i32)
}

/// Adds what one storm, and a pair, does to the store.
///
/// # Errors
/// When a volume has no meaning.
pub(crate) fn great_rains(roofs: &[Roof], collection: Collection, usable: Volume, facts: &mut Facts) -> Result<(), SiteError> {
    for years in RETURN_PERIODS {
        let key = |method: &str| FactId::new(method).key("years", years);
        let Some(source) = facts.get(&format!("storm.depth/days=1,years={years}")).cloned() else { continue };
        let like = |id: FactId, unit, value: Result<f64, Withheld>| Fact {
            n: source.n,
            missing: source.missing,
            period: source.period,
            records: source.records.clone(),
            ..given(id, unit, value)
        };
        let depth = match &source.value {
            series::FactValue::Number(depth) => Ok(Depth::new(*depth)),
            series::FactValue::Withheld(why) => Err(why.clone()),
            series::FactValue::Date(_) => Err(Withheld::NoSolution),
        };
        let levels = match &depth {
            Ok(depth) => Ok(storm_from_three_levels(*depth, roofs, collection, usable)?),
            Err(why) => Err(why.clone()),
        };
        let pair = match &depth {
            Ok(depth) => Ok(storms(&[*depth, *depth], roofs, collection, usable, Volume::ZERO)?),
            Err(why) => Err(why.clone()),
        };
        let of = |from: usize, pick: fn(&site::one_storm::StormOnStore) -> f64| {
            levels.as_ref().map_err(Clone::clone).and_then(|levels| levels.get(from).map(pick).ok_or(Withheld::NoSolution))
        };
        facts.add(like(key("one_storm.depth"), Unit::Millimetre, depth.map(Depth::get)));
        facts.add(like(key("one_storm.inflow"), Unit::Litre, of(0, |storm| storm.water.to_store.get())));
        for (place, from) in ["empty", "half", "full"].into_iter().enumerate() {
            let id = key("one_storm.spilled").key("from", from);
            facts.add(like(id, Unit::Litre, of(place, |storm| storm.spilled.get())));
        }
        let second = pair.and_then(|pair| pair.get(1).map(|storm| storm.spilled.get()).ok_or(Withheld::NoSolution));
        facts.add(like(key("one_storm.second_spilled"), Unit::Litre, second));
    }
    let fills = depth_that_fills(roofs, collection, usable)?.map(Depth::get).ok_or(Withheld::NoSolution);
    facts.add(given(FactId::new("one_storm.fills_from_empty"), Unit::Millimetre, fills));
    Ok(())
}
