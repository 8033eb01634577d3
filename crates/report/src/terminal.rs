//! Pages of text for a terminal: a record, the rain facts of a record, the stations near a place. At most 80 columns; no colour is needed to read them.
//! Depths stand in mm with one decimal, or in inches with two.

use assess::{Facts, RETURN_PERIODS, RainRecord, RecordSummary};
use series::{Depth, Extent, FactValue, Quantity, Reading, UnitSystem, Withheld};
use std::fmt::Write;

mod lengths;
mod near_stations;
mod quality;
mod record;
mod record_cautions;
mod record_tables;
mod stations;

pub use lengths::place_in_words;
pub use near_stations::{StationsSource, near_stations};
pub use record::record;
pub use stations::stations;

/// Columns of a page.
const WIDTH: usize = 80;

/// Months as three letters.
const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// Columns of the longest bar.
const BAR: f64 = 18.0;

/// Depths as a page shows them.
#[derive(Debug, Clone, Copy)]
struct Depths(UnitSystem);

impl Depths {
    /// The unit's name.
    fn unit(self) -> &'static str {
        Depth::of(0.0).shown(self.0).1
    }

    /// A depth in mm as a number, without its unit.
    fn number(self, depth_mm: f64) -> String {
        let (depth, _) = Depth::of(depth_mm).shown(self.0);
        match self.0 {
            UnitSystem::Metric => format!("{depth:.1}"),
            UnitSystem::UsCustomary => format!("{depth:.2}"),
        }
    }

    /// A depth in mm with its unit.
    fn whole(self, depth_mm: f64) -> String {
        format!("{} {}", self.number(depth_mm), self.unit())
    }

    /// A fact's depth in a column, or a dash.
    fn cell(self, facts: &Facts, id: &str) -> String {
        format!("{:>7}", facts.number(id).map_or_else(|| "-".to_owned(), |depth_mm| self.number(depth_mm)))
    }
}

/// Puts text on a page, broken between words to its width; `first` goes before it, and later lines stand under its first word.
pub fn wrapped(page: &mut String, first: &str, text: &str) {
    let indent = " ".repeat(first.chars().count());
    let mut row = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && row.chars().count() + 1 + word.chars().count() > WIDTH {
            let _ = writeln!(page, "{row}");
            row.clone_from(&indent);
            empty = true;
        }
        if !empty {
            row.push(' ');
        }
        row.push_str(word);
        empty = false;
    }
    let _ = writeln!(page, "{}", row.trim_end());
}

fn extent_in_words(extent: Extent) -> &'static str {
    match extent {
        Extent::Gauge => "one gauge",
        Extent::ArealMean => "the mean of an area, no gauge",
        Extent::Unknown => "not known: its files disagree",
    }
}

/// Whose record it is, on top of a page.
fn head(page: &mut String, summary: &RecordSummary) {
    let station = &summary.station;
    let _ = writeln!(page, "{}", [station.id.as_str(), station.name.as_str()].join(" ").trim_end());
    let more = match summary.source.files.len() {
        0 | 1 => String::new(),
        files => format!(" and {} more", files - 1),
    };
    let _ = writeln!(page, "  {}{more}, {}", summary.source.file, summary.source.format);
    if !summary.extent.is_gauge() {
        let _ = writeln!(page, "  measures: {}", extent_in_words(summary.extent));
    }
    match summary.first_day.zip(summary.last_day) {
        Some((first, last)) => {
            let _ = writeln!(page, "  {first} to {last}\n");
        }
        None => page.push_str("  no usable day of rain\n\n"),
    }
}

/// The rain facts of a record, with depths in these units.
pub fn rain(rain: &RainRecord, units: UnitSystem) -> String {
    let depths = Depths(units);
    let mut page = String::new();
    head(&mut page, &rain.record);
    let facts = &rain.facts;
    let most = (1..=12).filter_map(|month| facts.number(&format!("rain.normal/month={month}"))).fold(0.0, f64::max);
    let years = facts.get("rain.annual.normal").and_then(|fact| fact.period);
    let years = years.map(|period| format!(", {} to {}", period.first.year(), period.last.year())).unwrap_or_default();
    let _ = writeln!(page, "Rain by month{years}, {} (a dash: not given)", depths.unit());
    page.push_str("       normal  median  decile  decile   least    most  years\n                        lower   upper\n");
    for (month, name) in (1..).zip(MONTHS) {
        let of = |method: &str| depths.cell(facts, &format!("rain.{method}/month={month}"));
        let n = facts.get(&format!("rain.normal/month={month}")).and_then(|fact| fact.n).unwrap_or(0);
        let bar = facts.number(&format!("rain.normal/month={month}")).filter(|_| most > 0.0).map_or(0.0, |mean| mean / most * BAR);
        let depths = ["normal", "median", "lower_decile", "upper_decile", "least", "most"].map(of).join(" ");
        let row = format!("  {name} {depths} {n:>6}  {}", "#".repeat(bar.round() as usize));
        let _ = writeln!(page, "{}", row.trim_end());
    }
    let of = |method: &str| depths.cell(facts, &format!("rain.annual.{method}"));
    let _ = writeln!(
        page,
        "  Year{} {} {} {} {} {}\n",
        of("normal"),
        of("median"),
        of("lower_decile"),
        of("upper_decile"),
        of("least"),
        of("most")
    );
    why(&mut page, facts, "rain.annual.normal", "The annual normal");
    for (method, what) in [("median", "The median year"), ("lower_decile", "Deciles of the year")] {
        why(&mut page, facts, &format!("rain.annual.{method}"), what);
    }
    // Of months the first that has a reason: it is the same for most.
    for (method, what) in [("normal", "The normal"), ("lower_decile", "Deciles")] {
        let withheld = |month: &usize| {
            matches!(facts.get(&format!("rain.{method}/month={month}")).map(|fact| &fact.value), Some(FactValue::Withheld(_)))
        };
        let months: Vec<usize> = (1..=12).filter(withheld).collect();
        if let Some(first) = months.first() {
            let more = if months.len() > 1 { format!(" and {} more", months.len() - 1) } else { String::new() };
            why(&mut page, facts, &format!("rain.{method}/month={first}"), &format!("{what} of {}{more}", MONTHS[first - 1]));
        }
    }

    spells(&mut page, rain, depths);
    storms(&mut page, facts, depths);
    page
}

