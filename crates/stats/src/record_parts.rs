//! The earlier and the later record side by side: the first half, the second half, and the last years.
//!
//! Halves have as many years with a value each; of an odd number the middle year is in neither. The last years are those within
//! [`LAST_YEARS`] calendar years of the last year with a value, whether they have one or not; they are held against all years before them.
//! Of each part: mean, median, standard deviation (n - 1), coefficient of variation. Difference = later mean - earlier mean, in the values'
//! unit, with its standard error sqrt(s1^2 / n1 + s2^2 / n2) for independent years (Welch 1947, Biometrika 34), and the chance of the rank-sum
//! test. The parts were not chosen by looking at the values; a difference says what the record did and nothing of the years to come.
//!
//! A part of fewer than [`PART_NEEDS`] years with a value is withheld, and so is its difference (common practice, no source).

use crate::quantile::median;
use crate::rank_sum::{RankSum, rank_sum};
use crate::summary::YearValue;
use crate::variability::{Variability, variability};
use serde::Serialize;
use series::Withheld;

/// Calendar years of the last part.
pub const LAST_YEARS: i32 = 15;
/// Fewest years with a value that a part is described by.
pub const PART_NEEDS: u32 = 10;

/// A stretch of the record.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RecordPart {
    /// First year with a value.
    pub first_year: i32,
    /// Last year with a value.
    pub last_year: i32,
    /// Median, in the values' unit.
    pub median: f64,
    /// Number of years, mean, standard deviation and coefficient of variation.
    pub variability: Variability,
}

/// How a later part differs from an earlier one, in the values' unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PartDifference {
    /// Later mean less earlier mean.
    pub difference: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Difference / earlier mean; nothing where that mean is 0.
    pub share: Option<f64>,
    /// Whether one part lies higher, by ranks.
    pub rank_sum: RankSum,
}

/// The parts side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordParts {
    /// The first half.
    pub first_half: Result<RecordPart, Withheld>,
    /// The second half.
    pub second_half: Result<RecordPart, Withheld>,
    /// The second half against the first.
    pub halves: Result<PartDifference, Withheld>,
    /// The last [`LAST_YEARS`] calendar years.
    pub last_years: Result<RecordPart, Withheld>,
    /// All years before those.
    pub before_last_years: Result<RecordPart, Withheld>,
    /// The last years against those before.
    pub last_against_before: Result<PartDifference, Withheld>,
}

/// The parts of yearly values in order of time.
pub fn record_parts(years: &[YearValue]) -> RecordParts {
    let half = years.len() / 2;
    let (first, second) = (&years[..half], &years[years.len() - half..]);
    let from = years.last().map_or(0, |last| last.year.saturating_sub(LAST_YEARS - 1));
    let (before, last) = years.split_at(years.partition_point(|year| year.year < from));
    RecordParts {
        first_half: part(first),
        second_half: part(second),
        halves: difference(first, second),
        last_years: part(last),
        before_last_years: part(before),
        last_against_before: difference(before, last),
    }
}

fn values(years: &[YearValue]) -> Vec<f64> {
    years.iter().map(|year| year.value).collect()
}

fn part(years: &[YearValue]) -> Result<RecordPart, Withheld> {
    let have = years.len() as u32;
    let (Some(first), Some(last)) = (years.first(), years.last()) else {
        return Err(Withheld::TooFewYears { have, need: PART_NEEDS });
    };
    if have < PART_NEEDS {
        return Err(Withheld::TooFewYears { have, need: PART_NEEDS });
    }
    let values = values(years);
    Ok(RecordPart {
        first_year: first.year,
        last_year: last.year,
        median: median(&values).map_err(|_| Withheld::NoSolution)?,
        variability: variability(&values)?,
    })
}

