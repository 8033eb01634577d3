//! The facts of a record's sheet: by year, by calendar month, its greatest days, gaps, totals, flags, and the figures of what is to be known
//! of it.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::quality_facts;
use crate::record_cautions::RecordCaution;
use crate::record_sheet::RecordSheet;
use crate::record_summary::{GreatestDay, RecordSummary};
use series::{Fact, FactId, Period, Unit, Withheld};

/// Adds the facts of a record's sheet: by year, by calendar month, gaps, totals, flags, and the figures of what is to be known of it.
pub(crate) fn sheet(summary: &RecordSummary, facts: &mut Facts) {
    let sheet = &summary.sheet;
    let id = &summary.station.id;
    let whole = summary.first_day.zip(summary.last_day).map(|(first, last)| Period::new(first, last));
    // The greatest days of an area are no greatest days of a gauge.
    let gauge = summary.extent.is_gauge();
    let of_gauge = |day: Option<GreatestDay>, usable: usize| match day {
        _ if !gauge => Err(Withheld::ArealMean),
        Some(day) => Ok(day),
        None if usable > 0 => Err(Withheld::NoRain),
        None => Err(Withheld::NoUsableDay),
    };
    for years in sheet.rows_by_year().into_iter().chain(sheet.years_not_whole()) {
        let key = |method: &str| FactId::new(method).key("years", years.key());
        let period = Some(Period::of_years(years.first_year, years.last_year));
        let days = years.days;
        let of = |fact: Fact| fact.during(period).from_record(id).over(days.calendar, days.calendar - days.usable());
        for (name, count) in [
            ("usable", days.usable()),
            ("trace", days.trace),
            ("accumulated", days.accumulated),
            ("rejected", days.rejected),
            ("missing", days.missing),
        ] {
            facts.add(of(Fact::number(key(&format!("record.years.{name}")), Unit::Day, count as f64)));
        }
        let given_if = |value: f64| if days.usable() > 0 { Ok(value) } else { Err(Withheld::NoUsableDay) };
        facts.add(of(given(key("record.years.total"), Unit::Millimetre, given_if(years.total_mm))));
        facts.add(of(given(key("record.years.rain_days"), Unit::Day, given_if(years.rain_days as f64))));
        facts.add(of(given(key("record.years.wet_days"), Unit::Day, given_if(years.wet_days as f64))));
        facts.extend(greatest("record.years", &of_gauge(years.greatest_day, days.usable()), &key).map(of));
    }
    for month in &sheet.by_month {
        let key = |method: &str| FactId::new(method).key("month", month.month);
        let of = |fact: Fact| fact.during(whole).from_record(id);
        let missing = || Withheld::NothingAccepted;
        let share = month.coverage().ok_or_else(missing);
        facts.add(of(given(key("record.month.usable_share"), Unit::Share, share)).over(month.days, month.days - month.usable));
        facts.add(of(Fact::number(key("record.month.complete"), Unit::Count, month.complete as f64)));
        facts.add(of(given(key("record.month.mean"), Unit::Millimetre, month.mean_mm.ok_or_else(missing))).over(month.complete, 0));
        let dry = || if month.complete > 0 { Withheld::NoRain } else { Withheld::NothingAccepted };
        facts.add(of(given(key("record.month.most"), Unit::Millimetre, month.most_mm.ok_or_else(dry))));
        facts.add(of(given(key("record.month.most_year"), Unit::CalendarYear, month.most_year.map(f64::from).ok_or_else(dry))));
        for (name, mean) in [("rain_days", month.mean_rain_days), ("wet_days", month.mean_wet_days)] {
            facts.add(of(given(key(&format!("record.month.{name}")), Unit::Day, mean.ok_or_else(missing))).over(month.whole, 0));
        }
        facts.extend(greatest("record.month", &of_gauge(month.greatest_day, month.usable), &key).map(of));
    }
    let of = |fact: Fact| fact.during(whole).from_record(id);
    mean_year(sheet, facts, &of);
    if gauge {
        great_days(sheet, facts, &of);
    }
    facts.add(of(Fact::number(FactId::new("record.gaps"), Unit::Count, sheet.gaps as f64)));
    for (rank, gap) in (1..).zip(&sheet.longest_gaps) {
        let key = |method: &str| FactId::new(method).key("rank", rank);
        let of = |fact: Fact| fact.during(Some(gap.period())).from_record(id);
        facts.add(of(Fact::number(key("record.gap.length"), Unit::Day, gap.days as f64)));
        facts.add(of(Fact::number(key("record.gap.rejected"), Unit::Day, gap.rejected as f64)));
        facts.add(of(Fact::date(key("record.gap.first_day"), gap.first)));
        facts.add(of(Fact::date(key("record.gap.last_day"), gap.last)));
    }
    for flag in &sheet.flags {
        let key = FactId::new("record.flag.days").key("flag", flag.letter.escape_default());
        facts.add(of(Fact::number(key, Unit::Day, flag.days as f64)));
    }
    totals(summary, facts, &of);
    cautions(summary, facts, &of);
    if let Some(report) = &summary.quality {
        quality_facts::quality(report, facts, &of);
    }
}

