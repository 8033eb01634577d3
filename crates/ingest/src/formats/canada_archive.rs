//! Environment and Climate Change Canada, archive file of daily values: fixed columns, one line a month and element.
//!
//! Layout (the agency's archive documentation, daily format, read in public code that carries it): columns 1-7 climate id, 8-11 year,
//! 12-13 month, 14-16 element, then 31 times a value of six characters and a flag: 233 characters. Elements read: 012 total precipitation
//! in 0.1 mm, where wanted 001 and 002, greatest and least temperature in 0.1 C. Missing is `-99999M`. Flags:
//! [`canada_flags`](super::canada_flags). Without a line of 012, rain (010) alone is no precipitation and is not taken for it. The
//! climatological day of a station depends on who runs it and is not in the file.

use super::canada_flags::{Accumulations, Flagged};
use super::{Confidence, Format, Input, plain_value};
use crate::believed;
use crate::date;
use crate::delimited::Rows;
use crate::fields;
use crate::station_days::{StationDays, Stations};
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{DayDefinition, Kind, Reading, Rejection, Severity, Station, days_in_month};
use std::collections::BTreeMap;

const NAME: &str = "Environment and Climate Change Canada archive daily file";

pub(super) const FORMAT: Format = Format::new(NAME, &["dly"], sniff, read);

/// Characters before the values, and of one value with its flag.
const HEAD: usize = 16;
const STEP: usize = 7;

/// Whether a line begins as the layout has it, for a number of values behind the head.
fn head_fits(line: &[u8], head: usize, values: usize) -> bool {
    // Ends that are blank may have been cut off.
    line.len() + 1 >= head + STEP * values
        && line.len() <= head + STEP * values + 2
        && line[..7].iter().all(u8::is_ascii_alphanumeric)
        && line[7..head].iter().all(u8::is_ascii_digit)
        && fields::whole(&line[7..11]).is_some_and(|year| (1600..2300).contains(&year))
        // The monthly file has its element here.
        && (head < HEAD || fields::whole(&line[11..13]).is_some_and(|month| (1..=12).contains(&month)))
        && (0..values).all(|place| {
            let field = &line[head + STEP * place..head + STEP * place + 6];
            matches!(field[0], b'-' | b'0'..=b'9' | b' ') && field[1..].iter().all(|byte| byte.is_ascii_digit() || *byte == b' ')
        })
}

fn fits_of_lines(bytes: &[u8], head: usize, values: usize) -> (usize, usize) {
    let lines = content::first_lines(bytes, 64).split(|byte| *byte == b'\n').map(fields::without_return);
    lines
        .filter(|line| !fields::is_blank(line))
        .fold((0, 0), |(seen, fit), line| (seen + 1, fit + usize::from(head_fits(line, head, values))))
}

/// Most of the lines have the layout's columns.
fn sniff(bytes: &[u8]) -> Confidence {
    match fits_of_lines(bytes, HEAD, 31) {
        (_, 0) => Confidence::No,
        (seen, fit) if 2 * fit > seen => Confidence::Certain,
        _ => Confidence::Possible,
    }
}

/// The hourly and monthly archive files, known by the length of their lines.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    let most = |(seen, fit): (usize, usize)| 2 * fit > seen;
    if most(fits_of_lines(head, HEAD + 2, 24)) {
        Some("an hourly archive file of Environment and Climate Change Canada (24 values a line)")
    } else if most(fits_of_lines(head, HEAD - 2, 12)) {
        Some("a monthly archive file of Environment and Climate Change Canada (12 values a line)")
    } else {
        None
    }
}

#[allow(clippy::unnecessary_wraps)]
fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    // No delimiter: the rows are whole lines.
    let mut rows = Rows::new(input.bytes, 0);
    let mut stations = Stations::new(input, NAME);
    let mut gathered: BTreeMap<Vec<u8>, Accumulations> = BTreeMap::new();
    let mut spoilt = input.findings();
    while let Some(row) = rows.next_row() {
        let line = row.line.text;
        let id = fields::columns(line, 1, 7);
        let new = |input| {
            StationDays::new(input, Station::named_only(crate::encoding::name(id, crate::encoding::WINDOWS_1252)), DayDefinition::default())
        };
        let (year, month) = (fields::whole(fields::columns(line, 8, 11)), fields::whole(fields::columns(line, 12, 13)));
        let element = fields::columns(line, 14, 16);
        let known = line.len() > HEAD && id.iter().all(u8::is_ascii_alphanumeric);
        let (Some(year), Some(month), true) = (year, month, known) else {
            let findings = stations.known(id).map_or(&mut spoilt, |days| &mut days.findings);
            findings.unreadable_line(row.line, "climate id, year, month, element and 31 values with flags");
            continue;
        };
        stations.at(id, new);
        if !stations.keeps(id) {
            continue;
        }
        let days = stations.at(id, new);
        let accumulations = gathered.entry(id.to_vec()).or_default();
        match element {
            b"012" => {
                if line.len() + 1 < HEAD + 31 * STEP {
                    days.findings.at("line-short", Severity::Warning, row.line, None, || {
                        (format!("found a line of {} characters, expected 233", line.len()), "The days that are there are read.")
                    });
                }
                each_day(row.line, year, month, days, |at, days| {
                    tell_rejected(at, days);
                    accumulations.day(at, days);
                });
            }
            b"001" | b"002" if wanted.temperatures => {
                each_day(row.line, year, month, days, |at, days| temperature(at, element == b"001", days));
            }
            _ => {}
        }
    }
    for (id, accumulations) in gathered {
        let days = stations.at(&id, |input| StationDays::new(input, Station::default(), DayDefinition::default()));
        accumulations.finish(days);
        if days.is_empty() {
            days.findings.whole("no-precipitation-element", Severity::Note, || {
                ("found no value of the element 012, expected daily total precipitation".to_owned(), "The record holds no day of rain.")
            });
        }
    }
    let stations = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: spoilt.finish() })
}

