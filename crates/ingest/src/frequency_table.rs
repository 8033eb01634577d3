//! Point precipitation-frequency tables of NOAA Atlas 14: depths or intensities by duration and return period. No station record, but the
//! official table that a design intensity is read from.
//!
//! Layout (the files themselves; variants of unit, kind and series as quoted in public code): lines of `key: value` (title with the unit,
//! volume and version, data type, time series type, place, station, latitude, longitude, elevation), then up to three tables, each a title
//! line, a line `by duration for ARI (years):, 1,2,5,…` (`AEP:` and `'1/2,'1/5,…` in annual-maximum tables, with or without the apostrophes) and one line a duration,
//! `24-hr:, 2.10,2.35,…`. The titles say which table: the estimates, and the upper and lower bound of their 90 % confidence interval.
//! Inches become millimetres, 1 in = 25.4 mm exactly (NIST SP 811 appendix B.8).
//!
//! The two series are not the same thing: return periods of a partial-duration series are average recurrence intervals, those of an
//! annual-maximum series are reciprocals of the annual exceedance probability. The value says which it is and converts nothing.

use crate::delimited::{Row, Rows};
use crate::formats::coordinate;
use crate::{Error, Reader, checksum_of, content, encoding, fields};
use std::fs::File;
use std::io::Read;
use std::path::Path;

mod values;

pub use values::{FrequencyKind, FrequencyRow, FrequencySeries, FrequencyTable};

/// The title line that begins every such file.
const TITLE: &[u8] = b"point precipitation frequency estimates";
/// What is expected, for a message.
const EXPECTED: &str = "a point precipitation-frequency table of NOAA Atlas 14 (CSV)";
/// Most lines that are read; a file has some 90.
const MOST_LINES: usize = 2000;

/// Whether the head of a text is such a table.
pub(crate) fn looks_like_one(head: &[u8]) -> bool {
    let start = content::without_marks(head).trim_ascii_start();
    let start = start.strip_prefix(b"\"").unwrap_or(start);
    start.get(..TITLE.len()).is_some_and(|begin| begin.eq_ignore_ascii_case(TITLE))
}

/// Read a table from a file.
///
/// # Errors
/// The file cannot be had, is empty, a web page, or is no such table: another title, no unit, no return periods, no row of numbers.
pub fn read_frequency_table(path: &Path) -> Result<FrequencyTable, Error> {
    let name = path.display().to_string();
    let mut bytes = Vec::new();
    let taken = File::open(path).and_then(|file| file.take(Reader::MOST_BYTES).read_to_end(&mut bytes));
    if let Err(source) = taken {
        return Err(Error::Unreadable { file: name, source });
    }
    frequency_table(&name, &bytes)
}

/// Read a table from bytes; `name` is how messages call them.
///
/// # Errors
/// As [`read_frequency_table`].
pub fn frequency_table(name: &str, bytes: &[u8]) -> Result<FrequencyTable, Error> {
    content::refuse_plain_faults(name, bytes, EXPECTED)?;
    if !looks_like_one(bytes) {
        return Err(content::unknown(name, bytes, EXPECTED));
    }
    let fault = |found: &str, expected: &str| Error::WrongProduct {
        file: name.to_owned(),
        found: format!("a precipitation-frequency table {found}"),
        expected: expected.to_owned(),
    };
    let mut gathered = Gathered::default();
    let mut rows = Rows::new(bytes, b',');
    let mut lines = 0;
    while let Some(row) = rows.next_row() {
        lines += 1;
        if lines > MOST_LINES {
            return Err(fault("of more than 2000 lines", EXPECTED));
        }
        gathered.line(&row);
    }
    let Some((factor, kind)) = gathered.unit() else {
        return Err(fault("whose title has no known unit", "inches, millimeters, inches/hour or millimeters/hour"));
    };
    let Some(series) = gathered.series() else {
        return Err(fault("that does not say its time series type", "\"Time series type: Partial duration\" or \"Annual maximum\""));
    };
    if gathered.return_periods.is_empty() || gathered.tables[0].is_empty() {
        return Err(fault(
            "without return periods or without a row of estimates",
            "\"by duration for ARI (years):, 1,2,5,…\" and rows of numbers",
        ));
    }
    if !gathered.return_periods.is_sorted_by(|a, b| a < b) {
        return Err(fault("whose return periods do not rise", "return periods in rising order"));
    }
    Ok(gathered.table(name, bytes, factor, kind, series))
}

