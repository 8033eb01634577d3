//! The daily weather that the whole valley shares: rain at the valley floor, mean temperature and its daily range.
//!
//! Occurrence of rain is a Markov chain of two states whose transition probabilities follow the season (Gabriel & Neumann 1962); depth on a
//! wet day is a mixture of two exponentials (Woolhiser & Pegram 1979), and a rare storm adds an excess with a generalised Pareto tail, so that
//! annual maxima have a tail heavier than Gumbel's. A slow anomaly and named drought years move the log-odds of rain. The mean temperature is a
//! season plus a first-order autoregressive anomaly. All the numbers are invented: a temperate climate with a dry summer.

use chrono::{Datelike, NaiveDate};

use crate::draws::Draws;

/// One day of the valley.
#[derive(Debug, Clone, Copy)]
pub(super) struct WeatherDay {
    pub(super) date: NaiveDate,
    /// Depth of precipitation at the valley floor, mm.
    pub(super) rain_mm: f64,
    /// Mean temperature at the valley floor, degrees Celsius.
    pub(super) mean_c: f64,
    /// Greatest minus least temperature of the day, degrees Celsius.
    pub(super) range_c: f64,
}

/// Monthly values (January first), joined by straight lines between the middles of the months.
type Season = [f64; 12];

const WET_AFTER_DRY: Season = [0.34, 0.32, 0.29, 0.27, 0.23, 0.16, 0.11, 0.11, 0.18, 0.28, 0.34, 0.35];
const WET_AFTER_WET: Season = [0.68, 0.66, 0.63, 0.59, 0.54, 0.46, 0.36, 0.38, 0.50, 0.61, 0.67, 0.69];
/// Mean depth of an ordinary wet day, mm.
const WET_DAY_MM: Season = [5.6, 5.4, 5.1, 4.9, 5.0, 5.2, 5.4, 5.5, 6.0, 6.3, 6.2, 5.9];
/// Probability that a wet day is a storm.
const STORM: Season = [0.008, 0.007, 0.006, 0.005, 0.008, 0.014, 0.024, 0.026, 0.020, 0.016, 0.012, 0.009];
const MEAN_C: Season = [4.6, 5.0, 6.8, 9.0, 12.3, 15.4, 17.6, 17.5, 14.9, 11.2, 7.6, 5.3];
const RANGE_C: Season = [5.6, 6.3, 7.6, 8.8, 9.7, 10.2, 10.8, 10.6, 9.2, 7.4, 5.9, 5.3];

/// Years of drought with the shift of the log-odds of rain; the wet days of such a year are smaller too.
pub(super) const DROUGHT_YEARS: [(i32, f64); 8] =
    [(1976, -0.30), (1989, -0.35), (1990, -0.60), (1991, -0.40), (2003, -0.50), (2017, -0.40), (2018, -0.60), (2022, -0.45)];
const DROUGHT_DEPTH_FACTOR: f64 = 0.90;

/// Share of small falls among wet days, and their mean in units of the mean of all.
const SMALL_SHARE: f64 = 0.58;
const SMALL_MEAN: f64 = 0.40;
const STORM_SCALE_MM: f64 = 10.0;
const STORM_SHAPE: f64 = 0.12;

/// Slow anomaly of the log-odds of rain: standard deviation, and how much of it is left after a day (about a month's memory).
const SLOW_DEVIATION: f64 = 0.16;
const SLOW_MEMORY: f64 = 0.967;
/// Anomaly of the mean temperature: standard deviation in degrees Celsius, and memory of a day.
const WARMTH_DEVIATION: f64 = 2.7;
const WARMTH_MEMORY: f64 = 0.78;

