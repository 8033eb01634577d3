//! Totals over several days: each is put on its last day, and the days before it become part of it.
//!
//! A total stands on its last day. With a length of 2 days or more the days before become
//! [`WithinTotal`](series::Kind::WithinTotal) where they are missing. Without a length that can be used it is a total of unknown
//! length and fills nothing. No day is counted twice, so a total whose days are not free cannot fill its gap either:
//!
//! * a covered day, or the last one, has a usable reading of its own: that reading stands, the total's length is unknown; on
//!   the last day itself the total gives way;
//! * a covered day belongs to an earlier total: the earlier total stands, the later one's length is unknown.
//!
//! A rejected reading of the last day gives way to the total, and it is told.

use crate::decimal::millimetres;
use crate::finding::{Findings, Line};
use crate::station_days::told;
use series::{DailySeries, Day, Kind, MultiDayTotal, Reading, Severity};

/// Longest total that is believed. The longest in the records at hand has 31 days (shared/data/MANIFEST.md, US1MNWN0003); one of
/// more than a year is taken for a typing error. (Our choice, no source.)
pub(crate) const MOST_DAYS: i32 = 366;

/// A total that its source accepts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Total<'a> {
    /// The day it ends on.
    pub(crate) last: Day,
    /// The whole depth.
    pub(crate) micrometres: i32,
    /// Days that it covers, the last one included; nothing where that is not known.
    pub(crate) days: Option<i32>,
    /// Where it stands.
    pub(crate) line: Line<'a>,
    /// Column and width there.
    pub(crate) columns: (u32, u32),
}

/// Put a total into its place among readings that begin with `first` and hold the single days already.
pub(crate) fn put(first: Day, readings: &mut [Reading], total: &Total<'_>, findings: &mut Findings<'_>) {
    let Some(last) = usize::try_from(total.last.since(first)).ok().filter(|last| *last < readings.len()) else { return };
    // Days before the first line of the file are in no calendar; the total keeps its length all the same.
    let from = total.days.map_or(last, |days| (last + 1).saturating_sub(days as usize));
    let covered = &readings[from..=last];
    let measured = covered.iter().position(|reading| reading.is_usable());
    let taken = covered.iter().position(|reading| matches!(reading.kind(), Kind::Accumulated { .. } | Kind::WithinTotal));
    // The last day has a reading of its own, or ends a total that stood before.
    let own = readings[last].is_usable() || matches!(readings[last].kind(), Kind::Accumulated { .. });
    if let Some(at) = measured.or(taken) {
        let clash = total.last.plus((from + at) as i32 - last as i32);
        let (id, other) = if measured.is_some() {
            ("total-overlaps-measured-day", "a reading of its own")
        } else {
            ("totals-overlap", "an earlier multi-day total")
        };
        findings.at(id, Severity::Warning, total.line, total.columns, || {
            let (day, depth) = (total.last, millimetres(i64::from(total.micrometres)));
            (
                format!(
                    "found a multi-day total of {depth} mm ending on {day} over {clash}, a day with {other}; expected its days to be free"
                ),
                if own {
                    "What stands on its last day stands; the total is left out."
                } else {
                    "What stood before stands; the total is of unknown length and fills no missing day."
                },
            )
        });
        if !own {
            tell_rejected_day(readings[last], total, findings);
            readings[last] = Reading::accumulated(total.micrometres, None);
        }
        return;
    }
    for reading in readings[from..last].iter_mut().filter(|reading| reading.kind() == Kind::Missing) {
        *reading = Reading::WITHIN_TOTAL;
    }
    tell_rejected_day(readings[last], total, findings);
    readings[last] = Reading::accumulated(total.micrometres, total.days.and_then(|days| u16::try_from(days).ok()));
}

/// A rejected reading that a total takes the place of.
fn tell_rejected_day(before: Reading, total: &Total<'_>, findings: &mut Findings<'_>) {
    if !matches!(before.kind(), Kind::Rejected(_)) {
        return;
    }
    findings.at("total-over-rejected-day", Severity::Note, total.line, total.columns, || {
        let (day, depth) = (total.last, millimetres(i64::from(total.micrometres)));
        (
            format!("found a multi-day total of {depth} mm ending on {day} beside {} of that day; expected one value", told(before)),
            "The total stands; the rejected value is not counted.",
        )
    });
}

/// Identifiers of the findings that [`tell_outside`] makes.
pub(crate) const TOTALS_ONLY: &str = "totals-only";
pub(crate) const OUTSIDE: &str = "totals-outside-the-record";
/// Dates that are listed in it.
const LISTED: usize = 12;

/// Say which totals end before the first or after the last single day of a record: they are in no month of it.
pub(crate) fn tell_outside(rain: &DailySeries, findings: &mut Findings<'_>) {
    let period = rain.period();
    let inside = |total: &MultiDayTotal| period.is_some_and(|period| period.contains(total.last));
    let outside: Vec<MultiDayTotal> =
        if rain.readings_outside() == 0 { Vec::new() } else { rain.stated_totals().filter(|total| !inside(total)).collect() };
    if let ([first, ..], [.., last], None) = (outside.as_slice(), outside.as_slice(), period) {
        findings.whole(TOTALS_ONLY, Severity::Warning, || {
            let depth = millimetres(outside.iter().map(|total| total.micrometres).sum());
            let count = if outside.len() == 1 { "1 multi-day total".to_owned() } else { format!("{} multi-day totals", outside.len()) };
            (
                format!(
                    "found {count}, ending from {} to {}, {depth} mm together, and no usable single day; expected a record of days",
                    first.last, last.last
                ),
                "No day of rain is taken from them: spells and storms cannot be told from totals. Give daily readings.",
            )
        });
        return;
    }
    let after = |total: &MultiDayTotal| period.is_some_and(|period| total.last > period.last);
    let (after, before): (Vec<_>, Vec<_>) = outside.into_iter().partition(after);
    for (totals, after) in [(before, false), (after, true)] {
        let Some((first, others)) = totals.split_first() else { continue };
        findings.whole(OUTSIDE, Severity::Note, || {
            let depth = millimetres(totals.iter().map(|total| total.micrometres).sum());
            let where_they_lie = match period {
                Some(period) if after => format!("after the last single day, {}", period.last),
                Some(period) => format!("before the first single day, {}", period.first),
                None => String::new(),
            };
            let listed = others.iter().take(LISTED - 1).fold(first.last.to_string(), |list, total| format!("{list}, {}", total.last));
            let more = totals.len().saturating_sub(LISTED);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            let count = if others.is_empty() { "1 multi-day total".to_owned() } else { format!("{} multi-day totals", totals.len()) };
            (
                format!("found {count} of {depth} mm {where_they_lie} (ending on {listed}{more}); expected single days around each"),
                "They count as totals and are in no month; the record keeps its first and last single day.",
            )
        });
    }
}
