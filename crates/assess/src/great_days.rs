//! The five greatest days of a record, and which of them the quality tests doubt (`stats`, `quality`).

use crate::record_summary::{GreatestDay, millimetres};
use serde::Serialize;
use series::{DailySeries, Day, Kind, Qualifier, Reading};
use stats::{QualityFinding, QualityReport, QualityTest};

/// So many days are listed.
pub const GREAT_DAYS: usize = 5;
/// One of the greatest days of a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GreatDay {
    /// The date.
    pub date: Day,
    /// The depth, mm.
    pub depth_mm: f64,
    /// What its source says of the value.
    pub qualifiers: Vec<Qualifier>,
    /// The quality test that doubts its depth, where one does.
    pub doubt: Option<QualityTest>,
}

/// A value that was rejected.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RejectedDay {
    /// The date.
    pub date: Day,
    /// The number as it stood in the file, mm.
    pub depth_mm: f64,
    /// Why it was rejected.
    pub because: String,
}

impl GreatestDay {
    /// The greater of two days with rain, the earlier of equals; a depth of zero is no greatest day.
    pub(crate) fn greater(best: Option<Self>, date: Day, micrometres: i64) -> Option<Self> {
        let depth_mm = millimetres(micrometres);
        if micrometres > 0 && best.is_none_or(|best| depth_mm > best.depth_mm) { Some(Self { date, depth_mm }) } else { best }
    }
}

/// The greatest usable days with rain, greatest first; of equals the earliest. `quality` tells which of them are doubted.
pub(crate) fn great_days(rain: &DailySeries, quality: Option<&QualityReport>) -> Vec<GreatDay> {
    let mut greatest: Vec<(Day, i64, Reading)> = Vec::new();
    for (day, reading) in rain.days() {
        let Some(depth) = reading.depth().filter(|depth| *depth > 0) else { continue };
        if greatest.len() < GREAT_DAYS || greatest.last().is_some_and(|last| last.1 < depth) {
            let at = greatest.partition_point(|(_, other, _)| *other >= depth);
            greatest.insert(at, (day, depth, reading));
            greatest.truncate(GREAT_DAYS);
        }
    }
    let doubt = |day: Day| {
        let mut doubts = quality.into_iter().flat_map(|report| &report.findings).filter(|finding| finding.is_of_one_day());
        doubts.find(|finding| finding.periods.iter().any(|period| period.contains(day))).map(QualityFinding::test)
    };
    let of = |(date, depth, reading): (Day, i64, Reading)| GreatDay {
        date,
        depth_mm: millimetres(depth),
        qualifiers: [Qualifier::Estimated, Qualifier::MadeOfParts, Qualifier::PresumedZero]
            .into_iter()
            .filter(|qualifier| reading.qualifiers().has(*qualifier))
            .collect(),
        doubt: doubt(date),
    };
    greatest.into_iter().map(of).collect()
}

/// The greatest rejected value above the greatest usable day.
pub(crate) fn greatest_rejected(rain: &DailySeries, greatest: Option<&GreatDay>) -> Option<RejectedDay> {
    let above = |micrometres: i64| micrometres > 0 && greatest.is_none_or(|day| millimetres(micrometres) > day.depth_mm);
    let rejected = rain.days().filter_map(|(date, reading)| match reading.kind() {
        Kind::Rejected(why) if above(reading.stated_micrometres()) => Some((date, reading.stated_micrometres(), why)),
        _ => None,
    });
    let most = rejected.fold(None, |best: Option<(Day, i64, _)>, one| match best {
        Some(best) if one.1 <= best.1 => Some(best),
        _ => Some(one),
    });
    most.map(|(date, micrometres, why)| RejectedDay { date, depth_mm: millimetres(micrometres), because: why.to_string() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::read;
    use testkit::DlyText;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    /// Ten years with 20 mm on every fifth day.
    fn even() -> DlyText {
        let days: Vec<Option<f64>> = (0..3652).map(|i| Some(if i % 5 == 0 { 20.0 } else { 0.0 })).collect();
        DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &days)
    }

    fn put(mut text: DlyText, date: (i32, u32, u32), tenths: i32) -> DlyText {
        text.put(date, "PRCP", tenths, [' ', ' ']);
        text
    }

    #[test]
    fn the_five_greatest_days_stand_in_order() {
        let text = put(put(even(), (2004, 7, 3), 450), (2003, 7, 3), 400);
        let found = great_days(&read(&text).rain, None);
        let told: Vec<(String, f64)> = found.iter().map(|one| (one.date.to_string(), one.depth_mm)).collect();
        let expected = [("2004-07-03", 45.0), ("2003-07-03", 40.0), ("2001-01-01", 20.0), ("2001-01-06", 20.0), ("2001-01-11", 20.0)];
        assert_eq!(told, expected.map(|(date, depth)| (date.to_owned(), depth)), "of equals the earliest");
        assert!(found.iter().all(|one| one.doubt.is_none()), "{found:?}");
    }

    #[test]
    fn a_day_that_a_quality_test_doubts_says_so() {
        // 50.0 mm is 2.5 times the 20 mm of the same season in other years (`stats`, `out_of_season`).
        let rain = read(&put(even(), (2004, 7, 3), 500)).rain;
        let found = great_days(&rain, Some(&stats::quality_report(&rain, &[])));
        assert_eq!((found[0].doubt, found[1].doubt), (Some(QualityTest::OutOfSeason), None));
    }

    #[test]
    fn a_rejected_value_above_all_others_is_told() {
        let text = even().flagged((2004, 7, 3), "PRCP", 9999, 'G');
        let rain = read(&text).rain;
        let rejected = greatest_rejected(&rain, great_days(&rain, None).first()).unwrap();
        assert_eq!((rejected.date, rejected.depth_mm, rejected.because.as_str()), (day("2004-07-03"), 999.9, "quality flag G"));
        assert_eq!(great_days(&read(&DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &[Some(0.0); 9])).rain, None), []);
    }
}
