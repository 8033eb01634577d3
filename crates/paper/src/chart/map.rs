//! A map of places about a centre: how far and in which direction each lies. The caller gives kilometres or miles east and
//! north of the centre, worked from distances and azimuths (azimuthal equidistant projection: from the centre every distance
//! and every direction is true); nothing here knows the earth.
//!
//! Rings stand at round distances, the scale bar is as long as one step of them, north is up at the centre. Places are told
//! apart by shape and weight. A name stands beside its place where there is room, otherwise at the edge with a stroke that
//! leads to it; a name that finds no room at all is left out and the drawing says so.

use serde::Serialize;

use super::frame::{Sample, empty, key, ring_mark, square_mark, triangle_mark};
use super::place::{Rectangle, crosses, meet};
use super::svg::{Anchor, Fill, LABEL, SMALL, Stroke, Svg, number, polyline, text_box};
use super::ticks::{self, Marks, Tick};
use super::{ChartDrawing, ChartFont, ChartText, Label, WIDTH};

/// A map.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PlaceMap {
    /// What the map says about itself.
    pub about: ChartText,
    /// The places, in the order in which they are named while there is room.
    pub places: Vec<MapPlace>,
    /// The map reaches at least so far from its centre, in its unit: no ring of a few paces about a place that lies at the centre.
    pub reaches: f64,
    /// Its words.
    pub words: MapWords,
    /// How numbers are written.
    pub marks: Marks,
}

/// A place.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct MapPlace {
    /// Distance east of the centre, below zero to the west, in the map's unit.
    pub east: f64,
    /// Distance north of the centre, below zero to the south, in the map's unit.
    pub north: f64,
    /// Its name.
    pub name: String,
    /// A second line under the name.
    pub note: Label,
    /// Whether it is the one that leads.
    pub leads: bool,
}

/// The words of a map.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct MapWords {
    /// What the centre is, for the key.
    pub centre: String,
    /// What the leading place is, for the key.
    pub leading: String,
    /// What the others are, for the key.
    pub other: String,
    /// Unit of the distances (`km`).
    pub unit: String,
    /// The letter over the arrow.
    pub north: String,
    /// Printed when a name has no room.
    pub unnamed: String,
}

/// Radius of the map in drawing units.
const RADIUS: f64 = 150.0;
/// Widest name.
const NAME: f64 = 200.0;
/// Height of a name with its second line.
const NAME_HEIGHT: f64 = 27.0;

impl PlaceMap {
    /// Draws the map.
    pub fn draw(&self, font: &ChartFont) -> ChartDrawing {
        let places: Vec<&MapPlace> = self.places.iter().filter(|place| place.east.is_finite() && place.north.is_finite()).collect();
        let reaches = if self.reaches.is_finite() { self.reaches } else { 0.0 };
        let farthest = places.iter().map(|place| libm::hypot(place.east, place.north)).fold(reaches, f64::max);
        let extent = if farthest > 0.0 { farthest * 1.02 } else { 1.0 };
        let rings: Vec<Tick> = ticks::linear(0.0, extent, 5, false, self.marks).into_iter().filter(|tick| tick.value > 0.0).collect();
        if places.is_empty() || rings.is_empty() {
            return empty(&self.about, font);
        }
        let mut svg = Svg::new(&self.about.id, font);
        let top = key(&mut svg, 2.0, &self.key(&places)) + 6.0;
        let (cx, cy) = (WIDTH / 2.0, top + RADIUS + 8.0);
        let bottom = cy + RADIUS + 14.0;
        let at = |place: &MapPlace| (cx + place.east / extent * RADIUS, cy - place.north / extent * RADIUS);

        let around = |(x, y): (f64, f64)| (x - 8.0, y - 8.0, x + 8.0, y + 8.0);
        let mut shapes: Vec<Rectangle> = places.iter().map(|place| around(at(place))).collect();
        shapes.push(around((cx, cy)));
        for ring in &rings {
            self.ring(&mut svg, (cx, cy), ring.value / extent * RADIUS, &ring.label, &shapes);
        }
        shapes.push(self.scale_bar(&mut svg, (4.0, bottom), &rings[0], extent));
        shapes.push(self.north(&mut svg, (16.0, top + 8.0)));

        square_mark(&mut svg, cx, cy);
        // The leading one is drawn last, over the others.
        let mut drawn = places.clone();
        drawn.sort_by_key(|place| place.leads);
        for place in drawn {
            let (x, y) = at(place);
            if place.leads {
                triangle_mark(&mut svg, x, y);
            } else {
                ring_mark(&mut svg, x, y);
            }
        }
        let mut unnamed = false;
        for place in &places {
            let radii = rings.iter().map(|ring| ring.value / extent * RADIUS).collect();
            let room = Room { top, bottom, shapes: &shapes, centre: (cx, cy), radii };
            unnamed |= !name(&mut svg, &room, at(place), place);
        }
        let mut height = bottom + 6.0;
        if unnamed && !self.words.unnamed.is_empty() {
            height += 16.0;
            svg.text(2.0, height - 4.0, SMALL, Anchor::Start, &self.words.unnamed);
        }
        svg.finish(&self.about, height)
    }

