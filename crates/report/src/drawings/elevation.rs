//! The elevation: heights and outer sizes to scale, in the order in which the water goes. The distances between the parts
//! are not to scale, and the drawing says so.

use super::DrawingMaker;
use paper::drawing::{self, Fill, Form, Label, Levels, METRIC_LARGE, Scale, Scene, Shape, SizedDrawing, Spot, Stroke, US_CUSTOMARY_LARGE};
use series::Length;
use site::ground;
use site::site_file::{StoreEntry, Typed};

/// More tanks than these of one kind are shown as one.
const MOST_ALIKE: u32 = 6;

/// From the top of one row to the ground of the row above it, mm: names and heights go between.
const BETWEEN_ROWS: f64 = 24.0;

/// An elevation that is being drawn; `x` is how far to the right it has come, m.
struct Row<'a> {
    scale: &'a Scale,
    scene: Scene,
    x: f64,
    /// Height of this row's ground on the sheet, m: a second row stands below the first.
    base: f64,
    /// Where the way of the water has come to.
    way: Vec<Spot>,
}

impl Row<'_> {
    fn gap(&mut self, mm: f64) {
        self.x += self.scale.metres(mm);
    }

    /// Width of a row, m.
    fn room(&self) -> f64 {
        self.scale.metres(drawing::WIDTH_MM - 6.0)
    }

    /// A shape whose heights are above this row's ground.
    fn shape(&mut self, form: Form, stroke: Stroke, fill: Fill) {
        let up = |spots: Vec<Spot>| spots.into_iter().map(|spot| Spot::new(spot.x, spot.y + self.base)).collect();
        let form = match form {
            Form::Outline(spots) => Form::Outline(up(spots)),
            Form::Line(spots) => Form::Line(up(spots)),
            Form::Arrow(spots) => Form::Arrow(up(spots)),
            Form::Circle { middle, radius } => Form::Circle { middle: Spot::new(middle.x, middle.y + self.base), radius },
            Form::Sign(spot) => Form::Sign(Spot::new(spot.x, spot.y + self.base)),
        };
        self.scene.shapes.push(Shape { form, stroke, fill });
    }

    fn rectangle(&mut self, (left, right): (f64, f64), (low, high): (f64, f64), stroke: Stroke, fill: Fill) {
        if high > low {
            let corners = vec![Spot::new(left, low), Spot::new(right, low), Spot::new(right, high), Spot::new(left, high)];
            self.shape(Form::Outline(corners), stroke, fill);
        }
    }

    fn label(&mut self, x: f64, y: f64, words: String) {
        self.scene.labels.push(Label { at: Spot::new(x, y + self.base), words });
    }
}

fn metres(typed: Option<&Typed<Length>>) -> Option<f64> {
    typed.map(|typed| typed.value.get())
}

/// Width and height of one tank seen from the side, m.
fn side_view(entry: &StoreEntry) -> Option<(f64, f64)> {
    match entry.store.shape? {
        site::Shape::Cylinder { diameter, height } => Some((diameter.get(), height.get())),
        site::Shape::Box { length, height, .. } => Some((length.get(), height.get())),
    }
}

/// How many tanks of a kind are drawn.
fn shown(entry: &StoreEntry) -> u32 {
    if entry.store.count <= MOST_ALIKE { entry.store.count.max(1) } else { 1 }
}

