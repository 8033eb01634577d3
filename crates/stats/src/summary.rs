//! A sample of yearly values in a few numbers: mean, median, deciles, least and most with their years.
//!
//! Deciles are withheld below ten values, where they would lie outside the sample's inner values (common practice, no source).

use crate::quantile::{QuantileDefinition, Sample};
use serde::Serialize;
use series::Withheld;

/// Fewest values that deciles are given for.
pub const DECILES_NEED: usize = 10;

/// A value and its year.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct YearValue {
    /// The year.
    pub year: i32,
    /// The value, in the sample's unit.
    pub value: f64,
}

/// A sample in a few numbers, all in its unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Arithmetic mean.
    pub mean: f64,
    /// Median.
    pub median: f64,
    /// The value that one year in ten stays below, by the named definition; withheld below [`DECILES_NEED`] values.
    pub lower_decile: Result<f64, Withheld>,
    /// The value that one year in ten exceeds.
    pub upper_decile: Result<f64, Withheld>,
    /// The least, and its year; the earliest of equals.
    pub least: YearValue,
    /// The greatest, and its year; the earliest of equals.
    pub most: YearValue,
}

impl Summary {
    /// The summary of these values.
    ///
    /// # Errors
    /// [`Withheld::NothingAccepted`] when there is none, [`Withheld::NoSolution`] when one is not finite.
    pub fn of(values: &[YearValue], definition: QuantileDefinition) -> Result<Self, Withheld> {
        let (&first, _) = values.split_first().ok_or(Withheld::NothingAccepted)?;
        let sample: Vec<f64> = values.iter().map(|value| value.value).collect();
        let mut ordered = Sample::of(&sample).map_err(|_| Withheld::NoSolution)?;
        let middle = ordered.quantile(0.5, QuantileDefinition::Type7).map_err(|_| Withheld::NoSolution)?;
        let mut decile = |probability| {
            if sample.len() < DECILES_NEED {
                return Err(Withheld::TooFewYears { have: sample.len() as u32, need: DECILES_NEED as u32 });
            }
            ordered.quantile(probability, definition).map_err(|_| Withheld::NoSolution)
        };
        Ok(Self {
            mean: sample.iter().sum::<f64>() / sample.len() as f64,
            median: middle,
            lower_decile: decile(0.1),
            upper_decile: decile(0.9),
            least: values.iter().fold(first, |best, &value| if value.value < best.value { value } else { best }),
            most: values.iter().fold(first, |best, &value| if value.value > best.value { value } else { best }),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ties_are_the_earliest_and_deciles_need_ten() {
        let values: Vec<YearValue> = (0..9).map(|i| YearValue { year: 2000 + i, value: f64::from(i % 3) }).collect();
        let summary = Summary::of(&values, QuantileDefinition::Type8).unwrap();
        assert_eq!((summary.mean, summary.median, summary.least.year, summary.most.year), (1.0, 1.0, 2000, 2002));
        assert_eq!(summary.lower_decile, Err(Withheld::TooFewYears { have: 9, need: 10 }));
        assert_eq!(Summary::of(&[], QuantileDefinition::Type8), Err(Withheld::NothingAccepted));
    }
}
