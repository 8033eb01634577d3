use super::svg::text_box;
use super::*;

/// The face that the report is printed with.
pub(crate) fn font() -> ChartFont {
    ChartFont::read(include_bytes!("../../../../reports/fonts/LiberationSans-Regular.ttf")).unwrap()
}

fn about(id: &str) -> ChartText {
    ChartText { id: id.into(), title: "A <title> & more".into(), description: "Words \"about\" it".into(), ..ChartText::default() }
}

const LONG: &str = "a label <much> longer than anyone would write, and then some more of it, \"quoted\" & so on to the end";

fn bars(values: &[Option<f64>], label: &str) -> Bars {
    let bar = |value: &Option<f64>| Bar {
        label: label.into(),
        value: *value,
        value_label: label.into(),
        range: value.map(|v| (v - 1.0, v + 1.0)),
        marker: *value,
    };
    Bars {
        about: about("bars"),
        value_axis: Axis::new(label),
        category_title: label.into(),
        bars: values.iter().map(bar).collect(),
        bar_label: label.into(),
        range_label: label.into(),
        marker_label: label.into(),
    }
}

fn curve(points: &[(f64, f64)], label: &str, x_logarithmic: bool) -> Curve {
    Curve {
        about: about("curve"),
        x_axis: Axis::new(label),
        y_axis: Axis::new(label),
        x_logarithmic,
        y_from_zero: true,
        lines: (0..6).map(|_| Line { label: label.into(), points: points.to_vec() }).collect(),
        band: Some(Band { label: label.into(), points: points.iter().map(|&(x, y)| (x, y - 1.0, y + 1.0)).collect() }),
        points: points.iter().map(|&(x, y)| PlottedPoint { x, y, label: label.into() }).collect(),
        points_label: label.into(),
        references: points
            .iter()
            .flat_map(|&(x, y)| {
                [
                    Reference { axis: ReferenceAxis::X, at: x, label: label.into() },
                    Reference { axis: ReferenceAxis::Y, at: y, label: label.into() },
                ]
            })
            .collect(),
    }
}

fn trace(points: &[(f64, f64)], label: &str, place: AmountsPlace) -> Trace {
    Trace {
        about: about("trace"),
        date_ticks: points.iter().map(|&(day, _)| (day, label.to_owned())).collect(),
        date_title: label.into(),
        value_axis: Axis::new(label),
        value_label: label.into(),
        values: points.iter().map(|&(day, value)| (day, Some(value))).collect(),
        amounts: Some(Amounts { axis: Axis::new(label), label: label.into(), bars: points.to_vec(), place }),
        levels: points.iter().map(|&(_, at)| Level { at, label: label.into() }).collect(),
    }
}

/// One drawing of each kind from the same numbers and labels.
fn all(values: &[f64], label: &str) -> Vec<ChartDrawing> {
    let points: Vec<(f64, f64)> = values.iter().enumerate().map(|(at, &value)| (at as f64, value)).collect();
    let given: Vec<Option<f64>> = values.iter().copied().map(Some).collect();
    let marks = points.iter().map(|&(x, y)| PlottedPoint { x, y, label: label.into() }).collect();
    let row = CellRow { label: label.into(), cells: values.iter().map(|&value| Some(CellValue { value, label: label.into() })).collect() };
    vec![
        bars(&given, label).draw(&font()),
        curve(&points, label, false).draw(&font()),
        curve(&points, label, true).draw(&font()),
        trace(&points, label, AmountsPlace::Hanging).draw(&font()),
        trace(&points, label, AmountsPlace::Below).draw(&font()),
        Exceedance { about: about("e"), x_axis: Axis::new(label), share_title: label.into(), steps: points.clone(), points: marks }
            .draw(&font()),
        Cells {
            about: about("cells"),
            value_title: label.into(),
            columns: values.iter().map(|_| label.to_owned()).collect(),
            rows: vec![row],
            low_label: label.into(),
            high_label: label.into(),
            missing_label: label.into(),
        }
        .draw(&font()),
        DepthDuration {
            about: about("depth"),
            x_axis: Axis::new(label),
            y_axis: Axis::new(label),
            lines: (0..6)
                .map(|line| DurationLine {
                    label: label.into(),
                    depths: points.iter().map(|&(duration, depth)| Depth { duration, depth: depth * f64::from(line) }).collect(),
                    band: points.iter().map(|&(x, y)| (x, y - 1.0, y + 1.0)).collect(),
                })
                .collect(),
            band_label: label.into(),
            cases: points.iter().flat_map(|&(duration, depth)| [Depth { duration, depth }; 5]).collect(),
            cases_label: label.into(),
        }
        .draw(&font()),
        PlaceMap {
            about: about("map"),
            places: points
                .iter()
                .map(|&(east, north)| MapPlace { east: -east, north, name: label.into(), note: label.into(), leads: east == 0.0 })
                .collect(),
            reaches: 0.0,
            words: MapWords {
                centre: label.into(),
                leading: label.into(),
                other: label.into(),
                unit: "km".into(),
                north: "N".into(),
                unnamed: label.into(),
            },
            marks: Marks::default(),
        }
        .draw(&font()),
        Shares {
            about: about("shares"),
            total_label: label.into(),
            parts: values.iter().map(|&value| Part { label: label.into(), value, value_label: label.into() }).collect(),
        }
        .draw(&font()),
    ]
}

