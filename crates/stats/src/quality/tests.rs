//! One hand-made case for each quality test, on either side of its limit, and no panic on any record.

use super::*;
use crate::test_records::seeded_depths;
use proptest::prelude::*;
use series::{Day, Period, Reading, Station};

/// Twenty-four years of made-up rain from 1 January 1990, to be changed.
fn depths() -> Vec<i32> {
    seeded_depths(11, 24 * 365 + 6)
}

fn first() -> Day {
    Day::first_of_year(1990)
}

fn series(depths: Vec<i32>) -> DailySeries {
    DailySeries::new(Station::default(), first(), depths.into_iter().map(Reading::measured).collect())
}

fn at(year: i32, month: u32, day: u32) -> usize {
    Day::new(year, month, day).unwrap().since(first()) as usize
}

fn alone(depths: Vec<i32>) -> QualityReport {
    quality_report(&series(depths), &[])
}

fn of(report: &QualityReport, test: QualityTest) -> Vec<QualityFinding> {
    report.of(test).cloned().collect()
}

fn period(from: (i32, u32, u32), to: (i32, u32, u32)) -> Period {
    let day = |(year, month, day)| Day::new(year, month, day).unwrap();
    Period::new(day(from), day(to))
}

/// Neighbours that saw the same rain, with a tenth more each.
fn neighbours(depths: &[i32], count: usize) -> Vec<DailySeries> {
    (1..=count as i32).map(|n| series(depths.iter().map(|depth| depth / 10 * (10 + n)).collect())).collect()
}

fn together(depths: Vec<i32>, near: &[DailySeries]) -> QualityReport {
    let near: Vec<Neighbour<'_>> = near.iter().map(|series| Neighbour { series, distance_km: 20.0, days_later: 0 }).collect();
    quality_report(&series(depths), &near)
}

#[test]
fn made_up_rain_says_nothing_alone_or_with_neighbours() {
    assert_eq!(alone(depths()).findings, []);
    let report = together(depths(), &neighbours(&depths(), 3));
    assert_eq!((report.findings.as_slice(), report.rejected.len(), report.neighbours.len()), (&[][..], 0, 3));
    let why: Vec<QualityTest> = alone(depths()).not_applied.iter().map(|one| one.test).collect();
    assert_eq!(why, [QualityTest::SpatialOutlier, QualityTest::DayShift]);
}

#[test]
fn a_greatest_day_far_above_its_season_or_in_a_short_record_far_above_the_next_is_warned_of() {
    // Ten years with 20 mm on every fifth day: 49.9 mm is under, 50.0 mm is 2.5 times the greatest of its season.
    let base: Vec<i32> = (0..3652).map(|i| if i % 5 == 0 { 20_000 } else { 0 }).collect();
    for (depth, told) in [(49_900, 0), (50_000, 1)] {
        let mut days = base.clone();
        days[at(1994, 7, 3)] = depth;
        let found = of(&alone(days), QualityTest::OutOfSeason);
        assert_eq!(found.len(), told, "{found:?}");
    }
    // 30 days of up to 3.4 mm and one of three times as much: there is no other year.
    let mut days: Vec<i32> = (0..30).map(|i| 3400 - 100 * (i % 3)).collect();
    days.push(10_200);
    let report = alone(days);
    assert_eq!(of(&report, QualityTest::FarAboveNext)[0].evidence, Evidence::FarAboveNext { depth_mm: 10.2, next_mm: 3.4 });
}

#[test]
fn more_than_ever_fell_is_rejected_and_keeps_its_depth() {
    let mut days = depths();
    days[at(1999, 5, 5)] = 1_825_001;
    let tested = series(days);
    let report = quality_report(&tested, &[]);
    assert_eq!(
        report.findings,
        [QualityFinding::on(
            Day::new(1999, 5, 5).unwrap(),
            Effect::Rejected,
            Evidence::AbsoluteLimit { depth_mm: 1825.001, limit_mm: 1825.0 }
        )]
    );
    let left = report.applied_to(&tested).reading(Day::new(1999, 5, 5).unwrap());
    assert_eq!((left.kind(), left.stated_micrometres()), (series::Kind::Rejected(Rejection::QualityTest), 1_825_001));
    assert_eq!(report.applied_to(&tested).counts().rejected, 1);
}

