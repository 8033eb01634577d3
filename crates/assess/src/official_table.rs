//! The official design intensity that a site file takes from a table file: one value of the table, its depth over its duration.
//!
//! Nothing is interpolated or extrapolated: a duration or a return period that the table does not have is a fault that names those it has.
//! Nothing is converted to another series either, since the flows need none: the value keeps the table's own return period, and of a
//! partial-duration series the return period among annual maxima is given beside it (CHECKS H11, B4.1), because the great rains of the
//! report are annual maxima.

use crate::Error;
use ingest::distance_km;
use ingest::{FrequencySeries, FrequencyTable};
use series::{Diagnostic, Intensity, Quantity, Severity, UnitSystem};
use site::site_file::{Identity, OfficialFromTable, Typed};
use site::{OfficialIntensity, OfficialTableFile};

/// Longest duration that an official intensity may have, minutes: beyond a day it says nothing of a gutter.
const LONGEST_MINUTES: f64 = 1440.0;
/// A table for a point farther from the site than this is told (our choice: the tables' own grid is finer than 1 km).
const NEAR_KM: f64 = 10.0;

/// The intensity that the site file asks for, and a warning where the table is of another place.
///
/// # Errors
/// [`Error::NotInTable`] when the table has no such duration or return period, or no number there.
pub fn official_from_table(
    table: &FrequencyTable,
    wanted: &OfficialFromTable,
    site: &Identity,
) -> Result<(Typed<OfficialIntensity>, Option<Diagnostic>), Error> {
    let (duration, years) = (&wanted.duration_minutes, &wanted.return_period_years);
    let missing = |key: &'static str, typed: &Typed<f64>, has: String| Error::NotInTable {
        key,
        found: typed.text.clone(),
        table: wanted.table.value.clone(),
        has,
        place: (typed.line, typed.column),
    };
    let Some(row) = table.rows.iter().find(|row| (row.duration_minutes - duration.value).abs() < 1e-6) else {
        let short = table.rows.iter().filter(|row| row.duration_minutes <= LONGEST_MINUTES);
        let has: Vec<&str> = short.map(|row| row.duration.as_str()).collect();
        return Err(missing("duration", duration, format!("no such duration; up to a day it has {}", listed(&has))));
    };
    if !table.return_periods.iter().any(|one| (one - years.value).abs() < 1e-6) {
        let has: Vec<String> = table.return_periods.iter().map(ToString::to_string).collect();
        return Err(missing("return_period", years, format!("no such return period; it has {} years", listed(&has))));
    }
    let intensity = table.intensity(duration.value, years.value).filter(|intensity| *intensity > 0.0 && intensity.is_finite());
    let Some(intensity) = intensity.map(Intensity::new) else {
        return Err(missing("return_period", years, format!("no number above zero for it in the row {}", row.duration)));
    };
    let file = OfficialTableFile {
        file: wanted.table.value.clone(),
        sha256: table.sha256.clone(),
        annual_maximum_return_period_years: match table.series {
            FrequencySeries::PartialDuration => stats::annual_maximum_return_period(years.value).ok(),
            FrequencySeries::AnnualMaximum => None,
        },
    };
    let value = OfficialIntensity::from_official_table(intensity, duration.value, years.value, table.source(), wanted.read_on);
    let (line, column) = (wanted.table.line, wanted.table.column);
    let typed = Typed { value: value.with_table_file(file), text: shown(intensity, site.units), line, column };
    Ok((typed, elsewhere(table, wanted, site)))
}

fn listed<T: AsRef<str>>(all: &[T]) -> String {
    if all.is_empty() { "none".to_owned() } else { all.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(", ") }
}

/// In the site's units, to the digits that an official table has.
fn shown(intensity: Intensity, units: UnitSystem) -> String {
    let (number, unit) = intensity.shown(units);
    match units {
        UnitSystem::UsCustomary => format!("{number:.2} {unit}"),
        UnitSystem::Metric => format!("{number:.1} {unit}"),
    }
}

