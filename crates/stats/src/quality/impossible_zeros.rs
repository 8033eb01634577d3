//! A month of zeros that was hardly dry: a blocked or unread gauge written down as 0.
//!
//! Looked at are calendar months with at least 25 depths, all of them 0 or a trace.
//!
//! * With neighbours: found when every neighbour with at least 25 days in common in that month had five wet days (1 mm) or more, and the
//!   rain that they let expect here, theirs by the ratio of both stations' rain on all common days, is 20 mm or more. Rejected where two
//!   or more within 75 km say so, else a warning.
//! * By itself: found when, of the other years, at least ten have rain in that calendar month, all of them on two days or more, with a mean
//!   number of rainy days of at least three times its standard deviation, and months of zeros are at most a fifth of them. A warning.
//!
//! Limits are ours; WMO-No. 1203 asks that zeros be told from missing values. Where the neighbours were dry too, nothing is told. Not
//! applied with neither neighbours nor ten years.

use super::gap_in_month::REACH_KM;
use super::working_days::{MonthSpan, NONE, WET, WorkingDays};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};

/// Fewest depths of a month.
const USABLE: usize = 25;
/// Wet days of a neighbour.
const WET_DAYS: usize = 5;
/// Rain that is expected, mm.
const EXPECTED_MM: f64 = 20.0;
/// Other years with rain.
const YEARS: usize = 10;
/// Fewest rainy days of any of them.
const FEWEST: usize = 2;
/// Mean number of rainy days over its standard deviation.
const DEVIATIONS: f64 = 3.0;

/// What the neighbours say of a month.
struct Said {
    /// Neighbours with days enough, and those of them within reach.
    wet: usize,
    near: usize,
    any_dry: bool,
    expected_mm: f64,
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let rainy_days: Vec<Option<usize>> = days.months.iter().map(|month| rainy_days(days, *month)).collect();
    let years = days.months.iter().zip(&rainy_days).filter(|(month, rainy)| month.month == 1 && rainy.is_some()).count();
    if days.neighbours().next().is_none() && years < YEARS {
        return Err(WhyNotApplied::TooFewYears { have: years, need: YEARS });
    }
    let ratios: Vec<f64> = days.neighbours().map(|beside| ratio(&days.depths, &beside.depths)).collect();
    let mut found: Vec<QualityFinding> = Vec::new();
    for (i, month) in days.months.iter().enumerate().filter(|(i, _)| rainy_days[*i] == Some(0)) {
        let of_month = || days.months.iter().zip(&rainy_days).enumerate().filter(|(j, (other, _))| *j != i && other.month == month.month);
        let rainy: Vec<usize> = of_month().filter_map(|(_, (_, rainy))| *rainy).filter(|rainy| *rainy > 0).collect();
        let zeros = of_month().filter(|(_, (_, rainy))| **rainy == Some(0)).count() + 1;
        let n = rainy.len() as f64;
        let mean = if rainy.is_empty() { 0.0 } else { rainy.iter().sum::<usize>() as f64 / n };
        let fewest = rainy.iter().copied().min().unwrap_or(0);
        let said = neighbours_say(days, *month, &ratios);
        let effect = match &said {
            Some(said) if said.any_dry || said.expected_mm < EXPECTED_MM => continue,
            Some(said) => Some(if said.near >= 2 { Effect::Rejected } else { Effect::Warning }),
            None => {
                let variance = rainy.iter().map(|&rainy| (rainy as f64 - mean) * (rainy as f64 - mean)).sum::<f64>() / (n - 1.0);
                let unusual = rainy.len() >= YEARS && fewest >= FEWEST && mean >= DEVIATIONS * variance.sqrt();
                (unusual && 5 * zeros <= rainy.len()).then_some(Effect::Warning)
            }
        };
        let Some(effect) = effect else { continue };
        let evidence = Evidence::ImpossibleZeros {
            usual_rainy_days: mean,
            fewest_rainy_days: fewest,
            expected_mm: said.as_ref().map(|said| said.expected_mm),
            neighbours: said.map_or(0, |said| said.wet),
        };
        let period = days.period(month.start, month.end);
        match found.last_mut() {
            Some(last) if last.effect == effect && last.periods[last.periods.len() - 1].last.plus(1) == period.first => {
                last.periods.push(period);
                if expected(&evidence) > expected(&last.evidence) {
                    last.evidence = evidence;
                }
            }
            _ => found.push(QualityFinding::over(period, effect, evidence)),
        }
    }
    Ok(found)
}

/// How much rain a finding misses, to keep the plainest of months in a row.
fn expected(evidence: &Evidence) -> f64 {
    match evidence {
        Evidence::ImpossibleZeros { usual_rainy_days, expected_mm, .. } => expected_mm.unwrap_or(*usual_rainy_days),
        _ => 0.0,
    }
}

/// Days above zero of a month with depths enough.
fn rainy_days(days: &WorkingDays, month: MonthSpan) -> Option<usize> {
    let depths = &days.depths[month.start..month.end];
    let usable = depths.iter().filter(|depth| **depth != NONE).count();
    (usable >= USABLE).then(|| depths.iter().filter(|depth| **depth > 0).count())
}

/// Own rain over a neighbour's on common days; 0 where that says nothing.
fn ratio(own: &[i32], theirs: &[i32]) -> f64 {
    let common = own.iter().zip(theirs).filter(|(own, theirs)| **own != NONE && **theirs != NONE);
    let (mine, other) = common.fold((0_i64, 0_i64), |sum, (own, theirs)| (sum.0 + i64::from(*own), sum.1 + i64::from(*theirs)));
    if other > 0 { mine as f64 / other as f64 } else { 0.0 }
}

/// Nothing when no neighbour has days enough.
fn neighbours_say(days: &WorkingDays, month: MonthSpan, ratios: &[f64]) -> Option<Said> {
    let mut said = Said { wet: 0, near: 0, any_dry: false, expected_mm: f64::INFINITY };
    for (beside, ratio) in days.neighbours().zip(ratios) {
        let pairs = days.depths[month.start..month.end].iter().zip(&beside.depths[month.start..month.end]);
        let depths: Vec<i32> = pairs.filter(|(own, theirs)| **own != NONE && **theirs != NONE).map(|(_, theirs)| *theirs).collect();
        if depths.len() < USABLE {
            continue;
        }
        let wet = depths.iter().filter(|depth| **depth >= WET).count();
        if wet < WET_DAYS {
            said.any_dry = true;
        }
        said.wet += 1;
        said.near += usize::from(beside.distance_km <= REACH_KM);
        let theirs: i64 = depths.iter().map(|depth| i64::from(*depth)).sum();
        said.expected_mm = said.expected_mm.min(theirs as f64 / 1000.0 * ratio);
    }
    (said.wet > 0).then_some(said)
}
