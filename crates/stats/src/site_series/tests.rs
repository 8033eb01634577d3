//! Tests of the series at the site.

use super::*;
use proptest::prelude::*;
use series::{Reading, Station};

fn record(years: std::ops::RangeInclusive<i32>, change: impl Fn(&mut Vec<Reading>)) -> DailySeries {
    let first = Day::first_of_year(*years.start());
    let mut readings: Vec<Reading> =
        (0..=Day::last_of_year(*years.end()).since(first)).map(|i| Reading::measured(if i % 3 == 0 { 6000 } else { 0 })).collect();
    change(&mut readings);
    DailySeries::new(Station::default(), first, readings)
}

fn all() -> Period {
    Period::of_years(1600, 2299)
}

#[test]
fn every_day_is_accounted_for() {
    let rain = record(2001..=2005, |days| {
        days[10..20].fill(Reading::MISSING);
        days[100..103].fill(Reading::WITHIN_TOTAL);
        days[103] = Reading::accumulated(8000, Some(4));
        days[200] = Reading::accumulated(8000, None);
        days[365..365 + 40].fill(Reading::MISSING);
        days[800] = Reading::TRACE;
    });
    let site = site_series(SiteGauges::alone(&rain, &DailyTemperature::new()), Filling::default(), all()).unwrap();
    let counts = site.counts;
    assert_eq!((counts.days, counts.spread, counts.filled, counts.unfillable), (1826, 4, 10 + 1 + 40, 0));
    assert_eq!(counts.own + counts.spread + counts.filled, counts.days);
    assert_eq!(site.days[101].depth, Some(Depth::new(2.0)));
    // 40 of 365 days are more than 10 %; 11 are not.
    assert_eq!(site.replayable_years(), [2001, 2003, 2004, 2005]);
    assert_eq!((site.years[1].filled, site.years[0].spread), (40, 4));
    assert!(site.days.iter().all(|day| day.frozen.is_none()) && counts.frost_unknown == 0 && !site.has_temperature);
    for (day, entry) in site.period().iter().zip(&site.days) {
        if let Origin::Filled { donor } = entry.origin {
            assert_ne!(donor.year(), day.year());
            assert_eq!(entry.depth.map(Depth::get), rain.reading(donor).depth().map(|depth| depth as f64 / 1000.0));
        }
    }
    let last =
        site_series(SiteGauges::alone(&rain, &DailyTemperature::new()), Filling { seed: 0, spread: TotalSpread::LastDay }, all()).unwrap();
    assert_eq!((last.days[102].depth, last.days[103].depth), (Some(Depth::ZERO), Some(Depth::new(8.0))));
}

#[test]
fn a_day_without_a_donor_is_never_zero() {
    let rain = record(2001..=2001, |days| days[50] = Reading::MISSING);
    let site = site_series(SiteGauges::alone(&rain, &DailyTemperature::new()), Filling::default(), all()).unwrap();
    assert_eq!((site.days[50].depth, site.days[50].origin, site.counts.unfillable), (None, Origin::Unfillable, 1));
    assert!(site.replayable_years().is_empty());
    assert_eq!(site.longest_unbroken().unwrap().days(), 314);
    assert_eq!(
        site_series(SiteGauges::alone(&rain, &DailyTemperature::new()), Filling::default(), Period::of_years(2010, 2011)),
        Err(Withheld::NothingAccepted)
    );
}

#[test]
fn a_filled_day_is_frozen_with_its_donor() {
    let rain = record(2001..=2002, |days| days[20] = Reading::MISSING);
    let mut temperature = DailyTemperature::new();
    for (i, day) in all().overlap(rain.period().unwrap()).unwrap().iter().enumerate() {
        if i == 30 {
            continue;
        }
        let tenths = if day.year() == 2002 && day.day_of_year() == 21 { -10 } else { 10 };
        temperature.set_greatest(day, tenths);
        temperature.set_least(day, tenths);
    }
    let site = site_series(SiteGauges::alone(&rain, &temperature), Filling::default(), all()).unwrap();
    assert_eq!((site.days[20].frozen, site.days[19].frozen, site.days[30].frozen), (Some(true), Some(false), Some(false)));
    assert_eq!((site.counts.frost_by_season, site.counts.frost_unknown), (1, 0));
}

