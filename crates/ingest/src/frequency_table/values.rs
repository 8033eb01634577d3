//! What a precipitation-frequency table holds.

/// Which series of storms the estimates come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FrequencySeries {
    /// All large storms: return periods are average recurrence intervals.
    PartialDuration,
    /// The largest storm of each year: return periods are 1 / annual exceedance probability.
    AnnualMaximum,
}

/// What the values are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FrequencyKind {
    /// Depths in millimetres.
    Depth,
    /// Mean intensities over the duration, in millimetres an hour.
    Intensity,
}

/// The values of one duration, in the order of the table's return periods.
#[derive(Debug, Clone, PartialEq)]
pub struct FrequencyRow {
    /// The duration in minutes.
    pub duration_minutes: f64,
    /// The duration as the file writes it: `24-hr`.
    pub duration: String,
    /// The estimates, mm or mm/h; nothing where the file has no number.
    pub estimates: Vec<Option<f64>>,
    /// Upper bounds of the 90 % confidence interval; empty when the file has no such table.
    pub upper: Vec<Option<f64>>,
    /// Lower bounds; empty when the file has no such table.
    pub lower: Vec<Option<f64>>,
    /// Line of the estimates in the file, from 1.
    pub line: u32,
}

/// A precipitation-frequency table of one point.
#[derive(Debug, Clone, PartialEq)]
pub struct FrequencyTable {
    /// The file as it was named to us.
    pub file: String,
    /// SHA-256 of the file in hexadecimal.
    pub sha256: String,
    /// The title, with the file's unit: `Point precipitation frequency estimates (inches)`.
    pub title: String,
    /// The publication, with volume and version: `NOAA Atlas 14 Volume 8 Version 2`.
    pub publication: String,
    /// The place in words, empty where the file gives none.
    pub place: String,
    /// The name of the station, empty where the point is none.
    pub station: String,
    /// Degrees, north positive.
    pub latitude: Option<f64>,
    /// Degrees, east positive.
    pub longitude: Option<f64>,
    /// Metres above sea level.
    pub elevation: Option<f64>,
    /// Depths or intensities.
    pub kind: FrequencyKind,
    /// Partial-duration or annual-maximum series.
    pub series: FrequencySeries,
    /// Years, rising.
    pub return_periods: Vec<f64>,
    /// One row a duration, rising.
    pub rows: Vec<FrequencyRow>,
    /// When the server made the table, as the file writes it.
    pub made_on: String,
}

impl FrequencyTable {
    /// The estimate for a duration and a return period that the table has; nothing is interpolated.
    pub fn estimate(&self, duration_minutes: f64, return_period_years: f64) -> Option<f64> {
        let row = self.rows.iter().find(|row| (row.duration_minutes - duration_minutes).abs() < 1e-6)?;
        let column = self.return_periods.iter().position(|years| (years - return_period_years).abs() < 1e-6)?;
        row.estimates.get(column).copied().flatten()
    }

    /// The mean intensity in mm/h for a duration and a return period: the table's own, or its depth over its duration.
    pub fn intensity(&self, duration_minutes: f64, return_period_years: f64) -> Option<f64> {
        let value = self.estimate(duration_minutes, return_period_years)?;
        Some(match self.kind {
            FrequencyKind::Intensity => value,
            FrequencyKind::Depth => value * 60.0 / duration_minutes,
        })
    }

    /// The source in one line, for a report.
    pub fn source(&self) -> String {
        let series = match self.series {
            FrequencySeries::PartialDuration => "partial-duration series",
            FrequencySeries::AnnualMaximum => "annual-maximum series",
        };
        let place =
            [&self.station, &self.place].into_iter().find(|text| !text.is_empty()).map_or(String::new(), |text| format!(", {text}"));
        let made = if self.made_on.is_empty() { String::new() } else { format!(", made {}", self.made_on) };
        format!("{}, {}, {series}{place}{made}", self.title, self.publication)
    }
}
