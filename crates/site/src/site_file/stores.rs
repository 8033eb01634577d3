//! `[[store]]` and `[space]`: tanks with their three volumes, their outer shape, and the room there is for them.
//!
//! Only what is certain is a contradiction: water that the outer shape cannot hold, a tank larger than the space, tanks
//! that together cover more ground than the space has.

use super::findings::Findings;
use super::layout;
use super::model::{StoreEntry, Typed};
use super::records::shown;
use super::section::Section;
use crate::{Shape, Space, Store};
use series::{Area, Length, Mass, UnitSystem, Volume};

/// Dead volume of a tank of which nothing else is known, as a share of its nominal volume (common practice, no source).
const DEAD_SHARE: f64 = 0.05;
/// A stated volume and stated outer sides agree within so much: makers round both.
const ROUNDING: f64 = 1.01;

/// One store.
pub(super) fn read(section: &Section, number: usize, units: UnitSystem, findings: &mut Findings) -> Option<StoreEntry> {
    let name = section.text(findings, "name").map_or_else(|| format!("Store {number}"), |text| text.value);
    section.require(findings, "nominal", "the volume that the maker states for one tank, such as \"1000 L\" or \"265 gal\"");
    let nominal = section.above_zero::<Volume>(findings, "nominal");
    let count = section.integer(findings, "count", 1..=100).map_or(1, |count| count as u32);
    if nominal.as_ref().is_some_and(|typed| typed.value.get() * f64::from(count) > 1_000_000.0) {
        section.unlikely(findings, "nominal", "more than 1000 m3 is hardly meant for a roof: is it another unit?");
    }
    let (shape, height) = shape(section, findings);
    let given_footprint = section.above_zero::<Area>(findings, "footprint").map(|typed| typed.value);
    let footprint = given_footprint.or_else(|| shape.map(Shape::footprint));
    if let (Some(footprint), Some(shape)) = (given_footprint, shape)
        && footprint.get() > shape.footprint().get() * ROUNDING
    {
        section.unlikely(findings, "footprint", &format!("the outer shape covers only {}", shown(shape.footprint(), units)));
    }
    holds(section, nominal.as_ref(), footprint, shape, height, units, findings);
    let empty_mass = section.above_zero::<Mass>(findings, "empty_mass").map(|typed| typed.value);
    let buried = section.flag(findings, "buried");
    let heights = Heights::read(section, height, findings);
    let dead = section.zero_or_more::<Volume>(findings, "dead");
    let above_overflow = section.zero_or_more::<Volume>(findings, "above_overflow");
    let layout = layout::store(section, count, shape, findings);
    let nominal = nominal?;
    let dead_volume = match &dead {
        Some(typed) => typed.value,
        None => heights.below_outlet().map_or(nominal.value * DEAD_SHARE, |share| nominal.value * share),
    };
    if !section.has("dead") {
        findings.assume("dead-volume", section.path_of("dead"), shown(dead_volume, units));
    }
    let above_volume = match &above_overflow {
        Some(typed) => typed.value,
        None => heights.above_overflow().map_or(Volume::ZERO, |share| nominal.value * share),
    };
    if !section.has("above_overflow") {
        findings.assume("above-overflow", section.path_of("above_overflow"), shown(above_volume, units));
    }
    if dead_volume + above_volume >= nominal.value {
        let key = if section.has("dead") { "dead" } else { "above_overflow" };
        let found = format!("dead {} and above_overflow {}", shown(dead_volume, units), shown(above_volume, units));
        let message = format!("{}: found {found}, which leave nothing of nominal {}", section.path_of(key), nominal.text);
        findings.error("keys-contradict", &section.span_of(key), message);
        return None;
    }
    let store =
        Store { name, nominal: nominal.value, dead: dead_volume, above_overflow: above_volume, count, shape, empty_mass, footprint };
    let Heights { floor, outlet, overflow, .. } = heights;
    Some(StoreEntry {
        store,
        nominal,
        dead,
        above_overflow,
        height,
        buried,
        floor_height: floor,
        outlet_height: outlet,
        overflow_height: overflow,
        layout,
    })
}

