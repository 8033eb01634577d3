//! Which findings of the readers a careful person should know of before using a record, the gravest first.
//!
//! A reader tells much that changes nothing: a flag that it does not know, a line that is too long. The kinds below bear on what the rain of
//! the record is; which they are is our choice (common practice, no source).

use crate::record_cautions::RecordCaution;
use series::{Diagnostic, Diagnostics};

/// The kinds, by their identifier.
const WEIGHTY: [&str; 25] = [
    // A day is stated twice, or by two observers.
    "day-stated-twice",
    "days-stated-twice",
    "second-report-differs",
    "several-reports",
    // Values or lines are lost.
    "file-cut-short",
    "totals-only",
    "value-impossible",
    "code-for-missing",
    "value-unreadable",
    "line-unreadable",
    "dates-leave-a-question",
    "day-that-never-was",
    "total-flagged",
    "nothing-reported",
    // A value may be more or less than one day's rain of one gauge.
    "accumulated-and-estimated",
    "deposition-of-much",
    "series-of-several-sources",
    "station-moved",
    "days-without-a-row",
    // The hours of a day are not one.
    "day-definition-differs",
    "day-begins-at-several-hours",
    "observation-hour-varies",
    // Nobody has looked at the values.
    "days-not-reviewed",
    "quality-level-unchecked",
    // What fell.
    "precipitation-as-snow",
];

/// The weighty findings of a record, the gravest kind first.
pub(crate) fn weighty_findings(diagnostics: &Diagnostics) -> Vec<RecordCaution> {
    let of = |id: &&'static str| {
        if *id == "line-unreadable" {
            // Readers tell a line that they could not read by what is wrong with it.
            let count = ingest::LINES_NOT_READ.iter().map(|kind| diagnostics.count(kind)).sum();
            return (count > 0).then_some(RecordCaution::Finding { id, count, told: None });
        }
        let count = diagnostics.count(id);
        let first: Option<&Diagnostic> = diagnostics.list.iter().find(|found| found.id == *id);
        let first = first.filter(|_| count > 0)?;
        // A finding without a line is one of the whole record and tells its figures itself.
        let whole = first.line.is_none().then(|| first.message.clone());
        Some(RecordCaution::Finding { id, count, told: whole })
    };
    WEIGHTY.iter().filter_map(of).collect()
}

/// The kinds that may come, for whoever puts them into words.
pub fn weighty_kinds() -> &'static [&'static str] {
    &WEIGHTY
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::Severity;

    #[test]
    fn the_weightiest_kinds_come_first_with_their_counts() {
        let mut found = Diagnostics::default();
        for line in 1..=60 {
            found.push(Diagnostic::new("precipitation-as-snow", Severity::Note, "snow").at_line(line));
        }
        found.push(Diagnostic::new("line-trimmed", Severity::Note, "nothing to know").at_line(1));
        found.push(Diagnostic::new("station-moved", Severity::Note, "found 3 places"));
        found.push(Diagnostic::new("second-report-differs", Severity::Note, "differs").at_line(9));
        found.push(Diagnostic::new("row-cut-short", Severity::Warning, "cut").at_line(70));
        found.push(Diagnostic::new("line-unreadable", Severity::Warning, "spoilt").at_line(71));
        let expected = [
            RecordCaution::Finding { id: "second-report-differs", count: 1, told: None },
            RecordCaution::Finding { id: "line-unreadable", count: 2, told: None },
            RecordCaution::Finding { id: "station-moved", count: 1, told: Some("found 3 places".to_owned()) },
            RecordCaution::Finding { id: "precipitation-as-snow", count: 60, told: None },
        ];
        assert_eq!(weighty_findings(&found), expected);
    }
}
