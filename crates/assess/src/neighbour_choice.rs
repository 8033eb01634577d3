//! Which gauges beside the lead have a say at the site, in what, and why the others have none.
//!
//! Asked are the gauges (no areal mean) within 75 km of the site, the nearest four; where no place is known, the first four by id. Of those
//!
//! * a gauge **stands in** for the lead (fills its gaps, tells how its totals fell) when its days are like the lead's: correlation of 0.3 or
//!   more over two years in common, rain of a third to three times the lead's over five; the most alike is asked first;
//! * a gauge **has weight** in the site's amounts when places are known and it has ten years of months in common with the lead.
//!
//! The limits are ours; what is done with the gauges is DESIGN section 6's. Dates are moved only where both records say which 24 hours they
//! mean, or the site file states it.

use crate::prepared_records::Prepared;
use crate::station_choice::{Place, east_north_km};
use ingest::{azimuth_degrees, distance_km};
use serde::Serialize;
use series::Withheld;
use stats::{DayAlignment, GaugeAmounts, GaugeRatios, NeighbourGauge, PatternAgreement, SiteAmounts, site_amounts};

/// Most gauges beside the lead.
pub(crate) const MOST_BESIDE: usize = 4;
/// How far from the site they may be, km.
pub(crate) const REACH_KM: f64 = 75.0;
/// Least correlation of the days of a gauge that stands in for the lead.
const LEAST_CORRELATION: f64 = 0.3;
/// Least and greatest rain of the lead over that of a gauge that stands in for it.
const COMPARABLE: (f64, f64) = (1.0 / 3.0, 3.0);
/// Months in common that a gauge with a weight needs.
const WEIGHT_NEEDS_MONTHS: u32 = 120;

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
    /// It is further than 75 km from the site, or its place is not known where that of others is.
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
    /// The site's rain over the lead's, January to December, undercatch included.
    pub factors: [f64; 12],
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
    pub(crate) fn new(records: &[Prepared], lead: usize, others: &[usize], place: Place, wishes: Wishes) -> Self {
        let mut beside: Vec<GaugeBeside> = others.iter().map(|&other| gauge_beside(records, lead, other, wishes)).collect();
        let amounts = amounts(records, lead, &mut beside, place, wishes);
        let factors = amounts.as_ref().map_or([1.0; 12], |amounts| amounts.factors).map(|factor| factor * wishes.caught());
        Self { beside, amounts, factors }
    }

    /// Those that stand in for the lead, the most alike first.
    pub(crate) fn standing_in<'r>(&self, records: &'r [Prepared]) -> Vec<NeighbourGauge<'r>> {
        let mut standing: Vec<(f64, NeighbourGauge<'r>)> =
            self.standing().filter_map(|beside| Some((beside.agreement.as_ref().ok()?.correlation, gauge(records, beside)?))).collect();
        // The nearer of equals, as they come.
        standing.sort_by(|a, b| b.0.total_cmp(&a.0));
        standing.into_iter().map(|(_, gauge)| gauge).collect()
    }

    fn standing(&self) -> impl Iterator<Item = &GaugeBeside> {
        self.beside.iter().filter(|beside| beside.stands_in.is_ok())
    }
}

fn gauge<'r>(records: &'r [Prepared], beside: &GaugeBeside) -> Option<NeighbourGauge<'r>> {
    let ratios = beside.ratios.as_ref().ok()?.months;
    Some(NeighbourGauge { series: &records[beside.prepared].record.rain, ratios, days_later: beside.alignment.days_later() })
}

fn gauge_beside(records: &[Prepared], lead: usize, other: usize, wishes: Wishes) -> GaugeBeside {
    let (own, theirs) = (&records[lead], &records[other]);
    // What the site file states is later than the leading gauge of the site; between two others the difference counts.
    let stated = match (own.days_later, theirs.days_later) {
        (None, None) => None,
        (own, theirs) => Some(theirs.unwrap_or(0) - own.unwrap_or(0)),
    };
    let alignment = DayAlignment::of(own.record.rain.day_definition, theirs.record.rain.day_definition, stated);
    let agreement = PatternAgreement::new(&own.record.rain, &theirs.record.rain, alignment);
    let ratios = GaugeRatios::new(&own.totals, &theirs.totals);
    let stands_in = stands_in(wishes, &agreement, &ratios);
    GaugeBeside {
        id: theirs.record.rain.station.id.clone(),
        prepared: other,
        alignment,
        agreement,
        ratios,
        stands_in,
        weight: Err(NoSay::NotWanted),
    }
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
        beside.iter_mut().for_each(|gauge| gauge.weight = Err(NoSay::NoPlace));
        return None;
    };
    let mut gauges = vec![own];
    let mut weighted = Vec::new();
    for (at, gauge) in beside.iter_mut().enumerate() {
        gauge.weight = Err(match &gauge.ratios {
            Err(why) => no_say(why),
            Ok(ratios) if ratios.common_months < WEIGHT_NEEDS_MONTHS => {
                NoSay::TooFewYears { have: ratios.common_months / 12, need: WEIGHT_NEEDS_MONTHS / 12 }
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
