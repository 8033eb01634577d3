//! What the quality tests found in a record, in sentences for a terminal.

use super::record_tables::percent;
use super::{Depths, MONTHS, wrapped};
use assess::RecordSummary;
use series::Period;
use stats::{ChangeOf, CoarseRounding, Effect, Evidence, QualityFinding, QualityReport, WhyNotApplied};
use std::fmt::Write;

const WEEKDAYS: [&str; 7] = ["Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays"];
/// So many days of a finding are named one by one.
const DAYS_NAMED: usize = 6;

/// The findings, each with its effect, its days and its figures; how many tests could not be applied.
pub(super) fn quality(page: &mut String, summary: &RecordSummary, depths: Depths) {
    let Some(report) = summary.quality.as_ref().filter(|_| summary.first_day.is_some()) else { return };
    let with = match report.neighbours.len() {
        0 => "no neighbour to hold the record against".to_owned(),
        1 => "held against 1 neighbour".to_owned(),
        many => format!("held against {many} neighbours"),
    };
    if report.findings.is_empty() {
        wrapped(page, "", &format!("Quality tests: nothing found ({with})."));
    } else {
        let _ = writeln!(page, "Quality tests ({with})");
        for finding in &report.findings {
            let effect = match finding.effect {
                Effect::Rejected => "rejected",
                Effect::Warning => "warning ",
            };
            wrapped(page, &format!("  {effect}  "), &in_words(finding, depths));
        }
        let rejected = report.rejected.len();
        if rejected > 0 {
            let days =
                if rejected == 1 { "The 1 rejected day keeps its".to_owned() } else { format!("The {rejected} rejected days keep their") };
            wrapped(
                page,
                "  ",
                &format!("{days} depth in the record and would not be used by `rainworth assess`; the figures above still hold it."),
            );
        }
    }
    let not = not_applied(report);
    if !not.is_empty() {
        wrapped(page, "  not applied: ", &not);
    }
    page.push('\n');
}

/// The tests that could not be applied, with what they lack.
fn not_applied(report: &QualityReport) -> String {
    let lacks = |why: WhyNotApplied| match why {
        WhyNotApplied::TooFewNeighbours { .. } => "no neighbour".to_owned(),
        WhyNotApplied::TooFewDays { have, need } => format!("{have} of {need} days"),
        WhyNotApplied::TooFewYears { have, need } => format!("{have} of {need} years"),
        WhyNotApplied::NotAGauge => "no gauge".to_owned(),
    };
    report.not_applied.iter().map(|one| format!("{} ({})", one.test.id().replace('_', " "), lacks(one.why))).collect::<Vec<_>>().join(", ")
}

