//! Writes `specimen.md` as a PDF, with invented numbers of an invented ferry line.
//!
//! `cargo run -p paper --example specimen_pdf -- FONTS-DIR OUT.pdf [letter]`
#![allow(clippy::print_stderr)]

use std::path::Path;
use std::{env, fs, io};

use paper::{CreationDate, Fonts, Paper, PdfOptions, Wording, to_pdf};

#[path = "specimen/content.rs"]
mod content;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let [fonts, out, rest @ ..] = arguments.as_slice() else {
        return Err(io::Error::other("usage: specimen_pdf FONTS-DIR OUT.pdf [letter]").into());
    };
    let face = |name: &str| fs::read(Path::new(fonts).join(format!("Liberation{name}.ttf")));
    let (regular, bold, italic, mono) = (face("Sans-Regular")?, face("Sans-Bold")?, face("Sans-Italic")?, face("Mono-Regular")?);
    let document = content::document()?;
    let options = PdfOptions {
        paper: if rest.iter().any(|word| word == "letter") { Paper::Letter } else { Paper::A4 },
        fonts: Fonts { regular: &regular, bold: &bold, italic: &italic, mono: &mono },
        running_foot: content::FOOT.into(),
        title: String::new(),
        language: String::new(),
        created: CreationDate { year: 2020, month: 2, day: 29 },
        wording: Wording::default(),
    };
    let output = to_pdf(&document, &options)?;
    eprintln!(
        "{} pages, {} bytes, missing glyphs: {:?} {:?}",
        output.pages,
        output.bytes.len(),
        output.missing_glyphs,
        output.missing_own_glyphs
    );
    fs::write(out, output.bytes)?;
    Ok(())
}
