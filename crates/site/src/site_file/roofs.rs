//! `[[roof]]`: plan area, covering and losses.

use super::findings::Findings;
use super::layout;
use super::model::{RoofEntry, Typed};
use super::records::shown;
use super::section::Section;
use crate::roof::AgainstRange;
use crate::{Covering, Roof, RunoffCoefficient};
use series::{Area, Depth, Length, UnitSystem};

/// Coverings as they are written.
const WORDS: &[(&str, Covering)] = &[
    ("metal", Covering::Metal),
    ("tile", Covering::Tile),
    ("slate", Covering::Slate),
    ("asphalt-shingle", Covering::AsphaltShingle),
    ("flat-membrane", Covering::FlatMembrane),
    ("flat-gravel", Covering::FlatGravel),
    ("green", Covering::Green),
    ("timber-shake", Covering::TimberShake),
    ("asbestos-cement", Covering::AsbestosCement),
    ("other", Covering::Other),
];

/// One roof.
pub(super) fn read(section: &Section, number: usize, units: UnitSystem, findings: &mut Findings) -> Option<RoofEntry> {
    let name = section.text(findings, "name").map_or_else(|| format!("Roof {number}"), |text| text.value);
    let plan_area = plan_area(section, findings);
    let all: Vec<&str> = WORDS.iter().map(|(word, _)| *word).collect();
    section.require(findings, "covering", &format!("one of {}", all.join(", ")));
    let covering = section.choice(findings, "covering", WORDS);
    let runoff_coefficient = coefficient(section, covering, findings);
    let wetting_loss = wetting_loss(section, covering, runoff_coefficient, units, findings);
    let layout = layout::roof(section, plan_area.as_ref().map(|typed| typed.value), units, findings);
    let plan_area = plan_area?;
    let roof = Roof {
        name,
        plan_area: plan_area.value,
        covering: covering?,
        runoff_coefficient: runoff_coefficient?,
        wetting_loss: wetting_loss?,
    };
    Some(RoofEntry { roof, plan_area, layout })
}

fn plan_area(section: &Section, findings: &mut Findings) -> Option<Typed<Area>> {
    let area = section.above_zero::<Area>(findings, "plan_area");
    let length = section.above_zero::<Length>(findings, "length");
    let width = section.above_zero::<Length>(findings, "width");
    let by_sides = section.has("length") || section.has("width");
    let (key, area) = if section.has("plan_area") {
        if by_sides {
            section.contradiction(findings, &["plan_area", "length", "width"], "give plan_area, or length and width");
            return None;
        }
        ("plan_area", area?)
    } else if by_sides {
        section.require(findings, "length", "the length of the roof as seen from above, because width is given");
        section.require(findings, "width", "the width of the roof as seen from above, because length is given");
        let (length, width) = (length?, width?);
        let value = Area::new(length.value.get() * width.value.get());
        ("length", Typed { value, text: format!("{} x {}", length.text, width.text), line: length.line, column: length.column })
    } else {
        section.require(findings, "plan_area", "the area as seen from above, such as \"64 m2\", or length and width");
        return None;
    };
    let square_metres = area.value.get();
    if !square_metres.is_finite() || square_metres <= 0.0 {
        section.out_of_range(findings, key, &section.span_of(key), &area.text, "an area that can be reckoned with");
        return None;
    }
    if square_metres < 1.0 {
        section.unlikely(findings, key, "a roof of less than 1 m2 is hardly meant: is it another unit?");
    } else if square_metres > 1000.0 && square_metres <= 20_000.0 {
        section.unlikely(findings, key, "a roof of more than 1000 m2 is a large hall: is it another unit, or a slip of the point?");
    } else if square_metres > 20_000.0 {
        section.unlikely(findings, key, "a roof of more than 20000 m2 is hardly meant: is it another unit?");
    }
    Some(area)
}

fn coefficient(section: &Section, covering: Option<Covering>, findings: &mut Findings) -> Option<RunoffCoefficient> {
    let annual = section.choice(findings, "coefficient_is", &[("event", false), ("annual", true)]);
    let given = section.share(findings, "runoff_coefficient");
    if let Some(found) = given {
        if found == 0.0 {
            let span = section.span_of("runoff_coefficient");
            section.out_of_range(findings, "runoff_coefficient", &span, "0", "a share above 0: this roof would shed nothing");
            return None;
        }
        if let Some(range) = covering.and_then(Covering::published_range)
            && range.place(found) != AgainstRange::Inside
        {
            let message = format!(
                "{}: found {found}, outside the range of this covering, {} to {} ({})",
                section.path_of("runoff_coefficient"),
                range.low,
                range.high,
                range.source
            );
            findings.warning("coefficient-outside-range", &section.span_of("runoff_coefficient"), message);
        }
        return Some(if annual == Some(true) { RunoffCoefficient::Annual(found) } else { RunoffCoefficient::Event(found) });
    }
    if section.has("runoff_coefficient") {
        return None;
    }
    if annual == Some(true) {
        section.require(findings, "runoff_coefficient", "the annual coefficient, because coefficient_is says \"annual\"");
        return None;
    }
    if covering == Some(Covering::Other) {
        section.require(findings, "runoff_coefficient", "a share from 0 to 1, because \"other\" has no published range");
        return None;
    }
    let default = covering?.default_runoff_coefficient()?;
    findings.assume("runoff-coefficient", section.path_of("runoff_coefficient"), format!("{default:.2}"));
    Some(RunoffCoefficient::Event(default))
}

fn wetting_loss(
    section: &Section,
    covering: Option<Covering>,
    coefficient: Option<RunoffCoefficient>,
    units: UnitSystem,
    findings: &mut Findings,
) -> Option<Depth> {
    let given = section.zero_or_more::<Depth>(findings, "wetting_loss");
    let annual = matches!(coefficient, Some(RunoffCoefficient::Annual(_)));
    if let Some(depth) = given {
        if annual {
            let message = format!(
                "{}: an annual coefficient holds every loss, so that the wetting loss is not taken off",
                section.path_of("wetting_loss")
            );
            let span = section.span_of("wetting_loss");
            findings.add("losses-switched-off", series::Severity::Warning, &span, message, "the wetting loss was set to zero");
            return Some(Depth::ZERO);
        }
        if depth.value.get() > 10.0 {
            section.unlikely(findings, "wetting_loss", "a roof is wetted by a few millimetres at most");
        }
        return Some(depth.value);
    }
    if section.has("wetting_loss") {
        return None;
    }
    if annual {
        return Some(Depth::ZERO);
    }
    let default = covering?.default_wetting_loss();
    findings.assume("wetting-loss", section.path_of("wetting_loss"), shown(default, units));
    Some(default)
}