fn spells(page: &mut String, rain: &RainRecord, depths: Depths) {
    let facts = &rain.facts;
    let wet_day = depths.whole(Reading::WET_DAY_MICROMETRES as f64 / 1000.0);
    wrapped(page, "", &format!("Dry spells (days below {wet_day}; never joined over a gap, never cut at new year)"));
    for spell in rain.longest_dry_spells.iter().take(5) {
        let beside = match (spell.is_whole(), spell.at_most) {
            (true, _) => String::new(),
            (false, Some(most)) => format!("  or more: a gap lies beside it; at most {most}"),
            (false, None) => "  or more: a gap or an end of the record lies beside it".to_owned(),
        };
        let _ = writeln!(
            page,
            "  {:>4} {}  {} to {}{beside}",
            spell.days,
            if spell.days == 1 { "day " } else { "days" },
            spell.period.first,
            spell.period.last
        );
    }
    if let Some(median) = facts.number("spell.longest_of_year.median") {
        let _ = writeln!(page, "  the longest of a year is {median} days in the middle year");
    }
    page.push('\n');
}

fn storms(page: &mut String, facts: &Facts, depths: Depths) {
    let years = facts.number("storm.years/days=1").unwrap_or(0.0);
    let unit = depths.unit();
    wrapped(page, "", &format!("Great rains, {unit}, from {years} accepted years (this record alone; an official table goes before this)"));
    page.push_str("  return period   1 day  2 days  3 days   1 day, Gumbel\n");
    for period in RETURN_PERIODS {
        let depth = |days: u32| depths.cell(facts, &format!("storm.depth/days={days},years={period}"));
        let gumbel = depths.cell(facts, &format!("storm.depth_gumbel/days=1,years={period}"));
        let _ = writeln!(page, "  {period:>7} years {} {} {} {gumbel}", depth(1), depth(2), depth(3));
    }
    for period in RETURN_PERIODS {
        let id = format!("storm.depth/days=1,years={period}");
        if facts.number(&id).is_none() {
            why(page, facts, &id, &format!("Depths from {period} years on"));
            break;
        }
    }
    page.push('\n');
}

/// Says why a value is not given.
fn why(page: &mut String, facts: &Facts, id: &str, what: &str) {
    let Some(FactValue::Withheld(why)) = facts.get(id).map(|fact| &fact.value) else { return };
    let reason = match why {
        Withheld::TooFewYears { have, need } => format!("years there: {have}, needed: {need}"),
        Withheld::BeyondTheRecord { have, longest } => format!("{have} years carry return periods up to {longest} years"),
        Withheld::NothingAccepted => "nothing in the record is complete enough".to_owned(),
        Withheld::ArealMean => "the record is the mean of an area and no gauge, at least in part".to_owned(),
        _ => "the sample has no solution".to_owned(),
    };
    wrapped(page, "  ", &format!("{what} cannot be given: {reason}."));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_25_point_4_millimetres() {
        // The international inch, 25.4 mm exactly (1959 agreement).
        let (metric, inches) = (Depths(UnitSystem::Metric), Depths(UnitSystem::UsCustomary));
        assert_eq!((metric.whole(50.8), inches.whole(50.8)), ("50.8 mm".to_owned(), "2.00 in".to_owned()));
        assert_eq!((metric.number(1.0), inches.number(1.0)), ("1.0".to_owned(), "0.04".to_owned()));
    }

    #[test]
    fn words_are_broken_at_the_width_of_the_page() {
        let mut page = String::new();
        wrapped(&mut page, "  - ", &"rain ".repeat(40));
        assert!(page.lines().all(|line| line.chars().count() <= WIDTH) && page.lines().nth(1).unwrap().starts_with("    rain"));
        assert_eq!(page.split_whitespace().count(), 41);
    }
}
