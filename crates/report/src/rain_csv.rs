//! `monthly.csv`, `stations.csv` and `records.csv`: the tables of `rainworth rain DIR`, a row a month and two rows a record.
//!
//! Depths in `monthly.csv` are tenths of a millimetre, whole where the record's scale allows it; figures in `stations.csv` are in mm and
//! days with six decimals. A withheld figure is empty. These two have the columns that are exchanged with other programs for the same job;
//! `records.csv` says what a row of theirs rests on: whose record, of which format, from when to when, and how many years each normal has.

use crate::Error;
use assess::{StationRow, StationTables};
use series::{DailySeries, Extent};

/// The head of `monthly.csv`.
pub const MONTHLY_HEAD: &str = "station,year,month,n,tenths\n";

/// The head of `stations.csv`.
pub fn stations_head() -> String {
    let months = (1..=12).map(|month| format!("m{month}"));
    let depths = ["gum", "gev"].into_iter().flat_map(|name| assess::RETURN_PERIODS.map(|years| format!("{name}{years}")));
    let columns = ["station".to_owned()].into_iter().chain(months);
    let columns = columns.chain(["dry_max", "dry_mean", "years"].map(str::to_owned)).chain(depths);
    columns.collect::<Vec<_>>().join(",") + "\n"
}

/// A station's rows of `monthly.csv`.
pub fn monthly_rows(tables: &StationTables) -> Vec<u8> {
    let station = field(&tables.row.station);
    let mut out = Vec::with_capacity(tables.months.len() * (station.len() + 20));
    let mut digits = itoa::Buffer::new();
    for month in &tables.months {
        out.extend_from_slice(&station);
        for number in [i64::from(month.year), i64::from(month.month), i64::from(month.usable + month.covered), month.micrometres / 100] {
            out.push(b',');
            out.extend_from_slice(digits.format(number).as_bytes());
        }
        let rest = month.micrometres % 100;
        if rest != 0 {
            out.extend_from_slice(&[b'.', b'0' + (rest / 10) as u8, b'0' + (rest % 10) as u8]);
        }
        out.push(b'\n');
    }
    out
}

/// A text as a field of a row (RFC 4180): in quotes where it holds a comma, a quote or a line's end.
fn field(text: &str) -> Vec<u8> {
    let mut out = Vec::new();
    let mut writer = csv_core::Writer::new();
    let mut room = vec![0; 2 * text.len() + 2];
    let (_, _, written) = writer.field(text.as_bytes(), &mut room);
    let (_, closed) = writer.finish(&mut room[written..]);
    out.extend_from_slice(&room[..written + closed]);
    out
}

/// A station's row of `stations.csv`.
///
/// # Errors
/// When the writer refuses a row.
pub fn station_rows(row: &StationRow) -> Result<Vec<u8>, Error> {
    let six = |value: &Option<f64>| value.map(|value| format!("{value:.6}")).unwrap_or_default();
    let mut cells = vec![row.station.clone()];
    cells.extend(row.normals.iter().map(six));
    cells.push(row.longest_dry_spell.map(|days| days.to_string()).unwrap_or_default());
    cells.push(six(&row.mean_dry_spell));
    cells.push(row.years.to_string());
    cells.extend(row.gumbel.iter().chain(&row.generalized_extreme_value).map(six));
    let mut out = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    out.write_record(cells)?;
    out.into_inner().map_err(|error| Error::Csv(error.into_error().into()))
}

/// Months in the names of columns.
const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// The head of `records.csv`.
pub fn records_head() -> String {
    let whose = ["station", "id", "name", "format", "extent", "latitude_degrees", "longitude_degrees", "elevation_m"];
    let when = ["first_day", "last_day", "usable_days", "files", "first_file", "normals_first_year", "normals_last_year"];
    let normals = MONTHS.iter().flat_map(|month| [format!("normal_{month}_mm"), format!("normal_{month}_years")]);
    whose.into_iter().chain(when).map(str::to_owned).chain(normals).collect::<Vec<_>>().join(",") + "\n"
}

