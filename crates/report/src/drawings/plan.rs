//! The plan: everything seen from above.

use super::{DrawingMaker, MOST_NAMES, spot, spots};
use paper::drawing::{self, Dimension, Fill, Form, Label, METRIC, Scene, Shape, SizedDrawing, Stroke, US_CUSTOMARY};
use site::GroundPoint;
use site::footprint::{self, Footprint};
use site::ground;
use site::site_file::StoreEntry;

/// A plan that is being drawn.
#[derive(Default)]
struct Plan {
    scene: Scene,
    /// What the drawing shows, in words.
    shown: Vec<String>,
    not_drawn: Vec<String>,
}

impl Plan {
    fn shape(&mut self, form: Form, stroke: Stroke, fill: Fill) {
        self.scene.shapes.push(Shape { form, stroke, fill });
    }

    fn label(&mut self, at: GroundPoint, words: &str) {
        self.scene.labels.push(Label { at: spot(at), words: words.to_owned() });
    }

    fn distance(&mut self, from: GroundPoint, to: GroundPoint, words: String) {
        if from.distance(to) > 0.0 {
            self.scene.dimensions.push(Dimension { from: spot(from), to: spot(to), words });
        }
    }
}

fn halfway(from: GroundPoint, to: GroundPoint) -> GroundPoint {
    ground::middle(&[from, to])
}