/// A duration's line: minutes, its name, the numbers, the line's number.
#[derive(Debug, Clone)]
struct Stated {
    minutes: f64,
    duration: String,
    values: Vec<Option<f64>>,
    line: u32,
}

#[derive(Debug, Default)]
struct Gathered {
    title: String,
    publication: String,
    /// Keys in small letters and values of the lines before the tables.
    said: Vec<(String, String)>,
    return_periods: Vec<f64>,
    /// Estimates, upper bounds, lower bounds.
    tables: [Vec<Stated>; 3],
    at: usize,
}

impl Gathered {
    fn line(&mut self, row: &Row<'_, '_>) {
        let text = encoding::name(row.line.text, encoding::WINDOWS_1252);
        let lower = text.to_lowercase();
        let lower = lower.trim_matches(['"', ',', ' ']);
        if self.title.is_empty() {
            text.trim_start_matches('\u{feff}').trim_matches(['"', ',', ' ']).clone_into(&mut self.title);
        } else if lower.starts_with("noaa atlas") {
            text.trim_matches(['"', ',', ' ']).clone_into(&mut self.publication);
        } else if lower.contains("upper bound") {
            self.at = 1;
        } else if lower.contains("lower bound") {
            self.at = 2;
        } else if lower.starts_with("by duration") {
            let periods: Option<Vec<f64>> =
                (1..row.len()).map(|place| row.get(place)).filter(|field| !field.is_empty()).map(period).collect();
            // The later tables repeat the first one's periods; others would not belong to its columns.
            let periods = periods.unwrap_or_default();
            if self.return_periods.is_empty() {
                self.return_periods = periods;
            } else if self.return_periods != periods {
                self.at = usize::MAX;
            }
        } else if let (false, Some(minutes)) = (self.return_periods.is_empty(), minutes(row.get(0))) {
            let values: Vec<Option<f64>> = (0..self.return_periods.len()).map(|place| number(row.get(place + 1))).collect();
            let duration = encoding::name(row.get(0), encoding::WINDOWS_1252).trim_end_matches(':').to_owned();
            if let Some(table) = self.tables.get_mut(self.at).filter(|_| values.iter().any(Option::is_some)) {
                table.push(Stated { minutes, duration, values, line: row.line.number });
            }
        } else if let Some((key, value)) = text.split_once(':') {
            let plain = |part: &str| part.trim_matches(['"', ',', ' ', '\t']).to_owned();
            self.said.push((plain(key).to_lowercase(), plain(value)));
        }
    }

    /// The value behind the first key that begins so; `None` and a dash are how the server writes nothing.
    fn value(&self, key: &str) -> &str {
        let value = self.said.iter().find(|(own, _)| own.starts_with(key)).map_or("", |(_, value)| value.as_str());
        if matches!(value, "None" | "-" | "None None") { "" } else { value }
    }

    fn number(&self, key: &str) -> Option<f64> {
        let value = self.value(key);
        let end = value.find(|c: char| !(c.is_ascii_digit() || matches!(c, '-' | '+' | '.'))).unwrap_or(value.len());
        coordinate(&value.as_bytes()[..end])
    }

    /// What one unit of the file is in mm or mm/h.
    fn unit(&self) -> Option<(f64, FrequencyKind)> {
        let title = self.title.to_lowercase();
        let unit = title.split_once('(')?.1.split(')').next()?.trim();
        Some(match unit {
            "inches" => (25.4, FrequencyKind::Depth),
            "millimeters" => (1.0, FrequencyKind::Depth),
            "inches/hour" => (25.4, FrequencyKind::Intensity),
            "millimeters/hour" => (1.0, FrequencyKind::Intensity),
            _ => return None,
        })
    }

