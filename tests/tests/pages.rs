//! The pages of both sample sites, taken apart: every number is a fact, the words are ours, and nobody's text becomes markup.
//!
//! Sources: DESIGN sections 2, 3 and 6 and the issue ("Report", "Sample data", "Checks").

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;
use tempfile::TempDir;
use tests::command::run;
use tests::folders::{names, sample, text, with_file};
use tests::page::Page;
use tests::report::Report;

const FOOT: &str = "Planning information computed from public records and the applicant's measurements. Not an approval, certification, \
                    survey or engineering design.";

/// Words of approval, and of its refusal, that never stand in what we print (DESIGN section 3).
const APPROVAL: [&str; 30] = [
    "approve",
    "approved",
    "approves",
    "certify",
    "certified",
    "certifies",
    "compliant",
    "compliance",
    "complies",
    "comply",
    "guarantee",
    "guaranteed",
    "guarantees",
    "warranted",
    "pass",
    "passes",
    "passed",
    "passing",
    "fail",
    "fails",
    "failed",
    "failing",
    "failure",
    "safe",
    "safely",
    "safer",
    "safety",
    "unsafe",
    "certification",
    "approval",
];

/// Where such a word is meant otherwise: the foot denies it, and so does the caution on rebates; water and computations pass on; a gauge
/// stands on a mountain pass; a screen has a share that passes it, by the name of its key.
const MEANT_OTHERWISE: [&str; 7] = [
    "Not an approval, certification, survey or engineering design",
    "require the application before anything is bought, are not guaranteed, and are not paid afterwards",
    "passes on everything the roof sheds",
    "scored after one warm-up pass over",
    "Sequent peak over two passes of the run",
    "INVENTED OMBREL PASS",
    "collection.screen_share_passed",
];

struct Made {
    _keep: TempDir,
    folder: PathBuf,
    report: Report,
    html: String,
    page: Page,
}

