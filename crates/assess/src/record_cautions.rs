//! What a careful person should know of a record before using it: found by rules, as data; pages put it into words.
//!
//! The limits are ours (common practice, no source), chosen so that a sound record says little:
//!
//! | finding | rule |
//! |---|---|
//! | days in the future | usable days after the day on which it is looked at |
//! | findings of the quality tests | any (`stats`, `quality`) |
//! | findings of the reader | `weighty_findings.rs` |
//! | presumed zeros | over 1 % of the usable days |
//! | totals of unknown length | any |
//! | a calendar month never, or seldom, observed | no usable day; usable on less than half of its days |
//! | the record ended before its file | the file has rows, other readings or temperatures a year or more after the last usable day |
//! | the record ended years ago | two years or more before the day on which it is looked at |
//! | day definition unknown | the hour or the date's meaning is not told |
//! | areal mean, or not known to be one | the reader says so |
//! | coarse depths, where the quality tests do not tell the years | at least 99 % of thirty or more wet readings are multiples of 0.5 mm or more |
//! | absent days may be dry | at most 1 % of the usable days are zero, and days are missing |
//! | position unknown | no latitude and longitude |

use crate::record_sheet::RecordSheet;
use crate::weighty_findings::weighty_findings;
use ingest::StationRecord;
use serde::Serialize;
use series::{Day, DayLabel, Extent, Kind};
use stats::{QualityReport, QualityTest};

/// Share of presumed zeros among the usable days above which they are told.
const PRESUMED_ZERO_SHARE: f64 = 0.01;
/// A calendar month usable on less than this share of its days is seldom observed.
const SELDOM_SHARE: f64 = 0.5;
/// Days that make a year of waiting.
const YEAR: f64 = 365.25;
/// Years since the record's end that are told.
const ENDED_YEARS: f64 = 2.0;
/// The finest step of depths that is told, mm.
const COARSE_STEP: f64 = 0.5;
/// Fewest usable days whose zeros tell something.
const ZEROS_NEED: usize = 30;
/// Share of zeros among the usable days up to which a record seems to leave dry days out.
const ZERO_SHARE: f64 = 0.01;

/// One thing to know. In JSON, `what` names it and its figures stand beside.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum RecordCaution {
    /// The mean of an area, no gauge.
    ArealMean,
    /// Its files disagree on whether it is one gauge or an area.
    ExtentUnknown,
    /// Which 24 hours a date means is not told.
    DayDefinitionUnknown,
    /// Nobody says where it stands.
    PositionUnknown,
    /// Days after the day on which the record is looked at.
    DaysInTheFuture {
        /// How many usable ones.
        days: usize,
        /// The last of them.
        last: Day,
    },
    /// The quality tests found something.
    QualityFindings {
        /// How many things.
        findings: usize,
        /// How many days they reject.
        rejected_days: usize,
    },
    /// A weighty finding of the reader.
    Finding {
        /// Its kind.
        id: &'static str,
        /// How often it was found.
        count: usize,
        /// What the reader tells of it, where it is one of the whole record.
        told: Option<String>,
    },
    /// Days on which nothing was reported and zero was put in.
    PresumedZeros {
        /// How many.
        days: usize,
        /// Over the usable days, 0 to 1.
        share: f64,
    },
    /// Totals of which nobody knows how many days they cover.
    TotalsOfUnknownLength {
        /// How many.
        totals: usize,
        /// Their rain, mm.
        depth_mm: f64,
    },
    /// Calendar months without any usable day.
    MonthsNeverObserved {
        /// Which, 1 to 12.
        months: Vec<u32>,
    },
    /// Calendar months usable on less than half of their days.
    MonthsSeldomObserved {
        /// Which, 1 to 12.
        months: Vec<u32>,
    },
    /// The file goes on after the last usable day.
    EndedBeforeItsFile {
        /// By so many years.
        years: f64,
        /// The last day of which the file says anything.
        file_ends: Day,
    },
    /// The last usable day is long ago.
    EndedYearsAgo {
        /// By so many years.
        years: f64,
    },
    /// Depths were read on a coarse scale.
    CoarseDepths {
        /// The step, mm.
        step_mm: f64,
    },
    /// Hardly any zero is stated while days are missing: they may have been dry.
    AbsentDaysMayBeDry {
        /// Zeros that are stated.
        zeros: usize,
        /// Days without a value.
        missing: usize,
    },
}

