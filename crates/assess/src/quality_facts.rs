//! The facts of what the quality tests found: days, depths, shares and ratios of each finding, numbered in the order of the findings.

use crate::facts::Facts;
use series::{Fact, FactId, Period, Unit};
use stats::{CoarseRounding, Evidence, QualityFinding, QualityReport};

/// Adds the facts of a record's quality tests.
pub(crate) fn quality(report: &QualityReport, facts: &mut Facts, of: &dyn Fn(Fact) -> Fact) {
    let plain = |name: &str| FactId::new(&format!("record.quality.{name}"));
    facts.add(of(Fact::number(plain("findings"), Unit::Count, report.findings.len() as f64)));
    facts.add(of(Fact::number(plain("rejected"), Unit::Day, report.rejected.len() as f64)));
    for (number, finding) in (1..).zip(&report.findings) {
        let key = |name: &str| plain(name).key("finding", number);
        let (Some(first), Some(last)) = (finding.periods.first(), finding.periods.last()) else { continue };
        let of = |fact: Fact| of(fact).during(Some(Period::new(first.first, last.last)));
        let together = if let Some((one, other)) = two_places(finding) {
            facts.add(of(Fact::date(key("same_first_day"), other.first)));
            facts.add(of(Fact::date(key("same_last_day"), other.last)));
            one
        } else {
            Period::new(first.first, last.last)
        };
        facts.add(of(Fact::date(key("first_day"), together.first)));
        facts.add(of(Fact::date(key("last_day"), together.last)));
        for (name, unit, value) in figures(finding) {
            facts.add(of(Fact::number(key(name), unit, value)));
        }
    }
}

/// The two places of days that stand twice.
fn two_places(finding: &QualityFinding) -> Option<(Period, Period)> {
    match (&finding.evidence, finding.periods.as_slice()) {
        (Evidence::RepeatedMonths { same_as: Some(other), .. }, [one]) | (Evidence::RepeatedMonths { .. }, [one, other]) => {
            Some((*one, *other))
        }
        _ => None,
    }
}

/// The figures of a finding that a page prints. Chances and statistics stand in the JSON alone.
fn figures(finding: &QualityFinding) -> Vec<(&'static str, Unit, f64)> {
    let depth = |value: f64| ("depth", Unit::Millimetre, value);
    let against = |value: f64| ("against", Unit::Millimetre, value);
    let days = |count: usize| ("days", Unit::Day, count as f64);
    let neighbours = |count: usize| ("neighbours", Unit::Count, count as f64);
    match &finding.evidence {
        Evidence::AbsoluteLimit { depth_mm, limit_mm: other }
        | Evidence::GapInMonth { depth_mm, next_mm: other, .. }
        | Evidence::FarAboveNext { depth_mm, next_mm: other }
        | Evidence::OutOfSeason { depth_mm, next_mm: other, .. }
        | Evidence::ClimatologicalOutlier { depth_mm, percentile_95_mm: other } => vec![depth(*depth_mm), against(*other)],
        Evidence::SpatialOutlier { depth_mm, nearest_mm, neighbours: n, .. } => {
            vec![depth(*depth_mm), against(*nearest_mm), neighbours(*n)]
        }
        Evidence::RepeatedMonths { rainy_days, .. } => vec![days(*rainy_days)],
        Evidence::IdenticalStreak { depth_mm, days: n, .. } | Evidence::FrequentValue { depth_mm, days: n, .. } => {
            vec![depth(*depth_mm), days(*n)]
        }
        Evidence::UnitSlip { ratio_to_record, ratio_to_neighbours, neighbours: n, .. } => {
            let ratio = ratio_to_record.or(*ratio_to_neighbours).map(|ratio| ("ratio", Unit::Ratio, ratio));
            ratio.into_iter().chain((*n > 0).then(|| neighbours(*n))).collect()
        }
        Evidence::ImpossibleZeros { usual_rainy_days, expected_mm, neighbours: n, .. } => match expected_mm {
            Some(expected) => vec![against(*expected), neighbours(*n)],
            None => vec![("usual_days", Unit::Day, *usual_rainy_days)],
        },
        Evidence::UntaggedTotals { lacking_share, depth_ratio, .. } => {
            vec![("share", Unit::Share, *lacking_share), ("ratio", Unit::Ratio, *depth_ratio)]
        }
        Evidence::DayShift { neighbours: n, .. } => vec![neighbours(*n)],
        Evidence::CoarseRounding(CoarseRounding::Step { step_mm, share, .. }) => vec![depth(*step_mm), ("share", Unit::Share, *share)],
        Evidence::CoarseRounding(CoarseRounding::NoSmallDepths { share, elsewhere, .. }) => {
            vec![("share", Unit::Share, *share), ("share_elsewhere", Unit::Share, *elsewhere)]
        }
        Evidence::ChangePoint { before, after, .. } if *before > 0.0 => vec![("ratio", Unit::Ratio, after / before)],
        Evidence::ChangePoint { .. } => Vec::new(),
    }
}
