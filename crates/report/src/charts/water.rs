//! Charts of the water: what reaches the store, where the rest goes, what each size of store does, one bad year.

use super::ChartMaker;
use assess::LOSSES;
use paper::ChartDrawing;
use paper::chart::{Amounts, AmountsPlace, Axis, Band, Bars, Curve, Level, Line, Part, Reference, ReferenceAxis, Shares, Trace};
use series::{Day, Unit};

impl ChartMaker<'_> {
    pub(super) fn supply(&self) -> ChartDrawing {
        Bars {
            about: self.about("supply", "supply", &[], &[]),
            value_axis: self.axis("supply_axis", Unit::Litre),
            category_title: String::new(),
            bars: self.month_bars("supply.month.median", "supply.month.lower_decile", "supply.month.upper_decile", "demand.month"),
            bar_label: self.word("supply_bar"),
            range_label: self.word("supply_range"),
            marker_label: self.word("supply_marker"),
        }
        .draw(self.font)
    }

    pub(super) fn losses(&self) -> ChartDrawing {
        let parts = LOSSES.iter().filter_map(|part| {
            let value = self.number(&format!("supply.part/part={part}"))?;
            let (volume, share) = (format!("supply.part/part={part}"), format!("supply.part_share/part={part}"));
            let label = self.label("losses_part", &[("volume", self.whole(&volume)), ("share", self.whole(&share))], &[]);
            Some(Part { label: self.words.get("loss", part), value, value_label: label })
        });
        let run = self.assessment.run.rain.period();
        let (first, last) = (run.first.year().to_string(), run.last.year().to_string());
        Shares {
            about: self.about("losses", "losses", &[], &[]),
            total_label: self.label("losses_total", &[("total", self.whole("supply.rain"))], &[("first", &first), ("last", &last)]),
            parts: parts.collect(),
        }
        .draw(self.font)
    }

    pub(super) fn storage_curve(&self) -> ChartDrawing {
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
            about: self.about("storage_curve", "curve", &[], &[]),
            x_axis: self.axis("curve_x", Unit::Litre),
            y_axis: Axis::new(self.word("curve_y")),
            x_logarithmic: false,
            y_from_zero: true,
            lines: if withheld { Vec::new() } else { vec![Line { label: self.word("curve_line"), points: points.collect() }] },
            band: (!withheld).then(|| Band { label: self.word("curve_band"), points: band.collect() }),
            points: Vec::new(),
            points_label: String::new(),
            references: vec![
                Reference {
                    axis: ReferenceAxis::X,
                    at: size(self.assessment.result.usable.get()),
                    label: self.label("curve_proposed", &[("size", self.whole("store.usable"))], &[]),
                },
                Reference { axis: ReferenceAxis::Y, at: target, label: self.word("curve_target").into() },
            ],
        }
        .draw(self.font)
    }

    pub(super) fn replay(&self) -> ChartDrawing {
        let replay = self.assessment.replay.as_ref().filter(|_| self.assessment.headline_withheld().is_none());
        let days = |day: Day| f64::from(day.number());
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
            about: self.about("replay", "replay", &[("short", self.digits("replay.short_days"))], &[]),
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
        .draw(self.font)
    }
}
