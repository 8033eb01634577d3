//! Statistics of daily rain: [`series`] values in, facts about rain out. No input or output, no clock, no number that was not seeded.
//!
//! A value that a record cannot carry comes back as [`series::Withheld`] with its reason, never as a NaN or a zero; an argument outside its
//! range is a [`StatsError`]. Depths are mm where a number is f64 and micrometres where it is i64; days missing are never dry and never 0.
//!
//! The record:
//! * [`counts_by_year`], [`counts_by_month`]: days by kind; [`accepted_years`]: years whole enough; [`missing_runs`]: runs without a value.
//!
//! Quality:
//! * [`quality_report`]: which days cannot be trusted, and what else to know; [`QualityReport::applied_to`] takes them away;
//! * [`pettitt`], [`standard_normal_homogeneity`], [`buishand_range`]: one change of level in a series.
//!
//! Change, in the record and never beyond it:
//! * [`mann_kendall`]: a trend in one direction, with ties, plain and corrected for serial correlation; [`sen_slope`]: its size and interval;
//! * [`record_parts`]: the first half, the second half and the last years side by side; [`rank_sum`]: whether one of two samples lies higher.
//!
//! Amounts:
//! * [`monthly_totals`]: monthly totals under a named [`MonthRule`]; [`annual_totals`]: of complete years;
//! * [`normals`]: monthly and annual normals of a period, with median, deciles, least and most;
//! * [`yearly_indices`]: PRCPTOT, wet days, SDII, Rx1day, Rx5day, R10mm, R20mm, CDD, CWD of each year; [`very_wet_years`]: R95p and R99p
//!   against the [`wet_day_thresholds`] of a base period; [`index_normals`]: all of them as normals;
//! * [`quantile`], [`median`]: sample quantiles by a named [`QuantileDefinition`]; [`Summary`]: a sample in a few numbers;
//!   [`variability`]: standard deviation and coefficient of variation;
//! * [`season_normals`], [`seasonal_totals`]: three-month seasons; [`Seasonality`]: mean day of the rain, and how it is drawn together;
//! * [`snow_share`]: the share that falls on frozen days.
//!
//! Dry spells:
//! * [`dry_spells`]: the catalogue, uncut, censored at gaps; [`SurvivalCurve`]: how long spells last (Kaplan-Meier);
//! * [`counted_dry_runs`]: plain counting, for comparison;
//! * [`least_rain`]: the least rain in D days for every D; [`WetDryChain`]: a Markov chain as a check;
//! * [`LongestSpellReturn`]: return levels of the longest spell of a year, with [`return_level_bands`];
//! * [`droughts`]: runs of months below a threshold; [`chance_of_the_worst`]: the range of the chance of a year worse than the worst on record;
//! * [`standardised_precipitation`]: the SPI of 1 to 24 months, with months without rain, by [`GammaDistribution`]; [`DroughtClass`].
//!
//! Storms:
//! * [`annual_maxima`], [`running_annual_maxima`]: greatest day, or n days, of each year that a [`YearRule`] accepts;
//! * [`LMoments`], [`probability_weighted_moments`]: L-moments of a sample;
//! * [`GeneralizedExtremeValue`], [`Gumbel`], [`GeneralizedLogistic`], [`GeneralizedNormal`], [`GeneralizedPareto`],
//!   [`PearsonTypeThree`]: fits by L-moments, asked through [`Distribution`];
//! * [`Region`]: annual maxima of several gauges together; [`discordancies`]: which gauge does not belong; [`region_test`]: whether the rest
//!   are alike (H) and which distribution they have (Z), against regions drawn from a [`Kappa`]; [`GrowthCurve`]: the curve they share;
//! * [`independent_events`], [`threshold_for_rate`], [`mean_excess`]: storms over a threshold, and how to choose it; [`PartialDuration`]:
//!   their distribution and rate, and the annual maxima that follow;
//! * [`LikelyExtremeValue`], [`LikelyPareto`]: the same by maximum likelihood, with standard errors;
//! * [`AtSiteStorm`]: the design storm of one record, up to twice its years; [`storms`]: for 1 to n days;
//! * [`consistent_depths`]: a longer storm never less than a shorter one; [`plotting_positions`]: where the maxima stand beside the curve;
//! * [`chance_within`]: the chance of an event within some years; [`annual_maximum_return_period`]: from a partial-duration series.
//!
//! The site:
//! * [`site_series`]: one gauge's days for the balance: totals spread, gaps filled from a neighbour or the same season of another year, frost
//!   known, depths multiplied by the site's factors;
//! * [`GaugeRatios`], [`PatternAgreement`], [`DayAlignment`]: how one gauge stands in for another; [`site_amounts`]: the site's factors;
//!   [`normal_ratio`]: a month's rain from several gauges; [`transfer_error`]: what comes out for a gauge that is left out.
//!
//! Made-up years:
//! * [`SourceYears`], [`Resampling`]: runs of years drawn from the site's own, whole or in seasonal blocks, several stations together;
//!   [`judge_resampling`]: whether they keep spells, months, wet days and variance; [`epoch_factor`]: how one period differs from another.

