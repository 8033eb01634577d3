//! NCEI "access" files of GHCN-Daily: one station a file, one row a day, one column an element, every value with its flags.
//!
//! Layout (the heading of the files at ncei.noaa.gov/data/global-historical-climatology-network-daily/access): STATION, DATE, LATITUDE,
//! LONGITUDE, ELEVATION, NAME, then for each element its value and `…_ATTRIBUTES`, the flags `M,Q,S`. Units as in the archive (GHCN-Daily
//! readme 3.26, section III): tenths of a millimetre and of a degree Celsius, whole numbers padded with blanks to five characters; a value
//! that is not there is blank. Flags: [`super::ghcn`]; columns, totals, missing: [`super::ncei`]. The time of observation is not in the
//! file, so the day definition is unknown.
//!
//! A table with these columns and numbers that are no whole ones is in another unit: it is left to [`super::climate_data_online`].

use super::ncei::{self, Columns, TemperatureUnit, Units};
use super::{Confidence, Format, Input};
use crate::decimal::DepthUnit;
use crate::delimited::{Heading, Rows};
use crate::ncei_products::{self, Span};
use crate::station_days::Stations;
use crate::{Error, FileSummary, Sink, Wanted, content, majority};
use series::Diagnostics;

const NAME: &str = "NCEI access file of GHCN-Daily";

pub(super) const FORMAT: Format = Format::new(NAME, &["csv"], sniff, read);

const UNITS: Units =
    Units { depth: DepthUnit::TenthOfMillimetre, temperature: Some(TemperatureUnit::TenthOfCelsius), nines_are_missing: false };

/// The heading begins as in every file of the folder, rows stand for days, and the values are whole numbers.
pub(super) fn sniff(bytes: &[u8]) -> Confidence {
    let (heading, span) = ncei_products::heading_and_span(bytes);
    let begins = ["station", "date", "latitude", "longitude", "elevation", "name"];
    let right = begins.iter().enumerate().all(|(place, name)| heading.name(place) == name.as_bytes());
    let elements = (begins.len()..heading.len()).filter(|place| heading.name(*place).ends_with(b"_attributes")).count();
    let daily = matches!(span, None | Some(Span::Day)) && heading.find("REPORT_TYPE").is_none();
    let known = ["PRCP", "TMAX", "TMIN", "SNOW", "SNWD", "TAVG"].iter().any(|name| heading.find(name).is_some());
    if right && daily && known && 2 * elements >= heading.len() - begins.len() && heading.find("DEWP").is_none() && whole(bytes, &heading) {
        Confidence::Certain
    } else {
        Confidence::No
    }
}

