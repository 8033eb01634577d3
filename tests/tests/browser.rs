//! The sample reports in a real browser: printed on both papers, and on a phone.
//!
//! Needs RAINWORTH_BROWSER (the program of a Chromium); what is printed is read with pdftotext and pdfinfo where they are there.
//! Source: the issue ("print style for A4 and Letter", "Every sheet's foot", "Page one").

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;
use testkit::{accessibility_rules, browser};
use tests::command::run;
use tests::folders::{repository, text};
use tests::poppler::{collapsed, poppler_text};

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

            let Some(info) = poppler_text("pdfinfo", &["-f", "1", "-l", "9999", text(&pdf)]) else { return };
            let sizes: Vec<&str> = info.lines().filter(|line| line.starts_with("Page ") && line.contains(" size:")).collect();
            let Some(all) = poppler_text("pdftotext", &["-layout", text(&pdf), "-"]) else { return };
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
                assert!(sheet.contains(&format!("page {number} of {}", sheets.len())), "{sample} on {paper}, sheet {number} has no number");
                // The title heads the sheet from the second one on; on the first it stands in its own place, larger, over two lines.
                let head = sheet.find("what the rain on this roof is worth");
                assert!(number == 1 || head.is_some_and(|at| at < 120), "{sample} on {paper}, sheet {number}: {sheet}");
                assert!(sheet.len() > 300, "{sample} on {paper}: sheet {number} is empty");
            }
            // Page one: the finding, the three numbers, how sure, what is unknown, and the caution of the overflow.
            let first = &sheets[0];
            let overflow = if sample == "nursery" { "Overflow near a basement." } else { "Overflow on sloping ground." };
            for words in ["The finding", "of the water asked for is met", "How sure this is", "What this does not know", overflow] {
                assert!(first.contains(words), "{sample} on {paper}: {words:?} is not on page 1");
            }

            // No word leaves the paper or its margins of 20 mm at the sides.
            let Some(boxes) = poppler_text("pdftotext", &["-bbox", text(&pdf), "-"]) else { return };
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
                       document.documentElement.setAttribute('data-dark',matchMedia('(prefers-color-scheme: dark)').matches);\
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
            assert_eq!(attribute("data-dark"), Some((name == "dark").to_string()), "{sample}: the browser shows the {name} page");
            assert!(looked_at >= 10, "{sample}, {name}: only {looked_at} rules applied");
            assert_eq!(attribute("data-broken").as_deref(), Some(""), "{sample}, {name}");
        }
    }
}

/// The hosts of all addresses in a browser's log of requests.
fn hosts(log: &str) -> BTreeSet<String> {
    let addresses = log.split("http").skip(1).filter_map(|rest| rest.strip_prefix("s://").or_else(|| rest.strip_prefix("://")));
    let host = |address: &str| {
        address.split(|character: char| !character.is_ascii_alphanumeric() && !"-.".contains(character)).next().map(str::to_owned)
    };
    addresses.filter_map(host).filter(|host| host.contains('.')).collect()
}

/// Hosts that the browser itself turns to at times of its own choosing (updates, time, safe browsing).
fn is_the_browsers(host: &str) -> bool {
    ["google.com", "googleapis.com", "gstatic.com", "gvt1.com", "googleusercontent.com"]
        .iter()
        .any(|own| host == *own || host.ends_with(&format!(".{own}")))
}

