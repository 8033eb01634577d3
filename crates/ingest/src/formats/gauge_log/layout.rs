//! Where the table of a log begins and which column is which.

use super::depth;
use super::statements::{self, Statements};
use super::vocabulary::{DATE, DAY, DAYS, FIRST, LAST, MONTH, NOTE, RAIN, STATION, TIME, YEAR, has, words};
use crate::date_order::{self, Written};
use crate::delimited::{Row, Rows};
use crate::fields;

/// Lines within which the table has to begin.
const LINES_LOOKED_AT: usize = 100;
/// Rows behind a heading of which one has to bear a date.
const ROWS_LOOKED_AT: usize = 5;
/// Lines behind a heading, comments too, within which these rows have to stand.
const LINES_BEHIND: u32 = 1000;
/// Most columns of a log.
const MOST_COLUMNS: usize = 30;

/// The columns of the date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DateColumns {
    One(usize),
    FirstAndLast(usize, usize),
    Three { year: usize, month: usize, day: usize },
}

/// A log's table.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub(super) delimiter: u8,
    /// Line of the first row.
    pub(super) first_line: u32,
    /// How many columns the heading has.
    pub(super) columns: usize,
    pub(super) date: DateColumns,
    pub(super) depth: usize,
    pub(super) days: Option<usize>,
    pub(super) time: Option<usize>,
    pub(super) note: Option<usize>,
    pub(super) station: Option<usize>,
    /// The heading's words over the date and over the depth; nothing of a table without one.
    pub(super) names: Option<(String, String)>,
    /// The heading's words over the columns that say nothing here.
    pub(super) unread: Vec<String>,
    pub(super) stated: Statements,
}

/// Why there is no table, or none that can be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fault {
    NoTable,
    /// The heading of a table with rain.
    NoDate(String),
    SeveralDepths(String),
    OpenRange(String),
    /// How many columns, and what is between them.
    ColumnsWithoutHeading(usize, u8),
    /// The heading of a log, and nothing behind it.
    NoRows(String),
}

/// The table of a text, or of its first lines.
pub(super) fn find(bytes: &[u8]) -> Result<Layout, Fault> {
    let mut stated = Statements::default();
    let mut fault = Fault::NoTable;
    // A line of so many names that say nothing of rain: what follows in as many columns is a table of something else.
    let mut other_heading = None;
    let mut lines = Rows::new(bytes, b'\n');
    for _ in 0..LINES_LOOKED_AT {
        let Some(line) = lines.next_row().map(|row| row.line) else { break };
        let text = line.text;
        if text.len() > 4096 {
            break;
        }
        if !statements::is_comment(text) {
            for delimiter in [b'\t', b';', b','] {
                let mut rows = Rows::new(text, delimiter);
                let Some(row) = rows.next_row().filter(|row| (2..=MOST_COLUMNS).contains(&row.len())) else { continue };
                if other_heading != Some((delimiter, row.len()))
                    && let Some(layout) = without_heading(&row, delimiter, line.number, &stated)
                {
                    return layout;
                }
                let behind = || rows_behind(bytes, line.number, delimiter);
                match with_heading(&row, delimiter, line.number, &stated, behind) {
                    Err(Fault::NoTable) => {
                        let names = row.fields().all(|field| !field.is_empty() && !field.contains(&b':') && !field[0].is_ascii_digit());
                        other_heading = other_heading.or(names.then_some((delimiter, row.len())));
                    }
                    Err(other @ (Fault::NoDate(_) | Fault::NoRows(_))) => fault = other,
                    other => return other,
                }
            }
        }
        stated.line(&String::from_utf8_lossy(text));
    }
    Err(fault)
}

/// The fields of the first rows behind a line.
fn rows_behind(bytes: &[u8], line: u32, delimiter: u8) -> Vec<Vec<Vec<u8>>> {
    let mut rows = Rows::new(bytes, delimiter);
    let mut found = Vec::new();
    while let Some(row) = rows.next_row() {
        if row.line.number > line && !statements::is_comment(row.line.text) {
            found.push(row.fields().take(MOST_COLUMNS).map(<[u8]>::to_vec).collect());
        }
        if found.len() == ROWS_LOOKED_AT || row.line.number > line + LINES_BEHIND {
            break;
        }
    }
    found
}

fn is_date(field: &[u8]) -> bool {
    let (date, _) = statements::split_time(field);
    let (first, _) = statements::range(date);
    date_order::written(first) != Written::Nothing
}