impl DrawingMaker<'_> {
    /// The plan, where any place is given, and what is missing on it.
    pub(super) fn plan(&self) -> (Option<SizedDrawing>, Vec<String>) {
        let mut plan = Plan::default();
        let site = self.site;
        self.boundary(&mut plan);
        for building in &site.plan.buildings {
            plan.shape(Form::Outline(spots(&building.outline)), Stroke::Thin, Fill::Falling);
            // Beside the middle, where the name of its roof stands.
            let corner = building.outline.first().copied().into_iter().chain([ground::middle(&building.outline)]).collect::<Vec<_>>();
            plan.label(ground::middle(&corner), &building.name);
            plan.shown.push(building.name.clone());
        }
        self.roofs(&mut plan);
        self.parts(&mut plan);
        for entry in &site.stores {
            self.store(&mut plan, entry);
        }
        self.distances(&mut plan);
        for mark in &site.plan.marks {
            plan.shape(Form::Sign(spot(mark.place)), Stroke::Plain, Fill::None);
            plan.label(mark.place, &mark.name);
            plan.shown.push(mark.name.clone());
        }
        let more = plan.scene.labels.len().saturating_sub(MOST_NAMES);
        if more > 0 {
            plan.scene.labels.truncate(MOST_NAMES);
            plan.not_drawn.push(self.with("names_more", &[("count", &more.to_string())]));
        }
        plan.scene.bearing_of_top = site.plan.bearing_of_top;
        if site.plan.bearing_of_top.is_none() {
            plan.not_drawn.push(self.word("no_north"));
        }
        self.meanings(&mut plan);
        let scales = if self.metric() { METRIC } else { US_CUSTOMARY };
        let about = self.about("plan", &plan.shown);
        // A boundary, a tree or a neighbour alone is no plan of this work.
        let placed = site.roofs.iter().any(|entry| !entry.layout.outline.is_empty())
            || site.stores.iter().any(|entry| !entry.layout.places.is_empty());
        let drawing = placed.then(|| drawing::draw(&about, scales, self.font, |_| plan.scene.clone())).flatten();
        (drawing, plan.not_drawn)
    }

    fn boundary(&self, plan: &mut Plan) {
        let boundary = &self.site.plan.boundary;
        match boundary.as_slice() {
            [] | [_] => plan.not_drawn.push(self.word("no_boundary")),
            &[from, to] => {
                plan.shape(Form::Line(spots(boundary)), Stroke::Boundary, Fill::None);
                plan.label(halfway(from, to), &self.word("boundary"));
                plan.not_drawn.push(self.word("one_side_of_boundary"));
            }
            &[from, to, ..] => {
                plan.shape(Form::Outline(spots(boundary)), Stroke::Boundary, Fill::None);
                plan.label(halfway(from, to), &self.word("boundary"));
            }
        }
        if !boundary.is_empty() {
            plan.shown.push(self.word("boundary"));
        }
    }

    fn roofs(&self, plan: &mut Plan) {
        for entry in &self.site.roofs {
            let (layout, name) = (&entry.layout, &entry.roof.name);
            let missing = |key: &str| self.with(key, &[("name", name)]);
            if layout.outline.is_empty() {
                plan.not_drawn.push(missing("no_outline"));
            } else {
                plan.shape(Form::Outline(spots(&layout.outline)), Stroke::Plain, Fill::None);
                plan.label(ground::middle(&layout.outline), name);
                plan.shown.push(missing("shown_roof"));
                for (from, to) in ground::sides(&layout.outline).take(2) {
                    plan.label(halfway(from, to), &self.distance(from.distance(to)));
                }
            }
            if layout.gutter.is_empty() {
                plan.not_drawn.push(missing("no_gutter"));
            } else {
                plan.shape(Form::Line(spots(&layout.gutter)), Stroke::DashDot, Fill::None);
            }
            match layout.downpipe {
                None => plan.not_drawn.push(missing("no_downpipe")),
                Some(place) => {
                    plan.shape(Form::Sign(spot(place)), Stroke::Plain, Fill::None);
                    plan.label(place, &self.word("downpipe"));
                }
            }
        }
    }

    fn parts(&self, plan: &mut Plan) {
        let parts = &self.site.parts;
        match parts.screen_place {
            None => plan.not_drawn.push(self.word("no_screen")),
            Some(place) => {
                plan.shape(Form::Sign(spot(place)), Stroke::Plain, Fill::None);
                plan.label(place, &self.word("screen"));
            }
        }
        match (parts.first_flush_place, &parts.first_flush_diameter) {
            (Some(place), diameter) => {
                let form = diameter
                    .as_ref()
                    .map_or(Form::Sign(spot(place)), |typed| Form::Circle { middle: spot(place), radius: typed.value.get() / 2.0 });
                plan.shape(form, Stroke::Thin, Fill::None);
                plan.label(place, &self.word("first_flush"));
            }
            (None, _) if self.site.collection.first_flush.is_some() => plan.not_drawn.push(self.word("no_first_flush")),
            (None, _) => {}
        }
    }

    fn store(&self, plan: &mut Plan, entry: &StoreEntry) {
        let (layout, name) = (&entry.layout, &entry.store.name);
        let missing = |key: &str| self.with(key, &[("name", name)]);
        if layout.places.is_empty() {
            plan.not_drawn.push(missing("no_places"));
        }
        for footprint in Footprint::of_store(entry) {
            let form = match footprint {
                Footprint::Corners(corners) => Form::Outline(spots(&corners)),
                Footprint::Round { middle, radius } if radius > 0.0 => Form::Circle { middle: spot(middle), radius },
                Footprint::Round { middle, .. } => Form::Sign(spot(middle)),
            };
            plan.shape(form, Stroke::Heavy, Fill::Level);
        }
        if let Some(&last) = layout.places.last() {
            let several = layout.places.len() > 1;
            let words =
                if several { self.with("tanks", &[("name", name), ("count", &layout.places.len().to_string())]) } else { name.clone() };
            plan.label(last, &words);
            plan.shown.push(words);
        }
        match layout.overflow_path.last() {
            None => plan.not_drawn.push(missing("no_overflow_path")),
            Some(&end) => {
                plan.shape(Form::Arrow(spots(&layout.overflow_path)), Stroke::Dashed, Fill::None);
                plan.label(end, &self.word("outfall"));
                plan.shown.push(self.with("shown_overflow", &[("distance", &self.distance(ground::length(&layout.overflow_path)))]));
            }
        }
    }

    /// The two distances that desks ask for, each once: from the nearest tank to the boundary, from the nearest end of an overflow to a wall.
    fn distances(&self, plan: &mut Plan) {
        let nearest = [footprint::nearest_to_boundary(self.site), footprint::nearest_to_wall(self.site)];
        for nearest in nearest.into_iter().flatten() {
            plan.distance(nearest.from, nearest.to, self.distance(nearest.distance));
        }
    }

    /// The legend: only what stands on the plan.
    fn meanings(&self, plan: &mut Plan) {
        let sign = |shape: &Shape| matches!(shape.form, Form::Sign(_));
        let has = |stroke, fill| plan.scene.shapes.iter().any(|shape| !sign(shape) && shape.stroke == stroke && shape.fill == fill);
        let mut meanings = Vec::new();
        for (key, stroke, fill) in [
            ("legend_roof", Stroke::Plain, Fill::None),
            ("legend_building", Stroke::Thin, Fill::Falling),
            ("legend_store", Stroke::Heavy, Fill::Level),
            ("legend_gutter", Stroke::DashDot, Fill::None),
            ("legend_overflow", Stroke::Dashed, Fill::None),
            ("legend_boundary", Stroke::Boundary, Fill::None),
        ] {
            if has(stroke, fill) {
                meanings.push(self.meaning(key, stroke, fill));
            }
        }
        if plan.scene.shapes.iter().any(|shape| matches!(shape.form, Form::Sign(_))) {
            meanings.push(self.sign("legend_sign"));
        }
        if !plan.scene.dimensions.is_empty() {
            meanings.push(self.meaning("legend_distance", Stroke::Thin, Fill::None));
        }
        plan.scene.meanings = meanings;
    }
}
