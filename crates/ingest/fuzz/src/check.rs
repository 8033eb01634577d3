//! What must hold of whatever record a reader makes, of any bytes. Used by the fuzz targets and by the test `damaged_files.rs`.

use ingest::StationRecord;

/// The counts are those of the calendar, no reading is negative, the ends are usable days, findings are short and say what was done.
///
/// # Panics
/// If one of these does not hold.
pub fn check(record: &StationRecord) {
    let rain = &record.rain;
    let c = rain.counts();
    assert_eq!(c.calendar, c.measured + c.trace + c.accumulated + c.rejected + c.missing);
    assert_eq!(c.calendar, rain.period().map_or(0, series::Period::days));
    assert!(c.calendar <= MOST_DAYS && rain.readings_outside() <= MOST_DAYS);
    assert!(rain.readings().iter().all(|reading| reading.depth().is_none_or(|depth| depth >= 0)));
    if let Some(period) = rain.period() {
        assert!(rain.reading(period.first).is_usable() && rain.reading(period.last).is_usable());
        assert!(rain.total_micrometres() >= 0);
        assert!(rain.greatest_day().is_some_and(|(day, depth)| period.contains(day) && depth >= 0));
    }
    for total in rain.multi_day_totals() {
        // Nothing that a total of known length covers is counted elsewhere too.
        if let Some(period) = total.period() {
            assert!(rain.within(period).all(|(_, reading)| !reading.is_usable()));
        }
    }
    for day in record.temperature.period().into_iter().flat_map(|period| [period.first, period.last]) {
        assert!(
            [record.temperature.greatest(day), record.temperature.least(day)]
                .iter()
                .flatten()
                .all(|celsius| (-90.0..=60.0).contains(celsius))
        );
    }
    assert!(record.diagnostics.list.len() <= record.diagnostics.total());
    for finding in &record.diagnostics.list {
        assert!(!finding.message.is_empty() && finding.message.len() < 10_000 && !finding.done.is_empty());
    }
    assert!(rain.provenance.runs.is_sorted_by(|a, b| a.first_day < b.first_day));
    for (day, _) in rain.days() {
        let _ = rain.provenance.place(day);
    }
}

/// The calendar from 1600 to 2299: seven centuries of 36,524 days, and two days more for 2000 and 1600.
const MOST_DAYS: usize = 7 * 36_524 + 2;
