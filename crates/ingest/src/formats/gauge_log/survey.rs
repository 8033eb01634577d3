//! How a log is to be read: what its own statements, its values and the caller settle together, and the question that is left where they do not.

use super::layout::{DateColumns, Layout};
use super::rows::{self, Misfit, date_and_time};
use super::{depth, statements};
use crate::date_order::{DateOrder, OrderEvidence};
use crate::decimal::{self, DepthUnit};
use crate::error::{ORDER_BESIDE, UNIT_BESIDE};
use crate::formats::Input;
use crate::{Error, Wanted};

/// Rows of more fields are counted as of so many.
const MOST_WIDTH: usize = 64;

/// What the whole table says of how it is to be read.
#[derive(Debug, Default)]
pub(super) struct Survey {
    rows: usize,
    dates: OrderEvidence,
    /// Rows that bear the date of the row before and another time or another depth.
    same_day: usize,
    first_same_day: u32,
    /// Depths with a comma and with a point.
    commas: usize,
    points: usize,
    /// Depths above zero without a unit of their own.
    bare: usize,
    /// Fields of most rows.
    width: usize,
    /// Rows with a number behind the last column of the heading.
    overfull: usize,
    /// The first date with a year of two digits, and the first whose order is open.
    first_short: String,
    first_open: String,
    stations: Vec<Vec<u8>>,
}

impl Survey {
    pub(super) fn of(input: Input<'_>, layout: &Layout) -> Self {
        let mut survey = Self::default();
        let mut before: (Vec<u8>, Vec<u8>, Option<i64>) = Default::default();
        let mut widths: Vec<usize> = vec![0; MOST_WIDTH + 1];
        rows::each(input, layout, |row| {
            survey.rows += 1;
            widths[row.len().min(MOST_WIDTH)] += 1;
            if let Some(misfit) = rows::misfit(row, layout) {
                survey.overfull += usize::from(misfit == Misfit::TooLong);
                return;
            }
            let depth = row.get(layout.depth);
            survey.commas += usize::from(depth::has_mark(depth, b','));
            survey.points += usize::from(depth::has_mark(depth, b'.'));
            survey.bare += usize::from(depth::is_bare(depth));
            if let Some(station) = layout.station.map(|place| row.get(place)).filter(|station| !station.is_empty())
                && survey.stations.len() < 2
                && survey.stations.iter().all(|known| known != station)
            {
                survey.stations.push(station.to_vec());
            }
            let (date, time) = date_and_time(row, layout);
            if let DateColumns::One(_) | DateColumns::FirstAndLast(..) = layout.date {
                let (first, last) = statements::range(&date);
                survey.date(first);
                if let Some(last) = last {
                    survey.date(last);
                }
            }
            let number = decimal::scaled(depth, decimal::mark(depth), 1000).filter(|depth| *depth >= 0);
            let both = number.is_some() && before.2.is_some();
            if !date.is_empty() && date == before.0 && (time != before.1 || both && number != before.2) {
                survey.same_day += 1;
                if survey.first_same_day == 0 {
                    survey.first_same_day = row.line.number;
                }
            }
            before = (date, time, number);
        });
        // Of equally common widths the greater one.
        survey.width = (0..widths.len()).max_by_key(|width| widths[*width]).unwrap_or(0);
        survey
    }

    fn date(&mut self, date: &[u8]) {
        let before = (self.dates.short, self.dates.either);
        self.dates.add(date);
        if before.0 == 0 && self.dates.short > 0 {
            self.first_short = crate::finding::shown(date);
        }
        if before.1 == 0 && self.dates.either > 0 {
            self.first_open = crate::finding::shown(date);
        }
    }

    /// How the table is to be read; where that is left open, all questions at once.
    pub(super) fn decide(&self, file: &str, layout: &Layout, wanted: Wanted) -> Result<Plan, Error> {
        let mut open = self.structure(layout);
        let order = self.order(layout, wanted).map_err(|question| open.push(question));
        let mark = self.mark(layout).map_err(|question| open.push(question));
        let unit = self.unit(layout, wanted).map_err(|question| open.push(question));
        if let (Ok((order, order_why)), Ok(mark), Ok((unit, unit_why)), true) = (order, mark, unit, open.is_empty()) {
            let mark_name = if mark == b',' { "comma" } else { "point" };
            let why = format!("depths in {unit}, {unit_why}; decimal {mark_name}; {order_why}");
            return Ok(Plan { order, mark, unit, width: self.width, why });
        }
        let mut open = open.into_iter();
        let Question { found, question } = open.next().unwrap_or_default();
        let further = open.map(|other| format!("{}; {}", other.found, other.question)).collect();
        Err(Error::OpenQuestion { file: file.to_owned(), found, question, further })
    }

    /// What is open about gauges, lines and columns.
    fn structure(&self, layout: &Layout) -> Vec<Question> {
        let mut open = Vec::new();
        if let [one, other, ..] = self.stations.as_slice() {
            let (one, other) = (crate::finding::shown(one), crate::finding::shown(other));
            open.push(Question::new(
                format!("found a log of more than one gauge ({one:?}, {other:?})"),
                "which gauge is meant? Keep one gauge a file",
            ));
        }
        if RARE * self.same_day > self.rows {
            open.push(several_readings(format!(
                "found several readings on one day ({} of {} lines, the first is line {})",
                self.same_day, self.rows, self.first_same_day
            )));
        }
        if layout.delimiter == b',' && 20 * self.overfull > self.rows {
            open.push(Question::new(
                format!("found more numbers in a line than the {} columns ({} lines)", layout.columns, self.overfull),
                "is the comma the decimal mark? Put semicolons between the columns, or a point into the depths",
            ));
        }
        open
    }