mod annual_maxima;
mod annual_maximum_return_period;
mod at_site_storm;
mod buishand_range;
mod calendar;
mod chance_within;
#[cfg(test)]
mod climate_tests;
mod completeness;
mod correlation;
mod counted_dry_runs;
mod distribution;
mod donors;
mod draws;
mod drought_class;
mod droughts;
mod dry_spells;
mod error;
mod finite;
mod freezing;
mod gamma_distribution;
mod gauges;
mod generalized_extreme_value;
mod generalized_logistic;
mod generalized_normal;
mod generalized_pareto;
mod gumbel;
mod incomplete_gamma;
mod independent_events;
mod index_normals;
mod indices;
mod kaplan_meier;
mod kappa;
mod l_moments;
mod least_rain;
mod likelihood_search;
mod longest_spell_return;
mod mann_kendall;
mod maximum_likelihood;
mod mean_excess;
mod monthly;
mod normal;
mod normals;
mod partial_duration;
mod pearson_type_three;
mod pettitt;
mod placed_totals;
mod plotting_positions;
mod quality;
mod quantile;
mod rank_sum;
mod ranks;
mod record_parts;
mod region;
mod resampling;
mod return_level_band;
mod seasonality;
mod seasons;
mod sen_slope;
mod serial_correlation;
mod site_series;
mod snow;
mod spreading;
mod standard_normal_homogeneity;
mod standardised_precipitation;
mod summary;
#[cfg(test)]
mod test_records;
mod usable_days;
mod variability;
mod very_wet_days;
mod wet_dry_chain;
mod worst_on_record;
mod year_runs;

