//! `[supply]`, `[[cost]]` and `[targets]`: mains water, prices, and what the owner wants to reach.
//!
//! Prices for 1000 US gal are turned into prices for 1 m3: / 3.785411784 (exact).

use super::findings::Findings;
use super::model::{Cost, Supply, Targets};
use super::section::Section;

const CUBIC_METRES_OF_1000_GALLONS: f64 = 3.785_411_784;
/// Share of the demand that the store should give when the owner names none (own choice, printed as an assumption).
const RELIABILITY: f64 = 0.8;
const MOST_MONEY: f64 = 1e9;

/// `[supply]`.
pub(super) fn supply(section: &Section, findings: &mut Findings) -> Supply {
    let mut flag = |id, key| {
        let flag = section.flag(findings, key);
        if !section.has(key) {
            findings.assume(id, section.path_of(key), "false");
        }
        flag.unwrap_or(false)
    };
    let (top_up, pump) = (flag("top-up", "top_up"), flag("pump", "pump"));
    let tariff_per_m3 = price(section, "tariff_per_m3", "tariff_per_1000_gal", findings);
    let sewer_per_m3 = price(section, "sewer_per_m3", "sewer_per_1000_gal", findings);
    let source = section.text(findings, "source").map(|text| text.value);
    Supply { top_up, tariff_per_m3, sewer_per_m3, pump, source }
}

fn price(section: &Section, metric: &str, customary: &str, findings: &mut Findings) -> Option<f64> {
    let expected = "a price of zero or more, such as 2.1";
    let per_m3 = section.number_in(findings, metric, 0.0..=MOST_MONEY, expected);
    let per_1000_gal = section.number_in(findings, customary, 0.0..=MOST_MONEY, expected);
    if section.has(metric) && section.has(customary) {
        section.contradiction(findings, &[metric, customary], "give one of them");
        return None;
    }
    per_m3.or(per_1000_gal.map(|price| price / CUBIC_METRES_OF_1000_GALLONS))
}

/// One `[[cost]]`.
pub(super) fn cost(section: &Section, findings: &mut Findings) -> Option<Cost> {
    section.require(findings, "item", "what the money is for");
    section.require(findings, "amount", "how much it costs, such as 250");
    let item = section.text(findings, "item");
    let amount = section.number_in(findings, "amount", -MOST_MONEY..=MOST_MONEY, "an amount of money, such as 250");
    let every_years = section.number_in(findings, "every_years", 0.1..=1000.0, "years between two payments, from 0.1 to 1000");
    Some(Cost { item: item?.value, amount: amount?, every_years })
}

/// `[targets]`.
pub(super) fn targets(section: &Section, findings: &mut Findings) -> Targets {
    let share = section.share(findings, "volumetric_reliability");
    if share == Some(0.0) {
        let span = section.span_of("volumetric_reliability");
        section.out_of_range(findings, "volumetric_reliability", &span, "0", "a share above 0");
    }
    if !section.has("volumetric_reliability") {
        findings.assume("volumetric-reliability", section.path_of("volumetric_reliability"), RELIABILITY.to_string());
    }
    Targets { volumetric_reliability: share.unwrap_or(RELIABILITY) }
}
