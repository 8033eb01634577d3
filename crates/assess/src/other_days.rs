//! The answer had the days at the site been made otherwise: without neighbours, with the leading gauge's depths as measured, with totals on
//! their last day, with nothing added for what the gauge misses; and over the years in which nothing was filled. What filling did to the
//! answer is the difference.

use crate::alternative_facts::share_met_as;
use crate::climate_facts::given;
use crate::error::Error;
use crate::facts::Facts;
use crate::neighbour_choice::Wishes;
use crate::site_run::{Frost, SiteRun, site_run};
use series::{Fact, FactId, Unit, Volume, Withheld};
use site::balance::BalanceTrace;
use site::reliability::{YearOfSupply, years_of_supply};
use site::site_file::SiteFile;
use stats::{Filling, SiteGauges, SiteYear, TotalSpread};

/// How the days at the site are made.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SiteDaysWay<'a> {
    pub(crate) site: &'a SiteFile,
    pub(crate) gauges: SiteGauges<'a>,
    pub(crate) filling: Filling,
    pub(crate) frost: Frost,
    pub(crate) wishes: Wishes,
}

/// Adds the share met under each other way that would have made other days. `run` is what was made.
///
/// # Errors
/// When a volume has no meaning.
pub(crate) fn other_days(way: SiteDaysWay, run: &SiteRun, usable: Volume, record: &str, facts: &mut Facts) -> Result<(), Error> {
    let period = run.rain.period();
    let (_, spread) = run.filled_and_spread(period);
    let (from_neighbours, spread_as_neighbours) = run.from_neighbours(period);
    let gauges = way.gauges;
    let caught = way.wishes.caught();
    let even = TotalSpread::Even;
    let mut others = Vec::new();
    if spread > spread_as_neighbours {
        others.push(("totals_on_last_day", gauges, TotalSpread::LastDay));
    }
    if from_neighbours + spread_as_neighbours > 0 {
        others.push(("without_neighbours", SiteGauges { neighbours: &[], ..gauges }, even));
    }
    if gauges.factors != [caught; 12] {
        others.push(("amounts_as_measured", SiteGauges { factors: [caught; 12], ..gauges }, even));
    }
    if way.wishes.undercatch > 0.0 {
        facts.add(Fact::number(FactId::new("record.undercatch"), Unit::Share, way.wishes.undercatch));
        others.push(("undercatch_left", SiteGauges { factors: gauges.factors.map(|factor| factor / caught), ..gauges }, even));
    }
    for (name, gauges, spread) in others {
        let no_run = |why| Error::NoRun { station: record.to_owned(), why };
        let other = site_run(gauges, Filling { spread, ..way.filling }, way.site.records.period, way.frost).map_err(no_run)?;
        let id = FactId::new(&format!("store.reliability.volume.{name}"));
        share_met_as(id, way.site, &other, &way.site.roofs(), usable, record, facts)?;
    }
    Ok(())
}

/// The share met over those years of the run, whole and accepted, of which no day was filled.
pub(crate) fn unfilled_years(run: &SiteRun, trace: &BalanceTrace, record: &str, facts: &mut Facts) {
    let unfilled = |year: i32| {
        let of_year = |one: &&SiteYear| one.year == year && one.filled == 0;
        run.accepted_years.contains(&year) && run.series.years.iter().any(|one| of_year(&one))
    };
    let years: Vec<YearOfSupply> = years_of_supply(trace).into_iter().filter(|year| year.whole && unfilled(year.year)).collect();
    let sum = |of: fn(&YearOfSupply) -> f64| years.iter().map(of).sum::<f64>();
    let (met, wanted) = (sum(|year| year.sums.supplied.get()), sum(|year| year.sums.demand.get()));
    let share =
        if years.is_empty() { Err(Withheld::NothingAccepted) } else { (wanted > 0.0).then_some(met / wanted).ok_or(Withheld::NoDemand) };
    let of = |fact: Fact| fact.during(Some(trace.period())).from_record(record);
    facts.add(of(given(FactId::new("store.reliability.volume.unfilled_years"), Unit::Share, share)));
    facts.add(of(Fact::number(FactId::new("run.unfilled_years"), Unit::Year, years.len() as f64)));
}
