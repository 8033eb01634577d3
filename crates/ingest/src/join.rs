//! One station over several files: agencies ship a station by year or month (Canada, GSOD, MIDAS, IMGW, GHCN-Daily by year).
//!
//! Records of the same station id and format become one record in the order of time: the union of their days. Nothing is counted twice:
//!
//! * a day that two files state alike is counted once, with a note;
//! * of a day that two files state differently a usable value stands before a total and a total before a rejected value, and of two alike
//!   the file given first, with a warning that names both files and lines;
//! * a multi-day total covers the days of the file before as well: one of three days that ends on 2 January covers 31 December;
//! * files that mean different 24 hours by a date, or an area and a gauge, give a record of which that is not known, with a warning.
//!
//! The findings of the files follow one another in the order of time, then those of the joining. Records without an id are left alone.

use crate::StationRecord;
use crate::finding::{Findings, Line};
use crate::multi_day_totals::{self, Total};
use crate::station_days::told;
use series::{DailySeries, DailyTemperature, Day, Diagnostics, Kind, Reading, Severity, Station};
use std::collections::HashMap;

mod agreement;
mod places;

/// Joins the records of each station and format; the others stay as they are, in the order in which each station came first.
#[must_use]
pub fn join(records: Vec<StationRecord>) -> Vec<StationRecord> {
    let mut places: HashMap<(String, String), usize> = HashMap::new();
    let mut groups: Vec<Vec<StationRecord>> = Vec::new();
    for record in records {
        let key = (record.rain.station.id.clone(), record.rain.provenance.format.clone());
        let place = if key.0.is_empty() { groups.len() } else { *places.entry(key).or_insert(groups.len()) };
        match groups.get_mut(place) {
            Some(group) => group.push(record),
            None => groups.push(vec![record]),
        }
    }
    groups.into_iter().filter_map(|mut group| if group.len() > 1 { Some(joined(group)) } else { group.pop() }).collect()
}

/// A day that a file states, and which of the files.
#[derive(Clone, Copy)]
struct Stated {
    day: Day,
    reading: Reading,
    part: usize,
}

/// One record of parts, given in the order in which they go before one another.
fn joined(parts: Vec<StationRecord>) -> StationRecord {
    let names: Vec<String> = parts.iter().map(|part| part.rain.provenance.file().to_owned()).collect();
    let mut findings: Vec<Findings<'_>> = names.iter().map(|name| Findings::new(name)).collect();
    let stated = stated_once(&parts, &mut findings);
    let mut rain = dense(&stated, &parts, &mut findings);
    if let Some(&last) = order_of_time(&parts).last() {
        multi_day_totals::tell_outside(&rain, &mut findings[last]);
    }
    rain.station = agreement::station(&parts);
    rain.day_definition = agreement::day_definition(&parts, &mut findings);
    rain.extent = agreement::extent(&parts, &mut findings);
    let order = order_of_time(&parts);
    rain.provenance = places::provenance(&parts, &order, &stated);
    let temperature = temperature(&parts, &mut findings);
    let mut diagnostics = Diagnostics::default();
    let mut own: Vec<Option<StationRecord>> = parts.into_iter().map(Some).collect();
    for &part in &order {
        if let Some(mut part) = own[part].take() {
            // What lies outside of a part may lie within the whole.
            for id in [multi_day_totals::OUTSIDE, multi_day_totals::TOTALS_ONLY] {
                part.diagnostics.list.retain(|found| found.id != id);
                part.diagnostics.counts.remove(id);
            }
            diagnostics.extend(part.diagnostics);
        }
    }
    let mut found: Vec<Option<Diagnostics>> = findings.into_iter().map(|findings| Some(findings.finish())).collect();
    order.iter().filter_map(|&part| found[part].take()).for_each(|list| diagnostics.extend(list));
    StationRecord { rain, temperature, diagnostics }
}

/// The parts by the first day that they state; one that states none goes last.
fn order_of_time(parts: &[StationRecord]) -> Vec<usize> {
    let first = |part: &usize| parts[*part].rain.stated().next().map_or(Day::first_of_year(2300), |(day, _)| day);
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by_key(first);
    order
}