/// The outer shape, if all its sides are given, and the height, if that is given.
fn shape(section: &Section, findings: &mut Findings) -> (Option<Shape>, Option<Length>) {
    let mut side = |key| section.above_zero::<Length>(findings, key).map(|typed| typed.value);
    let (diameter, length, width, height) = (side("diameter"), side("length"), side("width"), side("height"));
    for (key, side) in [("diameter", diameter), ("length", length), ("width", width), ("height", height)] {
        if side.is_some_and(|side| side.get() > 30.0) {
            section.unlikely(findings, key, "a tank of more than 30 m is hardly meant: is it another unit?");
        }
    }
    let sides = section.has("length") || section.has("width");
    if section.has("diameter") && sides {
        section.contradiction(findings, &["diameter", "length", "width"], "give diameter and height, or length, width and height");
        return (None, height);
    }
    if section.has("diameter") {
        section.require(findings, "height", "the outer height, because diameter is given");
    } else if sides {
        section.require(findings, "length", "the outer length, because width is given");
        section.require(findings, "width", "the outer width, because length is given");
        section.require(findings, "height", "the outer height, because length or width is given");
    }
    let shape = match (diameter, length, width, height) {
        (Some(diameter), _, _, Some(height)) => Some(Shape::Cylinder { diameter, height }),
        (None, Some(length), Some(width), Some(height)) => Some(Shape::Box { length, width, height }),
        _ => None,
    };
    (shape, height)
}

/// Reports a nominal volume that the outer shape (or footprint and height) cannot hold.
fn holds(
    section: &Section,
    nominal: Option<&Typed<Volume>>,
    footprint: Option<Area>,
    shape: Option<Shape>,
    height: Option<Length>,
    units: UnitSystem,
    findings: &mut Findings,
) {
    let (Some(nominal), Some(area), Some(height)) = (nominal, shape.map(Shape::footprint).or(footprint), height) else {
        return;
    };
    let outer = Volume::new(area.get() * height.get() * 1000.0);
    if nominal.value.get() > outer.get() * ROUNDING {
        let message = format!(
            "{}: found {}, but the stated outer shape ({} by {} high) can hold at most {}",
            section.path_of("nominal"),
            nominal.text,
            shown(area, units),
            shown(height, units),
            shown(outer, units)
        );
        findings.error("keys-contradict", &section.span_of("nominal"), message);
    }
}

/// Heights above the ground beside the tank.
struct Heights {
    floor: Option<Typed<Length>>,
    outlet: Option<Typed<Length>>,
    overflow: Option<Typed<Length>>,
    tank: Option<Length>,
}

impl Heights {
    fn read(section: &Section, tank: Option<Length>, findings: &mut Findings) -> Self {
        let heights = Self {
            floor: section.quantity(findings, "floor_height"),
            outlet: section.quantity(findings, "outlet_height"),
            overflow: section.quantity(findings, "overflow_height"),
            tank,
        };
        let floor = heights.floor();
        let mut order = |key: &str, low: f64, high: f64, expected: &str| {
            if low > high {
                let found = findings.slice(&section.span_of(key)).to_owned();
                let message = format!("{}: found {found}, expected {expected}", section.path_of(key));
                findings.error("keys-contradict", &section.span_of(key), message);
            }
        };
        let outlet = heights.outlet.as_ref().map(|typed| typed.value.get());
        let overflow = heights.overflow.as_ref().map(|typed| typed.value.get());
        if let Some(outlet) = outlet {
            order("outlet_height", floor, outlet, "a height not below the tank's floor (heights are above the ground)");
        }
        if let Some(overflow) = overflow {
            order("overflow_height", floor, overflow, "a height not below the tank's floor (heights are above the ground)");
            if let Some(outlet) = outlet {
                order("overflow_height", outlet, overflow, "a height not below the outlet's");
            }
            if let Some(tank) = tank {
                order("overflow_height", overflow, (floor + tank.get()) * ROUNDING, "a height not above the top of the tank");
            }
        }
        heights
    }