impl RecordCaution {
    /// Its name, as in JSON.
    pub fn id(&self) -> &'static str {
        match self {
            Self::ArealMean => "areal_mean",
            Self::ExtentUnknown => "extent_unknown",
            Self::DayDefinitionUnknown => "day_definition_unknown",
            Self::PositionUnknown => "position_unknown",
            Self::DaysInTheFuture { .. } => "days_in_the_future",
            Self::QualityFindings { .. } => "quality_findings",
            Self::Finding { .. } => "finding",
            Self::PresumedZeros { .. } => "presumed_zeros",
            Self::TotalsOfUnknownLength { .. } => "totals_of_unknown_length",
            Self::MonthsNeverObserved { .. } => "months_never_observed",
            Self::MonthsSeldomObserved { .. } => "months_seldom_observed",
            Self::EndedBeforeItsFile { .. } => "ended_before_its_file",
            Self::EndedYearsAgo { .. } => "ended_years_ago",
            Self::CoarseDepths { .. } => "coarse_depths",
            Self::AbsentDaysMayBeDry { .. } => "absent_days_may_be_dry",
        }
    }
}

/// What is to be known of a record on the day `as_of`, the gravest first; without a day nothing is said of how long ago it ended.
pub(crate) fn record_cautions(
    record: &StationRecord,
    sheet: &RecordSheet,
    quality: Option<&QualityReport>,
    as_of: Option<Day>,
) -> Vec<RecordCaution> {
    let rain = &record.rain;
    let Some(period) = rain.period() else { return Vec::new() };
    let counts = rain.counts();
    let mut found = Vec::new();
    match rain.extent {
        Extent::Gauge => {}
        Extent::ArealMean => found.push(RecordCaution::ArealMean),
        Extent::Unknown => found.push(RecordCaution::ExtentUnknown),
    }
    if let Some(as_of) = as_of.filter(|as_of| period.last > *as_of) {
        let days = rain.days().filter(|(day, reading)| *day > as_of && reading.is_usable()).count();
        found.push(RecordCaution::DaysInTheFuture { days, last: period.last });
    }
    if let Some(quality) = quality.filter(|quality| !quality.findings.is_empty()) {
        found.push(RecordCaution::QualityFindings { findings: quality.findings.len(), rejected_days: quality.rejected.len() });
    }
    found.extend(weighty_findings(&record.diagnostics));
    let zeros = rain.readings().iter().filter(|reading| reading.kind() == Kind::Measured && reading.depth() == Some(0)).count();
    if counts.missing > 0 && counts.usable() >= ZEROS_NEED && zeros as f64 <= ZERO_SHARE * counts.usable() as f64 {
        found.push(RecordCaution::AbsentDaysMayBeDry { zeros, missing: counts.missing });
    }
    let share = counts.presumed_zero as f64 / counts.usable() as f64;
    if share > PRESUMED_ZERO_SHARE {
        found.push(RecordCaution::PresumedZeros { days: counts.presumed_zero, share });
    }
    let unknown = rain.stated_totals().filter(|total| total.days.is_none());
    let (totals, micrometres) = unknown.fold((0, 0), |(n, sum), total| (n + 1, sum + total.micrometres));
    if totals > 0 {
        found.push(RecordCaution::TotalsOfUnknownLength { totals, depth_mm: crate::record_summary::millimetres(micrometres) });
    }
    let months = |seldom: bool| -> Vec<u32> {
        let of = sheet.by_month.iter().filter(|month| {
            let share = month.coverage().unwrap_or(0.0);
            if seldom { share > 0.0 && share < SELDOM_SHARE } else { share == 0.0 }
        });
        of.map(|month| month.month).collect()
    };
    let (never, seldom) = (months(false), months(true));
    if !never.is_empty() {
        found.push(RecordCaution::MonthsNeverObserved { months: never });
    }
    if !seldom.is_empty() {
        found.push(RecordCaution::MonthsSeldomObserved { months: seldom });
    }
    let last = period.last;
    let outside = rain.outside().last().map(|(day, _)| *day);
    let temperatures = record.temperature.period().map(|period| period.last);
    if let Some(file_ends) = [rain.provenance.last_row, outside, temperatures].into_iter().flatten().max() {
        let years = years_between(last, file_ends);
        if years >= 1.0 {
            found.push(RecordCaution::EndedBeforeItsFile { years, file_ends });
        }
    }
    if let Some(years) = as_of.map(|day| years_between(last, day)).filter(|years| *years >= ENDED_YEARS) {
        found.push(RecordCaution::EndedYearsAgo { years });
    }
    // The quality tests tell the years; where there is too little rain in each, the whole record tells.
    let told = quality.is_some_and(|quality| quality.of(QualityTest::CoarseRounding).next().is_some());
    if let Some(step) = sheet.depth_step.filter(|step| step.step_mm >= COARSE_STEP && !told) {
        found.push(RecordCaution::CoarseDepths { step_mm: step.step_mm });
    }
    if rain.day_definition.start_hour.is_none() || rain.day_definition.label == DayLabel::Unknown {
        found.push(RecordCaution::DayDefinitionUnknown);
    }
    if rain.station.position().is_none() {
        found.push(RecordCaution::PositionUnknown);
    }
    found
}

fn years_between(earlier: Day, later: Day) -> f64 {
    f64::from(later.since(earlier)) / YEAR
}

