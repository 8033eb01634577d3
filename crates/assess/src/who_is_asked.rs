//! Who of the records is asked beside the lead, and why the others are not.

use crate::neighbour_choice::{MOST_BESIDE, NoSay, REACH_KM};
use crate::records_at_hand::RecordsAtHand;
use crate::station_choice::{Candidate, StationChoice};
use series::Period;
use stats::YEARS_TOGETHER;

/// Share of the days of so many years that a gauge must have beside the lead's to be asked at all.
const ENOUGH: f64 = 0.9;
const DAYS_OF_YEAR: f64 = 365.25;

/// Why each candidate other than the lead has no say, in their order; nothing for those that are asked. A gauge that cannot have five years in
/// common with the lead takes no place from one that can.
pub(crate) fn asked(choice: &StationChoice, at_hand: &RecordsAtHand, period: Option<Period>) -> Vec<Option<NoSay>> {
    let leading = &choice.leading().summary;
    let any_place = choice.candidates.iter().any(|candidate| candidate.distance_km.is_some());
    let mut taken = 0;
    let mut why = |at: usize, candidate: &Candidate| {
        let summary = &candidate.summary;
        if at == choice.leads {
            return None;
        }
        if at_hand.is_left_out(&summary.station.id) {
            return Some(NoSay::LeftOut);
        }
        if !summary.extent.is_gauge() || !leading.extent.is_gauge() {
            return Some(NoSay::ArealMean);
        }
        if any_place && candidate.distance_km.is_none() {
            return Some(NoSay::NoPlace);
        }
        if candidate.distance_km.is_some_and(|distance| distance > REACH_KM) {
            return Some(NoSay::OutOfReach);
        }
        let days = days_beside(choice.leading(), candidate, period);
        if days < ENOUGH * DAYS_OF_YEAR * f64::from(YEARS_TOGETHER) {
            return Some(NoSay::TooFewYears { have: (days / DAYS_OF_YEAR) as u32, need: YEARS_TOGETHER });
        }
        if taken == MOST_BESIDE {
            return Some(NoSay::OthersNearer);
        }
        taken += 1;
        None
    };
    choice.candidates.iter().enumerate().map(|(at, candidate)| why(at, candidate)).collect()
}

/// Most days that two records can have in common within a period: those of their overlap, and no more than either has.
fn days_beside(one: &Candidate, other: &Candidate, period: Option<Period>) -> f64 {
    let of = |candidate: &Candidate| {
        let own = candidate.summary.first_day.zip(candidate.summary.last_day).map(|(first, last)| Period::new(first, last))?;
        period.map_or(Some(own), |period| own.overlap(period))
    };
    let overlap = of(one).zip(of(other)).and_then(|(one, other)| one.overlap(other)).map_or(0, Period::days);
    overlap.min(one.summary.days.usable()).min(other.summary.days.usable()) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::station_choice::{Place, Wanted, choose};
    use crate::test_records::read;
    use ingest::StationRecord;
    use series::Extent;
    use site::site_file::{GaugeRule, Typed};
    use testkit::DlyText;

    #[test]
    fn the_nearest_four_that_can_serve_are_asked_and_the_others_know_why() {
        let record = |n: usize, north: Option<f64>, years: usize| {
            let mut record = read(&DlyText::new(&format!("XXT0000000{n}")).rain_run_mm((2001, 1, 1), &vec![Some(1.0); 365 * years]));
            record.rain.station.latitude = north.map(|tenths| 50.0 + tenths / 10.0);
            record.rain.station.longitude = north.map(|_| 0.0);
            record
        };
        let mut records: Vec<StationRecord> = (0..7).map(|n| record(n, Some(n as f64), if n == 3 { 2 } else { 8 })).collect();
        records[2].rain.extent = Extent::ArealMean;
        records.push(record(7, None, 8));
        records.push(record(8, Some(7.0), 8));
        let left_out = GaugeRule {
            id: Typed { value: "XXT00000001".to_owned(), text: String::new(), line: 1, column: 1 },
            days_later: None,
            left_out: true,
        };
        let why = |rules: &[GaugeRule], named| {
            let at_hand = RecordsAtHand::new(&records, rules);
            let place = Place { latitude: 50.0, longitude: 0.0, elevation: None };
            let choice = choose(&at_hand, place, Wanted { named, period: None }, "2020-01-01".parse().unwrap()).unwrap();
            (choice.leads, asked(&choice, &at_hand, None))
        };
        // By distance: 0 to 6, then 8 at 78 km (a tenth of a degree is 11 km), then 7 without a place.
        let few = Some(NoSay::TooFewYears { have: 1, need: 5 });
        let expected = [
            None,
            Some(NoSay::LeftOut),
            Some(NoSay::ArealMean),
            few.clone(),
            None,
            None,
            None,
            Some(NoSay::OutOfReach),
            Some(NoSay::NoPlace),
        ];
        assert_eq!(why(std::slice::from_ref(&left_out), Some("XXT00000000")), (0, expected.to_vec()));
        assert_eq!(why(&[], Some("XXT00000000")).1[6], None, "four of the others can serve: 1, 4, 5, 6");
        // A gauge that is left out leads nothing.
        let nearest = GaugeRule { id: Typed { value: "XXT00000000".to_owned(), ..left_out.id.clone() }, ..left_out };
        assert_eq!(why(&[nearest], None).0, 1);
    }
}
