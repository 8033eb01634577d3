//! Made-up runs of years for a site, drawn from the days of its own run, so that the doubt of few years can be carried through a balance.
//!
//! What is drawn are **places of days in the run**, never depths: several stations resampled together take the same days, so a storm falls on
//! neighbours on one day as it did, and frost stays with its rain.
//!
//! * [`SourceYears`]: the years that may be drawn, cut at the first day of the wettest month; * [`Resampling`], [`DrawnDays`]: the draw;
//! * [`judge_resampling`]: whether the drawn years have the record's dry spells, months, wet days and spread of years;
//! * [`epoch_factor`]: how much more two periods of a station differ than the draw of their years explains.

mod drawn_days;
mod epoch_factor;
mod judgement;
mod source_years;
#[cfg(test)]
mod tests;

pub use drawn_days::{DrawnDays, LEAST_BLOCK, LONGEST_SEASONAL_BLOCK, Resampling};
pub use epoch_factor::{EPOCH_NEEDS_STATIONS, EPOCH_NEEDS_YEARS, EpochFactor, EpochPair, epoch_factor};
pub use judgement::{GREATEST_SPELL_DEVIATION, JudgementRule, ResamplingJudgement, YearFigures, judge_resampling};
pub use source_years::{RESAMPLING_NEEDS_YEARS, SourceDay, SourceYear, SourceYears};