fn elsewhere(table: &FrequencyTable, wanted: &OfficialFromTable, site: &Identity) -> Option<Diagnostic> {
    let (latitude, longitude) = table.latitude.zip(table.longitude)?;
    let away = distance_km((site.latitude, site.longitude), (latitude, longitude));
    (away > NEAR_KM).then(|| {
        let message = format!(
            "official.table: {} is for {latitude:.4}, {longitude:.4}, {away:.0} km from the site; expected a table for the site's own place",
            wanted.table.value
        );
        Diagnostic::new("official-table-elsewhere", Severity::Warning, message).done("used as written")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An invented table.
    fn table(series: &str, unit: &str) -> FrequencyTable {
        let text = format!(
            "Point precipitation frequency estimates ({unit})\nNOAA Atlas 14 Volume 0 Version 0\nData type: Precipitation depth\nTime series type: {series}\nLocation name: Invented Ombrel\nLatitude: 44.5 Degree\nLongitude: -36.0 Degree\n\nPRECIPITATION FREQUENCY ESTIMATES\nby duration for ARI (years):, 1,10,100\n5-min:, 0.30,0.50,NA\n60-min:, 1.00,2.00,3.00\n2-day:, 4.00,5.00,6.00\n"
        );
        ingest::frequency_table("/elsewhere/design.csv", text.as_bytes()).unwrap()
    }

    fn site_text(duration: &str, years: &str) -> String {
        format!(
            "format = 1\n[site]\nname = \"x\"\nlatitude = 44.5\nlongitude = -36.0\n[records]\nfolder = \"x\"\n[official]\ntable = \"design.csv\"\nduration = \"{duration}\"\nreturn_period = {years}\n[[roof]]\nplan_area = \"64 m2\"\ncovering = \"metal\"\n[[store]]\nnominal = \"1000 L\"\n[[demand]]\nper_day = \"50 L\"\n"
        )
    }

    fn of(table: &FrequencyTable, duration: &str, years: &str) -> Result<(Typed<OfficialIntensity>, Option<Diagnostic>), Error> {
        let (file, _) = site::site_file::parse(&site_text(duration, years), "site.toml").unwrap();
        official_from_table(table, file.official_table.as_ref().unwrap(), &file.site)
    }

    #[test]
    fn a_depth_over_its_duration_keeps_its_series() {
        let (typed, told) = of(&table("Partial duration", "inches"), "5 min", "10").unwrap();
        // 0.50 in in 5 minutes is 6.0 in/h; 1 in = 25.4 mm exactly.
        assert!((typed.value.intensity().get() - 152.4).abs() < 1e-9);
        assert_eq!((typed.text.as_str(), typed.line, told), ("152.4 mm/h", 9, None));
        let file = typed.value.table_file.as_ref().unwrap();
        assert_eq!((file.file.as_str(), file.sha256.len()), ("design.csv", 64));
        // CHECKS B4.1: Tp 10 -> Ta 10.508332.
        assert!((file.annual_maximum_return_period_years.unwrap() - 10.508_332).abs() < 1e-6);
        for word in ["Point precipitation frequency estimates", "NOAA Atlas 14 Volume 0", "partial-duration", "Invented Ombrel"] {
            assert!(typed.value.source.contains(word), "{word}: {}", typed.value.source);
        }
        let (typed, _) = of(&table("Annual maximum", "inches/hour"), "60 min", "100").unwrap();
        assert!((typed.value.intensity().get() - 76.2).abs() < 1e-9);
        assert_eq!(typed.value.table_file.unwrap().annual_maximum_return_period_years, None);
    }

    #[test]
    fn what_the_table_lacks_is_told_with_what_it_has() {
        let table = table("Partial duration", "inches");
        for (duration, years, words, place) in [
            ("7 min", "10", "it has 5-min, 60-min", (10, 12)),
            ("5 min", "25", "it has 1, 10, 100 years", (11, 17)),
            ("5 min", "100", "no number above zero for it in the row 5-min", (11, 17)),
        ] {
            let error = of(&table, duration, years).unwrap_err();
            assert!(error.to_string().contains(words), "{error}");
            let finding = error.diagnostic("site.toml");
            assert_eq!((finding.id, finding.line, finding.column), ("official-not-in-table", Some(place.0), Some(place.1)));
        }
    }

    #[test]
    fn a_table_of_another_place_is_told() {
        let mut table = table("Partial duration", "inches");
        table.longitude = Some(-35.0);
        let (_, told) = of(&table, "60 min", "10").unwrap();
        // A degree of longitude at 44.5 N: 111.412 cos 44.5 - 0.094 cos 133.5 = 79.5 km (series for the ellipsoid, from memory).
        assert!(told.unwrap().message.contains("80 km from the site"));
    }

    #[test]
    fn values_read_off_a_real_table_by_eye() {
        let Some(folder) = testkit::data_dir() else { return };
        let table = ingest::read_frequency_table(&folder.join("atlas14/AnnArbor_All_Depth_English_PDS.csv")).unwrap();
        // The file's own rows: 5-min at 10 years 0.553 in, 60-min at 100 years 2.69 in, 24-hr at 25 years 3.93 in (CHECKS H11).
        for (duration, years, inches, hours) in [("5 min", "10", 0.553, 1.0 / 12.0), ("1 h", "100", 2.69, 1.0), ("24 h", "25", 3.93, 24.0)]
        {
            let (typed, told) = of(&table, duration, years).unwrap();
            assert!((typed.value.intensity().get() - inches * 25.4 / hours).abs() < 1e-9, "{duration}");
            let source = &typed.value.source;
            for words in ["NOAA Atlas 14 Volume 8 Version 2", "partial-duration series", "ANN ARBOR U OF MICH"] {
                assert!(source.contains(words), "{source}");
            }
            assert!(told.is_some(), "the invented site lies in the Atlantic");
        }
        let error = of(&table, "7 min", "10").unwrap_err().to_string();
        assert!(
            error.contains("5-min, 10-min, 15-min, 30-min, 60-min, 2-hr, 3-hr, 6-hr, 12-hr, 24-hr") && !error.contains("2-day"),
            "{error}"
        );
    }
}
