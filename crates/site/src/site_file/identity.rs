//! `[site]`: which place, and how its report speaks.

use super::findings::Findings;
use super::model::{Identity, Locale, Stage};
use super::section::Section;
use series::UnitSystem;

/// Higher latitudes have few roofs with gardens: there the two numbers are taken for swapped.
const FAR_NORTH: f64 = 72.0;
const LONGEST_CURRENCY: usize = 16;

/// The system of units and the locale, needed before all else to show defaults.
pub(super) fn units(section: &Section, findings: &mut Findings) -> UnitSystem {
    let words = [("metric", UnitSystem::Metric), ("us-customary", UnitSystem::UsCustomary)];
    section.choice(findings, "units", &words).unwrap_or_else(|| {
        if !section.has("units") {
            findings.assume("units", section.path_of("units"), "metric");
        }
        UnitSystem::Metric
    })
}

/// The section.
pub(super) fn read(section: &Section, units: UnitSystem, findings: &mut Findings) -> Option<Identity> {
    section.require(findings, "name", "what you call the place, such as \"Potting shed\" (not a person's name or address)");
    section.require(findings, "latitude", "degrees north, such as 44.9");
    section.require(findings, "longitude", "degrees east, such as -93.2");
    let name = section.text(findings, "name");
    let place = position(section, findings);
    let elevation = section.quantity::<series::Length>(findings, "elevation").filter(|elevation| {
        let likely = (-450.0..=6000.0).contains(&elevation.value.get());
        if !likely {
            section.out_of_range(findings, "elevation", &section.span_of("elevation"), &elevation.text, "a height from -450 m to 6000 m");
        }
        likely
    });
    if !section.has("elevation") && !section.is_absent() {
        let message = "site.elevation is missing: the difference in height to the rain gauges cannot be told".to_owned();
        findings.note("elevation-missing", section.span(), message, "the site is taken to have no known height");
    }
    let locale = section.choice(findings, "locale", &[("en-GB", Locale::EnGb), ("en-US", Locale::EnUs)]);
    let locale = locale.unwrap_or_else(|| {
        let (locale, text) = if units == UnitSystem::UsCustomary { (Locale::EnUs, "en-US") } else { (Locale::EnGb, "en-GB") };
        if !section.has("locale") {
            findings.assume("locale", section.path_of("locale"), text);
        }
        locale
    });
    let stages = [("not purchased", Stage::NotPurchased), ("purchased", Stage::Purchased), ("built", Stage::Built)];
    let stage = section.choice(findings, "stage", &stages);
    if !section.has("stage") {
        findings.assume("stage", section.path_of("stage"), "not stated");
    }
    let prepared_on = section.date(findings, "prepared_on");
    let currency = section.text(findings, "currency").map(|text| text.value).filter(|text| {
        let short = text.chars().count() <= LONGEST_CURRENCY;
        if !short {
            section.out_of_range(findings, "currency", &section.span_of("currency"), text, "a short name of a currency, such as EUR");
        }
        short
    });
    let (latitude, longitude) = place?;
    Some(Identity {
        name: name?.value,
        latitude,
        longitude,
        elevation,
        units,
        locale,
        prepared_on,
        stage: stage.unwrap_or_default(),
        currency,
    })
}

fn position(section: &Section, findings: &mut Findings) -> Option<(f64, f64)> {
    let north = "degrees north from -90 to 90";
    let east = "degrees east from -180 to 180";
    let latitude = section.number(findings, "latitude", north);
    let longitude = section.number(findings, "longitude", east);
    let swapped = |latitude: f64, longitude: Option<f64>| latitude.abs() <= 180.0 && longitude.is_some_and(|other| other.abs() <= 90.0);
    if let Some(found) = latitude.filter(|value| value.abs() > 90.0) {
        let hint = if swapped(found, longitude) { "; latitude and longitude look swapped" } else { "" };
        section.out_of_range(findings, "latitude", &section.span_of("latitude"), &found.to_string(), &format!("{north}{hint}"));
    }
    if let Some(found) = longitude.filter(|value| value.abs() > 180.0) {
        section.out_of_range(findings, "longitude", &section.span_of("longitude"), &found.to_string(), east);
    }
    let (latitude, longitude) = (latitude?, longitude?);
    if latitude.abs() > 90.0 || longitude.abs() > 180.0 {
        return None;
    }
    if latitude.abs() > FAR_NORTH && longitude.abs() <= FAR_NORTH {
        section.unlikely(findings, "latitude", "latitude and longitude look swapped: few gardens lie this near to a pole");
    } else if latitude == 0.0 && longitude == 0.0 {
        section.unlikely(findings, "latitude", "latitude and longitude are both zero, a place in the open sea");
    }
    Some((latitude, longitude))
}
