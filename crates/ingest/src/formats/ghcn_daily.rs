//! GHCN-Daily station files (`.dly`): one line a month and element, fixed columns.
//!
//! Layout (GHCN-Daily readme 3.26, section III): columns 1-11 id, 12-15 year, 16-17 month, 18-21 element, then 31 times value
//! (5), measurement flag, quality flag, source flag. Missing is -9999; precipitation is in tenths of a millimetre, temperature in
//! tenths of a degree Celsius. Read are PRCP, the multi-day totals MDPR with their lengths DAPR, and TMAX and TMIN where wanted;
//! lines of other elements are passed over unparsed.
//!
//! The file is walked once for where its lines are ([`lines`]), then each station is read from its lines in the order of time
//! into one dense vector. The time of observation is not in the file, so the day definition is unknown.

use super::{Confidence, Format, Input};
use crate::finding::Findings;
use crate::multi_day_totals;
use crate::{Error, FileSummary, Sink, StationRecord, Wanted, content, fields};
use lines::{MonthLine, StationLines};
use second_lines::Places;
use series::{DailySeries, Day, Provenance, Reading, Run, Severity, Station, days_in_month};

mod lines;
mod month;
mod rain;
mod second_lines;
mod temperature;
mod totals;

const NAME: &str = "GHCN-Daily station file";

pub(super) const FORMAT: Format = Format::new(NAME, &["dly"], sniff, read);

/// Lines that are looked at to know the format.
const LINES_LOOKED_AT: usize = 16;

/// A line of this format begins with id, year, month and element without a blank between, and a value follows.
fn sniff(bytes: &[u8]) -> Confidence {
    let lines = content::without_marks(bytes).split(|byte| *byte == b'\n').filter(|line| !fields::is_blank(line));
    let (mut seen, mut fit) = (0, 0);
    for line in lines.take(LINES_LOOKED_AT) {
        seen += 1;
        fit += usize::from(lines::head_fits(line) && line.len() >= lines::HEAD + 5);
    }
    match fit {
        0 => Confidence::No,
        _ if 2 * fit > seen => Confidence::Certain,
        _ => Confidence::Possible,
    }
}

// The table of readers asks for a result; this format has no fault of a whole file beyond those found before it is chosen.
#[allow(clippy::unnecessary_wraps)]
fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let index = lines::index(input, wanted);
    let stations = index.stations.len();
    for station in index.stations {
        sink.station(record(input, station));
    }
    Ok(FileSummary { format: NAME, stations, diagnostics: index.findings.finish() })
}

/// One station from its lines.
fn record(input: Input<'_>, station: StationLines<'_>) -> StationRecord {
    let StationLines { id, rain, totals, lengths, greatest, least, mut findings } = station;
    let id = String::from_utf8_lossy(&id).into_owned();
    if rain.is_empty() && totals.is_empty() {
        findings.whole("no-precipitation-element", Severity::Note, || {
            (format!("station {id} has no line of PRCP or MDPR; expected daily precipitation"), "The record holds no day of rain.")
        });
    }
    let [(rain, again), (totals, _), (lengths, _), (greatest, _), (least, _)] =
        [("PRCP", rain), ("MDPR", totals), ("DAPR", lengths), ("TMAX", greatest), ("TMIN", least)]
            .map(|(element, lines)| in_order_of_time(input.bytes, element, lines, &mut findings));
    let mut filled = Places::new();

    let mut series = DailySeries::default();
    series.station = Station::named_only(id);
    if let Some((first, mut readings)) = blank_calendar(&rain, &totals) {
        rain::read(input.bytes, &rain, first, &mut readings, &mut findings);
        filled = second_lines::fill(input.bytes, &again, first, &mut readings, &mut findings);
        totals::read(input.bytes, [&totals, &lengths], first, &mut readings, &mut findings);
        series = DailySeries::new(series.station, first, readings);
        multi_day_totals::tell_outside(&series, &mut findings);
        if series.period().is_none() {
            findings.whole("no-usable-day", Severity::Note, || {
                ("no day of precipitation is usable; expected at least one".to_owned(), "The record holds no day of rain.")
            });
        }
    }
    series.provenance = Provenance::of_file(input.name, input.sha256, NAME, Vec::new());
    second_lines::put_places(&rain, &filled, &mut series.provenance);
    series.provenance.last_row = rain.last().map(run).map(|run| run.first_day.plus(run.days as i32 - 1));
    let temperature = temperature::read(input.bytes, &greatest, &least, &mut findings);
    StationRecord { rain: series, temperature, diagnostics: findings.finish() }
}

/// The lines by month, of two for one month the first in the file; and the others.
fn in_order_of_time(
    bytes: &[u8],
    element: &str,
    mut lines: Vec<MonthLine>,
    findings: &mut Findings<'_>,
) -> (Vec<MonthLine>, Vec<MonthLine>) {
    let mut others = Vec::new();
    if !lines.is_sorted_by_key(|line| line.month) {
        lines.sort_by_key(|line| (line.month, line.number));
    }
    lines.dedup_by(|later, earlier| {
        let again = later.month == earlier.month;
        if again {
            findings.at("duplicate-line", Severity::Warning, later.line(bytes), (12, 10), || {
                let (year, month) = later.year_and_month();
                (
                    format!("found a second line of {element} for {year:04}-{month:02}; expected one (line {})", earlier.number),
                    if element == "PRCP" {
                        "The first line stands; of this one only the days on which the first has no usable value."
                    } else {
                        "The first line stands; this one is not read."
                    },
                )
            });
            others.push(*later);
        }
        again
    });
    (lines, others)
}

/// One missing day after the other over all months that have a line of rain or of totals, and the first of them.
fn blank_calendar(rain: &[MonthLine], totals: &[MonthLine]) -> Option<(Day, Vec<Reading>)> {
    let ends = [rain.first(), rain.last(), totals.first(), totals.last()];
    let months = ends.into_iter().flatten();
    let first = months.clone().min_by_key(|line| line.month)?.first_day();
    let last = months.max_by_key(|line| line.month)?;
    let (year, month) = last.year_and_month();
    let days = last.first_day().since(first) + days_in_month(year, month) as i32;
    Some((first, vec![Reading::MISSING; usize::try_from(days).ok()?]))
}

/// Where the days of a month stand.
fn run(line: &MonthLine) -> Run {
    let (year, month) = line.year_and_month();
    let fields = u32::from(line.length).saturating_sub(lines::HEAD as u32 + 5 - 8) / 8;
    Run {
        source: 0,
        first_day: line.first_day(),
        days: days_in_month(year, month).min(fields),
        first_line: line.number,
        line_step: 0,
        first_column: 22,
        column_step: 8,
    }
}
