//! Which gauges beside the lead have a say at the site, in what, and why the others have none.
//!
//! Asked are the gauges (no areal mean) within 75 km of the site, the nearest four; where no place is known, the first four by id. Of those
//!
//! * a gauge **stands in** for the lead (fills its gaps, tells how its totals fell) when its days are like the lead's: correlation of 0.3 or
//!   more over two years in common, rain of a third to three times the lead's over five; the most alike is asked first;
//! * a gauge **has weight** in the site's amounts when places are known and it has ten years of days in common with the lead (nine
//!   tenths of them do).
//!
//! The limits are ours; what is done with the gauges is DESIGN section 6's. Dates are moved only where both records say which 24 hours they
//! mean, or the site file states it.

use crate::gauge_stock::{GaugePair, GaugeStock};
use crate::prepared_records::Prepared;
use crate::station_choice::{Place, east_north_km};
use ingest::{azimuth_degrees, distance_km};
use serde::Serialize;
use series::Withheld;
use stats::{DayAlignment, GaugeAmounts, GaugeRatios, NeighbourGauge, PatternAgreement, SiteAmounts, normals_are_alike, site_amounts};

/// Most gauges beside the lead.
pub(crate) const MOST_BESIDE: usize = 4;
/// How far from the site they may be, km.
pub const REACH_KM: f64 = 75.0;
/// Least correlation of the days of a gauge that stands in for the lead.
const LEAST_CORRELATION: f64 = 0.3;
/// Least and greatest rain of the lead over that of a gauge that stands in for it.
const COMPARABLE: (f64, f64) = (1.0 / 3.0, 3.0);
/// Years of days in common that a gauge with a weight needs.
const WEIGHT_NEEDS_YEARS: u32 = 10;

/// Why a gauge has no say.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoSay {
    /// The site file leaves it out.
    LeftOut,
    /// The site file wants no neighbours, or the lead's amounts as measured.
    NotWanted,
    /// It is the mean of an area, or the lead is: days of the two are of another kind.
    ArealMean,
    /// It is further than 75 km from the site.
    OutOfReach,
    /// Four others are nearer.
    OthersNearer,
    /// Too few years in common.
    TooFewYears {
        /// Years in common.
        have: u32,
        /// Years needed.
        need: u32,
    },
    /// Its days say too little of the lead's.
    Unlike,
    /// It brings less than a third, or more than three times, the rain.
    OtherRain,
    /// Its place or the lead's is not known.
    NoPlace,
    /// It stands where another gauge does and agrees with it day by day: it is the same one.
    SameGauge,
}

/// A gauge beside the lead.
#[derive(Debug, Clone, Serialize)]
pub struct GaugeBeside {
    /// The station.
    pub id: String,
    /// Its place among the records that were prepared.
    #[serde(skip)]
    pub(crate) prepared: usize,
    /// How its dates lie beside the lead's.
    pub alignment: DayAlignment,
    /// How like the lead's its days are.
    pub agreement: Result<PatternAgreement, Withheld>,
    /// The lead's rain over its own.
    pub ratios: Result<GaugeRatios, Withheld>,
    /// Whether it stands in for the lead, and why not.
    pub stands_in: Result<(), NoSay>,
    /// Its weight in the site's amounts, and why it has none.
    pub weight: Result<f64, NoSay>,
}

/// The lead and the gauges about it.
#[derive(Debug, Clone, Serialize)]
pub struct NeighbourChoice {
    /// The gauges beside the lead, nearest to the site first.
    pub beside: Vec<GaugeBeside>,
    /// What they say of the site's amounts; nothing where the lead's are taken as measured.
    pub amounts: Option<SiteAmounts>,
    /// The site's rain over the lead's, January to December; what gauges miss is not in it.
    pub factors: [f64; 12],
    /// Whether the rain of every gauge with a weight lies within a tenth of the lead's, so that their plain mean would do (CHECKS A5.5).
    pub alike: bool,
}

/// What the site file wants of neighbours.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wishes {
    /// They may stand in.
    pub(crate) stand_in: bool,
    /// The site's amounts are estimated.
    pub(crate) amounts: bool,
    /// Share of the rain that a gauge misses.
    pub(crate) undercatch: f64,
}

impl Wishes {
    /// What each depth is multiplied by for what the gauge missed.
    pub(crate) fn caught(self) -> f64 {
        1.0 / (1.0 - self.undercatch)
    }
}

impl NeighbourChoice {
    /// The neighbours of the record `lead` for a place, among the records at `others`.
    pub(crate) fn new(stock: &GaugeStock, lead: usize, others: &[usize], place: Place, wishes: Wishes) -> Self {
        let mut beside: Vec<GaugeBeside> = others.iter().map(|&other| gauge_beside(stock, lead, other, wishes)).collect();
        let amounts = amounts(&stock.records, lead, &mut beside, place, wishes);
        let factors = amounts.as_ref().map_or([1.0; 12], |amounts| amounts.factors);
        let over_lead = |gauge: &GaugeBeside| Some(1.0 / gauge.ratios.as_ref().ok().filter(|_| gauge.weight.is_ok())?.annual);
        let over_lead: Vec<f64> = beside.iter().filter_map(over_lead).collect();
        let alike = amounts.is_some() && normals_are_alike(1.0, &over_lead);
        Self { beside, amounts, factors, alike }
    }

