//! Deutscher Wetterdienst (DWD), daily station observations of the Climate Data Center: the climate files (KL) and the rain files (RR).
//!
//! Layout: a heading and one line a day in semicolons, padded with blanks, closed by `eor`; ISO 8859-1. The columns are found by name:
//! rain `RSK` (KL) or `RS` (RR), its form `RSKF` or `RSF`, the quality level of the group, `QN_4` or `QN_6`; `TXK` and `TNK` in degrees
//! Celsius. Until about 2016 they were `NIEDERSCHLAGSHOEHE`, `NIEDERSCHLAGSHOEHE_IND`, `QUALITAETS_NIVEAU`, `LUFTTEMPERATUR_MAXIMUM` and
//! `LUFTTEMPERATUR_MINIMUM`. Millimetres; -999 is missing, and a day without a line too.
//! Source: `DESCRIPTION_obsgermany_climate_daily_kl_historical_en` and `..._more_precip_...` of the CDC (as cited in
//! adrian-baumann/dwd-temp-project, models/staging/measurements.md), and the `Metadaten_Parameter` text in each archive.
//!
//! * Quality level: 1 only formal checks on import, 2 checked by own criteria, 3 automatic checks, 5 historic, subjective procedure, 7
//!   checked, not yet corrected, 8 checked outside the routine, 9 not all parameters corrected, 10 checked and corrected. Values that DWD
//!   found wrong are not published, so no level rejects; a value of level 1, which nobody looked at, is a note.
//! * Form: 0 none, 1 rain (until 1979), 4 recorded precipitation of unknown form, 6 rain, 7 snow, 8 rain and snow, 9 not determined. A depth of
//!   0.0 mm with a form 1, 4, 6, 7 or 8 is precipitation too small to measure: a trace (our reading of the two columns). Days with snow (7, 8) are counted as
//!   notes. Form 0 with a depth is a contradiction: the depth is read, with a note.
//!
//! The day (`Metadaten_Parameter`; FT = Folgetag, the day after): 07:30 to 07:30 FT of Central European Time until 31 March 2001, at
//! climate stations before 1987 at 7 h local mean time and at rain stations before 1991 at 07:00; since then 05:51 to 05:50 FT UTC, which
//! is 06:51 CET. It is stated for the whole record as beginning at 7 h local, dated by the first day.

use super::{Confidence, Format, Input};
use crate::date;
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Row, Rows, first_heading};
use crate::depth_field::{DepthField, is_code, temperature};
use crate::file_dates::FileDates;
use crate::station_days::{Place, StationDays, Stations};
use crate::station_list::dwd::{self, InArchive};
use crate::{Error, FileSummary, Sink, Wanted, content, majority};
use series::{DayDefinition, DayLabel, Reading, Severity};

const NAME: &str = "DWD daily station file";

pub(super) const FORMAT: Format = Format::new(NAME, &[], sniff, read);

const MISSING: i64 = -999;
const RAIN: DepthField = DepthField { element: "precipitation", unit: DepthUnit::Millimetre };
const RAIN_COLUMNS: [&str; 3] = ["RSK", "RS", "NIEDERSCHLAGSHOEHE"];

/// Where the columns are.
struct Columns {
    station: usize,
    date: usize,
    rain: usize,
    form: Option<usize>,
    quality: Option<usize>,
    greatest: Option<usize>,
    least: Option<usize>,
    end: Option<usize>,
}

impl Columns {
    fn of(heading: &Heading) -> Option<Self> {
        let rain = heading.find_any(&RAIN_COLUMNS)?;
        // In the climate file QN_3 is the level of the wind and QN_4 of all the rest.
        let quality = heading.find_any(&["QN_4", "QN_6", "QUALITAETS_NIVEAU"]);
        Some(Self {
            station: heading.find("STATIONS_ID")?,
            date: heading.find("MESS_DATUM")?,
            rain,
            form: heading.find_any(&["RSKF", "RSF", "NIEDERSCHLAGSHOEHE_IND"]),
            quality,
            greatest: heading.find_any(&["TXK", "LUFTTEMPERATUR_MAXIMUM"]),
            least: heading.find_any(&["TNK", "LUFTTEMPERATUR_MINIMUM"]),
            end: heading.find("eor"),
        })
    }
}

/// Any file of the Climate Data Center is known by its first two columns, so that it can be told what it is.
fn sniff(bytes: &[u8]) -> Confidence {
    let head = content::first_lines(bytes, 2);
    let heading = first_heading(head, b';');
    let own = heading.find("STATIONS_ID") == Some(0) && heading.find_any(&["MESS_DATUM", "MESS_DATUM_BEGINN"]) == Some(1);
    match (own, own && Columns::of(&heading).is_some()) {
        (_, true) => Confidence::Certain,
        (true, false) => Confidence::Possible,
        _ => Confidence::No,
    }
}

