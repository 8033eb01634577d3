//! In which unit an export was ordered, from the numbers themselves.
//!
//! The archive holds whole tenths of a millimetre; an export shows them as such, as millimetres with one decimal or as inches with two.
//! Each of these is a grid, and each piece of evidence strikes units out:
//!
//! * hundredths: a value of 0.22 lies on no grid of tenths. Of depths in inches some nine in ten have a last digit other than 0, so five or
//!   more depths with tenths and without a single hundredth are no inches (less than one chance in ten thousand);
//! * whole numbers only are no inches. Where nearly all of thirty or more are a whole number of hundredths of an inch turned into tenths of
//!   a millimetre (3, 5, 8, 10, 13, …; two numbers in five are such by chance) they are tenths of a millimetre of a gauge in inches;
//! * no day has had 1,825 mm of rain or more than 72 in (Foc-Foc, Réunion, 1966, WMO archive of weather extremes, from memory);
//! * temperatures come in the same system: with decimals and never above 60 they are degrees Celsius; whole numbers above 60 are no degrees
//!   Celsius; beyond 140 either way they are tenths, and beyond 600 tenths of a degree Fahrenheit;
//! * snowfall with decimals is in inches, since the archive has whole millimetres of it;
//! * an export not saved again writes two decimals throughout for inches, and one throughout for millimetres.
//!
//! One number in twenty may be a slip of the pen and strikes no unit out: a whole file is not lost or misread for one field.
//!
//! One unit left: it is taken. None or several left: the file is refused with the question.

use crate::decimal;
use crate::delimited::{Heading, Row};
use crate::formats::ncei::{Columns, Element, TemperatureUnit, Units, is_missing};
use crate::{DepthUnit, Error, Wanted};

/// Depths above zero that the argument from hundredths needs, and that from whole inches.
const FEW: usize = 5;
const MANY: usize = 30;

const ALL: [DepthUnit; 4] = [DepthUnit::Inch, DepthUnit::Millimetre, DepthUnit::TenthOfMillimetre, DepthUnit::HundredthOfInch];

/// What the numbers of a file are like.
#[derive(Debug, Clone, Default)]
pub(super) struct Evidence {
    rain: Vec<Element>,
    temperature: Vec<usize>,
    snow: Option<usize>,
    /// Depths, by decimals written: none, one, two, more.
    written: [usize; 4],
    /// Depths above zero, and of them those with a fraction, with hundredths, with finer digits, on the grid of inches in tenths of mm.
    above_zero: usize,
    fraction: usize,
    hundredths: usize,
    finer: usize,
    inch_grid: usize,
    /// Depths over 72, and over 1,825.
    over_72: usize,
    over_1825: usize,
    temperatures: usize,
    temperatures_with_fraction: usize,
    above_60: usize,
    beyond_140: usize,
    beyond_600: usize,
    snowfalls: usize,
    snow_with_fraction: usize,
}

impl Evidence {
    pub(super) fn new(heading: &Heading, columns: &Columns) -> Self {
        Self {
            rain: [columns.rain, columns.total].into_iter().flatten().collect(),
            temperature: ["TMAX", "TMIN", "TAVG", "TOBS"].iter().filter_map(|name| heading.find(name)).collect(),
            snow: heading.find("SNOW"),
            ..Self::default()
        }
    }

    /// One more row. Depths that failed a check are not looked at.
    pub(super) fn add(&mut self, row: &Row<'_, '_>) {
        for place in 0..self.rain.len() {
            let element = self.rain[place];
            let field = row.get(element.value);
            if !is_missing(field, true) && element.attributes(row).quality == b' ' {
                self.add_depth(field);
            }
        }
        for place in 0..self.temperature.len() {
            let field = row.get(self.temperature[place]);
            if let Some(tenths) = decimal::scaled(field, b'.', 10).filter(|_| !is_missing(field, true)) {
                self.temperatures += 1;
                self.temperatures_with_fraction += usize::from(tenths % 10 != 0);
                self.above_60 += usize::from(tenths > 600);
                self.beyond_140 += usize::from(tenths.abs() > 1400);
                self.beyond_600 += usize::from(tenths.abs() > 6000);
            }
        }
        if let Some(field) = self.snow.map(|place| row.get(place)).filter(|field| !is_missing(field, true)) {
            let tenths = decimal::scaled(field, b'.', 10).unwrap_or(0);
            self.snowfalls += usize::from(tenths != 0);
            self.snow_with_fraction += usize::from(tenths % 10 != 0);
        }
    }

    fn add_depth(&mut self, field: &[u8]) {
        let Some(thousandths) = decimal::scaled(field, b'.', 1000).filter(|value| *value >= 0) else { return };
        let decimals = memchr::memchr(b'.', field).map_or(0, |at| field.len() - at - 1);
        self.written[decimals.min(3)] += 1;
        if thousandths > 0 {
            self.above_zero += 1;
            self.over_72 += usize::from(thousandths > 72_000);
            self.over_1825 += usize::from(thousandths > 1_825_000);
            self.fraction += usize::from(thousandths % 1000 != 0);
            self.hundredths += usize::from(thousandths % 100 != 0);
            self.finer += usize::from(thousandths % 10 != 0);
            self.inch_grid += usize::from(is_hundredths_of_an_inch(thousandths / 1000));
        }
    }

