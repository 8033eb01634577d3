//! What the specimen shows, for both renderers: invented numbers of an invented ferry line.

use std::collections::BTreeMap;

use minijinja::Value;
use paper::chart::{
    Amounts, AmountsPlace, Axis, Band, Bar, Bars, CellRow, CellValue, Cells, ChartFont, Curve, Exceedance, Level, Line, Part, PlottedPoint,
    Reference, ReferenceAxis, Shares, Trace,
};
use paper::{
    Align, Cell, ChartDrawing, ChartText, Column, Document, Inline, KeyFact, Number, Resources, Row, Slot, TableData, Templates,
    number_value,
};

const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// The face that the charts are measured with.
fn font() -> ChartFont {
    let face = include_bytes!("../../../../reports/fonts/LiberationSans-Regular.ttf");
    ChartFont::read(face).unwrap_or_else(|error| unreachable!("the shipped face is a font: {error}"))
}

fn about(id: &str, title: &str, description: &str) -> ChartText {
    ChartText {
        id: id.into(),
        title: title.into(),
        description: description.into(),
        caption: vec![Inline::Text("Invented numbers.".into())],
        no_data: String::new(),
    }
}

/// A repeatable wobble between 0 and 1.
fn wobble(at: usize) -> f64 {
    ((at * 7919 + 104_729) % 1000) as f64 / 1000.0
}

fn number(fact: &str, value: f64, text: &str) -> Number {
    Number { fact: fact.into(), value, text: text.into() }
}

fn bars() -> ChartDrawing {
    let bar = |at: usize| {
        let value = 300.0 + 700.0 * wobble(at * 3 + 1);
        Bar {
            label: MONTHS[at].into(),
            value: (at != 8).then_some(value),
            value_label: format!("{value:.0}").into(),
            range: Some((value * 0.6, value * 1.5)),
            marker: Some(value * 0.93),
        }
    };
    Bars {
        about: about("passengers", "Passengers by month", "Twelve bars between 300 and 1000."),
        value_axis: Axis::new("passengers a day"),
        category_title: String::new(),
        bars: (0..12).map(bar).collect(),
        bar_label: "mean".into(),
        range_label: "one year in ten lies below, one above".into(),
        marker_label: "median".into(),
    }
    .draw(&font())
}

fn curve(logarithmic: bool) -> ChartDrawing {
    let points =
        |scale: f64| -> Vec<(f64, f64)> { (1..=40).map(|x| (f64::from(x), scale * f64::from(x) / (f64::from(x) + 8.0))).collect() };
    let id = if logarithmic { "fares-logarithmic" } else { "fares" };
    Curve {
        about: about(id, "Seats filled against boats in use", "Three rising lines that level off."),
        x_axis: Axis::new("boats in use"),
        y_axis: Axis::new("seats filled (% of all)"),
        x_logarithmic: logarithmic,
        y_from_zero: true,
        lines: vec![
            Line { label: "last 30 years".into(), points: points(100.0) },
            Line { label: "whole record".into(), points: points(96.0) },
            Line { label: "rule of thumb".into(), points: points(70.0) },
        ],
        band: Some(Band {
            label: "9 in 10 of the next 20 years".into(),
            points: points(100.0).into_iter().map(|(x, y)| (x, y * 0.88, (y * 1.08).min(100.0))).collect(),
        }),
        points: vec![
            PlottedPoint { x: 10.0, y: 55.6, label: "10 boats".into() },
            PlottedPoint { x: 40.0, y: 83.3, label: "40 boats".into() },
        ],
        points_label: "sizes on sale".into(),
        references: vec![
            Reference { axis: ReferenceAxis::X, at: 20.0, label: "chosen: 20".into() },
            Reference { axis: ReferenceAxis::X, at: 40.0, label: "largest that fits the pier: 40".into() },
            Reference { axis: ReferenceAxis::Y, at: 75.0, label: "wanted: 75 %".into() },
        ],
    }
    .draw(&font())
}

fn trace(place: AmountsPlace, id: &str) -> ChartDrawing {
    let mut level = 3000.0;
    let mut values = Vec::new();
    let mut amounts = Vec::new();
    for day in 0..365 {
        let amount = if wobble(day) > 0.82 { 900.0 * wobble(day * 31) } else { 0.0 };
        level = (level + amount - 110.0_f64).clamp(0.0, 5000.0);
        values.push((day as f64, (!(200..215).contains(&day)).then_some(level)));
        amounts.push((day as f64, amount));
    }
    let starts = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];
    Trace {
        about: about(id, "Coal in the bunker through one year", "A sawtooth line between 0 and 5000."),
        date_ticks: starts.iter().zip(MONTHS).map(|(day, name)| (f64::from(*day), name.to_owned())).collect(),
        date_title: "2019".into(),
        value_axis: Axis::new("coal in the bunker (kg)"),
        value_label: "coal in the bunker at the end of the day".into(),
        values,
        amounts: Some(Amounts { axis: Axis::new("delivered (kg a day)"), label: "delivered".into(), bars: amounts, place }),
        levels: vec![
            Level { at: 5000.0, label: "full: 5000 kg".into() },
            Level { at: 500.0, label: "least to raise steam: 500 kg".into() },
        ],
    }
    .draw(&font())
}