    fn mark(&self, layout: &Layout) -> Result<u8, Question> {
        match (layout.stated.mark, self.commas, self.points) {
            (Some(mark), ..) => Ok(mark),
            (None, 0, _) => Ok(b'.'),
            (None, _, 0) => Ok(b','),
            (None, commas, points) => Err(Question::new(
                format!("found depths with a comma ({commas}) and depths with a point ({points})"),
                "which is the decimal mark? Write `decimal: comma` or `decimal: point` above the heading",
            )),
        }
    }

    fn unit(&self, layout: &Layout, wanted: Wanted) -> Result<(DepthUnit, &'static str), Question> {
        match (layout.stated.units.as_slice(), wanted.depth_unit) {
            ([unit], _) => Ok((*unit, "as the log states")),
            ([one, other, ..], _) => Err(Question::new(
                format!("found two units stated for the depth, {one} and {other}"),
                "which one is it? Leave only that one",
            )),
            ([], Some(unit)) => Ok((unit, "as was answered")),
            ([], None) if self.bare == 0 => Ok((DepthUnit::Millimetre, "since every depth is zero or has a unit of its own")),
            ([], None) => {
                let write = match &layout.names {
                    Some((_, depth)) => {
                        format!("Write `{depth} (mm)` or `{depth} (inches)` for `{depth}` in the heading, or `unit: mm` above it")
                    }
                    None => "Write `unit: mm` or `unit: inches` in a line above the table".to_owned(),
                };
                Err(Question::new(
                    format!("the log does not state the unit of its depths ({} of them are above zero)", self.bare),
                    format!("millimetres or inches? {write}; or {UNIT_BESIDE}"),
                ))
            }
        }
    }

    fn order(&self, layout: &Layout, wanted: Wanted) -> Result<(Option<DateOrder>, String), Question> {
        let dates = &self.dates;
        let write = |order: &str| match &layout.names {
            Some((date, _)) => format!("`{date} ({order})`"),
            None => format!("`date: {order}`"),
        };
        let place = match &layout.names {
            Some((date, _)) => format!(" for `{date}` in the heading"),
            None => " in a line above the table".to_owned(),
        };
        let all = dates.plain + dates.day_first + dates.month_first + dates.either + dates.short + dates.nothing;
        if dates.short > 0 && 10 * dates.short > all {
            let order = if layout.stated.order.is_some() { "" } else { ", and in which order" };
            return Err(Question::new(
                format!("found years of two digits ({} dates, the first is {:?})", dates.short, self.first_short),
                format!("which century{order}? Write the years with four digits"),
            ));
        }
        if dates.needs_none() {
            return Ok((None, "dates that mean one day only".to_owned()));
        }
        match (layout.stated.order, dates.shown(), wanted.date_order) {
            (Some(stated), Some(shown), _) if stated != shown => Err(Question::new(
                format!("the log states dates as {stated}, and its days above 12 show {shown}"),
                format!("which one is it? Correct the log: {}{place} says what its days show", write(&shown.to_string())),
            )),
            (Some(order), ..) => Ok((Some(order), format!("dates as {order}, as the log states"))),
            (None, Some(order), _) => Ok((Some(order), format!("dates as {order}, as days above 12 show"))),
            (None, None, Some(order)) => Ok((Some(order), format!("dates as {order}, as was answered"))),
            (None, None, None) if dates.all_dotted() => {
                Ok((Some(DateOrder::DayMonthYear), format!("dates as {}, as points between them mean", DateOrder::DayMonthYear)))
            }
            (None, None, None) => Err(Question::new(
                format!(
                    "found dates that may be day/month/year or month/day/year ({} of them, the first is {:?}), and nothing that settles it",
                    dates.either, self.first_open
                ),
                format!("which order is it? Write {} or {}{place}; or {ORDER_BESIDE}", write("day/month/year"), write("month/day/year")),
            )),
        }
    }
}

/// A log with second readings on more than one of so many days is no log of a line a day (our choice, no source).
pub(super) const RARE: usize = 20;

fn several_readings(found: String) -> Question {
    Question::new(found, "what is the day's rain? Write one line a day with the sum of its readings")
}

/// The question that is left where days that do not follow one another have second readings too.
pub(super) fn second_readings(file: &str, (days, differing): (usize, usize)) -> Option<Error> {
    (RARE * differing > days).then(|| {
        let Question { found, question } =
            several_readings(format!("found a second reading with another depth on {differing} of {days} days"));
        Error::OpenQuestion { file: file.to_owned(), found, question, further: Vec::new() }
    })
}

/// Something that the log leaves open.
#[derive(Debug, Default)]
struct Question {
    found: String,
    question: String,
}

impl Question {
    fn new(found: impl Into<String>, question: impl Into<String>) -> Self {
        Self { found: found.into(), question: question.into() }
    }
}

/// How the table is read.
pub(super) struct Plan {
    pub(super) order: Option<DateOrder>,
    pub(super) mark: u8,
    pub(super) unit: DepthUnit,
    /// Fields of most rows.
    pub(super) width: usize,
    pub(super) why: String,
}
