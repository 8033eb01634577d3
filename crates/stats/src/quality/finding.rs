//! A finding of a quality test, as data. Pages put it into words.

use serde::Serialize;
use series::{Day, Period};

/// The quality tests, in the order in which they run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum QualityTest {
    /// A depth above the greatest ever measured in a day.
    AbsoluteLimit,
    /// The days of a month, or more, that stand twice in the record.
    RepeatedMonths,
    /// The same depth day after day.
    IdenticalStreak,
    /// Depths in a wrong unit over months or years.
    UnitSlip,
    /// A depth far above all others of its calendar month.
    GapInMonth,
    /// A depth that no neighbour bears out.
    SpatialOutlier,
    /// The same depth on most of ten rainy days.
    FrequentValue,
    /// A depth many times the usual great ones of its season.
    ClimatologicalOutlier,
    /// A depth far above its season in other years.
    OutOfSeason,
    /// A depth far above the next greatest of the record.
    FarAboveNext,
    /// A month of zeros in a wet season, or while the neighbours are wet.
    ImpossibleZeros,
    /// Weekdays with too little rain, and more on the day after.
    UntaggedTotals,
    /// Dates that are a day early or late.
    DayShift,
    /// Depths read on a coarse scale, or small ones not written down.
    CoarseRounding,
    /// A sudden change of the yearly rain or of the rainy days.
    ChangePoint,
}

impl QualityTest {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Self::AbsoluteLimit,
        Self::RepeatedMonths,
        Self::IdenticalStreak,
        Self::UnitSlip,
        Self::GapInMonth,
        Self::SpatialOutlier,
        Self::FrequentValue,
        Self::ClimatologicalOutlier,
        Self::OutOfSeason,
        Self::FarAboveNext,
        Self::ImpossibleZeros,
        Self::UntaggedTotals,
        Self::DayShift,
        Self::CoarseRounding,
        Self::ChangePoint,
    ];

    /// Its name, as in JSON.
    pub fn id(self) -> &'static str {
        match self {
            Self::AbsoluteLimit => "absolute_limit",
            Self::RepeatedMonths => "repeated_months",
            Self::IdenticalStreak => "identical_streak",
            Self::UnitSlip => "unit_slip",
            Self::GapInMonth => "gap_in_month",
            Self::SpatialOutlier => "spatial_outlier",
            Self::FrequentValue => "frequent_value",
            Self::ClimatologicalOutlier => "climatological_outlier",
            Self::OutOfSeason => "out_of_season",
            Self::FarAboveNext => "far_above_next",
            Self::ImpossibleZeros => "impossible_zeros",
            Self::UntaggedTotals => "untagged_totals",
            Self::DayShift => "day_shift",
            Self::CoarseRounding => "coarse_rounding",
            Self::ChangePoint => "change_point",
        }
    }
}

/// What a finding does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Effect {
    /// Its days are not used; each keeps its depth.
    Rejected,
    /// Nothing but that it is told.
    Warning,
}

/// One finding: what it does, which days it concerns, and its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QualityFinding {
    /// What it does.
    pub effect: Effect,
    /// The days concerned, in order.
    pub periods: Vec<Period>,
    /// Which test, with its figures.
    #[serde(flatten)]
    pub evidence: Evidence,
}

impl QualityFinding {
    /// A finding over one unbroken run of days.
    pub(crate) fn over(period: Period, effect: Effect, evidence: Evidence) -> Self {
        Self { effect, periods: vec![period], evidence }
    }

    /// A finding about one day.
    pub(crate) fn on(day: Day, effect: Effect, evidence: Evidence) -> Self {
        Self::over(Period::new(day, day), effect, evidence)
    }

    /// Whether it doubts the depth of one day.
    pub fn is_of_one_day(&self) -> bool {
        matches!(
            self.test(),
            QualityTest::AbsoluteLimit
                | QualityTest::GapInMonth
                | QualityTest::SpatialOutlier
                | QualityTest::ClimatologicalOutlier
                | QualityTest::OutOfSeason
                | QualityTest::FarAboveNext
        )
    }

