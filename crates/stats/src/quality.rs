//! Quality tests of a daily record: which days cannot be trusted, and what else to know of the record.
//!
//! Every test is a pure function in a file of its own, with its formula, its limits, their source and when it cannot be applied. They run
//! in a fixed order, each on the days that the ones before left (as in Durre et al. 2010), and what one station shows by itself is found
//! without neighbours; with neighbours there is more. A finding is data: the test, its days, its figures, and what it does. A rejected day
//! keeps its depth and is not used; a warning changes nothing.
//!
//! Sources: WMO-No. 1203 (2017) and WMO-No. 1238 (2019) ask for tests of limits, of consistency in time and in space, of repeated values
//! and of homogeneity, and for a record of what each did. Durre et al. (2010), Journal of Applied Meteorology and Climatology 49,
//! 1615-1633, give limits; they are quoted from memory. Viney & Bates (2004), International Journal of Climatology 24, 1171-1192, is the
//! source of the weekday test. What is ours is called ours in the file. What the tests find of known faults, and what they find in sound
//! records, is measured (`tests/quality_recall`; table in DEVELOPERS.md).
//!
//! The mean of an area is tested like a gauge, but for what supposes a gauge's depths: rounding and streaks of equal depths.

mod absolute_limit;
mod change_point;
mod climatological_outlier;
mod coarse_rounding;
mod day_shift;
mod depth_frequency;
mod far_above_next;
mod finding;
mod frequent_value;
mod gap_in_month;
mod half_years;
mod identical_streak;
mod impossible_zeros;
mod out_of_season;
mod repeated_months;
mod seasonal_percentiles;
mod spatial_outlier;
#[cfg(test)]
mod tests;
mod unit_slip;
mod untagged_totals;
mod working_days;

pub use finding::{ChangeOf, CoarseRounding, Effect, Evidence, NotApplied, QualityFinding, QualityTest, WhyNotApplied};

use depth_frequency::DepthFrequency;
use seasonal_percentiles::SeasonalPercentiles;
use serde::Serialize;
use series::{DailySeries, Day, Extent, Period, Rejection};
use working_days::WorkingDays;

/// A record that another one is held against.
#[derive(Debug, Clone, Copy)]
pub struct Neighbour<'a> {
    /// Its days.
    pub series: &'a DailySeries,
    /// How far from the tested station, km.
    pub distance_km: f64,
    /// Days added to a date of the record for this one's of the same rain.
    pub days_later: i32,
}

/// A neighbour that the tests used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NeighbourUsed {
    /// Its station's id.
    pub id: String,
    /// How far, km.
    pub distance_km: f64,
    /// Days on which both have a depth.
    pub common_days: usize,
}

/// What the tests made of a record.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct QualityReport {
    /// The findings, in the order of the tests and of time.
    pub findings: Vec<QualityFinding>,
    /// The tests that could not be applied, and why.
    pub not_applied: Vec<NotApplied>,
    /// The neighbours that were used.
    pub neighbours: Vec<NeighbourUsed>,
    /// Days that are rejected, in order, each once.
    #[serde(skip)]
    pub rejected: Vec<Day>,
}

impl QualityReport {
    /// The series without the rejected days: each keeps its depth and is [`Rejection::QualityTest`].
    pub fn applied_to(&self, series: &DailySeries) -> DailySeries {
        if self.rejected.is_empty() { series.clone() } else { series.rejecting(self.rejected.iter().copied(), Rejection::QualityTest) }
    }

    /// The findings of one test.
    pub fn of(&self, test: QualityTest) -> impl Iterator<Item = &QualityFinding> {
        self.findings.iter().filter(move |finding| finding.test() == test)
    }
}

/// A test of the days alone.
type Find = fn(&WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied>;

/// Run every test on a series, with the neighbours that there are (none will do).
pub fn quality_report(series: &DailySeries, neighbours: &[Neighbour<'_>]) -> QualityReport {
    let mut report = QualityReport::default();
    let Some(mut days) = WorkingDays::new(series, neighbours) else {
        report.not_applied = QualityTest::ALL.map(|test| NotApplied { test, why: WhyNotApplied::TooFewDays { have: 0, need: 1 } }).into();
        return report;
    };
    report.neighbours = days.neighbours_used(neighbours);
    // The depths of an area's mean are nobody's readings.
    let of_gauge = || if series.extent == Extent::Gauge { Ok(()) } else { Err(WhyNotApplied::NotAGauge) };
    run(&mut report, &mut days, QualityTest::AbsoluteLimit, |days| Ok(absolute_limit::find(days)));
    let frequency = DepthFrequency::new(&days);
    run(&mut report, &mut days, QualityTest::RepeatedMonths, |days| repeated_months::find(days, &frequency));
    run(&mut report, &mut days, QualityTest::IdenticalStreak, |days| of_gauge().map(|()| identical_streak::find(days, &frequency)));
    run(&mut report, &mut days, QualityTest::UnitSlip, unit_slip::find);
    run(&mut report, &mut days, QualityTest::GapInMonth, |days| Ok(gap_in_month::find(days)));
    run(&mut report, &mut days, QualityTest::SpatialOutlier, spatial_outlier::find);
    let percentiles = SeasonalPercentiles::new(&days);
    run(&mut report, &mut days, QualityTest::FrequentValue, |days| {
        of_gauge().and_then(|()| frequent_value::find(days, &frequency, &percentiles))
    });
    run(&mut report, &mut days, QualityTest::ClimatologicalOutlier, |days| climatological_outlier::find(days, &percentiles));
    // A day that is told already is not told again.
    let of_great_days: [(QualityTest, Find); 2] =
        [(QualityTest::OutOfSeason, out_of_season::find), (QualityTest::FarAboveNext, far_above_next::find)];
    for (test, find) in of_great_days {
        let told: Vec<Period> =
            report.findings.iter().filter(|finding| finding.is_of_one_day()).map(|finding| finding.periods[0]).collect();
        run(&mut report, &mut days, test, |days| {
            Ok(find(days)?.into_iter().filter(|finding| !told.contains(&finding.periods[0])).collect())
        });
    }
    run(&mut report, &mut days, QualityTest::ImpossibleZeros, impossible_zeros::find);
    run(&mut report, &mut days, QualityTest::UntaggedTotals, untagged_totals::find);
    run(&mut report, &mut days, QualityTest::DayShift, day_shift::find);
    run(&mut report, &mut days, QualityTest::CoarseRounding, |days| of_gauge().and_then(|()| coarse_rounding::find(days)));
    run(&mut report, &mut days, QualityTest::ChangePoint, change_point::find);
    report.rejected.sort_unstable();
    report.rejected.dedup();
    report
}

/// Run one test, keep what it found, and take the days that it rejects away from the tests behind it.
fn run(
    report: &mut QualityReport,
    days: &mut WorkingDays,
    test: QualityTest,
    find: impl FnOnce(&WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied>,
) {
    match find(days) {
        Ok(findings) => {
            for finding in findings.iter().filter(|finding| finding.effect == Effect::Rejected) {
                report.rejected.extend(finding.periods.iter().flat_map(|period| days.reject(*period)));
            }
            report.findings.extend(findings);
        }
        Err(why) => report.not_applied.push(NotApplied { test, why }),
    }
}
