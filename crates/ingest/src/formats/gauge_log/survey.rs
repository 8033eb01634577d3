//! How a log is to be read: what its own statements, its values and the caller settle together, and the question that is left where they do not.

use super::layout::{DateColumns, Layout};
use super::{HEADING, date_and_time, depth, each_row, statements};
use crate::date_order::{DateOrder, OrderEvidence};
use crate::decimal::DepthUnit;
use crate::error::{ORDER_BESIDE, UNIT_BESIDE};
use crate::formats::Input;
use crate::{Error, Wanted};

/// What the whole table says of how it is to be read.
#[derive(Debug, Default)]
pub(super) struct Survey {
    rows: usize,
    dates: OrderEvidence,
    /// Rows that bear the date of the row before, and of them those at another time.
    same_day: usize,
    same_day_other_time: usize,
    first_same_day: u32,
    /// Depths with a comma and with a point.
    commas: usize,
    points: usize,
    /// Depths above zero without a unit of their own.
    bare: usize,
    /// Rows with a number behind the last column of the heading.
    overfull: usize,
    stations: Vec<Vec<u8>>,
}

impl Survey {
    pub(super) fn of(input: Input<'_>, layout: &Layout) -> Self {
        let mut survey = Self::default();
        let mut before: (Vec<u8>, Vec<u8>) = Default::default();
        each_row(input, layout, |row| {
            survey.rows += 1;
            let depth = row.get(layout.depth);
            survey.commas += usize::from(depth::has_mark(depth, b','));
            survey.points += usize::from(depth::has_mark(depth, b'.'));
            survey.bare += usize::from(depth::is_bare(depth));
            survey.overfull += usize::from((layout.columns..row.len()).any(|place| row.get(place).first().is_some_and(u8::is_ascii_digit)));
            if let Some(station) = layout.station.map(|place| row.get(place)).filter(|station| !station.is_empty())
                && survey.stations.len() < 2
                && survey.stations.iter().all(|known| known != station)
            {
                survey.stations.push(station.to_vec());
            }
            let (date, time) = date_and_time(row, layout);
            if let DateColumns::One(_) | DateColumns::FirstAndLast(..) = layout.date {
                let (first, last) = statements::range(&date);
                survey.dates.add(first);
                if let Some(last) = last {
                    survey.dates.add(last);
                }
            }
            if !date.is_empty() && date == before.0 {
                survey.same_day += 1;
                survey.same_day_other_time += usize::from(time != before.1);
                if survey.first_same_day == 0 {
                    survey.first_same_day = row.line.number;
                }
            }
            before = (date, time);
        });
        survey
    }

    pub(super) fn decide(&self, file: &str, layout: &Layout, wanted: Wanted) -> Result<Plan, Error> {
        let ask = |found: String, question: String| Err(Error::OpenQuestion { file: file.to_owned(), found, question });
        if let [one, other, ..] = self.stations.as_slice() {
            let (one, other) = (crate::finding::shown(one), crate::finding::shown(other));
            return ask(
                format!("found a log of more than one gauge ({one:?}, {other:?})"),
                "which gauge is meant? Keep one gauge a file".to_owned(),
            );
        }
        if 5 * self.same_day > self.rows || 20 * self.same_day_other_time > self.rows {
            return ask(
                format!(
                    "found several readings on one day ({} of {} lines, the first is line {})",
                    self.same_day, self.rows, self.first_same_day
                ),
                "what is the day's rain? Write one line a day with the sum of its readings".to_owned(),
            );
        }
        if layout.delimiter == b',' && 20 * self.overfull > self.rows {
            return ask(
                format!("found more numbers in a line than the {} columns ({} lines)", layout.columns, self.overfull),
                "is the comma the decimal mark? Put semicolons between the columns, or a point into the depths".to_owned(),
            );
        }
        let (order, order_why) = self.order(file, layout, wanted)?;
        let mark = match (layout.stated.mark, self.commas, self.points) {
            (Some(mark), ..) => mark,
            (None, 0, _) => b'.',
            (None, _, 0) => b',',
            (None, commas, points) => {
                return ask(
                    format!("found depths with a comma ({commas}) and depths with a point ({points})"),
                    "which is the decimal mark? Write `decimal: comma` or `decimal: point` above the heading".to_owned(),
                );
            }
        };
        let (unit, unit_why) = match (layout.stated.units.as_slice(), wanted.depth_unit) {
            ([unit], _) => (*unit, "as the log states"),
            ([one, other, ..], _) => {
                return ask(
                    format!("found two units stated for the depth, {one} and {other}"),
                    "which one is it? Leave only that one".to_owned(),
                );
            }
            ([], Some(unit)) => (unit, "as was answered"),
            ([], None) if self.bare == 0 => (DepthUnit::Millimetre, "since every depth is zero or has a unit of its own"),
            ([], None) => {
                return ask(
                    format!("the log does not state the unit of its depths ({} of them are above zero)", self.bare),
                    format!(
                        "millimetres or inches? Write it into the heading, such as {HEADING}, or `unit: mm` above it; or {UNIT_BESIDE}"
                    ),
                );
            }
        };
        let mark_name = if mark == b',' { "comma" } else { "point" };
        let why = format!("depths in {unit}, {unit_why}; decimal {mark_name}; {order_why}");
        Ok(Plan { order, mark, unit, why })
    }

    fn order(&self, file: &str, layout: &Layout, wanted: Wanted) -> Result<(Option<DateOrder>, String), Error> {
        let ask = |found: String, question: &str, beside: &str| {
            Err(Error::OpenQuestion { file: file.to_owned(), found, question: format!("{question}, such as {HEADING}{beside}") })
        };
        let dates = &self.dates;
        let all = dates.plain + dates.day_first + dates.month_first + dates.either + dates.short + dates.nothing;
        if dates.short > 0 && 10 * dates.short > all {
            return ask(
                format!("found years of two digits ({} dates)", dates.short),
                "which century, and in which order? Write four digits, and the order in the heading",
                "",
            );
        }
        if dates.needs_none() {
            return Ok((None, "dates that mean one day only".to_owned()));
        }
        match (layout.stated.order, dates.shown(), wanted.date_order) {
            (Some(stated), Some(shown), _) if stated != shown => ask(
                format!("the log states dates as {stated}, and its days above 12 show {shown}"),
                "which one is it? Correct the heading",
                "",
            ),
            (Some(order), ..) => Ok((Some(order), format!("dates as {order}, as the log states"))),
            (None, Some(order), _) => Ok((Some(order), format!("dates as {order}, as days above 12 show"))),
            (None, None, Some(order)) => Ok((Some(order), format!("dates as {order}, as was answered"))),
            (None, None, None) => ask(
                format!("found dates that may be day/month/year or month/day/year ({} of them), and nothing that settles it", dates.either),
                "which order is it? Write it into the heading",
                &format!("; or {ORDER_BESIDE}"),
            ),
        }
    }
}

/// How the table is read.
pub(super) struct Plan {
    pub(super) order: Option<DateOrder>,
    pub(super) mark: u8,
    pub(super) unit: DepthUnit,
    pub(super) why: String,
}
