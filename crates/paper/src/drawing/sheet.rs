//! A scene on its sheet: the drawing in its frame, below it scale bar and north arrow, the legend, and the key of numbers.

use super::hatch;
use super::labels::{Point, Rectangle, Room, Segment};
use super::scale::round;
use super::writer::{LINE, TYPE, Writer};
use super::{DrawingText, Form, MOST_HEIGHT_MM, Meaning, Scale, Scene, SizedDrawing, Spot, Stroke, WIDTH_MM};
use crate::chart::ChartFont;
use crate::chart::frame::spread;

/// Room around what is drawn, for words, mm.
const AROUND: f64 = 9.5;
/// The same below, where two lines of words go, mm.
const BELOW: f64 = 11.0;
/// The least room at the sides, mm.
const EDGE: f64 = 2.0;
/// Widest name beside its place, and the most lines of it.
const NAME: (f64, usize) = (34.0, 3);
/// How far from its place a name may stand, mm.
const REACH: f64 = 24.0;
/// Side of a number's square, mm.
const NUMBER: f64 = 4.4;
/// From the start of a height's line to its words, mm.
const LEVEL: f64 = 5.5;
/// How far the north arrow reaches down below the frame, mm.
const NORTH: f64 = 21.0;
const KEY_COLUMN: f64 = 82.0;
/// Three of them leave room for the north arrow, which reaches down beside the legend.
const LEGEND_COLUMN: f64 = 49.0;

/// The scene at the first of the scales at which it goes on the sheet; `None` where there is nothing to draw or no scale is
/// coarse enough. The scene is asked for at each scale, because room on paper may be a part of it.
pub fn draw(about: &DrawingText, scales: &[Scale], font: &ChartFont, scene: impl Fn(&Scale) -> Scene) -> Option<SizedDrawing> {
    scales.iter().find_map(|scale| Sheet::lay_out(about, scale, font, &scene(scale)))
}

/// From metres to millimetres on the sheet.
struct Place<'a> {
    scale: &'a Scale,
    left: f64,
    bottom: f64,
    least: Spot,
}

impl Place<'_> {
    fn at(&self, spot: Spot) -> Point {
        (self.left + self.scale.mm(spot.x - self.least.x), self.bottom - self.scale.mm(spot.y - self.least.y))
    }

    fn all(&self, spots: &[Spot]) -> Vec<Point> {
        spots.iter().map(|spot| self.at(*spot)).collect()
    }
}

fn finite(spot: &Spot) -> bool {
    spot.x.is_finite() && spot.y.is_finite()
}

impl Form {
    fn spots(&self) -> Vec<Spot> {
        match self {
            Form::Outline(spots) | Form::Line(spots) | Form::Arrow(spots) => spots.iter().copied().filter(finite).collect(),
            Form::Circle { middle, radius } => {
                let corners = [Spot::new(middle.x - radius, middle.y - radius), Spot::new(middle.x + radius, middle.y + radius)];
                corners.into_iter().filter(finite).collect()
            }
            Form::Sign(spot) => Some(*spot).filter(finite).into_iter().collect(),
        }
    }
}

/// A circle as an outline, for its hatch and for words that keep off it.
fn round_outline((x, y): Point, radius: f64) -> Vec<Point> {
    let turn = |at: u32| std::f64::consts::TAU * f64::from(at) / 48.0;
    (0..48).map(|at| (x + radius * libm::cos(turn(at)), y + radius * libm::sin(turn(at)))).collect()
}

fn stretches(points: &[Point], closed: bool) -> Vec<Segment> {
    let mut out: Vec<Segment> = points.windows(2).map(|pair| (pair[0], pair[1])).collect();
    if let (true, Some(first), Some(last)) = (closed && points.len() > 2, points.first(), points.last()) {
        out.push((*last, *first));
    }
    out
}

/// A name that stands on the sheet.
enum Set {
    Words { rectangle: Rectangle, lines: Vec<String>, leader: Option<Segment> },
    Number { rectangle: Rectangle, number: usize, leader: Option<Segment> },
}

