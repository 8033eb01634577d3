//! What the proposed store would have done over the run, what other sizes would have, and the size that reaches the target.

use crate::climate_facts::given;
use crate::facts::Facts;
use series::{Fact, FactId, Period, Unit, UnitSystem, Volume, Withheld};
use site::balance::{BalanceTrace, ReleaseRule};
use site::daily_water::DailyWater;
use site::error::SiteError;
use site::reliability::{Reliability, longest_run_without_full_supply, years_of_supply};
use site::spin_up::{first_year_from_empty, scored};
use site::storage_curve::{CurvePoint, Measure, curve_sizes, further_steps, size_for_target, storage_curve};

/// The release rule of every headline.
pub const RULE: ReleaseRule = ReleaseRule::YieldAfterSpillage;

/// The unit in which sizes of stores are round numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SizeUnit {
    litres: f64,
    step: f64,
}

impl SizeUnit {
    /// Litres for a metric report, US gallons for the other.
    pub(crate) fn of(system: UnitSystem) -> Self {
        match system {
            UnitSystem::Metric => Self { litres: 1.0, step: 100.0 },
            UnitSystem::UsCustomary => Self { litres: series::LITRES_PER_US_GALLON, step: 25.0 },
        }
    }

    /// What a further step of storage is: 100 L or 25 gal. Litres.
    fn gain_step(self) -> f64 {
        self.litres * self.step
    }

    /// 1, 1.5, 2, 3, 5 and 7.5 times each power of ten of the unit from 100 up to the largest size.
    fn round_sizes(self, largest: Volume) -> Vec<Volume> {
        let mut sizes = Vec::new();
        let mut ten = 100.0;
        while ten * self.litres <= largest.get() {
            let steps = [1.0, 1.5, 2.0, 3.0, 5.0, 7.5].map(|step| Volume::new(step * ten * self.litres));
            sizes.extend(steps.into_iter().filter(|size| *size <= largest));
            ten *= 10.0;
        }
        sizes
    }
}

/// The store's run, day by day, and the curve over sizes.
#[derive(Debug, Clone)]
pub struct StoreResult {
    /// The scored run of the proposed store.
    pub trace: BalanceTrace,
    /// The curve on the whole run.
    pub curve: Vec<CurvePoint>,
    /// The upper end of the bracket for the same sizes.
    pub upper: Vec<CurvePoint>,
    /// The sizes of the curve that are round numbers in the report's unit.
    pub round_sizes: Vec<Volume>,
    /// The larger of the sizes for the target on the whole run and on the recent years.
    pub target: Option<Volume>,
    /// Whether the two differ by more than 15 %, or one of them reaches the target and the other does not.
    pub windows_differ: bool,
}

/// Whether the target is reached, and if no size reaches it, why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TargetOutcome {
    /// The proposed store reaches it.
    Reached,
    /// A larger one would.
    LargerStore,
    /// Less comes in than the target asks for.
    TooLittleRain,
    /// Enough comes in over the year, but the store is drained and rests in winter.
    WinterRest,
    /// Enough comes in, at other times than it is asked for.
    WrongTimes,
}

impl StoreResult {
    /// How the target stands to the proposed size, in a store that rests in winter or does not.
    pub fn target_outcome(&self, target: f64, rests: bool) -> TargetOutcome {
        let sums = &self.trace.summary;
        let wanted = sums.demand * target;
        match self.target {
            Some(size) if size <= sums.size => TargetOutcome::Reached,
            Some(_) => TargetOutcome::LargerStore,
            None if sums.inflow < wanted => TargetOutcome::TooLittleRain,
            None if rests => TargetOutcome::WinterRest,
            None => TargetOutcome::WrongTimes,
        }
    }
}

/// What the store is judged by.
#[derive(Debug, Clone, Copy)]
pub(crate) struct StoreQuestion<'a> {
    /// Water in and out, day by day.
    pub water: &'a DailyWater,
    /// Usable volume of the proposed store.
    pub size: Volume,
    /// Volumetric reliability wanted.
    pub target: f64,
    /// The last 30 accepted years, where they are not the whole run, and how many of their days were filled.
    pub recent: Option<(Period, usize)>,
    /// Years that may not be replayed.
    pub excluded_years: &'a [i32],
    /// The record that leads.
    pub record: &'a str,
    /// Days of the run that were filled.
    pub filled: usize,
    /// The unit in which the report's sizes are round.
    pub unit: SizeUnit,
}

