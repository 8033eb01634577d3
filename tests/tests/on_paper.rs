//! `report.pdf`: the same numbers as `report.html`, on both papers, the same bytes twice, and nobody's text in the way.
//!
//! What is printed is read with pdftotext and pdfinfo where they are there. Source: the issue ("Checks").

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tests::command::run;
use tests::folders::{sample, text, with_file};
use tests::page::Page;
use tests::poppler::{collapsed, poppler_text, sheets};

fn made(site: &str, more: &[&str]) -> (TempDir, PathBuf, String) {
    let (place, file) = with_file("site.toml", site);
    let out = place.path().join("out");
    let ran = run(&[&["assess", text(&file), "--out", text(&out)], more].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    (place, out, ran.stderr)
}

/// How often each number stands in a text, by its digits. A number inside a word (an id, a check sum) is none.
fn numbers(text: &str) -> BTreeMap<String, i64> {
    let characters: Vec<char> = text.chars().collect();
    let mut found = BTreeMap::new();
    let mut at = 0;
    while at < characters.len() {
        if !characters[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let start = at;
        let inside = |at: usize| {
            let point = matches!(characters[at], '.' | ',') && characters.get(at + 1).is_some_and(char::is_ascii_digit);
            characters[at].is_ascii_digit() || point
        };
        while at < characters.len() && inside(at) {
            at += 1;
        }
        let lettered = |place: Option<&char>| place.is_some_and(|character| character.is_alphabetic() || *character == '_');
        if !lettered(start.checked_sub(1).and_then(|before| characters.get(before))) && !lettered(characters.get(at)) {
            *found.entry(characters[start..at].iter().collect()).or_insert(0) += 1;
        }
    }
    found
}

/// The page without what only a screen or a listener has: contents, drawings, words for those who listen.
fn read_text(html: &str) -> String {
    let mut rest = html.to_owned();
    for (open, close) in [("<nav", "</nav>"), ("<svg", "</svg>"), ("<span class=\"hidden\"", "</span>"), ("<footer", "</footer>")] {
        while let Some(start) = rest.find(open) {
            let end = rest[start..].find(close).unwrap() + start + close.len();
            rest.replace_range(start..end, " ");
        }
    }
    Page::parse(&rest).text
}

#[test]
fn the_paper_has_every_number_of_the_page_and_no_other() {
    for name in ["nursery", "orchard"] {
        for paper in ["a4", "letter"] {
            let (_place, out, _) = made(&sample(&format!("{name}.toml")), &["--paper", paper]);
            let Some(sheets) = sheets(text(&out.join("report.pdf"))) else { return };
            let html = fs::read_to_string(out.join("report.html")).unwrap();
            // Check sums break over lines in one and not in the other.
            let without_sums = |text: &str| {
                let sum = |word: &&str| !(word.len() >= 16 && word.bytes().all(|byte| byte.is_ascii_hexdigit()));
                text.split_whitespace().filter(sum).collect::<Vec<_>>().join(" ")
            };
            let printed = numbers(&without_sums(&sheets.join(" ")));
            let shown = numbers(&without_sums(&read_text(&html)));
            assert!(shown.values().sum::<i64>() > 400, "{name}: {shown:?}");
            for (number, count) in &shown {
                let there = printed.get(number).copied().unwrap_or(0);
                assert!(there >= *count, "{name} on {paper}: {number} stands {count} times on the page and {there} times on paper");
            }
            // Beyond those there are numbers of charts, sheets and repeated heads.
            let charts = numbers(&Page::parse(&html).text);
            for (number, count) in &printed {
                let known = charts.get(number).copied().unwrap_or(0);
                let sheet = number.parse::<usize>().is_ok_and(|sheet| sheet <= sheets.len());
                assert!(
                    *count <= known || sheet,
                    "{name} on {paper}: {number} stands {count} times on paper and {known} times on the page"
                );
            }
        }
    }
}

#[test]
fn every_fact_of_the_page_is_on_paper_as_it_is_printed_there() {
    let (_place, out, _) = made(&sample("nursery.toml"), &[]);
    let Some(sheets) = sheets(text(&out.join("report.pdf"))) else { return };
    let paper: String = sheets.join(" ").split_whitespace().collect();
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    // Numbers with their units; bare digits are counted by the test above.
    let mut count: BTreeMap<String, usize> = BTreeMap::new();
    for piece in html.split("<data data-fact=").skip(1) {
        let printed = tests::page::unescape(piece.split_once('>').unwrap().1.split_once("</data>").unwrap().0);
        if printed.contains(|character: char| character.is_alphabetic() || character == '%') {
            *count.entry(printed.split_whitespace().collect()).or_default() += 1;
        }
    }
    assert!(count.values().sum::<usize>() > 60, "{count:?}");
    for (printed, count) in count {
        let there = paper.matches(&printed).count();
        assert!(there >= count, "{printed:?} stands {count} times on the page and {there} times on paper");
    }
}

/// Page size and number of pages by pdfinfo.
fn info(pdf: &Path) -> Option<BTreeMap<String, String>> {
    let lines = poppler_text("pdfinfo", &[text(pdf)])?;
    Some(lines.lines().filter_map(|line| line.split_once(':')).map(|(key, value)| (key.to_owned(), value.trim().to_owned())).collect())
}

#[test]
fn paper_follows_the_locale_or_the_call() {
    let orchard = sample("orchard.toml");
    // ISO 216 A4 is 210 mm x 297 mm, Letter 8.5 in x 11 in.
    for (site, more, size) in [
        (sample("nursery.toml"), &[][..], "595.276 x 841.89 pts (A4)"),
        (orchard.clone(), &[], "612 x 792 pts (letter)"),
        (orchard, &["--paper", "a4"], "595.276 x 841.89 pts (A4)"),
    ] {
        let (_place, out, _) = made(&site, more);
        let Some(info) = info(&out.join("report.pdf")) else { return };
        assert_eq!(info["Page size"], size);
        assert_eq!(info["Tagged"], "yes");
        assert!((8..=40).contains(&info["Pages"].parse::<usize>().unwrap()), "{info:?}");
        assert!(info["Title"].contains("what the rain on this roof is worth"));
    }
}

#[test]
fn page_one_of_the_paper_has_the_answer_and_every_sheet_its_foot() {
    for name in ["nursery", "orchard"] {
        for paper in ["a4", "letter"] {
            let (_place, out, _) = made(&sample(&format!("{name}.toml")), &["--paper", paper]);
            let Some(sheets) = sheets(text(&out.join("report.pdf"))) else { return };
            let first = collapsed(&sheets[0]);
            for words in ["The finding", "of the water asked for is met", "How sure this is", "What this does not know"] {
                assert!(first.contains(words), "{name} on {paper}: {words:?} is not on page 1");
            }
            for (number, sheet) in (1..).zip(&sheets) {
                let sheet = collapsed(sheet);
                assert!(
                    sheet.contains("Not an approval, certification, survey or engineering design"),
                    "{name} on {paper}, sheet {number}"
                );
                assert!(sheet.contains(&format!("page {number} of {}", sheets.len())), "{name} on {paper}, sheet {number}: {sheet}");
                assert!(sheet.len() > 400, "{name} on {paper}: sheet {number} is all but empty: {sheet}");
            }
        }
    }
}

#[test]
fn the_same_call_gives_the_same_paper() {
    let site = sample("orchard.toml");
    let bytes = || {
        let (_place, out, _) = made(&site, &[]);
        fs::read(out.join("report.pdf")).unwrap()
    };
    let first = bytes();
    assert!(first == bytes());
    // Nothing of the machine or the hour is in it: the date is the site file's.
    let text = String::from_utf8_lossy(&first);
    assert!(text.contains("2026-11-02") && !text.contains("/tmp"), "the day of preparation, and no path");
}

#[test]
fn hostile_text_stays_text_on_paper_too() {
    let long = "Wort".repeat(48);
    let words = "many words ".repeat(15);
    for (hostile, kept) in [
        ("<script>alert(1)</script>", "<script>alert(1)</script>"),
        ("**bold** _it_ `code` [l](https://example.org)", "**bold** _it_ `code` [l](https://example.org)"),
        ("# heading", "# heading"),
        ("Gap {count} {height} {name}", "Gap {count} {height} {name}"),
        ("a | b | c", "a | b | c"),
        ("{{ site.name }} {% include 'x' %}", "{{ site.name }} {% include 'x' %}"),
        ("(un)balanced \\( PDF >> endobj", "(un)balanced \\( PDF >> endobj"),
        ("שלום עולם", ""),
        ("مرحبا", ""),
        ("👩‍🌾🌧️ 東京 ñ", "ñ"),
        ("e\u{301}\u{302}\u{303}\u{304}", ""),
        (long.as_str(), "Wort"),
        (words.as_str(), "many words many words"),
    ] {
        let quoted = serde_json::to_string(hostile.trim()).unwrap();
        let mut number = 0;
        let mut fields = 0;
        let site: Vec<String> = sample("orchard.toml")
            .lines()
            .map(|line| {
                let key = line.split_once(" = ").map_or("", |(key, _)| key);
                if !["name", "source", "item", "currency"].contains(&key) {
                    return line.to_owned();
                }
                fields += 1;
                number += 1;
                match key {
                    "name" => format!("name = {}{number}\"", quoted.trim_end_matches('"')),
                    "currency" => {
                        format!("currency = {}", serde_json::to_string(&hostile.chars().take(5).collect::<String>().trim()).unwrap())
                    }
                    _ => format!("{key} = {quoted}"),
                }
            })
            .collect();
        assert!(fields >= 8, "{fields}");
        let (_place, out, said) = made(&site.join("\n"), &[]);
        let Some(sheets) = sheets(text(&out.join("report.pdf"))) else { return };
        let all: String = sheets.join(" ").split_whitespace().collect();
        let kept: String = kept.split_whitespace().collect();
        assert!(all.contains(&kept), "{hostile:?} is not on paper");
        // What the font does not have is told, and shown as U+FFFD; the page shows it.
        let foreign = hostile.chars().any(|character| ('\u{4e00}'..='\u{9fff}').contains(&character));
        assert_eq!(said.contains("report.pdf shows U+FFFD") && said.contains("U+6771"), foreign, "{hostile:?}: {said}");
        let Some(boxes) = poppler_text("pdftotext", &["-bbox", text(&out.join("report.pdf")), "-"]) else { return };
        let number = |line: &str, name: &str| -> f64 {
            line.split_once(&format!(" {name}=\"")).unwrap().1.split('"').next().unwrap().parse().unwrap()
        };
        for line in boxes.lines().filter(|line| line.contains("<word ")) {
            assert!(number(line, "xMin") >= 0.0 && number(line, "xMax") <= 612.0 && number(line, "yMax") <= 792.0, "{hostile:?}: {line}");
        }
    }
}