/// A height: the line to its words, and the words with the start of their baseline.
struct HeightLine<'a> {
    points: Vec<Point>,
    at: Point,
    words: &'a str,
}

struct Sheet<'a> {
    place: Place<'a>,
    room: Room,
    set: Vec<Set>,
    key: Vec<(Option<usize>, &'a str)>,
    writer: Writer<'a>,
}

impl<'a> Sheet<'a> {
    fn lay_out(about: &DrawingText, scale: &'a Scale, font: &'a ChartFont, scene: &'a Scene) -> Option<SizedDrawing> {
        let spots: Vec<Spot> = scene.shapes.iter().flat_map(|shape| shape.form.spots()).collect();
        let first = *spots.first()?;
        let (mut least, mut most) = (first, first);
        for spot in &spots {
            least = Spot::new(least.x.min(spot.x), least.y.min(spot.y));
            most = Spot::new(most.x.max(spot.x), most.y.max(spot.y));
        }
        let high = scale.mm(most.y - least.y);
        // Heights stand to the right of what has them, and may stand out.
        let beyond = scene
            .levels
            .iter()
            .flat_map(|group| group.levels.iter().map(|(_, words)| scale.mm(group.from - least.x) + LEVEL + font.width(words, TYPE)));
        let wide = beyond.fold(scale.mm(most.x - least.x), f64::max);
        if wide > WIDTH_MM - 2.0 * EDGE || high > MOST_HEIGHT_MM {
            return None;
        }
        let frame = Rectangle { left: 0.3, top: 0.3, right: WIDTH_MM - 0.3, bottom: high + AROUND + BELOW };
        let place = Place { scale, left: (WIDTH_MM - wide) / 2.0, bottom: high + AROUND, least };
        let room = Room {
            frame: Rectangle { left: 1.0, top: 1.0, right: WIDTH_MM - 1.0, bottom: frame.bottom - 0.7 },
            taken: Vec::new(),
            strokes: Vec::new(),
        };
        let mut sheet = Sheet { place, room, set: Vec::new(), key: Vec::new(), writer: Writer::new(font) };
        sheet.take(scene);
        let heights = sheet.heights(scene)?;
        sheet.names(scene);
        sheet.shapes(scene);
        for height in &heights {
            sheet.writer.line(&height.points, false, Stroke::Thin);
            sheet.writer.text(height.at.0, height.at.1, TYPE, "start", height.words);
        }
        sheet.words();
        let writer = &mut sheet.writer;
        let corners = [(frame.left, frame.top), (frame.right, frame.top), (frame.right, frame.bottom), (frame.left, frame.bottom)];
        writer.line(&corners, true, Stroke::Thin);
        let below = frame.bottom + 3.0;
        let below = below + scale_and_north(writer, below, about, scale, scene.bearing_of_top);
        let arrow = if scene.bearing_of_top.is_some() { frame.bottom + NORTH } else { 0.0 };
        let below = f64::max(arrow, below + legend(writer, below, &scene.meanings));
        let below = below + key(writer, below, &sheet.key);
        (below <= MOST_HEIGHT_MM).then(|| sheet.writer.finish(about, &about.description, below, Some(scale.words.to_owned())))
    }

    /// Lines that words keep off.
    fn take(&mut self, scene: &Scene) {
        for shape in &scene.shapes {
            let strokes = match &shape.form {
                Form::Outline(spots) => stretches(&self.place.all(spots), true),
                Form::Line(spots) | Form::Arrow(spots) => stretches(&self.place.all(spots), false),
                Form::Circle { middle, radius } => stretches(&round_outline(self.place.at(*middle), self.place.scale.mm(*radius)), true),
                Form::Sign(spot) => {
                    let (x, y) = self.place.at(*spot);
                    self.room.taken.push(Rectangle { left: x - 1.6, top: y - 1.6, right: x + 1.6, bottom: y + 1.6 });
                    Vec::new()
                }
            };
            self.room.strokes.extend(strokes);
        }
        for dimension in &scene.dimensions {
            self.room.strokes.push((self.place.at(dimension.from), self.place.at(dimension.to)));
        }
    }

