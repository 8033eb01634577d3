//! How a fact's number is printed: unit system, rounding, thousands. The one place for it.
//!
//! Rounding (stated on the report's assumptions page): volumes, masses and money to three figures (to a tenth below ten), and a volume that has a
//! band in steps of the power of ten at or below a tenth of the band's width: digits that the band says nothing of are false ones. Depths to 1 mm from 10 mm on and to
//! 0.1 mm below (0.01 in below 10 in), a reading of one day always to 0.1 mm or 0.01 in; halves away from zero; shares to 1 %, never rounded up to 100 or down to 0; days whole, means of days to 0.1; areas and lengths as a
//! tape gives them. Rounding is for the page only: tables and `report.json` keep the whole number.

use series::{Band, Fact, FactValue, Quantity, Unit, UnitSystem};

/// No-break space, between a number and its unit.
const SPACE: char = '\u{a0}';

/// Methods whose depths are readings of a day or steps of them: printed as they were recorded.
const AS_RECORDED: [&str; 10] = [
    "record.greatest_day",
    "record.years.greatest_day",
    "record.month.greatest_day",
    "record.great_day.depth",
    "record.quality.depth",
    "record.quality.against",
    "record.greatest_rejected.depth",
    "record.totals.largest",
    "record.coarse_step",
    "record.depth_step",
];

/// How numbers are written for one report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberStyle {
    /// Metric or US customary.
    pub system: UnitSystem,
    /// The currency's name, as the site file gives it.
    pub currency: Option<String>,
}

/// A number and its unit's name, both as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// The digits.
    pub digits: String,
    /// The unit, empty where there is none.
    pub unit: String,
}

impl Printed {
    /// Digits and unit in a row.
    pub fn whole(&self) -> String {
        match self.unit.as_str() {
            "" => self.digits.clone(),
            "%" => format!("{}%", self.digits),
            unit => format!("{}{SPACE}{unit}", self.digits),
        }
    }
}

impl NumberStyle {
    /// The fact's number or date; nothing where it is withheld.
    pub fn printed(&self, fact: &Fact) -> Option<Printed> {
        match fact.value {
            FactValue::Number(value) => Some(self.of(fact, value)),
            FactValue::Date(day) => Some(Printed { digits: day.to_string(), unit: String::new() }),
            FactValue::Withheld(_) => None,
        }
    }

    /// A number of a fact: its value, or an end of its band.
    pub fn of(&self, fact: &Fact, value: f64) -> Printed {
        match (&fact.band, fact.unit) {
            (Some(band), Unit::Litre | Unit::LitrePerYear | Unit::LitrePerDay) => self.within(value, fact.unit, band),
            (_, Unit::Millimetre) if AS_RECORDED.contains(&fact.id.method()) => {
                self.as_recorded(value, fact.id.method().ends_with("_step"))
            }
            _ => self.number(value, fact.unit),
        }
    }

    /// A depth as a gauge gives it: to 0.1 mm, or to 0.01 in; a step of depths to 0.001 mm, where it is finer.
    fn as_recorded(&self, value: f64, step: bool) -> Printed {
        let (shown, unit) = self.shown(value, Unit::Millimetre);
        let places = if self.system == UnitSystem::UsCustomary { inch_decimals(shown).max(2) } else { 1 };
        // 0.254 mm is a hundredth of an inch, and no other number.
        let tenths = value * 10.0;
        let inches = step && self.system == UnitSystem::Metric && (tenths - tenths.round()).abs() > 1e-9;
        Printed { digits: decimals(shown, if inches { 3 } else { places }), unit }
    }

    /// A volume by the width of its band.
    fn within(&self, value: f64, unit: Unit, band: &Band) -> Printed {
        let (value, name) = self.shown(value, unit);
        let width = self.shown(band.high, unit).0 - self.shown(band.low, unit).0;
        let mut step = 1.0;
        while step * 10.0 <= width / 10.0 {
            step *= 10.0;
        }
        let rounded = (value / step).round() * step;
        let digits = if step <= 1.0 {
            figures(value, 3)
        } else if rounded == 0.0 && value > 0.0 {
            format!("under {}", decimals(step, 0))
        } else {
            figures(rounded, 3)
        };
        Printed { digits, unit: name }
    }