fn make(site: &str) -> Made {
    let (keep, file) = with_file("site.toml", site);
    let folder = keep.path().join("out");
    let ran = run(&["assess", text(&file), "--out", text(&folder)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let html = fs::read_to_string(folder.join("report.html")).unwrap();
    Made { report: Report::read(&folder), page: Page::parse(&html), html, folder, _keep: keep }
}

/// Both samples and two variants that turn other corners: a record with multi-day totals, and a grant; no target, no costs, no surroundings.
fn samples() -> &'static [(&'static str, Made)] {
    static MADE: OnceLock<Vec<(&'static str, Made)>> = OnceLock::new();
    MADE.get_or_init(|| {
        let nursery = sample("nursery.toml");
        let school = nursery.replace("station = \"XX0INVENT01\"", "station = \"XX0INVENT03\"");
        assert_ne!(school, nursery);
        let school = school + "\n[[cost]]\nitem = \"Invented grant\"\namount = -150\n";
        let bare = ["[supply]", "[[cost]]", "[targets]", "[space]", "[surroundings]", "[collection]"]
            .iter()
            .fold(nursery.clone(), |text, section| without_section(&text, section));
        vec![("nursery", make(&nursery)), ("orchard", make(&sample("orchard.toml"))), ("school", make(&school)), ("bare", make(&bare))]
    })
}

/// A site file without every section of this heading.
fn without_section(text: &str, heading: &str) -> String {
    let mut kept = String::new();
    let mut inside = false;
    for line in text.lines() {
        if line.starts_with('[') && line.trim_end().ends_with(']') && !line.contains('=') {
            inside = line.trim_end() == heading;
        }
        if !inside {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    assert_ne!(kept.len(), text.len(), "{heading}");
    kept
}

#[test]
fn every_number_on_a_page_is_a_fact_of_the_report() {
    for (name, made) in samples() {
        let shown = made.page.facts();
        assert!(shown.len() > 60, "{name}: {}", shown.len());
        for (id, value) in shown {
            if let Err(why) = made.report.holds(id, value) {
                panic!("{name}: {why}");
            }
        }
        for (id, fact) in made.report.facts() {
            let value = &fact["value"];
            let kinds = [value["number"].is_number(), value["date"].is_string(), value["withheld"]["why"].is_string()];
            assert_eq!(kinds.iter().filter(|kind| **kind).count(), 1, "{name}, {id}: {value}");
            assert!(!fact["title"].as_str().unwrap().is_empty() && !fact["sources"].as_array().unwrap().is_empty(), "{id}");
            if let (Some(low), Some(high)) = (fact["band"]["low"].as_f64(), fact["band"]["high"].as_f64()) {
                assert!(low <= high, "{id}: {low} to {high}");
            }
        }
        // Every sheet's number of cases and period come with the facts of rain.
        let normal = &made.report.facts()["rain.normal/month=7"];
        assert!(normal["n"].is_number() && normal["missing"].is_number() && normal["period"].is_object(), "{name}: {normal}");
    }
}

/// Pieces of text that look like a hole of a template: `[group.key]`, as our lists of words mark a missing one, and `{name}`.
fn holes(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (open, close) in [('[', ']'), ('{', '}')] {
        for (at, _) in text.match_indices(open) {
            let Some(inner) = text[at + 1..].split(close).next() else { continue };
            let key = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '.' | '_' | '-');
            let keyed = open == '{' || inner.split('.').count() == 2 && !inner.starts_with(|c: char| c.is_ascii_digit());
            if keyed && !inner.is_empty() && inner.len() < 60 && inner.chars().all(key) && text[at + 1 + inner.len()..].starts_with(close) {
                found.push(inner.to_owned());
            }
        }
    }
    found
}

/// The page's visible text and what it says to those who listen.
fn said(page: &Page) -> String {
    let mut said = page.text.clone();
    for tag in &page.tags {
        for name in ["aria-label", "alt", "title"] {
            if let Some(value) = tag.get(name) {
                said.push(' ');
                said.push_str(value);
            }
        }
    }
    said
}

#[test]
fn a_page_has_no_hole_and_no_broken_number() {
    assert_eq!(holes("x [label.x] {name} [1 to 2] { a: b } [1.5] [winter]"), ["label.x", "name"]);
    for (name, made) in samples() {
        let said = said(&made.page);
        assert!(holes(&said).is_empty(), "{name}: {:?}", holes(&said));
        for word in said.split(|c: char| !c.is_alphanumeric()) {
            assert!(!["NaN", "nan", "inf", "Infinity", "null", "undefined"].contains(&word), "{name}: {word:?}");
        }
        assert!(!said.contains('\u{e000}') && !said.contains('\u{e001}') && !said.contains("{{") && !said.contains("{%"), "{name}");
        assert!(!said.contains("Some(") && !said.contains("--"), "{name}");
    }
}

#[test]
fn a_page_is_one_file_without_script_or_network() {
    for (name, made) in samples() {
        for tag in &made.page.tags {
            let lower = tag.name.to_ascii_lowercase();
            assert!(
                !["script", "link", "iframe", "object", "embed", "base", "form", "img", "video", "audio"].contains(&lower.as_str()),
                "{name}: {lower}"
            );
            for (key, value) in &tag.attributes {
                assert!(!key.starts_with("on"), "{name}: {key}");
                assert!(!["src", "srcset", "poster", "action", "data", "style", "xlink:href"].contains(&key.as_str()), "{name}: {key}");
                if key == "href" {
                    let link = tag.name == "a" && (value.starts_with('#') || value.starts_with("https://"));
                    assert!(link, "{name}: {} href {value}", tag.name);
                }
                assert!(!value.contains("url(") || value.starts_with("url(#"), "{name}: {key}={value}");
            }
        }
        assert!(!made.page.style.contains("@import") && !made.page.style.contains("url("), "{name}");
        // Links lead to places that are there, and no id stands twice.
        let mut ids = BTreeSet::new();
        for id in made.page.tags.iter().filter_map(|tag| tag.get("id")) {
            assert!(ids.insert(id), "{name}: id {id} stands twice");
        }
        for target in made.page.named("a").filter_map(|tag| tag.get("href")?.strip_prefix('#')) {
            assert!(ids.contains(target), "{name}: nothing is at #{target}");
        }
        // The same of the drawings that stand alone.
        for chart in names(&made.folder.join("charts")) {
            let svg = fs::read_to_string(made.folder.join("charts").join(&chart)).unwrap();
            assert!(svg.starts_with("<svg ") || svg.starts_with("<?xml"), "{chart}");
            assert!(
                !svg.contains("<script") && !svg.contains("href=") && !svg.contains("NaN") && !svg.contains("\"inf"),
                "{name}: {chart}"
            );
        }
    }
}

#[test]
fn every_page_says_what_it_is_not_and_never_approves() {
    for (name, made) in samples() {
        assert!(made.page.text.contains(FOOT), "{name}");
        assert!(
            made.page.style.contains("@page") && made.page.style.contains("Planning information"),
            "{name}: the foot of printed sheets"
        );
        assert_eq!(approvals(&said(&made.page)), Vec::<String>::new(), "{name}");
        let mut files = vec![made.folder.join("report.pdf")];
        for folder in ["tables", "charts", "drawings"] {
            files.extend(fs::read_dir(made.folder.join(folder)).into_iter().flatten().map(|file| file.unwrap().path()));
        }
        assert!(files.len() > 15, "{name}: {files:?}");
        for file in files {
            let said = match file.extension().and_then(|extension| extension.to_str()) {
                Some("pdf") => {
                    // In the order of reading, so that a name over two lines of a table's cell stays one name.
                    let read = tests::poppler::poppler_text("pdftotext", &[text(&file), "-"]);
                    read.map(|all| tests::poppler::collapsed(&all)).unwrap_or_default()
                }
                _ => fs::read_to_string(&file).unwrap(),
            };
            assert_eq!(approvals(&said), Vec::<String>::new(), "{name}: {}", file.display());
        }
    }
}

/// Words of approval in a text, each with what stands around it.
fn approvals(said: &str) -> Vec<String> {
    let mut said = said.to_owned();
    for phrase in MEANT_OTHERWISE {
        said = said.replace(phrase, " ");
    }
    let words = said.split(|c: char| !c.is_alphabetic()).filter(|word| APPROVAL.contains(&word.to_ascii_lowercase().as_str()));
    words.map(|word| format!("{word:?} near {:?}", near(&said, word))).collect()
}

fn near(text: &str, word: &str) -> String {
    let at = text.find(word).unwrap_or(0);
    text.chars().skip(text[..at].chars().count().saturating_sub(60)).take(140).collect()
}

/// The page up to its second section, which begins a sheet of its own.
fn page_one(made: &Made) -> &str {
    &made.html[..made.html.find("<h2 id=\"site-and-roof\"").unwrap()]
}

#[test]
fn the_samples_are_labelled_invented_and_page_one_has_what_it_must() {
    for (name, made) in samples() {
        assert!(made.page.text.contains("(invented)") && made.page.text.contains("INVENTED"), "{name}");
        let finding = made.page.text.find("The finding").unwrap();
        let page_one = Page::parse_part(page_one(made));
        assert!(finding > 0 && page_one.contains("How sure this is") && page_one.contains("What this does not know"), "{name}");
        assert_eq!(self::page_one(made).matches("<dd class=\"value\">").count(), 3, "{name}: three numbers");
    }
    // The issue: a basement, slope or downhill neighbour puts the overflow caution on page one; nothing of the kind, and it is not there.
    let on_page_one = |made: &Made| Page::parse_part(page_one(made)).contains("Overflow");
    let of = |wanted: &str| samples().iter().find(|(name, _)| *name == wanted).map(|(_, made)| made).unwrap();
    assert!(on_page_one(of("nursery")) && on_page_one(of("orchard")));
    let dry = sample("nursery.toml").replace("basement = true", "basement = false");
    assert!(!on_page_one(&make(&dry)));
}

#[test]
fn flows_need_an_official_intensity() {
    let of = |wanted: &str| samples().iter().find(|(name, _)| *name == wanted).map(|(_, made)| made).unwrap();
    assert!(of("nursery").page.text.contains("not assessable from daily records"));
    assert!(of("nursery").report.facts().keys().all(|id| !id.starts_with("flow.") || of("nursery").report.number(id).is_none()));
    assert!(of("orchard").report.facts().keys().any(|id| id.starts_with("flow.") && of("orchard").report.number(id).is_some()));
}

#[test]
fn days_add_up() {
    for (name, made) in samples() {
        let candidates = made.report.json["records"]["candidates"].as_array().unwrap();
        assert!(!candidates.is_empty());
        for candidate in candidates {
            let summary = &candidate["summary"];
            let id = summary["station"]["id"].as_str().unwrap();
            let days = |kind: &str| summary["days"][kind].as_u64().unwrap();
            let parts: u64 = ["measured", "trace", "accumulated", "rejected", "missing"].into_iter().map(days).sum();
            assert_eq!(parts, days("calendar"), "{name}, {id}");
            // By the calendar itself.
            let day = |key: &str| summary[key].as_str().unwrap().parse::<series::Day>().unwrap();
            assert_eq!((day("last_day").since(day("first_day")) + 1) as u64, days("calendar"), "{name}, {id}");
            let fact = |kind: &str| made.report.number(&format!("record.{kind}/station={id}")).unwrap();
            for kind in ["calendar", "measured", "trace", "accumulated", "rejected", "missing"] {
                assert_eq!(fact(kind), days(kind) as f64, "{name}, {id}, {kind}");
            }
        }
    }
}

#[test]
fn the_water_account_closes() {
    for (name, made) in samples() {
        let account = &made.report.json["water_account_litres"];
        let roofs = &account["roofs"];
        let number = |value: &Value| value.as_f64().unwrap();
        let rain = number(&roofs["rain"]);
        let became: Vec<f64> = ["snow", "snow_held_change", "wetting", "coefficient", "first_flush", "screen"]
            .iter()
            .map(|key| number(&roofs[*key]))
            .chain(["bypassed", "spilled", "drained", "supplied", "stored_change"].iter().map(|key| number(&account[*key])))
            .collect();
        let residual = (rain - became.iter().sum::<f64>()).abs();
        // Each day closes to 1e-9 x max(S, 1 L) (CHECKS H2). Over a run of N days each of the twelve terms is a sum of N roundings, each of
        // at most half a unit in the last place of a partial sum, which never exceeds all the rain: 12 x N x 2^-53 x rain. That is far
        // below N x 1e-9 x S, and a litre lost on any one day stands out against it.
        let days = 366.0 * 50.0;
        let bound = 12.0 * days * f64::EPSILON / 2.0 * rain;
        assert!(residual <= bound && bound < 0.01, "{name}: {residual} L of {rain} L, bound {bound}");
        let size = made.report.number("store.usable").unwrap();
        assert!(made.report.number("store.worst_residual").unwrap().abs() <= 1e-9 * size.max(1.0), "{name}");
        // What reaches the store is what the losses leave.
        let losses: f64 = became[..6].iter().sum();
        assert!((rain - losses - number(&roofs["to_store"])).abs() <= bound, "{name}");
        // Yield after spillage never supplies more than yield before spillage (CHECKS H3): the bracket's ends.
        let reliability = &made.report.facts()["store.reliability.volume"];
        assert_eq!(reliability["value"]["number"], reliability["band"]["low"], "{name}");
    }
}

#[test]
fn supply_never_falls_with_size_on_the_curve() {
    // CHECKS C4: reliability does not fall with S for a fixed demand and start (up to the last bits of a scored second pass).
    for (name, made) in samples() {
        let mut points: Vec<(f64, f64)> = Vec::new();
        for (id, fact) in made.report.facts() {
            let Some(rest) = id.strip_prefix("curve.size/") else { continue };
            let share = made.report.number(&format!("curve.reliability.volume/{rest}"));
            points.push((fact["value"]["number"].as_f64().unwrap(), share.unwrap_or_else(|| panic!("{name}: {rest}"))));
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(points.len() > 5, "{name}: {}", points.len());
        for pair in points.windows(2) {
            assert!(pair[1].1 >= pair[0].1 - 1e-12, "{name}: {pair:?}");
        }
    }
}

#[test]
fn every_fact_is_defined_and_every_definition_is_met() {
    let listed = run(&["define", "--json"]).json();
    let defined: BTreeSet<String> = listed.as_array().unwrap().iter().map(|one| one["method"].as_str().unwrap().to_owned()).collect();
    let mut met: BTreeSet<String> = BTreeSet::new();
    let method = |id: &str| id.split('/').next().unwrap().to_owned();
    for (_, made) in samples() {
        met.extend(made.report.facts().keys().map(|id| method(id)));
    }
    for station in ["XX0INVENT01", "XX0INVENT05"] {
        let answer = run(&["rain", "--json", &format!("sample-data/stations/{station}.dly")]).json();
        met.extend(answer["stations"][0]["facts"].as_array().unwrap().iter().map(|fact| method(fact["id"].as_str().unwrap())));
    }
    let undefined: Vec<&String> = met.difference(&defined).collect();
    assert!(undefined.is_empty(), "{undefined:?}");
    // Facts that no sample can show, with the reason.
    let conditional = BTreeMap::from(
        [
            ("record.estimated", "no value of the samples is marked as estimated: the flags of GHCN-Daily know no such mark"),
            ("record.coarse_step", "the samples are measured to a tenth of a millimetre"),
            ("record.quality.first_day", "the quality tests find nothing in the samples"),
            ("record.quality.last_day", "as the first day of a finding"),
            ("record.quality.same_first_day", "as the first day of a finding"),
            ("record.quality.same_last_day", "as the first day of a finding"),
            ("record.quality.depth", "as the first day of a finding"),
            ("record.quality.against", "as the first day of a finding"),
            ("record.quality.days", "as the first day of a finding"),
            ("record.quality.usual_days", "as the first day of a finding"),
            ("record.quality.share", "as the first day of a finding"),
            ("record.quality.share_elsewhere", "as the first day of a finding"),
            ("record.quality.ratio", "as the first day of a finding"),
            ("record.quality.neighbours", "as the first day of a finding"),
            ("record.greatest_rejected.depth", "no rejected value of the samples is above their greatest day"),
            ("record.greatest_rejected.date", "as its depth"),
            ("record.future_days", "the samples end before their reports"),
            ("record.future_days.last", "as their number"),
            ("record.ended_ago", "the samples end less than two years before their reports"),
            ("record.ended_before_file", "the samples' files end with their records"),
            ("record.zeros", "the samples state their dry days"),
            ("record.undercatch", "no sample states what its gauge misses (tests/several_gauges.rs does)"),
            ("store.reliability.volume.undercatch_left", "as the share that the gauge misses"),
        ]
        .map(|(id, why)| (id.to_owned(), why)),
    );
    let idle: Vec<&String> = defined.iter().filter(|id| !met.contains(*id) && !conditional.contains_key(*id)).collect();
    assert!(idle.is_empty(), "nobody computes {idle:?}");
    assert!(conditional.keys().all(|id| defined.contains(id)));
}

#[test]
fn tables_and_charts_are_there_and_parse() {
    for (name, made) in samples() {
        let tables = names(&made.folder.join("tables"));
        assert!(tables.len() >= 15, "{name}: {tables:?}");
        for table in tables {
            let text = fs::read_to_string(made.folder.join("tables").join(&table)).unwrap();
            let columns: BTreeSet<usize> = rows(&text).into_iter().map(|row| row.len()).collect();
            assert_eq!(columns.len(), 1, "{name}, {table}: rows of {columns:?} columns");
            for cell in rows(&text).concat() {
                assert!(!["nan", "inf", "-inf", "infinity"].contains(&cell.to_lowercase().as_str()), "{name}, {table}: {cell}");
            }
        }
        assert!(names(&made.folder.join("charts")).len() >= 6, "{name}");
        // A chart on the page is the chart in its folder.
        for chart in names(&made.folder.join("charts")) {
            let svg = fs::read_to_string(made.folder.join("charts").join(&chart)).unwrap();
            let inner = svg.find("<title").map(|at| &svg[at..]).unwrap().trim_end();
            assert!(made.html.contains(inner), "{name}: {chart} is not the page's");
        }
    }
}

/// Numbers in a text, with the commas between thousands taken out, and how many decimals each has.
fn numbers(text: &str) -> Vec<(f64, u32)> {
    let pieces = text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')));
    let digits = pieces.map(|piece| piece.trim_matches(['.', ',']).replace(',', "")).filter(|piece| !piece.is_empty());
    digits.filter_map(|piece| Some((piece.parse().ok()?, piece.split_once('.').map_or(0, |(_, rest)| rest.len() as u32)))).collect()
}

#[test]
fn every_number_marked_in_a_drawing_is_its_fact() {
    // Factors of the page's unit, exact: 1 in = 25.4 mm, 1 US gal = 3.785411784 L, 1 mile = 1.609344 km, 1 ft = 0.3048 m.
    let factor = |unit: &str, us: bool| match unit {
        "share" => 100.0,
        "millimetre" if us => 1.0 / 25.4,
        "litre" | "litre_per_year" if us => 1.0 / 3.785_411_784,
        "kilometre" if us => 1.0 / 1.609_344,
        "metre" if us => 1.0 / 0.3048,
        _ => 1.0,
    };
    let mut kinds: BTreeSet<String> = BTreeSet::new();
    for (name, made) in samples() {
        let us = made.html.contains("lang=\"en-US\"");
        for chart in names(&made.folder.join("charts")) {
            let svg = fs::read_to_string(made.folder.join("charts").join(&chart)).unwrap();
            for piece in svg.split(" data-fact=\"").skip(1) {
                let (ids, rest) = piece.split_once('"').unwrap();
                let (values, rest) = rest.strip_prefix(" data-value=\"").unwrap().split_once('"').unwrap();
                let words = rest.split_once('>').unwrap().1.split('<').next().unwrap();
                let mut printed = numbers(words).into_iter();
                assert_eq!(ids.split(' ').count(), values.split(' ').count(), "{name}, {chart}: {ids}");
                for (id, value) in ids.split(' ').zip(values.split(' ')) {
                    made.report.holds(id, value).unwrap();
                    kinds.insert(chart.clone());
                    let scale = factor(made.report.facts()[id]["unit"].as_str().unwrap(), us);
                    let value = (value.parse::<f64>().unwrap() * scale).abs();
                    // Rounded as the report says: to the decimals printed, or to three figures; "under 1" and "over 99" are not rounded.
                    let near = |&(shown, decimals): &(f64, u32)| {
                        let place = (0..decimals).fold(0.5_f64, |place, _| place / 10.0);
                        let figures = if shown >= 1000.0 { 0.005 * value } else { 0.0 };
                        (shown - value).abs() <= place.max(figures) + 1e-9
                    };
                    // "under N" and "over N" are bounds: the number must lie on that side of it, and near it as the words mean it.
                    let bound = |word: &str| Some(numbers(words.split_once(word)?.1).first()?.0);
                    let bounded = bound("under ").is_some_and(|most| value < most)
                        || bound("over ").is_some_and(|least| value > least && value < 100.0);
                    let whole = printed.any(|number| near(&number)) || bounded;
                    assert!(whole, "{name}, {chart}: {id} = {value} in {words:?}");
                }
            }
        }
    }
    // The kinds that print numbers of facts.
    for chart in ["months", "supply", "losses", "spells", "storage_curve", "year_months", "station_map", "replay"] {
        assert!(kinds.contains(&format!("{chart}.svg")), "{chart} marks no fact: {kinds:?}");
    }
}

/// An incomplete month has no number and is hatched: the grid has as many numbers as the report has months, and as many cells as months.
#[test]
fn a_month_that_is_not_whole_is_never_zero() {
    for (name, made) in samples() {
        let svg = fs::read_to_string(made.folder.join("charts/year_months.svg")).unwrap();
        let (mut given, mut withheld) = (0, 0);
        for (id, fact) in made.report.facts() {
            if id.starts_with("rain.month_total/") {
                let is_given = fact["value"]["number"].is_number();
                *(if is_given { &mut given } else { &mut withheld }) += 1;
                assert_eq!(is_given, fact["missing"] == 0, "{name}, {id}: {fact}");
                assert_eq!(svg.contains(&format!("\"{id}\"")), is_given, "{name}, {id}");
            }
        }
        assert!(given > 200, "{name}: {given} and {withheld}");
    }
}

/// WCAG 2.2, 1.4.3: text stands out by 4.5 to 1 at least; on the darkest grey of a grid (0.35 of the ink) and of a bar (0.3), on a light
/// screen, a dark screen and in print.
#[test]
fn text_in_drawings_stands_out() {
    let css = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../reports/feasibility/style.css")).unwrap();
    let colours = |name: &str| -> Vec<[f64; 3]> {
        let start = format!("--{name}: #");
        let pieces = css.split(&start).skip(1);
        let byte = |hex: &str, at: usize| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
        pieces.map(|hex| [byte(hex, 0), byte(hex, 2), byte(hex, 4)]).collect()
    };
    let linear = |c: f64| if c <= 0.040_45 { c / 12.92 } else { series::math::pow((c + 0.055) / 1.055, 2.4) };
    let luminance = |c: [f64; 3]| 0.2126 * linear(c[0]) + 0.7152 * linear(c[1]) + 0.0722 * linear(c[2]);
    let (papers, inks) = (colours("paper"), colours("chart"));
    assert_eq!((papers.len(), inks.len()), (3, 3), "light, dark, print");
    for (paper, ink) in papers.into_iter().zip(inks) {
        for share in [0.0, 0.16, 0.3, 0.35] {
            let ground: Vec<f64> = (0..3).map(|i| ink[i] * share + paper[i] * (1.0 - share)).collect();
            let (a, b) = (luminance(ink), luminance([ground[0], ground[1], ground[2]]));
            let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
            assert!(contrast >= 4.5, "{ink:?} on {ground:?}: {contrast:.2}");
        }
    }
}

/// Rows of a CSV text, quotes resolved (RFC 4180).
fn rows(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut field, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        match c {
            '"' if quoted && characters.peek() == Some(&'"') => field.push(characters.next().unwrap()),
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut field)),
            '\n' if !quoted => {
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            '\r' if !quoted => {}
            other => field.push(other),
        }
    }
    assert!(!quoted && field.is_empty() && row.is_empty(), "the last line ends");
    rows
}

/// The nursery with this text in every field that takes a text of the applicant's own.
fn with_text(text: &str) -> String {
    let quoted = serde_json::to_string(text).unwrap();
    let mut changed = 0;
    let lines: Vec<String> = sample("orchard.toml")
        .lines()
        .map(|line| match line.split_once(" = ") {
            Some((key @ ("name" | "item" | "source"), _)) => {
                changed += 1;
                format!("{key} = {quoted}")
            }
            _ => line.to_owned(),
        })
        .collect();
    assert!(changed >= 10, "{changed}");
    lines.join("\n") + "\n"
}

#[test]
fn hostile_text_stays_text() {
    let plain = make(&one_name_each(&with_text("Plain words")));
    // Text that runs from right to left may be set apart by an element of its own.
    let tag_names = |html: &str| Page::parse(html).tags.into_iter().map(|tag| tag.name).filter(|name| name != "bdi").collect::<Vec<_>>();
    // A long name moves others or is left out in a drawing; there, only strokes and texts may stand.
    let drawn =
        |html: &str| html.split("<svg").skip(1).map(|rest| format!("<svg{}", rest.split("</svg>").next().unwrap())).collect::<String>();
    let tags = |made: &Made| {
        let mut rest = made.html.clone();
        // Of a name that the paper cannot show the page says so, in an item of a list.
        if let Some(at) = rest.find("The printed sheets show U+FFFD") {
            let start = rest[..at].rfind("<li").unwrap();
            let end = at + rest[at..].find("</li>").unwrap() + "</li>".len();
            rest.replace_range(start..end, "");
        }
        while let Some(start) = rest.find("<svg") {
            let end = start + rest[start..].find("</svg>").unwrap() + "</svg>".len();
            rest.replace_range(start..end, "");
        }
        tag_names(&rest)
    };
    let strokes = ["svg", "title", "desc", "g", "path", "rect", "circle", "line", "text", "tspan", "defs", "pattern"];
    let long = "Wort".repeat(48);
    for hostile in [
        "<script>alert(1)</script>",
        "</title></style></main><img src=x onerror=alert(1)>",
        "Gap {count} {height} {name}",
        "\"'><b>&amp;&lt;",
        "**bold** _it_ `code` [link](https://example.org) ![x](y)",
        "# heading",
        "> quote",
        "- [x] item",
        "1. one",
        "***",
        "```chart months",
        "a | b | c",
        "{{ site.name }} {% include 'x' %} {# c #}",
        "[^1] <https://example.org> &copy; \\*",
        "{#id .class}",
        "=1+1;@x",
        "שלום עולם",
        "مرحبا",
        "👩‍🌾🌧️ 東京 ñ",
        long.as_str(),
    ] {
        let made = make(&one_name_each(&with_text(hostile)));
        assert!(tags(&made) == tags(&plain), "{hostile:?} changes the page");
        for piece in drawn(&made.html).split('<').skip(1) {
            let name = piece.trim_start_matches('/').split(|character: char| !character.is_ascii_alphanumeric()).next().unwrap();
            assert!(strokes.contains(&name), "{hostile:?}: {name:?} in a drawing");
        }
        assert!(made.page.text.contains(&hostile.split_whitespace().collect::<Vec<_>>().join(" ")), "{hostile:?} is not shown as typed");
        for (id, value) in made.page.facts() {
            made.report.holds(id, value).unwrap();
        }
        assert_eq!(made.report.json["site"].as_str().map(|name| name.contains(hostile)), Some(true), "{hostile:?}");
        for table in names(&made.folder.join("tables")) {
            rows(&fs::read_to_string(made.folder.join("tables").join(table)).unwrap());
        }
    }
}

/// Names that must differ get a number.
fn one_name_each(site: &str) -> String {
    let mut number = 0;
    let lines: Vec<String> = site
        .lines()
        .map(|line| match line.strip_suffix('"') {
            Some(start) if start.starts_with("name = ") => {
                number += 1;
                format!("{start} {number}\"")
            }
            _ => line.to_owned(),
        })
        .collect();
    lines.join("\n") + "\n"
}

#[test]
fn text_that_cannot_be_printed_is_refused() {
    let over = "x".repeat(201);
    for hostile in ["\u{e000}0\u{e001}", "a\u{0}b", "a\u{1b}[31mb", "a\nb", "a\u{202e}b", "", "   ", over.as_str()] {
        let (keep, file) = with_file(
            "site.toml",
            sample("orchard.toml").replacen(
                "name = \"Wash-and-pack shed\"",
                &format!("name = {}", serde_json::to_string(hostile).unwrap()),
                1,
            ),
        );
        let ran = run(&["assess", "--json", text(&file), "--out", text(&keep.path().join("out"))]);
        assert_eq!((ran.code, names(keep.path())), (1, vec!["site.toml".to_owned()]), "{hostile:?}: {}", ran.stderr);
        let found = ran.json()["diagnostics"]["counts"].clone();
        assert!(found["text-unusable"] == 1 || found["toml-syntax"] == 1, "{hostile:?}: {found}");
        // Nor does the message carry it to the terminal.
        assert!(!ran.stderr.contains('\u{1b}') && !ran.stderr.contains('\u{202e}') && !ran.stderr.contains('\u{0}'), "{hostile:?}");
    }
}

/// Words that are written or chosen differently on the two sides (from memory; any dictionary has them).
const BRITISH_AND_AMERICAN: [(&str, &str); 12] = [
    ("neighbour", "neighbor"),
    ("downpipe", "downspout"),
    ("litre", "liter"),
    ("metre", "meter"),
    ("millimetre", "millimeter"),
    ("millimetres", "millimeters"),
    ("colour", "color"),
    ("offence", "offense"),
    ("per cent", "percent"),
    ("mains", "public supply"),
    ("residual-current", "ground-fault"),
    ("grey", "gray"),
];

#[test]
fn each_locale_has_its_own_words() {
    let nursery = sample("nursery.toml");
    let british = make(&nursery);
    let american = make(&nursery.replace("locale = \"en-GB\"", "locale = \"en-US\""));
    let has = |made: &Made, word: &str| format!(" {} ", made.page.text.to_lowercase()).contains(&format!(" {word}"));
    let mut met = 0;
    for (here, there) in BRITISH_AND_AMERICAN {
        assert!(!has(&british, there), "{there:?} in the British report");
        assert!(!has(&american, here), "{here:?} in the American report");
        met += usize::from(has(&british, here) && has(&american, there));
    }
    assert!(met >= 5, "only {met} of the words are used at all");
}
