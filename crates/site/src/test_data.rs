//! The textbook record that the published checks were computed on, for the tests of this crate.

use crate::rain_run::RainRun;
use series::{Day, Depth};
use testkit::environment::data_dir;

/// Fort Collins, whole years, mm as inches x 25.4 (CHECKS, file `fort_collins_daily_1900_1999.csv`); nothing when
/// `RAINWORTH_DATA` is not set, after one line that says so.
pub(crate) fn fort_collins(first_year: i32, last_year: i32) -> Option<RainRun> {
    let path = data_dir()?.join("../checks/data/fort_collins_daily_1900_1999.csv");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut depths = Vec::new();
    for line in text.lines().skip(1) {
        let (date, inches) = line.split_once(',').unwrap();
        let date: Day = date.parse().unwrap();
        if (first_year..=last_year).contains(&date.year()) {
            assert_eq!(date, Day::first_of_year(first_year).plus(depths.len() as i32), "the record has every day");
            depths.push(Depth::new(inches.parse::<f64>().unwrap() * 25.4));
        }
    }
    Some(RainRun::without_snow(Day::first_of_year(first_year), &depths).unwrap())
}
