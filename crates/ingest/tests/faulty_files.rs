//! What is wrong with a file or a line, and that nothing else is lost. The files are invented; the layout is that of the
//! GHCN-Daily readme 3.26, section III.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::panic)]

use ingest::{Error, FileSummary, StationRecord, Wanted, read_bytes};
use series::{Diagnostic, Kind, Qualifier, Reading, Rejection};
use testkit::DlyText;

const ID: &str = "XXT00000001";

fn read(bytes: &[u8]) -> (FileSummary, Vec<StationRecord>) {
    let mut records = Vec::new();
    let summary = read_bytes("a.dly", bytes, Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
    (summary, records)
}

fn only(bytes: &[u8]) -> StationRecord {
    let (_, mut records) = read(bytes);
    assert_eq!(records.len(), 1);
    records.pop().unwrap()
}

fn kind(record: &StationRecord, day: &str) -> Kind {
    record.rain.reading(day.parse().unwrap()).kind()
}

fn finding<'a>(record: &'a StationRecord, id: &str) -> &'a Diagnostic {
    record.diagnostics.list.iter().find(|finding| finding.id == id).unwrap_or_else(|| panic!("no {id}: {:?}", record.diagnostics))
}

/// A January and a March of 1.0 mm a day, and a February between with 2.0 mm a day.
fn three_months() -> DlyText {
    DlyText::new(ID)
        .rain_run_mm((2001, 1, 1), &[Some(1.0); 31])
        .rain_run_mm((2001, 2, 1), &[Some(2.0); 28])
        .rain_run_mm((2001, 3, 1), &[Some(1.0); 31])
}

/// The three months with the second line changed.
fn with_february(change: impl FnOnce(&mut Vec<u8>)) -> Vec<u8> {
    let text = three_months().to_text();
    let mut lines: Vec<Vec<u8>> = text.lines().map(|line| line.as_bytes().to_vec()).collect();
    change(&mut lines[1]);
    lines.iter().flat_map(|line| [&line[..], b"\n"].concat()).collect()
}

#[test]
fn every_kind_of_reading_is_told_apart() {
    let text = DlyText::new(ID)
        .rain_mm((2001, 2, 1), 1.2)
        .trace((2001, 2, 2))
        .presumed_zero((2001, 2, 3))
        .measured_as((2001, 2, 4), "PRCP", 30, 'B')
        .measured_as((2001, 2, 5), "PRCP", 40, 'D')
        .flagged((2001, 2, 6), "PRCP", 9999, 'G')
        .flagged((2001, 2, 7), "PRCP", 5, '7')
        .value((2001, 2, 8), "PRCP", -5)
        .measured_as((2001, 2, 9), "PRCP", 3, 'T')
        .measured_as((2001, 2, 10), "PRCP", 7, 'Y')
        .flagged((2001, 2, 11), "PRCP", -3, 'X')
        .rain_mm((2001, 2, 13), 0.0)
        .to_text();
    let record = only(text.as_bytes());
    let rejected = |value: i32, letter: u8| Reading::rejected(value, Rejection::QualityFlag(letter));
    let expected = [
        Reading::measured(1200),
        Reading::TRACE,
        Reading::measured(0).qualified(Qualifier::PresumedZero.into()),
        Reading::measured(3000).qualified(Qualifier::MadeOfParts.into()),
        Reading::measured(4000).qualified(Qualifier::MadeOfParts.into()),
        rejected(999_900, b'G'),
        rejected(500, b'7'),
        Reading::rejected(-500, Rejection::Impossible),
        Reading::TRACE,
        Reading::measured(700),
        rejected(-300, b'X'),
        Reading::MISSING,
        Reading::measured(0),
    ];
    assert_eq!(record.rain.readings(), expected);
    let counts: Vec<_> = record.diagnostics.counts.iter().map(|(id, count)| (*id, *count)).collect();
    assert_eq!(counts, [("measurement-flag-unknown", 1), ("reading-flagged", 3), ("trace-with-depth", 1), ("value-impossible", 1)]);
    assert_eq!((record.rain.day_definition.start_hour, record.rain.station.id.as_str()), (None, ID));
    let provenance = &record.rain.provenance;
    assert_eq!((provenance.file(), provenance.format.as_str(), provenance.runs.len()), ("a.dly", "GHCN-Daily station file", 1));
    assert_eq!(provenance.place("2001-02-03".parse().unwrap()).map(|at| (at.line, at.column)), Some((1, 38)));
}

