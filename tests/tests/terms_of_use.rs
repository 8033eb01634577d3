//! Terms of use and attribution on the report: once a source, only if the files came from the agency, and in words where there are none.
//!
//! Expected words are those of `crates/ingest/src/agencies.toml`, which are from memory; the attribution of GHCN-Daily begins as its readme (3.26) has it.

use std::fs;
use tests::command::run;
use tests::folders::{repository, sample, text, with_file};
use tests::page::Page;
use tests::poppler::{collapsed, sheets};

const MENNE: &str = "Menne, M.J., I. Durre, B. Korzeniewski, S. McNeill";

#[test]
fn each_source_is_named_once_with_its_terms_and_a_log_has_none() {
    let data = repository().join("sample-data");
    let files = ["stations/XX0INVENT01.dly", "stations/XX0INVENT02.dly", "garden-log.csv"];
    let files = files.map(|file| format!("{:?}", data.join(file).display().to_string())).join(", ");
    let site = sample("nursery.toml");
    let site = site.lines().map(|line| if line.starts_with("folder = ") { format!("files = [{files}]") } else { line.to_owned() });
    let (keep, file) = with_file("site.toml", site.collect::<Vec<_>>().join("\n"));
    let out = keep.path().join("out");
    let ran = run(&["assess", text(&file), "--out", text(&out)]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);

    let page = collapsed(&Page::parse(&fs::read_to_string(out.join("report.html")).unwrap()).text);
    let sheets = sheets(text(&out.join("report.pdf"))).map(|sheets| collapsed(&sheets.join(" ")));
    for said in [Some(page), sheets].into_iter().flatten() {
        assert_eq!(said.matches(MENNE).count(), 1, "two records of one source");
        for words in [
            "NOAA National Centers for Environmental Information",
            "Works of the United States government",
            "from memory",
            "The terms below hold for records that came from the agency named.",
            "must not bear the agency's name",
            "invented-garden: a log of somebody's own gauge",
        ] {
            assert!(said.contains(words), "{words:?}");
        }
        assert!(said.contains("XX0INVENT01, XX0INVENT02, in the form of"), "the record that leads comes first");
    }

    let report: serde_json::Value = serde_json::from_slice(&fs::read(out.join("report.json")).unwrap()).unwrap();
    let sources = report["terms_of_use"].as_array().unwrap();
    assert_eq!(sources.len(), 2, "{sources:#?}");
    assert_eq!(sources[0]["records"], serde_json::json!(["XX0INVENT01", "XX0INVENT02"]));
    assert!(sources[0]["terms"]["attribution"].as_str().unwrap().starts_with(MENNE));
    assert!(sources[0]["terms"]["read_on"].as_str().unwrap().contains("from memory"));
    assert_eq!((&sources[1]["records"][0], &sources[1]["terms"]), (&"invented-garden".into(), &serde_json::Value::Null));
}

#[test]
fn the_page_of_a_record_has_a_line_of_it() {
    let line = |file: &str| {
        let ran = run(&["record", file]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        let page = collapsed(&ran.stdout);
        page[page.find(" terms ").unwrap()..page.find(" place ").unwrap()].to_owned()
    };
    let of_an_agency = line("sample-data/stations/XX0INVENT01.dly");
    assert!(of_an_agency.contains("if NOAA National Centers") && of_an_agency.contains("from memory"), "{of_an_agency}");
    assert!(line("sample-data/garden-log.csv").contains("none known"));
}
