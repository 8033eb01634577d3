//! What the report costs after the balance: processor time of the document with its charts and tables, of both renderers, and of all files,
//! best of seven, beside the limit that the issue sets for everything together.
//!
//! `cargo bench -p report`. Prints a table; nothing here fails on a slow machine.

#![allow(clippy::print_stdout)] // a bench prints what it measured

use assess::{Assessment, Inputs, assess};
use ingest::{Reader, StationList, Wanted};
use paper::{CreationDate, Fonts, HtmlOptions, Paper, PdfOptions, Wording, to_html, to_pdf};
use report::{ReportOptions, Stationery};
use series::{Day, Diagnostics};
use site::site_file;
use std::path::{Path, PathBuf};
use testkit::cpu_time::best_and_worst;

/// All files of a report after the balance, s of processor time (the issue, "Speed").
const LIMIT: f64 = 0.5;
const RUNS: usize = 7;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    println!("{:<10} {:<28} {:>9} {:>9} {:>12}", "sample", "work", "best ms", "worst ms", "of 500 ms");
    for sample in ["nursery", "orchard"] {
        let site = site_of(&root.join(format!("sample-data/{sample}.toml")))?;
        let assessment = assessment_of(&root, &site)?;
        let stationery = Stationery::shipped();
        let document = report::document(&assessment, &stationery)?;
        let bytes = |name: &str| std::fs::read(root.join("reports/fonts").join(name));
        let faces = [
            bytes("LiberationSans-Regular.ttf")?,
            bytes("LiberationSans-Bold.ttf")?,
            bytes("LiberationSans-Italic.ttf")?,
            bytes("LiberationMono-Regular.ttf")?,
        ];
        let pdf = PdfOptions {
            paper: Paper::A4,
            fonts: Fonts { regular: &faces[0], bold: &faces[1], italic: &faces[2], mono: &faces[3] },
            running_foot: "Bench".to_owned(),
            title: String::new(),
            language: String::new(),
            created: CreationDate { year: 2026, month: 1, day: 1 },
            wording: Wording::default(),
        };
        let page = HtmlOptions::default();
        let options = ReportOptions::default();
        let rows = [
            ("document, charts, tables", best_and_worst(RUNS, || report::document(&assessment, &stationery))),
            ("HTML of the document", best_and_worst(RUNS, || to_html(&document, &page))),
            ("PDF of the document", best_and_worst(RUNS, || to_pdf(&document, &pdf))),
            ("all files", best_and_worst(RUNS, || report::files(&assessment, &options))),
        ];
        for (work, (best, worst)) in rows {
            println!("{sample:<10} {work:<28} {:>9.1} {:>9.1} {:>11.0}%", best * 1e3, worst * 1e3, best / LIMIT * 100.0);
        }
        let share = rows[2].1.0 / rows[3].1.0;
        println!("{sample:<10} the PDF takes {:.0}% of all files", share * 100.0);
    }
    Ok(())
}

fn site_of(path: &Path) -> Result<site_file::SiteFile, Box<dyn std::error::Error>> {
    let text = std::fs::read_to_string(path)?;
    site_file::parse(&text, "sample").map(|(site, _)| site).map_err(|found| format!("{found:?}").into())
}

fn assessment_of(root: &Path, site: &site_file::SiteFile) -> Result<Assessment, Box<dyn std::error::Error>> {
    let files: Vec<PathBuf> = ingest::station_files(&root.join("sample-data/stations"))?;
    let mut reader = Reader::new();
    let mut records = Vec::new();
    for file in &files {
        reader.read_file(file, Wanted { temperatures: true, ..Wanted::default() }, &mut records)?;
    }
    let (stations, _) = StationList::read(&root.join("sample-data/ghcnd-stations.txt"))?;
    stations.place("list", &mut records);
    let prepared_on = Day::new(2026, 1, 1).ok_or("no such day")?;
    Ok(assess(Inputs { site, records: &records, diagnostics: &Diagnostics::default(), prepared_on })?)
}
