//! What is to be watered: litres a day by month and weekday.

use crate::error::{SiteError, quantity};
use series::{Area, Day, Depth, Period, Volume};

/// One use of the water.
#[derive(Debug, Clone, PartialEq)]
pub struct Demand {
    /// As the owner calls it.
    pub name: String,
    /// Litres on a day of that month (January first) on which it is drawn at all.
    pub daily_by_month: [Volume; 12],
    /// On which weekdays (Monday first) it is drawn.
    pub weekdays: [bool; 7],
}

impl Demand {
    /// The need of a bed: its area times a weekly depth by month (January first), split evenly over the weekdays on which
    /// it is watered (Monday first). `litres a watering day = area (m2) x weekly depth (mm) / watering days a week`.
    ///
    /// # Errors
    /// On an area or depth below zero or not finite, and when water is needed but no weekday is given.
    pub fn for_bed(name: &str, area: Area, weekly_depth_by_month: [Depth; 12], weekdays: [bool; 7]) -> Result<Self, SiteError> {
        quantity("bed area", area.get())?;
        for depth in weekly_depth_by_month {
            quantity("weekly depth", depth.get())?;
        }
        let drawn = weekdays.iter().filter(|&&drawn| drawn).count();
        let needed = weekly_depth_by_month.iter().any(|depth| depth.get() > 0.0) && area.get() > 0.0;
        if drawn == 0 && needed {
            return Err(SiteError::NoWeekday);
        }
        let daily_by_month = weekly_depth_by_month.map(|depth| depth * area / (drawn.max(1) as f64));
        Ok(Self { name: name.to_owned(), daily_by_month, weekdays })
    }

    /// What is to be drawn on a day.
    pub fn on(&self, day: Day) -> Volume {
        self.on_weekday(day.month(), day.weekday() as usize)
    }

    /// What is to be drawn in a month (1 to 12) on a weekday (0 is Monday).
    fn on_weekday(&self, month: u32, weekday: usize) -> Volume {
        let drawn = self.weekdays.get(weekday).copied().unwrap_or(false);
        let month = (month as usize).saturating_sub(1);
        if drawn { self.daily_by_month.get(month).copied().unwrap_or(Volume::ZERO) } else { Volume::ZERO }
    }

    /// Whether every number of it has a meaning.
    ///
    /// # Errors
    /// On a demand below zero or not finite, and when water is asked for but no weekday is given.
    pub fn check(&self) -> Result<(), SiteError> {
        for volume in self.daily_by_month {
            quantity("demand", volume.get())?;
        }
        if !self.weekdays.contains(&true) && self.daily_by_month.iter().any(|volume| volume.get() > 0.0) {
            return Err(SiteError::NoWeekday);
        }
        Ok(())
    }
}

/// What all demands together ask for, by month and weekday.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DemandTable([[Volume; 7]; 12]);

impl DemandTable {
    pub(crate) fn new(demands: &[Demand]) -> Self {
        let sum = |month, weekday| demands.iter().fold(Volume::ZERO, |sum, demand| sum + demand.on_weekday(month, weekday));
        Self(std::array::from_fn(|month| std::array::from_fn(|weekday| sum(month as u32 + 1, weekday))))
    }

    /// In a month (1 to 12) on a weekday (0 is Monday).
    pub(crate) fn on(&self, month: u32, weekday: usize) -> Volume {
        self.0[month as usize - 1][weekday]
    }
}

/// What all demands together ask for on a day.
pub fn demand_on(demands: &[Demand], day: Day) -> Volume {
    demands.iter().fold(Volume::ZERO, |sum, demand| sum + demand.on(day))
}

/// What all demands together ask for in a period.
pub fn demand_in(demands: &[Demand], period: Period) -> Volume {
    period.iter().fold(Volume::ZERO, |sum, day| sum + demand_on(demands, day))
}

/// What all demands together ask for in a calendar year. Years differ a little by their weekdays and by 29 February.
pub fn annual_demand(demands: &[Demand], year: i32) -> Volume {
    demand_in(demands, Period::of_years(year, year))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bed(weekdays: [bool; 7]) -> Result<Demand, SiteError> {
        let mut depths = [Depth::ZERO; 12];
        depths[5..8].fill(Depth::new(25.0));
        Demand::for_bed("bed", Area::new(20.0), depths, weekdays)
    }

    #[test]
    fn a_bed_gets_its_weekly_depth_whatever_the_watering_days() {
        // TRADE section 4: 1 in (25.4 mm) a week is 62.3 gal/100 ft2, that is depth x area; by hand: 20 m2 x 25 mm = 500 L a week.
        let one_week = Period::new(Day::new(2023, 7, 3).unwrap(), Day::new(2023, 7, 9).unwrap());
        for weekdays in [[true; 7], [true, false, true, false, true, false, false], [false, false, false, false, false, false, true]] {
            let demand = bed(weekdays).unwrap();
            assert!((demand_in(&[demand], one_week).get() - 500.0).abs() < 1e-9);
        }
        assert_eq!(bed([false; 7]), Err(SiteError::NoWeekday));
    }

    #[test]
    fn demands_add_up_by_month_and_weekday() {
        let watering = bed([true, false, false, true, false, false, false]).unwrap();
        let toilet = Demand { name: "toilet".to_owned(), daily_by_month: [Volume::new(60.0); 12], weekdays: [true; 7] };
        let both = [watering, toilet];
        // 3 July 2023 was a Monday: 250 + 60; the Tuesday 60; a Monday in May 60.
        assert_eq!(demand_on(&both, Day::new(2023, 7, 3).unwrap()), Volume::new(310.0));
        assert_eq!(demand_on(&both, Day::new(2023, 7, 4).unwrap()), Volume::new(60.0));
        assert_eq!(demand_on(&both, Day::new(2023, 5, 1).unwrap()), Volume::new(60.0));
        // 2023: June to August hold 13 Mondays and 14 Thursdays; 27 x 250 + 365 x 60.
        assert!((annual_demand(&both, 2023).get() - (27.0 * 250.0 + 365.0 * 60.0)).abs() < 1e-6);
    }

    #[test]
    fn a_demand_that_cannot_be_is_refused() {
        let demand = |litres: f64, weekdays| Demand { name: String::new(), daily_by_month: [Volume::new(litres); 12], weekdays };
        assert!(demand(10.0, [true; 7]).check().is_ok());
        assert!(demand(0.0, [false; 7]).check().is_ok());
        assert!(demand(10.0, [false; 7]).check().is_err());
        assert!(demand(-10.0, [true; 7]).check().is_err());
        assert!(demand(f64::NAN, [true; 7]).check().is_err());
    }
}