#[cfg(test)]
mod tests {
    use super::*;
    use testkit::DlyText;

    fn cautions(text: &DlyText, as_of: Option<&str>) -> Vec<RecordCaution> {
        let record = crate::test_records::read(text);
        let sheet = RecordSheet::of(&record, None);
        record_cautions(&record, &sheet, None, as_of.map(|day| day.parse().unwrap()))
    }

    /// Two whole years of 1.1 mm and dry days by turns.
    fn sound() -> DlyText {
        let days: Vec<Option<f64>> = (0..730).map(|i| Some(if i % 2 == 0 { 1.1 } else { 0.0 })).collect();
        DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &days)
    }

    const OF_EVERY_DLY: [RecordCaution; 2] = [RecordCaution::DayDefinitionUnknown, RecordCaution::PositionUnknown];

    #[test]
    fn a_sound_record_says_only_what_its_format_leaves_open() {
        assert_eq!(cautions(&sound(), None), OF_EVERY_DLY);
        assert_eq!(cautions(&sound(), Some("2004-12-01")), OF_EVERY_DLY, "a record that ended 1.9 years ago");
        assert_eq!(cautions(&DlyText::new("XXT00000001").temperature_c((2001, 1, 1), 4.0, -2.0), None), []);
    }

    #[test]
    fn each_rule_finds_its_case() {
        let ended = cautions(&sound().temperature_c((2012, 12, 31), 4.0, -2.0), Some("2022-12-31"));
        let [RecordCaution::EndedBeforeItsFile { years: file, file_ends }, RecordCaution::EndedYearsAgo { years: ago }, ..] =
            ended.as_slice()
        else {
            panic!("{ended:?}")
        };
        // 2003 to 2012 are ten years, to 2022 twenty.
        assert!((file - 10.0).abs() < 0.01 && (ago - 20.0).abs() < 0.01 && file_ends.to_string() == "2012-12-31");
        // 8 of 730 are over 1 %, 7 are not.
        for (days, told) in [(7, false), (8, true)] {
            let mut text = sound();
            (0..days).for_each(|i| text.put((2001, 3, 2 * i + 2), "PRCP", 0, ['P', ' ']));
            let found = cautions(&text, None);
            assert_eq!(matches!(found[0], RecordCaution::PresumedZeros { days: 8, .. }), told, "{found:?}");
        }
        let total = cautions(&sound().accumulated_mm((2003, 1, 3), 9.0, None).rain_mm((2003, 1, 4), 0.0), None);
        assert_eq!(total[0], RecordCaution::TotalsOfUnknownLength { totals: 1, depth_mm: 9.0 });
    }

    #[test]
    fn days_to_come_and_findings_of_the_quality_tests_are_told_first() {
        // 2001 and 2002; of the last year 31 December is after 30 December.
        let found = cautions(&sound(), Some("2002-12-30"));
        assert_eq!(found[0], RecordCaution::DaysInTheFuture { days: 1, last: "2002-12-31".parse().unwrap() });
        let record = crate::test_records::read(&sound().rain_mm((2003, 1, 1), 1900.0));
        let quality = crate::quality_of(&record, &[]);
        let sheet = RecordSheet::of(&record, Some(&quality));
        let found = record_cautions(&record, &sheet, Some(&quality), None);
        assert_eq!(
            (&found[0], quality.rejected.len()),
            (&RecordCaution::QualityFindings { findings: quality.findings.len(), rejected_days: 1 }, 1)
        );
    }

    #[test]
    fn coarse_depths_and_left_out_dry_days_are_seen() {
        // A wet day in three, the others without a value: no zero at all. Depths of whole millimetres, by twos.
        let days: Vec<Option<f64>> = (0..365).map(|i| (i % 3 == 0).then_some(f64::from(2 + i % 4))).collect();
        let found = cautions(&DlyText::new("XXT00000001").rain_run_mm((2001, 1, 1), &days), None);
        // 122 wet days from 1 January to 30 December, 242 days between them; every month is usable on a third of its days.
        assert_eq!(found[0], RecordCaution::AbsentDaysMayBeDry { zeros: 0, missing: 242 });
        assert_eq!(found[1], RecordCaution::MonthsSeldomObserved { months: (1..=12).collect() });
        assert_eq!(found[2], RecordCaution::CoarseDepths { step_mm: 1.0 });
    }

    #[test]
    fn a_month_that_nobody_observes_is_named() {
        let mut text = DlyText::new("XXT00000001");
        for year in 2001..=2003 {
            let days: Vec<Option<f64>> = (0..334).map(|i| Some(if i % 2 == 0 { 1.1 } else { 0.0 })).collect();
            text = text.rain_run_mm((year, 1, 1), &days);
        }
        // 334 days from 1 January end on 30 November of a common year.
        assert!(cautions(&text, None).contains(&RecordCaution::MonthsNeverObserved { months: vec![12] }));
    }
}
