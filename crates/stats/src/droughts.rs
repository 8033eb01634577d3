//! Droughts by the theory of runs: months in a row that each bring less than is usual for their calendar month.
//!
//! A threshold for each calendar month, mm, such as its normal or median ([`drought_thresholds`]). A drought is a longest run of accepted
//! months with totals below it. Length: its months. Deficit: sum of (threshold - total), mm. Intensity: deficit / length, mm a month.
//!
//! A drought is never joined over a month that is not accepted, and is not whole where one lies beside it or the record begins or ends there: it then
//! lasted at least so long, and its deficit was at least so great. A month at its threshold ends it.
//!
//! Source: Yevjevich (1967), An objective approach to definitions and investigations of continental hydrologic droughts, Hydrology Paper 23.

use crate::calendar::millimetres;
use crate::monthly::MonthlyTotal;
use crate::normals::Normals;
use serde::Serialize;
use series::Withheld;

/// A year and a month, 1 to 12.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct YearMonth {
    /// The year.
    pub year: i32,
    /// The month.
    pub month: u32,
}

/// One drought.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Drought {
    /// Its first month.
    pub first: YearMonth,
    /// Its last month.
    pub last: YearMonth,
    /// Months, at least 1.
    pub months: u32,
    /// What was lacking, mm, above 0.
    pub deficit: f64,
    /// Whether an accepted month that is not below its threshold lies on either side.
    pub is_whole: bool,
}

impl Drought {
    /// Deficit a month, mm.
    pub fn intensity(&self) -> f64 {
        self.deficit / f64::from(self.months)
    }
}

/// The droughts of a record, in order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Droughts {
    /// Below what a month is dry, January to December, mm.
    pub thresholds: [f64; 12],
    /// Accepted months that were looked at.
    pub accepted: usize,
    /// The droughts.
    pub droughts: Vec<Drought>,
}

impl Droughts {
    /// The drought of the most months, whole or not; the earliest of equals.
    pub fn longest(&self) -> Option<&Drought> {
        self.worst_by(|drought| f64::from(drought.months))
    }

    /// The drought of the greatest deficit.
    pub fn greatest_deficit(&self) -> Option<&Drought> {
        self.worst_by(|drought| drought.deficit)
    }

    /// The drought of the greatest deficit a month.
    pub fn most_intense(&self) -> Option<&Drought> {
        self.worst_by(Drought::intensity)
    }

    fn worst_by(&self, of: impl Fn(&Drought) -> f64) -> Option<&Drought> {
        self.droughts.iter().fold(None, |worst: Option<&Drought>, drought| worst.filter(|worst| of(worst) >= of(drought)).or(Some(drought)))
    }
}

/// Which of a calendar month's normals is its threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DroughtThreshold {
    /// The mean.
    Mean,
    /// The median: half of the months are below it.
    Median,
}

/// The thresholds of a period's normals, January to December, mm.
///
/// # Errors
/// Why the normal of a month is withheld.
pub fn drought_thresholds(normals: &Normals, threshold: DroughtThreshold) -> Result<[f64; 12], Withheld> {
    let mut of_month = [0.0; 12];
    for (of_month, sample) in of_month.iter_mut().zip(&normals.months) {
        let summary = sample.summary.as_ref().map_err(Clone::clone)?;
        *of_month = match threshold {
            DroughtThreshold::Mean => summary.mean,
            DroughtThreshold::Median => summary.median,
        };
    }
    if normals.months.len() == 12 { Ok(of_month) } else { Err(Withheld::NothingAccepted) }
}

/// The droughts of monthly totals in order of time without a gap in the calendar, as [`monthly_totals`](crate::monthly_totals) gives them.
///
/// # Errors
/// [`Withheld::NoSolution`] when a threshold is not finite; [`Withheld::NothingAccepted`] when no month is accepted.
pub fn droughts(totals: &[MonthlyTotal], thresholds: [f64; 12]) -> Result<Droughts, Withheld> {
    if !thresholds.iter().all(|threshold| threshold.is_finite()) {
        return Err(Withheld::NoSolution);
    }
    let accepted = totals.iter().filter(|total| total.accepted()).count();
    if accepted == 0 {
        return Err(Withheld::NothingAccepted);
    }
    let deficits: Vec<Option<f64>> = totals.iter().map(|total| deficit(total, &thresholds)).collect();
    let is_dry = |deficit: &Option<f64>| deficit.is_some_and(|deficit| deficit > 0.0);
    let mut droughts = Vec::new();
    let mut at = 0;
    for run in deficits.chunk_by(|a, b| is_dry(a) == is_dry(b)) {
        let (from, to) = (at, at + run.len());
        at = to;
        if !is_dry(&run[0]) {
            continue;
        }
        let known = |beside: Option<&Option<f64>>| beside.is_some_and(Option::is_some);
        let before = from.checked_sub(1).and_then(|before| deficits.get(before));
        let of = |total: &MonthlyTotal| YearMonth { year: total.year, month: total.month };
        droughts.push(Drought {
            first: of(&totals[from]),
            last: of(&totals[to - 1]),
            months: run.len() as u32,
            deficit: run.iter().flatten().sum(),
            is_whole: known(before) && known(deficits.get(to)),
        });
    }
    Ok(Droughts { thresholds, accepted, droughts })
}

