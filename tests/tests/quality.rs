//! The quality tests on real public records: what must be told, and what must stay.
//!
//! Records: the folder that RAINWORTH_DATA names; what is in them is said in its MANIFEST.md, "Traps that these files hold".

use ingest::{StationRecord, Wanted, read_bytes};
use serde_json::Value;
use series::Day;
use stats::{Effect, Neighbour, QualityReport, QualityTest, quality_report};
use std::path::Path;
use testkit::data_dir;
use tests::command::run;
use tests::folders::text;

fn records(folder: &Path, name: &str) -> Vec<StationRecord> {
    let mut found: Vec<StationRecord> = Vec::new();
    let bytes = std::fs::read(folder.join(name)).unwrap();
    read_bytes(name, &bytes, Wanted::default(), &mut found).unwrap();
    found
}

fn record(folder: &Path, name: &str) -> StationRecord {
    records(folder, name).pop().unwrap()
}

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// Kilometres on a sphere of 6,371 km, for short distances.
fn distance_km((lat, lon): (f64, f64), (lat2, lon2): (f64, f64)) -> f64 {
    let east = (lon2 - lon) * series::math::cos(lat.to_radians());
    ((lat2 - lat) * (lat2 - lat) + east * east).sqrt().to_radians() * 6371.0
}

/// Rejecting findings of a report, in words for a failure.
fn rejecting(report: &QualityReport) -> Vec<String> {
    report.findings.iter().filter(|finding| finding.effect == Effect::Rejected).map(|finding| format!("{finding:?}")).collect()
}

#[test]
fn an_unflagged_80_mm_on_a_dry_day_in_dubai_is_warned_of() {
    let Some(folder) = data_dir() else { return };
    let answer = run(&["record", "--json", text(&folder.join("cdo-csv/1039330.csv"))]).json();
    let findings = answer["quality"]["findings"].as_array().unwrap();
    let of_day = |finding: &&Value| finding["periods"][0]["first"] == "2010-08-01" && finding["depth_mm"] == 80.0;
    let found: Vec<&Value> = findings.iter().filter(of_day).collect();
    assert!(!found.is_empty() && found.iter().all(|finding| finding["effect"] == "warning"), "{findings:?}");
    // It is not rejected: the figures still hold it, as facts.json has them.
    assert_eq!(answer["greatest_day"]["depth_mm"], 80.0);
}

#[test]
fn the_true_383_mm_of_hokah_stays_alone_and_beside_its_neighbour() {
    let Some(folder) = data_dir() else { return };
    let hokah = record(&folder, "ghcnd-by-station/USC00213808.csv.gz");
    let altura = record(&folder, "ghcnd-by-station/USC00210146.csv.gz");
    let storm = day("2007-08-19");
    assert_eq!(hokah.rain.reading(storm).depth(), Some(383_500));
    // Between their places in ghcnd-stations.txt lie some 50 km; any distance within reach asks the same.
    for near in [vec![], vec![Neighbour { series: &altura.rain, distance_km: 50.0, days_later: 0 }]] {
        let report = quality_report(&hokah.rain, &near);
        assert!(!report.rejected.contains(&storm) && report.rejected.is_empty(), "{:?}", rejecting(&report));
        let doubted = report.findings.iter().filter(|finding| finding.is_of_one_day() && finding.periods[0].contains(storm)).count();
        assert!(near.is_empty() || doubted == 0, "the neighbour's 290.8 mm bears it out: {:?}", report.findings);
    }
    let other = quality_report(&altura.rain, &[Neighbour { series: &hokah.rain, distance_km: 50.0, days_later: 0 }]);
    assert!(!other.rejected.contains(&storm), "{:?}", rejecting(&other));
}

/// Sound records of eight climates: no day of them is rejected. 1,286.3 mm at Ann Arbor and the months that stand twice at Irkutsk carry
/// flags of their source, so that they do not come here any more.
#[test]
fn sound_real_records_lose_no_day() {
    let Some(folder) = data_dir() else { return };
    for id in ["USW00094728", "USC00200230", "USC00053005", "USC00043761", "USC00042319", "UK000056225", "ASN00066062", "JA000047759"] {
        let report = quality_report(&record(&folder, &format!("ghcnd-dly/{id}.dly")).rain, &[]);
        assert!(report.rejected.is_empty(), "{id}: {:?}", rejecting(&report));
        // Happy Camp has 641 totals that are marked: its weekends say nothing.
        assert_eq!(report.of(QualityTest::UntaggedTotals).count(), 0, "{id}");
    }
}

/// 29 gauges of a department on the Mediterranean over 380 days, with 156.6 mm in a day at one of them: storms of such a coast are local.
#[test]
fn local_storms_of_herault_are_not_rejected() {
    let Some(folder) = data_dir() else { return };
    let all = records(&folder, "meteo-france/Q_34_latest-2024-2025_RR-T-Vent.csv.gz");
    assert_eq!(all.len(), 29);
    let mut told = 0;
    for own in &all {
        let Some(here) = own.rain.station.position() else { continue };
        let others = all.iter().filter(|other| other.rain.station.id != own.rain.station.id);
        let mut near: Vec<Neighbour<'_>> = others
            .filter_map(|other| {
                Some(Neighbour { series: &other.rain, distance_km: distance_km(here, other.rain.station.position()?), days_later: 0 })
            })
            .collect();
        near.sort_by(|a, b| a.distance_km.total_cmp(&b.distance_km));
        near.truncate(4);
        let report = quality_report(&own.rain, &near);
        assert!(report.rejected.is_empty(), "{}: {:?}", own.rain.station.id, rejecting(&report));
        told += report.findings.iter().filter(|finding| finding.is_of_one_day()).count();
    }
    // Measured: see DEVELOPERS.md; a day in a thousand would be too many to read.
    assert!(told <= 10, "{told} days doubted in 10,791");
}
