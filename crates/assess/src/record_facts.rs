//! The facts of the records: distance, height, completeness, and what was filled.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::record_cautions::RecordCaution;
use crate::record_summary::{GreatestDay, RecordSummary};
use crate::site_run::SiteRun;
use crate::station_choice::{ACCEPTED_YEAR_MISSING_SHARE, Candidate, Reason, StationChoice};
use series::{DailySeries, Fact, FactId, Period, Unit, Withheld};

/// Adds the facts of every candidate, and those of the leading one without a station key.
pub(crate) fn records(choice: &StationChoice, facts: &mut Facts) {
    for candidate in &choice.candidates {
        let id = candidate.summary.station.id.clone();
        of_candidate(candidate, &|method| FactId::new(method).key("station", &id), facts);
    }
    of_candidate(choice.leading(), &FactId::new, facts);
    sheet(&choice.leading().summary, facts);
    if let Reason::NearestWithYears(years) | Reason::FirstWithYears(years) = choice.reason {
        facts.add(Fact::number(FactId::new("record.years_needed"), Unit::Year, f64::from(years)));
    }
}

fn of_candidate(candidate: &Candidate, key: &dyn Fn(&str) -> FactId, facts: &mut Facts) {
    let summary = &candidate.summary;
    let days = summary.days;
    let period = summary.first_day.zip(summary.last_day).map(|(first, last)| Period::new(first, last));
    let of = |fact: Fact| fact.during(period).from_record(&summary.station.id).over(days.calendar, days.calendar - days.usable());
    let unknown = || Withheld::NotGiven { key: "records.station_list".to_owned() };
    facts.add(of(given(key("record.distance"), Unit::Kilometre, candidate.distance_km.ok_or_else(unknown))));
    let no_height = || Withheld::NotGiven { key: "site.elevation".to_owned() };
    let above = candidate.height_difference_m.ok_or_else(no_height);
    facts.add(of(given(key("record.height_above_site"), Unit::Metre, above)));
    if let Some(difference) = candidate.height_difference_m {
        facts.add(of(Fact::number(key("record.height_difference"), Unit::Metre, difference.abs())));
    }
    facts.add(of(Fact::number(key("record.accepted_years"), Unit::Year, candidate.accepted_years.len() as f64)));
    let counts = [
        ("calendar", days.calendar),
        ("measured", days.measured),
        ("trace", days.trace),
        ("accumulated", days.accumulated),
        ("rejected", days.rejected),
        ("missing", days.missing),
        ("presumed_zero", days.presumed_zero),
        ("estimated", days.estimated),
        ("made_of_parts", days.made_of_parts),
    ];
    for (name, count) in counts {
        // A qualifier that never stands is no line on the page; the five kinds always are.
        if count > 0 || !matches!(name, "presumed_zero" | "estimated" | "made_of_parts") {
            facts.add(of(Fact::number(key(&format!("record.{name}")), Unit::Day, count as f64)));
        }
    }
    let share = if days.calendar > 0 { Ok(days.usable() as f64 / days.calendar as f64) } else { Err(Withheld::NothingAccepted) };
    facts.add(of(given(key("record.usable_share"), Unit::Share, share)));
    let totals = summary.multi_day_totals.of_known_length + summary.multi_day_totals.of_unknown_length;
    if totals > 0 {
        facts.add(of(Fact::number(key("record.multi_day_totals"), Unit::Count, totals as f64)));
    }
    let longest = summary.sheet.longest_gaps.first().map_or(0, |gap| gap.days);
    facts.add(of(Fact::number(key("record.longest_gap"), Unit::Day, longest as f64)));
    let none = if summary.extent.is_gauge() { Withheld::NothingAccepted } else { Withheld::ArealMean };
    let greatest = summary.greatest_day.filter(|_| summary.extent.is_gauge()).map(|day| day.depth_mm).ok_or(none);
    facts.add(of(given(key("record.greatest_day"), Unit::Millimetre, greatest)));
    facts.add(of(Fact::number(key("record.total"), Unit::Millimetre, summary.total_mm)));
}

