//! The charts of the report, drawn from its facts by `paper`. Words come from the wording tables, numbers from the facts; a number printed
//! in a drawing names its fact.

mod rain;
mod station_map;
mod storms;
mod water;

use crate::number_text::NumberStyle;
use crate::words::Words;
use assess::Assessment;
use paper::chart::{Axis, Bar, ChartFont, Label};
use paper::{ChartDrawing, ChartText, Number};
use series::Unit;
use std::collections::BTreeMap;

/// What charts are drawn from.
pub(crate) struct ChartMaker<'a> {
    pub(crate) assessment: &'a Assessment,
    pub(crate) words: &'a Words,
    pub(crate) style: &'a NumberStyle,
    pub(crate) font: &'a ChartFont,
}

impl ChartMaker<'_> {
    /// Every chart by its id.
    pub(crate) fn all(&self) -> BTreeMap<String, ChartDrawing> {
        let charts = [
            self.months(),
            self.year_months(),
            self.supply(),
            self.losses(),
            self.spells(),
            self.storage_curve(),
            self.replay(),
            self.storms(),
            self.storm_fit(),
        ];
        charts.into_iter().chain(self.station_map()).map(|chart| (chart.id.clone(), chart)).collect()
    }

    fn word(&self, key: &str) -> String {
        self.words.get("chart", key)
    }

    /// The words about a chart; `values` are numbers of facts by the name that the description has for them.
    fn about(&self, id: &str, stem: &str, values: &[(&str, Option<Number>)], words: &[(&str, &str)]) -> ChartText {
        ChartText {
            id: id.to_owned(),
            title: self.words.with("chart", &format!("{stem}_title"), words),
            description: self.label(&format!("{stem}_description"), values, words),
            caption: Vec::new(),
            no_data: self.words.get("withheld", "nothing_accepted"),
        }
    }

    /// Words with numbers of facts in them, and with other words.
    fn label(&self, key: &str, values: &[(&str, Option<Number>)], words: &[(&str, &str)]) -> Label {
        let texts: Vec<(&str, &str)> =
            values.iter().map(|(name, number)| (*name, number.as_ref().map_or("", |number| number.text.as_str()))).collect();
        let pattern = self.word(key);
        // In the order of the words.
        let mut numbers: Vec<(usize, Number)> =
            values.iter().filter_map(|(name, number)| Some((pattern.find(&format!("{{{name}}}"))?, number.clone()?))).collect();
        numbers.sort_by_key(|(at, _)| *at);
        let all: Vec<(&str, &str)> = texts.into_iter().chain(words.iter().copied()).collect();
        Label::with(self.words.with("chart", key, &all), numbers.into_iter().map(|(_, number)| number).collect())
    }

    fn caption(&self, key: &str, words: &[(&str, &str)]) -> Vec<paper::Inline> {
        vec![paper::Inline::Text(self.words.with("chart", key, words))]
    }

    fn axis(&self, key: &str, unit: Unit) -> Axis {
        Axis::new(self.words.with("chart", key, &[("unit", &self.style.unit_name(unit))]))
    }

    /// A fact's number in the unit of the page.
    fn number(&self, id: &str) -> Option<f64> {
        let fact = self.assessment.facts.get(id)?;
        Some(self.style.shown(fact.as_number()?, fact.unit).0)
    }

    /// A fact's number as it is printed without its unit.
    fn digits(&self, id: &str) -> Option<Number> {
        let fact = self.assessment.facts.get(id)?;
        Some(Number { fact: id.to_owned(), value: fact.as_number()?, text: self.style.printed(fact)?.digits })
    }

    /// A fact's number as it is printed with its unit.
    fn whole(&self, id: &str) -> Option<Number> {
        let fact = self.assessment.facts.get(id)?;
        Some(Number { fact: id.to_owned(), value: fact.as_number()?, text: self.style.printed(fact)?.whole() })
    }

    fn month_bars(&self, value: &str, low: &str, high: &str, marker: &str) -> Vec<Bar> {
        let bar = |month: u32| {
            let id = |method: &str| format!("{method}/month={month}");
            Bar {
                label: self.words.get("short_month", &month.to_string()),
                value: self.number(&id(value)),
                value_label: self.digits(&id(value)).map(Label::of).unwrap_or_default(),
                range: self.number(&id(low)).zip(self.number(&id(high))),
                marker: self.number(&id(marker)),
            }
        };
        (1..=12).map(bar).collect()
    }
}
