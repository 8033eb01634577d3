//! Whether a day's precipitation is taken for snow: mean of the day, (greatest + least) / 2, at or below 0 C (DESIGN section 6, CHECKS H15).
//!
//! A day without temperatures, in a record that has some, takes the season's usual answer: frozen when more than half of the days with a
//! mean, from 7 days before to 7 days after the same calendar date in all years, were frozen. Such days are counted apart.

use series::{DailyTemperature, Day};

/// Days of a leap year: every calendar date has a place, 29 February too.
const DATES: usize = 366;
/// How far the season reaches either side of a date, days.
const REACH: usize = 7;

/// Where an answer came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FrozenBy {
    /// The day's own temperatures.
    Own,
    /// The season's.
    Season,
    /// Neither is known.
    Nothing,
}

/// The answer for every day.
#[derive(Debug, Clone)]
pub(crate) struct Freezing<'a> {
    temperature: &'a DailyTemperature,
    /// The season's answer by date, where there is one.
    season: Vec<Option<bool>>,
}

impl<'a> Freezing<'a> {
    pub(crate) fn new(temperature: &'a DailyTemperature) -> Self {
        let mut counts = vec![(0_u32, 0_u32); DATES];
        for (day, mean) in
            temperature.period().into_iter().flat_map(series::Period::iter).filter_map(|day| Some((day, temperature.mean(day)?)))
        {
            let (frozen, all) = &mut counts[date(day)];
            *frozen += u32::from(mean <= 0.0);
            *all += 1;
        }
        let season = (0..DATES)
            .map(|centre| {
                let window = (0..=2 * REACH).map(|i| counts[(centre + DATES + i - REACH) % DATES]);
                let (frozen, all) = window.fold((0, 0), |sum, count| (sum.0 + count.0, sum.1 + count.1));
                (all > 0).then_some(2 * frozen > all)
            })
            .collect();
        Self { temperature, season }
    }

    /// Whether the day is frozen, and how we know.
    pub(crate) fn of(&self, day: Day) -> (Option<bool>, FrozenBy) {
        if let Some(mean) = self.temperature.mean(day) {
            return (Some(mean <= 0.0), FrozenBy::Own);
        }
        match self.season[date(day)] {
            Some(frozen) => (Some(frozen), FrozenBy::Season),
            None => (None, FrozenBy::Nothing),
        }
    }
}

/// The place of a day's date in a leap year, 0 to 365.
fn date(day: Day) -> usize {
    const BEFORE: [u32; 12] = [0, 31, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335];
    let (_, month, date) = day.ymd();
    (BEFORE[month as usize - 1] + date - 1) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exactly_zero_is_frozen_and_a_day_without_temperature_follows_the_season() {
        let day = |year, month, date| Day::new(year, month, date).unwrap();
        let mut temperature = DailyTemperature::new();
        for year in 2000..2010 {
            for (month, date, tenths) in [(1, 10, -50), (1, 12, 50), (2, 28, -50), (7, 1, 200)] {
                temperature.set_greatest(day(year, month, date), tenths + 20);
                temperature.set_least(day(year, month, date), tenths - 20);
            }
        }
        temperature.set_greatest(day(2001, 4, 1), 35);
        temperature.set_least(day(2001, 4, 1), -35);
        let freezing = Freezing::new(&temperature);
        assert_eq!(freezing.of(day(2001, 4, 1)), (Some(true), FrozenBy::Own));
        assert_eq!(freezing.of(day(2004, 2, 29)), (Some(true), FrozenBy::Season));
        assert_eq!(freezing.of(day(2001, 1, 11)), (Some(false), FrozenBy::Season), "half is not more than half");
        assert_eq!(freezing.of(day(2001, 1, 4)), (Some(true), FrozenBy::Season), "12 January is eight days off");
        assert_eq!(freezing.of(day(2001, 7, 8)), (Some(false), FrozenBy::Season));
        assert_eq!(freezing.of(day(2001, 10, 1)), (None, FrozenBy::Nothing));
        assert_eq!(Freezing::new(&DailyTemperature::new()).of(day(2001, 1, 1)).0, None);
    }
}
