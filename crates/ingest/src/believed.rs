//! What is believed of a number, the same in every reader: the rain of a day, of several days, and the temperature of the air.

/// The greatest depth of a day that is believed, micrometres. The greatest ever measured in 24 hours is 1,825 mm (Foc-Foc, Reunion,
/// 1966; WMO archive of weather extremes, from memory).
pub(crate) const MOST_MICROMETRES: i32 = 2_000_000;

/// The greatest total over several days that is believed, micrometres: 10 m. In 31 days 9,300 mm were measured (Cherrapunji, July 1861, from memory);
/// that a gauge held more before it was read is believed of none (our choice).
pub(crate) const MOST_OF_A_TOTAL: i32 = 10_000_000;

/// The same of a total over so many days: no more than as many of the greatest days; of one of unknown length the most of any.
pub(crate) fn most_of_days(days: Option<i32>) -> i32 {
    days.map_or(MOST_OF_A_TOTAL, |days| days.max(1).saturating_mul(MOST_MICROMETRES).min(MOST_OF_A_TOTAL))
}

/// Whether a depth in micrometres can be that of a day.
pub(crate) fn is_of_a_day(micrometres: i64) -> bool {
    (0..=i64::from(MOST_MICROMETRES)).contains(&micrometres)
}

/// A depth as a rejected reading holds it. What is too great for that is 0 there, and stands in its finding as it was found: no number is altered.
pub(crate) fn held(micrometres: i64) -> i32 {
    i32::try_from(micrometres).unwrap_or(0)
}

/// Tenths of a degree Celsius that a thermometer can have shown: -90 to 60 C, a little beyond the lowest and the highest air temperature ever
/// recorded at a station (-89.2 C and 56.7 C, WMO archive of weather extremes, from memory).
pub(crate) fn tenths_celsius(tenths: i64) -> Option<i16> {
    i16::try_from(tenths).ok().filter(|tenths| (-900..=600).contains(tenths))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_total_is_believed_by_its_days() {
        // By hand: 2 days of 2 m are 4 m; 5 and more are 10 m.
        assert_eq!([Some(2), Some(5), Some(31), None].map(most_of_days), [4_000_000, 10_000_000, 10_000_000, 10_000_000]);
        assert_eq!(([-1, 0, 2_000_000, 2_000_001].map(is_of_a_day)), [false, true, true, false]);
        assert_eq!((held(99_999_999_900), held(-5)), (0, -5));
        assert_eq!([-901, -900, 600, 601].map(tenths_celsius), [None, Some(-900), Some(600), None]);
    }
}
