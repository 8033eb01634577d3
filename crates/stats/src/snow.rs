//! The share of the precipitation that falls on frozen days: days whose mean, (greatest + least) / 2, is at or below 0 C.
//!
//! Over the days that have both a depth of their own and a mean temperature; the others are counted and left out (CHECKS H15).

use crate::calendar::millimetres;
use serde::Serialize;
use series::{DailySeries, DailyTemperature, Withheld};

/// Precipitation on frozen days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SnowShare {
    /// Share of the precipitation, 0 to 1; withheld without temperatures or without precipitation.
    pub share: Result<f64, Withheld>,
    /// Depth on frozen days, mm of water.
    pub frozen: f64,
    /// Depth on all days compared, mm of water.
    pub all: f64,
    /// Usable days with a mean temperature.
    pub days: usize,
    /// Of them, frozen.
    pub frozen_days: usize,
    /// Usable days without a mean temperature, left out.
    pub without_temperature: usize,
}

/// The share of the record's precipitation that falls on frozen days.
pub fn snow_share(rain: &DailySeries, temperature: &DailyTemperature) -> SnowShare {
    let (mut frozen, mut all, mut days, mut frozen_days, mut without) = (0, 0, 0, 0, 0);
    for (day, depth) in rain.days().filter_map(|(day, reading)| Some((day, reading.depth()?))) {
        let Some(mean) = temperature.mean(day) else {
            without += 1;
            continue;
        };
        days += 1;
        all += depth;
        if mean <= 0.0 {
            frozen_days += 1;
            frozen += depth;
        }
    }
    let share = if days == 0 {
        Err(Withheld::SnowUnknown)
    } else if all == 0 {
        Err(Withheld::NothingAccepted)
    } else {
        Ok(frozen as f64 / all as f64)
    };
    SnowShare { share, frozen: millimetres(frozen), all: millimetres(all), days, frozen_days, without_temperature: without }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_climates() {
        // CHECKS H15 (COMPUTED on the same records): percent to one decimal.
        let expected = [("RSM00030710", 16.7), ("USC00053005", 15.5), ("USC00200230", 12.9), ("USW00094728", 6.9), ("UK000056225", 1.2)];
        for (id, expected) in expected {
            let Some((rain, temperature)) = crate::test_records::ghcn(id) else { return };
            let share = snow_share(&rain, &temperature).share.unwrap() * 100.0;
            assert!((share - expected).abs() < 0.05, "{id}: {share}");
        }
    }

    #[test]
    fn without_temperatures_nothing_is_said() {
        let rain = crate::test_records::sparse_year(1997, crate::test_records::FORT_COLLINS_1997);
        let found = snow_share(&rain, &DailyTemperature::new());
        assert_eq!((found.share, found.without_temperature), (Err(Withheld::SnowUnknown), 365));
    }
}