#[test]
fn line_ends_and_marks_change_nothing() {
    let text = three_months().temperature_c((2001, 1, 1), 4.0, -2.5);
    let plain = only(text.to_text().as_bytes());
    let unix = text.to_text();
    let padded = unix.replace('\n', "   \n");
    let trimmed = unix.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    let variants = [
        text.to_text_crlf(),
        format!("\u{feff}{unix}"),
        format!("\u{feff}\u{feff}{}", text.to_text_crlf()),
        unix.trim_end().to_owned(),
        unix.trim_end_matches('\n').to_owned(),
        unix.replacen('\n', "\r\n", 2),
        format!("\n\r\n  \n{unix}\n\n"),
        padded.clone(),
        trimmed.clone(),
    ];
    for variant in variants {
        let record = only(variant.as_bytes());
        assert_eq!(record.rain.readings(), plain.rain.readings(), "{variant:?}");
        assert_eq!(record.temperature, plain.temperature);
        assert!(record.diagnostics.worst() <= Some(series::Severity::Note), "{:?}", record.diagnostics);
    }
    assert_eq!(only(padded.as_bytes()).diagnostics.count("line-padded"), 5);
    // Only the lines of short months end in a missing day, so only they lose blanks: February and the two of temperature.
    assert_eq!(only(trimmed.as_bytes()).diagnostics.count("line-trimmed"), 3);
    let (summary, _) = read(format!("\n{unix}\n").as_bytes());
    assert_eq!(summary.diagnostics.count("blank-line"), 2);
}

#[test]
fn letters_in_a_number_cost_that_day_alone() {
    for field in [&b" x12 "[..], b"12   ", b"\0\0\0\0\0", b"\xC3\xA9  1", b"  1 2"] {
        let bytes = with_february(|line| line[21 + 8..21 + 8 + 5].copy_from_slice(field));
        let record = only(&bytes);
        assert_eq!(kind(&record, "2001-02-02"), Kind::Rejected(Rejection::Unreadable));
        assert_eq!(record.rain.counts().usable(), 89);
        let finding = finding(&record, "value-unreadable");
        assert_eq!((finding.line, finding.column, finding.span, finding.file.as_str()), (Some(2), Some(30), Some(5), "a.dly"));
        assert!(finding.message.contains("PRCP of 2001-02-02") && finding.text.is_some() && !finding.done.is_empty());
    }
    let record = only(&with_february(|line| line[29..34].fill(b' ')));
    assert_eq!((kind(&record, "2001-02-02"), record.diagnostics.count("value-unreadable")), (Kind::Rejected(Rejection::Unreadable), 1));
    let record = only(&with_february(|line| line[29..37].fill(b' ')));
    assert_eq!((kind(&record, "2001-02-02"), record.diagnostics.count("value-blank")), (Kind::Missing, 1));
}

#[test]
fn a_truncated_line_keeps_the_days_before_the_cut() {
    // Cut inside the value of 11 February: ten days stand.
    let cut = 21 + 10 * 8 + 4;
    let record = only(&with_february(|line| line.truncate(cut)));
    assert_eq!(kind(&record, "2001-02-10"), Kind::Measured);
    assert_eq!(kind(&record, "2001-02-11"), Kind::Rejected(Rejection::Unreadable));
    assert_eq!(kind(&record, "2001-02-12"), Kind::Missing);
    assert_eq!((record.rain.counts().usable(), record.diagnostics.count("line-too-short")), (31 + 10 + 31, 1));
    // A value without its quality flag might have been a rejected one.
    let record = only(&with_february(|line| line.truncate(cut + 2)));
    assert_eq!(kind(&record, "2001-02-11"), Kind::Rejected(Rejection::Unreadable));
    // The last line cut, as by an interrupted download.
    let text = three_months().to_text();
    let record = only(&text.as_bytes()[..text.len() - 200]);
    assert_eq!(record.diagnostics.count("line-too-short"), 1);
    assert_eq!(record.rain.counts().usable(), 31 + 28 + (270 - 200 - 21) / 8);
    // Two cut lines that add up to the length of one are still two lines.
    let mut lines: Vec<&str> = text.lines().collect();
    lines[0] = &lines[0][..100];
    lines[1] = &lines[1][..168];
    let record = only(lines.join("\n").as_bytes());
    assert_eq!((record.diagnostics.count("line-too-short"), record.rain.counts().measured), (2, 9 + 18 + 31));
}