/// A table that begins with its first row: a date, and a number or a word for a depth.
fn without_heading(row: &Row<'_, '_>, delimiter: u8, line: u32, stated: &Statements) -> Option<Result<Layout, Fault>> {
    let depth = row.get(1);
    let reads = |unit| !matches!(depth::read(depth, b'.', unit), depth::Depth::Unreadable) || depth::has_mark(depth, b',');
    if !is_date(row.get(0)) || depth.is_empty() || !reads(crate::DepthUnit::Millimetre) {
        return None;
    }
    let count = (0..row.len()).filter(|place| !row.get(*place).is_empty()).count();
    if count > 3 {
        return None;
    }
    if count > 2 {
        return Some(Err(Fault::ColumnsWithoutHeading(count, delimiter)));
    }
    Some(Ok(Layout {
        delimiter,
        first_line: line,
        columns: 2,
        date: DateColumns::One(0),
        depth: 1,
        days: None,
        time: None,
        note: None,
        station: None,
        names: None,
        unread: Vec::new(),
        stated: stated.clone(),
    }))
}

/// Words that make a column with rain in its name something else than the day's depth.
const NOT_THE_DEPTH: &[&str] = &[
    "cumulative",
    "accumulated",
    "running",
    "ytd",
    "snow",
    "snowfall",
    "rate",
    "intensity",
    "duration",
    "hours",
    "hour",
    "minutes",
    "flag",
    "flags",
    "quality",
    "note",
    "notes",
    "type",
    "days",
    "tage",
    "jours",
    "dias",
    "dagen",
    "schnee",
    "neige",
    "nieve",
    "sneeuw",
    "neve",
    "code",
    "attributes",
    "indicator",
    "ind",
    "normal",
    "average",
    "mean",
    "probability",
];
const WEAK: &[&str] = &[
    "depth",
    "reading",
    "amount",
    "mm",
    "millimetres",
    "millimeters",
    "inches",
    "inch",
    "menge",
    "messwert",
    "hauteur",
    "cantidad",
    "hoeveelheid",
    "quantidade",
];

