//! The daily series for the balance at the site: every day a depth, where it came from, and whether it is frozen.
//!
//! The days are those of one gauge, the lead. Order of work: multi-day totals of known length fall as a neighbour's rain did, else as
//! [`TotalSpread`] says; each remaining gap takes one neighbour's days where one has them, scaled to the lead (`neighbour_days.rs`), else the
//! same season of another year of the lead (`donors.rs`); each day gets its frost ([`frozen`](SiteDay::frozen)); each depth is multiplied by
//! the site's factor of its calendar month. A day that finds no donor has **no depth**, and its year stays out of every replay; so do the days
//! of a gap of over ten years. Filled days never enter statistics: those are taken from the record itself.
//!
//! Source: DESIGN section 6; CHECKS H6 (one gauge at a time), H7 (gap filling), H8 (totals), H15 (snow). Depths in mm. The same record, period and seed give the
//! same series on every machine.

use crate::calendar::days_in_year;
use crate::donors::{Donors, LONGEST_GAP};
use crate::draws::Draws;
use crate::freezing::{Freezing, FrozenBy};
use crate::gauges::{NeighbourDays, NeighbourGauge};
use crate::spreading::{Known, TotalSpread, spread};
use serde::Serialize;
use series::{DailySeries, DailyTemperature, Day, Depth, Period, Withheld, days_in_month};

/// Greatest share of a year's days that may be filled for the year to be replayed.
pub const REPLAY_FILLED_SHARE: f64 = 0.10;

/// The gauges that the days at the site come from.
#[derive(Debug, Clone, Copy)]
pub struct SiteGauges<'a> {
    /// The gauge whose days they are.
    pub lead: &'a DailySeries,
    /// Its temperatures.
    pub temperature: &'a DailyTemperature,
    /// Those that may stand in for it, in the order in which they are asked.
    pub neighbours: &'a [NeighbourGauge<'a>],
    /// The site's rain over the lead's, January to December.
    pub factors: [f64; 12],
}

impl<'a> SiteGauges<'a> {
    /// One gauge as it measured.
    pub fn alone(lead: &'a DailySeries, temperature: &'a DailyTemperature) -> Self {
        Self { lead, temperature, neighbours: &[], factors: [1.0; 12] }
    }
}

/// How the open days of a record are closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
pub struct Filling {
    /// Seed of the draw among donors; printed with every result.
    pub seed: u64,
    /// How multi-day totals fall on their days.
    pub spread: TotalSpread,
}

/// Where a day's depth came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Measured on this day.
    Measured,
    /// Rain too small to measure: 0 mm.
    Trace,
    /// A share of a multi-day total.
    SpreadTotal {
        /// The neighbour whose pattern it has, by its place in the list; nothing where none had the days.
        neighbour: Option<usize>,
    },
    /// The depth of another day of the record.
    Filled {
        /// Which.
        donor: Day,
    },
    /// A neighbour's depth of this day, scaled.
    FromNeighbour {
        /// Its place in the list.
        neighbour: usize,
    },
    /// No donor was found: the day has no depth.
    Unfillable,
}

impl Origin {
    /// Whether the depth is of another year.
    pub fn is_of_another_year(self) -> bool {
        matches!(self, Self::Filled { .. })
    }

    /// Whether the day was a gap that another day's depth, or another gauge's, stands in.
    pub fn is_filled(self) -> bool {
        matches!(self, Self::Filled { .. } | Self::FromNeighbour { .. })
    }
}

/// One day at the site.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SiteDay {
    /// Rain or water of snow; nothing for an [`Origin::Unfillable`] day, and only for one.
    pub depth: Option<Depth>,
    /// Where it came from.
    pub origin: Origin,
    /// Whether the mean temperature is at or below 0 C: the day's own, or the donor day's for a filled one; by the season where that day has
    /// none; nothing when the record has no temperatures, or none in that season.
    pub frozen: Option<bool>,
}

/// How many days came from where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct SiteCounts {
    /// All days of the series.
    pub days: usize,
    /// With a depth of their own, trace included.
    pub own: usize,
    /// With a share of a multi-day total.
    pub spread: usize,
    /// Of them, as a neighbour's rain fell.
    pub spread_as_neighbour: usize,
    /// Filled, from a neighbour or from another year.
    pub filled: usize,
    /// Of them, from a neighbour.
    pub from_neighbours: usize,
    /// Without any depth.
    pub unfillable: usize,
    /// Frozen or not by the season, for want of temperatures.
    pub frost_by_season: usize,
    /// Neither the day nor its season has temperatures.
    pub frost_unknown: usize,
}

