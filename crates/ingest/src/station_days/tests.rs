//! Values in any order, of any rank, and totals among them.

use super::*;

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

fn gathered(fill: impl FnOnce(&mut StationDays<'_>)) -> StationRecord {
    let input = Input::of("x.csv", b"");
    let mut days = StationDays::new(input, Station::named_only("X"), DayDefinition::default());
    fill(&mut days);
    days.record(input, "test file")
}

fn at(line: u32) -> Place {
    Place { line, column: 5, width: 3 }
}

#[test]
fn days_in_any_order_make_one_calendar() {
    let record = gathered(|days| {
        days.day(day("2001-01-03"), Reading::measured(3000), at(2));
        days.day(day("2001-01-01"), Reading::measured(1000), at(3));
        days.day(day("2001-01-02"), Reading::MISSING, at(4));
    });
    let counts = record.rain.counts();
    assert_eq!((counts.calendar, counts.measured, counts.missing), (3, 2, 1));
    assert_eq!(record.rain.provenance.place(day("2001-01-03")).map(|at| (at.line, at.column)), Some((2, 5)));
    assert!(record.diagnostics.is_empty());
}

#[test]
fn of_two_values_the_first_or_the_higher_rank_stands() {
    let (one, other) = (day("2001-01-01"), day("2001-01-02"));
    let record = gathered(|days| {
        days.day(one, Reading::measured(1000), at(2));
        days.day(one, Reading::measured(2000), at(3));
        days.day(one, Reading::measured(1000), at(4));
        days.ranked_day(other, Reading::measured(5000), at(5), 1);
        days.ranked_day(other, Reading::measured(6000), at(6), 2);
    });
    assert_eq!((record.rain.reading(one).depth(), record.rain.reading(other).depth()), (Some(1000), Some(6000)));
    let count = |id| record.diagnostics.count(id);
    assert_eq!((count("day-stated-twice"), count("day-stated-again"), count("second-report-differs")), (1, 1, 1));
    assert_eq!(record.diagnostics.total(), 3);
}

#[test]
fn a_usable_value_stands_before_a_rejected_one_in_either_order() {
    let unreadable = Reading::rejected(0, Rejection::Unreadable);
    let flagged = Reading::rejected(9000, Rejection::QualityFlag(b'G'));
    for values in [[unreadable, Reading::measured(7000)], [Reading::measured(7000), unreadable], [flagged, Reading::measured(7000)]] {
        let record = gathered(|days| {
            values.iter().zip(2..).for_each(|(reading, line)| days.day(day("2001-01-01"), *reading, at(line)));
            days.day(day("2001-01-02"), Reading::TRACE, at(9));
        });
        assert_eq!((record.rain.counts().measured, record.rain.total_micrometres()), (1, 7000), "{values:?}");
        let found = &record.diagnostics.list[0];
        assert_eq!((found.id, record.diagnostics.total()), ("day-stated-twice", 1));
        assert!(found.done.contains("usable"), "{found:?}");
    }
    // A report that its source checked and rejected stands before an unchecked one; one that cannot be read does not.
    let record = gathered(|days| {
        days.ranked_day(day("2001-01-01"), flagged, at(2), 2);
        days.ranked_day(day("2001-01-01"), Reading::measured(9000), at(3), 1);
        days.ranked_day(day("2001-01-02"), unreadable, at(4), 2);
        days.ranked_day(day("2001-01-02"), Reading::measured(5000), at(5), 1);
    });
    assert_eq!((record.rain.counts().rejected, record.rain.total_micrometres()), (0, 5000));
    assert_eq!(record.diagnostics.count("second-report-differs"), 2);
}

#[test]
fn totals_are_put_in_after_the_single_days() {
    let record = gathered(|days| {
        days.total(day("2001-01-04"), 9000, Some(3), at(4));
        days.day(day("2001-01-01"), Reading::measured(1000), at(2));
        days.day(day("2001-01-05"), Reading::TRACE, at(3));
        days.total(day("2001-01-06"), 9000, Some(1), at(5));
        days.day(day("2001-01-07"), Reading::TRACE, at(6));
    });
    let counts = record.rain.counts();
    assert_eq!((counts.calendar, counts.measured, counts.trace, counts.accumulated), (7, 1, 2, 4));
    assert_eq!(record.diagnostics.count("total-of-unknown-length"), 1);
}

#[test]
fn of_two_totals_the_first_or_the_higher_rank_stands() {
    let record = gathered(|days| {
        days.day(day("2001-01-01"), Reading::measured(1000), at(2));
        // Twice the same, then another of the same rank.
        days.total(day("2001-01-04"), 9000, Some(3), at(3));
        days.total(day("2001-01-04"), 9000, Some(3), at(4));
        days.total(day("2001-01-04"), 7000, Some(2), at(5));
        // A checked total beats an unchecked day, and a checked day an unchecked total.
        days.day(day("2001-01-07"), Reading::measured(99_000), at(6));
        days.ranked_total(day("2001-01-07"), 5000, Some(2), at(7), 1);
        days.total(day("2001-01-10"), 50_000, Some(2), at(8));
        days.ranked_day(day("2001-01-10"), Reading::measured(2000), at(9), 1);
    });
    let kind = |text: &str| record.rain.reading(day(text)).kind();
    assert_eq!(kind("2001-01-04"), Kind::Accumulated { days: Some(3) });
    assert_eq!(kind("2001-01-02"), Kind::WithinTotal);
    assert_eq!((kind("2001-01-06"), kind("2001-01-07")), (Kind::WithinTotal, Kind::Accumulated { days: Some(2) }));
    assert_eq!((kind("2001-01-09"), record.rain.reading(day("2001-01-10")).depth()), (Kind::Missing, Some(2000)));
    let count = |id| record.diagnostics.count(id);
    assert_eq!((count("day-stated-again"), count("day-stated-twice"), count("second-report-differs")), (1, 1, 2));
    assert_eq!(record.diagnostics.total(), 4);
}

#[test]
fn two_lines_centuries_apart_make_a_calendar_and_no_more() {
    let record = gathered(|days| {
        days.day(day("2299-12-31"), Reading::measured(1000), at(2));
        days.day(day("1600-01-01"), Reading::measured(1000), at(3));
        days.greatest(day("2299-12-31"), 10);
        days.greatest(day("1600-01-01"), 20);
    });
    assert_eq!(record.rain.counts().calendar, 255_670);
    assert_eq!(record.temperature.greatest(day("1600-01-01")), Some(2.0));
}
