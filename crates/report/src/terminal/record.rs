//! The page of one record: who and where, days of each kind, by year and calendar month, flags, gaps, totals, findings, and what a careful
//! person should know.

use super::{Depths, MONTHS, extent_in_words, wrapped};
use assess::{OneTotal, RecordCaution, RecordSummary, YearsOfRecord};
use series::{DayDefinition, DayLabel, UnitSystem};
use std::fmt::Write;

/// A record of more years than this is folded into decades.
const FOLD_FROM_YEARS: usize = 20;

/// What is in a record, with depths in these units; every year of a long record where asked for, else its decades.
pub fn record(summary: &RecordSummary, units: UnitSystem, every_year: bool) -> String {
    let mut page = String::new();
    let depths = Depths(units);
    head(&mut page, summary);
    days(&mut page, summary, depths);
    if summary.first_day.is_some() {
        years(&mut page, summary, depths, every_year);
        months(&mut page, summary, depths);
        gaps(&mut page, summary);
        totals(&mut page, summary, depths);
    }
    flags(&mut page, summary);
    findings(&mut page, summary);
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
    let half = |degrees: f64, plus: &str, minus: &str| format!("{:.4} {}", degrees.abs(), if degrees < 0.0 { minus } else { plus });
    let place = station.position().map(|(north, east)| format!("{}, {}", half(north, "N", "S"), half(east, "E", "W")));
    let height = station.elevation.map(|metres| format!("{metres:.0} m above the sea"));
    let known = [place, height].into_iter().flatten().collect::<Vec<_>>().join(", ");
    line(page, "place", if known.is_empty() { "not told" } else { &known });
    line(page, "day", &day_in_words(summary.day_definition));
    line(page, "measures", extent_in_words(summary.extent));
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
    let _ = writeln!(page, "\n  {} on usable days", depths.whole(summary.total_mm));
    if let Some(greatest) = summary.greatest_day {
        let _ = writeln!(page, "  greatest day {} on {}", depths.whole(greatest.depth_mm), greatest.date);
    }
    page.push('\n');
}

fn years(page: &mut String, summary: &RecordSummary, depths: Depths, every_year: bool) {
    let sheet = &summary.sheet;
    let fold = sheet.by_year.len() > FOLD_FROM_YEARS && !every_year;
    let (rows, title) = if fold { (sheet.by_decade(), "By decade") } else { (sheet.by_year.clone(), "By year") };
    let hint = if fold { " (--years: every year)" } else { "" };
    let _ = writeln!(page, "{title}, {}{hint}", depths.unit());
    page.push_str("             usable trace totals rejected missing     total  wettest day\n");
    for row in rows {
        let _ = writeln!(page, "{}", year_row(&row, depths));
    }
    page.push('\n');
}

fn year_row(row: &YearsOfRecord, depths: Depths) -> String {
    let days = row.days;
    let wettest = row.greatest_day.map(|day| format!("{:>6} {}", depths.number(day.depth_mm), day.date)).unwrap_or_default();
    let total = if days.usable() > 0 { depths.number(row.total_mm) } else { "-".to_owned() };
    let counts = format!("{:>7} {:>5} {:>6} {:>8} {:>7}", days.usable(), days.trace, days.accumulated, days.rejected, days.missing);
    format!("  {:<9} {counts} {total:>9}  {wettest}", row.key()).trim_end().to_owned()
}

fn months(page: &mut String, summary: &RecordSummary, depths: Depths) {
    let _ = writeln!(page, "By calendar month, {} (complete: a depth for every day; a dash: not given)", depths.unit());
    page.push_str("       days usable  complete    mean    wettest             wettest day\n");
    page.push_str("                              of the complete ones\n");
    for (month, name) in summary.sheet.by_month.iter().zip(MONTHS) {
        let dash = || "-".to_owned();
        let used = month.coverage().map_or_else(dash, |share| format!("{} %", percent(share)));
        let mean = month.mean_mm.map_or_else(dash, |mean| depths.number(mean));
        let most = month.most_mm.zip(month.most_year).map_or_else(dash, |(depth, year)| format!("{} in {year}", depths.number(depth)));
        let wettest = month.greatest_day.map_or_else(dash, |day| format!("{} on {}", depths.number(day.depth_mm), day.date));
        let _ = writeln!(page, "  {name} {used:>12} {:>9} {mean:>7}    {most:<18}  {wettest}", month.complete);
    }
    page.push('\n');
}

