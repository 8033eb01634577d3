//! The facts of the great rains: annual maxima over one to three days, their fit, and depths by return period.
//!
//! Depths are of the record's own observation days. No factor to 24 hours is applied, and no depth becomes an intensity.

use crate::climate_facts::given;
use crate::facts::Facts;
use series::{DailySeries, Depth, Fact, FactId, Period, Unit, Withheld};
use stats::{AnnualMaxima, AtSiteStorm, YearRule};

/// Return periods in years.
pub const RETURN_PERIODS: [u32; 6] = [2, 5, 10, 25, 50, 100];
/// The longest storm, days.
pub const LONGEST_STORM: u32 = 3;
/// The years over which the chance of a storm is told in words.
pub(crate) const CHANCE_YEARS: [u32; 3] = [10, 20, 30];

/// Maxima and fit for storms of one, two and three days.
#[derive(Debug, Clone)]
pub struct Storms {
    /// By length, one day first.
    pub by_length: Vec<(AnnualMaxima, Result<AtSiteStorm, Withheld>)>,
}

/// Finds the maxima, fits them and adds their facts.
pub(crate) fn storms(rain: &DailySeries, rule: YearRule, facts: &mut Facts) -> Storms {
    let by_length = stats::storms(rain, LONGEST_STORM, rule);
    let fits: Vec<_> = by_length.iter().map(|(_, fit)| fit.clone()).collect();
    let (period, record) = (rain.period(), rain.station.id.as_str());
    for (maxima, fit) in &by_length {
        let accepted = maxima.accepted().count();
        let over = |fact: Fact| fact.during(period).from_record(record).over(accepted, maxima.years.len() - accepted);
        let key = |method: &str| FactId::new(method).key("days", maxima.window);
        facts.add(over(Fact::number(key("storm.years"), Unit::Year, accepted as f64)));
        for (year, day, micrometres) in maxima.accepted() {
            let of_year = Some(Period::of_years(year, year));
            let depth = Fact::number(key("storm.maximum").key("year", year), Unit::Millimetre, Depth::from_micrometres(micrometres).get());
            facts.add(depth.during(of_year).from_record(record));
            facts.add(Fact::date(key("storm.maximum_day").key("year", year), day).during(of_year).from_record(record));
        }
        for years in RETURN_PERIODS {
            // Of the length at hand among those that agree: more days never bring less rain.
            let length = maxima.window as usize - 1;
            let of = |depths: Vec<Result<f64, Withheld>>| depths.into_iter().nth(length).unwrap_or(Err(Withheld::NoSolution));
            let depth = |method: &str, value: Result<f64, Withheld>| over(given(key(method).key("years", years), Unit::Millimetre, value));
            facts.add(depth("storm.depth", of(stats::consistent_depths(&fits, f64::from(years)))));
            facts.add(depth("storm.depth_gumbel", of(stats::consistent_gumbel_depths(&fits, f64::from(years)))));
        }
        let none = if maxima.extent.is_gauge() { Withheld::NoSolution } else { Withheld::ArealMean };
        let moment = |method: &str, unit, value: Option<f64>| over(given(key(method), unit, value.ok_or(none.clone())));
        let moments = fit.as_ref().ok().map(|fit| &fit.moments);
        facts.add(moment("storm.l_moment_mean", Unit::Millimetre, moments.map(|m| m.l1)));
        facts.add(moment("storm.l_scale", Unit::Millimetre, moments.map(|m| m.l2)));
        facts.add(moment("storm.l_skewness", Unit::Ratio, moments.map(|m| m.t3)));
        facts.add(moment("storm.shape", Unit::Ratio, fit.as_ref().ok().map(|fit| fit.generalized_extreme_value.shape)));
    }
    for years in RETURN_PERIODS {
        for within in CHANCE_YEARS {
            let chance = stats::chance_within(f64::from(years), within).map_err(|_| Withheld::NoSolution);
            facts.add(given(FactId::new("storm.chance").key("years", years).key("within", within), Unit::Share, chance));
        }
    }
    Storms { by_length }
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Day, Extent, FactValue, Reading, Station};

    #[test]
    fn the_mean_of_an_area_has_no_storm_facts() {
        let readings = (0..366 * 30).map(|i| Reading::measured(i % 977)).collect();
        let mut rain = DailySeries::new(Station::default(), Day::first_of_year(1961), readings);
        let value = |rain: &DailySeries, id: &str| {
            let mut facts = Facts::default();
            storms(rain, YearRule::default(), &mut facts);
            facts.get(id).map(|fact| fact.value.clone())
        };
        assert!(matches!(value(&rain, "storm.depth/days=1,years=10"), Some(FactValue::Number(_))));
        rain.extent = Extent::ArealMean;
        for id in ["storm.depth/days=1,years=10", "storm.depth_gumbel/days=3,years=2", "storm.l_moment_mean/days=2"] {
            assert_eq!(value(&rain, id), Some(FactValue::Withheld(Withheld::ArealMean)), "{id}");
        }
        assert_eq!(value(&rain, "storm.maximum/days=1,year=1961"), None);
    }

    #[test]
    fn the_chance_of_a_storm_in_words() {
        // TRADE section 4 "risk wording" (computed there): 20-year event in 20 years 64 %, 100-year in 20 years 18 %.
        // Here the 25- and 100-year events: 1 - 0.96^20 = 0.558 (plain arithmetic), 0.182.
        let mut facts = Facts::default();
        storms(&DailySeries::default(), YearRule::default(), &mut facts);
        let chance = |id: &str| (facts.number(id).unwrap() * 1000.0).round();
        assert_eq!(chance("storm.chance/years=25,within=20"), 558.0);
        assert_eq!(chance("storm.chance/years=100,within=20"), 182.0);
    }
}