/// A record's row of `records.csv`; `files` is how many files it comes from.
///
/// # Errors
/// When the writer refuses a row.
pub fn record_rows(row: &StationRow, rain: &DailySeries, files: usize) -> Result<Vec<u8>, Error> {
    let extent = match rain.extent {
        Extent::Gauge => "gauge",
        Extent::ArealMean => "areal mean",
        Extent::Unknown => "unknown",
    };
    let number = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let day = |day: Option<series::Day>| day.map(|day| day.to_string()).unwrap_or_default();
    let (station, period) = (&rain.station, rain.period());
    let mut out = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    for text in [&row.station, &station.id, &station.name, &rain.provenance.format] {
        out.write_field(text)?;
    }
    out.write_field(extent)?;
    for value in [station.latitude, station.longitude, station.elevation] {
        out.write_field(number(value))?;
    }
    out.write_field(day(period.map(|period| period.first)))?;
    out.write_field(day(period.map(|period| period.last)))?;
    out.write_field(row.usable_days.to_string())?;
    out.write_field(files.to_string())?;
    out.write_field(rain.provenance.file())?;
    for year in [row.normals_period.0, row.normals_period.1] {
        out.write_field(year.to_string())?;
    }
    for (normal, years) in row.normals.iter().zip(row.normal_years) {
        out.write_field(normal.map(|normal| format!("{normal:.6}")).unwrap_or_default())?;
        out.write_field(years.to_string())?;
    }
    out.write_record(None::<&[u8]>)?;
    out.into_inner().map_err(|error| Error::Csv(error.into_error().into()))
}

/// Rows of one of the tables under another name of the station: where the rows of two records would bear the same one.
pub fn renamed_rows(rows: &[u8], from: &str, to: &str) -> Vec<u8> {
    let (from, to) = (field(from), field(to));
    let mut out = Vec::with_capacity(rows.len() * 2);
    for line in rows.split_inclusive(|byte| *byte == b'\n') {
        match line.strip_prefix(from.as_slice()).filter(|rest| rest.starts_with(b",")) {
            Some(rest) => {
                out.extend_from_slice(&to);
                out.extend_from_slice(rest);
            }
            // The second line of a field that holds a line's end.
            None => out.extend_from_slice(line),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use stats::MonthlyTotal;

    #[test]
    fn tenths_are_whole_where_the_scale_allows_it() {
        let month = |micrometres| MonthlyTotal { year: 2001, month: 2, micrometres, usable: 27, covered: 1, missing: 0, refused: None };
        let row = StationRow {
            station: "A,\"1\"".to_owned(),
            normals: [None; 12],
            normal_years: [0; 12],
            normals_period: (2001, 2002),
            usable_days: 0,
            longest_dry_spell: None,
            mean_dry_spell: None,
            years: 0,
            gumbel: [None; 6],
            generalized_extreme_value: [None; 6],
        };
        let tables = StationTables { months: vec![month(123_400), month(254), month(205), month(0)], row };
        let name = "\"A,\"\"1\"\"\"";
        let expected = ["1234", "2.54", "2.05", "0"].map(|depth| format!("{name},2001,2,28,{depth}\n")).concat();
        assert_eq!(String::from_utf8(monthly_rows(&tables)).unwrap(), expected);
    }

    #[test]
    fn the_heads_name_every_column() {
        assert_eq!(stations_head().split(',').count(), 1 + 12 + 3 + 12);
        assert!(stations_head().ends_with("gev50,gev100\n"));
        assert_eq!(records_head().split(',').count(), 15 + 2 * 12);
        assert!(records_head().ends_with("normal_dec_mm,normal_dec_years\n"));
    }

    #[test]
    fn rows_are_renamed_whole() {
        let rows = b"A1,2001,1,31,A1\nA1,2001,2,28,5\n";
        assert_eq!(renamed_rows(rows, "A1", "A1 (x, y)"), b"\"A1 (x, y)\",2001,1,31,A1\n\"A1 (x, y)\",2001,2,28,5\n");
        assert_eq!(renamed_rows(rows, "A", "B"), rows);
    }
}