/// The numbers of an attribute, everywhere in a drawing.
fn attribute(svg: &str, name: &str) -> Vec<f64> {
    svg.split(&format!(" {name}=\"")).skip(1).map(|rest| rest.split('"').next().unwrap_or("").parse().unwrap()).collect()
}

/// A text of a drawing: its words, where it stands, its attributes.
struct Text {
    words: String,
    place: (f64, f64, f64, f64),
    size: f64,
}

/// The texts of a drawing, measured with the face; `slack` is how much wider the reader's own font is where it may grow.
fn texts(svg: &str, slack: f64) -> Vec<Text> {
    let measure = font();
    let read = |text: &str| {
        let (tag, rest) = text.split_once('>').unwrap();
        let tag = format!(" {tag}");
        let (x, y, size) = (attribute(&tag, "x")[0], attribute(&tag, "y")[0], attribute(&tag, "font-size")[0]);
        let words = rest.split('<').next().unwrap();
        let words = words.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#39;", "'").replace("&amp;", "&");
        let wide = attribute(&tag, "textLength").first().copied().unwrap_or_else(|| measure.width(&words, size) * slack);
        let left = match tag.split("text-anchor=\"").nth(1).unwrap().split('"').next().unwrap() {
            "middle" => x - wide / 2.0,
            "end" => x - wide,
            _ => x,
        };
        Text { place: text_box(left, left + wide, y, size), words, size }
    };
    svg.split("<text ").skip(1).map(read).collect()
}

/// Every coordinate of a drawing lies inside its view box, and so does every text; no text stands on another. Also where
/// the reader's font is a seventh wider than ours (DejaVu Sans against Liberation Sans: digits 636 against 556).
fn nothing_is_clipped(drawing: &ChartDrawing) {
    let svg = &drawing.svg;
    let across = ["x", "x1", "x2", "cx"].iter().flat_map(|name| attribute(svg, name));
    let down = ["y", "y1", "y2", "cy"].iter().flat_map(|name| attribute(svg, name));
    assert!(across.into_iter().all(|x| (0.0..=drawing.width).contains(&x)), "{svg}");
    for y in down {
        assert!((0.0..=drawing.height).contains(&y), "{y} of {} in {svg}", drawing.height);
    }
    for slack in [1.0, 636.0 / 556.0] {
        let texts = texts(svg, slack);
        for (at, text) in texts.iter().enumerate() {
            let (left, top, right, bottom) = text.place;
            assert!(left >= -0.02 && right <= drawing.width + 0.02, "{:?} from {left} to {right}", text.words);
            assert!(top >= -0.02 && bottom <= drawing.height + 0.02, "{:?} from {top} to {bottom} of {}", text.words, drawing.height);
            // 10 units are 7 pt at 170 mm.
            assert!(text.size >= 10.0, "{}", text.size);
            for other in &texts[..at] {
                let (a, b) = (text.place, other.place);
                let meet = a.0 + 0.02 < b.2 && b.0 + 0.02 < a.2 && a.1 + 0.02 < b.3 && b.1 + 0.02 < a.3;
                assert!(!meet, "{:?} stands on {:?} in {svg}", text.words, other.words);
            }
        }
    }
}

/// Tags are balanced and quoted, text is escaped: what an XML reader needs of such a plain writer.
fn well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for piece in svg.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').unwrap();
        assert!(!text.contains('>') && tag.matches('"').count().is_multiple_of(2), "{piece}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(tag.split(' ').next().unwrap());
        }
    }
    assert!(open.is_empty());
}

#[test]
fn every_kind_is_whole_at_any_size_of_number_and_label() {
    let rising: Vec<f64> = (0..24).map(f64::from).collect();
    for values in [&[5.0][..], &[0.0], &[0.0; 7], &[-3.0, 4.0, 0.5], &[1e-9, 2e-9], &[1e12, 3.0], &[12_345_678.9; 3], &rising] {
        for label in ["", "m", "label", "1,234", LONG, "日本語のラベル", "שלום עולם", "مرحبا", "👩‍🌾🌧️ e\u{301}", &"W".repeat(300)]
        {
            for drawing in all(values, label) {
                nothing_is_clipped(&drawing);
                well_formed(&drawing.svg);
            }
        }
    }
}

#[test]
fn no_data_and_no_finite_data_give_an_empty_frame() {
    for values in [&[][..], &[f64::NAN], &[f64::INFINITY, f64::NEG_INFINITY]] {
        for drawing in all(values, "label") {
            assert!(drawing.svg.contains(">no data</text>"), "{}", drawing.svg);
            well_formed(&drawing.svg);
        }
    }
}