/// Days of weather from `first` to `last`, both included. The chain runs in for half a year before `first`.
pub(super) fn daily_weather(seed: u64, first: NaiveDate, last: NaiveDate) -> Vec<WeatherDay> {
    let mut draws = Draws::new(seed);
    let mut wet = false;
    let mut slow = 0.0;
    let mut warmth = 0.0;
    let run_in = first - chrono::Days::new(183);
    let mut days = Vec::new();
    for date in run_in.iter_days().take_while(|date| *date <= last) {
        slow = next_anomaly(slow, SLOW_MEMORY, SLOW_DEVIATION, draws.normal());
        warmth = next_anomaly(warmth, WARMTH_MEMORY, WARMTH_DEVIATION, draws.normal());
        let drought = DROUGHT_YEARS.iter().find(|(year, _)| *year == date.year()).map_or(0.0, |(_, shift)| *shift);
        let chain = if wet { &WET_AFTER_WET } else { &WET_AFTER_DRY };
        wet = draws.chance(shift_odds(at(chain, date), slow + drought));
        let rain_mm = rain(&mut draws, date, wet, drought < 0.0);
        // A wet winter day is mild and a wet summer day cool; under cloud the day's range is less.
        let wet_shift = if wet { 0.8 - 2.2 * (at(&MEAN_C, date) - 4.6) / 13.0 } else { 0.0 };
        let range_noise = draws.lognormal_factor(0.22);
        let range_c = at(&RANGE_C, date) * range_noise * if wet { 0.78 } else { 1.08 };
        if date >= first {
            days.push(WeatherDay { date, rain_mm, mean_c: at(&MEAN_C, date) + warmth + wet_shift, range_c });
        }
    }
    days
}

/// Depth of the day. Every day takes the same number of words of the stream, so that a changed depth moves no later day.
fn rain(draws: &mut Draws, date: NaiveDate, wet: bool, drought: bool) -> f64 {
    let mean = at(&WET_DAY_MM, date) * if drought { DROUGHT_DEPTH_FACTOR } else { 1.0 };
    let large_mean = (1.0 - SMALL_SHARE * SMALL_MEAN) / (1.0 - SMALL_SHARE);
    let part = if draws.chance(SMALL_SHARE) { SMALL_MEAN } else { large_mean };
    let ordinary = draws.exponential(mean * part);
    let storm = draws.chance(at(&STORM, date));
    let excess = 6.0 + draws.pareto_excess(STORM_SCALE_MM, STORM_SHAPE);
    match (wet, storm) {
        (false, _) => 0.0,
        (true, false) => ordinary,
        (true, true) => ordinary + excess,
    }
}

/// First-order autoregressive step that keeps the standard deviation: a memory + deviation sqrt(1 - memory^2) z.
pub(super) fn next_anomaly(anomaly: f64, memory: f64, deviation: f64, z: f64) -> f64 {
    anomaly * memory + deviation * libm::sqrt(1.0 - memory * memory) * z
}

/// Probability whose log-odds are shifted.
fn shift_odds(probability: f64, shift: f64) -> f64 {
    let odds = probability / (1.0 - probability) * libm::exp(shift);
    odds / (1.0 + odds)
}

/// Value of a season on a day.
fn at(season: &Season, date: NaiveDate) -> f64 {
    // Months of 30.4375 days, counted from the middle of January.
    let months = (f64::from(date.ordinal0()) + 0.5) / 30.4375 - 0.5;
    let lower = months.floor();
    let place = |month: f64| season[(month as i32).rem_euclid(12) as usize];
    place(lower) + (months - lower) * (place(lower + 1.0) - place(lower))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_season_is_joined_over_the_new_year() {
        let day = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        let mut season = [0.0; 12];
        season[0] = 1.0;
        season[11] = 3.0;
        let (last, first) = (at(&season, day(2001, 12, 31)), at(&season, day(2002, 1, 1)));
        assert!((last - first).abs() < 0.1 && last > 1.8 && first < 2.2, "{last} {first}");
        assert!((at(&season, day(2001, 1, 16)) - 1.0).abs() < 0.05);
    }

    #[test]
    fn a_shift_of_nothing_changes_nothing() {
        assert!((shift_odds(0.3, 0.0) - 0.3).abs() < 1e-15);
        assert!(shift_odds(0.3, -0.5) < 0.3 && shift_odds(0.3, 0.5) > 0.3);
    }
}
