//! Depths read on a coarse scale, or small ones not written down, by years.
//!
//! * **Step**: in a calendar year with at least 20 depths above zero, 95 % or more are multiples of 10, 5, 2.54 (0.1 in), 2, 1.27 (0.05 in),
//!   1 or 0.5 mm; the coarsest counts. Multiples of the inch steps may be 0.05 mm off, since archives keep tenths of a millimetre. Of depths
//!   to 0.1 mm a fifth are multiples of 0.5 mm by chance, so that 19 of 20 by chance is out of the question.
//! * **No small depths**: 2 % or less of the year's depths above zero are below 1 mm, at least 20 of them being there, while in the years
//!   without this more than 10 % are. A trace that is written as 0 does not show; a record that never has small depths is not told from a
//!   climate of few of them.
//!
//! Runs of years of a kind are one finding; a single year among them without rain enough is passed over. Effect: a warning. Limits are ours;
//! WMO-No. 8 asks for a resolution of 0.2 mm. Not applied where no year has 20 rainy days, nor to the mean of an area.

use super::finding::CoarseRounding;
use super::working_days::{WorkingDays, mm};
use super::{Effect, Evidence, QualityFinding, WhyNotApplied};

/// Steps, coarsest first, and how far off a multiple may be, micrometres.
const STEPS: [(i32, i32); 7] = [(10_000, 0), (5000, 0), (2540, 50), (2000, 0), (1270, 50), (1000, 0), (500, 0)];
/// Depths above zero in a year.
const RAINY: usize = 20;
/// Share that must be multiples.
const SHARE: f64 = 0.95;
/// Depth below which one is small, and the shares.
const SMALL: i32 = 1000;
const NO_SMALL: f64 = 0.02;
const SMALL_ELSEWHERE: f64 = 0.10;

/// A calendar year's depths above zero.
struct Year {
    start: usize,
    end: usize,
    rainy: usize,
    small: usize,
    /// The step, with how many are on it.
    step: Option<(i32, usize)>,
}

impl Year {
    fn tells(&self) -> bool {
        self.rainy >= RAINY
    }

    fn lacks_small(&self) -> bool {
        self.tells() && self.small as f64 <= NO_SMALL * self.rainy as f64
    }
}

pub(crate) fn find(days: &WorkingDays) -> Result<Vec<QualityFinding>, WhyNotApplied> {
    let years: Vec<Year> =
        days.months.chunk_by(|a, b| a.year == b.year).map(|months| year(days, months[0].start, months[months.len() - 1].end)).collect();
    if !years.iter().any(Year::tells) {
        return Err(WhyNotApplied::TooFewDays { have: years.iter().map(|year| year.rainy).max().unwrap_or(0), need: RAINY });
    }
    let mut found = Vec::new();
    for run in runs(&years, |year| year.step.map(|(step, _)| step)) {
        let step = run[0].step.map_or(0, |(step, _)| step);
        let (on, rainy) = run.iter().fold((0, 0), |sum, year| (sum.0 + year.step.map_or(year.rainy, |(_, on)| on), sum.1 + year.rainy));
        let evidence = CoarseRounding::Step { step_mm: mm(step), share: on as f64 / rainy as f64, rainy_days: rainy };
        found.push(finding(days, run, evidence));
    }
    let others = years.iter().filter(|year| year.tells() && !year.lacks_small());
    let (small, rainy) = others.fold((0, 0), |sum, year| (sum.0 + year.small, sum.1 + year.rainy));
    let elsewhere = small as f64 / rainy.max(1) as f64;
    if elsewhere > SMALL_ELSEWHERE {
        // A step of a millimetre or more leaves no small depths; that is told as a step.
        let lacking = |year: &Year| (year.lacks_small() && year.step.is_none_or(|(step, _)| step < SMALL)).then_some(0);
        for run in runs(&years, lacking) {
            let (small, rainy) = run.iter().fold((0, 0), |sum, year| (sum.0 + year.small, sum.1 + year.rainy));
            let evidence = CoarseRounding::NoSmallDepths { share: small as f64 / rainy as f64, elsewhere, rainy_days: rainy };
            found.push(finding(days, run, evidence));
        }
    }
    found.sort_by_key(|finding| finding.periods[0].first);
    Ok(found)
}

fn finding(days: &WorkingDays, run: &[Year], evidence: CoarseRounding) -> QualityFinding {
    QualityFinding::over(days.period(run[0].start, run[run.len() - 1].end), Effect::Warning, Evidence::CoarseRounding(evidence))
}

fn year(days: &WorkingDays, start: usize, end: usize) -> Year {
    let depths: Vec<i32> = days.depths[start..end].iter().copied().filter(|depth| *depth > 0).collect();
    let (rainy, small) = (depths.len(), depths.iter().filter(|depth| **depth < SMALL).count());
    let on = |(step, off): (i32, i32)| {
        let is_on = |depth: &&i32| {
            let over = **depth % step;
            // Zero is a multiple too, but no depth above zero is meant by it.
            over.min(step - over) <= off && **depth + off >= step
        };
        (step, depths.iter().filter(is_on).count())
    };
    let step = STEPS.into_iter().map(on).find(|(_, on)| rainy >= RAINY && *on as f64 >= SHARE * rainy as f64);
    Year { start, end, rainy, small, step }
}

/// Runs of years of one kind; years that cannot tell go with the run that they stand in.
fn runs(years: &[Year], kind: impl Fn(&Year) -> Option<i32>) -> Vec<&[Year]> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < years.len() {
        let Some(own) = kind(&years[at]) else {
            at += 1;
            continue;
        };
        let same = |i: &usize| kind(&years[*i]) == Some(own);
        let last = (at..years.len()).take_while(|i| same(i) || !years[*i].tells()).filter(same).last().unwrap_or(at);
        found.push(&years[at..=last]);
        at = last + 1;
    }
    found
}
