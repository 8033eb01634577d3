//! Annual maxima of one-day or n-day rain, and which years may give one.
//!
//! Only days with a depth of their own enter; the days of multi-day totals count as missing, so that a total never becomes a storm.
//! An n-day sum needs n such days in a row and belongs to the year (and month) of its last day. Ties: the earliest.
//!
//! [`YearRule::Complete`] (DESIGN section 6, CHECKS H10), in this order:
//! 1. candidates: years of which at most 5 % of the days are missing;
//! 2. key months: the calendar months in which the candidates' maxima fall, most frequent first (ties: the earlier month), as many as are
//!    needed to hold 80 % of those maxima;
//! 3. candidates of which at most 10 % of the days of the key months, taken together, are missing;
//! 4. once more 2 with the years of 3, then 3 over all candidates with those key months. No further round.
//!
//! [`YearRule::AtLeastDays`] is plain counting: a year with that many usable days.
//!
//! The mean of an area ([`Extent::ArealMean`]) gives no maximum, whatever the rule: its greatest days are smaller than those of any gauge in
//! it (WMO-No. 168, on areal reduction). No year of it is accepted, and a fit to it is withheld with that reason.

use crate::calendar::{self, millimetres};
use serde::Serialize;
use series::{DailySeries, Day, Extent, days_in_month};

/// Which years give a maximum.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum YearRule {
    /// Whole enough over the year and in the months that bring the maxima.
    Complete {
        /// Greatest share of the year's days that may be missing.
        missing_share: f64,
        /// Greatest share of the key months' days that may be missing.
        key_months_missing_share: f64,
        /// Share of the maxima that the key months hold.
        key_months_hold: f64,
    },
    /// So many usable days.
    AtLeastDays(u32),
}

impl Default for YearRule {
    fn default() -> Self {
        Self::Complete { missing_share: 0.05, key_months_missing_share: 0.10, key_months_hold: 0.80 }
    }
}

/// One calendar year and its greatest depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct AnnualMaximum {
    /// Which year.
    pub year: i32,
    /// Calendar days of the year.
    pub days: u32,
    /// Days with a depth of their own, by month.
    pub usable_by_month: [u32; 12],
    /// Last day of the greatest sum, and its depth in micrometres.
    pub greatest: Option<(Day, i64)>,
    /// Whether the rule takes the year.
    pub accepted: bool,
}

impl AnnualMaximum {
    /// Days of the year without a depth of their own.
    pub fn missing(&self) -> u32 {
        self.days - self.usable_by_month.iter().sum::<u32>()
    }

    fn missing_share_in(&self, months: &[u32]) -> f64 {
        let (mut days, mut missing) = (0, 0);
        for &month in months {
            let whole = days_in_month(self.year, month);
            days += whole;
            missing += whole - self.usable_by_month[month as usize - 1];
        }
        if days == 0 { 0.0 } else { f64::from(missing) / f64::from(days) }
    }
}

/// The maxima of a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnnualMaxima {
    /// Days a sum runs over.
    pub window: u32,
    /// By which rule.
    pub rule: YearRule,
    /// One gauge; of anything else no year is accepted.
    pub extent: Extent,
    /// The months that hold most of the maxima, in calendar order; empty under plain counting.
    pub key_months: Vec<u32>,
    /// Every year of the record, accepted or not.
    pub years: Vec<AnnualMaximum>,
}

impl AnnualMaxima {
    /// The accepted years in order: year, last day of the sum, micrometres.
    pub fn accepted(&self) -> impl Iterator<Item = (i32, Day, i64)> {
        self.years.iter().filter(|year| year.accepted).filter_map(|year| year.greatest.map(|(day, depth)| (year.year, day, depth)))
    }

    /// The accepted maxima in order of time, mm.
    pub fn depths(&self) -> Vec<f64> {
        self.accepted().map(|(_, _, depth)| millimetres(depth)).collect()
    }

    /// The greatest of the accepted maxima, the earliest of equals.
    pub fn greatest(&self) -> Option<(Day, i64)> {
        self.accepted().fold(None, |best, (_, day, depth)| match best {
            Some((_, most)) if depth <= most => best,
            _ => Some((day, depth)),
        })
    }
}

/// The greatest one-day depth of each year.
pub fn annual_maxima(series: &DailySeries, rule: YearRule) -> AnnualMaxima {
    running_annual_maxima(series, 1, rule)
}

