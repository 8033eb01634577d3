//! What a careful person should know of a record, in sentences for a terminal.

use super::record_tables::percent;
use super::{Depths, MONTHS};
use assess::RecordCaution;

/// A caution in a sentence or two.
pub(super) fn in_words(caution: &RecordCaution, depths: Depths) -> String {
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
        RecordCaution::PositionUnknown => "Where the gauge stands is not told; a station list (--station-list) would say.".to_owned(),
        RecordCaution::DaysInTheFuture { days, last } => {
            format!(
                "{days} usable {} after today, the last on {last}: no gauge has read {} yet.",
                if *days == 1 { "day lies" } else { "days lie" },
                if *days == 1 { "it" } else { "them" }
            )
        }
        RecordCaution::QualityFindings { findings, rejected_days } => {
            let found = if *findings == 1 { "1 thing".to_owned() } else { format!("{findings} things") };
            let rejected = match rejected_days {
                0 => "and reject no day".to_owned(),
                1 => "and reject 1 day".to_owned(),
                days => format!("and reject {days} days"),
            };
            format!("The quality tests found {found} {rejected}: see above.")
        }
        RecordCaution::Finding { id, count, told } => finding(id, *count, told.as_deref()),
        RecordCaution::PresumedZeros { days, share } => format!(
            "On {days} days ({} % of the usable ones) nothing was reported and the archive took it for no rain. If it rained then, dry spells are too long and totals too low here.",
            percent(*share)
        ),
        RecordCaution::TotalsOfUnknownLength { totals, depth_mm } => format!(
            "{totals} multi-day {} of unknown length, {} together, lie in no month for certain and fill no missing day.",
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

/// A finding of a reader, with how often it was found or what it tells itself.
fn finding(id: &str, count: usize, told: Option<&str>) -> String {
    let days = |one: &str, many: &str| if count == 1 { format!("On 1 day {one}") } else { format!("On {count} days {many}") };
    let same = |text: &str| days(text, text);
    let text = match id {
        "day-stated-twice" => same("a second, different value is stated; the first usable one stands."),
        "second-report-differs" => same("the file states two values that differ; one was taken by rule, the other left."),
        "several-reports" => {
            "Reports of several observers or instruments stand in it; of each day one was taken, none are added up.".to_owned()
        }
        "file-cut-short" => "Its file breaks off before its own end: later days may be lost.".to_owned(),
        "value-impossible" => same("the value was no possible depth of rain, and was rejected."),
        "value-unreadable" => same("the value could not be read, and was rejected."),
        "line-unreadable" if count == 1 => "1 line of its file could not be read, or not to its end: a day may be lost.".to_owned(),
        "line-unreadable" => format!("{count} lines of its file could not be read, or not to their end: days may be lost."),
        "days-stated-twice" => "Some of its days bear two readings; the first stands, and the other's rain is not in it.".to_owned(),
        "totals-only" => {
            "It holds totals over several days and no day's own rain: neither spells nor storms can be taken from it.".to_owned()
        }
        "code-for-missing" => same("a number that is used for missing days was taken as one."),
        "dates-leave-a-question" => "Its dates leave a question open.".to_owned(),
        "day-that-never-was" => format!(
            "{count} {} a day that never was, such as 30 February.",
            if count == 1 { "value stands on" } else { "values stand each on" }
        ),
        "total-flagged" => {
            format!("{count} multi-day {} rejected by the source's own flag.", if count == 1 { "total was" } else { "totals were" })
        }
        "nothing-reported" => same("a zero stands where nothing was reported; they are missing here, not dry."),
        "accumulated-and-estimated" => same("the source marks the depth as accumulated: it may hold rain of the days before."),
        "deposition-of-much" => same("much rain is marked as dew or rime: perhaps it is part of a multi-day total."),
        "series-of-several-sources" => "It is put together from several gauges; a break may stand where one follows another.".to_owned(),
        "station-moved" => "Its gauge stood in several places; a break may stand where it was moved.".to_owned(),
        "days-without-a-row" => "Its files leave out days without saying whether they were dry; they are missing here.".to_owned(),
        "day-definition-differs" => "Its files disagree on which 24 hours a date means.".to_owned(),
        "day-begins-at-several-hours" => "Its days do not all begin at one hour.".to_owned(),
        "observation-hour-varies" => "It was read at more than one hour of the day.".to_owned(),
        "days-not-reviewed" => "Not all of its values were reviewed by their source.".to_owned(),
        "quality-level-unchecked" => same("nobody has checked the value yet."),
        "precipitation-as-snow" => same("its source notes snow, or snow with rain; the depth is its water."),
        other => format!("{other}: {count}."),
    };
    match told {
        Some(told) => format!("{text} Told by the reader: {told}."),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_weighty_finding_has_words() {
        for id in assess::weighty_kinds() {
            for count in [1, 7] {
                let text = finding(id, count, None);
                assert!(text.ends_with('.') && !text.contains(id), "{text}");
            }
        }
        assert_eq!(finding("second-report-differs", 187, None).split_whitespace().nth(1), Some("187"));
    }
}
