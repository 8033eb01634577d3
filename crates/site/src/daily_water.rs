//! What comes to the store and what is asked of it, day by day: the input of the daily balance.

use crate::demand::{Demand, DemandTable};
use crate::error::{SiteError, quantity};
use crate::rain_run::period_of;
use crate::surroundings::WinterRule;
use series::{Day, Period, Volume, days_in_month};

/// Inflow, demand and rest of every day of a whole run. All volumes are finite and not below zero.
#[derive(Debug, Clone, PartialEq)]
pub struct DailyWater {
    first: Day,
    inflow: Vec<Volume>,
    demand: Vec<Volume>,
    resting: Vec<bool>,
}

impl DailyWater {
    /// The water of a site: what the roofs send, what the demands ask for, when the store rests.
    ///
    /// # Errors
    /// Without a day, and when a volume or a demand has no meaning.
    pub fn new(first: Day, inflow: Vec<Volume>, demands: &[Demand], winter: WinterRule) -> Result<Self, SiteError> {
        let period = period_of(first, inflow.len())?;
        demands.iter().try_for_each(Demand::check)?;
        let asked = DemandTable::new(demands);
        let (mut demand, mut resting) = (Vec::with_capacity(inflow.len()), Vec::with_capacity(inflow.len()));
        // Month and weekday are counted on: to work them out for every day of a century costs more than the balance.
        let mut weekday = first.weekday() as usize;
        let (mut year, mut month, mut date) = first.ymd();
        for _ in 0..period.days() {
            demand.push(asked.on(month, weekday));
            resting.push(winter.rests_on_date(month, date));
            weekday = (weekday + 1) % 7;
            date += 1;
            if date > days_in_month(year, month) {
                (year, month, date) = if month == 12 { (year + 1, 1, 1) } else { (year, month + 1, 1) };
            }
        }
        Self::from_series(first, inflow, demand, resting)
    }

    /// The water of these three series, one value a day.
    ///
    /// # Errors
    /// Without a day, when the lengths differ, and when a volume is below zero or not finite.
    pub fn from_series(first: Day, inflow: Vec<Volume>, demand: Vec<Volume>, resting: Vec<bool>) -> Result<Self, SiteError> {
        period_of(first, inflow.len())?;
        for (what, found) in [("demand", demand.len()), ("winter rest", resting.len())] {
            if found != inflow.len() {
                return Err(SiteError::LengthsDiffer { what, found, expected: inflow.len() });
            }
        }
        for volume in &inflow {
            quantity("inflow", volume.get())?;
        }
        for volume in &demand {
            quantity("demand", volume.get())?;
        }
        Ok(Self { first, inflow, demand, resting })
    }

    /// First day.
    pub fn first(&self) -> Day {
        self.first
    }

    /// First to last day.
    pub fn period(&self) -> Period {
        Period::new(self.first, self.first.plus(self.inflow.len() as i32 - 1))
    }

    /// How many days.
    pub fn days(&self) -> usize {
        self.inflow.len()
    }

    /// Inflow of each day.
    pub fn inflow(&self) -> &[Volume] {
        &self.inflow
    }

    /// Demand of each day.
    pub fn demand(&self) -> &[Volume] {
        &self.demand
    }

    /// Whether the store rests, day by day.
    pub fn resting(&self) -> &[bool] {
        &self.resting
    }

    /// The same water of a part of the run; nothing when the part reaches beyond it.
    pub fn cut_to(&self, period: Period) -> Option<Self> {
        let from = usize::try_from(period.first.since(self.first)).ok()?;
        let range = from..from + period.days();
        Some(Self {
            first: period.first,
            inflow: self.inflow.get(range.clone())?.to_vec(),
            demand: self.demand.get(range.clone())?.to_vec(),
            resting: self.resting.get(range)?.to_vec(),
        })
    }
}
