//! The facts of the usual rain: normals, medians and deciles by month and year, the yearly indices.

use crate::facts::Facts;
use series::{DailySeries, Day, Fact, FactId, Period, Unit, Withheld};
use stats::{MonthRule, MonthlyTotal, Normals, NormalsRule, Summary, YearlySample};

/// How the normals are made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClimateRule {
    /// What makes a month whole.
    pub months: MonthRule,
    /// The share of years, and the quantile definition.
    pub normals: NormalsRule,
    /// The years; chosen when none are named, see [`climate`].
    pub period: Option<Period>,
}

/// A number or the reason why there is none, as a fact.
pub(crate) fn given(id: FactId, unit: Unit, value: Result<f64, Withheld>) -> Fact {
    match value {
        Ok(value) => Fact::number(id, unit, value),
        Err(why) => Fact::withheld(id, unit, why),
    }
}

/// Normals and monthly totals of a record, as values and as facts.
#[derive(Debug, Clone)]
pub struct Climate {
    /// Every month of the record.
    pub totals: Vec<MonthlyTotal>,
    /// The normals of the period.
    pub normals: Normals,
}

/// The most years of which a report prints every month: more would not be legible on a sheet.
const MOST_YEARS_OF_MONTHS: i32 = 40;

impl Climate {
    /// The years of which every month becomes a fact: those of the normals and those after them, the latest forty at most.
    pub fn years_of_months(&self) -> std::ops::RangeInclusive<i32> {
        let last = self.totals.last().map_or(self.normals.last_year, |total| total.year);
        self.normals.first_year.max(last - MOST_YEARS_OF_MONTHS + 1)..=last
    }
}

/// Adds the rain of each month of these years; a month that is not whole is withheld, never zero.
pub(crate) fn months_of_years(climate: &Climate, record: &str, facts: &mut Facts) {
    let years = climate.years_of_months();
    for total in climate.totals.iter().filter(|total| years.contains(&total.year)) {
        let id = FactId::new("rain.month_total").key("year", total.year).key("month", total.month);
        let fact = given(id, Unit::Millimetre, total.millimetres().ok_or(Withheld::NothingAccepted));
        let (present, missing) = ((total.usable + total.covered) as usize, total.missing as usize);
        let first = Day::new(total.year, total.month, 1);
        let month = first.map(|first| Period::new(first, first.plus((present + missing) as i32 - 1)));
        facts.add(fact.during(month).from_record(record).over(present, missing));
    }
}

/// Computes the climate of a record and adds its facts.
///
/// Where no years are named, the normals are of 1991 to 2020 (WMO-No. 1203), if every month can be given for them; otherwise of the latest
/// thirty years for which every month can; otherwise of the whole record, where each month needs as many years as a thirty-year normal
/// does (24 of 30), with what is missing withheld.
pub(crate) fn climate(rain: &DailySeries, rule: ClimateRule, facts: &mut Facts) -> Option<Climate> {
    let record = rain.period()?;
    let totals = stats::monthly_totals(rain, rule.months);
    let normals = chosen_normals(&totals, record, rule);
    let (first, last) = (normals.first_year, normals.last_year);
    let period = Some(Period::of_years(first, last));
    let id = rain.station.id.as_str();
    for (sample, month) in normals.months.iter().zip(1..) {
        let key = |method: &str| FactId::new(method).key("month", month);
        facts.extend(sample_facts(sample, "rain", key).map(|fact| fact.during(period).from_record(id)));
    }
    facts.add(given(FactId::new("rain.annual.normal"), Unit::Millimetre, normals.annual.clone()).during(period).from_record(id).over(
        normals.months.iter().map(|sample| sample.n).min().unwrap_or(0),
        normals.months.iter().map(|sample| sample.missing_years.len()).max().unwrap_or(0),
    ));
    facts.extend(sample_facts(&normals.annual_totals, "rain.annual", FactId::new).map(|fact| fact.during(period).from_record(id)));
    indices(rain, facts);
    Some(Climate { totals, normals })
}

/// The standard normal period (WMO-No. 1203).
const STANDARD_NORMAL: (i32, i32) = (1991, 2020);