impl DrawingMaker<'_> {
    /// The elevation, where the outer sizes of a store are given, and what is missing on it.
    pub(super) fn elevation(&self) -> (Option<SizedDrawing>, Vec<String>) {
        let not_drawn = self.not_in_elevation();
        if self.site.stores.iter().all(|entry| side_view(entry).is_none()) {
            return (None, not_drawn);
        }
        let shown: Vec<String> = self.site.stores.iter().filter_map(|entry| self.store_in_words(entry)).collect();
        let about = self.about("elevation", &shown);
        let scales = if self.metric() { METRIC_LARGE } else { US_CUSTOMARY_LARGE };
        let all = drawing::draw(&about, scales, self.font, |scale| self.row(scale, usize::MAX));
        if all.is_some() {
            return (all, not_drawn);
        }
        // So many stores that no sheet takes them: as many as go on, and the others are named.
        let sized = || self.site.stores.iter().filter(|entry| side_view(entry).is_some());
        let fewer = (1..sized().count())
            .rev()
            .find_map(|most| Some((most, drawing::draw(&about, scales, self.font, |scale| self.row(scale, most))?)));
        let Some((most, drawing)) = fewer else { return (None, not_drawn) };
        let left_out = sized().skip(most).map(|entry| self.with("no_room_for_store", &[("name", &entry.store.name)]));
        (Some(drawing), not_drawn.into_iter().chain(left_out).collect())
    }

    fn not_in_elevation(&self) -> Vec<String> {
        let mut out = Vec::new();
        let parts = &self.site.parts;
        for entry in &self.site.roofs {
            if entry.layout.eaves_height.is_none() {
                out.push(self.with("no_eaves_height", &[("name", &entry.roof.name)]));
            }
        }
        if parts.screen_height.is_none() {
            out.push(self.word("no_screen_height"));
        }
        let chamber =
            parts.first_flush_bottom_height.is_some() && parts.first_flush_top_height.is_some() && parts.first_flush_diameter.is_some();
        if self.site.collection.first_flush.is_some() && !chamber {
            out.push(self.word("no_first_flush_heights"));
        }
        for entry in &self.site.stores {
            let name = &entry.store.name;
            let keys = [
                ("no_sizes", side_view(entry).is_none()),
                ("no_outlet_height", entry.outlet_height.is_none()),
                ("no_overflow_height", entry.overflow_height.is_none()),
                ("no_outfall_height", entry.overflow_height.is_some() && entry.layout.outfall_height.is_none()),
                ("no_link", entry.store.count > 1),
            ];
            out.extend(keys.into_iter().filter(|(_, missing)| *missing).map(|(key, _)| self.with(key, &[("name", name)])));
        }
        out
    }

    /// A store's heights in a sentence.
    fn store_in_words(&self, entry: &StoreEntry) -> Option<String> {
        side_view(entry)?;
        let heights: Vec<String> = self.levels(entry).into_iter().map(|(_, words)| words).collect();
        Some(format!("{}: {}", self.store_name(entry), heights.join(", ")))
    }

    fn store_name(&self, entry: &StoreEntry) -> String {
        let (name, count) = (&entry.store.name, entry.store.count);
        if count == 1 { name.clone() } else { self.with("tanks", &[("name", name), ("count", &count.to_string())]) }
    }

    /// The heights of a store, the highest first.
    fn levels(&self, entry: &StoreEntry) -> Vec<(f64, String)> {
        let mut out = Vec::new();
        if let Some((_, height)) = side_view(entry) {
            let top = metres(entry.floor_height.as_ref()).unwrap_or(0.0) + height;
            out.push((top, self.with("level_top", &[("height", &self.distance(top))])));
        }
        for (key, typed) in
            [("level_overflow", &entry.overflow_height), ("level_outlet", &entry.outlet_height), ("level_floor", &entry.floor_height)]
        {
            if let Some(typed) = typed.as_ref().filter(|typed| key != "level_floor" || typed.value.get() != 0.0) {
                out.push((typed.value.get(), self.with(key, &[("height", &self.distance(typed.value.get()))])));
            }
        }
        out
    }

    fn row(&self, scale: &Scale, most_stores: usize) -> Scene {
        let mut row = Row { scale, scene: Scene::default(), x: 0.0, base: 0.0, way: Vec::new() };
        row.gap(3.0);
        self.roof_edge(&mut row);
        self.before_the_store(&mut row);
        let stores = || self.site.stores.iter().filter(|entry| side_view(entry).is_some()).take(most_stores);
        let tops = stores().flat_map(|entry| self.levels(entry)).map(|(height, _)| height);
        let pitch = tops.fold(0.0, f64::max) + scale.metres(BETWEEN_ROWS);
        for (at, entry) in stores().enumerate() {
            let wide = side_view(entry).map_or(0.0, |(wide, _)| wide) * f64::from(shown(entry)) + scale.metres(self.beside(entry));
            if at > 0 && row.x + wide > row.room() {
                self.ground(&mut row);
                row.base -= pitch;
                row.x = scale.metres(6.0);
            }
            self.tanks(&mut row, entry, at == 0);
        }
        self.ground(&mut row);
        self.row_meanings(&mut row);
        row.scene
    }

    /// The ground below a row.
    fn ground(&self, row: &mut Row) {
        row.shape(Form::Line(vec![Spot::new(0.0, 0.0), Spot::new(row.x, 0.0)]), Stroke::Heavy, Fill::None);
        row.label(row.scale.metres(6.0), -row.scale.metres(2.5), self.word("ground"));
    }

    /// Room for a store's heights and for what stands between it and the next, mm.
    fn beside(&self, entry: &StoreEntry) -> f64 {
        let words = self.levels(entry);
        words.iter().map(|(_, words)| self.font.width(words, drawing::TYPE_MM)).fold(0.0, f64::max)
            + 14.0
            + 2.0 * f64::from(shown(entry) - 1)
    }

    /// Edges of the roofs, each a short line with its gutter.
    fn roof_edge(&self, row: &mut Row) {
        for entry in &self.site.roofs {
            let Some(typed) = &entry.layout.eaves_height else { continue };
            let (left, right, height) = (row.x, row.x + row.scale.metres(12.0), typed.value.get());
            row.shape(Form::Line(vec![Spot::new(left, height), Spot::new(right, height)]), Stroke::DashDot, Fill::None);
            let words = self.with("roof_edge", &[("name", &entry.roof.name), ("height", &self.distance(height))]);
            row.label(f64::midpoint(left, right), height, words);
            row.way = vec![Spot::new(right, height)];
            row.x = right;
            row.gap(6.0);
        }
    }

    /// Screen and first-flush chamber.
    fn before_the_store(&self, row: &mut Row) {
        let parts = &self.site.parts;
        if let Some(typed) = &parts.screen_height {
            let height = typed.value.get();
            row.shape(Form::Sign(Spot::new(row.x, height)), Stroke::Plain, Fill::None);
            row.label(row.x, height, self.with("screen_at", &[("height", &self.distance(height))]));
            if let Some(last) = row.way.last().copied() {
                row.way.push(Spot::new(row.x, last.y));
            }
            row.way.push(Spot::new(row.x, height));
            row.gap(9.0);
        }
        let heights = (&parts.first_flush_bottom_height, &parts.first_flush_top_height, &parts.first_flush_diameter);
        if let (Some(bottom), Some(top), Some(diameter)) = heights {
            let (left, right) = (row.x, row.x + diameter.value.get());
            row.rectangle((left, right), (bottom.value.get(), top.value.get()), Stroke::Plain, Fill::None);
            let middle = f64::midpoint(left, right);
            row.label(
                middle,
                bottom.value.get(),
                self.with(
                    "first_flush_between",
                    &[("bottom", &self.distance(bottom.value.get())), ("top", &self.distance(top.value.get()))],
                ),
            );
            if let Some(last) = row.way.last().copied() {
                row.way.push(Spot::new(middle, last.y));
                row.shape(Form::Line(vec![Spot::new(middle, last.y), Spot::new(middle, top.value.get())]), Stroke::Dotted, Fill::None);
            }
            row.x = right;
            row.gap(9.0);
        }
    }

    fn tanks(&self, row: &mut Row, entry: &StoreEntry, first: bool) {
        let Some((wide, high)) = side_view(entry) else { return };
        let floor = metres(entry.floor_height.as_ref()).unwrap_or(0.0);
        let top = floor + high;
        let (outlet, overflow) = (metres(entry.outlet_height.as_ref()), metres(entry.overflow_height.as_ref()));
        let start = row.x;
        for at in 0..shown(entry) {
            if at > 0 {
                row.gap(2.0);
            }
            let (left, right) = (row.x, row.x + wide);
            if floor > 0.0 {
                row.rectangle((left, right), (0.0, floor), Stroke::Thin, Fill::Rising);
            }
            if let Some(outlet) = outlet {
                row.rectangle((left, right), (floor, outlet), Stroke::Thin, Fill::Crossed);
                if let Some(overflow) = overflow {
                    row.rectangle((left, right), (outlet, overflow), Stroke::Thin, Fill::Level);
                }
            }
            row.rectangle((left, right), (floor, top), Stroke::Heavy, Fill::None);
            row.x = right;
        }
        let end = row.x;
        if let (true, Some(last)) = (first, row.way.last().copied()) {
            let inlet = start + wide / 2.0;
            if last.y > top {
                row.way.push(Spot::new(inlet, last.y));
                row.way.push(Spot::new(inlet, top));
            }
            let way = std::mem::take(&mut row.way);
            row.shape(Form::Line(way), Stroke::Dotted, Fill::None);
        }
        row.label(f64::midpoint(start, end), top, self.store_name(entry));
        if let Some(overflow) = overflow {
            let side = end + row.scale.metres(2.0);
            match metres(entry.layout.outfall_height.as_ref()) {
                Some(outfall) if outfall < overflow => {
                    let pipe = vec![Spot::new(end, overflow), Spot::new(side, overflow), Spot::new(side, outfall)];
                    row.shape(Form::Arrow(pipe), Stroke::Dashed, Fill::None);
                    let height = self.distance(outfall);
                    let path = &entry.layout.overflow_path;
                    let words = if path.is_empty() {
                        self.with("outfall_at", &[("height", &height)])
                    } else {
                        self.with("outfall_at_after", &[("height", &height), ("distance", &self.distance(ground::length(path)))])
                    };
                    row.label(side, outfall, words);
                }
                _ => row.shape(Form::Line(vec![Spot::new(end, overflow), Spot::new(side, overflow)]), Stroke::Dashed, Fill::None),
            }
        }
        let levels = self.levels(entry);
        let after = self.beside(entry) - 2.0 * f64::from(shown(entry) - 1) - 3.0;
        row.gap(3.0);
        let levels = levels.into_iter().map(|(height, words)| (height + row.base, words)).collect();
        row.scene.levels.push(Levels { from: row.x, above: row.base, levels });
        row.gap(after);
    }

    fn row_meanings(&self, row: &mut Row) {
        let has = |stroke: Stroke, fill: Fill| row.scene.shapes.iter().any(|shape| shape.stroke == stroke && shape.fill == fill);
        let mut meanings = Vec::new();
        for (key, stroke, fill) in [
            ("legend_usable", Stroke::Thin, Fill::Level),
            ("legend_dead", Stroke::Thin, Fill::Crossed),
            ("legend_stand", Stroke::Thin, Fill::Rising),
            ("legend_gutter_edge", Stroke::DashDot, Fill::None),
            ("legend_way", Stroke::Dotted, Fill::None),
            ("legend_overflow", Stroke::Dashed, Fill::None),
        ] {
            if has(stroke, fill) {
                meanings.push(self.meaning(key, stroke, fill));
            }
        }
        if row.scene.shapes.iter().any(|shape| matches!(shape.form, Form::Sign(_))) {
            meanings.push(self.sign("legend_screen"));
        }
        row.scene.meanings = meanings;
    }
}
