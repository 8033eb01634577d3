//! What the daily tables of the US National Centers for Environmental Information have in common: one row a station and day, one column an
//! element, and beside it the flags.
//!
//! Sources: GHCN-Daily readme 3.26, section III (elements, flags); NCEI, "Daily Summaries" documentation (GHCND_documentation.pdf, from
//! memory: columns STATION, NAME, DATE, LATITUDE, LONGITUDE, ELEVATION; attributes in the order measurement, quality, source flag, time of
//! observation). Older exports give the flags four columns of their own behind each element, `Measurement Flag`, `Quality Flag`, `Source
//! Flag`, `Time of Observation`, with 9999 for no time. PRCP is the day's depth; MDPR is a total over DAPR days that ends on the row's day.
//! A measurement flag A on PRCP is a total since the last reading, of unknown length. Missing is blank, -9999, or in exports 9999 and 99999.

use super::Input;
use super::ghcn::{self, Flagged, failed_check};
use super::ghcn_totals::{self, Amount, Paired};
use crate::decimal::{self, DepthUnit};
use crate::delimited::{Heading, Row};
use crate::encoding::{self, WINDOWS_1252};
use crate::finding::Findings;
use crate::ncei_products::{self, Span};
use crate::station_days::{Place, StationDays};
use crate::{Wanted, date, date_order, date_order::DateOrder};
use series::{Day, DayDefinition, Kind, Reading, Rejection, Severity, Station};

/// The unit of air temperature in a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TemperatureUnit {
    Celsius,
    TenthOfCelsius,
    Fahrenheit,
}

/// How the numbers of a table are to be read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Units {
    pub(super) depth: DepthUnit,
    pub(super) temperature: Option<TemperatureUnit>,
    /// Whether 9999 and 99999 stand for no value, as in exports; in the archive itself they are numbers.
    pub(super) nines_are_missing: bool,
}

impl Units {
    /// Whether depths are whole numbers of the unit, so that one with decimals is in another.
    fn are_whole(self) -> bool {
        matches!(self.depth, DepthUnit::TenthOfMillimetre | DepthUnit::HundredthOfInch)
    }

    #[cold]
    fn unreadable(self, row: &Row<'_, '_>, place: usize, (element, day): (&str, Day), findings: &mut Findings<'_>) {
        findings.at("value-unreadable", Severity::Warning, row.line, row.columns(place), || {
            let (found, expected) = (crate::finding::shown(row.get(place)), if self.are_whole() { "a whole number" } else { "a number" });
            (
                format!("found {found:?} for {element} of {day}, expected {expected} of {}", self.depth),
                "The value is rejected as unreadable.",
            )
        });
    }
}

/// A depth in the unit of the table; nothing for what is no number, or has a fraction where the unit has none.
fn micrometres(field: &[u8], units: Units) -> Option<i64> {
    let whole = || decimal::scaled(field, b'.', 1000).is_some_and(|thousandths| thousandths % 1000 == 0);
    if units.are_whole() && field.contains(&b'.') && !whole() {
        return None;
    }
    decimal::scaled(field, b'.', units.depth.micrometres())
}

/// An element's column and those of its flags.
#[derive(Debug, Clone, Copy)]
pub(super) struct Element {
    pub(super) value: usize,
    flags: Flags,
}

#[derive(Debug, Clone, Copy)]
enum Flags {
    None,
    /// One column, `M,Q,S` or `M,Q,S,time`.
    Together(usize),
    /// Four columns from this one on.
    Apart(usize),
}

/// Measurement and quality flag (a blank for none) and time of observation of a value.
pub(super) struct Attributes<'a> {
    measurement: u8,
    pub(super) quality: u8,
    time: &'a [u8],
    column: usize,
}

impl Element {
    fn of(heading: &Heading, name: &str) -> Option<Self> {
        let value = heading.find(name)?;
        let flags = if let Some(place) = heading.find(&format!("{name}_ATTRIBUTES")) {
            Flags::Together(place)
        } else if heading.name(value + 1) == b"measurement flag" {
            Flags::Apart(value + 1)
        } else {
            Flags::None
        };
        Some(Self { value, flags })
    }