/// A finding in a sentence or two.
fn in_words(finding: &QualityFinding, depths: Depths) -> String {
    let days = days(&finding.periods);
    let depth = |millimetres: f64| depths.whole(millimetres);
    match &finding.evidence {
        Evidence::AbsoluteLimit { depth_mm, limit_mm } => {
            format!("{days}: {} is more than was ever measured in 24 hours ({}).", depth(*depth_mm), depth(*limit_mm))
        }
        Evidence::RepeatedMonths { months, rainy_days, same_as, .. } => {
            let length = if *months == 1 { "the same days".to_owned() } else { format!("the same days over {months} months") };
            match same_as {
                Some(other) => format!("{days}: {length} as {other}, {rainy_days} days of rain alike; the neighbours speak for the other."),
                None => format!("{days}: {length} twice, {rainy_days} days of rain alike. Which is the copy cannot be told."),
            }
        }
        Evidence::IdenticalStreak { depth_mm, days: n, .. } => format!("{days}: {} on {n} days running.", depth(*depth_mm)),
        Evidence::UnitSlip { ratio_to_record, ratio_to_neighbours, neighbours, .. } => {
            let ratio = ratio_to_record.or(*ratio_to_neighbours).unwrap_or(1.0);
            let than = if ratio_to_record.is_some() { "in the same half-years elsewhere in the record" } else { "the neighbours point to" };
            let borne_out = match neighbours {
                0 => String::new(),
                1 => "; 1 neighbour bears it out".to_owned(),
                many => format!("; {many} neighbours bear it out"),
            };
            format!("{days}: depths are {} times what they are {than}: perhaps another unit{borne_out}.", ratio_in_words(ratio))
        }
        Evidence::GapInMonth { depth_mm, next_mm, month } => {
            let month = MONTHS.get((*month as usize).saturating_sub(1)).copied().unwrap_or_default();
            format!("{days}: {} stands far above all other days of any {month} (the next: {}).", depth(*depth_mm), depth(*next_mm))
        }
        Evidence::SpatialOutlier { depth_mm, nearest_mm, neighbours, .. } => {
            let of = if *neighbours == 1 { "the neighbour" } else { "any neighbour" };
            format!(
                "{days}: {} here, at most {} near it at {of} from the day before to the day after.",
                depth(*depth_mm),
                depth(*nearest_mm)
            )
        }
        Evidence::FrequentValue { depth_mm, days: n, .. } => format!("{days}: {} on {n} of 10 rainy days.", depth(*depth_mm)),
        Evidence::ClimatologicalOutlier { depth_mm, percentile_95_mm } => format!(
            "{days}: {} is over nine times what one rainy day in twenty of its season reaches ({}). Look at it before it is used.",
            depth(*depth_mm),
            depth(*percentile_95_mm)
        ),
        Evidence::OutOfSeason { depth_mm, next_mm, .. } if *next_mm > 0.0 => format!(
            "{days}: {} is far above all days within two weeks of that date in other years ({} at most). Look at it before it is used.",
            depth(*depth_mm),
            depth(*next_mm)
        ),
        Evidence::OutOfSeason { depth_mm, .. } => format!(
            "{days}: {} fell, and within two weeks of that date no other year has any rain. Look at it before it is used.",
            depth(*depth_mm)
        ),
        Evidence::FarAboveNext { depth_mm, next_mm } => {
            format!("{days}: {} is far above the next greatest day ({}). Look at it before it is used.", depth(*depth_mm), depth(*next_mm))
        }
        Evidence::ImpossibleZeros { expected_mm: Some(expected), neighbours, .. } => {
            let who = if *neighbours == 1 { "the neighbour points".to_owned() } else { format!("{neighbours} neighbours point") };
            format!("{days}: no rain at all, where {who} to {}.", depth(*expected))
        }
        Evidence::ImpossibleZeros { usual_rainy_days, fewest_rainy_days, .. } => format!(
            "{days}: no rain at all, where such a month has {usual_rainy_days:.0} days of rain on the mean and {fewest_rainy_days} at least in other years."
        ),
        Evidence::UntaggedTotals { weekdays, lacking_share, read_on, depth_ratio, .. } => {
            let names: Vec<&str> = weekdays.iter().filter_map(|day| WEEKDAYS.get(*day as usize)).copied().collect();
            format!(
                "{days}: {} have {} % fewer days of rain than the other weekdays, and a rainy day on {} brings {depth_ratio:.1} times as much: perhaps they were not read, and written as 0.",
                names.join(" and "),
                percent(*lacking_share),
                WEEKDAYS.get(*read_on as usize).copied().unwrap_or_default(),
            )
        }
        Evidence::DayShift { days_late, elsewhere, neighbours, .. } => {
            let off = |late: i32| match late {
                -1 => "a day early",
                1 => "a day late",
                _ => "as dated by the neighbours",
            };
            let rest = if days_late == elsewhere { String::new() } else { format!("; in most of the record they are {}", off(*elsewhere)) };
            let of = if *neighbours == 1 { "1 neighbour".to_owned() } else { format!("{neighbours} neighbours") };
            format!("{days}: dates are {} against {of}{rest}.", off(*days_late))
        }
        Evidence::CoarseRounding(CoarseRounding::Step { step_mm, share, .. }) => {
            format!("{days}: {} % of the depths are multiples of {}.", percent(*share), depth(*step_mm))
        }
        Evidence::CoarseRounding(CoarseRounding::NoSmallDepths { share, elsewhere, .. }) => format!(
            "{days}: {} % of the depths are below {}, elsewhere {} %: small rain was not written down.",
            percent(*share),
            depth(super::record_tables::WET_DAY_MM),
            percent(*elsewhere)
        ),
        Evidence::ChangePoint { of, year, before, after, .. } => {
            let what = match of {
                ChangeOf::AnnualTotal => "the rain of a year",
                ChangeOf::WetDays => "the number of wet days in a year",
                ChangeOf::TotalOverNeighbours => "the rain of a year against the neighbours",
            };
            let change = (after / before - 1.0) * 100.0;
            let which = if change < 0.0 { "less" } else { "more" };
            format!(
                "From {year} on {what} is {:.0} % {which} than before: the gauge, its place or the climate may have changed.",
                change.abs()
            )
        }
    }
}