/// The greatest sum over `window` days in a row (at least 1) of each year.
pub fn running_annual_maxima(series: &DailySeries, window: u32, rule: YearRule) -> AnnualMaxima {
    let window = window.max(1);
    let mut years: Vec<AnnualMaximum> = calendar::years(series)
        .map(|slice| AnnualMaximum { year: slice.year, days: slice.days, usable_by_month: [0; 12], greatest: None, accepted: false })
        .collect();
    if window == 1 {
        single_days(series, &mut years);
    } else {
        sums(series, window, &mut years);
    }
    let extent = series.extent;
    let key_months = if extent.is_gauge() {
        accept(&mut years, rule)
    } else {
        for year in &mut years {
            year.greatest = None;
        }
        Vec::new()
    };
    AnnualMaxima { window, rule, extent, key_months, years }
}

/// Greatest single day of each year, and its usable days by month.
fn single_days(series: &DailySeries, years: &mut [AnnualMaximum]) {
    let first_year = years.first().map_or(0, |year| year.year);
    for month in calendar::months(series) {
        let Some(year) = years.get_mut((month.year - first_year) as usize) else { break };
        let (mut usable, mut most) = (0, -1);
        for reading in month.readings {
            let (one, depth) = reading.counted();
            usable += one;
            // A day that is not usable counts as -1, which is above nothing.
            most = most.max(depth + one as i32 - 1);
        }
        year.usable_by_month[month.month as usize - 1] = usable;
        let most = i64::from(most);
        if usable > 0 && year.greatest.is_none_or(|(_, before)| most > before) {
            // Few months bring the year's greatest day, so it is only then looked for.
            let at = month.readings.iter().position(|reading| reading.depth() == Some(most)).unwrap_or(0);
            year.greatest = Some((month.first.plus(at as i32), most));
        }
    }
}

/// Greatest sum over `window` days in a row of each year, and its usable days by month.
fn sums(series: &DailySeries, window: u32, years: &mut [AnnualMaximum]) {
    let first_year = years.first().map_or(0, |year| year.year);
    let readings = series.readings();
    let (mut at, mut sum, mut run) = (0, 0_i64, 0);
    for month in calendar::months(series) {
        let Some(year) = years.get_mut((month.year - first_year) as usize) else { break };
        for (i, reading) in month.readings.iter().enumerate() {
            let here = at + i;
            let Some(depth) = reading.depth() else {
                (sum, run) = (0, 0);
                continue;
            };
            year.usable_by_month[month.month as usize - 1] += 1;
            run += 1;
            sum += depth;
            if run > window {
                // The day that leaves the window is usable, since the run is longer than the window.
                sum -= readings[here - window as usize].depth().unwrap_or(0);
            }
            if run >= window && year.greatest.is_none_or(|(_, most)| sum > most) {
                year.greatest = Some((month.first.plus(i as i32), sum));
            }
        }
        at += month.readings.len();
    }
}

fn accept(years: &mut [AnnualMaximum], rule: YearRule) -> Vec<u32> {
    match rule {
        YearRule::AtLeastDays(least) => {
            for year in years {
                year.accepted = year.greatest.is_some() && year.days - year.missing() >= least;
            }
            Vec::new()
        }
        YearRule::Complete { missing_share, key_months_missing_share, key_months_hold } => {
            let candidate =
                |year: &AnnualMaximum| year.greatest.is_some() && f64::from(year.missing()) <= missing_share * f64::from(year.days);
            for year in years.iter_mut() {
                year.accepted = candidate(year);
            }
            let mut months = Vec::new();
            for _ in 0..2 {
                months = key_months(years, key_months_hold);
                for year in years.iter_mut() {
                    year.accepted = candidate(year) && year.missing_share_in(&months) <= key_months_missing_share;
                }
            }
            months
        }
    }
}

