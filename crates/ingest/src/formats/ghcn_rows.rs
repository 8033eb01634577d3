//! GHCN-Daily in rows: the by-station and the by-year files, one value a line, in commas.
//!
//! Layout (GHCN-Daily readme-by_station.txt and readme-by_year.txt, from memory; the columns are those of the files at hand): id (11
//! characters), date YYYYMMDD, element (4), value, measurement flag, quality flag, source flag, time of observation HHMM. Units and flags are those
//! of the `.dly` files (readme 3.26, section III; [`super::ghcn`]): precipitation in tenths of a millimetre, temperature in tenths of a degree
//! Celsius; a missing value has no line. Some copies begin with a heading `ID,DATE,ELEMENT,...`, write dates as
//! 2024-01-31, or have columns more behind these; findings then name the columns of the row as published. Read are PRCP, MDPR with DAPR, and
//! TMAX and TMIN where wanted; lines of other elements are passed over unparsed.
//!
//! A file of one year holds all stations of the world, a gigabyte and more, so the text is read as a stream of blocks and each value is kept in
//! six bytes ([`store`]). Up to [`STATIONS_WITH_LINES`] stations a file the line of each value is kept too.
//!
//! The day: its 24 hours end on the date given at the time of observation that nearly all rain values of a station bear; otherwise the hour is
//! not known ([`crate::observation_time`]).

use super::{Confidence, Format, Input, ghcn};
use crate::blocks::{Blocks, Whole};
use crate::finding::{Findings, Line};
use crate::{Error, FileSummary, Sink, Wanted, content, fields};
use series::{Reading, Rejection, Severity};
use store::{Amount, StationRows, Stations};

mod row;
mod store;

pub(super) const NAME: &str = "GHCN-Daily file of rows";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read).in_parts().streamed(read_blocks);

/// With more stations than these in a file the lines of its values are not kept.
const STATIONS_WITH_LINES: usize = 64;

const LINES_LOOKED_AT: usize = 64;

fn sniff(bytes: &[u8]) -> Confidence {
    let head = content::first_lines(bytes, LINES_LOOKED_AT);
    let (mut seen, mut fit) = (0, 0);
    for line in head.split(|byte| *byte == b'\n').map(fields::without_return).filter(|line| !fields::is_blank(line)) {
        if seen == 0 && row::is_heading(line) {
            continue;
        }
        seen += 1;
        fit += usize::from(row::fits(line));
    }
    match fit {
        0 => Confidence::No,
        _ if 2 * fit > seen => Confidence::Certain,
        _ => Confidence::Possible,
    }
}

/// Rows of the archive that are not as published: without the station, with other dates. They must not pass for a
/// person's log, since their unit is a tenth of a millimetre.
pub(super) fn look_alike(head: &[u8]) -> Option<&'static str> {
    const ELEMENTS: [&[u8]; 6] = [b"PRCP", b"TMAX", b"TMIN", b"SNOW", b"SNWD", b"MDPR"];
    let own = |line: &[u8]| {
        let fields = || line.split(|byte| matches!(byte, b',' | b';' | b'\t')).map(<[u8]>::trim_ascii);
        let bare = |field: &[u8]| field.strip_prefix(b"\"").and_then(|field| field.strip_suffix(b"\"")).unwrap_or(field).to_vec();
        fields().any(|field| ELEMENTS.contains(&bare(field).as_slice())) && fields().any(|field| bare(field).iter().any(u8::is_ascii_digit))
    };
    // With rows as published among them it is a damaged file of this reader.
    if sniff(head) != Confidence::No {
        return None;
    }
    let head = content::first_lines(head, LINES_LOOKED_AT);
    let mut lines = head.split(|byte| *byte == b'\n').filter(|line| !fields::is_blank(line));
    // The first line may be a heading.
    lines.next();
    let (seen, fit) = lines.fold((0, 0), |(seen, fit), line| (seen + 1, fit + usize::from(own(line))));
    (seen > 0 && 2 * fit > seen).then_some(
        "rows of GHCN-Daily, an element such as PRCP in each and its value in tenths of a millimetre, that are not as published (station, date such as 20240131, element, value, three flags, time)",
    )
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    read_blocks(input, &mut Whole(Some(content::without_marks(input.bytes))), wanted, sink)
}