    /// Whether a unit agrees with each piece of evidence, and what strikes it out.
    fn allows(&self, unit: DepthUnit) -> bool {
        let whole = matches!(unit, DepthUnit::TenthOfMillimetre | DepthUnit::HundredthOfInch);
        let over = match unit {
            DepthUnit::Inch => self.over_72,
            DepthUnit::Millimetre => self.over_1825,
            _ => 0,
        };
        // Whole numbers may be tenths, of which so many are nothing odd; among numbers with decimals it is a slip.
        let too_great = if self.has_decimals() { is_more_than_slips(over, self.above_zero) } else { over > 0 };
        let grid = self.shows_inch_grid();
        let hundredths = is_more_than_slips(self.hundredths, self.above_zero);
        let depths = match unit {
            DepthUnit::Inch => {
                (self.hundredths > 0 && 4 * self.hundredths >= self.above_zero) || (self.hundredths == 0 && self.above_zero < FEW)
            }
            DepthUnit::Millimetre => !hundredths && !grid,
            DepthUnit::TenthOfMillimetre => !self.has_decimals(),
            _ => !self.has_decimals() && !grid,
        };
        let finer = is_more_than_slips(self.finer, self.above_zero);
        let snow = !is_more_than_slips(self.snow_with_fraction, self.snowfalls)
            || unit == DepthUnit::Inch
            || whole && unit != DepthUnit::TenthOfMillimetre;
        depths && !finer && snow && !too_great && self.temperatures_allow(unit)
    }

    fn has_decimals(&self) -> bool {
        is_more_than_slips(self.fraction, self.above_zero)
    }

    fn temperatures_allow(&self, unit: DepthUnit) -> bool {
        let count = self.temperatures;
        if count == 0 {
            return true;
        }
        // One value in a hundred may be a slip.
        let some = |part: usize| 100 * part > count;
        if some(self.beyond_600) {
            return unit == DepthUnit::HundredthOfInch;
        }
        if some(self.beyond_140) {
            return unit == DepthUnit::TenthOfMillimetre;
        }
        let (fraction, hot) = (4 * self.temperatures_with_fraction >= count, some(self.above_60));
        match unit {
            DepthUnit::Millimetre => !hot,
            DepthUnit::Inch => !fraction,
            _ => !some(self.temperatures_with_fraction),
        }
    }

    fn shows_inch_grid(&self) -> bool {
        !self.has_decimals() && self.above_zero >= MANY && 20 * self.inch_grid >= 19 * self.above_zero
    }

    /// The decimals as they stand in an export that nobody saved again.
    fn written_unit(&self) -> Option<DepthUnit> {
        let all: usize = self.written.iter().sum();
        let [_, one, two, _] = self.written;
        if all >= 2 && !is_more_than_slips(all - two, all) {
            Some(DepthUnit::Inch)
        } else if all >= MANY && self.has_decimals() && !is_more_than_slips(all - one, all) {
            Some(DepthUnit::Millimetre)
        } else {
            None
        }
    }

    /// In words, for whoever wonders.
    fn told(&self) -> String {
        let mut told = vec![format!(
            "of {} depths above zero {} have tenths or finer digits and {} hundredths",
            self.above_zero, self.fraction, self.hundredths
        )];
        if self.shows_inch_grid() {
            told.push(format!("{} are hundredths of an inch in tenths of a millimetre", self.inch_grid));
        }
        if self.temperatures > 0 {
            told.push(format!(
                "of {} temperatures {} have decimals, {} are above 60 and {} beyond 140",
                self.temperatures, self.temperatures_with_fraction, self.above_60, self.beyond_140
            ));
        }
        if self.snow_with_fraction > 0 {
            told.push(format!("{} depths of snowfall have decimals", self.snow_with_fraction));
        }
        told.join("; ")
    }
}

/// Whether so many of all are more than slips of the pen, which one in twenty may be (our choice, no source).
fn is_more_than_slips(part: usize, all: usize) -> bool {
    20 * part > all
}

/// Whether a whole number of tenths of a millimetre is a rounded whole number of hundredths of an inch (2.54 of them each).
fn is_hundredths_of_an_inch(tenths: i64) -> bool {
    let near = tenths * 100 / 254;
    (near..=near + 1).any(|hundredths| (hundredths * 254 + 50) / 100 == tenths)
}

