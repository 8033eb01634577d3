//! MDPR and DAPR of the Global Historical Climatology Network: a total over several days, and how many days it covers, paired by the day
//! that they stand on; the same in each of its layouts.
//!
//! Source: GHCN-Daily readme 3.26, section III. A quality flag rejects a total, or leaves its length unknown where it is the length that
//! bears it. A length without a total is no value. Where the totals then go: [`crate::multi_day_totals`].

use super::ghcn::failed_check;
use crate::believed;
use crate::decimal::millimetres;
use crate::finding::{Findings, Line};
use crate::multi_day_totals::MOST_DAYS;
use series::{Day, Reading, Rejection, Severity};

/// A total or a length, as a file states it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Amount<'a> {
    pub(super) day: Day,
    /// Micrometres of a total, days of a length; nothing for what does not read, which is told where it is read.
    pub(super) value: Option<i64>,
    /// A blank for none.
    pub(super) quality: u8,
    pub(super) line: Line<'a>,
    /// Column and width of the value and of its quality flag.
    pub(super) value_columns: (u32, u32),
    pub(super) quality_columns: (u32, u32),
}

/// A total with its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Paired {
    /// Micrometres, and days where they are known.
    Accepted(i32, Option<i32>),
    /// The reading that stands on its day where nothing else does.
    Rejected(Reading),
}

/// Each total with what it is; both lists in the order of time. Of two totals of a day the first takes the first length.
pub(super) fn pair<'t, 'a>(totals: &'t [Amount<'a>], lengths: &[Amount<'_>], findings: &mut Findings<'_>) -> Vec<(&'t Amount<'a>, Paired)> {
    let mut lengths = lengths.iter().peekable();
    let mut pairs = Vec::with_capacity(totals.len());
    for total in totals {
        while let Some(alone) = lengths.next_if(|length| length.day < total.day) {
            tell_length_alone(alone, findings);
        }
        let length = lengths.next_if(|length| length.day == total.day);
        pairs.push((total, paired(total, length, findings)));
    }
    lengths.for_each(|alone| tell_length_alone(alone, findings));
    pairs
}

/// What a total is with the length of its day.
pub(super) fn paired(total: &Amount<'_>, length: Option<&Amount<'_>>, findings: &mut Findings<'_>) -> Paired {
    let (day, quality) = (total.day, total.quality);
    match total.value {
        None => Paired::Rejected(Reading::rejected(0, Rejection::Unreadable)),
        Some(depth) if quality != b' ' => {
            findings.meaning_of(quality, failed_check(quality));
            findings.at("total-flagged", Severity::Warning, total.line, total.quality_columns, || {
                let (depth, letter, check) = (millimetres(depth), char::from(quality), failed_check(quality));
                (
                    format!(
                        "found a multi-day total of {depth} mm on {day} with the quality flag {letter} ({check}), expected no quality flag"
                    ),
                    "The total is rejected; the days it covers stay as they are.",
                )
            });
            Paired::Rejected(Reading::rejected(believed::held(depth), Rejection::QualityFlag(quality)))
        }
        Some(depth) if depth < 0 => {
            findings.at("value-impossible", Severity::Warning, total.line, total.value_columns, || {
                let depth = millimetres(depth);
                (format!("found a multi-day total of {depth} mm on {day}, expected 0 mm or more, or -9999"), "The total is rejected.")
            });
            Paired::Rejected(Reading::rejected(believed::held(depth), Rejection::Impossible))
        }
        Some(depth) => {
            let days = days(total, length, findings);
            let most = believed::most_of_days(days);
            match i32::try_from(depth) {
                Ok(depth) if depth <= most => Paired::Accepted(depth, days),
                _ => {
                    findings.at("value-impossible", Severity::Warning, total.line, total.value_columns, || {
                        let (depth, most) = (millimetres(depth), most / 1000);
                        (
                            format!("found a multi-day total of {depth} mm on {day}, expected 0 to {most} mm, or -9999"),
                            "The total is rejected.",
                        )
                    });
                    Paired::Rejected(Reading::rejected(believed::held(depth), Rejection::Impossible))
                }
            }
        }
    }
}

/// How many days the total covers, where that can be used.
fn days(total: &Amount<'_>, length: Option<&Amount<'_>>, findings: &mut Findings<'_>) -> Option<i32> {
    const MOST: i64 = MOST_DAYS as i64;
    let why = match length.map(|length| (length.value, length.quality)) {
        Some((Some(days @ 2..=MOST), b' ')) => return Some(days as i32),
        Some((Some(days), b' ')) => format!("a DAPR of {days}"),
        Some((None, _)) => "a DAPR that does not read".to_owned(),
        Some((_, quality)) => format!("a DAPR with the quality flag {}", char::from(quality)),
        None => "no DAPR".to_owned(),
    };
    let place = length.unwrap_or(total);
    findings.at("total-of-unknown-length", Severity::Note, place.line, place.value_columns, || {
        (
            format!("found {why} to the multi-day total of {}, expected a length of 2 to {MOST_DAYS} days", total.day),
            "It is a total of unknown length and fills no missing day.",
        )
    });
    None
}

/// A length on a day without a total.
pub(super) fn tell_length_alone(length: &Amount<'_>, findings: &mut Findings<'_>) {
    findings.at("total-length-without-total", Severity::Note, length.line, length.value_columns, || {
        (format!("found a DAPR on {} without an MDPR, expected both", length.day), "No value follows from a length alone.")
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(day: i32, value: impl Into<Option<i32>>, quality: u8) -> Amount<'static> {
        let line = Line { number: day as u32, text: b"" };
        let columns = (27, 2);
        let day = Day::first_of_year(2001).plus(day);
        Amount { day, value: value.into().map(i64::from), quality, line, value_columns: columns, quality_columns: columns }
    }

    #[test]
    fn a_total_takes_the_length_of_its_day() {
        let mut findings = Findings::new("x");
        let totals = [
            amount(3, 9000, b' '),
            amount(6, 8000, b' '),
            amount(9, 7000, b'L'),
            amount(12, -100, b' '),
            amount(15, None, b' '),
            amount(18, 100, b' '),
            amount(18, 200, b' '),
            amount(21, 300, b' '),
            // 10.1 m of unknown length, and 4.1 m in two days.
            amount(24, 10_100_000, b' '),
            amount(27, 4_100_000, b' '),
        ];
        let lengths = [
            amount(2, 2, b' '),
            amount(3, 3, b' '),
            amount(9, 2, b' '),
            amount(18, 1, b' '),
            amount(21, 4, b'L'),
            amount(27, 2, b' '),
            amount(30, 2, b' '),
        ];
        let found: Vec<Paired> = pair(&totals, &lengths, &mut findings).into_iter().map(|(_, paired)| paired).collect();
        let rejected = |value, why| Paired::Rejected(Reading::rejected(value, why));
        assert_eq!(
            found,
            [
                Paired::Accepted(9000, Some(3)),
                Paired::Accepted(8000, None),
                rejected(7000, Rejection::QualityFlag(b'L')),
                rejected(-100, Rejection::Impossible),
                rejected(0, Rejection::Unreadable),
                Paired::Accepted(100, None),
                Paired::Accepted(200, None),
                Paired::Accepted(300, None),
                rejected(10_100_000, Rejection::Impossible),
                rejected(4_100_000, Rejection::Impossible),
            ]
        );
        let count = |id| findings.list.count(id);
        assert_eq!((count("total-length-without-total"), count("total-of-unknown-length")), (2, 5));
        assert_eq!((count("total-flagged"), count("value-impossible"), findings.list.total()), (1, 3, 11));
    }
}
