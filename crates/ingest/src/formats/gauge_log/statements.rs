//! What a log says about itself in words: unit, order of the date, hour of reading, decimal mark, who and where the gauge is.

use super::vocabulary::{COMMA, DATE, DAY, DECIMAL, MIDNIGHT, MONTH, NOON, POINT, RAIN, READ, UNIT, YEAR, folded, has, words};
use crate::{DateOrder, DepthUnit, fields};
use series::{DayLabel, Station};

/// Everything that was stated.
#[derive(Debug, Clone, Default)]
pub(super) struct Statements {
    /// The different units that were stated, none to several.
    pub(super) units: Vec<DepthUnit>,
    pub(super) order: Option<DateOrder>,
    /// Hours and minutes, as 900 for nine o'clock.
    pub(super) time: Option<u16>,
    pub(super) label: Option<DayLabel>,
    pub(super) mark: Option<u8>,
    pub(super) station: Station,
}

/// Lines that are comments wherever they stand.
pub(super) fn is_comment(line: &[u8]) -> bool {
    line.trim_ascii_start().starts_with(b"#")
}

impl Statements {
    fn unit(&mut self, unit: Option<DepthUnit>) {
        if let Some(unit) = unit.filter(|unit| !self.units.contains(unit)) {
            self.units.push(unit);
        }
    }

    /// A line before the table.
    pub(super) fn line(&mut self, line: &str) {
        let line = line.trim_start_matches(['#', '%', '!', ' ', '\t']).trim_matches(['"', ' ', '\t', ',', ';']);
        match line.split_once([':', '=']) {
            // `read at 09:00` has its colon in the time.
            Some((key, value)) if !key.ends_with(|c: char| c.is_ascii_digit()) => self.key(key, value.trim()),
            _ => self.phrase(line),
        }
        self.title(line);
    }

    /// `INVENTED PLACE, XX US (XX000000001)`, as the tables of daily summaries on NOAA's pages begin.
    fn title(&mut self, line: &str) {
        let Some((name, id)) = line.strip_suffix(')').and_then(|line| line.rsplit_once('(')) else { return };
        if fields::is_station_id(id.as_bytes()) && self.station.id.is_empty() {
            id.clone_into(&mut self.station.id);
            self.station.name = printable(name);
        }
    }

    fn key(&mut self, key: &str, value: &str) {
        let key = words(key);
        let number = || fields::decimal(value.as_bytes(), 1, value.len().max(1));
        let first = key.first().map_or("", String::as_str);
        if has(&key, UNIT) || has(&key, &["depth", "depths"]) || has(&key, RAIN) {
            self.unit(unit_in(value));
        } else if has(&key, DECIMAL) {
            self.mark = mark_in(value);
        } else if first == "dated" {
            self.label = label_in(value);
        } else if has(&key, DATE) {
            self.order = self.order.or_else(|| order_in(value));
        } else if has(&key, READ) || has(&key, &["hour", "time", "observation", "observed"]) {
            self.time = time_in(value);
        } else if has(&key, &["latitude", "lat", "breite", "latitud", "breedte"]) {
            self.station.latitude = number().filter(|degrees| degrees.abs() <= 90.0);
        } else if has(&key, &["longitude", "lon", "long", "lange", "longitud", "lengte"]) {
            self.station.longitude = number().filter(|degrees| degrees.abs() <= 180.0);
        } else if has(&key, &["elevation", "altitude", "height", "hohe", "altitud", "hoogte"]) {
            let metres = value.trim_end_matches(['m', ' ']);
            self.station.elevation = fields::decimal(metres.as_bytes(), 1, metres.len().max(1)).filter(|metres| metres.abs() <= 9000.0);
        } else if has(&key, &["id", "identifier"]) {
            printable(value).clone_into(&mut self.station.id);
        } else if has(&key, &["name", "gauge", "station", "site", "place", "nom", "nombre", "naam", "nome"]) {
            self.station.name = printable(value);
        }
    }

