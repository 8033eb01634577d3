//! HadUKP of the Met Office Hadley Centre: daily precipitation of the regions of the United Kingdom, each the mean of an **area**.
//!
//! Layouts (the files' own headings): `Had*_daily_qc.txt` has two or three lines of text with `Format=Year, Month, 1-31 daily precipitation
//! values`, then one line a month of year, month and 31 values; `Had*_daily_totals.txt`, its follower, has some lines of text, a heading `Date
//! Value` and one line a day (yyyy-mm-dd; as public repositories read it). Millimetres with two decimals; -99.99
//! and -99.9 are missing, and any other negative value is rejected. The last months are provisional: the heading says that values may change after quality control.
//! Source: Alexander and Jones 2001, Atmospheric Science Letters (named in the files).
//!
//! The day is 0900 to 0900 UTC, the standard time of the United Kingdom (common practice, no source), dated by the first day: the file of South-West England and Wales goes with the
//! rain of Oxford (thrown back) on the same date and with MIDAS Open, which dates by the last day, one day later (correlation 0.64
//! against 0.11 on the neighbouring dates; 1991, records in `shared/data`).
//!
//! The mean of an area has more wet days and smaller maxima than any gauge in it, so the record is marked [`Extent::ArealMean`] and a
//! warning says that no greatest day and no design storm may be taken from it.

use super::{Confidence, Format, Input};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Row, Rows};
use crate::depth_field::DepthField;
use crate::encoding::{self, WINDOWS_1252};
use crate::station_days::{Place, StationDays};
use crate::{Error, FileSummary, Sink, Wanted, content, decimal};
use series::{Day, DayDefinition, DayLabel, Diagnostics, Extent, Severity, Station};

const NAME: &str = "HadUKP daily precipitation file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

const RAIN: DepthField = DepthField { element: "precipitation", unit: DepthUnit::Millimetre };
/// Lines of text before the values.
const PREAMBLE: usize = 12;

/// The regions by a word of their title, in the order in which they are to be tried, and their abbreviation.
const REGIONS: [(&str, &str); 13] = [
    ("southeast england", "HadSEEP"),
    ("south east england", "HadSEEP"),
    ("southwest england", "HadSWEP"),
    ("south west england", "HadSWEP"),
    ("central england", "HadCEP"),
    ("northwest england", "HadNWEP"),
    ("northeast england", "HadNEEP"),
    ("southern scotland", "HadSSP"),
    ("northern scotland", "HadNSP"),
    ("eastern scotland", "HadESP"),
    ("northern ireland", "HadNIP"),
    ("england & wales", "HadEWP"),
    ("scotland", "HadSP"),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Layout {
    MonthALine,
    DayALine,
    /// Monthly and seasonal totals of the same series.
    Months,
}

fn layout(bytes: &[u8]) -> Option<Layout> {
    let head = content::first_lines(bytes, PREAMBLE).to_ascii_lowercase();
    let holds = |word: &[u8]| memchr::memmem::find(&head, word).is_some();
    if !holds(b"precipitation") || !(holds(b"alexander") || holds(b"hadukp")) {
        return None;
    }
    if holds(b"1-31 daily precipitation values") {
        return Some(Layout::MonthALine);
    }
    let headed = head.split(|byte| *byte == b'\n').any(is_day_heading);
    if holds(b"daily") && headed { Some(Layout::DayALine) } else { holds(b"monthly").then_some(Layout::Months) }
}

/// `Date      Value`
fn is_day_heading(line: &[u8]) -> bool {
    let mut words = line.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty());
    words.next().is_some_and(|word| word.eq_ignore_ascii_case(b"date"))
        && words.next().is_some_and(|word| word.eq_ignore_ascii_case(b"value"))
}

fn sniff(bytes: &[u8]) -> Confidence {
    match layout(bytes) {
        Some(Layout::Months) => Confidence::Possible,
        Some(_) => Confidence::Certain,
        None => Confidence::No,
    }
}

fn read(input: Input<'_>, _: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let layout = layout(input.bytes).filter(|layout| *layout != Layout::Months);
    let layout = layout.ok_or_else(|| input.wrong_product("a monthly file of HadUKP, sums of months and seasons"))?;
    let day_definition = DayDefinition { start_hour: Some(9), label: DayLabel::FirstDay };
    let mut days = StationDays::new(input, region(input.bytes), day_definition);
    days.extent = Extent::ArealMean;
    days.findings.whole("areal-mean", Severity::Warning, || {
        (
            "found the mean rain of an area; expected the rain of one gauge".to_owned(),
            "It is read as an areal mean: its wet days are days with rain anywhere in the area, more than at any gauge, and no greatest day or storm is taken from it.",
        )
    });
    let mut in_table = false;
    // Blanks are trimmed off each field and runs of them make empty ones, so a line is split here.
    let mut rows = Rows::new(input.bytes, b' ');
    while let Some(row) = rows.next_row() {
        let filled: Vec<usize> = (0..row.len()).filter(|place| !row.get(*place).is_empty()).collect();
        let begins_with_digit = filled.first().is_some_and(|at| row.get(*at)[0].is_ascii_digit());
        in_table |= begins_with_digit;
        match layout {
            _ if !in_table => {}
            Layout::DayALine if begins_with_digit && filled.len() == 2 => day_line(&row, &filled, &mut days),
            Layout::MonthALine if begins_with_digit && filled.len() == 33 => month_line(&row, &filled, &mut days),
            Layout::DayALine => days.findings.unreadable_line(row.line, "a date and a value"),
            _ => days.findings.unreadable_line(row.line, "year, month and 31 values"),
        }
    }
    sink.station(days.record(input, NAME));
    Ok(FileSummary { format: NAME, stations: 1, diagnostics: Diagnostics::default() })
}

