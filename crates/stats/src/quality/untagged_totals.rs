//! Totals over several days that nobody marked: weekdays with too little rain, and more on the day after.
//!
//! Rain does not know the day of the week. Where a gauge is not read on Sundays, and 0 is written, Sundays have too few rainy days and
//! Mondays too much rain. For each weekday, each two weekdays running and each run of calendar years, with the share p of rainy days among
//! the others of the seven, n days and w rainy ones on the one or two, the deficit is (n p - w) / sqrt(n p (1 - p) (1 + n / m)) standard
//! deviations, the last factor, with the m other days, for p being an estimate itself. The run of years with the greatest deficit is found
//! when that is 5 or more and at least 15 % of the rainy days are lacking; then the years before and after it are searched again. Of
//! findings that share most of their years and a weekday the plainest stands; others of the same years are added to it.
//!
//! That the test is of rainy days by weekday, by the binomial law, and of what is read on the day after is the idea of Viney & Bates
//! (2004); the search for the years is ours, and so are the limits: 5 deviations hold the chance of a false finding, over all weekdays and
//! runs of a hundred years (some 70,000, most of them alike), to about one record in fifty.
//!
//! Effect: a warning. The totals of months stay right; dry spells come out wrong, rainy days too few, the greatest days too great. A
//! gauge left unread on irregular days is not found, nor a single year of it where rain is rare. Calendar years are left out that have
//! three or more totals marked as such, or a weekday with a depth on less than 85 % of the days that another has: where a weekend is written
//! down only when it was dry, its dry days say nothing. Not applied with fewer than 365 days.

use super::working_days::{NONE, WorkingDays};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use series::{Day, Period};

/// Standard deviations of the deficit.
const DEVIATIONS: f64 = 5.0;
/// Share of the expected rainy days that is lacking.
const LACKING: f64 = 0.15;
/// Fewest rainy days that are expected on the weekdays in question.
const EXPECTED: f64 = 10.0;
/// Marked totals in a year that leave it out.
const MARKED: usize = 3;
/// Share of the days of the best kept weekday that each must have in a year.
const KEPT: f64 = 0.85;
/// Fewest days.
const NEEDS: usize = 365;

/// Days and rainy days of a set of weekdays and of all, added up from the first year to before each.
type Sums = Vec<[f64; 4]>;

/// A weekday with too little rain from one year to the one before another, by index.
#[derive(Clone, Copy)]
struct Deficit {
    /// The first weekday, and how many.
    weekday: usize,
    weekdays: usize,
    from: usize,
    to: usize,
    lacking: f64,
    deviations: f64,
}

impl Deficit {
    fn of_week(&self) -> impl Iterator<Item = u32> {
        (self.weekday..self.weekday + self.weekdays).map(|weekday| (weekday % 7) as u32)
    }

    fn shares_weekday(&self, other: &Self) -> bool {
        self.of_week().any(|weekday| other.of_week().any(|also| also == weekday))
    }
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    if days.usable() < NEEDS {
        return Err(WhyNotApplied::TooFewDays { have: days.usable(), need: NEEDS });
    }
    let first_year = days.months[0].year;
    let years = years(days);
    let mut deficits: Vec<Deficit> = Vec::new();
    for set in (0..7).flat_map(|weekday| [(weekday, 1), (weekday, 2)]) {
        search(&sums(&years, set), set, (0, years.len()), &mut deficits);
    }
    deficits.sort_by(|a, b| b.deviations.total_cmp(&a.deviations));
    let mut groups: Vec<Vec<Deficit>> = Vec::new();
    for deficit in deficits {
        let shares_years = |group: &&mut Vec<Deficit>| {
            let (from, to) = (group[0].from.max(deficit.from), group[0].to.min(deficit.to));
            let shorter = (group[0].to - group[0].from).min(deficit.to - deficit.from);
            2 * to.saturating_sub(from) >= shorter
        };
        match groups.iter_mut().find(shares_years) {
            Some(group) if group.iter().any(|known| known.shares_weekday(&deficit)) => {}
            Some(group) => group.push(deficit),
            None => groups.push(vec![deficit]),
        }
    }
    let mut found: Vec<QualityFinding> = groups.iter().map(|group| finding(days, first_year, group)).collect();
    found.sort_by_key(|finding| finding.periods[0].first);
    Ok(found)
}

