//! A log of two months that somebody in the invented valley keeps: the layout that is asked of a person's own gauge.
//!
//! Semicolons and decimal commas as a spreadsheet in much of Europe saves them; what is needed to read it stands in the heading. It shows a
//! trace, weekends read on Monday, a day away, a broken gauge and an estimate.

use std::fmt::Write;

use chrono::{Datelike, NaiveDate, Weekday};

use super::weather::WeatherDay;
use crate::draws::Draws;

/// The two months.
const FIRST: (i32, u32) = (2024, 10);
const LAST: (i32, u32) = (2024, 11);
/// From this day of the month on in [`LAST`] nobody reads the gauge on Saturdays and Sundays.
const WEEKENDS_FROM: u32 = 9;

/// The text of the log.
pub(super) fn text(seed: u64, weather: &[WeatherDay]) -> String {
    let mut draws = Draws::new(seed);
    let mut text = "# Everything here is INVENTED; there is no such garden\n# name: INVENTED OMBREL GARDEN\n# id: invented-garden\n# latitude: 44.4960\n\
                    # longitude: -36.0080\n# elevation: 190 m\n# decimal: comma\n\
                    date (day/month/year);rain (mm);days;note;read at 08:00\n"
        .to_owned();
    let mut gathered = 0;
    for day in weather.iter().filter(|day| ((day.date.year(), day.date.month()) >= FIRST) && ((day.date.year(), day.date.month()) <= LAST))
    {
        // The gauge is read to half a millimetre.
        let depth = 1.02 * day.rain_mm * draws.lognormal_factor(0.3);
        let halves = (2.0 * depth).round() as i32;
        let (depth, days, note) = match entry(day.date) {
            Entry::Away => (String::new(), "", "away"),
            Entry::Broken => ("broken".to_owned(), "", "frost, new gauge bought"),
            Entry::Unread => {
                gathered += halves;
                continue;
            }
            Entry::Monday => {
                let all = gathered + halves;
                gathered = 0;
                (tenths(all), "3", "weekend and Monday")
            }
            Entry::Estimated => (tenths(halves), "", "estimated, some was spilt"),
            Entry::Read if halves == 0 && depth > 0.0 => ("T".to_owned(), "", ""),
            Entry::Read if halves == 0 && day.date.day() % 5 == 0 => ("nil".to_owned(), "", ""),
            Entry::Read => (tenths(halves), "", ""),
        };
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{};{depth};{days};{note}", day.date.format("%d/%m/%Y"));
    }
    text
}

enum Entry {
    Read,
    Unread,
    Monday,
    Away,
    Broken,
    Estimated,
}

fn entry(date: NaiveDate) -> Entry {
    match (date.month(), date.day(), date.weekday()) {
        (10, 20, _) => Entry::Away,
        (10, 31, _) | (11, 1, _) => Entry::Broken,
        (11, 6, _) => Entry::Estimated,
        (11, WEEKENDS_FROM.., Weekday::Sat | Weekday::Sun) => Entry::Unread,
        (11, day, Weekday::Mon) if day > WEEKENDS_FROM => Entry::Monday,
        _ => Entry::Read,
    }
}

/// Halves of a millimetre with a decimal comma.
fn tenths(halves: i32) -> String {
    format!("{},{}", halves / 2, 5 * (halves % 2))
}