fn chosen_normals(totals: &[MonthlyTotal], record: Period, rule: ClimateRule) -> Normals {
    let of = |(first, last): (i32, i32)| stats::normals(totals, first, last, rule.normals);
    if let Some(named) = rule.period {
        return of((named.first.year(), named.last.year()));
    }
    let (first, last) = (record.first.year(), record.last.year());
    let inside = |years: &(i32, i32)| first <= years.0 && years.1 <= last;
    let thirty = (first + 29..=last).rev().map(|end| (end - 29, end));
    let candidates = [STANDARD_NORMAL].into_iter().chain(thirty).filter(inside);
    candidates.map(of).find(|normals| normals.annual.is_ok()).unwrap_or_else(|| {
        // A long gappy record is not asked for more years than a short whole one.
        let years = f64::from((last - first + 1).max(1));
        let required_share = rule.normals.required_share.min(rule.normals.required_share * 30.0 / years);
        stats::normals(totals, first, last, NormalsRule { required_share, ..rule.normals })
    })
}

/// The six facts of a yearly sample: mean (called normal for a month), median, deciles, least and most with their years.
fn sample_facts<'a>(sample: &'a YearlySample, stem: &'a str, key: impl Fn(&str) -> FactId + 'a) -> impl Iterator<Item = Fact> + 'a {
    let of = move |pick: fn(&Summary) -> Result<f64, Withheld>| sample.summary.as_ref().map_err(Clone::clone).and_then(pick);
    // The annual normal is the sum of the months; the mean of complete years is a fact of its own.
    let mean = if stem == "rain" { "normal" } else { "mean" };
    let millimetres: [(&str, Result<f64, Withheld>); 6] = [
        (mean, of(|s| Ok(s.mean))),
        ("median", of(|s| Ok(s.median))),
        ("lower_decile", of(|s| s.lower_decile.clone())),
        ("upper_decile", of(|s| s.upper_decile.clone())),
        ("least", of(|s| Ok(s.least.value))),
        ("most", of(|s| Ok(s.most.value))),
    ];
    let years = [("least_year", of(|s| Ok(f64::from(s.least.year)))), ("most_year", of(|s| Ok(f64::from(s.most.year))))];
    let (n, missing) = (sample.n, sample.missing_years.len());
    let fact = move |name: &str, unit, value| given(key(&format!("{stem}.{name}")), unit, value).over(n, missing);
    let in_mm: Vec<Fact> = millimetres.into_iter().map(|(name, value)| fact(name, Unit::Millimetre, value)).collect();
    let in_years: Vec<Fact> = years.into_iter().map(|(name, value)| fact(name, Unit::CalendarYear, value)).collect();
    in_mm.into_iter().chain(in_years)
}

/// PRCPTOT, Rx1day, CDD and wet days, year by year, and the mean of the given years.
fn indices(rain: &DailySeries, facts: &mut Facts) {
    let years = stats::yearly_indices(rain);
    let id = rain.station.id.as_str();
    let mut mean = |method: &str, unit: Unit, values: Vec<(i32, Result<f64, Withheld>)>| {
        let mut sum = 0.0;
        let mut n = 0;
        for (year, value) in &values {
            let of_year = Some(Period::of_years(*year, *year));
            facts.add(given(FactId::new(method).key("year", year), unit, value.clone()).during(of_year).from_record(id));
            if let Ok(value) = value {
                sum += value;
                n += 1;
            }
        }
        let value = if n > 0 { Ok(sum / n as f64) } else { Err(Withheld::NothingAccepted) };
        let whole = given(FactId::new(&format!("{method}.mean")), unit, value).over(n, values.len() - n);
        facts.add(whole.during(rain.period()).from_record(id));
    };
    let of = |pick: fn(&stats::YearIndices) -> Result<f64, Withheld>| years.iter().map(|year| (year.year, pick(year))).collect();
    mean("index.wet_day_total", Unit::Millimetre, of(|year| year.wet_day_total.clone()));
    mean("index.greatest_day", Unit::Millimetre, of(|year| year.greatest_day.clone().map(|(_, depth)| depth)));
    mean("index.longest_dry_run", Unit::Day, of(|year| year.longest_dry_run.clone().map(f64::from)));
    mean("index.wet_days", Unit::Day, of(|year| year.wet_days.clone().map(f64::from)));
}