    fn key(&self, places: &[&MapPlace]) -> Vec<(Sample, &str)> {
        let entries = [
            (Sample::Square, self.words.centre.as_str(), true),
            (Sample::Triangle, &self.words.leading, places.iter().any(|place| place.leads)),
            (Sample::Circle, &self.words.other, places.iter().any(|place| !place.leads)),
        ];
        entries.into_iter().filter(|(_, words, there)| *there && !words.is_empty()).map(|(sample, words, _)| (sample, words)).collect()
    }

    fn distance(&self, number: &str) -> String {
        if self.words.unit.is_empty() { number.to_owned() } else { format!("{number}\u{a0}{}", self.words.unit) }
    }

    /// A ring, open where its distance stands: as far south as no place is in the way.
    fn ring(&self, svg: &mut Svg, (cx, cy): (f64, f64), radius: f64, label: &str, shapes: &[Rectangle]) {
        let words = self.distance(label);
        let wide = svg.width(&words, SMALL);
        let on_ring = |degrees: f64| {
            let angle = degrees.to_radians();
            (cx + radius * libm::sin(angle), cy - radius * libm::cos(angle))
        };
        let free = |degrees: &f64| {
            let (x, y) = on_ring(*degrees);
            let text = text_box(x - wide / 2.0 - 4.0, x + wide / 2.0 + 4.0, y + 4.0, SMALL);
            svg.is_free(&text) && !shapes.iter().any(|shape| meet(shape, &text))
        };
        let angles = [180.0, 165.0, 195.0, 150.0, 210.0, 135.0, 225.0, 0.0, 20.0, 340.0, 45.0, 315.0];
        let stroke = Stroke::faint(0.9);
        // A small ring has no room for its own distance.
        let Some(degrees) = angles.into_iter().filter(|_| wide < radius * 1.4).find(free) else {
            svg.ring(cx, cy, radius, &stroke);
            return;
        };
        let (x, y) = on_ring(degrees);
        // Half the angle that the words take of the ring, as seen along it.
        let lying = libm::fabs(libm::cos(degrees.to_radians()));
        let half = ((wide / 2.0 + 3.0) * lying + 8.0 * (1.0 - lying)) / radius;
        let (from, to) = (on_ring(degrees + half.to_degrees()), on_ring(degrees - half.to_degrees()));
        let arc = format!("M{} {}A{r} {r} 0 1 1 {} {}", number(from.0), number(from.1), number(to.0), number(to.1), r = number(radius));
        svg.path(&arc, Fill::None, Some(&stroke));
        svg.text(x, y + 4.0, SMALL, Anchor::Middle, &words);
    }

    /// The scale bar, as long as the first ring is wide; returns the room it takes.
    fn scale_bar(&self, svg: &mut Svg, (x, y): (f64, f64), ring: &Tick, extent: f64) -> Rectangle {
        let long = ring.value / extent * RADIUS;
        let (left, bar) = (x + 4.0, y - 5.0);
        svg.rect(left, bar, long / 2.0, 5.0, Fill::Ink(1.0), Some(&Stroke::solid(1.0)));
        svg.rect(left + long / 2.0, bar, long / 2.0, 5.0, Fill::None, Some(&Stroke::solid(1.0)));
        svg.text(left, bar - 5.0, SMALL, Anchor::Middle, "0");
        let (_, right) = svg.text(left + long, bar - 5.0, SMALL, Anchor::Middle, &self.distance(&ring.label));
        (x, y - 22.0, right.max(left + long) + 4.0, y + 2.0)
    }

    /// The arrow to the north; returns the room it takes.
    fn north(&self, svg: &mut Svg, (x, y): (f64, f64)) -> Rectangle {
        svg.text(x, y + 8.0, LABEL, Anchor::Middle, &self.words.north);
        svg.line((x, y + 22.0), (x, y + 46.0), &Stroke::solid(1.4));
        let head = [(x, y + 12.0), (x + 5.0, y + 25.0), (x, y + 22.0), (x - 5.0, y + 25.0)];
        svg.path(&format!("{}Z", polyline(&head)), Fill::Ink(1.0), None);
        (x - 12.0, y - 4.0, x + 12.0, y + 50.0)
    }
}

