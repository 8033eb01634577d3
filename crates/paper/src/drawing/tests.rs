//! True sizes, scales, places of words, hostile names; the same size in the PDF.

use super::labels::Rectangle;
use super::*;
use crate::chart::tests::font;

fn about() -> DrawingText {
    DrawingText {
        id: "d".into(),
        title: "Plan".into(),
        description: "A field.".into(),
        scale: "Scale {scale}; {bar} is {paper}".into(),
        north: "N".into(),
    }
}

fn square(left: f64, low: f64, wide: f64, high: f64) -> Shape {
    let corners = [(left, low), (left + wide, low), (left + wide, low + high), (left, low + high)];
    Shape { form: Form::Outline(corners.map(|(x, y)| Spot::new(x, y)).to_vec()), stroke: Stroke::Heavy, fill: Fill::None }
}

fn label(x: f64, y: f64, words: &str) -> Label {
    Label { at: Spot::new(x, y), words: words.into() }
}

/// A value of an attribute of the first element that begins so.
fn attribute<'s>(svg: &'s str, element: &str, name: &str) -> &'s str {
    let at = svg.find(element).unwrap_or_else(|| panic!("{element}")).saturating_sub(1);
    let rest = &svg[at + svg[at..].find(&format!(" {name}=\"")).unwrap() + name.len() + 3..];
    &rest[..rest.find('"').unwrap()]
}

/// Every path that is not a hatch, as its points.
fn paths(svg: &str) -> Vec<Vec<(f64, f64)>> {
    let data = svg.split("<path d=\"").skip(1).map(|rest| &rest[..rest.find('"').unwrap()]);
    data.map(|d| {
        let points = d.trim_end_matches('Z').split(['M', 'L']).filter(|part| !part.is_empty());
        points.map(|part| part.split_once(' ').map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap())).unwrap()).collect()
    })
    .collect()
}

/// Every text as the rectangle it covers, by its measured width, and its words.
fn texts(svg: &str) -> Vec<(Rectangle, String)> {
    let font = font();
    let mut out = Vec::new();
    for piece in svg.split("<text ").skip(1) {
        let (head, rest) = piece.split_once('>').unwrap();
        let value = |name: &str| {
            let at = head.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
            head[at..].split('"').next().unwrap()
        };
        let number = |name: &str| value(name).parse::<f64>().unwrap();
        let words = rest.split("</text>").next().unwrap().replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
        let (x, y, size) = (number("x"), number("y"), number("font-size"));
        assert!(size >= 7.0 * 25.4 / 72.0, "type of less than 7 pt: {words}");
        let wide = font.width(&words.replace("&#39;", "'").replace("&amp;", "&"), size);
        let left = match value("text-anchor") {
            "start" => x,
            "middle" => x - wide / 2.0,
            _ => x - wide,
        };
        // From the height of a capital to the baseline (common practice, no source: 0.72 of the type size).
        out.push((Rectangle { left, top: y - 0.72 * size, right: left + wide, bottom: y }, words));
    }
    out
}

fn assert_nothing_is_clipped_or_covered(drawing: &SizedDrawing) {
    let sheet = Rectangle { left: 0.0, top: 0.0, right: drawing.width_mm, bottom: drawing.height_mm };
    let texts = texts(&drawing.svg);
    for (at, (one, words)) in texts.iter().enumerate() {
        assert!(sheet.holds(one), "clipped: {words} {one:?}");
        for (other, theirs) in &texts[..at] {
            assert!(!one.meets(other), "{words:?} over {theirs:?}");
        }
    }
    for point in paths(&drawing.svg).into_iter().flatten() {
        assert!(
            point.0 >= -0.01 && point.0 <= drawing.width_mm + 0.01 && point.1 >= -0.01 && point.1 <= drawing.height_mm + 0.01,
            "{point:?}"
        );
    }
    assert!(drawing.height_mm <= MOST_HEIGHT_MM && !drawing.svg.contains("NaN") && !drawing.svg.contains("inf"));
}

