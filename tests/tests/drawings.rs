//! Plan and elevation of the reports: true size on paper, what is drawn and what is named as not drawn.
//!
//! Sizes are read back from the PDFs by pdftotext (poppler), where it is installed: the numbers under a scale bar stand as far apart as the
//! scale says. With RAINWORTH_BROWSER the same is read from what a Chromium prints. Source: 10 m at 1:100 are 100 mm; 1 ft = 304.8 mm
//! (exact), at 1/16 in to the foot 1.5875 mm.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use tests::command::run;
use tests::folders::{repository, text};

/// A sample with its text changed, assessed into a folder.
fn assess(place: &Path, name: &str, site: &str) -> std::path::PathBuf {
    let samples = repository().join("sample-data");
    let site = site
        .replace("folder = \"stations\"", &format!("folder = {:?}", text(&samples.join("stations"))))
        .replace("station_list = \"ghcnd-stations.txt\"", &format!("station_list = {:?}", text(&samples.join("ghcnd-stations.txt"))));
    let file = place.join(format!("{name}.toml"));
    fs::write(&file, site).unwrap();
    let out = place.join(name);
    let ran = run(&["assess", text(&file), "--out", text(&out)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    out
}

fn sample(name: &str) -> String {
    fs::read_to_string(repository().join("sample-data").join(format!("{name}.toml"))).unwrap()
}

/// The sample without anything that only drawings use.
fn without_places(site: &str) -> String {
    let keys = [
        "outline",
        "gutter",
        "downpipe",
        "eaves_height",
        "screen_place",
        "screen_height",
        "first_flush_place",
        "first_flush_diameter",
        "first_flush_bottom_height",
        "first_flush_top_height",
        "places",
        "overflow_path",
        "outfall_height",
    ];
    let head = site.split("[plan]").next().unwrap();
    head.lines().filter(|line| !keys.iter().any(|key| line.starts_with(&format!("{key} =")))).collect::<Vec<_>>().join("\n")
}

/// A word on paper: its sheet, and the middle of its box in points.
struct Word {
    sheet: usize,
    x: f64,
    y: f64,
    text: String,
}

/// Every word of a PDF.
fn words(pdf: &Path) -> Option<Vec<Word>> {
    let Ok(output) = Command::new("pdftotext").args(["-bbox", text(pdf), "-"]).stdin(Stdio::null()).output() else {
        println!("skipped: pdftotext is not installed (sizes on paper are not read back)");
        return None;
    };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut sheet = 0;
    let mut found = Vec::new();
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        sheet += usize::from(line.trim_start().starts_with("<page "));
        let value = |name: &str| line.split(&format!("{name}=\"")).nth(1)?.split('"').next()?.parse::<f64>().ok();
        let middle = |least: &str, most: &str| Some(f64::midpoint(value(least)?, value(most)?));
        let word = line.trim_start().strip_prefix("<word ").and_then(|rest| rest.split_once('>')?.1.strip_suffix("</word>"));
        if let (Some(word), Some(x), Some(y)) = (word, middle("xMin", "xMax"), middle("yMin", "yMax")) {
            found.push(Word { sheet, x, y, text: word.to_owned() });
        }
    }
    Some(found)
}

/// Millimetres between two numbers that stand under a scale bar, given the whole row.
fn apart(words: &[Word], row: &[&str], from: usize, to: usize) -> f64 {
    let rows = words.iter().filter(|first| first.text == row[0]).map(|first| {
        let mut beside: Vec<&Word> =
            words.iter().filter(|word| word.sheet == first.sheet && (word.y - first.y).abs() < 1.0 && word.x >= first.x).collect();
        beside.sort_by(|a, b| a.x.total_cmp(&b.x));
        beside
    });
    let found =
        rows.into_iter().find(|beside| beside.len() >= row.len() && beside.iter().zip(row).all(|(word, wanted)| word.text == *wanted));
    let found = found.unwrap_or_else(|| panic!("no scale bar {row:?}"));
    (found[to].x - found[from].x) * 25.4 / 72.0
}

fn assert_true_size(pdf: &Path, sample: &str) {
    let Some(words) = words(pdf) else { return };
    if sample == "nursery" {
        // 1:100: 1 m is 10 mm. 1:50: 0.5 m is 10 mm.
        let plan = apart(&words, &["0", "1", "2", "3", "4", "5", "m"], 1, 4);
        assert!((plan - 30.0).abs() < 0.1, "{plan}");
        let elevation = apart(&words, &["0", "0.5", "1", "1.5", "2", "2.5", "m"], 2, 4);
        assert!((elevation - 20.0).abs() < 0.1, "{elevation}");
    } else {
        // 1/16 in = 1 ft: 10 ft are 15.875 mm. 1/4 in = 1 ft: 4 ft are 25.4 mm.
        let plan = apart(&words, &["0", "5", "10", "15", "20", "ft"], 1, 3);
        assert!((plan - 15.875).abs() < 0.1, "{plan}");
        let elevation = apart(&words, &["0", "2", "4", "6", "8", "ft"], 1, 3);
        assert!((elevation - 25.4).abs() < 0.1, "{elevation}");
    }
}

#[test]
fn both_samples_are_drawn_at_true_size() {
    let place = tempfile::tempdir().unwrap();
    for name in ["nursery", "orchard"] {
        let out = assess(place.path(), name, &sample(name));
        for (id, scale) in [("plan", ["1:100", "1/16 in = 1 ft"]), ("elevation", ["1:50", "1/4 in = 1 ft"])] {
            let svg = fs::read_to_string(out.join(format!("drawings/{id}.svg"))).unwrap();
            assert!(svg.contains(" width=\"168mm\"") && svg.contains(scale[usize::from(name == "orchard")]), "{name} {id}");
        }
        assert_true_size(&out.join("report.pdf"), name);
        let html = fs::read_to_string(out.join("report.html")).unwrap();
        assert!(html.contains("id=\"drawing-plan\"") && html.contains("id=\"drawing-elevation\"") && !html.contains("id=\"grid-plan\""));
        for words in ["not a survey", "have all of them located before anybody digs", "hold a ruler to the scale bar"] {
            assert!(html.contains(words), "{words}");
        }
        let Some(browser) = testkit::browser() else { continue };
        let printed = place.path().join(format!("{name}-printed.pdf"));
        let sheet = if name == "nursery" { "A4" } else { "Letter" };
        let file = place.path().join(format!("{name}.html"));
        fs::write(&file, html.replace("</head>", &format!("<style>@page {{ size: {sheet}; }}</style></head>"))).unwrap();
        let profile = place.path().join(format!("{name}-profile"));
        let status = Command::new(&browser)
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"])
            .args(["--disable-component-update", "--disable-sync", "--no-pdf-header-footer"])
            .arg(format!("--user-data-dir={}", profile.display()))
            .arg(format!("--print-to-pdf={}", printed.display()))
            .arg(format!("file://{}", file.display()))
            .stdin(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .unwrap();
        assert!(status.success());
        assert_true_size(&printed, name);
    }
}

#[test]
fn without_places_there_is_a_grid_and_what_is_missing_is_named() {
    let place = tempfile::tempdir().unwrap();
    let out = assess(place.path(), "nursery", &without_places(&sample("nursery")));
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(html.contains("id=\"grid-plan\"") && html.contains("NOT TO SCALE") && !html.contains("id=\"drawing-plan\""));
    // Heights and outer sizes are there, so that the elevation is drawn; what it lacks is named with its key.
    assert!(html.contains("id=\"drawing-elevation\""));
    for key in ["roof.eaves_height", "collection.screen_height", "store.outfall_height"] {
        assert!(html.contains(key), "{key}");
    }
    // Without sizes not even that.
    let sizes = ["diameter", "height", "floor_height", "outlet_height", "overflow_height"];
    let bare = without_places(&sample("nursery"));
    let store = bare.find("[[store]]").unwrap()..bare.find("[space]").unwrap();
    let kept = bare[store.clone()].lines().filter(|line| !sizes.iter().any(|key| line.starts_with(&format!("{key} ="))));
    let bare = bare.replace(&bare[store.clone()], &format!("{}\n\n", kept.collect::<Vec<_>>().join("\n")));
    let out = assess(place.path(), "bare", &bare);
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(html.contains("id=\"grid-plan\"") && html.contains("id=\"grid-elevation\""));
    let mark: Vec<String> =
        fs::read_dir(out.join("drawings")).unwrap().map(|one| one.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(mark.len(), 2, "{mark:?}");
}

#[test]
fn one_tank_and_six_stores_are_drawn() {
    let place = tempfile::tempdir().unwrap();
    let one = sample("nursery").replace("count = 2", "count = 1").replace(", [\"2.35 m\", \"8.4 m\"]]", "]");
    let out = assess(place.path(), "one", &one);
    let svg = fs::read_to_string(out.join("drawings/elevation.svg")).unwrap();
    assert!(svg.contains("Gap tanks") && !svg.contains("tanks)"));
    let head = sample("nursery").replace("length = \"2.6 m\"\nwidth = \"1.3 m\"\nheight = \"2.0 m\"\n", "");
    let (before, after) = head.split_once("[space]").unwrap();
    let more: String = (0..5)
        .map(|at| {
            format!(
                "[[store]]\nname = \"Tank {at} with a name of some length\"\nnominal = \"1000 L\"\nlength = \"1.2 m\"\nwidth = \"1 m\"\nheight = \"1.1 m\"\n\
                 outlet_height = \"0.1 m\"\noverflow_height = \"1 m\"\nplaces = [[\"{}.5 m\", \"-2 m\"]]\n\n",
                2 * at
            )
        })
        .collect();
    let out = assess(place.path(), "six", &format!("{before}{more}[space]{after}"));
    for id in ["plan", "elevation"] {
        let svg = fs::read_to_string(out.join(format!("drawings/{id}.svg"))).unwrap();
        for at in 0..5 {
            assert!(svg.contains(&format!("Tank {at}")), "{id} {at}");
        }
    }
    assert!(!fs::read_to_string(out.join("report.html")).unwrap().contains("has no room for it"));
}
