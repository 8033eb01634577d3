//! A folder of templates, words, tables and a style sheet of one's own (`assess --templates`).
//!
//! Source of every rule: DESIGN section 6 ("Override folders") and the issue ("Template override").

use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use tests::command::{Ran, run};
use tests::folders::{repository, sample, text, tree, with_file};

const SECRET: &str = "Quiet Corner 17b";

/// `assess` of a sample whose name nobody should learn from an error, with one file in the folder of templates.
fn with_own(name: &str, own: &str) -> (TempDir, PathBuf, Ran) {
    let site = sample("nursery.toml").replace("Ombrel nursery, potting shed", SECRET);
    assert!(site.contains(SECRET));
    let (place, file) = with_file("site.toml", site);
    let folder = place.path().join("own");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join(name), own).unwrap();
    let out = place.path().join("out");
    let ran = run(&["assess", text(&file), "--out", text(&out), "--templates", text(&folder)]);
    (place, out, ran)
}

#[test]
fn copies_of_the_shipped_files_make_the_same_report() {
    let place = tempfile::tempdir().unwrap();
    let (copies, with, without) = (place.path().join("copies"), place.path().join("with"), place.path().join("without"));
    for (site, locale) in [("nursery", "en-GB"), ("orchard", "en-US")] {
        for folder in [&copies, &with, &without] {
            let _ = fs::remove_dir_all(folder);
        }
        assert_eq!(run(&["templates", "--out", text(&copies), "--locale", locale]).code, 0);
        // A second time it would write over work of somebody's hand.
        assert_eq!(run(&["templates", "--out", text(&copies)]).code, 1);
        let site = format!("sample-data/{site}.toml");
        assert_eq!(run(&["assess", &site, "--out", text(&without)]).code, 0);
        let ran = run(&["assess", &site, "--out", text(&with), "--templates", text(&copies)]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        let (with, without) = (tree(&with), tree(&without));
        // Copies that nobody changed are no change: the same bytes, and no sheet owns up to one.
        assert_eq!(with.keys().collect::<Vec<_>>(), without.keys().collect::<Vec<_>>());
        for (name, bytes) in &without {
            assert!(&with[name] == bytes, "{name} differs");
        }
        let page = String::from_utf8(with["report.html"].clone()).unwrap();
        assert!(!page.contains("Its wording or look was changed by its maker"));
    }
}

#[test]
fn what_is_laid_over_is_what_is_printed() {
    let (_place, out, ran) =
        with_own("cautions.md", "## Our own cautions\n\n{% for caution in cautions %}\n- {{ caution.title }}\n{% endfor %}\n");
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(html.contains("Our own cautions") && html.contains("changed its shipped wording"));
    let json: serde_json::Value = serde_json::from_slice(&fs::read(out.join("report.json")).unwrap()).unwrap();
    assert_eq!(json["own_stationery"][0]["name"], "cautions.md");
    let (_place, out, ran) = with_own("words.toml", "[month]\n7 = \"Hay month\"\n");
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(fs::read_to_string(out.join("report.html")).unwrap().contains("Hay month"));
    assert!(fs::read_to_string(out.join("tables/months.csv")).unwrap().contains("Hay month"));
}

#[test]
fn a_fault_names_the_file_and_the_line_and_never_the_site() {
    let faults = [
        ("cautions.md", "## Ours\n\n{{ site.nam }}\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n{{ fact(site.name) }}\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n```chart {{ site.name }}\n```\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n<b>{{ site.name }}</b>\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n{{ site.name + site.name }}\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n{% include \"../../secret.md\" %}\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n{% include site.name %}\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n12 litres {{ 3 }}\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n[a](javascript:alert)\n", "cautions.md, line 3"),
        ("cautions.md", "## Ours\n\n![a](https://example.org/a.png)\n", "cautions.md, line 3"),
        ("style.css", "p { color: black }\nbody { background: url(//example.org) }\n", "style.css, line 2"),
        ("words.toml", "[foot]\ntext = \"Approved design\"\n", "says what the paper is not"),
        ("anwser.md", "## Ours\n", "no other includes"),
        ("style.css", "p { color: black\n", "style.css, line 1"),
        ("words.toml", "[month]\n13 = \"x\"\n", "month.13"),
        ("tables.toml", "[months\n", "line 1"),
        ("cautions.txt", "x", "cautions.txt"),
    ];
    for (name, own, told) in faults {
        let (_place, out, ran) = with_own(name, own);
        assert_eq!(ran.code, 1, "{own}: {}", ran.stderr);
        assert!(ran.stderr.contains(told) && ran.stderr.contains("nothing was written"), "{own}: {}", ran.stderr);
        assert!(!ran.stderr.contains(SECRET), "{own}: {}", ran.stderr);
        assert!(!out.exists());
    }
}

#[test]
fn nothing_outside_of_the_folder_is_read() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    let call = |folder: &Path| run(&["assess", "sample-data/nursery.toml", "--out", text(&out), "--templates", text(folder)]);
    assert_eq!(call(&place.path().join("none")).code, 1);
    assert_eq!(call(&repository().join("README.md")).code, 1);
    #[cfg(unix)]
    {
        let own = place.path().join("own");
        fs::create_dir(&own).unwrap();
        fs::write(place.path().join("outside.md"), "## Outside\n").unwrap();
        std::os::unix::fs::symlink("../outside.md", own.join("cautions.md")).unwrap();
        let ran = call(&own);
        assert!(ran.code == 1 && ran.stderr.contains("a link"), "{}", ran.stderr);
    }
    assert!(!out.exists());
}

#[test]
fn a_report_is_never_put_into_the_folder_that_it_is_made_from() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    assert_eq!(run(&["assess", "sample-data/nursery.toml", "--out", text(&out)]).code, 0);
    let before = tree(&out);
    assert_eq!(run(&["assess", "sample-data/nursery.toml", "--out", text(&out), "--templates", text(&out)]).code, 1);
    assert!(tree(&out) == before);
}