/// Reads from blocks of whole lines; the bytes of `input` itself are not looked at.
pub(crate) fn read_blocks(input: Input<'_>, blocks: &mut dyn Blocks, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut walk = Walk { input, wanted, stations: Stations::default(), findings: input.findings(), line: 0, no_rows: 0 };
    while let Some(block) = blocks.next_block()? {
        walk.block(block);
    }
    let stations = walk.stations.len();
    if stations == 0 && walk.findings.list.is_empty() {
        let rows = walk.line - walk.no_rows;
        walk.findings.whole("no-precipitation-element", Severity::Note, || {
            (format!("found {rows} rows, none of precipitation; expected PRCP or MDPR"), "The file holds no day of rain.")
        });
    }
    walk.stations.finish(input, NAME, &mut walk.findings, sink);
    Ok(FileSummary { format: NAME, stations, diagnostics: walk.findings.finish() })
}

struct Walk<'a> {
    input: Input<'a>,
    wanted: Wanted,
    stations: Stations<'a>,
    findings: Findings<'a>,
    line: u32,
    /// Lines that are no row: blank ones, and the heading.
    no_rows: u32,
}

impl Walk<'_> {
    fn block(&mut self, block: &[u8]) {
        let skips_temperatures = !self.wanted.temperatures;
        let mut rest = block;
        while !rest.is_empty() {
            self.line = self.line.saturating_add(1);
            let (end, element) = row::end_and_element(rest);
            let (end, step) = if end < rest.len() { (end, end + 1) } else { (end, end) };
            // Most lines are of an element that is not read.
            let wanted = match element {
                row::Element::Rain | row::Element::Total | row::Element::Unknown => true,
                row::Element::Temperature => !skips_temperatures,
                row::Element::Other => false,
            };
            if wanted {
                self.row(fields::without_return(&rest[..end]));
            }
            rest = &rest[step..];
        }
    }

    fn row(&mut self, text: &[u8]) {
        let line = Line { number: self.line, text };
        let Some(cut) = row::cut(text) else { return self.odd_line(line) };
        self.value(line, &cut);
    }

    /// A line that is not laid out as published: quoted, padded, a heading, blank, or none.
    #[cold]
    fn odd_line(&mut self, line: Line<'_>) {
        if fields::is_blank(line.text) || self.line == 1 && row::is_heading(line.text) {
            self.no_rows += 1;
            return;
        }
        match row::laid_out(line.text).as_deref().and_then(row::cut) {
            Some(cut) if !matches!(cut.element, b"TMAX" | b"TMIN") || self.wanted.temperatures => self.value(line, &cut),
            Some(_) => {}
            None => self.findings.unreadable_line(line, "station (11 characters), date YYYYMMDD, element (4), value, three flags, time"),
        }
    }

    fn value(&mut self, line: Line<'_>, cut: &row::Cut<'_>) {
        let Some(day) = self.stations.day(cut.date) else {
            let fault = match crate::date::compact(cut.date) {
                Err(fault) => fault,
                Ok(_) => crate::date::DateFault::Unreadable,
            };
            return self.findings.date(line, (13, 8), cut.date, fault, "a date YYYYMMDD");
        };
        let Some(station) = self.stations.at(cut.id, self.input) else {
            if self.stations.are_too_many() && fields::is_station_id(cut.id) {
                return;
            }
            return self.findings.unreadable_line(line, "a station id of eleven letters and digits");
        };
        let at =
            ghcn::Flagged { line, day, value: cut.value_columns(), measurement: cut.measurement_columns(), quality: cut.quality_columns() };
        match cut.element {
            b"PRCP" => rain(station, cut, &at),
            b"MDPR" | b"DAPR" => total(station, cut, &at),
            b"TMAX" | b"TMIN" => temperature(station, cut, &at),
            _ => {}
        }
    }
}

