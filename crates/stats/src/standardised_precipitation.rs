//! The standardised precipitation index (SPI): how unusual the rain of the last 1 to 24 months is for the season, in standard deviations.
//!
//! For each calendar month apart: x is the sum of the `scale` monthly totals that end with that month. With q the share of sums that are 0 and
//! G the gamma distribution fitted to the others (see [`GammaDistribution`]), H(x) = q + (1 - q) G(x), and the index is the value that a
//! standard normal distribution stays below with chance H. It is held within -3 and 3, since no record of ours carries a rarer chance, and so it is
//! never infinite. Below 0 is drier than usual for the month.
//!
//! A sum is given where every one of its months is accepted. A calendar month is withheld below [`INDEX_NEEDS_YEARS`] sums (WMO-No. 1090,
//! 2012, asks for 30 years; from memory), below [`FIT_NEEDS_AMOUNTS`] sums above 0 (own rule), and when they are all equal. Where q is a half
//! or more, a month without rain is not below 0: the index then cannot tell a drought.
//!
//! How far a short record leaves a value open is told by [`StandardisedPrecipitation::standard_error`]: the jackknife, sqrt((n - 1) / n x
//! sum (z_i - mean z)^2) with z_i the index fitted without sum i, not held within 3. An index at -3 or 3 has none.
//!
//! Source: McKee, Doesken & Kleist (1993); Edwards & McKee (1997) on zeros; CHECKS A3.

use crate::calendar::millimetres;
use crate::gamma_distribution::GammaDistribution;
use crate::monthly::MonthlyTotal;
use crate::normal;
use serde::Serialize;
use series::{Withheld, math};

/// Fewest sums of a calendar month that the index is given for.
pub const INDEX_NEEDS_YEARS: u32 = 30;
/// Fewest sums above 0 that a distribution is fitted to.
pub const FIT_NEEDS_AMOUNTS: u32 = 10;
/// Longest scale, months.
pub const LONGEST_SCALE: u32 = 24;
/// The index lies within this of 0.
pub const INDEX_LIMIT: f64 = 3.0;

/// What is usual for the sums that end with a calendar month.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonalFit {
    /// Sums at hand.
    pub n: u32,
    /// Of them, without rain.
    pub zeros: u32,
    /// The distribution of the others, mm.
    pub gamma: GammaDistribution,
}

impl SeasonalFit {
    /// q, 0 to 1.
    pub fn share_of_zeros(&self) -> f64 {
        f64::from(self.zeros) / f64::from(self.n)
    }

    /// The index of a sum in mm, within [`INDEX_LIMIT`] of 0.
    pub fn index(&self, sum: f64) -> f64 {
        let chance = self.chance_below(sum);
        let at_the_end = if chance < 0.5 { -INDEX_LIMIT } else { INDEX_LIMIT };
        normal::value_of_chance(chance).unwrap_or(at_the_end).clamp(-INDEX_LIMIT, INDEX_LIMIT)
    }

    /// H, 0 to 1.
    fn chance_below(&self, sum: f64) -> f64 {
        let q = self.share_of_zeros();
        q + (1.0 - q) * self.gamma.chance_below(sum)
    }
}

/// One month's index.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MonthIndex {
    /// Year of the last month of the sum.
    pub year: i32,
    /// The last month, 1 to 12.
    pub month: u32,
    /// The sum, micrometres; nothing where a month of it is not accepted.
    pub micrometres: Option<i64>,
    /// The index.
    pub index: Result<f64, Withheld>,
}

/// The index over a record, for one scale.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StandardisedPrecipitation {
    /// Months a sum runs over, 1 to [`LONGEST_SCALE`].
    pub scale: u32,
    /// January to December: what is usual.
    pub fits: Vec<Result<SeasonalFit, Withheld>>,
    /// Every month of the record, in order.
    pub months: Vec<MonthIndex>,
}