/// The greatest day and its date, or why there is none.
fn greatest(stem: &str, day: &Result<GreatestDay, Withheld>, key: &dyn Fn(&str) -> FactId) -> [Fact; 2] {
    let depth = given(key(&format!("{stem}.greatest_day")), Unit::Millimetre, day.clone().map(|day| day.depth_mm));
    let id = key(&format!("{stem}.greatest_date"));
    let date = match day {
        Ok(day) => Fact::date(id, day.date),
        Err(why) => Fact::withheld(id, Unit::Date, why.clone()),
    };
    [depth, date]
}

/// What a year brings on the mean, and the step of the depths.
fn mean_year(sheet: &RecordSheet, facts: &mut Facts, of: &dyn Fn(Fact) -> Fact) {
    let mean = sheet.mean_year;
    for (name, unit, value, years) in [
        ("rain", Unit::Millimetre, mean.rain_mm, mean.complete_years),
        ("rain_days", Unit::Day, mean.rain_days, mean.whole_years),
        ("wet_days", Unit::Day, mean.wet_days, mean.whole_years),
    ] {
        let id = FactId::new(&format!("record.mean_year.{name}"));
        facts.add(of(given(id, unit, value.ok_or(Withheld::NothingAccepted))).over(years, 0));
    }
    if let Some(step) = sheet.depth_step {
        facts.add(of(Fact::number(FactId::new("record.depth_step"), Unit::Millimetre, step.step_mm)));
    }
    facts.add(of(Fact::number(FactId::new("record.mean_year.complete_years"), Unit::Year, mean.complete_years as f64)));
    facts.add(of(Fact::number(FactId::new("record.mean_year.whole_years"), Unit::Year, mean.whole_years as f64)));
}

/// The five greatest days.
fn great_days(sheet: &RecordSheet, facts: &mut Facts, of: &dyn Fn(Fact) -> Fact) {
    for (rank, great) in (1..).zip(&sheet.great_days) {
        let key = |method: &str| FactId::new(method).key("rank", rank);
        facts.add(of(Fact::date(key("record.great_day.date"), great.date)));
        facts.add(of(Fact::number(key("record.great_day.depth"), Unit::Millimetre, great.depth_mm)));
    }
    if let Some(rejected) = &sheet.greatest_rejected {
        facts.add(of(Fact::date(FactId::new("record.greatest_rejected.date"), rejected.date)));
        facts.add(of(Fact::number(FactId::new("record.greatest_rejected.depth"), Unit::Millimetre, rejected.depth_mm)));
    }
}

/// The facts of the multi-day totals, where there are any.
fn totals(summary: &RecordSummary, facts: &mut Facts, of: &dyn Fn(Fact) -> Fact) {
    let (sheet, all) = (&summary.sheet, summary.multi_day_totals);
    if all.of_known_length + all.of_unknown_length == 0 {
        return;
    }
    let mut add = |name: &str, unit: Unit, value: f64| {
        facts.add(of(Fact::number(FactId::new(&format!("record.totals.{name}")), unit, value)));
    };
    add("unknown_length", Unit::Count, all.of_unknown_length as f64);
    add("rain", Unit::Millimetre, all.total_mm);
    if let Some(share) = sheet.totals_share {
        add("share", Unit::Share, share);
    }
    if let Some(longest) = sheet.longest_total {
        add("longest", Unit::Day, f64::from(longest.days.unwrap_or(0)));
    }
    if let Some(largest) = sheet.largest_total {
        add("largest", Unit::Millimetre, largest.depth_mm);
        facts.add(of(Fact::date(FactId::new("record.totals.largest_last_day"), largest.last)));
    }
}

/// The figures of what a careful person should know, each only where its rule finds something.
fn cautions(summary: &RecordSummary, facts: &mut Facts, of: &dyn Fn(Fact) -> Fact) {
    for caution in &summary.to_know {
        if let RecordCaution::Finding { id, count, told: None } = caution {
            facts.add(of(Fact::number(FactId::new("record.finding.count").key("finding", id), Unit::Count, *count as f64)));
        }
        if let RecordCaution::DaysInTheFuture { last, .. } = caution {
            facts.add(of(Fact::date(FactId::new("record.future_days.last"), *last)));
        }
        let (name, unit, value) = match caution {
            RecordCaution::DaysInTheFuture { days, .. } => ("future_days", Unit::Day, *days as f64),
            RecordCaution::PresumedZeros { share, .. } => ("presumed_zero_share", Unit::Share, *share),
            RecordCaution::TotalsOfUnknownLength { depth_mm, .. } => ("totals.unknown_rain", Unit::Millimetre, *depth_mm),
            RecordCaution::EndedBeforeItsFile { years, .. } => ("ended_before_file", Unit::Year, *years),
            RecordCaution::EndedYearsAgo { years } => ("ended_ago", Unit::Year, *years),
            RecordCaution::CoarseDepths { step_mm } => ("coarse_step", Unit::Millimetre, *step_mm),
            RecordCaution::AbsentDaysMayBeDry { zeros, .. } => ("zeros", Unit::Day, *zeros as f64),
            _ => continue,
        };
        facts.add(of(Fact::number(FactId::new(&format!("record.{name}")), unit, value)));
    }
}
