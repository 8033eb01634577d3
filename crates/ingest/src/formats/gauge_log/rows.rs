//! The rows of a gauge log: date, depth, days covered, note.

use super::layout::{DateColumns, Layout};
use super::survey::Plan;
use super::{depth, statements, vocabulary};
use crate::date::{self, DateFault};
use crate::date_order::{self, DateOrder};
use crate::delimited::{Row, Rows};
use crate::fields;
use crate::formats::Input;
use crate::station_days::{Place, StationDays};
use depth::Depth;
use series::{Day, Qualifier, Reading, Rejection, Severity};

/// Every row of the table that is no comment.
pub(super) fn each(input: Input<'_>, layout: &Layout, mut take: impl FnMut(&Row<'_, '_>)) {
    let mut rows = Rows::new(input.bytes, layout.delimiter);
    while let Some(row) = rows.next_row() {
        if row.line.number >= layout.first_line && !statements::is_comment(row.line.text) && row.fields().any(|field| !field.is_empty()) {
            take(&row);
        }
    }
}

/// The date and the time of a row as they stand; the three columns of a date joined as year-month-day.
pub(super) fn date_and_time(row: &Row<'_, '_>, layout: &Layout) -> (Vec<u8>, Vec<u8>) {
    let own_time = layout.time.map(|place| row.get(place));
    match layout.date {
        DateColumns::One(place) | DateColumns::FirstAndLast(_, place) => {
            let (date, time) = statements::split_time(row.get(place));
            (date.to_vec(), own_time.unwrap_or(time).to_vec())
        }
        DateColumns::Three { year, month, day } => {
            ([row.get(year), row.get(month), row.get(day)].join(&b'-'), own_time.unwrap_or_default().to_vec())
        }
    }
}

/// First day (where it is stated) and last day of a row.
fn days_of(row: &Row<'_, '_>, layout: &Layout, order: Option<DateOrder>) -> Result<(Option<Day>, Day), DateFault> {
    match layout.date {
        DateColumns::One(_) => {
            let (date, _) = date_and_time(row, layout);
            match statements::range(&date) {
                (first, Some(last)) => Ok((Some(date_order::day(first, order)?), date_order::day(last, order)?)),
                (only, None) => Ok((None, date_order::day(only, order)?)),
            }
        }
        DateColumns::FirstAndLast(first, last) => {
            let last = date_order::day(row.get(last), order)?;
            let first = row.get(first);
            Ok((if first.is_empty() { None } else { Some(date_order::day(first, order)?) }, last))
        }
        DateColumns::Three { year, month, day } => {
            let month = row.get(month);
            let month = fields::whole(month).or_else(|| date::month_of_name(month));
            Ok((None, date::of_parts(fields::whole(row.get(year)), month, fields::whole(row.get(day)))?))
        }
    }
}

/// Why a row is not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Misfit {
    /// The line ends within the quotes of its date or depth.
    CutShort,
    /// Dates or numbers behind the columns of the heading: two lines in one, or a comma within a number.
    TooLong,
}

/// Whether a row can be read by the columns of the heading. A person's rows may be shorter, where what is not there stands behind the depth,
/// and a note may have the delimiter in it.
pub(super) fn misfit(row: &Row<'_, '_>, layout: &Layout) -> Option<Misfit> {
    let last = match layout.date {
        DateColumns::One(place) => place,
        DateColumns::FirstAndLast(one, other) => one.max(other),
        DateColumns::Three { year, month, day } => year.max(month).max(day),
    };
    let begins_with_digit = |place: usize| row.get(place).first().is_some_and(u8::is_ascii_digit);
    if row.quote_is_open() && row.len() <= layout.depth.max(last) + 1 {
        Some(Misfit::CutShort)
    } else if (layout.columns..row.len()).any(begins_with_digit) {
        Some(Misfit::TooLong)
    } else {
        None
    }
}

fn tell_misfit(misfit: Misfit, row: &Row<'_, '_>, layout: &Layout, days: &mut StationDays<'_>) {
    match misfit {
        Misfit::CutShort => days.findings.at("row-cut-short", Severity::Warning, row.line, row.columns(row.len() - 1), || {
            ("found a quote that is never closed, expected a date and a depth".to_owned(), "The row is not read.")
        }),
        Misfit::TooLong => days.findings.at("row-too-long", Severity::Warning, row.line, row.columns(layout.columns), || {
            (
                format!("found numbers behind the {} columns of the table; expected none: perhaps two lines in one", layout.columns),
                "The row is not read.",
            )
        }),
    }
}