/// Days in words: dates, or first and last.
fn days(periods: &[Period]) -> String {
    let one = |period: &Period| if period.first == period.last { period.first.to_string() } else { period.to_string() };
    let named: Vec<String> = periods.iter().take(DAYS_NAMED).map(one).collect();
    let more = periods.len().saturating_sub(DAYS_NAMED);
    if more > 0 { format!("{} and {more} more", named.join(", ")) } else { named.join(", ") }
}

/// A ratio with two figures.
fn ratio_in_words(ratio: f64) -> String {
    if ratio >= 10.0 {
        format!("{ratio:.0}")
    } else if ratio >= 1.0 {
        format!("{ratio:.1}")
    } else if ratio >= 0.1 {
        format!("{ratio:.2}")
    } else {
        format!("{ratio:.3}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Day, UnitSystem};

    fn found(evidence: Evidence) -> String {
        let day: Day = "2010-08-01".parse().unwrap();
        let finding = QualityFinding { effect: Effect::Warning, periods: vec![Period::new(day, day)], evidence };
        in_words(&finding, Depths(UnitSystem::Metric))
    }

    #[test]
    fn a_finding_says_its_day_and_its_figures() {
        let text = found(Evidence::OutOfSeason { depth_mm: 80.0, next_mm: 30.0, season_days: 300 });
        assert!(text.starts_with("2010-08-01: 80.0 mm") && text.contains("30.0 mm at most"), "{text}");
        assert!(!found(Evidence::OutOfSeason { depth_mm: 80.0, next_mm: 0.0, season_days: 300 }).contains("0.0 mm at most"));
        let weekend =
            found(Evidence::UntaggedTotals { weekdays: vec![5, 6], lacking_share: 0.31, deviations: 9.0, read_on: 0, depth_ratio: 1.64 });
        assert!(weekend.contains("Saturdays and Sundays have 31 % fewer") && weekend.contains("on Mondays brings 1.6 times"), "{weekend}");
        let shift = found(Evidence::DayShift { days_late: 1, elsewhere: 0, correlation: 0.1, correlation_shifted: 0.8, neighbours: 1 });
        assert!(shift.contains("a day late against 1 neighbour; in most of the record"), "{shift}");
        assert_eq!([254.0 / 10.0, 2.54, 0.394, 0.0394].map(ratio_in_words), ["25", "2.5", "0.39", "0.039"]);
    }

    #[test]
    fn many_days_are_named_in_part() {
        let first: Day = "2001-01-01".parse().unwrap();
        let periods: Vec<Period> = (0..9).map(|i| Period::new(first.plus(2 * i), first.plus(2 * i))).collect();
        assert!(days(&periods).ends_with("2001-01-11 and 3 more"));
    }
}
