//! A second line of PRCP for a month: the first stands, and of the second stand the days on which the first has no usable value.

use super::lines::MonthLine;
use super::{rain, run};
use crate::finding::Findings;
use series::{Day, Provenance, Reading, Run, days_in_month};
use std::collections::HashMap;

/// Line and column of each day that stands in a second line.
pub(super) type Places = HashMap<Day, (u32, u16)>;

/// Fill days that have no usable reading from the second lines; `readings` begins with `first`.
pub(super) fn fill(bytes: &[u8], again: &[MonthLine], first: Day, readings: &mut [Reading], findings: &mut Findings<'_>) -> Places {
    let mut places = Places::new();
    for line in again {
        let mut month = [Reading::MISSING; 31];
        rain::read(bytes, std::slice::from_ref(line), line.first_day(), &mut month, findings);
        let Some(slots) = usize::try_from(line.first_day().since(first)).ok().and_then(|start| readings.get_mut(start..)) else { continue };
        for (index, (slot, reading)) in slots.iter_mut().zip(month).enumerate() {
            if reading.is_usable() && !slot.is_usable() {
                *slot = reading;
                places.insert(line.first_day().plus(index as i32), (line.number, (22 + 8 * index) as u16));
            }
        }
    }
    places
}

/// Where the days stand, by line of a month, or day by day where second lines have filled some.
pub(super) fn put_places(lines: &[MonthLine], filled: &Places, provenance: &mut Provenance) {
    provenance.runs = lines.iter().map(run).collect();
    if filled.is_empty() {
        return;
    }
    for Run { first_day, days, first_line, .. } in std::mem::take(&mut provenance.runs) {
        for index in 0..days_in_month(first_day.year(), first_day.month()) {
            let day = first_day.plus(index as i32);
            match filled.get(&day) {
                Some(&(line, column)) => provenance.add_day(0, day, line, column),
                None if index < days => provenance.add_day(0, day, first_line, (22 + 8 * index) as u16),
                None => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::{StationRecord, Wanted, read_bytes};
    use series::{Day, Kind};
    use testkit::DlyText;

    #[test]
    fn a_second_line_fills_what_the_first_leaves() {
        let id = "XXT00000001";
        let first = DlyText::new(id).rain_mm((2001, 2, 1), 1.0).flagged((2001, 2, 2), "PRCP", 99, 'G').rain_mm((2001, 2, 5), 1.0);
        let second = DlyText::new(id).rain_run_mm((2001, 2, 1), &[Some(7.0); 3]).flagged((2001, 2, 4), "PRCP", 98, 'G');
        let mut records: Vec<StationRecord> = Vec::new();
        let text = format!("{}{}", first.to_text(), second.to_text());
        read_bytes("a.dly", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        let StationRecord { rain, diagnostics, .. } = records.pop().unwrap();
        let day = |of_month| Day::new(2001, 2, of_month).unwrap();
        // By hand: the first line's 1.0 mm on the 1st and 5th, the second's 7.0 mm on the 2nd and 3rd.
        assert_eq!([1, 2, 3, 5].map(|of_month| rain.reading(day(of_month)).depth()), [1000, 7000, 7000, 1000].map(Some));
        assert_eq!((rain.reading(day(4)).kind(), rain.counts().rejected), (Kind::Missing, 0));
        let place = |of_month| rain.provenance.place(day(of_month)).map(|at| (at.line, at.column));
        assert_eq!([1, 2, 3, 5].map(place), [Some((1, 22)), Some((2, 30)), Some((2, 38)), Some((1, 54))]);
        assert_eq!(diagnostics.count("duplicate-line"), 1);
    }
}
