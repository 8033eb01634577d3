//! Processor time of the statistics of the climate on a station of 100 years: best and worst of seven.
//!
//! `cargo bench -p stats --bench climate`. Two invented skies of fifty years stand one after the other, as in the bench of the quality tests.

#![allow(clippy::print_stdout)] // a bench prints what it measured

use series::{DailySeries, Day, Reading, Station};
use stats::{
    BandRule, DroughtThreshold, DrySpellRule, LongestSpellReturn, MonthRule, NormalsRule, Seasonality, WetDryChain, annual_totals,
    drought_thresholds, droughts, dry_spells, index_normals, least_rain, mann_kendall, monthly_totals, normals, record_parts,
    season_normals, sen_slope, standardised_precipitation,
};
use std::hint::black_box;
use testkit::cpu_time::best_and_worst;
use testkit::valley::clean_rain;

const RUNS: usize = 7;

fn measure<T>(name: &str, work: impl FnMut() -> T) {
    let (best, worst) = best_and_worst(RUNS, work);
    println!("{name:<48} {:>9.2} {:>9.2}", best * 1e3, worst * 1e3);
}

fn main() {
    let (one, other) = (clean_rain(1), clean_rain(2));
    let readings = one[0].tenths.iter().chain(&other[0].tenths).map(|tenths| Reading::measured(tenths * 100)).collect();
    let rain = DailySeries::new(Station::named_only("bench"), Day::first_of_year(1901), readings);
    let totals = monthly_totals(&rain, MonthRule::Whole);
    let years = annual_totals(&totals);
    let spells = dry_spells(&rain, DrySpellRule::default());
    let rule = NormalsRule::default();
    println!("{:<48} {:>9} {:>9}", "work", "best ms", "worst ms");
    measure("yearly indices and their normals", || index_normals(black_box(&rain), 1961, 1990, rule));
    measure("trend, slope and parts of the record", || (mann_kendall(black_box(&years)), sen_slope(&years, 0.9), record_parts(&years)));
    measure("index of 1, 3, 6, 12 and 24 months", || [1, 3, 6, 12, 24].map(|scale| standardised_precipitation(black_box(&totals), scale)));
    measure("least rain in 1 to 365 days", || least_rain(black_box(&rain), 365));
    measure("longest spell: fit", || LongestSpellReturn::of(black_box(&rain), &spells));
    if let Ok(fit) = LongestSpellReturn::of(&rain, &spells) {
        measure("longest spell: band of 1,000 samples", || fit.band(black_box(20.0), BandRule::default()));
    }
    measure("seasons, seasonality, chain, droughts", || {
        let base = normals(black_box(&totals), 1961, 1990, rule);
        let thresholds = drought_thresholds(&base, DroughtThreshold::Median);
        let dry = thresholds.and_then(|thresholds| droughts(&totals, thresholds));
        (Seasonality::of_normals(&base), season_normals(&totals, 1961, 1990, rule), WetDryChain::of(&rain), dry)
    });
}