/// Runs the store and adds its facts.
///
/// # Errors
/// When a volume has no meaning.
pub(crate) fn store(question: StoreQuestion, facts: &mut Facts) -> Result<StoreResult, SiteError> {
    let StoreQuestion { water, size, target, recent, record, filled, .. } = question;
    let period = water.period();
    let add = |facts: &mut Facts, fact: Fact| facts.add(fact.during(Some(period)).from_record(record).over(period.days(), filled));
    let trace = scored(water, size, RULE)?;
    let upper = scored(water, size, ReleaseRule::YieldBeforeSpillage)?;
    let (own, bracket) = (Reliability::of(&trace.summary), Reliability::of(&upper.summary));
    let ratio = |value: Option<f64>| value.ok_or(Withheld::NoDemand);

    let volumetric = given(FactId::new("store.reliability.volume"), Unit::Share, ratio(own.volumetric));
    add(facts, bracketed(volumetric, own.volumetric, bracket.volumetric));
    add(facts, given(FactId::new("store.reliability.time"), Unit::Share, ratio(own.time)));
    let spill_share = own.share_of_inflow_spilled.ok_or(Withheld::NothingAccepted);
    add(facts, given(FactId::new("store.spill_share"), Unit::Share, spill_share));
    add(facts, Fact::number(FactId::new("store.supplied_a_year"), Unit::LitrePerYear, own.supplied_per_year.get()));
    add(facts, Fact::number(FactId::new("store.spilled_a_year"), Unit::LitrePerYear, own.spilled_per_year.get()));
    add(facts, Fact::number(FactId::new("store.short_days_a_year"), Unit::Day, own.short_days_per_year));
    add(facts, Fact::number(FactId::new("store.no_water_days_a_year"), Unit::Day, own.no_water_days_per_year));
    let spill_days = trace.days.iter().filter(|day| day.spilled.get() > 0.0).count() as f64 / trace.summary.years();
    add(facts, Fact::number(FactId::new("store.spill_days_a_year"), Unit::Day, spill_days));
    let per_year = |volume: Volume| volume.get() / trace.summary.years();
    add(facts, Fact::number(FactId::new("store.inflow_a_year"), Unit::LitrePerYear, per_year(trace.summary.inflow)));
    add(facts, Fact::number(FactId::new("store.demand_a_year"), Unit::LitrePerYear, per_year(trace.summary.demand)));
    let not_taken = trace.summary.drained + trace.summary.bypassed;
    if not_taken.get() > 0.0 {
        add(facts, Fact::number(FactId::new("store.not_taken_a_year"), Unit::LitrePerYear, per_year(not_taken)));
    }
    add(facts, Fact::number(FactId::new("store.worst_residual"), Unit::Litre, trace.summary.worst_residual.get()));
    match longest_run_without_full_supply(&trace) {
        Some(run) => {
            add(facts, Fact::number(FactId::new("store.longest_short_run"), Unit::Day, run.short_days as f64));
            add(facts, Fact::date(FactId::new("store.longest_short_run.first_day"), run.period.first));
            add(facts, Fact::date(FactId::new("store.longest_short_run.last_day"), run.period.last));
        }
        None => add(facts, Fact::number(FactId::new("store.longest_short_run"), Unit::Day, 0.0)),
    }
    let first = Reliability::of(&first_year_from_empty(water, size, RULE)?.summary);
    add(facts, given(FactId::new("store.first_year.reliability"), Unit::Share, ratio(first.volumetric)));
    years(&trace, question, facts);

    let step = Volume::new(question.unit.gain_step());
    if let Some(gain) = further_steps(water, size, step, (0, 1), RULE)?.first() {
        add(facts, Fact::number(FactId::new("store.gain"), Unit::LitrePerYear, gain.supplied_more_per_year.get()));
        add(facts, Fact::number(FactId::new("store.gain_step"), Unit::Litre, step.get()));
    }

    add(facts, Fact::number(FactId::new("target.reliability"), Unit::Share, target));
    let sizes = curve_sizes(water, size)?;
    let target_whole = size_for_target(water, &storage_curve(water, &sizes, RULE)?, Measure::Volumetric, target, RULE)?;
    let mut target_recent = None;
    if let Some((recent, filled, water)) = recent.and_then(|(period, filled)| Some((period, filled, water.cut_to(period)?))) {
        let value = Reliability::of(&scored(&water, size, RULE)?.summary).volumetric;
        let fact = given(FactId::new("store.reliability.volume.recent"), Unit::Share, ratio(value));
        facts.add(fact.during(Some(recent)).from_record(record).over(recent.days(), filled));
        let sizes = curve_sizes(&water, size)?;
        let curve = storage_curve(&water, &sizes, RULE)?;
        target_recent = Some((recent, filled, size_for_target(&water, &curve, Measure::Volumetric, target, RULE)?));
    }
    let size_fact = |size: Option<Volume>| size.map(Volume::get).ok_or(Withheld::NoSolution);
    add(facts, given(FactId::new("target.size.whole"), Unit::Litre, size_fact(target_whole)));
    let (target, windows_differ) = match target_recent {
        None => (target_whole, false),
        Some((period, filled, recent)) => {
            let fact = given(FactId::new("target.size.recent"), Unit::Litre, size_fact(recent));
            facts.add(fact.during(Some(period)).from_record(record).over(period.days(), filled));
            match (target_whole, recent) {
                (Some(whole), Some(recent)) => {
                    let (least, most) = (whole.min(recent), whole.max(recent));
                    (Some(most), most.get() > 1.15 * least.get())
                }
                // The window that no size satisfies leads.
                (whole, recent) => (None, whole.is_some() != recent.is_some()),
            }
        }
    };
    add(facts, given(FactId::new("target.size"), Unit::Litre, size_fact(target)));

    let largest = sizes.iter().copied().fold(Volume::ZERO, Volume::max);
    // A round size beside the proposed one or the target would print the same digits twice.
    let named = |round: &Volume| [Some(size), target].into_iter().flatten().any(|own| (round.get() - own.get()).abs() <= 0.01 * own.get());
    let round_sizes: Vec<Volume> = question.unit.round_sizes(largest).into_iter().filter(|round| !named(round)).collect();
    let mut sizes: Vec<Volume> = sizes.into_iter().chain(round_sizes.iter().copied()).chain(target).collect();
    sizes.sort_by(|a, b| a.get().total_cmp(&b.get()));
    sizes.dedup();
    let curve = storage_curve(water, &sizes, RULE)?;
    let upper = storage_curve(water, &sizes, ReleaseRule::YieldBeforeSpillage)?;
    for (point, above) in curve.iter().zip(&upper) {
        let key = |method: &str| FactId::new(method).key("size", point.sums.size.get());
        let fact = given(key("curve.reliability.volume"), Unit::Share, ratio(point.reliability.volumetric));
        add(facts, bracketed(fact, point.reliability.volumetric, above.reliability.volumetric));
        add(facts, Fact::number(key("curve.size"), Unit::Litre, point.sums.size.get()));
        add(facts, Fact::number(key("curve.supplied_a_year"), Unit::LitrePerYear, point.reliability.supplied_per_year.get()));
        add(facts, Fact::number(key("curve.spilled_a_year"), Unit::LitrePerYear, point.reliability.spilled_per_year.get()));
        add(facts, Fact::number(key("curve.no_water_days_a_year"), Unit::Day, point.reliability.no_water_days_per_year));
    }
    Ok(StoreResult { trace, curve, upper, round_sizes, target, windows_differ })
}

