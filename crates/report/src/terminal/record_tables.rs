//! The tables on the page of one record: by year, by calendar month, its greatest days.

use super::{Depths, MONTHS};
use assess::{GREAT_DAYS, RecordSummary, YearsOfRecord};
use series::{Qualifier, Reading};
use stats::QualityTest;
use std::fmt::Write;

/// A record of more years than this is folded into decades.
const FOLD_FROM_YEARS: usize = 20;
/// The wet day's threshold, mm.
pub(super) const WET_DAY_MM: f64 = Reading::WET_DAY_MICROMETRES as f64 / 1000.0;

/// The years of the record; of a long one its decades, where not every year is asked for.
pub(super) fn years(page: &mut String, summary: &RecordSummary, depths: Depths, every_year: bool) {
    let sheet = &summary.sheet;
    let fold = sheet.by_year.len() > FOLD_FROM_YEARS && !every_year;
    let (rows, title) = if fold { (sheet.by_decade(), "By decade") } else { (sheet.by_year.clone(), "By year") };
    let hint = if fold { " (--years: every year)" } else { "" };
    let _ = writeln!(page, "{title}, {}{hint}", depths.unit());
    let _ = writeln!(page, "{}", year_line(["", "usable", "trace", "in", "re-", "no", "rain", "wet", "total", "wettest day"]));
    let _ = writeln!(page, "{}", year_line(["", "", "", "totals", "jected", "value", "days", "days", "", ""]));
    for row in rows {
        let _ = writeln!(page, "{}", year_row(&row, depths));
    }
    let _ = writeln!(page, "{}", kinds_of_days(depths));
    if summary.days.accumulated > 0 {
        page.push_str("  total: of usable days; the rain of multi-day totals is not in it\n");
    }
    page.push('\n');
}

/// What rain days and wet days are.
fn kinds_of_days(depths: Depths) -> String {
    format!("  rain days: of any depth above zero; wet days: of {} or more", depths.whole(WET_DAY_MM))
}

fn year_line([key, usable, trace, totals, rejected, missing, rain, wet, total, wettest]: [&str; 10]) -> String {
    let line = format!("  {key:<9} {usable:>6} {trace:>5} {totals:>6} {rejected:>6} {missing:>5} {rain:>4} {wet:>4} {total:>7} {wettest}");
    line.trim_end().to_owned()
}

fn year_row(row: &YearsOfRecord, depths: Depths) -> String {
    let days = row.days;
    let [usable, trace, totals, rejected, missing] =
        [days.usable(), days.trace, days.accumulated, days.rejected, days.missing].map(|count| count.to_string());
    let [rain, wet] = [row.rain_days, row.wet_days].map(|count| count.to_string());
    let total = depths.number(row.total_mm);
    let (key, wettest) = (row.key(), row.greatest_day.map(|day| format!("{:>5} {}", depths.number(day.depth_mm), day.date)));
    let tail = match &wettest {
        Some(wettest) => [rain.as_str(), &wet, &total, wettest],
        None if days.usable() > 0 => ["0", "0", "no rain", ""],
        None => ["", "", "", "no usable day"],
    };
    let [rain, wet, total, wettest] = tail;
    year_line([&key, &usable, &trace, &totals, &rejected, &missing, rain, wet, total, wettest])
}

/// The calendar months.
pub(super) fn months(page: &mut String, summary: &RecordSummary, depths: Depths) {
    let _ = writeln!(page, "By calendar month, {} (complete: a depth for every day; a dash: not given)", depths.unit());
    let line = |[name, usable, complete, mean, most, rain, wet, wettest]: [&str; 8]| {
        let line = format!("  {name:<3} {usable:>9} {complete:>5} {mean:>7}  {most:<14} {rain:>5} {wet:>5}  {wettest}");
        line.trim_end().to_owned()
    };
    let _ = writeln!(page, "{}", line(["", "days", "com-", "mean", "wettest", "rain", "wet", "wettest day"]));
    let _ = writeln!(page, "{}", line(["", "usable", "plete", "of the", "complete ones", "days", "days", ""]));
    for (month, name) in summary.sheet.by_month.iter().zip(MONTHS) {
        let dash = || "-".to_owned();
        if month.usable == 0 {
            let _ = writeln!(page, "  {name}  no usable day");
            continue;
        }
        let used = month.coverage().map_or_else(dash, |share| format!("{} %", percent(share)));
        let mean = month.mean_mm.map_or_else(dash, |mean| if mean > 0.0 { depths.number(mean) } else { "no rain".to_owned() });
        let most = month.most_mm.zip(month.most_year).map_or_else(dash, |(depth, year)| format!("{} in {year}", depths.number(depth)));
        let [rain, wet] = [month.mean_rain_days, month.mean_wet_days].map(|mean| mean.map_or_else(dash, |mean| format!("{mean:.1}")));
        let wettest =
            month.greatest_day.map_or_else(|| "no rain".to_owned(), |day| format!("{:>5} {}", depths.number(day.depth_mm), day.date));
        let _ = writeln!(page, "{}", line([name, &used, &month.complete.to_string(), &mean, &most, &rain, &wet, &wettest]));
    }
    let _ = writeln!(page, "{};\n  both are means of the months usable on every day\n", kinds_of_days(depths));
}

/// The greatest days, with what is known of each.
pub(super) fn great_days(page: &mut String, summary: &RecordSummary, depths: Depths) {
    let days = &summary.sheet.great_days;
    if days.is_empty() {
        return;
    }
    let title = match days.len() {
        1 => "The one day with rain".to_owned(),
        GREAT_DAYS => "The five greatest days".to_owned(),
        few => format!("The {few} days with rain"),
    };
    let _ = writeln!(page, "{title}, {}", depths.unit());
    for day in days {
        let qualifiers = day.qualifiers.iter().map(|qualifier| match qualifier {
            Qualifier::Estimated => "estimated by the source",
            Qualifier::MadeOfParts => "made of parts",
            Qualifier::PresumedZero => "presumed by the archive",
        });
        let doubt = day.doubt.map(|test| match test {
            QualityTest::AbsoluteLimit => "above any rain ever measured in 24 hours",
            QualityTest::OutOfSeason => "far above its season in other years",
            QualityTest::SpatialOutlier => "no neighbour bears it out",
            QualityTest::ClimatologicalOutlier => "far above the rainy days of its season",
            _ => "far above the next greatest",
        });
        let remarks: Vec<&str> = qualifiers.chain(doubt).collect();
        let remarks = if remarks.is_empty() { "no flag".to_owned() } else { remarks.join("; ") };
        let _ = writeln!(page, "  {:>8}  {}  {remarks}", depths.number(day.depth_mm), day.date);
    }
    if let Some(rejected) = &summary.sheet.greatest_rejected {
        let _ = writeln!(page, "  {:>8}  {}  rejected: {}", depths.number(rejected.depth_mm), rejected.date, rejected.because);
    }
    page.push('\n');
}

/// A share in whole per cent: only all is 100, only nothing is 0.
pub(super) fn percent(share: f64) -> String {
    let whole = (share * 100.0).round();
    match whole {
        100.0.. if share < 1.0 => "over 99".to_owned(),
        ..=0.0 if share > 0.0 => "under 1".to_owned(),
        whole => format!("{whole:.0}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_never_rounded_to_all_or_nothing() {
        assert_eq!([0.0, 0.001, 0.5, 0.999, 1.0].map(percent), ["0", "under 1", "50", "over 99", "100"]);
    }
}