    /// A number in a unit.
    pub fn number(&self, value: f64, unit: Unit) -> Printed {
        let (value, name) = self.shown(value, unit);
        let digits = match unit {
            Unit::Millimetre if self.system == UnitSystem::UsCustomary => decimals(value, inch_decimals(value.abs())),
            Unit::Millimetre if value == 0.0 => "0".to_owned(),
            Unit::Kilopascal => decimals(value, usize::from(self.system == UnitSystem::Metric)),
            Unit::Millimetre | Unit::Kilometre => decimals(value, usize::from(value.abs() < 9.95)),
            Unit::Litre | Unit::LitrePerYear | Unit::LitrePerDay | Unit::Kilogram | Unit::Currency => figures(value, 3),
            Unit::LitrePerSecond => decimals(value, if self.system == UnitSystem::UsCustomary { 1 } else { 2 }),
            Unit::Metre => decimals(value, if value.abs() >= 10.0 { 0 } else { 2 }),
            Unit::SquareMetre => decimals(value, usize::from(value.abs() < 99.95 && value.fract() != 0.0)),
            Unit::MillimetrePerHour => decimals(value, if self.system == UnitSystem::UsCustomary { 2 } else { 0 }),
            Unit::Share => share(value),
            Unit::Ratio => decimals(value, 2),
            Unit::Year => decimals(value, usize::from(value < 20.0 && value.fract().abs() > 1e-9)),
            Unit::Day => decimals(value, usize::from(value.fract().abs() > 1e-9)),
            Unit::Count => decimals(value, 0),
            Unit::CalendarYear | Unit::Date => format!("{value:.0}"),
        };
        let unit = match (unit, digits.as_str()) {
            (Unit::Kilometre, "1") if self.system == UnitSystem::UsCustomary => "mile".to_owned(),
            (Unit::Day, "1") => "day".to_owned(),
            (Unit::Year, "1") => "year".to_owned(),
            _ => name,
        };
        Printed { digits, unit }
    }

    /// The unit's name as printed in a table's head.
    pub fn unit_name(&self, unit: Unit) -> String {
        self.shown(0.0, unit).1
    }

    /// The number in the unit of the page, unrounded, and that unit's name. Charts use it.
    pub fn shown(&self, value: f64, unit: Unit) -> (f64, String) {
        let of = |(value, name): (f64, &'static str)| (value, pretty(name));
        match unit {
            Unit::Millimetre => of(series::Depth::of(value).shown(self.system)),
            Unit::Litre => of(series::Volume::of(value).shown(self.system)),
            Unit::LitrePerDay => self.per(value, "a day"),
            Unit::LitrePerYear => self.per(value, "a year"),
            Unit::LitrePerSecond => of(series::Flow::of(value).shown(self.system)),
            Unit::SquareMetre => of(series::Area::of(value).shown(self.system)),
            Unit::Metre => of(series::Length::of(value).shown(self.system)),
            Unit::Kilometre if self.system == UnitSystem::UsCustomary => (value / 1.609_344, "miles".to_owned()),
            Unit::Kilometre => (value, "km".to_owned()),
            Unit::MillimetrePerHour => of(series::Intensity::of(value).shown(self.system)),
            Unit::Kilogram => of(series::Mass::of(value).shown(self.system)),
            Unit::Kilopascal => of(series::Pressure::of(value).shown(self.system)),
            Unit::Day => (value, "days".to_owned()),
            Unit::Year => (value, "years".to_owned()),
            Unit::Share => (value * 100.0, "%".to_owned()),
            Unit::Currency => (value, self.currency.clone().unwrap_or_default()),
            Unit::Ratio | Unit::Count | Unit::CalendarYear | Unit::Date => (value, String::new()),
        }
    }

    fn per(&self, value: f64, time: &str) -> (f64, String) {
        let (value, unit) = series::Volume::of(value).shown(self.system);
        (value, format!("{unit} {time}"))
    }
}

/// Decimals of a depth in inches: none is printed as 0.00 that is not 0, as a tenth of a millimetre would be.
fn inch_decimals(inches: f64) -> usize {
    if inches >= 10.0 {
        1
    } else if inches >= 0.005 || inches == 0.0 {
        2
    } else {
        3
    }
}

fn pretty(unit: &str) -> String {
    match unit {
        "m2" => "m²".to_owned(),
        "ft2" => "sq ft".to_owned(),
        "psf" => "lb/sq ft".to_owned(),
        other => other.to_owned(),
    }
}

/// With that many decimals, halves away from zero; a minus sign only before a number that is not zero as printed.
fn decimals(value: f64, places: usize) -> String {
    let scale = match places {
        0 => 1.0,
        1 => 10.0,
        2 => 100.0,
        _ => 1000.0,
    };
    let rounded = (value * scale).round() / scale;
    let text = format!("{rounded:.places$}");
    let text = match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    };
    thousands(&text)
}

