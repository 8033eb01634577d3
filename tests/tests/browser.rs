//! The sample reports in a real browser: printed on both papers, and on a phone.
//!
//! Needs RAINWORTH_BROWSER (the program of a Chromium); what is printed is read with pdftotext and pdfinfo where they are there.
//! Source: the issue ("print style for A4 and Letter", "Every sheet's foot", "Page one").

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;
use testkit::{accessibility_rules, browser};
use tests::command::run;
use tests::folders::{repository, text};

const FOOT: &str = "Planning information computed from public records and the applicant's measurements. Not an approval, certification, \
                    survey or engineering design.";

const POLICY: &str = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">";

/// A page that the browser opens: the report with something put before the end of its head.
fn page(place: &Path, sample: &str, name: &str, extra: &str) -> PathBuf {
    let out = place.join(format!("report-{sample}"));
    if !out.exists() {
        let site = repository().join("sample-data").join(format!("{sample}.toml"));
        let ran = run(&["assess", text(&site), "--out", text(&out)]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
    }
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    assert_eq!(html.matches("</head>").count(), 1);
    // The page forbids every script; what measures it is one.
    assert_eq!(html.matches(POLICY).count(), 1);
    let html = if extra.contains("<script") { html.replace(POLICY, "") } else { html };
    let file = place.join(name);
    fs::write(&file, html.replace("</head>", &format!("{extra}</head>"))).unwrap();
    file
}

/// Standard output of the browser on a page.
fn browse(program: &Path, place: &TempDir, arguments: &[&str], file: &Path) -> String {
    let profile = tempfile::tempdir_in(place.path()).unwrap();
    let output = Command::new(program)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"])
        .args(["--disable-component-update", "--disable-sync", "--hide-scrollbars"])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(arguments)
        .arg(format!("file://{}", file.display()))
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Output of one of the programs that read PDF; nothing, after one line, where it is not there.
fn poppler(program: &str, arguments: &[&str]) -> Option<String> {
    match Command::new(program).args(arguments).stdin(Stdio::null()).output() {
        Ok(output) => {
            assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
            Some(String::from_utf8_lossy(&output.stdout).into_owned())
        }
        Err(_) => {
            eprintln!("skipped: there is no {program} to read the printed pages with");
            None
        }
    }
}

fn collapsed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").replace('\u{2019}', "'")
}

/// An attribute's number in a line of pdftotext -bbox.
fn number(line: &str, name: &str) -> f64 {
    line.split_once(&format!(" {name}=\"")).unwrap().1.split('"').next().unwrap().parse().unwrap()
}

#[test]
fn printed_sheets_carry_the_foot_and_fit_the_paper() {
    let Some(program) = browser() else { return };
    let place = tempfile::tempdir().unwrap();
    // Paper in points: ISO 216 A4 is 210 x 297 mm, Letter 8.5 x 11 in.
    for (paper, width, height) in [("A4", 210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0), ("letter", 612.0, 792.0)] {
        for sample in ["nursery", "orchard"] {
            let file = page(place.path(), sample, &format!("{sample}-{paper}.html"), &format!("<style>@page{{size:{paper}}}</style>"));
            let pdf = place.path().join(format!("{sample}-{paper}.pdf"));
            browse(&program, &place, &[&format!("--print-to-pdf={}", pdf.display()), "--no-pdf-header-footer"], &file);
            assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));

            let Some(info) = poppler("pdfinfo", &["-f", "1", "-l", "9999", text(&pdf)]) else { return };
            let sizes: Vec<&str> = info.lines().filter(|line| line.starts_with("Page ") && line.contains(" size:")).collect();
            let Some(all) = poppler("pdftotext", &["-layout", text(&pdf), "-"]) else { return };
            let sheets: Vec<String> = all.trim_end_matches('\u{c}').split('\u{c}').map(collapsed).collect();
            assert_eq!(sheets.len(), sizes.len());
            assert!((3..=40).contains(&sheets.len()), "{sample} on {paper}: {} sheets", sheets.len());
            for size in sizes {
                let points: Vec<f64> =
                    size.split_once("size:").unwrap().1.split_whitespace().filter_map(|word| word.parse().ok()).collect();
                // The browser works in whole pixels of 0.75 points.
                assert!((points[0] - width).abs() <= 1.5 && (points[1] - height).abs() <= 1.5, "{sample} on {paper}: {size}");
            }
            for (number, sheet) in (1..).zip(&sheets) {
                assert!(has_foot(&all, number), "{sample} on {paper}, sheet {number} has no foot: {sheet}");
                assert!(sheet.contains(&format!("{number} / {}", sheets.len())), "{sample} on {paper}, sheet {number} has no number");
                assert!(sheet.len() > 300, "{sample} on {paper}: sheet {number} is empty");
            }
            // Page one: the finding, the three numbers, how sure, what is unknown, and the caution of the overflow.
            let first = &sheets[0];
            for words in ["The finding", "of the water asked for is met", "How sure this is", "What this does not know", "Overflow near"] {
                assert!(
                    first.contains(words) || !sheets.iter().any(|sheet| sheet.contains(words)),
                    "{sample} on {paper}: {words:?} is not on page 1"
                );
            }
            assert!(first.contains("The finding") && first.contains("How sure this is"), "{sample} on {paper}");

            // No word leaves the paper or its margins of 20 mm at the sides.
            let Some(boxes) = poppler("pdftotext", &["-bbox", text(&pdf), "-"]) else { return };
            let margin = 20.0 / 25.4 * 72.0;
            for line in boxes.lines().filter(|line| line.contains("<word ")) {
                let inside =
                    number(line, "xMin") >= margin - 1.5 && number(line, "xMax") <= width - margin + 1.5 && number(line, "yMax") <= height;
                assert!(inside, "{sample} on {paper}: {line}");
            }
        }
    }
}