/// Hands on each value of a line that is there; a value in tenths is put as micrometres of 0.1 mm.
fn each_day(
    line: crate::finding::Line<'_>,
    year: u32,
    month: u32,
    days: &mut StationDays<'_>,
    mut take: impl FnMut(&Flagged<'_>, &mut StationDays<'_>),
) {
    let in_month = i32::try_from(year).ok().filter(|_| (1..=12).contains(&month)).map_or(0, |year| days_in_month(year, month));
    if in_month == 0 {
        return days.findings.date(line, (8, 6), fields::columns(line.text, 8, 13), date::DateFault::NeverWas, "a year and a month");
    }
    for number in 1..=31 {
        let first = HEAD + STEP * (number as usize - 1) + 1;
        let value = fields::columns(line.text, first, first + 5);
        let flag = fields::columns(line.text, first + 6, first + 6).first().copied().unwrap_or(b' ');
        let missing = value == b"-99999" || fields::is_blank(value);
        let columns = (first as u32, 6);
        let Ok(day) = date::of_parts(Some(year), Some(month), Some(number)) else {
            if !missing {
                days.findings.value_of_no_day(line, columns, value, (i64::from(year), i64::from(month), number));
            }
            continue;
        };
        let reading = if missing {
            Reading::MISSING
        } else {
            match fields::signed(value).and_then(|tenths| tenths.checked_mul(100)) {
                Some(micrometres) if micrometres > believed::most_of_days((flag != b'A').then_some(1)) => {
                    Reading::rejected(micrometres, Rejection::Impossible)
                }
                Some(micrometres) => Reading::measured(micrometres),
                None => Reading::rejected(0, Rejection::Unreadable),
            }
        };
        take(&Flagged { line, day, reading, value: columns, flag, flag_columns: (first as u32 + 6, 1) }, days);
    }
}

fn tell_rejected(at: &Flagged<'_>, days: &mut StationDays<'_>) {
    let Kind::Rejected(why) = at.reading.kind() else { return };
    let found = fields::columns(at.line.text, at.value.0 as usize, at.value.0 as usize + 5);
    if why == Rejection::Unreadable {
        days.findings.unreadable(at.line, at.value, "precipitation", at.day, found);
    } else {
        days.findings.impossible(at.line, at.value, "precipitation", at.day, found);
    }
}

fn temperature(at: &Flagged<'_>, greatest: bool, days: &mut StationDays<'_>) {
    let tenths = at.reading.stated_micrometres() / 100;
    let readable = match at.reading.kind() {
        _ if at.flag == b'M' => return,
        Kind::Missing => return,
        Kind::Rejected(Rejection::Unreadable) => false,
        _ => true,
    };
    match believed::tenths_celsius(tenths).filter(|_| readable) {
        Some(tenths) if greatest => days.greatest(at.day, tenths),
        Some(tenths) => days.least(at.day, tenths),
        None => {
            let found = fields::columns(at.line.text, at.value.0 as usize, at.value.0 as usize + 5);
            plain_value::implausible(at.line, at.value, at.day, found, &mut days.findings);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use series::Day;

    fn line(element: &str, values: &[(&str, char)]) -> String {
        let mut text = format!("0000001200102{element}");
        for place in 0..31 {
            let (value, flag) = values.get(place).copied().unwrap_or(("-99999", 'M'));
            text.push_str(value);
            text.push(flag);
        }
        text + "\r\n"
    }

    fn record(text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("x.DLY", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        assert_eq!(records.len(), 1);
        records.pop().unwrap()
    }

    #[test]
    fn each_value_has_its_kind() {
        let rain = [
            ("000012", ' '),
            ("000000", 'T'),
            ("000000", 'L'),
            ("000300", 'A'),
            ("-00005", ' '),
            ("0x0000", ' '),
            ("099999", ' '),
            ("000020", 'E'),
        ];
        let text =
            line("001", &[("000155", ' '), ("-00020", 'E'), ("009999", ' ')]) + &line("010", &[("000500", ' ')]) + &line("012", &rain);
        let record = record(&text);
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.accumulated, counts.rejected), (8, 2, 1, 2, 3));
        assert_eq!(record.rain.reading(Day::new(2001, 2, 4).unwrap()).kind(), Kind::Accumulated { days: Some(2) });
        assert_eq!(record.temperature.greatest(Day::new(2001, 2, 2).unwrap()), Some(-2.0));
        assert_eq!(record.rain.provenance.place(Day::new(2001, 2, 2).unwrap()).map(|at| (at.line, at.column)), Some((3, 24)));
        assert_eq!(record.diagnostics.count("temperature-implausible"), 1);
    }

    #[test]
    fn a_value_on_the_thirtieth_of_february_is_told() {
        let values = [("000010", ' '); 30];
        let record = record(&line("012", &values));
        assert_eq!((record.rain.counts().measured, record.diagnostics.count("day-that-never-was")), (28, 2));
    }

    #[test]
    fn the_hourly_and_the_monthly_archive_are_refused() {
        let hourly = format!("000000120010201089{}\n", "000001 ".repeat(24));
        let monthly = format!("00000012001112{}\n", "000001 ".repeat(12));
        for (text, what) in [(hourly, "hourly archive"), (monthly.replace("2001112", "2001012"), "monthly archive")] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains(what), "{error}");
        }
    }
}
