//! Where things stand: `[plan]`, `[[building]]`, `[[mark]]`, and the places and heights that roofs, stores, screen and
//! first flush carry. All of it is optional, and only the drawings use it.
//!
//! A place is two distances, to the right and up the page, from one corner that the reader of the tape chooses. What can be
//! reckoned from the places is compared with what is typed elsewhere; where the two differ the file is used as written,
//! with a warning that names both.

use super::findings::Findings;
use super::model::{Building, GroundMark, GroundPlan, LengthAlong, PartsLayout, RoofLayout, StoreEntry, StoreLayout};
use super::records::shown;
use super::section::{Section, Value};
use crate::footprint::{self, Footprint};
use crate::ground::{self, GroundPoint};
use crate::{FirstFlush, Shape, Surroundings};
use series::{Area, Length, UnitSystem};
use toml::de::DeValue;

/// Most corners of an outline or a way.
const MOST_POINTS: usize = 40;
/// Farthest place, m: a plan on one sheet shows no more.
const FARTHEST: f64 = 1000.0;
/// An outline's area and the stated plan area agree within so much: a tape gives no better.
const AREA_AGREES: f64 = 0.05;
/// A distance measured and the same one reckoned from places agree within this share, or within [`TAPE`].
const DISTANCE_AGREES: f64 = 0.05;
/// Or within so much, m.
const TAPE: f64 = 0.3;

const POINTS: &str = "a list of places, each two distances in quotes: [[\"0 m\", \"0 m\"], [\"8 m\", \"0 m\"]]";
const ONE: &str = "a place, two distances in quotes: [\"8 m\", \"0.5 m\"] (to the right, up the page)";

/// One place.
fn point_of(section: &Section, key: &str, value: &Value, findings: &mut Findings) -> Option<GroundPoint> {
    let DeValue::Array(pair) = value.get_ref() else {
        section.wrong_type(findings, key, value, ONE);
        return None;
    };
    if pair.len() != 2 || pair.iter().any(|one| one.get_ref().is_array()) {
        section.wrong_type(findings, key, value, ONE);
        return None;
    }
    let mut part = |at: usize| {
        let typed = section.quantity_of::<Length>(findings, key, &pair[at])?;
        let near = typed.value.get().abs() <= FARTHEST;
        if !near {
            section.out_of_range(findings, key, &pair[at].span(), &typed.text, "a distance of at most 1000 m from the corner");
        }
        near.then(|| typed.value.get())
    };
    let (right, up) = (part(0), part(1));
    Some(GroundPoint::new(right?, up?))
}

/// A place under a key.
fn point(section: &Section, key: &str, findings: &mut Findings) -> Option<GroundPoint> {
    point_of(section, key, section.get(key)?, findings)
}

/// At least so many places under a key; empty when there are none or one is at fault.
fn points(section: &Section, key: &str, least: usize, findings: &mut Findings) -> Vec<GroundPoint> {
    let Some(list) = section.list(findings, key, MOST_POINTS, POINTS) else { return Vec::new() };
    let read: Vec<Option<GroundPoint>> = list.iter().map(|value| point_of(section, key, value, findings)).collect();
    if list.len() < least {
        let found = format!("a list of {}", list.len());
        section.out_of_range(findings, key, &section.span_of(key), &found, &format!("at least {least} places"));
        return Vec::new();
    }
    read.into_iter().collect::<Option<Vec<_>>>().unwrap_or_default()
}

/// An outline of three corners or more (or, as `least` allows, one side) that does not cross itself.
fn outline(section: &Section, key: &str, least: usize, findings: &mut Findings) -> Vec<GroundPoint> {
    let corners = points(section, key, least, findings);
    if ground::crosses_itself(&corners) {
        let message =
            format!("{}: two sides of this outline cross or touch; expected its corners in the order of going round", section.path_of(key));
        findings.error("outline-crosses-itself", &section.span_of(key), message);
        return Vec::new();
    }
    corners
}