    /// Words without a key: only what cannot be meant otherwise.
    fn phrase(&mut self, line: &str) {
        let all = words(line);
        if all.first().is_some_and(|word| READ.contains(&word.as_str())) {
            self.time = self.time.or_else(|| time_in(line));
        }
        if all.first().is_some_and(|word| word == "dated") {
            self.label = self.label.or_else(|| label_in(line));
        }
        if has(&all, DECIMAL) {
            self.mark = self.mark.or_else(|| mark_in(line));
        }
        if has(&all, RAIN) && !has(&all, &["in"]) || has(&all, RAIN) && has(&all, &["mm", "inches", "millimetres", "millimeters"]) {
            self.unit(unit_in(line));
        }
        self.order = self.order.or_else(|| order_in(line));
    }

    /// A field of the heading that is neither date nor depth; whether it is a statement and no name of a column.
    pub(super) fn heading_field(&mut self, field: &str) -> bool {
        let all = words(field);
        match all.first().map(String::as_str) {
            Some(word) if READ.contains(&word) => self.time = self.time.or_else(|| time_in(field)),
            Some("dated") => self.label = self.label.or_else(|| label_in(field)),
            Some(word) if DECIMAL.contains(&word) => self.mark = self.mark.or_else(|| mark_in(field)),
            _ => return false,
        }
        true
    }

    /// The heading of the date: its order and perhaps the hour.
    pub(super) fn date_heading(&mut self, field: &str) {
        self.order = self.order.or_else(|| order_in(field));
    }

    /// The heading of the depth: its unit, and perhaps the hour.
    pub(super) fn depth_heading(&mut self, field: &str) {
        self.unit(unit_in(field));
        if let Some(at) = field.to_lowercase().find("read at") {
            self.time = self.time.or_else(|| field.get(at..).and_then(time_in));
        }
    }
}

fn printable(text: &str) -> String {
    text.chars().take(200).map(|c| if c.is_control() { '.' } else { c }).collect::<String>().trim().to_owned()
}

/// A unit as it stands behind a number.
pub(super) fn short_unit(text: &[u8]) -> Option<DepthUnit> {
    match text.to_ascii_lowercase().as_slice() {
        b"mm" | b"millimetres" | b"millimeters" => Some(DepthUnit::Millimetre),
        b"cm" => Some(DepthUnit::Centimetre),
        b"in" | b"in." | b"inch" | b"inches" | b"\"" | b"''" => Some(DepthUnit::Inch),
        b"points" | b"pts" => Some(DepthUnit::HundredthOfInch),
        _ => None,
    }
}

/// The unit that a text names; nothing where it names two. "in" is taken for the unit only at the end, as in `rain (in)`.
pub(super) fn unit_in(text: &str) -> Option<DepthUnit> {
    let all = words(text);
    let glued = |end: &str| all.iter().any(|word| word.strip_suffix(end).is_some_and(|head| RAIN.contains(&head)));
    let millimetres = has(&all, &["mm", "millimetre", "millimetres", "millimeter", "millimeters", "milimetros"])
        || glued("mm")
        || (has(&all, &["l", "litre", "litres", "liter", "liters", "litros"])
            && has(&all, &["m2", "m\u{b2}", "qm", "metre", "meter", "quadratmeter"]));
    let centimetres = has(&all, &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]);
    let points = has(&all, &["point", "points", "pts"]) && !has(&all, DECIMAL);
    let inches = has(&all, &["inch", "inches", "\""]) || glued("inches") || glued("in");
    let inches = inches || (!millimetres && !centimetres && all.last().is_some_and(|word| word == "in"));
    let tenths = has(&all, &["tenth", "tenths"]) || text.contains("1/10") || text.contains("0.1 mm");
    let hundredths = has(&all, &["hundredth", "hundredths"]) || text.contains("1/100");
    match (millimetres, centimetres, inches, points) {
        (true, false, false, false) if tenths => Some(DepthUnit::TenthOfMillimetre),
        (true, false, false, false) if !hundredths => Some(DepthUnit::Millimetre),
        (false, true, false, false) if !tenths && !hundredths => Some(DepthUnit::Centimetre),
        (false, false, true, false) if !hundredths && !tenths => Some(DepthUnit::Inch),
        (false, false, true, _) if hundredths => Some(DepthUnit::HundredthOfInch),
        (false, false, _, true) => Some(DepthUnit::HundredthOfInch),
        _ => None,
    }
}

