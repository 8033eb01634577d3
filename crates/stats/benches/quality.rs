//! Processor time of all quality tests on a station of 100 years, alone and with four neighbours: best and worst of seven.
//!
//! `cargo bench -p stats`. Two invented skies of fifty years stand one after the other, so that the record has the length asked for.

#![allow(clippy::print_stdout)] // a bench prints what it measured

use series::{DailySeries, Day, Reading, Station};
use stats::{Neighbour, quality_report};
use testkit::cpu_time::best_and_worst;
use testkit::valley::clean_rain;

const RUNS: usize = 7;
/// Limit, s.
const LIMIT: f64 = 0.05;

fn main() {
    let (one, other) = (clean_rain(1), clean_rain(2));
    let series: Vec<DailySeries> = one
        .iter()
        .zip(&other)
        .map(|(one, other)| {
            let readings = one.tenths.iter().chain(&other.tenths).map(|tenths| Reading::measured(tenths * 100)).collect();
            DailySeries::new(Station::named_only(one.id), Day::first_of_year(1901), readings)
        })
        .collect();
    println!("{:<24} {:>8} {:>9} {:>9} {:>10}", "work", "days", "best ms", "worst ms", "of 50 ms");
    for (name, count) in [("gauge alone", 0), ("with four neighbours", 4)] {
        let near: Vec<Neighbour<'_>> =
            series[1..=count].iter().map(|series| Neighbour { series, distance_km: 10.0, days_later: 0 }).collect();
        let (best, worst) = best_and_worst(RUNS, || quality_report(&series[0], &near));
        let days = series[0].readings().len();
        println!("{name:<24} {days:>8} {:>9.1} {:>9.1} {:>8.0} %", best * 1e3, worst * 1e3, best / LIMIT * 100.0);
    }
}