/// One calendar year of the series.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct SiteYear {
    /// Which year.
    pub year: i32,
    /// Days of the year inside the series.
    pub days: u32,
    /// Of them, filled.
    pub filled: u32,
    /// With a share of a multi-day total.
    pub spread: u32,
    /// Without a depth.
    pub unfillable: u32,
    /// Whether it may be replayed: whole in the series, every day with a depth, at most 10 % of its days filled.
    pub replayable: bool,
}

/// Daily depths for a balance, one day after the other without a hole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiteSeries {
    /// First day.
    pub first: Day,
    /// One entry a day from the first on.
    pub days: Vec<SiteDay>,
    /// How the open days were closed.
    pub filling: Filling,
    /// Days by origin.
    pub counts: SiteCounts,
    /// Every calendar year that the series touches, in order.
    pub years: Vec<SiteYear>,
    /// Whether the record has any day with a mean temperature.
    pub has_temperature: bool,
}

impl SiteSeries {
    /// First to last day.
    pub fn period(&self) -> Period {
        Period::new(self.first, self.first.plus(self.days.len().max(1) as i32 - 1))
    }

    /// The day's entry, inside the period.
    pub fn day(&self, day: Day) -> Option<&SiteDay> {
        usize::try_from(day.since(self.first)).ok().and_then(|i| self.days.get(i))
    }

    /// The years that may be replayed, in order.
    pub fn replayable_years(&self) -> Vec<i32> {
        self.years.iter().filter(|year| year.replayable).map(|year| year.year).collect()
    }

    /// The longest run of days that all have a depth, the earliest of equals; nothing when no day has one.
    pub fn longest_unbroken(&self) -> Option<Period> {
        let mut best: Option<(usize, usize)> = None;
        let mut at = 0;
        for run in self.days.chunk_by(|a, b| a.depth.is_some() == b.depth.is_some()) {
            if run[0].depth.is_some() && best.is_none_or(|(_, length)| run.len() > length) {
                best = Some((at, run.len()));
            }
            at += run.len();
        }
        best.map(|(from, length)| Period::new(self.first.plus(from as i32), self.first.plus((from + length) as i32 - 1)))
    }
}

/// The series at the site over the days that the lead's record and `period` share. Donors come from the whole record.
///
/// # Errors
/// [`Withheld::NothingAccepted`] when the record has no day in the period.
pub fn site_series(gauges: SiteGauges<'_>, filling: Filling, period: Period) -> Result<SiteSeries, Withheld> {
    let rain = gauges.lead;
    let own = rain.period().ok_or(Withheld::NothingAccepted)?;
    let period = own.overlap(period).ok_or(Withheld::NothingAccepted)?;
    let neighbours = NeighbourDays::new(gauges.neighbours);
    let known = spread(rain, filling.spread, &neighbours);
    let from = period.first.since(own.first) as usize;
    let known = &known[from..from + period.days()];
    let stand_ins = stand_ins(rain, &neighbours, period.first, known, filling.seed);

    let has_temperature = gauges.temperature.days_with_mean() > 0;
    let freezing = Freezing::new(gauges.temperature);
    let mut days = Vec::with_capacity(known.len());
    let mut frost = (0, 0);
    let mut month = 0;
    let mut next_month = period.first;
    for ((day, &known), stand_in) in period.iter().zip(known).zip(stand_ins) {
        if day >= next_month {
            let (year, this, date) = day.ymd();
            month = this as usize - 1;
            next_month = day.plus((days_in_month(year, this) + 1 - date) as i32);
        }
        let (depth, origin) = match (known, stand_in) {
            (Known::Measured(depth), _) => (Some(depth), Origin::Measured),
            (Known::Trace, _) => (Some(Depth::ZERO), Origin::Trace),
            (Known::SpreadTotal(depth, neighbour), _) => (Some(depth), Origin::SpreadTotal { neighbour }),
            (Known::Gap, Some(StandIn::Day(donor))) => {
                (rain.reading(donor).depth().map(|depth| Depth::new(depth as f64 / 1000.0)), Origin::Filled { donor })
            }
            (Known::Gap, Some(StandIn::Neighbour(neighbour))) => (neighbours.depth(neighbour, day), Origin::FromNeighbour { neighbour }),
            (Known::Gap, None) => (None, Origin::Unfillable),
        };
        // A frozen day and its depth belong together, so both come from the donor of another year.
        let (frozen, by) = freezing.of(if let Origin::Filled { donor } = origin { donor } else { day });
        match by {
            FrozenBy::Own => {}
            FrozenBy::Season => frost.0 += 1,
            FrozenBy::Nothing => frost.1 += usize::from(has_temperature),
        }
        days.push(SiteDay { depth: depth.map(|depth| Depth::new(depth.get() * gauges.factors[month])), origin, frozen });
    }
    let years = years(period.first, &days);
    let counts = SiteCounts { frost_by_season: frost.0, frost_unknown: frost.1, ..counts(&days) };
    Ok(SiteSeries { first: period.first, days, filling, counts, years, has_temperature })
}

