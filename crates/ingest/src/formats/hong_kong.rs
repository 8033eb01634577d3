//! Hong Kong Observatory, daily total rainfall: one line a day, in commas, heading in Chinese and English.
//!
//! Layout (the file's own heading, data.gov.hk "Daily Total Rainfall"): year, month, day, value in millimetres, completeness; `Trace` is
//! under 0.05 mm; `***` is unavailable; completeness `C` complete, `#` incomplete. Three lines of footnotes end the file. The day is the
//! calendar day in Hong Kong time (common practice, no source).

use super::{Confidence, Format, Input, plain_value};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows};
use crate::encoding::{self, WINDOWS_1252};
use crate::finding::shown;
use crate::station_days::{Place, StationDays};
use crate::{Error, FileSummary, Sink, Wanted, content};
use series::{DayDefinition, DayLabel, Diagnostics, Qualifier, Reading, Severity, Station};

const NAME: &str = "Hong Kong Observatory daily rainfall file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

/// Column of the value and of its completeness.
const VALUE: usize = 3;
const COMPLETENESS: usize = 4;
/// What a row holds.
const LAYOUT: &str = "year, month, day, value, completeness";

/// The title names the element and the place; the heading behind it the columns in two languages.
fn sniff(bytes: &[u8]) -> Confidence {
    let head = content::first_lines(bytes, 6);
    let holds = |word: &[u8]| memchr::memmem::find(head, word).is_some();
    match (holds(b"Daily Total Rainfall"), (holds(b"/Year,") || holds(b"/Year\",")) && holds(b"data Completeness")) {
        (true, true) => Confidence::Certain,
        (false, true) => Confidence::Possible,
        _ => Confidence::No,
    }
}

#[allow(clippy::unnecessary_wraps)]
fn read(input: Input<'_>, _: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let day_definition = DayDefinition { start_hour: Some(0), label: DayLabel::FirstDay };
    let mut days = StationDays::new(input, station(content::first_lines(input.bytes, 6)), day_definition);
    let mut rows = Rows::new(input.bytes, b',');
    let mut heading: Option<Heading> = None;
    // Footnotes have no fields of their own and close the file; such a line with a day behind it is a spoilt one.
    let mut footnotes = Vec::new();
    while let Some(row) = rows.next_row() {
        let Some(heading) = &heading else {
            heading = row.get(0).ends_with(b"/Year").then(|| Heading::of(&row));
            continue;
        };
        let begins_with_digit = row.get(0).first().is_some_and(u8::is_ascii_digit);
        if row.len() <= COMPLETENESS && !begins_with_digit {
            footnotes.push(row.line);
            continue;
        }
        for line in footnotes.drain(..) {
            days.findings.unreadable_line(line, LAYOUT);
        }
        if !heading.fits(&row, &mut days.findings) {
        } else if begins_with_digit {
            day(&row, &mut days);
        } else {
            days.findings.unreadable_line(row.line, LAYOUT);
        }
    }
    sink.station(days.record(input, NAME));
    Ok(FileSummary { format: NAME, stations: 1, diagnostics: Diagnostics::default() })
}

/// The gauge that the title names: `Daily Total Rainfall (mm) at the Hong Kong Observatory`. The agency has several, and ships them alike; the
/// observatory's own is known as HKO, any other by its name.
fn station(head: &[u8]) -> Station {
    let title = head.split(|byte| *byte == b'\n').find(|line| memchr::memmem::find(line, b"Daily Total Rainfall").is_some());
    let place = title.and_then(|title| Some(&title[memchr::memmem::find(title, b" at ")? + 4..])).unwrap_or_default();
    let place = place.strip_prefix(b"the ").unwrap_or(place);
    let name = encoding::name(place, WINDOWS_1252).trim_end_matches([',', '"']).to_owned();
    let id = if name == "Hong Kong Observatory" { "HKO".to_owned() } else { name.clone() };
    Station { id, name, ..Station::default() }
}