/// Days and rainy days by weekday of each calendar year.
fn years(days: &WorkingDays) -> Vec<[(f64, f64); 7]> {
    let weekday = days.first.weekday() as usize;
    let mut years = Vec::new();
    for months in days.months.chunk_by(|a, b| a.year == b.year) {
        let (start, end) = (months[0].start, months[months.len() - 1].end);
        let mut year = [(0.0, 0.0); 7];
        let marked = days.totals.partition_point(|at| *at < end) - days.totals.partition_point(|at| *at < start);
        for at in (start..end).filter(|&at| marked < MARKED && days.depths[at] != NONE) {
            let of = &mut year[(weekday + at) % 7];
            of.0 += 1.0;
            of.1 += f64::from(u8::from(days.depths[at] > 0));
        }
        // The calendar goes on without a gap, so that a year stands at its distance from the first.
        let kept = |of: fn(f64, f64) -> f64, from: f64| year.iter().map(|(days, _)| *days).fold(from, of);
        let balanced = kept(f64::min, f64::INFINITY) >= KEPT * kept(f64::max, 0.0);
        years.push(if balanced { year } else { [(0.0, 0.0); 7] });
    }
    years
}

fn sums(years: &[[(f64, f64); 7]], (weekday, weekdays): (usize, usize)) -> Sums {
    let mut sum = [0.0; 4];
    let mut sums = vec![sum];
    for year in years {
        for (of, (days, rainy)) in year.iter().enumerate() {
            let own = if (of + 7 - weekday) % 7 < weekdays { 1.0 } else { 0.0 };
            for (sum, add) in sum.iter_mut().zip([own * days, own * rainy, *days, *rainy]) {
                *sum += add;
            }
        }
        sums.push(sum);
    }
    sums
}

/// The worst years of a set of weekdays between two years, then those before and after them.
fn search(sums: &[[f64; 4]], set: (usize, usize), (from, to): (usize, usize), found: &mut Vec<Deficit>) {
    let mut worst: Option<Deficit> = None;
    for a in from..to {
        for b in a + 1..=to {
            if let Some(deficit) = deficit(sums, set, a, b)
                && worst.is_none_or(|worst| deficit.deviations > worst.deviations)
            {
                worst = Some(deficit);
            }
        }
    }
    if let Some(worst) = worst {
        found.push(worst);
        search(sums, set, (from, worst.from), found);
        search(sums, set, (worst.to, to), found);
    }
}

fn deficit(sums: &[[f64; 4]], (weekday, weekdays): (usize, usize), from: usize, to: usize) -> Option<Deficit> {
    let of = |i: usize| sums[to][i] - sums[from][i];
    let (n, rainy, others, others_rainy) = (of(0), of(1), of(2) - of(0), of(3) - of(1));
    let p = others_rainy / others;
    let expected = n * p;
    let variance = expected * (1.0 - p) * (1.0 + n / others);
    let lacking = expected - rainy;
    // A comparison with a number that is none is false.
    let found =
        expected >= EXPECTED && variance > 0.0 && lacking >= LACKING * expected && lacking * lacking >= DEVIATIONS * DEVIATIONS * variance;
    found.then(|| Deficit { weekday, weekdays, from, to, lacking: lacking / expected, deviations: lacking / variance.sqrt() })
}

fn finding(days: &WorkingDays, first_year: i32, group: &[Deficit]) -> QualityFinding {
    let worst = group[0];
    let mut weekdays: Vec<u32> = group.iter().flat_map(Deficit::of_week).collect();
    weekdays.sort_unstable();
    // From the worst on, the first weekday that lacks nothing.
    let read_on = (1..7).map(|i| (worst.weekday as u32 + i) % 7).find(|day| !weekdays.contains(day)).unwrap_or(0);
    let record = days.period(0, days.depths.len());
    let year = |index: usize| first_year + index as i32;
    let years = Period::new(Day::first_of_year(year(worst.from)), Day::last_of_year(year(worst.to) - 1));
    let period = Period::new(years.first.max(record.first), years.last.min(record.last));
    let from = period.first.since(days.first).max(0) as usize;
    let start = days.first.weekday() as usize;
    let (mut then, mut others) = ((0.0, 0.0), (0.0, 0.0));
    for at in (from..from + period.days()).filter(|&at| days.depths[at] > 0) {
        let weekday = ((start + at) % 7) as u32;
        let sum = if weekday == read_on {
            &mut then
        } else if weekdays.contains(&weekday) {
            continue;
        } else {
            &mut others
        };
        sum.0 += f64::from(days.depths[at]);
        sum.1 += 1.0;
    }
    let ratio = (then.0 / then.1) / (others.0 / others.1);
    let evidence = Evidence::UntaggedTotals {
        weekdays,
        lacking_share: worst.lacking,
        deviations: worst.deviations,
        read_on,
        depth_ratio: if ratio.is_finite() { ratio } else { 1.0 },
    };
    QualityFinding::over(period, Effect::Warning, evidence)
}
