//! `monthly.csv` and `stations.csv`: the tables of `rainworth rain DIR`, a row a month and a row a station.
//!
//! Depths in `monthly.csv` are tenths of a millimetre, whole where the record's scale allows it; figures in `stations.csv` are in mm and
//! days with six decimals. A withheld figure is empty.

use crate::Error;
use assess::{StationRow, StationTables};

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
    }
}