/// A last row that ends without a line end, with its depth, and before the others do: perhaps within the depth.
fn tell_cut(row: &Row<'_, '_>, layout: &Layout, width: usize, days: &mut StationDays<'_>) {
    days.findings.at("last-row-shorter", Severity::Note, row.line, row.columns(layout.depth), || {
        let found = row.len();
        (
            format!("found a last line of {found} fields that ends with its depth, expected {width} as in the others: perhaps cut short"),
            "The depth is read as it stands; look whether it is whole.",
        )
    });
}

/// One row into the days of the log.
pub(super) fn read(input: Input<'_>, row: &Row<'_, '_>, layout: &Layout, plan: &Plan, days: &mut StationDays<'_>) {
    if let Some(misfit) = misfit(row, layout) {
        return tell_misfit(misfit, row, layout, days);
    }
    let ends_the_file = row.line.text.as_ptr_range().end == input.bytes.as_ptr_range().end;
    if ends_the_file && row.len() == layout.depth + 1 && row.len() < plan.width {
        tell_cut(row, layout, plan.width, days);
    }
    let place = match layout.date {
        DateColumns::One(place) | DateColumns::FirstAndLast(_, place) | DateColumns::Three { day: place, .. } => place,
    };
    let (first, last) = match days_of(row, layout, plan.order) {
        Ok(days) => days,
        Err(fault) => {
            let expected = plan.order.map_or_else(|| "a date".to_owned(), |order| format!("a date as {order}"));
            return days.findings.date(row.line, row.columns(place), row.get(place), fault, &expected);
        }
    };
    let (field, at) = (row.get(layout.depth), row.columns(layout.depth));
    let reading = match depth::read(field, plan.mark, plan.unit) {
        Depth::Missing => return,
        Depth::NotRead => {
            days.findings.at("reading-not-made", Severity::Note, row.line, at, || {
                let found = crate::finding::shown(field);
                (format!("found {found:?} for the rain of {last}, expected a depth"), "The day is missing. A dry day is written 0 or nil.")
            });
            return;
        }
        Depth::Nines => {
            days.findings.at("code-for-missing", Severity::Warning, row.line, at, || {
                let found = crate::finding::shown(field);
                (
                    format!("found {found:?} for the rain of {last}, the common code for a missing value; expected a depth"),
                    "The day is missing. A dry day is written 0 or nil.",
                )
            });
            return;
        }
        Depth::Unreadable => {
            days.findings.unreadable(row.line, at, "rain", last, field);
            Reading::rejected(0, Rejection::Unreadable)
        }
        Depth::Impossible(micrometres) => {
            days.findings.at("value-impossible", Severity::Warning, row.line, at, || {
                let found = crate::finding::shown(field);
                (format!("found {found:?} for the rain of {last}, expected 0 to {} mm", depth::MOST / 1000), "The value is rejected.")
            });
            Reading::rejected(micrometres, Rejection::Impossible)
        }
        Depth::Trace => Reading::TRACE,
        Depth::Measured(micrometres) => {
            let note = layout.note.map(|place| vocabulary::words(&String::from_utf8_lossy(row.get(place)))).unwrap_or_default();
            let estimated = note.iter().any(|word| vocabulary::ESTIMATED.iter().any(|start| word.starts_with(start)));
            let reading = Reading::measured(micrometres);
            if estimated { reading.qualified(Qualifier::Estimated.into()) } else { reading }
        }
    };
    let (_, time) = date_and_time(row, layout);
    if reading.is_usable() && !time.is_empty() {
        days.observation_times.add(last, &time);
    }
    let place = Place::new(row.line, at);
    let of_column = || layout.days.map(|place| row.get(place)).filter(|days| !days.is_empty()).map(depth::days);
    let length = match first {
        Some(first) => Some(last.since(first) + 1),
        None => of_column().or_else(|| of_note(row, layout, last, reading, days)),
    };
    match length {
        None | Some(1) => days.day(last, reading, place),
        _ if !reading.is_usable() => days.day(last, reading, place),
        Some(length) => days.total(last, reading.stated_micrometres() as i32, Some(length), place),
    }
}

/// How many days a depth covers by its note, which is told.
fn of_note(row: &Row<'_, '_>, layout: &Layout, last: Day, reading: Reading, days: &mut StationDays<'_>) -> Option<i32> {
    let place = layout.note?;
    let count = vocabulary::days_of_note(&String::from_utf8_lossy(row.get(place)))?;
    if reading.is_usable() {
        days.findings.at("days-told-by-note", Severity::Note, row.line, row.columns(place), || {
            let found = crate::finding::shown(row.get(place));
            (
                format!("found the note {found:?} beside the rain of {last}"),
                "The depth is read as a total over so many days, up to its date.",
            )
        });
    }
    Some(count)
}
