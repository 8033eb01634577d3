//! The partial-duration series: generalised Pareto excesses over a threshold, coming as a Poisson process of so many a year.
//!
//! The excesses' k = m / l2 - 2 and alpha = (1 + k) m, m their mean and l2 their second L-moment (the least value is the threshold u).
//! With lambda events a year, the value reached once in Tp years on average is x = u + (alpha / k) (1 - (lambda Tp)^-k), for lambda Tp > 1.
//! The annual maxima then follow a generalised extreme value distribution with the same k, alpha* = alpha lambda^-k and
//! xi* = u + (alpha / k) (1 - lambda^-k), whose return period Ta and Tp are 1 / Ta = 1 - exp(-1 / Tp).
//! Source: Hosking & Wallis (1987), Technometrics 29; Madsen, Rasmussen & Rosbjerg (1997), Water Resources Research 33 (CHECKS B4.2).
//! Hosking's sign of k. Values in mm, rates per year.

use crate::StatsError;
use crate::at_site_storm::FIT_NEEDS_YEARS;
use crate::calendar::millimetres;
use crate::distribution::{from_standard, located};
use crate::generalized_extreme_value::GeneralizedExtremeValue;
use crate::generalized_pareto::GeneralizedPareto;
use crate::independent_events::IndependentEvents;
use crate::l_moments::LMoments;
use serde::Serialize;
use series::{Withheld, math};

/// Fewest events that a distribution is fitted to: as many as years for annual maxima.
const FIT_NEEDS_EVENTS: u32 = FIT_NEEDS_YEARS;

/// A fitted partial-duration series.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PartialDuration {
    /// The distribution of the values above the threshold, which is its location.
    pub pareto: GeneralizedPareto,
    /// Events a year, above 0.
    pub rate: f64,
    /// Events.
    pub n: usize,
    /// Years with readings that they come from.
    pub years: f64,
}

impl PartialDuration {
    /// The fit to the events of a record.
    ///
    /// # Errors
    /// [`Withheld::ArealMean`] for the mean of an area; the rest as [`of_values`](Self::of_values).
    pub fn fit(events: &IndependentEvents) -> Result<Self, Withheld> {
        if !events.extent.is_gauge() {
            return Err(Withheld::ArealMean);
        }
        let depths: Vec<f64> = events.events.iter().map(|event| millimetres(event.micrometres)).collect();
        Self::of_values(millimetres(events.rule.threshold_micrometres), &depths, events.years)
    }

    /// The fit to values above a threshold that came within some years.
    ///
    /// # Errors
    /// [`Withheld::TooFewYears`] below ten years, or below ten values (counted as years); [`Withheld::NoSolution`] when a value is not
    /// above the threshold, all are equal, or there is no fit.
    pub fn of_values(threshold: f64, values: &[f64], years: f64) -> Result<Self, Withheld> {
        // False for a NaN too.
        let enough = years >= f64::from(FIT_NEEDS_YEARS) && years.is_finite();
        if !enough {
            return Err(Withheld::TooFewYears { have: years as u32, need: FIT_NEEDS_YEARS });
        }
        let n = values.len();
        if n < FIT_NEEDS_EVENTS as usize {
            return Err(Withheld::TooFewYears { have: n as u32, need: FIT_NEEDS_EVENTS });
        }
        let moments = LMoments::of(values)?;
        if values.iter().any(|&value| value <= threshold) {
            return Err(Withheld::NoSolution);
        }
        let pareto = GeneralizedPareto::above(threshold, moments.l1, moments.l2)?;
        Ok(Self { pareto, rate: n as f64 / years, n, years })
    }

    /// The value reached once in so many years on average (Tp), counting every event.
    ///
    /// # Errors
    /// [`StatsError::ReturnPeriodTooShort`] when fewer than one event comes in that time, or it is not finite; [`StatsError::NotFinite`]
    /// when the value is beyond all numbers.
    pub fn at_recurrence_interval(&self, years: f64) -> Result<f64, StatsError> {
        let events = self.rate * years;
        if !(events > 1.0 && events.is_finite()) {
            return Err(StatsError::ReturnPeriodTooShort { found: years });
        }
        let value = self.pareto.location + self.pareto.scale * from_standard(self.pareto.shape, math::ln(events));
        if value.is_finite() { Ok(value) } else { Err(StatsError::NotFinite) }
    }

    /// The longest interval that the record carries, years: twice its own, as for annual maxima.
    pub fn longest_return_period(&self) -> u32 {
        2 * self.years as u32
    }

    /// The depth reached once in so many years on average (Tp), within what the record carries, mm.
    ///
    /// # Errors
    /// [`Withheld::BeyondTheRecord`] above twice the years; [`Withheld::NoSolution`] when fewer than one event comes in that time.
    pub fn depth(&self, recurrence_interval: f64) -> Result<f64, Withheld> {
        let longest = self.longest_return_period();
        if recurrence_interval > f64::from(longest) {
            return Err(Withheld::BeyondTheRecord { have: self.years as u32, longest });
        }
        self.at_recurrence_interval(recurrence_interval).map_err(|_| Withheld::NoSolution)
    }