#[test]
fn a_gap_of_300_mm_is_one_and_less_is_none() {
    // Nothing else in any May, so that the next smaller depth is known.
    let mut base = depths();
    (1990..=2013).for_each(|year| base[at(year, 5, 1)..at(year, 6, 1)].fill(0));
    base[at(1993, 5, 7)] = 20_000;
    for (depth, told) in [(319_999, false), (320_000, true)] {
        let mut days = base.clone();
        days[at(1999, 5, 5)] = depth;
        assert_eq!(of(&alone(days), QualityTest::GapInMonth).len(), usize::from(told));
    }
    // A wet day before it, or a neighbour with a quarter of it, and it is only warned of.
    let mut days = base.clone();
    (days[at(1999, 5, 5)], days[at(1999, 5, 4)]) = (400_000, 40_000);
    assert_eq!(of(&alone(days), QualityTest::GapInMonth)[0].effect, Effect::Warning);
    let mut days = base.clone();
    days[at(1999, 5, 5)] = 400_000;
    let mut near = base.clone();
    near[at(1999, 5, 6)] = 100_000;
    assert_eq!(of(&together(days.clone(), &[series(near)]), QualityTest::GapInMonth)[0].effect, Effect::Warning);
    assert_eq!(of(&alone(days), QualityTest::GapInMonth)[0].effect, Effect::Rejected);
}

#[test]
fn a_great_fall_in_a_dry_season_is_warned_of() {
    let mut base = depths();
    (1990..=2013).for_each(|year| base[at(year, 6, 1)..at(year, 10, 1)].fill(0));
    base[at(1995, 8, 10)] = 2500;
    for (depth, told) in [(24_900, false), (25_000, true)] {
        let mut days = base.clone();
        days[at(2005, 8, 3)] = depth;
        let found = of(&alone(days), QualityTest::OutOfSeason);
        assert_eq!(found.len(), usize::from(told), "{depth}");
        // 29 dates in 23 other years.
        let expected = Evidence::OutOfSeason { depth_mm: 25.0, next_mm: 2.5, season_days: 29 * 23 };
        assert!(found.iter().all(|finding| finding.evidence == expected && finding.effect == Effect::Warning));
    }
}

#[test]
fn a_month_that_stands_twice_is_rejected_where_it_rained_and_not_where_it_was_dry() {
    let mut days = depths();
    days.copy_within(at(1997, 3, 1)..at(1997, 4, 1), at(2004, 3, 1));
    let found = of(&alone(days.clone()), QualityTest::RepeatedMonths);
    assert_eq!(found.len(), 1);
    assert_eq!(
        (found[0].effect, found[0].periods.as_slice()),
        (Effect::Rejected, &[period((1997, 3, 1), (1997, 3, 31)), period((2004, 3, 1), (2004, 3, 31))][..])
    );
    // The neighbours saw the true March of 2004.
    let found = of(&together(days, &neighbours(&depths(), 2)), QualityTest::RepeatedMonths);
    assert_eq!(found[0].periods, [period((2004, 3, 1), (2004, 3, 31))]);
    assert!(matches!(found[0].evidence, Evidence::RepeatedMonths { told_by_neighbours: true, same_as: Some(_), months: 1, .. }));
    // Two dry months with two small falls.
    let mut days = depths();
    for year in [1997, 2004] {
        days[at(year, 3, 1)..at(year, 4, 1)].fill(0);
        (days[at(year, 3, 9)], days[at(year, 3, 20)]) = (500, 700);
    }
    assert_eq!(of(&alone(days), QualityTest::RepeatedMonths), []);
    // A whole year.
    let mut days = depths();
    days.copy_within(at(1997, 1, 1)..at(1998, 1, 1), at(2005, 1, 1));
    let found = of(&alone(days), QualityTest::RepeatedMonths);
    assert!(matches!(found[0].evidence, Evidence::RepeatedMonths { months: 12, .. }), "{found:?}");
}

