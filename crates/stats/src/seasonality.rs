//! When in the year the rain falls, and how much it is drawn together: circular mean day and concentration of the monthly rain.
//!
//! Each month's rain r is a vector in the direction of the month's middle, angle 2 pi d / 365.25 with d the days from 1 January to it (February
//! of 28.25 days). The direction of their sum is the mean time of the rain, given as a day of the year, 0 to below 365.25 from 1 January at
//! midnight. Concentration = length of the sum / sum of r: 0 for rain spread evenly (or in two opposite seasons), 1 were all in one instant, a
//! little below 1 at most for months. Below [`LEAST_CONCENTRATION`] the mean day says nothing and is withheld.
//!
//! Beside it the precipitation concentration index, 100 x sum r^2 / (sum r)^2: 8.3 for an even year, 100 for one month. Two rainy seasons
//! half a year apart have a low concentration and yet a high index.
//!
//! Source: Markham (1970), Annals of the Association of American Geographers 60, 593-597; Oliver (1980), Professional Geographer 32, 300-309;
//! CHECKS A2.7.

use crate::normals::Normals;
use serde::Serialize;
use series::{Withheld, math};
use std::f64::consts::TAU;

/// Least concentration that a mean day is given for (own rule).
pub const LEAST_CONCENTRATION: f64 = 0.05;

const DAYS_OF_YEAR: f64 = 365.25;
const DAYS_OF_MONTH: [f64; 12] = [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// When the rain of a year falls.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Seasonality {
    /// Days from 1 January, midnight, to the mean time, 0 to below 365.25.
    pub mean_day: Result<f64, Withheld>,
    /// Concentration, 0 to 1.
    pub concentration: f64,
    /// Precipitation concentration index, 8.3 to 100.
    pub precipitation_concentration_index: f64,
}

impl Seasonality {
    /// Of monthly rain from January to December, in one unit.
    ///
    /// # Errors
    /// [`Withheld::NoRain`] when all are 0; [`Withheld::NoSolution`] when one is below 0 or not finite.
    pub fn of(months: &[f64; 12]) -> Result<Self, Withheld> {
        if !months.iter().all(|&rain| rain >= 0.0 && rain.is_finite()) {
            return Err(Withheld::NoSolution);
        }
        let sum: f64 = months.iter().sum();
        if sum <= 0.0 {
            return Err(Withheld::NoRain);
        }
        let (mut east, mut north, mut squares, mut begins) = (0.0, 0.0, 0.0, 0.0);
        for (rain, days) in months.iter().zip(DAYS_OF_MONTH) {
            let share = rain / sum;
            let angle = TAU * (begins + days / 2.0) / DAYS_OF_YEAR;
            east += share * math::cos(angle);
            north += share * math::sin(angle);
            squares += share * share;
            begins += days;
        }
        let concentration = (east * east + north * north).sqrt().min(1.0);
        if !(concentration.is_finite() && squares.is_finite()) {
            return Err(Withheld::NoSolution);
        }
        let angle = math::atan2(north, east);
        let from_january = if angle < 0.0 { angle + TAU } else { angle };
        let mean_day = (concentration >= LEAST_CONCENTRATION)
            .then_some(from_january / TAU * DAYS_OF_YEAR)
            .map(|day| if day < DAYS_OF_YEAR { day } else { 0.0 })
            .ok_or(Withheld::NoSolution);
        Ok(Self { mean_day, concentration, precipitation_concentration_index: 100.0 * squares })
    }

    /// Of the monthly normals (means) of a period.
    ///
    /// # Errors
    /// As [`of`](Self::of), and why a month's normal is withheld.
    pub fn of_normals(normals: &Normals) -> Result<Self, Withheld> {
        let mut months = [0.0; 12];
        for (mean, month) in months.iter_mut().zip(1..) {
            *mean = normals.monthly_mean(month)?;
        }
        Self::of(&months)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{MonthRule, NormalsRule, monthly_totals, normals};
    use proptest::prelude::*;

    #[test]
    fn fort_collins_1961_to_1990() {
        // CHECKS A2.7: index of the normals 10.7366. The mean day 162.70515040028164 and the concentration 0.340472668067884: numpy on
        // checks/data/fort_collins_daily_1900_1999.csv, arctan2 and hypot of the same sums.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found =
            Seasonality::of_normals(&normals(&monthly_totals(&rain, MonthRule::Whole), 1961, 1990, NormalsRule::default())).unwrap();
        assert!((found.precipitation_concentration_index - 10.7366).abs() < 0.5e-4);
        assert!((found.mean_day.unwrap() - 162.705_150_400_281_64).abs() < 1e-9);
        assert!((found.concentration - 0.340_472_668_067_884).abs() < 1e-12);
    }

    #[test]
    fn one_month_two_seasons_and_an_even_year() {
        // By hand: all rain in January: its middle, 15.5 days; index 100.
        let mut months = [0.0; 12];
        months[0] = 80.0;
        let january = Seasonality::of(&months).unwrap();
        assert!((january.mean_day.unwrap() - 15.5).abs() < 1e-9 && (january.concentration - 1.0).abs() < 1e-12);
        assert!((january.precipitation_concentration_index - 100.0).abs() < 1e-9);
        // December and January in equal parts: the turn of the year, within rounding of it on either side.
        months[11] = 80.0;
        let winter = Seasonality::of(&months).unwrap().mean_day.unwrap();
        assert!(winter.min(DAYS_OF_YEAR - winter) < 1e-6, "{winter}");
        let even = Seasonality::of(&[30.0; 12]).unwrap();
        assert_eq!(even.mean_day, Err(Withheld::NoSolution));
        assert!(even.concentration < 0.02 && (even.precipitation_concentration_index - 100.0 / 12.0).abs() < 1e-9);
        // January and July: no mean day, and yet an index of 50.
        let mut two = [0.0; 12];
        (two[0], two[6]) = (50.0, 50.0);
        let two = Seasonality::of(&two).unwrap();
        assert!(two.mean_day.is_err() && (two.precipitation_concentration_index - 50.0).abs() < 1e-9);
        assert_eq!(Seasonality::of(&[0.0; 12]), Err(Withheld::NoRain));
        assert_eq!(Seasonality::of(&[f64::NAN; 12]), Err(Withheld::NoSolution));
        assert_eq!(Seasonality::of(&[-1.0; 12]), Err(Withheld::NoSolution));
        let none = normals(&[], 1991, 2020, NormalsRule::default());
        assert_eq!(Seasonality::of_normals(&none), Err(Withheld::TooFewYears { have: 0, need: 24 }));
    }

    proptest! {
        #[test]
        fn both_stay_in_their_range(months in proptest::array::uniform12(prop_oneof![Just(0.0), 0.0..900.0_f64])) {
            if let Ok(found) = Seasonality::of(&months) {
                prop_assert!((0.0..=1.0).contains(&found.concentration));
                prop_assert!((8.333..100.001).contains(&found.precipitation_concentration_index));
                if let Ok(day) = found.mean_day {
                    prop_assert!((0.0..DAYS_OF_YEAR).contains(&day));
                }
            }
        }
    }
}