    fn floor(&self) -> f64 {
        self.floor.as_ref().map_or(0.0, |typed| typed.value.get())
    }

    fn share(&self, height: Option<&Typed<Length>>) -> Option<f64> {
        Some(((height?.value.get() - self.floor()) / self.tank?.get()).clamp(0.0, 1.0))
    }

    /// The share of an upright tank's height that lies below its outlet.
    fn below_outlet(&self) -> Option<f64> {
        self.share(self.outlet.as_ref())
    }

    /// The share of an upright tank's height that lies above its overflow.
    fn above_overflow(&self) -> Option<f64> {
        self.share(self.overflow.as_ref()).map(|share| 1.0 - share)
    }
}

/// `[space]`.
pub(super) fn space(section: &Section, findings: &mut Findings) -> Space {
    let mut side = |key| section.above_zero::<Length>(findings, key).map(|typed| typed.value);
    Space { length: side("length"), width: side("width"), height: side("height") }
}

/// Reports tanks that do not go into the stated space. Buried tanks lie elsewhere.
pub(super) fn fit(space: Space, stores: &[(&Section, Option<StoreEntry>)], units: UnitSystem, findings: &mut Findings) {
    let mut covered = 0.0;
    let mut last = None;
    for (section, entry) in stores {
        let Some(entry) = entry.as_ref().filter(|entry| entry.buried != Some(true)) else { continue };
        fits(space, section, entry, units, findings);
        let area = entry.store.shape.map(Shape::footprint).or(entry.store.footprint);
        covered += area.map_or(0.0, Area::get) * f64::from(entry.store.count);
        last = Some((section, entry));
    }
    if let (Some(length), Some(width), Some((section, entry))) = (space.length, space.width, last) {
        let ground = length.get() * width.get();
        let several = stores.len() > 1 || entry.store.count > 1;
        if several && covered > ground * ROUNDING {
            let message = format!(
                "the tanks together cover {}, larger than the stated space of {}",
                shown(Area::new(covered), units),
                shown(Area::new(ground), units)
            );
            findings.error("store-larger-than-space", section.span(), message);
        }
    }
}

fn fits(space: Space, section: &Section, entry: &StoreEntry, units: UnitSystem, findings: &mut Findings) {
    let mut fault = |key: &str, tank: String, room: String| {
        let message = format!("{}: found a tank {tank}, larger than the stated space {room}", section.path_of(key));
        findings.error("store-larger-than-space", &section.span_of(key), message);
    };
    let beyond = |side: Length, room: Length| side.get() > room.get() + 1e-9;
    if let (Some(height), Some(room)) = (entry.height, space.height) {
        let top = height + entry.floor_height.as_ref().map_or(Length::ZERO, |floor| floor.value);
        if beyond(top, room) {
            fault("height", format!("{} high with its stand", shown(top, units)), format!("{} high", shown(room, units)));
        }
    }
    let Some(shape) = entry.store.shape else { return };
    let key = if matches!(shape, Shape::Cylinder { .. }) { "diameter" } else { "length" };
    let (short, long) = shape.sides();
    let too_large = match (space.length, space.width) {
        (Some(length), Some(width)) => beyond(long, length.max(width)) || beyond(short, length.min(width)),
        // Of one known side the tank must be able to turn its shorter side to it.
        (Some(side), None) | (None, Some(side)) => beyond(short, side),
        (None, None) => false,
    };
    if too_large {
        let room = [space.length, space.width].into_iter().flatten().map(|side| shown(side, units)).collect::<Vec<_>>().join(" by ");
        fault(key, format!("of {} by {}", shown(long, units), shown(short, units)), format!("of {room}"));
    }
}
