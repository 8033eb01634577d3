//! What goes wrong with the records of the invented valley: gaps, totals over weekends, quality flags.
//!
//! Every fault is of a kind that real GHCN-Daily files have, with the flags that the readme (3.26, section III) gives them.

use chrono::{Datelike, NaiveDate, Weekday};

use super::gauge::ymd;
use crate::draws::Draws;
use crate::record_builder::{Cell, Date, DlyText, MISSING};

/// First day of the weekend totals, and the first day after them.
const WEEKENDS: [Date; 2] = [(1985, 1, 1), (2005, 1, 1)];
/// Mondays whose total lost its number of days, one in so many.
const LENGTH_LOST_ONE_IN: u64 = 110;
/// The Monday on which only the number of days was kept.
pub(super) const LENGTH_ALONE: Date = (1998, 3, 16);
/// Years and months of the long gap: first month gone, first month back.
pub(super) const LONG_GAP: [(i32, u32); 2] = [(1993, 5), (1997, 5)];

/// A nearly complete record: some twenty days of rain and of temperature are missing in fifty years, none since 1991.
pub(super) fn few_days_missing(record: &mut DlyText, draws: &mut Draws, days: &[NaiveDate]) {
    for date in days.iter().filter(|date| date.year() < 1991) {
        for element in ["PRCP", "TMAX", "TMIN"] {
            if draws.chance(1.0 / 280.0) {
                blank(record, *date, element);
            }
        }
    }
}

/// A record with holes: a gap of four years without lines, months without lines, months of -9999, days here and there.
pub(super) fn gaps(record: &mut DlyText, draws: &mut Draws, days: &[NaiveDate]) {
    for month in days.iter().filter(|date| date.day() == 1) {
        let key = (month.year(), month.month());
        let no_lines = draws.chance(0.018);
        let no_rain_line = draws.chance(0.008);
        let only_missing = draws.chance(0.014);
        let spotty = draws.chance(0.06);
        let in_gap = key >= LONG_GAP[0] && key < LONG_GAP[1];
        for element in ["PRCP", "TMAX", "TMIN"] {
            if in_gap || no_lines || (no_rain_line && element == "PRCP") {
                record.remove_line(key.0, key.1, element);
                continue;
            }
            for date in month.iter_days().take_while(|date| date.month() == month.month()) {
                let lost = draws.chance(if spotty { 0.15 } else { 0.004 });
                if lost || (only_missing && element == "PRCP") {
                    blank(record, date, element);
                }
            }
        }
    }
}

/// Two decades without readings on Saturdays and Sundays: the Monday reading holds three days. It stands as MDPR with DAPR 3; some totals lost
/// their number of days, and one Monday kept the number alone.
pub(super) fn weekend_totals(record: &mut DlyText, draws: &mut Draws, days: &[NaiveDate]) {
    for monday in days.iter().filter(|date| date.weekday() == Weekday::Mon) {
        let span: Vec<Date> = [2, 1, 0].iter().map(|back| ymd(*monday - chrono::Days::new(*back))).collect();
        if span[0] < WEEKENDS[0] || span[2] >= WEEKENDS[1] {
            continue;
        }
        let length_lost = draws.below(LENGTH_LOST_ONE_IN) == 0;
        let total: i32 =
            span.iter().filter_map(|date| record.get(*date, "PRCP")).map(|cell| cell.value).filter(|value| *value != MISSING).sum();
        for date in &span {
            record.set(*date, "PRCP", Cell::EMPTY);
        }
        if span[2] != LENGTH_ALONE {
            record.put(span[2], "MDPR", total, [' ', ' ']);
        }
        if !length_lost {
            record.put(span[2], "DAPR", 3, [' ', ' ']);
        }
    }
}

/// A mountain record: a day is lost now and then, most in winter.
pub(super) fn winter_days_missing(record: &mut DlyText, draws: &mut Draws, days: &[NaiveDate]) {
    for date in days {
        let winter = date.month() < 4 || date.month() == 12;
        if draws.chance(if winter { 0.010 } else { 0.002 }) {
            blank(record, *date, "PRCP");
        }
    }
}

/// One of each flag: refused values D, G, I, K, L, O, X; measurement flags T (the observer's), P and B.
pub(super) fn flags(record: &mut DlyText, days: &[NaiveDate]) {
    for date in days {
        let at = ymd(*date);
        let Some(cell) = record.get(at, "PRCP") else { continue };
        let zero = cell.value == 0 && cell.flags[0] == ' ';
        match at {
            // The dry days of three years were never written down: missing, presumed zero.
            (1978..=1980, _, _) if zero => record.put(at, "PRCP", 0, ['P', ' ']),
            // Two whole months without an entry, presumed dry.
            (1983, 8, _) | (1987, 6, _) => record.put(at, "PRCP", 0, ['P', ' ']),
            // Two readings a day.
            (2001..=2004, _, _) if cell.value > 0 => record.put(at, "PRCP", cell.value, ['B', ' ']),
            // A month typed in twice: April stands for May too, and the check for duplicates found it.
            (1994, 5, 1..=30) => {
                let april = record.get((1994, 4, at.2), "PRCP").unwrap_or(cell);
                record.put(at, "PRCP", april.value, [' ', 'D']);
            }
            // The same depth on ten days running.
            (1999, 11, 9..=18) => record.put(at, "PRCP", 25, [' ', 'K']),
            _ => {}
        }
    }
    // 999.9 mm is how some forms write "no reading"; 2 000 mm is more than a day has ever brought.
    record.put((1985, 9, 30), "PRCP", 9999, [' ', 'G']);
    record.put((1996, 2, 11), "PRCP", 20_000, [' ', 'X']);
    record.put((2009, 7, 22), "PRCP", 2790, [' ', 'O']);
    record.put((2014, 1, 5), "PRCP", 1524, [' ', 'O']);
    // Rain without a reading of it: snow lay, the gauge said zero.
    record.put((2010, 12, 19), "PRCP", 0, [' ', 'I']);
    // The greatest temperature below the least: both are refused.
    record.put((2006, 3, 8), "TMAX", 21, [' ', 'I']);
    record.put((2006, 3, 8), "TMIN", 94, [' ', 'I']);
    record.put((1990, 7, 14), "TMAX", 612, [' ', 'X']);
    // A total over 61 days fails the check on the length of a period.
    for date in days.iter().filter(|date| **date > ymd_day((2012, 5, 31)) && **date <= ymd_day((2012, 7, 31))) {
        blank(record, *date, "PRCP");
    }
    record.put((2012, 7, 31), "MDPR", 640, [' ', 'L']);
    record.put((2012, 7, 31), "DAPR", 61, [' ', 'L']);
}

fn ymd_day((year, month, day): Date) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap_or_default()
}

/// Take a value away from a line that stays.
fn blank(record: &mut DlyText, date: NaiveDate, element: &str) {
    if record.get(ymd(date), element).is_some() {
        record.set(ymd(date), element, Cell::EMPTY);
    }
}
