//! The facts of the site itself: roofs, stores, demand, weight, flow, money, and how long a full store lasts. None rests on a record.

use crate::climate_facts::given;
use crate::facts::Facts;
use series::{Fact, FactId, Unit, Volume, Withheld};
use site::error::SiteError;
use site::site_file::SiteFile;
use site::water_path::{FlowCheck, PathRow, StatedCapacities, water_path};
use site::{Demand, Fit, RaisedCaution, base_load, cautions, demand, fit, full_tank, store};

/// What the site file leads to without any rain.
#[derive(Debug, Clone)]
pub struct SiteResult {
    /// Usable volume of all stores.
    pub usable: Volume,
    /// The flow rows.
    pub path: Vec<PathRow>,
    /// Whether each kind of tank goes into the stated room, in the order of the stores.
    pub fits: Vec<Fit>,
    /// The cautions, those of page one first.
    pub cautions: Vec<RaisedCaution>,
}

/// A common year that begins on a Monday, for sums over a year by month and weekday.
const COMMON_YEAR: i32 = 2001;

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
    facts.add(Fact::number(FactId::new("store.usable"), Unit::Litre, usable.get()));
    facts.add(Fact::number(FactId::new("store.nominal.total"), Unit::Litre, store::nominal_volume(&stores).get()));

    demand_facts(&demands, facts);
    full_store(usable, &demands, facts)?;

    let path = water_path(&roofs, &stores, file.official.as_ref().map(|official| &official.value), StatedCapacities::default())?;
    for (number, row) in (1..).zip(&path) {
        let flow = match row.flow {
            FlowCheck::Computed(flow) => Ok(flow.get()),
            FlowCheck::NotAssessable(_) => Err(Withheld::NoOfficialIntensity),
        };
        facts.add(given(FactId::new("flow.design").key("row", number), Unit::LitrePerSecond, flow));
    }

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
    Ok(SiteResult { usable, path, fits, cautions })
}

fn demand_facts(demands: &[Demand], facts: &mut Facts) {
    facts.add(Fact::number(FactId::new("demand.year"), Unit::LitrePerYear, demand::annual_demand(demands, COMMON_YEAR).get()));
    for month in 1..=12 {
        if let Some(first) = series::Day::new(COMMON_YEAR, month, 1) {
            let days = series::days_in_month(COMMON_YEAR, month) as i32;
            let volume = demand::demand_in(demands, series::Period::new(first, first.plus(days - 1)));
            facts.add(Fact::number(FactId::new("demand.month").key("month", month), Unit::Litre, volume.get()));
        }
    }
}

fn full_store(usable: Volume, demands: &[Demand], facts: &mut Facts) -> Result<(), SiteError> {
    let mut shortest: Option<u32> = None;
    for lasts in full_tank::full_store_lasts(usable, demands, COMMON_YEAR)? {
        let id = FactId::new("full_store.days").key("month", lasts.from.month());
        // A store that is not emptied within a year has no number of days.
        facts.add(given(id, Unit::Day, lasts.days.map(f64::from).ok_or(Withheld::NoDemand)));
        shortest = match (shortest, lasts.days) {
            (Some(least), Some(days)) => Some(least.min(days)),
            (one, other) => one.or(other),
        };
    }
    facts.add(given(FactId::new("full_store.shortest"), Unit::Day, shortest.map(f64::from).ok_or(Withheld::NoDemand)));
    Ok(())
}

/// Adds the money facts; they need the supply, so they come last. Returns whether there is anything to show.
pub(crate) fn money(file: &SiteFile, facts: &mut Facts) -> bool {
    let tariff = match (file.supply.tariff_per_m3, file.supply.sewer_per_m3) {
        (None, None) => None,
        (water, sewer) => Some(water.unwrap_or(0.0) + sewer.unwrap_or(0.0)),
    };
    let cost = (!file.costs.is_empty()).then(|| file.costs.iter().map(|cost| cost.amount).sum::<f64>());
    if tariff.is_none() && cost.is_none() {
        return false;
    }
    let not_given = |key: &str| Withheld::NotGiven { key: key.to_owned() };
    let supplied = facts.number("store.supplied_a_year");
    let value = tariff.zip(supplied).map(|(tariff, litres)| tariff * litres / 1000.0);
    facts.add(given(FactId::new("money.water_value_a_year"), Unit::Currency, value.ok_or_else(|| not_given("supply.tariff_per_m3"))));
    facts.add(given(FactId::new("money.cost"), Unit::Currency, cost.ok_or_else(|| not_given("cost"))));
    let years = match (cost, value) {
        (Some(cost), Some(value)) if value > 0.0 => Ok(cost / value),
        (Some(_), Some(_)) => Err(Withheld::NoSolution),
        (None, _) => Err(not_given("cost")),
        (_, None) => Err(not_given("supply.tariff_per_m3")),
    };
    facts.add(given(FactId::new("money.years_to_repay"), Unit::Year, years));
    true
}
