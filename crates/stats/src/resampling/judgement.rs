//! Whether made-up runs are like the run that they were drawn from.
//!
//! Of the calendar years of the run that may be drawn (the record), and of the whole calendar years of each of N made-up runs of as many
//! years: mean annual longest dry spell (days in a row below 1.0 mm, **cut at 1 January and 31 December**, as CDD is defined), mean rain of
//! each month and of the year (mm), mean wet days a year (1.0 mm or more), and variance (n - 1) of the annual totals (mm2). Those of the made-up
//! runs are means over the N. Drawing n years with replacement makes the expected variance (n - 1) / n of the record's.
//!
//! Spell deviation = made-up / record - 1. A resampler is **rejected** when it is above 0.05 either way: it breaks dry spells, or joins them
//! (CHECKS H18). The deviation is itself drawn: its standard error is the spread over the runs / sqrt(N) / record.
//!
//! What it cannot see: a cut in the dry season. A spell joined from halves of two years is as long on average (Happy Camp cut in August: +0.5 %);
//! so the cut is laid by rule (`source_years.rs`). Where years are not cut at New Year, a calendar year of a made-up run is joined from two drawn
//! years, and its total varies less than the record's by what one part of the year has to do with the next.

use super::drawn_days::{DrawnDays, Resampling};
use super::source_years::{SourceYear, SourceYears};
use crate::site_series::SiteSeries;
use serde::Serialize;
use series::{Depth, Reading, Withheld};

/// Greatest deviation of the mean annual longest dry spell that is not rejected (CHECKS H18).
pub const GREATEST_SPELL_DEVIATION: f64 = 0.05;

/// How much is drawn for a judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct JudgementRule {
    /// Made-up runs.
    pub runs: u32,
    /// The seed, to be printed beside the judgement.
    pub seed: u64,
}

impl Default for JudgementRule {
    fn default() -> Self {
        Self { runs: 200, seed: 1 }
    }
}

/// What calendar years are like.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct YearFigures {
    /// Mean annual longest dry spell, days.
    pub longest_dry_spell: f64,
    /// Standard deviation (n - 1) of the annual longest dry spell, days.
    pub longest_dry_spell_spread: f64,
    /// Mean rain of January to December, mm.
    pub months: [f64; 12],
    /// Mean wet days a year.
    pub wet_days: f64,
    /// Mean rain of the year, mm.
    pub annual: f64,
    /// Variance of the annual totals, mm2.
    pub annual_variance: f64,
}

/// The record and the made-up runs side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ResamplingJudgement {
    /// How the runs were drawn.
    pub resampling: Resampling,
    /// How many, and from which seed.
    pub rule: JudgementRule,
    /// Calendar years of the record, and of each made-up run.
    pub years: u32,
    /// Of the record.
    pub record: YearFigures,
    /// Of the made-up runs, on average.
    pub made_up: YearFigures,
    /// Spread (standard deviation) of one made-up run's mean annual longest dry spell, days; 0 for one run.
    pub spell_spread: f64,
    /// Deviation of the mean annual longest dry spell, a share of the record's.
    pub spell_deviation: f64,
    /// Its standard error, for want of more runs.
    pub spell_standard_error: f64,
    /// Whether the deviation is above [`GREATEST_SPELL_DEVIATION`].
    pub rejected: bool,
}

/// Judges a way of drawing at one station. Of several resampled together, each is judged with the same `sources`.
///
/// # Errors
/// [`Withheld::TooFewYears`] when fewer than two calendar years of the record may be drawn; [`Withheld::NothingAccepted`] when the station
/// does not cover the run of `sources`, or no run was asked for; [`Withheld::NoSolution`] when a sum is no finite number.
pub fn judge_resampling(
    station: &SiteSeries,
    sources: &SourceYears,
    resampling: Resampling,
    rule: JudgementRule,
) -> Result<ResamplingJudgement, Withheld> {
    let depths: Vec<f64> = (0..sources.days())
        .map(|place| {
            let entry = station.day(sources.date(place)).ok_or(Withheld::NothingAccepted)?;
            // A day without a depth lies in no year that is drawn or judged.
            Ok(entry.depth.map_or(f64::NAN, Depth::get))
        })
        .collect::<Result<_, Withheld>>()?;
    judge_depths(&depths, sources, resampling, rule)
}

