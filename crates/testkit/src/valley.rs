//! The invented valley of `sample-data`: five stations in the layouts of GHCN-Daily, made from one seed.
//!
//! No place, person or gauge is meant. The ids begin with the country code XX, which the archive gives to no country, the names with
//! INVENTED, and the coordinates lie in the open North Atlantic. The same bytes come out on every machine: a named generator, `libm` for
//! transcendental functions, no clock. `cargo run -p testkit --bin invent-valley` writes the files again; a test compares them.
//!
//! Layouts: GHCN-Daily readme 3.26, sections III, IV and VII.

mod faults;
mod garden_log;
mod gauge;
mod metadata;
mod weather;

use std::fs;
use std::io;
use std::path::Path;

use chrono::{Datelike, NaiveDate};

use crate::draws::Draws;
use crate::record_builder::DlyText;
use gauge::Gauge;

/// Seed of everything here.
const SEED: u64 = 17;

const FIRST_YEAR: i32 = 1975;
const LAST_YEAR: i32 = 2024;

/// The five gauges, from the valley floor up the valley.
const GAUGES: [Gauge; 5] = [
    Gauge {
        id: "XX0INVENT01",
        name: "INVENTED OMBREL MEADOW",
        latitude: 44.5000,
        longitude: -36.0000,
        elevation_m: 182.0,
        first_year: 1975,
        normal_ratio: 1.0,
        ratio_season: 0.0,
        noise: 0.36,
        traces: true,
        snow_from: Some(2010),
        shows: "A good record: rain and temperatures nearly complete over fifty years, traces written as such. Snowfall and snow depth stand \
                beside them from 2010 on; a reader of rain skips those lines.",
    },
    Gauge {
        id: "XX0INVENT02",
        name: "INVENTED OMBREL FORD",
        latitude: 44.5412,
        longitude: -36.0735,
        elevation_m: 236.0,
        first_year: 1978,
        normal_ratio: 1.07,
        ratio_season: 0.02,
        noise: 0.42,
        traces: false,
        snow_from: None,
        shows: "A record with holes: no line at all from May 1993 to April 1997 and in single months elsewhere, months of rain that are \
                -9999 throughout while temperatures stand, and days missing here and there.",
    },
    Gauge {
        id: "XX0INVENT03",
        name: "INVENTED OMBREL SCHOOL",
        latitude: 44.4586,
        longitude: -35.9318,
        elevation_m: 311.0,
        first_year: 1975,
        normal_ratio: 1.14,
        ratio_season: 0.03,
        noise: 0.42,
        traces: false,
        snow_from: None,
        shows: "Weekend totals: from 1985 to 2004 nobody read the gauge on Saturdays and Sundays, and Monday holds three days (MDPR with \
                DAPR 3). Some totals cross the end of a month, a few lost their number of days (MDPR alone), and on 1998-03-16 only the \
                number was kept (DAPR alone). Temperatures were recorded through.",
    },
    Gauge {
        id: "XX0INVENT04",
        name: "INVENTED OMBREL PASS",
        latitude: 44.6230,
        longitude: -35.8904,
        elevation_m: 1150.0,
        first_year: 1978,
        normal_ratio: 1.5,
        ratio_season: 0.10,
        noise: 0.44,
        traces: false,
        snow_from: Some(1978),
        shows: "A high station: half as much rain again as at the valley floor, winters with many days whose mean is at or below freezing, \
                snowfall and snow depth from November to April.",
    },
    Gauge {
        id: "XX0INVENT05",
        name: "INVENTED OMBREL QUARRY",
        latitude: 44.5794,
        longitude: -36.1102,
        elevation_m: 397.0,
        first_year: 1975,
        normal_ratio: 1.2,
        ratio_season: 0.04,
        noise: 0.44,
        traces: true,
        snow_from: None,
        shows: "Flags: values refused by quality checks D, G (999.9 mm in a day), I, K, L (a total over 61 days), O and X, also on \
                temperatures; traces (T); zeros that were presumed (P) on the dry days of 1978 to 1980 and in two whole months; totals of two \
                readings a day (B) in 2001 to 2004.",
    },
];

