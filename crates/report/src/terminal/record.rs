//! The page of one record: who and where, days of each kind, by year and calendar month, flags, gaps, totals, findings, and what a careful
//! person should know.

use super::quality::quality;
use super::record_cautions::in_words;
use super::record_tables::{WET_DAY_MM, great_days, months, percent, years};
use super::{Depths, extent_in_words, wrapped};
use assess::{DepthStep, OneTotal, RecordSummary};
use ingest::agencies::terms_of_format;
use series::{DayDefinition, DayLabel, UnitSystem};
use std::fmt::Write;

/// What is in a record, with depths in these units; every year of a long record where asked for, else its decades.
pub fn record(summary: &RecordSummary, units: UnitSystem, every_year: bool) -> String {
    let mut page = String::new();
    let depths = Depths(units);
    head(&mut page, summary);
    days(&mut page, summary, depths);
    if summary.first_day.is_some() {
        years(&mut page, summary, depths, every_year);
        months(&mut page, summary, depths);
        great_days(&mut page, summary, depths);
        gaps(&mut page, summary);
        totals(&mut page, summary, depths);
    }
    flags(&mut page, summary);
    findings(&mut page, summary);
    quality(&mut page, summary, depths);
    to_know(&mut page, summary, depths);
    page
}

/// A line of the head: its name, then text that is broken between words.
fn line(page: &mut String, name: &str, text: &str) {
    wrapped(page, &format!("  {name:<8} "), text);
}

fn head(page: &mut String, summary: &RecordSummary) {
    let station = &summary.station;
    let _ = writeln!(page, "{}", [station.id.as_str(), station.name.as_str()].join(" ").trim_end());
    // A path is never broken: it may be copied from the page.
    let files = &summary.source.files;
    let _ = writeln!(page, "  {:<8} {}", "file", summary.source.file);
    if let [_, .., last] = files.as_slice() {
        let _ = writeln!(page, "  {:<8} to {} ({} files)", "", last.file, files.len());
    }
    line(page, "format", &summary.source.format);
    match terms_of_format(&summary.source.format) {
        Some(of) => line(page, "terms", &format!("if {} published it: {} ({})", of.agency_name, of.terms, of.read_on)),
        None => line(page, "terms", "none known: a log of somebody's own gauge, who says who may use it"),
    }
    let half = |degrees: f64, plus: &str, minus: &str| format!("{:.4} {}", degrees.abs(), if degrees < 0.0 { minus } else { plus });
    let place = station.position().map(|(north, east)| format!("{}, {}", half(north, "N", "S"), half(east, "E", "W")));
    let height = station.elevation.map(|metres| format!("{metres:.0} m above the sea"));
    let known = [place, height].into_iter().flatten().collect::<Vec<_>>().join(", ");
    line(page, "place", if known.is_empty() { "not told" } else { &known });
    line(page, "day", &day_in_words(summary.day_definition));
    line(page, "measures", extent_in_words(summary.extent));
    if let Some(step) = summary.sheet.depth_step {
        line(page, "depths", &step_in_words(step));
    }
    match summary.first_day.zip(summary.last_day) {
        Some((first, last)) => line(page, "record", &format!("{first} to {last}")),
        None => line(page, "record", "no usable day of rain"),
    }
    page.push('\n');
}

fn day_in_words(day: DayDefinition) -> String {
    let dated = match day.label {
        DayLabel::FirstDay => "dated by the day on which they begin",
        DayLabel::LastDay => "dated by the day on which they end",
        DayLabel::Unknown => "by which of its two days they are dated is not told",
    };
    match day.start_hour {
        Some(hour) => format!("24 hours from {hour:02}:00 local standard time, {dated}"),
        None if day.label == DayLabel::Unknown => "the file does not say which 24 hours a date means".to_owned(),
        None => format!("24 hours from an hour that is not told, {dated}"),
    }
}

