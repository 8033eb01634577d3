//! The charts of the report, drawn from its facts by `paper`. Words come from the wording tables, numbers from the facts.

use crate::number_text::NumberStyle;
use crate::words::Words;
use assess::{Assessment, LONGEST_STORM, LOSSES, RETURN_PERIODS};
use paper::chart::{
    Amounts, AmountsPlace, Axis, Band, Bar, Bars, Curve, Exceedance, Level, Line, Part, PlottedPoint, Reference, ReferenceAxis, Shares,
    Trace,
};
use paper::{ChartDrawing, ChartText};
use series::{Day, Unit};
use std::collections::BTreeMap;

/// What charts are drawn from.
pub(crate) struct ChartMaker<'a> {
    pub(crate) assessment: &'a Assessment,
    pub(crate) words: &'a Words,
    pub(crate) style: &'a NumberStyle,
}

impl ChartMaker<'_> {
    /// Every chart by its id.
    pub(crate) fn all(&self) -> BTreeMap<String, ChartDrawing> {
        let charts = [self.months(), self.supply(), self.losses(), self.spells(), self.storage_curve(), self.replay(), self.storms()];
        charts.into_iter().map(|chart| (chart.id.clone(), chart)).collect()
    }

    fn word(&self, key: &str) -> String {
        self.words.get("chart", key)
    }

    fn about(&self, id: &str, stem: &str, values: &[(&str, &str)]) -> ChartText {
        ChartText {
            id: id.to_owned(),
            title: self.word(&format!("{stem}_title")),
            description: self.words.with("chart", &format!("{stem}_description"), values),
            caption: Vec::new(),
            no_data: self.words.get("withheld", "nothing_accepted"),
        }
    }

    fn axis(&self, key: &str, unit: Unit) -> Axis {
        Axis::new(self.words.with("chart", key, &[("unit", &self.style.unit_name(unit))]))
    }

    /// A fact's number in the unit of the page.
    fn number(&self, id: &str) -> Option<f64> {
        let fact = self.assessment.facts.get(id)?;
        Some(self.style.shown(fact.as_number()?, fact.unit).0)
    }

    fn label(&self, id: &str) -> String {
        self.assessment.facts.get(id).and_then(|fact| self.style.printed(fact)).map(|printed| printed.digits).unwrap_or_default()
    }

    fn month_bars(&self, value: &str, low: &str, high: &str, marker: &str) -> Vec<Bar> {
        let bar = |month: u32| {
            let id = |method: &str| format!("{method}/month={month}");
            Bar {
                label: self.words.get("short_month", &month.to_string()),
                value: self.number(&id(value)),
                value_label: self.label(&id(value)),
                range: self.number(&id(low)).zip(self.number(&id(high))),
                marker: self.number(&id(marker)),
            }
        };
        (1..=12).map(bar).collect()
    }

    fn months(&self) -> ChartDrawing {
        let normal = |month: &u32| self.number(&format!("rain.normal/month={month}"));
        let by = |better: fn(f64, f64) -> bool| {
            let months = (1..=12_u32).filter(|month| normal(month).is_some());
            let best =
                months.reduce(|best, next| if better(normal(&next).unwrap_or(0.0), normal(&best).unwrap_or(0.0)) { next } else { best });
            best.map(|month| self.words.get("month", &month.to_string())).unwrap_or_default()
        };
        let (most, least) = (by(|a, b| a > b), by(|a, b| a < b));
        Bars {
            about: self.about("months", "months", &[("most", &most), ("least", &least)]),
            value_axis: self.axis("months_axis", Unit::Millimetre),
            category_title: String::new(),
            bars: self.month_bars("rain.normal", "rain.lower_decile", "rain.upper_decile", "rain.median"),
            bar_label: self.word("months_bar"),
            range_label: self.word("months_range"),
            marker_label: self.word("months_marker"),
        }
        .draw()
    }

    fn supply(&self) -> ChartDrawing {
        Bars {
            about: self.about("supply", "supply", &[]),
            value_axis: self.axis("supply_axis", Unit::Litre),
            category_title: String::new(),
            bars: self.month_bars("supply.month.median", "supply.month.lower_decile", "supply.month.upper_decile", "demand.month"),
            bar_label: self.word("supply_bar"),
            range_label: self.word("supply_range"),
            marker_label: self.word("supply_marker"),
        }
        .draw()
    }

    fn losses(&self) -> ChartDrawing {
        let parts = LOSSES.iter().filter_map(|part| {
            let value = self.number(&format!("supply.part/part={part}"))?;
            let volume = self.label(&format!("supply.part/part={part}"));
            let share = self.label(&format!("supply.part_share/part={part}"));
            let unit = self.style.unit_name(Unit::LitrePerYear);
            Some(Part { label: self.words.get("loss", part), value, value_label: format!("{volume} {unit}, {share}%") })
        });
        let run = self.assessment.run.rain.period();
        let total = self.assessment.facts.get("supply.rain").and_then(|fact| self.style.printed(fact)).map(|printed| printed.whole());
        Shares {
            about: self.about("losses", "losses", &[]),
            total_label: self.words.with(
                "chart",
                "losses_total",
                &[("total", &total.unwrap_or_default()), ("first", &run.first.year().to_string()), ("last", &run.last.year().to_string())],
            ),
            parts: parts.collect(),
        }
        .draw()
    }

    fn spells(&self) -> ChartDrawing {
        let survival = self.assessment.spells.all.survival();
        let steps = [(0.0, 100.0)].into_iter().chain(survival.steps.iter().map(|step| (f64::from(step.length), step.exceeding * 100.0)));
        let marked = [10_u32, 28].into_iter().filter_map(|days| {
            let share = survival.exceeding(days).filter(|share| *share > 0.0)? * 100.0;
            let text = self.words.with(
                "chart",
                "spells_point",
                &[("days", &days.to_string()), ("share", &self.label(&format!("spell.share_longer/days={days}")))],
            );
            Some(PlottedPoint { x: f64::from(days), y: share, label: text })
        });
        Exceedance {
            about: self.about("spells", "spells", &[("longest", &self.label("spell.length/rank=1"))]),
            x_axis: Axis::new(self.word("spells_axis")),
            share_title: self.word("spells_share"),
            steps: if survival.n == 0 { Vec::new() } else { steps.collect() },
            points: marked.filter(|_| survival.n > 0).collect(),
        }
        .draw()
    }

    fn storage_curve(&self) -> ChartDrawing {
        let store = &self.assessment.store;
        let withheld = self.assessment.headline_withheld().is_some();
        let size = |litres: f64| self.style.shown(litres, Unit::Litre).0;
        let share = |value: Option<f64>| value.map_or(f64::NAN, |value| value * 100.0);
        let points = store.curve.iter().map(|point| (size(point.sums.size.get()), share(point.reliability.volumetric)));
        let band = store
            .curve
            .iter()
            .zip(&store.upper)
            .map(|(low, high)| (size(low.sums.size.get()), share(low.reliability.volumetric), share(high.reliability.volumetric)));
        let target = self.assessment.site.targets.volumetric_reliability * 100.0;
        Curve {
            about: self.about("storage_curve", "curve", &[]),
            x_axis: self.axis("curve_x", Unit::Litre),
            y_axis: Axis::new(self.word("curve_y")),
            x_logarithmic: false,
            y_from_zero: true,
            lines: if withheld { Vec::new() } else { vec![Line { label: self.word("curve_line"), points: points.collect() }] },
            band: (!withheld).then(|| Band { label: self.word("curve_band"), points: band.collect() }),
            points: Vec::new(),
            points_label: String::new(),
            references: vec![
                Reference { axis: ReferenceAxis::X, at: size(self.assessment.result.usable.get()), label: self.word("curve_proposed") },
                Reference { axis: ReferenceAxis::Y, at: target, label: self.word("curve_target") },
            ],
        }
        .draw()
    }

    fn replay(&self) -> ChartDrawing {
        let replay = self.assessment.replay.as_ref().filter(|_| self.assessment.headline_withheld().is_none());
        let days = |day: Day| f64::from(day.number());
        let short = self.label("replay.short_days");
        let volume = |litres: f64| self.style.shown(litres, Unit::Litre).0;
        let depth = |mm: f64| self.style.shown(mm, Unit::Millimetre).0;
        let ticks = replay.iter().flat_map(|replay| &replay.months).filter_map(|&(year, month)| {
            let name = self.words.get("short_month", &month.to_string());
            let name = if month == 1 { format!("{name} {year}") } else { name };
            Some((days(Day::new(year, month, 1)?), name))
        });
        let values = replay.iter().flat_map(|replay| replay.trace.dated()).map(|(day, what)| (days(day), Some(volume(what.level.get()))));
        let bars = replay.iter().flat_map(|replay| {
            let first = days(replay.trace.first);
            replay.rain.iter().enumerate().map(move |(i, rain)| (first + i as f64, depth(rain.get())))
        });
        let date_title = replay.map(|replay| replay.trace.period().to_string()).unwrap_or_default();
        Trace {
            about: self.about("replay", "replay", &[("short", &short)]),
            date_ticks: ticks.collect(),
            date_title,
            value_axis: self.axis("replay_axis", Unit::Litre),
            value_label: self.word("replay_level"),
            values: values.collect(),
            amounts: Some(Amounts {
                axis: self.axis("replay_rain_axis", Unit::Millimetre),
                label: self.word("replay_rain"),
                bars: bars.collect(),
                place: AmountsPlace::Below,
            }),
            levels: vec![Level { at: volume(self.assessment.result.usable.get()), label: self.word("replay_full") }],
        }
        .draw()
    }

    fn storms(&self) -> ChartDrawing {
        let line = |days: u32| {
            let points = RETURN_PERIODS.iter().map(|years| {
                let depth = self.number(&format!("storm.depth/days={days},years={years}"));
                (f64::from(*years), depth.unwrap_or(f64::NAN))
            });
            let label = if days == 1 {
                self.word("storms_line_one")
            } else {
                self.words.with("chart", "storms_line", &[("days", &days.to_string())])
            };
            Line { label, points: points.collect() }
        };
        let maxima = self.assessment.storms.by_length.first().map(|(maxima, _)| maxima.depths()).unwrap_or_default();
        let points = stats::plotting_positions(&maxima).into_iter().map(|(years, depth)| PlottedPoint {
            x: years,
            y: self.style.shown(depth, Unit::Millimetre).0,
            label: String::new(),
        });
        Curve {
            about: self.about("storms", "storms", &[]),
            x_axis: Axis::new(self.word("storms_x")),
            y_axis: self.axis("storms_y", Unit::Millimetre),
            x_logarithmic: true,
            y_from_zero: true,
            lines: (1..=LONGEST_STORM).map(line).collect(),
            band: None,
            points: points.collect(),
            points_label: self.word("storms_points"),
            references: Vec::new(),
        }
        .draw()
    }
}
