//! What the roofs deliver: each loss, each month, each year, and the effective coefficients. Litres.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::site_run::SiteRun;
use series::{Fact, FactId, Period, Unit, Volume, Withheld};
use site::losses::{CollectedRun, RoofDay};
use site::roof::{AgainstRange, Roof};
use stats::{QuantileDefinition, Summary, YearValue};

/// Where the rain on the roofs goes, in the order of the losses.
pub const LOSSES: [&str; 6] = ["snow", "wetting", "coefficient", "first_flush", "screen", "to_store"];

fn part(day: &RoofDay, name: &str) -> Volume {
    match name {
        "snow" => day.snow + day.snow_held_change,
        "wetting" => day.wetting,
        "coefficient" => day.coefficient,
        "first_flush" => day.first_flush,
        "screen" => day.screen,
        _ => day.to_store,
    }
}

/// Whether a roof's effective coefficient lies below or above the range published for its covering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct AgainstRanges {
    /// One at least lies below.
    pub below: bool,
    /// One at least lies above.
    pub above: bool,
}

/// Adds the facts of the supply.
pub(crate) fn supply(run: &SiteRun, collected: &CollectedRun, roofs: &[Roof], record: &str, facts: &mut Facts) -> AgainstRanges {
    let period = run.rain.period();
    let years = period.days() as f64 / site::constants::DAYS_PER_YEAR;
    let (filled, _) = run.filled_and_spread(period);
    let of_run = |fact: Fact| fact.during(Some(period)).from_record(record).over(period.days(), filled);
    let a_year = |volume: Volume| volume.get() / years;
    facts.add(of_run(Fact::number(FactId::new("supply.rain"), Unit::LitrePerYear, a_year(collected.total.rain))));
    for name in LOSSES {
        let id = FactId::new("supply.part").key("part", name);
        facts.add(of_run(Fact::number(id, Unit::LitrePerYear, a_year(part(&collected.total, name)))));
        let id = FactId::new("supply.part_share").key("part", name);
        let share = (collected.total.rain.get() > 0.0).then(|| part(&collected.total, name) / collected.total.rain);
        facts.add(of_run(given(id, Unit::Share, share.ok_or(Withheld::NothingAccepted))));
    }
    let effective = collected.total.effective_coefficient().ok_or(Withheld::NothingAccepted);
    facts.add(of_run(given(FactId::new("supply.effective_coefficient"), Unit::Share, effective)));
    let mut against = AgainstRanges::default();
    for (number, of_roof) in (1..).zip(collected.effective_coefficients(roofs)) {
        let id = FactId::new("roof.effective_coefficient").key("roof", number);
        let place = of_roof.and_then(|of_roof| of_roof.against_range);
        against.below |= place == Some(AgainstRange::Below);
        against.above |= place == Some(AgainstRange::Above);
        facts.add(of_run(given(id, Unit::Ratio, of_roof.map(|of_roof| of_roof.value).ok_or(Withheld::NothingAccepted))));
    }
    months_and_years(run, collected, &of_run, facts);
    against
}

/// Median, deciles and least of what reaches the store, by calendar month and by year, over the years that may be replayed.
fn months_and_years(run: &SiteRun, collected: &CollectedRun, of_run: &impl Fn(Fact) -> Fact, facts: &mut Facts) {
    let period = run.rain.period();
    let volume_in = |part: Period| -> Option<f64> {
        let from = usize::try_from(part.first.since(period.first)).ok()?;
        Some(collected.days.get(from..from + part.days())?.iter().map(|day| day.to_store.get()).sum())
    };
    let summarise = |parts: Vec<(i32, Period)>| {
        let values: Vec<YearValue> =
            parts.into_iter().filter_map(|(year, part)| Some(YearValue { year, value: volume_in(part)? })).collect();
        (values.len(), Summary::of(&values, QuantileDefinition::Type8))
    };
    let mut add = |stem: &str, unit, key: &dyn Fn(FactId) -> FactId, (n, summary): (usize, Result<Summary, Withheld>)| {
        let excluded = run.excluded_years.len();
        let of = |pick: fn(&Summary) -> Result<f64, Withheld>| summary.as_ref().map_err(Clone::clone).and_then(pick);
        let facts_of: [(&str, Result<f64, Withheld>); 5] = [
            ("mean", of(|s| Ok(s.mean))),
            ("median", of(|s| Ok(s.median))),
            ("lower_decile", of(|s| s.lower_decile.clone())),
            ("upper_decile", of(|s| s.upper_decile.clone())),
            ("least", of(|s| Ok(s.least.value))),
        ];
        for (name, value) in facts_of {
            facts.add(of_run(given(key(FactId::new(&format!("{stem}.{name}"))), unit, value)).over(n, excluded));
        }
        let year = of(|s| Ok(f64::from(s.least.year)));
        facts.add(of_run(given(key(FactId::new(&format!("{stem}.least_year"))), Unit::CalendarYear, year)).over(n, excluded));
    };
    for month in 1..=12 {
        let parts = run.accepted_years.iter().filter_map(|&year| {
            let first = series::Day::new(year, month, 1)?;
            Some((year, Period::new(first, first.plus(series::days_in_month(year, month) as i32 - 1))))
        });
        add("supply.month", Unit::Litre, &|id| id.key("month", month), summarise(parts.collect()));
    }
    let parts = run.accepted_years.iter().map(|&year| (year, Period::of_years(year, year)));
    add("supply.year", Unit::LitrePerYear, &|id| id, summarise(parts.collect()));
}
