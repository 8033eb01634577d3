//! Charts of the rain itself: the usual year, every month of every year, dry spells.

use super::ChartMaker;
use paper::ChartDrawing;
use paper::chart::{Axis, Bars, CellRow, CellValue, Cells, Exceedance, Label, PlottedPoint};
use series::Unit;

impl ChartMaker<'_> {
    pub(super) fn months(&self) -> ChartDrawing {
        let normal = |month: &u32| self.number(&format!("rain.normal/month={month}"));
        let by = |better: fn(f64, f64) -> bool| {
            let months = (1..=12_u32).filter(|month| normal(month).is_some());
            let best =
                months.reduce(|best, next| if better(normal(&next).unwrap_or(0.0), normal(&best).unwrap_or(0.0)) { next } else { best });
            best.map(|month| self.words.get("month", &month.to_string())).unwrap_or_default()
        };
        let (most, least) = (by(|a, b| a > b), by(|a, b| a < b));
        Bars {
            about: self.about("months", "months", &[], &[("most", &most), ("least", &least)]),
            value_axis: self.axis("months_axis", Unit::Millimetre),
            category_title: String::new(),
            bars: self.month_bars("rain.normal", "rain.lower_decile", "rain.upper_decile", "rain.median"),
            bar_label: self.word("months_bar"),
            range_label: self.word("months_range"),
            marker_label: self.word("months_marker"),
        }
        .draw(self.font)
    }

    /// Every month of the years of the normals and those after them; an incomplete month is hatched.
    pub(super) fn year_months(&self) -> ChartDrawing {
        let years = self.assessment.climate.as_ref().map(assess::Climate::years_of_months);
        let (first, last) = years.as_ref().map_or((0, 0), |years| (*years.start(), *years.end()));
        let cell = |year: i32, month: u32| {
            let id = format!("rain.month_total/year={year},month={month}");
            Some(CellValue { value: self.number(&id)?, label: Label::of(self.digits(&id)?) })
        };
        let row = |year: i32| CellRow { label: year.to_string(), cells: (1..=12).map(|month| cell(year, month)).collect() };
        let rows: Vec<CellRow> = years.into_iter().flatten().map(row).collect();
        let most = rows
            .iter()
            .flat_map(|row| row.cells.iter().flatten())
            .filter(|cell| cell.value > 0.0)
            .max_by(|a, b| a.value.total_cmp(&b.value));
        let unit = self.style.unit_name(Unit::Millimetre);
        let years = [("first", first.to_string()), ("last", last.to_string())];
        let years: Vec<(&str, &str)> = years.iter().map(|(name, year)| (*name, year.as_str())).collect();
        let most = most.and_then(|cell| cell.label.numbers.first().cloned());
        let mut about = self.about("year_months", "year_months", &[("most", most.clone())], &years);
        about.caption = self.caption("year_months_caption", &years);
        Cells {
            about,
            value_title: self.words.with("chart", "year_months_unit", &[("unit", &unit)]),
            columns: (1..=12_u32).map(|month| self.words.get("short_month", &month.to_string())).collect(),
            rows,
            low_label: format!("0\u{a0}{unit}"),
            high_label: most.map(|number| Label::with(format!("{}\u{a0}{unit}", number.text), vec![number])).unwrap_or_default(),
            missing_label: self.word("year_months_missing"),
        }
        .draw(self.font)
    }

    pub(super) fn spells(&self) -> ChartDrawing {
        let survival = self.assessment.spells.all.survival();
        let steps = [(0.0, 100.0)].into_iter().chain(survival.steps.iter().map(|step| (f64::from(step.length), step.exceeding * 100.0)));
        let marked = [10_u32, 28].into_iter().filter_map(|days| {
            let share = survival.exceeding(days).filter(|share| *share > 0.0)? * 100.0;
            let number = self.digits(&format!("spell.share_longer/days={days}"))?;
            let text = self.label("spells_point", &[("share", Some(number))], &[("days", &days.to_string())]);
            Some(PlottedPoint { x: f64::from(days), y: share, label: text })
        });
        Exceedance {
            about: self.about("spells", "spells", &[("longest", self.digits("spell.length/rank=1"))], &[]),
            x_axis: Axis::new(self.word("spells_axis")),
            share_title: self.word("spells_share"),
            steps: if survival.n == 0 { Vec::new() } else { steps.collect() },
            points: marked.filter(|_| survival.n > 0).collect(),
        }
        .draw(self.font)
    }
}
