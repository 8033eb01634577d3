//! Multi-day totals that can be placed on their days: of known length, over days that have no reading of their own.
//!
//! A covered day may be missing, or its value not accepted; it may not be usable and may not end another total, or rain would count twice.

use series::{Kind, Reading};

/// A total and its days, as indices into the readings at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct PlacedTotal {
    /// The first of its days that lies in the readings at hand.
    pub(crate) first: usize,
    /// The last.
    pub(crate) last: usize,
    /// All days that it covers, also those before the readings at hand.
    pub(crate) days: u16,
    /// The whole depth.
    pub(crate) micrometres: i64,
}

impl PlacedTotal {
    /// Whether all of its days lie in the readings at hand.
    pub(crate) fn is_inside(&self) -> bool {
        self.last + 1 - self.first == usize::from(self.days)
    }
}

/// The totals that can be placed, in order; no two share a day.
pub(crate) fn placed_totals(readings: &[Reading]) -> impl Iterator<Item = PlacedTotal> {
    readings.iter().enumerate().filter_map(|(last, reading)| {
        let Kind::Accumulated { days: Some(days) } = reading.kind() else { return None };
        let first = (last + 1).saturating_sub(usize::from(days));
        let free = readings[first..last].iter().all(|day| !day.is_usable() && !matches!(day.kind(), Kind::Accumulated { .. }));
        free.then(|| PlacedTotal { first, last, days, micrometres: reading.stated_micrometres() })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::Rejection;

    #[test]
    fn a_rejected_day_is_covered_and_a_measured_one_is_not() {
        let rejected = Reading::rejected(5, Rejection::QualityFlag(b'I'));
        let total = |days| Reading::accumulated(9000, Some(days));
        let placed =
            |readings: &[Reading]| placed_totals(readings).map(|total| (total.first, total.last, total.is_inside())).collect::<Vec<_>>();
        assert_eq!(placed(&[rejected, Reading::WITHIN_TOTAL, total(3)]), [(0, 2, true)]);
        assert_eq!(placed(&[Reading::measured(0), Reading::WITHIN_TOTAL, total(3)]), []);
        assert_eq!(placed(&[Reading::WITHIN_TOTAL, total(3)]), [(0, 1, false)]);
        assert_eq!(placed(&[total(2), total(2), Reading::accumulated(1, None)]), [(0, 0, false)]);
    }
}
