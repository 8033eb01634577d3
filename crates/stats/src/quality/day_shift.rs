//! Dates that are a day early or late against the neighbours, in a part of the record or in all of it.
//!
//! For each half-year and each neighbour with at least 60 days in common, ten of them wet here, the correlation of the square roots of the
//! depths is taken as dated, and with this record's dates moved a day either way; the three are averaged over the neighbours. A half-year is
//! decided when the best of them is 0.3 or more and stands 0.25 or more above the second. The shift of most decided half-years is the
//! record's own. Found are runs of decided half-years with another shift, half-years without a decision between them included; and the whole
//! record, where its own shift is not 0. Limits are ours; that different hours of observation move a storm to another date is WMO-No. 8's.
//!
//! Effect: a warning. With one neighbour nobody can tell which of the two is off; the figure says how many there were. Hours of observation
//! half a day apart split a storm between two dates and give no decision. Not applied without a neighbour.

use super::half_years::{HalfYear, half_years};
use super::working_days::{NONE, WET, WorkingDays};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};
use crate::correlation::Correlation;

/// Common days and wet days that a neighbour's half-year needs.
const COMMON: usize = 60;
const WET_DAYS: usize = 10;
/// Least correlation, and by how much the best must stand above the second.
const LEAST: f64 = 0.3;
const ABOVE: f64 = 0.25;

/// What the neighbours say of a half-year: correlations with this record a day early, as dated, a day late.
#[derive(Clone, Copy)]
struct Said {
    correlations: [f64; 3],
    neighbours: usize,
    /// Days by which this record is late, where it is decided.
    late: Option<i32>,
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    if days.neighbours().next().is_none() {
        return Err(WhyNotApplied::TooFewNeighbours { have: 0, need: 1 });
    }
    let root = |depths: &[i32]| -> Vec<f64> { depths.iter().map(|depth| f64::from((*depth).max(0)).sqrt()).collect() };
    let own = root(&days.depths);
    let neighbours: Vec<(&[i32], Vec<f64>)> = days.neighbours().map(|beside| (beside.depths.as_slice(), root(&beside.depths))).collect();
    let halves = half_years(days);
    let said: Vec<Said> = halves.iter().map(|half| ask(days, *half, &own, &neighbours)).collect();
    let votes = [-1, 0, 1].map(|late| said.iter().filter(|said| said.late == Some(late)).count());
    if votes.iter().sum::<usize>() == 0 {
        return Ok(Vec::new());
    }
    // As dated, where the votes are equal.
    let elsewhere = [0, -1, 1].into_iter().rev().max_by_key(|late| votes[(late + 1) as usize]).unwrap_or(0);
    let mut found = Vec::new();
    if elsewhere != 0 {
        found.push(finding(days, &halves, &said, 0, halves.len() - 1, elsewhere, elsewhere));
    }
    let mut at = 0;
    while at < said.len() {
        match said[at].late {
            Some(late) if late != elsewhere => {
                // To the last half-year that says the same before one that says otherwise.
                let run = said[at..].iter().take_while(|said| said.late.is_none_or(|other| other == late)).count();
                let last = (at..at + run).rev().find(|&i| said[i].late == Some(late)).unwrap_or(at);
                found.push(finding(days, &halves, &said, at, last, late, elsewhere));
                at = last + 1;
            }
            _ => at += 1,
        }
    }
    Ok(found)
}

fn ask(days: &WorkingDays, half: HalfYear, own: &[f64], neighbours: &[(&[i32], Vec<f64>)]) -> Said {
    let mut said = Said { correlations: [0.0; 3], neighbours: 0, late: None };
    for (depths, roots) in neighbours {
        let mut sums = [Correlation::default(); 3];
        let mut wet = 0;
        for at in half.start.max(1)..half.end.min(days.depths.len() - 1) {
            if days.depths[at] == NONE || depths[at - 1..=at + 1].contains(&NONE) {
                continue;
            }
            wet += usize::from(days.depths[at] >= WET);
            // A record that is a day late has today what the neighbour had yesterday.
            for (sum, other) in sums.iter_mut().zip([roots[at + 1], roots[at], roots[at - 1]]) {
                sum.add(own[at], other);
            }
        }
        let coefficients = sums.map(|sum| sum.coefficient());
        if let [Some(early), Some(dated), Some(late)] = coefficients
            && sums[0].pairs() >= COMMON
            && wet >= WET_DAYS
        {
            said.neighbours += 1;
            said.correlations.iter_mut().zip([early, dated, late]).for_each(|(sum, one)| *sum += one);
        }
    }
    if said.neighbours == 0 {
        return said;
    }
    said.correlations = said.correlations.map(|sum| sum / said.neighbours as f64);
    let mut order = [-1, 0, 1];
    let of = |late: i32| said.correlations[(late + 1) as usize];
    order.sort_by(|a, b| of(*b).total_cmp(&of(*a)));
    said.late = (of(order[0]) >= LEAST && of(order[0]) - of(order[1]) >= ABOVE).then_some(order[0]);
    said
}

fn finding(days: &WorkingDays, halves: &[HalfYear], said: &[Said], from: usize, to: usize, late: i32, elsewhere: i32) -> QualityFinding {
    let agreeing = said[from..=to].iter().filter(|said| said.late == Some(late));
    let n = agreeing.clone().count().max(1) as f64;
    let mean = |shift: i32| agreeing.clone().map(|said| said.correlations[(shift + 1) as usize]).sum::<f64>() / n;
    let evidence = Evidence::DayShift {
        days_late: late,
        elsewhere,
        correlation: mean(0),
        correlation_shifted: mean(late),
        neighbours: agreeing.clone().map(|said| said.neighbours).max().unwrap_or(0),
    };
    QualityFinding::over(days.period(halves[from].start, halves[to].end), Effect::Warning, evidence)
}
