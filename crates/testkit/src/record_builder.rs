//! Text of a station's file in the GHCN-Daily layout, built day by day for tests and for the sample data.
//!
//! Layout (GHCN-Daily readme 3.26, section III): one line a month and element; columns 1-11 id, 12-15 year, 16-17 month, 18-21 element,
//! then 31 times value (5), measurement flag, quality flag, source flag; missing is -9999 with blank flags; depth of precipitation in
//! tenths of a millimetre, temperature in tenths of a degree Celsius, snowfall and snow depth in millimetres. A line has 269 columns and a
//! newline. Lines stand by year, month, then element in the order that real files have.
//!
//! ```
//! use testkit::DlyText;
//!
//! let text = DlyText::new("XXT00000001")
//!     .rain_mm((2001, 2, 1), 1.2)
//!     .trace((2001, 2, 2))
//!     .accumulated_mm((2001, 2, 5), 14.0, Some(3))
//!     .flagged((2001, 2, 6), "PRCP", 9999, 'G')
//!     .to_text();
//! assert_eq!(text.lines().count(), 3); // PRCP, DAPR, MDPR
//! assert!(text.lines().all(|line| line.len() == 269));
//! ```

use std::collections::BTreeMap;
use std::fmt::Write;

/// Year, month, day of a value.
pub type Date = (i32, u32, u32);

/// The value that stands for "missing" in the layout.
pub const MISSING: i32 = -9999;

/// The source flag of values that nobody measured. The readme gives this letter to no source.
pub const INVENTED_SOURCE: char = 'v';

/// Value and flags of one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cell {
    /// Value in the element's unit of the layout; [`MISSING`] when there is none.
    pub value: i32,
    /// Measurement, quality and source flag.
    pub flags: [char; 3],
}

impl Cell {
    /// No value, no flags.
    pub const EMPTY: Self = Self { value: MISSING, flags: [' '; 3] };
}

/// Key of a line: year, month, place of the element in a file, element.
type LineKey = (i32, u32, usize, String);

/// A station's file that grows by values. Days without a value on a line that exists are missing; a line exists once it was given a value
/// or was asked for ([`DlyText::missing`]).
#[derive(Debug, Clone)]
pub struct DlyText {
    id: String,
    source: char,
    lines: BTreeMap<LineKey, [Cell; 31]>,
}

impl DlyText {
    /// An empty file of the station `id` (11 characters).
    ///
    /// # Panics
    /// When the id has not 11 printable ASCII characters: the test is wrong.
    pub fn new(id: &str) -> Self {
        require(id.len() == 11 && id.bytes().all(|b| b.is_ascii_graphic()), "a station id has 11 characters", id);
        Self { id: id.to_owned(), source: INVENTED_SOURCE, lines: BTreeMap::new() }
    }

    /// Use this source flag for the values that follow, in place of [`INVENTED_SOURCE`].
    #[must_use]
    pub fn source(mut self, source: char) -> Self {
        self.source = source;
        self
    }

    /// A whole month of an element from its first day on: value and flags ("", or measurement, then quality, then source flag; a source
    /// flag not given is the builder's). `None` is a missing day.
    #[must_use]
    pub fn month(mut self, year: i32, month: u32, element: &str, days: &[Option<(i32, &str)>]) -> Self {
        self.require_line(year, month, element);
        for (day, cell) in (1..).zip(days) {
            if let Some((value, given)) = cell {
                let mut flags = [' ', ' ', self.source];
                for (place, flag) in flags.iter_mut().zip(given.chars()) {
                    *place = flag;
                }
                self.set((year, month, day), element, Cell { value: *value, flags });
            }
        }
        self
    }

    /// A measured depth of rain in mm, to the tenth.
    #[must_use]
    pub fn rain_mm(mut self, date: Date, depth_mm: f64) -> Self {
        self.put(date, "PRCP", tenths(depth_mm), [' ', ' ']);
        self
    }

    /// Measured depths in mm on the days from `first` on, over the ends of months and years; `None` is a missing day.
    #[must_use]
    pub fn rain_run_mm(mut self, first: Date, depths_mm: &[Option<f64>]) -> Self {
        let mut date = first;
        for depth in depths_mm {
            match depth {
                Some(depth) => self.put(date, "PRCP", tenths(*depth), [' ', ' ']),
                None => self.set(date, "PRCP", Cell::EMPTY),
            }
            date = day_after(date);
        }
        self
    }

    /// A trace: value 0 with measurement flag T.
    #[must_use]
    pub fn trace(mut self, date: Date) -> Self {
        self.put(date, "PRCP", 0, ['T', ' ']);
        self
    }

    /// A zero that was presumed, not read: value 0 with measurement flag P.
    #[must_use]
    pub fn presumed_zero(mut self, date: Date) -> Self {
        self.put(date, "PRCP", 0, ['P', ' ']);
        self
    }