/// The order in which day, month and year are named.
pub(super) fn order_in(text: &str) -> Option<DateOrder> {
    let text = folded(text);
    let names: Vec<&str> = text.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty()).collect();
    // French "jj" are days beside "aaaa", German and Dutch "jj" are years.
    let french = names.iter().any(|word| matches!(*word, "a" | "aa" | "aaaa"));
    let letters: Vec<char> = names
        .into_iter()
        .map(|word| match word {
            "j" | "jj" if french => 'd',
            "d" | "dd" | "t" | "tt" => 'd',
            "m" | "mm" | "mmm" | "mon" => 'm',
            "y" | "yy" | "yyyy" | "j" | "jj" | "jjjj" | "a" | "aa" | "aaaa" => 'y',
            word if DAY.contains(&word) => 'd',
            word if MONTH.contains(&word) => 'm',
            word if YEAR.contains(&word) => 'y',
            _ => '-',
        })
        .collect();
    letters.windows(3).find_map(|three| match three {
        ['d', 'm', 'y'] => Some(DateOrder::DayMonthYear),
        ['m', 'd', 'y'] => Some(DateOrder::MonthDayYear),
        ['y', 'm', 'd'] => Some(DateOrder::YearMonthDay),
        _ => None,
    })
}

/// A time of day: `09:00`, `0900`, `9 am`, `9 h`, `9`, noon, midnight (the end of the date).
pub(super) fn time_in(text: &str) -> Option<u16> {
    let (lower, all) = (text.to_lowercase(), words(text));
    if has(&all, MIDNIGHT) {
        return Some(2400);
    }
    if has(&all, NOON) {
        return Some(1200);
    }
    let start = lower.find(|c: char| c.is_ascii_digit())?;
    let rest = &lower[start..];
    let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let (head, tail) = rest.split_at(digits);
    let number: u16 = head.parse().ok().filter(|_| head.len() <= 4)?;
    let (hours, minutes, tail) = if head.len() > 2 {
        (number / 100, number % 100, tail)
    } else if let Some(more) = tail.strip_prefix([':', '.', 'h']).filter(|more| more.starts_with(|c: char| c.is_ascii_digit())) {
        let minutes = more.get(..2)?.parse().ok()?;
        (number, minutes, &more[2..])
    } else {
        (number, 0, tail)
    };
    let tail = tail.trim_start().replace('.', "");
    let hours = match (tail.starts_with("am"), tail.starts_with("pm"), hours) {
        (true, _, 12) => 0,
        (_, true, 1..=11) => hours + 12,
        _ => hours,
    };
    (minutes < 60 && (hours < 24 || (hours == 24 && minutes == 0))).then_some(hours * 100 + minutes)
}

/// Which date a reading bears.
fn label_in(text: &str) -> Option<DayLabel> {
    let all = words(text);
    if has(&all, &["before", "previous", "begin", "begins", "beginning", "start", "starts", "first"]) {
        Some(DayLabel::FirstDay)
    } else if has(&all, &["reading", "read", "end", "ends", "last", "same"]) {
        Some(DayLabel::LastDay)
    } else {
        None
    }
}

fn mark_in(text: &str) -> Option<u8> {
    let all = words(text);
    if has(&all, COMMA) || text.trim() == "," {
        Some(b',')
    } else if has(&all, POINT) || text.trim() == "." {
        Some(b'.')
    } else {
        None
    }
}

