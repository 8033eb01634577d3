//! Totals over several days: each is put on its last day, and the days before it become part of it.
//!
//! A total stands on its last day. With a length of 2 days or more the days before become
//! [`WithinTotal`](series::Kind::WithinTotal) where they are missing. Without a length that can be used it is a total of unknown
//! length and fills nothing. No day is counted twice, so a total whose days are not free cannot fill its gap either:
//!
//! * a covered day, or the last one, has a usable reading of its own: that reading stands, the total's length is unknown; on
//!   the last day itself the total gives way;
//! * a covered day belongs to an earlier total: the earlier total stands, the later one's length is unknown.

use crate::decimal::millimetres;
use crate::finding::{Findings, Line};
use series::{Day, Kind, Reading, Severity};

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
            readings[last] = Reading::accumulated(total.micrometres, None);
        }
        return;
    }
    for reading in readings[from..last].iter_mut().filter(|reading| reading.kind() == Kind::Missing) {
        *reading = Reading::WITHIN_TOTAL;
    }
    readings[last] = Reading::accumulated(total.micrometres, total.days.and_then(|days| u16::try_from(days).ok()));
}
