//! The five greatest days of a record, and which of them deserve a second look.
//!
//! A day of 10 mm or more is doubtful where one of these holds. It is kept all the same: a true storm can look like a slip of the pen.
//!
//! * It is above 1,825 mm, the most rain ever measured in 24 hours (Foc-Foc, La Reunion, 7 to 8 January 1966: WMO World Weather and Climate
//!   Extremes Archive; from memory).
//! * It is 2.5 times or more the greatest day within 14 days of its date in other years, where those have 145 usable days or more (five
//!   years of 29 days). The window of 29 days is that of the outlier check of Durre et al. 2010 (J. Appl. Meteor. Climatol. 49, 1615-1633,
//!   from memory), which asks for nine times a percentile of it; 2.5 is ours (no source): among the five greatest days of eleven
//!   sound records from Oxford to Death Valley none reaches 2.4.
//! * It is three times or more the next greatest day of the record, which has 30 days of rain or more (common practice, no source).

use crate::record_summary::{GreatestDay, millimetres};
use serde::Serialize;
use series::{DailySeries, Day, Kind, Qualifier, Reading};

/// So many days are listed.
pub const GREAT_DAYS: usize = 5;
/// A smaller depth is not doubted, micrometres (a day of heavy precipitation, ETCCDI R10mm).
const DOUBTED_FROM: i64 = 10_000;
/// The most rain ever measured in 24 hours, micrometres.
const MOST_EVER: i64 = 1_825_000;
/// Days before and after a date of the year that are its season.
const SEASON: i32 = 14;
/// Usable days of the season in other years that tell something.
const SEASON_NEEDS: usize = 145;
/// So many times the greatest of its season in other years a day is doubtful.
const TIMES_OF_SEASON: f64 = 2.5;
/// So many times the next greatest day of the record a day is doubtful.
const TIMES_OF_RECORD: f64 = 3.0;
/// Days of rain that a record needs for that.
const RECORD_NEEDS: usize = 30;

/// Why a day deserves a second look. In JSON, `why` names it and its figures stand beside.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "why")]
pub enum Doubt {
    /// Above the most rain ever measured in 24 hours.
    AboveAnyMeasured {
        /// That most, mm.
        most_mm: f64,
    },
    /// Far above the days of its season in other years.
    FarAboveItsSeason {
        /// The greatest day within 14 days of its date in other years, mm; zero where none of them had rain.
        next_mm: f64,
    },
    /// Far above the next greatest day of the record.
    FarAboveTheNext {
        /// That day's depth, mm.
        next_mm: f64,
    },
}

impl Doubt {
    /// Its name, as in JSON.
    pub fn id(self) -> &'static str {
        match self {
            Self::AboveAnyMeasured { .. } => "above_any_measured",
            Self::FarAboveItsSeason { .. } => "far_above_its_season",
            Self::FarAboveTheNext { .. } => "far_above_the_next",
        }
    }
}

/// One of the greatest days of a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GreatDay {
    /// The date.
    pub date: Day,
    /// The depth, mm.
    pub depth_mm: f64,
    /// What its source says of the value.
    pub qualifiers: Vec<Qualifier>,
    /// Why it deserves a second look, where it does.
    pub doubt: Option<Doubt>,
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

/// The greatest usable days with rain, greatest first; of equals the earliest.
pub(crate) fn great_days(rain: &DailySeries) -> Vec<GreatDay> {
    let mut greatest: Vec<(Day, i64, Reading)> = Vec::new();
    let mut days_of_rain = 0;
    for (day, reading) in rain.days() {
        let Some(depth) = reading.depth().filter(|depth| *depth > 0) else { continue };
        days_of_rain += 1;
        // One more than is listed: the last one listed has a next greatest too.
        if greatest.len() <= GREAT_DAYS || greatest.last().is_some_and(|last| last.1 < depth) {
            let at = greatest.partition_point(|(_, other, _)| *other >= depth);
            greatest.insert(at, (day, depth, reading));
            greatest.truncate(GREAT_DAYS + 1);
        }
    }
    let next = |rank: usize| greatest.get(rank + 1).map(|(_, depth, _)| *depth).filter(|_| days_of_rain >= RECORD_NEEDS);
    let shown: Vec<(Day, i64, Reading)> = greatest.iter().copied().take(GREAT_DAYS).collect();
    let seasons = seasons(rain, &shown);
    let of_rank = |(rank, (day, depth, reading)): (usize, &(Day, i64, Reading))| GreatDay {
        date: *day,
        depth_mm: millimetres(*depth),
        qualifiers: [Qualifier::Estimated, Qualifier::MadeOfParts, Qualifier::PresumedZero]
            .into_iter()
            .filter(|qualifier| reading.qualifiers().has(*qualifier))
            .collect(),
        doubt: doubt(*depth, seasons[rank], next(rank)),
    };
    shown.iter().enumerate().map(of_rank).collect()
}

