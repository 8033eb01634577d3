//! Every statistic of the climate on records that carry little or nothing: no number that is not finite comes out, and nothing panics.

use crate::*;
use proptest::prelude::*;
use serde::Serialize;
use series::{DailySeries, Day, Period, Reading, Station};

/// The value written as text: a number that is not finite would read NaN, inf or -inf.
fn is_finite(value: &(impl Serialize + std::fmt::Debug)) -> bool {
    let text = format!("{value:?}");
    !text.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| word == "NaN" || word == "inf")
}

/// All of them, one after the other; panics where one holds a number that is not finite.
fn hold(rain: &DailySeries, first_year: i32, last_year: i32) {
    let totals = monthly_totals(rain, MonthRule::Whole);
    let rule = NormalsRule::default();
    let base = normals(&totals, first_year, last_year, rule);
    let years = annual_totals(&totals);
    let spells = dry_spells(rain, DrySpellRule::default());
    assert!(is_finite(&yearly_indices(rain)));
    assert!(is_finite(&index_normals(rain, first_year, last_year, rule)));
    assert!(is_finite(&(mann_kendall(&years), sen_slope(&years, 0.95), record_parts(&years))));
    assert!(is_finite(&Seasonality::of_normals(&base)) && is_finite(&season_normals(&totals, first_year, last_year, rule)));
    for scale in [1, 3, 24] {
        let found = standardised_precipitation(&totals, scale);
        assert!(is_finite(&found));
        for month in found.months.iter().rev().take(12) {
            assert!(is_finite(&found.standard_error(month.year, month.month)));
        }
    }
    assert!(is_finite(&least_rain(rain, 400)) && is_finite(&WetDryChain::of(rain)));
    let found = LongestSpellReturn::of(rain, &spells);
    assert!(is_finite(&found));
    if let Ok(found) = found {
        let rule = BandRule { samples: 40, ..BandRule::default() };
        assert!([1.0, 2.0, 10.0, 100.0].iter().all(|&years| is_finite(&(found.days(years), found.band(years, rule)))));
    }
    for threshold in [DroughtThreshold::Mean, DroughtThreshold::Median] {
        let found = drought_thresholds(&base, threshold).and_then(|of_months| droughts(&totals, of_months));
        assert!(is_finite(&found));
        if let Ok(found) = found {
            assert!(found.droughts.iter().all(|drought| drought.deficit > 0.0 && drought.intensity().is_finite()));
        }
    }
}

fn record(readings: Vec<Reading>) -> DailySeries {
    DailySeries::new(Station::default(), Day::first_of_year(1961), readings)
}

#[test]
fn the_check_sees_what_is_not_finite() {
    assert!(is_finite(&(1.0, "inference")) && !is_finite(&[1.0, f64::NAN]) && !is_finite(&(-f64::INFINITY,)));
}

#[test]
fn records_that_carry_nothing() {
    let days = 40 * 365;
    let dry = vec![Reading::measured(0); days];
    hold(&DailySeries::default(), 1961, 1990);
    hold(&record(dry.clone()), 1961, 1990);
    hold(&record(vec![Reading::measured(2000); days]), 1961, 1990);
    hold(&record(vec![Reading::MISSING; days]), 1961, 1990);
    hold(&record(vec![Reading::TRACE; days]), 1990, 1961);
    hold(&record(dry[..400].to_vec()), 1961, 1990);
    let mut one_in_a_decade = dry.clone();
    one_in_a_decade.iter_mut().step_by(3653).for_each(|day| *day = Reading::measured(9000));
    hold(&record(one_in_a_decade), 1961, 1990);
    let mut no_july = vec![Reading::measured(1500); days];
    for (i, day) in no_july.iter_mut().enumerate() {
        if Day::first_of_year(1961).plus(i as i32).month() == 7 {
            *day = Reading::MISSING;
        }
    }
    hold(&record(no_july), 1961, 1990);
    hold(&record(vec![Reading::measured(i32::MAX); days]), i32::MIN, i32::MAX);
}

#[test]
fn real_records_with_gaps_totals_and_long_dry_seasons() {
    for id in ["USC00042319", "USC00043761", "UK000056225", "USC00200230"] {
        let Some((rain, _)) = crate::test_records::ghcn(id) else { return };
        hold(&rain.cut_to(Period::of_years(1900, 2025)), 1991, 2020);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn made_up_records(seed in 0..9999_u64, years in 1..45_usize, gap in 0..16_000_usize, length in 0..900_usize) {
        let mut readings: Vec<Reading> = crate::test_records::seeded_depths(seed, years * 365).into_iter().map(Reading::measured).collect();
        let from = gap.min(readings.len());
        let to = (from + length).min(readings.len());
        readings[from..to].fill(Reading::MISSING);
        hold(&record(readings), 1961, 1990);
    }
}