fn key_months(years: &[AnnualMaximum], hold: f64) -> Vec<u32> {
    let mut counts = [0_u32; 12];
    for (day, _) in years.iter().filter(|year| year.accepted).filter_map(|year| year.greatest) {
        counts[day.month() as usize - 1] += 1;
    }
    let all = counts.iter().sum::<u32>();
    let mut order: Vec<u32> = (1..=12).collect();
    // A stable sort: equals stay in calendar order.
    order.sort_by_key(|&month| std::cmp::Reverse(counts[month as usize - 1]));
    let (mut held, mut months) = (0, Vec::new());
    for month in order {
        if all == 0 || f64::from(held) >= hold * f64::from(all) - 1e-9 {
            break;
        }
        held += counts[month as usize - 1];
        months.push(month);
    }
    months.sort_unstable();
    months
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_1997, FORT_COLLINS_MAXIMA, sparse_year};
    use series::{Reading, Station};

    /// Twenty years from 2001, 1 mm every day, the maximum on 15 July (or 15 January in every tenth year).
    fn twenty_years() -> (Day, Vec<Reading>) {
        let first = Day::first_of_year(2001);
        let mut readings = vec![Reading::measured(1000); Day::last_of_year(2020).since(first) as usize + 1];
        for year in 2001..=2020 {
            let day = Day::new(year, if year % 10 == 0 { 1 } else { 7 }, 15).unwrap();
            readings[day.since(first) as usize] = Reading::measured(50_000 + year);
        }
        (first, readings)
    }

    fn maxima(change: impl Fn(&mut dyn FnMut(i32, u32, u32, usize))) -> AnnualMaxima {
        let (first, mut readings) = twenty_years();
        change(&mut |year, month, day, length| {
            let at = Day::new(year, month, day).unwrap().since(first) as usize;
            readings[at..at + length].fill(Reading::MISSING);
        });
        annual_maxima(&DailySeries::new(Station::default(), first, readings), YearRule::default())
    }

    #[test]
    fn the_mean_of_an_area_gives_no_maximum() {
        // WMO-No. 168: the areal reduction factor is below 1, so a maximum of an areal mean is no maximum of a gauge (from memory).
        let (first, readings) = twenty_years();
        let mut series = DailySeries::new(Station::default(), first, readings);
        assert_eq!(annual_maxima(&series, YearRule::default()).accepted().count(), 20);
        for (extent, rule) in [(Extent::ArealMean, YearRule::default()), (Extent::Unknown, YearRule::AtLeastDays(1))] {
            series.extent = extent;
            let found = running_annual_maxima(&series, 2, rule);
            assert_eq!((found.accepted().count(), found.greatest(), found.years.len()), (0, None, 20));
            assert_eq!(found.years[0].missing(), 0);
        }
    }

    #[test]
    fn a_year_is_accepted_at_five_percent_and_whole_in_the_key_months() {
        // The rule is DESIGN section 6 (H10). 5 % of 365 is 18.25 days; 10 % of July is 3.1 days.
        let found = maxima(|cut| {
            cut(2002, 3, 1, 18);
            cut(2003, 3, 1, 19);
            cut(2004, 7, 20, 3);
            cut(2005, 7, 20, 4);
        });
        assert_eq!(found.key_months, [7], "18 of 20 maxima fall in July");
        let refused: Vec<i32> = found.years.iter().filter(|year| !year.accepted).map(|year| year.year).collect();
        assert_eq!(refused, [2003, 2005]);
        assert_eq!(found.depths().len(), 18);
    }

    #[test]
    fn a_multi_day_total_never_enters_and_its_days_are_missing() {
        let (first, mut readings) = twenty_years();
        readings[5] = Reading::WITHIN_TOTAL;
        readings[6] = Reading::accumulated(900_000, Some(2));
        let found = annual_maxima(&DailySeries::new(Station::default(), first, readings), YearRule::default());
        assert_eq!((found.years[0].missing(), found.years[0].greatest.unwrap().1), (2, 52_001));
        // CHECKS, lesson figures and MANIFEST: Happy Camp's greatest day is 221.0 mm, below its greatest total of 231.4 mm.
        let Some((rain, _)) = crate::test_records::ghcn("USC00043761") else { return };
        let found = annual_maxima(&rain, YearRule::AtLeastDays(1));
        assert_eq!(found.greatest(), Some((Day::new(2002, 12, 16).unwrap(), 221_000)));
    }

    #[test]
    fn fort_collins_maxima_by_both_rules() {
        // CHECKS B1: the series of annual maxima of the same record.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        for rule in [YearRule::default(), YearRule::AtLeastDays(350)] {
            let found = annual_maxima(&rain, rule);
            let inches: Vec<f64> = found.accepted().map(|(_, _, depth)| depth as f64 / 254.0).collect();
            assert_eq!(inches, FORT_COLLINS_MAXIMA);
        }
    }

    #[test]
    fn five_days_in_a_row() {
        // CHECKS A2.3: Fort Collins 1997, Rx1day 117.602 and Rx5day 163.576 mm.
        let rain = sparse_year(1997, FORT_COLLINS_1997);
        for (window, expected) in [(1, 117_602), (5, 163_576)] {
            assert_eq!(running_annual_maxima(&rain, window, YearRule::default()).greatest().unwrap().1, expected);
        }
    }

    #[test]
    fn a_gap_breaks_a_running_sum() {
        let depths = [5000, 5000, -1, 9000, 1000, 1000];
        let readings = depths.iter().map(|&depth| if depth < 0 { Reading::MISSING } else { Reading::measured(depth) }).collect();
        let series = DailySeries::new(Station::default(), Day::new(2001, 1, 1).unwrap(), readings);
        let found = |window| {
            running_annual_maxima(&series, window, YearRule::AtLeastDays(1)).greatest().map(|(day, sum)| (day.day_of_month(), sum))
        };
        assert_eq!((found(1), found(2), found(3), found(4)), (Some((4, 9000)), Some((2, 10_000)), Some((6, 11_000)), None));
        assert!(annual_maxima(&DailySeries::default(), YearRule::default()).depths().is_empty());
    }
}