    /// A day of rain without a value, on a line that exists.
    #[must_use]
    pub fn missing(mut self, date: Date) -> Self {
        self.set(date, "PRCP", Cell::EMPTY);
        self
    }

    /// A total in mm over `days` days that ends on `date` (MDPR with DAPR); with `None` a total of unknown length (MDPR alone).
    #[must_use]
    pub fn accumulated_mm(mut self, date: Date, depth_mm: f64, days: Option<i32>) -> Self {
        self.put(date, "MDPR", tenths(depth_mm), [' ', ' ']);
        if let Some(days) = days {
            self.put(date, "DAPR", days, [' ', ' ']);
        }
        self
    }

    /// Greatest and least temperature of a day in degrees Celsius, to the tenth.
    #[must_use]
    pub fn temperature_c(mut self, date: Date, greatest: f64, least: f64) -> Self {
        self.put(date, "TMAX", tenths(greatest), [' ', ' ']);
        self.put(date, "TMIN", tenths(least), [' ', ' ']);
        self
    }

    /// A value in the layout's unit, without flags of measurement or quality.
    #[must_use]
    pub fn value(mut self, date: Date, element: &str, value: i32) -> Self {
        self.put(date, element, value, [' ', ' ']);
        self
    }

    /// A value in the layout's unit that a quality check refused with this letter.
    #[must_use]
    pub fn flagged(mut self, date: Date, element: &str, value: i32, quality: char) -> Self {
        self.put(date, element, value, [' ', quality]);
        self
    }

    /// A value in the layout's unit with this measurement flag.
    #[must_use]
    pub fn measured_as(mut self, date: Date, element: &str, value: i32, measurement: char) -> Self {
        self.put(date, element, value, [measurement, ' ']);
        self
    }

    /// Set value with measurement and quality flag in place; the source flag is the builder's.
    pub fn put(&mut self, date: Date, element: &str, value: i32, flags: [char; 2]) {
        self.set(date, element, Cell { value, flags: [flags[0], flags[1], self.source] });
    }

    /// Set a cell in place. A day that the month has not (30 February) can be written on purpose.
    ///
    /// # Panics
    /// When the cell does not fit the layout: the test is wrong.
    pub fn set(&mut self, date: Date, element: &str, cell: Cell) {
        let (year, month, day) = date;
        require((1..=31).contains(&day), "a day is 1 to 31", &format!("{date:?}"));
        require((-9999..=99_999).contains(&cell.value), "a value has five columns", &cell.value.to_string());
        require(cell.flags.iter().all(char::is_ascii), "a flag has one column", &format!("{:?}", cell.flags));
        self.require_line(year, month, element)[day as usize - 1] = cell;
    }

    /// The cell of a day, if its line exists.
    pub fn get(&self, date: Date, element: &str) -> Option<Cell> {
        let key = (date.0, date.1, place_of(element), element.to_owned());
        self.lines.get(&key).and_then(|cells| cells.get((date.2 as usize).checked_sub(1)?)).copied()
    }

    /// Take a month's line of an element away.
    pub fn remove_line(&mut self, year: i32, month: u32, element: &str) {
        self.lines.remove(&(year, month, place_of(element), element.to_owned()));
    }

    /// Elements of the file with the first and the last year in which each has a value without a quality flag, as the inventory lists
    /// them, in the order of the file.
    pub fn inventory(&self) -> Vec<(String, i32, i32)> {
        let mut years: BTreeMap<(usize, &str), (i32, i32)> = BTreeMap::new();
        for ((year, _, place, element), cells) in &self.lines {
            if cells.iter().any(|cell| cell.value != MISSING && cell.flags[1] == ' ') {
                let span = years.entry((*place, element)).or_insert((*year, *year));
                *span = (span.0.min(*year), span.1.max(*year));
            }
        }
        years.into_iter().map(|((_, element), (first, last))| (element.to_owned(), first, last)).collect()
    }

    /// The file: lines of 269 columns, each with a newline.
    pub fn to_text(&self) -> String {
        let mut text = String::with_capacity(self.lines.len() * 270);
        for ((year, month, _, element), cells) in &self.lines {
            // Writing to a string cannot fail.
            let _ = write!(text, "{}{year:04}{month:02}{element}", self.id);
            for Cell { value, flags: [measurement, quality, source] } in cells {
                let _ = write!(text, "{value:5}{measurement}{quality}{source}");
            }
            text.push('\n');
        }
        text
    }

    /// The file with the line ends of another system.
    pub fn to_text_crlf(&self) -> String {
        self.to_text().replace('\n', "\r\n")
    }