    pub(super) fn attributes<'b>(&self, row: &Row<'_, 'b>) -> Attributes<'b> {
        let letter = |field: &[u8]| field.trim_ascii().first().copied().unwrap_or(b' ');
        match self.flags {
            Flags::None => Attributes { measurement: b' ', quality: b' ', time: b"", column: self.value },
            Flags::Together(column) => {
                let mut parts = row.get(column).split(|byte| *byte == b',');
                let mut next = || parts.next().unwrap_or_default();
                let (measurement, quality, _) = (letter(next()), letter(next()), next());
                Attributes { measurement, quality, time: next(), column }
            }
            Flags::Apart(column) => {
                Attributes { measurement: letter(row.get(column)), quality: letter(row.get(column + 1)), time: row.get(column + 3), column }
            }
        }
    }

    /// Whether the table has a place for the time of observation.
    fn has_time(&self) -> bool {
        !matches!(self.flags, Flags::None)
    }
}

/// Where the columns of a table stand.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    pub(super) station: usize,
    pub(super) date: usize,
    name: Option<usize>,
    position: [Option<usize>; 3],
    pub(super) rain: Option<Element>,
    pub(super) total: Option<Element>,
    length: Option<Element>,
    greatest: Option<Element>,
    least: Option<Element>,
}

impl Columns {
    /// The columns of a heading that has a station and a date.
    pub(super) fn of(heading: &Heading) -> Option<Self> {
        let element = |name| Element::of(heading, name);
        Some(Self {
            station: heading.find("STATION")?,
            date: heading.find("DATE")?,
            name: heading.find_any(&["NAME", "STATION_NAME"]),
            position: ["LATITUDE", "LONGITUDE", "ELEVATION"].map(|name| heading.find(name)),
            rain: element("PRCP"),
            total: element("MDPR"),
            length: element("DAPR"),
            greatest: element("TMAX"),
            least: element("TMIN"),
        })
    }

    /// The station of a row.
    pub(super) fn station(&self, row: &Row<'_, '_>) -> Station {
        let number = |place: Option<usize>, most: f64| {
            let field = place.map_or(&b""[..], |place| row.get(place));
            // Exports write -999.9 or 9999 for an unknown height or place.
            crate::fields::decimal(field, 1, field.len().max(1)).filter(|number| number.abs() <= most && *number > -999.0)
        };
        let (latitude, longitude) = (number(self.position[0], 90.0), number(self.position[1], 180.0));
        Station {
            id: encoding::name(station_id(row.get(self.station)), WINDOWS_1252),
            name: self.name.map(|place| encoding::name(row.get(place), WINDOWS_1252)).unwrap_or_default(),
            latitude: latitude.and(longitude).and(latitude),
            longitude: latitude.and(longitude),
            elevation: number(self.position[2], 9000.0),
        }
    }
}

/// The identifier without the name of its list in front: `GHCND:`.
pub(super) fn station_id(field: &[u8]) -> &[u8] {
    match memchr::memchr(b':', field) {
        Some(at) => &field[at + 1..],
        None => field,
    }
}

/// A new station of a table.
pub(super) fn new_station<'a>(input: Input<'a>, columns: &Columns, row: &Row<'_, '_>) -> StationDays<'a> {
    StationDays::new(input, columns.station(row), DayDefinition::default())
}

/// The day of a row; a time behind the date is passed over.
pub(super) fn day_of(field: &[u8], order: Option<DateOrder>) -> Result<Day, date::DateFault> {
    match ncei_products::span(field) {
        Span::Day if field.contains(&b'-') => date::iso(field),
        Span::Day => date::compact(&field[..8]),
        _ => date_order::day(field, order),
    }
}

/// All that a row says of its day.
pub(super) fn read_row(row: &Row<'_, '_>, day: Day, columns: &Columns, units: Units, wanted: Wanted, days: &mut StationDays<'_>) {
    let rain = columns.rain.map_or(Reading::MISSING, |element| rain(row, day, element, units, days));
    total(row, day, columns, units, rain.kind() == Kind::Missing, days);
    if let (true, Some(unit)) = (wanted.temperatures, units.temperature) {
        for (name, element) in [("TMAX", columns.greatest), ("TMIN", columns.least)] {
            let Some(element) = element else { continue };
            let Some(tenths) = temperature(row, day, name, element, unit, &mut days.findings) else { continue };
            if name == "TMAX" { days.greatest(day, tenths) } else { days.least(day, tenths) }
        }
    }
}

/// Whether a field holds no value.
pub(super) fn is_missing(field: &[u8], nines: bool) -> bool {
    let number = field.strip_suffix(b".0").or_else(|| field.strip_suffix(b".00")).unwrap_or(field);
    match number {
        b"" | b"-9999" => true,
        b"9999" | b"99999" | b"-99999" | b"999.9" | b"-999.9" | b"M" | b"NA" | b"NaN" => nines,
        _ => false,
    }
}