fn exceedance() -> ChartDrawing {
    let steps = (0..45).map(|x| (f64::from(x), 100.0 / (1.0 + f64::from(x * x) / 60.0))).collect();
    Exceedance {
        about: about("delays", "How long crossings are delayed", "A step curve falling from 100 to 3 percent."),
        x_axis: Axis::new("delay (minutes)"),
        share_title: "share of crossings delayed for longer (%)".into(),
        steps,
        points: vec![
            PlottedPoint { x: 8.0, y: 48.4, label: "half are delayed for longer than 8 minutes".into() },
            PlottedPoint { x: 23.0, y: 10.2, label: "one in ten for longer than 23".into() },
        ],
    }
    .draw(&font())
}

fn cells() -> ChartDrawing {
    let row = |year: usize| CellRow {
        label: (1981 + year).to_string(),
        cells: (0..12)
            .map(|month| {
                let value = (wobble(year * 12 + month) * 180.0).round();
                (wobble(year * 5 + month * 11) > 0.06).then(|| CellValue { value, label: format!("{value:.0}").into() })
            })
            .collect(),
    };
    Cells {
        about: about("tickets", "Tickets sold by month", "A grid of thirty years by twelve months."),
        value_title: "tickets sold (thousands)".into(),
        columns: MONTHS.iter().map(|name| (*name).to_owned()).collect(),
        rows: (0..30).map(row).collect(),
        low_label: "0".into(),
        high_label: "180".into(),
        missing_label: "missing: books lost".into(),
    }
    .draw(&font())
}

fn shares() -> ChartDrawing {
    let part = |label: &str, value: f64| Part {
        label: label.into(),
        value,
        value_label: format!("{value:.0} t  ({:.0} %)", value / 96.0 * 100.0).into(),
    };
    Shares {
        about: about("coal", "Where the coal goes", "One bar in six parts."),
        total_label: "All coal bought: 96 t a year".into(),
        parts: vec![
            part("crossing", 52.0),
            part("waiting under steam", 21.0),
            part("heating the pier", 12.0),
            part("raising steam", 8.0),
            part("spilled in loading", 1.0),
            part("ash and stones", 2.0),
        ],
    }
    .draw(&font())
}

fn table() -> TableData {
    let row = |at: usize| Row {
        cells: vec![
            Cell::Slot(Slot::Text((1981 + at).to_string())),
            Cell::Slot(Slot::Number(number(
                &format!("ferry.sold/year={}", 1981 + at),
                wobble(at) * 9e5,
                &format!("{:.0}", wobble(at) * 9e5),
            ))),
            if at % 9 == 4 {
                Cell::Empty { mark: "–".into(), reason: "books lost".into() }
            } else {
                Cell::Slot(Slot::Number(number("ferry.delay", wobble(at * 3) * 30.0, &format!("{:.1}", wobble(at * 3) * 30.0))))
            },
        ],
        total: at == 59,
    };
    TableData {
        id: "years".into(),
        caption: vec![Inline::Text("Every year of the invented ferry".into())],
        columns: vec![
            Column { head: Inline::words("Year"), unit: None, align: Align::Start },
            Column { head: Inline::words("Tickets sold"), unit: None, align: Align::End },
            Column { head: Inline::words("Longest delay"), unit: Some("minutes".into()), align: Align::End },
        ],
        rows: (0..60).map(row).collect(),
        note: vec![Inline::Text("–: books lost.".into())],
    }
}

/// Stands at the foot of every sheet.
pub(crate) const FOOT: &str = "Invented numbers, for looking at only: a specimen of what this paper can show; not an approval, certification, survey or engineering design of a ferry, a pier or a bunker.";

/// Every kind of chart, and an empty one.
pub(crate) fn charts() -> Vec<ChartDrawing> {
    vec![
        bars(),
        curve(false),
        curve(true),
        trace(AmountsPlace::Hanging, "bunker"),
        trace(AmountsPlace::Below, "bunker-below"),
        exceedance(),
        cells(),
        shares(),
        Bars {
            about: about("none", "Nothing to draw", "An empty frame."),
            value_axis: Axis::new("none"),
            category_title: String::new(),
            bars: vec![],
            bar_label: String::new(),
            range_label: String::new(),
            marker_label: String::new(),
        }
        .draw(&font()),
    ]
}

/// The document.
pub(crate) fn document() -> Result<Document, paper::Error> {
    let charts = charts();
    let fact = |label: &str, value: f64, text: &str, note: &str| KeyFact {
        label: Inline::words(label),
        value: Slot::Number(number("ferry.key", value, text)),
        note: vec![Inline::Text(note.into())],
    };
    let resources = Resources {
        language: "en-GB".into(),
        key_facts: BTreeMap::from([
            (
                "seats".into(),
                fact("Seats filled with 20 boats", 71.4, "71 %", "in the next 20 years between 63 % and 77 %, nine times in ten"),
            ),
            ("delay".into(), fact("Longest delay in a usual year", 1380.0, "23 minutes", "one crossing in ten is later than that")),
            ("coal".into(), fact("Coal bought", 96_000.0, "96 t a year", "60 years, none missing")),
        ]),
        charts: charts.iter().map(|chart| (chart.id.clone(), chart.clone())).collect(),
        tables: BTreeMap::from([("years".into(), table())]),
        ..Resources::default()
    };
    let templates = Templates::new(vec![("specimen.md".into(), include_str!("../specimen.md").into())])?;
    let context = minijinja::context! {
        owner => "A. **Nobody** <b>& Sons</b> | {{ 7*7 }}",
        boats => number_value(number("ferry.boats", 20.0, "20")),
        charts => charts.iter().map(|chart| Value::from(chart.id.clone())).collect::<Vec<_>>(),
    };
    templates.render("specimen.md", context, &resources)
}