#[test]
fn equal_depths_day_after_day_are_a_streak() {
    let mut days = depths();
    days[at(2001, 2, 1)..at(2001, 2, 8)].fill(12_700);
    let found = of(&alone(days), QualityTest::IdenticalStreak);
    assert_eq!((found[0].effect, found[0].periods[0]), (Effect::Rejected, period((2001, 2, 1), (2001, 2, 7))));
    // A gauge read to 5 mm has the same depth on many days, and four of them in a row are no wonder.
    let coarse: Vec<i32> = depths().into_iter().map(|depth| (depth + 4999) / 5000 * 5000).collect();
    let report = alone(coarse);
    assert_eq!((of(&report, QualityTest::IdenticalStreak).len(), of(&report, QualityTest::FrequentValue).len()), (0, 0));
    let evidence = &of(&report, QualityTest::CoarseRounding)[0].evidence;
    assert!(matches!(evidence, Evidence::CoarseRounding(CoarseRounding::Step { step_mm: 5.0, .. })), "{evidence:?}");
}

#[test]
fn zeros_while_the_neighbours_are_wet_are_rejected() {
    let mut days = depths();
    days[at(2003, 7, 1)..at(2003, 8, 1)].fill(0);
    let found = of(&alone(days.clone()), QualityTest::ImpossibleZeros);
    assert_eq!((found.len(), found[0].effect, found[0].periods[0]), (1, Effect::Warning, period((2003, 7, 1), (2003, 7, 31))));
    let near = neighbours(&depths(), 2);
    assert_eq!(of(&together(days.clone(), &near), QualityTest::ImpossibleZeros)[0].effect, Effect::Rejected);
    // Where a neighbour was dry too, it was dry.
    let dry = [near[0].clone(), series(days.clone())];
    assert_eq!(of(&together(days, &dry), QualityTest::ImpossibleZeros), []);
}

#[test]
fn the_same_storm_at_a_neighbour_keeps_an_extreme_and_dry_neighbours_reject_it() {
    let mut days = depths();
    let storm = at(2007, 8, 19);
    days[storm - 1..=storm + 1].fill(0);
    let mut near = neighbours(&days, 3);
    days[storm] = 383_500;
    let report = together(days.clone(), &near);
    assert_eq!(report.rejected, [Day::new(2007, 8, 19).unwrap()]);
    // 290.8 mm at one of them the same day: both are the greatest of their stations, and the limit is wide.
    let mut readings: Vec<Reading> = near[0].readings().to_vec();
    readings[storm] = Reading::measured(290_800);
    near[0] = DailySeries::new(Station::default(), first(), readings);
    let report = together(days, &near);
    assert_eq!((report.rejected.len(), of(&report, QualityTest::SpatialOutlier).len()), (0, 0));
}