/// Where names may stand.
struct Room<'a> {
    top: f64,
    bottom: f64,
    shapes: &'a [Rectangle],
    centre: (f64, f64),
    /// Of the rings.
    radii: Vec<f64>,
}

impl Room<'_> {
    fn takes(&self, svg: &Svg, rectangle: &Rectangle) -> bool {
        let inside = rectangle.0 >= 2.0 && rectangle.2 <= WIDTH - 2.0 && rectangle.1 >= self.top && rectangle.3 <= self.bottom;
        inside && svg.is_free(rectangle) && !self.shapes.iter().any(|shape| meet(shape, rectangle))
    }

    /// Whether a ring runs through a rectangle.
    fn ringed(&self, &(left, top, right, bottom): &Rectangle) -> bool {
        let (x, y) = self.centre;
        let nearest = libm::hypot(x.clamp(left, right) - x, y.clamp(top, bottom) - y);
        let farthest = libm::hypot((left - x).abs().max((right - x).abs()), (top - y).abs().max((bottom - y).abs()));
        self.radii.iter().any(|radius| nearest <= *radius && *radius <= farthest)
    }
}

/// Writes the name of a place, beside it or at the edge; whether there was room.
fn name(svg: &mut Svg, room: &Room, (x, y): (f64, f64), place: &MapPlace) -> bool {
    let words = svg.fit(&place.name, LABEL, NAME);
    let wide = svg.width(&words, LABEL).max(svg.width(&place.note.words, SMALL).min(NAME));
    if words.is_empty() && place.note.is_empty() {
        return true;
    }
    let sides = [Anchor::Start, Anchor::End, Anchor::Middle];
    let lefts = |anchor: Anchor, off: f64| match anchor {
        Anchor::Start => x + off,
        Anchor::End => x - off - wide,
        Anchor::Middle => x - wide / 2.0,
    };
    let beside = [10.0, 18.0].into_iter().flat_map(|off| {
        sides.into_iter().flat_map(move |anchor| {
            // Level with the place, above it, below it.
            let tops = if anchor == Anchor::Middle {
                vec![y - off - NAME_HEIGHT, y + off]
            } else {
                vec![y - NAME_HEIGHT / 2.0, y - NAME_HEIGHT + 2.0, y - 2.0]
            };
            tops.into_iter().map(move |top| (anchor, off, top))
        })
    });
    let mut ringed = None;
    for (anchor, off, top) in beside {
        let left = lefts(anchor, off);
        let rectangle = (left, top, left + wide, top + NAME_HEIGHT);
        if room.takes(svg, &rectangle) {
            if !room.ringed(&rectangle) {
                write(svg, &rectangle, anchor, &words, place);
                return true;
            }
            ringed = ringed.or(Some((rectangle, anchor)));
        }
    }
    // Where every free place has a ring through it, the first will do: rings are faint.
    if let Some((rectangle, anchor)) = ringed {
        write(svg, &rectangle, anchor, &words, place);
        return true;
    }
    // At the edge, on the nearer side first, as near in height as there is room.
    let edges = if x >= WIDTH / 2.0 { [Anchor::End, Anchor::Start] } else { [Anchor::Start, Anchor::End] };
    let steps = ((room.bottom - room.top) / 7.0) as i32;
    for strict in [true, false] {
        for step in 0..steps {
            for (edge, sign) in edges.into_iter().flat_map(|edge| [(edge, -1.0), (edge, 1.0)]) {
                let top = y - NAME_HEIGHT / 2.0 + sign * 7.0 * f64::from(step);
                let left = if edge == Anchor::Start { 4.0 } else { WIDTH - 4.0 - wide };
                let rectangle = (left, top, left + wide, top + NAME_HEIGHT);
                let inner = if edge == Anchor::Start { left + wide + 3.0 } else { left - 3.0 };
                let stroke = ((inner, top + NAME_HEIGHT / 2.0), (x, y));
                let crossed = svg.texts().iter().any(|text| crosses(text, &stroke));
                if room.takes(svg, &rectangle) && !(strict && crossed) {
                    svg.line(stroke.0, stroke.1, &Stroke { width: 0.8, dash: "", opacity: 0.6 });
                    write(svg, &rectangle, edge, &words, place);
                    return true;
                }
            }
        }
    }
    false
}

fn write(svg: &mut Svg, &(left, top, right, _): &Rectangle, anchor: Anchor, words: &str, place: &MapPlace) {
    let x = match anchor {
        Anchor::Start => left,
        Anchor::End => right,
        Anchor::Middle => f64::midpoint(left, right),
    };
    svg.text(x, top + 10.0, LABEL, anchor, words);
    svg.label_within((x, top + 24.0), SMALL, anchor, &place.note, NAME);
}
