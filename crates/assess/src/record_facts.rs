//! The facts of the records: distance, height, completeness, and what was filled.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::record_sheet_facts::sheet;
use crate::record_summary::RecordSummary;
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
    let not_given = |key: &str| Withheld::NotGiven { key: key.to_owned() };
    let unknown = || not_given("records.station_list");
    facts.add(of(given(key("record.distance"), Unit::Kilometre, candidate.distance_km.ok_or_else(unknown))));
    let no_height = || not_given(if summary.station.elevation.is_none() { "records.station_list" } else { "site.elevation" });
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
    let share = if days.calendar > 0 { Ok(days.usable() as f64 / days.calendar as f64) } else { Err(Withheld::NoUsableDay) };
    facts.add(of(given(key("record.usable_share"), Unit::Share, share)));
    let totals = summary.multi_day_totals.of_known_length + summary.multi_day_totals.of_unknown_length;
    if totals > 0 {
        facts.add(of(Fact::number(key("record.multi_day_totals"), Unit::Count, totals as f64)));
    }
    let longest = summary.sheet.longest_gaps.first().map_or(0, |gap| gap.days);
    facts.add(of(Fact::number(key("record.longest_gap"), Unit::Day, longest as f64)));
    let none = if !summary.extent.is_gauge() {
        Withheld::ArealMean
    } else if days.usable() > 0 {
        Withheld::NoRain
    } else {
        Withheld::NoUsableDay
    };
    let greatest = summary.greatest_day.filter(|day| summary.extent.is_gauge() && day.depth_mm > 0.0).map(|day| day.depth_mm).ok_or(none);
    facts.add(of(given(key("record.greatest_day"), Unit::Millimetre, greatest)));
    let total = if days.usable() > 0 { Ok(summary.total_mm) } else { Err(Withheld::NoUsableDay) };
    facts.add(of(given(key("record.total"), Unit::Millimetre, total)));
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
