//! What is told of a day that is stated more than once, and a reading in words.

use super::Value;
use crate::decimal::millimetres;
use crate::finding::{Findings, Line};
use series::{Kind, Reading, Rejection, Severity};

#[cold]
pub(super) fn tell_second_value(later: &Value, stands: &Value, findings: &mut Findings<'_>) {
    let line = Line { number: later.line, text: b"" };
    let columns = Some((u32::from(later.column), 1));
    if later.reading == stands.reading {
        findings.at("day-stated-again", Severity::Note, line, columns, || {
            (
                format!("found {} a second time with the same value; expected one line a day (line {})", later.day, stands.line),
                "It is counted once.",
            )
        });
    } else {
        findings.at("day-stated-twice", Severity::Warning, line, columns, || {
            let (one, other) = (told(stands.reading), told(later.reading));
            (
                format!("found a second value for {}: {other}, expected one (line {}: {one})", later.day, stands.line),
                match (stands.reading.is_usable(), matches!(later.reading.kind(), Kind::Rejected(_))) {
                    (true, true) => "The usable value stands; the rejected one is not counted.",
                    _ => "The first value stands; this one is not read.",
                },
            )
        });
    }
}

#[cold]
pub(super) fn tell_second_report(later: &Value, stands: &Value, findings: &mut Findings<'_>) {
    findings.at("second-report-differs", Severity::Note, Line { number: later.line, text: b"" }, None, || {
        let (one, other) = (told(stands.reading), told(later.reading));
        (
            format!("found two reports of {}: {one} (line {}) and {other}; expected them to agree", later.day, stands.line),
            "The report that goes before by the format's rule stands; nothing is added up.",
        )
    });
}

/// A reading in words, for a finding.
pub(crate) fn told(reading: Reading) -> String {
    let depth = millimetres(reading.stated_micrometres());
    match reading.kind() {
        Kind::Measured => format!("{depth} mm"),
        Kind::Trace => "a trace".to_owned(),
        Kind::Accumulated { .. } => format!("a multi-day total of {depth} mm"),
        Kind::WithinTotal => "a part of a total".to_owned(),
        Kind::Missing => "nothing".to_owned(),
        Kind::Rejected(Rejection::Unreadable) => "a value that cannot be read".to_owned(),
        Kind::Rejected(why) => format!("{depth} mm rejected ({why})"),
    }
}
