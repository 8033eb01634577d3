//! `[collection]`: the screen and the first-flush chamber.

use super::findings::Findings;
use super::model::{RoofEntry, Typed};
use super::records::shown;
use super::section::Section;
use crate::{Collection, FirstFlush, FirstFlushEmptying, RunoffCoefficient};
use series::{Area, Depth, Severity, UnitSystem, Volume};

/// Share that a screen before the store lets through (CHECKS C2: S33, pre-storage filter efficiency 0.9, read).
const SCREEN_SHARE: f64 = 0.9;
/// A chamber without a stated drain is taken to be emptied once so many days without rain have passed (common practice,
/// no source; CHECKS H13 shows what it costs).
const DRY_DAYS: u32 = 3;
const DRAINS: &str = "first_flush_drains_per_day";
const DRY: &str = "first_flush_empties_after_dry_days";

/// The collection, and the first flush as typed. `roofs` is every roof that could be read; whether that is all of them
/// (`whole`) says whether their total means anything.
pub(super) fn read(
    section: &Section,
    (roofs, whole): (&[RoofEntry], bool),
    units: UnitSystem,
    findings: &mut Findings,
) -> (Collection, Option<Typed<Volume>>) {
    let any_annual = roofs.iter().any(|entry| matches!(entry.roof.runoff_coefficient, RunoffCoefficient::Annual(_)));
    let total: Area = roofs.iter().map(|entry| entry.roof.plan_area).sum();
    let share = section.share(findings, "screen_share_passed");
    if share == Some(0.0) {
        let span = section.span_of("screen_share_passed");
        section.out_of_range(findings, "screen_share_passed", &span, "0", "a share above 0: this screen would let nothing through");
    }
    if !section.has("screen_share_passed") {
        findings.assume("screen-share-passed", section.path_of("screen_share_passed"), SCREEN_SHARE.to_string());
    }
    let volume = volume(section, total, findings);
    let emptying = emptying(section, findings);
    if any_annual && let Some(key) = ["first_flush", "first_flush_depth", "screen_share_passed"].into_iter().find(|key| section.has(key)) {
        let message = format!(
            "{}: a roof has an annual coefficient, which holds every loss, so that first flush and screen take nothing from its water",
            section.path_of(key)
        );
        let done = "first flush and screen are switched off for that roof";
        findings.add("losses-switched-off", Severity::Warning, &section.span_of(key), message, done);
    }
    if volume.is_none() && !section.has("first_flush") && !section.has("first_flush_depth") {
        if let Some(key) = [DRAINS, DRY].into_iter().find(|key| section.has(key)) {
            let message =
                format!("{}: found without a first flush; expected first_flush or first_flush_depth with it", section.path_of(key));
            findings.error("keys-contradict", &section.span_of_key(key), message);
        }
        findings.assume("first-flush", section.path_of("first_flush"), "none");
    }
    let first_flush = volume.as_ref().filter(|typed| typed.value.get() > 0.0).map(|typed| {
        let emptying = emptying.unwrap_or_else(|| {
            findings.assume("first-flush-empties", section.path_of(DRY), format!("{DRY_DAYS} days without rain"));
            FirstFlushEmptying::AfterDryDays(DRY_DAYS)
        });
        FirstFlush { volume: typed.value, emptying }
    });
    if let Some(typed) = &volume
        && whole
        && total.get() > 0.0
        && (typed.value / total).get() > 5.0
    {
        let depth = shown(typed.value / total, units);
        let key = if section.has("first_flush") { "first_flush" } else { "first_flush_depth" };
        // CHECKS C3.5 (from memory): guides ask for 0.2 to 2.5 mm, and 0 to 5 mm is taken without a word.
        section.unlikely(findings, key, &format!("this is {depth} on all roofs; guides ask for 0.2 to 2.5 mm"));
    }
    (Collection { first_flush, screen_share_passed: share.unwrap_or(SCREEN_SHARE) }, volume)
}

fn volume(section: &Section, total: Area, findings: &mut Findings) -> Option<Typed<Volume>> {
    let volume = section.zero_or_more::<Volume>(findings, "first_flush");
    let depth = section.zero_or_more::<Depth>(findings, "first_flush_depth");
    if section.has("first_flush") && section.has("first_flush_depth") {
        section.contradiction(findings, &["first_flush", "first_flush_depth"], "give one of them");
        return None;
    }
    volume.or_else(|| depth.map(|depth| Typed { value: depth.value * total, text: depth.text, line: depth.line, column: depth.column }))
}

fn emptying(section: &Section, findings: &mut Findings) -> Option<FirstFlushEmptying> {
    let drains = section.above_zero::<Volume>(findings, DRAINS).map(|typed| FirstFlushEmptying::Drains { per_day: typed.value });
    let dry = section.integer(findings, DRY, 1..=60).map(|days| FirstFlushEmptying::AfterDryDays(days as u32));
    if section.has(DRAINS) && section.has(DRY) {
        section.contradiction(findings, &[DRAINS, DRY], "give one of them");
        return None;
    }
    drains.or(dry)
}