fn rain(station: &mut StationRows<'_>, cut: &row::Cut<'_>, at: &ghcn::Flagged<'_>) {
    station.observed_at(at.day, cut.time);
    let Some(tenths) = fields::signed(cut.value) else {
        station.findings.unreadable(at.line, at.value, "PRCP", at.day, cut.value);
        return station.odd(at.day, Reading::rejected(0, Rejection::Unreadable), at.line.number);
    };
    if tenths == -9999 {
        return;
    }
    if ghcn::common(cut.measurement, cut.quality, tenths).is_some() {
        return station.rain(at.day, tenths, cut.measurement, cut.quality, at.line.number);
    }
    let reading = ghcn::reading(at, i64::from(tenths) * 100, cut.measurement, cut.quality, &mut station.findings);
    station.odd(at.day, reading, at.line.number);
}

fn total(station: &mut StationRows<'_>, cut: &row::Cut<'_>, at: &ghcn::Flagged<'_>) {
    let value = match fields::signed(cut.value) {
        Some(-9999) => return,
        Some(value) => value,
        None => {
            let element = if cut.element == b"MDPR" { "MDPR" } else { "DAPR" };
            return station.findings.unreadable(at.line, at.value, element, at.day, cut.value);
        }
    };
    let amount = Amount { day: at.day, value, quality: cut.quality, line: at.line.number };
    if cut.element == b"MDPR" { station.totals.push(amount) } else { station.lengths.push(amount) }
}