/// Threshold less total, mm; nothing of a month that is not accepted.
fn deficit(total: &MonthlyTotal, thresholds: &[f64; 12]) -> Option<f64> {
    let threshold = thresholds.get((total.month as usize).checked_sub(1)?)?;
    total.accepted().then(|| threshold - millimetres(total.micrometres))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{MonthRefusal, MonthRule, NormalsRule, monthly_totals, normals};

    #[test]
    fn fort_collins_below_the_normals_of_1961_to_1990() {
        // pandas on checks/data/fort_collins_daily_1900_1999.csv: monthly sums, mean and median by calendar month of 1961-1990, runs of months
        // below them: how many runs and months; first, last, length and deficit of the longest; the most intense month.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let totals = monthly_totals(&rain, MonthRule::Whole);
        let base = normals(&totals, 1961, 1990, NormalsRule::default());
        let month = |year, month| YearMonth { year, month };
        for (threshold, runs, months, last, length, lacking, intense, most) in [
            (DroughtThreshold::Mean, 281, 730, month(1955, 1), 19, 268.596_533_333_333_3, month(1927, 5), 45.2374),
            (DroughtThreshold::Median, 296, 596, month(1954, 7), 13, 149.987, month(1974, 5), 61.595),
        ] {
            let found = droughts(&totals, drought_thresholds(&base, threshold).unwrap()).unwrap();
            assert_eq!((found.accepted, found.droughts.len()), (1200, runs));
            assert_eq!(found.droughts.iter().map(|drought| drought.months).sum::<u32>(), months);
            let longest = found.longest().unwrap();
            assert_eq!((longest.first, longest.last, longest.months, longest.is_whole), (month(1953, 7), last, length, true));
            assert!((longest.deficit - lacking).abs() < 1e-6 && (longest.intensity() - lacking / f64::from(length)).abs() < 1e-7);
            assert_eq!(found.greatest_deficit(), Some(longest));
            let intensest = found.most_intense().unwrap();
            assert_eq!((intensest.first, intensest.months), (intense, 1));
            assert!((intensest.deficit - most).abs() < 1e-6);
            assert!(!found.droughts.last().unwrap().is_whole, "December 1999 was dry, and the record ends");
        }
    }

    #[test]
    fn a_month_that_is_not_accepted_parts_a_drought() {
        let total = |month: u32, millimetres: i64| MonthlyTotal {
            year: 2001,
            month,
            micrometres: 1000 * millimetres,
            usable: 30,
            covered: 0,
            missing: 0,
            refused: None,
        };
        // Threshold 10 mm: 4, 10 (at it), 3, 0, not accepted, 9, 12 mm.
        let mut totals: Vec<_> = (1..).zip([4, 10, 3, 0, 0, 9, 12]).map(|(month, depth)| total(month, depth)).collect();
        totals[4].refused = Some(MonthRefusal::DaysMissing);
        let found = droughts(&totals, [10.0; 12]).unwrap();
        let plain: Vec<_> = found.droughts.iter().map(|of| (of.first.month, of.last.month, of.deficit, of.is_whole)).collect();
        assert_eq!(plain, [(1, 1, 6.0, false), (3, 4, 17.0, false), (6, 6, 1.0, false)]);
        assert_eq!((found.accepted, found.greatest_deficit().unwrap().intensity()), (6, 8.5));
        assert!(droughts(&totals, [0.0; 12]).unwrap().longest().is_none(), "no rain is not below none");
        assert_eq!(droughts(&totals[4..5], [10.0; 12]), Err(Withheld::NothingAccepted));
        assert_eq!(droughts(&totals, [f64::NAN; 12]), Err(Withheld::NoSolution));
        let few = normals(&totals, 1991, 2020, NormalsRule::default());
        assert!(matches!(drought_thresholds(&few, DroughtThreshold::Mean), Err(Withheld::TooFewYears { need: 24, .. })));
    }
}
