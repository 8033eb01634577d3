//! How a gauge of the valley sees the shared weather: a normal ratio, noise of its own, showers of its own, a height.
//!
//! The result is what a careful observer would have written down every day; what goes wrong with the record afterwards is in `faults`.

use chrono::{Datelike, NaiveDate};

use super::weather::{WeatherDay, next_anomaly};
use crate::draws::Draws;
use crate::record_builder::{Date, DlyText};

/// A gauge of the invented valley.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gauge {
    pub(super) id: &'static str,
    pub(super) name: &'static str,
    pub(super) latitude: f64,
    pub(super) longitude: f64,
    pub(super) elevation_m: f64,
    pub(super) first_year: i32,
    /// Mean depth here by mean depth at the valley floor, over the year.
    pub(super) normal_ratio: f64,
    /// How much larger the ratio is in winter than in summer, as a share of itself, from the year's mean to either end.
    pub(super) ratio_season: f64,
    /// Log-standard-deviation of the gauge's own factor on a day.
    pub(super) noise: f64,
    /// Whether the observer writes traces.
    pub(super) traces: bool,
    /// First year in which snow is written down, if ever.
    pub(super) snow_from: Option<i32>,
    /// What a reader of the sample data can see here.
    pub(super) shows: &'static str,
}

/// Decrease of temperature with height, degrees Celsius a metre (standard atmosphere, ISO 2533: 6.5 K a km).
const LAPSE_C: f64 = 0.0065;
const FLOOR_M: f64 = 182.0;
/// At or below this mean temperature precipitation is snow and lies.
const SNOW_MEAN_C: f64 = 0.5;
/// Melt of lying snow, mm of depth a day and degree.
const MELT_MM: f64 = 22.0;

/// The whole record as observed, before any fault.
pub(super) fn observe(gauge: &Gauge, seed: u64, weather: &[WeatherDay]) -> DlyText {
    let mut draws = Draws::new(seed);
    let mut record = DlyText::new(gauge.id);
    let mut offset = 0.0;
    let mut snow_depth = 0.0;
    for day in weather {
        let depth = depth_here(gauge, &mut draws, day);
        offset = next_anomaly(offset, 0.5, 0.6, draws.normal());
        let mean = day.mean_c - (gauge.elevation_m - FLOOR_M) * LAPSE_C + offset;
        let range = day.range_c * draws.lognormal_factor(0.10) * if gauge.elevation_m > 900.0 { 0.8 } else { 1.0 };
        let snowfall = if mean <= SNOW_MEAN_C { 10.0 * depth } else { 0.0 };
        snow_depth = (snow_depth * 0.97 + 0.8 * snowfall - MELT_MM * (mean - SNOW_MEAN_C).max(0.0)).max(0.0);
        if day.date.year() < gauge.first_year {
            continue;
        }
        let date = ymd(day.date);
        record.put(date, "TMAX", ((mean + 0.5 * range) * 10.0).round() as i32, [' ', ' ']);
        record.put(date, "TMIN", ((mean - 0.5 * range) * 10.0).round() as i32, [' ', ' ']);
        let value = (depth * 10.0).round() as i32;
        let trace = gauge.traces && value == 0 && depth > 0.0;
        record.put(date, "PRCP", value, [if trace { 'T' } else { ' ' }, ' ']);
        if gauge.snow_from.is_some_and(|year| day.date.year() >= year) && (day.date.month() < 5 || day.date.month() > 10) {
            record.put(date, "SNOW", snowfall.round() as i32, [' ', ' ']);
            record.put(date, "SNWD", snow_depth.round() as i32, [' ', ' ']);
        }
    }
    record
}

/// Depth of the day at the gauge, mm.
fn depth_here(gauge: &Gauge, draws: &mut Draws, day: &WeatherDay) -> f64 {
    let angle = 2.0 * core::f64::consts::PI * (f64::from(day.date.ordinal()) - 15.0) / 365.25;
    let ratio = gauge.normal_ratio * (1.0 + gauge.ratio_season * libm::cos(angle));
    let factor = draws.lognormal_factor(gauge.noise);
    let missed = draws.chance(0.22);
    let shower = draws.chance(0.022);
    let shower_mm = draws.exponential(1.6);
    let drizzle = draws.chance(0.035);
    if day.rain_mm > 0.0 {
        // A small fall often misses the gauge.
        if missed && day.rain_mm < 1.5 { 0.0 } else { day.rain_mm * ratio * factor }
    } else if shower {
        shower_mm
    } else if drizzle {
        0.02
    } else {
        0.0
    }
}

pub(super) fn ymd(date: NaiveDate) -> Date {
    (date.year(), date.month(), date.day())
}
