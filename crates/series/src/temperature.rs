//! Daily air temperature beside the rain: greatest and least, in tenths of a degree Celsius as archives store them.
//!
//! Used for two things only: days whose precipitation is taken for snow (mean at or below 0 C) and the frost season.

use crate::{Day, Period};

const MISSING: i16 = i16::MIN;

/// Daily greatest and least air temperature, dense from its first day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DailyTemperature {
    first: Option<Day>,
    greatest: Vec<i16>,
    least: Vec<i16>,
}

impl DailyTemperature {
    /// Nothing known yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A temperature of the day's greatest heat, tenths of a degree Celsius.
    pub fn set_greatest(&mut self, day: Day, tenths: i16) {
        if let Some(i) = self.slot(day) {
            self.greatest[i] = tenths;
        }
    }

    /// A temperature of the day's least heat, tenths of a degree Celsius.
    pub fn set_least(&mut self, day: Day, tenths: i16) {
        if let Some(i) = self.slot(day) {
            self.least[i] = tenths;
        }
    }

    /// Takes what another file says of days of which nothing is known here; gives how many values it says differently, which are left.
    pub fn fill_from(&mut self, other: &Self) -> usize {
        let Some(period) = other.period() else { return 0 };
        let mut differing = 0;
        for day in period.iter() {
            for (ours, theirs, set) in [
                (self.tenths(&self.greatest, day), other.tenths(&other.greatest, day), Self::set_greatest as fn(&mut Self, Day, i16)),
                (self.tenths(&self.least, day), other.tenths(&other.least, day), Self::set_least),
            ] {
                match (ours, theirs) {
                    (None, Some(tenths)) => set(self, day, tenths),
                    (Some(ours), Some(theirs)) if ours != theirs => differing += 1,
                    _ => {}
                }
            }
        }
        differing
    }

    fn slot(&mut self, day: Day) -> Option<usize> {
        let first = *self.first.get_or_insert(day);
        if day < first {
            let more = first.since(day) as usize;
            self.greatest.splice(0..0, std::iter::repeat_n(MISSING, more));
            self.least.splice(0..0, std::iter::repeat_n(MISSING, more));
            self.first = Some(day);
        }
        let i = usize::try_from(day.since(self.first?)).ok()?;
        if i >= self.greatest.len() {
            self.greatest.resize(i + 1, MISSING);
            self.least.resize(i + 1, MISSING);
        }
        Some(i)
    }

    fn tenths(&self, values: &[i16], day: Day) -> Option<i16> {
        let i = usize::try_from(day.since(self.first?)).ok()?;
        values.get(i).copied().filter(|&tenths| tenths != MISSING)
    }

    /// The day's greatest temperature, degrees Celsius.
    pub fn greatest(&self, day: Day) -> Option<f64> {
        self.tenths(&self.greatest, day).map(|tenths| f64::from(tenths) / 10.0)
    }

    /// The day's least temperature, degrees Celsius.
    pub fn least(&self, day: Day) -> Option<f64> {
        self.tenths(&self.least, day).map(|tenths| f64::from(tenths) / 10.0)
    }

    /// Mean of the day, (greatest + least) / 2, degrees Celsius, where both are known. Summed as integers, so that a mean
    /// of exactly 0 C is exactly 0.
    pub fn mean(&self, day: Day) -> Option<f64> {
        let sum = i32::from(self.tenths(&self.greatest, day)?) + i32::from(self.tenths(&self.least, day)?);
        Some(f64::from(sum) / 20.0)
    }

    /// First to last day with a slot, or nothing when none was set.
    pub fn period(&self) -> Option<Period> {
        let first = self.first?;
        Some(Period::new(first, first.plus(self.greatest.len() as i32 - 1)))
    }

    /// How many days have a mean.
    pub fn days_with_mean(&self) -> usize {
        self.greatest.iter().zip(&self.least).filter(|(a, b)| **a != MISSING && **b != MISSING).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_may_come_in_any_order() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        let mut temperature = DailyTemperature::new();
        temperature.set_greatest(day("2001-02-10"), 51);
        temperature.set_least(day("2001-02-01"), -30);
        temperature.set_least(day("2001-02-10"), -11);
        assert_eq!(temperature.mean(day("2001-02-10")), Some(2.0));
        assert_eq!(temperature.mean(day("2001-02-01")), None);
        assert_eq!(temperature.least(day("2001-02-01")), Some(-3.0));
        assert_eq!(temperature.days_with_mean(), 1);
        assert_eq!(temperature.period().unwrap().days(), 10);
        let mut other = DailyTemperature::new();
        other.set_least(day("2001-02-10"), -10);
        other.set_greatest(day("2001-01-31"), 70);
        assert_eq!((temperature.fill_from(&other), temperature.least(day("2001-02-10"))), (1, Some(-1.1)));
        assert_eq!(temperature.greatest(day("2001-01-31")), Some(7.0));
    }
}
