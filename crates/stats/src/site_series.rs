//! The daily series for the balance at the site, from one gauge: every day a depth, where it came from, and whether it is frozen.
//!
//! Order of work: multi-day totals of known length are spread ([`TotalSpread`]); each remaining gap takes the same season of another year
//! of the same record (`donors.rs`); each day gets its frost ([`frozen`](SiteDay::frozen)). A day that finds no donor has **no depth**, and
//! its year stays out of every replay; so do the days of a gap of over ten years. Filled days never enter statistics: those are taken from the record itself.
//!
//! Source: DESIGN section 6; CHECKS H7 (gap filling), H8 (totals), H15 (snow). Depths in mm. The same record, period and seed give the
//! same series on every machine.

use crate::calendar::days_in_year;
use crate::donors::Donors;
use crate::draws::Draws;
use crate::freezing::{Freezing, FrozenBy};
use crate::spreading::{Known, TotalSpread, spread};
use serde::Serialize;
use series::{DailySeries, DailyTemperature, Day, Depth, Period, Withheld};

/// Greatest share of a year's days that may be filled for the year to be replayed.
pub const REPLAY_FILLED_SHARE: f64 = 0.10;

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
    SpreadTotal,
    /// The depth of another day of the record.
    Filled {
        /// Which.
        donor: Day,
    },
    /// No donor was found: the day has no depth.
    Unfillable,
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
    /// Filled from another year.
    pub filled: usize,
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

/// The series at the site over the days that the record and `period` share. Donors come from the whole record.
///
/// # Errors
/// [`Withheld::NothingAccepted`] when the record has no day in the period.
pub fn site_series(rain: &DailySeries, temperature: &DailyTemperature, filling: Filling, period: Period) -> Result<SiteSeries, Withheld> {
    let own = rain.period().ok_or(Withheld::NothingAccepted)?;
    let period = own.overlap(period).ok_or(Withheld::NothingAccepted)?;
    let known = spread(rain, filling.spread);
    let from = period.first.since(own.first) as usize;
    let known = &known[from..from + period.days()];
    let filled = fill(rain, period.first, known, filling.seed);

    let has_temperature = temperature.days_with_mean() > 0;
    let freezing = Freezing::new(temperature);
    let mut counts = SiteCounts { days: known.len(), ..SiteCounts::default() };
    let mut days = Vec::with_capacity(known.len());
    for ((day, &known), donor) in period.iter().zip(known).zip(filled) {
        let (depth, origin) = match (known, donor) {
            (Known::Measured(depth), _) => (Some(depth), Origin::Measured),
            (Known::Trace, _) => (Some(Depth::ZERO), Origin::Trace),
            (Known::SpreadTotal(depth), _) => (Some(depth), Origin::SpreadTotal),
            (Known::Gap, Some(donor)) => {
                (rain.reading(donor).depth().map(|depth| Depth::new(depth as f64 / 1000.0)), Origin::Filled { donor })
            }
            (Known::Gap, None) => (None, Origin::Unfillable),
        };
        // A frozen day and its depth belong together, so both come from the donor.
        let (frozen, by) = freezing.of(if let Origin::Filled { donor } = origin { donor } else { day });
        match origin {
            Origin::Measured | Origin::Trace => counts.own += 1,
            Origin::SpreadTotal => counts.spread += 1,
            Origin::Filled { .. } => counts.filled += 1,
            Origin::Unfillable => counts.unfillable += 1,
        }
        match by {
            FrozenBy::Own => {}
            FrozenBy::Season => counts.frost_by_season += 1,
            FrozenBy::Nothing => counts.frost_unknown += usize::from(has_temperature),
        }
        days.push(SiteDay { depth, origin, frozen });
    }
    let years = years(period.first, &days);
    Ok(SiteSeries { first: period.first, days, filling, counts, years, has_temperature })
}

/// The donor of every day that is a gap.
fn fill(rain: &DailySeries, first: Day, known: &[Known], seed: u64) -> Vec<Option<Day>> {
    let donors = Donors::new(rain);
    let mut draws = Draws::new(seed);
    let mut filled = Vec::with_capacity(known.len());
    for run in known.chunk_by(|a, b| (*a == Known::Gap) == (*b == Known::Gap)) {
        if run[0] == Known::Gap {
            filled.extend(donors.fill(first.plus(filled.len() as i32), run.len(), &mut draws));
        } else {
            filled.extend(std::iter::repeat_n(None, run.len()));
        }
    }
    filled
}