/// 10 m at 1:100 are 100 mm; one unit of the view box is a millimetre.
#[test]
fn ten_metres_are_a_hundred_millimetres() {
    let scene = Scene { shapes: vec![square(2.0, 3.0, 10.0, 5.0)], ..Scene::default() };
    let drawing = draw(&about(), METRIC, &font(), |_| scene.clone()).unwrap();
    assert_eq!(drawing.scale.as_deref(), Some("1:100"));
    assert_eq!(attribute(&drawing.svg, "<svg", "width"), "168mm");
    let height = attribute(&drawing.svg, "<svg", "height").strip_suffix("mm").unwrap();
    assert_eq!(attribute(&drawing.svg, "<svg", "viewBox"), format!("0 0 168 {height}"));
    assert!((height.parse::<f64>().unwrap() - drawing.height_mm).abs() < 1e-3);
    let roof = &paths(&drawing.svg)[0];
    let (left, right) = roof.iter().fold((f64::MAX, f64::MIN), |(low, high), (x, _)| (low.min(*x), high.max(*x)));
    let (top, bottom) = roof.iter().fold((f64::MAX, f64::MIN), |(low, high), (_, y)| (low.min(*y), high.max(*y)));
    assert!((right - left - 100.0).abs() < 0.1 && (bottom - top - 50.0).abs() < 0.1, "{roof:?}");
    assert!(drawing.svg.contains("Scale 1:100; 5 m is 50 mm"));
}

/// 168 mm less 2 mm at each side are 16.4 m at 1:100, and 51.67 ft at 1/8 in to the foot (164 / 3.175).
#[test]
fn the_first_scale_at_which_it_goes_on_the_sheet() {
    let scale = |scales: &[Scale], wide: f64, high: f64| {
        draw(&about(), scales, &font(), |_| Scene { shapes: vec![square(0.0, 0.0, wide, high)], ..Scene::default() })
            .and_then(|drawing| drawing.scale)
    };
    assert_eq!(scale(METRIC, 16.4, 5.0).as_deref(), Some("1:100"));
    assert_eq!(scale(METRIC, 16.5, 5.0).as_deref(), Some("1:200"));
    assert_eq!(scale(METRIC, 5.0, 30.0).as_deref(), Some("1:200"));
    assert_eq!(scale(US_CUSTOMARY, 51.6 * 0.3048, 5.0).as_deref(), Some("1/8 in = 1 ft"));
    assert_eq!(scale(US_CUSTOMARY, 51.8 * 0.3048, 5.0).as_deref(), Some("1/16 in = 1 ft"));
    assert_eq!(scale(METRIC, 1e9, 5.0), None);
    assert_eq!(draw(&about(), METRIC, &font(), |_| Scene::default()), None);
}

#[test]
fn hostile_names_are_kept_apart_and_inside() {
    let names = [
        "W".repeat(200),
        "a very long name of many short words that goes on and on until nobody reads it any more, and then on".to_owned(),
        "<script>alert(\"x\")</script> & '".to_owned(),
        "خزان مياه الأمطار".to_owned(),
        "🏡🌧️🛢️".to_owned(),
        "日本語の名前".to_owned(),
        "Tank".to_owned(),
    ];
    // All of them at one spot, and again each in its own small field.
    let here = names.iter().map(|name| label(1.0, 1.0, name));
    let there = names.iter().enumerate().map(|(at, name)| label(1.0 + 1.3 * at as f64, 3.0, name));
    let fields = (0..names.len()).map(|at| square(0.5 + 1.3 * at as f64, 2.5, 1.0, 1.0));
    let signs =
        (0..names.len()).map(|at| Shape { form: Form::Sign(Spot::new(1.3 * at as f64, 1.2)), stroke: Stroke::Plain, fill: Fill::None });
    let scene = Scene {
        shapes: fields.chain(signs).collect(),
        labels: here.chain(there).collect(),
        dimensions: vec![Dimension { from: Spot::new(0.0, 0.0), to: Spot::new(0.4, 0.0), words: "0.40 m".into() }],
        meanings: vec![Meaning { stroke: Stroke::Heavy, fill: Fill::Level, sign: false, words: "tank".into() }; 7],
        bearing_of_top: Some(20.0),
        ..Scene::default()
    };
    let drawing = draw(&about(), METRIC, &font(), |_| scene.clone()).unwrap();
    assert_nothing_is_clipped_or_covered(&drawing);
    assert!(!drawing.svg.contains("<script") && drawing.svg.contains("&lt;script&gt;"));
    // A name that is not written beside its place stands in the key.
    assert!(drawing.svg.contains("a very long name of many short words"), "{}", drawing.svg);
}