#[test]
fn what_is_not_finite_among_data_never_reaches_the_drawing() {
    for values in [&[1.0, f64::NAN, 3.0][..], &[1.0, f64::INFINITY, 3.0, f64::NEG_INFINITY], &[f64::MAX, f64::MIN, 1.0], &[5e-324, 0.0]] {
        for drawing in all(values, "label") {
            for word in ["NaN", "inf", "-0\"", "-0 "] {
                assert!(!drawing.svg.contains(word), "{word} in {}", drawing.svg);
            }
            well_formed(&drawing.svg);
        }
    }
}

#[test]
fn the_same_data_give_the_same_bytes_with_two_decimals() {
    let values = [1.0 / 3.0, 2.0, 7.7];
    assert_eq!(all(&values, "label"), all(&values, "label"));
    for drawing in all(&values, "label") {
        for number in drawing.svg.split(|c: char| !(c.is_ascii_digit() || c == '.')) {
            assert!(number.split_once('.').is_none_or(|(_, decimals)| decimals.len() <= 2), "{number}");
        }
    }
}

#[test]
fn a_drawing_names_itself_and_holds_one_ink() {
    for drawing in all(&[1.0, 2.0], "label") {
        let svg = &drawing.svg;
        let id = svg.split("<title id=\"").nth(1).unwrap().split('"').next().unwrap();
        assert!(svg.contains("role=\"img\"") && svg.contains(&format!("aria-labelledby=\"{id} ")));
        assert!(svg.contains("A &lt;title&gt; &amp; more</title>") && svg.contains("Words &quot;about&quot; it</desc>"));
        assert_eq!(svg.matches('#').count(), 1, "one colour, the ink: {svg}");
        for never in ["<script", "href", "url(", "<style", "<image", "<pattern"] {
            assert!(!svg.contains(never), "{never}");
        }
    }
}

/// Bars of 50 and 100 from zero: one is half as high as the other, and both stand on the zero line.
#[test]
fn bars_start_at_zero() {
    let svg = bars(&[Some(50.0), Some(100.0)], "").draw(&font()).svg;
    let (_, body) = svg.split_once("</desc>").unwrap();
    let heights = attribute(body, "height");
    let heights: Vec<f64> = heights.into_iter().filter(|height| *height > 20.0).collect();
    let [half, full] = heights.as_slice() else { panic!("{heights:?}") };
    assert!((full / half - 2.0).abs() < 0.001, "{heights:?}");
}

#[test]
fn missing_values_are_hatched_and_said_so() {
    let svg = bars(&[Some(1.0), None], "x").draw(&font()).svg;
    assert!(svg.contains(">no data</text>"));
    let mut gappy = trace(&[(0.0, 1.0), (1.0, 2.0), (2.0, 3.0)], "x", AmountsPlace::Below);
    let whole = gappy.draw(&font()).svg;
    gappy.values[1].1 = None;
    let svg = gappy.draw(&font()).svg;
    assert!(svg.contains(">no data</text>") && !whole.contains(">no data</text>"));
    let cells = Cells {
        columns: vec!["a".into(), "b".into()],
        rows: vec![CellRow { label: "1".into(), cells: vec![Some(CellValue { value: 1.0, label: "1".into() })] }],
        ..Cells::default()
    };
    assert!(cells.draw(&font()).svg.contains(">missing</text>"));
}

#[test]
fn a_long_record_is_thinned_but_keeps_its_extremes() {
    let mut points: Vec<(f64, f64)> = (0..40_000).map(|day| (f64::from(day), 50.0)).collect();
    points[20_001].1 = 100.0;
    let svg = trace(&points, "", AmountsPlace::Below);
    let svg = Trace { amounts: None, levels: Vec::new(), date_ticks: Vec::new(), ..svg }.draw(&font()).svg;
    assert!(svg.len() < 400_000, "{}", svg.len());
    // The single day at the top of the axis is still drawn there.
    let top = attribute(&svg, "y1").into_iter().fold(f64::INFINITY, f64::min);
    assert!(svg.contains(&format!(" {}L", svg::number(top))), "{top}");
}

#[test]
fn a_map_reaches_at_least_as_far_as_it_is_told() {
    // A place 0.06 km from the centre: alone its rings stand at 0.02, 0.04 and 0.06 km, on a map of 1 km at 0.5 and 1 km.
    let map = |reaches: f64| PlaceMap {
        about: about("m"),
        places: vec![MapPlace { east: 0.06, north: 0.0, name: "A".into(), note: Label::default(), leads: true }],
        reaches,
        words: MapWords { unit: "km".into(), ..MapWords::default() },
        marks: Marks::default(),
    };
    assert!(map(0.0).draw(&font()).svg.contains("0.04\u{a0}km"));
    let wide = map(1.0).draw(&font()).svg;
    assert!(wide.contains("0.5\u{a0}km") && !wide.contains("0.04\u{a0}km"), "{wide}");
}
