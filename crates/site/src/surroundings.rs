//! What lies around the site, and the official figures that the owner gives.

use series::{Day, Intensity, Length};

/// What is below, beside and under the place of the store. `None` where the site file does not say.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Surroundings {
    /// A basement or cellar near the store or its overflow.
    pub basement: Option<bool>,
    /// Sloping ground.
    pub slope: Option<bool>,
    /// A neighbour down the slope.
    pub downhill_neighbour: Option<bool>,
    /// Distance to the nearest well.
    pub well_distance: Option<Length>,
    /// Distance to the nearest septic field.
    pub septic_distance: Option<Length>,
    /// Distance from the store to the nearest boundary.
    pub boundary_distance: Option<Length>,
    /// Distance from the overflow's discharge to the nearest foundation.
    pub foundation_distance: Option<Length>,
    /// Whether it freezes here at all.
    pub frost: Option<bool>,
}

/// What the store does in winter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum WinterRule {
    /// Snow days give no inflow; the store stays in use all year.
    #[default]
    InUse,
    /// The store is drained and disconnected from the first of these days of the year to the second (month, day).
    Rests {
        /// From this month and day.
        from: (u32, u32),
        /// To this month and day, both included.
        to: (u32, u32),
    },
}

/// A short-duration design intensity from an official table. Only the owner's own value or an official table makes one:
/// nothing computed from daily depths converts to it (DESIGN section 6, "flow").
#[derive(Debug, Clone, PartialEq)]
pub struct OfficialIntensity {
    intensity: Intensity,
    /// Duration in minutes.
    pub duration_minutes: f64,
    /// Return period in years.
    pub return_period_years: f64,
    /// Where the value was read.
    pub source: String,
    /// When.
    pub read_on: Option<Day>,
    /// The table's file, where the value was taken from one; otherwise the owner read it.
    pub table_file: Option<OfficialTableFile>,
}

/// The file of an official table.
#[derive(Debug, Clone, PartialEq)]
pub struct OfficialTableFile {
    /// As the site file names it.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// Where the table is of a partial-duration series: the return period among annual maxima, years.
    pub annual_maximum_return_period_years: Option<f64>,
}

impl OfficialIntensity {
    /// The owner's value, read from an official table.
    pub fn from_official_table(
        intensity: Intensity,
        duration_minutes: f64,
        return_period_years: f64,
        source: String,
        read_on: Option<Day>,
    ) -> Self {
        Self { intensity, duration_minutes, return_period_years, source, read_on, table_file: None }
    }

    /// The same, taken from a table's file.
    #[must_use]
    pub fn with_table_file(self, table_file: OfficialTableFile) -> Self {
        Self { table_file: Some(table_file), ..self }
    }

    /// The intensity.
    pub fn intensity(&self) -> Intensity {
        self.intensity
    }
}

impl WinterRule {
    /// Whether the store rests on this day. A season that begins late in one year and ends early in the next is meant as
    /// it stands: from 1 November to 31 March holds December and January.
    pub fn rests_on(self, day: Day) -> bool {
        let (_, month, date) = day.ymd();
        self.rests_on_date(month, date)
    }

    /// The same by month and date.
    pub(crate) fn rests_on_date(self, month: u32, date: u32) -> bool {
        let Self::Rests { from, to } = self else { return false };
        let today = (month, date);
        if from <= to { from <= today && today <= to } else { from <= today || today <= to }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn winter_reaches_over_the_new_year() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        let northern = WinterRule::Rests { from: (11, 1), to: (3, 31) };
        for (text, rests) in
            [("2001-10-31", false), ("2001-11-01", true), ("2002-01-15", true), ("2002-03-31", true), ("2002-04-01", false)]
        {
            assert_eq!(northern.rests_on(day(text)), rests, "{text}");
        }
        let southern = WinterRule::Rests { from: (6, 1), to: (8, 31) };
        assert!(southern.rests_on(day("2002-07-01")) && !southern.rests_on(day("2002-09-01")));
        assert!(!WinterRule::InUse.rests_on(day("2002-01-01")));
    }
}