/// Whether a sheet has the whole foot, whatever its line breaks (the page number may stand between two lines of it).
fn has_foot(all: &str, sheet: usize) -> bool {
    let lines = all.split('\u{c}').nth(sheet - 1).unwrap();
    let words: Vec<String> = collapsed(lines).split(' ').map(str::to_owned).collect();
    let mut wanted = FOOT.split_whitespace().peekable();
    let start = words.iter().rposition(|word| word == "Planning");
    for word in &words[start.unwrap_or(words.len())..] {
        if wanted.peek() == Some(&word.as_str()) {
            wanted.next();
        }
    }
    wanted.peek().is_none()
}

#[test]
fn nothing_scrolls_sideways_on_a_phone() {
    let Some(program) = browser() else { return };
    let place = tempfile::tempdir().unwrap();
    const MEASURE: &str = "<script>addEventListener('load',()=>document.documentElement.setAttribute('data-measured',\
                           [innerWidth,document.documentElement.scrollWidth,document.body.scrollWidth].join(' ')))</script>";
    for sample in ["nursery", "orchard"] {
        for width in [390, 360] {
            let inner = page(place.path(), sample, &format!("{sample}-{width}.html"), MEASURE);
            // A window has a least width of its own, a frame has not: the page is measured in a frame as wide as a phone.
            let frame = place.path().join("frame.html");
            fs::write(
                &frame,
                format!(
                    "<!DOCTYPE html><body style=\"margin:0\"><iframe id=f style=\"border:0;width:{width}px;height:800px\"></iframe>\
                     <script>f.onload=()=>document.body.setAttribute('data-measured',f.contentDocument.documentElement.dataset.measured);\
                     f.srcdoc={}</script>",
                    serde_json::to_string(&fs::read_to_string(&inner).unwrap()).unwrap().replace("</", "<\\/")
                ),
            )
            .unwrap();
            let dom = browse(&program, &place, &["--window-size=800,900", "--virtual-time-budget=3000", "--dump-dom"], &frame);
            let measured =
                dom.split_once("data-measured=\"").unwrap_or_else(|| panic!("nothing was measured: {}", &dom[..dom.len().min(300)])).1;
            let found: Vec<i32> = measured.split('"').next().unwrap().split(' ').map(|number| number.parse().unwrap()).collect();
            assert_eq!(found[0], width, "the frame is as wide as asked for");
            assert!(found[1] <= width && found[2] <= width, "{sample} at {width}: the page is {found:?} wide");
        }
    }
}

#[test]
fn the_page_breaks_no_rule_of_accessibility() {
    // WCAG 2.2, levels A and AA, as far as axe-core 4 can test them (an open rule set; CSS colour and layout need a real browser).
    let (Some(program), Some(rules)) = (browser(), accessibility_rules()) else { return };
    let place = tempfile::tempdir().unwrap();
    let rules = fs::read_to_string(rules).unwrap().replace("</script", "<\\/script");
    const RUN: &str = "addEventListener('load',async()=>{const found=await axe.run(document,{runOnly:{type:'tag',\
                       values:['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa']}});\
                       document.documentElement.setAttribute('data-rules',found.passes.length);\
                       document.documentElement.setAttribute('data-broken',found.violations.map(v=>v.id+': '+\
                       v.nodes.slice(0,3).map(n=>n.target.join(' ')).join(', ')).join('; '))})";
    for sample in ["nursery", "orchard"] {
        for (name, scheme) in [("light", ""), ("dark", "--force-dark-mode")] {
            let extra = format!("<script>{rules}</script><script>{RUN}</script>");
            let file = page(place.path(), sample, &format!("{sample}-{name}.html"), &extra);
            let mut arguments = vec!["--window-size=1200,900", "--virtual-time-budget=20000", "--dump-dom"];
            arguments.extend([scheme].into_iter().filter(|scheme| !scheme.is_empty()));
            let dom = browse(&program, &place, &arguments, &file);
            let attribute = |name: &str| dom.split_once(&format!("{name}=\"")).map(|(_, rest)| rest.split('"').next().unwrap().to_owned());
            let looked_at: usize = attribute("data-rules").expect("the rules were run").parse().unwrap();
            assert!(looked_at >= 10, "{sample}, {name}: only {looked_at} rules applied");
            assert_eq!(attribute("data-broken").as_deref(), Some(""), "{sample}, {name}");
        }
    }
}