fn difference(earlier: &[YearValue], later: &[YearValue]) -> Result<PartDifference, Withheld> {
    let (one, other) = (part(earlier)?.variability, part(later)?.variability);
    let difference = other.mean - one.mean;
    let squared = |part: Variability| part.standard_deviation * part.standard_deviation / part.n as f64;
    Ok(PartDifference {
        difference,
        standard_error: (squared(one) + squared(other)).sqrt(),
        share: (one.mean != 0.0).then(|| difference / one.mean).filter(|share| share.is_finite()),
        rank_sum: rank_sum(&values(earlier), &values(later)).map_err(|_| Withheld::NoSolution)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_records::{FORT_COLLINS_MAXIMA, NILE, by_year};

    #[test]
    fn the_nile_and_fort_collins_in_parts() {
        // numpy 2.4: b.mean() - a.mean(), sqrt(a.var(ddof=1)/50 + b.var(ddof=1)/50) with a, b the halves; then a = x[:85], b = x[85:].
        let nile = record_parts(&by_year(1871, &NILE));
        let halves = nile.halves.unwrap();
        assert!((halves.difference + 129.94).abs() < 1e-9 && (halves.standard_error - 31.383_387_390_172_41).abs() < 1e-9);
        assert!((halves.share.unwrap() + 129.94 / 984.32).abs() < 1e-12);
        let first = nile.first_half.unwrap();
        assert_eq!((first.first_year, first.last_year, first.median), (1871, 1920, 994.5));
        assert!((first.variability.standard_deviation - 192.717_879_877_529_24).abs() < 1e-9);
        let last = nile.last_years.unwrap();
        assert_eq!((last.first_year, last.last_year, last.variability.n), (1956, 1970, 15));
        let against = nile.last_against_before.unwrap();
        assert!((against.difference + 43.0).abs() < 1e-9 && (against.standard_error - 38.278_405_172_120_33).abs() < 1e-9);
        let halves = record_parts(&by_year(1900, &FORT_COLLINS_MAXIMA)).halves.unwrap();
        assert!((halves.difference - 17.06).abs() < 1e-9 && (halves.standard_error - 16.628_964_403_800_29).abs() < 1e-9);
    }

    #[test]
    fn identical_halves_give_no_difference() {
        let twice = [FORT_COLLINS_MAXIMA, FORT_COLLINS_MAXIMA].concat();
        let halves = record_parts(&by_year(1800, &twice)).halves.unwrap();
        assert_eq!((halves.difference, halves.share, halves.rank_sum.chance), (0.0, Some(0.0), 1.0));
        // A year between them is in neither half.
        let mut odd = FORT_COLLINS_MAXIMA.to_vec();
        odd.push(9999.0);
        odd.extend(FORT_COLLINS_MAXIMA);
        assert_eq!(record_parts(&by_year(1800, &odd)).halves, Ok(halves));
    }

    #[test]
    fn short_and_empty_records() {
        let nineteen = record_parts(&by_year(2000, &NILE[..19]));
        assert_eq!(nineteen.halves, Err(Withheld::TooFewYears { have: 9, need: 10 }));
        assert!(nineteen.last_years.is_ok() && nineteen.before_last_years.is_err() && nineteen.last_against_before.is_err());
        assert_eq!(record_parts(&[]).last_years, Err(Withheld::TooFewYears { have: 0, need: 10 }));
        // All zeros: a mean of 0 has no share; gaps shorten the last years.
        let zeros = record_parts(&by_year(1950, &[0.0; 40])).halves.unwrap();
        assert_eq!((zeros.difference, zeros.share, zeros.rank_sum.chance), (0.0, None, 1.0));
        let gappy: Vec<YearValue> = by_year(1950, &NILE).into_iter().filter(|year| year.year % 2 == 0).collect();
        assert_eq!(record_parts(&gappy).last_years, Err(Withheld::TooFewYears { have: 8, need: 10 }));
        let mut broken = NILE;
        broken[3] = f64::INFINITY;
        assert_eq!(record_parts(&by_year(1871, &broken)).halves, Err(Withheld::NoSolution));
    }
}