fn days(page: &mut String, summary: &RecordSummary, depths: Depths) {
    let days = summary.days;
    page.push_str("Days\n");
    let mut line = |name: &str, count: usize, note: &str| {
        let _ = writeln!(page, "  {count:>8}  {name}{note}");
    };
    line("days from first to last usable day", days.calendar, "");
    line("measured, zero included", days.measured, "");
    line("trace: too little to measure", days.trace, "");
    line("inside multi-day totals", days.accumulated, "");
    // The source's own flags have a list of their own below.
    let reasons: Vec<String> =
        summary.rejected.iter().filter(|(why, _)| !why.contains("flag")).map(|(why, count)| format!("{why}: {count}")).collect();
    line("rejected", days.rejected, &if reasons.is_empty() { String::new() } else { format!(" ({})", reasons.join(", ")) });
    line("missing: a missing day is never zero", days.missing, "");
    for (name, count) in [
        ("of the usable: presumed dry by the archive", days.presumed_zero),
        ("of the usable: estimated by the source", days.estimated),
        ("of the usable: made of parts", days.made_of_parts),
        ("readings outside the first and last usable day", summary.readings_outside),
        ("of these: rejected before the first usable day", summary.rejected_before_first_day),
        ("of these: rejected after the last usable day", summary.rejected_after_last_day),
        ("days with a mean temperature", summary.days_with_temperature),
    ] {
        if count > 0 {
            line(name, count, "");
        }
    }
    page.push('\n');
    if days.usable() == 0 {
        return;
    }
    match summary.greatest_day.filter(|greatest| greatest.depth_mm > 0.0) {
        Some(greatest) => {
            let _ = writeln!(page, "  {} on usable days", depths.whole(summary.total_mm));
            let _ = writeln!(page, "  greatest day {} on {}", depths.whole(greatest.depth_mm), greatest.date);
        }
        None => page.push_str("  no rain on any usable day\n"),
    }
    let mean = summary.sheet.mean_year;
    match mean.rain_mm {
        Some(rain) => wrapped(
            page,
            "  ",
            &format!("a year brings {} on the mean of {}", depths.whole(rain), years_in_words(mean.complete_years, "complete")),
        ),
        None => page.push_str("  no mean year: no year has twelve complete months\n"),
    }
    if let Some((rain_days, wet_days)) = mean.rain_days.zip(mean.wet_days) {
        let over = years_in_words(mean.whole_years, "whole");
        wrapped(
            page,
            "  ",
            &format!(
                "with {rain_days:.0} days of rain, {wet_days:.0} of them of {} or more, on the mean of {over}",
                depths.whole(WET_DAY_MM)
            ),
        );
    }
    page.push('\n');
}

fn years_in_words(years: usize, kind: &str) -> String {
    format!("{years} {kind} {}", if years == 1 { "year" } else { "years" })
}

/// The step of the depths.
fn step_in_words(step: DepthStep) -> String {
    let millimetres = |value: f64| format!("{} mm", (value * 1000.0).round() / 1000.0);
    let own = match step.hundredths_of_an_inch() {
        Some(1) => format!("hundredths of an inch ({})", millimetres(step.step_mm)),
        Some(10) => format!("tenths of an inch ({})", millimetres(step.step_mm)),
        Some(hundredths) => format!("steps of 0.{hundredths:02} in ({})", millimetres(step.step_mm)),
        None if (step.step_mm - 1.0).abs() < 1e-9 => "whole millimetres".to_owned(),
        None if (step.step_mm - 0.1).abs() < 1e-9 => "tenths of a millimetre".to_owned(),
        None if (step.step_mm - 0.01).abs() < 1e-9 => "hundredths of a millimetre".to_owned(),
        None => format!("steps of {}", millimetres(step.step_mm)),
    };
    match step.rounded_to_mm {
        Some(to) => format!("in {own}, rounded to {}", millimetres(to)),
        None => format!("in {own}"),
    }
}