pub use annual_maxima::{AnnualMaxima, AnnualMaximum, YearRule, annual_maxima, running_annual_maxima};
pub use annual_maximum_return_period::annual_maximum_return_period;
pub use at_site_storm::{AtSiteStorm, FIT_NEEDS_YEARS, consistent_depths, consistent_gumbel_depths, storms};
pub use buishand_range::{BuishandRange, buishand_range};
pub use chance_within::chance_within;
pub use completeness::{MissingRun, MonthCounts, YearCounts, accepted_years, counts_by_month, counts_by_year, missing_runs};
pub use counted_dry_runs::{CountedDryRuns, counted_dry_runs};
pub use distribution::Distribution;
pub use donors::{GREATEST_SHIFT, LONGEST_BLOCK, LONGEST_GAP};
pub use drought_class::DroughtClass;
pub use droughts::{Drought, DroughtThreshold, Droughts, YearMonth, drought_thresholds, droughts};
pub use dry_spells::{DrySpell, DrySpellRule, DrySpells, Edge, LongestOfYear, SpellYear, dry_spells};
pub use error::StatsError;
pub use gamma_distribution::GammaDistribution;
pub use gauges::{
    Amount, DayAlignment, GaugeAmounts, GaugeRatios, HeightGradient, NeighbourGauge, Pair, PatternAgreement, SiteAmounts, TransferError,
    YEARS_TOGETHER, YearlyError, inverse_distance_weights, normal_ratio, normals_are_alike, site_amounts, transfer_error,
};
pub use generalized_extreme_value::GeneralizedExtremeValue;
pub use generalized_logistic::GeneralizedLogistic;
pub use generalized_normal::GeneralizedNormal;
pub use generalized_pareto::GeneralizedPareto;
pub use gumbel::Gumbel;
pub use independent_events::{EventRule, IndependentEvent, IndependentEvents, independent_events, threshold_for_rate};
pub use index_normals::{IndexNormals, index_normals};
pub use indices::{GREATEST_DAY_MISSING_SHARE, YearIndices, yearly_indices};
pub use kaplan_meier::{SurvivalCurve, SurvivalStep};
pub use kappa::Kappa;
pub use l_moments::{LMoments, probability_weighted_moments};
pub use least_rain::{LeastRain, least_rain};
pub use longest_spell_return::LongestSpellReturn;
pub use mann_kendall::{CorrectedTrend, MannKendall, TREND_NEEDS, TrendChance, mann_kendall};
pub use maximum_likelihood::{LikelyExtremeValue, LikelyPareto};
pub use mean_excess::{MeanExcess, mean_excess};
pub use monthly::{MonthRefusal, MonthRule, MonthlyTotal, monthly_totals};
pub use normals::{Normals, NormalsRule, YearlySample, annual_totals, normals};
pub use partial_duration::PartialDuration;
pub use pearson_type_three::PearsonTypeThree;
pub use pettitt::{Pettitt, pettitt};
pub use plotting_positions::plotting_positions;
pub use quality::{
    ChangeOf, CoarseRounding, Effect, Evidence, Neighbour, NeighbourUsed, NotApplied, QualityFinding, QualityReport, QualityTest,
    WhyNotApplied, quality_report,
};
pub use quantile::{QuantileDefinition, median, quantile};
pub use rank_sum::{RankSum, rank_sum};
pub use record_parts::{LAST_YEARS, PART_NEEDS, PartDifference, RecordPart, RecordParts, record_parts};
pub use region::{
    GrowthCurve, GrowthFamily, Homogeneity, Region, RegionSite, RegionTest, critical_discordancy, discordancies, region_test,
};
pub use resampling::{
    DrawnDays, EPOCH_NEEDS_STATIONS, EPOCH_NEEDS_YEARS, EpochFactor, EpochPair, GREATEST_SPELL_DEVIATION, JudgementRule, LEAST_BLOCK,
    LONGEST_SEASONAL_BLOCK, RESAMPLING_NEEDS_YEARS, Resampling, ResamplingJudgement, SourceDay, SourceYear, SourceYears, YearFigures,
    epoch_factor, judge_resampling,
};
pub use return_level_band::{BandRule, ReturnLevelBand, return_level_bands};
pub use seasonality::{LEAST_CONCENTRATION, Seasonality};
pub use seasons::{Season, SeasonNormal, season_normals, seasonal_totals};
pub use sen_slope::{SenSlope, sen_slope};
pub use site_series::{Filling, Origin, REPLAY_FILLED_SHARE, SiteCounts, SiteDay, SiteGauges, SiteSeries, SiteYear, site_series};
pub use snow::{SnowShare, snow_share};
pub use spreading::TotalSpread;
pub use standard_normal_homogeneity::{StandardNormalHomogeneity, homogeneity_level, standard_normal_homogeneity};
pub use standardised_precipitation::{
    FIT_NEEDS_AMOUNTS, INDEX_LIMIT, INDEX_NEEDS_YEARS, LONGEST_SCALE, MonthIndex, SeasonalFit, StandardisedPrecipitation,
    standardised_precipitation,
};
pub use summary::{DECILES_NEED, Summary, YearValue};
pub use variability::{Variability, variability};
pub use very_wet_days::{VeryWetYear, WetDayThresholds, very_wet_years, wet_day_thresholds};
pub use wet_dry_chain::WetDryChain;
pub use worst_on_record::{ChanceOfTheWorst, chance_of_the_worst};
