//! Which 24 hours a dated daily total belongs to.
//!
//! Gauges read at 07 or 09 hours and gauges read at midnight do not share a day: a storm in the night is dated one day apart.
//! The definition travels with a series and is printed; nothing is shifted silently (WMO-No. 8, on observing times).
//!
//! The hour is the **local standard hour at the station**, without summer time, so that gauges of neighbouring countries can be held against
//! each other. A reader whose source states UTC converts where the whole country, or the network, keeps one standard time; elsewhere the
//! hour is not known.

use serde::Serialize;

/// Which calendar day the 24 hours are dated by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DayLabel {
    /// By the day on which the 24 hours begin.
    FirstDay,
    /// By the day on which they end.
    LastDay,
    /// The source does not say.
    #[default]
    Unknown,
}

/// The observation day of a series: when it begins and which date it bears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
pub struct DayDefinition {
    /// Local standard hour at the station (0-23) at which the 24 hours begin, where the source says it.
    pub start_hour: Option<u8>,
    /// Which local date the total bears.
    pub label: DayLabel,
}