    /// Which test found it.
    pub fn test(&self) -> QualityTest {
        match self.evidence {
            Evidence::AbsoluteLimit { .. } => QualityTest::AbsoluteLimit,
            Evidence::RepeatedMonths { .. } => QualityTest::RepeatedMonths,
            Evidence::IdenticalStreak { .. } => QualityTest::IdenticalStreak,
            Evidence::UnitSlip { .. } => QualityTest::UnitSlip,
            Evidence::GapInMonth { .. } => QualityTest::GapInMonth,
            Evidence::SpatialOutlier { .. } => QualityTest::SpatialOutlier,
            Evidence::FrequentValue { .. } => QualityTest::FrequentValue,
            Evidence::ClimatologicalOutlier { .. } => QualityTest::ClimatologicalOutlier,
            Evidence::OutOfSeason { .. } => QualityTest::OutOfSeason,
            Evidence::FarAboveNext { .. } => QualityTest::FarAboveNext,
            Evidence::ImpossibleZeros { .. } => QualityTest::ImpossibleZeros,
            Evidence::UntaggedTotals { .. } => QualityTest::UntaggedTotals,
            Evidence::DayShift { .. } => QualityTest::DayShift,
            Evidence::CoarseRounding(_) => QualityTest::CoarseRounding,
            Evidence::ChangePoint { .. } => QualityTest::ChangePoint,
        }
    }
}

/// The figures of a finding. In JSON, `test` names the test and they stand beside it. Depths in mm, chances and shares 0 to 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "test")]
pub enum Evidence {
    /// Above the greatest depth of a day on Earth.
    AbsoluteLimit {
        /// The depth.
        depth_mm: f64,
        /// The limit.
        limit_mm: f64,
    },
    /// Days that stand twice.
    RepeatedMonths {
        /// Whole or cut months in a row that agree.
        months: usize,
        /// Days on which a depth above zero agrees.
        rainy_days: usize,
        /// Pairs of months that chance alone would make agree as well.
        expected: f64,
        /// Whether the neighbours told which of the two is the copy; otherwise both are rejected.
        told_by_neighbours: bool,
        /// The other place, where only one is rejected.
        same_as: Option<Period>,
    },
    /// The same depth day after day.
    IdenticalStreak {
        /// The depth.
        depth_mm: f64,
        /// How many days.
        days: usize,
        /// Streaks as long that chance alone would make in the record.
        expected: f64,
    },
    /// Wrong unit.
    UnitSlip {
        /// The nearest slip: 10, 25.4, 2.54, or one over them.
        factor: f64,
        /// Depths here over depths elsewhere, as found in the record itself.
        ratio_to_record: Option<f64>,
        /// The same against the neighbours.
        ratio_to_neighbours: Option<f64>,
        /// Neighbours that bear it out.
        neighbours: usize,
    },
    /// Far above its calendar month.
    GapInMonth {
        /// The depth.
        depth_mm: f64,
        /// The next smaller depth of the calendar month.
        next_mm: f64,
        /// Which month.
        month: u32,
    },
    /// No neighbour bears it out.
    SpatialOutlier {
        /// The depth.
        depth_mm: f64,
        /// The nearest depth of a neighbour from the day before to the day after.
        nearest_mm: f64,
        /// The difference that would be accepted.
        limit_mm: f64,
        /// Neighbours within reach.
        neighbours: usize,
    },
    /// The same depth on most of ten rainy days.
    FrequentValue {
        /// The depth.
        depth_mm: f64,
        /// How many of ten.
        days: usize,
        /// Such windows that chance alone would make in the record.
        expected: f64,
    },
    /// Many times the usual great depth of the season.
    ClimatologicalOutlier {
        /// The depth.
        depth_mm: f64,
        /// The depth that 5 % of the season's rainy days exceed.
        percentile_95_mm: f64,
    },
    /// Far above the next greatest of the record.
    FarAboveNext {
        /// The depth.
        depth_mm: f64,
        /// The next greatest.
        next_mm: f64,
    },
    /// Far above its season.
    OutOfSeason {
        /// The depth.
        depth_mm: f64,
        /// The next greatest depth of the season in any other year.
        next_mm: f64,
        /// Days of the season with a depth, in other years.
        season_days: usize,
    },
    /// A month of zeros.
    ImpossibleZeros {
        /// Mean of the rainy days of this calendar month in other years.
        usual_rainy_days: f64,
        /// The fewest in any other year that had some.
        fewest_rainy_days: usize,
        /// What the neighbours let expect.
        expected_mm: Option<f64>,
        /// Neighbours that were wet.
        neighbours: usize,
    },
    /// Weekdays with too little rain.
    UntaggedTotals {
        /// The weekdays, Monday 0 to Sunday 6.
        weekdays: Vec<u32>,
        /// Share of the expected rainy days that is lacking on the worst of them.
        lacking_share: f64,
        /// How many standard deviations that is.
        deviations: f64,
        /// The weekday after them, on which the rain was read.
        read_on: u32,
        /// Mean depth of a rainy day then, over that of the other weekdays.
        depth_ratio: f64,
    },
    /// Dates off by a day.
    DayShift {
        /// Days by which the dates are later than the neighbours'; negative where they are earlier.
        days_late: i32,
        /// The same for most of the record.
        elsewhere: i32,
        /// Correlation of the depths as dated.
        correlation: f64,
        /// Correlation when shifted by `days_late`.
        correlation_shifted: f64,
        /// Neighbours.
        neighbours: usize,
    },
    /// A coarse scale, or no small depths.
    CoarseRounding(CoarseRounding),
    /// A sudden change.
    ChangePoint {
        /// What changed.
        of: ChangeOf,
        /// First year after the change.
        year: i32,
        /// Mean of the years before (mm, days, or a ratio to the neighbours).
        before: f64,
        /// Mean of the years from then on.
        after: f64,
        /// Years on both sides.
        years: usize,
        /// Chance without a change (Pettitt).
        pettitt_chance: f64,
        /// Statistic of the standard normal homogeneity test.
        homogeneity: f64,
        /// The level that one series in a hundred exceeds without a change.
        homogeneity_level: f64,
        /// Buishand's R / sqrt n.
        buishand: f64,
    },
}