#[test]
fn a_shifted_line_gives_no_false_depth() {
    // One character lost or gained before 15 February: what stands behind is another number, so it is none.
    for change in [|line: &mut Vec<u8>| _ = line.remove(21 + 14 * 8), |line: &mut Vec<u8>| line.insert(21 + 14 * 8, b' ')] {
        let record = only(&with_february(change));
        assert_eq!(kind(&record, "2001-02-14"), Kind::Measured);
        assert_eq!(kind(&record, "2001-02-15"), Kind::Rejected(Rejection::Unreadable));
        assert_eq!(kind(&record, "2001-02-28"), Kind::Rejected(Rejection::Unreadable));
        assert_eq!(record.rain.total_micrometres(), 31_000 + 28_000 + 31_000);
    }
}

#[test]
fn an_impossible_date_costs_its_line() {
    for (month, id) in [(&b"13"[..], "impossible-month"), (b"00", "impossible-month"), (b"0x", "line-unreadable")] {
        let record = only(&with_february(|line| line[15..17].copy_from_slice(month)));
        assert_eq!((record.rain.counts().measured, record.diagnostics.count(id)), (62, 1), "{id}");
    }
    for (year, id) in [(&b"0201"[..], "impossible-year"), (b"9001", "impossible-year"), (b"20\x001", "line-unreadable")] {
        let record = only(&with_february(|line| line[11..15].copy_from_slice(year)));
        assert_eq!((record.rain.counts().measured, record.diagnostics.count(id)), (62, 1), "{id}");
    }
    let record = only(&with_february(|line| line[17] = 0));
    assert_eq!((record.rain.counts().measured, finding(&record, "line-unreadable").column), (62, Some(18)));
}

#[test]
fn a_day_that_never_was_is_no_day() {
    let record = only(three_months().rain_mm((2001, 2, 29), 50.0).value((2001, 2, 30), "MDPR", 5).to_text().as_bytes());
    assert_eq!(record.diagnostics.count("day-that-never-was"), 2);
    assert_eq!((record.rain.counts().calendar, record.rain.total_micrometres()), (90, 31_000 + 56_000 + 31_000));
    // 1900 had no leap day; 2000 had one.
    let leap = |year| only(DlyText::new(ID).rain_mm((year, 2, 28), 1.0).rain_mm((year, 2, 29), 1.0).to_text().as_bytes());
    assert_eq!((leap(1900).rain.counts().measured, leap(2000).rain.counts().measured), (1, 2));
}

#[test]
fn of_two_lines_for_a_month_the_first_stands() {
    let mut text = three_months().to_text();
    text.push_str(&DlyText::new(ID).rain_run_mm((2001, 2, 1), &[Some(9.0); 28]).to_text());
    let record = only(text.as_bytes());
    assert_eq!(record.rain.total_micrometres(), 31_000 + 56_000 + 31_000);
    assert_eq!(finding(&record, "duplicate-line").line, Some(4));
}

#[test]
fn several_stations_share_a_file() {
    let other = DlyText::new("XXT00000002").rain_mm((1999, 5, 1), 7.0).to_text();
    let first = three_months().to_text();
    // The other station's line stands between the first one's.
    let (summary, records) = read(format!("{}{other}{}", &first[..270], &first[270..]).as_bytes());
    assert_eq!((summary.stations, summary.diagnostics.count("further-station")), (2, 1));
    assert_eq!(
        records.iter().map(|r| (r.rain.station.id.as_str(), r.rain.counts().measured)).collect::<Vec<_>>(),
        [(ID, 90), ("XXT00000002", 1)]
    );
    // A closure is a sink too.
    let mut count = 0;
    read_bytes("x", first.as_bytes(), Wanted::default(), &mut |record: StationRecord| count += record.rain.counts().usable()).unwrap();
    assert_eq!(count, 90);
}