#[test]
fn heights_stand_apart() {
    let levels = ["top 1.8 m", "overflow 1.7 m", "outlet 0.4 m", "floor 0.3 m"];
    let group = |from: f64| Levels {
        from,
        above: 0.0,
        levels: levels.iter().zip([1.8, 1.7, 0.4, 0.3]).map(|(words, at)| (at, (*words).to_owned())).collect(),
    };
    let scene = Scene { shapes: vec![square(0.0, 0.3, 1.2, 1.5)], levels: vec![group(1.3)], ..Scene::default() };
    for scales in [METRIC, METRIC_LARGE] {
        let drawing = draw(&about(), scales, &font(), |_| scene.clone()).unwrap();
        assert_nothing_is_clipped_or_covered(&drawing);
        assert!(levels.iter().all(|words| drawing.svg.contains(words)));
    }
}

/// The top looks 90 degrees from north, that is east: north lies to the left.
#[test]
fn north_lies_where_it_should() {
    let scene = |bearing| Scene { shapes: vec![square(0.0, 0.0, 4.0, 4.0)], bearing_of_top: bearing, ..Scene::default() };
    let letter = |bearing: f64| {
        let drawing = draw(&about(), METRIC, &font(), |_| scene(Some(bearing))).unwrap();
        let (place, _) = texts(&drawing.svg).into_iter().find(|(_, words)| words == "N").unwrap();
        (f64::midpoint(place.left, place.right), place.bottom)
    };
    let (up, left, right) = (letter(0.0), letter(90.0), letter(270.0));
    assert!((up.0 - (WIDTH_MM - 11.0)).abs() < 0.1 && left.0 < up.0 - 7.0 && right.0 > up.0 + 7.0 && left.1 > up.1 + 5.0);
    let none = draw(&about(), METRIC, &font(), |_| scene(None)).unwrap();
    assert!(!texts(&none.svg).iter().any(|(_, words)| words == "N"));
}

#[test]
fn what_is_not_finite_is_left_out() {
    let bad = Spot::new(f64::NAN, 1.0);
    let scene = Scene {
        shapes: vec![
            square(0.0, 0.0, 4.0, 4.0),
            Shape { form: Form::Line(vec![bad, Spot::new(1.0, 1.0)]), stroke: Stroke::Dashed, fill: Fill::None },
            Shape { form: Form::Circle { middle: bad, radius: f64::INFINITY }, stroke: Stroke::Plain, fill: Fill::Level },
        ],
        labels: vec![Label { at: bad, words: "nowhere".into() }],
        levels: vec![Levels { from: 1.0, above: 0.0, levels: vec![] }],
        bearing_of_top: Some(f64::NAN),
        ..Scene::default()
    };
    let drawing = draw(&about(), METRIC, &font(), |_| scene.clone()).unwrap();
    assert!(!drawing.svg.contains("NaN") && !drawing.svg.contains("inf") && !drawing.svg.contains("nowhere"));
}

#[test]
fn a_grid_says_that_it_is_not_to_scale() {
    let grid = |square| DottedGrid {
        id: "g".into(),
        title: "Plan by hand".into(),
        description: "Dots.".into(),
        caption: Vec::new(),
        square,
        stamp: "NOT TO SCALE".into(),
        north: "Arrow to north".into(),
        blanks: vec!["One square stands for".into(), "Drawn by".into()],
        height_mm: 150.0,
    };
    for square in [Square::FiveMillimetres, Square::QuarterInch] {
        let drawing = grid(square).draw(&font());
        assert_nothing_is_clipped_or_covered(&drawing);
        assert!(drawing.svg.contains("NOT TO SCALE") && drawing.svg.contains("Arrow to north") && drawing.scale.is_none());
        // A dot and the gap after it are one square.
        let dashes: Vec<f64> =
            attribute(&drawing.svg, "stroke-dasharray", "stroke-dasharray").split(' ').map(|one| one.parse().unwrap()).collect();
        assert!((dashes.iter().sum::<f64>() - square.mm()).abs() < 1e-3, "{dashes:?}");
        let rows = paths(&drawing.svg).into_iter().max_by_key(Vec::len).unwrap();
        assert!((rows[2].1 - rows[0].1 - square.mm()).abs() < 1e-3);
    }
    assert!((Square::QuarterInch.mm() - 6.35).abs() < 1e-12);
}
