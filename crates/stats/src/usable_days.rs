//! How many days with a depth of their own a record has between any two days, in one look.

use series::{DailySeries, Day};

/// Usable days before each day of a record.
#[derive(Debug)]
pub(crate) struct UsableDays {
    first: Option<Day>,
    before: Vec<u32>,
}

impl UsableDays {
    pub(crate) fn new(series: &DailySeries) -> Self {
        let mut before = Vec::with_capacity(series.readings().len() + 1);
        let mut usable = 0;
        before.push(0);
        before.extend(series.readings().iter().map(|reading| {
            usable += u32::from(reading.is_usable());
            usable
        }));
        Self { first: series.period().map(|period| period.first), before }
    }

    /// Usable days from `first` to `last`, those outside the record not being any.
    pub(crate) fn within(&self, first: Day, last: Day) -> u32 {
        let Some(origin) = self.first else { return 0 };
        let place = |days: i32| usize::try_from(days).unwrap_or(0).min(self.before.len() - 1);
        self.before[place(last.since(origin) + 1)] - self.before[place(first.since(origin))]
    }

    /// Whether all of `length` days from `first` on are usable.
    pub(crate) fn whole(&self, first: Day, length: usize) -> bool {
        self.within(first, first.plus(length as i32 - 1)) == length as u32
    }
}