/// Adds the facts of a record's sheet: by year, by calendar month, gaps, totals, flags, and the figures of what is to be known of it.
fn sheet(summary: &RecordSummary, facts: &mut Facts) {
    let sheet = &summary.sheet;
    let id = &summary.station.id;
    let whole = summary.first_day.zip(summary.last_day).map(|(first, last)| Period::new(first, last));
    // The greatest days of an area are no greatest days of a gauge.
    let gauge = summary.extent.is_gauge();
    let none = if gauge { Withheld::NothingAccepted } else { Withheld::ArealMean };
    let of_gauge = |day: Option<GreatestDay>| (day.filter(|_| gauge), &none);
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
        let given_if = |value: f64| if days.usable() > 0 { Ok(value) } else { Err(Withheld::NothingAccepted) };
        facts.add(of(given(key("record.years.total"), Unit::Millimetre, given_if(years.total_mm))));
        facts.extend(greatest("record.years", of_gauge(years.greatest_day), &key).map(of));
    }
    for month in &sheet.by_month {
        let key = |method: &str| FactId::new(method).key("month", month.month);
        let of = |fact: Fact| fact.during(whole).from_record(id);
        let missing = || Withheld::NothingAccepted;
        let share = month.coverage().ok_or_else(missing);
        facts.add(of(given(key("record.month.usable_share"), Unit::Share, share)).over(month.days, month.days - month.usable));
        facts.add(of(Fact::number(key("record.month.complete"), Unit::Count, month.complete as f64)));
        facts.add(of(given(key("record.month.mean"), Unit::Millimetre, month.mean_mm.ok_or_else(missing))).over(month.complete, 0));
        facts.add(of(given(key("record.month.most"), Unit::Millimetre, month.most_mm.ok_or_else(missing))));
        facts.add(of(given(key("record.month.most_year"), Unit::CalendarYear, month.most_year.map(f64::from).ok_or_else(missing))));
        facts.extend(greatest("record.month", of_gauge(month.greatest_day), &key).map(of));
    }
    let of = |fact: Fact| fact.during(whole).from_record(id);
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
}

/// The greatest day and its date, or why there is none.
fn greatest(stem: &str, (day, none): (Option<GreatestDay>, &Withheld), key: &dyn Fn(&str) -> FactId) -> [Fact; 2] {
    let depth = day.map(|day| day.depth_mm).ok_or_else(|| none.clone());
    let depth = given(key(&format!("{stem}.greatest_day")), Unit::Millimetre, depth);
    let id = key(&format!("{stem}.greatest_date"));
    let date = match day {
        Some(day) => Fact::date(id, day.date),
        None => Fact::withheld(id, Unit::Date, none.clone()),
    };
    [depth, date]
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
        let (name, unit, value) = match caution {
            RecordCaution::PresumedZeros { share, .. } => ("presumed_zero_share", Unit::Share, *share),
            RecordCaution::TotalsOfUnknownLength { depth_mm, .. } => ("totals.unknown_rain", Unit::Millimetre, *depth_mm),
            RecordCaution::EndedBeforeItsFile { years, .. } => ("ended_before_file", Unit::Year, *years),
            RecordCaution::EndedYearsAgo { years } => ("ended_ago", Unit::Year, *years),
            RecordCaution::CoarseDepths { step_mm } => ("depth_step", Unit::Millimetre, *step_mm),
            RecordCaution::AbsentDaysMayBeDry { zeros, .. } => ("zeros", Unit::Day, *zeros as f64),
            _ => continue,
        };
        facts.add(of(Fact::number(FactId::new(&format!("record.{name}")), unit, value)));
    }
}

/// Adds the facts of a record that stands alone, without a site.
pub(crate) fn of_record(summary: &RecordSummary, rain: &DailySeries, facts: &mut Facts) {
    let candidate = Candidate {
        summary: summary.clone(),
        distance_km: None,
        azimuth_degrees: None,
        height_difference_m: None,
        accepted_years: stats::accepted_years(rain, ACCEPTED_YEAR_MISSING_SHARE),
    };
    of_candidate(&candidate, &FactId::new, facts);
    sheet(summary, facts);
}

/// Adds what was filled and spread for the balance.
pub(crate) fn filling(run: &SiteRun, record: &str, facts: &mut Facts) {
    let period = run.rain.period();
    let (filled, spread) = run.filled_and_spread(period);
    let of = |fact: Fact| fact.during(Some(period)).from_record(record).over(period.days(), filled);
    facts.add(of(Fact::number(FactId::new("run.years"), Unit::Year, run.accepted_years.len() as f64)));
    facts.add(of(Fact::number(FactId::new("record.filled"), Unit::Day, filled as f64)));
    facts.add(of(Fact::number(FactId::new("record.filled_share"), Unit::Share, filled as f64 / period.days() as f64)));
    facts.add(of(Fact::number(FactId::new("record.spread"), Unit::Day, spread as f64)));
}
