//! The page of the stations near a place: which one to take and why, the first of them in a table, how each was counted, what to type next.

use super::lengths::{Lengths, direction, direction_in_words, place_in_words};
use super::{WIDTH, wrapped};
use ingest::catalogue::{Candidate, CountedDistance, HEIGHT_FACTOR, KM_OF_A_YEAR_MISSING, KM_OF_SILENCE, Nearby, WantedYears, YearsToldBy};
use series::UnitSystem;
use std::fmt::Write;

mod nobody;

/// Stations whose reasons stand in words.
const IN_WORDS: usize = 3;
/// Stations that are offered for download: one to take, and one to hold it against.
const OFFERED: usize = 2;
/// Fewer years of a record than this carry no headline of a report.
const FEW_YEARS: f64 = 10.0;

/// Where the stations come from, and how their records are named.
#[derive(Debug, Clone, Copy)]
pub struct StationsSource<'a> {
    /// The station list, as a site file would name it: a product, or a path.
    pub list: &'a str,
    /// The product whose records can be brought; nothing where there is none.
    pub product: Option<&'a str>,
}

/// The stations near a place, with these units.
pub fn near_stations(nearby: &Nearby, source: StationsSource<'_>, units: UnitSystem) -> String {
    let page = Page { nearby, source, lengths: Lengths(units) };
    let mut text = String::new();
    page.head(&mut text);
    match nearby.ranked.first() {
        Some(first) => {
            page.advice(&mut text, first);
            page.table(&mut text, &nearby.ranked);
            page.how_many(&mut text);
            page.counting(&mut text);
            page.reasons(&mut text, first);
            page.next(&mut text);
        }
        None => page.nobody(&mut text),
    }
    text
}

struct Page<'a> {
    nearby: &'a Nearby,
    source: StationsSource<'a>,
    lengths: Lengths,
}