fn years(first: Day, days: &[SiteDay]) -> Vec<SiteYear> {
    let mut years = Vec::new();
    let mut at = 0;
    while at < days.len() {
        let day = first.plus(at as i32);
        let year = day.year();
        let end = (at + (Day::last_of_year(year).since(day) + 1) as usize).min(days.len());
        let count = |wanted: fn(Origin) -> bool| days[at..end].iter().filter(|day| wanted(day.origin)).count() as u32;
        let filled = count(|origin| matches!(origin, Origin::Filled { .. }));
        let unfillable = count(|origin| origin == Origin::Unfillable);
        let whole = (end - at) as u32 == days_in_year(year);
        years.push(SiteYear {
            year,
            days: (end - at) as u32,
            filled,
            spread: count(|origin| origin == Origin::SpreadTotal),
            unfillable,
            replayable: whole && unfillable == 0 && f64::from(filled) <= REPLAY_FILLED_SHARE * f64::from(days_in_year(year)),
        });
        at = end;
    }
    years
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use series::{Reading, Station};

    fn record(years: std::ops::RangeInclusive<i32>, change: impl Fn(&mut Vec<Reading>)) -> DailySeries {
        let first = Day::first_of_year(*years.start());
        let mut readings: Vec<Reading> =
            (0..=Day::last_of_year(*years.end()).since(first)).map(|i| Reading::measured(if i % 3 == 0 { 6000 } else { 0 })).collect();
        change(&mut readings);
        DailySeries::new(Station::default(), first, readings)
    }

    fn all() -> Period {
        Period::of_years(1600, 2299)
    }

    #[test]
    fn every_day_is_accounted_for() {
        let rain = record(2001..=2005, |days| {
            days[10..20].fill(Reading::MISSING);
            days[100..103].fill(Reading::WITHIN_TOTAL);
            days[103] = Reading::accumulated(8000, Some(4));
            days[200] = Reading::accumulated(8000, None);
            days[365..365 + 40].fill(Reading::MISSING);
            days[800] = Reading::TRACE;
        });
        let site = site_series(&rain, &DailyTemperature::new(), Filling::default(), all()).unwrap();
        let counts = site.counts;
        assert_eq!((counts.days, counts.spread, counts.filled, counts.unfillable), (1826, 4, 10 + 1 + 40, 0));
        assert_eq!(counts.own + counts.spread + counts.filled, counts.days);
        assert_eq!(site.days[101].depth, Some(Depth::new(2.0)));
        // 40 of 365 days are more than 10 %; 11 are not.
        assert_eq!(site.replayable_years(), [2001, 2003, 2004, 2005]);
        assert_eq!((site.years[1].filled, site.years[0].spread), (40, 4));
        assert!(site.days.iter().all(|day| day.frozen.is_none()) && counts.frost_unknown == 0 && !site.has_temperature);
        for (day, entry) in site.period().iter().zip(&site.days) {
            if let Origin::Filled { donor } = entry.origin {
                assert_ne!(donor.year(), day.year());
                assert_eq!(entry.depth.map(Depth::get), rain.reading(donor).depth().map(|depth| depth as f64 / 1000.0));
            }
        }
        let last = site_series(&rain, &DailyTemperature::new(), Filling { seed: 0, spread: TotalSpread::LastDay }, all()).unwrap();
        assert_eq!((last.days[102].depth, last.days[103].depth), (Some(Depth::ZERO), Some(Depth::new(8.0))));
    }

    #[test]
    fn a_day_without_a_donor_is_never_zero() {
        let rain = record(2001..=2001, |days| days[50] = Reading::MISSING);
        let site = site_series(&rain, &DailyTemperature::new(), Filling::default(), all()).unwrap();
        assert_eq!((site.days[50].depth, site.days[50].origin, site.counts.unfillable), (None, Origin::Unfillable, 1));
        assert!(site.replayable_years().is_empty());
        assert_eq!(site.longest_unbroken().unwrap().days(), 314);
        assert_eq!(
            site_series(&rain, &DailyTemperature::new(), Filling::default(), Period::of_years(2010, 2011)),
            Err(Withheld::NothingAccepted)
        );
    }

    #[test]
    fn a_filled_day_is_frozen_with_its_donor() {
        let rain = record(2001..=2002, |days| days[20] = Reading::MISSING);
        let mut temperature = DailyTemperature::new();
        for (i, day) in all().overlap(rain.period().unwrap()).unwrap().iter().enumerate() {
            if i == 30 {
                continue;
            }
            let tenths = if day.year() == 2002 && day.day_of_year() == 21 { -10 } else { 10 };
            temperature.set_greatest(day, tenths);
            temperature.set_least(day, tenths);
        }
        let site = site_series(&rain, &temperature, Filling::default(), all()).unwrap();
        assert_eq!((site.days[20].frozen, site.days[19].frozen, site.days[30].frozen), (Some(true), Some(false), Some(false)));
        assert_eq!((site.counts.frost_by_season, site.counts.frost_unknown), (1, 0));
    }

    #[test]
    fn filled_gaps_keep_wet_days_and_dry_spells() {
        // CHECKS H7: Central Park 1970-2019, 10 % of the days removed in blocks of 5-39 days, 5 draws. Truth: wet days 27.1 %, mean annual
        // longest dry spell 17.7 d. Accept wet days +-2 % and the spell +-5 %, relative, of the truth (means of the five draws, as there).
        let Some((record, _)) = crate::test_records::ghcn("USW00094728") else { return };
        let record = record.cut_to(Period::of_years(1970, 2019));
        let first = record.period().unwrap().first;
        let shape = |depths: &[f64]| {
            let wet = depths.iter().filter(|&&depth| depth >= 1.0).count() as f64 / depths.len() as f64;
            let (mut sum, mut at) = (0.0, 0);
            for year in 1970..=2019 {
                let length = days_in_year(year) as usize;
                let dry =
                    depths[at..at + length].chunk_by(|a, b| (*a < 1.0) == (*b < 1.0)).filter(|run| run[0] < 1.0).map(<[f64]>::len).max();
                sum += dry.unwrap() as f64;
                at += length;
            }
            (wet, sum / 50.0)
        };
        let truth: Vec<f64> = record.readings().iter().map(|reading| reading.depth().unwrap() as f64 / 1000.0).collect();
        let (true_wet, true_spell) = shape(&truth);
        assert!((true_wet - 0.271).abs() < 0.000_5 && (true_spell - 17.7).abs() < 0.05, "{true_wet} {true_spell}");
        let (mut wet, mut spell) = (0.0, 0.0);
        for seed in 1..=5 {
            let mut draws = Draws::new(1000 + seed);
            let mut readings = record.readings().to_vec();
            let mut removed = 0;
            while removed < readings.len() / 10 {
                let length = 5 + draws.below(35);
                let from = 1 + draws.below(readings.len() - length - 2);
                for reading in &mut readings[from..from + length] {
                    removed += usize::from(reading.is_usable());
                    *reading = Reading::MISSING;
                }
            }
            let gappy = DailySeries::new(Station::default(), first, readings);
            let site = site_series(&gappy, &DailyTemperature::new(), Filling { seed, ..Filling::default() }, all()).unwrap();
            assert!(site.counts.unfillable == 0 && site.counts.filled >= truth.len() / 10);
            let depths: Vec<f64> = site.days.iter().map(|day| day.depth.unwrap().get()).collect();
            let (w, s) = shape(&depths);
            println!("draw {seed}: wet days {:.2} %, longest dry spell {s:.2} d", w * 100.0);
            wet += w / 5.0;
            spell += s / 5.0;
        }
        println!("mean: wet days {:.2} % of {:.2}, longest dry spell {spell:.2} d of {true_spell:.2}", wet * 100.0, true_wet * 100.0);
        assert!((wet / true_wet - 1.0).abs() < 0.02 && (spell / true_spell - 1.0).abs() < 0.05);
    }

    proptest! {
        #[test]
        fn the_same_seed_gives_the_same_series_and_spreading_keeps_the_water(
            gaps in proptest::collection::vec((0..1400usize, 1..60usize), 0..12), seed in any::<u64>()
        ) {
            let rain = record(2001..=2004, |days| {
                for &(from, length) in &gaps {
                    days[from..(from + length).min(1461)].fill(Reading::MISSING);
                }
                days[700..703].fill(Reading::WITHIN_TOTAL);
                days[703] = Reading::accumulated(10_000, Some(4));
            });
            let [even, last] = [TotalSpread::Even, TotalSpread::LastDay]
                .map(|spread| site_series(&rain, &DailyTemperature::new(), Filling { seed, spread }, all()).unwrap());
            prop_assert_eq!(&even, &site_series(&rain, &DailyTemperature::new(), even.filling, all()).unwrap());
            let sum = |site: &SiteSeries| site.days.iter().filter_map(|day| day.depth).map(Depth::get).sum::<f64>();
            prop_assert!((sum(&even) - sum(&last)).abs() < 1e-6);
            let counts = even.counts;
            prop_assert_eq!(counts.own + counts.spread + counts.filled + counts.unfillable, counts.days);
            prop_assert_eq!(even.days.iter().filter(|day| day.depth.is_none()).count(), counts.unfillable);
            prop_assert_eq!(even.years.iter().map(|year| year.days as usize).sum::<usize>(), counts.days);
        }
    }
}