fn gaps(page: &mut String, summary: &RecordSummary) {
    let sheet = &summary.sheet;
    match sheet.gaps {
        0 => page.push_str("No gap: every day is usable or in a multi-day total.\n"),
        1 => page.push_str("One gap: days in a row neither usable nor in a multi-day total\n"),
        all => {
            let _ = writeln!(page, "The longest of {all} gaps: days in a row neither usable nor in a multi-day total");
        }
    }
    for gap in &sheet.longest_gaps {
        let rejected = if gap.rejected > 0 { format!(", {} of them rejected", gap.rejected) } else { String::new() };
        let _ = match gap.days {
            1 => writeln!(page, "  {:>8} day   {}{}", 1, gap.first, if gap.rejected > 0 { ", rejected" } else { "" }),
            days => writeln!(page, "  {days:>8} days  {} to {}{rejected}", gap.first, gap.last),
        };
    }
    page.push('\n');
}

fn totals(page: &mut String, summary: &RecordSummary, depths: Depths) {
    let totals = summary.multi_day_totals;
    if totals.of_known_length + totals.of_unknown_length == 0 {
        return;
    }
    page.push_str("Multi-day totals: rain of their months, never the rain of one day\n");
    let share = summary.sheet.totals_share.map(|share| format!(", {} % of all rain", percent(share))).unwrap_or_default();
    let (known, unknown, days) = (totals.of_known_length, totals.of_unknown_length, summary.days.accumulated);
    let told =
        format!("{known} of known length, {unknown} of unknown length; {}; {}{share}", days_in_words(days), depths.whole(totals.total_mm));
    wrapped(page, "  ", &told);
    let told = |total: OneTotal| {
        let over = total.days.map_or_else(|| "an unknown number of days".to_owned(), |days| days_in_words(usize::from(days)));
        format!("{} over {over}, ending on {}", depths.whole(total.depth_mm), total.last)
    };
    if let Some(longest) = summary.sheet.longest_total {
        let _ = writeln!(page, "  the longest: {}", told(longest));
    }
    if let Some(largest) = summary.sheet.largest_total {
        let _ = writeln!(page, "  the largest: {}", told(largest));
    }
    let lengths: Vec<String> = summary.sheet.totals_by_length.iter().map(|(days, count)| format!("{count} of {days} days")).collect();
    if !lengths.is_empty() {
        wrapped(page, "  by length: ", &lengths.join(", "));
    }
    page.push('\n');
}

fn days_in_words(days: usize) -> String {
    if days == 1 { "1 day".to_owned() } else { format!("{days} days") }
}

fn flags(page: &mut String, summary: &RecordSummary) {
    if summary.sheet.flags.is_empty() {
        return;
    }
    page.push_str("Quality flags of the source: days and multi-day totals that are rejected\n");
    for flag in &summary.sheet.flags {
        let letter = if flag.letter.is_control() { '?' } else { flag.letter };
        wrapped(page, &format!("  {:>8}  {letter}  ", flag.days), &flag.meaning);
    }
    page.push('\n');
}

fn findings(page: &mut String, summary: &RecordSummary) {
    if summary.diagnostics.is_empty() {
        return;
    }
    page.push_str("Findings by kind (each with its place on standard error, and with --json)\n");
    for (id, count) in &summary.diagnostics.counts {
        let severity = summary.diagnostics.list.iter().find(|found| found.id == *id).map(|found| found.severity.to_string());
        let _ = writeln!(page, "  {count:>8}  {:<7}  {id}", severity.unwrap_or_default());
    }
    page.push('\n');
}

fn to_know(page: &mut String, summary: &RecordSummary, depths: Depths) {
    if summary.to_know.is_empty() {
        return;
    }
    page.push_str("What a careful person should know\n");
    for caution in &summary.to_know {
        wrapped(page, "  - ", &in_words(caution, depths));
    }
    page.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_told_in_words() {
        let of = |start_hour, label| day_in_words(DayDefinition { start_hour, label });
        assert_eq!(of(Some(7), DayLabel::LastDay), "24 hours from 07:00 local standard time, dated by the day on which they end");
        assert_eq!(of(None, DayLabel::Unknown), "the file does not say which 24 hours a date means");
        assert!(of(None, DayLabel::FirstDay).contains("not told"));
    }
}