impl Page<'_> {
    fn head(&self, text: &mut String) {
        let search = &self.nearby.search;
        let height = search.elevation_m.map(|metres| format!(", {} above the sea", self.lengths.height(metres)));
        let _ = writeln!(text, "Rain gauges near {}{}", place_in_words(search.place()), height.unwrap_or_default());
        if let Some(wanted) = self.nearby.wanted_years {
            let why = if wanted.named { "" } else { ", the latest thirty that are listed (others: --years)" };
            wrapped(text, "", &format!("Years wanted: {}{why}.", years(wanted.first, wanted.last)));
        }
        text.push('\n');
    }

    /// Which one to take, in a sentence or two.
    fn advice(&self, text: &mut String, first: &Candidate) {
        let mut facts = vec![self.where_it_is(first), self.height_in_words(first)];
        facts.push(self.years_in_words(first));
        facts.extend(first.still_reports.map(|reports| if reports { "it still reports" } else { "it no longer reports" }.to_owned()));
        let facts: Vec<String> = facts.into_iter().filter(|fact| !fact.is_empty()).collect();
        wrapped(text, "", &format!("Take {}: {}.", named(first), facts.join("; ")));
        let held = self.nearby.wanted_years.and_then(|wanted| Some((first.years_held(wanted)?, wanted)));
        if let Some((held, _)) = held.filter(|(held, wanted)| *held < FEW_YEARS && wanted.count() as f64 >= FEW_YEARS) {
            let few = format!("Only {} of the years: a report needs ten for its headline. Other years may serve: --years.", tenths(held));
            wrapped(text, "", &few);
        }
        text.push('\n');
    }

    /// A line a station: who, where, since when.
    fn table(&self, text: &mut String, stations: &[Candidate]) {
        let id_width = stations.iter().map(|one| one.station.id.chars().count()).max().unwrap_or(0).clamp(7, 20);
        let name_width = WIDTH - 2 - 2 - id_width - 2 - 2 - 7 - 1 - 2 - 2 - 7 - 2 - 9 - 2 - 5;
        let wanted = self.nearby.wanted_years;
        let of = wanted.map_or_else(|| "years".to_owned(), |wanted| format!("of {}", wanted.count()));
        let _ = writeln!(
            text,
            "    {:<id_width$}  {:<name_width$}  {:>7}     {:>7}  {:<9}  {of:>5}",
            "station",
            "name",
            self.lengths.distance_unit(),
            self.lengths.height_unit(),
            "rain"
        );
        for (number, one) in (1..).zip(stations) {
            let height = one.height_difference_m.map_or_else(|| "-".to_owned(), |metres| self.lengths.signed_height(metres));
            let rain = one.rain_years.map_or_else(|| "-".to_owned(), |rain| format!("{}-{}", rain.first, rain.last));
            let held = match (&one.record, one.wanted_years_at_most, wanted) {
                (Some(_), _, Some(wanted)) => one.years_held(wanted).map_or_else(String::new, tenths),
                (_, Some(0), _) => "0".to_owned(),
                (_, Some(years), _) => format!("\u{2264}{years}"),
                _ => "-".to_owned(),
            };
            let _ = writeln!(
                text,
                "{number:>2}  {:<id_width$}  {:<name_width$}  {:>7} {:<2}  {height:>7}  {rain:<9}  {held:>5}",
                super::stations::shortened(&one.station.id, id_width),
                super::stations::shortened(&one.station.name, name_width),
                self.lengths.distance(one.distance_km),
                direction(self.nearby.search.place(), one.azimuth_degrees)
            );
        }
    }

    /// How many there are, and what the signs of the table mean.
    fn how_many(&self, text: &mut String) {
        let counts = self.nearby.counts;
        let within = self.lengths.distance_with_unit(self.nearby.search.within_km);
        let shown = self.nearby.ranked.len();
        let first = if counts.ranked > shown { format!(", the first {shown} above") } else { String::new() };
        let mut said = match self.nearby.wanted_years {
            Some(_) => format!("{} within {within} with rain in these years{first}", stations(counts.ranked)),
            None => format!("{} within {within}{first}", stations(counts.ranked)),
        };
        if counts.without_wanted_years > 0 {
            let _ = write!(said, "; {} with rain in other years only", counts.without_wanted_years);
        }
        if counts.without_rain > 0 {
            let _ = write!(said, "; {} without rain", counts.without_rain);
        }
        text.push('\n');
        wrapped(text, "", &format!("{said}."));
        let ranked = &self.nearby.ranked;
        let by =
            |who: YearsToldBy| ranked.iter().any(|one| one.record.is_none() && one.rain_years.is_some_and(|years| years.told_by == who));
        for (who, what) in [(YearsToldBy::Inventory, "inventory"), (YearsToldBy::StationList, "list")] {
            if by(who) && self.nearby.wanted_years.is_some() {
                let line = format!("\u{2264} no more than: the {what} tells the first and the last year, and nothing of the gaps between.");
                wrapped(text, "", &line);
            }
        }
        if ranked.iter().any(|one| one.record.is_some()) {
            wrapped(text, "", "Years without \u{2264} are counted by days, from the record that is here already.");
            if ranked.iter().any(|one| one.record.is_none() && one.rain_years.is_some()) {
                let alike = "The others may have as many gaps: bring their records too before one of them is taken for its years.";
                wrapped(text, "", alike);
            }
        }
        if ranked.iter().any(|one| one.rain_years.is_none() && one.record.is_none()) {
            wrapped(
                text,
                "",
                "A dash under rain: this list tells no years, and may hold stations without rain; only distance and height decide.",
            );
        }
        if self.nearby.search.elevation_m.is_none() {
            wrapped(text, "", "Heights do not count, since that of the place is not known: give it with --elevation.");
        }
        text.push('\n');
    }

    /// The terms of each station's counted distance.
    fn counting(&self, text: &mut String) {
        let km = |km: f64| self.lengths.distance_with_unit(km);
        let rule = format!(
            "The order is by a counted distance: the distance, {HEIGHT_FACTOR:.0} times the difference in height, {} for each of the years wanted that \
             is missing, and {} where a gauge no longer reports. This is a rule of our own and no standard.",
            km(KM_OF_A_YEAR_MISSING),
            km(KM_OF_SILENCE)
        );
        wrapped(text, "", &rule);
        text.push('\n');
        let _ = writeln!(
            text,
            "    {:<12}  {:>9}  {:>9}  {:>9}  {:>9}    {:>9}",
            format!("in {}", self.lengths.distance_unit()),
            "distance",
            "+ height",
            "+ years",
            "+ silent",
            "= counted"
        );
        for (number, one) in (1..).zip(&self.nearby.ranked) {
            let CountedDistance { distance_km, height_km, years_km, silence_km, total_km } = one.counted;
            let term = |km: Option<f64>| km.map_or_else(|| "-".to_owned(), |km| self.lengths.distance(km));
            let _ = writeln!(
                text,
                "{number:>2}  {:<12}  {:>9}  {:>9}  {:>9}  {:>9}    {:>9}",
                super::stations::shortened(&one.station.id, 12),
                self.lengths.distance(distance_km),
                term(height_km),
                term(years_km),
                term(silence_km),
                self.lengths.distance(total_km)
            );
        }
        text.push('\n');
    }

    /// The first few in words.
    fn reasons(&self, text: &mut String, first: &Candidate) {
        for (number, one) in (1..).zip(&self.nearby.ranked).take(IN_WORDS) {
            let counted = &one.counted;
            let km = |km: f64| self.lengths.distance_with_unit(km);
            let mut said = vec![format!("{}.", capital(&self.where_it_is(one)))];
            match (one.height_difference_m, counted.height_km) {
                (Some(metres), Some(_)) if self.lengths.is_level(metres) => said.push("At the same height.".to_owned()),
                (Some(_), Some(height)) => said.push(format!("{}, which counts {}.", capital(&self.height_in_words(one)), km(height))),
                _ => said.push("The difference in height is not known.".to_owned()),
            }
            said.push(match counted.years_km {
                Some(0.0) => format!("{}.", capital(&self.years_in_words(one))),
                Some(missing) => format!("{}, which counts {}.", capital(&self.years_in_words(one)), km(missing)),
                None => "Its years are not known.".to_owned(),
            });
            match (one.still_reports, one.rain_years, counted.silence_km) {
                (Some(true), ..) => said.push("It still reports.".to_owned()),
                (Some(false), Some(rain), Some(silence)) => {
                    said.push(format!("It is silent since {}, which counts {}.", rain.last, km(silence)));
                }
                _ => {}
            }
            if number > 1 {
                said.push(format!("It stands behind the first {}.", behind(&first.counted, counted)));
            }
            wrapped(text, &format!("{number:>2}  "), &format!("{} {}", title(one), said.join(" ")));
        }
        text.push('\n');
    }

    /// What to type next.
    fn next(&self, text: &mut String) {
        let Some(product) = self.source.product else {
            let line =
                "Next: get the record of the first from the agency whose list this is, and name the file in the site file under [records].";
            return wrapped(text, "", line);
        };
        let ranked = self.nearby.ranked.iter().take(OFFERED).enumerate();
        // A report asks no second gauge from further away.
        let of_use = ranked.filter(|(at, one)| *at == 0 || one.distance_km <= assess::REACH_KM);
        let offered: Vec<String> = of_use.map(|(_, one)| format!("{product}:{}", one.station.id)).collect();
        let Some(first) = offered.first() else { return };
        // A command is never broken: it is there to be copied.
        let _ = writeln!(text, "Next, bring the record and look at it:");
        let _ = writeln!(text, "  rainworth download {}", offered.join(" "));
        let _ = writeln!(text, "  rainworth record {first}");
        let _ =
            writeln!(text, "and name it in the site file{}:", if offered.len() > 1 { ", with the second to hold it against" } else { "" });
        let _ = writeln!(text, "  [records]");
        let files: Vec<String> = offered.iter().map(|one| quoted(one)).collect();
        let _ = writeln!(text, "  files = [{}]", files.join(", "));
        let _ = writeln!(text, "  station_list = {}", quoted(self.source.list));
    }

    fn where_it_is(&self, one: &Candidate) -> String {
        let away = self.lengths.distance_with_unit(one.distance_km);
        match direction_in_words(self.nearby.search.place(), one.azimuth_degrees) {
            _ if one.distance_km <= 0.0 => "at the place itself".to_owned(),
            Some(direction) => format!("{away} to the {direction}"),
            None => format!("{away} away"),
        }
    }

    /// "12 m higher"; empty where it is not known.
    fn height_in_words(&self, one: &Candidate) -> String {
        let Some(metres) = one.height_difference_m else { return String::new() };
        let difference = self.lengths.height(metres.abs());
        if self.lengths.is_level(metres) {
            "at the same height".to_owned()
        } else {
            format!("{difference} {}", if metres > 0.0 { "higher" } else { "lower" })
        }
    }

    /// "all 30 years at most, by the inventory"; empty where nothing is known.
    fn years_in_words(&self, one: &Candidate) -> String {
        let Some(wanted) = self.nearby.wanted_years else { return String::new() };
        if let (Some(record), Some(held)) = (&one.record, one.years_held(wanted)) {
            let (first, last) = (record.first_day, record.last_day);
            let what = format!("{} of the {}", tenths(held), counted_years(wanted));
            return format!("{what} by its record that is here ({first} to {last})");
        }
        let Some((rain, most)) = one.rain_years.zip(one.wanted_years_at_most) else { return String::new() };
        let who = match rain.told_by {
            YearsToldBy::Inventory => "inventory",
            YearsToldBy::StationList => "list",
        };
        let span = years(rain.first, rain.last);
        if most == wanted.count() {
            format!("rain {span} by the {who}, so up to all {}", counted_years(wanted))
        } else {
            format!("rain {span} by the {who}, so at most {most} of the {}", counted_years(wanted))
        }
    }
}

