//! The list of a file's stations, where they are too many for a page each.

use super::WIDTH;
use ingest::StationRecord;
use series::Day;
use std::fmt::Write;

/// Stations that are listed before the rest is only counted: a screen of 24 lines with what stands around.
const LISTED: usize = 18;
/// Widest id that has a column; a longer one stands on a line of its own.
const WIDEST_ID: usize = 20;

/// A station of a file in one line.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Listed {
    id: String,
    name: String,
    period: Option<(Day, Day)>,
    usable: usize,
}

/// The first of these stations with their days, and how many more there are.
pub fn stations(records: &[StationRecord]) -> String {
    let listed = records.iter().take(LISTED).map(|record| Listed {
        id: record.rain.station.id.clone(),
        name: record.rain.station.name.clone(),
        period: record.rain.period().map(|period| (period.first, period.last)),
        usable: record.rain.counts().usable(),
    });
    page(&listed.collect::<Vec<_>>(), records.len())
}

fn page(listed: &[Listed], all: usize) -> String {
    let mut page = String::new();
    let widths = listed.iter().map(|one| one.id.chars().count()).filter(|width| *width <= WIDEST_ID);
    let id_width = widths.max().unwrap_or(0).max("station".len());
    // Two days of ten, a count of seven, and two between the columns.
    let name_width = WIDTH - 2 - id_width - 2 - 2 - 10 - 2 - 10 - 2 - 7;
    let _ = writeln!(page, "{all} stations: choose with --station ID, as often as wanted\n");
    let _ = writeln!(page, "  {:<id_width$}  {:<name_width$}  {:<10}  {:<10}  {:>7}", "station", "name", "first day", "last day", "usable");
    for one in listed {
        let id = if one.id.is_empty() { "-" } else { &one.id };
        if id.chars().count() > id_width {
            let _ = writeln!(page, "  {id}");
        }
        let id = if id.chars().count() > id_width { "" } else { id };
        let (first, last) = one.period.map_or_else(Default::default, |(first, last)| (first.to_string(), last.to_string()));
        let name = shortened(&one.name, name_width);
        let _ = writeln!(page, "  {id:<id_width$}  {name:<name_width$}  {first:<10}  {last:<10}  {:>7}", one.usable);
    }
    if all > listed.len() {
        let _ = writeln!(page, "  and {} more (all with --json)", all - listed.len());
    }
    page.push('\n');
    page
}

/// A text of at most so many characters, with a mark where it is cut.
pub(super) fn shortened(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    text.chars().take(width.saturating_sub(1)).chain(['\u{2026}']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_screenful_is_listed_and_the_rest_counted() {
        let day = |text: &str| text.parse::<Day>().unwrap();
        let one = |id: &str, name: &str| Listed {
            id: id.to_owned(),
            name: name.to_owned(),
            period: Some((day("2001-01-01"), day("2020-12-31"))),
            usable: 7_305,
        };
        let long = "INVENTED VALLEY, UPPER STATION AT THE MILL BELOW THE BRIDGE";
        let mut listed = vec![one("XXT00000001", "VALLEY"), one("XXT00000002", long), one("", ""), one(&"x".repeat(30), "y")];
        listed[2].period = None;
        let page = page(&listed, 1004);
        assert!(page.lines().all(|line| line.chars().count() <= WIDTH), "{page}");
        assert!(page.starts_with("1004 stations") && page.contains("and 1000 more") && page.contains("--station"), "{page}");
        let lines: Vec<&str> = page.lines().collect();
        assert_eq!(lines[3].split_whitespace().collect::<Vec<_>>(), ["XXT00000001", "VALLEY", "2001-01-01", "2020-12-31", "7305"]);
        assert!(lines[4].contains('\u{2026}') && lines[5].starts_with("  -  "), "{page}");
        assert!(!super::page(&listed, 4).contains("more"));
    }
}