/// The units of the file and why.
pub(super) fn decide(file: &str, evidence: &Evidence, wanted: Wanted) -> Result<(Units, String), Error> {
    let told = evidence.told();
    let (depth, why) = if evidence.above_zero == 0 {
        (wanted.depth_unit.unwrap_or(DepthUnit::Millimetre), "every depth is zero, which is the same in any unit".to_owned())
    } else {
        let left: Vec<DepthUnit> = ALL.into_iter().filter(|unit| evidence.allows(*unit)).collect();
        let written = evidence.written_unit().filter(|unit| left.contains(unit));
        match (left.as_slice(), written, wanted.depth_unit) {
            ([unit], ..) => (*unit, format!("the file does not name its unit; its numbers are {unit}: {told}")),
            (_, Some(unit), _) => {
                (unit, format!("the file does not name its unit; it is written as exports in {unit} are, to that many decimals: {told}"))
            }
            (_, _, Some(unit)) => (unit, format!("the file does not name its unit; {unit} were given as the answer: {told}")),
            _ => {
                let found = if left.is_empty() {
                    "the numbers contradict each other about their unit".to_owned()
                } else {
                    let names: Vec<String> = left.iter().map(ToString::to_string).collect();
                    format!("the file does not name its unit, and its numbers may be {}", names.join(" or "))
                };
                return Err(Error::OpenQuestion {
                    file: file.to_owned(),
                    found: format!("{found} ({told})"),
                    question: format!(
                        "in which unit was it ordered, millimetres or inches? Order it again with station name and flags, or {}",
                        crate::error::UNIT_BESIDE
                    ),
                    further: Vec::new(),
                });
            }
        }
    };
    let temperature = match depth {
        DepthUnit::Inch => Some(TemperatureUnit::Fahrenheit),
        DepthUnit::TenthOfMillimetre => Some(TemperatureUnit::TenthOfCelsius),
        DepthUnit::Millimetre => Some(TemperatureUnit::Celsius),
        // Tenths of a degree Fahrenheit are not read.
        _ => None,
    };
    // An answer that the temperatures contradict settles the rain only.
    let temperature = temperature.filter(|_| evidence.temperatures_allow(depth));
    Ok((Units { depth, temperature, nines_are_missing: true }, why))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::delimited::Rows;

    fn decided(heading: &str, rows: &[&str]) -> Result<DepthUnit, Error> {
        let text = format!("{heading}\n{}\n", rows.join("\n"));
        let mut lines = Rows::new(text.as_bytes(), b',');
        let heading = lines.next_row().map(|row| Heading::of(&row)).unwrap();
        let mut evidence = Evidence::new(&heading, &Columns::of(&heading).unwrap());
        while let Some(row) = lines.next_row() {
            evidence.add(&row);
        }
        decide("x.csv", &evidence, Wanted::default()).map(|(units, _)| units.depth)
    }

    #[test]
    fn each_grid_tells_its_unit() {
        let unit = |depths: &[&str]| {
            let rows: Vec<String> = depths.iter().map(|depth| format!("X,2001-01-01,{depth}")).collect();
            decided("STATION,DATE,PRCP", &rows.iter().map(String::as_str).collect::<Vec<_>>()).ok()
        };
        assert_eq!(unit(&["0.22", "0", "1.1"]), Some(DepthUnit::Inch));
        assert_eq!(unit(&["0.3", "0", "12.7", "5.1", "80.0", "2"]), Some(DepthUnit::Millimetre));
        assert_eq!(unit(&["0.00", "0.10", "0.00"]), Some(DepthUnit::Inch), "two decimals throughout");
        assert_eq!(unit(&["0", "0.0", "0"]), Some(DepthUnit::Millimetre), "any");
        assert_eq!(unit(&["0.1", "0", "0.2"]), None);
        assert_eq!(unit(&["0", "3", "20", "16", "5", "1"]), None, "whole numbers of any unit but inches");
        assert_eq!(unit(&["5.588", "0.254", "2.54"]), None, "somebody multiplied");
        let grid: Vec<String> = (1..60).map(|hundredths| ((hundredths * 254 + 50) / 100).to_string()).collect();
        assert_eq!(unit(&grid.iter().map(String::as_str).collect::<Vec<_>>()), Some(DepthUnit::TenthOfMillimetre));
        let whole: Vec<String> = (1..60).map(|depth| depth.to_string()).collect();
        assert_eq!(unit(&whole.iter().map(String::as_str).collect::<Vec<_>>()), None);
    }

    #[test]
    fn temperatures_and_snowfall_are_evidence_too() {
        let head = "STATION,DATE,PRCP,TMAX";
        assert_eq!(decided(head, &["X,2001-01-01,3,22.5", "X,2001-01-02,0,19.1"]).unwrap(), DepthUnit::Millimetre);
        assert_eq!(decided(head, &["X,2001-01-01,3,225", "X,2001-01-02,0,191"]).unwrap(), DepthUnit::TenthOfMillimetre);
        assert_eq!(decided(head, &["X,2001-01-01,0.3,81", "X,2001-01-02,0,79"]).unwrap(), DepthUnit::Inch);
        // Hundredths of rain and decimals of temperature contradict each other.
        let error = decided(head, &["X,2001-01-01,0.33,22.5", "X,2001-01-02,0,19.1"]).unwrap_err();
        assert!(error.to_string().contains("contradict"), "{error}");
        assert_eq!(decided("STATION,DATE,PRCP,SNOW", &["X,2001-01-01,0.1,1.2"]).unwrap(), DepthUnit::Inch);
    }
}
