//! What the quality tests find: known faults put into sound records, how many are found, and what is found where nothing is wrong.
//!
//! `cargo test -p stats --test quality_recall -- --nocapture` prints the table that stands in DEVELOPERS.md, "What the quality tests find".
//! The floors below are measured, not published: they are what these tests found when they were written, with a little room, so that a
//! change that makes a test blind or noisy is seen. Durre et al. (2010) report 98 to 99 % of their flags right; a rejection of ours in a
//! sound record is therefore allowed to no more than stand below.

#![allow(clippy::unwrap_used)] // test code outside of a test function
#![allow(clippy::unnecessary_wraps)] // kinds of faults share one type, and some records have no place for some

mod faults;
mod records;

use faults::{Days, FAULTS, Fault};
use records::Sound;
use stats::{Effect, Neighbour, QualityFinding, QualityReport, QualityTest, quality_report};
use testkit::draws::Draws;

/// Invented skies, and times that a fault is put into each; into each real record.
const SKIES: u64 = 16;
const TIMES: u64 = 1;
const TIMES_REAL: u64 = 6;

/// Found of put in.
#[derive(Clone, Copy, Default)]
struct Recall {
    found: usize,
    of: usize,
}

impl std::fmt::Display for Recall {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.of == 0 { f.write_str("-") } else { write!(f, "{} of {}", self.found, self.of) }
    }
}

fn report(sound: &Sound, series: &series::DailySeries, with_neighbours: bool) -> QualityReport {
    let near = sound.neighbours.iter().map(|(series, distance_km)| Neighbour { series, distance_km: *distance_km, days_later: 0 });
    let near: Vec<Neighbour<'_>> = near.filter(|_| with_neighbours).collect();
    quality_report(series, &near)
}

/// How often a fault is found in these records.
fn recall(fault: &Fault, records: &[Sound], times: u64, with_neighbours: bool) -> Recall {
    let mut recall = Recall::default();
    for (number, sound) in records.iter().enumerate() {
        for time in 0..times {
            let mut draws = Draws::new(7 + 1000 * number as u64 + time);
            let mut days = Days::of(&sound.own);
            let Some(places) = (fault.inject)(&mut days, &mut draws) else { continue };
            let found = report(sound, &days.series(&sound.own), with_neighbours);
            let hits = |finding: &QualityFinding| {
                fault.tests.contains(&finding.test())
                    && finding.periods.iter().any(|period| places.iter().any(|place| period.overlap(*place).is_some()))
            };
            recall.of += 1;
            recall.found += usize::from(found.findings.iter().any(hits));
        }
    }
    recall
}

/// Findings of each test in records where nothing is wrong: told, and of them rejected.
fn false_alarms(records: &[Sound], with_neighbours: bool) -> Vec<(QualityTest, usize, usize)> {
    let reports: Vec<QualityReport> = records.iter().map(|sound| report(sound, &sound.own, with_neighbours)).collect();
    let count = |test: QualityTest| {
        let of: Vec<&QualityFinding> = reports.iter().flat_map(|report| report.of(test)).collect();
        (test, of.len(), of.iter().filter(|finding| finding.effect == Effect::Rejected).count())
    };
    QualityTest::ALL.map(count).to_vec()
}

fn years(records: &[Sound]) -> f64 {
    records.iter().map(|sound| sound.own.readings().len() as f64 / 365.25).sum()
}

#[test]
fn known_faults_are_found_and_sound_records_say_little() {
    let (invented, real) = (records::invented(SKIES), records::real());
    println!("| fault | gauge alone, invented | with 4 neighbours, invented | gauge alone, real |\n|---|---|---|---|");
    for fault in &FAULTS {
        let alone = recall(fault, &invented, TIMES, false);
        let together = recall(fault, &invented, TIMES, true);
        let real = recall(fault, &real, TIMES_REAL, false);
        println!("| {} | {alone} | {together} | {real} |", fault.name);
        for (recall, least) in [alone, together, real].iter().zip(fault.least) {
            assert!(recall.found as f64 >= least * recall.of as f64, "{}: {recall}, wanted {least}", fault.name);
        }
    }
    println!(
        "\n| test | gauge alone, invented, {:.0} years | with 4 neighbours, the same | gauge alone, real, {:.0} years |\n|---|---|---|---|",
        years(&invented),
        years(&real)
    );
    let columns = [false_alarms(&invented, false), false_alarms(&invented, true), false_alarms(&real, false)];
    for ((test, alone, alone_rejected), (together, real)) in columns[0].iter().zip(columns[1].iter().zip(&columns[2])) {
        let cell = |told: usize, rejected: usize| if rejected > 0 { format!("{told}, {rejected} rejecting") } else { told.to_string() };
        println!("| {} | {} | {} | {} |", test.id(), cell(*alone, *alone_rejected), cell(together.1, together.2), cell(real.1, real.2));
    }
    // No sound day is rejected in 1,300 years; of warnings, one in 200 years is allowed, most of them changes that the sky may have made.
    for (column, records) in columns.iter().zip([&invented, &invented, &real]) {
        assert_eq!(column.iter().map(|(.., rejecting)| rejecting).sum::<usize>(), 0);
        assert!(column.iter().map(|(_, told, _)| told).sum::<usize>() as f64 <= years(records) / 200.0);
    }
}
