//! The step in which the depths of a record were written down: whole millimetres, tenths, hundredths of an inch.
//!
//! It is the coarsest step of a list of which nearly all depths above zero are multiples; an inch's step may also have been rounded to tenths
//! of a millimetre on the way, as archives do (0.01 in = 0.254 mm stands as 0.3 mm, 0.02 in as 0.5 mm).

use serde::Serialize;
use series::DailySeries;

/// Steps that are looked for, micrometres, coarsest first, and what a multiple of it may have been rounded to: 10, 5 mm, 0.1 in, 2 mm,
/// 0.05 in, 1, 0.5 mm, 0.01 in, 0.2, 0.1, 0.01 mm.
const STEPS: [(i64, Option<i64>); 14] = [
    (10_000, None),
    (5_000, None),
    (2_540, None),
    (2_540, Some(100)),
    (2_000, None),
    (1_270, None),
    (1_270, Some(100)),
    (1_000, None),
    (500, None),
    (254, None),
    (254, Some(100)),
    (200, None),
    (100, None),
    (10, None),
];
/// Fewest readings above zero that tell of a step.
const NEEDS: usize = 30;
/// Fewest different depths among them: one depth written over and over is a multiple of many steps.
const DIFFERENT: usize = 3;
/// Share of them that must be multiples of it.
const SHARE: f64 = 0.99;

/// A step of depth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DepthStep {
    /// The step, mm.
    pub step_mm: f64,
    /// What its multiples were rounded to, mm, where they were.
    pub rounded_to_mm: Option<f64>,
}

impl DepthStep {
    /// The step in hundredths of an inch, where it is a whole number of them.
    pub fn hundredths_of_an_inch(self) -> Option<u32> {
        let hundredths = self.step_mm / 0.254;
        ((hundredths - hundredths.round()).abs() < 1e-9).then_some(hundredths.round() as u32)
    }
}

/// The step of a record's depths; nothing where fewer than thirty are above zero, all are one depth or two, or no step of the list is theirs.
pub(crate) fn depth_step(rain: &DailySeries) -> Option<DepthStep> {
    let depths: Vec<i64> = rain.readings().iter().filter_map(|reading| reading.depth()).filter(|depth| *depth > 0).collect();
    let mut different: Vec<i64> = Vec::with_capacity(DIFFERENT);
    for depth in &depths {
        if different.len() < DIFFERENT && !different.contains(depth) {
            different.push(*depth);
        }
    }
    if depths.len() < NEEDS || different.len() < DIFFERENT {
        return None;
    }
    let fits = |depth: i64, step: i64, rounded: Option<i64>| match rounded {
        None => depth % step == 0,
        Some(to) => {
            let multiple = (depth + step / 2) / step * step;
            depth % to == 0 && multiple > 0 && 2 * (depth - multiple).abs() <= to
        }
    };
    let found = STEPS
        .into_iter()
        .find(|(step, rounded)| depths.iter().filter(|depth| fits(**depth, *step, *rounded)).count() as f64 >= SHARE * depths.len() as f64);
    found.map(|(step, rounded)| DepthStep {
        step_mm: crate::record_summary::millimetres(step),
        rounded_to_mm: rounded.map(crate::record_summary::millimetres),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Day, Reading, Station};

    fn of(micrometres: impl Iterator<Item = i32>) -> Option<(f64, Option<f64>)> {
        let readings = micrometres.map(Reading::measured).collect();
        depth_step(&DailySeries::new(Station::default(), Day::new(2001, 1, 1).unwrap(), readings))
            .map(|step| (step.step_mm, step.rounded_to_mm))
    }

    #[test]
    fn the_step_is_found_in_the_depths() {
        assert_eq!(of((1..100).map(|i| i * 1000)), Some((1.0, None)));
        assert_eq!(of((1..100).map(|i| i * 100)), Some((0.1, None)));
        assert_eq!(of((1..100).map(|i| i * 200)), Some((0.2, None)));
        // 1 in = 25.4 mm exactly. Rounded to tenths of a millimetre by the plain rule: 0.3, 0.5, 0.8, 1.0, 1.3, ...
        assert_eq!(of((1..100).map(|i| i * 254)), Some((0.254, None)));
        assert_eq!(of((1..100).map(|i| (i * 254 + 50) / 100 * 100)), Some((0.254, Some(0.1))));
        assert_eq!(of((1..30).map(|i| i * 1000)), None, "29 depths tell nothing");
        assert_eq!(of((1..100).map(|_| 2500)), None, "one depth is a multiple of many steps");
        assert_eq!(of((1..100).map(|i| i * 7 + 1)), None);
        assert_eq!(DepthStep { step_mm: 2.54, rounded_to_mm: None }.hundredths_of_an_inch(), Some(10));
        assert_eq!(DepthStep { step_mm: 0.2, rounded_to_mm: None }.hundredths_of_an_inch(), None);
    }
}
