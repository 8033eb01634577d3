//! TMAX and TMIN: greatest and least air temperature of the day, tenths of a degree Celsius.
//!
//! A value with a quality flag is dropped and counted, and one that is not [believed].

use super::lines::MonthLine;
use super::month::{Cell, each_cell};
use super::rain::tenths;
use crate::believed;
use crate::finding::Findings;
use crate::formats::ghcn::failed_check;
use series::{DailyTemperature, Day, Severity};

/// The temperatures of these lines.
pub(super) fn read(bytes: &[u8], greatest: &[MonthLine], least: &[MonthLine], findings: &mut Findings<'_>) -> DailyTemperature {
    let mut temperature = DailyTemperature::new();
    read_element(bytes, "TMAX", greatest, findings, |day, tenths| temperature.set_greatest(day, tenths));
    read_element(bytes, "TMIN", least, findings, |day, tenths| temperature.set_least(day, tenths));
    temperature
}

fn read_element(bytes: &[u8], element: &str, lines: &[MonthLine], findings: &mut Findings<'_>, mut set: impl FnMut(Day, i16)) {
    each_cell(bytes, element, lines, findings, |place, cell, findings| {
        let Cell::Number { value, quality, .. } = cell else { return };
        let day = place.day();
        if quality != b' ' {
            findings.at("temperature-flagged", Severity::Note, place.line, place.quality_flag(), || {
                let (letter, check) = (char::from(quality), failed_check(quality));
                (
                    format!(
                        "found {element} {} C on {day} with the quality flag {letter} ({check}), expected no quality flag",
                        tenths(value)
                    ),
                    "The temperature is left out.",
                )
            });
        } else if let Some(tenths) = believed::tenths_celsius(i64::from(value)) {
            set(day, tenths);
        } else {
            findings.at("temperature-implausible", Severity::Warning, place.line, place.value(), || {
                (format!("found {element} {} C on {day}, expected -90 to 60 C", tenths(value)), "The temperature is left out.")
            });
        }
    });
}