/// The term that most of the way behind the first comes from.
fn behind(first: &CountedDistance, other: &CountedDistance) -> &'static str {
    let term = |one: Option<f64>, other: Option<f64>| other.unwrap_or(0.0) - one.unwrap_or(0.0);
    let terms = [
        (other.distance_km - first.distance_km, "mostly for its distance"),
        (term(first.height_km, other.height_km), "mostly for its height"),
        (term(first.years_km, other.years_km), "mostly for the years that it lacks"),
        (term(first.silence_km, other.silence_km), "mostly for no longer reporting"),
    ];
    let most = terms.into_iter().max_by(|(one, _), (other, _)| one.total_cmp(other));
    most.filter(|(more, _)| *more > 0.0).map_or("by its name alone: both count the same", |(_, what)| what)
}

fn title(one: &Candidate) -> String {
    let name = if one.station.name.is_empty() { &one.station.id } else { &one.station.name };
    format!("{}:", name.trim())
}

fn named(one: &Candidate) -> String {
    if one.station.name.is_empty() { one.station.id.clone() } else { format!("{} ({})", one.station.id, one.station.name) }
}

fn stations(count: usize) -> String {
    if count == 1 { "1 station".to_owned() } else { format!("{count} stations") }
}

fn counted_years(wanted: WantedYears) -> String {
    if wanted.count() == 1 { "1 year".to_owned() } else { format!("{} years", wanted.count()) }
}

fn years(first: i32, last: i32) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

/// With one decimal, and none where it is whole.
fn tenths(years: f64) -> String {
    let text = format!("{years:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A text of TOML, in the quotes that need no escapes where there can be any.
fn quoted(text: &str) -> String {
    if text.contains('\\') { format!("'{text}'") } else { format!("{text:?}") }
}

#[cfg(test)]
mod tests;
