//! Dry runs by plain counting, for comparison with tools that do so: runs of usable days below a threshold.
//!
//! Any day that is not usable ends a run, and a run beside a gap counts as if it were whole, so the mean is too small where there are gaps:
//! not for a page. What a page shows are the spells of `dry_spells.rs`, with their bounds.
//!
//! Units: days; the threshold is in micrometres.

use serde::Serialize;
use series::DailySeries;

/// Dry runs by plain counting, for comparison with tools that do so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct CountedDryRuns {
    /// How many runs.
    pub runs: usize,
    /// Days in all of them.
    pub days: usize,
    /// Days in the longest.
    pub longest: usize,
}

impl CountedDryRuns {
    /// Mean length in days, where there is a run.
    pub fn mean(&self) -> Option<f64> {
        (self.runs > 0).then(|| self.days as f64 / self.runs as f64)
    }
}

/// Runs of usable days below the threshold (micrometres); any day that is not usable ends a run. Runs beside gaps count as if they were
/// whole, so the mean is too small where there are gaps: not for a page.
pub fn counted_dry_runs(series: &DailySeries, threshold_micrometres: i64) -> CountedDryRuns {
    let threshold = i32::try_from(threshold_micrometres.max(0)).unwrap_or(i32::MAX);
    let (mut runs, mut days, mut longest, mut length) = (0_u32, 0_u32, 0_u32, 0_u32);
    for reading in series.readings() {
        // Wet and dry days follow one another as chance has it, which no branch can foresee: so there is none.
        let dry = u32::from(reading.is_below(threshold));
        length = (length + 1) & dry.wrapping_neg();
        runs += u32::from(length == 1);
        days += dry;
        longest = longest.max(length);
    }
    CountedDryRuns { runs: runs as usize, days: days as usize, longest: longest as usize }
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Reading, Station};

    #[test]
    fn plain_counting_ends_a_run_at_any_gap() {
        // By hand: wet, 2 dry, missing, 1 dry, a total over two days, 3 dry, wet.
        let (wet, dry) = (Reading::measured(5000), Reading::measured(900));
        let total = [Reading::WITHIN_TOTAL, Reading::accumulated(0, Some(2))];
        let readings = [&[wet, dry, dry, Reading::MISSING, dry][..], &total, &[dry, dry, dry, wet]].concat();
        let found = counted_dry_runs(&DailySeries::new(Station::default(), "2001-01-01".parse().unwrap(), readings), 1000);
        assert_eq!((found.runs, found.days, found.longest, found.mean()), (3, 6, 3, Some(2.0)));
        assert_eq!(CountedDryRuns::default().mean(), None);
    }

    #[test]
    fn fort_collins() {
        // CHECKS A6.5: observed mean dry spell 8.5489 d, half a unit of the last printed digit.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        assert!((counted_dry_runs(&rain, 1000).mean().unwrap() - 8.5489).abs() < 0.000_05);
    }
}