/// The greatest day of the season of each of these days in other years, where it has days enough.
fn seasons(rain: &DailySeries, days: &[(Day, i64, Reading)]) -> Vec<Option<i64>> {
    let mut found: Vec<(usize, i64)> = vec![(0, 0); days.len()];
    let place = |day: Day| day.day_of_year() as i32;
    let places: Vec<i32> = days.iter().map(|(day, ..)| place(*day)).collect();
    for (other, reading) in rain.days() {
        let Some(depth) = reading.depth() else { continue };
        let at = place(other);
        for ((own, (day, ..)), season) in places.iter().zip(days).zip(&mut found) {
            let apart = (at - own).abs();
            // The same days of the same year are its own weather.
            if apart.min(365 - apart) <= SEASON && other.since(*day).abs() > SEASON {
                *season = (season.0 + 1, season.1.max(depth));
            }
        }
    }
    found.into_iter().map(|(usable, most)| (usable >= SEASON_NEEDS).then_some(most)).collect()
}

fn doubt(depth: i64, season: Option<i64>, next: Option<i64>) -> Option<Doubt> {
    let reaches = |times: f64, other: i64| depth as f64 >= times * other as f64;
    if depth < DOUBTED_FROM {
        None
    } else if depth > MOST_EVER {
        Some(Doubt::AboveAnyMeasured { most_mm: millimetres(MOST_EVER) })
    } else if let Some(other) = season.filter(|other| reaches(TIMES_OF_SEASON, *other)) {
        Some(Doubt::FarAboveItsSeason { next_mm: millimetres(other) })
    } else {
        let other = next.filter(|other| reaches(TIMES_OF_RECORD, *other))?;
        Some(Doubt::FarAboveTheNext { next_mm: millimetres(other) })
    }
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
        let found = great_days(&read(&text).rain);
        let told: Vec<(String, f64)> = found.iter().map(|one| (one.date.to_string(), one.depth_mm)).collect();
        let expected = [("2004-07-03", 45.0), ("2003-07-03", 40.0), ("2001-01-01", 20.0), ("2001-01-06", 20.0), ("2001-01-11", 20.0)];
        assert_eq!(told, expected.map(|(date, depth)| (date.to_owned(), depth)), "of equals the earliest");
        assert!(found.iter().all(|one| one.doubt.is_none()), "{found:?}");
    }

    #[test]
    fn a_day_far_above_its_season_or_the_record_is_doubted() {
        // 49.9 mm is under, 50.0 mm is 2.5 times the 20 mm of the same season in other years.
        for (tenths, doubt) in [(499, None), (500, Some(Doubt::FarAboveItsSeason { next_mm: 20.0 }))] {
            assert_eq!(great_days(&read(&put(even(), (2004, 7, 3), tenths)).rain)[0].doubt, doubt);
        }
        let beyond = great_days(&read(&put(even(), (2004, 7, 3), 19_000)).rain);
        assert_eq!(beyond[0].doubt, Some(Doubt::AboveAnyMeasured { most_mm: 1825.0 }));
        // Two months have no other year. 30 days of 3.4 mm, then one of three times as much.
        let mut days = vec![Some(3.4); 30];
        days.push(Some(10.2));
        let short = great_days(&read(&DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &days)).rain);
        assert_eq!(short[0].doubt, Some(Doubt::FarAboveTheNext { next_mm: 3.4 }));
    }

    #[test]
    fn a_rejected_value_above_all_others_is_told() {
        let text = even().flagged((2004, 7, 3), "PRCP", 9999, 'G');
        let rain = read(&text).rain;
        let rejected = greatest_rejected(&rain, great_days(&rain).first()).unwrap();
        assert_eq!((rejected.date, rejected.depth_mm, rejected.because.as_str()), (day("2004-07-03"), 999.9, "quality flag G"));
        assert_eq!(great_days(&read(&DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &[Some(0.0); 9])).rain), []);
    }
}