fn temperature(station: &mut StationRows<'_>, cut: &row::Cut<'_>, at: &ghcn::Flagged<'_>) {
    let element = if cut.element == b"TMAX" { "TMAX" } else { "TMIN" };
    let tenths = match fields::signed(cut.value) {
        Some(-9999) => return,
        Some(tenths) => tenths,
        None => {
            return station.findings.at("value-unreadable", Severity::Warning, at.line, at.value, || {
                (
                    format!("found {:?} for {element} of {}, expected a number", crate::finding::shown(cut.value), at.day),
                    "The temperature is left out.",
                )
            });
        }
    };
    if cut.quality != b' ' {
        station.findings.at("temperature-flagged", Severity::Note, at.line, at.quality, || {
            let (letter, check) = (char::from(cut.quality), ghcn::failed_check(cut.quality));
            (
                format!("found {element} on {} with the quality flag {letter} ({check}), expected no quality flag", at.day),
                "The temperature is left out.",
            )
        });
    } else if let Some(tenths) = crate::believed::tenths_celsius(i64::from(tenths)) {
        let list = if cut.element == b"TMAX" { &mut station.greatest } else { &mut station.least };
        list.push((at.day, tenths));
    } else {
        station.findings.at("temperature-implausible", Severity::Warning, at.line, at.value, || {
            (format!("found {element} of {tenths} tenths of a degree on {}, expected -90 to 60 C", at.day), "The temperature is left out.")
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, read_bytes};
    use series::{Day, DayDefinition, DayLabel, Kind};

    fn records(text: &str) -> (Vec<StationRecord>, FileSummary) {
        let mut records = Vec::new();
        let summary = read_bytes("rows.csv", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        (records, summary)
    }

    #[test]
    fn rows_of_another_make_do_not_pass_for_a_log() {
        let rows = ["20140101,PRCP,84,,,W,2400\n", "20140102,PRCP,0,T,,W,2400\n", "20140103,PRCP,10,,,W,2400\n"];
        let dated = ["XX000000001,1/1/2014,PRCP,84,,,W,2400\n", "XX000000001,1/2/2014,PRCP,8,,,W,2400\n"].concat();
        for text in [format!("date,attr,value,a,b,c,d\n{}", rows.concat()), rows.concat().replace(',', "\t"), dated] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains("rows of GHCN-Daily"), "{error}");
        }
        assert_eq!(look_alike(b"XX000000001,20140101,PRCP,84,,,W,2400\nXX000000001,20140102,PRCP,8"), None);
        assert_eq!(look_alike(b"STATION,DATE,PRCP\nXX000000001,2014-01-01,8.4\n"), None);
    }

    #[test]
    fn dates_with_hyphens_and_columns_more_are_read() {
        let plain = "XXT00000001,20010101,PRCP,12,,,0,0700\nXXT00000001,20010102,PRCP,3,T,,0,0700\nXXT00000001,20010103,TMAX,30,,,0,\n";
        let dashed = plain.replace("200101", "2001-01-");
        let more = plain.replace('\n', ",INVENTED PLACE,44.5\n");
        let both = format!("ID,DATE,ELEMENT,VALUE,M,Q,S,TIME,NAME,LATITUDE\n{}", dashed.replace('\n', ",INVENTED PLACE,44.5\n"));
        let expected = records(plain).0;
        for text in [dashed, more, both] {
            let (found, summary) = records(&text);
            assert_eq!((found.len(), found[0].rain.readings(), summary.diagnostics.total()), (1, expected[0].rain.readings(), 0), "{text}");
            assert_eq!((found[0].rain.day_definition, &found[0].temperature), (expected[0].rain.day_definition, &expected[0].temperature));
        }
    }

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    #[test]
    fn each_kind_of_value_is_kept_apart() {
        let (records, summary) = records(
            "XXT00000001,20010102,PRCP,5,,,0,0700\n\
             XXT00000001,20010101,PRCP,12,,,0,0700\n\
             XXT00000001,20010103,PRCP,0,T,,0,0700\n\
             XXT00000001,20010104,PRCP,0,P,,0,0700\n\
             XXT00000001,20010105,PRCP,99,,G,0,0700\n\
             XXT00000001,20010108,MDPR,30,,,0,\n\
             XXT00000001,20010108,DAPR,3,,,0,\n\
             XXT00000001,20010109,PRCP,x,,,0,0700\n\
             XXT00000001,20010229,PRCP,1,,,0,0700\n\
             XXT00000001,20010110,PRCP,7,D,,0,0700\n\
             XXT00000001,20010110,TMAX,51,,,0,\n\
             XXT00000001,20010110,TMIN,-11,,,0,\n\
             XXT00000001,20010110,SNWD,x,,,,,\n",
        );
        let record = &records[0];
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.accumulated, counts.rejected), (10, 4, 1, 3, 2));
        assert_eq!((counts.presumed_zero, counts.made_of_parts), (1, 1));
        assert_eq!(record.rain.reading(day("2001-01-08")).kind(), Kind::Accumulated { days: Some(3) });
        assert_eq!(record.rain.provenance.place(day("2001-01-01")).map(|at| (at.line, at.column)), Some((2, 27)));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::LastDay });
        assert_eq!(record.temperature.mean(day("2001-01-10")), Some(2.0));
        let flagged = record.diagnostics.list.iter().find(|finding| finding.id == "reading-flagged").unwrap();
        assert_eq!(
            (flagged.line, flagged.column, flagged.message.as_str()),
            (Some(5), Some(31), "found 9.9 mm on 2001-01-05 with the quality flag G (failed the gap check), expected no quality flag")
        );
        assert_eq!((record.diagnostics.count("value-unreadable"), summary.diagnostics.count("day-that-never-was")), (1, 1));
    }

    #[test]
    fn a_number_that_no_gauge_holds_is_told_as_it_was_found() {
        let (records, _) = records(
            "XXT00000001,20010101,PRCP,12,,,0,0700\nXXT00000001,20010102,PRCP,999999999,,,0,0700\n\
             XXT00000001,20010104,MDPR,999999999,,,0,\nXXT00000001,20010104,DAPR,2,,,0,\nXXT00000001,20010105,PRCP,1,,,0,0700\n",
        );
        let counts = records[0].rain.counts();
        assert_eq!((counts.measured, counts.rejected, counts.accumulated, counts.missing), (2, 2, 0, 1));
        let told: Vec<&str> =
            records[0].diagnostics.list.iter().filter(|told| told.id == "value-impossible").map(|told| told.message.as_str()).collect();
        // Tenths of a millimetre.
        assert!(told.len() == 2 && told.iter().all(|message| message.contains("99999999.9 mm")), "{told:?}");
        assert!(told[1].contains("expected 0 to 4000 mm"), "{told:?}");
    }

    #[test]
    fn quotes_headings_and_blank_lines_cost_nothing() {
        let plain = "XXT00000001,20010101,PRCP,12,,,0,\nXXT00000002,20010101,PRCP,3,T,,0,0700\n";
        let dressed = "\u{feff}\"ID\",\"DATE\",\"ELEMENT\",\"DATA_VALUE\",\"M_FLAG\",\"Q_FLAG\",\"S_FLAG\",\"OBS_TIME\"\r\n\r\n\
                       \"XXT00000001\",\"20010101\",\"PRCP\",\" 12\",\"\",\"\",\"0\",\"\"\r\nXXT00000002, 20010101, PRCP, 3, T,,0,0700\r\n";
        let days = |text: &str| {
            records(text).0.iter().map(|record| (record.rain.station.id.clone(), record.rain.readings().to_vec())).collect::<Vec<_>>()
        };
        assert_eq!(days(plain), days(dressed));
        assert_eq!(days(plain).len(), 2);
    }

    #[test]
    fn a_bad_line_costs_itself() {
        let (records, summary) = records(
            "XXT00000001,20010101,PRCP,12,,,0,\nXXT00000001,20010102,PR\nnonsense\n?XT00000001,20010103,PRCP,1,,,0,\n\
             XXT00000001,20010103,PRCP,4,Q,,0,\nXXT00000001,20010104,PRCP,-5,,,0,\nXXT00000001,20010105,PRCP,200000,,,0,\nXXT00000001,20010106,PRCP,18250,,,0,",
        );
        assert_eq!(records.len(), 1);
        assert_eq!((records[0].rain.counts().measured, records[0].rain.counts().rejected), (3, 2));
        assert_eq!(summary.diagnostics.count("line-unreadable"), 3);
        assert_eq!((records[0].diagnostics.count("measurement-flag-unknown"), records[0].diagnostics.count("value-impossible")), (1, 2));
        assert_eq!(records[0].rain.greatest_day(), Some((day("2001-01-06"), 1_825_000)));
    }

    #[test]
    fn of_two_values_of_a_day_a_usable_one_stands_before_a_flagged_one() {
        let flagged_first = "XXT00000001,20010101,PRCP,1,,,0,\nXXT00000001,20010102,PRCP,99,,G,0,\nXXT00000001,20010102,PRCP,5,,,0,\nXXT00000001,20010103,PRCP,1,,,0,";
        let (records, _) = records(flagged_first);
        assert_eq!(records[0].rain.reading(day("2001-01-02")).depth(), Some(500));
        assert_eq!(records[0].diagnostics.count("day-stated-twice"), 1);
    }

    #[test]
    fn hundreds_of_stations_of_one_year_are_told_apart() {
        let dates = ["20010101", "20010102", "20010103"];
        let rows = dates.iter().flat_map(|date| (0..300).map(move |station| format!("XXT{station:08},{date},PRCP,{station},,,0,")));
        let text = rows.collect::<Vec<_>>().join("\n");
        let (records, _) = records(&text);
        assert_eq!(records.len(), 300);
        for (i, record) in records.iter().enumerate() {
            assert_eq!((record.rain.total_micrometres(), record.rain.provenance.place(day("2001-01-02"))), (300 * i as i64, None));
        }
    }
}