/// A date field and the time behind it: `2024-03-01 09:00`, `2024-03-01T09:00`.
pub(super) fn split_time(field: &[u8]) -> (&[u8], &[u8]) {
    let Some(colon) = memchr::memchr(b':', field) else { return (field, b"") };
    match field[..colon].iter().rposition(|byte| matches!(byte, b' ' | b'T')) {
        Some(at) => (field[..at].trim_ascii(), field[at + 1..].trim_ascii()),
        None => (field, b""),
    }
}

/// `2024-03-01 to 2024-03-03` or `2024-03-01..2024-03-03`: first and last.
pub(super) fn range(field: &[u8]) -> (&[u8], Option<&[u8]>) {
    for between in [" to ", "..", " - ", " \u{2013} ", " bis ", " au ", " al ", " tot ", " at\u{e9} "].map(str::as_bytes) {
        if let Some(at) = memchr::memmem::find(field, between) {
            return (field[..at].trim_ascii(), Some(field[at + between.len()..].trim_ascii()));
        }
    }
    (field, None)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_in_words() {
        for (text, unit) in [
            ("rain (mm)", Some(DepthUnit::Millimetre)),
            ("Rain_in", Some(DepthUnit::Inch)),
            ("rain in mm", Some(DepthUnit::Millimetre)),
            ("rainfall, inches", Some(DepthUnit::Inch)),
            ("rainfallmm", Some(DepthUnit::Millimetre)),
            ("rain (tenths of a millimetre)", Some(DepthUnit::TenthOfMillimetre)),
            ("rain (hundredths of an inch)", Some(DepthUnit::HundredthOfInch)),
            ("points", Some(DepthUnit::HundredthOfInch)),
            ("rain [L/m\u{b2}]", Some(DepthUnit::Millimetre)),
            ("rain (cm)", Some(DepthUnit::Centimetre)),
            ("Regen", None),
            ("Niederschlag [l/m\u{b2}]", Some(DepthUnit::Millimetre)),
            ("Pr\u{e9}cipitations (mm)", Some(DepthUnit::Millimetre)),
            ("rain", None),
            ("rain in the garden", None),
            ("rain (mm or inches)", None),
        ] {
            assert_eq!(unit_in(text), unit, "{text}");
        }
    }

    #[test]
    fn orders_and_times_in_words() {
        assert_eq!(order_in("date (day/month/year)"), Some(DateOrder::DayMonthYear));
        assert_eq!(order_in("MM/DD/YYYY"), Some(DateOrder::MonthDayYear));
        assert_eq!(order_in("date [yyyy-mm-dd]"), Some(DateOrder::YearMonthDay));
        assert_eq!((order_in("date"), order_in("month and day of the year")), (None, None));
        let day_first = [
            "Datum (TT.MM.JJJJ)",
            "Tag.Monat.Jahr",
            "TT.MM.JJ",
            "date (jj/mm/aaaa)",
            "jour/mois/ann\u{e9}e",
            "d\u{ed}a/mes/a\u{f1}o",
            "dd-mm-jjjj",
        ];
        assert!(day_first.iter().all(|text| order_in(text) == Some(DateOrder::DayMonthYear)));
        for (text, time) in [
            ("read at 09:00", Some(900)),
            ("9 am", Some(900)),
            ("9 p.m.", Some(2100)),
            ("0730", Some(730)),
            ("7h30", Some(730)),
            ("9", Some(900)),
            ("midnight", Some(2400)),
            ("abgelesen um 7 Uhr", Some(700)),
            ("relev\u{e9} \u{e0} 8h30", Some(830)),
            ("afternoon", None),
            ("25:00", None),
            ("morning", None),
            ("9:7", None),
        ] {
            assert_eq!(time_in(text), time, "{text}");
        }
    }
}
