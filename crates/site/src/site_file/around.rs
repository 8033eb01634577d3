//! `[surroundings]` and `[winter]`.

use super::findings::Findings;
use super::model::Winter;
use super::section::Section;
use crate::{Surroundings, WinterRule};
use series::{Length, days_in_month};

/// `[surroundings]`: what is not said stays unknown; nothing is assumed.
pub(super) fn surroundings(section: &Section, findings: &mut Findings) -> Surroundings {
    let mut distance = |key| section.zero_or_more::<Length>(findings, key).map(|typed| typed.value);
    let (well, septic) = (distance("well_distance"), distance("septic_distance"));
    let (boundary, foundation) = (distance("boundary_distance"), distance("foundation_distance"));
    Surroundings {
        basement: section.flag(findings, "basement"),
        slope: section.flag(findings, "slope"),
        downhill_neighbour: section.flag(findings, "downhill_neighbour"),
        well_distance: well,
        septic_distance: septic,
        boundary_distance: boundary,
        foundation_distance: foundation,
        frost: section.flag(findings, "frost"),
    }
}

/// `[winter]`. `frost` is what `[surroundings]` says of it, with its place.
pub(super) fn winter(section: &Section, surroundings: (&Section, Option<bool>), findings: &mut Findings) -> Winter {
    let (from, to) = (month_and_day(section, "store_rests_from", findings), month_and_day(section, "store_rests_to", findings));
    let (has_from, has_to) = (section.has("store_rests_from"), section.has("store_rests_to"));
    if has_from || has_to {
        section.require(findings, "store_rests_from", "the month and day from which the store rests, such as \"11-15\"");
        section.require(findings, "store_rests_to", "the month and day to which the store rests, such as \"03-15\"");
    }
    let rule = match (from, to) {
        (Some(from), Some(to)) => WinterRule::Rests { from, to },
        _ => WinterRule::InUse,
    };
    let (around, frost) = surroundings;
    if !has_from && !has_to {
        findings.assume("winter", section.path_of("store_rests_from"), "the store stays in use all year");
        if frost == Some(true) {
            let message = "surroundings.frost is true and [winter] names no days on which the store rests".to_owned();
            findings.note("frost-without-rest", &around.span_of("frost"), message, "the store stays in use all year");
        }
    }
    let melt_credit = section.share(findings, "melt_credit");
    if !section.has("melt_credit") {
        findings.assume("melt-credit", section.path_of("melt_credit"), "0");
    }
    Winter { rule, melt_credit: melt_credit.unwrap_or(0.0) }
}

/// Month and day from `"11-15"`.
fn month_and_day(section: &Section, key: &str, findings: &mut Findings) -> Option<(u32, u32)> {
    let text = section.text(findings, key)?.value;
    let two_digits =
        |part: &str| (part.len() == 2 && part.bytes().all(|byte| byte.is_ascii_digit())).then(|| part.parse::<u32>().ok()).flatten();
    let read = text.split_once('-').and_then(|(month, day)| Some((two_digits(month)?, two_digits(day)?)));
    // Of a year without a 29 February, so that the day stands in every year.
    let known = read.filter(|&(month, day)| (1..=12).contains(&month) && (1..=days_in_month(2023, month)).contains(&day));
    if known.is_none() {
        section.out_of_range(findings, key, &section.span_of(key), &text, "a month and a day, such as \"11-15\"");
    }
    known
}