/// What the browser writes about a page: requests for addresses (its own log) and messages of its console (standard error).
#[test]
fn a_page_asks_for_nothing_and_complains_of_nothing() {
    let Some(program) = browser() else { return };
    let place = tempfile::tempdir().unwrap();
    let seen = |html: &Path| {
        let log = place.path().join("requests.json");
        let profile = tempfile::tempdir_in(place.path()).unwrap();
        let output = Command::new(&program)
            .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"])
            .args(["--disable-component-update", "--disable-sync", "--enable-logging=stderr", "--log-level=0", "--dump-dom"])
            .arg(format!("--log-net-log={}", log.display()))
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg(format!("file://{}", html.display()))
            .stdin(Stdio::null())
            .output()
            .unwrap();
        assert!(output.status.success());
        let errors = String::from_utf8_lossy(&output.stderr).into_owned();
        let console: Vec<String> = errors.lines().filter(|line| line.contains("CONSOLE")).map(str::to_owned).collect();
        let requests = fs::read_to_string(&log).unwrap();
        (console, hosts(&requests))
    };
    // What the browser asks for by itself, whatever page it shows.
    let empty = place.path().join("empty.html");
    fs::write(&empty, "<!DOCTYPE html><title>Empty</title>").unwrap();
    let own = seen(&empty).1;
    let of_the_page = |found: BTreeSet<String>| found.difference(&own).filter(|host| !is_the_browsers(host)).count();
    for sample in ["nursery", "orchard"] {
        let quiet = page(place.path(), sample, &format!("{sample}-quiet.html"), "");
        let (console, asked) = seen(&quiet);
        assert_eq!((console, of_the_page(asked)), (Vec::new(), 0), "{sample}");
    }
    // The same look sees a page that does ask and complain, and sees that the page's own policy stops it.
    let loud = "<img src=\"https://example.org/a.png\"><script>console.error('heard')</script>";
    let forbidden = page(place.path(), "nursery", "forbidden.html", "");
    let text = fs::read_to_string(&forbidden).unwrap();
    fs::write(&forbidden, text.replace("</main>", &format!("{loud}</main>"))).unwrap();
    let (console, asked) = seen(&forbidden);
    assert!(
        console.iter().any(|line| line.contains("Content Security Policy")) && of_the_page(asked.clone()) == 0,
        "{console:?}, {asked:?}"
    );
    let allowed = place.path().join("allowed.html");
    fs::write(&allowed, text.replace(POLICY, "").replace("</main>", &format!("{loud}</main>"))).unwrap();
    let (console, asked) = seen(&allowed);
    assert!(console.iter().any(|line| line.contains("heard")) && of_the_page(asked.clone()) == 1, "{console:?}, {asked:?}");
}

#[test]
fn the_keyboard_goes_through_the_page_in_the_order_of_reading() {
    // WCAG 2.2, success criteria 2.1.1, 2.4.1 and 2.4.3: all that can be used can be reached by key, the first stop jumps over the
    // contents, and stops come in the order in which the page is read.
    let Some(program) = browser() else { return };
    let place = tempfile::tempdir().unwrap();
    const WALK: &str = "<script>addEventListener('load',()=>{const all=[...document.querySelectorAll('a[href],button,input,select,textarea,                        [tabindex]')].filter(e=>e.getClientRects().length);const reached=all.filter(e=>{e.focus();return document.activeElement===e});                        const top=reached.map(e=>e.getBoundingClientRect().top+scrollY);                        const clipped=[...document.querySelectorAll('.wide,.drawing')].filter(e=>e.scrollWidth>e.clientWidth+1&&e.tabIndex<0);                        document.documentElement.setAttribute('data-walk',[all.length,reached.length,                        all.filter(e=>e.tabIndex>0).length,clipped.length,                        reached[0].getAttribute('href'),top.every((y,i)=>i<2||y>=top[i-1]-40)].join(' '))})</script>";
    for (sample, width) in [("nursery", 1200), ("nursery", 500), ("orchard", 500)] {
        let file = page(place.path(), sample, &format!("{sample}-keys.html"), WALK);
        let dom = browse(&program, &place, &[&format!("--window-size={width},900"), "--virtual-time-budget=3000", "--dump-dom"], &file);
        let walk = dom.split_once("data-walk=\"").expect("the page was walked through").1.split('"').next().unwrap();
        let found: Vec<&str> = walk.split(' ').collect();
        let (all, reached): (usize, usize) = (found[0].parse().unwrap(), found[1].parse().unwrap());
        assert!(all >= 10 && reached == all, "{sample} at {width}: {reached} of {all} stops can be reached");
        assert_eq!(found[2..4], ["0", "0"], "{sample} at {width}: forced order; boxes that scroll and that no key reaches");
        assert_eq!(found[4..], ["#_text", "true"], "{sample} at {width}: first stop, order of stops");
    }
}