    /// The distribution of the annual maxima that follows. Below the threshold it says nothing.
    ///
    /// # Errors
    /// [`Withheld::NoSolution`] when the rate is not above 0 or a parameter is not finite.
    pub fn annual_maxima(&self) -> Result<GeneralizedExtremeValue, Withheld> {
        let GeneralizedPareto { location, scale, shape } = self.pareto;
        let rate = if self.rate > 0.0 { math::ln(self.rate) } else { return Err(Withheld::NoSolution) };
        let fit = GeneralizedExtremeValue {
            location: location + scale * from_standard(shape, rate),
            scale: scale * math::exp(-shape * rate),
            shape,
        };
        located(fit.location, fit.scale)?;
        Ok(fit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::annual_maximum_return_period::annual_maximum_return_period;
    use crate::distribution::Distribution;
    use crate::independent_events::{EventRule, independent_events, threshold_for_rate};
    use proptest::prelude::*;
    use series::{DailySeries, Extent, Reading, Station};

    /// The maximum-likelihood fit of CHECKS B2.2 (R ismev), with the rate of B4.2: 152 of 17,531 days, 365 a year.
    fn textbook() -> PartialDuration {
        let pareto = GeneralizedPareto { location: 30.0, scale: 7.442_263_862, shape: -0.184_302_712 };
        PartialDuration { pareto, rate: 152.0 / 17_531.0 * 365.0, n: 152, years: 17_531.0 / 365.0 }
    }

    #[test]
    fn the_level_of_the_textbook() {
        // CHECKS B2.3: 100-year level at 365 values a year, 106.328 mm, within 0.1 (the optimisers differ).
        assert!((textbook().at_recurrence_interval(100.0).unwrap() - 106.328).abs() < 0.1);
        // 48 years carry 96.
        assert_eq!(textbook().depth(100.0), Err(Withheld::BeyondTheRecord { have: 48, longest: 96 }));
        assert_eq!(textbook().depth(0.2), Err(Withheld::NoSolution));
        assert!(textbook().depth(50.0).is_ok());
    }

    #[test]
    fn annual_maxima_that_follow() {
        // CHECKS B4.2 (COMPUTED): to the ten printed digits.
        let annual = textbook().annual_maxima().unwrap();
        assert!((annual.location / 39.552_095_25 - 1.0).abs() < 1e-9 && (annual.scale / 9.202_740_922 - 1.0).abs() < 1e-9);
        assert!((annual.shape + 0.184_302_712).abs() < 1e-15);
        assert_eq!(PartialDuration { rate: 0.0, ..textbook() }.annual_maxima(), Err(Withheld::NoSolution));
    }

    #[test]
    fn rain_of_the_textbook() {
        let Some(folder) = testkit::data_dir() else { return };
        let text = std::fs::read_to_string(folder.join("textbook/ismev_rain.csv")).unwrap();
        let depth = |line: &str| (line.split(',').nth(1).unwrap().parse::<f64>().unwrap() * 1000.0).round() as i32;
        let readings = text.lines().skip(1).map(|line| Reading::measured(depth(line))).collect();
        let series = DailySeries::new(Station::default(), "1914-01-01".parse().unwrap(), readings);
        let events = independent_events(&series, EventRule { threshold_micrometres: 30_000, quiet_days: 0 });
        let fit = PartialDuration::fit(&events).unwrap();
        // CHECKS B2.4: 1e-8 (its xi is -k).
        assert!((fit.pareto.scale - 7.299_018_97).abs() < 1e-8 && (fit.pareto.shape + 0.196_515_872_3).abs() < 1e-8);
        assert_eq!((fit.n, fit.pareto.location), (152, 30.0));
        // Three events a year: a threshold on the record's scale of 0.1 mm, and no more events than asked for by much.
        let threshold_micrometres = threshold_for_rate(&series, 3, 3.0).unwrap();
        let rate = independent_events(&series, EventRule { threshold_micrometres, quiet_days: 3 }).rate();
        assert!(threshold_micrometres % 100 == 0 && (3.0..3.3).contains(&rate), "{threshold_micrometres} {rate}");
        assert_eq!(PartialDuration::fit(&IndependentEvents { extent: Extent::ArealMean, ..events }), Err(Withheld::ArealMean));
    }

    #[test]
    fn values_without_a_fit() {
        let values: Vec<f64> = (1..=20).map(|i| 30.0 + f64::from(i * i)).collect();
        assert!(PartialDuration::of_values(30.0, &values, 20.0).is_ok());
        assert_eq!(PartialDuration::of_values(31.0, &values, 20.0), Err(Withheld::NoSolution));
        assert_eq!(PartialDuration::of_values(30.0, &[40.0; 20], 20.0), Err(Withheld::NoSolution));
        assert_eq!(PartialDuration::of_values(f64::NAN, &values, 20.0), Err(Withheld::NoSolution));
        assert_eq!(PartialDuration::of_values(30.0, &values[..9], 20.0), Err(Withheld::TooFewYears { have: 9, need: 10 }));
        for (years, have) in [(9.9, 9), (f64::NAN, 0), (-3.0, 0)] {
            assert_eq!(PartialDuration::of_values(30.0, &values, years), Err(Withheld::TooFewYears { have, need: 10 }));
        }
    }

    proptest! {
        #[test]
        fn both_ways_to_a_return_period_agree(shape in -0.4..0.4f64, rate in 0.5..10.0f64, interval in 3.0..200.0f64) {
            // Langbein's conversion (CHECKS B4.1) is what ties the two.
            let pareto = GeneralizedPareto { location: 30.0, scale: 8.0, shape };
            let series = PartialDuration { pareto, rate, n: 100, years: 50.0 };
            let annual = annual_maximum_return_period(interval).unwrap();
            let (a, b) = (series.at_recurrence_interval(interval).unwrap(), series.annual_maxima().unwrap().at_return_period(annual).unwrap());
            prop_assert!((a / b - 1.0).abs() < 1e-9, "{a} {b}");
        }
    }
}