/// `[plan]`, `[[building]]` and `[[mark]]`.
pub(super) fn plan(section: &Section, buildings: &[Section], marks: &[Section], findings: &mut Findings) -> GroundPlan {
    let bearing = section.number_in(findings, "bearing_of_top", 0.0..=360.0, "degrees clockwise from north, 0 to 360");
    let boundary = outline(section, "boundary", 2, findings);
    let buildings = buildings.iter().enumerate().filter_map(|(at, one)| {
        let name = one.text(findings, "name").map_or_else(|| format!("Building {}", at + 1), |text| text.value);
        one.require(findings, "outline", &format!("the walls where they stand on the ground, {POINTS}"));
        let outline = outline(one, "outline", 3, findings);
        (!outline.is_empty()).then_some(Building { name, outline })
    });
    let buildings: Vec<Building> = buildings.collect();
    let marks = marks.iter().filter_map(|one| {
        one.require(findings, "name", "what stands there, such as \"Well\" or \"Lime tree\"");
        one.require(findings, "place", ONE);
        let name = one.text(findings, "name").map(|text| text.value);
        let place = point(one, "place", findings);
        Some(GroundMark { name: name?, place: place? })
    });
    let marks: Vec<GroundMark> = marks.collect();
    GroundPlan { bearing_of_top: bearing, boundary, buildings, marks }
}

/// What a `[[roof]]` says of its place. `plan_area` is what it is compared with.
pub(super) fn roof(section: &Section, plan_area: Option<Area>, units: UnitSystem, findings: &mut Findings) -> RoofLayout {
    let corners = outline(section, "outline", 3, findings);
    if let (false, Some(stated)) = (corners.is_empty(), plan_area) {
        let drawn = Area::new(ground::area(&corners));
        if (drawn.get() - stated.get()).abs() > AREA_AGREES * stated.get() {
            let message = format!(
                "{}: the outline holds {}, but the plan area is given as {}",
                section.path_of("outline"),
                shown(drawn, units),
                shown(stated, units)
            );
            findings.warning("plan-area-unlike-outline", &section.span_of("outline"), message);
        }
    }
    RoofLayout {
        outline: corners,
        gutter: points(section, "gutter", 2, findings),
        downpipe: point(section, "downpipe", findings),
        eaves_height: section.above_zero(findings, "eaves_height"),
    }
}

/// What a `[[store]]` says of its place.
pub(super) fn store(section: &Section, count: u32, shape: Option<Shape>, findings: &mut Findings) -> StoreLayout {
    let places = points(section, "places", 1, findings);
    if !places.is_empty() && places.len() != count as usize {
        let message =
            format!("{}: found {} places for {count} tanks; expected the middle of each tank", section.path_of("places"), places.len());
        findings.error("keys-contradict", &section.span_of("places"), message);
    }
    let words = [("right", LengthAlong::Right), ("up", LengthAlong::Up)];
    let length_along = section.choice(findings, "length_along", &words);
    if !places.is_empty() && matches!(shape, Some(Shape::Box { .. })) && !section.has("length_along") {
        findings.assume("length-along", section.path_of("length_along"), "right");
    }
    StoreLayout {
        places,
        length_along: length_along.unwrap_or_default(),
        overflow_path: points(section, "overflow_path", 2, findings),
        outfall_height: section.quantity(findings, "outfall_height"),
    }
}

