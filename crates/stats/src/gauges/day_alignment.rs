//! How many days a neighbour's date has to move to mean, as nearly as whole days can, the lead gauge's 24 hours.
//!
//! A date stands for the 24 hours from local standard hour h of that date (`FirstDay`), or of the day before (`LastDay`). The move is the
//! whole number of days that brings the two beginnings nearest together; at exactly half a day nothing is moved. Where either record does not
//! say both hour and label, nothing is moved, unless somebody who knows states the days: a date is never shifted on a guess (WMO-No. 8, on
//! hours of observation; DESIGN section 2).

use serde::Serialize;
use series::{DayDefinition, DayLabel};

/// A neighbour's dates beside the lead gauge's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum DayAlignment {
    /// Both records say which 24 hours a date means.
    Told {
        /// Days added to a date of the lead gauge for the neighbour's date of most of the same hours.
        days_later: i32,
        /// Hours that the two then share, 12 to 24.
        hours_shared: u32,
    },
    /// Somebody who knows the gauges stated it.
    Stated {
        /// As above.
        days_later: i32,
    },
    /// One of them does not say: used as dated.
    NotTold,
}

impl DayAlignment {
    /// By what the records say, or by the user's word, which goes before.
    pub fn of(lead: DayDefinition, neighbour: DayDefinition, stated: Option<i32>) -> Self {
        if let Some(days_later) = stated {
            return Self::Stated { days_later };
        }
        let Some((lead, neighbour)) = begins(lead).zip(begins(neighbour)) else { return Self::NotTold };
        // The neighbour's date D + k begins this many hours after the lead's D.
        let after = |days: i32| (neighbour + 24 * days - lead).unsigned_abs();
        // 0 first, so that it stays at half a day.
        let days_later = [0, -1, 1, -2, 2].into_iter().min_by_key(|days| after(*days)).unwrap_or(0);
        Self::Told { days_later, hours_shared: 24_u32.saturating_sub(after(days_later)) }
    }

    /// The same seen from the neighbour.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Self::Told { days_later, hours_shared } => Self::Told { days_later: -days_later, hours_shared },
            Self::Stated { days_later } => Self::Stated { days_later: -days_later },
            Self::NotTold => Self::NotTold,
        }
    }

    /// Days added to a date of the lead gauge for the neighbour's.
    pub fn days_later(self) -> i32 {
        match self {
            Self::Told { days_later, .. } | Self::Stated { days_later } => days_later,
            Self::NotTold => 0,
        }
    }
}

/// The hour at which the 24 hours of a date begin, counted from that date's midnight.
fn begins(day: DayDefinition) -> Option<i32> {
    let hour = i32::from(day.start_hour?);
    match day.label {
        DayLabel::FirstDay => Some(hour),
        DayLabel::LastDay => Some(hour - 24),
        DayLabel::Unknown => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(hour: u8, label: DayLabel) -> DayDefinition {
        DayDefinition { start_hour: Some(hour), label }
    }

    /// Counted by hand on a line of hours.
    #[test]
    fn the_nearest_whole_day_is_taken_and_only_where_both_say() {
        use DayLabel::{FirstDay, LastDay, Unknown};
        let told = |lead, other| match DayAlignment::of(lead, other, None) {
            DayAlignment::Told { days_later, hours_shared } => Some((days_later, hours_shared)),
            _ => None,
        };
        assert_eq!(told(day(7, FirstDay), day(7, FirstDay)), Some((0, 24)));
        // 7 h by the last day bears the date after: the neighbour's date is one later.
        assert_eq!(told(day(7, FirstDay), day(7, LastDay)), Some((1, 24)));
        assert_eq!(told(day(9, LastDay), day(7, FirstDay)), Some((-1, 22)));
        let turned = DayAlignment::of(day(9, LastDay), day(7, FirstDay), None).turned();
        assert_eq!(turned, DayAlignment::of(day(7, FirstDay), day(9, LastDay), None));
        // 9 h to 9 h by the last day shares 9 hours with midnight to midnight of its date and 15 with the day before.
        assert_eq!(told(day(0, FirstDay), day(9, LastDay)), Some((1, 15)));
        assert_eq!(told(day(0, FirstDay), day(12, LastDay)), Some((0, 12)), "half a day moves nothing");
        assert_eq!(told(day(0, FirstDay), day(12, FirstDay)), Some((0, 12)));
        assert_eq!(told(day(7, FirstDay), day(7, Unknown)), None);
        assert_eq!(DayAlignment::of(DayDefinition::default(), day(7, LastDay), None).days_later(), 0);
        assert_eq!(DayAlignment::of(day(7, FirstDay), day(7, FirstDay), Some(-1)).days_later(), -1);
    }
}