/// The same for the depths of every day of the run, mm.
pub(crate) fn judge_depths(
    depths: &[f64],
    sources: &SourceYears,
    resampling: Resampling,
    rule: JudgementRule,
) -> Result<ResamplingJudgement, Withheld> {
    let years = sources.calendar_years();
    let need = 2;
    if years.len() < need {
        return Err(Withheld::TooFewYears { have: years.len() as u32, need: need as u32 });
    }
    if depths.len() != sources.days() || rule.runs == 0 {
        return Err(Withheld::NothingAccepted);
    }
    let judged = Judged::new(depths, sources);
    let record: Vec<Vec<usize>> = years.iter().map(|&SourceYear { from, days, .. }| (from..from + days).collect()).collect();
    let record = judged.figures(record.iter().map(Vec::as_slice));
    // Years cut elsewhere than at New Year hold one whole calendar year less.
    let drawn_years = u16::try_from(years.len() + usize::from(sources.cut_month != 1)).unwrap_or(u16::MAX);
    let runs: Vec<YearFigures> = (0..rule.runs)
        .map(|replicate| {
            let drawn = sources.draw(resampling, drawn_years, rule.seed, replicate);
            judged.figures(judged.calendar_years(&drawn, sources.cut_month == 1))
        })
        .collect();
    let made_up = mean(&runs);
    let spells: Vec<f64> = runs.iter().map(|run| run.longest_dry_spell).collect();
    let spread = mean_and_variance(&spells).1.sqrt();
    // A record without a dry day has none to break.
    let share = |days: f64| if record.longest_dry_spell > 0.0 { days / record.longest_dry_spell } else { 0.0 };
    let deviation = share(made_up.longest_dry_spell - record.longest_dry_spell);
    if ![record.annual_variance, made_up.annual_variance, spread, deviation].iter().all(|value| value.is_finite()) {
        return Err(Withheld::NoSolution);
    }
    Ok(ResamplingJudgement {
        resampling,
        rule,
        years: years.len() as u32,
        record,
        made_up,
        spell_spread: spread,
        spell_deviation: deviation,
        spell_standard_error: share(spread / f64::from(rule.runs).sqrt()),
        rejected: deviation.abs() > GREATEST_SPELL_DEVIATION,
    })
}

/// The run with the month of each of its days.
struct Judged<'a> {
    depths: &'a [f64],
    /// 0 to 11.
    months: Vec<usize>,
    new_years: Vec<bool>,
}

impl<'a> Judged<'a> {
    fn new(depths: &'a [f64], sources: &SourceYears) -> Self {
        let dates: Vec<(i32, u32, u32)> = (0..depths.len()).map(|place| sources.date(place).ymd()).collect();
        let months = dates.iter().map(|&(_, month, _)| month as usize - 1).collect();
        Self { depths, months, new_years: dates.iter().map(|&(_, month, date)| (month, date) == (1, 1)).collect() }
    }

    /// The whole calendar years of a made-up run; the last one only where the run ends with a year.
    fn calendar_years<'b>(&self, drawn: &'b DrawnDays, ends_with_a_year: bool) -> impl Iterator<Item = &'b [usize]> {
        let mut begins: Vec<usize> = (0..drawn.places.len()).filter(|&at| self.new_years[drawn.places[at]]).collect();
        if ends_with_a_year {
            begins.push(drawn.places.len());
        }
        (1..begins.len()).map(move |year| &drawn.places[begins[year - 1]..begins[year]])
    }

    fn figures<'b>(&self, years: impl Iterator<Item = &'b [usize]>) -> YearFigures {
        let wet_day = Reading::WET_DAY_MICROMETRES as f64 / 1000.0;
        let mut sums = YearFigures::default();
        let (mut totals, mut spells) = (Vec::new(), Vec::new());
        for places in years {
            let (mut dry, mut longest, mut wet, mut total) = (0_u32, 0, 0_u32, 0.0);
            for &place in places {
                let depth = self.depths[place];
                sums.months[self.months[place]] += depth;
                total += depth;
                let is_wet = depth >= wet_day;
                wet += u32::from(is_wet);
                dry = if is_wet { 0 } else { dry + 1 };
                longest = longest.max(dry);
            }
            spells.push(f64::from(longest));
            sums.wet_days += f64::from(wet);
            totals.push(total);
        }
        let n = totals.len().max(1) as f64;
        let (annual, annual_variance) = mean_and_variance(&totals);
        let (longest_dry_spell, spell_variance) = mean_and_variance(&spells);
        YearFigures {
            longest_dry_spell,
            longest_dry_spell_spread: spell_variance.sqrt(),
            months: sums.months.map(|sum| sum / n),
            wet_days: sums.wet_days / n,
            annual,
            annual_variance,
        }
    }
}

fn mean(runs: &[YearFigures]) -> YearFigures {
    let n = runs.len().max(1) as f64;
    let of = |value: fn(&YearFigures) -> f64| runs.iter().map(value).sum::<f64>() / n;
    let mut months = [0.0; 12];
    for run in runs {
        months.iter_mut().zip(run.months).for_each(|(sum, rain)| *sum += rain / n);
    }
    YearFigures {
        longest_dry_spell: of(|run| run.longest_dry_spell),
        longest_dry_spell_spread: of(|run| run.longest_dry_spell_spread),
        months,
        wet_days: of(|run| run.wet_days),
        annual: of(|run| run.annual),
        annual_variance: of(|run| run.annual_variance),
    }
}

/// Mean and variance (n - 1); 0 of nothing, and no variance of one value.
fn mean_and_variance(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n.max(1.0);
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    (mean, squares / (n - 1.0).max(1.0))
}
