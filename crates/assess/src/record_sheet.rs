//! A record as an observer would look it over: by year, by calendar month, its gaps, its multi-day totals, its flags.
//!
//! Every figure is counted from the readings between the first and the last usable day, each day once; depths are exact sums of micrometres,
//! given in mm. In JSON the fields stand as they are named here.

use crate::depth_step::{DepthStep, depth_step};
use crate::great_days::{GreatDay, RejectedDay, great_days, greatest_rejected};
use crate::record_gaps::{Gap, gaps};
use crate::record_months::{MonthOfRecord, by_month};
use crate::record_summary::millimetres;
use crate::record_years::{self, MeanYear, YearsOfRecord, by_year, mean_year};
use ingest::StationRecord;
use serde::Serialize;
use series::{Day, Kind, MultiDayTotal, Rejection};
use stats::{MonthRule, QualityReport};
use std::collections::BTreeMap;

/// A record of more years than this is folded into decades on paper.
pub const FOLD_FROM_YEARS: usize = 40;
/// So many years that are not whole stand beside the decades, those with most days lost.
const YEARS_BESIDE_DECADES: usize = 12;

/// One multi-day total.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OneTotal {
    /// The day it ends on.
    pub last: Day,
    /// Days it covers; nothing where that is not known.
    pub days: Option<u16>,
    /// Its depth, mm.
    pub depth_mm: f64,
}

/// Why values were rejected by their source, by the letter of its flag.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct QualityFlag {
    /// The letter.
    pub letter: char,
    /// What it stands for; empty where the reader does not tell.
    pub meaning: String,
    /// Days of the record that it rejects.
    pub days: usize,
}

/// A record looked over.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordSheet {
    /// Every calendar year from the first to the last.
    pub by_year: Vec<YearsOfRecord>,
    /// What a year brings on the mean.
    pub mean_year: MeanYear,
    /// The step in which depths were written down; nothing where too few depths tell.
    pub depth_step: Option<DepthStep>,
    /// The five greatest days, greatest first; of equals the earliest.
    pub great_days: Vec<GreatDay>,
    /// The greatest value that was rejected, where it is above the greatest usable day.
    pub greatest_rejected: Option<RejectedDay>,
    /// January to December.
    pub by_month: Vec<MonthOfRecord>,
    /// How many gaps there are.
    pub gaps: usize,
    /// The longest of them, longest first; of equals the earliest.
    pub longest_gaps: Vec<Gap>,
    /// The total over most days; of equals the earliest.
    pub longest_total: Option<OneTotal>,
    /// The deepest total; of equals the earliest.
    pub largest_total: Option<OneTotal>,
    /// How many totals of each known length, days.
    pub totals_by_length: BTreeMap<u16, usize>,
    /// Rain in totals over all rain; nothing without rain.
    pub totals_share: Option<f64>,
    /// The source's quality flags.
    pub flags: Vec<QualityFlag>,
}

impl RecordSheet {
    /// Looks a record over; `quality` is what its quality tests found, where they were made.
    pub fn of(record: &StationRecord, quality: Option<&QualityReport>) -> Self {
        let rain = &record.rain;
        let (gaps, longest_gaps) = gaps(rain);
        let totals: Vec<MultiDayTotal> = rain.stated_totals().collect();
        let one = |total: &MultiDayTotal| OneTotal { last: total.last, days: total.days, depth_mm: millimetres(total.micrometres) };
        let mut totals_by_length = BTreeMap::new();
        for days in totals.iter().filter_map(|total| total.days) {
            *totals_by_length.entry(days).or_insert(0) += 1;
        }
        let in_totals: i64 = totals.iter().map(|total| total.micrometres).sum();
        let all = in_totals + rain.total_micrometres();
        let by_year = by_year(rain);
        let months = stats::monthly_totals(rain, MonthRule::Whole);
        let great_days = great_days(rain, quality);
        Self {
            mean_year: mean_year(&by_year, &months),
            depth_step: depth_step(rain),
            greatest_rejected: greatest_rejected(rain, great_days.first()),
            great_days,
            by_month: by_month(rain, &months),
            by_year,
            gaps,
            longest_gaps,
            longest_total: first_greatest(totals.iter().filter(|total| total.days.is_some()), |total| i64::from(total.days.unwrap_or(0)))
                .map(one),
            largest_total: first_greatest(totals.iter(), |total| total.micrometres).map(one),
            totals_by_length,
            totals_share: (all > 0).then(|| in_totals as f64 / all as f64),
            flags: flags(record),
        }
    }

    /// Decades of the record, cut at its first and last year.
    pub fn by_decade(&self) -> Vec<YearsOfRecord> {
        record_years::by_decade(&self.by_year)
    }

    /// Whether the record is so long that paper shows its decades.
    pub fn folds(&self) -> bool {
        self.by_year.len() > FOLD_FROM_YEARS
    }

    /// What a sheet of paper shows of all years: every one, or of a long record its decades.
    pub fn rows_by_year(&self) -> Vec<YearsOfRecord> {
        if self.folds() { self.by_decade() } else { self.by_year.clone() }
    }

    /// Of a record shown by decades, the years that are not whole; those with most days lost, in order of time.
    pub fn years_not_whole(&self) -> Vec<YearsOfRecord> {
        if !self.folds() {
            return Vec::new();
        }
        let mut lost: Vec<YearsOfRecord> = self.by_year.iter().filter(|year| !year.is_whole()).copied().collect();
        lost.sort_by_key(|year| (std::cmp::Reverse(year.lost()), year.first_year));
        lost.truncate(YEARS_BESIDE_DECADES);
        lost.sort_by_key(|year| year.first_year);
        lost
    }
}