/// `Daily Southwest England & Wales precipitation (mm). Values may change after QC.`
fn region(bytes: &[u8]) -> Station {
    let head = content::first_lines(bytes, PREAMBLE);
    let title = head.split(|byte| *byte == b'\n').find(|line| memchr::memmem::find(&line.to_ascii_lowercase(), b"precipitation").is_some());
    let title = encoding::name(title.unwrap_or_default(), WINDOWS_1252);
    let lower = title.to_lowercase();
    let known = REGIONS.iter().find(|(word, _)| lower.contains(word));
    let end = lower.find("precipitation").filter(|end| title.is_char_boundary(*end)).unwrap_or(title.len());
    let name = title.get(..end).unwrap_or_default().trim();
    let name = name.strip_prefix("Daily").unwrap_or(name).trim();
    Station { id: known.map_or("HadUKP", |(_, id)| id).to_owned(), name: format!("{name} (mean of an area)"), ..Station::default() }
}

fn day_line(row: &Row<'_, '_>, filled: &[usize], days: &mut StationDays<'_>) {
    match date::iso(row.get(filled[0])) {
        Ok(day) => value(row, filled[1], day, days),
        Err(fault) => days.findings.date(row.line, row.columns(filled[0]), row.get(filled[0]), fault, "yyyy-mm-dd"),
    }
}

fn month_line(row: &Row<'_, '_>, filled: &[usize], days: &mut StationDays<'_>) {
    let (year, month) = (row.get(filled[0]), row.get(filled[1]));
    if let Err(fault) = date::of_fields(year, month, b"1") {
        return days.findings.date(row.line, row.columns(filled[0]), row.line.text, fault, "year and month");
    }
    for (i, &place) in filled[2..].iter().enumerate() {
        match date::of_fields(year, month, (i + 1).to_string().as_bytes()) {
            Ok(day) => value(row, place, day, days),
            // The days that a short month lacks are there, as missing.
            Err(_) if !is_missing(row.get(place)) => {
                let number = |field| decimal::scaled(field, b'.', 1).unwrap_or(0);
                days.findings.value_of_no_day(row.line, row.columns(place), row.get(place), (number(year), number(month), i as u32 + 1));
            }
            Err(_) => {}
        }
    }
}

fn is_missing(field: &[u8]) -> bool {
    matches!(decimal::scaled(field, b'.', 1000), Some(-99_990 | -99_900 | -999_000 | -9_999_000))
}

fn value(row: &Row<'_, '_>, place: usize, day: Day, days: &mut StationDays<'_>) {
    if !is_missing(row.get(place)) {
        let reading = RAIN.reading(row, place, day, &mut days.findings);
        days.day(day, reading, Place::new(row.line, row.columns(place)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use std::fmt::Write;

    const HEAD: &str = "Daily Southwest England & Wales precipitation (mm). Values may change after QC.\n\
                        Alexander & Jones (2001, Atmospheric Science Letters).\nFormat=Year, Month, 1-31 daily precipitation values.\n";

    fn record(text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("x.txt", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        records.pop().unwrap()
    }

    /// A line of a month: its first values, then missing ones.
    fn month(year: i32, month: u32, values: &[f64]) -> String {
        let mut line = format!("{year:5}{month:5}");
        for i in 0..31 {
            write!(line, "{:7.2}", values.get(i).copied().unwrap_or(-99.99)).unwrap();
        }
        line + "\n"
    }

    #[test]
    fn a_month_a_line_is_read_as_the_mean_of_an_area() {
        let february = [1.5; 31];
        let text = format!(
            "{HEAD}{}{}{}\n 2001    4   1.0\n",
            month(2001, 1, &[0.6, -99.99, 15.01]),
            month(2001, 2, &february),
            month(2001, 3, &[])
        );
        let StationRecord { rain, diagnostics, .. } = record(&text);
        assert_eq!((rain.extent, rain.station.id.as_str()), (Extent::ArealMean, "HadSWEP"));
        assert_eq!(rain.station.name, "Southwest England & Wales (mean of an area)");
        let counts = rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.missing), (59, 30, 29));
        assert_eq!(rain.total_micrometres(), 600 + 15_010 + 28 * 1500);
        let count = |id| diagnostics.count(id);
        assert_eq!((count("areal-mean"), count("day-that-never-was"), count("line-unreadable")), (1, 3, 1));
        assert_eq!(rain.provenance.place("2001-01-03".parse().unwrap()).map(|place| (place.line, place.column)), Some((4, 27)));
    }

    #[test]
    fn a_day_a_line_is_read() {
        let text = "Daily Scotland precipitation totals (mm).\nAlexander & Jones (2001, Atmospheric Science Letters).\nHadUKP\n\nDate        Value\n\
                    1931-01-01   1.40\n1931-01-02 -99.99\n1931-02-30   1.00\n1931-01-03   2.00\n1931-01-04  -1.00\n1931-01-05   2.50\n";
        let StationRecord { rain, diagnostics, .. } = record(text);
        assert_eq!((rain.station.id.as_str(), rain.total_micrometres(), diagnostics.count("day-that-never-was")), ("HadSP", 5900, 1));
        assert_eq!((rain.counts().missing, rain.counts().rejected, rain.extent), (1, 1, Extent::ArealMean));
        assert_eq!(diagnostics.count("value-impossible"), 1);
    }

    #[test]
    fn sums_of_months_are_named() {
        let text = "Monthly England & Wales precipitation (mm). Daily automated values used after 1996.\nWigley & Jones (J.Climatol.,1987), Alexander & Jones (2001)\n\
                    YEAR   JAN   FEB\n 1766  20.0  70.0\n";
        let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
        assert!(error.to_string().contains("monthly"), "{error}");
    }
}
