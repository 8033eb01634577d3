//! The facts of the site itself: roofs, stores, demand, weight, flow, money, and how long a full store lasts. None rests on a record.

use crate::climate_facts::given;
use crate::facts::Facts;
use series::{Fact, FactId, Unit, Volume, Withheld};
use site::error::SiteError;
use site::site_file::{Cost, SiteFile};
use site::water_path::{FlowCheck, PathRow, StatedCapacities, water_path};
use site::{Demand, Fit, RaisedCaution, WinterRule, base_load, cautions, fit, footprint, full_tank, ground, store};

/// What the site file leads to without any rain.
#[derive(Debug, Clone)]
pub struct SiteResult {
    /// Usable volume of all stores.
    pub usable: Volume,
    /// The flow rows.
    pub path: Vec<PathRow>,
    /// Whether each kind of tank goes into the stated room, in the order of the stores.
    pub fits: Vec<Fit>,
    /// Whether as many tanks as the target takes go into the stated room, where there is one kind and a room is stated.
    pub target_fit: Option<Fit>,
    /// The cautions, those of page one first.
    pub cautions: Vec<RaisedCaution>,
}

/// A common year that begins on a Monday, for what needs a calendar by month and weekday.
const COMMON_YEAR: i32 = 2001;

/// Days of each month in a mean Gregorian year (97 leap years in 400).
const MEAN_DAYS: [f64; 12] = [31.0, 28.2425, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// Adds the facts of the site.
///
/// # Errors
/// When a number of the site has no meaning.
pub(crate) fn site(file: &SiteFile, facts: &mut Facts) -> Result<SiteResult, SiteError> {
    let (roofs, stores, demands) = (file.roofs(), file.stores(), file.demands());
    for (number, roof) in (1..).zip(&roofs) {
        let key = |method: &str| FactId::new(method).key("roof", number);
        facts.add(Fact::number(key("roof.plan_area"), Unit::SquareMetre, roof.plan_area.get()));
        facts.add(Fact::number(key("roof.coefficient"), Unit::Ratio, roof.runoff_coefficient.share()));
        facts.add(Fact::number(key("roof.wetting_loss"), Unit::Millimetre, roof.wetting_loss.get()));
    }
    facts.add(Fact::number(FactId::new("roof.plan_area.total"), Unit::SquareMetre, file.plan_area().get()));

    let usable = store::usable_volume(&stores)?;
    for (number, one) in (1..).zip(&stores) {
        let key = |method: &str| FactId::new(method).key("store", number);
        facts.add(Fact::number(key("store.nominal"), Unit::Litre, one.nominal.get()));
        facts.add(Fact::number(key("store.dead"), Unit::Litre, one.dead.get()));
        facts.add(Fact::number(key("store.above_overflow"), Unit::Litre, one.above_overflow.get()));
        facts.add(Fact::number(key("store.usable_of_one"), Unit::Litre, one.usable_of_one()?.get()));
        facts.add(Fact::number(key("store.count"), Unit::Count, f64::from(one.count)));
        let load = base_load::base_load(one)?;
        facts.add(Fact::number(key("base.mass"), Unit::Kilogram, load.full.get()));
        let missing = |what: &str| Withheld::NotGiven { key: what.to_owned() };
        let pressure = load.contact_pressure.map(series::Pressure::get).ok_or_else(|| missing("store.footprint"));
        facts.add(given(key("base.pressure"), Unit::Kilopascal, pressure));
        facts.add(given(key("base.height_to_width"), Unit::Ratio, load.height_to_width.ok_or_else(|| missing("store.diameter"))));
    }
    let masses =
        (1..).zip(&stores).filter_map(|(number, one)| Some(facts.number(&format!("base.mass/store={number}"))? * f64::from(one.count)));
    let mass = masses.fold(0.0, |sum, one| sum + one);
    facts.add(Fact::number(FactId::new("base.mass.total"), Unit::Kilogram, mass));
    facts.add(Fact::number(FactId::new("store.usable"), Unit::Litre, usable.get()));
    facts.add(Fact::number(FactId::new("store.nominal.total"), Unit::Litre, store::nominal_volume(&stores).get()));

    demand_facts(&demands, facts);
    full_store(usable, &demands, file.winter.rule, facts)?;

    let path = water_path(&roofs, &stores, file.official.as_ref().map(|official| &official.value), StatedCapacities::default())?;
    for (number, row) in (1..).zip(&path) {
        let flow = match row.flow {
            FlowCheck::Computed(flow) => Ok(flow.get()),
            FlowCheck::NotAssessable(_) => Err(Withheld::NoOfficialIntensity),
        };
        facts.add(given(FactId::new("flow.design").key("row", number), Unit::LitrePerSecond, flow));
    }

    places(file, facts);
    let buried = if file.stores.iter().any(|entry| entry.buried == Some(true)) {
        Some(true)
    } else {
        file.stores.iter().all(|entry| entry.buried == Some(false)).then_some(false)
    };
    let cautions = cautions::cautions(&cautions::CautionSite {
        roofs: &roofs,
        stores: &stores,
        surroundings: &file.surroundings,
        top_up: file.supply.top_up,
        pump: file.supply.pump,
        buried,
        vegetables: None,
    });
    let fits = stores.iter().map(|store| fit::fit(store, &file.space)).collect::<Result<_, _>>()?;
    Ok(SiteResult { usable, path, fits, target_fit: None, cautions })
}

/// Distances on the ground, where the site file gives the places.
fn places(file: &SiteFile, facts: &mut Facts) {
    let nearest =
        [("ground.store_to_boundary", footprint::nearest_to_boundary(file)), ("ground.overflow_to_wall", footprint::nearest_to_wall(file))];
    for (method, nearest) in nearest {
        if let Some(nearest) = nearest {
            facts.add(Fact::number(FactId::new(method), Unit::Metre, nearest.distance));
        }
    }
    for (number, entry) in (1..).zip(&file.stores) {
        if !entry.layout.overflow_path.is_empty() {
            let length = ground::length(&entry.layout.overflow_path);
            facts.add(Fact::number(FactId::new("ground.overflow_way").key("store", number), Unit::Metre, length));
        }
    }
}

/// The mean over many years: days of the month (28.2425 in February) by the share of weekdays drawn on, so that no one year's calendar counts.
fn demand_facts(demands: &[Demand], facts: &mut Facts) {
    let mut year = 0.0;
    for (month, days) in (1..).zip(MEAN_DAYS) {
        let daily = |demand: &Demand| {
            let drawn = demand.weekdays.iter().filter(|drawn| **drawn).count() as f64 / 7.0;
            demand.daily_by_month.get(month as usize - 1).map_or(0.0, |volume| volume.get()) * drawn
        };
        let volume = days * demands.iter().map(daily).fold(0.0, |sum, one| sum + one);
        year += volume;
        facts.add(Fact::number(FactId::new("demand.month").key("month", month), Unit::Litre, volume));
    }
    facts.add(Fact::number(FactId::new("demand.year"), Unit::LitrePerYear, year));
}

fn full_store(usable: Volume, demands: &[Demand], winter: WinterRule, facts: &mut Facts) -> Result<(), SiteError> {
    let mut shortest: Option<u32> = None;
    for lasts in full_tank::full_store_lasts(usable, demands, winter, COMMON_YEAR)? {
        let id = FactId::new("full_store.days").key("month", lasts.from.month());
        // A store that rests is empty; one that is not emptied within a year has no number of days.
        let none = if lasts.resting { Withheld::Resting } else { Withheld::NotWithinAYear };
        facts.add(given(id, Unit::Day, lasts.days.map(f64::from).ok_or(none)));
        shortest = match (shortest, lasts.days) {
            (Some(least), Some(days)) => Some(least.min(days)),
            (one, other) => one.or(other),
        };
    }
    facts.add(given(FactId::new("full_store.shortest"), Unit::Day, shortest.map(f64::from).ok_or(Withheld::NotWithinAYear)));
    Ok(())
}

/// Adds the money facts; they need the supply, so they come last. Returns whether there is anything to show.
pub(crate) fn money(file: &SiteFile, facts: &mut Facts) -> bool {
    let tariff = match (file.supply.tariff_per_m3, file.supply.sewer_per_m3) {
        (None, None) => None,
        (water, sewer) => Some(water.unwrap_or(0.0) + sewer.unwrap_or(0.0)),
    };
    // A grant or rebate is a cost below zero; it is shown apart and never counted on. A cost that recurs is a yearly one.
    let sum = |amounts: &mut dyn Iterator<Item = f64>| amounts.fold(0.0, |sum, one| sum + one);
    let once = |cost: &&Cost| cost.every_years.is_none();
    let cost = (!file.costs.is_empty()).then(|| sum(&mut file.costs.iter().filter(once).map(|cost| cost.amount.max(0.0))));
    let grants = sum(&mut file.costs.iter().filter(once).map(|cost| (-cost.amount).max(0.0)));
    let yearly = |cost: &Cost| cost.every_years.filter(|years| *years > 0.0).map(|years| cost.amount / years);
    let upkeep = sum(&mut file.costs.iter().filter_map(yearly));
    if tariff.is_none() && cost.is_none() {
        return false;
    }
    let not_given = |key: &str| Withheld::NotGiven { key: key.to_owned() };
    let supplied = facts.number("store.supplied_a_year");
    let value = tariff.zip(supplied).map(|(tariff, litres)| tariff * litres / 1000.0);
    facts.add(given(FactId::new("money.water_value_a_year"), Unit::Currency, value.ok_or_else(|| not_given("supply.tariff_per_m3"))));
    facts.add(given(FactId::new("money.cost"), Unit::Currency, cost.ok_or_else(|| not_given("cost"))));
    if cost.is_some() {
        // What recurs is bought at the start too.
        let outlay = sum(&mut file.costs.iter().map(|cost| cost.amount.max(0.0)));
        facts.add(Fact::number(FactId::new("money.outlay"), Unit::Currency, outlay));
    }
    if grants > 0.0 {
        facts.add(Fact::number(FactId::new("money.grants"), Unit::Currency, grants));
    }
    if upkeep != 0.0 {
        facts.add(Fact::number(FactId::new("money.upkeep_a_year"), Unit::Currency, upkeep));
    }
    let years = match (cost, value) {
        (Some(0.0), Some(_)) | (None, _) => Err(not_given("cost")),
        (Some(cost), Some(value)) if value > upkeep => Ok(cost / (value - upkeep)),
        (Some(_), Some(_)) => Err(Withheld::Never),
        (_, None) => Err(not_given("supply.tariff_per_m3")),
    };
    facts.add(given(FactId::new("money.years_to_repay"), Unit::Year, years));
    true
}

/// How many tanks of the proposed kind hold the size for the target, and whether so many go into the room; where there is one kind of tank only.
pub(crate) fn target_tanks(file: &SiteFile, target: Option<Volume>, facts: &mut Facts) -> Result<Option<Fit>, SiteError> {
    let stores = file.stores();
    let (Some(size), [only]) = (target, stores.as_slice()) else { return Ok(None) };
    let one = only.usable_of_one()?;
    if one.get() <= 0.0 {
        return Ok(None);
    }
    let tanks = (size / one - 1e-9).ceil().max(1.0);
    facts.add(Fact::number(FactId::new("target.tanks"), Unit::Count, tanks));
    let many = site::Store { count: tanks as u32, ..only.clone() };
    Ok(Some(fit::fit(&many, &file.space)?))
}