    /// Those that stand in for the lead, the most alike first.
    pub(crate) fn standing_in<'r>(&self, stock: &'r GaugeStock) -> Vec<NeighbourGauge<'r>> {
        let mut standing: Vec<(f64, NeighbourGauge<'r>)> = self
            .beside
            .iter()
            .filter(|beside| beside.stands_in.is_ok())
            .filter_map(|beside| Some((beside.agreement.as_ref().ok()?.correlation, gauge(&stock.records, beside)?)))
            .collect();
        // The nearer of equals, as they come.
        standing.sort_by(|a, b| b.0.total_cmp(&a.0));
        standing.into_iter().map(|(_, gauge)| gauge).collect()
    }
}

fn gauge<'r>(records: &'r [Prepared], beside: &GaugeBeside) -> Option<NeighbourGauge<'r>> {
    let ratios = beside.ratios.as_ref().ok()?.months;
    Some(NeighbourGauge { series: &records[beside.prepared].record.rain, ratios, days_later: beside.alignment.days_later() })
}

fn gauge_beside(stock: &GaugeStock, lead: usize, other: usize, wishes: Wishes) -> GaugeBeside {
    let GaugePair { alignment, agreement, ratios } = stock.pair(lead, other);
    let stands_in = stands_in(wishes, &agreement, &ratios);
    let id = stock.records[other].id().to_owned();
    GaugeBeside { id, prepared: other, alignment, agreement, ratios, stands_in, weight: Err(NoSay::NotWanted) }
}

fn no_say(why: &Withheld) -> NoSay {
    match why {
        Withheld::TooFewYears { have, need } => NoSay::TooFewYears { have: *have, need: *need },
        _ => NoSay::OtherRain,
    }
}

fn stands_in(wishes: Wishes, agreement: &Result<PatternAgreement, Withheld>, ratios: &Result<GaugeRatios, Withheld>) -> Result<(), NoSay> {
    if !wishes.stand_in {
        return Err(NoSay::NotWanted);
    }
    let agreement = agreement.as_ref().map_err(no_say)?;
    let ratios = ratios.as_ref().map_err(no_say)?;
    if agreement.correlation < LEAST_CORRELATION {
        return Err(NoSay::Unlike);
    }
    if (COMPARABLE.0..=COMPARABLE.1).contains(&ratios.annual) { Ok(()) } else { Err(NoSay::OtherRain) }
}

