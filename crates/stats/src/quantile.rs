//! Quantiles of a sample, by a definition that is named beside the number.
//!
//! Of the nine definitions of Hyndman & Fan (1996), "Sample quantiles in statistical packages", The American Statistician 50,
//! two are offered. With the sorted sample x1..xn, probability p and h as below, the quantile is x[h] + (h - floor h)(x[h+1] - x[h]):
//!
//! * type 8: h = (n + 1/3) p + 1/3, nearly median-unbiased whatever the distribution, recommended by the authors; our default;
//! * type 7: h = (n - 1) p + 1, the default of most spreadsheets.

use crate::{StatsError, finite};
use serde::Serialize;
use statrs::statistics::{Data, OrderStatistics};

/// Which definition of a sample quantile.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum QuantileDefinition {
    /// Hyndman & Fan type 7.
    Type7,
    /// Hyndman & Fan type 8.
    #[default]
    Type8,
}

/// The quantile of a sample in any order at a probability from 0 to 1, in the sample's unit.
///
/// # Errors
/// When the sample is empty or holds a number that is not finite, and when the probability lies outside 0 to 1.
pub fn quantile(values: &[f64], probability: f64, definition: QuantileDefinition) -> Result<f64, StatsError> {
    Sample::of(values)?.quantile(probability, definition)
}

/// A sample that several quantiles are asked of: its values are copied once.
pub(crate) struct Sample(Data<Vec<f64>>);

impl Sample {
    /// A sample in any order.
    pub(crate) fn of(values: &[f64]) -> Result<Self, StatsError> {
        if values.is_empty() {
            return Err(StatsError::NoValues);
        }
        finite::all(values)?;
        Ok(Self(Data::new(values.to_vec())))
    }

    pub(crate) fn quantile(&mut self, probability: f64, definition: QuantileDefinition) -> Result<f64, StatsError> {
        if !(0.0..=1.0).contains(&probability) {
            return Err(StatsError::ProbabilityOutsideRange { found: probability });
        }
        let data = &mut self.0;
        Ok(match definition {
            // The order statistics of statrs are of type 8.
            QuantileDefinition::Type8 => data.quantile(probability),
            QuantileDefinition::Type7 => {
                let h = (data.len() - 1) as f64 * probability;
                let below = h.floor();
                let lower = data.order_statistic(below as usize + 1);
                if h == below { lower } else { lower + (h - below) * (data.order_statistic(below as usize + 2) - lower) }
            }
        })
    }
}

/// The median: the middle value, or the mean of the two middle ones. Every definition agrees on it.
///
/// # Errors
/// When the sample is empty or holds a number that is not finite.
pub fn median(values: &[f64]) -> Result<f64, StatsError> {
    quantile(values, 0.5, QuantileDefinition::Type7)
}

#[cfg(test)]
mod tests {
    use super::*;
    use QuantileDefinition::{Type7, Type8};

    #[test]
    fn small_samples_by_hand() {
        // Worked by hand from the formulas of Hyndman & Fan (1996): n = 10, p = 0.1: type 7 h = 1.9; type 8 h = 1.3666...
        let values = [4.0, 1.0, 3.0, 2.0, 5.0, 9.0, 8.0, 7.0, 6.0, 10.0];
        assert!((quantile(&values, 0.1, Type7).unwrap() - 1.9).abs() < 1e-12);
        assert!((quantile(&values, 0.1, Type8).unwrap() - (1.0 + 1.1 / 3.0)).abs() < 1e-12);
        for definition in [Type7, Type8] {
            assert_eq!(quantile(&values, 0.0, definition), Ok(1.0));
            assert_eq!(quantile(&values, 1.0, definition), Ok(10.0));
            assert_eq!(quantile(&values, 0.5, definition), Ok(5.5));
            assert_eq!(quantile(&[7.0], 0.3, definition), Ok(7.0));
        }
        assert_eq!(median(&[3.0, 1.0, 2.0]), Ok(2.0));
    }

    #[test]
    fn the_95th_percentile_of_twenty_events() {
        // CHECKS F8 (COMPUTED): type 7 of the tiny series at 0.95 is 2.435. Type 8 by hand: h = (20 + 1/3) 0.95 + 1/3 = 19.65.
        let values = [0.12, 0.15, 0.2, 0.22, 0.3, 0.35, 0.41, 0.5, 0.55, 0.6, 0.75, 0.8, 0.95, 1.1, 1.2, 1.3, 1.6, 1.9, 2.4, 3.1];
        assert!((quantile(&values, 0.95, Type7).unwrap() - 2.435).abs() < 1e-9);
        assert!((quantile(&values, 0.95, Type8).unwrap() - (2.4 + 0.65 * 0.7)).abs() < 1e-9);
    }

    #[test]
    fn nothing_in_nothing_out() {
        assert_eq!(quantile(&[], 0.5, Type8), Err(StatsError::NoValues));
        assert_eq!(quantile(&[1.0, f64::NAN], 0.5, Type8), Err(StatsError::NotFinite));
        assert_eq!(quantile(&[1.0], 1.5, Type7), Err(StatsError::ProbabilityOutsideRange { found: 1.5 }));
    }

    #[test]
    fn july_at_oxford() {
        // CHECKS, lesson figures: July 1991-2020, quartiles of type 7: 30.85 and 72.1, median 49.55.
        let Some((rain, _)) = crate::test_records::ghcn("UK000056225") else { return };
        let totals = crate::monthly_totals(&rain, crate::MonthRule::Whole);
        let july: Vec<f64> = totals
            .iter()
            .filter(|total| total.month == 7 && (1991..=2020).contains(&total.year) && total.accepted())
            .map(|total| total.micrometres as f64 / 1000.0)
            .collect();
        assert_eq!(july.len(), 30);
        // Half a unit of the last printed digit.
        for (probability, expected, half) in [(0.25, 30.85, 0.005), (0.5, 49.55, 0.005), (0.75, 72.1, 0.05)] {
            assert!((quantile(&july, probability, Type7).unwrap() - expected).abs() < half, "{probability}");
        }
    }

    #[test]
    fn wet_days_at_fort_collins() {
        // CHECKS A2.6: 1,671 wet days of 1961-90; q95 23.368 (type 7, = xclim), 23.4188 (type 8); q99 46.37532 (type 8), mm.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let wet: Vec<f64> = rain
            .within(series::Period::of_years(1961, 1990))
            .filter(|(_, reading)| reading.is_wet() == Some(true))
            .filter_map(|(_, reading)| Some(reading.depth()? as f64 / 1000.0))
            .collect();
        assert_eq!(wet.len(), 1671);
        for (probability, definition, expected) in [(0.95, Type7, 23.368), (0.95, Type8, 23.4188), (0.99, Type8, 46.375_32)] {
            assert!((quantile(&wet, probability, definition).unwrap() - expected).abs() < 1e-6);
        }
    }
}
