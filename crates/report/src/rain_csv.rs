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
///
/// # Errors
/// When the writer refuses a row.
pub fn monthly_rows(tables: &StationTables) -> Result<Vec<u8>, Error> {
    let mut out = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::with_capacity(tables.months.len() * 32));
    for month in &tables.months {
        let counted = (month.usable + month.covered).to_string();
        let (year, number, depth) = (month.year.to_string(), month.month.to_string(), tenths(month.micrometres));
        out.write_record([tables.row.station.as_str(), &year, &number, &counted, &depth])?;
    }
    out.into_inner().map_err(|error| Error::Csv(error.into_error().into()))
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

fn tenths(micrometres: i64) -> String {
    match micrometres % 100 {
        0 => (micrometres / 100).to_string(),
        rest => format!("{}.{rest:02}", micrometres / 100),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tenths_are_whole_where_the_scale_allows_it() {
        assert_eq!((tenths(123_400), tenths(254), tenths(0)), ("1234".to_owned(), "2.54".to_owned(), "0".to_owned()));
    }

    #[test]
    fn the_heads_name_every_column() {
        assert_eq!(stations_head().split(',').count(), 1 + 12 + 3 + 12);
        assert!(stations_head().ends_with("gev50,gev100\n"));
    }
}