fn day(row: &Row<'_, '_>, days: &mut StationDays<'_>) {
    let day = match date::of_fields(row.get(0), row.get(1), row.get(2)) {
        Ok(day) => day,
        Err(fault) => return days.findings.date(row.line, row.columns(0), row.line.text, fault, "year, month, day"),
    };
    let value = row.get(VALUE);
    let reading = match value {
        b"***" | b"" => Reading::MISSING,
        _ if value.eq_ignore_ascii_case(b"trace") => Reading::TRACE,
        _ => plain_value::rain(row, VALUE, DepthUnit::Millimetre, day, &mut days.findings),
    };
    let reading = match row.get(COMPLETENESS) {
        b"#" if reading.is_usable() => {
            days.findings.at("day-incomplete", Severity::Note, row.line, row.columns(COMPLETENESS), || {
                (format!("found the mark # (incomplete) on {day}, expected C"), "The value is read and counted as estimated.")
            });
            reading.qualified(Qualifier::Estimated.into())
        }
        b"C" | b"#" | b"" => reading,
        other => {
            days.findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(COMPLETENESS), || {
                (format!("found the mark {:?} on {day}, expected C (complete) or # (incomplete)", shown(other)), "The value is read.")
            });
            reading
        }
    };
    days.day(day, reading, Place::new(row.line, row.columns(VALUE)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use series::Day;

    const HEAD: &str = "\u{feff}\u{6bcf}\u{65e5}\nDaily Total Rainfall (mm) at the Hong Kong Observatory\n\u{5e74}/Year,\u{6708}/Month,\u{65e5}/Day,\u{6578}\u{503c}/Value,\u{6578}/data Completeness\n";

    fn record(lines: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("daily_HKO_RF_ALL.csv", format!("{HEAD}{lines}").as_bytes(), Wanted::default(), &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn each_kind_of_day_is_kept_apart() {
        let record = record(
            "1900,2,28,5.5,C\n1900,2,29,***,\n1900,3,1,Trace,C\n1900,3,2,***,\n1900,3,3,2.5,#\n1900,3,4,x,C\n1900,3,5,0.0,C\n1900,3,6,1.0,?\n1900,3\n*** unavailable\n",
        );
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.missing, counts.rejected, counts.estimated), (7, 4, 1, 1, 1, 1));
        assert_eq!(record.rain.provenance.place(Day::new(1900, 2, 28).unwrap()).map(|at| (at.line, at.column)), Some((4, 11)));
        // MANIFEST.md: the real file has a row for 29 February 1900, a day that never was.
        assert_eq!((record.diagnostics.count("day-that-never-was"), record.diagnostics.count("value-unreadable")), (1, 1));
        assert_eq!((record.diagnostics.count("quality-flag-unknown"), record.diagnostics.count("row-cut-short")), (1, 1));
        assert_eq!(record.diagnostics.total(), 5);
    }

    #[test]
    fn a_footnote_closes_the_file_and_a_spoilt_line_does_not() {
        let record = record("1900,2,27,5.5,C\n#### ?? ####\n1900,2,28,0.0,C\n*** unavailable\n# incomplete\n");
        let told: Vec<_> = record.diagnostics.list.iter().map(|found| (found.id, found.line)).collect();
        assert_eq!(told, [("line-unreadable", Some(5))]);
    }

    #[test]
    fn each_gauge_of_the_agency_has_its_own_name() {
        let own = record("1900,2,28,5.5,C\n").rain.station;
        assert_eq!((own.id.as_str(), own.name.as_str()), ("HKO", "Hong Kong Observatory"));
        let mut records: Vec<StationRecord> = Vec::new();
        let other = HEAD.replace("the Hong Kong Observatory", "Invented Hill") + "1900,2,28,5.5,C\n";
        read_bytes("x.csv", other.as_bytes(), Wanted::default(), &mut records).unwrap();
        assert_eq!(records[0].rain.station.id, "Invented Hill");
    }
}
