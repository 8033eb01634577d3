//! One station's rows of the tables over many stations: accepted months, normals, spells, maxima fitted.
//!
//! By default every number follows the rules of the report. Plain counting, for comparison with general-purpose tools, is chosen by
//! the rules themselves: months by a number of missing days (then a spell is a run of usable dry days that any other day ends), and years
//! by a number of usable days (then no return period is withheld for the length of the record).

use crate::storm_facts::RETURN_PERIODS;
use series::{DailySeries, Period, Reading};
use stats::{
    AnnualMaxima, AtSiteStorm, Distribution, DrySpellRule, GeneralizedExtremeValue, Gumbel, LMoments, MonthRule, MonthlyTotal, NormalsRule,
    YearRule,
};

/// The rules of the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainTableRule {
    /// What makes a month whole.
    pub months: MonthRule,
    /// Which years give a maximum.
    pub years: YearRule,
    /// The share of years of a normal.
    pub normals: NormalsRule,
    /// The years of the normals; the whole record when none are named.
    pub normals_period: Option<Period>,
}

/// One station's figures. What is withheld is absent.
#[derive(Debug, Clone, PartialEq)]
pub struct StationRow {
    /// Station id.
    pub station: String,
    /// Monthly normals, mm, January first.
    pub normals: [Option<f64>; 12],
    /// Years with an accepted total of the month within the period of the normals, given or not, January first.
    pub normal_years: [usize; 12],
    /// First and last year of that period.
    pub normals_period: (i32, i32),
    /// Usable days of the record.
    pub usable_days: u32,
    /// Longest dry spell, days.
    pub longest_dry_spell: Option<u32>,
    /// Mean length of the dry spells, days.
    pub mean_dry_spell: Option<f64>,
    /// Years with an accepted maximum.
    pub years: usize,
    /// Depth by return period from the Gumbel distribution, mm.
    pub gumbel: [Option<f64>; 6],
    /// Depth by return period from the generalised extreme value distribution, mm.
    pub generalized_extreme_value: [Option<f64>; 6],
}

/// One station's accepted months and its row.
#[derive(Debug, Clone, PartialEq)]
pub struct StationTables {
    /// Accepted months in order.
    pub months: Vec<MonthlyTotal>,
    /// The station's figures.
    pub row: StationRow,
}

/// The tables of one record; nothing for a record without a usable day.
pub fn station_tables(rain: &DailySeries, rule: RainTableRule) -> Option<StationTables> {
    let record = rain.period()?;
    let totals = stats::monthly_totals(rain, rule.months);
    let years = rule.normals_period.unwrap_or(record);
    let normals = stats::normals(&totals, years.first.year(), years.last.year(), rule.normals);
    let (longest_dry_spell, mean_dry_spell) = dry(rain, rule.months);
    let maxima = stats::annual_maxima(rain, rule.years);
    let (gumbel, generalized_extreme_value) = depths(&maxima, rule.years);
    let row = StationRow {
        station: rain.station.id.clone(),
        normals: std::array::from_fn(|i| normals.monthly_mean(i as u32 + 1).ok()),
        normal_years: std::array::from_fn(|i| normals.months.get(i).map_or(0, |month| month.n)),
        normals_period: (normals.first_year, normals.last_year),
        usable_days: totals.iter().map(|month| month.usable).sum(),
        longest_dry_spell,
        mean_dry_spell,
        years: maxima.accepted().count(),
        gumbel,
        generalized_extreme_value,
    };
    Some(StationTables { months: totals.into_iter().filter(MonthlyTotal::accepted).collect(), row })
}

fn dry(rain: &DailySeries, rule: MonthRule) -> (Option<u32>, Option<f64>) {
    if let MonthRule::AtMostMissing(_) = rule {
        let runs = stats::counted_dry_runs(rain, Reading::WET_DAY_MICROMETRES);
        return (Some(runs.longest as u32), runs.mean());
    }
    let spells = stats::dry_spells(rain, DrySpellRule::default());
    let whole: Vec<f64> = spells.spells.iter().filter(|spell| spell.is_whole()).map(|spell| f64::from(spell.days)).collect();
    let mean = (!whole.is_empty()).then(|| whole.iter().sum::<f64>() / whole.len() as f64);
    (spells.longest().map(|spell| spell.days), mean)
}

fn depths(maxima: &AnnualMaxima, rule: YearRule) -> ([Option<f64>; 6], [Option<f64>; 6]) {
    if let YearRule::AtLeastDays(_) = rule {
        let Ok(moments) = LMoments::of(&maxima.depths()) else { return ([None; 6], [None; 6]) };
        let of = |fit: Option<&dyn Fn(f64) -> Option<f64>>| RETURN_PERIODS.map(|years| fit.and_then(|fit| fit(f64::from(years))));
        let gumbel = Gumbel::fit(&moments).ok().map(|fit| move |years| fit.at_return_period(years).ok());
        let extreme = GeneralizedExtremeValue::fit(&moments).ok().map(|fit| move |years| fit.at_return_period(years).ok());
        return (of(gumbel.as_ref().map(|f| f as _)), of(extreme.as_ref().map(|f| f as _)));
    }
    let Ok(fit) = AtSiteStorm::fit(maxima) else { return ([None; 6], [None; 6]) };
    (RETURN_PERIODS.map(|years| fit.gumbel_depth(f64::from(years)).ok()), RETURN_PERIODS.map(|years| fit.depth(f64::from(years)).ok()))
}