/// A heading and the columns that it names; `behind` gives the fields of the rows that follow.
fn with_heading(
    row: &Row<'_, '_>,
    delimiter: u8,
    line: u32,
    stated: &Statements,
    behind: impl Fn() -> Vec<Vec<Vec<u8>>>,
) -> Result<Layout, Fault> {
    let names: Vec<String> = row.fields().map(|field| String::from_utf8_lossy(field).into_owned()).collect();
    // A statement with a key is no heading, and a row of numbers is none.
    let keyed = |name: &str| name.find(':').is_some_and(|at| !name[at + 1..].starts_with(|c: char| c.is_ascii_digit()));
    let all: Vec<Vec<String>> = names.iter().map(|name| words(name)).collect();
    if names.iter().any(|name| keyed(name)) || all.iter().any(|words| words.len() > 12) {
        return Err(Fault::NoTable);
    }
    let places = |test: &dyn Fn(&[String]) -> bool| (0..all.len()).filter(|place| test(&all[*place])).collect::<Vec<usize>>();
    let rain_word = |word: &String| {
        let bare = ["mm", "inches", "in"].iter().find_map(|unit| word.strip_suffix(unit)).unwrap_or(word);
        RAIN.contains(&bare) || RAIN.contains(&word.as_str())
    };
    let plain = |words: &[String]| !has(words, NOT_THE_DEPTH) && !has(words, &["date", "time"]);
    let strong = places(&|words| words.iter().any(rain_word) && plain(words));
    let weak =
        places(&|words| has(words, WEAK) && plain(words) && ![DAY, MONTH, YEAR, &["dd", "yyyy"]].iter().any(|names| has(words, names)));
    let depths = if strong.is_empty() { weak } else { strong };
    let joined = |places: &[usize]| places.iter().map(|place| names[*place].as_str()).collect::<Vec<_>>().join(", ");
    let Some(&depth) = depths.first() else { return Err(Fault::NoTable) };
    let rows = behind();
    let date = dates(&all, depth, &rows);
    let Some(date) = date else {
        let numbers = rows.iter().any(|fields| fields.get(depth).is_some_and(|field| field.first().is_some_and(u8::is_ascii_digit)));
        let named = all.iter().any(|words| words.iter().any(rain_word));
        let heading: String = joined(&(0..names.len()).collect::<Vec<_>>()).chars().take(60).collect();
        let dated = all.iter().any(|words| has(words, DATE) || has(words, DAY));
        return Err(match (rows.is_empty(), named) {
            (true, true) if dated => Fault::NoRows(heading),
            (_, true) if numbers => Fault::NoDate(heading),
            _ => Fault::NoTable,
        });
    };
    let date = date.map_err(|places| Fault::OpenRange(joined(&places)))?;
    if depths.len() > 1 {
        return Err(Fault::SeveralDepths(joined(&depths)));
    }

    let mut stated = stated.clone();
    stated.depth_heading(&names[depth]);
    let mut unread = Vec::new();
    for (place, name) in names.iter().enumerate() {
        if has(&all[place], DATE) || DateColumns::One(place) == date {
            stated.date_heading(name);
        } else if place != depth && !stated.heading_field(name) && !name.is_empty() {
            unread.push((place, name.clone()));
        }
    }
    let date_name = match date {
        DateColumns::One(place) | DateColumns::FirstAndLast(place, _) | DateColumns::Three { day: place, .. } => names[place].clone(),
    };
    let free = |place: usize| place != depth && DateColumns::One(place) != date;
    let one = |test: &dyn Fn(&[String]) -> bool| places(test).into_iter().find(|place| free(*place));
    let mut layout = Layout {
        delimiter,
        first_line: line + 1,
        columns: names.len(),
        date,
        depth,
        days: one(&|words| has(words, DAYS) || (has(words, &["day"]) && has(words, &["number", "no", "count"]))),
        time: one(&|words| has(words, TIME) && !has(words, DATE)),
        note: one(&|words| has(words, NOTE)),
        station: one(&|words| has(words, STATION) && !has(words, &["name", "read", "reading"])),
        names: Some((date_name, names[depth].clone())),
        unread: Vec::new(),
        stated,
    };
    let of_date = match date {
        DateColumns::One(place) => [place; 3],
        DateColumns::FirstAndLast(first, last) => [first, last, last],
        DateColumns::Three { year, month, day } => [year, month, day],
    };
    let read = [layout.days, layout.time, layout.note, layout.station];
    unread.retain(|(place, _)| !of_date.contains(place) && !read.contains(&Some(*place)));
    layout.unread = unread.into_iter().map(|(_, name)| name).collect();
    Ok(layout)
}

/// The columns of the date, held against the rows; two dates of which it is not said that both belong to the depth are the fault.
fn dates(all: &[Vec<String>], depth: usize, rows: &[Vec<Vec<u8>>]) -> Option<Result<DateColumns, Vec<usize>>> {
    let named = |any: &[&[&str]]| {
        let is = |place: &usize| *place != depth && any.iter().any(|names| has(&all[*place], names));
        (0..all.len()).filter(is).collect::<Vec<usize>>()
    };
    let bears = |place: usize| rows.iter().any(|fields| fields.get(place).is_some_and(|field| is_date(field)));
    let holding: Vec<usize> = (0..all.len()).filter(|place| *place != depth && bears(*place)).collect();
    match holding.as_slice() {
        [] => {}
        [only] => return Some(Ok(DateColumns::One(*only))),
        [first, last] if has(&all[*first], FIRST) && has(&all[*last], LAST) => {
            return Some(Ok(DateColumns::FirstAndLast(*first, *last)));
        }
        several => {
            // One of them may be plainly the date, and another a date of something else.
            let plain: Vec<usize> =
                several.iter().copied().filter(|place| all[*place].first().is_some_and(|word| DATE.contains(&word.as_str()))).collect();
            return Some(match plain.as_slice() {
                [only] => Ok(DateColumns::One(*only)),
                _ => Err(several.to_vec()),
            });
        }
    }
    let (years, months) = (named(&[YEAR, &["yr", "yyyy"]]), named(&[MONTH, &["mon", "mo"]]));
    let days: Vec<usize> = named(&[DAY, &["dd", "dom"]]).into_iter().filter(|place| !has(&all[*place], &["number", "count"])).collect();
    let ([year], [month], [day]) = (years.as_slice(), months.as_slice(), days.as_slice()) else { return None };
    let numbers = rows.iter().any(|fields| [year, day].iter().all(|place| fields.get(**place).is_some_and(|f| fields::whole(f).is_some())));
    (numbers && year != month && month != day && year != day).then_some(Ok(DateColumns::Three { year: *year, month: *month, day: *day }))
}
