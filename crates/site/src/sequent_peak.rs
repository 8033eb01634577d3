//! Sequent peak: the least store that meets every demand of a record without fail, as a comparison for the curve.
//!
//! `K = max(0, K + demand - inflow)`, the greatest `K` over **two** passes of the record: a shortage that reaches over the end
//! of the record into its beginning is missed by one (CHECKS C6.1, trap 7). Loucks and van Beek. When more is asked for than
//! comes in, `K` grows with every pass and no store suffices.

use crate::error::{SiteError, quantity};
use series::Volume;

/// The least store by sequent peak.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct SequentPeak {
    /// The store.
    pub capacity: Volume,
    /// Number (from 0, within the record) of the step at which it would be emptiest; the first of equals.
    pub emptiest_at: usize,
}

/// The least store that meets every demand, or nothing when the demands together exceed the inflows.
///
/// # Errors
/// Without a step, when the lengths differ, and on a volume below zero or not finite.
pub fn sequent_peak(inflow: &[Volume], demand: &[Volume]) -> Result<Option<SequentPeak>, SiteError> {
    if inflow.is_empty() {
        return Err(SiteError::NoDays);
    }
    if inflow.len() != demand.len() {
        return Err(SiteError::LengthsDiffer { what: "demand", found: demand.len(), expected: inflow.len() });
    }
    for volume in inflow {
        quantity("inflow", volume.get())?;
    }
    for volume in demand {
        quantity("demand", volume.get())?;
    }
    let (all_in, all_out): (f64, f64) = (inflow.iter().map(|v| v.get()).sum(), demand.iter().map(|v| v.get()).sum());
    if all_out > all_in + 1e-9 * all_in.max(1.0) {
        return Ok(None);
    }
    let (mut shortage, mut capacity, mut emptiest_at) = (0.0_f64, 0.0_f64, 0);
    for pass in 0..2 {
        for (i, (comes, asked)) in inflow.iter().zip(demand).enumerate() {
            shortage = (shortage + asked.get() - comes.get()).max(0.0);
            // In the second pass a peak that only rounding lifts over the first pass's is the same peak.
            let lifted = if pass == 0 { 0.0 } else { 1e-9 * capacity.max(1.0) };
            if shortage > capacity + lifted {
                (capacity, emptiest_at) = (shortage, i);
            }
        }
    }
    Ok(Some(SequentPeak { capacity: Volume::new(capacity), emptiest_at }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn peak(inflow: &[f64], demand: &[f64]) -> Option<(f64, usize)> {
        let volumes = |list: &[f64]| list.iter().copied().map(Volume::new).collect::<Vec<_>>();
        sequent_peak(&volumes(inflow), &volumes(demand)).unwrap().map(|peak| (peak.capacity.get(), peak.emptiest_at))
    }

    #[test]
    fn two_passes_find_what_one_misses() {
        // CHECKS C6.1 (data READ S39; sequent peak = linear programme): 12, where a single pass gives 11.
        assert_eq!(peak(&[6.0, 10.0, 9.0, 5.0, 4.0, 0.0], &[7.0, 0.0, 7.0, 8.0, 4.0, 8.0]), Some((12.0, 0)));
        // CHECKS C6.4 (= linear programme): 7.5.
        assert_eq!(peak(&[1.0, 3.0, 3.0, 5.0, 8.0, 6.0, 7.0, 2.0, 1.0], &[3.5; 9]).unwrap().0, 7.5);
    }

    #[test]
    fn a_year_of_months() {
        // CHECKS C6.2 (data READ S40; = linear programme): 994.4002.
        let inflow = [382.8, 303.5, 290.1, 518.7, 741.6, 950.5, 1123.2, 1200.4, 973.1, 671.7, 498.9, 347.1];
        let (capacity, _) = peak(&inflow, &[555.9167; 12]).unwrap();
        assert!((capacity - 994.4002).abs() <= 1e-9 * 994.4002, "{capacity}");
        // CHECKS C6.5: 100 m2, C .85, 4,000 L a month: 53,550 L against 48,000; 11,075 L, emptiest in September.
        let supply = [60.0, 50.0, 70.0, 80.0, 40.0, 10.0, 5.0, 10.0, 40.0, 90.0, 100.0, 75.0].map(|mm| mm * 100.0 * 0.85);
        assert!((supply.iter().sum::<f64>() - 53_550.0).abs() < 1e-6);
        let (capacity, month) = peak(&supply, &[4000.0; 12]).unwrap();
        assert!((capacity - 11_075.0).abs() <= 1e-9 * 11_075.0, "{capacity}");
        assert_eq!(month, 8);
    }

    #[test]
    fn no_store_makes_up_for_too_little_rain() {
        assert_eq!(peak(&[1.0, 1.0], &[1.0, 1.5]), None);
        assert_eq!(peak(&[0.0, 0.0], &[0.0, 0.0]), Some((0.0, 0)));
        assert!(sequent_peak(&[], &[]).is_err());
        assert!(sequent_peak(&[Volume::new(f64::NAN)], &[Volume::ZERO]).is_err());
        assert!(sequent_peak(&[Volume::ZERO], &[]).is_err());
    }
}
