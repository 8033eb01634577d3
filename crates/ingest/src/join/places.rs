//! In which file and where each day of a joined record stands.

use super::Stated;
use crate::StationRecord;
use series::{Period, Provenance};

/// The files in the order of time, and the place of each day in the file whose value stands; of a day without a value, in the first
/// that has a place for it.
pub(super) fn provenance(parts: &[StationRecord], order: &[usize], stated: &[Stated]) -> Provenance {
    let mut all =
        Provenance { format: parts.first().map(|part| part.rain.provenance.format.clone()).unwrap_or_default(), ..Provenance::default() };
    all.last_row = parts.iter().filter_map(|part| part.rain.provenance.last_row).max();
    // Each part may be joined itself: its sources go in whole.
    let mut first_source = vec![0_u32; parts.len()];
    for &part in order {
        first_source[part] = all.sources.len() as u32;
        all.sources.extend(parts[part].rain.provenance.sources.iter().cloned());
    }
    let mut values = stated.iter().peekable();
    let mut near = 0;
    for day in covered(parts).iter().flat_map(|period| period.iter()) {
        while values.next_if(|value| value.day < day).is_some() {}
        let of_value = values.next_if(|value| value.day == day).map(|value| value.part);
        let has = |part: &usize| parts[*part].rain.provenance.place(day).is_some();
        let part = of_value.or_else(|| [near].into_iter().chain(0..parts.len()).find(has));
        let Some(part) = part.filter(|part| has(part)) else { continue };
        near = part;
        let own = &parts[part].rain.provenance;
        if let Some((place, source)) = own.place(day).zip(own.source_of(day)) {
            let column = u16::try_from(place.column).unwrap_or(u16::MAX);
            all.add_day(first_source[part] + source as u32, day, place.line, column);
        }
    }
    all
}

/// The days of which any part has a place, as periods in order, none touching another.
fn covered(parts: &[StationRecord]) -> Vec<Period> {
    let runs = parts.iter().flat_map(|part| &part.rain.provenance.runs).filter(|run| run.days > 0);
    let mut periods: Vec<Period> = runs.map(|run| Period::new(run.first_day, run.first_day.plus(run.days as i32 - 1))).collect();
    periods.sort_unstable_by_key(|period| period.first);
    periods.dedup_by(|later, before| {
        let touches = later.first.since(before.last) <= 1;
        if touches {
            before.last = before.last.max(later.last);
        }
        touches
    });
    periods
}