/// What a file with these columns is that holds no rain of days; its dates have so many digits as a rule.
fn other_product(heading: &Heading, digits: usize) -> Option<&'static str> {
    if heading.find("MESS_DATUM_BEGINN").is_some() {
        return Some("a monthly or yearly file of the DWD (MESS_DATUM_BEGINN, MESS_DATUM_ENDE)");
    }
    match digits {
        10 => Some("an hourly file of the DWD (dates of ten digits)"),
        12 => Some("a file of the DWD with values of minutes (dates of twelve digits)"),
        _ if heading.find_any(&RAIN_COLUMNS).is_none() => {
            Some("a daily file of the DWD without precipitation (no column RSK, RS or NIEDERSCHLAGSHOEHE)")
        }
        _ => None,
    }
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b';');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let mut looked = Rows::new(input.bytes, b';');
    looked.next_row();
    let digits = majority::commonest(&mut looked, |row| Some(majority::digits(row.get(1)))).unwrap_or(0);
    if let Some(product) = other_product(&heading, digits) {
        return Err(input.wrong_product(product));
    }
    let columns =
        Columns::of(&heading).ok_or_else(|| input.wrong_product("a file of the DWD without the columns of a daily station file"))?;
    let mut stations = Stations::new(input, NAME);
    let in_archive = input.companions.dwd();
    let mut of_file = input.findings();
    let mut dates = FileDates::new(input, b';', columns.date, date::compact, wanted);
    while let Some(row) = rows.next_row() {
        if !heading.fits(&row, &mut of_file) {
            continue;
        }
        let whole = columns.end.is_none_or(|end| row.get(end) == b"eor");
        match dwd::id(row.get(columns.station)) {
            Some(id) if whole => {
                day(&row, &columns, &mut dates, stations.at(id.as_bytes(), |input| station(input, in_archive, &id)), wanted);
            }
            _ => of_file.unreadable_line(row.line, "station, date and values as the heading says, closed by eor"),
        }
    }
    dates.tell("a date of eight digits", &mut of_file);
    let count = stations.finish(sink);
    Ok(FileSummary { format: NAME, stations: count, diagnostics: of_file.finish() })
}

fn station<'a>(input: Input<'a>, in_archive: &InArchive, id: &str) -> StationDays<'a> {
    let (station, places) = in_archive.station(id);
    let mut days = StationDays::new(input, station, DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay });
    if places > 1 {
        days.findings.whole("station-moved", Severity::Note, || {
            (
                format!("found {places} places of the station {id} in the texts of its archive, expected one for the whole record"),
                "Position and height are those of the last one.",
            )
        });
    }
    days
}

fn day(row: &Row<'_, '_>, columns: &Columns, dates: &mut FileDates<'_>, days: &mut StationDays<'_>, wanted: Wanted) {
    let day = match dates.day(row.get(columns.date)) {
        Ok(day) => day,
        Err(fault) => {
            let found = row.get(columns.date);
            return days.findings.date(row.line, row.columns(columns.date), found, fault, "a date of eight digits");
        }
    };
    let known = |place: Option<usize>| place.filter(|place| !row.get(*place).is_empty() && !is_code(row.get(*place), MISSING));
    if wanted.temperatures {
        if let Some(tenths) =
            known(columns.greatest).and_then(|at| temperature(row, at, day, ("the greatest temperature", 10), &mut days.findings))
        {
            days.greatest(day, tenths);
        }
        if let Some(tenths) =
            known(columns.least).and_then(|at| temperature(row, at, day, ("the least temperature", 10), &mut days.findings))
        {
            days.least(day, tenths);
        }
    }
    let Some(rain) = known(Some(columns.rain)) else { return };
    let reading = RAIN.reading(row, rain, day, &mut days.findings);
    if let Some(at) = known(columns.quality).filter(|at| is_code(row.get(*at), 1)) {
        days.findings.at("quality-level-unchecked", Severity::Note, row.line, row.columns(at), || {
            (
                format!("found the quality level 1 (formal checks on import only) on {day}, expected 2 or more"),
                "The value is read: nobody has checked it yet.",
            )
        });
    }
    let reading = match known(columns.form) {
        Some(at) if reading.is_usable() => with_form(row, at, day, reading, days),
        _ => reading,
    };
    days.day(day, reading, Place::new(row.line, row.columns(rain)));
}