/// What stands in for a day of a gap.
#[derive(Debug, Clone, Copy)]
enum StandIn {
    Neighbour(usize),
    Day(Day),
}

/// What stands in for every day that is a gap.
fn stand_ins(rain: &DailySeries, neighbours: &NeighbourDays<'_>, first: Day, known: &[Known], seed: u64) -> Vec<Option<StandIn>> {
    let donors = Donors::new(rain);
    let mut draws = Draws::new(seed);
    let mut found: Vec<Option<StandIn>> = Vec::with_capacity(known.len());
    for run in known.chunk_by(|a, b| (*a == Known::Gap) == (*b == Known::Gap)) {
        if run[0] != Known::Gap {
            found.extend(std::iter::repeat_n(None, run.len()));
            continue;
        }
        let gap = first.plus(found.len() as i32);
        let by_neighbours = neighbours.fill(Period::new(gap, gap.plus(run.len() as i32 - 1)));
        for part in by_neighbours.chunk_by(|a, b| a.is_some() == b.is_some()) {
            if part[0].is_some() {
                found.extend(part.iter().map(|neighbour| neighbour.map(StandIn::Neighbour)));
            } else if run.len() > LONGEST_GAP {
                found.extend(std::iter::repeat_n(None, part.len()));
            } else {
                let day = first.plus(found.len() as i32);
                found.extend(donors.fill(day, part.len(), &mut draws).into_iter().map(|donor| donor.map(StandIn::Day)));
            }
        }
    }
    found
}

fn counts(days: &[SiteDay]) -> SiteCounts {
    let mut counts = SiteCounts { days: days.len(), ..SiteCounts::default() };
    for day in days {
        match day.origin {
            Origin::Measured | Origin::Trace => counts.own += 1,
            Origin::SpreadTotal { neighbour } => {
                counts.spread += 1;
                counts.spread_as_neighbour += usize::from(neighbour.is_some());
            }
            Origin::Filled { .. } => counts.filled += 1,
            Origin::FromNeighbour { .. } => {
                counts.filled += 1;
                counts.from_neighbours += 1;
            }
            Origin::Unfillable => counts.unfillable += 1,
        }
    }
    counts
}

fn years(first: Day, days: &[SiteDay]) -> Vec<SiteYear> {
    let mut years = Vec::new();
    let mut at = 0;
    while at < days.len() {
        let day = first.plus(at as i32);
        let year = day.year();
        let end = (at + (Day::last_of_year(year).since(day) + 1) as usize).min(days.len());
        let count = |wanted: fn(Origin) -> bool| days[at..end].iter().filter(|day| wanted(day.origin)).count() as u32;
        let filled = count(Origin::is_filled);
        let unfillable = count(|origin| origin == Origin::Unfillable);
        let whole = (end - at) as u32 == days_in_year(year);
        years.push(SiteYear {
            year,
            days: (end - at) as u32,
            filled,
            spread: count(|origin| matches!(origin, Origin::SpreadTotal { .. })),
            unfillable,
            replayable: whole && unfillable == 0 && f64::from(filled) <= REPLAY_FILLED_SHARE * f64::from(days_in_year(year)),
        });
        at = end;
    }
    years
}

#[cfg(test)]
mod tests;
