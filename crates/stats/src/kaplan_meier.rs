//! How long things last when some were still lasting when we lost sight of them: the product-limit estimate.
//!
//! S(t) = product over lengths l <= t of (1 - ended_l / at_risk_l); at_risk_l counts every case of length l or more. A case that was lost
//! sight of (right-censored) at length l stays at risk up to l and ends nowhere. Unit: that of the lengths (days).
//! Source: Kaplan & Meier (1958), Journal of the American Statistical Association 53.

use serde::Serialize;

/// The estimate at one length at which cases end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SurvivalStep {
    /// Length.
    pub length: u32,
    /// Cases of this length or more.
    pub at_risk: usize,
    /// Cases that end at it.
    pub ended: usize,
    /// Estimated share of cases that last longer than it, 0 to 1.
    pub exceeding: f64,
}

/// A survival curve.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct SurvivalCurve {
    /// Cases in all.
    pub n: usize,
    /// Of them, lost sight of before their end.
    pub censored: usize,
    /// The greatest length seen, ended or not: beyond it the curve says nothing.
    pub longest: u32,
    /// One step a length at which a case ends, in order.
    pub steps: Vec<SurvivalStep>,
}

impl SurvivalCurve {
    /// The curve of these cases: length, and whether the end was seen.
    pub fn of(cases: impl IntoIterator<Item = (u32, bool)>) -> Self {
        let mut cases: Vec<(u32, bool)> = cases.into_iter().collect();
        cases.sort_unstable();
        let n = cases.len();
        let mut curve = Self { n, censored: cases.iter().filter(|case| !case.1).count(), ..Self::default() };
        curve.longest = cases.last().map_or(0, |case| case.0);
        let (mut at_risk, mut exceeding) = (n, 1.0);
        for equal in cases.chunk_by(|a, b| a.0 == b.0) {
            let ended = equal.iter().filter(|case| case.1).count();
            if ended > 0 {
                exceeding *= (at_risk - ended) as f64 / at_risk as f64;
                curve.steps.push(SurvivalStep { length: equal[0].0, at_risk, ended, exceeding });
            }
            at_risk -= equal.len();
        }
        curve
    }

    /// The share of cases that last longer than this; nothing beyond the greatest length seen, and nothing without cases.
    pub fn exceeding(&self, length: u32) -> Option<f64> {
        if self.n == 0 || length > self.longest {
            return None;
        }
        Some(self.steps.iter().take_while(|step| step.length <= length).last().map_or(1.0, |step| step.exceeding))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remission_of_21_patients() {
        // Freireich et al. (1963), Blood 21: weeks in remission under treatment, the standard example of the method; data and the curve
        // .857 .807 .753 .690 .627 .538 .448 from memory, each factor redone by hand (18/21, 16/17, 14/15, 11/12, 10/11, 6/7, 5/6).
        let ended = [6, 6, 6, 7, 10, 13, 16, 22, 23];
        let censored = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
        let curve = SurvivalCurve::of(ended.map(|l| (l, true)).into_iter().chain(censored.map(|l| (l, false))));
        assert_eq!((curve.n, curve.censored, curve.longest), (21, 12, 35));
        let expected = [(6, 0.857), (7, 0.807), (10, 0.753), (13, 0.690), (16, 0.627), (22, 0.538), (23, 0.448)];
        assert_eq!(curve.steps.len(), expected.len());
        for (step, (length, exceeding)) in curve.steps.iter().zip(expected) {
            assert_eq!(step.length, length);
            assert!((step.exceeding - exceeding).abs() < 0.000_5, "{length}");
        }
        assert_eq!((curve.exceeding(5), curve.exceeding(36)), (Some(1.0), None));
        assert_eq!(curve.exceeding(12), curve.exceeding(10));
        assert_eq!(SurvivalCurve::of([]).exceeding(1), None);
    }
}