    fn series(&self) -> Option<FrequencySeries> {
        let text = self.value("time series type").to_lowercase();
        if text.starts_with("partial") {
            Some(FrequencySeries::PartialDuration)
        } else if text.starts_with("annual") {
            Some(FrequencySeries::AnnualMaximum)
        } else {
            None
        }
    }

    fn table(mut self, name: &str, bytes: &[u8], factor: f64, kind: FrequencyKind, series: FrequencySeries) -> FrequencyTable {
        let [mut estimates, upper, lower] = std::mem::take(&mut self.tables);
        let millimetres = |values: &[Option<f64>]| values.iter().map(|value| value.map(|value| value * factor)).collect::<Vec<_>>();
        let of = |table: &[Stated], minutes: f64| {
            let row = table.iter().find(|row| (row.minutes - minutes).abs() < 1e-6);
            row.map_or_else(Vec::new, |row| millimetres(&row.values))
        };
        estimates.sort_by(|a, b| a.minutes.total_cmp(&b.minutes));
        estimates.dedup_by(|later, earlier| (later.minutes - earlier.minutes).abs() < 1e-6);
        let rows = estimates
            .iter()
            .map(|row| FrequencyRow {
                duration_minutes: row.minutes,
                duration: row.duration.clone(),
                estimates: millimetres(&row.values),
                upper: of(&upper, row.minutes),
                lower: of(&lower, row.minutes),
                line: row.line,
            })
            .collect();
        let feet = self.value("elevation").contains("ft");
        FrequencyTable {
            file: name.to_owned(),
            sha256: checksum_of(bytes),
            title: self.title.clone(),
            publication: self.publication.clone(),
            place: self.value("location name").to_owned(),
            station: self.value("station name").to_owned(),
            latitude: self.number("latitude"),
            longitude: self.number("longitude"),
            // NIST SP 811 appendix B.8: 1 ft = 0.3048 m.
            elevation: self.number("elevation").map(|height| if feet { height * 0.3048 } else { height }),
            kind,
            series,
            return_periods: self.return_periods.clone(),
            rows,
            made_on: self.value("date/time").to_owned(),
        }
    }
}

/// `24-hr:` as minutes.
fn minutes(field: &[u8]) -> Option<f64> {
    let field = field.strip_suffix(b":").unwrap_or(field).trim_ascii();
    let dash = field.iter().position(|byte| *byte == b'-')?;
    let count = f64::from(fields::whole(&field[..dash])?);
    let unit = match field[dash + 1..].to_ascii_lowercase().as_slice() {
        b"min" => 1.0,
        b"hr" | b"hour" => 60.0,
        b"day" => 1440.0,
        _ => return None,
    };
    Some(count * unit).filter(|minutes| *minutes > 0.0)
}

/// A return period in years: `100`, or a probability such as `1/100`.
fn period(field: &[u8]) -> Option<f64> {
    // The server guards a probability from becoming a date in a spreadsheet: `'1/100`.
    let field = field.strip_prefix(b"'").unwrap_or(field);
    let years = field.strip_prefix(b"1/").unwrap_or(field);
    number(years).filter(|years| *years >= 1.0)
}

