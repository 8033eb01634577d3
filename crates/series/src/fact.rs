//! A number that may appear on a page, with all that is needed to trace it.
//!
//! A fact is named `method` or `method/key=value,...`, as `rain.normal/month=7`. Its value is in SI units of the record
//! (mm, L, m2, days); the page converts. What the method means (title, formula, missing-data rule, source) stands once, in
//! its descriptor, which the page, the tables, `report.json` and `rainworth define` share.

use crate::{Day, Period};
use serde::Serialize;
use std::fmt;

/// Identifier of a fact: a method and the keys that tell one of its facts from the others.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(transparent)]
pub struct FactId(String);

impl FactId {
    /// The id of a method that has one fact only.
    pub fn new(method: &str) -> Self {
        Self(method.to_owned())
    }

    /// The same id with one more key.
    #[must_use]
    pub fn key(&self, key: &str, value: impl fmt::Display) -> Self {
        let mark = if self.0.contains('/') { ',' } else { '/' };
        Self(format!("{}{mark}{key}={value}", self.0))
    }

    /// The method: what stands before the keys.
    pub fn method(&self) -> &str {
        self.0.split('/').next().unwrap_or_default()
    }

    /// The whole id.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for FactId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The unit that a fact's value is stored in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Depth of water, mm.
    Millimetre,
    /// Volume of water, L.
    Litre,
    /// Volume a day, L/d.
    LitrePerDay,
    /// Volume a year, L/a.
    LitrePerYear,
    /// Flow, L/s.
    LitrePerSecond,
    /// Plan area, m2.
    SquareMetre,
    /// Length or height, m.
    Metre,
    /// Distance on the ground, km.
    Kilometre,
    /// Rain intensity, mm/h.
    MillimetrePerHour,
    /// Time, days.
    Day,
    /// Time, years.
    Year,
    /// A year by its number.
    CalendarYear,
    /// A part of one, printed as a percentage.
    Share,
    /// A plain ratio, printed as it is.
    Ratio,
    /// A number of things.
    Count,
    /// Mass, kg.
    Kilogram,
    /// Pressure, kPa.
    Kilopascal,
    /// Money in the site's currency.
    Currency,
    /// A date.
    Date,
}

/// Why a value is not given. Pages say it in words; none of them is a failure of the program.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "why")]
pub enum Withheld {
    /// Fewer years than the method needs.
    TooFewYears {
        /// Years at hand.
        have: u32,
        /// Years needed.
        need: u32,
    },
    /// A return period beyond what the record can carry (over twice its years).
    BeyondTheRecord {
        /// Years at hand.
        have: u32,
        /// The longest return period they carry.
        longest: u32,
    },
    /// No month, year or day in the record is complete enough.
    NothingAccepted,
    /// No day of it has a usable reading.
    NoUsableDay,
    /// Its usable days had no rain.
    NoRain,
    /// The record is the mean of an area, in whole or in part: its greatest days are smaller than those of any gauge in it.
    ArealMean,
    /// The sample has no solution for this distribution (all values equal, or moments out of range).
    NoSolution,
    /// A daily record cannot tell flows: an official short-duration intensity is needed.
    NoOfficialIntensity,
    /// Snow cannot be told from rain: no temperatures with the record, and the site file does not say.
    SnowUnknown,
    /// Nothing was asked for: no demand on any day.
    NoDemand,
    /// The store is drained and rests then.
    Resting,
    /// It does not come to an end within a year.
    NotWithinAYear,
    /// It never happens: what comes in does not cover what goes out.
    Never,
    /// The site file does not give a value that this needs.
    NotGiven {
        /// The key that would give it.
        key: String,
    },
}

/// A fact's value.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FactValue {
    /// A finite number in the fact's unit.
    Number(f64),
    /// A date.
    Date(Day),
    /// No value, and why.
    Withheld(Withheld),
}

/// The range that a fact's value may well lie in, and what the range means.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Band {
    /// Lower end, in the fact's unit.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Spelt-out identifier of what the two ends are, such as `before-and-after-spillage` or `deciles`.
    pub meaning: &'static str,
}

/// One number (or date) for a page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fact {
    /// Which.
    pub id: FactId,
    /// Its value.
    pub value: FactValue,
    /// The unit of the value.
    pub unit: Unit,
    /// Its range, where one is known.
    pub band: Option<Band>,
    /// How many cases (years, months, days, spells) it rests on.
    pub n: Option<usize>,
    /// How many of the cases that the period should hold are missing.
    pub missing: Option<usize>,
    /// The period it speaks of.
    pub period: Option<Period>,
    /// The records it used, by station id.
    pub records: Vec<String>,
}

impl Fact {
    /// A number in a unit. A number that is not finite is withheld: no page ever shows one.
    pub fn number(id: FactId, unit: Unit, value: f64) -> Self {
        let value = if value.is_finite() { FactValue::Number(value) } else { FactValue::Withheld(Withheld::NoSolution) };
        Self::of(id, unit, value)
    }

    /// A date.
    pub fn date(id: FactId, day: Day) -> Self {
        Self::of(id, Unit::Date, FactValue::Date(day))
    }

    /// A value that is not given, and why.
    pub fn withheld(id: FactId, unit: Unit, why: Withheld) -> Self {
        Self::of(id, unit, FactValue::Withheld(why))
    }

    fn of(id: FactId, unit: Unit, value: FactValue) -> Self {
        Self { id, value, unit, band: None, n: None, missing: None, period: None, records: Vec::new() }
    }

    /// Over how many cases, of which so many are missing.
    #[must_use]
    pub fn over(self, n: usize, missing: usize) -> Self {
        Self { n: Some(n), missing: Some(missing), ..self }
    }

    /// In this period.
    #[must_use]
    pub fn during(self, period: Option<Period>) -> Self {
        Self { period, ..self }
    }

    /// From this record.
    #[must_use]
    pub fn from_record(mut self, id: &str) -> Self {
        self.records.push(id.to_owned());
        self
    }

    /// With this range.
    #[must_use]
    pub fn with_band(self, low: f64, high: f64, meaning: &'static str) -> Self {
        let finite = low.is_finite() && high.is_finite();
        Self { band: finite.then_some(Band { low, high, meaning }), ..self }
    }

    /// The number, unless it is a date or withheld.
    pub fn as_number(&self) -> Option<f64> {
        match self.value {
            FactValue::Number(value) => Some(value),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_a_method_and_its_keys() {
        let id = FactId::new("storm.depth").key("days", 1).key("years", 10);
        assert_eq!(id.as_str(), "storm.depth/days=1,years=10");
        assert_eq!(id.method(), "storm.depth");
    }

    #[test]
    fn a_number_that_is_none_never_reaches_a_page() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(Fact::number(FactId::new("x"), Unit::Litre, value).as_number(), None);
        }
    }
}