/// A share in whole per cent: only all is 100, only nothing is 0.
fn percent(share: f64) -> String {
    let whole = (share * 100.0).round();
    match whole {
        100.0.. if share < 1.0 => "over 99".to_owned(),
        ..=0.0 if share > 0.0 => "under 1".to_owned(),
        whole => format!("{whole:.0}"),
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
    let told = format!("{known} of known length, {unknown} of unknown length; {days} days; {}{share}", depths.whole(totals.total_mm));
    wrapped(page, "  ", &told);
    let told = |total: OneTotal| {
        let over = total.days.map_or_else(|| "an unknown number of days".to_owned(), |days| format!("{days} days"));
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

fn flags(page: &mut String, summary: &RecordSummary) {
    if summary.sheet.flags.is_empty() {
        return;
    }
    page.push_str("Quality flags of the source: their days are rejected\n");
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

fn in_words(caution: &RecordCaution, depths: Depths) -> String {
    let names = |months: &[u32]| {
        let names = months.iter().filter_map(|month| MONTHS.get((*month as usize).checked_sub(1)?)).copied();
        names.collect::<Vec<_>>().join(", ")
    };
    match caution {
        RecordCaution::ArealMean => {
            "This is the mean of an area: it has more wet days and smaller greatest days than any gauge in it.".to_owned()
        }
        RecordCaution::ExtentUnknown => "Its files disagree on whether this is one gauge or the mean of an area.".to_owned(),
        RecordCaution::DayDefinitionUnknown => {
            "Which 24 hours a date means is not told in full: a storm may be dated a day before or after that of a neighbour.".to_owned()
        }
        RecordCaution::PositionUnknown => "Where the gauge stands is not told; a station list would say.".to_owned(),
        RecordCaution::PresumedZeros { days, share } => format!(
            "On {days} days ({} % of the usable ones) nothing was reported and the archive took it for no rain. If it rained then, dry spells are too long and totals too low here.",
            percent(*share)
        ),
        RecordCaution::TotalsOfUnknownLength { totals, depth_mm } => format!(
            "{totals} multi-day {} of unknown length, {} together, lie in no month for certain: the days before them are left missing.",
            if *totals == 1 { "total" } else { "totals" },
            depths.whole(*depth_mm)
        ),
        RecordCaution::MonthsNeverObserved { months } => format!("Never observed: {}. No year of this record is whole.", names(months)),
        RecordCaution::MonthsSeldomObserved { months } => format!("Observed on less than half of their days: {}.", names(months)),
        RecordCaution::EndedBeforeItsFile { years, file_ends } => {
            format!("The record of rain ends {years:.1} years before its file does ({file_ends}).")
        }
        RecordCaution::EndedYearsAgo { years } => format!("The record ended {years:.0} years ago: what came after is not in it."),
        RecordCaution::CoarseDepths { step_mm } => {
            format!("Nearly all depths are multiples of {}: light rain was rounded or not written down.", depths.whole(*step_mm))
        }
        RecordCaution::AbsentDaysMayBeDry { zeros, missing } => format!(
            "Only {zeros} days are stated as dry while {missing} have no value: the source may leave dry days out. They are kept missing here, not zero."
        ),
    }
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

    #[test]
    fn shares_are_never_rounded_to_all_or_nothing() {
        assert_eq!([0.0, 0.001, 0.5, 0.999, 1.0].map(percent), ["0", "under 1", "50", "over 99", "100"]);
    }
}