#[test]
fn filled_gaps_keep_wet_days_and_dry_spells() {
    // CHECKS H7: Central Park 1970-2019, 10 % of the days removed in blocks of 5-39 days, 5 draws. Truth: wet days 27.1 %, mean annual
    // longest dry spell 17.7 d. Accept wet days +-2 % and the spell +-5 %, relative, of the truth (means of the five draws, as there).
    let Some((record, _)) = crate::test_records::ghcn("USW00094728") else { return };
    let record = record.cut_to(Period::of_years(1970, 2019));
    let first = record.period().unwrap().first;
    let shape = |depths: &[f64]| {
        let wet = depths.iter().filter(|&&depth| depth >= 1.0).count() as f64 / depths.len() as f64;
        let (mut sum, mut at) = (0.0, 0);
        for year in 1970..=2019 {
            let length = days_in_year(year) as usize;
            let dry = depths[at..at + length].chunk_by(|a, b| (*a < 1.0) == (*b < 1.0)).filter(|run| run[0] < 1.0).map(<[f64]>::len).max();
            sum += dry.unwrap() as f64;
            at += length;
        }
        (wet, sum / 50.0)
    };
    let truth: Vec<f64> = record.readings().iter().map(|reading| reading.depth().unwrap() as f64 / 1000.0).collect();
    let (true_wet, true_spell) = shape(&truth);
    assert!((true_wet - 0.271).abs() < 0.000_5 && (true_spell - 17.7).abs() < 0.05, "{true_wet} {true_spell}");
    let (mut wet, mut spell) = (0.0, 0.0);
    for seed in 1..=5 {
        let mut draws = Draws::new(1000 + seed);
        let mut readings = record.readings().to_vec();
        let mut removed = 0;
        while removed < readings.len() / 10 {
            let length = 5 + draws.below(35);
            let from = 1 + draws.below(readings.len() - length - 2);
            for reading in &mut readings[from..from + length] {
                removed += usize::from(reading.is_usable());
                *reading = Reading::MISSING;
            }
        }
        let gappy = DailySeries::new(Station::default(), first, readings);
        let site = site_series(SiteGauges::alone(&gappy, &DailyTemperature::new()), Filling { seed, ..Filling::default() }, all()).unwrap();
        assert!(site.counts.unfillable == 0 && site.counts.filled >= truth.len() / 10);
        let depths: Vec<f64> = site.days.iter().map(|day| day.depth.unwrap().get()).collect();
        let (w, s) = shape(&depths);
        println!("draw {seed}: wet days {:.2} %, longest dry spell {s:.2} d", w * 100.0);
        wet += w / 5.0;
        spell += s / 5.0;
    }
    println!("mean: wet days {:.2} % of {:.2}, longest dry spell {spell:.2} d of {true_spell:.2}", wet * 100.0, true_wet * 100.0);
    assert!((wet / true_wet - 1.0).abs() < 0.02 && (spell / true_spell - 1.0).abs() < 0.05);
}

proptest! {
    #[test]
    fn the_same_seed_gives_the_same_series_and_spreading_keeps_the_water(
        gaps in proptest::collection::vec((0..1400usize, 1..60usize), 0..12), seed in any::<u64>()
    ) {
        let rain = record(2001..=2004, |days| {
            for &(from, length) in &gaps {
                days[from..(from + length).min(1461)].fill(Reading::MISSING);
            }
            days[700..703].fill(Reading::WITHIN_TOTAL);
            days[703] = Reading::accumulated(10_000, Some(4));
        });
        let [even, last] = [TotalSpread::Even, TotalSpread::LastDay]
            .map(|spread| site_series(SiteGauges::alone(&rain, &DailyTemperature::new()), Filling { seed, spread }, all()).unwrap());
        prop_assert_eq!(&even, &site_series(SiteGauges::alone(&rain, &DailyTemperature::new()), even.filling, all()).unwrap());
        let sum = |site: &SiteSeries| site.days.iter().filter_map(|day| day.depth).map(Depth::get).sum::<f64>();
        prop_assert!((sum(&even) - sum(&last)).abs() < 1e-6);
        let counts = even.counts;
        prop_assert_eq!(counts.own + counts.spread + counts.filled + counts.unfillable, counts.days);
        prop_assert_eq!(even.days.iter().filter(|day| day.depth.is_none()).count(), counts.unfillable);
        prop_assert_eq!(even.years.iter().map(|year| year.days as usize).sum::<usize>(), counts.days);
    }
}

#[test]
fn a_neighbour_goes_before_another_year_and_tells_how_a_total_fell() {
    let rain = record(2001..=2005, |days| {
        days[10..20].fill(Reading::MISSING);
        days[100..103].fill(Reading::WITHIN_TOTAL);
        days[103] = Reading::accumulated(8000, Some(4));
        days[365..365 + 20].fill(Reading::MISSING);
    });
    // Beside it a gauge of 2001 alone with 1 mm every day: the second gap is left to other years.
    let beside = DailySeries::new(Station::default(), Day::first_of_year(2001), vec![Reading::measured(1000); 365]);
    let neighbours = [NeighbourGauge { series: &beside, ratios: [3.0; 12], days_later: 0 }];
    let none = DailyTemperature::new();
    let gauges = SiteGauges {
        neighbours: &neighbours,
        factors: std::array::from_fn(|month| if month == 0 { 2.0 } else { 1.0 }),
        ..SiteGauges::alone(&rain, &none)
    };
    let site = site_series(gauges, Filling::default(), all()).unwrap();
    let counts = site.counts;
    assert_eq!((counts.filled, counts.from_neighbours, counts.spread, counts.spread_as_neighbour), (30, 10, 4, 4));
    // 1 mm times the ratio 3 times the site's 2; 8 mm on four days alike, in April.
    assert_eq!((site.days[15].depth, site.days[15].origin), (Some(Depth::new(6.0)), Origin::FromNeighbour { neighbour: 0 }));
    assert_eq!((site.days[101].depth, site.days[101].origin), (Some(Depth::new(2.0)), Origin::SpreadTotal { neighbour: Some(0) }));
    assert!(matches!(site.days[370].origin, Origin::Filled { .. }));
    assert_eq!((site.years[0].filled, site.years[1].filled), (10, 20));
    // Without neighbours the draws are those of a record alone, whatever the factors are.
    let alone = site_series(SiteGauges::alone(&rain, &none), Filling::default(), all()).unwrap();
    let scaled = site_series(SiteGauges { factors: gauges.factors, ..SiteGauges::alone(&rain, &none) }, Filling::default(), all()).unwrap();
    assert!(alone.days.iter().zip(&scaled.days).all(|(one, other)| one.origin == other.origin));
}
