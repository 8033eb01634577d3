//! Charts of the great rains: depth by duration and return period, and how the fit lies on the annual maxima.

use super::ChartMaker;
use assess::{LONGEST_STORM, RETURN_PERIODS};
use paper::ChartDrawing;
use paper::chart::{Axis, Curve, Depth, DepthDuration, DurationLine, Label, Line, PlottedPoint};
use series::Unit;

impl ChartMaker<'_> {
    /// Depth by duration, a line a return period, with the annual maxima behind. Return periods that the record does not carry have no line;
    /// a band is drawn where a fact has one.
    pub(super) fn storms(&self) -> ChartDrawing {
        let id = |days: u32, years: u32| format!("storm.depth/days={days},years={years}");
        let line = |years: u32| {
            let depth = |days: u32| Some(Depth { duration: f64::from(days), depth: self.number(&id(days, years))? });
            let band = |days: u32| {
                let fact = self.assessment.facts.get(&id(days, years))?;
                let band = fact.band.as_ref()?;
                let shown = |value: f64| self.style.shown(value, fact.unit).0;
                Some((f64::from(days), shown(band.low), shown(band.high)))
            };
            DurationLine {
                label: self.words.with("chart", "storms_line", &[("years", &years.to_string())]),
                depths: (1..=LONGEST_STORM).filter_map(depth).collect(),
                band: (1..=LONGEST_STORM).filter_map(band).collect(),
            }
        };
        let lines: Vec<DurationLine> = RETURN_PERIODS.into_iter().map(line).filter(|line| !line.depths.is_empty()).collect();
        let cases = self.assessment.storms.by_length.iter().flat_map(|(maxima, _)| {
            let duration = f64::from(maxima.window);
            maxima.depths().into_iter().map(move |depth| (duration, depth))
        });
        let mut about = self.about("storms", "storms", &[], &[]);
        about.caption = self.caption("storms_caption", &[]);
        DepthDuration {
            about,
            x_axis: Axis::new(self.word("storms_x")),
            y_axis: self.axis("storms_y", Unit::Millimetre),
            lines,
            band_label: self.word("storms_band"),
            cases: cases.map(|(duration, depth)| Depth { duration, depth: self.style.shown(depth, Unit::Millimetre).0 }).collect(),
            cases_label: self.word("storms_points"),
        }
        .draw(self.font)
    }

    pub(super) fn storm_fit(&self) -> ChartDrawing {
        let line = |days: u32| {
            let points = RETURN_PERIODS.iter().map(|years| {
                let depth = self.number(&format!("storm.depth/days={days},years={years}"));
                (f64::from(*years), depth.unwrap_or(f64::NAN))
            });
            let label = if days == 1 {
                self.word("storm_fit_line_one")
            } else {
                self.words.with("chart", "storm_fit_line", &[("days", &days.to_string())])
            };
            Line { label, points: points.collect() }
        };
        let maxima = self.assessment.storms.by_length.first().map(|(maxima, _)| maxima.depths()).unwrap_or_default();
        let points = stats::plotting_positions(&maxima).into_iter().map(|(years, depth)| PlottedPoint {
            x: years,
            y: self.style.shown(depth, Unit::Millimetre).0,
            label: Label::default(),
        });
        Curve {
            about: self.about("storm_fit", "storm_fit", &[], &[]),
            x_axis: Axis::new(self.word("storm_fit_x")),
            y_axis: self.axis("storm_fit_y", Unit::Millimetre),
            x_logarithmic: true,
            y_from_zero: true,
            lines: (1..=LONGEST_STORM).map(line).collect(),
            band: None,
            points: points.collect(),
            points_label: self.word("storm_fit_points"),
            references: Vec::new(),
        }
        .draw(self.font)
    }
}