/// The index of monthly totals in order of time without a gap in the calendar, as [`monthly_totals`](crate::monthly_totals) gives them; the
/// scale is held within 1 and [`LONGEST_SCALE`].
pub fn standardised_precipitation(totals: &[MonthlyTotal], scale: u32) -> StandardisedPrecipitation {
    let scale = scale.clamp(1, LONGEST_SCALE);
    let sums: Vec<Option<i64>> = (0..totals.len()).map(|last| sum(totals, last, scale as usize)).collect();
    let fits: Vec<_> = (1..=12).map(|month| fit(&of_month(totals, &sums, month))).collect();
    let months = totals
        .iter()
        .zip(&sums)
        .map(|(total, &micrometres)| {
            let fit = (total.month as usize).checked_sub(1).and_then(|month| fits.get(month));
            let index = match (micrometres, fit) {
                (Some(sum), Some(Ok(fit))) => Ok(fit.index(millimetres(sum))),
                (Some(_), Some(Err(why))) => Err(why.clone()),
                _ => Err(Withheld::NothingAccepted),
            };
            MonthIndex { year: total.year, month: total.month, micrometres, index }
        })
        .collect();
    StandardisedPrecipitation { scale, fits, months }
}

impl StandardisedPrecipitation {
    /// The standard error of one month's index from the length of the record, by the jackknife, in the index's unit.
    ///
    /// # Errors
    /// Why the index is withheld; [`Withheld::NothingAccepted`] for a month outside the record; [`Withheld::NoSolution`] for an
    /// index at its limit, and where without one sum there is no fit or no index.
    pub fn standard_error(&self, year: i32, month: u32) -> Result<f64, Withheld> {
        let of = self.months.iter().find(|at| at.year == year && at.month == month).ok_or(Withheld::NothingAccepted)?;
        if of.index.clone()?.abs() >= INDEX_LIMIT {
            return Err(Withheld::NoSolution);
        }
        let sum = millimetres(of.micrometres.ok_or(Withheld::NothingAccepted)?);
        let sums: Vec<i64> = self.months.iter().filter(|at| at.month == month).filter_map(|at| at.micrometres).collect();
        let mut without = Vec::with_capacity(sums.len());
        for left_out in 0..sums.len() {
            let rest: Vec<i64> = sums.iter().enumerate().filter(|(i, _)| *i != left_out).map(|(_, &sum)| sum).collect();
            let chance = fit_to(&rest)?.chance_below(sum);
            without.push(normal::value_of_chance(chance).ok_or(Withheld::NoSolution)?);
        }
        let n = without.len() as f64;
        let mean = without.iter().sum::<f64>() / n;
        let squares: f64 = without.iter().map(|z| (z - mean) * (z - mean)).sum();
        Ok(((n - 1.0) / n * squares).sqrt())
    }
}

/// The sum of the months that end with this one.
fn sum(totals: &[MonthlyTotal], last: usize, scale: usize) -> Option<i64> {
    let first = (last + 1).checked_sub(scale)?;
    totals[first..=last].iter().map(|total| total.accepted().then_some(total.micrometres)).sum()
}

fn of_month(totals: &[MonthlyTotal], sums: &[Option<i64>], month: u32) -> Vec<i64> {
    totals.iter().zip(sums).filter(|(total, _)| total.month == month).filter_map(|(_, sum)| *sum).collect()
}

fn fit(sums: &[i64]) -> Result<SeasonalFit, Withheld> {
    let have = sums.len() as u32;
    if have < INDEX_NEEDS_YEARS {
        return Err(Withheld::TooFewYears { have, need: INDEX_NEEDS_YEARS });
    }
    if sums.iter().all(|&sum| sum <= 0) {
        return Err(Withheld::NoRain);
    }
    let have = sums.iter().filter(|&&sum| sum > 0).count() as u32;
    if have < FIT_NEEDS_AMOUNTS {
        return Err(Withheld::TooFewYears { have, need: FIT_NEEDS_AMOUNTS });
    }
    fit_to(sums)
}

fn fit_to(sums: &[i64]) -> Result<SeasonalFit, Withheld> {
    let amounts: Vec<f64> = sums.iter().filter(|&&sum| sum > 0).map(|&sum| millimetres(sum)).collect();
    let (total, logarithms) = amounts.iter().fold((0.0, 0.0), |(sum, logarithms), &x| (sum + x, logarithms + math::ln(x)));
    let gamma = GammaDistribution::from_sums(amounts.len() as f64, total, logarithms)?;
    Ok(SeasonalFit { n: sums.len() as u32, zeros: (sums.len() - amounts.len()) as u32, gamma })
}

#[cfg(test)]
mod tests;