#[test]
fn garbage_between_the_lines_costs_itself_alone() {
    let text = three_months().to_text();
    let huge = "x".repeat((1 << 20) + 1);
    for (garbage, id) in [
        (huge.as_str(), "line-over-one-mebibyte"),
        ("\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0", "line-unreadable"),
        ("Error 500", "line-unreadable"),
        ("été à la mer, et bien d'autres choses encore qui n'ont rien à faire ici", "line-unreadable"),
    ] {
        let (summary, records) = read(format!("{}{garbage}\n{}{garbage}", &text[..270], &text[270..]).as_bytes());
        assert_eq!(records[0].rain.counts().measured, 90, "{id}");
        assert_eq!(summary.diagnostics.count(id), 2, "{:?}", summary.diagnostics);
        assert!(summary.diagnostics.list[0].text.as_ref().unwrap().len() < 2000);
        assert_eq!(summary.diagnostics.list[0].line, Some(2));
    }
}

#[test]
fn temperatures_are_read_when_wanted() {
    let text = three_months()
        .temperature_c((2001, 1, 5), 4.0, -2.5)
        .value((2001, 1, 6), "TMAX", 611)
        .flagged((2001, 1, 6), "TMIN", 12, 'I')
        .value((2001, 1, 7), "TMIN", -901)
        .to_text();
    let record = only(text.as_bytes());
    let day = |text: &str| text.parse().unwrap();
    assert_eq!(record.temperature.mean(day("2001-01-05")), Some(0.75));
    assert_eq!((record.temperature.greatest(day("2001-01-06")), record.temperature.least(day("2001-01-06"))), (None, None));
    assert_eq!((record.diagnostics.count("temperature-implausible"), record.diagnostics.count("temperature-flagged")), (2, 1));
    let mut records = Vec::new();
    read_bytes("x", text.as_bytes(), Wanted::default(), &mut records).unwrap();
    assert_eq!((records[0].temperature.period(), records[0].diagnostics.is_empty()), (None, true));
}

#[test]
fn a_station_without_rain_is_no_desert() {
    let record = only(DlyText::new(ID).temperature_c((2001, 1, 5), 4.0, -2.5).to_text().as_bytes());
    assert_eq!((record.rain.counts().calendar, record.diagnostics.count("no-precipitation-element")), (0, 1));
    let record = only(DlyText::new(ID).flagged((2001, 1, 5), "PRCP", 9999, 'X').missing((2001, 1, 6)).to_text().as_bytes());
    assert_eq!((record.rain.counts().calendar, record.diagnostics.count("no-usable-day")), (0, 1));
}

#[test]
fn a_file_that_is_no_station_file_says_what_it_is() {
    let error = |bytes: &[u8]| read_bytes("b.dly", bytes, Wanted::default(), &mut Vec::new()).unwrap_err();
    assert!(matches!(error(b""), Error::Empty { .. }));
    assert!(matches!(error(b"\n\n  \n"), Error::Empty { .. }));
    assert!(matches!(error(b" <!DOCTYPE html>\n<html>"), Error::WebPage { .. }));
    let page = format!("\u{feff}\n<html><pre>\n{}", three_months().to_text());
    assert!(matches!(error(page.as_bytes()), Error::WebPage { .. }));
    assert!(matches!(error(b"\x1f\x8b\x08\0\0"), Error::Damaged { .. }));
    assert!(matches!(error(b"BZh91AY"), Error::Packed { .. }));
    assert!(matches!(error(&[0; 3000]), Error::Binary { .. }));
    let other = error(b"STATION,DATE,WIND\nX,2001-01-01,0\n");
    assert_eq!(
        other.to_string(),
        "b.dly: found a table with commas and a heading, beginning \"STATION,DATE,WIND\"; expected daily precipitation of a weather station in one of the public formats that are read"
    );
    assert_eq!(other.diagnostic().file, "b.dly");
}

#[test]
fn bare_carriage_returns_are_a_fault_of_the_file() {
    let text = three_months().to_text();
    let old = text.replace('\n', "\r");
    let error = read_bytes("a.dly", old.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
    assert_eq!(error.id(), "file-has-bare-carriage-returns");
    assert!(error.to_string().contains("a.dly") && error.to_string().contains("tr '\\r' '\\n'"), "{error}");
    // One line is read whatever ends it.
    let line = text.lines().next().unwrap();
    for end in ["", "\r", "\n", "\r\n"] {
        assert_eq!(only(format!("{line}{end}").as_bytes()).rain.counts().measured, 31, "{end:?}");
    }
}