    fn require_line(&mut self, year: i32, month: u32, element: &str) -> &mut [Cell; 31] {
        require((0..=9999).contains(&year), "a year has four columns", &year.to_string());
        require((1..=99).contains(&month), "a month has two columns", &month.to_string());
        require(element.len() == 4 && element.is_ascii(), "an element has four columns", element);
        let key = (year, month, place_of(element), element.to_owned());
        self.lines.entry(key).or_insert([Cell::EMPTY; 31])
    }
}

/// Place of an element among a month's lines, as found in real files; the others follow by name.
fn place_of(element: &str) -> usize {
    const ORDER: [&str; 8] = ["TMAX", "TMIN", "TOBS", "PRCP", "SNOW", "SNWD", "DAPR", "MDPR"];
    ORDER.iter().position(|known| *known == element).unwrap_or(ORDER.len())
}

fn tenths(value: f64) -> i32 {
    (value * 10.0).round() as i32
}

fn day_after((year, month, day): Date) -> Date {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let length = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    match (day < length, month < 12) {
        (true, _) => (year, month, day + 1),
        (false, true) => (year, month + 1, 1),
        (false, false) => (year + 1, 1, 1),
    }
}

/// Only tests and the maker of the sample data build records; a wrong one must stop there.
fn require(holds: bool, rule: &str, got: &str) {
    assert!(holds, "{rule}; got {got:?}");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_stands_column_by_column_as_the_readme_says() {
        // GHCN-Daily readme 3.26, section III.
        let text = DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).flagged((2001, 2, 28), "PRCP", 9999, 'G').to_text();
        assert_eq!((text.len(), &text[269..]), (270, "\n"));
        assert_eq!(&text[..21], "XXT00000001200102PRCP");
        assert_eq!(&text[21..29], "   12  v");
        assert_eq!(&text[29..37], "-9999   ");
        assert_eq!(&text[21 + 27 * 8..21 + 28 * 8], " 9999 Gv");
        assert_eq!(&text[261..269], "-9999   ");
    }

    #[test]
    fn a_month_with_flags_agrees_with_the_same_month_by_days() {
        let whole = DlyText::new("XXT00000001").month(2001, 2, "PRCP", &[Some((12, "")), None, Some((0, "T")), Some((7, " I0"))]);
        let by_days =
            DlyText::new("XXT00000001").rain_mm((2001, 2, 1), 1.2).trace((2001, 2, 3)).source('0').flagged((2001, 2, 4), "PRCP", 7, 'I');
        assert_eq!(whole.to_text(), by_days.to_text());
    }

    #[test]
    fn lines_stand_in_the_order_of_real_files() {
        // USC00043761.dly and others of GHCN-Daily: TMAX TMIN (TOBS) PRCP SNOW SNWD DAPR MDPR, then weather types.
        let text = DlyText::new("XXT00000001")
            .value((2001, 3, 1), "WT01", 1)
            .accumulated_mm((2001, 3, 5), 3.0, Some(2))
            .value((2001, 3, 1), "SNOW", 10)
            .rain_mm((2001, 3, 1), 1.0)
            .temperature_c((2001, 3, 1), 4.0, -2.5)
            .rain_mm((2000, 12, 1), 1.0)
            .to_text();
        let keys: Vec<&str> = text.lines().map(|line| &line[11..21]).collect();
        let march = ["200103TMAX", "200103TMIN", "200103PRCP", "200103SNOW", "200103DAPR", "200103MDPR", "200103WT01"];
        assert_eq!((keys[0], &keys[1..]), ("200012PRCP", &march[..]));
        assert!(text.contains("200103TMIN  -25  v"));
    }

    #[test]
    fn a_run_crosses_the_leap_day_and_the_year() {
        let text = DlyText::new("XXT00000001")
            .rain_run_mm((2004, 2, 28), &[Some(0.1), Some(0.2), Some(0.3)])
            .rain_run_mm((2004, 12, 31), &[Some(0.4), None, Some(0.6)]);
        let value = |date| text.get(date, "PRCP").map(|cell| cell.value);
        assert_eq!(value((2004, 2, 29)), Some(2));
        assert_eq!(value((2004, 3, 1)), Some(3));
        assert_eq!((value((2005, 1, 1)), value((2005, 1, 2))), (Some(MISSING), Some(6)));
    }

    #[test]
    fn the_inventory_counts_unflagged_years_only() {
        let text = DlyText::new("XXT00000001")
            .flagged((1999, 1, 1), "PRCP", 5, 'D')
            .rain_mm((2000, 1, 1), 0.0)
            .rain_mm((2003, 1, 1), 0.0)
            .missing((2009, 1, 1));
        assert_eq!(text.inventory(), [("PRCP".to_owned(), 2000, 2003)]);
    }

    #[test]
    #[should_panic(expected = "a station id has 11 characters")]
    fn a_short_id_stops_the_test() {
        let _ = DlyText::new("XXT1");
    }
}