fn rain(row: &Row<'_, '_>, day: Day, element: Element, units: Units, days: &mut StationDays<'_>) -> Reading {
    let field = row.get(element.value);
    if is_missing(field, units.nines_are_missing) {
        return Reading::MISSING;
    }
    let place = Place::new(row.line, row.columns(element.value));
    let attributes = element.attributes(row);
    let Some(micrometres) = micrometres(field, units) else {
        units.unreadable(row, element.value, ("PRCP", day), &mut days.findings);
        let reading = Reading::rejected(0, Rejection::Unreadable);
        days.day(day, reading, place);
        return reading;
    };
    if attributes.measurement == b'A'
        && attributes.quality == b' '
        && let Ok(micrometres @ 0..) = i32::try_from(micrometres)
    {
        days.total(day, micrometres, None, place);
        return Reading::accumulated(micrometres, None);
    }
    let flag = row.columns(attributes.column);
    let at = Flagged { line: row.line, day, value: row.columns(element.value), measurement: flag, quality: flag };
    let reading = ghcn::reading(&at, micrometres, attributes.measurement, attributes.quality, &mut days.findings);
    days.day(day, reading, place);
    if element.has_time() && reading.is_usable() {
        days.observation_times.add(day, attributes.time);
    }
    reading
}

/// MDPR with its DAPR; `free` says whether the day has no reading of its own.
fn total(row: &Row<'_, '_>, day: Day, columns: &Columns, units: Units, free: bool, days: &mut StationDays<'_>) {
    let stated = |element: Option<Element>, value: &dyn Fn(&[u8]) -> Option<i64>| {
        let element = element.filter(|element| !is_missing(row.get(element.value), units.nines_are_missing))?;
        let (attributes, value_columns) = (element.attributes(row), row.columns(element.value));
        let quality_columns = row.columns(attributes.column);
        Some(Amount {
            day,
            value: value(row.get(element.value)),
            quality: attributes.quality,
            line: row.line,
            value_columns,
            quality_columns,
        })
    };
    let length = stated(columns.length, &|field| decimal::scaled(field, b'.', 1));
    let total = stated(columns.total, &|field| micrometres(field, units));
    let Some((total, element)) = total.zip(columns.total) else {
        return length.iter().for_each(|alone| ghcn_totals::tell_length_alone(alone, &mut days.findings));
    };
    if total.value.is_none() {
        units.unreadable(row, element.value, ("MDPR", day), &mut days.findings);
    }
    let place = Place::new(row.line, total.value_columns);
    match ghcn_totals::paired(&total, length.as_ref(), &mut days.findings) {
        Paired::Accepted(micrometres, length) => days.total_of_told_length(day, micrometres, length, place, 0),
        Paired::Rejected(rejected) if free => days.day(day, rejected, place),
        Paired::Rejected(_) => {}
    }
}

fn temperature(
    row: &Row<'_, '_>,
    day: Day,
    name: &str,
    element: Element,
    unit: TemperatureUnit,
    findings: &mut Findings<'_>,
) -> Option<i16> {
    let field = row.get(element.value);
    if is_missing(field, true) {
        return None;
    }
    let (at, quality) = (row.columns(element.value), element.attributes(row).quality);
    let shown = || crate::finding::shown(field);
    if quality != b' ' {
        findings.at("temperature-flagged", Severity::Note, row.line, at, || {
            let (letter, check) = (char::from(quality), failed_check(quality));
            (
                format!("found {name} {} on {day} with the quality flag {letter} ({check}), expected no quality flag", shown()),
                "The temperature is left out.",
            )
        });
        return None;
    }
    let tenths = match unit {
        TemperatureUnit::Celsius => decimal::tenths_celsius(field, b'.'),
        TemperatureUnit::Fahrenheit => decimal::tenths_celsius_of_fahrenheit(field, b'.'),
        TemperatureUnit::TenthOfCelsius => decimal::scaled(field, b'.', 1).and_then(crate::believed::tenths_celsius),
    };
    if tenths.is_none() {
        findings.at("temperature-implausible", Severity::Warning, row.line, at, || {
            (format!("found {name} {:?} on {day}, expected -90 to 60 C", shown()), "The temperature is left out.")
        });
    }
    tenths
}