/// How depths were coarse.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "how")]
pub enum CoarseRounding {
    /// Depths are multiples of a step.
    Step {
        /// The step, mm.
        step_mm: f64,
        /// Share of the depths above zero that are.
        share: f64,
        /// Depths above zero.
        rainy_days: usize,
    },
    /// Depths below 1 mm are hardly there.
    NoSmallDepths {
        /// Their share among depths above zero in these years.
        share: f64,
        /// The same in the other years.
        elsewhere: f64,
        /// Depths above zero in these years.
        rainy_days: usize,
    },
}

/// What a change point was found in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ChangeOf {
    /// The rain of a year, mm.
    AnnualTotal,
    /// Days of at least 1 mm in a year.
    WetDays,
    /// The rain of a year over that of the neighbours, 1 on the mean.
    TotalOverNeighbours,
}

/// A test that could not be applied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct NotApplied {
    /// Which.
    pub test: QualityTest,
    /// Why.
    #[serde(flatten)]
    pub why: WhyNotApplied,
}

/// Why a test could not be applied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "why")]
pub enum WhyNotApplied {
    /// It needs neighbours with days in common.
    TooFewNeighbours {
        /// At hand.
        have: usize,
        /// Needed.
        need: usize,
    },
    /// It needs more days with a depth.
    TooFewDays {
        /// At hand.
        have: usize,
        /// Needed.
        need: usize,
    },
    /// It needs more years.
    TooFewYears {
        /// At hand.
        have: usize,
        /// Needed.
        need: usize,
    },
    /// The record is the mean of an area, or may be.
    NotAGauge,
}