/// The first of the greatest.
pub(crate) fn first_greatest<'a, T: 'a, K: PartialOrd + Copy>(all: impl Iterator<Item = &'a T>, of: impl Fn(&T) -> K) -> Option<&'a T> {
    all.fold(None, |best: Option<&T>, one| match best {
        Some(best) if of(one) <= of(best) => Some(best),
        _ => Some(one),
    })
}

fn flags(record: &StationRecord) -> Vec<QualityFlag> {
    let mut days: BTreeMap<u8, usize> = BTreeMap::new();
    for reading in record.rain.readings() {
        if let Kind::Rejected(Rejection::QualityFlag(letter)) = reading.kind() {
            *days.entry(letter).or_default() += 1;
        }
    }
    let meaning = |letter| record.diagnostics.flags.get(&letter).cloned().unwrap_or_default();
    days.into_iter().map(|(letter, days)| QualityFlag { letter: char::from(letter), meaning: meaning(letter), days }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::read;
    use series::Day;
    use testkit::DlyText;

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    /// Counted by hand. 2001: 30 and 31 December at 1.5 mm and 2.5 mm. 2002: a trace, two days lost (one of them flagged), a total of 6 mm
    /// over three days, a total of 9 mm of unknown length, 7 mm, then 24 days without a line.
    fn invented() -> StationRecord {
        let text = DlyText::new("XXT00000001")
            .rain_run_mm((2001, 12, 30), &[Some(1.5), Some(2.5)])
            .trace((2002, 1, 1))
            .flagged((2002, 1, 2), "PRCP", 9999, 'G')
            .accumulated_mm((2002, 1, 6), 6.0, Some(3))
            .accumulated_mm((2002, 1, 7), 9.0, None)
            .rain_mm((2002, 1, 8), 7.0)
            .rain_mm((2002, 2, 2), 7.0);
        read(&text)
    }

    #[test]
    fn an_invented_record_is_looked_over_as_by_hand() {
        let sheet = RecordSheet::of(&invented(), None);
        let [first, second] = sheet.by_year.as_slice() else { panic!("{sheet:?}") };
        assert_eq!((first.first_year, first.days.calendar, first.days_outside, first.total_mm), (2001, 2, 363, 4.0));
        assert_eq!((second.days.calendar, second.days_outside, second.days.usable(), second.days.trace), (33, 332, 3, 1));
        // 2 January rejected, 4 to 7 January in totals, 3 January and 9 January to 1 February (24 days) without a value.
        assert_eq!((second.days.rejected, second.days.accumulated, second.days.missing), (1, 4, 25));
        assert_eq!(second.greatest_day.map(|greatest| (greatest.date, greatest.depth_mm)), Some((day("2002-01-08"), 7.0)), "the earliest");
        assert_eq!((second.total_mm, second.is_whole()), (14.0, false));
        assert_eq!(sheet.gaps, 2);
        assert_eq!(sheet.longest_gaps[0], Gap { first: day("2002-01-09"), last: day("2002-02-01"), days: 24, rejected: 0 });
        assert_eq!(sheet.longest_gaps[1], Gap { first: day("2002-01-02"), last: day("2002-01-03"), days: 2, rejected: 1 });
        assert_eq!(sheet.longest_total, Some(OneTotal { last: day("2002-01-06"), days: Some(3), depth_mm: 6.0 }));
        assert_eq!(sheet.largest_total, Some(OneTotal { last: day("2002-01-07"), days: None, depth_mm: 9.0 }));
        assert_eq!(sheet.totals_by_length, BTreeMap::from([(3, 1)]));
        // 15 mm in totals and 18 mm on days of their own.
        assert_eq!(sheet.totals_share, Some(15.0 / 33.0));
        let [flag] = sheet.flags.as_slice() else { panic!("{sheet:?}") };
        // GHCN-Daily readme, section III: G = failed gap check.
        assert_eq!((flag.letter, flag.days, flag.meaning.contains("gap check")), ('G', 1, true));
    }

    #[test]
    fn a_long_record_is_folded_and_its_broken_years_stand_out() {
        let mut text = DlyText::new("XXT00000001");
        for year in 1959..=2003 {
            let days = if year == 1987 { 100 } else { 365 + usize::from(series::is_leap_year(year)) };
            text = text.rain_run_mm((year, 1, 1), &vec![Some(1.0); days]);
        }
        let sheet = RecordSheet::of(&read(&text), None);
        assert!(sheet.folds() && sheet.by_year.len() == 45);
        let decades = sheet.by_decade();
        let keys: Vec<String> = decades.iter().map(YearsOfRecord::key).collect();
        assert_eq!(keys, ["1959", "1960-1969", "1970-1979", "1980-1989", "1990-1999", "2000-2003"]);
        // The sixties have 3,653 days, with 1960, 1964 and 1968.
        assert_eq!((decades[1].days.calendar, decades[1].total_mm), (3653, 3653.0));
        assert_eq!((decades[3].days.missing, decades[3].is_whole()), (265, false));
        let rows: Vec<String> = sheet.years_not_whole().iter().map(YearsOfRecord::key).collect();
        assert_eq!(rows, ["1987"]);
    }

    #[test]
    fn a_record_without_rain_has_an_empty_sheet() {
        let sheet = RecordSheet::of(&read(&DlyText::new("XXT00000001").temperature_c((2001, 1, 1), 4.0, -2.0)), None);
        assert!(sheet.by_year.is_empty() && sheet.gaps == 0 && sheet.totals_share.is_none());
        assert!(sheet.by_month.iter().all(|month| month.days == 0 && month.coverage().is_none()));
    }
}