/// A fact with the bracket of the two release rules, where both have a value.
fn bracketed(fact: Fact, after: Option<f64>, before: Option<f64>) -> Fact {
    match after.zip(before) {
        Some((after, before)) => fact.with_band(after, before, "after-and-before-spillage"),
        None => fact,
    }
}

/// Volumetric reliability of every year that may be judged: least, middle, most.
fn years(trace: &BalanceTrace, question: StoreQuestion, facts: &mut Facts) {
    let judged: Vec<(i32, f64)> = years_of_supply(trace)
        .into_iter()
        .filter(|year| year.whole && !question.excluded_years.contains(&year.year))
        .filter_map(|year| Some((year.year, year.volumetric()?)))
        .collect();
    let period = trace.period();
    let excluded = question.excluded_years.len();
    let of = |fact: Fact| fact.during(Some(period)).from_record(question.record).over(judged.len(), excluded);
    for (year, value) in &judged {
        let id = FactId::new("year.reliability").key("year", year);
        facts.add(Fact::number(id, Unit::Share, *value).during(Some(Period::of_years(*year, *year))).from_record(question.record));
    }
    // The earliest of equals.
    let pick = |better: fn(f64, f64) -> bool| judged.iter().copied().reduce(|best, next| if better(next.1, best.1) { next } else { best });
    let ends = [("worst", pick(|a, b| a < b)), ("best", pick(|a, b| a > b))];
    for (name, found) in ends {
        if let Some((year, value)) = found {
            facts.add(of(Fact::number(FactId::new(&format!("year.reliability.{name}")), Unit::Share, value)));
            facts.add(of(Fact::number(FactId::new(&format!("year.reliability.{name}_year")), Unit::CalendarYear, f64::from(year))));
        }
    }
    let values: Vec<f64> = judged.iter().map(|(_, value)| *value).collect();
    if let Ok(median) = stats::median(&values) {
        facts.add(of(Fact::number(FactId::new("year.reliability.median"), Unit::Share, median)));
    }
}