/// Whether the values of the first rows are whole numbers as a rule: of the rain, or of the temperatures where it is dry throughout. A zero
/// tells nothing, but for one that is written with decimals.
fn whole(bytes: &[u8], heading: &Heading) -> bool {
    let of = |names: &[&str]| {
        let columns: Vec<usize> = names.iter().filter_map(|name| heading.find(name)).collect();
        let mut rows = Rows::new(content::first_lines(bytes, majority::ROWS + 1), b',');
        rows.next_row();
        let (mut whole, mut pointed) = (0, 0);
        while let Some(row) = rows.next_row() {
            for field in columns.iter().map(|place| row.get(*place)) {
                if field.contains(&b'.') {
                    pointed += 1;
                } else if field.iter().any(|byte| matches!(byte, b'1'..=b'9')) {
                    whole += 1;
                }
            }
        }
        (whole + pointed > 0).then_some(whole > pointed)
    };
    of(&["PRCP", "MDPR"]).or_else(|| of(&["TMAX", "TMIN"])).unwrap_or(true)
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let mut rows = Rows::new(input.bytes, b',');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let columns = Columns::of(&heading).filter(|columns| columns.rain.is_some() || columns.total.is_some());
    let Some(columns) = columns else {
        return Err(Error::WrongProduct {
            file: input.name.to_owned(),
            found: "an NCEI access file without the column PRCP".to_owned(),
            expected: "daily precipitation (PRCP) beside STATION and DATE".to_owned(),
        });
    };
    let mut stations = Stations::new(input, NAME);
    let mut findings = input.findings();
    while let Some(row) = rows.next_row() {
        if !heading.fits(&row, &mut findings) {
            continue;
        }
        match ncei::day_of(row.get(columns.date), None) {
            Ok(day) => {
                let days = stations.at(row.get(columns.station), |input| ncei::new_station(input, &columns, &row));
                ncei::read_row(&row, day, &columns, UNITS, wanted, days);
            }
            Err(fault) => findings.date(row.line, row.columns(columns.date), row.get(columns.date), fault, "a date such as 2024-01-31"),
        }
    }
    let stations = stations.finish(sink);
    let diagnostics: Diagnostics = findings.finish();
    Ok(FileSummary { format: NAME, stations, diagnostics })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StationRecord, formats, read_bytes};
    use series::{Day, Kind};

    const HEAD: &str = "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\"PRCP_ATTRIBUTES\",\"TMAX\",\"TMAX_ATTRIBUTES\",\"MDPR\",\"MDPR_ATTRIBUTES\",\"DAPR\",\"DAPR_ATTRIBUTES\"\n";

    fn row(date: &str, values: &str) -> String {
        format!("\"XX000000001\",\"{date}\",\"44.5\",\"-36.0\",\"182.0\",\"INVENTED PLACE, XX\",{values}\n")
    }

    fn record(rows: &[String]) -> StationRecord {
        let mut records = Vec::new();
        let text = format!("{HEAD}{}", rows.concat());
        let wanted = Wanted { temperatures: true, ..Wanted::default() };
        read_bytes("XX000000001.csv", text.as_bytes(), wanted, &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn each_kind_of_day_is_kept_apart() {
        let record = record(&[
            row("2001-01-01", "\"   38\",\",,S\",\"  225\",\",,S\",,,,"),
            row("2001-01-02", "\"    0\",\"T,,S\",\"  225\",\",I,S\",,,,"),
            row("2001-01-03", ",,,,,,,"),
            row("2001-01-04", "\"12863\",\",G,S\",,,,,,"),
            row("2001-01-05", "\"    0\",\"P,,S\",\"  999\",\",,S\",,,,"),
            row("2001-01-07", ",,,,\"   90\",\",,S\",\"    2\",\",,S\""),
            row("2001-01-08", "\"   -5\",\",,S\",,,,,,"),
            row("2001-01-09", "\"   5x\",\",,S\",,,,,,"),
            row("2001-02-30", "\"    5\",\",,S\",,,,,,"),
            row("2001-01-10", "\"    5\",\"B,,S\",,,,,,"),
        ]);
        let counts = record.rain.counts();
        assert_eq!(
            (counts.calendar, counts.measured, counts.trace, counts.accumulated, counts.rejected, counts.missing),
            (10, 3, 1, 2, 3, 1)
        );
        assert_eq!((counts.presumed_zero, counts.made_of_parts), (1, 1));
        let day = |text: &str| text.parse::<Day>().unwrap();
        assert_eq!(record.rain.reading(day("2001-01-01")).depth(), Some(3800));
        assert_eq!(record.rain.reading(day("2001-01-07")).kind(), Kind::Accumulated { days: Some(2) });
        assert_eq!((record.temperature.greatest(day("2001-01-01")), record.temperature.greatest(day("2001-01-02"))), (Some(22.5), None));
        let station = &record.rain.station;
        assert_eq!((station.id.as_str(), station.name.as_str()), ("XX000000001", "INVENTED PLACE, XX"));
        assert_eq!((station.position(), station.elevation), (Some((44.5, -36.0)), Some(182.0)));
        for id in ["reading-flagged", "value-impossible", "value-unreadable", "temperature-flagged", "temperature-implausible"] {
            assert_eq!(record.diagnostics.count(id), 1, "{id}");
        }
    }

    #[test]
    fn one_value_with_a_point_is_rejected_in_its_place() {
        let days = |odd: &str| -> Vec<String> {
            let depths = ["\"   38\"", "\"   12\"", odd, "\"    5\""];
            (1..).zip(depths).map(|(day, depth)| row(&format!("2001-01-0{day}"), &format!("{depth},\",,S\",,,,,,"))).collect()
        };
        let record = record(&days("\"  3.8\""));
        // Tenths of a millimetre: 38 + 12 + 5.
        assert_eq!((record.rain.total_micrometres(), record.rain.counts().rejected), (5500, 1));
        let found = &record.diagnostics.list[0];
        assert_eq!((found.id, found.line), ("value-unreadable", Some(4)));
        assert!(found.message.contains("3.8") && found.message.contains("whole number"), "{}", found.message);
    }

    #[test]
    fn values_with_decimals_are_another_product() {
        let text = format!("{HEAD}{}", row("2001-01-01", "\"3.8\",\",,S\",,,,,,"));
        assert_eq!(formats::choose(text.as_bytes()).map(|format| format.name), Some("Climate Data Online export"));
        let text = format!("{HEAD}{}", row("2001-01", "\"   38\",\",,S\",,,,,,"));
        assert!(formats::choose(text.as_bytes()).is_none(), "the monthly product");
    }
}