    /// Heights: a line from each, and its words, moved apart. `None` where there is no room for all.
    fn heights(&mut self, scene: &'a Scene) -> Option<Vec<HeightLine<'a>>> {
        let mut out = Vec::new();
        for group in &scene.levels {
            let at: Vec<Point> = group.levels.iter().map(|(height, _)| self.place.at(Spot::new(group.from, *height))).collect();
            let wanted: Vec<f64> = at.iter().map(|(_, y)| *y).collect();
            let (top, mut bottom) = (self.room.frame.top + LINE / 2.0, self.room.frame.bottom - LINE / 2.0);
            let above = self.place.at(Spot::new(group.from, group.above)).1 - LINE / 2.0 - 0.4;
            if above < bottom && above - top >= LINE * at.len().saturating_sub(1) as f64 {
                bottom = above;
            }
            let found = spread(&wanted, LINE, top, bottom);
            if (LINE * found.len().saturating_sub(1) as f64) > bottom - top {
                return None;
            }
            for (((x, y), to), (_, words)) in at.iter().zip(found).zip(&group.levels) {
                let start = x + LEVEL;
                let rectangle = Rectangle {
                    left: start,
                    top: to - LINE / 2.0,
                    right: start + self.writer.font.width(words, TYPE) + 0.5,
                    bottom: to + LINE / 2.0,
                };
                let points = vec![(*x, *y), (x + 1.2, *y), (x + LEVEL - 1.4, to), (x + LEVEL - 0.5, to)];
                self.room.strokes.extend(stretches(&points, false));
                self.room.taken.push(rectangle);
                out.push(HeightLine { points, at: (start, to + TYPE * 0.35), words });
            }
        }
        Some(out)
    }

    fn names(&mut self, scene: &'a Scene) {
        let distances = scene.dimensions.iter().map(|one| {
            let middle = Spot::new(f64::midpoint(one.from.x, one.to.x), f64::midpoint(one.from.y, one.to.y));
            (middle, one.words.as_str())
        });
        let names = scene.labels.iter().map(|label| (label.at, label.words.as_str()));
        for (spot, words) in distances.chain(names) {
            if !finite(&spot) || words.trim().is_empty() {
                continue;
            }
            let at = self.place.at(spot);
            let lines = self.writer.font.wrap(words, TYPE, NAME.0);
            let bare = |text: &str| text.split_whitespace().collect::<String>();
            let whole = bare(&lines.concat()) == bare(words);
            if whole && lines.len() <= NAME.1 {
                let wide = lines.iter().map(|line| self.writer.font.width(line, TYPE)).fold(0.0, f64::max) + 1.2;
                if let Some((rectangle, leader)) = self.room.place(at, (wide, LINE * lines.len() as f64 + 0.4), REACH, lines.len() > 1) {
                    self.set.push(Set::Words { rectangle, lines, leader });
                    continue;
                }
            }
            // Long names that would lie over lines are easier to read in the key.
            let number = self.key.iter().filter(|(number, _)| number.is_some()).count() + 1;
            let found = [REACH, 2.0 * WIDTH_MM].into_iter().find_map(|reach| self.room.place(at, (NUMBER, NUMBER), reach, false));
            self.key.push((found.map(|_| number), words));
            if let Some((rectangle, leader)) = found {
                self.set.push(Set::Number { rectangle, number, leader });
            }
        }
    }

    fn shapes(&mut self, scene: &Scene) {
        let free = &self.room.taken;
        for shape in &scene.shapes {
            let outline = match &shape.form {
                Form::Outline(spots) => self.place.all(spots),
                Form::Circle { middle, radius } => round_outline(self.place.at(*middle), self.place.scale.mm(*radius)),
                _ => Vec::new(),
            };
            self.writer.hatch(&hatch::strokes(shape.fill, &outline, free));
        }
        for shape in &scene.shapes {
            match &shape.form {
                Form::Outline(spots) => self.writer.line(&self.place.all(spots), true, shape.stroke),
                Form::Line(spots) => self.writer.line(&self.place.all(spots), false, shape.stroke),
                Form::Arrow(spots) => {
                    let points = self.place.all(spots);
                    self.writer.line(&points, false, shape.stroke);
                    if let [.., from, to] = points.as_slice() {
                        self.writer.solid(&arrow_head(*from, *to));
                    }
                }
                Form::Circle { middle, radius } => self.writer.circle(self.place.at(*middle), self.place.scale.mm(*radius), shape.stroke),
                Form::Sign(spot) => self.writer.sign(self.place.at(*spot)),
            }
        }
        for dimension in &scene.dimensions {
            let (from, to) = (self.place.at(dimension.from), self.place.at(dimension.to));
            self.writer.line(&[from, to], false, Stroke::Thin);
            distance_ends(&mut self.writer, [from, to]);
        }
    }

    fn words(&mut self) {
        for set in &self.set {
            let (Set::Words { leader, .. } | Set::Number { leader, .. }) = set;
            if let Some((from, to)) = leader {
                self.writer.line(&[*from, *to], false, Stroke::Thin);
            }
            match set {
                Set::Words { rectangle, lines, .. } => self.writer.lines(rectangle.left + 0.6, rectangle.top + 0.3, lines),
                Set::Number { rectangle, number, .. } => {
                    number_sign(&mut self.writer, rectangle.left, rectangle.top, *number);
                }
            }
        }
    }
}

/// The strokes across the two ends of a distance.
fn distance_ends(writer: &mut Writer, ends: [Point; 2]) {
    for (x, y) in ends {
        writer.line(&[(x - 0.9, y + 0.9), (x + 0.9, y - 0.9)], false, Stroke::Plain);
    }
}

fn number_sign(writer: &mut Writer, left: f64, top: f64, number: usize) {
    let middle = (left + NUMBER / 2.0, top + NUMBER / 2.0);
    writer.circle(middle, NUMBER / 2.0 - 0.2, Stroke::Thin);
    writer.text(middle.0, middle.1 + TYPE * 0.35, TYPE, "middle", &number.to_string());
}

fn arrow_head(from: Point, to: Point) -> [Point; 3] {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = (dx * dx + dy * dy).sqrt();
    let (dx, dy) = if long > 0.0 { (dx / long, dy / long) } else { (1.0, 0.0) };
    let (x, y) = (to.0 - 2.6 * dx, to.1 - 2.6 * dy);
    [to, (x - 0.9 * dy, y + 0.9 * dx), (x + 0.9 * dy, y - 0.9 * dx)]
}

/// Scale bar with its words, and the north arrow to the right; returns the height used.
fn scale_and_north(writer: &mut Writer, top: f64, about: &DrawingText, scale: &Scale, bearing: Option<f64>) -> f64 {
    let bar = scale.bar();
    let (whole, paper) = scale.bar_in_words();
    let words = about.scale.replace("{scale}", scale.words).replace("{bar}", &whole).replace("{paper}", &paper);
    let left = 2.0;
    let bar_top = top + 1.0;
    for field in 0..bar.fields {
        let from = left + bar.field_mm * f64::from(field);
        let corners = |upper: f64, lower: f64| [(from, upper), (from + bar.field_mm, upper), (from + bar.field_mm, lower), (from, lower)];
        writer.line(&corners(bar_top, bar_top + 2.0), true, Stroke::Thin);
        if field % 2 == 0 {
            writer.solid(&corners(bar_top, bar_top + 2.0));
        }
    }
    for field in 0..=bar.fields {
        let text = round(bar.field * f64::from(field)).to_string();
        let text = if field == bar.fields { format!("{text} {}", scale.unit.1) } else { text };
        let anchor = if field == bar.fields { "start" } else { "middle" };
        let x = left + bar.field_mm * f64::from(field);
        let x = if field == bar.fields { x - writer.font.width(&round(bar.field * f64::from(field)).to_string(), TYPE) / 2.0 } else { x };
        writer.text(x.max(left + 0.3), bar_top + 2.0 + 0.8 + TYPE, TYPE, anchor, &text);
    }
    let beside = left + bar.field_mm * f64::from(bar.fields) + 10.0;
    let lines = writer.font.wrap(&words, TYPE, WIDTH_MM - beside - 22.0);
    writer.lines(beside, top, &lines);
    let used = f64::max(9.0, LINE * lines.len() as f64 + 1.0);
    if let Some(bearing) = bearing.filter(|bearing| bearing.is_finite()) {
        // North lies as far to the left of the top as the top lies to the right of north.
        let turned = -bearing * std::f64::consts::PI / 180.0;
        let (x, y) = (libm::sin(turned), -libm::cos(turned));
        let middle = (WIDTH_MM - 11.0, top + 8.0);
        let at = |along: f64, across: f64| (middle.0 + along * x - across * y, middle.1 + along * y + across * x);
        writer.line(&[at(-6.0, 0.0), at(6.0, 0.0)], false, Stroke::Plain);
        writer.solid(&[at(6.0, 0.0), at(1.0, 1.5), at(2.2, 0.0), at(1.0, -1.5)]);
        let north = at(8.4, 0.0);
        writer.text(north.0, north.1 + 1.1, 3.2, "middle", &about.north);
    }
    used + 2.0
}

fn legend(writer: &mut Writer, top: f64, meanings: &[Meaning]) -> f64 {
    let mut y = top;
    for row in meanings.chunks(3) {
        let mut high: f64 = 1.0;
        for (at, meaning) in row.iter().enumerate() {
            let x = 2.0 + LEGEND_COLUMN * at as f64;
            let middle = y + LINE / 2.0;
            if meaning.sign {
                writer.sign((x + 5.0, middle));
            } else if meaning.fill == super::Fill::None {
                writer.line(&[(x, middle), (x + 10.0, middle)], false, meaning.stroke);
                if meaning.stroke == Stroke::Thin {
                    distance_ends(writer, [(x + 1.0, middle), (x + 9.0, middle)]);
                }
            } else {
                let corners = [(x, y), (x + 10.0, y), (x + 10.0, y + LINE - 0.4), (x, y + LINE - 0.4)];
                writer.hatch(&hatch::strokes(meaning.fill, &corners, &[]));
                writer.line(&corners, true, meaning.stroke);
            }
            let mut lines = writer.font.wrap(&meaning.words, TYPE, LEGEND_COLUMN - 15.0);
            lines.truncate(3);
            writer.lines(x + 12.0, y, &lines);
            high = high.max(lines.len() as f64);
        }
        y += LINE * high + 0.8;
    }
    y - top + if meanings.is_empty() { 0.0 } else { 1.0 }
}

fn key(writer: &mut Writer, top: f64, entries: &[(Option<usize>, &str)]) -> f64 {
    let rows = entries.len().div_ceil(2);
    for (at, (number, words)) in entries.iter().enumerate() {
        let x = 2.0 + KEY_COLUMN * (at / rows.max(1)) as f64;
        let y = top + (NUMBER + 0.4) * (at % rows.max(1)) as f64;
        if let Some(number) = number {
            number_sign(writer, x, y, *number);
        }
        let words = writer.font.fit(&words.split_whitespace().collect::<Vec<_>>().join(" "), TYPE, KEY_COLUMN - NUMBER - 4.0);
        writer.text(x + NUMBER + 1.6, y + NUMBER / 2.0 + TYPE * 0.35, TYPE, "start", &words);
    }
    (NUMBER + 0.4) * rows as f64 + 0.6
}