fn number(field: &[u8]) -> Option<f64> {
    coordinate(field).filter(|value| *value >= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(unit: &str, kind: &str, series: &str, heading: &str) -> String {
        format!(
            "Point precipitation frequency estimates ({unit})\nNOAA Atlas 14 Volume 8 Version 2\nData type: {kind}\nTime series type: {series}\nProject area: Invented\nLocation name (ESRI Maps): None\nStation Name: -\nLatitude: 42.5 Degree\nLongitude: -83.5 Degree\nElevation (USGS): 1000 ft\n\n\nPRECIPITATION FREQUENCY ESTIMATES\n{heading}\n5-min:, 0.30,0.40\n24-hr:, 2.00,3.00\n2-day:, 4.00,NA\n\nPRECIPITATION FREQUENCY ESTIMATES AT UPPER BOUND OF 90% CONFIDENCE INTERVAL\n{heading}\n5-min:, 0.50,0.60\n\nDate/time (GMT):  Thu Jul 11 21:12:30 2019\npyRunTime:  0.03\n"
        )
    }

    const ARI: &str = "by duration for ARI (years):, 2,100";

    #[test]
    fn inches_become_millimetres_and_bounds_find_their_rows() {
        let table = frequency_table("x.csv", text("inches", "Precipitation depth", "Partial duration", ARI).as_bytes()).unwrap();
        assert_eq!((table.kind, table.series), (FrequencyKind::Depth, FrequencySeries::PartialDuration));
        assert_eq!(table.return_periods, [2.0, 100.0]);
        assert!((table.estimate(1440.0, 100.0).unwrap() - 76.2).abs() < 1e-9);
        // 0.40 in in 5 minutes: 10.16 mm x 12 = 121.92 mm/h, worked by hand.
        assert!((table.intensity(5.0, 100.0).unwrap() - 121.92).abs() < 1e-9);
        assert_eq!((table.estimate(2880.0, 100.0), table.estimate(10.0, 2.0), table.estimate(5.0, 50.0)), (None, None, None));
        assert!((table.rows[0].upper[0].unwrap() - 12.7).abs() < 1e-9);
        assert!(table.rows[1].upper.is_empty() && table.rows[0].lower.is_empty());
        assert_eq!((table.latitude, table.longitude, table.place.as_str(), table.station.as_str()), (Some(42.5), Some(-83.5), "", ""));
        assert!((table.elevation.unwrap() - 304.8).abs() < 1e-9);
        assert_eq!(
            table.source(),
            "Point precipitation frequency estimates (inches), NOAA Atlas 14 Volume 8 Version 2, partial-duration series, made Thu Jul 11 21:12:30 2019"
        );
    }

    #[test]
    fn intensities_and_annual_maxima_are_told_apart() {
        for aep in ["by duration for AEP:, 1/2,1/100", "by duration for AEP:, '1/2,'1/100"] {
            let table =
                frequency_table("x.csv", text("millimeters/hour", "Precipitation intensity", "Annual maximum", aep).as_bytes()).unwrap();
            assert_eq!((table.kind, table.series), (FrequencyKind::Intensity, FrequencySeries::AnnualMaximum));
            assert_eq!((table.estimate(5.0, 100.0), table.intensity(5.0, 100.0)), (Some(0.4), Some(0.4)));
        }
    }

    #[test]
    fn what_is_no_table_is_refused_with_its_fault() {
        let depth = "Precipitation depth";
        for (text, what) in [
            (text("cubits", depth, "Partial duration", ARI), "no known unit"),
            (text("inches", depth, "Other", ARI), "time series type"),
            (text("inches", depth, "Partial duration", "by duration for ARI (years):"), "without return periods"),
            (text("inches", depth, "Partial duration", "by duration for ARI (years):, 100,2"), "do not rise"),
            ("Station,Date\n".to_owned(), "a table"),
        ] {
            let error = frequency_table("x.csv", text.as_bytes()).unwrap_err();
            assert_eq!(error.id(), "file-is-another-product");
            assert!(error.to_string().contains(what) || what == "a table", "{error}");
        }
        assert_eq!(frequency_table("x.csv", b" \n").unwrap_err().id(), "file-empty");
        assert_eq!(frequency_table("x.csv", b"<html>").unwrap_err().id(), "file-is-a-web-page");
        let record = crate::read_bytes(
            "x.csv",
            text("inches", depth, "Partial duration", ARI).as_bytes(),
            crate::Wanted::default(),
            &mut Vec::new(),
        );
        assert!(record.unwrap_err().to_string().contains("precipitation-frequency table of NOAA Atlas 14"));
    }
}