#[test]
fn unread_weekends_a_moved_date_and_a_wrong_unit_name_their_years() {
    let mut days = depths();
    for sunday in (at(2000, 1, 1)..at(2004, 1, 1)).filter(|&i| first().plus(i as i32).weekday() == 6) {
        days[sunday + 1] += days[sunday] + days[sunday - 1];
        (days[sunday], days[sunday - 1]) = (0, 0);
    }
    let found = of(&alone(days), QualityTest::UntaggedTotals);
    assert_eq!((found.len(), found[0].periods[0]), (1, period((2000, 1, 1), (2003, 12, 31))));
    assert!(
        matches!(&found[0].evidence, Evidence::UntaggedTotals { weekdays, read_on: 0, depth_ratio, .. } if *weekdays == [5, 6] && *depth_ratio > 1.2)
    );

    let mut days = depths();
    days[at(2000, 1, 1)..at(2002, 1, 1)].rotate_right(1);
    let found = of(&together(days, &neighbours(&depths(), 2)), QualityTest::DayShift);
    assert_eq!((found.len(), found[0].periods[0]), (1, period((2000, 1, 1), (2001, 12, 31))));
    assert!(matches!(found[0].evidence, Evidence::DayShift { days_late: 1, elsewhere: 0, neighbours: 2, .. }));

    let mut days = depths();
    days[at(2000, 1, 1)..at(2001, 7, 1)].iter_mut().for_each(|depth| *depth *= 10);
    let found = of(&alone(days), QualityTest::UnitSlip);
    assert_eq!((found.len(), found[0].effect, found[0].periods[0]), (1, Effect::Rejected, period((2000, 1, 1), (2001, 6, 30))));
    assert!(matches!(found[0].evidence, Evidence::UnitSlip { factor: 10.0, .. }));
}

#[test]
fn a_change_of_the_gauge_is_seen_against_the_neighbours() {
    let mut days = depths();
    days[at(2002, 1, 1)..].iter_mut().for_each(|depth| *depth = *depth / 20 * 17);
    let found = of(&together(days, &neighbours(&depths(), 3)), QualityTest::ChangePoint);
    assert!(
        matches!(&found[0].evidence, Evidence::ChangePoint { of: ChangeOf::TotalOverNeighbours, year: 2002, before, after, .. } if (after / before - 0.85).abs() < 0.01),
        "{found:?}"
    );
}

#[test]
fn the_mean_of_an_area_is_not_asked_for_a_gauges_depths_and_nothing_gives_nothing() {
    let mut areal = series(depths());
    areal.extent = Extent::ArealMean;
    let not = quality_report(&areal, &[]).not_applied;
    assert_eq!(not.iter().filter(|one| one.why == WhyNotApplied::NotAGauge).count(), 3);
    let none = quality_report(&DailySeries::default(), &[]);
    assert_eq!((none.findings.len(), none.not_applied.len()), (0, QualityTest::ALL.len()));
    assert_eq!(none.applied_to(&DailySeries::default()), DailySeries::default());
}

fn reading() -> impl Strategy<Value = Reading> {
    prop_oneof![
        4 => Just(Reading::measured(0)),
        3 => (0..600_i32).prop_map(|tenths| Reading::measured(tenths * 100)),
        1 => (0..i32::MAX).prop_map(Reading::measured),
        1 => Just(Reading::MISSING),
        1 => Just(Reading::TRACE),
        1 => (0..9_u16).prop_map(|days| Reading::accumulated(7000, Some(days))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn any_record_is_tested_without_a_fault_of_ours(
        readings in proptest::collection::vec(reading(), 1..1500),
        beside in proptest::collection::vec(reading(), 1..1500),
        shift in -800..800_i32,
    ) {
        let tested = DailySeries::new(Station::default(), first(), readings);
        let near = DailySeries::new(Station::default(), first().plus(shift), beside);
        let report = quality_report(&tested, &[Neighbour { series: &near, distance_km: 3.0, days_later: 0 }]);
        let applied = report.applied_to(&tested);
        // Every rejected day was usable, is named once, and is all that changed.
        prop_assert!(report.rejected.windows(2).all(|pair| pair[0] < pair[1]));
        prop_assert!(report.rejected.iter().all(|day| tested.reading(*day).is_usable()));
        prop_assert_eq!(tested.counts().usable() - report.rejected.len(), applied.counts().usable());
        prop_assert_eq!(applied.stated().count(), tested.stated().count());
        for finding in &report.findings {
            prop_assert!(!finding.periods.is_empty() && finding.periods.windows(2).all(|pair| pair[0].first <= pair[1].first));
        }
    }
}