/// To that many significant figures, never with decimals above them.
fn figures(value: f64, count: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    if value.abs() < 0.05 {
        return "under 0.1".to_owned();
    }
    if value.abs() < 9.95 {
        return decimals(value, usize::from(value.fract() != 0.0));
    }
    let mut step = 1.0;
    let (mut least, mut places) = (1.0, 0_i32);
    while value.abs() >= least * 10.0 {
        least *= 10.0;
        places += 1;
    }
    for _ in count..=places {
        step *= 10.0;
    }
    decimals((value / step).round() * step, 0)
}

/// A share in whole per cent; only exactly all is 100 and only exactly nothing is 0.
fn share(percent: f64) -> String {
    let rounded = percent.round();
    if rounded >= 100.0 && percent < 100.0 {
        "over 99".to_owned()
    } else if rounded == 0.0 && percent > 0.0 {
        "under 1".to_owned()
    } else {
        decimals(percent, 0)
    }
}

/// Commas between the thousands of the whole part.
fn thousands(text: &str) -> String {
    let (sign, rest) = text.strip_prefix('-').map_or(("", text), |rest| ("−", rest));
    let (whole, fraction) = rest.split_once('.').map_or((rest, None), |(whole, fraction)| (whole, Some(fraction)));
    let mut grouped = String::from(sign);
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    if let Some(fraction) = fraction {
        grouped.push('.');
        grouped.push_str(fraction);
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::*;

    fn metric(value: f64, unit: Unit) -> String {
        NumberStyle { system: UnitSystem::Metric, currency: None }.number(value, unit).whole().replace(SPACE, " ")
    }

    fn us(value: f64, unit: Unit) -> String {
        NumberStyle { system: UnitSystem::UsCustomary, currency: None }.number(value, unit).whole().replace(SPACE, " ")
    }

    #[test]
    fn numbers_are_rounded_by_the_stated_rules() {
        assert_eq!(metric(84_634.0, Unit::LitrePerYear), "84,600 L a year");
        assert_eq!(metric(1_234_567.0, Unit::Litre), "1,230,000 L");
        assert_eq!(metric(999.6, Unit::Litre), "1,000 L");
        assert_eq!((metric(3.74, Unit::Litre), metric(0.26, Unit::Litre)), ("3.7 L".to_owned(), "0.3 L".to_owned()));
        assert_eq!((metric(8.0, Unit::Litre), metric(9.96, Unit::Litre)), ("8 L".to_owned(), "10 L".to_owned()));
        assert_eq!(metric(0.0, Unit::Litre), "0 L");
        assert_eq!(metric(1e-12, Unit::Litre), "under 0.1 L");
        assert_eq!(metric(741.4, Unit::Millimetre), "741 mm");
        assert_eq!(metric(9.96, Unit::Millimetre), "10 mm");
        assert_eq!(metric(-0.02, Unit::Millimetre), "0.0 mm");
        assert_eq!(metric(0.83, Unit::Share), "83%");
        assert_eq!(metric(0.9996, Unit::Share), "over 99%");
        assert_eq!(metric(0.0004, Unit::Share), "under 1%");
        assert_eq!((metric(1.0, Unit::Share), metric(0.0, Unit::Share)), ("100%".to_owned(), "0%".to_owned()));
        assert_eq!(metric(48.0, Unit::Day), "48 days");
        assert_eq!(metric(1.0, Unit::Day), "1 day");
        assert_eq!(metric(-148.3, Unit::Metre), "−148 m");
        assert_eq!(metric(1.2, Unit::Metre), "1.20 m");
        assert_eq!(metric(2003.0, Unit::CalendarYear), "2003");
    }

    #[test]
    fn no_depth_in_inches_is_printed_as_nought_that_is_not() {
        // 0.1 mm over 25.4 mm an inch is 0.0039 in; half a hundredth of an inch is 0.127 mm.
        assert_eq!((us(0.1, Unit::Millimetre), us(0.13, Unit::Millimetre)), ("0.004 in".to_owned(), "0.01 in".to_owned()));
        assert_eq!((us(0.0, Unit::Millimetre), us(254.0, Unit::Millimetre)), ("0.00 in".to_owned(), "10.0 in".to_owned()));
        let step = Fact::number(series::FactId::new("record.depth_step"), Unit::Millimetre, 0.1);
        let style = NumberStyle { system: UnitSystem::UsCustomary, currency: None };
        assert_eq!(style.of(&step, 0.1).whole().replace(SPACE, " "), "0.004 in");
    }

    #[test]
    fn a_volume_has_no_digit_that_its_band_says_nothing_of() {
        let style = NumberStyle { system: UnitSystem::Metric, currency: None };
        let printed = |value: f64, low: f64, high: f64| {
            let fact = Fact::number(series::FactId::new("store.gain"), Unit::Litre, value).with_band(low, high, "test");
            style.of(&fact, value).whole().replace(SPACE, " ")
        };
        // A tenth of 4,000 is 400, so steps of 100; of 40,000, steps of 1,000; a narrow band leaves the three figures.
        assert_eq!(printed(2_347.0, 1_000.0, 5_000.0), "2,300 L");
        assert_eq!(printed(23_470.0, 10_000.0, 50_000.0), "23,000 L");
        assert_eq!(printed(23_470.0, 23_465.0, 23_480.0), "23,500 L");
        assert_eq!(printed(40.0, 0.0, 5_000.0), "under 100 L");
        assert_eq!(printed(0.0, 0.0, 5_000.0), "0 L");
    }

    #[test]
    fn a_reading_of_a_day_is_printed_as_it_was_recorded() {
        let printed = |system, method: &str, value: f64| {
            let fact = Fact::number(series::FactId::new(method).key("rank", 1), Unit::Millimetre, value);
            NumberStyle { system, currency: None }.of(&fact, value).whole().replace(SPACE, " ")
        };
        let metric = |method, value| printed(UnitSystem::Metric, method, value);
        assert_eq!(
            (metric("record.great_day.depth", 112.5), metric("record.great_day.depth", 80.0)),
            ("112.5 mm".into(), "80.0 mm".into())
        );
        assert_eq!((metric("record.depth_step", 0.254), metric("record.depth_step", 0.1)), ("0.254 mm".into(), "0.1 mm".into()));
        assert_eq!(printed(UnitSystem::UsCustomary, "record.month.greatest_day", 25.4 * 11.25), "11.25 in");
        // Halves go away from zero, not to the even neighbour.
        assert_eq!((metric("rain.normal", 62.5), metric("rain.normal", 63.5)), ("63 mm".into(), "64 mm".into()));
    }

    #[test]
    fn us_customary_numbers_are_the_same_facts() {
        // 1 US gal = 231 in3 = 3.785411784 L, 1 in = 25.4 mm (exact).
        assert_eq!(us(3.785_411_784 * 2650.0, Unit::Litre), "2,650 gal");
        assert_eq!(us(25.4 * 1.5, Unit::Millimetre), "1.50 in");
        assert_eq!(us(16.093_44, Unit::Kilometre), "10 miles");
    }
}