/// What `[collection]` says of the places and heights of screen and first flush.
pub(super) fn parts(section: &Section, first_flush: Option<FirstFlush>, units: UnitSystem, findings: &mut Findings) -> PartsLayout {
    let layout = PartsLayout {
        screen_place: point(section, "screen_place", findings),
        screen_height: section.quantity(findings, "screen_height"),
        first_flush_place: point(section, "first_flush_place", findings),
        first_flush_diameter: section.above_zero(findings, "first_flush_diameter"),
        first_flush_bottom_height: section.quantity(findings, "first_flush_bottom_height"),
        first_flush_top_height: section.quantity(findings, "first_flush_top_height"),
    };
    let (bottom, top) = (&layout.first_flush_bottom_height, &layout.first_flush_top_height);
    if let (Some(bottom), Some(top)) = (bottom, top) {
        if top.value <= bottom.value {
            let message = format!(
                "{}: found {}, expected a height above first_flush_bottom_height, {}",
                section.path_of("first_flush_top_height"),
                top.text,
                bottom.text
            );
            findings.error("keys-contradict", &section.span_of("first_flush_top_height"), message);
        } else if let (Some(diameter), Some(flush)) = (&layout.first_flush_diameter, first_flush) {
            let shape = Shape::Cylinder { diameter: diameter.value, height: top.value - bottom.value };
            let holds = series::Volume::new(shape.footprint().get() * shape.height().get() * 1000.0);
            if flush.volume.get() > holds.get() * 1.01 {
                let message = format!(
                    "{}: a chamber of this diameter between the stated heights holds at most {}, but the first flush is {}",
                    section.path_of("first_flush_diameter"),
                    shown(holds, units),
                    shown(flush.volume, units)
                );
                findings.warning("first-flush-larger-than-chamber", &section.span_of("first_flush_diameter"), message);
            }
        }
    }
    layout
}

/// Compares what the places say with what is typed elsewhere.
pub(super) fn agree(
    plan: &GroundPlan,
    stores: &[(&Section, Option<StoreEntry>)],
    (around, typed): (&Section, &Surroundings),
    units: UnitSystem,
    findings: &mut Findings,
) {
    let read = || stores.iter().filter_map(|(section, entry)| Some((section, entry.as_ref()?)));
    for (section, entry) in read() {
        let closed = plan.boundary.len() >= 3;
        for (key, places) in [("places", &entry.layout.places), ("overflow_path", &entry.layout.overflow_path)] {
            if let Some(place) = places.iter().find(|&&place| closed && !ground::contains(&plan.boundary, place)) {
                let message = format!(
                    "{}: the place {} to the right and {} up lies outside plan.boundary",
                    section.path_of(key),
                    shown(Length::new(place.right), units),
                    shown(Length::new(place.up), units)
                );
                findings.warning("place-outside-boundary", &section.span_of(key), message);
            }
        }
    }
    let tank_of = |section: &Section, number: usize| format!("{}, tank {number}", section.path_of("places"));
    let tanks: Vec<(&Section, usize, Footprint)> = read()
        .flat_map(|(section, entry)| (1..).zip(Footprint::of_store(entry)).map(move |(number, footprint)| (*section, number, footprint)))
        .collect();
    for (at, (section, number, tank)) in tanks.iter().enumerate() {
        if tank.is_crossed_by(&plan.boundary) {
            let message = format!("{}: plan.boundary runs through it", tank_of(section, *number));
            findings.warning("store-across-boundary", &section.span_of("places"), message);
        }
        if let Some((other, its_number, _)) = tanks[..at].iter().find(|(_, _, other)| other.overlaps(tank)) {
            let message = format!("{}: it stands on the ground of {}", tank_of(section, *number), tank_of(other, *its_number));
            findings.warning("stores-on-the-same-ground", &section.span_of("places"), message);
        }
    }
    let boundary = footprint::of_stores(&plan.boundary, read().map(|(_, entry)| entry)).map(|nearest| nearest.distance);
    let walls: Vec<&[GroundPoint]> = plan.buildings.iter().map(|building| building.outline.as_slice()).collect();
    let foundation = footprint::ends_to_walls(read().map(|(_, entry)| entry), &walls).map(|nearest| nearest.distance);
    for (key, typed, drawn) in
        [("boundary_distance", typed.boundary_distance, boundary), ("foundation_distance", typed.foundation_distance, foundation)]
    {
        let (Some(typed), Some(drawn)) = (typed, drawn) else { continue };
        let apart = (typed.get() - drawn).abs();
        if apart > TAPE && apart > DISTANCE_AGREES * typed.get().max(drawn) {
            let message = format!(
                "{}: found {}, but the places of the plan make it {}",
                around.path_of(key),
                shown(typed, units),
                shown(Length::new(drawn), units)
            );
            findings.warning("distance-unlike-plan", &around.span_of(key), message);
        }
    }
}