/// All files of the valley: path below the folder, with `/`, and content.
pub fn files() -> Vec<(String, Vec<u8>)> {
    let first = january_first(FIRST_YEAR);
    let weather = weather::daily_weather(SEED, first, january_first(LAST_YEAR + 1) - chrono::Days::new(1));
    let records: Vec<DlyText> = (1..).zip(&GAUGES).map(|(number, gauge)| record_of(gauge, number, &weather)).collect();
    let mut files = vec![
        ("README.md".to_owned(), metadata::readme(&GAUGES).into_bytes()),
        ("ghcnd-inventory.txt".to_owned(), metadata::inventory(&GAUGES, &records).into_bytes()),
        ("garden-log.csv".to_owned(), garden_log::text(SEED + 200, &weather).into_bytes()),
        ("ghcnd-stations.txt".to_owned(), metadata::stations(&GAUGES).into_bytes()),
    ];
    files.extend(GAUGES.iter().zip(&records).map(|(gauge, record)| (format!("stations/{}.dly", gauge.id), record.to_text().into_bytes())));
    files
}

/// A gauge's rain before anything went wrong with it.
#[derive(Debug, Clone)]
pub struct CleanRain {
    /// Its id.
    pub id: &'static str,
    /// Position, degrees north and east.
    pub position: (f64, f64),
    /// 1 January of this year is the first day.
    pub first_year: i32,
    /// Tenths of a millimetre, day by day, to the end of the last year.
    pub tenths: Vec<i32>,
}

/// The five gauges under another sky of the same climate, without faults: sound records that agree as neighbours do, for tests that put
/// known faults in.
pub fn clean_rain(seed: u64) -> Vec<CleanRain> {
    let first = january_first(FIRST_YEAR);
    let weather = weather::daily_weather(seed, first, january_first(LAST_YEAR + 1) - chrono::Days::new(1));
    let of = |(number, gauge): (u64, &Gauge)| {
        let record = gauge::observe(gauge, seed.wrapping_mul(1000) + number, &weather);
        let days = weather.iter().filter(|day| day.date.year() >= gauge.first_year);
        let tenths = days.filter_map(|day| record.get(gauge::ymd(day.date), "PRCP")).map(|cell| cell.value).collect();
        CleanRain { id: gauge.id, position: (gauge.latitude, gauge.longitude), first_year: gauge.first_year, tenths }
    };
    (1..).zip(&GAUGES).map(of).collect()
}

/// Write all files below `folder`, each whole or not at all. Other files there are left alone.
///
/// # Errors
/// When a folder or a file cannot be written.
pub fn write(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder.join("stations"))?;
    for (path, bytes) in files() {
        let target = folder.join(&path);
        let part = folder.join(format!("{path}.part"));
        fs::write(&part, bytes)?;
        fs::rename(&part, &target)?;
    }
    Ok(())
}

/// A gauge's record with its faults. Sky and faults draw from seeds of their own, so that a changed fault moves no rain.
fn record_of(gauge: &Gauge, number: u64, weather: &[weather::WeatherDay]) -> DlyText {
    let mut record = gauge::observe(gauge, SEED + number, weather);
    let mut draws = Draws::new(SEED + 100 + number);
    let days: Vec<NaiveDate> = weather.iter().map(|day| day.date).filter(|date| date.year() >= gauge.first_year).collect();
    match number {
        1 => faults::few_days_missing(&mut record, &mut draws, &days),
        2 => faults::gaps(&mut record, &mut draws, &days),
        3 => faults::weekend_totals(&mut record, &mut draws, &days),
        4 => faults::winter_days_missing(&mut record, &mut draws, &days),
        _ => faults::flags(&mut record, &days),
    }
    record
}

/// 1 January of a year within the calendar of `chrono`.
fn january_first(year: i32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, 1, 1).unwrap_or_default()
}