/// Every stated day once, in order. The inside of totals is left out: it follows from the totals.
fn stated_once(parts: &[StationRecord], findings: &mut [Findings<'_>]) -> Vec<Stated> {
    let of_part = |(part, record): (usize, &StationRecord)| {
        let stated = record.rain.stated().filter(|(_, reading)| reading.kind() != Kind::WithinTotal);
        stated.map(|(day, reading)| Stated { day, reading, part }).collect::<Vec<_>>()
    };
    let mut stated: Vec<Stated> = parts.iter().enumerate().flat_map(of_part).collect();
    stated.sort_by_key(|one| (one.day, standing(one.reading), one.part));
    stated.dedup_by(|later, stands| {
        let again = later.day == stands.day;
        if again {
            tell_second(later, stands, parts, &mut findings[later.part]);
        }
        again
    });
    stated
}

/// Which of two values of a day goes before the other, whatever the order of the files: the same as within one file.
fn standing(reading: Reading) -> u8 {
    match reading.kind() {
        _ if reading.is_usable() => 0,
        Kind::Accumulated { .. } => 1,
        _ => 2,
    }
}

/// Where a day stands in a part, as line and columns.
fn place_of(one: &Stated, parts: &[StationRecord]) -> (Line<'static>, Option<(u32, u32)>) {
    match parts[one.part].rain.provenance.place(one.day) {
        Some(place) => (Line { number: place.line, text: b"" }, Some((place.column, 1))),
        None => (Line { number: 0, text: b"" }, None),
    }
}

/// The same in words.
fn words_of_place(one: &Stated, parts: &[StationRecord]) -> String {
    let provenance = &parts[one.part].rain.provenance;
    provenance.place(one.day).map_or_else(|| provenance.file().to_owned(), |place| format!("{} line {}", place.file, place.line))
}

fn tell_second(later: &Stated, stands: &Stated, parts: &[StationRecord], findings: &mut Findings<'_>) {
    let (line, columns) = place_of(later, parts);
    let first = || words_of_place(stands, parts);
    let day = later.day;
    if later.reading == stands.reading {
        findings.at("day-stated-again", Severity::Note, line, columns, || {
            (format!("found {day} a second time with the same value; expected one file a day ({})", first()), "It is counted once.")
        });
    } else {
        findings.at("day-stated-twice", Severity::Warning, line, columns, || {
            let (one, other) = (told(stands.reading), told(later.reading));
            let done = match (standing(stands.reading), standing(later.reading)) {
                (one, other) if one == other => "The value of the file given first stands; this one is not read.",
                (0, _) => "The usable value stands, whichever file is given first; this one is not read.",
                _ => "The multi-day total stands, whichever file is given first; this one is not read.",
            };
            (format!("found a second value for {day}: {other}, expected one ({}: {one})", first()), done)
        });
    }
}

/// Every day from the first to the last, single days first, then the totals in their places.
fn dense(stated: &[Stated], parts: &[StationRecord], findings: &mut [Findings<'_>]) -> DailySeries {
    let (Some(first), Some(last)) = (stated.first(), stated.last()) else { return DailySeries::default() };
    let first = first.day;
    let mut readings = vec![Reading::MISSING; usize::try_from(last.day.since(first)).unwrap_or(0) + 1];
    let is_total = |one: &&Stated| matches!(one.reading.kind(), Kind::Accumulated { .. });
    for one in stated.iter().filter(|one| !is_total(one)) {
        if let Some(slot) = usize::try_from(one.day.since(first)).ok().and_then(|i| readings.get_mut(i)) {
            *slot = one.reading;
        }
    }
    for one in stated.iter().filter(is_total) {
        let Kind::Accumulated { days } = one.reading.kind() else { continue };
        let (line, columns) = place_of(one, parts);
        // A total's depth was read into 32 bits.
        let micrometres = i32::try_from(one.reading.stated_micrometres()).unwrap_or(i32::MAX);
        let total = Total { last: one.day, micrometres, days: days.map(i32::from), line, columns: columns.unwrap_or((1, 1)) };
        multi_day_totals::put(first, &mut readings, &total, &mut findings[one.part]);
    }
    DailySeries::new(Station::default(), first, readings)
}

/// The temperatures of all files; of a day that two files state the file given first stands.
fn temperature(parts: &[StationRecord], findings: &mut [Findings<'_>]) -> DailyTemperature {
    let mut all = DailyTemperature::new();
    for (part, findings) in parts.iter().zip(findings) {
        let differing = all.fill_from(&part.temperature);
        if differing > 0 {
            findings.whole("temperature-stated-twice", Severity::Note, || {
                (
                    format!("found {differing} temperatures that another file states differently; expected one a day"),
                    "Those of the file given first stand.",
                )
            });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Wanted, read_bytes};
    use proptest::prelude::*;
    use series::{DayDefinition, Extent};
    use std::collections::BTreeMap;
    use testkit::DlyText;

    const ID: &str = "XXT00000001";

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn read(name: &str, text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes(name, text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records.pop().unwrap()
    }

    /// The lines of a file in the GHCN-Daily layout by their year (columns 12-15).
    fn by_year(text: &str) -> BTreeMap<String, String> {
        let mut files: BTreeMap<String, String> = BTreeMap::new();
        for line in text.lines() {
            let file = files.entry(line[11..15].to_owned()).or_default();
            file.push_str(line);
            file.push('\n');
        }
        files
    }

    fn read_by_year(text: &str) -> Vec<StationRecord> {
        by_year(text).iter().map(|(year, text)| read(&format!("{year}.dly"), text)).collect()
    }

    fn only(records: Vec<StationRecord>) -> StationRecord {
        let mut joined = join(records);
        assert_eq!(joined.len(), 1);
        joined.pop().unwrap()
    }

    #[test]
    fn a_total_covers_the_days_of_the_file_before() {
        let text = DlyText::new(ID)
            .rain_run_mm((2000, 12, 29), &[Some(1.0), Some(2.0)])
            .accumulated_mm((2001, 1, 2), 9.0, Some(3))
            .rain_run_mm((2001, 1, 3), &[Some(0.0), Some(4.0)])
            .to_text();
        let parts = read_by_year(&text);
        assert_eq!(parts[1].rain.counts().calendar, 2, "the total lies outside of the second file's own calendar");
        assert_eq!(parts[1].diagnostics.count(multi_day_totals::OUTSIDE), 1);
        let record = only(parts);
        assert_eq!(record.diagnostics.count(multi_day_totals::OUTSIDE), 0, "and within the calendar of both");
        let kinds: Vec<Kind> = record.rain.readings().iter().map(|reading| reading.kind()).collect();
        let (measured, within) = (Kind::Measured, Kind::WithinTotal);
        assert_eq!(kinds, [measured, measured, within, within, Kind::Accumulated { days: Some(3) }, measured, measured]);
        let files: Vec<&str> = record.rain.provenance.sources.iter().map(|source| source.file.as_str()).collect();
        assert_eq!(files, ["2000.dly", "2001.dly"]);
        let place = record.rain.provenance.place(day("2001-01-04")).unwrap();
        // The first file has one line; the second one each of PRCP, DAPR and MDPR. Column 22 and 8 a day: readme, section III.
        assert_eq!((place.file, place.line, place.column), ("2001.dly", 1, 22 + 3 * 8));
        assert_eq!(record.rain.provenance.place(day("2000-12-30")).unwrap().file, "2000.dly");
    }

    #[test]
    fn a_total_over_a_measured_day_of_another_file_loses_its_length() {
        let before = DlyText::new(ID).rain_run_mm((2000, 12, 30), &[Some(1.0), Some(2.0)]).to_text();
        let after = DlyText::new(ID).accumulated_mm((2001, 1, 2), 9.0, Some(3)).rain_mm((2001, 1, 3), 4.0).to_text();
        let record = only(vec![read("before", &before), read("after", &after)]);
        assert_eq!(record.rain.reading(day("2001-01-02")), Reading::accumulated(9000, None));
        assert_eq!((record.rain.counts().missing, record.diagnostics.count("total-overlaps-measured-day")), (1, 1));
        assert_eq!(record.rain.total_micrometres(), 7000);
    }

    #[test]
    fn a_day_in_two_files_counts_once_and_the_first_file_stands() {
        let first = DlyText::new(ID).rain_run_mm((2001, 1, 1), &[Some(1.0), Some(2.0), None]).temperature_c((2001, 1, 1), 5.0, 1.0);
        let other = DlyText::new(ID).rain_run_mm((2001, 1, 1), &[Some(1.0), Some(7.5), Some(3.0)]).temperature_c((2001, 1, 1), 6.0, 1.0);
        let record = only(vec![read("first.dly", &first.to_text()), read("other.dly", &other.to_text())]);
        assert_eq!(record.rain.total_micrometres(), 6000);
        assert_eq!((record.diagnostics.count("day-stated-again"), record.diagnostics.count("day-stated-twice")), (1, 1));
        let twice = record.diagnostics.list.iter().find(|found| found.id == "day-stated-twice").unwrap();
        // TMAX, TMIN, then PRCP: the third line; the second day stands at column 30.
        assert_eq!((twice.file.as_str(), twice.line, twice.column, twice.severity), ("other.dly", Some(3), Some(30), Severity::Warning));
        assert_eq!(twice.message, "found a second value for 2001-01-02: 7.5 mm, expected one (first.dly line 3: 2.0 mm)");
        assert_eq!(record.rain.provenance.place(day("2001-01-02")).unwrap().file, "first.dly");
        assert_eq!(record.rain.provenance.place(day("2001-01-03")).unwrap().file, "other.dly");
        assert_eq!((record.temperature.greatest(day("2001-01-01")), record.diagnostics.count("temperature-stated-twice")), (Some(5.0), 1));
    }

    #[test]
    fn a_usable_day_beats_a_rejected_one_of_the_file_before() {
        let with = |value: i32, quality: char| {
            let mut text = DlyText::new(ID).rain_run_mm((2001, 1, 1), &[Some(1.0), None, Some(3.0)]);
            text.put((2001, 1, 2), "PRCP", value, [' ', quality]);
            text.to_text()
        };
        let (flagged, good) = (with(990, 'G'), with(25, ' '));
        for files in [[&flagged, &good], [&good, &flagged]] {
            let record = only(vec![read("first.dly", files[0]), read("other.dly", files[1])]);
            assert_eq!((record.rain.reading(day("2001-01-02")), record.rain.counts().rejected), (Reading::measured(2500), 0));
            let told = record.diagnostics.list.iter().find(|found| found.id == "day-stated-twice").unwrap();
            assert_eq!(told.file, if files[0] == &flagged { "first.dly" } else { "other.dly" });
            assert!(
                told.message.contains("99.0 mm rejected") && told.message.contains("2.5 mm") && told.done.contains("usable"),
                "{told:?}"
            );
            let place = record.rain.provenance.place(day("2001-01-02")).unwrap().file.to_owned();
            assert_ne!(place, told.file);
        }
        // A usable day beats a total that ends on it, and a total a rejected day.
        let total =
            DlyText::new(ID).rain_mm((2001, 1, 1), 1.0).accumulated_mm((2001, 1, 3), 9.0, Some(2)).rain_mm((2001, 1, 4), 1.0).to_text();
        let record = only(vec![read("total", &total), read("good", &good)]);
        assert_eq!((record.rain.counts().accumulated, record.rain.total_micrometres()), (0, 1000 + 2500 + 3000 + 1000));
        let mut flagged = DlyText::new(ID).rain_mm((2001, 1, 1), 1.0);
        flagged.put((2001, 1, 3), "PRCP", 990, [' ', 'G']);
        let record = only(vec![read("flagged", &flagged.to_text()), read("total", &total)]);
        assert_eq!(record.rain.reading(day("2001-01-03")).kind(), Kind::Accumulated { days: Some(2) });
        assert_eq!(record.rain.counts().rejected, 0);
    }

    #[test]
    fn files_that_mean_different_days_give_a_record_that_does_not_say() {
        let part = |year: i32, hour: u8, extent: Extent| {
            let mut record = read(&format!("{year}"), &DlyText::new(ID).rain_mm((year, 1, 1), 1.0).to_text());
            record.rain.day_definition.start_hour = Some(hour);
            record.rain.extent = extent;
            record
        };
        let record = only(vec![part(2001, 7, Extent::Gauge), part(2002, 9, Extent::Gauge)]);
        assert_eq!((record.rain.day_definition, record.rain.extent), (DayDefinition::default(), Extent::Gauge));
        assert_eq!((record.diagnostics.count("day-definition-differs"), record.diagnostics.worst()), (1, Some(Severity::Warning)));
        let record = only(vec![part(2001, 7, Extent::Gauge), part(2002, 7, Extent::ArealMean)]);
        assert_eq!((record.rain.day_definition.start_hour, record.rain.extent), (Some(7), Extent::Unknown));
        assert_eq!(record.diagnostics.count("extent-differs"), 1);
    }

    #[test]
    fn other_stations_and_other_formats_stay_apart() {
        let station = |id: &str| read(id, &DlyText::new(id).rain_mm((2001, 1, 1), 1.0).to_text());
        let mut other_format = station(ID);
        "another".clone_into(&mut other_format.rain.provenance.format);
        let mut nameless = station(ID);
        nameless.rain.station.id.clear();
        let joined = join(vec![station(ID), station("XXT00000002"), other_format, nameless.clone(), nameless, station(ID)]);
        let ids: Vec<_> = joined.iter().map(|record| record.rain.station.id.as_str()).collect();
        assert_eq!(ids, [ID, "XXT00000002", ID, "", ""]);
        assert!(join(Vec::new()).is_empty());
    }

    /// What a day of an invented file may be: depth in tenths of a millimetre, a trace, a flagged value, a total, nothing.
    fn put(text: &mut DlyText, date: (i32, u32, u32), kind: u8, depth: i32, length: i32) {
        match kind {
            0..=5 => text.put(date, "PRCP", depth, [' ', ' ']),
            6 => text.put(date, "PRCP", 0, ['T', ' ']),
            7 => text.put(date, "PRCP", depth, [' ', 'I']),
            8 => {
                text.put(date, "MDPR", depth, [' ', ' ']);
                text.put(date, "DAPR", length, [' ', ' ']);
            }
            9 => text.put(date, "MDPR", depth, [' ', ' ']),
            _ => {}
        }
        if kind.is_multiple_of(3) {
            text.put(date, "TMAX", depth % 300, [' ', ' ']);
        }
    }

    proptest! {
        #[test]
        fn a_record_cut_by_year_and_joined_is_the_record_read_whole(
            days in proptest::collection::vec((0..13_u8, 0..400_i32, 1..40_i32), 1..900),
            start in 0..365,
            backwards: bool,
        ) {
            let first = day("1999-01-01").plus(start);
            let mut text = DlyText::new(ID);
            for (i, (kind, depth, length)) in (0..).zip(&days) {
                let day = first.plus(i);
                put(&mut text, (day.year(), day.month(), day.day_of_month()), *kind, *depth, *length);
            }
            let text = text.to_text();
            prop_assume!(!text.is_empty());
            let whole = read("whole.dly", &text);
            let mut parts = read_by_year(&text);
            if backwards {
                parts.reverse();
            }
            let record = only(parts);
            // A file's month lines say where its days begin; what a total covers before that is in no calendar, so it is left out here.
            let told = |record: &StationRecord| record.rain.stated().filter(|(_, r)| r.kind() != Kind::WithinTotal).collect::<Vec<_>>();
            prop_assert_eq!(told(&record), told(&whole));
            prop_assert_eq!((record.rain.period(), record.rain.readings()), (whole.rain.period(), whole.rain.readings()));
            prop_assert_eq!(&record.rain.station, &whole.rain.station);
            prop_assert_eq!(&record.temperature, &whole.temperature);
            let files = by_year(&text);
            for (day, reading) in record.rain.days().filter(|(_, reading)| reading.is_usable()) {
                let place = record.rain.provenance.place(day).unwrap();
                prop_assert_eq!(&place.file[..4], day.year().to_string());
                let line = files[&place.file[..4]].lines().nth(place.line as usize - 1).unwrap();
                let field: i64 = line[place.column as usize - 1..][..5].trim().parse().unwrap();
                prop_assert_eq!(field * 100, reading.stated_micrometres());
            }
        }
    }
}