/// The reading in the light of the form of precipitation.
fn with_form(row: &Row<'_, '_>, at: usize, day: series::Day, reading: Reading, days: &mut StationDays<'_>) -> Reading {
    let (form, dry) = (row.get(at), reading.depth() == Some(0));
    let mut note = |id, found: &str, done| {
        days.findings.at(id, Severity::Note, row.line, row.columns(at), || (format!("found {found} on {day}"), done));
    };
    match form {
        b"0" if !dry => {
            note("precipitation-form-differs", "the form 0 (no precipitation) beside a depth; expected a form of it", "The depth is read.");
        }
        b"7" => note("precipitation-as-snow", "the form 7 (only snow); expected rain of a rain record", "The depth is the water of it."),
        b"8" => {
            note("precipitation-as-snow", "the form 8 (rain and snow); expected rain of a rain record", "The depth is the water of both.");
        }
        b"0" | b"1" | b"4" | b"6" | b"9" => {}
        _ => note(
            "precipitation-form-unknown",
            "a form of precipitation that the description does not list; expected 0, 1, 4 or 6 to 9",
            "The value is read.",
        ),
    }
    match form {
        b"1" | b"4" | b"6" | b"7" | b"8" if dry => Reading::TRACE,
        _ => reading,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::{Companion, Companions};
    use crate::{StationRecord, read_bytes};
    use series::Day;

    const KL: &str = "STATIONS_ID;MESS_DATUM;QN_3;  FX;  FM;QN_4; RSK;RSKF; SDK;SHK_TAG;  NM; VPM;  PM; TMK; UPM; TXK; TNK; TGK;eor\r\n";
    const RR: &str = "STATIONS_ID;MESS_DATUM;QN_6;  RS; RSF;SH_TAG;NSH_TAG;eor\r\n";
    const OLD: &str = "STATIONS_ID;MESS_DATUM;QUALITAETS_NIVEAU;LUFTTEMPERATUR;DAMPFDRUCK;BEDECKUNGSGRAD;LUFTDRUCK_STATIONSHOEHE;REL_FEUCHTE;WINDGESCHWINDIGKEIT;LUFTTEMPERATUR_MAXIMUM;LUFTTEMPERATUR_MINIMUM;LUFTTEMP_AM_ERDB_MINIMUM;WINDSPITZE_MAXIMUM;NIEDERSCHLAGSHOEHE;NIEDERSCHLAGSHOEHE_IND;SONNENSCHEINDAUER;SCHNEEHOEHE;eor\r\n";

    fn records(text: &str) -> Vec<StationRecord> {
        let mut records = Vec::new();
        read_bytes("produkt.txt", text.as_bytes(), Wanted { temperatures: true, ..Wanted::default() }, &mut records).unwrap();
        records
    }

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    #[test]
    fn rain_forms_levels_and_temperatures_are_read() {
        let lines = "         44;20010101;-999;-999;-999;   10;   0.4;   6;-999;   0;   4.0;  10.0;    -999;   13.9;   65.00;   20.1;    -6.0;-999;eor\r\n\
                     \x20        44;20010102;-999;-999;-999;    1;   0.0;   7;-999;   0;   4.0;  10.0;    -999;   13.9;   65.00;   -999;   -999;-999;eor\r\n\
                     \x20        44;20010103;-999;-999;-999;   10;-999.0;-999;-999;   0;   4.0;  10.0;    -999;   13.9;   65.00;   -999;   -999;-999;eor\r\n\
                     \x20        44;20010104;-999;-999;-999;   10;   1.0;   0;-999;   0;   4.0;  10.0;    -999;   13.9;   65.00;   77.0;   x;-999;eor\r\n\
                     \x20        44;20010105;-999;-999;-999;   10;   0.0;   5;-999;   0;   4.0;  10.0;    -999;   13.9;   65.00;   -999;   -999;-999;eor\r\n\
                     \x20        44;20010106;-999;-999;-999;   10;   3";
        let record = records(&format!("{KL}{lines}")).pop().unwrap();
        let counts = record.rain.counts();
        assert_eq!((counts.calendar, counts.measured, counts.trace, counts.missing), (5, 3, 1, 1));
        assert_eq!((record.rain.station.id.as_str(), record.rain.total_micrometres()), ("00044", 1400));
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("quality-level-unchecked"), count("precipitation-as-snow"), count("precipitation-form-differs")), (1, 1, 1));
        assert_eq!((count("precipitation-form-unknown"), count("value-unreadable"), count("temperature-implausible")), (1, 1, 1));
        assert_eq!((record.temperature.greatest(day("2001-01-01")), record.temperature.least(day("2001-01-01"))), (Some(20.1), Some(-6.0)));
        assert_eq!(record.rain.provenance.place(day("2001-01-01")).map(|place| (place.line, place.column)), Some((2, 43)));
    }

    #[test]
    fn the_rain_file_and_the_older_heading_are_read() {
        let record = records(&format!("{RR}       1526;19490101;    5;   9.0;   1;   0;   0;eor\r\n")).pop().unwrap();
        assert_eq!((record.rain.total_micrometres(), record.rain.station.id.as_str()), (9000, "01526"));
        let line = "1; 20140101; 3; 1.0; 5; 1; -999; 80; 1; 5.5; -2.5; 1; 1; 12.3; 8; 1; 0;eor\r\n";
        let record = records(&format!("{OLD}{line}")).pop().unwrap();
        assert_eq!((record.rain.total_micrometres(), record.temperature.least(day("2014-01-01"))), (12_300, Some(-2.5)));
        assert_eq!(record.rain.day_definition, DayDefinition { start_hour: Some(7), label: DayLabel::FirstDay });
    }

    #[test]
    fn a_zero_of_each_form_is_a_trace_where_precipitation_was_recorded() {
        // The description's list: 0 no precipitation, 1 only rain, 4 unknown form of recorded precipitation, 6 rain, 7 snow, 8 both, 9 error,
        // missing or not determined.
        let line = |(day, form): (usize, &str)| format!("1526;200101{day:02};    5;   0.0;{form:>4};   0;   0;eor\r\n");
        let lines: String = (1..).zip(["0", "1", "4", "6", "7", "8", "9"]).map(line).collect();
        let record = records(&format!("{RR}{lines}")).pop().unwrap();
        let traces: Vec<u32> =
            record.rain.days().filter(|(_, reading)| *reading == Reading::TRACE).map(|(day, _)| day.day_of_month()).collect();
        assert_eq!((traces, record.rain.counts().measured), (vec![2, 3, 4, 5, 6], 2));
    }

    #[test]
    fn one_odd_date_costs_its_line() {
        let lines: Vec<String> = (1..=4).map(|day| format!("1526;194901{day:02};    5;   9.0;   1;   0;   0;eor\r\n")).collect();
        for (odd, days) in [("1949010500", 4), ("194901050000", 4), ("", 4), ("1949-01-05", 5)] {
            for at in [0, 4] {
                let mut lines = lines.clone();
                lines.insert(at, format!("1526;{odd};    5;   9.0;   1;   0;   0;eor\r\n"));
                let record = records(&format!("{RR}{}", lines.concat())).pop().unwrap();
                assert_eq!((record.rain.counts().measured, record.diagnostics.count("date-unreadable")), (days, 5 - days), "{odd}");
            }
        }
    }

    #[test]
    fn other_files_of_the_same_source_are_named() {
        for (text, word) in [
            ("STATIONS_ID;MESS_DATUM;QN_8;  R1;RS_IND;WRTR;eor\r\n 3;1995090100;3;0.0;0;-999;eor\r\n", "hourly"),
            (
                "STATIONS_ID;MESS_DATUM;QUALITAETS_NIVEAU;NIEDERSCHLAG_GEFALLEN_IND;NIEDERSCHLAGSHOEHE;NIEDERSCHLAGSFORM;eor\r\n3;1995090100;1;0;0.0;-9;eor\r\n",
                "hourly",
            ),
            ("STATIONS_ID;MESS_DATUM;  QN;PP_10;TT_10;TM5_10;RF_10;TD_10;eor\r\n 3;201001010000;3;1;1;1;1;1;eor\r\n", "minutes"),
            (
                "STATIONS_ID;MESS_DATUM_BEGINN;MESS_DATUM_ENDE;QN_6;MO_NSH;MO_RR;MO_SH_S;MX_RS;eor\r\n1;19310101;19310131;5;1;1;1;1;eor\r\n",
                "monthly",
            ),
            ("STATIONS_ID;MESS_DATUM;QN_6;ASH_6;SH_TAG;WASH_6;WAAS_6;eor\r\n1;20010101;1;1;1;1;1;eor\r\n", "without precipitation"),
        ] {
            let error = read_bytes("x", text.as_bytes(), Wanted::default(), &mut Vec::new()).unwrap_err();
            assert!(error.id() == "file-is-another-product" && error.to_string().contains(word), "{error}");
        }
    }

    #[test]
    fn the_place_comes_from_the_texts_of_the_archive() {
        let geography = "Stations_id;Stationshoehe;Geogr.Breite;Geogr.Laenge;von_datum;bis_datum;Stationsname\r\n   44;  44.00; 52.9336;  8.2370;20010101;;Gro\u{df}enkneten\r\n";
        let companions = Companions::new(vec![Companion {
            name: "Metadaten_Geographie_00044.txt".into(),
            bytes: encoding_rs::WINDOWS_1252.encode(geography).0.into_owned(),
        }]);
        let text = format!("{RR}         44;20010101;    5;   9.0;   1;   0;   0;eor\r\n");
        let input = Input { companions: &companions, ..Input::of("x", text.as_bytes()) };
        let mut records: Vec<StationRecord> = Vec::new();
        read(input, Wanted::default(), &mut records).unwrap();
        let station = &records[0].rain.station;
        assert_eq!((station.name.as_str(), station.position(), station.elevation), ("Großenkneten", Some((52.9336, 8.237)), Some(44.0)));
    }
}