/// The site's amounts from the lead and the gauges that may have a weight, which each then gets.
fn amounts(records: &[Prepared], lead: usize, beside: &mut [GaugeBeside], place: Place, wishes: Wishes) -> Option<SiteAmounts> {
    if !wishes.amounts {
        return None;
    }
    let of = |prepared: usize, ratios: [f64; 12], annual: f64| {
        let station = &records[prepared].record.rain.station;
        let (here, there) = ((place.latitude, place.longitude), station.position()?);
        let east_north_km = east_north_km(distance_km(here, there), azimuth_degrees(here, there));
        Some(GaugeAmounts { ratios, annual, east_north_km, height_m: station.elevation })
    };
    let Some(own) = of(lead, [1.0; 12], 1.0) else {
        for gauge in beside {
            gauge.weight = Err(NoSay::NoPlace);
        }
        return None;
    };
    let mut gauges = vec![own];
    let mut weighted = Vec::new();
    for (at, gauge) in beside.iter_mut().enumerate() {
        gauge.weight = Err(match &gauge.ratios {
            Err(why) => no_say(why),
            Ok(ratios) if ratios.common_years() < 0.9 * f64::from(WEIGHT_NEEDS_YEARS) => {
                NoSay::TooFewYears { have: ratios.common_years().round() as u32, need: WEIGHT_NEEDS_YEARS }
            }
            Ok(ratios) if !(COMPARABLE.0..=COMPARABLE.1).contains(&ratios.annual) => NoSay::OtherRain,
            Ok(ratios) => {
                let ratios = ratios.inverse();
                if let Some(one) = of(gauge.prepared, ratios.months, ratios.annual) {
                    gauges.push(one);
                    weighted.push(at);
                }
                NoSay::NoPlace
            }
        });
    }
    let found = site_amounts(&gauges, place.elevation)?;
    for (at, weight) in weighted.into_iter().zip(&found.weights[1..]) {
        beside[at].weight = Ok(*weight);
    }
    (gauges.len() > 1).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records_at_hand::RecordsAtHand;
    use crate::test_records::read;
    use ingest::StationRecord;
    use series::{DayDefinition, DayLabel};
    use site::site_file::{GaugeRule, Typed};
    use testkit::DlyText;

    const PLACE: Place = Place { latitude: 50.0, longitude: 0.0, elevation: None };
    const ALL: Wishes = Wishes { stand_in: true, amounts: true, undercatch: 0.0 };

    /// `years` years from 2001 on of one invented weather, `late` days late and times `factor`; so many tenths of a degree north.
    fn record(id: &str, north: Option<f64>, years: i32, late: usize, factor: f64) -> StationRecord {
        let days = series::Day::first_of_year(2001 + years).since(series::Day::first_of_year(2001)) as usize;
        let mut draws = testkit::draws::Draws::new(5);
        let weather = (0..days).map(|_| if draws.chance(0.3) { 1.0 + draws.exponential(7.0) } else { 0.0 });
        let depths: Vec<Option<f64>> = std::iter::repeat_n(0.0, late).chain(weather).take(days).map(|depth| Some(depth * factor)).collect();
        let mut record = read(&DlyText::new(id).rain_run_mm((2001, 1, 1), &depths));
        record.rain.station.latitude = north.map(|tenths| 50.0 + tenths / 10.0);
        record.rain.station.longitude = north.map(|_| 0.0);
        record
    }

    fn stock(records: &[StationRecord], rules: &[GaugeRule]) -> GaugeStock {
        let at_hand = RecordsAtHand::new(records, rules);
        GaugeStock::new(records.iter().enumerate().map(|(at, record)| Prepared::new(at, record, &at_hand)).collect())
    }

    fn rule(id: &str, days_later: Option<i32>, left_out: bool) -> GaugeRule {
        GaugeRule { id: Typed { value: id.to_owned(), text: id.to_owned(), line: 1, column: 1 }, days_later, left_out }
    }

    #[test]
    fn a_gauge_a_day_late_stands_in_once_that_is_stated() {
        // The second gauge has all rain a day later: as dated, the two never rain together.
        let records = [record("XXT00000001", Some(0.0), 12, 0, 1.0), record("XXT00000002", Some(1.0), 12, 1, 0.5)];
        let of = |rules: &[GaugeRule]| {
            let stock = stock(&records, rules);
            let choice = NeighbourChoice::new(&stock, 0, &[1], PLACE, ALL);
            (choice.beside[0].stands_in.clone(), choice.standing_in(&stock).first().map(|gauge| (gauge.days_later, gauge.ratios[0])))
        };
        assert_eq!(of(&[]), (Err(NoSay::Unlike), None));
        let (stands_in, gauge) = of(&[rule("XXT00000002", Some(1), false)]);
        let (days_later, ratio) = gauge.unwrap();
        // Twice the rain of the other, but for the last day of each month, which the other has in the next.
        assert!(stands_in.is_ok() && days_later == 1 && (ratio - 2.0).abs() < 0.1, "{ratio}");
    }

    #[test]
    fn dates_move_where_both_records_say_what_they_mean() {
        let mut records = [record("XXT00000001", Some(0.0), 12, 0, 1.0), record("XXT00000002", Some(1.0), 12, 1, 1.0)];
        records[0].rain.day_definition = DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay };
        records[1].rain.day_definition = DayDefinition { start_hour: Some(7), label: DayLabel::LastDay };
        let stock = stock(&records, &[]);
        let choice = NeighbourChoice::new(&stock, 0, &[1], PLACE, ALL);
        assert_eq!(choice.beside[0].alignment, DayAlignment::Told { days_later: 1, hours_shared: 24 });
        assert!(choice.beside[0].stands_in.is_ok());
    }

    #[test]
    fn few_years_far_more_rain_and_wishes() {
        let records = [
            record("XXT00000001", Some(0.1), 12, 0, 1.0),
            record("XXT00000002", Some(1.0), 4, 0, 1.0),
            record("XXT00000003", Some(2.0), 12, 0, 4.0),
            record("XXT00000004", None, 12, 0, 1.0),
            record("XXT00000005", Some(3.0), 7, 0, 1.0),
        ];
        let stock = stock(&records, &[]);
        let choice = NeighbourChoice::new(&stock, 0, &[1, 2, 3, 4], PLACE, ALL);
        let say = |at: usize| (choice.beside[at].stands_in.clone(), choice.beside[at].weight.clone());
        assert_eq!(say(0), (Err(NoSay::TooFewYears { have: 4, need: 5 }), Err(NoSay::TooFewYears { have: 4, need: 5 })));
        assert_eq!(say(1), (Err(NoSay::OtherRain), Err(NoSay::OtherRain)));
        assert_eq!(say(2), (Ok(()), Err(NoSay::NoPlace)));
        assert_eq!(say(3), (Ok(()), Err(NoSay::TooFewYears { have: 7, need: 10 })));
        assert!(choice.amounts.is_none() && choice.factors == [1.0; 12]);
        let none = Wishes { stand_in: false, amounts: false, undercatch: 0.2 };
        let choice = NeighbourChoice::new(&stock, 0, &[3], PLACE, none);
        assert_eq!((choice.beside[0].stands_in.clone(), choice.factors, none.caught()), (Err(NoSay::NotWanted), [1.0; 12], 1.25));
    }
}
